//! Gives the meanings of a frame in the version in force, or in each version while that is unknown.

use crate::code::table::{Entry, Table};
use crate::code::{Meaning, MeaningData, Value, Version};
use crate::downlink::{Decoded, Pair};
use crate::track::VersionInForce;

/// A field and what it means.
pub type Field = (&'static str, Meaning);

/// What a frame means.
#[derive(Clone, Debug)]
pub struct MeaningsByVersion {
    /// Meanings that hold.
    pub fields: Vec<Field>,
    /// While the version is unknown: what else it means in each version.
    pub by_version: Vec<(Version, Vec<Field>)>,
    /// A word on what is missing.
    pub note: Option<String>,
}

/// A table of a frame, and the bits that it reads.
#[derive(Clone, Copy)]
pub(super) struct Part {
    pub(super) table: &'static Table,
    /// Where its names may be others than its own.
    pub(super) pair: Option<&'static Pair>,
    pub(super) pattern: u128,
}

/// The entries of a table of which each version says its own, a bit each.
pub(super) type Differing = u128;

impl Part {
    /// The envelope, and the payload if there is one.
    #[inline]
    pub(super) fn of(decoded: &Decoded) -> (Self, Option<Self>) {
        let envelope = Self { table: decoded.envelope, pair: None, pattern: decoded.frame.pattern() };
        let payload = decoded.payload.map(|payload| {
            // Most pairs rename nothing.
            let pair = decoded.pair().filter(|pair| !pair.renamed.is_empty());
            Self { table: payload.table, pair, pattern: payload.bits.into() }
        });
        (envelope, payload)
    }

    /// What a name of the table is called in this frame.
    #[inline]
    pub(super) fn name(&self, own: &'static str) -> &'static str {
        self.pair.map_or(own, |pair| pair.name(own))
    }

    /// An entry by its number: rows first, then what is derived.
    fn entry(&self, at: usize) -> Entry<'static> {
        match self.table.rows.get(at) {
            Some(row) => Entry::Row(self.table, row),
            None => Entry::Derived(self.table, &self.table.derived[at - self.table.rows.len()]),
        }
    }

    /// Gives `sink` what the frame says in the version in force, or in every version alike while that is not known; and
    /// says what else there is in one version or another.
    #[inline]
    pub(super) fn say(
        &self,
        version: VersionInForce,
        mut sink: impl FnMut(usize, &Entry<'static>, &MeaningData),
    ) -> Differing {
        let mut differing = 0;
        let mut each = |at: usize, entry: Entry<'static>| {
            let said = match version {
                VersionInForce::Known(version) => entry.said(self.pattern, version),
                _ if entry.varies() => {
                    let alike = entry.alike(self.pattern);
                    differing |= u128::from(alike.is_none()) << at;
                    alike
                }
                _ => entry.said(self.pattern, Version::ALL[0]),
            };
            if let Some(said) = said {
                sink(at, &entry, &said);
            }
        };
        for (at, row) in self.table.rows.iter().enumerate() {
            if row.field.is_some() {
                each(at, Entry::Row(self.table, row));
            }
        }
        for (at, derived) in self.table.derived.iter().enumerate() {
            each(self.table.rows.len() + at, Entry::Derived(self.table, derived));
        }
        differing
    }

    /// Gives `sink` what one version says of what differs.
    pub(super) fn say_only(
        &self,
        differing: Differing,
        version: Version,
        mut sink: impl FnMut(&Entry<'static>, &MeaningData),
    ) {
        let mut left = differing;
        while left != 0 {
            let entry = self.entry(left.trailing_zeros() as usize);
            left &= left - 1;
            if let Some(said) = entry.said(self.pattern, version) {
                sink(&entry, &said);
            }
        }
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

impl MeaningsByVersion {
    /// Reads a frame in the version in force.
    pub fn new(decoded: &Decoded, version: VersionInForce) -> Self {
        let (envelope, payload) = Part::of(decoded);
        let shown = version.known().unwrap_or(Version::ALL[0]);
        let (mut fields, mut by_version) = (Vec::new(), Version::ALL.map(|version| (version, Vec::new())));
        for part in [Some(envelope), payload].into_iter().flatten() {
            let field = |entry: &Entry<'static>, version| {
                Some((part.name(entry.field()), entry.meaning(part.pattern, version)?))
            };
            let differing = part.say(version, |_, entry, _| fields.extend(field(entry, shown)));
            if version == VersionInForce::Unknown {
                for (version, own) in &mut by_version {
                    part.say_only(differing, *version, |entry, _| own.extend(field(entry, *version)));
                }
            }
        }
        let by_version = by_version.into_iter().filter(|(_, own)| !own.is_empty()).collect();
        Self { fields, by_version, note: note(decoded, version) }
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
                .then(|| ("message", Meaning::new(Value::Word(read.message()), read.title())));
            (other, message.into_iter().chain(own).collect::<Vec<_>>())
        })
        .filter(|(_, fields)| !fields.is_empty())
        .collect()
}
