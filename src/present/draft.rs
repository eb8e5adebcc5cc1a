//! A drafted profile as its text, with what was seen in comments, and as data.

use super::text::counted;
use crate::compare::{Draft, Drafted, SeenCode, Why};
use crate::profile::{SettingId, Stated};
use crate::registry::{REGISTER_DECIDES, look_up};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};
use std::fmt::Write;

/// Width of the comments.
const WIDTH: usize = 100;
/// At most this many values of one setting are named; what varies may have hundreds.
const MOST_VALUES: usize = 4;

/// Values that read the same are counted together.
struct SeenMeaning<'a> {
    field: &'a str,
    code: u64,
    meaning: &'a str,
    frames: u64,
    first: &'a SeenCode,
    titles: Vec<&'a str>,
}

fn by_meaning(seen: &[SeenCode]) -> Vec<SeenMeaning<'_>> {
    let mut all: Vec<SeenMeaning<'_>> = Vec::new();
    for one in seen {
        match all.iter_mut().find(|told| told.field == one.field && told.meaning == one.meaning) {
            Some(told) => {
                told.frames += one.frames;
                if one.first_line < told.first.first_line && one.file == told.first.file {
                    told.first = one;
                }
                if !told.titles.contains(&one.title) {
                    told.titles.push(one.title);
                }
            }
            None => all.push(SeenMeaning {
                field: one.field,
                code: one.code,
                meaning: &one.meaning,
                frames: one.frames,
                first: one,
                titles: vec![one.title],
            }),
        }
    }
    all.sort_by_key(|told| std::cmp::Reverse(told.frames));
    all
}

/// Messages, the first of them by name.
fn titles(titles: &[&str]) -> String {
    let more = match titles.len().saturating_sub(2) {
        0 => String::new(),
        more => format!("; and {} more", counted(more, "message")),
    };
    titles.iter().take(2).copied().collect::<Vec<_>>().join("; ") + &more
}

/// What was seen of a setting, how often and where.
pub fn seen_words(drafted: &Drafted) -> String {
    let all = by_meaning(&drafted.seen);
    let each = |told: &SeenMeaning<'_>| {
        // A short code says more than its meaning where that is a range; a long one says nothing to anybody.
        let short = told.first.bits.width() <= 5 && !told.meaning.starts_with(&told.code.to_string());
        let code = if short { format!(", code {}", told.code) } else { String::new() };
        format!(
            "{}: {}{code}, in {}, first in line {} ({})",
            told.field,
            told.meaning,
            counted(told.frames as usize, "frame"),
            told.first.first_line,
            titles(&told.titles)
        )
    };
    let mut words: Vec<String> = all.iter().take(MOST_VALUES).map(each).collect();
    if all.len() > MOST_VALUES {
        words.push(format!("{} more", counted(all.len() - MOST_VALUES, "value")));
    }
    words.join(". ")
}

/// Why a setting is stated or left open, in a sentence.
pub fn why_words(drafted: &Drafted) -> String {
    match &drafted.why {
        Why::Seen => String::new(),
        Why::NoStatus => {
            "Concluded: positions for 30 s or more, and no operational status, which only version 0 lacks".to_owned()
        }
        Why::OneOf(values) => {
            let word = |value: &String| {
                let choice = drafted.setting.options.iter().find(|choice| choice.word == value);
                choice.map_or_else(|| value.clone(), |choice| choice.words.to_owned())
            };
            format!(
                "Left open, since each of these sends what was seen: {}",
                values.iter().map(word).collect::<Vec<_>>().join(", ")
            )
        }
        Why::Range => "Left open: what is sent is a range or a class, not a measure; take the measure".to_owned(),
        Why::Varies => "Left open: no one value sends all that was seen".to_owned(),
        Why::Crew => "Left open: this is what the crew had set; what is preset is not seen".to_owned(),
        Why::Part => "Left open: what was seen is only a part of it".to_owned(),
        Why::NotSeen(ways) => format!("Not seen; it would be in: {ways}"),
        Why::NotOnAir(reason) => format!("Not on the air: {reason}"),
    }
}

/// The comment of a setting.
fn comment(drafted: &Drafted, draft: &Draft) -> String {
    if drafted.setting.id == SettingId::Registration {
        let found = look_up(draft.address);
        let mark = found.mark.map_or_else(String::new, |mark| format!("; by its arithmetic {mark}"));
        let block = found.block.map_or_else(
            || "the address is in no block that is held here".to_owned(),
            |block| format!("the address is in the block of {}", block.holder),
        );
        return format!("Not on the air; {block}{mark}. {REGISTER_DECIDES}");
    }
    if drafted.setting.id == SettingId::Address {
        return format!("Seen in the clear in {}", counted(draft.frames as usize, "frame"));
    }
    let (why, seen) = (why_words(drafted), seen_words(drafted));
    match (seen.is_empty(), why.is_empty()) {
        (true, _) => why,
        (false, true) => format!("Seen: {seen}"),
        (false, false) => format!("Seen: {seen}. {why}"),
    }
}

fn commented(out: &mut String, indent: &str, words: &str) {
    let lead = format!("{indent}// ");
    let mut line = lead.clone();
    for word in words.split_whitespace() {
        if line.len() > lead.len() && line.chars().count() + 1 + word.chars().count() > WIDTH {
            let _ = writeln!(out, "{line}");
            line.clone_from(&lead);
        }
        if line.len() > lead.len() {
            line.push(' ');
        }
        line += word;
    }
    let _ = writeln!(out, "{line}");
}

/// What the draft is, in a few sentences.
fn head(draft: &Draft, captures: &[String]) -> Vec<String> {
    let lasted = draft.times.map_or_else(
        || "without times".to_owned(),
        |(first, last)| format!("over {:.1} s", crate::track::seconds_between(first, last)),
    );
    let mut out = vec![format!(
        "Drafted from what {} sent: {}, {} in the clear {lasted}.",
        draft.address,
        captures.join(", "),
        counted(draft.frames as usize, "frame")
    )];
    out.push(
        "It says what was on the air, not what is right: compare it with the papers and the aircraft, and fill in what is null."
            .to_owned(),
    );
    if draft.version.is_none() {
        out.push(
            "The version was not heard, so what depends on it is left open: capture an operational status.".to_owned(),
        );
    }
    if draft.version.is_some_and(|version| version > 3) {
        out.push("Its version is newer than any that is known here; what depends on it is left open.".to_owned());
    }
    out
}

/// The profile, each setting with what was seen of it in a comment above.
pub fn profile_text(draft: &Draft, captures: &[String]) -> String {
    let mut out = String::from("{\n");
    for line in head(draft, captures) {
        commented(&mut out, "  ", &line);
    }
    let mut root = draft.profile().json();
    // What few installs have is there if it was seen, stated or not.
    for drafted in draft.settings.iter().filter(|drafted| drafted.value.is_none() && !drafted.setting.in_new_profile) {
        put_null(&mut root, drafted.setting.pointer);
    }
    written(&mut out, &root, "", 1, draft);
    out.push_str("}\n");
    out
}

fn put_null(root: &mut Value, pointer: &str) {
    let mut node = root;
    for key in pointer.split('/').skip(1) {
        if !node.is_object() {
            *node = json!({});
        }
        let Some(members) = node.as_object_mut() else { return };
        node = members.entry(key).or_insert(Value::Null);
    }
}

fn written(out: &mut String, value: &Value, pointer: &str, depth: usize, draft: &Draft) {
    let Value::Object(members) = value else { return };
    let indent = "  ".repeat(depth);
    for (at, (key, value)) in members.iter().enumerate() {
        let inner = format!("{pointer}/{key}");
        let comma = if at + 1 < members.len() { "," } else { "" };
        let drafted = draft.settings.iter().find(|drafted| drafted.setting.pointer == inner);
        if drafted.is_none() && value.is_object() {
            let _ = writeln!(out, "{indent}\"{key}\": {{");
            written(out, value, &inner, depth + 1, draft);
            let _ = writeln!(out, "{indent}}}{comma}");
            continue;
        }
        if let Some(drafted) = drafted {
            commented(out, &indent, &comment(drafted, draft));
        }
        let _ = writeln!(out, "{indent}\"{key}\": {value}{comma}");
    }
}

/// A setting of a draft.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct DraftedEntry {
    /// JSON pointer.
    setting: &'static str,
    /// Its plain name.
    name: &'static str,
    /// `stated` or `open`.
    state: &'static str,
    /// The value, as a profile has it; `null` if it is left open.
    value: Value,
    /// The same in words.
    words: Option<String>,
    /// Why it is stated or left open.
    why: &'static str,
    /// The values that would send what was seen, if there are several.
    one_of: Option<Vec<String>>,
    /// What would show it, or why it is never on the air.
    reason: Option<String>,
    /// What was seen.
    seen: Vec<SeenCode>,
}

/// A profile drafted from captures.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct DraftEntry {
    /// Always `draft/1`.
    schema: &'static str,
    /// Six hexadecimal digits.
    address: String,
    /// The version of its messages; `null` if it was not heard.
    version: Option<u8>,
    /// The captures.
    captures: Vec<String>,
    /// How many frames there were with its address in the clear.
    frames_in_the_clear: u64,
    /// First and last time of its frames, in seconds; `null` without times.
    times: Option<(f64, f64)>,
    /// How many settings are stated.
    stated: usize,
    /// Every setting that a new profile has, and what else was seen.
    settings: Vec<DraftedEntry>,
    /// The profile; its schema is that of `profile schema`.
    profile: Value,
}

/// The draft as data.
pub fn json(draft: &Draft, captures: &[String]) -> Value {
    let profile = draft.profile();
    let settings = draft.settings.iter().map(|drafted| {
        let (one_of, reason) = match &drafted.why {
            Why::OneOf(values) => (Some(values.clone()), None),
            Why::NotSeen(words) | Why::NotOnAir(words) => (None, Some(words.clone())),
            _ => (None, None),
        };
        let words = drafted.setting.stated(&profile);
        DraftedEntry {
            setting: drafted.setting.pointer,
            name: drafted.setting.name,
            state: if matches!(words, Stated::Is(_)) { "stated" } else { "open" },
            value: drafted.setting.value(&profile),
            words: words.get().cloned(),
            why: drafted.why.key(),
            one_of,
            reason,
            seen: drafted.seen.clone(),
        }
    });
    json!(DraftEntry {
        schema: "draft/1",
        address: draft.address.to_string(),
        version: draft.version,
        captures: captures.to_vec(),
        frames_in_the_clear: draft.frames,
        times: draft.times,
        stated: draft.stated(),
        settings: settings.collect(),
        profile: profile.json(),
    })
}
