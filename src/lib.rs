//! What a configured 1090ES transponder install transmits, bit for bit, and what captured frames say about it.
//!
//! Four ideas carry it. A **code** is the truth and a meaning is a view of it ([`code`]), so every pattern of 56 or 112
//! bits decodes, and encodes back to the same bits. A **message** is one table of codes ([`message`], [`register`],
//! [`downlink`]), from which everything that is shown follows. A **profile** becomes bits and a mask ([`onair`]), which
//! serve showing and comparing alike ([`compare`]). A **mistake** is a profile too ([`profile::mistake`]), so the encoder
//! explains what differs.
//!
//! Each room uses only those after it in this list: [`compare`], [`onair`], [`profile`], [`registry`], [`capture`],
//! [`track`], [`downlink`], [`register`], [`message`], [`code`], [`frame`].
//!
//! Library code never panics on input and never prints. Nothing here makes a signal. The [`guide`] shows the program.
//!
//! # Build, decode, locate, compare
//!
//! A squitter is built from physical units; parity is made, never given. Every frame decodes. A [`track::Tracker`] follows
//! aircraft and finds their positions; [`cpr`] has the arithmetic. A [`Fleet`] compares captured text with installs:
//!
//! ```
//! use squitterlab::code::CprFormat;
//! use squitterlab::compare::Verdict;
//! use squitterlab::onair::{Flight, emissions};
//! use squitterlab::{Fleet, Install, Message, Profile, Squitter, cpr, message, profile, track};
//!
//! fn main() -> Result<(), Box<dyn std::error::Error>> {
//!     let unit = Squitter::new("A5C035".parse()?);
//!     let here = cpr::Position { latitude_deg: 47.26, longitude_deg: 11.34 };
//!     let even = unit.frame(message::AirbornePosition::new(here, 15_000.0, CprFormat::EVEN)?);
//!     let odd = unit.frame(message::AirbornePosition::new(here, 15_000.0, CprFormat::ODD)?);
//!
//!     let Some(Message::AirbornePosition(position)) = even.decode().squitter() else { panic!() };
//!     assert_eq!(position.altitude.feet(), Some(15_000));
//!
//!     let mut tracker = track::Tracker::new(None, None);
//!     tracker.observe(&even.decode(), Some(0.0));
//!     let (found, _) = tracker.observe(&odd.decode(), Some(0.5)).position.ok_or("no position")?;
//!     assert!(found.distance_nm(here) < 0.01);
//!
//!     // A unit that was set to category A3, against a profile that says A1.
//!     let text = r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#;
//!     let [right, wrong] = [text, &text.replace("A1", "A3")].map(|text| Profile::read(text).profile);
//!     let sent = emissions(&wrong, Flight::Healthy)?;
//!     let capture: String = sent.iter().map(|emission| format!("{}\n", emission.frame)).collect();
//!     let mut fleet = Fleet::new(vec![Install::new("own", right)?], &profile::rule_sets()[0]);
//!     fleet.read("capture.txt", capture.repeat(2).as_bytes());
//!     assert!(fleet.reports().all(|report| report.verdict == Verdict::Differs));
//!     Ok(())
//! }
//! ```
//!
//! # Features
//!
//! `cli` (the program), `lab` (captures from files, the rehearsal and what the lab page answers; part of `cli`), `page` (the
//! lab page) and `parquet` are on by default, for the program. A library needs none of them: `default-features = false`
//! leaves at most 25 crates and no files or threads.
//!
//! # What a version promises
//!
//! - The promise covers what this documentation shows: the names at the root and the rooms in the list above. What is hidden
//!   here (`present`, `learn`, `page`, `cli`, and names that only they use) is the program's own and changes without notice.
//! - Before 1.0 a change that breaks a caller raises the second number (0.1 to 0.2), any other change the third. The
//!   [`changelog`] says what broke and what to write instead.
//! - An enumeration or record that may grow is `non_exhaustive`: more variants and fields break nobody.
//! - A value that turns out to differ from its source is an error, and its correction is not a breaking change. A pattern
//!   always gives the same code, and a code the same pattern.
//! - The program's commands, exit statuses and JSON keep the same promise; each JSON shape has its own version in its schema.
//! - Types of `serde_json` 1 and `jiff` 1 appear in signatures. The least version of Rust, 1.95 now, rises only with the
//!   second number.
#![forbid(unsafe_code)]
// What only the program calls is private, and not missed without it.
#![cfg_attr(not(all(feature = "cli", feature = "page", feature = "parquet")), allow(dead_code, unused_imports))]

// The rooms of the program name this library as others do.
extern crate self as squitterlab;

pub mod capture;
#[doc = include_str!("CHANGELOG.md")]
pub mod changelog {}
#[cfg(feature = "cli")]
#[doc(hidden)]
pub mod cli;
pub mod code;
pub mod compare;
pub mod downlink;
pub mod frame;
pub mod guide;
#[cfg(feature = "lab")]
#[doc(hidden)]
pub mod learn;
pub mod message;
pub mod onair;
#[cfg(feature = "lab")]
#[doc(hidden)]
pub mod page;
#[doc(hidden)]
pub mod present;
pub mod profile;
pub mod register;
pub mod registry;
pub mod track;
mod written;

pub use code::Version;
#[doc(alias = "CPR")]
pub use code::compact_position as cpr;
#[doc(inline)]
pub use compare::{Fleet, Install, Report};
pub use downlink::{Decoded, Parity, Squitter};
pub use frame::{Address, Frame};
pub use message::Message;
pub use profile::Profile;

/// The README's library example is a test too.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
