//! Comm-B registers: 56 bits that a ground station asks for by number, one file a register (one for registers that share
//! their layout).
//!
//! A reply does not say which register it carries: [`inference`] lists the ones whose rules its bits obey.

mod air_referenced_state;
mod aircraft_identification;
mod antenna_positions;
mod common_usage;
mod data_link_capability;
mod heading_and_speed;
pub mod inference;
mod installed;
mod military_replies;
mod military_squitters;
mod next_waypoint;
mod next_waypoint_information;
mod next_waypoint_position;
mod part;
mod position_coarse;
mod position_fine;
mod registration;
mod resolution_advisory;
mod squitter_status;
mod track_and_turn;
mod unit_numbers;
mod vertical_intention;
mod vhf_channels;
mod weather_hazard;
mod weather_routine;

pub use air_referenced_state::AirReferencedState;
pub use aircraft_identification::AircraftIdentificationRegister;
pub use antenna_positions::AntennaPositions;
pub use common_usage::{CommonUsage, usage_bit};
pub use data_link_capability::DataLinkCapability;
pub use heading_and_speed::HeadingAndSpeed;
pub use installed::{Installed1, Installed2, Installed3, Installed4, Installed5};
pub use military_replies::MilitaryReplies;
pub use military_squitters::MilitarySquitters;
pub use next_waypoint::NextWaypoint;
pub use next_waypoint_information::NextWaypointInformation;
pub use next_waypoint_position::NextWaypointPosition;
pub use position_coarse::PositionCoarse;
pub use position_fine::PositionFine;
pub use registration::RegistrationRegister;
pub use resolution_advisory::ActiveResolutionAdvisory;
pub use squitter_status::SquitterStatus;
pub use track_and_turn::TrackAndTurn;
pub use unit_numbers::{AcasSoftware, AcasType, TransponderSoftware, TransponderType};
pub use vertical_intention::VerticalIntention;
pub use vhf_channels::VhfChannels;
pub use weather_hazard::WeatherHazard;
pub use weather_routine::WeatherRoutine;

use crate::code::RegisterNumber;
use crate::code::table::Table;
use crate::message::Message;
use part::Part;

/// Lists the registers once: number, type, and the quantities behind status bits.
macro_rules! registers {
    ($( $number:literal $name:ident $(: $module:ident)?; )+) => {
        /// Every register that is divided into fields here, with its number. Those that the squitter fills are in
        /// [`SQUITTER`], and read with the squitter's own tables.
        pub const TABLES: &[(RegisterNumber, &Table)] = &[
            $( (RegisterNumber::new($number), $name::TABLE), )+
        ];

        const PARTS: &[(RegisterNumber, &[Part])] = &[
            $( $( (RegisterNumber::new($number), $module::PARTS), )? )+
        ];
    };
}

registers! {
    0x07 SquitterStatus;
    0x10 DataLinkCapability;
    0x17 CommonUsage;
    0x18 Installed1;
    0x19 Installed2;
    0x1A Installed3;
    0x1B Installed4;
    0x1C Installed5;
    0x20 AircraftIdentificationRegister;
    0x21 RegistrationRegister: registration;
    0x22 AntennaPositions: antenna_positions;
    0x30 ActiveResolutionAdvisory;
    0x40 VerticalIntention: vertical_intention;
    0x41 NextWaypoint: next_waypoint;
    0x42 NextWaypointPosition: next_waypoint_position;
    0x43 NextWaypointInformation: next_waypoint_information;
    0x44 WeatherRoutine: weather_routine;
    0x45 WeatherHazard: weather_hazard;
    0x48 VhfChannels: vhf_channels;
    0x50 TrackAndTurn: track_and_turn;
    0x51 PositionCoarse: position_coarse;
    0x52 PositionFine: position_fine;
    0x53 AirReferencedState: air_referenced_state;
    0x60 HeadingAndSpeed: heading_and_speed;
    0xE3 TransponderType;
    0xE4 TransponderSoftware;
    0xE5 AcasType;
    0xE6 AcasSoftware;
    0xF1 MilitaryReplies: military_replies;
    0xF2 MilitarySquitters: military_squitters;
}

/// The registers that the extended squitter is sent from: their bits are a squitter's message field. 0,A holds the last
/// event-driven message (from memory).
pub const SQUITTER: [RegisterNumber; 8] = [
    RegisterNumber::new(0x05),
    RegisterNumber::new(0x06),
    RegisterNumber::new(0x08),
    RegisterNumber::new(0x09),
    RegisterNumber::new(0x0A),
    RegisterNumber::new(0x61),
    RegisterNumber::new(0x62),
    RegisterNumber::new(0x65),
];

/// The table that reads these bits as this register, if it is divided here.
pub fn table(number: RegisterNumber, bits: u64) -> Option<&'static Table> {
    if SQUITTER.contains(&number) {
        return Some(Message::decode(bits).table());
    }
    TABLES.iter().find(|(register, _)| *register == number).map(|(_, table)| *table)
}

fn parts(number: RegisterNumber) -> &'static [Part] {
    PARTS.iter().find(|(register, _)| *register == number).map_or(&[], |(_, parts)| *parts)
}
