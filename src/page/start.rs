//! Start: what the page begins with, the invented example, and the right place for anything that is pasted.

use super::questions::Loaded;
use super::verdict::of_texts;
use super::watch::Watched;
use super::{Refusal, install, text};
use crate::capture::{Accounting, read_lines};
use crate::code::compact_position::{Grid, Position, Word};
use crate::onair::{Flight, emissions};
use crate::present::html::record;
use crate::present::{address, verdict};
use crate::profile::{Profile, SettingId, follows, rules_for, without_comments};
use crate::registry::{nationality_of_mark, readings};
use crate::written::unmarked;
use maud::{Markup, html};
use serde_json::{Value, json};
use std::ops::ControlFlow;
use std::sync::OnceLock;

/// The invented aircraft of the demo, and what was set wrongly in it.
const PROFILE: &str = include_str!("../../vectors/demo/profile.json");
const CAPTURE: &str = include_str!("../../vectors/demo/faulty.txt");
const CAPTURE_NAME: &str = "faulty.txt";

/// What the page begins with.
pub fn start(profile: Option<&Loaded>, followed: Option<&Watched>, largest_capture: u64) -> Value {
    json!({
        "program_version": env!("CARGO_PKG_VERSION"),
        "largest_capture": largest_capture,
        "profile": profile.map(|loaded| &loaded.text),
        "profile_name": profile.map(|loaded| &loaded.name),
        "watched": followed.map(Watched::name),
        "schema": crate::profile::schema(),
        "sections": install::sections(),
        "empty": Profile::to_be_filled_in().json(),
        "rules": install::rule_names(),
    })
}

/// The invented example: a profile, and a capture with faults.
// Every answer has the same shape.
#[allow(clippy::unnecessary_wraps)]
pub fn example(_: &Value) -> Result<Value, Refusal> {
    Ok(json!({"profile": PROFILE, "profile_name": "example.json", "capture": CAPTURE, "capture_name": CAPTURE_NAME}))
}

/// A live miniature behind each door.
// Every answer has the same shape.
#[allow(clippy::unnecessary_wraps)]
pub fn doors(_: &Value) -> Result<Value, Refusal> {
    static DRAWN: OnceLock<[String; 3]> = OnceLock::new();
    let drawn = DRAWN.get_or_init(|| [unit(), compared(), learnt()].map(maud::PreEscaped::into_string));
    Ok(json!({"install": drawn[0], "verdict": drawn[1], "steps": drawn[2]}))
}

/// One setting of the example and the bits that it decides.
fn unit() -> Markup {
    let profile = Profile::read(PROFILE).profile;
    let setting = SettingId::Length;
    let frames = emissions(&profile, Flight::Unknown).unwrap_or_default();
    let found = frames.iter().find_map(|frame| {
        let decision = frame.decisions.iter().find(|decision| decision.settings.contains(&setting))?;
        Some((frame, decision))
    });
    html! {
        @if let (Some((frame, decision)), Some(length)) = (found, setting.setting().stated(&profile).get()) {
            p { (setting.name()) " " strong { (length) } }
            p {
                @for bit in format!("{:0width$b}", decision.code, width = usize::from(decision.span.width())).chars() { span.bit.k-install { (bit) } }
                " " (decision.expected().words())
            }
            p.soft { "bits " (decision.span) ", " (frame.table.title) }
        }
    }
}

/// What became of the settings of the example.
fn compared() -> Markup {
    let report = of_texts(PROFILE, &[(CAPTURE_NAME, CAPTURE)]);
    html! {
        @if let Some(report) = &report {
            (record::status_bar(report))
            p { (verdict::sentence(report)) }
        }
    }
}

/// A latitude on its way into bits.
fn learnt() -> Markup {
    let latitude_deg = 44.5;
    let word = Word::of(Position { latitude_deg, longitude_deg: -103.25 }, false, Grid::Airborne);
    html! {
        p.mono { (latitude_deg) " mod 6 = " (latitude_deg % 6.0) }
        p.mono { (latitude_deg % 6.0) " / 6 \u{d7} 131072 = " (format!("{:.1}", latitude_deg % 6.0 / 6.0 * 131_072.0)) }
        p { @for bit in format!("{:017b}", word.latitude).chars() { span.bit.k-position { (bit) } } }
    }
}

/// Where something that was pasted belongs: a frame, lines of a capture, a profile, a registration mark or an address.
pub fn place(request: &Value) -> Result<Value, Refusal> {
    let given = unmarked(text(request, "text")).trim_start();
    if given.is_empty() {
        return Err("paste a frame, lines of a capture, a profile or a registration mark".to_owned());
    }
    let mut first = None;
    let account = read_lines(given.as_bytes(), 1, |record| {
        first.get_or_insert(record.frame);
        ControlFlow::Continue(())
    });
    if let (Some(frame), 1, 0) = (first, account.frames, account.skipped_in_all()) {
        return Ok(json!({"is": "frame", "frame": frame.to_string()}));
    }
    if account.frames > 0 {
        return Ok(json!({"is": "capture", "frames": account.frames}));
    }
    if without_comments(given).trim_start().starts_with('{') {
        return Ok(json!({"is": "profile"}));
    }
    // Spaces inside a frame are as people copy them.
    let digits: String = given.chars().filter(|c| !c.is_whitespace()).collect();
    if let Ok(frame) = digits.parse::<crate::frame::Frame>() {
        return Ok(json!({"is": "frame", "frame": frame.to_string()}));
    }
    if given.lines().count() == 1 && given.len() <= 20 {
        if let Some(answer) = mark(given) {
            return Ok(answer);
        }
        let read = readings(given);
        if read.is_ok() {
            return Ok(json!({"is": "address", "text": address::text((given, &read), None)}));
        }
    }
    Err(not_placed(&account))
}

fn not_placed(account: &Accounting) -> Refusal {
    let reason = account.skipped.iter().max_by_key(|(_, count)| **count).map(|(reason, _)| reason.words());
    let lines = crate::present::text::counted(account.lines() as usize, "line");
    format!(
        "{lines} read, and no frame in it ({}); a frame is 14 or 28 hexadecimal digits, a profile begins with {{, and a \
         registration mark stands alone",
        reason.unwrap_or("it is empty")
    )
}

/// A profile begun from a mark, if this is one.
fn mark(given: &str) -> Option<Value> {
    let mut profile = Profile::to_be_filled_in();
    profile = SettingId::Registration.setting().with_typed(&profile, given).ok()?;
    let mark = profile.registration.get()?.0.clone();
    nationality_of_mark(&mark)?;
    let (rules, _) = rules_for(None, &profile);
    // From the mark the address follows, and the identification where its form is known.
    for setting in [SettingId::Address, SettingId::AircraftIdentification] {
        if let Some(found) = follows(&profile, rules, setting)
            && let Ok(with) = setting.setting().with_typed(&profile, &found.value)
        {
            profile = with;
        }
    }
    Some(json!({"is": "mark", "mark": mark, "profile": format!("{:#}", profile.json())}))
}
