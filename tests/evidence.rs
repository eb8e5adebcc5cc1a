//! The library against everything outside it: published values, second implementations, every code and pattern.

mod installs;
mod long_run;
mod random;

mod compact_position;
mod diagnosis;
mod exhaustive;
mod fact_tables;
mod fuzz;
mod judge;
mod kinds;
mod learn;
mod library;
mod pairs;
mod pinned;
mod properties;
mod published;
mod random_frames;
mod registers;
mod settings;
mod steps;
mod versions;
