//! The formats around messages, and the squitter that is a format alone.

use super::{Layer, Sending, convert, fill, layer, moved, rows, transmission, typed};
use crate::downlink::{AllCall, CommBAltitude, ExtendedSquitter};
use crate::onair::Stream;
use crate::onair::conversions::{capability, capability_tells, either_state, same};
use crate::onair::unit::Unit;

/// Around every squitter of 112 bits.
pub(super) const SQUITTER: Layer = layer! {
    ExtendedSquitter, flight |unit| Ok(ExtendedSquitter {
        capability: unit.state(),
        ..ExtendedSquitter::from_bits(ExtendedSquitter::TABLE.template)
    });
    row capability <- [mode_s_level, air_ground_kind] with capability => Equal, seen_if(capability_tells), alike(either_state);
    row address <- [address] as same => Equal;
};

/// Around every register that is requested with an altitude.
pub(super) const COMM_B: Layer = layer! {
    CommBAltitude, flight |unit| Ok(CommBAltitude {
        flight_status: unit.flight_status(),
        altitude: unit.altitude()?.with_metric_bit(),
        ..CommBAltitude::from_bits(CommBAltitude::TABLE.template)
    }), unsettled Unit::unsettled_flight_status;
};

transmission! {
    /// All-call reply that nobody asked for
    ACQUISITION_SQUITTER: alone, versions 0 to 3, Either, Sending::Every(Stream::Acquisition),
    if "the unit sends acquisition squitters" |unit| unit.profile.acquisition_squitter.get() != Some(&false);
    AllCall, flight |unit| Ok(AllCall {
        capability: unit.state(),
        ..AllCall::from_bits(AllCall::TABLE.template as u64)
    });
    row capability <- [mode_s_level, air_ground_kind] with capability => Equal, seen_if(capability_tells), alike(either_state);
    row address <- [address] as same => Equal;
}
