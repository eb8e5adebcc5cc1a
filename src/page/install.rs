//! Install: a profile checked and put on the air as it is being written.

use super::{Refusal, text};
use crate::onair::{Flight, emissions, not_in};
use crate::present::{html, json};
use crate::profile::{Profile, check, rule_set, rule_sets, rules_for};
use serde_json::{Value, json};

/// The rule sets, with their titles.
pub fn rule_names() -> Value {
    rule_sets().iter().map(|set| json!({"name": set.name, "title": set.title})).collect()
}

/// The problems of a profile, and the frames that it sends.
pub fn show(request: &Value) -> Result<Value, Refusal> {
    let given = text(request, "profile");
    let reading = Profile::read(given);
    // As the command: those of the State of registry where nobody names any.
    let named = match text(request, "rules") {
        "" => None,
        name => Some(rule_set(name).ok_or_else(|| format!("there is no rule set {name:?}"))?),
    };
    let (rules, why) = rules_for(named, &reading.profile);
    let profile = reading.profile.clone();
    let problems: Vec<Value> = check(&reading, rules).iter().map(|each| json::problem("", each)).collect();
    let (frames, unseen, trouble) = match emissions(&profile, Flight::Unknown) {
        Ok(frames) => {
            let unseen = not_in(&profile, &frames);
            (frames, unseen, None)
        }
        Err(error) => (Vec::new(), Vec::new(), Some(error.to_string())),
    };
    let drawn: String = frames.iter().map(|frame| html::emission(frame).into_string()).collect();
    let unseen: Vec<Value> =
        unseen.iter().map(|(pointer, reason)| json!({"setting": pointer, "reason": reason})).collect();
    let sent: Vec<Value> = frames.iter().map(json::emission).collect();
    let rules = json!({"name": rules.name, "title": rules.title, "date": rules.date, "why": why});
    // In a file that is read without faults, what a person wrote in words is given as the form has it.
    let read = (!reading.has_errors()).then(|| profile.json());
    Ok(json!({"rules": rules, "read": read, "has_comments": reading.has_comments, "problems": problems, "html": drawn,
        "frames": sent, "unseen": unseen, "trouble": trouble}))
}
