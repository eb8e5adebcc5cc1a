//! What people and programs read: text, JSON, bit rulers, worked steps; all from the field tables, for any message.

pub mod address;
pub mod altitude;
pub mod by_version;
pub mod card;
pub mod draft;
pub mod drawing;
pub mod glossary;
#[cfg(feature = "lab")]
pub mod html;
pub mod identity;
pub mod json;
mod json_values;
#[cfg(feature = "lab")]
pub mod markdown;
pub mod on_air;
pub mod parity_repair;
pub mod readback;
pub mod reference;
pub mod ruler;
pub mod run_form;
#[cfg(feature = "cli")]
pub mod schema;
pub mod sheet;
pub mod table;
pub mod text;
mod track_output;
pub mod verdict;
pub mod watch;
pub mod worked;

/// Said wherever frames are made or judged.
pub const CAUTIONS: &[&str] = &[
    "Never radiate test data: nothing here belongs in a transmitter.",
    "Test on a direct coupling or under a shield, by rated people; tell air traffic control, and go to standby between steps.",
    "This is not a release to service.",
    "\"Not seen\" is never \"right\"; what was received is not all that was transmitted.",
    "Local rules, the approved data and the State's register win.",
];
