//! What the frames before add to a frame, in words and as JSON: one piece for every presenter.

use crate::code::compact_position::Position;
use crate::track::state::{Contradiction, State};
use crate::track::{DataOverlay, Disagreement, Heights, Method, Observation};
use serde_json::{Map, Value, json};

fn at(time: Option<f64>) -> String {
    time.map_or_else(String::new, |time| format!(" at {time:.3} s"))
}

/// Position, changes and doubts, a line each; degrees with so many places.
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

fn position(position: Position, method: Method) -> Value {
    let round = |degrees: f64| (degrees * 1e6).round() / 1e6;
    json!({"latitude_deg": round(position.latitude_deg), "longitude_deg": round(position.longitude_deg),
        "method": method.key()})
}

fn state(state: State) -> Value {
    let mut object = json!({"state": state.is.key(), "by": state.by});
    if let (Value::Object(object), Some(since)) = (&mut object, state.since_s) {
        object.insert("since".to_owned(), json!(since));
    }
    object
}

/// The possible data overlay, which stands before the fields.
pub fn data_overlay(overlay: DataOverlay) -> Value {
    let mut object = json!({"address": overlay.address.to_string(), "register": overlay.register.to_string()});
    if let (Value::Object(object), 1..) = (&mut object, overlay.others) {
        object.insert("others".to_owned(), json!(overlay.others));
    }
    object
}

/// Puts position, changes and doubts into a frame's object.
pub fn put(object: &mut Map<String, Value>, observation: &Observation) {
    let mut put = |key: &str, value: Value| {
        object.insert(key.to_owned(), value);
    };
    if let Some((place, method)) = observation.position {
        put("position", position(place, method));
    }
    if let Some(refusal) = observation.position_refused {
        put("position_refused", json!(refusal.to_string()));
    }
    if let Some(heights) = observation.heights {
        put(
            "heights",
            json!({"pressure_altitude_ft": heights.pressure_altitude_ft,
                "geometric_height_ft": heights.geometric_height_ft,
                "sent": if heights.geometric_sent { "geometric_height_ft" } else { "pressure_altitude_ft" },
                "difference_age_s": (heights.difference_age_s * 1e3).round() / 1e3}),
        );
    }
    if let Some(change) = observation.change {
        put("state_change", json!({"from": state(change.from), "to": state(change.to)}));
    }
    if let Some(Contradiction { envelope, message }) = observation.contradiction {
        put("contradiction", json!({envelope.1: envelope.0.key(), message.1: message.0.key()}));
    }
    if let Some(Disagreement { reply, squitter, squitter_time }) = observation.disagreement {
        let mut object =
            json!({"field": reply.field(), "replies": reply.to_string(), "squitter": squitter.to_string()});
        if let (Value::Object(object), Some(time)) = (&mut object, squitter_time) {
            object.insert("squitter_time".to_owned(), json!(time));
        }
        put("disagreement", object);
    }
}
