//! Analyses: each is a function from what was gathered and what was expected to findings. The limits they use are in
//! [`limits`], and nowhere else.

pub mod alerts;
pub mod identity;
pub mod limits;
pub mod not_judged;
pub mod presence;
pub mod version;
