//! Comparisons and plans as JSON: one object per profile.

use crate::compare::{Plan, RECEPTION, Report, SURE};
use crate::present::CAUTIONS;
use serde_json::{Value, json};

/// What the captures say of one install: the report as it is.
pub fn report(report: &Report) -> Value {
    // A report is made of texts and finite numbers, which always have a form.
    serde_json::to_value(report).unwrap_or_default()
}

/// The captures that prove most of an install, as data.
pub fn plan(plan: &Plan) -> Value {
    let captures: Vec<Value> = plan
        .captures
        .iter()
        .map(|capture| {
            json!({
                "when": capture.when,
                "interrogated": capture.interrogated,
                "seconds": capture.seconds,
                "wait_for": capture.ways,
                "proves": capture.proves,
                "adds": capture.adds,
                "stops": capture.stops,
            })
        })
        .collect();
    let never: Vec<Value> =
        plan.never.iter().map(|(setting, reason)| json!({"setting": setting, "reason": reason})).collect();
    json!({
        "profile": plan.profile,
        "address": plan.address.to_string(),
        "provable": plan.provable,
        "reception": RECEPTION,
        "certainty": SURE,
        "captures": captures,
        "when_used": plan.when_used,
        "never": never,
        "cautions": CAUTIONS,
    })
}
