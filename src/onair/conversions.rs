//! Converts the values of settings to the codes on the air, for the rows of the list of transmissions.
// Values of settings come as the profile holds them.
#![allow(clippy::trivially_copy_pass_by_ref)]

use super::unit::Unit;
use super::{Flight, When};
use crate::code::table::{Row, names};
use crate::code::{
    Altitude12, Altitude13, AltitudeStep, Bits, Capability, CategoryOctet, CodeError, CruiseSpeedClass,
    EmitterCategory, Flag, Gva, LateralOffset, LengthWidth, LongitudinalOffset, ModeA, Nacp, Nacv, NicBaro, Number,
    PositionCodes, RegisterNumber, ReplyInformation, Sda, Sil, SilSupplement, TypeCode, Version, VersionNumber,
    position_codes,
};
use crate::downlink::ShortAirAir;
use crate::frame::{Frame, Span};
use crate::message::AircraftStatus;
use crate::profile::{
    Acas, AirGroundKind, AltitudeSourceKind, Antenna, DirectionKind, FromCentreLine, FromNose, IdentificationSource,
    Length, North, Profile, Registers, SilPer, Speed, StandardVersion, StepFt, TransmitPower, Whole,
};
use crate::register::usage_bit;

/// What a conversion gives: a code, no code, or the reason why a value has none.
pub(super) trait Given {
    /// The code.
    type Code;
    /// The same in one form.
    fn given(self) -> Result<Option<Self::Code>, CodeError>;
}

impl<C: Bits> Given for C {
    type Code = C;
    fn given(self) -> Result<Option<C>, CodeError> {
        Ok(Some(self))
    }
}

impl<C: Bits> Given for Option<C> {
    type Code = C;
    fn given(self) -> Result<Option<C>, CodeError> {
        Ok(self)
    }
}

impl<C: Bits> Given for Result<C, CodeError> {
    type Code = C;
    fn given(self) -> Result<Option<C>, CodeError> {
        self.map(Some)
    }
}

impl<C: Bits> Given for Result<Option<C>, CodeError> {
    type Code = C;
    fn given(self) -> Result<Option<C>, CodeError> {
        self
    }
}

// Whole numbers and flags --------------------------------------------------------------------------------------------

/// Whole numbers that are their own codes.
macro_rules! numbers {
    ($($name:ident: $least:literal to $most:literal, $code:ty;)+) => { $(
        pub(super) fn $name(value: &Whole<$least, $most>) -> $code {
            <$code>::from_bits(value.0.into())
        }
    )+ };
}
numbers! {
    nacp_code: 0 to 11, Nacp;
    nacv_code: 0 to 4, Nacv;
    gva_code: 0 to 2, Gva;
    sil_code: 0 to 3, Sil;
    sda_code: 0 to 3, Sda;
}

pub(super) fn version_code(version: &StandardVersion) -> VersionNumber {
    VersionNumber::new(version.0)
}

pub(super) fn flag(value: &bool) -> Flag {
    Flag::new(*value)
}

pub(super) fn same<C: Bits>(value: &C) -> C {
    *value
}

// The format around a message ----------------------------------------------------------------------------------------

/// Capability: the level and the air/ground input decide it together with the state.
pub(super) fn capability(unit: &Unit<'_>, level: &Whole<1, 5>, input: &AirGroundKind) -> Capability {
    match (level.0, input) {
        (1, _) => Capability::LEVEL_1,
        (_, AirGroundKind::None) => Capability::EITHER,
        _ if unit.when == When::OnGround => Capability::ON_GROUND,
        _ => Capability::AIRBORNE,
    }
}

/// Capability 7 is the flight's: a request, an alert or an ident is on.
pub(super) fn capability_tells(frame: &Frame) -> bool {
    frame.field(Span::new(6, 8)) != Capability::REQUEST_OR_ALERT.bits()
}

/// In the air and on the ground are the flight's.
pub(super) const fn either_state(code: u64) -> &'static [u64] {
    match code {
        4 => &[5],
        5 => &[4],
        _ => &[],
    }
}

pub(super) fn reply_says_airspeed(frame: &Frame) -> bool {
    frame.field(ShortAirAir::reply_information.span) >= 8
}

pub(super) fn reply_says_acas(frame: &Frame) -> bool {
    !reply_says_airspeed(frame)
}

pub(super) fn airspeed(speed: &Speed) -> Result<ReplyInformation, CodeError> {
    CruiseSpeedClass::from_knots(speed.in_knots()).map(CruiseSpeedClass::reply_information)
}

pub(super) fn acas_reply(acas: &Acas) -> ReplyInformation {
    ReplyInformation::from_bits(match acas {
        Acas::None => 0,
        Acas::AdvisoriesOnly => 2,
        Acas::Resolution => 3,
    })
}

// The step of the altitude -------------------------------------------------------------------------------------------

const fn step_row(bit: u8) -> Row {
    const NAME: &str = "altitude_step_ft";
    Row::of::<AltitudeStep>(Span::new(bit, bit), names!(NAME, Some(NAME)), "25-ft or 100-ft steps", "H3")
}

/// Its place in a squitter's message.
pub(super) const STEP_IN_MESSAGE: Row = step_row(16);
/// Its place in a surveillance or Comm-B reply.
pub(super) const STEP_IN_REPLY: Row = step_row(28);

/// Whether the altitude of a squitter is there, and low enough for either step.
pub(super) fn squitter_altitude_tells(frame: &Frame) -> bool {
    low(Altitude12::from_bits(frame.field(Span::new(41, 52))).feet())
}

pub(super) fn reply_altitude_tells(frame: &Frame) -> bool {
    low(Altitude13::from_bits(frame.field(Span::new(20, 32))).feet())
}

fn low(feet: Option<i32>) -> bool {
    feet.is_some_and(|feet| feet < 50_000)
}

/// The step, if the frame has an altitude to show it.
pub(super) fn step(unit: &Unit<'_>, step: &StepFt) -> Result<Option<Number<1>>, CodeError> {
    Ok(shown_step(unit, unit.altitude()?, *step))
}

pub(super) fn step_without_position(unit: &Unit<'_>, step: &StepFt) -> Result<Option<Number<1>>, CodeError> {
    Ok(shown_step(unit, unit.altitude_without_position()?, *step))
}

fn shown_step(unit: &Unit<'_>, altitude: Altitude12, step: StepFt) -> Option<Number<1>> {
    let shown = low(altitude.feet()) || matches!(unit.flight, Flight::Healthy);
    shown.then(|| Number::from_bits(u64::from(step.0 == 25)))
}

// Identity -----------------------------------------------------------------------------------------------------------

/// The set of a category is in the type code and its number beside it, so one setting decides two rows.
pub(super) const CATEGORY: Row = Row::of::<CategoryOctet>(
    Span::new(1, 8),
    names!("emitter_category", Some("emitter_category")),
    "Set and number of the emitter category",
    "H2",
);

pub(super) fn category_bits(category: &EmitterCategory) -> Number<8> {
    Number::from_bits(u64::from(category.type_code()) << 3 | category.code().bits())
}

pub(super) fn crew_enters_it(profile: &Profile) -> bool {
    profile.identification_source.get() == Some(&IdentificationSource::CrewEntered)
}

/// The Mode A code of an aircraft status, by the name that its meaning has.
pub(super) const MODE_A: Row = Row { field: Some("mode_a_code"), ..AircraftStatus::mode_a };

pub(super) fn mode_a_bits(code: &ModeA) -> Number<13> {
    Number::from_bits(code.bits())
}

// Quality ------------------------------------------------------------------------------------------------------------

/// Whether a surface position says this NIC: type code 8 without supplements says 0.
fn says(nic: &Whole<0, 11>, codes: (u8, u8, u8)) -> bool {
    nic.0 == 0 || codes != (8, 0, 0)
}

/// Type code and supplements that say a NIC. The surface has no code for 1 to 5 (of versions 0 and 1 for 1 to 7): what goes
/// out there is 0, which shows nothing of the setting.
macro_rules! nic {
    ($($(#[$doc:meta])* $name:ident: $version:expr, $code:ty = |$codes:ident, $nic:ident| $get:expr;)+) => { $(
        $(#[$doc])*
        pub(super) fn $name($nic: &Whole<0, 11>) -> Result<Option<$code>, CodeError> {
            let $codes: PositionCodes = position_codes($nic.0, $version)?;
            Ok($get)
        }
    )+ };
}
nic! {
    airborne_type_code: Version::Two, TypeCode = |codes, nic| Some(TypeCode::new(codes.airborne.0));
    supplement_a: Version::Two, Number<1> = |codes, nic| Some(Number::from_bits(codes.airborne.1.into()));
    supplement_b: Version::Two, Flag = |codes, nic| Some(Flag::from_bits(codes.airborne.2.into()));
    surface_type_code: Version::Two, TypeCode = |codes, nic| says(nic, codes.surface).then(|| TypeCode::new(codes.surface.0));
    surface_supplement_a: Version::Two, Number<1> = |codes, nic| says(nic, codes.surface).then(|| Number::from_bits(codes.surface.1.into()));
    surface_supplement_c: Version::Two, Number<1> = |codes, nic| says(nic, codes.surface).then(|| Number::from_bits(codes.surface.2.into()));
    airborne_type_code_version_1: Version::One, TypeCode = |codes, nic| Some(TypeCode::new(codes.airborne.0));
    supplement_version_1: Version::One, Number<1> = |codes, nic| Some(Number::from_bits(codes.airborne.1.into()));
    surface_type_code_version_1: Version::One, TypeCode = |codes, nic| says(nic, codes.surface).then(|| TypeCode::new(codes.surface.0));
    surface_supplement_version_1: Version::One, Number<1> = |codes, nic| says(nic, codes.surface).then(|| Number::from_bits(codes.surface.1.into()));
    airborne_type_code_version_0: Version::Zero, TypeCode = |codes, nic| Some(TypeCode::new(codes.airborne.0));
    surface_type_code_version_0: Version::Zero, TypeCode = |codes, nic| says(nic, codes.surface).then(|| TypeCode::new(codes.surface.0));
}

pub(super) fn per(per: &SilPer) -> SilSupplement {
    SilSupplement::from_bits(u64::from(*per == SilPer::Sample))
}

/// Anything but grey-code wires counts as checked; wires only with a second source.
pub(super) fn nic_baro(source: Option<&AltitudeSourceKind>, checked: Option<&bool>) -> Option<NicBaro> {
    let checked = match source? {
        AltitudeSourceKind::Parallel => *checked?,
        _ => true,
    };
    Some(NicBaro::from_bits(checked.into()))
}

// The aircraft -------------------------------------------------------------------------------------------------------

/// The box that holds the aircraft; a size of zero is a size that was never set.
pub(super) fn size(length: &Length, width: &Length) -> Result<LengthWidth, CodeError> {
    let (length, width) = (length.in_metres(), width.in_metres());
    if length == 0.0 && width == 0.0 {
        return Ok(LengthWidth::NO_DATA);
    }
    LengthWidth::from_metres(length, width)
}

/// In version 1 code 0 is a box too, the smallest (ICAO Doc 9871 draft, page 162).
pub(super) fn size_version_1(length: &Length, width: &Length) -> Result<LengthWidth, CodeError> {
    let smallest = LengthWidth::NO_DATA.bounds_m(Version::One);
    let holds = |(longest, widest)| length.in_metres() <= longest && width.in_metres() <= widest;
    let code = size(length, width)?;
    Ok(if smallest.is_some_and(holds) { LengthWidth::NO_DATA } else { code })
}

pub(super) fn lateral(offset: &FromCentreLine) -> Result<LateralOffset, CodeError> {
    offset.metres().map_or(Ok(LateralOffset::NO_DATA), LateralOffset::from_metres)
}

pub(super) fn longitudinal(offset: &FromNose) -> Result<LongitudinalOffset, CodeError> {
    match offset {
        FromNose::NotKnown => Ok(LongitudinalOffset::NO_DATA),
        FromNose::AppliedBySensor => Ok(LongitudinalOffset::APPLIED_BY_SENSOR),
        FromNose::Measured(length) => LongitudinalOffset::from_metres(length.in_metres()),
    }
}

/// Version 1 has no distance: one bit says that positions are of the aircraft's reference point.
pub(super) fn at_reference_point(offset: &FromNose) -> Flag {
    Flag::new(*offset == FromNose::AppliedBySensor)
}

pub(super) fn below_70_w(power: &TransmitPower) -> Flag {
    Flag::new(*power == TransmitPower::Below70W)
}

pub(super) fn single(antenna: &Antenna) -> Flag {
    Flag::new(*antenna == Antenna::Single)
}

/// The bit says that resolution advisories can be given, so advisories alone leave it at 0.
pub(super) fn gives_advisories(acas: &Acas) -> Flag {
    Flag::new(*acas == Acas::Resolution)
}

/// The bit of version 1 has the other sense.
pub(super) fn gives_no_advisories(acas: &Acas) -> Flag {
    Flag::new(*acas != Acas::Resolution)
}

pub(super) fn is_heading(kind: &DirectionKind) -> Flag {
    Flag::new(*kind == DirectionKind::Heading)
}

pub(super) fn is_magnetic(north: &North) -> Flag {
    Flag::new(*north == North::Magnetic)
}

// Registers ----------------------------------------------------------------------------------------------------------

/// Whether the install serves a register.
pub(super) fn serves(profile: &Profile, number: u8) -> bool {
    profile.data_link_registers.get().is_some_and(|served| served.0.contains(&RegisterNumber::new(number)))
}

pub(super) fn serves_identification(served: &Registers) -> Flag {
    Flag::new(served.0.contains(&RegisterNumber::new(0x20)))
}

/// A register's bit is 0 while it lacks data, so only the bits that are set say something of the install.
pub(super) fn in_use(row: &Row, served: &Registers) -> Option<Flag> {
    let bits = served.0.iter().filter_map(|number| usage_bit(*number));
    bits.into_iter().any(|bit| bit == row.span.first).then_some(Flag::YES)
}
