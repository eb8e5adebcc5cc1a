//! Extended squitter messages: the 56 bits of the message field, one file a message.

mod acas_resolution_advisory;
mod airborne_position;
mod airborne_velocity;
mod aircraft_identification;
mod aircraft_status;
pub mod ground_station;
mod no_position;
mod operational_status;
pub mod position;
mod rebroadcast;
mod surface_position;
mod target_state;
mod target_state_version_1;
mod test_message;
mod tis_b_coarse_position;
mod tis_b_position;
mod tis_b_velocity;
mod undivided;

pub use acas_resolution_advisory::AcasResolutionAdvisory;
pub use airborne_position::AirbornePosition;
pub use airborne_velocity::{AirborneVelocityAir, AirborneVelocityGround};
pub use aircraft_identification::AircraftIdentification;
pub use aircraft_status::AircraftStatus;
pub use no_position::NoPosition;
pub use operational_status::{
    OperationalStatusAirborne, OperationalStatusAirborneVersion1, OperationalStatusOther, OperationalStatusSurface,
    OperationalStatusSurfaceVersion1, OperationalStatusVersion0,
};
pub use rebroadcast::AirbornePositionRebroadcast;
pub use surface_position::SurfacePosition;
pub use target_state::TargetState;
pub use target_state_version_1::TargetStateVersion1;
pub use test_message::{Test, TestModeA};
pub use tis_b_coarse_position::TisBCoarsePosition;
pub use tis_b_position::{TisBAirbornePosition, TisBSurfacePosition};
pub use tis_b_velocity::{TisBVelocityAir, TisBVelocityAirGeometric, TisBVelocityGround, TisBVelocityGroundGeometric};
pub use undivided::{
    OperationalCoordination, ReservedMessage, SurfaceSystemStatus, TargetStateOther, TrajectoryChangePoint,
};

use crate::code::table::Table;
use crate::code::{Bits, Version, VersionNumber};

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
    AirborneVelocityAir, Test, TestModeA, SurfaceSystemStatus, AircraftStatus, AcasResolutionAdvisory, TargetState,
    TargetStateVersion1, TargetStateOther, TrajectoryChangePoint, OperationalCoordination, OperationalStatusAirborne,
    OperationalStatusSurface, OperationalStatusAirborneVersion1, OperationalStatusSurfaceVersion1,
    OperationalStatusVersion0, OperationalStatusOther, ReservedMessage,
}

impl Message {
    /// Takes a message field apart while the version in force is unknown: what its own bits say decides.
    ///
    /// ```
    /// use squitterlab::message::Message;
    /// let Message::AircraftIdentification(message) = Message::decode(0x202CC371C32CE0) else { panic!() };
    /// assert_eq!(message.characters.to_string(), "KLM1023");
    /// ```
    #[inline]
    pub fn decode(bits: u64) -> Self {
        Self::decode_in(bits, None)
    }

    /// Takes a message field apart in the version that is in force for its sender, where that is known. Every pattern
    /// is some message in every version: what nobody assigned is [`ReservedMessage`].
    ///
    /// ```
    /// use squitterlab::{code::Version, message::Message};
    /// let bits = 29 << 51;
    /// assert!(matches!(Message::decode_in(bits, None), Message::TargetStateVersion1(_)));
    /// assert!(matches!(Message::decode_in(bits, Some(Version::Zero)), Message::TrajectoryChangePoint(_)));
    /// ```
    #[inline]
    pub fn decode_in(bits: u64, in_force: Option<Version>) -> Self {
        use Version::{One, Two, Zero};
        let (type_code, subtype) = (bits >> 51 & 31, bits >> 48 & 7);
        match (type_code, subtype, in_force) {
            (0, ..) => Self::NoPosition(NoPosition::from_bits(bits)),
            (1..=4, ..) => Self::AircraftIdentification(AircraftIdentification::from_bits(bits)),
            (5..=8, ..) => Self::SurfacePosition(SurfacePosition::from_bits(bits)),
            (9..=18 | 20..=22, ..) => Self::AirbornePosition(AirbornePosition::from_bits(bits)),
            (19, 1 | 2, _) => Self::AirborneVelocityGround(AirborneVelocityGround::from_bits(bits)),
            (19, 3 | 4, _) => Self::AirborneVelocityAir(AirborneVelocityAir::from_bits(bits)),
            (23, 0, _) => Self::Test(Test::from_bits(bits)),
            (23, 7, None | Some(One)) => Self::TestModeA(TestModeA::from_bits(bits)),
            // Version 1 reserves type code 24 (Doc 9871 draft, page 166).
            (24, 1, None | Some(Zero | Two)) => Self::SurfaceSystemStatus(SurfaceSystemStatus::from_bits(bits)),
            (28, 1, _) => Self::AircraftStatus(AircraftStatus::from_bits(bits)),
            // Version 0 reserves every subtype from 2 up (Annex 10 III, Amendment 77).
            (28, 2, None | Some(One | Two)) => Self::AcasResolutionAdvisory(AcasResolutionAdvisory::from_bits(bits)),
            (29, _, Some(Zero)) => Self::TrajectoryChangePoint(TrajectoryChangePoint::from_bits(bits)),
            // The subtype of a target state has two bits, and says whose layout it is.
            (29, 0 | 1, _) => Self::TargetStateVersion1(TargetStateVersion1::from_bits(bits)),
            (29, 2 | 3, _) => Self::TargetState(TargetState::from_bits(bits)),
            (29, ..) => Self::TargetStateOther(TargetStateOther::from_bits(bits)),
            (30, _, Some(Zero)) => Self::OperationalCoordination(OperationalCoordination::from_bits(bits)),
            (31, ..) => Self::operational_status(bits, subtype),
            _ => Self::ReservedMessage(ReservedMessage::from_bits(bits)),
        }
    }

    /// An operational status says itself in which version it is laid out.
    fn operational_status(bits: u64, subtype: u64) -> Self {
        match (OperationalStatusOther::from_bits(bits).version_number.bits(), subtype) {
            (0, 0) => Self::OperationalStatusVersion0(OperationalStatusVersion0::from_bits(bits)),
            (1, 0) => Self::OperationalStatusAirborneVersion1(OperationalStatusAirborneVersion1::from_bits(bits)),
            (1, 1) => Self::OperationalStatusSurfaceVersion1(OperationalStatusSurfaceVersion1::from_bits(bits)),
            (2, 0) => Self::OperationalStatusAirborne(OperationalStatusAirborne::from_bits(bits)),
            (2, 1) => Self::OperationalStatusSurface(OperationalStatusSurface::from_bits(bits)),
            _ => Self::OperationalStatusOther(OperationalStatusOther::from_bits(bits)),
        }
    }

    /// The version that an operational status says; none for other messages.
    pub fn version_number(&self) -> Option<VersionNumber> {
        // The number stands in the same place in every version's layout.
        (self.table().message == OperationalStatusOther::TABLE.message)
            .then(|| OperationalStatusOther::from_bits(self.bits()).version_number)
    }
}
