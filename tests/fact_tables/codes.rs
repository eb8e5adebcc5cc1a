//! The code tables that are lists: where the code stands, the field, and what each code says (`|` between words of which
//! one will do). Every code of the field is listed or falls under `rest`.

use super::{Reading, mentions};
use std::collections::BTreeSet;

/// What is read; first and last bit; field; the source; `code words` a line each, the last one may be `rest words`.
type List = (&'static str, (u8, u8), &'static str, &'static str, &'static str);

const FLIGHT_STATUS: &str = "
    0 no alert, no ident, airborne
    1 no alert, no ident, on the ground
    2 alert, no ident, airborne
    3 alert, no ident, on the ground
    4 alert and ident, airborne or on the ground
    5 no alert, ident, airborne or on the ground
    6 reserved
    7 not assigned";
const DOWNLINK_REQUEST: &str = "
    0 no downlink request
    1 comm-b message waiting
    2 acas information available
    3 acas information and comm-b
    4 broadcast message 1
    5 broadcast message 2
    6 acas information and broadcast message 1
    7 acas information and broadcast message 2
    16 1 comm-d segment
    17 2 comm-d segments
    24 9 comm-d segments
    31 16 comm-d segments
    segments 18-30
    rest not assigned";
const RESERVATION: &str = "
    0 no reservation
    1 comm-b
    2 comm-c
    3 comm-d";
const CAPABILITY: &str = "
    0 level 1
    1 reserved level 2
    2 reserved level 3
    3 reserved level 4
    4 level 2 or above ground
    5 level 2 or above airborne
    6 level 2 or above ground airborne
    7 downlink request alert ident";
const REPLY_INFORMATION: &str = "
    0 no operating
    1 not assigned
    2 resolution inhibited
    3 vertical resolution
    4 vertical and horizontal resolution
    5 not assigned
    6 not assigned
    7 not assigned
    8 no maximum cruise true airspeed
    9 up to 75 kt
    10 above 75 up to 150 kt
    11 above 150 up to 300 kt
    12 above 300 up to 600 kt
    13 above 600 up to 1200 kt
    14 above 1200 kt
    15 not assigned";
const SENSITIVITY: &str = "
    0 inoperative
    1 level 1
    2 level 2
    3 level 3
    4 level 4
    5 level 5
    6 level 6
    7 level 7";
const AIR_OR_GROUND: &str = "
    0 airborne
    1 on the ground";
const SURVEILLANCE_STATUS: &str = "
    0 no condition
    1 permanent alert emergency
    2 temporary alert mode a code changed
    3 ident";
const EMERGENCY: &str = "
    0 no emergency
    1 general emergency
    2 lifeguard medical
    3 minimum fuel
    4 no communications
    5 unlawful interference
    6 downed aircraft
    7 reserved";
/// EPU limits, the same in versions 1 and 2.
const NACP_VERSION_2: &str = "
    0 10 nm or more unknown
    1 below 10 nm
    2 below 4 nm
    3 below 2 nm
    4 below 1 nm
    5 below 0.5 nm (926 m)
    6 below 0.3 nm (556 m)
    7 below 0.1 nm (185 m)
    8 below 0.05 nm (93 m)
    9 below 30 m
    10 below 10 m
    11 below 3 m
    rest reserved";
const NACV: &str = "
    0 10 m/s or more unknown
    1 below 10 m/s
    2 below 3 m/s
    3 below 1 m/s
    4 below 0.3 m/s
    rest reserved";
const SIL_VERSION_2: &str = "
    0 unknown more than 1e-3
    1 at most 1e-3
    2 at most 1e-5
    3 at most 1e-7";
// Versions before 2 bound the vertical error as well.
const NACP_VERSION_1: &str = "
    0 10 nm or more unknown
    1 below 10 nm
    2 below 4 nm
    3 below 2 nm
    4 below 1 nm
    5 below 0.5 nm
    6 below 0.3 nm
    7 below 0.1 nm
    8 below 0.05 nm
    9 below 30 m, vertical below 45 m
    10 below 10 m, vertical below 15 m
    11 below 3 m, vertical below 4 m
    rest reserved";
const NACV_VERSION_1: &str = "
    0 unknown
    1 below 10 m/s, vertical 15.2 m/s 50 ft/s
    2 below 3 m/s, vertical 4.6 m/s 15 ft/s
    3 below 1 m/s, vertical 1.5 m/s 5 ft/s
    4 below 0.3 m/s, vertical 0.46 m/s 1.5 ft/s
    rest reserved";
const SIL_VERSION_1: &str = "
    0 unknown
    1 at most 1e-3, vertical 1e-3
    2 at most 1e-5, vertical 1e-5
    3 at most 1e-7, vertical 2e-7 150 s sample";
const SDA: &str = "
    0 unknown no safety effect
    1 minor 1e-3
    2 major 1e-5
    3 hazardous 1e-7";
const VERSION: &str = "
    0 do-260
    1 do-260a
    2 do-260b
    3 do-260c
    rest version not supported no source is held";
const PER: &str = "
    0 per flight hour
    1 per sample";
const YES_NO: &str = "
    0 no
    1 yes";

const AIRBORNE: &str = "ME F8000000004000";
const SURFACE: &str = "ME F9000000004000";
const AIRBORNE_1: &str = "ME F8000000002000 v1";
const SURFACE_1: &str = "ME F9000000002000 v1";

#[rustfmt::skip]
const LISTS: &[List] = &[
    // Downlink formats: handbook, Mode S part, chapters 2 to 4; Annex 10 IV, page 39; DR 2, 3, 6 to 31 and RI 8 to 15
    // from memory.
    ("DF 20", (6, 8), "flight_status", "HB-3", FLIGHT_STATUS),
    ("DF 28", (6, 8), "flight_status", "HB-3", FLIGHT_STATUS),
    ("DF A0", (6, 8), "flight_status", "HB-3", FLIGHT_STATUS),
    ("DF A8", (6, 8), "flight_status", "HB-3", FLIGHT_STATUS),
    ("DF 20", (9, 13), "downlink_request", "HB-3 M", DOWNLINK_REQUEST),
    ("DF 28", (9, 13), "downlink_request", "HB-3 M", DOWNLINK_REQUEST),
    ("DF A0", (9, 13), "downlink_request", "HB-3 M", DOWNLINK_REQUEST),
    ("DF A8", (9, 13), "downlink_request", "HB-3 M", DOWNLINK_REQUEST),
    ("DF 20", (18, 19), "reservation", "HB-3", RESERVATION),
    ("DF 28", (18, 19), "reservation", "HB-3", RESERVATION),
    ("DF A0", (18, 19), "reservation", "HB-3", RESERVATION),
    ("DF A8", (18, 19), "reservation", "HB-3", RESERVATION),
    ("DF 58", (6, 8), "capability", "HB-2 HB-A1 M", CAPABILITY),
    ("DF 88", (6, 8), "capability", "HB-2 HB-A1 M", CAPABILITY),
    ("DF 00", (6, 6), "vertical_status", "HB-4 A4-39", AIR_OR_GROUND),
    ("DF 80", (6, 6), "vertical_status", "HB-4 A4-39", AIR_OR_GROUND),
    ("DF 00", (7, 7), "cross_link", "HB-4 A4-39", YES_NO),
    ("DF 00", (9, 11), "sensitivity_level", "HB-4", SENSITIVITY),
    ("DF 80", (9, 11), "sensitivity_level", "HB-4", SENSITIVITY),
    ("DF 00", (14, 17), "reply_information", "HB-4 D-288 M", REPLY_INFORMATION),
    ("DF 80", (14, 17), "reply_information", "HB-4 D-288 M", REPLY_INFORMATION),
    ("DF 90", (6, 8), "control_field", "CF1 CF2 M", "
        0 no transponder 24-bit address
        1 no transponder other address
        2 fine tis-b 24-bit track file
        3 coarse tis-b
        4 tis-b ads-r management
        5 fine tis-b other address
        6 ads-r rebroadcast
        7 reserved"),
    ("DF 98", (6, 8), "application_field", "M", "
        0 format 17
        rest reserved"),
    ("DF C0", (4, 4), "acknowledgement", "M", YES_NO),
    // Positions: Annex 10 III, pages 52 and 64; handbook, ADS-B part, chapters 3 and 4.
    ("ME 58 v0", (6, 7), "surveillance_status", "a64 hb-3", SURVEILLANCE_STATUS),
    ("ME 58", (6, 7), "surveillance_status", "hb-3", SURVEILLANCE_STATUS),
    ("ME 58", (21, 21), "utc_synchronised", "a51 a64", YES_NO),
    ("ME 58", (22, 22), "cpr_format", "a64 y202", "
        0 even
        1 odd"),
    ("ME 58 v0", (8, 8), "single_antenna", "a64 mem", YES_NO),
    ("ME 58 v1", (8, 8), "single_antenna", "a64 mem", YES_NO),
    ("ME 58 v2", (8, 8), "nic_supplement_b", "y201 hb-7", "
        0 0
        1 1"),
    ("ME 38", (13, 13), "track_valid", "y143 a52 hb-4", YES_NO),
    ("ME 38", (21, 21), "utc_synchronised", "a52", YES_NO),
    ("ME 38", (22, 22), "cpr_format", "a52 y202", "
        0 even
        1 odd"),
    // Velocity: Doc 9871 draft, pages 69, 251 and 252; handbook, chapter 5.
    ("ME 99", (9, 9), "intent_change", "y251 hb-5", YES_NO),
    ("ME 99 v0", (10, 10), "ifr_capability", "y69 hb-5", YES_NO),
    ("ME 99 v1", (10, 10), "ifr_capability", "y251 hb-5", YES_NO),
    ("ME 9B v1", (10, 10), "ifr_capability", "y251 hb-5", YES_NO),
    ("ME 99 v0", (11, 13), "nucr", "y69 hb-7", NACV_VERSION_1),
    ("ME 9B v0", (11, 13), "nucr", "y69 hb-7", NACV_VERSION_1),
    ("ME 99 v1", (11, 13), "nacv", "y170 hb-7", NACV_VERSION_1),
    ("ME 9B v1", (11, 13), "nacv", "y170 hb-7", NACV_VERSION_1),
    ("ME 99 v2", (11, 13), "nacv", "y251 hb-7 mem", NACV),
    ("ME 9B v2", (11, 13), "nacv", "y251 hb-7 mem", NACV),
    ("ME 9B", (14, 14), "heading_valid", "y252 hb-5", YES_NO),
    ("ME 9B", (25, 25), "airspeed_kind", "y185 hb-5", "
        0 indicated
        1 true"),
    ("ME 99", (36, 36), "vertical_rate_source", "hb-5", "
        0 gnss geometric
        1 barometric"),
    ("ME 9B", (36, 36), "vertical_rate_source", "hb-5", "
        0 gnss geometric
        1 barometric"),
    // Aircraft status: Doc 9871 draft, page 172; Annex 10 III, page 75.
    ("ME E1 v0", (9, 11), "emergency_state", "a75", "
        0 no emergency
        1 general emergency
        2 lifeguard medical
        3 minimum fuel
        4 no communications
        5 unlawful interference
        6 reserved
        7 reserved"),
    ("ME E1 v1", (9, 11), "emergency_state", "y172", EMERGENCY),
    ("ME E1 v2", (9, 11), "emergency_state", "y172", EMERGENCY),
    // Version 3: EUROCONTROL, category 021, items 200 and STA.
    ("ME E1 v3", (9, 11), "emergency_state", "AX", "
        0 no emergency
        1 general emergency
        2 unmanned aircraft lost link
        3 minimum fuel
        4 no communications
        5 unlawful interference
        6 distress automatic
        7 distress hand"),
    ("REG 2,2", (1, 3), "antenna_1_kind", "D-87", "
        0 invalid
        1 mode s bottom
        2 mode s top
        3 gnss
        rest reserved"),
    ("ME F8000000006000", (17, 18), "transmit_power", "AX", "
        0 unknown less than 70 w
        1 70 w
        2 125 w
        3 200 w"),
    ("ME F8000000006000", (23, 24), "detect_and_avoid", "AX", "
        0 no detect and avoid
        1 with resolution advisories
        2 without resolution advisories
        3 reserved"),
    ("ME F8000000006000", (29, 29), "reply_rate_limiting", "AX", YES_NO),
    ("ME E8 v1", (54, 56), "emergency_state", "mem", EMERGENCY),
    ("ME E2", (29, 30), "threat_kind", "hbm-6 mem", "
        0 no identity
        1 address
        2 altitude range bearing
        3 not assigned"),
    ("ME E2", (27, 27), "advisory_terminated", "hbm-4 mem", YES_NO),
    ("ME E2", (28, 28), "multiple_threats", "hbm-4 hbm-6 mem", YES_NO),
    ("MV 30", (27, 27), "advisory_terminated", "A4-77 HB-4", YES_NO),
    ("MV 30", (28, 28), "multiple_threats", "A4-77 HB-4 HB-6", YES_NO),
    ("REG 3,0", (29, 30), "threat_kind", "A4-78 HB-6", "
        0 no identity
        1 address
        2 altitude range bearing
        3 not assigned"),
    // Target state, version 2: Doc 9871 draft, pages 209 to 215 and 256.
    ("ME EA", (8, 8), "sil_supplement", "y209 y256", PER),
    ("ME EA", (9, 9), "selected_altitude_from_fms", "y256", YES_NO),
    ("ME EA", (30, 30), "selected_heading_valid", "y256", YES_NO),
    ("ME EA", (40, 43), "nacp", "mem", NACP_VERSION_2),
    ("ME EA", (44, 44), "nic_baro", "y161 y324 mem", "
        0 grey-code not cross-checked
        1 cross-checked"),
    ("ME EA", (45, 46), "sil", "mem", SIL_VERSION_2),
    ("ME EA", (47, 47), "modes_given", "y215", YES_NO),
    ("ME EA", (53, 53), "acas_operational", "mem", YES_NO),
    // Target state, version 1: Doc 9871 draft, pages 148 to 150, 174, 320, 321, 324.
    ("ME E8 v1", (8, 9), "vertical_source", "y320", "
        0 no target altitude
        1 panel control unit
        2 holding altitude
        3 flight management area navigation"),
    ("ME E8 v1", (10, 10), "target_altitude_type", "y320", "
        0 flight level
        1 mean sea level"),
    ("ME E8 v1", (12, 13), "altitude_capability", "y148", "
        0 held only
        1 held panel
        2 held panel flight management
        3 reserved"),
    ("ME E8 v1", (14, 15), "vertical_mode", "y148 y321", "
        0 not known
        1 acquiring
        2 capturing maintaining
        3 reserved"),
    ("ME E8 v1", (26, 27), "horizontal_source", "y149 mem", "
        0 no target
        1 panel control unit
        2 maintaining
        3 flight management area navigation"),
    ("ME E8 v1", (37, 37), "target_direction_kind", "y150", "
        0 heading
        1 track"),
    ("ME E8 v1", (38, 39), "horizontal_mode", "y150 mem", "
        0 not known
        1 acquiring
        2 capturing maintaining
        3 reserved"),
    ("ME E8 v1", (40, 43), "nacp", "y159 y174 hb-7", NACP_VERSION_1),
    ("ME E8 v1", (45, 46), "sil", "y153 y325 hb-7 mem", SIL_VERSION_1),
    ("ME E8 v1", (44, 44), "nic_baro", "y324", "
        0 grey-code not cross-checked
        1 cross-checked"),
    ("ME E8 v1", (52, 52), "acas_not_operational", "mem", YES_NO),
    ("ME E8 v1", (53, 53), "resolution_advisory_active", "mem", YES_NO),
    // Operational status: Doc 9871 draft, pages 153 to 162 and 218 to 227; handbook, chapters 6 and 7.
    (AIRBORNE, (11, 11), "acas_operational", "y219", YES_NO),
    (AIRBORNE, (12, 12), "es_1090_in", "y219", YES_NO),
    (AIRBORNE, (15, 15), "sends_air_referenced_velocity", "y219", YES_NO),
    (AIRBORNE, (16, 16), "sends_target_state", "y219", YES_NO),
    (AIRBORNE, (17, 18), "trajectory_change", "y219 y156", "
        0 none
        1 next only
        2 several
        3 reserved"),
    (AIRBORNE, (19, 19), "uat_in", "y219", YES_NO),
    (AIRBORNE, (27, 27), "resolution_advisory_active", "y220 y157", YES_NO),
    (AIRBORNE, (28, 28), "ident_active", "y157 mem", YES_NO),
    (AIRBORNE, (30, 30), "single_antenna", "mem", YES_NO),
    (AIRBORNE, (31, 32), "sda", "y225 mem", SDA),
    (AIRBORNE, (45, 48), "nacp", "y223 hb-7", NACP_VERSION_2),
    (AIRBORNE, (49, 50), "gva", "y223", "
        0 unknown more than 150 m
        1 at most 150 m
        2 at most 45 m
        3 reserved"),
    (AIRBORNE, (51, 52), "sil", "hb-7 mem", SIL_VERSION_2),
    (AIRBORNE, (53, 53), "nic_baro", "y161", "
        0 grey-code not cross-checked
        1 cross-checked"),
    (AIRBORNE, (54, 54), "magnetic_reference", "y143 mem", YES_NO),
    (AIRBORNE, (55, 55), "sil_supplement", "hb-7", PER),
    (SURFACE, (12, 12), "es_1090_in", "mem", YES_NO),
    (SURFACE, (15, 15), "below_70_w", "y220 mem", YES_NO),
    (SURFACE, (16, 16), "uat_in", "y220 mem", YES_NO),
    (SURFACE, (17, 19), "nacv", "y220 hb-7 mem", NACV),
    (SURFACE, (31, 32), "sda", "y225 mem", SDA),
    (SURFACE, (45, 48), "nacp", "y223 hb-7", NACP_VERSION_2),
    (SURFACE, (51, 52), "sil", "hb-7 mem", SIL_VERSION_2),
    (SURFACE, (53, 53), "surface_heading", "y162 mem", YES_NO),
    (SURFACE, (54, 54), "magnetic_reference", "y143 mem", YES_NO),
    (SURFACE, (55, 55), "sil_supplement", "hb-7", PER),
    (AIRBORNE_1, (11, 11), "acas_not_operational", "mem", YES_NO),
    (AIRBORNE_1, (12, 12), "traffic_display", "mem", YES_NO),
    (AIRBORNE_1, (15, 15), "sends_air_referenced_velocity", "mem", YES_NO),
    (AIRBORNE_1, (16, 16), "sends_target_state", "y156", YES_NO),
    (AIRBORNE_1, (17, 18), "trajectory_change", "y156", "
        0 none
        1 next only
        2 several
        3 reserved"),
    (AIRBORNE_1, (29, 29), "receiving_services", "y157 mem", YES_NO),
    (AIRBORNE_1, (53, 53), "nic_baro", "y161", "
        0 grey-code not cross-checked
        1 cross-checked"),
    (AIRBORNE_1, (45, 48), "nacp", "y159 hb-7", NACP_VERSION_1),
    (AIRBORNE_1, (51, 52), "sil", "y153 y325 hb-7", SIL_VERSION_1),
    (SURFACE_1, (45, 48), "nacp", "y159 hb-7", NACP_VERSION_1),
    (SURFACE_1, (51, 52), "sil", "y153 y325 hb-7", SIL_VERSION_1),
    (SURFACE_1, (11, 11), "position_at_reference_point", "y156", YES_NO),
    (SURFACE_1, (12, 12), "traffic_display", "y156", YES_NO),
    (SURFACE_1, (15, 15), "below_70_w", "y156 mem", YES_NO),
    (SURFACE_1, (53, 53), "surface_heading", "y162 mem", YES_NO),
    // The version number says the layout: in the layout of no version all of them can stand.
    ("ME FA", (41, 43), "version", "y157 hb-1 hb-6", VERSION),
    // Registers: Doc 9871 draft, pages 67, 75, 288; handbook, Mode S part, chapters 6 to 8; Annex 10 III, page 72.
    ("REG 0,7", (1, 2), "squitter_rate", "D-67", "
        0 no capability
        1 high
        2 low
        3 reserved"),
    ("REG 0,7", (3, 3), "squitter_altitude", "D-67", "
        0 pressure altitude
        1 gnss height"),
    ("REG 1,0", (16, 16), "acas_operational", "D-288 HB-6", YES_NO),
    ("REG 1,0", (17, 23), "subnetwork_version", "D-75 HB-6", "
        0 no
        1 doc 9688 1996
        2 doc 9688 1998
        3 annex 10 amendment 77
        4 doc 9871 edition 1 do-181d ed-73c
        5 doc 9871 edition 2 do-181e ed-73e
        rest reserved"),
    ("REG 1,0", (26, 28), "uplink_throughput", "D-75", "
        0 none
        1 16 segments in 1 s
        2 16 segments in 500 ms
        3 16 segments in 250 ms
        4 16 segments in 125 ms
        5 16 segments in 60 ms
        6 16 segments in 30 ms
        7 reserved"),
    ("REG 1,0", (29, 32), "downlink_throughput", "D-75", "
        0 none
        1 4 segments in 1 s
        2 8 segments in 1 s
        3 16 segments in 1 s
        4 16 segments in 500 ms
        5 16 segments in 250 ms
        6 16 segments in 125 ms
        rest reserved"),
    // Bit 40 is the higher one.
    ("REG 1,0", (39, 40), "acas_standard", "D-288 HB-6", "
        0 do-185, before acas
        1 do-185b ed-143
        2 do-185a
        3 reserved"),
    ("REG 4,4", (1, 4), "weather_source", "D-94 HB-8", "
        0 invalid
        1 inertial
        2 gnss
        3 dme/dme
        4 vor/dme
        rest reserved"),
    ("REG 4,8", (17, 18), "vhf_1_audio", "A3-72", "
        0 unknown
        1 nobody
        2 headphones
        3 loudspeaker"),
];

/// Each code says what the table prints, in this version.
#[test]
fn every_code_of_every_list() {
    let mut wrong = Vec::new();
    let mut seen = BTreeSet::new();
    for (line, (first, last), field, source, text) in LISTS {
        assert!(!source.is_empty() && seen.insert((line, field)), "{line} {field}");
        let reading = Reading { line };
        let lines: Vec<(&str, &str)> = text.lines().filter_map(|line| line.trim().split_once(' ')).collect();
        for code in 0..1u64 << (last - first + 1) {
            let own = lines.iter().find(|(number, _)| number.parse() == Ok(code));
            let segments = lines.iter().find(|(number, place)| {
                let (from, to) = place.split_once('-').unwrap_or_default();
                *number == "segments" && (from.parse().unwrap()..=to.parse().unwrap()).contains(&code)
            });
            let wanted = match (own, segments) {
                (Some((_, words)), _) => (*words).to_owned(),
                // So many as the code is above 15.
                (None, Some(_)) => format!("{} comm-d segments", code - 15),
                (None, None) => match lines.iter().find(|(number, _)| *number == "rest") {
                    Some((_, words)) => (*words).to_owned(),
                    None => panic!("{line} {field}: code {code} is not transcribed"),
                },
            };
            let found = reading.says(field, &[(*first, *last, code)]);
            let text = found.as_ref().map_or(String::new(), |meaning| meaning.words().to_string());
            if found.is_none() || !mentions(&text, &wanted) {
                wrong.push(format!("{line} {field} {code}: wanted {wanted:?}, it says {text:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{} codes differ:\n{}", wrong.len(), wrong.join("\n"));
}
