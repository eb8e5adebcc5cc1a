//! Downlink formats: the envelopes of messages, their tables, and the dispatch to a payload.

mod coordination;
mod encode;
mod formats;
mod pairs;
pub mod repair;
mod squitter;

pub use coordination::CoordinationReply;
pub use encode::{EncodeError, Encoded, encodable, encode_codes, encode_meanings};
pub use formats::{
    AllCall, CommBAltitude, CommBIdentity, CommD, ExtendedSquitter, ExtendedSquitterOther, LongAirAir, Military,
    ShortAirAir, SurveillanceAltitude, SurveillanceIdentity, UnassignedLong, UnassignedShort,
};
pub(crate) use pairs::combinations;
pub use pairs::{PAIRS, Pair, tables};
pub use squitter::Squitter;

use crate::code::table::{Derived, Entry, Row, Table, table};
use crate::code::{Altitude13, Bits, Meaning, Number, RegisterNumber, Version};
use crate::frame::{Address, Frame, PARITY_BITS, Span};
use crate::message::{Message, TargetStateOther};
use crate::register::{
    self,
    inference::{self, Opinion},
};

/// The table of every downlink format, in order of the format's number.
pub const FORMATS: [&Table; 13] = [
    ShortAirAir::TABLE,
    SurveillanceAltitude::TABLE,
    SurveillanceIdentity::TABLE,
    AllCall::TABLE,
    LongAirAir::TABLE,
    ExtendedSquitter::TABLE,
    ExtendedSquitterOther::TABLE,
    Military::TABLE,
    CommBAltitude::TABLE,
    CommBIdentity::TABLE,
    CommD::TABLE,
    UnassignedShort::TABLE,
    UnassignedLong::TABLE,
];

/// The key of the row whose place a payload's own rows take.
pub(crate) const PAYLOAD_KEY: &str = "message_field";
/// Message bit 1 is frame bit 33.
pub const PAYLOAD_OFFSET: u8 = 32;

table! {
    /// A message field that is kept whole.
    WholePayload: u64, 56 bits = "payload", "payload, kept whole",
    when "a message field whose layout the frame does not say",
    template 0;
    1..=28 data_1_28: Number<28>, "The payload as received, first half", "HM5";
    29..=56 data_29_56: Number<28>, "The payload as received, second half", "HM5";
}

/// What the last 24 bits say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[doc(alias("AP", "PI"))]
pub enum Parity {
    /// They are the parity of the bits before.
    Valid,
    /// They are neither the parity nor an overlay that the format allows.
    Invalid,
    /// Format 11 to an interrogator: parity overlaid with its code.
    Interrogator(InterrogatorCode),
    /// Address/parity: the overlay is the address, if the frame is intact; this frame alone cannot prove it.
    Overlaid,
}

impl Parity {
    /// The word in JSON.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.parity().key(), "valid");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::Valid => "valid",
            Self::Invalid => "invalid",
            Self::Interrogator(_) => "interrogator",
            Self::Overlaid => "overlaid",
        }
    }
}

/// Which interrogator an all-call reply answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[doc(alias("II", "SI"))]
pub enum InterrogatorCode {
    /// Interrogator identifier, 1 to 15.
    Ii(u8),
    /// Surveillance identifier, 1 to 63.
    Si(u8),
}

impl InterrogatorCode {
    /// The code behind an overlay of format 11; none for 0 (nobody), 16 and 80 or more (impossible).
    /// Overlays 1-15 are II codes, 17-79 are SI codes plus 16 (layout of CL and IC; the map from memory).
    ///
    /// ```
    /// use squitterlab::downlink::InterrogatorCode;
    /// assert_eq!(InterrogatorCode::from_overlay(5), Some(InterrogatorCode::Ii(5)));
    /// assert_eq!(InterrogatorCode::from_overlay(17), Some(InterrogatorCode::Si(1)));
    /// ```
    pub const fn from_overlay(overlay: u32) -> Option<Self> {
        match overlay {
            1..=15 => Some(Self::Ii(overlay as u8)),
            17..=79 => Some(Self::Si(overlay as u8 - 16)),
            _ => None,
        }
    }

    /// `"II"` or `"SI"`.
    ///
    /// ```
    /// assert_eq!(squitterlab::downlink::InterrogatorCode::Si(1).kind(), "SI");
    /// ```
    pub const fn kind(self) -> &'static str {
        match self {
            Self::Ii(_) => "II",
            Self::Si(_) => "SI",
        }
    }

    /// The number.
    ///
    /// ```
    /// assert_eq!(squitterlab::downlink::InterrogatorCode::Si(1).code(), 1);
    /// ```
    pub const fn code(self) -> u8 {
        match self {
            Self::Ii(code) | Self::Si(code) => code,
        }
    }
}

/// The 56 bits inside a long frame, with the table that reads them.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Payload {
    /// The table.
    pub table: &'static Table,
    /// The bits.
    pub bits: u64,
}

/// A row in its place in the frame, with its code.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Placed {
    /// Frame bits.
    pub span: Span,
    /// Message bits, for a row of the payload.
    pub message_span: Option<Span>,
    /// The row.
    pub row: &'static Row,
    /// Its key among the frame's codes: the row's own, unless the reply around a register has that key too.
    pub key: &'static str,
    /// The code.
    pub code: u64,
    /// The version whose layout the row belongs to, where it is that of one version only.
    pub version: Option<Version>,
}

/// How a frame says who sends it.
#[derive(Clone, Copy)]
enum Sender {
    /// Address in the clear, parity alone.
    HeardAddresses,
    /// The same where the application field is 0.
    InClearForApplication0,
    /// Address in the clear, parity overlaid with the interrogator's code.
    ToInterrogator,
    /// Parity overlaid with the address.
    Overlaid,
    /// Not at all.
    Unsaid,
}

/// How the frames of a format are read.
#[derive(Clone, Copy)]
struct Reading {
    table: &'static Table,
    sender: Sender,
}

impl Reading {
    const fn of(format: u8, length: u8) -> Self {
        let (table, sender) = match (format, length) {
            (0, 56) => (ShortAirAir::TABLE, Sender::Overlaid),
            (4, 56) => (SurveillanceAltitude::TABLE, Sender::Overlaid),
            (5, 56) => (SurveillanceIdentity::TABLE, Sender::Overlaid),
            (11, 56) => (AllCall::TABLE, Sender::ToInterrogator),
            (16, 112) => (LongAirAir::TABLE, Sender::Overlaid),
            (17, 112) => (ExtendedSquitter::TABLE, Sender::HeardAddresses),
            (18, 112) => (ExtendedSquitterOther::TABLE, Sender::HeardAddresses),
            (19, 112) => (Military::TABLE, Sender::InClearForApplication0),
            (20, 112) => (CommBAltitude::TABLE, Sender::Overlaid),
            (21, 112) => (CommBIdentity::TABLE, Sender::Overlaid),
            (24, 112) => (CommD::TABLE, Sender::Overlaid),
            (_, 56) => (UnassignedShort::TABLE, Sender::Unsaid),
            _ => (UnassignedLong::TABLE, Sender::Unsaid),
        };
        Self { table, sender }
    }

    /// Which format a frame has cannot be foreseen, so its reading is looked up.
    #[inline]
    fn of_frame(frame: &Frame) -> Self {
        static READINGS: [[Reading; 25]; 2] = [readings(56), readings(112)];
        READINGS[usize::from(frame.length() == 112)][usize::from(frame.downlink_format())]
    }
}

/// By the number of the format, for frames of this length.
const fn readings(length: u8) -> [Reading; 25] {
    let mut all = [Reading::of(1, length); 25];
    let mut format = 0;
    while format < all.len() {
        all[format] = Reading::of(format as u8, length);
        format += 1;
    }
    all
}

/// The table whose name a frame goes by: that of the payload in an extended squitter, else that of the format.
#[inline]
pub(crate) fn naming(envelope: &'static Table, payload: Option<&'static Table>) -> &'static Table {
    let is_squitter = || envelope == ExtendedSquitter::TABLE || envelope == ExtendedSquitterOther::TABLE;
    payload.filter(|payload| payload.message != "payload" && is_squitter()).unwrap_or(envelope)
}

/// What a frame may carry; none in short frames and in format 24.
#[inline]
fn pair(frame: &Frame) -> Option<&'static Pair> {
    if frame.length() == 112 { Pair::of(frame.first_octet()) } else { None }
}

/// What the last 24 bits of a frame say, and the aircraft address: in the clear, or recovered from address/parity.
///
/// ```
/// use squitterlab::downlink::{Parity, sender};
/// let (parity, address) = sender(&"5D406FDB0D62DD".parse().unwrap());
/// assert_eq!((parity, address.unwrap().to_string()), (Parity::Valid, "406FDB".to_owned()));
/// ```
#[inline]
pub fn sender(frame: &Frame) -> (Parity, Option<Address>) {
    sender_by(frame, frame.overlay())
}

/// The same where the overlay is known.
#[inline]
fn sender_by(frame: &Frame, overlay: u32) -> (Parity, Option<Address>) {
    let sender = Reading::of_frame(frame).sender;
    let overlaid = matches!(sender, Sender::Overlaid);
    let parity = if overlaid {
        Parity::Overlaid
    } else if overlay == 0 {
        Parity::Valid
    } else if matches!(sender, Sender::ToInterrogator) {
        InterrogatorCode::from_overlay(overlay).map_or(Parity::Invalid, Parity::Interrogator)
    } else {
        Parity::Invalid
    };
    let said = match sender {
        Sender::InClearForApplication0 => frame.field(Span::new(6, 8)) == 0,
        Sender::Unsaid => false,
        Sender::HeardAddresses | Sender::ToInterrogator | Sender::Overlaid => true,
    };
    let address = if overlaid { Address::new(overlay) } else { frame.address_announced() };
    (parity, said.then_some(address))
}

/// A frame with the tables that read it. Every frame has them.
///
/// ```
/// use squitterlab::downlink::{Decoded, Parity};
/// let decoded = Decoded::new("8D4840D6202CC371C32CE0576098".parse().unwrap());
/// assert_eq!(decoded.message(), "aircraft_identification");
/// assert_eq!(decoded.parity(), Parity::Valid);
/// assert_eq!(decoded.address().unwrap().to_string(), "4840D6");
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Decoded {
    /// The frame.
    pub(crate) frame: Frame,
    /// The table of its format.
    pub(crate) envelope: &'static Table,
    /// Its payload; none in short frames and in format 24.
    pub(crate) payload: Option<Payload>,
    /// The register that a Comm-B payload is read as, where the caller knows.
    pub(crate) register: Option<RegisterNumber>,
    /// The version in force for the sender of a squitter, where the caller knows: it chooses some layouts.
    pub(crate) version: Option<Version>,
    /// What the parity was overlaid with.
    overlay: u32,
}

impl Frame {
    /// The frame with the tables that read it. Every frame has them.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.decode().message(), "aircraft_identification");
    /// ```
    #[inline]
    pub fn decode(self) -> Decoded {
        Decoded::new(self)
    }
}

impl Decoded {
    /// Finds the tables of a frame.
    ///
    /// ```
    /// use squitterlab::Decoded;
    /// let decoded = Decoded::new("5D406FDB0D62DD".parse().unwrap());
    /// assert_eq!(decoded.message(), "all_call_reply");
    /// ```
    #[inline]
    pub fn new(frame: Frame) -> Self {
        let envelope = Reading::of_frame(&frame).table;
        let bits = frame.message_field();
        let payload = pair(&frame).map(|pair| Payload { table: pair.table(bits, None), bits });
        Self { frame, envelope, payload, register: None, version: None, overlay: frame.overlay() }
    }

    /// The frame.
    ///
    /// ```
    /// let frame: squitterlab::Frame = "8D4840D6202CC371C32CE0576098".parse().unwrap();
    /// assert_eq!(frame.decode().frame(), frame);
    /// ```
    #[inline]
    pub const fn frame(&self) -> Frame {
        self.frame
    }

    /// The table of its format.
    ///
    /// ```
    /// let decoded = "5D406FDB0D62DD".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.envelope().message, "all_call_reply");
    /// ```
    #[inline]
    pub const fn envelope(&self) -> &'static Table {
        self.envelope
    }

    /// Its payload: the bits, and the table that reads them; `None` for short frames and for format 24.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.payload().unwrap().bits, 0x202CC371C32CE0);
    /// ```
    #[inline]
    pub const fn payload(&self) -> Option<Payload> {
        self.payload
    }

    /// The register that [`Decoded::with_register`] reads a Comm-B payload as.
    ///
    /// ```
    /// let decoded = "A0001838CA380031440000F24177".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.register(), None);
    /// assert_eq!(decoded.with_register("1,7".parse().unwrap()).register().unwrap().to_string(), "1,7");
    /// ```
    #[inline]
    pub const fn register(&self) -> Option<RegisterNumber> {
        self.register
    }

    /// The version that [`Decoded::in_version`] reads a squitter in.
    ///
    /// ```
    /// use squitterlab::{Frame, Version};
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<Frame>().unwrap().decode();
    /// assert_eq!(decoded.in_version(Some(Version::Two)).version(), Some(Version::Two));
    /// ```
    #[inline]
    pub const fn version(&self) -> Option<Version> {
        self.version
    }

    /// What the envelope may carry; none in short frames and in format 24.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert!(decoded.pair().unwrap().is_as_squitter());
    /// ```
    #[inline]
    pub fn pair(&self) -> Option<&'static Pair> {
        pair(&self.frame)
    }

    /// Reads a squitter in the version that is in force for its sender; `None` while that is unknown. Other frames stay
    /// as they are.
    ///
    /// ```
    /// use squitterlab::{code::Version, downlink::Decoded};
    /// let decoded = Decoded::new("8DA05629F00000000000003E3D03".parse().unwrap());
    /// assert_eq!(decoded.message(), "reserved");
    /// assert_eq!(decoded.in_version(Some(Version::Zero)).message(), "operational_coordination");
    /// ```
    #[must_use]
    pub fn in_version(mut self, version: Option<Version>) -> Self {
        if let (Some(pair), Some(payload), None) = (self.pair(), &mut self.payload, self.register) {
            self.version = version;
            payload.table = pair.table(payload.bits, version);
        }
        self
    }

    /// Reads a squitter in a version that no source is held for: a target state, which each version that is held divides
    /// in its own way, stays whole. Other frames stay as they are.
    ///
    /// ```
    /// use squitterlab::downlink::Decoded;
    /// let decoded = Decoded::new("8DA05629EA000000000000000000".parse().unwrap());
    /// assert_eq!(decoded.title(), "target state and status, version 2");
    /// assert_eq!(decoded.in_version_not_held().title(), "target state and status, layout not held");
    /// ```
    #[must_use]
    pub fn in_version_not_held(self) -> Self {
        let mut read = self.in_version(None);
        if let (Some(payload), None) = (&mut read.payload, read.register)
            && payload.table.message == TargetStateOther::TABLE.message
        {
            payload.table = TargetStateOther::TABLE;
        }
        read
    }

    /// Versions in which the same bits are another message than the one that they are read as.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert!(decoded.other_layouts().is_empty());
    /// ```
    pub fn other_layouts(&self) -> Vec<(Version, &'static Table)> {
        let own = self.payload.map(|payload| payload.table);
        let read = Version::ALL.map(|version| (version, self.in_version(Some(version)).payload));
        read.into_iter()
            .filter_map(|(version, payload)| Some((version, payload?.table)))
            .filter(|(_, table)| own != Some(table))
            .collect()
    }

    /// Reads the payload of a Comm-B reply as this register. Other frames, and registers that are not divided here,
    /// stay as they are.
    ///
    /// ```
    /// let decoded = "A0001838CA380031440000F24177".parse::<squitterlab::Frame>().unwrap().decode();
    /// let decoded = decoded.with_register("1,7".parse().unwrap());
    /// assert_eq!(decoded.payload().unwrap().table.message, "register_1_7");
    /// ```
    #[must_use]
    pub fn with_register(mut self, number: RegisterNumber) -> Self {
        if let (Some(pair), Some(payload)) = (self.pair(), &mut self.payload)
            && pair.is_by_register()
        {
            self.register = Some(number);
            if let Some(table) = register::table(number, payload.bits) {
                payload.table = table;
            }
        }
        self
    }

    /// The message's name in JSON: that of the payload in an extended squitter, else that of the format.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.message(), "aircraft_identification");
    /// ```
    pub fn message(&self) -> &'static str {
        self.named().message
    }

    /// The message's name for people.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.title(), "aircraft identification");
    /// ```
    pub fn title(&self) -> &'static str {
        self.named().title
    }

    fn named(&self) -> &'static Table {
        naming(self.envelope, self.payload.map(|payload| payload.table))
    }

    /// The squitter's message field, taken apart; none for other frames and for other senders' layouts.
    ///
    /// ```
    /// use squitterlab::Message;
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// let Some(Message::AircraftIdentification(message)) = decoded.squitter() else { panic!() };
    /// assert_eq!(message.characters.to_string(), "KLM1023");
    /// ```
    #[inline]
    pub fn squitter(&self) -> Option<Message> {
        let laid_out = match self.frame.downlink_format() {
            17 => true,
            18 => matches!(self.frame.field(Span::new(6, 8)), 0 | 1),
            _ => false,
        };
        let payload = self.payload.filter(|_| laid_out)?;
        Some(Message::decode_in(payload.bits, self.version))
    }

    /// Pressure altitude of a reply, in feet: formats 0, 4, 16 and 20 carry it.
    ///
    /// ```
    /// let decoded = "A0001838CA380031440000F24177".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.altitude_ft(), Some(38_000));
    /// ```
    pub fn altitude_ft(&self) -> Option<i32> {
        match (self.frame.downlink_format(), self.frame.length()) {
            (0 | 4, 56) | (16 | 20, 112) => Altitude13::from_bits(self.frame.field(Span::new(20, 32))).feet(),
            _ => None,
        }
    }

    /// The register that the caller knows this reply to carry, weighed against its rules.
    ///
    /// ```
    /// let decoded = "A0001838CA380031440000F24177".parse::<squitterlab::Frame>().unwrap().decode();
    /// let decoded = decoded.with_register("2,0".parse().unwrap());
    /// assert!(!decoded.opinion().unwrap().obeys);
    /// ```
    pub fn opinion(&self) -> Option<Opinion> {
        inference::opinion(self.register?, self.payload?.bits, self.altitude_ft())
    }

    /// For a Comm-B reply whose register nobody named: every register whose rules its bits obey, the likeliest first.
    ///
    /// ```
    /// let decoded = "A0001838CA380031440000F24177".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.possible_registers().unwrap()[0].register.to_string(), "4,0");
    /// ```
    pub fn possible_registers(&self) -> Option<Vec<Opinion>> {
        match (self.frame.downlink_format(), self.payload, self.register) {
            (20 | 21, Some(payload), None) => Some(inference::infer(payload.bits, self.altitude_ft())),
            _ => None,
        }
    }

    /// What the last 24 bits say.
    ///
    /// ```
    /// use squitterlab::Parity;
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.parity(), Parity::Valid);
    /// ```
    pub fn parity(&self) -> Parity {
        sender_by(&self.frame, self.overlay).0
    }

    /// The aircraft address: in the clear, or recovered from address/parity.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.address().unwrap().to_string(), "4840D6");
    /// ```
    pub fn address(&self) -> Option<Address> {
        sender_by(&self.frame, self.overlay).1
    }

    /// Whether the frame proves its address: in the clear, parity without overlay.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert!(decoded.proves_address());
    /// ```
    pub fn proves_address(&self) -> bool {
        // In format 18 only control field 0 promises that the address is the sender's own.
        let of_another = self.frame.downlink_format() == 18 && self.frame.field(Span::new(6, 8)) != 0;
        self.parity() == Parity::Valid && self.address().is_some() && !of_another
    }

    /// What a key or field of the payload is called in this frame.
    fn payload_name(&self, own: &'static str) -> &'static str {
        self.pair().map_or(own, |pair| pair.name(own))
    }

    /// Every row in order of the bits, the payload's rows in the place of the whole payload.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// let rows = decoded.rows();
    /// assert_eq!((rows[0].key, rows[0].code), ("downlink_format", 17));
    /// ```
    pub fn rows(&self) -> Vec<Placed> {
        let pattern = self.overlaid_pattern();
        let mut rows = Vec::with_capacity(32);
        for row in self.envelope.rows {
            match &self.payload {
                Some(payload) if row.key == PAYLOAD_KEY => {
                    rows.extend(payload.table.rows.iter().map(|row| Placed {
                        span: row.span.shifted(PAYLOAD_OFFSET),
                        message_span: Some(row.span),
                        row,
                        key: self.payload_name(row.key),
                        code: payload.table.code(row, payload.bits.into()),
                        version: payload.table.version,
                    }));
                }
                _ => rows.push(Placed {
                    span: row.span,
                    message_span: None,
                    row,
                    key: row.key,
                    code: self.envelope.code(row, pattern),
                    version: None,
                }),
            }
        }
        rows
    }

    /// What the parity is overlaid with.
    pub(crate) fn overlay(&self) -> u32 {
        self.overlay
    }

    /// The bits that the codes of the envelope are taken from. Its last row is the parity, whose code is its overlay: with
    /// the bits before it gives the bits on the air, and it stays meaningful when those change.
    pub(crate) fn overlaid_pattern(&self) -> u128 {
        self.frame.pattern() >> PARITY_BITS << PARITY_BITS | u128::from(self.overlay)
    }

    /// The places of the frame where meanings are, each with its name in this frame and the bits that it reads: those of
    /// the envelope, then those of the payload.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert!(decoded.entries().any(|(name, ..)| name == "emitter_category"));
    /// ```
    pub fn entries(&self) -> impl Iterator<Item = (&'static str, Entry<'static>, u128)> {
        let envelope = self.envelope.entries().map(|entry| (entry.field(), entry, self.frame.pattern()));
        let payload = self.payload.into_iter().flat_map(move |payload| {
            payload.table.entries().map(move |entry| (self.payload_name(entry.field()), entry, payload.bits.into()))
        });
        envelope.chain(payload)
    }

    /// Every meaning in this version: envelope, payload, and what is derived from them.
    ///
    /// ```
    /// use squitterlab::Version;
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// let fields = decoded.fields(Version::Two);
    /// let (_, meaning) = fields.iter().find(|(name, _)| *name == "aircraft_identification").unwrap();
    /// assert_eq!(meaning.value, "KLM1023");
    /// assert_eq!(meaning.text, "\"KLM1023\"");
    /// ```
    pub fn fields(&self, version: Version) -> Vec<(&'static str, Meaning)> {
        let meaning = |(name, entry, pattern): (_, Entry<'_>, _)| Some((name, entry.meaning(pattern, version)?));
        self.entries().filter_map(meaning).collect()
    }

    /// The derived meanings, each with its name in this frame, the pattern that it reads and the version of its layout.
    ///
    /// ```
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.derived().next().unwrap().0, "emitter_category");
    /// ```
    pub fn derived(&self) -> impl Iterator<Item = (&'static str, &'static Derived, u128, Option<Version>)> {
        let envelope = self.envelope.derived.iter().map(|derived| (derived.field, derived, self.frame.pattern(), None));
        let payload = self.payload.into_iter().flat_map(move |payload| {
            let named = move |derived: &'static Derived| {
                (self.payload_name(derived.field), derived, payload.bits.into(), payload.table.version)
            };
            payload.table.derived.iter().map(named)
        });
        envelope.chain(payload)
    }

    /// How much of what this frame says under the name of a meaning only memory supports, in words; `None` if pages
    /// support all of it.
    ///
    /// ```
    /// // The identification is on published pages.
    /// let decoded = "8D4840D6202CC371C32CE0576098".parse::<squitterlab::Frame>().unwrap().decode();
    /// assert_eq!(decoded.memory_of("emitter_category", squitterlab::Version::Two), None);
    /// ```
    pub fn memory_of(&self, name: &str, version: Version) -> Option<&'static str> {
        let is_it = |placed: &Placed| {
            let own = placed.row.field;
            own.is_some_and(|own| name == if placed.message_span.is_some() { self.payload_name(own) } else { own })
        };
        if let Some(placed) = self.rows().into_iter().find(is_it) {
            return placed.row.memory();
        }
        let (_, derived, pattern, own) = self.derived().find(|(known, ..)| *known == name)?;
        let payload = self.payload.map(|payload| payload.table);
        let table = [Some(self.envelope), payload].into_iter().flatten();
        let mut table = table.filter(|table| table.derived.iter().any(|each| std::ptr::eq(each, derived)));
        table.next()?.memory_of(derived, pattern, own.unwrap_or(version))
    }
}
