//! Gatherers: each takes one frame after another of one aircraft into bounded state, and does not know what will be
//! concluded from it.

pub mod alerts;
pub mod presence;
