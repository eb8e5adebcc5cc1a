//! Register 2,1: registration marking and airline.

use super::inference::{Weigher, assigned};
use super::quantity::{of, quantities};
use crate::code::table::table;
use crate::code::{Bits, Characters, Flag};

table! {
    /// Register 2,1: registration marking and airline.
    RegistrationRegister: u64, 56 bits = "register_2_1", "register 2,1, aircraft and airline registration",
    when "register 2,1",
    template 0;
    1..=1 registration_status: Flag, "Whether the registration holds", "memory";
    2..=43 registration: Characters<42>, "Registration, seven characters of six bits", "memory";
    44..=44 airline_status: Flag, "Whether the airline code holds", "memory";
    45..=56 airline: Characters<12>, "Airline code, two characters of six bits", "memory";
    derived of Self::DERIVED
}

quantities! {
    RegistrationRegister;
    "registration", "Registration marking", if registration_status, registration, of::<Characters<42>>();
    "airline", "Airline code of two characters", if airline_status, airline, of::<Characters<12>>();
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    if w.is_set(1) {
        assigned(w, Characters::<42>::from_bits(w.field(2, 43)).is_assigned(), 7.0, "registration");
    }
    if w.is_set(44) {
        assigned(w, Characters::<12>::from_bits(w.field(45, 56)).is_assigned(), 2.0, "airline code");
    }
}
