//! Register 2,1: registration marking and airline.

use super::part::{bit, of, parts};
use crate::code::table::table;
use crate::code::{Characters, Flag};

table! {
    /// Register 2,1: registration marking and airline.
    RegistrationRegister: u64, 56 bits = "register_2_1", "register 2,1, aircraft and airline registration",
    when "register 2,1",
    template 0;
    1..=1 registration_status: Flag, "Whether the registration holds", "memory";
    2..=43 registration: Characters<42>, "Registration, seven characters of six bits", "memory";
    44..=44 airline_status: Flag, "Whether the airline code holds", "memory";
    45..=56 airline: Characters<12>, "Airline code, two characters of six bits", "memory";
    derived [REGISTRATION, AIRLINE]
}

parts! {
    REGISTRATION = "registration", "Registration marking", status bit(1), 2..=43, of::<Characters<42>>();
    AIRLINE = "airline", "Airline code of two characters", status bit(44), 45..=56, of::<Characters<12>>();
}
