//! Register 0,7: status of the extended squitter.

use super::inference::Weigher;
use crate::code::table::table;
use crate::code::{Reserved, SquitterAltitude, SquitterRate};

table! {
    /// Register 0,7: status of the extended squitter.
    SquitterStatus: u64, 56 bits = "register_0_7", "register 0,7, extended squitter status",
    when "register 0,7",
    template 0;
    1..=2 squitter_rate: SquitterRate => "squitter_rate", "Rate of the surface squitter (TRS)", "D67 D249";
    3..=3 squitter_altitude: SquitterAltitude => "squitter_altitude", "Which altitude the squitter carries (ATS)", "D67 D249";
    4..=56 reserved_4_56: Reserved<53>, "Reserved", "D67";
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    w.odd(w.field(1, 2) == 3, || "rate 3 is reserved".to_owned());
}
