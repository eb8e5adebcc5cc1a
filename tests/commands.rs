//! The program as a person or a script uses it: one module per command, and what is true of several.

mod browser;
mod program;
mod random;

mod address;
mod altitude;
mod capture;
mod compare;
mod decode;
mod desk;
mod encode;
mod explain;
mod fleet;
mod flights;
mod large;
mod on_air;
mod onair;
mod page;
mod profile;
mod readme;
mod record;
mod rehearse;
mod track;
