//! Frames as received: patterns of 56 or 112 bits, hexadecimal both ways, 24-bit parity, bit spans.
//!
//! Every pattern is a frame. Parity that does not hold and formats that nobody assigned are data here,
//! not errors. Bits are numbered from 1, the first bit on the air, as the standards number them.

mod parity;

use std::fmt;

pub use parity::{PARITY_BITS, parity_of};

/// A 24-bit aircraft address.
///
/// ```
/// use squitterlab::frame::Address;
/// assert_eq!(Address::from_hex("4840d6").unwrap().to_string(), "4840D6");
/// assert!(Address::from_hex("48 40").is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[doc(alias = "ICAO address")]
pub struct Address(u32);

/// As [`Address::from_hex`].
impl std::str::FromStr for Address {
    type Err = FrameError;

    fn from_str(text: &str) -> Result<Self, FrameError> {
        Self::from_hex(text)
    }
}

impl Address {
    /// The address with these 24 low bits; higher bits are dropped.
    ///
    /// ```
    /// assert_eq!(squitterlab::Address::new(0x4840D6).to_string(), "4840D6");
    /// ```
    pub const fn new(bits: u32) -> Self {
        Self(bits & 0xFF_FFFF)
    }

    /// Reads exactly six hexadecimal digits.
    ///
    /// ```
    /// use squitterlab::Address;
    /// assert_eq!(Address::from_hex("4840d6").unwrap(), Address::new(0x4840D6));
    /// assert!(Address::from_hex("4840D").is_err());
    /// ```
    ///
    /// # Errors
    /// [`FrameError::AddressForm`] for anything else.
    pub fn from_hex(text: &str) -> Result<Self, FrameError> {
        if text.len() == 6 && text.bytes().all(|b| b.is_ascii_hexdigit()) {
            u32::from_str_radix(text, 16).map(Self).map_err(|_| FrameError::AddressForm)
        } else {
            Err(FrameError::AddressForm)
        }
    }

    /// Hexadecimal digits of an address.
    pub const DIGITS: usize = 6;

    /// Its six hexadecimal digits, written into `digits`.
    ///
    /// ```
    /// use squitterlab::Address;
    /// let mut digits = [0; Address::DIGITS];
    /// assert_eq!(Address::new(0x4840D6).encode_hex(&mut digits), "4840D6");
    /// ```
    pub fn encode_hex(self, digits: &mut [u8; Self::DIGITS]) -> &str {
        // There is room for two digits an octet, so it cannot fail.
        faster_hex::hex_encode_upper(&self.0.to_be_bytes()[1..], digits).map_or("", |digits| digits)
    }

    /// The 24 bits.
    ///
    /// ```
    /// let address: squitterlab::Address = "4840D6".parse().unwrap();
    /// assert_eq!(address.bits(), 0x4840D6);
    /// ```
    pub const fn bits(self) -> u32 {
        self.0
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.encode_hex(&mut [0; Self::DIGITS]))
    }
}

/// Why text is not a frame or an address.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum FrameError {
    /// Neither 14 nor 28 digits.
    #[error("{digits} hexadecimal digits; a frame has 14 (56 bits) or 28 (112 bits)")]
    Length {
        /// How many digits there were.
        digits: usize,
    },
    /// A character that is not a hexadecimal digit.
    #[error("character {at} is {found:?}; a frame has only the digits 0-9 and A-F")]
    Digit {
        /// Its place, from 1.
        at: usize,
        /// The character.
        found: char,
    },
    /// Not six hexadecimal digits.
    #[error("an aircraft address is exactly six hexadecimal digits")]
    AddressForm,
}

/// Bits `first` to `last` of something, both included, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First bit.
    pub first: u8,
    /// Last bit.
    pub last: u8,
}

impl Span {
    /// Bits `first` to `last`.
    ///
    /// ```
    /// use squitterlab::frame::Span;
    /// assert_eq!(Span::new(9, 32).to_string(), "9-32");
    /// ```
    pub const fn new(first: u8, last: u8) -> Self {
        Self { first, last }
    }

    /// How many bits.
    ///
    /// ```
    /// assert_eq!(squitterlab::frame::Span::new(9, 32).width(), 24);
    /// ```
    pub const fn width(self) -> u8 {
        self.last - self.first + 1
    }

    /// The same span counted from `by` bits earlier: message bits to frame bits is `shifted(32)`.
    ///
    /// ```
    /// use squitterlab::frame::Span;
    /// // Message bits 1 to 5 are frame bits 33 to 37.
    /// assert_eq!(Span::new(1, 5).shifted(32), Span::new(33, 37));
    /// ```
    #[must_use]
    pub const fn shifted(self, by: u8) -> Self {
        Self { first: self.first + by, last: self.last + by }
    }

    /// These bits as ones, in a pattern of `total` bits held in the low end of the word.
    ///
    /// ```
    /// assert_eq!(squitterlab::frame::Span::new(1, 5).mask(56), 0x1F << 51);
    /// ```
    pub const fn mask(self, total: u8) -> u128 {
        ((1u128 << self.width()) - 1) << (total - self.last)
    }

    /// These bits of a pattern of `total` bits; of more than 64 the last 64.
    ///
    /// ```
    /// assert_eq!(squitterlab::frame::Span::new(1, 5).of(17 << 107, 112), 17);
    /// ```
    #[inline]
    pub const fn of(self, pattern: u128, total: u8) -> u64 {
        (pattern >> (total - self.last)) as u64 & (u64::MAX >> 64u8.saturating_sub(self.width()))
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.first == self.last { write!(f, "{}", self.first) } else { write!(f, "{}-{}", self.first, self.last) }
    }
}

/// A frame of 56 or 112 bits, exactly as received. Short ones come before long ones, then the bits decide.
///
/// ```
/// use squitterlab::frame::Frame;
/// let frame: Frame = "8d4840d6202cc371c32ce0576098".parse().unwrap();
/// assert_eq!(frame.length(), 112);
/// assert_eq!(frame.downlink_format(), 17);
/// assert_eq!(frame.overlay(), 0);
/// assert_eq!(frame.to_string(), "8D4840D6202CC371C32CE0576098");
/// ```
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Frame {
    /// The length in eight bits, eight zeros, and the first 48 bits of a long frame.
    first: u64,
    /// The last 64 bits of a long frame, or eight zeros and a short one: both end in the same place, so what reads them
    /// need not ask how many there are.
    last: u64,
}

impl Frame {
    /// Hexadecimal digits of a long frame.
    pub const MOST_DIGITS: usize = 28;

    /// A frame of 56 bits.
    ///
    /// ```
    /// let frame = squitterlab::Frame::short([0x5D, 0x40, 0x6F, 0xDB, 0x0D, 0x62, 0xDD]);
    /// assert_eq!(frame.to_string(), "5D406FDB0D62DD");
    /// ```
    pub const fn short(octets: [u8; 7]) -> Self {
        let [a, b, c, d, e, f, g] = octets;
        Self { first: 56 << 56, last: u64::from_be_bytes([0, a, b, c, d, e, f, g]) }
    }

    /// A frame of 112 bits.
    ///
    /// ```
    /// let mut octets = [0; 14];
    /// octets[0] = 0x8D;
    /// assert_eq!(squitterlab::Frame::long(octets).downlink_format(), 17);
    /// ```
    pub const fn long(octets: [u8; 14]) -> Self {
        let [a, b, c, d, e, f, g, h, i, j, k, l, m, n] = octets;
        let first = u64::from_be_bytes([112, 0, a, b, c, d, e, f]);
        Self { first, last: u64::from_be_bytes([g, h, i, j, k, l, m, n]) }
    }

    /// The frame whose bits are in the low end of a word; `length` of 112 makes a long frame, anything else a short one.
    ///
    /// ```
    /// use squitterlab::Frame;
    /// assert_eq!(Frame::from_pattern(0x5D406FDB0D62DD, 56).to_string(), "5D406FDB0D62DD");
    /// ```
    pub const fn from_pattern(pattern: u128, length: u8) -> Self {
        let pattern =
            if length == 112 { 112 << 120 | pattern & ((1 << 112) - 1) } else { 56 << 120 | pattern & ((1 << 56) - 1) };
        Self { first: (pattern >> 64) as u64, last: pattern as u64 }
    }

    /// Reads 14 or 28 hexadecimal digits in any case.
    ///
    /// ```
    /// use squitterlab::Frame;
    /// assert_eq!(Frame::from_hex("5d406fdb0d62dd").unwrap().length(), 56);
    /// assert!(Frame::from_hex("5D406FDB0D62D").is_err());
    /// ```
    ///
    /// # Errors
    /// [`FrameError::Length`] and [`FrameError::Digit`] say what was found.
    pub fn from_hex(text: &str) -> Result<Self, FrameError> {
        if let Some(frame) = Self::from_digits(text.as_bytes()) {
            return Ok(frame);
        }
        Err(match text.chars().enumerate().find(|(_, c)| !c.is_ascii_hexdigit()) {
            Some((at, found)) => FrameError::Digit { at: at + 1, found },
            None => FrameError::Length { digits: text.len() },
        })
    }

    /// The same for octets of a stream, where all that counts is whether they are 14 or 28 hexadecimal digits.
    ///
    /// ```
    /// use squitterlab::Frame;
    /// assert!(Frame::from_digits(b"5D406FDB0D62DD").is_some());
    /// assert!(Frame::from_digits(b"5D406FDB0D62D").is_none());
    /// ```
    #[inline]
    pub fn from_digits(digits: &[u8]) -> Option<Self> {
        match digits.len() {
            14 => Self::from_short_digits(digits.try_into().ok()?),
            28 => Self::from_long_digits(digits.try_into().ok()?),
            _ => None,
        }
    }

    #[inline]
    pub(crate) fn from_long_digits(digits: &[u8; 28]) -> Option<Self> {
        // Sixteen digits are what the crate decodes at once.
        let first = sixteen_digits(digits.first_chunk()?)? >> 16;
        let last = sixteen_digits(digits.last_chunk()?)?;
        Some(Self { first: 112 << 56 | first, last })
    }

    #[inline]
    pub(crate) fn from_short_digits(digits: &[u8; 14]) -> Option<Self> {
        let mut padded = [b'0'; 16];
        padded[2..].copy_from_slice(digits);
        Some(Self { first: 56 << 56, last: sixteen_digits(&padded)? })
    }

    /// Its 14 or 28 hexadecimal digits, written into `digits`.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert!(frame.encode_hex(&mut [0; squitterlab::Frame::MOST_DIGITS]).starts_with("8D4840D6"));
    /// ```
    pub fn encode_hex<'a>(&self, digits: &'a mut [u8; Self::MOST_DIGITS]) -> &'a str {
        let (octets, first) = self.padded();
        let octets = &octets[first..];
        // There is room for two digits an octet, so it cannot fail.
        faster_hex::hex_encode_upper(octets, &mut digits[..octets.len() * 2]).map_or("", |digits| digits)
    }

    /// 56 or 112.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.length(), 112);
    /// ```
    #[inline]
    pub const fn length(self) -> u8 {
        (self.first >> 56) as u8
    }

    #[inline]
    const fn is_long(&self) -> bool {
        self.length() == 112
    }

    /// Its octets behind zeros, and where they begin.
    const fn padded(&self) -> ([u8; 16], usize) {
        (self.pattern().to_be_bytes(), 16 - self.length() as usize / 8)
    }

    /// The 7 or 14 octets.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.octets()[..4], [0x8D, 0x48, 0x40, 0xD6]);
    /// ```
    pub fn octets(&self) -> Vec<u8> {
        let (octets, first) = self.padded();
        octets[first..].to_vec()
    }

    /// Bit `bit`, counted from 1 as the standards do; one that is not there is 0.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!((frame.bit(1), frame.bit(2), frame.bit(113)), (true, false, false));
    /// ```
    pub const fn bit(&self, bit: u8) -> bool {
        bit != 0 && bit <= self.length() && self.pattern() >> (self.length() - bit) & 1 == 1
    }

    /// The bits in order of transmission: the standards' bit 1 comes first.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "5D406FDB0D62DD".parse().unwrap();
    /// assert!(frame.bits().take(5).eq([false, true, false, true, true]));
    /// ```
    pub fn bits(self) -> impl Iterator<Item = bool> {
        (1..=self.length()).map(move |bit| self.bit(bit))
    }

    /// The frame with bit `bit` (from 1) inverted; a bit that is not there changes nothing.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.flipped(1).to_string(), "0D4840D6202CC371C32CE0576098");
    /// ```
    #[must_use]
    pub const fn flipped(self, bit: u8) -> Self {
        if bit == 0 || bit > self.length() {
            return self;
        }
        Self::from_pattern(self.pattern() ^ 1 << (self.length() - bit), self.length())
    }

    /// All bits in the low end of a word.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.pattern(), 0x8D4840D6202CC371C32CE0576098);
    /// ```
    #[inline]
    pub const fn pattern(&self) -> u128 {
        ((self.first & ((1 << 48) - 1)) as u128) << 64 | self.last as u128
    }

    /// The first eight bits.
    #[inline]
    pub(crate) const fn first_octet(&self) -> u8 {
        if self.is_long() { (self.first >> 40) as u8 } else { (self.last >> 48) as u8 }
    }

    /// These bits as a number.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.field(squitterlab::frame::Span::new(9, 32)), 0x4840D6);
    /// ```
    #[inline]
    pub const fn field(&self, span: Span) -> u64 {
        span.of(self.pattern(), self.length())
    }

    /// Bits 33 to 88 of a long frame: the message field (ME, MV, MB). Zero in a short frame.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.message_field(), 0x202CC371C32CE0);
    /// ```
    #[inline]
    pub const fn message_field(&self) -> u64 {
        if self.is_long() { (self.pattern() >> PARITY_BITS) as u64 & ((1 << 56) - 1) } else { 0 }
    }

    /// Bits 9 to 32: the address announced, where the format has one in the clear.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.address_announced().to_string(), "4840D6");
    /// ```
    #[inline]
    pub const fn address_announced(&self) -> Address {
        Address::new(if self.is_long() { self.first >> 16 } else { self.last >> PARITY_BITS } as u32)
    }

    /// The downlink format: the first five bits, or 24 where the first two are ones.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.downlink_format(), 17);
    /// ```
    #[inline]
    #[doc(alias = "DF")]
    pub const fn downlink_format(&self) -> u8 {
        let first = if self.is_long() { self.first >> 43 } else { self.last >> 51 } as u8 & 31;
        if first >= 24 { 24 } else { first }
    }

    /// The last 24 bits, as received.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.parity_field(), 0x576098);
    /// ```
    #[inline]
    pub const fn parity_field(&self) -> u32 {
        self.last as u32 & 0xFF_FFFF
    }

    /// The parity of the bits before the last 24.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.parity(), frame.parity_field());
    /// ```
    #[inline]
    pub fn parity(&self) -> u32 {
        parity::of_block((self.pattern() >> PARITY_BITS).to_be_bytes())
    }

    /// What the parity was overlaid with: 0 in an intact squitter, an interrogator code in an all-call reply,
    /// the aircraft address in the formats with address/parity.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!((frame.overlay(), frame.with_overlay(5).overlay()), (0, 5));
    /// ```
    #[inline]
    pub fn overlay(&self) -> u32 {
        self.parity() ^ self.parity_field()
    }

    /// The frame with its last 24 bits made so that [`Frame::overlay`] is `overlay`.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// // As an all-call reply to interrogator 5 would be.
    /// assert_eq!(frame.with_overlay(5).overlay(), 5);
    /// ```
    #[must_use]
    pub fn with_overlay(mut self, overlay: u32) -> Self {
        let parity = (self.parity() ^ overlay) & 0xFF_FFFF;
        self.last = self.last >> PARITY_BITS << PARITY_BITS | u64::from(parity);
        self
    }
}

#[inline]
fn sixteen_digits(digits: &[u8; 16]) -> Option<u64> {
    let mut octets = [0; 8];
    faster_hex::hex_decode(digits, &mut octets).ok()?;
    Some(u64::from_be_bytes(octets))
}

impl std::str::FromStr for Frame {
    type Err = FrameError;

    fn from_str(text: &str) -> Result<Self, FrameError> {
        Self::from_hex(text)
    }
}

impl fmt::Display for Frame {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.encode_hex(&mut [0; Self::MOST_DIGITS]))
    }
}

impl fmt::Debug for Frame {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Frame({self})")
    }
}
