//! Extended squitter messages: the 56 bits of the message field, one file a message.

mod airborne_position;
mod airborne_velocity;
mod aircraft_identification;
mod aircraft_status;
mod no_position;
mod operational_status;
pub mod position;
mod surface_position;
mod target_state;
mod undivided;

pub use airborne_position::AirbornePosition;
pub use airborne_velocity::{AirborneVelocityAir, AirborneVelocityGround};
pub use aircraft_identification::AircraftIdentification;
pub use aircraft_status::AircraftStatus;
pub use no_position::NoPosition;
pub use operational_status::{OperationalStatusAirborne, OperationalStatusSurface};
pub use surface_position::SurfacePosition;
pub use target_state::TargetState;
pub use undivided::{
    AcasResolutionAdvisory, OperationalStatusOther, ReservedMessage, SurfaceSystemStatus, TargetStateOther, Test,
};

use crate::code::table::Table;

/// Lists the messages once: the enum, and what is the same for each.
macro_rules! messages {
    ($( $name:ident ),+ $(,)?) => {
        /// A message field, taken apart.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Message {
            $( #[doc = concat!("See [`", stringify!($name), "`].")] $name($name), )+
        }

        impl Message {
            /// The table of every message.
            pub const TABLES: &'static [&'static Table] = &[$( $name::TABLE ),+];

            /// The table of this message.
            pub const fn table(&self) -> &'static Table {
                match self {
                    $( Self::$name(_) => $name::TABLE, )+
                }
            }

            /// The 56 bits that the message came from.
            pub fn bits(&self) -> u64 {
                match self {
                    $( Self::$name(message) => message.bits(), )+
                }
            }
        }
    };
}

messages! {
    NoPosition, AircraftIdentification, SurfacePosition, AirbornePosition, AirborneVelocityGround,
    AirborneVelocityAir, Test, SurfaceSystemStatus, AircraftStatus, AcasResolutionAdvisory, TargetState, TargetStateOther,
    OperationalStatusAirborne, OperationalStatusSurface, OperationalStatusOther, ReservedMessage,
}

impl Message {
    /// Takes a message field apart. Every pattern is some message: what nobody assigned is [`ReservedMessage`].
    ///
    /// ```
    /// use squitterlab::message::Message;
    /// let Message::AircraftIdentification(message) = Message::decode(0x202CC371C32CE0) else { panic!() };
    /// assert_eq!(message.characters.to_string(), "KLM1023");
    /// ```
    #[inline]
    pub fn decode(bits: u64) -> Self {
        let (type_code, subtype, version) = (bits >> 51 & 31, bits >> 48 & 7, bits >> 13 & 7);
        match (type_code, subtype, version) {
            (0, ..) => Self::NoPosition(NoPosition::from_bits(bits)),
            (1..=4, ..) => Self::AircraftIdentification(AircraftIdentification::from_bits(bits)),
            (5..=8, ..) => Self::SurfacePosition(SurfacePosition::from_bits(bits)),
            (9..=18 | 20..=22, ..) => Self::AirbornePosition(AirbornePosition::from_bits(bits)),
            (19, 1 | 2, _) => Self::AirborneVelocityGround(AirborneVelocityGround::from_bits(bits)),
            (19, 3 | 4, _) => Self::AirborneVelocityAir(AirborneVelocityAir::from_bits(bits)),
            (23, ..) => Self::Test(Test::from_bits(bits)),
            (24, 1, _) => Self::SurfaceSystemStatus(SurfaceSystemStatus::from_bits(bits)),
            (28, 1, _) => Self::AircraftStatus(AircraftStatus::from_bits(bits)),
            (28, 2, _) => Self::AcasResolutionAdvisory(AcasResolutionAdvisory::from_bits(bits)),
            (29, 2 | 3, _) => Self::TargetState(TargetState::from_bits(bits)),
            (29, ..) => Self::TargetStateOther(TargetStateOther::from_bits(bits)),
            (31, 0, 2) => Self::OperationalStatusAirborne(OperationalStatusAirborne::from_bits(bits)),
            (31, 1, 2) => Self::OperationalStatusSurface(OperationalStatusSurface::from_bits(bits)),
            (31, ..) => Self::OperationalStatusOther(OperationalStatusOther::from_bits(bits)),
            _ => Self::ReservedMessage(ReservedMessage::from_bits(bits)),
        }
    }
}
