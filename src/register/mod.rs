//! Comm-B registers: 56 bits that a ground station asks for by number, one file per register (one for registers that
//! share their layout).
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
mod position_coarse;
mod position_fine;
mod quantity;
mod registration;
mod resolution_advisory;
mod specific_services;
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
pub use specific_services::{SpecificServices1, SpecificServices2, SpecificServices3};
pub use squitter_status::SquitterStatus;
pub use track_and_turn::TrackAndTurn;
pub use unit_numbers::{AcasSoftware, AcasType, TransponderSoftware, TransponderType};
pub use vertical_intention::VerticalIntention;
pub use vhf_channels::VhfChannels;
pub use weather_hazard::WeatherHazard;
pub use weather_routine::WeatherRoutine;

use crate::code::RegisterNumber;
use crate::code::table::{Row, Table, same_text};
use crate::message::Message;
use inference::Weigher;
use quantity::Quantity;

/// What there is to a register, beside its table.
#[derive(Clone, Copy)]
struct Register {
    number: RegisterNumber,
    table: &'static Table,
    /// The quantities that are read from several rows.
    quantities: &'static [Quantity],
    /// The bits that have to be zero.
    zeros: u64,
    /// What only this register forbids.
    rules: fn(&mut Weigher),
    /// How its quantities go together.
    together: fn(&mut Weigher),
}

impl Register {
    const fn new(number: u8, table: &'static Table) -> Self {
        let (mut zeros, mut at) = (0, 0);
        while at < table.rows.len() {
            if table.rows[at].is_reserved() {
                zeros |= table.rows[at].span.mask(56) as u64;
            }
            at += 1;
        }
        let number = RegisterNumber::new(number);
        Self { number, table, quantities: &[], zeros, rules: |_| (), together: |_| () }
    }

    const fn quantities(self, quantities: &'static [Quantity]) -> Self {
        Self { quantities, ..self }
    }

    /// The same where equipment is known to fill this reserved row.
    const fn filled(self, row: &Row) -> Self {
        Self { zeros: self.zeros & !(row.span.mask(56) as u64), ..self }
    }

    const fn rules(self, rules: fn(&mut Weigher)) -> Self {
        Self { rules, ..self }
    }

    const fn together(self, together: fn(&mut Weigher)) -> Self {
        Self { together, ..self }
    }

    /// Whether its bits begin with its own number.
    const fn names_itself(&self) -> bool {
        same_text(self.table.rows[0].key, "register_number")
    }
}

/// Every register that is divided into fields here. Those that the squitter fills are in [`SQUITTER`].
const REGISTERS: &[Register] = &[
    Register::new(0x07, SquitterStatus::TABLE).rules(squitter_status::rules),
    Register::new(0x10, DataLinkCapability::TABLE).rules(data_link_capability::rules),
    // Bits 25 to 29 differ between editions.
    Register::new(0x17, CommonUsage::TABLE).filled(&CommonUsage::reserved_25_29).rules(common_usage::rules),
    Register::new(0x18, Installed1::TABLE),
    Register::new(0x19, Installed2::TABLE),
    Register::new(0x1A, Installed3::TABLE),
    Register::new(0x1B, Installed4::TABLE),
    Register::new(0x1C, Installed5::TABLE),
    Register::new(0x1D, SpecificServices1::TABLE),
    Register::new(0x1E, SpecificServices2::TABLE),
    Register::new(0x1F, SpecificServices3::TABLE),
    Register::new(0x20, AircraftIdentificationRegister::TABLE).rules(aircraft_identification::rules),
    Register::new(0x21, RegistrationRegister::TABLE).quantities(registration::QUANTITIES).rules(registration::rules),
    Register::new(0x22, AntennaPositions::TABLE).quantities(antenna_positions::QUANTITIES),
    // The bits that were kept for ACAS III have a rule of their own.
    Register::new(0x30, ActiveResolutionAdvisory::TABLE)
        .filled(&ActiveResolutionAdvisory::reserved_16_22)
        .rules(resolution_advisory::rules),
    Register::new(0x40, VerticalIntention::TABLE).quantities(vertical_intention::QUANTITIES),
    Register::new(0x41, NextWaypoint::TABLE).quantities(next_waypoint::QUANTITIES).rules(next_waypoint::rules),
    Register::new(0x42, NextWaypointPosition::TABLE).quantities(next_waypoint_position::QUANTITIES),
    Register::new(0x43, NextWaypointInformation::TABLE).quantities(next_waypoint_information::QUANTITIES),
    Register::new(0x44, WeatherRoutine::TABLE).quantities(weather_routine::QUANTITIES).rules(weather_routine::rules),
    Register::new(0x45, WeatherHazard::TABLE).quantities(weather_hazard::QUANTITIES),
    Register::new(0x48, VhfChannels::TABLE).quantities(vhf_channels::QUANTITIES),
    Register::new(0x50, TrackAndTurn::TABLE).quantities(track_and_turn::QUANTITIES).together(track_and_turn::together),
    Register::new(0x51, PositionCoarse::TABLE)
        .quantities(position_coarse::QUANTITIES)
        .together(position_coarse::together),
    Register::new(0x52, PositionFine::TABLE).quantities(position_fine::QUANTITIES),
    Register::new(0x53, AirReferencedState::TABLE)
        .quantities(air_referenced_state::QUANTITIES)
        .together(Weigher::mach_and_airspeed),
    Register::new(0x60, HeadingAndSpeed::TABLE)
        .quantities(heading_and_speed::QUANTITIES)
        .together(Weigher::mach_and_airspeed),
    Register::new(0xE3, TransponderType::TABLE).rules(unit_numbers::rules),
    Register::new(0xE4, TransponderSoftware::TABLE).rules(unit_numbers::rules),
    Register::new(0xE5, AcasType::TABLE).rules(unit_numbers::rules),
    Register::new(0xE6, AcasSoftware::TABLE).rules(unit_numbers::rules),
    Register::new(0xF1, MilitaryReplies::TABLE).quantities(military_replies::QUANTITIES),
    Register::new(0xF2, MilitarySquitters::TABLE)
        .quantities(military_squitters::QUANTITIES)
        .rules(military_squitters::rules),
];

/// The same by number, with the table of each.
pub const TABLES: &[(RegisterNumber, &Table)] = &{
    let mut all = [(REGISTERS[0].number, REGISTERS[0].table); REGISTERS.len()];
    let mut at = 0;
    while at < all.len() {
        all[at] = (REGISTERS[at].number, REGISTERS[at].table);
        at += 1;
    }
    all
};

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
///
/// ```
/// use squitterlab::register::table;
/// assert_eq!(table("5,0".parse().unwrap(), 0).unwrap().message, "register_5_0");
/// assert!(table("F,F".parse().unwrap(), 0).is_none());
/// ```
pub fn table(number: RegisterNumber, bits: u64) -> Option<&'static Table> {
    if SQUITTER.contains(&number) {
        return Some(Message::decode(bits).table());
    }
    of_number(number).map(|register| register.table)
}

fn of_number(number: RegisterNumber) -> Option<&'static Register> {
    REGISTERS.iter().find(|register| register.number == number)
}
