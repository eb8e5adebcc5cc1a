//! The meanings of a frame in the version in force, or under each version while that is unknown.

use crate::code::table::{Derived, Row, Table};
use crate::code::{Meaning, Value, Version};
use crate::downlink::Decoded;
use crate::track::VersionInForce;

/// A field and what it means.
pub type Field = (&'static str, Meaning);

/// What a frame means.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Meanings that hold.
    pub fields: Vec<Field>,
    /// While the version is unknown: what else it means in each version.
    pub by_version: Vec<(Version, Vec<Field>)>,
    /// A word on what is missing.
    pub note: Option<String>,
}

/// What is asked of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// All that it says in a version.
    In(Version),
    /// What it says in every version alike.
    Alike,
    /// What it says in a version, and not alike in every one.
    Only(Version),
}

impl Asked {
    /// How many there are.
    pub const COUNT: usize = 2 * Version::ALL.len() + 1;

    /// A number of its own, below [`Asked::COUNT`].
    pub const fn number(self) -> usize {
        match self {
            Self::In(version) => version as usize,
            Self::Alike => Version::ALL.len(),
            Self::Only(version) => Version::ALL.len() + 1 + version as usize,
        }
    }

    /// What is asked of a field that means this in each version.
    pub fn of(self, meaning: impl Fn(Version) -> Option<Meaning>) -> Option<Meaning> {
        let alike = |one: &Meaning| {
            Version::ALL.iter().all(|other| meaning(*other).is_some_and(|other| other.says_the_same(one)))
        };
        match self {
            Self::In(version) => meaning(version),
            Self::Alike => meaning(Version::ALL[0]).filter(alike),
            Self::Only(version) => meaning(version).filter(|own| !alike(own)),
        }
    }

    /// All of it: rows of the envelope, what is derived from them, and the same of the payload.
    pub fn all(self, decoded: &Decoded) -> Vec<Field> {
        decoded.fields_by(&|meaning| self.of(meaning))
    }

    /// What is asked of a row, where it means something by itself.
    pub fn of_row(self, table: &Table, row: &Row, pattern: u128) -> Option<Meaning> {
        let code = table.code(row, pattern);
        self.of(|version| Some((row.meaning)(code, table.version.unwrap_or(version))))
    }

    /// What is asked of a derived meaning.
    pub fn of_derived(self, table: &Table, derived: &Derived, pattern: u128) -> Option<Meaning> {
        self.of(|version| (derived.read)(pattern, table.version.unwrap_or(version)))
    }
}

/// What is asked of a frame whose sender follows this version: meanings that hold, and whether there are others that hold
/// in one version or another.
pub const fn asked(version: VersionInForce) -> (Asked, bool) {
    match version {
        VersionInForce::Known(version) => (Asked::In(version), false),
        VersionInForce::Unknown => (Asked::Alike, true),
        VersionInForce::NoSource(_) => (Asked::Alike, false),
    }
}

/// What a reader must know of everything that is read in version 3.
const VERSION_3: &str = "version 3: fields common to versions 2 and 3 are shown, and what public text says of version 3; \
    NIC is read as in version 2; other bits may have another meaning and are shown as received";

/// A word on what is missing.
pub fn note(decoded: &Decoded, version: VersionInForce) -> Option<String> {
    match version {
        VersionInForce::Known(Version::Three) => decoded.payload.map(|_| VERSION_3.to_owned()),
        VersionInForce::Known(_) => None,
        VersionInForce::Unknown => {
            let others = decoded.other_layouts();
            let others = others
                .iter()
                .map(|(version, table)| format!("in version {} these bits are: {}", version.number(), table.title));
            let others: Vec<String> = others.collect();
            (!others.is_empty()).then(|| others.join("; "))
        }
        VersionInForce::NoSource(number) => {
            Some(format!("version {number} is not supported: what depends on the version is shown as raw codes only"))
        }
    }
}

impl Reading {
    /// Reads a frame in the version in force.
    pub fn new(decoded: &Decoded, version: VersionInForce) -> Self {
        let (asked, others) = asked(version);
        let others: &[Version] = if others { &Version::ALL } else { &[] };
        let by_version = others.iter().map(|version| (*version, Asked::Only(*version).all(decoded)));
        Self {
            fields: asked.all(decoded),
            by_version: by_version.filter(|(_, own)| !own.is_empty()).collect(),
            note: note(decoded, version),
        }
    }
}

/// Versions that say the same, as `2 or 3`, with what they say.
pub fn same_in(by_version: &[(Version, Vec<Field>)]) -> Vec<(String, &[Field])> {
    let mut told: Vec<(String, &[Field])> = Vec::new();
    for (version, fields) in by_version {
        let number = version.number();
        match told.iter_mut().find(|(_, other)| *other == fields.as_slice()) {
            Some((numbers, _)) => {
                numbers.push_str(" or ");
                numbers.push_str(&number.to_string());
            }
            None => told.push((number.to_string(), fields)),
        }
    }
    told
}

/// What the same bits would say in each other version, where that differs.
pub fn in_other_versions(decoded: &Decoded, version: VersionInForce) -> Vec<(Version, Vec<Field>)> {
    let VersionInForce::Known(version) = version else { return Vec::new() };
    let here = decoded.fields(version);
    let same = |(name, meaning): &Field| here.iter().any(|(other, own)| other == name && own.says_the_same(meaning));
    Version::ALL
        .into_iter()
        .filter(|other| *other != version)
        .map(|other| {
            let read = decoded.in_version(Some(other));
            let own = read.fields(other).into_iter().filter(|field| !same(field));
            // Where the version makes another message of the bits, that comes first.
            let message = (read.title() != decoded.title())
                .then(|| ("message", Meaning::new(Value::Text(read.message().into()), read.title())));
            (other, message.into_iter().chain(own).collect::<Vec<_>>())
        })
        .filter(|(_, fields)| !fields.is_empty())
        .collect()
}
