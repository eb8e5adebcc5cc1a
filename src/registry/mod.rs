//! Registration marks and the addresses that States derive from them. The State's register decides; this is a cross-check.

mod united_states;

pub use united_states::{MARKS, MarkError, address_of_mark, mark_of_address};
