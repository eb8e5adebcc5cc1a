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
//! # Decode, build, locate, compare
//!
//! A frame is decoded with the tables that read it; a squitter's message comes with its type and its physical units:
//!
//! ```
//! use squitterlab::{Frame, Message};
//! let frame: Frame = "8D485020994409940838175B284F".parse().unwrap();
//! let decoded = frame.decode();
//! assert_eq!(decoded.address().unwrap().to_string(), "485020");
//! let Some(Message::AirborneVelocityGround(velocity)) = decoded.squitter() else { panic!() };
//! assert_eq!(velocity.vertical_rate_fpm(), Some(-832));
//! ```
//!
//! A message is put into a frame by [`Squitter`], a reply by its format; parity is made, never given. An even and an odd
//! position message give a position by [`cpr`]:
//!
//! ```
//! use squitterlab::code::CprFormat;
//! use squitterlab::cpr::{self, Grid, Position};
//! use squitterlab::message::AirbornePosition;
//! use squitterlab::{Message, Squitter};
//! let unit = Squitter::new("A5C035".parse().unwrap());
//! let here = Position { latitude_deg: 47.26, longitude_deg: 11.34 };
//! let words = [CprFormat::EVEN, CprFormat::ODD].map(|format| {
//!     let frame = unit.frame(AirbornePosition::new(here, 15_000.0, format).unwrap());
//!     let Some(Message::AirbornePosition(message)) = frame.decode().squitter() else { panic!() };
//!     message.word()
//! });
//! let found = cpr::global(words[0], words[1], Grid::Airborne, None).unwrap().position;
//! assert!(found.distance_nm(here) < 0.01);
//! ```
//!
//! What an install transmits, for comparison with what was captured:
//!
//! ```
//! use squitterlab::Profile;
//! use squitterlab::onair::{Flight, emissions};
//!
//! let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
//! let frames = emissions(&profile, Flight::Unknown).unwrap();
//! let identification = frames.iter().find(|frame| frame.table.message == "aircraft_identification").unwrap();
//! assert_eq!(identification.decisions[1].field, "emitter_category");
//! ```
#![forbid(unsafe_code)]
// What only the program calls is private, and not missed without it.
#![cfg_attr(not(all(feature = "cli", feature = "page", feature = "parquet")), allow(dead_code, unused_imports))]

// The rooms of the program name this library as others do.
extern crate self as squitterlab;

pub mod capture;
#[cfg(feature = "cli")]
#[doc(hidden)]
pub mod cli;
pub mod code;
pub mod compare;
pub mod downlink;
pub mod frame;
pub mod guide;
#[doc(hidden)]
pub mod learn;
pub mod message;
pub mod onair;
#[cfg(feature = "page")]
#[doc(hidden)]
pub mod page;
#[doc(hidden)]
pub mod present;
pub mod profile;
pub mod register;
pub mod registry;
pub mod track;

pub use code::Version;
#[doc(alias = "CPR")]
pub use code::compact_position as cpr;
#[doc(inline)]
pub use compare::{Fleet, Install};
pub use downlink::{Decoded, Parity, Squitter};
pub use frame::{Address, Frame};
pub use message::Message;
pub use profile::Profile;

/// The README's library example is a test too.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
