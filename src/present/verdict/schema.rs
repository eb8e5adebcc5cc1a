//! The published shapes of the JSON: JSON Schemas made from the declarations.

use crate::compare::readback::ReadbackReport;
use crate::compare::{Report, Series, WatchEvent, WatchState};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Value, json};

/// The JSON Schema of a report.
pub fn report_schema() -> Value {
    schema::<Report>("What captures say of an install", Report::SCHEMA)
}

/// The JSON Schema of a series.
pub fn series_schema() -> Value {
    schema::<Series>("One aircraft over several captures", Series::SCHEMA)
}

/// The JSON Schema of an event of a watch.
pub fn watch_schema() -> Value {
    schema::<WatchEvent>("What happened while an install was watched", WatchState::SCHEMA)
}

/// The JSON Schema of a read-back.
pub fn readback_schema() -> Value {
    schema::<ReadbackReport>("What a person read, compared with an install", ReadbackReport::SCHEMA)
}

fn schema<T: JsonSchema>(title: &str, version: &str) -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    schema.insert("title".to_owned(), json!(title));
    schema.insert("$id".to_owned(), json!(format!("squitterlab:{version}")));
    schema.to_value()
}
