//! What a configured 1090ES transponder install transmits, bit for bit, and what captured frames say about it.
#![forbid(unsafe_code)]

pub mod capture;
pub mod code;
pub mod compare;
pub mod downlink;
pub mod frame;
pub mod message;
pub mod onair;
pub mod present;
pub mod profile;
pub mod register;
pub mod registry;
pub mod track;
