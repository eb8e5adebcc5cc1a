//! The sheet of a changed identity: every place where an aircraft's identity lives, before and after a re-registration, a
//! moved unit or a temporary address.

use super::text::folded_to;
use crate::frame::Address;
use crate::profile::{
    AddressKind, Profile, SETTINGS, SettingId, Stated, WrittenForm, rule_set_of_state, state_of_registry,
};
use crate::registry::address_of_mark;
use serde_json::{Value, json};
use std::fmt::Write;

/// The sheet.
#[derive(Clone, Debug)]
pub struct IdentitySheet {
    /// What the aircraft was called, and is called now.
    pub title: String,
    /// Every place, in the order in which it is changed.
    pub places: Vec<IdentityPlace>,
    /// Settings of the aircraft itself that are not the same in both: a moved unit has to be given each of them.
    pub differing: Vec<(SettingId, String, String)>,
    /// Settings of the aircraft itself that a sheet of marks alone cannot compare.
    pub unknown: Vec<SettingId>,
}

/// A place where the identity lives.
#[derive(Clone, Debug)]
pub struct IdentityPlace {
    /// Where.
    pub place: &'static str,
    /// What is there before.
    pub before: String,
    /// What has to be there after.
    pub after: String,
    /// What to do, and where that is from.
    pub how: String,
}

/// Room to write.
const BLANK: &str = "____________";

/// An aircraft of which only the mark is known: what follows from it is filled in.
pub fn of_mark(mark: &str) -> Profile {
    let mut profile = Profile::default();
    if let Ok(with) = SettingId::Registration.setting().with_typed(&profile, mark) {
        profile = with;
    }
    profile.address = address_of_mark(&mark.to_uppercase()).map_or(Stated::NotStated, Stated::Is);
    let set = rule_set_of_state(&profile).map(|(set, _)| set);
    let form = set.and_then(|set| Some(set.identification_forms(&profile)?.held()?.identification));
    profile.aircraft_identification = form.map_or(Stated::NotStated, Stated::Is);
    profile
}

fn said(profile: &Profile, setting: SettingId) -> String {
    setting.setting().stated(profile).get().cloned().unwrap_or_else(|| BLANK.to_owned())
}

fn address(profile: &Profile, words: impl Fn(Address) -> String) -> String {
    profile.address.get().map_or_else(|| BLANK.to_owned(), |address| words(*address))
}

/// The identification in item 7 of a flight plan abroad: with the nationality mark.
fn item_7(profile: &Profile) -> String {
    let crew = profile.identification_source.get() == Some(&crate::profile::IdentificationSource::CrewEntered);
    if crew {
        return "the call sign of the flight".to_owned();
    }
    let with_prefix = profile.registration.get().and_then(|mark| WrittenForm::WithPrefix.of(mark));
    let own = said(profile, SettingId::AircraftIdentification);
    match with_prefix.map(|form| form.to_string()) {
        Some(abroad) if abroad != own => format!("{own} at home, {abroad} abroad"),
        _ => own,
    }
}

/// The registration without its hyphen, as item 18 has it.
fn reg(profile: &Profile) -> String {
    let mark = profile.registration.get().map(|mark| mark.0.replace('-', ""));
    format!("REG/{} CODE/{}", mark.unwrap_or_else(|| BLANK.to_owned()), address(profile, |address| address.to_string()))
}

impl IdentitySheet {
    /// The sheet of a change from one aircraft, or one state of it, to another.
    pub fn new(before: &Profile, after: &Profile) -> Self {
        let mut places = Vec::new();
        let mut add = |place, of: &dyn Fn(&Profile) -> String, how: String| {
            places.push(IdentityPlace { place, before: of(before), after: of(after), how });
        };
        let state = state_of_registry(after).unwrap_or("the State of registry");
        add(
            "State register and certificate",
            &|profile| said(profile, SettingId::Registration),
            format!("keep a dated copy of the entry in the register of {state}; it decides about mark and address"),
        );
        add(
            "Transponder: 24-bit address",
            &|profile| address(profile, |address| format!("{address} (octal {:08o})", address.bits())),
            "enter it, read it back after a power cycle, and see it in a frame: in all-call replies and squitters, and \
             under the parity of every other reply"
                .to_owned(),
        );
        let second = match (before.second_transponder.get(), after.second_transponder.get()) {
            (_, Some(true)) | (Some(true), None) => "a second unit is fitted: enter it there too, and test each alone",
            (_, Some(false)) | (Some(false), None) => "the profile says that there is no second unit",
            _ => "check whether a second unit is fitted; it has the same address, and each is tested alone",
        };
        add(
            "Second transponder: 24-bit address",
            &|profile| address(profile, |address| address.to_string()),
            second.to_owned(),
        );
        let fixed = match after.identification_source.get() {
            Some(crate::profile::IdentificationSource::CrewEntered) => {
                "entered by the crew: make sure that the one of the last flight does not come back after a power cycle"
            }
            _ => "enter it in every unit; it is in identification messages and in register 2,0",
        };
        add(
            "Transponder: aircraft identification",
            &|profile| said(profile, SettingId::AircraftIdentification),
            fixed.to_owned(),
        );
        add(
            "Second data link (978 MHz), if fitted",
            &|profile| address(profile, |address| address.to_string()),
            "the same address and identification; a self-assigned temporary address is the one exception (14 CFR 91.227(d))"
                .to_owned(),
        );
        add(
            "406 MHz emergency locator",
            &|profile| {
                let bits = |address: Address| format!("{address}, as bits {:024b}", address.bits());
                address(profile, bits)
            },
            "where it is coded with the aircraft's address: message bits 44 to 67 hold it (Cospas-Sarsat, serial user \
             protocol with 24-bit address); have it recoded and its registration changed"
                .to_owned(),
        );
        add(
            "Flight plan, item 7",
            &item_7,
            "letter for letter what the transponder sends (SERA Appendix 6; 14 CFR 91.227(d)(8))".to_owned(),
        );
        add(
            "Flight plan, item 18",
            &reg,
            "in stored flight plans and in the operator's system (form of the lines from memory)".to_owned(),
        );
        if [before, after]
            .iter()
            .any(|profile| matches!(profile.address_kind.get(), Some(AddressKind::Temporary | AddressKind::Privacy)))
        {
            let days = |profile: &Profile| {
                let kind = said(profile, SettingId::AddressKind);
                let day = |setting| said(profile, setting);
                format!("{kind}, from {} until {}", day(SettingId::AddressValidFrom), day(SettingId::AddressValidUntil))
            };
            add(
                "Temporary or privacy address",
                &days,
                "keep the authority's letter; set the lasting address back on the last day; an identification that is the \
                 mark gives the aircraft away"
                    .to_owned(),
            );
        }
        add(
            "Install profile, labels, and the papers of the equipment",
            &|profile| said(profile, SettingId::Registration),
            "a new profile, sheet and record; look for labels and equipment lists with the old mark".to_owned(),
        );
        add(
            "Proof: a capture before, and a capture or the authority's report after",
            &|_| BLANK.to_owned(),
            "`squitterlab compare` of both with their profiles".to_owned(),
        );
        let of_aircraft = |setting: &SettingId| {
            (setting.is_of_aircraft()
                || [
                    SettingId::AntennaFromNose,
                    SettingId::AntennaFromCentreLine,
                    SettingId::AirGroundKind,
                    SettingId::AirGroundActive,
                    SettingId::Es1090In,
                    SettingId::UatIn,
                    SettingId::Acas,
                    SettingId::Antenna,
                    SettingId::VfrModeACode,
                ]
                .contains(setting))
                && !matches!(
                    setting,
                    SettingId::Registration
                        | SettingId::Address
                        | SettingId::AircraftIdentification
                        | SettingId::AddressKind
                        | SettingId::AddressValidFrom
                        | SettingId::AddressValidUntil
                )
        };
        let all = SETTINGS.iter().map(|setting| setting.id).filter(of_aircraft);
        let (mut differing, mut unknown) = (Vec::new(), Vec::new());
        for setting in all {
            let stated = |profile| setting.setting().stated(profile);
            match (stated(before), stated(after)) {
                (Stated::Is(old), Stated::Is(new)) if old == new => {}
                (Stated::Is(old), Stated::Is(new)) => differing.push((setting, old, new)),
                _ => unknown.push(setting),
            }
        }
        let title = format!("{} to {}", said(before, SettingId::Registration), said(after, SettingId::Registration));
        Self { title, places, differing, unknown }
    }

    /// For people, 80 columns wide.
    pub fn text(&self) -> String {
        let mut out = format!("Change of identity: {}\n", self.title);
        out += "date ____________  done by ________________  checked by ________________\n";
        out += "The State's register decides about mark and address; none was looked up here.\n";
        for place in &self.places {
            let _ = writeln!(out, "\n[ ] {}", place.place);
            out += &folded_to(80, "      before  ", 14, &place.before);
            let same = place.before == place.after && place.before != BLANK;
            out += &folded_to(
                80,
                "      after   ",
                14,
                &format!("{}{}", place.after, if same { " (as before)" } else { "" }),
            );
            out += &folded_to(80, "      do      ", 14, &place.how);
        }
        out += "\nIf a unit moves to another aircraft, these settings go with the aircraft:\n";
        for (setting, old, new) in &self.differing {
            out += &folded_to(80, "[ ] ", 6, &format!("{}: {old}, now {new}", setting.name()));
        }
        if !self.unknown.is_empty() {
            let names: Vec<&str> = self.unknown.iter().map(|setting| setting.name()).collect();
            out += &folded_to(80, "[ ] ", 6, &format!("to be compared by hand: {}", names.join("; ")));
        }
        if self.differing.is_empty() && self.unknown.is_empty() {
            out += "    none of them differs\n";
        }
        out += "\nThis sheet releases nothing: sign the release in the proper record.\n";
        out
    }

    /// For programs: one object.
    pub fn json(&self) -> Value {
        let places: Vec<Value> = self
            .places
            .iter()
            .map(|place| json!({"place": place.place, "before": place.before, "after": place.after, "how": place.how}))
            .collect();
        let differing: Vec<Value> = self
            .differing
            .iter()
            .map(|(setting, old, new)| json!({"setting": setting, "name": setting.name(), "before": old, "after": new}))
            .collect();
        json!({"change": self.title, "places": places, "differing": differing, "to_be_compared": self.unknown})
    }
}
