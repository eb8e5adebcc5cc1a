//! The program as a person or a script uses it: one module per command, and what is true of several.

mod browser;
mod installs;
mod long_run;
mod program;
mod random;

mod address;
mod altitude;
mod attack;
mod bad_input;
mod capture;
mod closed_pipe;
mod compare;
mod decode;
mod dependencies;
mod desk;
mod determinism;
mod encode;
mod explain;
mod files;
mod fleet;
mod flights;
mod help;
mod large;
mod on_air;
mod onair;
mod one_report;
mod page;
mod profile;
mod readme;
mod record;
mod rehearse;
mod slips;
mod track;
mod words;
