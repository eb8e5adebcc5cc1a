//! Aircraft operational status: type code 31, register 6,5. Only this message says which version the unit sends, and
//! that decides its own layout.

use crate::code::table::table;
use crate::code::{
    DetectAndAvoid, Flag, Gva, LateralOffset, LengthWidth, LongitudinalOffset, Nacp, Nacv, NicBaro, Number, Reserved,
    Sda, Sil, SilSupplement, TrajectoryChange, TransmitPower, TypeCode, Version, VersionNumber,
};

table! {
    /// Airborne, version 2: type code 31, subtype 0.
    OperationalStatusAirborne: u64, 56 bits = "operational_status", "operational status, airborne, version 2",
    when "type code 31, subtype 0, version 2",
    in version Version::Two, template 31 << 51 | 2 << 13;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D218 H6";
    6..=8 subtype: Number<3> => "subtype", "0, airborne", "D218 H6";
    9..=10 reserved_9_10: Reserved<2>, "Capability class format, zero in this version", "D219";
    11..=11 acas_operational: Flag => "acas_operational", "Collision avoidance is operating", "D219";
    12..=12 es_1090_in: Flag => "es_1090_in", "Can receive 1090ES", "D219 AX";
    13..=14 reserved_13_14: Reserved<2>, "Reserved", "D219";
    15..=15 sends_air_referenced_velocity: Flag => "sends_air_referenced_velocity", "Sends air-referenced velocity reports", "D219";
    16..=16 sends_target_state: Flag => "sends_target_state", "Sends target state reports", "D156 D219";
    17..=18 trajectory_change: TrajectoryChange => "trajectory_change", "Trajectory change reports", "D156 D219";
    19..=19 uat_in: Flag => "uat_in", "Can receive UAT", "D219 AX";
    20..=24 reserved_20_24: Reserved<5>, "Reserved", "D219";
    25..=26 reserved_25_26: Reserved<2>, "Operational mode format, zero in this version", "D220";
    27..=27 resolution_advisory_active: Flag => "resolution_advisory_active", "A resolution advisory is active", "D157 D220";
    28..=28 ident_active: Flag => "ident_active", "Ident is on, 18 s after the button", "D157 memory";
    29..=29 reserved_29_29: Reserved<1>, "Reserved for receiving air traffic services", "D157 memory";
    30..=30 single_antenna: Flag => "single_antenna", "One antenna only", "AX memory";
    31..=32 sda: Sda => "sda", "System design assurance", "D225 AX";
    33..=40 reserved_33_40: Reserved<8>, "Reserved", "D227";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 H1 H6 AX";
    44..=44 nic_supplement_a: Number<1> => "nic_supplement_a", "NIC supplement A", "D157 H6 H7";
    45..=48 nacp: Nacp => "nacp", "Accuracy of position", "D223 H6 H7";
    49..=50 gva: Gva => "gva", "Accuracy of geometric height", "D223 H6 AX";
    51..=52 sil: Sil => "sil", "Source integrity level", "H6 H7";
    53..=53 nic_baro: NicBaro => "nic_baro", "Whether pressure altitude is cross-checked", "D161 H6";
    54..=54 magnetic_reference: Flag => "magnetic_reference", "Headings count from magnetic (1) or true (0) north", "D143 D202 H6 AX";
    55..=55 sil_supplement: SilSupplement => "sil_supplement", "What the integrity level counts by", "H6 H7 AX";
    56..=56 reserved_56_56: Reserved<1>, "Reserved", "H6";
}

table! {
    /// On the ground, version 2: type code 31, subtype 1.
    OperationalStatusSurface: u64, 56 bits = "operational_status", "operational status, on the ground, version 2",
    when "type code 31, subtype 1, version 2",
    in version Version::Two, template 31 << 51 | 1 << 48 | 2 << 13;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D218 H6";
    6..=8 subtype: Number<3> => "subtype", "1, on the ground", "D218 H6";
    9..=10 reserved_9_10: Reserved<2>, "Capability class format, zero in this version", "D219";
    11..=11 reserved_11_11: Reserved<1>, "Reserved", "memory";
    12..=12 es_1090_in: Flag => "es_1090_in", "Can receive 1090ES", "D219 AX memory";
    13..=14 reserved_13_14: Reserved<2>, "Reserved", "memory";
    15..=15 below_70_w: Flag => "below_70_w", "Transmits less than 70 W", "D220 memory";
    16..=16 uat_in: Flag => "uat_in", "Can receive UAT", "D220 AX memory";
    17..=19 nacv: Nacv => "nacv", "Accuracy of velocity", "D220 memory";
    20..=20 nic_supplement_c: Number<1> => "nic_supplement_c", "NIC supplement C", "D220 H7";
    21..=24 length_width: LengthWidth => "length_width_code", "Length and width of the aircraft", "D224 D283 H6 AX";
    25..=26 reserved_25_26: Reserved<2>, "Operational mode format, zero in this version", "D220";
    27..=27 resolution_advisory_active: Flag => "resolution_advisory_active", "A resolution advisory is active", "D157 D220";
    28..=28 ident_active: Flag => "ident_active", "Ident is on, 18 s after the button", "D157 memory";
    29..=29 reserved_29_29: Reserved<1>, "Reserved for receiving air traffic services", "D157 memory";
    30..=30 single_antenna: Flag => "single_antenna", "One antenna only", "AX memory";
    31..=32 sda: Sda => "sda", "System design assurance", "D225 AX";
    33..=35 antenna_offset_lateral: LateralOffset => "antenna_offset_lateral_m", "Position antenna from the centre line, left negative", "D227 AX";
    36..=40 antenna_offset_longitudinal: LongitudinalOffset => "antenna_offset_longitudinal_m", "Position antenna from the nose", "D227 AX memory";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 H1 H6 AX";
    44..=44 nic_supplement_a: Number<1> => "nic_supplement_a", "NIC supplement A", "D157 H6 H7";
    45..=48 nacp: Nacp => "nacp", "Accuracy of position", "D223 H6 H7";
    49..=50 reserved_49_50: Reserved<2>, "Reserved", "H6";
    51..=52 sil: Sil => "sil", "Source integrity level", "H6 H7";
    53..=53 surface_heading: Flag => "surface_heading", "Surface positions carry heading (1) or ground track (0)", "D162 H6 memory";
    54..=54 magnetic_reference: Flag => "magnetic_reference", "Headings count from magnetic (1) or true (0) north", "D143 D202 H6 AX";
    55..=55 sil_supplement: SilSupplement => "sil_supplement", "What the integrity level counts by", "H6 H7 AX";
    56..=56 reserved_56_56: Reserved<1>, "Reserved", "H6";
}

table! {
    /// Airborne, version 1: type code 31, subtype 0.
    OperationalStatusAirborneVersion1: u64, 56 bits = "operational_status", "operational status, airborne, version 1",
    when "type code 31, subtype 0, version 1",
    in version Version::One, template 31 << 51 | 1 << 13;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D140 H6";
    6..=8 subtype: Number<3> => "subtype", "0, airborne", "D140 H6";
    9..=10 service_level_high: Number<2> => "service_level_high", "Service level, upper bits; zero", "D156";
    11..=11 acas_not_operational: Flag => "acas_not_operational", "Collision avoidance is not installed or not operating; 0 operating or not known", "AX memory";
    12..=12 traffic_display: Flag => "traffic_display", "The cockpit display of traffic information is operating", "AX memory";
    13..=14 service_level_low: Number<2> => "service_level_low", "Service level, lower bits; zero", "memory";
    15..=15 sends_air_referenced_velocity: Flag => "sends_air_referenced_velocity", "Sends air-referenced velocity reports", "AX memory";
    16..=16 sends_target_state: Flag => "sends_target_state", "Sends target state reports", "D156 AX";
    17..=18 trajectory_change: TrajectoryChange => "trajectory_change", "Trajectory change reports", "D156 AX";
    19..=24 reserved_19_24: Reserved<6>, "Reserved", "H6 memory";
    25..=26 reserved_25_26: Reserved<2>, "Operational mode format, zero in this version", "D220";
    27..=27 resolution_advisory_active: Flag => "resolution_advisory_active", "A resolution advisory is active", "D157";
    28..=28 ident_active: Flag => "ident_active", "Ident is on, 18 s after the button", "D157 memory";
    29..=29 receiving_services: Flag => "receiving_services", "Receives air traffic services", "D157 AX memory";
    30..=40 reserved_30_40: Reserved<11>, "Reserved", "memory";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 H1 H6 AX";
    44..=44 nic_supplement_a: Number<1> => "nic_supplement_a", "NIC supplement, the only one of this version", "D157 H6 H7";
    45..=48 nacp: Nacp => "nacp", "Accuracy of position", "D159 H6 H7";
    49..=50 barometric_altitude_quality: Number<2> => "barometric_altitude_quality", "Barometric altitude quality; zero", "H6 memory";
    51..=52 sil: Sil => "sil", "Surveillance integrity level", "D153 H6 H7";
    53..=53 nic_baro: NicBaro => "nic_baro", "Whether pressure altitude is cross-checked", "D161 H6";
    54..=54 magnetic_reference: Flag => "magnetic_reference", "Headings count from magnetic (1) or true (0) north", "D143 H6 AX";
    55..=56 reserved_55_56: Reserved<2>, "Reserved", "H6";
}

table! {
    /// On the ground, version 1: type code 31, subtype 1.
    OperationalStatusSurfaceVersion1: u64, 56 bits = "operational_status", "operational status, on the ground, version 1",
    when "type code 31, subtype 1, version 1",
    in version Version::One, template 31 << 51 | 1 << 48 | 1 << 13;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D140 H6";
    6..=8 subtype: Number<3> => "subtype", "1, on the ground", "D140 H6";
    9..=10 service_level_high: Number<2> => "service_level_high", "Service level, upper bits; zero", "D156";
    11..=11 position_at_reference_point: Flag => "position_at_reference_point", "The position is that of the ADS-B reference point", "D156 AX";
    12..=12 traffic_display: Flag => "traffic_display", "The cockpit display of traffic information is operating", "D156 AX";
    13..=14 service_level_low: Number<2> => "service_level_low", "Service level, lower bits; zero", "D156";
    15..=15 below_70_w: Flag => "below_70_w", "Transmits less than 70 W", "D156 AX memory";
    16..=20 reserved_16_20: Reserved<5>, "Reserved", "D156";
    21..=24 length_width: LengthWidth => "length_width_code", "Length and width of the aircraft", "D162 D283 H6 AX";
    25..=26 reserved_25_26: Reserved<2>, "Operational mode format, zero in this version", "D220";
    27..=27 resolution_advisory_active: Flag => "resolution_advisory_active", "A resolution advisory is active", "D157";
    28..=28 ident_active: Flag => "ident_active", "Ident is on, 18 s after the button", "D157 memory";
    29..=29 receiving_services: Flag => "receiving_services", "Receives air traffic services", "D157 AX memory";
    30..=40 reserved_30_40: Reserved<11>, "Reserved", "memory";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 H1 H6 AX";
    44..=44 nic_supplement_a: Number<1> => "nic_supplement_a", "NIC supplement, the only one of this version", "D157 H6 H7";
    45..=48 nacp: Nacp => "nacp", "Accuracy of position", "D159 H6 H7";
    49..=50 reserved_49_50: Reserved<2>, "Reserved", "H6";
    51..=52 sil: Sil => "sil", "Surveillance integrity level", "D153 H6 H7";
    53..=53 surface_heading: Flag => "surface_heading", "Surface positions carry heading (1) or ground track (0)", "D162 H6 memory";
    54..=54 magnetic_reference: Flag => "magnetic_reference", "Headings count from magnetic (1) or true (0) north", "D143 H6 AX";
    55..=56 reserved_55_56: Reserved<2>, "Reserved", "H6";
}

table! {
    /// Version 0: type code 31, subtype 0. It is in the standard; installations of version 0 did not send it.
    OperationalStatusVersion0: u64, 56 bits = "operational_status", "operational status, version 0",
    when "type code 31, subtype 0, version 0",
    in version Version::Zero, template 31 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "A3-75 H6";
    6..=8 subtype: Number<3> => "subtype", "0", "H6";
    9..=12 capability_class_4: Number<4> => "capability_class_4", "Capability class en route", "H6";
    13..=16 capability_class_3: Number<4> => "capability_class_3", "Capability class in the terminal area", "H6";
    17..=20 capability_class_2: Number<4> => "capability_class_2", "Capability class for approach and landing", "H6";
    21..=24 capability_class_1: Number<4> => "capability_class_1", "Capability class on the surface", "H6";
    25..=28 operational_mode_4: Number<4> => "operational_mode_4", "Operational mode, fourth group", "H6";
    29..=32 operational_mode_3: Number<4> => "operational_mode_3", "Operational mode, third group", "H6";
    33..=36 operational_mode_2: Number<4> => "operational_mode_2", "Operational mode, second group", "H6";
    37..=40 operational_mode_1: Number<4> => "operational_mode_1", "Operational mode, first group", "H6";
    41..=43 version_number: VersionNumber => "version", "Version of the standard: these reserved bits are zero", "D157 H1 H6";
    44..=56 reserved_44_56: Reserved<13>, "Reserved", "H6";
}

table! {
    /// Airborne, version 3: type code 31, subtype 0. What public text says of version 3, and the fields of version 2 that
    /// it keeps; what may have another meaning is kept as received.
    OperationalStatusAirborneVersion3: u64, 56 bits = "operational_status", "operational status, airborne, version 3",
    when "type code 31, subtype 0, version 3",
    in version Version::Three, template 31 << 51 | 3 << 13;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D218 V3";
    6..=8 subtype: Number<3> => "subtype", "0, airborne", "D218 V3";
    9..=10 data_9_10: Number<2>, "As received: reserved in version 2", "D219";
    11..=11 acas_operational: Flag => "acas_operational", "Collision avoidance is operating", "D219 V3";
    12..=12 es_1090_in: Flag => "es_1090_in", "Can receive 1090ES", "D219 AX V3";
    13..=14 data_13_14: Number<2>, "As received: reserved in version 2", "D219";
    15..=15 sends_air_referenced_velocity: Flag => "sends_air_referenced_velocity", "Sends air-referenced velocity reports", "D219 V3";
    16..=16 sends_target_state: Flag => "sends_target_state", "Sends target state reports", "D219 V3";
    17..=18 transmit_power: TransmitPower => "transmit_power", "Transmit power at the antenna port, rounded down", "AX";
    19..=19 uat_in: Flag => "uat_in", "Can receive UAT", "D219 AX V3";
    20..=22 data_20_22: Number<3>, "As received: reserved in version 2", "D219";
    23..=24 detect_and_avoid: DetectAndAvoid => "detect_and_avoid", "Detect and avoid", "AX";
    25..=26 data_25_26: Number<2>, "As received: the operational mode format of version 2", "D220";
    27..=27 resolution_advisory_active: Flag => "resolution_advisory_active", "A resolution advisory is active", "D220 V3";
    28..=28 ident_active: Flag => "ident_active", "Ident is on, 18 s after the button", "D157 V3 memory";
    29..=29 reply_rate_limiting: Flag => "reply_rate_limiting", "Reply rate limiting is active", "AX";
    30..=30 single_antenna: Flag => "single_antenna", "One antenna only", "AX V3 memory";
    31..=32 sda: Sda => "sda", "System design assurance", "D225 V3";
    33..=39 collision_avoidance_coordination: Number<7> => "collision_avoidance_coordination", "Coordination of collision avoidance: sense and type, as a plain number, since no source held divides these bits", "AX";
    40..=40 data_40_40: Number<1>, "As received: remain-well-clear alert or unmanned operation; the text does not say which", "AX";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 AX V3";
    44..=44 nic_supplement_a: Number<1> => "nic_supplement_a", "NIC supplement A", "D157 V3";
    45..=48 nacp: Nacp => "nacp", "Accuracy of position", "D223 V3";
    49..=50 gva: Gva => "gva", "Accuracy of geometric height", "D223 V3";
    51..=52 sil: Sil => "sil", "Source integrity level", "H6 V3";
    53..=53 nic_baro: NicBaro => "nic_baro", "Whether pressure altitude is cross-checked", "D161 V3";
    54..=54 magnetic_reference: Flag => "magnetic_reference", "Headings count from magnetic (1) or true (0) north", "D202 AX V3";
    55..=55 sil_supplement: SilSupplement => "sil_supplement", "What the integrity level counts by", "H6 V3";
    56..=56 data_56_56: Number<1>, "As received: reserved in version 2", "H6";
}

table! {
    /// On the ground, version 3: type code 31, subtype 1; read as the airborne one is.
    OperationalStatusSurfaceVersion3: u64, 56 bits = "operational_status", "operational status, on the ground, version 3",
    when "type code 31, subtype 1, version 3",
    in version Version::Three, template 31 << 51 | 1 << 48 | 3 << 13;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D218 V3";
    6..=8 subtype: Number<3> => "subtype", "1, on the ground", "D218 V3";
    9..=10 data_9_10: Number<2>, "As received: reserved in version 2", "D219";
    11..=11 data_11_11: Number<1>, "As received: reserved in version 2", "memory";
    12..=12 es_1090_in: Flag => "es_1090_in", "Can receive 1090ES", "D219 AX V3 memory";
    13..=14 data_13_14: Number<2>, "As received: reserved in version 2", "memory";
    15..=15 data_15_15: Number<1>, "As received: less than 70 W in version 2", "D220 memory";
    16..=16 uat_in: Flag => "uat_in", "Can receive UAT", "D220 AX V3 memory";
    17..=19 data_17_19: Number<3>, "As received: NACv in version 2; in version 3 the first two may be transmit power", "D220 AX memory";
    20..=20 nic_supplement_c: Number<1> => "nic_supplement_c", "NIC supplement C", "D220 V3";
    21..=24 length_width: LengthWidth => "length_width_code", "Length and width of the aircraft", "D224 D283 V3";
    25..=26 data_25_26: Number<2>, "As received: the operational mode format of version 2", "D220";
    27..=27 resolution_advisory_active: Flag => "resolution_advisory_active", "A resolution advisory is active", "D220 V3";
    28..=28 ident_active: Flag => "ident_active", "Ident is on, 18 s after the button", "D157 V3 memory";
    29..=29 data_29_29: Number<1>, "As received: reserved in version 2; reply rate limiting is stated of the airborne message only", "D157 AX";
    30..=30 single_antenna: Flag => "single_antenna", "One antenna only", "AX V3 memory";
    31..=32 sda: Sda => "sda", "System design assurance", "D225 V3";
    33..=35 antenna_offset_lateral: LateralOffset => "antenna_offset_lateral_m", "Antenna from the centre line, left negative", "D227 AX";
    36..=40 antenna_offset_longitudinal: LongitudinalOffset => "antenna_offset_longitudinal_m", "Antenna from the nose; the text calls it that of the transponder as well as that of the position source", "AX";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 AX V3";
    44..=44 nic_supplement_a: Number<1> => "nic_supplement_a", "NIC supplement A", "D157 V3";
    45..=48 nacp: Nacp => "nacp", "Accuracy of position", "D223 V3";
    49..=50 data_49_50: Number<2>, "As received: reserved in version 2", "H6";
    51..=52 sil: Sil => "sil", "Source integrity level", "H6 V3";
    53..=53 surface_heading: Flag => "surface_heading", "Surface positions carry heading (1) or ground track (0)", "D162 V3 memory";
    54..=54 magnetic_reference: Flag => "magnetic_reference", "Headings count from magnetic (1) or true (0) north", "D202 AX V3";
    55..=55 sil_supplement: SilSupplement => "sil_supplement", "What the integrity level counts by", "H6 V3";
    56..=56 data_56_56: Number<1>, "As received: reserved in version 2", "H6";
}

table! {
    /// Operational status whose layout no source here gives.
    OperationalStatusOther: u64, 56 bits = "operational_status", "operational status, layout not held",
    when "type code 31 in version 4 or later, subtypes 2 to 7 of any version, and subtype 1 of version 0",
    template 31 << 51 | 4 << 13;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D218 H6";
    6..=8 subtype: Number<3> => "subtype", "0 airborne, 1 on the ground, others reserved", "D218 H6";
    9..=40 data_9_40: Number<32>, "As received: no source is held for this layout", "D218";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 H1 H6 AX";
    44..=56 data_44_56: Number<13>, "As received: no source is held for this layout", "D218";
}
