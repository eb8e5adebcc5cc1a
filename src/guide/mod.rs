//! The guide: chapters for each reader, printed by `squitterlab guide` and part of this documentation. Every command in
//! them, and every printed output, is run by a test.

/// One chapter.
#[derive(Clone, Copy, Debug)]
pub struct Chapter {
    /// Its name on the command line.
    pub name: &'static str,
    /// What it is about, in one line.
    pub about: &'static str,
    /// Its text, in Markdown.
    pub text: &'static str,
}

macro_rules! chapters {
    ($($name:ident: $about:literal;)*) => {
        /// The chapters, in the order in which they are read.
        pub const CHAPTERS: &[Chapter] = &[$(Chapter {
            name: stringify!($name),
            about: $about,
            text: include_str!(concat!(stringify!($name), ".md")),
        }),*];

        $(
            #[doc = include_str!(concat!(stringify!($name), ".md"))]
            pub mod $name {}
        )*
    };
}

chapters! {
    technician: "From the data plate to the record: profile, checks, what the unit must send, comparison, altitude run";
    engineer: "Captures: decoding, comparing one aircraft or a fleet, what to capture, where the facts come from";
    student: "One frame bit by bit, the arithmetic by hand, frames made from meanings";
    page: "The lab page in a browser on this machine";
    rehearsal: "What a good or a faulty capture of an install would look like";
    engines: "Decoded tables in a database or a distributed engine";
    speed: "What it costs, measured, and which goals are missed";
}

/// The chapter of this name.
///
/// ```
/// assert!(squitterlab::guide::chapter("student").unwrap().text.starts_with("# For the student"));
/// assert!(squitterlab::guide::chapter("weather").is_none());
/// ```
pub fn chapter(name: &str) -> Option<&'static Chapter> {
    CHAPTERS.iter().find(|chapter| chapter.name == name)
}
