//! What a configured 1090ES transponder install transmits, bit for bit, and what captured frames say about it.
//!
//! Four ideas carry it. A **code** is the truth and a meaning is a view of it ([`code`]), so every pattern of 56 or 112
//! bits decodes, and encodes back to the same bits. A **message** is one table of codes ([`message`], [`register`],
//! [`downlink`]), from which everything that is shown follows. A **profile** becomes bits and a mask ([`onair`]), which
//! serve showing and comparing alike ([`compare`]). A **mistake** is a profile too ([`profile::mistake`]), so the encoder
//! explains what differs.
//!
//! Each room uses only those after it in this list: [`present`], [`compare`], [`onair`], [`profile`], [`registry`],
//! [`capture`], [`track`], [`downlink`], [`register`], [`message`], [`code`], [`frame`].
//!
//! Library code never panics on input and never prints. Nothing here makes a signal. The [`guide`] shows the program.
//!
//! ```
//! use squitterlab::onair::{Flight, emissions};
//! use squitterlab::profile::Profile;
//!
//! let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
//! let frames = emissions(&profile, Flight::Unknown).unwrap();
//! let identification = frames.iter().find(|frame| frame.table.message == "aircraft_identification").unwrap();
//! assert_eq!(identification.decisions[1].field, "emitter_category");
//! ```
#![forbid(unsafe_code)]

pub mod capture;
pub mod code;
pub mod compare;
pub mod downlink;
pub mod frame;
pub mod guide;
pub mod message;
pub mod onair;
#[cfg(feature = "page")]
pub mod page;
pub mod present;
pub mod profile;
pub mod register;
pub mod registry;
pub mod track;

/// The README's library example is a test too.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
