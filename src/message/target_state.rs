//! Target state and status: type code 29, subtype 1, version 2; register 6,2.

use crate::code::table::{Derived, table};
use crate::code::{
    Bits, Flag, Linear, Meaning, MeaningKind, Nacp, NicBaro, Number, Reserved, Sil, SilSupplement, Step, TypeCode,
    Value, Version, Wording, is_no_data, number, turned,
};

table! {
    /// What the crew has selected: type code 29, subtype 1.
    TargetState: u64, 56 bits = "target_state_and_status", "target state and status, version 2",
    when "type code 29, subtype 1",
    in version Version::Two, template 29 << 51 | 1 << 49;
    1..=5 type_code: TypeCode => "type_code", "Type code 29", "D256";
    6..=7 subtype: Number<2> => "subtype", "1", "D256";
    8..=8 sil_supplement: SilSupplement => "sil_supplement", "What the integrity level counts by", "D209 D256";
    9..=9 from_fms: Flag => "selected_altitude_from_fms", "The selected altitude is that of the flight management (1) or of the panel (0)", "D256";
    10..=20 selected_altitude: Number<11>, "Selected altitude", "D256";
    21..=29 pressure_setting: Number<9>, "Barometric pressure setting", "D256";
    30..=30 heading_status: Flag => "selected_heading_valid", "Whether the selected heading holds", "D256";
    31..=39 selected_heading: Number<9>, "Selected heading, sign and value together", "D212 D256 AX";
    40..=43 nacp: Nacp => "nacp", "Accuracy of position", "D174 memory";
    44..=44 nic_baro: NicBaro => "nic_baro", "Whether pressure altitude is cross-checked", "D174 memory";
    45..=46 sil: Sil => "sil", "Source integrity level", "memory";
    47..=47 modes_given: Flag => "modes_given", "Whether the mode bits say anything", "D215 AX";
    48..=48 autopilot: Flag, "Autopilot engaged", "D215 AX";
    49..=49 vertical_navigation: Flag, "Vertical navigation mode engaged", "D215 AX";
    50..=50 altitude_hold: Flag, "Altitude hold mode engaged", "D215 AX";
    51..=51 reserved_51_51: Reserved<1>, "Reserved", "memory";
    52..=52 approach: Flag, "Approach mode engaged", "D215 AX";
    53..=53 acas_operational: Flag => "acas_operational", "Collision avoidance is operating", "memory";
    54..=54 lateral_navigation: Flag, "Lateral navigation mode engaged", "D215 AX";
    55..=56 reserved_55_56: Reserved<2>, "Reserved", "memory";
    derived [
        SELECTED_ALTITUDE, PRESSURE_SETTING, SELECTED_HEADING,
        AUTOPILOT, VERTICAL_NAVIGATION, ALTITUDE_HOLD, APPROACH, LATERAL_NAVIGATION,
    ]
}

impl TargetState {
    /// Selected altitude in feet; `None` for no data.
    ///
    /// ```
    /// use squitterlab::message::TargetState;
    /// // Bits 10 to 20 are 532: (532 - 1) x 32 ft.
    /// assert_eq!(TargetState::from_bits(532 << 36).selected_altitude_ft(), Some(16_992));
    /// assert_eq!(TargetState::from_bits(0).selected_altitude_ft(), None);
    /// ```
    pub fn selected_altitude_ft(&self) -> Option<i32> {
        let n = self.selected_altitude.bits() as i32;
        (n != 0).then(|| 32 * (n - 1))
    }

    /// Barometric pressure setting in hectopascals; `None` for no data.
    ///
    /// ```
    /// use squitterlab::message::TargetState;
    /// // Bits 21 to 29 are 267: 800 hPa + 266 x 0.8 hPa.
    /// let setting = TargetState::from_bits(267 << 27).barometric_setting_hpa().unwrap();
    /// assert!((setting - 1012.8).abs() < 1e-9);
    /// ```
    pub fn barometric_setting_hpa(&self) -> Option<f64> {
        let n = self.pressure_setting.bits() as f64;
        (n != 0.0).then_some(800.0 + 0.8 * (n - 1.0))
    }

    /// Selected heading in degrees; `None` if it does not hold.
    ///
    /// ```
    /// use squitterlab::message::TargetState;
    /// // Bit 30 says that the heading holds, bits 31 to 39 are 128: 128 x 180 / 256 degrees.
    /// assert_eq!(TargetState::from_bits(1 << 26 | 128 << 17).selected_heading_deg(), Some(90.0));
    /// assert_eq!(TargetState::from_bits(128 << 17).selected_heading_deg(), None);
    /// ```
    pub fn selected_heading_deg(&self) -> Option<f64> {
        self.heading_status.is_set().then(|| self.selected_heading.bits() as f64 * 180.0 / 256.0)
    }
}

fn read(pattern: u128) -> TargetState {
    TargetState::from_bits(pattern as u64)
}

const SELECTED_ALTITUDE: Derived = Derived::new(
    "selected_altitude_ft",
    "Selected altitude, steps of 32 ft; 0 no data",
    MeaningKind::Integer,
    |pattern, _| {
        Some(match read(pattern).selected_altitude.bits() as i64 {
            0 => Meaning::none("no data"),
            n => Meaning::integer(32 * (n - 1), "ft"),
        })
    },
)
.written(|wanted, pattern| {
    let given = wanted.get("selected_altitude_ft").unwrap_or_default();
    let n = if is_no_data(given) { 0.0 } else { (number(given)? / 32.0).round() + 1.0 };
    if !(0.0..=2047.0).contains(&n) {
        return Err(crate::code::CodeError::out_of_range(given, 0, 65_472, " ft"));
    }
    Ok(TargetState { selected_altitude: Number::from_bits(n as u64), ..read(pattern) }.bits().into())
})
.shown(|pattern, _| given(ALTITUDE_SCALE, read(pattern).selected_altitude.bits()))
.shown_back(|wanted, pattern| {
    ALTITUDE_SCALE.back(wanted.get("selected_altitude_ft"), read(pattern).selected_altitude.bits(), 11)
});

const PRESSURE_SETTING: Derived = Derived::new(
    "barometric_setting_hpa",
    "Barometric pressure setting, 800 hPa and steps of 0.8 hPa; 0 no data",
    MeaningKind::Decimal,
    |pattern, _| {
        Some(match read(pattern).pressure_setting.bits() as f64 {
            0.0 => Meaning::none("no data"),
            n => {
                let value = Value::decimal(800.0 + 0.8 * (n - 1.0), 1);
                Meaning::written(value, n as u64, Version::Two, |n, _, f| {
                    write!(f, "{:.1} hPa", 800.0 + 0.8 * (n as f64 - 1.0))
                })
            }
        })
    },
)
.written(|wanted, pattern| {
    let given = wanted.get("barometric_setting_hpa").unwrap_or_default();
    let n = if is_no_data(given) { 0.0 } else { ((number(given)? - 800.0) / 0.8).round() + 1.0 };
    if !(0.0..=511.0).contains(&n) {
        return Err(crate::code::CodeError::out_of_range(given, 800, 1208, " hPa"));
    }
    Ok(TargetState { pressure_setting: Number::from_bits(n as u64), ..read(pattern) }.bits().into())
})
.shown(|pattern, _| given(PRESSURE_SCALE, read(pattern).pressure_setting.bits()))
.shown_back(|wanted, pattern| {
    PRESSURE_SCALE.back(wanted.get("barometric_setting_hpa"), read(pattern).pressure_setting.bits(), 9)
});

const SELECTED_HEADING: Derived = Derived::new(
    "selected_heading_deg",
    "Selected heading, clockwise from north, steps of 180/256 degree",
    MeaningKind::Decimal,
    |pattern, _| {
        let m = read(pattern);
        let degrees = m.selected_heading.bits() as f64 * 180.0 / 256.0;
        Some(if m.heading_status.is_set() {
            Meaning::new(Value::decimal(degrees, 6), Wording::hundredths(degrees, "deg"))
        } else {
            Meaning::none("not valid")
        })
    },
)
.written(|wanted, pattern| {
    let degrees = number(wanted.get("selected_heading_deg").unwrap_or_default())?;
    let n = (degrees.rem_euclid(360.0) / 180.0 * 256.0).round() as u64 % 512;
    Ok(TargetState { selected_heading: Number::from_bits(n), heading_status: Flag::YES, ..read(pattern) }.bits().into())
})
.shown(|pattern, _| {
    let m = read(pattern);
    if m.heading_status.is_set() { vec![HEADING_SCALE.read(m.selected_heading.bits() as i64)] } else { Vec::new() }
})
.shown_back(|wanted, pattern| match wanted.get("selected_heading_deg").map(number) {
    Some(Ok(degrees)) => turned(degrees, HEADING_SCALE, read(pattern).selected_heading.bits(), 9),
    _ => Vec::new(),
});

const ALTITUDE_SCALE: Linear = Linear::from_one(32.0, " ft");
const PRESSURE_SCALE: Linear = Linear { offset: 800.0, ..Linear::from_one(0.8, " hPa") };
const HEADING_SCALE: Linear = Linear::new(180.0, 256.0, " deg");

/// A number whose code 0 says "no data".
fn given(scale: Linear, code: u64) -> Vec<Step> {
    if code == 0 { Vec::new() } else { vec![scale.read(code as i64)] }
}

/// A mode bit says something only where the message says that the modes are given.
macro_rules! mode {
    ($name:ident, $row:ident, $field:literal, $about:literal) => {
        const $name: Derived = Derived::new($field, $about, MeaningKind::Flag, |pattern, version| {
            let m = read(pattern);
            Some(if m.modes_given.is_set() {
                crate::code::Code::meaning(m.$row, version)
            } else {
                Meaning::none("modes not given")
            })
        });
    };
}
mode!(AUTOPILOT, autopilot, "autopilot_engaged", "Autopilot engaged");
mode!(VERTICAL_NAVIGATION, vertical_navigation, "vertical_navigation_engaged", "Vertical navigation engaged");
mode!(ALTITUDE_HOLD, altitude_hold, "altitude_hold_engaged", "Altitude hold engaged");
mode!(APPROACH, approach, "approach_engaged", "Approach mode engaged");
mode!(LATERAL_NAVIGATION, lateral_navigation, "lateral_navigation_engaged", "Lateral navigation engaged");
