//! The lists of the target state of version 1 (type code 29, subtype 0; Doc 9871 draft, pages 148 to 150 and 320).

use super::enumeration::enumeration;

enumeration! {
    /// Where the target altitude comes from.
    VerticalSource(u8: 2) AsText,
    0 = "none", "no target altitude";
    1 = "panel", "mode control panel or flight control unit";
    2 = "holding_altitude", "holding the present altitude";
    3 = "flight_management", "flight management or area navigation";
}

impl VerticalSource {
    /// No target altitude.
    pub const NONE: Self = Self(0);
    /// The panel.
    pub const PANEL: Self = Self(1);
}

enumeration! {
    /// What the target altitude counts from.
    TargetAltitudeType(u8: 1) AsText,
    0 = "pressure_altitude", "flight level, 1013.25 hPa";
    1 = "mean_sea_level", "mean sea level, corrected for the barometric setting";
}

enumeration! {
    /// Which target altitudes the aircraft can tell.
    AltitudeCapability(u8: 2) AsNumber,
    0 = "holding", "the altitude being held only";
    1 = "holding_or_panel", "the altitude being held, or that of the autopilot panel";
    2 = "holding_panel_or_flight_management", "the altitude being held, or that of the panel or of the flight management";
}

enumeration! {
    /// How far the aircraft is with its target (horizontal mode from memory: as vertical).
    TargetMode(u8: 2) AsText,
    0 = "unknown", "not known";
    1 = "acquiring", "acquiring the target";
    2 = "maintaining", "capturing or maintaining the target";
    3 = "reserved", "reserved";
}

enumeration! {
    /// Where the target heading or track comes from (2 and 3 from memory).
    HorizontalSource(u8: 2) AsText,
    0 = "none", "no target heading or track";
    1 = "panel", "mode control panel or flight control unit";
    2 = "maintaining", "maintaining the present heading or track";
    3 = "flight_management", "flight management or area navigation";
}

impl HorizontalSource {
    /// No target heading or track.
    pub const NONE: Self = Self(0);
    /// The panel.
    pub const PANEL: Self = Self(1);
}

enumeration! {
    /// Whether the target direction is a heading or a track.
    TargetDirection(u8: 1) AsText,
    0 = "heading", "heading";
    1 = "track", "track";
}

enumeration! {
    /// Which trajectory change reports the aircraft sends.
    TrajectoryChange(u8: 2) AsNumber,
    0 = "none", "none";
    1 = "next", "the next point only";
    2 = "several", "several points";
}
