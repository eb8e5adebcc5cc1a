//! The meanings of a frame in the version in force, or under each version while that is unknown.

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

impl Reading {
    /// Reads a frame in the version in force.
    pub fn new(decoded: &Decoded, version: VersionInForce) -> Self {
        match version {
            VersionInForce::Known(version) => {
                Self { fields: decoded.fields(version), by_version: Vec::new(), note: None }
            }
            VersionInForce::Unknown => {
                let (fields, by_version) = split(decoded);
                let others: Vec<String> = decoded
                    .other_layouts()
                    .iter()
                    .map(|(version, table)| format!("in version {} these bits are: {}", version.number(), table.title))
                    .collect();
                Self { fields, by_version, note: (!others.is_empty()).then(|| others.join("; ")) }
            }
            VersionInForce::NoSource(number) => {
                let (fields, _) = split(decoded);
                let note =
                    format!("no source is held for version {number}: what depends on it stands as raw codes only");
                Self { fields, by_version: Vec::new(), note: Some(note) }
            }
        }
    }
}

/// What the same bits would say in each other version, where that differs.
pub fn in_other_versions(decoded: &Decoded, version: VersionInForce) -> Vec<(Version, Vec<Field>)> {
    let VersionInForce::Known(version) = version else { return Vec::new() };
    let here = decoded.fields(version);
    let same = |(name, meaning): &Field| {
        here.iter().any(|(other, own)| other == name && own.value == meaning.value && own.name == meaning.name)
    };
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

/// What all versions agree on, and what each of them says beyond that.
fn split(decoded: &Decoded) -> (Vec<Field>, Vec<(Version, Vec<Field>)>) {
    let all = Version::ALL.map(|version| (version, decoded.fields(version)));
    // Most versions have the same fields in the same places.
    let same = |at: usize, (name, meaning): &Field| {
        let equal = |(other, theirs): &Field| other == name && theirs.value == meaning.value;
        all.iter().all(|(_, fields)| fields.get(at).is_some_and(equal) || fields.iter().any(equal))
    };
    let shared = |fields: &[Field], wanted: bool| -> Vec<Field> {
        let kept = fields.iter().enumerate().filter(|(at, field)| same(*at, field) == wanted);
        kept.map(|(_, field)| field.clone()).collect()
    };
    let common = shared(&all[0].1, true);
    let rest: Vec<_> = all
        .iter()
        .map(|(version, fields)| (*version, shared(fields, false)))
        .filter(|(_, own): &(_, Vec<Field>)| !own.is_empty())
        .collect();
    (common, rest)
}
