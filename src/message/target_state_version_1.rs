//! Target state and status of version 1: type code 29, subtype 0.

use crate::code::table::{Derived, table};
use crate::code::{
    AltitudeCapability, Bits, CodeError, EmergencyState, Flag, HorizontalSource, Linear, Meaning, MeaningKind, Nacp,
    NicBaro, Number, Reserved, Sil, TargetAltitudeType, TargetDirection, TargetMode, TypeCode, Version, VerticalSource,
    number, turned,
};

table! {
    /// What the aircraft steers to, version 1: type code 29, subtype 0.
    TargetStateVersion1: u64, 56 bits = "target_state_and_status", "target state and status, version 1",
    when "type code 29, subtype 0, not in version 0",
    in version Version::One, template 29 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code 29", "D174";
    6..=7 subtype: Number<2> => "subtype", "0", "D174";
    8..=9 vertical_source: VerticalSource => "vertical_source", "Where the target altitude comes from", "D320";
    10..=10 target_altitude_type: TargetAltitudeType => "target_altitude_type", "What the target altitude counts from", "D320";
    11..=11 backward_compatibility: Flag => "backward_compatibility", "Zero: laid out as version 1 says", "D174";
    12..=13 altitude_capability: AltitudeCapability => "altitude_capability", "Which target altitudes can be reported", "D148";
    14..=15 vertical_mode: TargetMode => "vertical_mode", "How far it is with the target altitude", "D148 D321";
    16..=25 target_altitude: Number<10>, "Target altitude", "D149 D321";
    26..=27 horizontal_source: HorizontalSource => "horizontal_source", "Where the target heading or track comes from", "D149 memory";
    28..=36 target_direction: Number<9>, "Target heading or track", "D150";
    37..=37 target_direction_kind: TargetDirection => "target_direction_kind", "Whether that is heading or track", "D150";
    38..=39 horizontal_mode: TargetMode => "horizontal_mode", "How far it is with the target heading or track", "D150 memory";
    40..=43 nacp: Nacp => "nacp", "Accuracy of position", "D174";
    44..=44 nic_baro: NicBaro => "nic_baro", "Whether pressure altitude is cross-checked", "D174 D324";
    45..=46 sil: Sil => "sil", "Surveillance integrity level", "memory";
    47..=51 reserved_47_51: Reserved<5>, "Reserved", "memory";
    52..=52 acas_not_operational: Flag => "acas_not_operational", "Collision avoidance is not operating; 0 operating or not known", "memory";
    53..=53 resolution_advisory_active: Flag => "resolution_advisory_active", "A resolution advisory is active", "memory";
    54..=56 emergency_state: EmergencyState => "emergency_state", "Emergency or priority state", "memory";
    derived [TARGET_ALTITUDE, TARGET_DIRECTION]
}

fn read(pattern: u128) -> TargetStateVersion1 {
    TargetStateVersion1::from_bits(pattern as u64)
}

/// The draft also prints codes 11 and 12 as 0 and 100 ft, which do not fit its other four points.
const TARGET_ALTITUDE: Derived = Derived::new(
    "target_altitude_ft",
    "Target altitude: -1000 ft and steps of 100 ft; 1011 and more are not valid",
    MeaningKind::Integer,
    |pattern, _| {
        let message = read(pattern);
        Some(match message.target_altitude.bits() as i64 {
            _ if message.vertical_source == VerticalSource::NONE => Meaning::none("no source"),
            n @ 0..=1010 => Meaning::integer(100 * n - 1000, "ft"),
            _ => Meaning::none("not valid"),
        })
    },
)
.written(|wanted, pattern| {
    let given = wanted.get("target_altitude_ft").unwrap_or_default();
    let n = ((number(given)? + 1000.0) / 100.0).round();
    if !(0.0..=1010.0).contains(&n) {
        return Err(CodeError::out_of_range(given, -1000, 100_000, " ft"));
    }
    let message = TargetStateVersion1 { target_altitude: Number::from_bits(n as u64), ..read(pattern) };
    // A target needs a source to be one: the panel, unless another was asked for.
    let vertical_source = match wanted.get("vertical_source") {
        None => VerticalSource::PANEL,
        Some(_) => message.vertical_source,
    };
    Ok(TargetStateVersion1 { vertical_source, ..message }.bits().into())
})
.shown(|pattern, _| {
    let message = read(pattern);
    let code = message.target_altitude.bits();
    let holds = message.vertical_source != VerticalSource::NONE && code <= 1010;
    if holds { vec![ALTITUDE_SCALE.read(code as i64)] } else { Vec::new() }
})
.shown_back(|wanted, pattern| {
    ALTITUDE_SCALE.back(wanted.get("target_altitude_ft"), read(pattern).target_altitude.bits(), 10)
});

const ALTITUDE_SCALE: Linear = Linear { offset: -1000.0, ..Linear::new(100.0, 1.0, " ft") };

const TARGET_DIRECTION: Derived = Derived::new(
    "target_direction_deg",
    "Target heading or track, whole degrees; 360 and more are not valid",
    MeaningKind::Integer,
    |pattern, _| {
        let message = read(pattern);
        Some(match message.target_direction.bits() as i64 {
            _ if message.horizontal_source == HorizontalSource::NONE => Meaning::none("no source"),
            n @ 0..=359 => Meaning::integer(n, "deg"),
            _ => Meaning::none("not valid"),
        })
    },
)
.written(|wanted, pattern| {
    let degrees = number(wanted.get("target_direction_deg").unwrap_or_default())?;
    let n = degrees.rem_euclid(360.0).round() as u64 % 360;
    let message = TargetStateVersion1 { target_direction: Number::from_bits(n), ..read(pattern) };
    let horizontal_source = match wanted.get("horizontal_source") {
        None => HorizontalSource::PANEL,
        Some(_) => message.horizontal_source,
    };
    Ok(TargetStateVersion1 { horizontal_source, ..message }.bits().into())
})
.shown_back(|wanted, pattern| {
    let code = read(pattern).target_direction.bits();
    match wanted.get("target_direction_deg").map(number) {
        Some(Ok(degrees)) if (degrees - code as f64).abs() > 1e-9 => {
            turned(degrees, Linear::new(1.0, 1.0, " deg"), code, 9)
        }
        _ => Vec::new(),
    }
});
