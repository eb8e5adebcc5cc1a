//! The card for the ramp: what has to be seen in each step of a test, with a box and room for initials, on two pages.

use super::sheet::{SheetPlace, places};
use super::text::folded_to;
use crate::onair::{Flight, When, emissions};
use crate::profile::figures::{FIGURES, FIGURES_SOURCE, Figure};
use crate::profile::stops::{Condition, stops};
use crate::profile::{AirGroundKind, Profile, SETTINGS, Setting, Stated, ValueKind, applies};
use serde_json::{Value, json};
use std::fmt::Write;

/// The card of one install.
#[derive(Clone, Debug)]
pub struct Card {
    /// What the aircraft is called.
    pub title: String,
    /// What must be so before each step begins.
    pub stops: Vec<&'static str>,
    /// The steps, the safer ones first.
    pub steps: Vec<CardStep>,
    /// What the profile leaves open, so that nothing is seen of it.
    pub open: Vec<&'static str>,
    /// Why the steps are empty, where that is so.
    pub no_frames: Option<String>,
}

/// A step of the test.
#[derive(Clone, Debug)]
pub struct CardStep {
    /// Its name.
    pub title: &'static str,
    /// How it is made.
    pub how: &'static str,
    /// What has to be seen.
    pub lines: Vec<CardLine>,
}

/// A value that has to be seen.
#[derive(Clone, Debug)]
pub struct CardLine {
    /// The setting.
    pub setting: &'static Setting,
    /// Its value in words.
    pub value: String,
    /// The codes on the air, each with its field where there are several.
    pub code: String,
}

/// Figures that are read together: what they are, with limits and paragraph.
pub fn figure_rows() -> Vec<(&'static str, String)> {
    // A clause is one row, but for the sensitivity of Mode S.
    let together = |one: &Figure, other: &Figure| one.clause == other.clause && !other.id.ends_with("_s");
    FIGURES
        .chunk_by(together)
        .map(|row| {
            let each: Vec<String> = row.iter().map(|figure| format!("{}: {}", figure.name, figure.limits)).collect();
            (row[0].clause, each.join("; "))
        })
        .collect()
}

/// The figures as data.
pub(super) fn figures_json() -> Value {
    let figure = |figure: &Figure| {
        json!({"figure": figure.id, "name": figure.name, "gives": figure.given(), "limits": figure.limits,
            "clause": figure.clause})
    };
    FIGURES.iter().map(figure).collect()
}

/// Which identification and code a test uses, with its source.
pub const TEST_IDENTITY: &str = "Identification during tests: the first 8 characters of the firm's name (EASA SIB 2011-15), \
    or as agreed with air traffic control; set back what is above when done.";

impl Card {
    /// The card of an install.
    pub fn new(profile: &Profile) -> Self {
        let (frames, no_frames) = match emissions(profile, Flight::Healthy) {
            Ok(frames) => (frames, None),
            Err(error) => (Vec::new(), Some(error.to_string())),
        };
        let rows: Vec<(&Setting, String, Vec<SheetPlace>)> = SETTINGS
            .iter()
            .filter_map(|setting| {
                let value = setting.stated(profile).get().cloned()?;
                let places = places(setting, &value, &frames);
                (!places.is_empty()).then_some((setting, value, places))
            })
            .collect();
        let lines = |seen: &dyn Fn(When, bool) -> bool| {
            rows.iter()
                .filter_map(|(setting, value, places)| {
                    let mut codes: Vec<(String, &str)> = Vec::new();
                    // What a test set shows, where the value as measured is not that.
                    let mut shown: Vec<&str> = Vec::new();
                    for place in places {
                        let here = place.messages.iter().any(|message| seen(message.when, message.reply_to.is_some()));
                        let code = (place.digits(), place.field);
                        if here && !codes.contains(&code) {
                            codes.push(code);
                        }
                        let meaning = place.meaning.as_str();
                        let adds = setting.kind == ValueKind::Measure && meaning != value.as_str();
                        if here && adds && !shown.contains(&meaning) {
                            shown.push(meaning);
                        }
                    }
                    let code = match &codes[..] {
                        [] => return None,
                        [(only, _)] => only.clone(),
                        // The same digits under several names are one code.
                        [(first, _), rest @ ..] if rest.iter().all(|(digits, _)| digits == first) => first.clone(),
                        several => {
                            let each: Vec<String> =
                                several.iter().map(|(digits, field)| format!("{field} {digits}")).collect();
                            each.join(", ")
                        }
                    };
                    let value = if shown.is_empty() { value.clone() } else { format!("{value}: {}", shown.join(", ")) };
                    Some(CardLine { setting, value, code })
                })
                .collect::<Vec<_>>()
        };
        let by_itself = profile.air_ground_kind.get() == Some(&AirGroundKind::None);
        let mut steps = vec![
            CardStep {
                title: "Ground step",
                how: "unit on the ground, not interrogated; at least two minutes",
                lines: if by_itself { Vec::new() } else { lines(&|when, asked| when != When::Airborne && !asked) },
            },
            CardStep {
                title: "Air step",
                how: "coupled or shielded, air state; or in flight; at least two minutes",
                lines: lines(&|when, asked| when != When::OnGround && !asked),
            },
            CardStep {
                title: "Interrogation step",
                how: "with a test set on a direct coupling",
                lines: lines(&|_, asked| asked),
            },
        ];
        steps.retain(|step| !step.lines.is_empty());
        let mut conditions = vec![Condition::Airborne, Condition::Interrogated];
        if by_itself {
            conditions.push(Condition::WithoutGroundInput);
        }
        let open = |setting: &&Setting| {
            setting.in_new_profile
                && setting.never.is_none()
                && applies(profile, setting.id)
                && !matches!(setting.stated(profile), Stated::Is(_))
        };
        let called = |setting: crate::profile::SettingId| setting.setting().stated(profile).get().cloned();
        let title = [crate::profile::SettingId::Registration, crate::profile::SettingId::Address]
            .into_iter()
            .filter_map(called)
            .collect::<Vec<_>>()
            .join(", ");
        Self {
            title,
            stops: stops(&conditions),
            steps,
            open: SETTINGS.iter().filter(open).map(|setting| setting.name).collect(),
            no_frames,
        }
    }

    /// For people, 80 columns wide.
    pub fn text(&self) -> String {
        let mut out = format!("Ramp card: {}\n", self.title);
        out += "date __________  place ______________  done by ____________  checked by ________\n";
        for stop in &self.stops {
            out += &folded_to(80, "STOP  ", 6, stop);
        }
        out += &folded_to(80, "", 0, TEST_IDENTITY);
        if let Some(why) = &self.no_frames {
            out += &folded_to(80, "", 0, &format!("What it sends is not known: {why}."));
        }
        for step in &self.steps {
            let _ = writeln!(out, "\n{}: {}", step.title, step.how);
            for line in &step.lines {
                let value = format!("{}; code {}", line.value, line.code);
                let text = folded_to(70, &format!("[ ] {}: ", line.setting.name), 6, &value);
                let text = text.trim_end();
                let last = text.lines().last().map_or(0, |line| line.chars().count());
                let _ = writeln!(out, "{text}{} ____", " ".repeat(74_usize.saturating_sub(last)));
            }
        }
        if !self.open.is_empty() {
            out += "\n";
            out += &folded_to(80, "Not filled in, so not on this card: ", 2, &self.open.join("; "));
        }
        let _ = writeln!(out, "\nFigures of the test set, which no frame shows");
        for (clause, words) in figure_rows() {
            out += &folded_to(80, "____________  ", 14, &format!("{words} {clause}"));
        }
        out += &folded_to(80, "", 0, &format!("({FIGURES_SOURCE})"));
        out += "\nThis card releases nothing: sign the release in the proper record.\n";
        out
    }

    /// For programs: one object.
    pub fn json(&self) -> Value {
        let steps: Vec<Value> = self
            .steps
            .iter()
            .map(|step| {
                let lines: Vec<Value> = step
                    .lines
                    .iter()
                    .map(|line| {
                        json!({"setting": line.setting.pointer, "name": line.setting.name, "value": line.value,
                            "code": line.code})
                    })
                    .collect();
                json!({"step": step.title, "how": step.how, "lines": lines})
            })
            .collect();
        json!({"card": self.title, "stops": self.stops, "steps": steps, "not_filled_in": self.open, "figures": figures_json(),
            "figures_source": FIGURES_SOURCE, "no_frames": self.no_frames})
    }
}
