//! Each frame of the configured unit, built from the same message tables that read it.

use super::flown::{self, Motion};
use super::{Decision, Emission, Rule, Situation, When};
use crate::code::table::{Row, Table};
use crate::code::{
    Altitude12, Bits, Capability, Code, CodeError, CprFormat, CruiseSpeedClass, Flag, FlightStatus, Gva, LateralOffset,
    LengthWidth, LongitudinalOffset, Meaning, ModeA, Nacp, Nacv, NicBaro, Number, ReplyInformation, Sda, Sil,
    SilSupplement, SurveillanceStatus, TypeCode, Value, Version, VersionNumber, VerticalRateSource, VerticalStatus,
    position_codes,
};
use crate::downlink::{
    AllCall, CommBAltitude, ExtendedSquitter, PAYLOAD_OFFSET, ShortAirAir, SurveillanceAltitude, SurveillanceIdentity,
};
use crate::frame::{Frame, Span};
use crate::message::{
    AirbornePosition, AirborneVelocityGround, AircraftIdentification, AircraftStatus, NoPosition,
    OperationalStatusAirborne, OperationalStatusSurface, SurfacePosition, TargetState,
};
use crate::profile::{
    Acas, AirGroundKind, AltitudeSourceKind, Antenna, DirectionKind, FromCentreLine, FromNose, IdentificationSource,
    North, Profile, SETTINGS, SilPer, Stated,
};
use crate::register::{AircraftIdentificationRegister, CommonUsage, DataLinkCapability, usage_bit};

/// What is known of the flight.
#[derive(Clone, Copy, Debug)]
pub enum Flight<'a> {
    /// Nothing: no flight values, and positions are type code 0.
    Unknown,
    /// Nothing, but positions are there: what frames of a healthy flight are held against.
    Healthy,
    /// A situation.
    Situation(&'a Situation),
}

const ADDRESS: &[&str] = &["/aircraft/address"];
const CAPABILITY: &[&str] = &["/transponder/mode_s_level", "/transponder/air_ground/kind"];
const SIZE: &[&str] = &["/aircraft/length", "/aircraft/width"];
const NIC_BARO: &[&str] = &["/transponder/altitude_source/kind", "/transponder/altitude_source/cross_checked"];
const RESOLUTION: &[&str] = &["/transponder/altitude_source/resolution_ft"];
const ACAS: &[&str] = &["/transponder/acas"];
const NIC: &[&str] = &["/position_source/nic"];
const UTC: &[&str] = &["/position_source/utc_synchronised"];
const IDENTIFICATION: &[&str] = &["/aircraft/aircraft_identification"];

/// Every frame that the configured unit sends by itself, and every reply that carries an install setting, in order of
/// downlink format, type code, subtype and state.
///
/// # Errors
/// [`CodeError`] where the address is not stated, where the version is one that cannot be encoded, and where a setting
/// has no code.
pub fn emissions(profile: &Profile, flight: Flight<'_>) -> Result<Vec<Emission>, CodeError> {
    if profile.address.get().is_none() {
        return Err(CodeError::Refused("/aircraft/address is not stated, and every frame carries it".to_owned()));
    }
    // A supposed profile may have any version: only the number is looked at then.
    if let Some(version) = profile.mops_version.get().map(|version| version.0)
        && version != 2
        && !matches!(flight, Flight::Healthy)
    {
        return Err(CodeError::Refused(format!(
            "/transponder/mops_version is {version}: frames of version 2 only can be made"
        )));
    }
    let states: &[When] = match flight {
        Flight::Situation(situation) if situation.airborne => &[When::Airborne],
        Flight::Situation(_) => &[When::OnGround],
        _ => &[When::Airborne, When::OnGround],
    };
    let mut all: Vec<Emission> = Vec::new();
    for when in states {
        let unit = Unit { profile, flight, when: *when };
        for emission in unit.all()? {
            // What is the same in both states is one frame.
            match all.iter_mut().find(|other| other.frame == emission.frame && other.asked_by == emission.asked_by) {
                Some(other) => other.when = When::Both,
                None => all.push(emission),
            }
        }
    }
    let order = |emission: &Emission| {
        let bits = emission.frame.message_field();
        (emission.frame.downlink_format(), bits >> 51, bits >> 48 & 7, emission.when)
    };
    all.sort_by_key(order);
    Ok(all)
}

/// Why a setting cannot be seen on the air at all, if that is so.
pub fn why_not_on_air(profile: &Profile, pointer: &str) -> Option<&'static str> {
    let surface_only = matches!(
        pointer,
        "/aircraft/length"
            | "/aircraft/width"
            | "/position_source/antenna_offset/from_nose"
            | "/position_source/antenna_offset/from_centre_line"
            | "/position_source/surface_direction/kind"
            | "/position_source/surface_direction/reference"
    );
    if surface_only && profile.air_ground_kind.get() == Some(&AirGroundKind::None) {
        return Some("without an air/ground input surface messages do not normally go out");
    }
    match pointer {
        "/aircraft/registration" => Some("never sent; address and identification are"),
        "/aircraft/identification_source" => Some("never sent; it says who may change the identification"),
        "/transponder/air_ground/active_means" => {
            Some("never sent; it shows only as the right state at the right time, so try both states")
        }
        "/aircraft/kind" | "/aircraft/maximum_take_off_weight" => {
            Some("never sent; the emitter category follows from it")
        }
        "/notes" => Some("never sent"),
        _ => None,
    }
}

/// Stated settings that stand in none of these frames, each with the reason.
pub fn not_in(profile: &Profile, frames: &[Emission]) -> Vec<(&'static str, String)> {
    let shown = |pointer: &str| {
        let in_decisions =
            |decisions: &[Decision]| decisions.iter().any(|decision| decision.settings.contains(&pointer));
        frames.iter().any(|frame| in_decisions(&frame.decisions) || in_decisions(&frame.used))
    };
    // With positions and altitude there, more settings have a place.
    let in_flight = emissions(profile, Flight::Healthy).unwrap_or_default();
    let shown_in_flight = |pointer: &str| {
        in_flight.iter().flat_map(|frame| &frame.decisions).any(|decision| decision.settings.contains(&pointer))
    };
    SETTINGS
        .iter()
        .filter(|setting| setting.pointer != "/notes" && !shown(setting.pointer))
        .filter_map(|setting| {
            let reason = match (setting.words)(profile) {
                Stated::NotStated => return None,
                Stated::ToBeFilledIn => "still to be filled in",
                Stated::Is(_) => why_not_on_air(profile, setting.pointer).unwrap_or(if shown_in_flight(setting.pointer) {
                    "stands in frames of the other state, or in those with a position or an altitude: give a situation"
                } else {
                    "goes out only together with a setting that is not stated, or in no message of this install"
                }),
            };
            Some((setting.pointer, reason.to_owned()))
        })
        .collect()
}

/// The unit in one state.
struct Unit<'a> {
    profile: &'a Profile,
    flight: Flight<'a>,
    when: When,
}

/// A frame being put together.
struct Draft {
    table: &'static Table,
    envelope: &'static Table,
    pattern: u128,
    decisions: Vec<Decision>,
    used: Vec<Decision>,
    asked_by: Option<&'static str>,
}

impl Draft {
    fn new(envelope: &'static Table, payload: Option<(&'static Table, u64)>) -> Self {
        let mut pattern = envelope.template;
        if let (Some((_, bits)), Some(row)) = (payload, envelope.rows.iter().find(|row| row.key == "message_field")) {
            pattern = envelope.with_code(row, pattern, bits);
        }
        Self {
            table: payload.map_or(envelope, |(table, _)| table),
            envelope,
            pattern,
            decisions: Vec::new(),
            used: Vec::new(),
            asked_by: None,
        }
    }

    /// A row of the format around the message, filled by the flight.
    fn outer<C: Code>(mut self, row: &Row, code: C) -> Self {
        self.pattern = self.envelope.with_code(row, self.pattern, code.bits());
        self
    }

    fn place(&mut self, span: Span, code: u64) {
        let length = self.envelope.bits;
        let mask = span.mask(length);
        self.pattern = self.pattern & !mask | (u128::from(code) << (length - span.last)) & mask;
    }

    fn decision<C: Code>(row: &Row, span: Span, code: C, settings: &'static [&'static str], rule: Rule) -> Decision {
        Decision {
            settings,
            field: row.field.unwrap_or(row.key),
            span,
            code: code.bits(),
            also: &[],
            meaning: row.meaning,
            rule,
            by_version: false,
            applies: None,
        }
    }

    /// A row of the format around the message that the install decides, where the setting is stated.
    fn decide_outer<C: Code>(mut self, row: &Row, code: Option<C>, settings: &'static [&'static str]) -> Self {
        if let Some(code) = code {
            self.place(row.span, code.bits());
            self.decisions.push(Self::decision(row, row.span, code, settings, Rule::Equal));
        }
        self
    }

    /// A row of the message that the install decides, where the setting is stated.
    fn decide<C: Code>(mut self, row: &Row, code: Option<C>, settings: &'static [&'static str], rule: Rule) -> Self {
        if let Some(code) = code {
            let span = row.span.shifted(PAYLOAD_OFFSET);
            self.place(span, code.bits());
            self.decisions.push(Self::decision(row, span, code, settings, rule));
        }
        self
    }

    /// Says of the last decision when an observed frame counts for it.
    fn only_where(mut self, row: &Row, applies: fn(&Frame) -> bool) -> Self {
        if let Some(last) = self.decisions.last_mut().filter(|last| last.field == row.field.unwrap_or(row.key)) {
            last.applies = Some(applies);
        }
        self
    }

    /// Says of the last decision which other codes say the same of the install.
    fn or_also(mut self, row: &Row, also: &'static [u64]) -> Self {
        let is_it = |last: &&mut Decision| last.field == row.field.unwrap_or(row.key) && matches!(last.code, 4 | 5);
        if let Some(last) = self.decisions.last_mut().filter(is_it) {
            last.also = also;
        }
        self
    }

    /// Says of the last decision that its meaning hangs on the version in force.
    fn by_version(mut self, row: &Row) -> Self {
        if let Some(last) = self.decisions.last_mut().filter(|last| last.field == row.field.unwrap_or(row.key)) {
            last.by_version = true;
        }
        self
    }

    fn asked_by(mut self, asked_by: &'static str) -> Self {
        self.asked_by = Some(asked_by);
        self
    }
}

/// The one bit of an altitude code that tells 25-ft steps from 100-ft steps.
fn step_meaning(code: u64, _version: Version) -> Meaning {
    let step = if code == 1 { 25 } else { 100 };
    Meaning::new(Value::Integer(step), format!("{step}-ft steps"))
}

/// Whether the altitude of a squitter is there, and low enough for either step.
fn squitter_altitude_tells(frame: &Frame) -> bool {
    let altitude = Altitude12::from_bits(frame.field(Span::new(41, 52)));
    altitude.feet().is_some_and(|feet| feet < 50_000)
}

fn reply_altitude_tells(frame: &Frame) -> bool {
    let altitude = crate::code::Altitude13::from_bits(frame.field(Span::new(20, 32)));
    altitude.feet().is_some_and(|feet| feet < 50_000)
}

/// Capability 7 is the flight's: a request, an alert or an ident is on.
fn capability_tells(frame: &Frame) -> bool {
    frame.field(Span::new(6, 8)) != Capability::REQUEST_OR_ALERT.bits()
}

impl Unit<'_> {
    fn situation(&self) -> Option<&Situation> {
        match self.flight {
            Flight::Situation(situation) => Some(situation),
            _ => None,
        }
    }

    fn motion(&self) -> Motion {
        self.situation().map_or_else(Motion::default, Situation::motion)
    }

    /// Whether messages take the surface formats: only where the unit can know the ground.
    fn on_surface(&self) -> bool {
        self.when == When::OnGround && self.profile.air_ground_kind.get() != Some(&AirGroundKind::None)
    }

    fn all(&self) -> Result<Vec<Emission>, CodeError> {
        let mut drafts = vec![
            self.short_air_air(true)?,
            self.short_air_air(false)?,
            self.surveillance_altitude()?,
            self.surveillance_identity(),
            self.all_call(),
        ];
        if self.profile.mode_s_level.get().is_none_or(|level| level.0 >= 2) {
            drafts.extend(self.positions()?);
            drafts.push(self.identification());
            drafts.push(self.aircraft_status());
            if self.on_surface() {
                drafts.push(self.operational_status_surface()?);
            } else {
                drafts.push(self.velocity()?);
                drafts.push(self.operational_status_airborne()?);
                if self.profile.sends_target_state.get() == Some(&true) {
                    drafts.push(self.target_state());
                }
            }
            drafts.extend(self.registers());
        }
        Ok(drafts.into_iter().map(|draft| self.finish(draft)).collect())
    }

    fn finish(&self, draft: Draft) -> Emission {
        let address_in_parity = !draft.envelope.rows.iter().any(|row| row.key == "address");
        let address = self.profile.address.get().copied();
        let frame = Frame::from_pattern(draft.pattern, draft.envelope.bits);
        let overlay = address.filter(|_| address_in_parity).map_or(0, crate::frame::Address::bits);
        let mut decisions = draft.decisions;
        decisions.sort_by_key(|decision| decision.span);
        Emission {
            table: draft.table,
            envelope: draft.envelope,
            when: self.when,
            frame: frame.with_overlay(overlay),
            decisions,
            used: draft.used,
            address_in_parity,
            asked_by: draft.asked_by,
        }
    }

    // The envelope ---------------------------------------------------------------------------------------------------

    /// Capability: the level and the air/ground input decide it together with the state.
    fn capability(&self) -> Option<Capability> {
        match (self.profile.mode_s_level.get()?.0, self.profile.air_ground_kind.get()?) {
            (1, _) => Some(Capability::LEVEL_1),
            (_, AirGroundKind::None) => Some(Capability::EITHER),
            _ if self.when == When::OnGround => Some(Capability::ON_GROUND),
            _ => Some(Capability::AIRBORNE),
        }
    }

    fn with_capability_and_address(&self, draft: Draft, capability: &Row, address: &Row) -> Draft {
        let state = if self.when == When::OnGround { Capability::ON_GROUND } else { Capability::AIRBORNE };
        draft
            .outer(capability, state)
            .decide_outer(capability, self.capability(), CAPABILITY)
            .only_where(capability, capability_tells)
            .or_also(capability, if self.capability() == Some(Capability::ON_GROUND) { &[5] } else { &[4] })
            .decide_outer(address, self.profile.address.get().copied(), ADDRESS)
    }

    fn squitter(&self, table: &'static Table, bits: u64) -> Draft {
        let draft = Draft::new(ExtendedSquitter::TABLE, Some((table, bits)));
        self.with_capability_and_address(draft, &ExtendedSquitter::capability, &ExtendedSquitter::address)
    }

    fn all_call(&self) -> Draft {
        let draft = Draft::new(AllCall::TABLE, None);
        self.with_capability_and_address(draft, &AllCall::capability, &AllCall::address)
    }

    fn flight_status(&self) -> FlightStatus {
        let ident = self.situation().is_some_and(|situation| situation.ident);
        FlightStatus::from_bits(if ident { 5 } else { u64::from(self.when == When::OnGround) })
    }

    fn vertical_status(&self) -> VerticalStatus {
        VerticalStatus::from_bits(u64::from(self.when == When::OnGround))
    }

    // Altitude -------------------------------------------------------------------------------------------------------

    /// The altitude code, in the step of the altitude source.
    fn altitude(&self) -> Result<Altitude12, CodeError> {
        let step = self.profile.altitude_resolution.get().map_or(25, |step| step.0);
        match self.situation().and_then(|situation| situation.pressure_altitude_ft) {
            Some(feet) => Altitude12::from_feet(feet, step),
            None => Ok(Altitude12::NO_DATA),
        }
    }

    /// Adds the decision on the step bit, where the frame has an altitude to show it.
    fn deciding_step(&self, mut draft: Draft, altitude: Altitude12, bit: u8, applies: fn(&Frame) -> bool) -> Draft {
        let Some(step) = self.profile.altitude_resolution.get() else { return draft };
        let shown = altitude.feet().is_some_and(|feet| feet < 50_000);
        if shown || matches!(self.flight, Flight::Healthy) {
            let span = Span::new(bit, bit);
            let code = u64::from(step.0 == 25);
            draft.place(span, code);
            draft.decisions.push(Decision {
                settings: RESOLUTION,
                field: "altitude_step_ft",
                span,
                code,
                also: &[],
                meaning: step_meaning,
                rule: Rule::Equal,
                by_version: false,
                applies: Some(applies),
            });
        }
        draft
    }

    // Replies --------------------------------------------------------------------------------------------------------

    fn short_air_air(&self, acquisition: bool) -> Result<Draft, CodeError> {
        let draft = Draft::new(ShortAirAir::TABLE, None)
            .outer(&ShortAirAir::vertical_status, self.vertical_status())
            .outer(&ShortAirAir::altitude, self.altitude()?.with_metric_bit());
        let row = &ShortAirAir::reply_information;
        let draft = if acquisition {
            let class = self.profile.maximum_cruise_true_airspeed.get();
            let class = class.map(|speed| CruiseSpeedClass::from_knots(speed.in_knots())).transpose()?;
            draft
                .outer(row, ReplyInformation::from_bits(8))
                .decide_outer(
                    row,
                    class.map(CruiseSpeedClass::reply_information),
                    &["/aircraft/maximum_cruise_true_airspeed"],
                )
                .only_where(row, |frame| frame.field(ShortAirAir::reply_information.span) >= 8)
                .asked_by("an acquisition interrogation of format 0")
        } else {
            let acas = self.profile.acas.get().map(|acas| {
                ReplyInformation::from_bits(match acas {
                    Acas::None => 0,
                    Acas::AdvisoriesOnly => 2,
                    Acas::Resolution => 3,
                })
            });
            let mut draft = draft
                .decide_outer(row, acas, ACAS)
                .only_where(row, |frame| frame.field(ShortAirAir::reply_information.span) < 8);
            if let Some(last) = draft.decisions.last_mut().filter(|last| last.settings == ACAS) {
                last.rule = Rule::MayDrop;
            }
            draft.asked_by("a tracking interrogation of format 0")
        };
        Ok(self.deciding_step(draft, self.altitude()?, 28, reply_altitude_tells))
    }

    fn surveillance_altitude(&self) -> Result<Draft, CodeError> {
        let draft = Draft::new(SurveillanceAltitude::TABLE, None)
            .outer(&SurveillanceAltitude::flight_status, self.flight_status())
            .outer(&SurveillanceAltitude::altitude, self.altitude()?.with_metric_bit())
            .asked_by("an altitude interrogation of format 4");
        Ok(self.deciding_step(draft, self.altitude()?, 28, reply_altitude_tells))
    }

    fn surveillance_identity(&self) -> Draft {
        let row = &SurveillanceIdentity::mode_a;
        let mut draft = Draft::new(SurveillanceIdentity::TABLE, None)
            .outer(&SurveillanceIdentity::flight_status, self.flight_status())
            .outer(row, self.mode_a())
            .asked_by("an identity interrogation of format 5");
        draft.used.extend(self.vfr_code(row, row.span));
        draft
    }

    fn mode_a(&self) -> ModeA {
        let given = self.situation().and_then(|situation| situation.mode_a().ok().flatten());
        given.unwrap_or(ModeA::from_bits(0))
    }

    fn vfr_code(&self, row: &Row, span: Span) -> Option<Decision> {
        let code = self.profile.vfr_mode_a_code.get()?;
        Some(Draft::decision(row, span, *code, &["/transponder/vfr_mode_a_code"], Rule::WhenUsed))
    }

    /// Comm-B replies with the registers that carry install settings.
    fn registers(&self) -> Vec<Draft> {
        const SERVED: &[&str] = &["/transponder/data_link/registers"];
        const SI: &[&str] = &["/transponder/data_link/si_codes"];
        let Some(served) = self.profile.data_link_registers.get() else { return Vec::new() };
        let reply = |table: &'static Table, bits: u64| {
            Draft::new(CommBAltitude::TABLE, Some((table, bits)))
                .outer(&CommBAltitude::flight_status, self.flight_status())
                .outer(&CommBAltitude::altitude, self.altitude().unwrap_or(Altitude12::NO_DATA).with_metric_bit())
        };
        let serves = |number: u8| served.0.contains(&crate::code::RegisterNumber::new(number));
        let mut drafts = Vec::new();
        if serves(0x10) {
            let si_codes = self.profile.data_link_si_codes.get().map(|yes| Flag::new(*yes));
            let acas = self.profile.acas.get();
            let identification = Some(Flag::new(serves(0x20)));
            drafts.push(
                reply(DataLinkCapability::TABLE, DataLinkCapability::TABLE.template as u64)
                    .decide(&DataLinkCapability::identification_capability, identification, SERVED, Rule::Equal)
                    .decide(&DataLinkCapability::si_codes, si_codes, SI, Rule::Equal)
                    .decide(
                        &DataLinkCapability::resolution_advisories,
                        acas.map(|acas| Flag::new(*acas == Acas::Resolution)),
                        ACAS,
                        Rule::MayDrop,
                    )
                    .asked_by("an interrogation for register 1,0"),
            );
        }
        if serves(0x17) {
            let mut draft = reply(CommonUsage::TABLE, 0).asked_by("an interrogation for register 1,7");
            // A register's bit is 0 while it lacks data, so only the bits that are set say something of the install.
            for row in CommonUsage::TABLE.rows.iter().filter(|row| !row.is_reserved()) {
                if served.0.iter().filter_map(|number| usage_bit(*number)).any(|bit| bit == row.span.first) {
                    draft = draft.decide(row, Some(Flag::YES), SERVED, Rule::MayDrop);
                }
            }
            drafts.push(draft);
        }
        if serves(0x20) {
            let draft =
                reply(AircraftIdentificationRegister::TABLE, AircraftIdentificationRegister::TABLE.template as u64);
            let row = &AircraftIdentificationRegister::characters;
            drafts.push(self.deciding_identification(draft, row).asked_by("an interrogation for register 2,0"));
        }
        drafts
    }

    // Squitters ------------------------------------------------------------------------------------------------------

    fn deciding_identification(&self, mut draft: Draft, row: &Row) -> Draft {
        let identification = self.profile.aircraft_identification.get().copied();
        if self.profile.identification_source.get() == Some(&IdentificationSource::CrewEntered) {
            // The preset stands until the crew enters another.
            if let Some(code) = identification {
                let span = row.span.shifted(PAYLOAD_OFFSET);
                draft.place(span, code.bits());
                draft.used.push(Draft::decision(row, span, code, IDENTIFICATION, Rule::WhenUsed));
            }
            draft
        } else {
            draft.decide(row, identification, IDENTIFICATION, Rule::Equal)
        }
    }

    fn identification(&self) -> Draft {
        let table = AircraftIdentification::TABLE;
        let mut draft = self.squitter(table, table.template as u64);
        if let Some(category) = self.profile.emitter_category.get() {
            // The set stands in the type code, so one setting decides two rows.
            let span = Span::new(1, 8).shifted(PAYLOAD_OFFSET);
            let code = u64::from(category.type_code()) << 3 | category.code().bits();
            draft.place(span, code);
            draft.decisions.push(Decision {
                settings: &["/aircraft/emitter_category"],
                field: "emitter_category",
                span,
                code,
                also: &[],
                meaning: |code, version| {
                    AircraftIdentification::from_bits(code << 48)
                        .emitter_category()
                        .map_or_else(|| Meaning::none("none"), |category| category.meaning(version))
                },
                rule: Rule::Equal,
                by_version: false,
                applies: None,
            });
        }
        self.deciding_identification(draft, &AircraftIdentification::characters)
    }

    fn surveillance_status(&self) -> SurveillanceStatus {
        let (ident, emergency) =
            self.situation().map_or((false, 0), |situation| (situation.ident, situation.emergency_state));
        // 1 and 2 win over 3.
        SurveillanceStatus::from_bits(if emergency != 0 {
            1
        } else if ident {
            3
        } else {
            0
        })
    }

    fn positions(&self) -> Result<Vec<Draft>, CodeError> {
        let position = self.situation().and_then(Situation::position);
        let mut drafts = Vec::new();
        if position.is_none() {
            drafts.push(self.no_position()?);
        }
        let formats: &[bool] = match (self.flight, position) {
            (_, Some(_)) => &[false, true],
            (Flight::Healthy, None) => &[false],
            _ => &[],
        };
        for odd in formats {
            drafts.push(if self.on_surface() { self.surface_position(*odd)? } else { self.airborne_position(*odd)? });
        }
        Ok(drafts)
    }

    fn no_position(&self) -> Result<Draft, CodeError> {
        let altitude = if self.on_surface() { Altitude12::NO_DATA } else { self.altitude()? };
        let message =
            NoPosition { altitude, surveillance_status: self.surveillance_status(), ..NoPosition::from_bits(0) };
        let draft = self.squitter(NoPosition::TABLE, message.bits());
        Ok(self.deciding_step(draft, altitude, 48, squitter_altitude_tells))
    }

    fn utc(&self) -> Option<Flag> {
        self.profile.utc_synchronised.get().map(|yes| Flag::new(*yes))
    }

    fn airborne_position(&self, odd: bool) -> Result<Draft, CodeError> {
        let altitude = self.altitude()?;
        let message = AirbornePosition {
            // Without a stated NIC the radius is unknown.
            type_code: TypeCode::new(18),
            surveillance_status: self.surveillance_status(),
            cpr_format: CprFormat::from_bits(odd.into()),
            ..AirbornePosition::from_bits(0)
        };
        let message = flown::airborne_position(message, &self.motion(), altitude);
        let codes = self.profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?.map(|codes| codes.airborne);
        let supplement = &AirbornePosition::antenna_or_nic_supplement_b;
        let draft = self
            .squitter(AirbornePosition::TABLE, message.bits())
            .decide(&AirbornePosition::type_code, codes.map(|codes| TypeCode::new(codes.0)), NIC, Rule::AtLeast)
            .by_version(&AirbornePosition::type_code)
            .decide(supplement, codes.map(|codes| Flag::from_bits(codes.2.into())), NIC, Rule::AtLeast)
            .by_version(supplement)
            .decide(&AirbornePosition::utc_synchronised, self.utc(), UTC, Rule::MayDrop);
        Ok(self.deciding_step(draft, altitude, 48, squitter_altitude_tells))
    }

    fn surface_position(&self, odd: bool) -> Result<Draft, CodeError> {
        let message = SurfacePosition {
            type_code: TypeCode::new(8),
            cpr_format: CprFormat::from_bits(odd.into()),
            ..SurfacePosition::from_bits(0)
        };
        let message = flown::surface_position(message, &self.motion())?;
        let codes = self.profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?.map(|codes| codes.surface);
        Ok(self
            .squitter(SurfacePosition::TABLE, message.bits())
            .decide(&SurfacePosition::type_code, codes.map(|codes| TypeCode::new(codes.0)), NIC, Rule::AtLeast)
            .by_version(&SurfacePosition::type_code)
            .decide(&SurfacePosition::utc_synchronised, self.utc(), UTC, Rule::MayDrop))
    }

    fn velocity(&self) -> Result<Draft, CodeError> {
        let message = AirborneVelocityGround {
            vertical_rate_source: VerticalRateSource::from_bits(1),
            ..AirborneVelocityGround::from_bits(AirborneVelocityGround::TABLE.template as u64)
        };
        let message = flown::velocity(message, &self.motion())?;
        Ok(self
            .squitter(AirborneVelocityGround::TABLE, message.bits())
            .decide(&AirborneVelocityGround::nacv, self.nacv(), &["/position_source/nacv"], Rule::AtLeast)
            .by_version(&AirborneVelocityGround::nacv))
    }

    fn aircraft_status(&self) -> Draft {
        let message = AircraftStatus {
            emergency_state: self.situation().map_or(crate::code::EmergencyState::NONE, Situation::emergency),
            mode_a: self.mode_a(),
            ..AircraftStatus::from_bits(AircraftStatus::TABLE.template as u64)
        };
        let mut draft = self.squitter(AircraftStatus::TABLE, message.bits());
        let row = Row { field: Some("mode_a_code"), ..AircraftStatus::mode_a };
        draft.used.extend(self.vfr_code(&row, row.span.shifted(PAYLOAD_OFFSET)));
        draft
    }

    // Quality and capability, the same in several messages -----------------------------------------------------------

    fn nacv(&self) -> Option<Nacv> {
        self.profile.nacv.get().map(|nacv| Nacv::from_bits(nacv.0.into()))
    }

    fn nacp(&self) -> Option<Nacp> {
        self.profile.nacp.get().map(|nacp| Nacp::from_bits(nacp.0.into()))
    }

    fn sil(&self) -> Option<Sil> {
        self.profile.sil.get().map(|sil| Sil::from_bits(sil.0.into()))
    }

    fn sil_supplement(&self) -> Option<SilSupplement> {
        self.profile.sil_supplement.get().map(|per| SilSupplement::from_bits(u64::from(*per == SilPer::Sample)))
    }

    fn sda(&self) -> Option<Sda> {
        self.profile.system_design_assurance.get().map(|sda| Sda::from_bits(sda.0.into()))
    }

    fn version(&self) -> Option<VersionNumber> {
        self.profile.mops_version.get().map(|version| VersionNumber::new(version.0))
    }

    /// Anything but grey-code wires counts as checked; wires only with a second source.
    fn nic_baro(&self) -> Option<NicBaro> {
        let checked = match self.profile.altitude_source_kind.get()? {
            AltitudeSourceKind::Parallel => *self.profile.altitude_cross_checked.get()?,
            _ => true,
        };
        Some(NicBaro::from_bits(checked.into()))
    }

    /// The bit says that resolution advisories can be given, so advisories alone leave it at 0.
    fn acas_operational(&self) -> Option<Flag> {
        self.profile.acas.get().map(|acas| Flag::new(*acas == Acas::Resolution))
    }

    fn flag(setting: Option<&bool>) -> Option<Flag> {
        setting.map(|yes| Flag::new(*yes))
    }

    fn ident(&self) -> Flag {
        Flag::new(self.situation().is_some_and(|situation| situation.ident))
    }

    fn supplement_a(&self, surface: bool) -> Result<Option<Number<1>>, CodeError> {
        let codes = self.profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?;
        Ok(codes.map(|codes| Number::from_bits(u64::from(if surface { codes.surface.1 } else { codes.airborne.1 }))))
    }

    fn operational_status_airborne(&self) -> Result<Draft, CodeError> {
        use OperationalStatusAirborne as Status;
        let profile = self.profile;
        let message = Status { ident_active: self.ident(), ..Status::from_bits(Status::TABLE.template as u64) };
        Ok(self
            .squitter(Status::TABLE, message.bits())
            .decide(&Status::acas_operational, self.acas_operational(), ACAS, Rule::MayDrop)
            .decide(&Status::es_1090_in, Self::flag(profile.es_1090_in.get()), &["/receivers/es_1090_in"], Rule::Equal)
            .decide(
                &Status::sends_air_referenced_velocity,
                Self::flag(profile.sends_air_referenced_velocity.get()),
                &["/transponder/sends/air_referenced_velocity"],
                Rule::Equal,
            )
            .decide(
                &Status::sends_target_state,
                Self::flag(profile.sends_target_state.get()),
                &["/transponder/sends/target_state"],
                Rule::Equal,
            )
            .decide(&Status::uat_in, Self::flag(profile.uat_in.get()), &["/receivers/uat_in"], Rule::Equal)
            .decide(&Status::single_antenna, self.single_antenna(), &["/transponder/antenna"], Rule::Equal)
            .decide(&Status::sda, self.sda(), &["/transponder/system_design_assurance"], Rule::MayDrop)
            .decide(&Status::version_number, self.version(), &["/transponder/mops_version"], Rule::Equal)
            .decide(&Status::nic_supplement_a, self.supplement_a(false)?, NIC, Rule::AtLeast)
            .decide(&Status::nacp, self.nacp(), &["/position_source/nacp"], Rule::AtLeast)
            .decide(
                &Status::gva,
                profile.gva.get().map(|gva| Gva::from_bits(gva.0.into())),
                &["/position_source/gva"],
                Rule::AtLeast,
            )
            .decide(&Status::sil, self.sil(), &["/position_source/sil"], Rule::MayDrop)
            .decide(&Status::nic_baro, self.nic_baro(), NIC_BARO, Rule::Equal)
            .decide(
                &Status::sil_supplement,
                self.sil_supplement(),
                &["/position_source/sil_supplement"],
                Rule::MayDrop,
            ))
    }

    fn single_antenna(&self) -> Option<Flag> {
        self.profile.antenna.get().map(|antenna| Flag::new(*antenna == Antenna::Single))
    }

    /// The box that holds the aircraft; a size of zero is a size that was never set.
    fn length_width(&self) -> Result<Option<LengthWidth>, CodeError> {
        let (Some(length), Some(width)) = (self.profile.length.get(), self.profile.width.get()) else {
            return Ok(None);
        };
        let (length, width) = (length.in_metres(), width.in_metres());
        if length == 0.0 && width == 0.0 {
            return Ok(Some(LengthWidth::NO_DATA));
        }
        LengthWidth::from_metres(length, width).map(Some)
    }

    fn lateral(&self) -> Option<LateralOffset> {
        self.profile.antenna_from_centre_line.get().map(|offset| match offset {
            FromCentreLine::NotKnown => LateralOffset::NO_DATA,
            other => LateralOffset::from_metres(other.metres().unwrap_or(0.0)),
        })
    }

    fn longitudinal(&self) -> Result<Option<LongitudinalOffset>, CodeError> {
        self.profile
            .antenna_from_nose
            .get()
            .map(|offset| match offset {
                FromNose::NotKnown => Ok(LongitudinalOffset::NO_DATA),
                FromNose::AppliedBySensor => Ok(LongitudinalOffset::APPLIED_BY_SENSOR),
                FromNose::Measured(length) => LongitudinalOffset::from_metres(length.in_metres()),
            })
            .transpose()
    }

    fn operational_status_surface(&self) -> Result<Draft, CodeError> {
        use OperationalStatusSurface as Status;
        let profile = self.profile;
        let message = Status { ident_active: self.ident(), ..Status::from_bits(Status::TABLE.template as u64) };
        let codes = profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?;
        let supplement_c = codes.map(|codes| Number::<1>::from_bits(u64::from(codes.surface.2)));
        Ok(self
            .squitter(Status::TABLE, message.bits())
            .decide(&Status::es_1090_in, Self::flag(profile.es_1090_in.get()), &["/receivers/es_1090_in"], Rule::Equal)
            .decide(&Status::uat_in, Self::flag(profile.uat_in.get()), &["/receivers/uat_in"], Rule::Equal)
            .decide(&Status::nacv, self.nacv(), &["/position_source/nacv"], Rule::AtLeast)
            .decide(&Status::nic_supplement_c, supplement_c, NIC, Rule::AtLeast)
            .decide(&Status::length_width, self.length_width()?, SIZE, Rule::Equal)
            .decide(&Status::single_antenna, self.single_antenna(), &["/transponder/antenna"], Rule::Equal)
            .decide(&Status::sda, self.sda(), &["/transponder/system_design_assurance"], Rule::MayDrop)
            .decide(
                &Status::antenna_offset_lateral,
                self.lateral(),
                &["/position_source/antenna_offset/from_centre_line"],
                Rule::Equal,
            )
            .decide(
                &Status::antenna_offset_longitudinal,
                self.longitudinal()?,
                &["/position_source/antenna_offset/from_nose"],
                Rule::Equal,
            )
            .decide(&Status::version_number, self.version(), &["/transponder/mops_version"], Rule::Equal)
            .decide(&Status::nic_supplement_a, self.supplement_a(true)?, NIC, Rule::AtLeast)
            .decide(&Status::nacp, self.nacp(), &["/position_source/nacp"], Rule::AtLeast)
            .decide(&Status::sil, self.sil(), &["/position_source/sil"], Rule::MayDrop)
            .decide(
                &Status::surface_heading,
                profile.surface_direction.get().map(|kind| Flag::new(*kind == DirectionKind::Heading)),
                &["/position_source/surface_direction/kind"],
                Rule::Equal,
            )
            .decide(
                &Status::magnetic_reference,
                profile.surface_direction_reference.get().map(|north| Flag::new(*north == North::Magnetic)),
                &["/position_source/surface_direction/reference"],
                Rule::Equal,
            )
            .decide(
                &Status::sil_supplement,
                self.sil_supplement(),
                &["/position_source/sil_supplement"],
                Rule::MayDrop,
            ))
    }

    fn target_state(&self) -> Draft {
        self.squitter(TargetState::TABLE, TargetState::TABLE.template as u64)
            .decide(
                &TargetState::sil_supplement,
                self.sil_supplement(),
                &["/position_source/sil_supplement"],
                Rule::MayDrop,
            )
            .decide(&TargetState::nacp, self.nacp(), &["/position_source/nacp"], Rule::AtLeast)
            .decide(&TargetState::nic_baro, self.nic_baro(), NIC_BARO, Rule::Equal)
            .decide(&TargetState::sil, self.sil(), &["/position_source/sil"], Rule::MayDrop)
            .decide(&TargetState::acas_operational, self.acas_operational(), ACAS, Rule::MayDrop)
    }
}
