//! Lists that only Comm-B registers carry.

use super::enumeration::enumeration;

enumeration! {
    /// Rate of the squitter that the transmission rate subfield asks for (register 0,7).
    SquitterRate(u8: 2) AsText,
    0 = "no_capability", "no capability to tell the rate of the surface squitter";
    1 = "high", "high rate";
    2 = "low", "low rate";
    3 = "reserved", "reserved";
}
enumeration! {
    /// Which altitude the squitter carries (register 0,7).
    SquitterAltitude(u8: 1) AsText,
    0 = "barometric", "pressure altitude";
    1 = "gnss_height", "geometric (GNSS) height";
}
enumeration! {
    /// Where the target altitude comes from (register 4,0).
    TargetAltitudeSource(u8: 2) AsText,
    0 = "unknown", "unknown";
    1 = "aircraft_altitude", "the aircraft's altitude";
    2 = "mcp_fcu_selected_altitude", "altitude selected on the mode control panel";
    3 = "fms_selected_altitude", "altitude selected by the flight management";
}
enumeration! {
    /// What the weather report rests on (register 4,4).
    WeatherSource(u8: 4) AsText,
    0 = "invalid", "invalid";
    1 = "inertial", "inertial navigation";
    2 = "gnss", "GNSS";
    3 = "dme_dme", "DME/DME";
    4 = "vor_dme", "VOR/DME";
}
enumeration! {
    /// How bad a weather hazard is (registers 4,4 and 4,5; the words of Doc 4444).
    HazardLevel(u8: 2) AsText,
    0 = "nil", "nil";
    1 = "light", "light";
    2 = "moderate", "moderate";
    3 = "severe", "severe";
}
enumeration! {
    /// Who listens to a VHF channel (register 4,8).
    AudioStatus(u8: 2) AsText,
    0 = "unknown", "unknown";
    1 = "nobody", "nobody";
    2 = "headphones", "headphones only";
    3 = "loudspeaker", "loudspeaker";
}
enumeration! {
    /// How a unit's number is written (registers E,3 to E,6).
    UnitNumberFormat(u8: 2) AsText,
    0 = "part_number", "twelve decimal digits of four bits";
    1 = "characters", "eight characters of six bits";
    2 = "reserved", "reserved";
    3 = "reserved_3", "reserved";
}
