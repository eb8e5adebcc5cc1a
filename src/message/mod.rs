//! Extended squitter messages: the 56 bits of the message field, one file per message.

mod acas_resolution_advisory;
mod airborne_position;
mod airborne_velocity;
mod aircraft_identification;
mod aircraft_status;
pub mod ground_station;
mod no_position;
mod opaque;
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

pub use acas_resolution_advisory::AcasResolutionAdvisory;
pub use airborne_position::AirbornePosition;
pub use airborne_velocity::{AirborneVelocityAir, AirborneVelocityGround};
pub use aircraft_identification::AircraftIdentification;
pub use aircraft_status::AircraftStatus;
pub use no_position::NoPosition;
pub use opaque::{
    OperationalCoordination, ReservedMessage, SurfaceSystemStatus, TargetStateOther, TrajectoryChangePoint,
};
pub use operational_status::{
    OperationalStatusAirborne, OperationalStatusAirborneVersion1, OperationalStatusAirborneVersion3,
    OperationalStatusOther, OperationalStatusSurface, OperationalStatusSurfaceVersion1,
    OperationalStatusSurfaceVersion3, OperationalStatusVersion0,
};
pub use rebroadcast::AirbornePositionRebroadcast;
pub use surface_position::SurfacePosition;
pub use target_state::TargetState;
pub use target_state_version_1::TargetStateVersion1;
pub use test_message::{Test, TestModeA};
pub use tis_b_coarse_position::TisBCoarsePosition;
pub use tis_b_position::{TisBAirbornePosition, TisBSurfacePosition};
pub use tis_b_velocity::{TisBVelocityAir, TisBVelocityAirGeometric, TisBVelocityGround, TisBVelocityGroundGeometric};

use crate::code::table::Table;
use crate::code::{Bits, Version, VersionNumber};

/// Lists the messages once: the enum, and what is the same for each.
macro_rules! messages {
    ($( $name:ident ),+ $(,)?) => {
        /// A message field, taken apart.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[non_exhaustive]
        pub enum Message {
            $( #[doc = concat!("See [`", stringify!($name), "`].")] $name($name), )+
        }

        /// Which message it is.
        #[derive(Clone, Copy)]
        enum Kind { $( $name ),+ }

        $(
            impl From<$name> for Message {
                fn from(message: $name) -> Self {
                    Self::$name(message)
                }
            }
        )+

        impl Kind {
            fn take_apart(self, bits: u64) -> Message {
                match self {
                    $( Self::$name => Message::$name($name::from_bits(bits)), )+
                }
            }
        }

        impl Message {
            /// The table of every message.
            pub const TABLES: &'static [&'static Table] = &[$( $name::TABLE ),+];

            /// The table of this message.
            ///
            /// ```
            /// use squitterlab::Message;
            /// assert_eq!(Message::decode(0x202CC371C32CE0).table().message, "aircraft_identification");
            /// ```
            pub const fn table(&self) -> &'static Table {
                match self {
                    $( Self::$name(_) => $name::TABLE, )+
                }
            }

            /// The 56 bits that the message came from.
            ///
            /// ```
            /// assert_eq!(squitterlab::Message::decode(0x202CC371C32CE0).bits(), 0x202CC371C32CE0);
            /// ```
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
    OperationalStatusVersion0, OperationalStatusAirborneVersion3, OperationalStatusSurfaceVersion3,
    OperationalStatusOther, ReservedMessage,
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
        Kind::of(bits, in_force).take_apart(bits)
    }

    /// The table of the message that these bits are, without taking them apart.
    ///
    /// ```
    /// use squitterlab::message::Message;
    /// assert_eq!(Message::table_in(29 << 51, None).title, "target state and status, version 1");
    /// ```
    #[inline]
    pub fn table_in(bits: u64, in_force: Option<Version>) -> &'static Table {
        Self::TABLES[Kind::of(bits, in_force) as usize]
    }

    /// The version that an operational status says; none for other messages.
    ///
    /// ```
    /// use squitterlab::{Message, code::Bits};
    /// let status = Message::decode(31 << 51 | 2 << 13);
    /// assert_eq!(status.version_number().unwrap().bits(), 2);
    /// assert!(Message::decode(0).version_number().is_none());
    /// ```
    pub fn version_number(&self) -> Option<VersionNumber> {
        // The number stands in the same place in every version's layout.
        (self.table().message == OperationalStatusOther::TABLE.message)
            .then(|| OperationalStatusOther::from_bits(self.bits()).version_number)
    }
}

impl Kind {
    /// Type code and subtype are the first eight bits, and decide for all but the operational status. They are looked up,
    /// since no branch on them can be foreseen.
    #[inline]
    fn of(bits: u64, in_force: Option<Version>) -> Self {
        let version = in_force.map_or(0, |version| 1 + usize::from(version.number()));
        let first = (bits >> 48) as u8;
        match KINDS[version][usize::from(first)] {
            Self::OperationalStatusOther => Self::of_operational_status(bits),
            kind => kind,
        }
    }

    /// An operational status says itself in which version it is laid out.
    fn of_operational_status(bits: u64) -> Self {
        match (OperationalStatusOther::from_bits(bits).version_number.bits(), bits >> 48 & 7) {
            (0, 0) => Self::OperationalStatusVersion0,
            (1, 0) => Self::OperationalStatusAirborneVersion1,
            (1, 1) => Self::OperationalStatusSurfaceVersion1,
            (2, 0) => Self::OperationalStatusAirborne,
            (2, 1) => Self::OperationalStatusSurface,
            (3, 0) => Self::OperationalStatusAirborneVersion3,
            (3, 1) => Self::OperationalStatusSurfaceVersion3,
            _ => Self::OperationalStatusOther,
        }
    }

    const fn of_first(type_code: u8, subtype: u8, in_force: Option<Version>) -> Self {
        use Version::{One, Three, Two, Zero};
        match (type_code, subtype, in_force) {
            (0, ..) => Self::NoPosition,
            (1..=4, ..) => Self::AircraftIdentification,
            (5..=8, ..) => Self::SurfacePosition,
            (9..=18 | 20..=22, ..) => Self::AirbornePosition,
            (19, 1 | 2, _) => Self::AirborneVelocityGround,
            (19, 3 | 4, _) => Self::AirborneVelocityAir,
            (23, 0, _) => Self::Test,
            (23, 7, None | Some(One)) => Self::TestModeA,
            // Version 1 reserves type code 24 (Doc 9871 draft, page 166).
            (24, 1, None | Some(Zero | Two | Three)) => Self::SurfaceSystemStatus,
            (28, 1, _) => Self::AircraftStatus,
            // Version 0 reserves every subtype from 2 up (Annex 10 III, Amendment 77).
            (28, 2, None | Some(One | Two | Three)) => Self::AcasResolutionAdvisory,
            (29, _, Some(Zero)) => Self::TrajectoryChangePoint,
            // The subtype of a target state has two bits, and says whose layout it is.
            (29, 0 | 1, _) => Self::TargetStateVersion1,
            (29, 2 | 3, _) => Self::TargetState,
            (29, ..) => Self::TargetStateOther,
            (30, _, Some(Zero)) => Self::OperationalCoordination,
            (31, ..) => Self::OperationalStatusOther,
            _ => Self::ReservedMessage,
        }
    }
}

/// What the first eight bits make of a message: while the version in force is unknown, then in each version.
static KINDS: [[Kind; 256]; 1 + Version::ALL.len()] = [
    kinds(None),
    kinds(Some(Version::Zero)),
    kinds(Some(Version::One)),
    kinds(Some(Version::Two)),
    kinds(Some(Version::Three)),
];

const fn kinds(in_force: Option<Version>) -> [Kind; 256] {
    let mut kinds = [Kind::ReservedMessage; 256];
    let mut first = 0;
    while first < kinds.len() {
        kinds[first] = Kind::of_first(first as u8 >> 3, first as u8 & 7, in_force);
        first += 1;
    }
    kinds
}
