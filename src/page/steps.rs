//! Steps: worked arithmetic.

use super::bits::{frame, place};
use super::{Refusal, drawn, text};
use crate::code::compact_position::{Grid, Position, Word};
use crate::code::{ModeA, number};
use crate::downlink::Decoded;
use crate::frame::Frame;
use crate::message::Message;
use crate::present::html::steps;
use serde_json::Value;

/// The division that makes the parity of a frame.
pub fn parity(request: &Value) -> Result<Value, Refusal> {
    Ok(drawn(steps::parity(&frame(request, "frame")?)))
}

/// The grey code around an altitude.
pub fn altitude(request: &Value) -> Result<Value, Refusal> {
    let feet = number(text(request, "feet")).map_err(|error| error.to_string())?;
    steps::altitude(feet).map(drawn).map_err(|error| error.to_string())
}

/// The interleave of a Mode A code.
pub fn identity(request: &Value) -> Result<Value, Refusal> {
    let code: ModeA = text(request, "code").parse().map_err(|error: crate::code::CodeError| error.to_string())?;
    Ok(drawn(steps::identity(code)))
}

fn word(frame: Frame) -> Result<(Word, Grid), Refusal> {
    match Decoded::new(frame).squitter() {
        Some(Message::AirbornePosition(message)) => Ok((message.word(), Grid::Airborne)),
        Some(Message::SurfacePosition(message)) => Ok((message.word(), Grid::Surface)),
        _ => Err(format!("{frame} is not a position message of an aircraft")),
    }
}

/// A pair of words: of two frames, or of a position.
pub fn position(request: &Value) -> Result<Value, Refusal> {
    let reference = place(request, "position")?;
    let (first, second, grid) = if text(request, "first").is_empty() && text(request, "second").is_empty() {
        let Some(position) = reference else {
            return Err("give a position, or two position frames: one even, one odd".to_owned());
        };
        let grid =
            if request.get("surface").and_then(Value::as_bool) == Some(true) { Grid::Surface } else { Grid::Airborne };
        let encode = |position: Position, odd: bool| Word::of(position, odd, grid);
        (encode(position, false), encode(position, true), grid)
    } else {
        let ((first, grid), (second, other)) = (word(frame(request, "first")?)?, word(frame(request, "second")?)?);
        if grid != other {
            return Err("one frame is from the air and one from the surface; a pair needs two of a kind".to_owned());
        }
        (first, second, grid)
    };
    if first.odd == second.odd {
        return Err("the pair needs one even and one odd word".to_owned());
    }
    let (even, odd) = if first.odd { (second, first) } else { (first, second) };
    Ok(drawn(steps::position(even, odd, grid, reference)))
}
