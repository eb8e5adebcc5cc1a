//! The local lab page: a small server on the loopback address, and the page's own files.
//!
//! The page answers with what the library says, drawn by [`present::html`](crate::present::html); its script knows no
//! field by name. Only who has the link that the program printed is served, on this machine: other names of the host and
//! other origins are refused, and the page may load nothing from anywhere else.

mod bits;
mod guide;
mod install;
mod learn;
#[cfg(feature = "page")]
mod metered;
#[cfg(feature = "page")]
mod patient;
mod practice;
mod questions;
mod readback;
mod reference;
#[cfg(feature = "page")]
mod server;
mod start;
mod steps;
#[cfg(feature = "page")]
mod upload;
mod verdict;
mod watch;
#[cfg(feature = "page")]
mod workers;

pub use questions::{LARGEST_CAPTURE, LARGEST_IN_LAB, LARGEST_PROFILE, Lab, Loaded};
#[cfg(feature = "page")]
pub use server::Server;
pub use watch::Watched;

use crate::present::text::printable;
use serde_json::{Value, json};

/// What is wrong with a request, in words for the person at the page.
type Refusal = String;

/// A text member of the request, trimmed; empty where it is not there.
fn text<'a>(request: &'a Value, key: &str) -> &'a str {
    request.get(key).and_then(Value::as_str).unwrap_or_default().trim()
}

/// The profile of the request as it is, to its last blank: a record has the digest of its bytes, and a problem its place.
fn profile(request: &Value) -> &str {
    request.get("profile").and_then(Value::as_str).unwrap_or_default()
}

/// The most of a name that is kept, in characters.
const LONGEST_NAME: usize = 255;

/// The name of a file as the page and its records show it: what cannot be seen in it is written out.
fn shown_name(given: &str, otherwise: &str) -> String {
    match given.trim() {
        "" => otherwise.to_owned(),
        given => printable(&given.chars().take(LONGEST_NAME).collect::<String>()).into_owned(),
    }
}

/// An answer to be drawn as it is.
fn drawn(markup: maud::Markup) -> Value {
    json!({"html": markup.into_string()})
}
