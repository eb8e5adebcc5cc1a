//! Comparisons and plans as JSON: one object per profile.

use crate::compare::{Plan, RECEPTION, Report, SURE, Series};
use crate::present::CAUTIONS;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Value, json};

/// What the captures say of one install: the report as it is.
pub fn report(report: &Report) -> Value {
    // A report is made of texts and finite numbers, which always have a form.
    serde_json::to_value(report).unwrap_or_default()
}

/// The JSON Schema of a report.
pub fn report_schema() -> Value {
    schema::<Report>("What captures say of an install", Report::SCHEMA)
}

/// The JSON Schema of a series.
pub fn series_schema() -> Value {
    schema::<Series>("One aircraft over several captures", Series::SCHEMA)
}

fn schema<T: JsonSchema>(title: &str, version: &str) -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    schema.insert("title".to_owned(), json!(title));
    schema.insert("$id".to_owned(), json!(format!("squitterlab:{version}")));
    schema.to_value()
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
