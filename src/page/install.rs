//! Install: a profile checked and put on the air as it is being written.

use super::{Refusal, profile, text, verdict};
use crate::code::Version;
use crate::onair::{Flight, emissions, not_in};
use crate::present::html::record;
use crate::present::sheet::Sheet;
use crate::present::{html, json};
use crate::profile::{
    Profile, Questions, RuleSet, SETTINGS, Setting, SettingId, Stated, applies, check, follows, rule_set, rule_sets,
    rules_for,
};
use serde_json::{Value, json};

/// The rule sets, with their titles.
pub fn rule_names() -> Value {
    rule_sets().iter().map(|set| json!({"name": set.name, "title": set.title})).collect()
}

/// The settings of the aircraft that are not its identity.
const AIRFRAME: &[SettingId] = &[
    SettingId::Kind,
    SettingId::MaximumTakeOffWeight,
    SettingId::MaximumCruiseTrueAirspeed,
    SettingId::EmitterCategory,
    SettingId::Length,
    SettingId::Width,
];

/// A section of the form: its name, its title, and what is in it.
type Section = (&'static str, &'static str, fn(SettingId) -> bool);

/// The sections of the form; the first that fits counts.
const SECTIONS: &[Section] = &[
    ("airframe", "Airframe", |setting| AIRFRAME.contains(&setting)),
    ("identity", "Identity", |setting| is_below(setting, "/aircraft/")),
    ("altitude", "Altitude", |setting| is_below(setting, "/transponder/altitude_source/")),
    ("transponder", "Transponder", |setting| is_below(setting, "/transponder/")),
    ("position", "Position source", |setting| is_below(setting, "/position_source/")),
    ("receivers", "Receivers", |setting| is_below(setting, "/receivers/")),
    ("record", "For the record", |_| true),
];

fn is_below(setting: SettingId, group: &str) -> bool {
    setting.pointer().starts_with(group)
}

/// The order in which the sections are shown.
const ORDER: &[&str] = &["identity", "airframe", "transponder", "altitude", "position", "receivers", "record"];

fn section(setting: SettingId) -> &'static str {
    SECTIONS.iter().find(|(_, _, has)| has(setting)).map_or("record", |(name, ..)| *name)
}

/// The words that a setting is chosen from, each with its meaning.
fn options(setting: &Setting) -> Vec<(String, String)> {
    if setting.id != SettingId::EmitterCategory {
        return setting.options.iter().map(|choice| (choice.word.to_owned(), choice.words.to_owned())).collect();
    }
    let nothing = Profile::default();
    let all = "ABCD".chars().flat_map(|letter| (0..8).map(move |number| format!("{letter}{number}")));
    let words = |category: String| {
        let with = setting.with_typed(&nothing, &category).ok()?;
        let meaning = with.emitter_category.get()?.meaning(Version::Two).words().to_string();
        Some((category, meaning))
    };
    all.filter_map(words).collect()
}

/// With the plain names of settings in place of their pointers.
pub fn in_plain_words(text: &str) -> String {
    let mut all: Vec<&Setting> = SETTINGS.iter().collect();
    all.sort_by_key(|setting| std::cmp::Reverse(setting.pointer.len()));
    all.iter().fold(text.to_owned(), |text, setting| text.replace(setting.pointer, setting.name))
}

/// The sections with their settings, in order.
pub fn sections() -> Value {
    let titled = |name: &str| SECTIONS.iter().find(|(known, ..)| *known == name).map_or("", |(_, title, _)| *title);
    let settings = |name: &str| -> Vec<Value> {
        let inside = SETTINGS.iter().filter(|setting| section(setting.id) == name);
        inside
            .map(|setting| {
                json!({
                    "pointer": setting.pointer, "id": setting.id.id(), "name": setting.name,
                    "from": setting.taken_from.words(), "typical": setting.typical, "optional": setting.optional,
                    "usual": setting.in_new_profile,
                    "options": options(setting).iter().map(|(word, words)| json!([word, words])).collect::<Vec<_>>(),
                })
            })
            .collect()
    };
    ORDER.iter().map(|name| json!({"name": name, "title": titled(name), "settings": settings(name)})).collect()
}

/// What follows from the mark, the weight and the tape for settings that are not stated otherwise.
fn offers(profile: &Profile, rules: &crate::profile::RuleSet) -> Vec<Value> {
    let offer = |id: &SettingId| {
        let setting = id.setting();
        let found = follows(profile, rules, *id)?;
        let with = setting.with_typed(profile, &found.value).ok()?;
        let (now, then) = (setting.value(profile), setting.value(&with));
        (now != then && applies(profile, *id)).then(|| {
            let words = setting.stated(&with).get().cloned().unwrap_or(found.value);
            let stated = matches!(setting.stated(profile), Stated::Is(_));
            json!({"pointer": setting.pointer, "words": words, "why": found.why, "value": then, "instead": stated})
        })
    };
    SettingId::ALL.iter().filter_map(offer).collect()
}

/// The questions that are still open, in the order of work at the aircraft.
fn open(given: &str) -> Vec<Value> {
    let Ok(mut questions) = Questions::new(given, false) else { return Vec::new() };
    let mut all = Vec::new();
    while let Some(question) = questions.question() {
        let setting = question.setting;
        all.push(json!({
            "pointer": setting.pointer, "number": question.number, "of": question.of, "stop": question.stop,
            "from": setting.taken_from.words(),
        }));
        questions.leave_open();
        if all.len() > SETTINGS.len() {
            break;
        }
    }
    all
}

/// The intended-install record of a profile, as `profile sheet --record` writes it.
pub fn sheet(request: &Value) -> Result<Value, Refusal> {
    let (given, name) = (profile(request), text(request, "profile_name"));
    let (_, source) = verdict::source(if name.is_empty() { "the profile on the page" } else { name }, given)?;
    let reading = Profile::read(given);
    let (rules, why) = rules_wanted(request, &reading.profile)?;
    let problems = check(&reading, rules);
    let sheet = Sheet::new(&source.name, &reading.profile, problems, rules, &why);
    let made = record::now();
    Ok(json!({
        "record": record::intended(&reading.profile, &sheet, &source, &made),
        "name": record::file_name(&reading.profile, "install", &made),
    }))
}

/// The rules that a question names. As the command: those of the State of registry where nobody names any.
fn rules_wanted(request: &Value, profile: &Profile) -> Result<(&'static RuleSet, String), Refusal> {
    let named = match text(request, "rules") {
        "" => None,
        name => Some(rule_set(name).ok_or_else(|| format!("there is no rule set {name:?}"))?),
    };
    Ok(rules_for(named, profile))
}

/// The problems of a profile, what follows from it, and the frames that it sends.
pub fn show(request: &Value) -> Result<Value, Refusal> {
    let given = profile(request);
    let reading = Profile::read(given);
    let (rules, why) = rules_wanted(request, &reading.profile)?;
    let profile = reading.profile.clone();
    let problems: Vec<Value> = check(&reading, rules)
        .iter()
        .map(|each| {
            let mut told = json::problem("", each);
            // The setting that it is about, or the one around it.
            let about = SETTINGS.iter().find(|setting| each.pointer.starts_with(setting.pointer));
            told["name"] = json!(about.map(|setting| setting.name));
            told["setting"] = json!(about.map(|setting| setting.pointer));
            told
        })
        .collect();
    let (frames, unseen, trouble) = match emissions(&profile, Flight::Unknown) {
        Ok(frames) => {
            let unseen = not_in(&profile, &frames);
            (frames, unseen, None)
        }
        Err(error) => (Vec::new(), Vec::new(), Some(in_plain_words(&error.to_string()))),
    };
    // What the unit sends by itself comes first.
    let (replies, squitters): (Vec<_>, Vec<_>) = frames.iter().partition(|frame| frame.reply_to.is_some());
    let drawn: Vec<String> =
        squitters.into_iter().chain(replies).map(|frame| html::emission(frame, true).into_string()).collect();
    let unseen: Vec<Value> =
        unseen.iter().map(|(id, reason)| json!({"setting": id, "name": id.name(), "reason": reason})).collect();
    let sent: Vec<Value> = frames.iter().map(json::emission).collect();
    let without: Vec<&str> = SETTINGS.iter().filter(|one| !applies(&profile, one.id)).map(|one| one.pointer).collect();
    let rules_told = json!({"name": rules.name, "title": rules.title, "date": rules.date, "why": why});
    // In a file that is read without faults, what a person wrote in words is given as the form has it.
    let read = (!reading.has_errors()).then(|| profile.json());
    Ok(json!({"rules": rules_told, "read": read, "has_comments": reading.has_comments, "problems": problems,
        "offers": offers(&profile, rules), "open": open(given), "without": without, "html": drawn, "frames": sent, "unseen": unseen,
        "trouble": trouble, "title": title(&profile)}))
}

/// What the aircraft is called, for the head of the page and for file names.
fn title(profile: &Profile) -> Value {
    let mark = SettingId::Registration.setting().stated(profile).get().cloned();
    json!({"mark": mark, "address": profile.address.get().map(ToString::to_string)})
}
