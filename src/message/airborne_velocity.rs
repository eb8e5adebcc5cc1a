//! Airborne velocity: type code 19, subtypes 1 and 2 over the ground, 3 and 4 through the air; register 0,9.

use crate::code::table::{Derived, Wanted, table};
use crate::code::{
    AirspeedKind, Angle10, Bits, Code, CodeError, Flag, GeometricDifference, IntentChange, Linear, Meaning,
    MeaningKind, Nacv, Number, Reserved, Sign, Speed, Step, TypeCode, Value, Version, VerticalRate, VerticalRateSource,
    Wording, WriteWords, bits_step, decimals, finite, is_no_data, number,
};
use std::fmt;

table! {
    /// Velocity over the ground: type code 19, subtypes 1 and 2 (supersonic).
    AirborneVelocityGround: u64, 56 bits = "airborne_velocity", "airborne velocity over the ground",
    when "type code 19, subtypes 1 and 2",
    template 19 << 51 | 1 << 48;
    1..=5 type_code: TypeCode => "type_code", "Type code 19", "D251 H5";
    6..=8 subtype: Number<3> => "subtype", "1 over the ground, 2 the same supersonic", "D251 H5";
    9..=9 intent_change: IntentChange => "intent_change", "A change in the intent registers 4,0 to 4,2 (version 3: not used)", "D251 H5 AX";
    10..=10 ifr_capability: Flag, "Versions 0 and 1: IFR capability; version 2: reserved", "D251 D69 H5";
    11..=13 nacv: Nacv, "Versions 1 and 2: NACv; version 0: NUCr", "D69 D170 D251 H5 H7";
    14..=14 east_west_direction: Sign, "East (0) or west (1)", "D251 H5";
    15..=24 east_west_velocity: Speed, "East-west speed", "D251 H5";
    25..=25 north_south_direction: Sign, "North (0) or south (1)", "H5";
    26..=35 north_south_velocity: Speed, "North-south speed", "D251 H5";
    36..=36 vertical_rate_source: VerticalRateSource => "vertical_rate_source", "What measured the vertical rate", "H5";
    37..=37 vertical_rate_sign: Sign, "Up (0) or down (1)", "H5";
    38..=46 vertical_rate: VerticalRate, "Vertical rate", "H5";
    47..=48 reserved_47_48: Reserved<2>, "Reserved (version 0: turn indicator, from memory)", "H5";
    49..=49 geometric_difference_sign: Sign, "Geometric height above (0) or below (1) pressure altitude", "H5";
    50..=56 geometric_difference: GeometricDifference, "Geometric height minus pressure altitude", "H5";
    derived [
        EAST, NORTH, GROUND_SPEED, TRACK, vertical_rate::<AirborneVelocityGround>(),
        difference::<AirborneVelocityGround>(), nacv::<AirborneVelocityGround>(), nucr::<AirborneVelocityGround>(),
        ifr::<AirborneVelocityGround>(),
    ]
}

table! {
    /// Velocity through the air: type code 19, subtypes 3 and 4 (supersonic), sent only when ground velocity is missing.
    AirborneVelocityAir: u64, 56 bits = "airborne_velocity", "airborne velocity through the air",
    when "type code 19, subtypes 3 and 4",
    template 19 << 51 | 3 << 48;
    1..=5 type_code: TypeCode => "type_code", "Type code 19", "D252 H5";
    6..=8 subtype: Number<3> => "subtype", "3 through the air, 4 the same supersonic", "D252 H5";
    9..=9 intent_change: IntentChange => "intent_change", "A change in the intent registers 4,0 to 4,2 (version 3: not used)", "D251 H5 AX";
    10..=10 ifr_capability: Flag, "Versions 0 and 1: IFR capability; version 2: reserved", "D251 D69 H5";
    11..=13 nacv: Nacv, "Versions 1 and 2: NACv; version 0: NUCr", "D69 D170 D251 H5 H7";
    14..=14 heading_status: Flag => "heading_valid", "Whether the heading holds", "D252 H5";
    15..=24 heading: Angle10, "Heading", "D252 D70 H5";
    25..=25 airspeed_kind: AirspeedKind => "airspeed_kind", "Indicated or true airspeed", "D185 H5";
    26..=35 airspeed: Speed, "Airspeed", "H5";
    36..=36 vertical_rate_source: VerticalRateSource => "vertical_rate_source", "What measured the vertical rate", "H5";
    37..=37 vertical_rate_sign: Sign, "Up (0) or down (1)", "H5";
    38..=46 vertical_rate: VerticalRate, "Vertical rate", "H5";
    47..=48 reserved_47_48: Reserved<2>, "Reserved (version 0: turn indicator, from memory)", "H5";
    49..=49 geometric_difference_sign: Sign, "Geometric height above (0) or below (1) pressure altitude", "H5";
    50..=56 geometric_difference: GeometricDifference, "Geometric height minus pressure altitude", "H5";
    derived [
        HEADING, AIRSPEED, vertical_rate::<AirborneVelocityAir>(), difference::<AirborneVelocityAir>(),
        nacv::<AirborneVelocityAir>(), nucr::<AirborneVelocityAir>(), ifr::<AirborneVelocityAir>(),
    ]
}

/// What both kinds of velocity message carry.
pub(super) trait Velocity: Sized {
    fn read(pattern: u128) -> Self;
    fn bits(&self) -> u64;
    fn vertical(&mut self) -> (&mut Sign, &mut VerticalRate);
    fn difference(&mut self) -> (&mut Sign, &mut GeometricDifference);
    fn nacv(&self) -> Nacv;
    fn ifr(&self) -> Flag;
}

macro_rules! velocity {
    ($name:ident) => {
        impl Velocity for $name {
            fn read(pattern: u128) -> Self {
                Self::from_bits(pattern as u64)
            }
            fn bits(&self) -> u64 {
                self.bits()
            }
            fn vertical(&mut self) -> (&mut Sign, &mut VerticalRate) {
                (&mut self.vertical_rate_sign, &mut self.vertical_rate)
            }
            fn difference(&mut self) -> (&mut Sign, &mut GeometricDifference) {
                (&mut self.geometric_difference_sign, &mut self.geometric_difference)
            }
            fn nacv(&self) -> Nacv {
                self.nacv
            }
            fn ifr(&self) -> Flag {
                self.ifr_capability
            }
        }
    };
}
velocity!(AirborneVelocityGround);
velocity!(AirborneVelocityAir);

fn ground(pattern: u128) -> AirborneVelocityGround {
    AirborneVelocityGround::from_bits(pattern as u64)
}

fn air(pattern: u128) -> AirborneVelocityAir {
    AirborneVelocityAir::from_bits(pattern as u64)
}

/// What both kinds of velocity message say in physical units.
macro_rules! vertical_getters {
    ($name:ident, $bits:literal, $rate:literal, $difference:literal) => {
        impl $name {
            /// Vertical rate in feet per minute, up positive; `None` for no data and past the end of the scale.
            ///
            /// ```
            #[doc = concat!("use squitterlab::message::", stringify!($name), ";")]
            #[doc = concat!("assert_eq!(", stringify!($name), "::from_bits(", $bits, ").vertical_rate_fpm(), ", $rate, ");")]
            /// ```
            pub fn vertical_rate_fpm(&self) -> Option<i32> {
                self.vertical_rate.magnitude().map(|rate| self.vertical_rate_sign.apply(rate))
            }

            /// Geometric height minus pressure altitude in feet; `None` for no data and past the end of the scale.
            ///
            /// ```
            #[doc = concat!("use squitterlab::message::", stringify!($name), ";")]
            #[doc = concat!(
                "assert_eq!(", stringify!($name), "::from_bits(", $bits, ").geometric_minus_pressure_ft(), ", $difference, ");"
            )]
            /// ```
            pub fn geometric_minus_pressure_ft(&self) -> Option<i32> {
                self.geometric_difference.magnitude().map(|feet| self.geometric_difference_sign.apply(feet))
            }
        }
    };
}
// Handbook, ADS-B part, chapter 5: over the ground 159 kt and -832 ft/min, through the air 375 kt and -2304 ft/min.
vertical_getters!(AirborneVelocityGround, "0x9944_0994_0838_17", "Some(-832)", "Some(550)");
vertical_getters!(AirborneVelocityAir, "0x9B06_B6AF_1894_00", "Some(-2304)", "None");

impl AirborneVelocityAir {
    /// Heading in degrees; `None` if it does not hold.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityAir;
    /// let heading = AirborneVelocityAir::from_bits(0x9B06B6AF189400).heading_deg().unwrap();
    /// assert!((heading - 243.98).abs() < 0.01);
    /// ```
    pub fn heading_deg(&self) -> Option<f64> {
        self.heading_status.is_set().then(|| self.heading.degrees())
    }

    /// Airspeed in knots, indicated or true as `airspeed_kind` says; `None` for no data and past the end of the scale.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityAir;
    /// assert_eq!(AirborneVelocityAir::from_bits(0x9B06B6AF189400).airspeed_kt(), Some(375));
    /// ```
    pub fn airspeed_kt(&self) -> Option<u16> {
        self.airspeed.knots(Speed::step_kt(self.subtype.bits() as u8))
    }
}

impl AirborneVelocityGround {
    /// The message of an aircraft that moves so over the ground: subtype 1, or 2 where a component needs it; no vertical
    /// rate, no difference.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityGround;
    /// let message = AirborneVelocityGround::new(250.0, 90.0).unwrap();
    /// assert_eq!((message.ground_speed_kt(), message.track_deg()), (Some(250.0), Some(90.0)));
    /// assert_eq!(message.vertical_rate_fpm(), None);
    /// assert!(AirborneVelocityGround::new(-1.0, 0.0).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError`] for a negative speed, and for what is not a number.
    pub fn new(ground_speed_kt: f64, track_deg: f64) -> Result<Self, CodeError> {
        if finite(ground_speed_kt)? < 0.0 {
            return Err(CodeError::out_of_range(ground_speed_kt, 0, "any speed", " kt"));
        }
        let (sine, cosine) = finite(track_deg)?.to_radians().sin_cos();
        let (east, north) = (ground_speed_kt * sine, ground_speed_kt * cosine);
        let subtype = if east.abs().max(north.abs()) >= TOP_KT { 2 } else { 1 };
        let empty = Self { subtype: Number::from_bits(subtype), ..Self::from_bits(Self::TABLE.template as u64) };
        empty.with_velocity(east, north)
    }

    /// Speed over the ground in knots; `None` if a component is not given or past the end of its scale.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityGround;
    /// let speed = AirborneVelocityGround::from_bits(0x99440994083817).ground_speed_kt().unwrap();
    /// assert!((speed - 159.20).abs() < 0.01);
    /// ```
    pub fn ground_speed_kt(&self) -> Option<f64> {
        self.speed_and_track().map(|(speed, _)| speed)
    }

    /// Track over the ground in degrees from true north; `None` as well if the aircraft stands still.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityGround;
    /// let track = AirborneVelocityGround::from_bits(0x99440994083817).track_deg().unwrap();
    /// assert!((track - 182.88).abs() < 0.01);
    /// ```
    pub fn track_deg(&self) -> Option<f64> {
        self.speed_and_track().filter(|(speed, _)| *speed > 0.0).map(|(_, track)| track)
    }

    fn step_kt(&self) -> u16 {
        Speed::step_kt(self.subtype.bits() as u8)
    }

    /// East and north components in knots; `None` if one of them is not given or beyond the scale.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityGround;
    /// assert_eq!(AirborneVelocityGround::from_bits(0x99440994083817).components_kt(), Some((-8, -159)));
    /// ```
    pub fn components_kt(&self) -> Option<(i32, i32)> {
        let step = self.step_kt();
        let east = self.east_west_direction.apply(self.east_west_velocity.knots(step)?.into());
        let north = self.north_south_direction.apply(self.north_south_velocity.knots(step)?.into());
        Some((east, north))
    }

    /// What the ground speed is more than where a component is past the end of its scale; `None` if one is not given.
    fn least_speed_kt(&self) -> Option<f64> {
        let step = self.step_kt();
        let least = |speed: Speed| match speed.knots(step) {
            Some(knots) => Some(f64::from(knots)),
            None => (speed != Speed::NO_DATA).then(|| Speed::end_kt(step)),
        };
        Some(least(self.east_west_velocity)?.hypot(least(self.north_south_velocity)?))
    }

    /// Ground speed in knots and track in degrees.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityGround;
    /// let message = AirborneVelocityGround::from_bits(0x99440994083817);
    /// let (speed_kt, track_deg) = message.speed_and_track().unwrap();
    /// assert!((speed_kt - 159.20).abs() < 0.01 && (track_deg - 182.88).abs() < 0.01);
    /// ```
    pub fn speed_and_track(&self) -> Option<(f64, f64)> {
        let (east, north) = self.components_kt()?;
        let (east, north) = (f64::from(east), f64::from(north));
        Some((east.hypot(north), east.atan2(north).to_degrees().rem_euclid(360.0)))
    }
}

/// Whether a component has its sign bit, its step and its speed: as a code of which its words are made.
fn component_code(sign: Sign, speed: Speed, step: u16) -> u64 {
    sign.bits() << 32 | u64::from(step) << 16 | speed.bits()
}

fn component_words(code: u64, words: [&'static str; 2], f: &mut fmt::Formatter<'_>) -> fmt::Result {
    let step = (code >> 16) as u16;
    write!(f, "{}, {}", words[usize::from(code >> 32 == 1)], Speed::from_bits(code).words(step))
}

const EAST_OR_WEST: [&str; 2] = ["east", "west"];
const NORTH_OR_SOUTH: [&str; 2] = ["north", "south"];
const UP_OR_DOWN: [&str; 2] = ["up", "down"];
const ABOVE_OR_BELOW: [&str; 2] = ["above", "below"];

/// A sign bit and a magnitude.
fn read_signed(sign: Sign, words: [&str; 2], scale: Linear, code: u64) -> Vec<Step> {
    let bit = sign.bits();
    vec![Step::new(format!("sign bit {bit}"), words[usize::from(bit == 1)]), scale.read(code as i64)]
}

fn component(sign: Sign, speed: Speed, step: u16, write: WriteWords) -> Meaning {
    let text = Wording::written(component_code(sign, speed, step), Version::Two, write);
    match speed.knots(step) {
        Some(knots) => Meaning::new(Value::Integer(sign.apply(knots.into()).into()), text),
        None if speed == Speed::NO_DATA => Meaning::none(text),
        None => {
            let end = f64::from(sign.apply(1)) * Speed::end_kt(step);
            Meaning { text, ..Meaning::past(end, "kt") }
        }
    }
}

fn component_steps(sign: Sign, speed: Speed, step: u16, words: [&str; 2]) -> Vec<Step> {
    let Some(knots) = speed.knots(step) else { return Vec::new() };
    let towards = words[usize::from(sign.bits() == 1)];
    let read = speed_scale(step).read(speed.bits() as i64);
    let signed = sign.apply(knots.into());
    vec![
        Step::new(format!("direction bit {}", sign.bits()), towards),
        Step { result: format!("{}, so {signed} kt", read.result), ..read },
    ]
}

/// The scale of a speed with steps of this many knots.
const fn speed_scale(step: u16) -> Linear {
    Linear::from_one(step as f64, " kt")
}

/// From a signed value to its direction bit and its magnitude.
fn signed_steps(wanted: f64, words: [&str; 2], scale: Linear, code: u64, width: u8) -> Vec<Step> {
    let sign = Sign::of(wanted);
    let towards = words[usize::from(sign.bits() == 1)];
    let mut steps = vec![Step::note(format!("{towards}: the bit before the number is {}", sign.bits()))];
    if code == (1 << width) - 1 {
        steps.push(Step::note(format!("past the end of the scale: the last code, {code}")));
    } else {
        steps.extend(scale.write(wanted.abs(), code as i64));
    }
    steps.push(bits_step(code, width));
    steps
}

/// From speed and track to the two components and their codes.
fn components_back(wanted: &Wanted<'_>, pattern: u128) -> Vec<Step> {
    let get = |field: &str| wanted.get(field).and_then(|given| number(given).ok());
    let (Some(speed), Some(track)) = (get("ground_speed_kt"), get("track_deg")) else { return Vec::new() };
    let m = ground(pattern);
    let mut steps = Vec::new();
    for (name, ratio, words, code) in [
        ("sin", track.to_radians().sin(), EAST_OR_WEST, m.east_west_velocity),
        ("cos", track.to_radians().cos(), NORTH_OR_SOUTH, m.north_south_velocity),
    ] {
        let numbers = format!("{} x {name}({})", decimals(speed, 6), decimals(track, 6));
        let towards = format!("towards {}", words[0]);
        // As it is printed, so that whoever follows it goes on from the same number.
        let component = (speed * ratio * 1e6).round() / 1e6;
        steps.push(Step::new(numbers, format!("{} kt", decimals(component, 6))).of(towards));
        steps.extend(signed_steps(component, words, speed_scale(m.step_kt()), code.bits(), Speed::WIDTH));
    }
    if m.subtype.bits() == 2 {
        steps.insert(0, Step::note("a component beyond 1021.5 kt: subtype 2, with steps of 4 kt"));
    }
    steps
}

/// One component that is given by itself.
fn component_back(wanted: &Wanted<'_>, field: &str, words: [&str; 2], code: Speed, step: u16) -> Vec<Step> {
    let knots = wanted.get(field).and_then(|given| number(given).ok());
    knots.map_or_else(Vec::new, |knots| signed_steps(knots, words, speed_scale(step), code.bits(), Speed::WIDTH))
}

pub(super) const EAST: Derived =
    Derived::new("east_velocity_kt", "Velocity towards east", MeaningKind::Decimal, |pattern, _| {
        let m = ground(pattern);
        Some(component(m.east_west_direction, m.east_west_velocity, m.step_kt(), |code, _, f| {
            component_words(code, EAST_OR_WEST, f)
        }))
    })
    .capped()
    .written(|wanted, pattern| {
        let knots = number(wanted.get("east_velocity_kt").unwrap_or_default())?;
        let m = supersonic(wanted, ground(pattern), knots.abs());
        let east_west_velocity = Speed::from_knots(knots.abs(), m.step_kt())?;
        Ok(AirborneVelocityGround { east_west_direction: Sign::of(knots), east_west_velocity, ..m }.bits().into())
    })
    .shown(|pattern, _| {
        let m = ground(pattern);
        component_steps(m.east_west_direction, m.east_west_velocity, m.step_kt(), EAST_OR_WEST)
    })
    .shown_back(|wanted, pattern| {
        let m = ground(pattern);
        component_back(wanted, "east_velocity_kt", EAST_OR_WEST, m.east_west_velocity, m.step_kt())
    });

pub(super) const NORTH: Derived =
    Derived::new("north_velocity_kt", "Velocity towards north", MeaningKind::Decimal, |pattern, _| {
        let m = ground(pattern);
        Some(component(m.north_south_direction, m.north_south_velocity, m.step_kt(), |code, _, f| {
            component_words(code, NORTH_OR_SOUTH, f)
        }))
    })
    .capped()
    .written(|wanted, pattern| {
        let knots = number(wanted.get("north_velocity_kt").unwrap_or_default())?;
        let m = supersonic(wanted, ground(pattern), knots.abs());
        let north_south_velocity = Speed::from_knots(knots.abs(), m.step_kt())?;
        Ok(AirborneVelocityGround { north_south_direction: Sign::of(knots), north_south_velocity, ..m }.bits().into())
    })
    .shown(|pattern, _| {
        let m = ground(pattern);
        component_steps(m.north_south_direction, m.north_south_velocity, m.step_kt(), NORTH_OR_SOUTH)
    })
    .shown_back(|wanted, pattern| {
        let m = ground(pattern);
        component_back(wanted, "north_velocity_kt", NORTH_OR_SOUTH, m.north_south_velocity, m.step_kt())
    });

/// Speed and track go together: both are needed to make the components.
fn write_speed_and_track(wanted: &Wanted<'_>, pattern: u128) -> Result<u128, CodeError> {
    let get = |field: &str| {
        number(wanted.get(field).ok_or_else(|| {
            CodeError::Refused("ground_speed_kt and track_deg go together; one is missing".to_owned())
        })?)
    };
    let (speed, track) = (get("ground_speed_kt")?, get("track_deg")?.to_radians());
    if speed < 0.0 {
        return Err(CodeError::out_of_range(speed, 0, "any speed", " kt"));
    }
    let (east, north) = (speed * track.sin(), speed * track.cos());
    Ok(supersonic(wanted, ground(pattern), east.abs().max(north.abs())).with_velocity(east, north)?.bits().into())
}

/// The highest speed that a step of 1 kt can say.
const TOP_KT: f64 = 1021.5;

/// Takes the subtype that can say the speed, unless the caller named another.
fn supersonic(wanted: &Wanted<'_>, message: AirborneVelocityGround, knots: f64) -> AirborneVelocityGround {
    if wanted.get("subtype").is_none() && knots >= TOP_KT {
        AirborneVelocityGround { subtype: Number::from_bits(2), ..message }
    } else {
        message
    }
}

impl AirborneVelocityGround {
    /// The same message with other components, in knots.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityGround;
    /// let message = AirborneVelocityGround::from_bits(0x99440994083817).with_velocity(3.0, -4.0).unwrap();
    /// assert_eq!((message.ground_speed_kt(), message.vertical_rate_fpm()), (Some(5.0), Some(-832)));
    /// ```
    ///
    /// # Errors
    /// [`CodeError`] for a component that is not a number.
    pub fn with_velocity(self, east_kt: f64, north_kt: f64) -> Result<Self, CodeError> {
        let step = self.step_kt();
        Ok(Self {
            east_west_direction: Sign::of(east_kt),
            east_west_velocity: Speed::from_knots(east_kt.abs(), step)?,
            north_south_direction: Sign::of(north_kt),
            north_south_velocity: Speed::from_knots(north_kt.abs(), step)?,
            ..self
        })
    }
}

pub(super) const GROUND_SPEED: Derived =
    Derived::new("ground_speed_kt", "Speed over the ground", MeaningKind::Decimal, |pattern, _| {
        Some(match ground(pattern).speed_and_track() {
            Some((speed, _)) => Meaning::new(Value::decimal(speed, 2), Wording::hundredths(speed, "kt")),
            None => match ground(pattern).least_speed_kt() {
                Some(least) => Meaning::past(Value::rounded(least, 2), "kt"),
                None => Meaning::none("not given"),
            },
        })
    })
    .capped()
    .written(write_speed_and_track)
    .shown(|pattern, _| {
        let Some((east, north)) = ground(pattern).components_kt() else { return Vec::new() };
        let (speed, track) = (f64::from(east).hypot(north.into()), f64::from(east).atan2(north.into()).to_degrees());
        vec![
            Step::note(format!("east {east} kt, north {north} kt")),
            Step::new(format!("sqrt(({east})^2 + ({north})^2)"), format!("{speed:.4} kt")).of("speed"),
            Step::new(
                format!("atan2({east}, {north})"),
                format!("{track:.4} deg, from north clockwise {:.4} deg", track.rem_euclid(360.0)),
            )
            .of("track"),
        ]
    })
    .shown_back(components_back);

pub(super) const TRACK: Derived = Derived::new(
    "track_deg",
    "Track over the ground, clockwise from true north",
    MeaningKind::Decimal,
    |pattern, _| {
        Some(match ground(pattern).speed_and_track() {
            Some((speed, track)) if speed > 0.0 => {
                Meaning::new(Value::decimal(track, 4), Wording::hundredths(track, "deg"))
            }
            Some(_) => Meaning::none("none, the speed is zero"),
            None if ground(pattern).least_speed_kt().is_some() => {
                Meaning::none("cannot tell: a component is past the end of its scale")
            }
            None => Meaning::none("not given"),
        })
    },
)
.written(write_speed_and_track);

pub(super) const HEADING: Derived = Derived::new(
    "heading_deg",
    "Heading, clockwise from north (version 0: magnetic; later as the operational status says, from memory)",
    MeaningKind::Decimal,
    |pattern, version| {
        let m = air(pattern);
        Some(if m.heading_status.is_set() { m.heading.meaning(version) } else { Meaning::none("not available") })
    },
)
.written(|wanted, pattern| {
    let heading = number(wanted.get("heading_deg").unwrap_or_default()).and_then(Angle10::from_degrees)?;
    Ok(AirborneVelocityAir { heading, heading_status: Flag::YES, ..air(pattern) }.bits().into())
})
.shown_back(|wanted, pattern| {
    air(pattern).heading.steps_to(wanted.get("heading_deg").unwrap_or_default(), wanted.version)
});

pub(super) const AIRSPEED: Derived = Derived::new("airspeed_kt", "Airspeed", MeaningKind::Decimal, |pattern, _| {
    let m = air(pattern);
    let step = Speed::step_kt(m.subtype.bits() as u8);
    let text = Wording::written(u64::from(step) << 16 | m.airspeed.bits(), Version::Two, |code, _, f| {
        write!(f, "{}", Speed::from_bits(code).words((code >> 16) as u16))
    });
    Some(match m.airspeed.knots(step) {
        Some(knots) => Meaning::new(Value::Integer(knots.into()), text),
        None if m.airspeed == Speed::NO_DATA => Meaning::none(text),
        None => Meaning::past(Speed::end_kt(step), "kt"),
    })
})
.capped()
.written(|wanted, pattern| {
    let mut m = air(pattern);
    let knots = number(wanted.get("airspeed_kt").unwrap_or_default())?;
    if wanted.get("subtype").is_none() && knots >= TOP_KT {
        m.subtype = Number::from_bits(4);
    }
    let airspeed = Speed::from_knots(knots, Speed::step_kt(m.subtype.bits() as u8))?;
    Ok(AirborneVelocityAir { airspeed, ..m }.bits().into())
})
.shown(|pattern, _| {
    let m = air(pattern);
    let step = Speed::step_kt(m.subtype.bits() as u8);
    m.airspeed.knots(step).map_or_else(Vec::new, |_| vec![speed_scale(step).read(m.airspeed.bits() as i64)])
})
.shown_back(|wanted, pattern| {
    let m = air(pattern);
    let scale = speed_scale(Speed::step_kt(m.subtype.bits() as u8));
    let Some(Ok(knots)) = wanted.get("airspeed_kt").map(number) else { return Vec::new() };
    if m.airspeed.bits() == 1023 {
        return vec![Step::note("past the end of the scale: the last code, 1023"), bits_step(1023, Speed::WIDTH)];
    }
    let mut steps = scale.write(knots, m.airspeed.bits() as i64);
    steps.push(bits_step(m.airspeed.bits(), Speed::WIDTH));
    steps
});

pub(super) const fn vertical_rate<M: Velocity>() -> Derived {
    Derived::new("vertical_rate_fpm", "Vertical rate, up positive", MeaningKind::Integer, |pattern, version| {
        let mut m = M::read(pattern);
        let (sign, rate) = m.vertical();
        Some(rate.signed(*sign, version))
    })
    .capped()
    .written(|wanted, pattern| {
        let mut m = M::read(pattern);
        let given = wanted.get("vertical_rate_fpm").unwrap_or_default();
        let (sign, rate) = m.vertical();
        if is_no_data(given) {
            (*sign, *rate) = (Sign::of(0.0), VerticalRate::NO_DATA);
        } else {
            let fpm = number(given)?;
            (*sign, *rate) = (Sign::of(fpm), VerticalRate::from_magnitude(fpm)?);
        }
        Ok(m.bits().into())
    })
    .shown(|pattern, _| {
        let mut m = M::read(pattern);
        let (sign, rate) = m.vertical();
        rate.magnitude().map_or_else(Vec::new, |_| read_signed(*sign, UP_OR_DOWN, VerticalRate::SCALE, rate.bits()))
    })
    .shown_back(|wanted, pattern| {
        let mut m = M::read(pattern);
        let (_, rate) = m.vertical();
        let Some(Ok(fpm)) = wanted.get("vertical_rate_fpm").map(number) else { return Vec::new() };
        signed_steps(fpm, UP_OR_DOWN, VerticalRate::SCALE, rate.bits(), VerticalRate::WIDTH)
    })
}

pub(super) const fn difference<M: Velocity>() -> Derived {
    Derived::new(
        "geometric_minus_pressure_ft",
        "Geometric height minus pressure altitude",
        MeaningKind::Decimal,
        |pattern, version| {
            let mut m = M::read(pattern);
            let (sign, difference) = m.difference();
            Some(difference.signed(*sign, version))
        },
    )
    .capped()
    .written(|wanted, pattern| {
        let mut m = M::read(pattern);
        let given = wanted.get("geometric_minus_pressure_ft").unwrap_or_default();
        let (sign, difference) = m.difference();
        if is_no_data(given) {
            (*sign, *difference) = (Sign::of(0.0), GeometricDifference::NO_DATA);
        } else {
            let feet = number(given)?;
            (*sign, *difference) = (Sign::of(feet), GeometricDifference::from_magnitude(feet)?);
        }
        Ok(m.bits().into())
    })
    .shown(|pattern, _| {
        let mut m = M::read(pattern);
        let (sign, difference) = m.difference();
        let scale = GeometricDifference::SCALE;
        difference.magnitude().map_or_else(Vec::new, |_| read_signed(*sign, ABOVE_OR_BELOW, scale, difference.bits()))
    })
    .shown_back(|wanted, pattern| {
        let mut m = M::read(pattern);
        let (_, difference) = m.difference();
        let Some(Ok(feet)) = wanted.get("geometric_minus_pressure_ft").map(number) else { return Vec::new() };
        let scale = GeometricDifference::SCALE;
        signed_steps(feet, ABOVE_OR_BELOW, scale, difference.bits(), GeometricDifference::WIDTH)
    })
}

const fn nacv<M: Velocity>() -> Derived {
    Derived::new(
        "nacv",
        "Navigation accuracy category for velocity (versions 1 and 2)",
        MeaningKind::Integer,
        |pattern, version| (version != Version::Zero).then(|| M::read(pattern).nacv().meaning(version)),
    )
    .varying()
}

const fn nucr<M: Velocity>() -> Derived {
    Derived::new(
        "nucr",
        "Navigation uncertainty category for velocity (version 0)",
        MeaningKind::Integer,
        |pattern, version| (version == Version::Zero).then(|| M::read(pattern).nacv().meaning(version)),
    )
    .varying()
}

const fn ifr<M: Velocity>() -> Derived {
    Derived::new(
        "ifr_capability",
        "Conflict detection of class A1 or above (versions 0 and 1)",
        MeaningKind::Flag,
        |pattern, version| (version < Version::Two).then(|| M::read(pattern).ifr().meaning(version)),
    )
    .varying()
}
