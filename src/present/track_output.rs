//! Writes what earlier frames add to a frame, in words and as JSON: one piece for every presenter.

use super::json_values::{decimal, plain};
use crate::track::state::{Contradiction, State};
use crate::track::{DataOverlay, Disagreement, Heights, Observation};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

fn at(time: Option<f64>) -> String {
    time.map_or_else(String::new, |time| format!(" at {time:.3} s"))
}

/// Position, changes and doubts, a line each; degrees with this many decimal places.
pub fn words(observation: &Observation, places: usize) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some((position, method)) = observation.position {
        let (latitude, longitude) = (position.latitude_deg, position.longitude_deg);
        lines.push(format!("position {latitude:.places$}, {longitude:.places$} ({})", method.key()));
    }
    if let Some(refusal) = observation.position_refused {
        lines.push(format!("no position: {refusal}"));
    }
    if let Some(heights) = observation.heights {
        lines.push(height_words(heights));
    }
    if let Some(change) = observation.change {
        let State { is, since_s, by } = change.from;
        lines.push(format!(
            "now {} ({}); it was {}{} ({by})",
            change.to.is.words(),
            change.to.by,
            is.words(),
            since_s.map_or_else(String::new, |since| format!(" since {since:.3} s"))
        ));
    }
    if let Some(Contradiction { envelope, message }) = observation.contradiction {
        lines.push(format!(
            "the frame contradicts itself: {} by its {}, {} by its message",
            envelope.0.words(),
            envelope.1,
            message.0.words()
        ));
    }
    if let Some(Disagreement { reply, squitter, squitter_time }) = observation.disagreement {
        lines.push(format!(
            "{}: this reply and the one before say {reply}, the squitter in between{} said {squitter}",
            reply.field(),
            at(squitter_time)
        ));
    }
    lines
}

fn height_words(heights: Heights) -> String {
    let Heights { pressure_altitude_ft, geometric_height_ft, geometric_sent, difference_age_s } = heights;
    let (what, feet) = if geometric_sent {
        ("pressure altitude", pressure_altitude_ft)
    } else {
        ("geometric height", geometric_height_ft)
    };
    format!("{what} {feet} ft, with the difference of {difference_age_s:.1} s before")
}

/// As the entries of an object, the position apart.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub(super) struct Entries {
    /// There if a position message gives no position: why.
    #[serde(skip_serializing_if = "Option::is_none")]
    position_refused: Option<String>,
    /// There if one height follows from the other.
    #[serde(skip_serializing_if = "Option::is_none")]
    heights: Option<HeightEntries>,
    /// There if the aircraft is now in the other state.
    #[serde(skip_serializing_if = "Option::is_none")]
    state_change: Option<ChangeEntries>,
    /// There if envelope and message contradict each other: the field and the message, each with what it says.
    #[cfg_attr(feature = "cli", schemars(with = "Option<std::collections::BTreeMap<String, String>>"))]
    #[serde(skip_serializing_if = "Option::is_none")]
    contradiction: Option<Value>,
    /// There if this reply shows that a squitter before it disagrees with the replies around it.
    #[serde(skip_serializing_if = "Option::is_none")]
    disagreement: Option<DisagreementEntries>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub(super) struct HeightEntries {
    /// Pressure altitude.
    pressure_altitude_ft: i32,
    /// Geometric height.
    geometric_height_ft: i32,
    /// Which of them was sent.
    sent: &'static str,
    /// How old the difference of both is.
    difference_age_s: f64,
}

#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub(super) struct ChangeEntries {
    /// Until now.
    from: StateEntries,
    /// From now on.
    to: StateEntries,
}

#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub(super) struct StateEntries {
    /// `airborne` or `on_ground`.
    state: &'static str,
    /// The field or message that says so.
    by: &'static str,
    /// There with times: since when, in seconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    since: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub(super) struct DisagreementEntries {
    /// The field.
    field: &'static str,
    /// What the replies say.
    replies: String,
    /// What the squitter said.
    squitter: String,
    /// There with times: when, in seconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    squitter_time: Option<f64>,
}

fn rounded(number: f64, scale: f64) -> f64 {
    (number * scale).round() / scale
}

impl From<State> for StateEntries {
    fn from(state: State) -> Self {
        Self { state: state.is.key(), by: state.by, since: state.since_s }
    }
}

impl From<&Observation> for Entries {
    fn from(observation: &Observation) -> Self {
        Self {
            position_refused: observation.position_refused.map(|refusal| refusal.to_string()),
            heights: observation.heights.map(|heights| HeightEntries {
                pressure_altitude_ft: heights.pressure_altitude_ft,
                geometric_height_ft: heights.geometric_height_ft,
                sent: heights.sent(),
                difference_age_s: rounded(heights.difference_age_s, 1e3),
            }),
            state_change: observation
                .change
                .map(|change| ChangeEntries { from: change.from.into(), to: change.to.into() }),
            contradiction: observation.contradiction.map(
                |Contradiction { envelope, message }| json!({envelope.1: envelope.0.key(), message.1: message.0.key()}),
            ),
            disagreement: observation.disagreement.map(|Disagreement { reply, squitter, squitter_time }| {
                DisagreementEntries {
                    field: reply.field(),
                    replies: reply.to_string(),
                    squitter: squitter.to_string(),
                    squitter_time,
                }
            }),
        }
    }
}

/// The possible data overlay, which comes before the fields.
pub fn data_overlay(overlay: DataOverlay) -> Value {
    let mut object = json!({"address": overlay.address.to_string(), "register": overlay.register.to_string()});
    if let (Value::Object(object), 1..) = (&mut object, overlay.others) {
        object.insert("others".to_owned(), json!(overlay.others));
    }
    object
}

/// Writes position, changes and doubts into a frame's object, a comma after each.
pub fn write(observation: &Observation, out: &mut Vec<u8>) {
    if let Some((position, method)) = observation.position {
        out.extend_from_slice(b"\"position\":{\"latitude_deg\":");
        decimal(rounded(position.latitude_deg, 1e6), out);
        out.extend_from_slice(b",\"longitude_deg\":");
        decimal(rounded(position.longitude_deg, 1e6), out);
        out.extend_from_slice(b",\"method\":");
        plain(method.key(), out);
        out.extend_from_slice(b"},");
    }
    // Most frames add no more.
    if matches!(
        observation,
        Observation {
            position_refused: None,
            heights: None,
            change: None,
            contradiction: None,
            disagreement: None,
            ..
        }
    ) {
        return;
    }
    let start = out.len();
    // Writing to memory cannot fail.
    drop(serde_json::to_writer(&mut *out, &Entries::from(observation)));
    out.pop();
    out.push(b',');
    out.remove(start);
}
