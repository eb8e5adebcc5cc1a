//! Question in, answer out: what the page may ask, and the answers, without a server, files or threads.

use super::watch::Watches;
use super::{Refusal, bits, guide, install, learn, practice, readback, reference, start, steps, verdict};
use crate::present::html::record;
use crate::present::text::printable;
use crate::profile::{JsonError, Node};
use serde_json::{Value, json};

/// The largest capture that the server reads, in bytes.
pub const LARGEST_CAPTURE: u64 = 768 << 20;
/// The largest capture that the lab compares where there is no server.
pub const LARGEST_IN_LAB: usize = 16 << 20;
/// The largest profile that a page begins with or compares.
pub const LARGEST_PROFILE: usize = 1 << 20;

/// The profile that a page begins with.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// The name of its file.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// Answers a question.
pub(super) type Answer = fn(&Value) -> Result<Value, Refusal>;

/// The questions whose answers depend on nothing else.
pub(super) const QUESTIONS: [(&str, Answer); 25] = [
    ("doors", start::doors),
    ("example", start::example),
    ("place", start::place),
    ("bits", bits::explain),
    ("field", bits::field),
    ("messages", bits::messages),
    ("fields", bits::fields),
    ("make", bits::make),
    ("install", install::show),
    ("intended", install::sheet),
    ("readback", readback::show),
    ("parity", steps::parity),
    ("position", steps::position),
    ("altitude", steps::altitude),
    ("identity", steps::identity),
    ("lessons", learn::lessons),
    ("lesson", learn::lesson),
    ("picture", learn::picture),
    ("kinds", practice::kinds),
    ("exercise", practice::exercise),
    ("judge", practice::judge),
    ("solution", practice::solution),
    ("sheet", practice::sheet),
    ("reference", reference::reference),
    ("guide", guide::guide),
];

/// The answer to a question in JSON; else the status of HTTP that fits, and the reason.
pub(super) fn answered(
    question: &[u8],
    answer: impl Fn(&Value) -> Result<Value, Refusal>,
) -> Result<Value, (u16, Refusal)> {
    match serde_json::from_slice(question) {
        Err(error) => Err((400, not_json(question, &error))),
        Ok(request) => answer(&request).map_err(|why| (422, why)),
    }
}

/// Why a question is not JSON, in the words of the reader that is made for people.
fn not_json(question: &[u8], error: &serde_json::Error) -> Refusal {
    let (line, column, why) = match str::from_utf8(question).map(Node::parse) {
        Ok(Err(JsonError { line, column, reason, correction })) => (line, column, format!("{reason}; {correction}")),
        Ok(Ok(_)) => (error.line(), error.column(), "this cannot be read; send one JSON object".to_owned()),
        Err(_) => (error.line(), error.column(), "this is not UTF-8 text; send one JSON object in UTF-8".to_owned()),
    };
    format!("the question is not valid JSON (line {line}, column {column}): {why}")
}

/// An answer that is a refusal. What it names may come from others.
pub(super) fn refused(why: &str) -> Value {
    json!({"error": printable(why)})
}

/// The page where there is no server: one caller, one question after the other.
#[derive(Debug, Default)]
pub struct Lab {
    watches: Watches,
}

impl Lab {
    /// The answer to a question of this name, as JSON: `status` of HTTP and `answer`, in which `error` is why there is none.
    /// `now` is the present time in seconds since 1970-01-01 UTC: the library cannot ask a clock there.
    pub fn answer(&self, name: &str, question: &[u8], now: i64) -> String {
        record::set_clock(now);
        let answered = match name {
            "start" => Ok(start::start(None, self.watches.followed.as_ref(), LARGEST_IN_LAB as u64)),
            "watch" => answered(question, |request| self.watches.answer(request)),
            "verdict" => answered(question, verdict::small),
            _ => match QUESTIONS.iter().find(|(known, _)| *known == name) {
                Some((_, answer)) => answered(question, answer),
                None => Err((404, format!("there is no question {name:?}"))),
            },
        };
        let (status, answer) = answered.map_or_else(|(status, why)| (status, refused(&why)), |given| (200, given));
        json!({"status": status, "answer": answer}).to_string()
    }
}
