//! Lessons and exercises: how a frame is read and written by hand. Every number is computed by the rooms below.

pub mod answer;
mod capture;
pub mod exercise;
pub mod lesson;

pub use answer::{Answer, Judged};
pub use exercise::{Exercise, KINDS, exercise, sheet};
pub use lesson::{LESSONS, Lesson};
