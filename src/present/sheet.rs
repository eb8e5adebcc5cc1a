//! The intended-install record: every setting with its value, its place on the air, where the value is taken from, and a
//! box to tick. Later captures are compared with it; it releases nothing to service.

use super::CAUTIONS;
use super::text::{counted, folded, held_against};
use crate::code::{Bits, LateralOffset, LengthWidth, LongitudinalOffset, Version};
use crate::frame::Span;
use crate::onair::{Emission, Flight, When, emissions, why_not_on_air};
use crate::profile::figures::FIGURES_SOURCE;
use crate::profile::{
    FromNose, Problem, Profile, RuleSet, SETTINGS, Setting, SettingId, Severity, Stated, category_of,
};
use serde_json::{Value, json};
use std::fmt::Write;

/// The record of one install.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The file of the profile.
    pub profile: String,
    /// A row for each setting, in the order of the profile.
    pub rows: Vec<SheetRow>,
    /// How codes follow from what was measured.
    pub workings: Vec<String>,
    /// What the profile was checked against, in words.
    pub held_against: String,
    /// What the check of the profile found.
    pub problems: Vec<Problem>,
    /// What the rules ask for and no frame can show, each with its clause.
    pub unseen: Vec<String>,
    /// Why no place on the air can be named, if that is so.
    pub no_frames: Option<String>,
}

/// A setting on the record.
#[derive(Clone, Debug)]
pub struct SheetRow {
    /// The setting.
    pub setting: &'static Setting,
    /// Its value in words.
    pub value: Stated<String>,
    /// Where it is on the air.
    pub places: Vec<SheetPlace>,
    /// Why it is not on the air, or what else to know.
    pub remark: Option<String>,
}

/// A field that a setting decides: the same bits with the same code, in one or more messages.
#[derive(Clone, Debug)]
pub struct SheetPlace {
    /// The field's name.
    pub field: &'static str,
    /// Frame bits; none if the value is XORed onto the parity.
    pub span: Option<Span>,
    /// The code that the install gives it.
    pub code: u64,
    /// What the code says.
    pub meaning: String,
    /// The messages that carry it there.
    pub messages: Vec<SheetMessage>,
}

/// A message, and when it goes out.
#[derive(Clone, Debug)]
pub struct SheetMessage {
    /// Its title.
    pub title: &'static str,
    /// In which state.
    pub when: When,
    /// The request that it answers, if it is not a squitter.
    pub reply_to: Option<&'static str>,
}

impl SheetMessage {
    /// In words.
    pub fn words(&self) -> String {
        // Some titles say the state themselves.
        let when = if self.title.contains("on the ground") || self.title.contains("airborne") {
            String::new()
        } else {
            format!(" {}", self.when.words())
        };
        let asked = self.reply_to.map_or_else(String::new, |by| format!(", in reply to {by}"));
        format!("{}{when}{asked}", self.title)
    }
}

impl SheetPlace {
    /// The code as its bits, or as hexadecimal digits where it is long.
    pub fn digits(&self) -> String {
        match self.span.map_or(24, |span| usize::from(span.width())) {
            width @ 0..=13 => format!("{:0width$b}", self.code),
            width => format!("{:0digits$X}h", self.code, digits = width.div_ceil(4)),
        }
    }

    /// The bits in the frame, and in the message if they are in one.
    pub fn bits(&self) -> String {
        match self.span {
            None => "XORed onto the last 24 bits".to_owned(),
            Some(span) if span.first > 32 && span.last <= 88 => {
                format!(
                    "bit{} {span}, message {}",
                    if span.width() == 1 { "" } else { "s" },
                    Span::new(span.first - 32, span.last - 32)
                )
            }
            Some(span) => format!("bit{} {span}", if span.width() == 1 { "" } else { "s" }),
        }
    }
}

impl Sheet {
    /// The record of a profile that was read without errors.
    pub fn new(file: &str, profile: &Profile, problems: Vec<Problem>, rules: &RuleSet, why: &str) -> Self {
        let (frames, no_frames) = match emissions(profile, Flight::Healthy) {
            Ok(frames) => (frames, None),
            Err(error) => (Vec::new(), Some(error.to_string())),
        };
        let rows = SETTINGS
            .iter()
            .filter(|setting| setting.is_on_record(profile))
            .map(|setting| {
                let value = setting.stated(profile);
                let places = places(setting, value.get().map_or("", String::as_str), &frames);
                let remark = match &value {
                    Stated::Is(_) if places.is_empty() => Some(
                        why_not_on_air(profile, setting.id)
                            .unwrap_or("sent only together with a setting that is not stated, or in no message of this install")
                            .to_owned(),
                    ),
                    Stated::Is(_) => (setting.mind)(profile).map(ToOwned::to_owned),
                    _ => None,
                };
                SheetRow { setting, value, places, remark }
            })
            .collect();
        let held_against = held_against(rules, why).split_whitespace().collect::<Vec<_>>().join(" ");
        let unseen = rules.parts().iter().flat_map(|part| part.unseen.iter().map(move |unseen| (part, unseen)));
        let unseen = unseen
            .map(|(part, unseen)| format!("{} ({}, {}; {})", unseen.what, part.title, unseen.clause, unseen.confirmed))
            .collect();
        Self { profile: file.to_owned(), rows, workings: workings(profile), held_against, problems, unseen, no_frames }
    }

    /// How many problems of this weight there are.
    fn count(&self, severity: Severity) -> String {
        counted(self.problems.iter().filter(|problem| problem.severity == severity).count(), severity.word())
    }

    /// For people, to be printed and ticked.
    pub fn text(&self) -> String {
        let mut out = folded("CAUTION  ", 9, &CAUTIONS.join(" "));
        let _ = writeln!(out, "\nintended install, {}", self.profile);
        out += &folded(
            "  ",
            6,
            &format!(
                "profile check: {}, {}, {}; {}",
                self.count(Severity::Error),
                self.count(Severity::Warning),
                self.count(Severity::Note),
                self.held_against
            ),
        );
        if let Some(why) = &self.no_frames {
            out += &folded("  ", 6, &format!("what it sends is not known: {why}"));
        }
        out +=
            "  aircraft serial no. ____________  date ____________  set by ____________  read back by ____________\n";
        for row in &self.rows {
            let value = match &row.value {
                Stated::Is(value) => value.clone(),
                Stated::ToBeFilledIn => "____________ (still to be filled in)".to_owned(),
                Stated::NotStated => "not stated".to_owned(),
            };
            let _ = writeln!(out);
            out += &folded(&format!("[ ] {}  ", row.setting.name), 8, &value);
            if matches!(row.value, Stated::NotStated) {
                continue;
            }
            out += &folded("      about     ", 16, &format!("{} ({})", row.setting.about, row.setting.pointer));
            for place in &row.places {
                out += &folded(
                    "      on air    ",
                    16,
                    &format!(
                        "{} {} ({}): {}; {}",
                        place.field,
                        place.digits(),
                        place.meaning,
                        place.bits(),
                        place.messages.iter().map(SheetMessage::words).collect::<Vec<_>>().join("; ")
                    ),
                );
            }
            if let Some(remark) = &row.remark {
                out += &folded("      remark    ", 16, remark);
            }
            let _ = writeln!(out, "      from      {}", row.setting.taken_from.words());
            let _ = writeln!(out, "      measured or looked up by ____________  document, page ____________");
        }
        if !self.workings.is_empty() {
            let _ = writeln!(out, "\nhow the codes follow");
            for line in &self.workings {
                out += &folded("  ", 6, line);
            }
        }
        if !self.unseen.is_empty() {
            let _ = writeln!(out, "\nwhat the rules ask for and no frame shows");
            for unseen in &self.unseen {
                out += &folded("[ ] ", 8, unseen);
            }
        }
        let _ = writeln!(out, "\nfigures of the test set, which no frame shows");
        for (clause, words) in super::card::figure_rows() {
            out += &folded("____________  ", 14, &format!("{words} {clause}"));
        }
        out += &folded("  ", 2, &format!("({FIGURES_SOURCE})"));
        let doubts: Vec<&Problem> = self.problems.iter().filter(|problem| problem.severity != Severity::Note).collect();
        if !doubts.is_empty() {
            let _ = writeln!(out, "\nstill in doubt");
            for problem in doubts {
                out += &folded(
                    &format!("[ ] {}: ", problem.severity.word()),
                    8,
                    &format!("{}: {}; {}", problem.pointer, problem.reason, problem.correction),
                );
            }
        }
        out += "\nThis sheet releases nothing: sign the release in the proper record.\n";
        out
    }

    /// For programs: one object.
    pub fn json(&self) -> Value {
        let rows: Vec<Value> = self
            .rows
            .iter()
            .map(|row| {
                let places: Vec<Value> = row
                    .places
                    .iter()
                    .map(|place| {
                        let messages: Vec<Value> = place
                            .messages
                            .iter()
                            .map(|message| {
                                json!({"message": message.title, "when": message.when.key(), "asked_by": message.reply_to})
                            })
                            .collect();
                        json!({"field": place.field, "bits": place.span.map(|span| [span.first, span.last]),
                            "code": place.code, "meaning": place.meaning, "messages": messages})
                    })
                    .collect();
                let (state, value) = match &row.value {
                    Stated::Is(value) => ("stated", Some(value)),
                    Stated::ToBeFilledIn => ("to_be_filled_in", None),
                    Stated::NotStated => ("not_stated", None),
                };
                json!({"setting": row.setting.pointer, "name": row.setting.name, "about": row.setting.about, "state": state, "value": value,
                    "on_air": places, "remark": row.remark, "taken_from": row.setting.taken_from.words()})
            })
            .collect();
        json!({"profile": self.profile, "held_against": self.held_against, "settings": rows, "workings": self.workings,
            "unseen": self.unseen, "figures": super::card::figures_json(), "figures_source": FIGURES_SOURCE,
            "problems": self.problems.iter().map(|problem| super::json::problem(&self.profile, problem)).collect::<Vec<_>>(),
            "no_frames": self.no_frames, "cautions": CAUTIONS})
    }
}

/// Where a setting is on the air, the same field of several messages together.
pub(super) fn places(of: &Setting, words: &str, frames: &[Emission]) -> Vec<SheetPlace> {
    let (setting, says_more) = (of.id, of.says_more);
    let mut places: Vec<SheetPlace> = Vec::new();
    for emission in frames {
        let title = if emission.address_in_parity { emission.envelope.title } else { emission.table.title };
        let message = SheetMessage { title, when: emission.when, reply_to: emission.reply_to };
        let mut add = |place: SheetPlace| {
            let same = |other: &&mut SheetPlace| {
                (other.field, other.span, other.code) == (place.field, place.span, place.code)
            };
            let Some(other) = places.iter_mut().find(same) else {
                places.push(place);
                return;
            };
            for message in place.messages {
                // In the air and on the ground the same bits: one line.
                let in_both =
                    |other: &&mut SheetMessage| (other.title, other.reply_to) == (message.title, message.reply_to);
                match other.messages.iter_mut().find(in_both) {
                    Some(known) => known.when = if known.when == message.when { known.when } else { When::Both },
                    None => other.messages.push(message),
                }
            }
        };
        for decision in emission.decisions.iter().chain(&emission.used) {
            if decision.settings.contains(&setting) {
                add(SheetPlace {
                    field: decision.field,
                    span: Some(decision.span),
                    code: decision.code,
                    meaning: if decision.settings == [setting] && says_more {
                        words.to_owned()
                    } else {
                        decision.expected().words().to_string()
                    },
                    messages: vec![message.clone()],
                });
            }
        }
        if emission.address_in_parity && setting == SettingId::Address {
            let address = emission.frame.overlay();
            add(SheetPlace {
                field: "address",
                span: None,
                code: address.into(),
                meaning: format!("{address:06X}"),
                messages: vec![message.clone()],
            });
        }
    }
    places
}

/// How category, size code and offset codes follow from what was measured, with both bounds and the rounding.
pub fn workings(profile: &Profile) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(derived) = category_of(profile.kind.get().copied(), profile.maximum_take_off_weight.get().copied()) {
        lines.push(format!("category {}: {}", derived.category, derived.why));
    }
    if let (Some(length), Some(width)) = (profile.length.get(), profile.width.get())
        && let Ok(code) = LengthWidth::from_metres(length.in_metres(), width.in_metres())
    {
        lines.push(size(length.in_metres(), width.in_metres(), code));
    }
    if let Some(FromNose::Measured(back)) = profile.antenna_from_nose.get()
        && let Ok(code) = LongitudinalOffset::from_metres(back.in_metres())
        && let Some(bound) = code.metres()
    {
        lines.push(format!(
            "antenna {:.2} m from the nose: {}, code {} ({:05b}); steps of 2 m are upper bounds",
            back.in_metres(),
            rounding(back.in_metres(), f64::from(bound)),
            code.bits(),
            code.bits()
        ));
    }
    let across = profile.antenna_from_centre_line.get().map(|across| across.metres());
    match across.map(|metres| metres.map(|metres| (metres, LateralOffset::from_metres(metres)))) {
        Some(Some((metres, Ok(code)))) => {
            let bound = f64::from(code.metres().unwrap_or(0)).abs();
            let side = match metres {
                _ if metres < 0.0 => " to the left",
                _ if metres > 0.0 => " to the right",
                _ => "",
            };
            lines.push(format!(
                "antenna {}: {}code {:03b}; zero is 100, and 000 would say \"not known\"",
                if metres == 0.0 {
                    "on the centre line".to_owned()
                } else {
                    format!("{:.2} m{side} of the centre line", metres.abs())
                },
                if metres == 0.0 { String::new() } else { format!("{}, ", rounding(metres.abs(), bound)) },
                code.bits()
            ));
        }
        Some(None) => lines.push("antenna across: not known, code 000; zero would be 100".to_owned()),
        Some(Some((_, Err(_)))) | None => {}
    }
    lines
}

fn rounding(metres: f64, bound: f64) -> String {
    if metres > bound {
        return format!("beyond the last step; sent as {bound} m");
    }
    match bound - metres {
        more if more < 0.005 => format!("sent as {bound} m"),
        more => format!("sent as {bound} m (rounded up by {more:.2} m)"),
    }
}

/// The box that was chosen, and why not the one before it.
fn size(length_m: f64, width_m: f64, code: LengthWidth) -> String {
    let number = code.bits();
    let bounds = |code: LengthWidth| code.bounds_m(Version::Two);
    let Some((length, width)) = bounds(code) else { return "size: not set".to_owned() };
    let chosen = format!("size {length_m:.2} m by {width_m:.2} m: code {number} ({number:04b})");
    if length_m > length || width_m > width {
        return format!("{chosen}, the largest, {length} m by {width} m, also for anything beyond it");
    }
    let before = LengthWidth::from_bits(number - 1);
    let why = match bounds(before) {
        None => "the smallest code; 0 would say \"no data\"".to_owned(),
        Some((length, width)) => {
            let fails = match (length_m > length, width_m > width) {
                (true, true) => "too short and too narrow",
                (true, false) => "too short",
                _ => "too narrow",
            };
            format!("code {} ({length} m by {width} m) is {fails}", number - 1)
        }
    };
    format!("{chosen}, since {length_m:.2} m is within {length} m and {width_m:.2} m within {width} m; {why}")
}
