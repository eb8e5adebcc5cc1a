//! The local lab page: a small server on the loopback address, and the page's own files.
//!
//! The page answers with what the library says, drawn by [`present::html`](crate::present::html); its script knows no
//! field by name. Only who has the link that the program printed is served, on this machine: other names of the host and
//! other origins are refused, and the page may load nothing from anywhere else.

mod bits;
mod guide;
mod install;
mod learn;
mod metered;
mod patient;
mod practice;
mod readback;
mod reference;
mod server;
mod start;
mod steps;
mod verdict;
mod watch;
mod workers;

pub use server::{LARGEST_CAPTURE, LARGEST_PROFILE, Loaded, Server};
pub use watch::Watched;

use serde_json::{Value, json};

/// What is wrong with a request, in words for the person at the page.
type Refusal = String;

/// A text member of the request, trimmed; empty where it is not there.
fn text<'a>(request: &'a Value, key: &str) -> &'a str {
    request.get(key).and_then(Value::as_str).unwrap_or_default().trim()
}

/// An answer to be drawn as it is.
fn drawn(markup: maud::Markup) -> Value {
    json!({"html": markup.into_string()})
}
