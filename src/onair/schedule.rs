//! How often each message goes out when nothing changes.

use super::{Emission, When};

/// The longest time between two frames of this kind, in seconds, with every one received; none for replies.
///
/// Mean rates: handbook, ADS-B part, chapter 1. Limits around them: from memory of Annex 10 Volume IV 3.1.2.8.6.
/// On the ground the figure is that of a parked aircraft.
pub fn longest_interval_s(emission: &Emission) -> Option<f64> {
    if emission.asked_by.is_some() {
        return None;
    }
    let parked = emission.when == When::OnGround;
    Some(match (emission.table.message, parked) {
        ("airborne_position" | "airborne_velocity", _) | ("no_position", false) => 0.6,
        ("aircraft_identification", true) => 10.2,
        ("aircraft_identification" | "aircraft_status" | "surface_position", _)
        | ("operational_status" | "no_position", true) => 5.2,
        ("operational_status", false) => 2.6,
        ("target_state_and_status", _) => 1.3,
        // The acquisition squitter.
        _ => 1.2,
    })
}
