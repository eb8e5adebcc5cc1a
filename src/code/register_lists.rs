//! Lists that only Comm-B registers carry.

use super::enumeration::enumeration;

enumeration! {
    /// Rate of the squitter that the transmission rate subfield asks for (register 0,7).
    SquitterRate(u8: 2) AsText,
    0 = "no_capability", "no capability to determine the rate of the surface squitter";
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
enumeration! {
    /// What an antenna is for (register 2,2).
    AntennaKind(u8: 3) AsNumber,
    0 = "invalid", "invalid";
    1 = "mode_s_bottom", "Mode S, bottom";
    2 = "mode_s_top", "Mode S, top";
    3 = "gnss", "GNSS";
}

enumeration! {
    /// Version of the Mode S subnetwork (register 1,0).
    SubnetworkVersion(u8: 7) AsNumber,
    0 = "not_available", "no Mode S subnetwork";
    1 = "doc_9688_1996", "Doc 9688 (1996)";
    2 = "doc_9688_1998", "Doc 9688 (1998)";
    3 = "annex_10_amendment_77", "Annex 10 Volume III, Amendment 77";
    4 = "doc_9871_edition_1", "Doc 9871 edition 1, DO-181D, ED-73C";
    5 = "doc_9871_edition_2", "Doc 9871 edition 2, DO-181E, ED-73E";
}
enumeration! {
    /// How much the uplink of extended length messages carries (register 1,0).
    UplinkThroughput(u8: 3) AsNumber,
    0 = "none", "none";
    1 = "16_segments_in_1_s", "16 segments in 1 s";
    2 = "16_segments_in_500_ms", "16 segments in 500 ms";
    3 = "16_segments_in_250_ms", "16 segments in 250 ms";
    4 = "16_segments_in_125_ms", "16 segments in 125 ms";
    5 = "16_segments_in_60_ms", "16 segments in 60 ms";
    6 = "16_segments_in_30_ms", "16 segments in 30 ms";
}
enumeration! {
    /// How much the downlink of extended length messages carries (register 1,0).
    DownlinkThroughput(u8: 4) AsNumber,
    0 = "none", "none";
    1 = "4_segments_in_1_s", "4 segments in 1 s";
    2 = "8_segments_in_1_s", "8 segments in 1 s";
    3 = "16_segments_in_1_s", "16 segments in 1 s";
    4 = "16_segments_in_500_ms", "16 segments in 500 ms";
    5 = "16_segments_in_250_ms", "16 segments in 250 ms";
    6 = "16_segments_in_125_ms", "16 segments in 125 ms";
}
enumeration! {
    /// Standard of the collision avoidance: bits 39 and 40 of register 1,0 as sent, where bit 40 is the higher one.
    AcasStandard(u8: 2) AsText,
    0 = "do_185", "DO-185, before ACAS";
    1 = "do_185b", "DO-185B, ED-143";
    2 = "do_185a", "DO-185A";
    3 = "reserved", "reserved";
}
