//! Question in, answer out: what the page may ask, and the answers, without a server, files or threads.

use super::watch::Watches;
use super::{Refusal, bits, guide, install, learn, practice, readback, reference, start, steps, verdict};
use crate::present::html::record;
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
        Err(error) => Err((400, format!("the question is not valid JSON: {error}"))),
        Ok(request) => answer(&request).map_err(|why| (422, why)),
    }
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
        let (status, answer) =
            answered.map_or_else(|(status, why)| (status, json!({"error": why})), |given| (200, given));
        json!({"status": status, "answer": answer}).to_string()
    }
}
