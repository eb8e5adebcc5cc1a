//! The guide: chapters for each reader, printed by `squitterlab guide`, shown on the page and part of this documentation.
//! Every command in them, and every printed output, is run by a test.
//!
//! [I want to …](index) names the chapter and the heading for each thing that a reader may want to do.

/// One chapter.
#[derive(Clone, Copy, Debug)]
pub struct Chapter {
    /// Its name on the command line.
    pub name: &'static str,
    /// What it is about, in one line.
    pub about: &'static str,
    /// Its text, in Markdown. A link to another place in the guide is a chapter's name, `#` and the name of the heading:
    /// its words in small letters with hyphens between them.
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
    index: "I want to …: what you may want to do, and where it is answered";
    technician: "A whole job: from the data plate to the record for the aircraft's file";
    engineer: "Captures: decode them, compare one aircraft or a fleet, tables in other engines";
    student: "Lessons and exercises; one frame bit by bit, both ways";
    library: "Decode, build, locate and compare in a program of your own";
    page: "The same in a browser on this machine";
    speed: "What was measured, which goals are missed, and how to measure again";
    sources: "The standards behind it, what is from memory and what is common practice";
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

/// The chapter that a link leads to, and the heading in it; `None` if it leads out of the guide.
pub(crate) fn place(link: &str) -> Option<(&'static Chapter, Option<&str>)> {
    let (name, heading) = link.split_once('#').map_or((link, None), |(name, heading)| (name, Some(heading)));
    Some((chapter(name)?, heading))
}
