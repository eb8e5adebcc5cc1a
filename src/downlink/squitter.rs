//! Builds whole frames with right parity from messages and replies: what the tables of the formats leave to the sender.

use super::{
    AllCall, CommBAltitude, CommBIdentity, CommD, ExtendedSquitter, ExtendedSquitterOther, LongAirAir, Military,
    ShortAirAir, SurveillanceAltitude, SurveillanceIdentity, UnassignedLong, UnassignedShort,
};
use crate::code::{Bits, Capability, Number, Overlay};
use crate::frame::{Address, Frame};
use crate::message::Message;

/// The extended squitters of one transponder (format 17): a message goes in, a whole frame with right parity comes out.
///
/// ```
/// use squitterlab::code::{Capability, EmitterCategory};
/// use squitterlab::downlink::Squitter;
/// use squitterlab::message::AircraftIdentification;
/// let category: EmitterCategory = "A1".parse().unwrap();
/// let message = AircraftIdentification::new(category, "N47QX".parse().unwrap());
/// let frame = Squitter::new("A5C035".parse().unwrap()).with_capability(Capability::AIRBORNE).frame(message);
/// assert_eq!((frame.downlink_format(), frame.overlay()), (17, 0));
/// assert_eq!(frame.address_announced().to_string(), "A5C035");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[doc(alias("ADS-B", "DF17"))]
pub struct Squitter {
    address: Address,
    capability: Capability,
}

impl Squitter {
    /// The squitters of this address, from an airborne transponder of level 2 or above.
    ///
    /// ```
    /// use squitterlab::downlink::Squitter;
    /// use squitterlab::message::Message;
    /// let frame = Squitter::new("4840D6".parse().unwrap()).frame(Message::decode(0x202CC371C32CE0));
    /// assert_eq!(frame.to_string(), "8D4840D6202CC371C32CE0576098");
    /// ```
    pub const fn new(address: Address) -> Self {
        Self { address, capability: Capability::AIRBORNE }
    }

    /// The same with another capability.
    ///
    /// ```
    /// use squitterlab::{code::Capability, downlink::Squitter, message::Message};
    /// let on_ground = Squitter::new("4840D6".parse().unwrap()).with_capability(Capability::ON_GROUND);
    /// assert!(on_ground.frame(Message::decode(0)).to_string().starts_with("8C4840D6"));
    /// ```
    #[must_use]
    pub const fn with_capability(self, capability: Capability) -> Self {
        Self { capability, ..self }
    }

    /// The frame that carries a message.
    ///
    /// ```
    /// use squitterlab::{downlink::Squitter, message::Message};
    /// let frame = Squitter::new("4840D6".parse().unwrap()).frame(Message::decode(0x202CC371C32CE0));
    /// assert_eq!(frame.decode().message(), "aircraft_identification");
    /// ```
    pub fn frame(self, message: impl Into<Message>) -> Frame {
        ExtendedSquitter {
            downlink_format: Number::from_bits(17),
            capability: self.capability,
            address: self.address,
            message_field: Number::from_bits(message.into().bits()),
            parity_overlay: Overlay::from_bits(0),
        }
        .frame()
    }
}

/// What every format has: a frame on one side, its fields on the other, where the last field is what the parity is overlaid
/// with.
macro_rules! envelopes {
    ($( $name:ident $length:literal; )+) => {
        $(
            impl $name {
                /// The frame with these fields: its last 24 bits are the parity of those before, overlaid with
                /// `parity_overlay`.
                ///
                /// ```
                #[doc = concat!("use squitterlab::{downlink::", stringify!($name), ", frame::Frame};")]
                #[doc = concat!("let frame = Frame::from_pattern(0x123456789ABCDEF0123456789ABC, ", $length, ");")]
                #[doc = concat!("assert_eq!(", stringify!($name), "::read(&frame).frame(), frame);")]
                /// ```
                pub fn frame(&self) -> Frame {
                    Frame::from_pattern(u128::from(self.bits()), $length).with_overlay(self.parity_overlay.bits() as u32)
                }

                /// The fields of a frame, where `parity_overlay` is what the parity is overlaid with: 0 in an intact
                /// squitter, the address in a reply.
                ///
                /// ```
                #[doc = concat!("use squitterlab::{code::Bits, downlink::", stringify!($name), ", frame::Frame};")]
                #[doc = concat!("let frame = Frame::from_pattern(0, ", $length, ").with_overlay(0x4840D6);")]
                #[doc = concat!("assert_eq!(", stringify!($name), "::read(&frame).parity_overlay.bits(), 0x4840D6);")]
                /// ```
                pub fn read(frame: &Frame) -> Self {
                    let overlay = Overlay::from_bits(frame.overlay().into());
                    // A frame of the other length keeps the bits that there is room for.
                    Self { parity_overlay: overlay, ..Self::from_bits(frame.pattern() as _) }
                }
            }
        )+
    };
}

envelopes! {
    ShortAirAir 56;
    SurveillanceAltitude 56;
    SurveillanceIdentity 56;
    AllCall 56;
    LongAirAir 112;
    ExtendedSquitter 112;
    ExtendedSquitterOther 112;
    Military 112;
    CommBAltitude 112;
    CommBIdentity 112;
    CommD 112;
    UnassignedShort 56;
    UnassignedLong 112;
}

/// What the formats with address/parity have: the aircraft that sends them is in the overlay.
macro_rules! replies {
    ($( $name:ident; )+) => {
        $(
            impl $name {
                /// The frame that an aircraft of this address sends: parity overlaid with the address.
                ///
                /// ```
                #[doc = concat!("use squitterlab::downlink::", stringify!($name), ";")]
                #[doc = concat!("let pattern = ", stringify!($name), "::TABLE.template;")]
                #[doc = concat!("let reply = ", stringify!($name), "::from_bits(pattern as _);")]
                /// let frame = reply.from_address("4840D6".parse().unwrap());
                /// assert_eq!(frame.decode().address().unwrap().to_string(), "4840D6");
                /// ```
                pub fn from_address(self, address: Address) -> Frame {
                    Self { parity_overlay: Overlay::from_bits(address.bits().into()), ..self }.frame()
                }
            }
        )+
    };
}

replies! {
    ShortAirAir;
    SurveillanceAltitude;
    SurveillanceIdentity;
    LongAirAir;
    CommBAltitude;
    CommBIdentity;
    CommD;
}
