//! Declares a message as a table of codes: one declaration from which everything else about the message is derived.
//!
//! [`table!`](crate::code::table) takes one line per field, with the bits as the standard prints them, and makes the
//! struct, its decoding and encoding, and the [`Table`] that text, JSON, ruler, reference and comparison read.
//! The build fails unless the lines tile the message exactly, reserved bits included.

use super::rounding::{Carrier, Rounded};
use super::{Bits, Code, CodeError, Meaning, MeaningData, MeaningKind, Number, Step, Version, is_no_data, marked};
use crate::frame::Span;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// How much only memory supports: a part, or all; the greater text is the stronger word.
const MEMORY: [&str; 2] = ["partly from memory", "place and meaning from memory"];

/// One field of a message: where it stands, what it is called, what it means, and who says so.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Row {
    /// The bits, from 1 at the start of the message.
    pub span: Span,
    /// Its key among the raw codes; `reserved_FIRST_LAST` for bits that the standard keeps.
    pub key: &'static str,
    /// Its name among the meanings; `None` if it only has a meaning together with other rows.
    pub field: Option<&'static str>,
    /// Both, ready for JSON.
    pub(crate) quoted: [&'static Quoted; 2],
    /// One line of explanation.
    pub about: &'static str,
    /// Marks of the sources, see [`SOURCES`](super::SOURCES).
    pub source: &'static str,
    /// The rule from bits to meaning.
    pub rule: &'static str,
    /// What its values are.
    pub kind: MeaningKind,
    /// The unit of its values, as it is written at the end of a name; empty if they have none.
    pub unit: &'static str,
    /// Whether a value is another in another version of the standard.
    pub varies: bool,
    /// What these bits say, as data.
    pub said: fn(u64, Version) -> MeaningData,
    /// What these bits say, as data and in words.
    pub meaning: fn(u64, Version) -> Meaning,
    /// The bits that say what is wanted.
    pub from_meaning: fn(&str, Version) -> Result<u64, CodeError>,
    /// The arithmetic from bits to meaning.
    pub steps: fn(u64, Version) -> Vec<Step>,
    /// The arithmetic from what was wanted to the bits.
    pub steps_to: fn(&str, u64, Version) -> Vec<Step>,
    /// Whether a code stands for everything past the end of the scale.
    pub capped: bool,
}

impl Row {
    /// A row of this code.
    pub(crate) const fn of<C: Code>(
        span: Span,
        names: &'static Names,
        about: &'static str,
        source: &'static str,
    ) -> Self {
        assert!(span.width() == C::WIDTH, "a code of another width");
        Self {
            span,
            key: names.key,
            field: names.field,
            quoted: [&names.quoted[0], &names.quoted[1]],
            about,
            source,
            rule: C::RULE,
            kind: C::KIND,
            unit: C::UNIT,
            varies: C::VARIES,
            said: |bits, version| C::from_bits(bits).meaning(version).said(),
            meaning: |bits, version| C::from_bits(bits).meaning(version),
            from_meaning: |wanted, version| C::from_meaning(wanted, version).map(Bits::bits),
            steps: |bits, version| C::from_bits(bits).steps(version),
            steps_to: |wanted, bits, version| C::from_bits(bits).steps_to(wanted, version),
            capped: C::CAPPED,
        }
    }

    /// How much of the row only memory supports, in words; `None` if pages support all of it.
    pub(crate) fn memory(&self) -> Option<&'static str> {
        let marks = || self.source.split_whitespace();
        match (marks().any(|mark| mark == "memory"), marks().all(|mark| mark == "memory")) {
            (false, _) => None,
            (_, true) => Some(MEMORY[1]),
            (_, false) => Some(MEMORY[0]),
        }
    }

    /// Whether the standard keeps these bits for itself.
    ///
    /// ```
    /// use squitterlab::message::OperationalStatusSurface;
    /// assert!(!OperationalStatusSurface::TABLE.rows[0].is_reserved());
    /// assert!(OperationalStatusSurface::TABLE.rows.iter().any(|row| row.is_reserved()));
    /// ```
    pub const fn is_reserved(&self) -> bool {
        let (key, start) = (self.key.as_bytes(), b"reserved_");
        let mut at = 0;
        while at < start.len() {
            if at >= key.len() || key[at] != start[at] {
                return false;
            }
            at += 1;
        }
        true
    }
}

/// A name in quotation marks, a colon behind it: a key of JSON, padded so that it is copied in pieces of fixed width.
#[derive(Clone, Copy)]
pub(crate) struct Quoted {
    octets: [u8; Self::MOST],
    length: u8,
}

impl Quoted {
    const MOST: usize = 2 * Self::PIECE;
    /// The width of a piece.
    pub(crate) const PIECE: usize = 32;

    /// The key of this name, which has to be one that needs no escaping.
    ///
    /// # Panics
    /// For a name of more than 61 characters; it is only called while the program is built.
    pub(crate) const fn new(name: &str) -> Self {
        let (name, mut octets) = (name.as_bytes(), [0; Self::MOST]);
        octets[0] = b'"';
        let mut at = 0;
        while at < name.len() {
            assert!(name[at] != b'"' && name[at] != b'\\' && name[at] >= b' ', "a name that has to be escaped");
            octets[at + 1] = name[at];
            at += 1;
        }
        octets[at + 1] = b'"';
        octets[at + 2] = b':';
        Self { octets, length: at as u8 + 3 }
    }

    /// Puts it behind what is there.
    #[inline]
    pub(crate) fn write(&self, out: &mut Vec<u8>) {
        let length = out.len() + usize::from(self.length);
        out.extend_from_slice(&self.octets[..Self::PIECE]);
        if usize::from(self.length) > Self::PIECE {
            out.extend_from_slice(&self.octets[Self::PIECE..]);
        }
        out.truncate(length);
    }
}

/// The names of a row: its key among the codes, its field among the meanings.
#[derive(Debug)]
pub(crate) struct Names {
    key: &'static str,
    field: Option<&'static str>,
    quoted: [Quoted; 2],
}

impl Names {
    pub(crate) const fn new(key: &'static str, field: Option<&'static str>) -> Self {
        let quoted = [Quoted::new(key), Quoted::new(if let Some(field) = field { field } else { "" })];
        Self { key, field, quoted }
    }
}

impl std::fmt::Debug for Quoted {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&String::from_utf8_lossy(&self.octets[..usize::from(self.length)]))
    }
}

/// What the name of a field ends with that says whether the field is past the end of its scale.
pub const BEYOND: &str = "_beyond";

/// Puts wanted meanings into a pattern.
pub type Write = fn(&Wanted<'_>, u128) -> Result<u128, CodeError>;

/// A meaning that several rows carry together, or that depends on the version for its very name.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Derived {
    /// Its name among the meanings.
    pub field: &'static str,
    /// The same, ready for JSON.
    pub(crate) quoted: Quoted,
    /// One line of explanation.
    pub about: &'static str,
    /// What its values are.
    pub kind: MeaningKind,
    /// Whether its value is another in another version of the standard, or is there in some versions only.
    pub varies: bool,
    /// What a message says, as data and in words; `None` if the message says nothing of it.
    pub read: fn(u128, Version) -> Option<Meaning>,
    /// Puts what is wanted into a message; `None` if it can only be read.
    pub write: Option<Write>,
    /// What the message then says, for a meaning that takes more than one message to read.
    pub sent: Option<Sent>,
    /// The arithmetic from bits to meaning.
    pub steps: fn(u128, Version) -> Vec<Step>,
    /// The arithmetic from what was wanted to a pattern.
    pub steps_to: fn(&Wanted<'_>, u128) -> Vec<Step>,
    /// Whether a message can say that this lies past the end of its scale.
    pub capped: bool,
}

/// What a message says of a meaning, to somebody who knows about what it should be.
pub type Sent = fn(&Wanted<'_>, u128) -> Option<Meaning>;

impl Derived {
    /// A derived meaning that is read only, without arithmetic to follow.
    pub(crate) const fn new(
        field: &'static str,
        about: &'static str,
        kind: MeaningKind,
        read: fn(u128, Version) -> Option<Meaning>,
    ) -> Self {
        Self {
            field,
            quoted: Quoted::new(field),
            about,
            kind,
            varies: false,
            read,
            write: None,
            sent: None,
            steps: |_, _| Vec::new(),
            steps_to: |_, _| Vec::new(),
            capped: false,
        }
    }

    /// The same where the version decides what it says, or whether it says anything.
    #[must_use]
    pub(crate) const fn varying(mut self) -> Self {
        self.varies = true;
        self
    }

    /// The same, that can also be written.
    #[must_use]
    pub(crate) const fn written(mut self, write: Write) -> Self {
        self.write = Some(write);
        self
    }

    /// The same for a meaning that takes more than one message to read: what it then says.
    #[must_use]
    pub(crate) const fn sent_as(mut self, sent: Sent) -> Self {
        self.sent = Some(sent);
        self
    }

    /// The same of a scale whose last code stands for everything past its end.
    #[must_use]
    pub(crate) const fn capped(mut self) -> Self {
        self.capped = true;
        self
    }

    /// The same, with its arithmetic.
    #[must_use]
    pub(crate) const fn shown(mut self, steps: fn(u128, Version) -> Vec<Step>) -> Self {
        self.steps = steps;
        self
    }

    /// The same, with the arithmetic of the way back.
    #[must_use]
    pub(crate) const fn shown_back(mut self, steps_to: fn(&Wanted<'_>, u128) -> Vec<Step>) -> Self {
        self.steps_to = steps_to;
        self
    }
}

/// Meanings that a message is wanted to say, by field name.
#[derive(Debug)]
pub struct Wanted<'a> {
    /// Field names and the words or numbers wanted.
    pub fields: &'a BTreeMap<String, String>,
    /// The version of the standard to say it in.
    pub version: Version,
}

impl Wanted<'_> {
    /// What is wanted of a field, if anything.
    pub(crate) fn get(&self, field: &str) -> Option<&str> {
        self.fields.get(field).map(String::as_str)
    }
}

/// Why a message cannot be built from meanings or codes.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum TableError {
    /// No field of the message has this name.
    #[error("{message} has no field {field:?}; it has: {known}")]
    UnknownField {
        /// The message.
        message: &'static str,
        /// The name given.
        field: String,
        /// The names there are.
        known: String,
    },
    /// A field that only comes out of others was to be set.
    #[error("{field} follows from other fields and cannot be set; set those")]
    ReadOnly {
        /// The field.
        field: &'static str,
    },
    /// The field cannot say that.
    #[error("{field}: {error}")]
    Field {
        /// The field.
        field: String,
        /// Why not.
        #[source]
        error: CodeError,
    },
}

/// All about a message: its name, its rows, and the meanings derived from them.
#[derive(Debug)]
#[non_exhaustive]
pub struct Table {
    /// The message's name in JSON.
    pub message: &'static str,
    /// The same for people.
    pub title: &'static str,
    /// Which patterns are this message.
    pub applies: &'static str,
    /// How many bits: 56 for a message field or register, 56 or 112 for a whole frame.
    pub bits: u8,
    /// The version of the standard whose layout this is, where it is that of one version only.
    pub version: Option<Version>,
    /// The bits that make a pattern this message, all others zero.
    pub template: u128,
    /// The rows, in order, without gap or overlap.
    pub rows: &'static [Row],
    /// The derived meanings.
    pub derived: &'static [Derived],
}

impl Table {
    /// How many names its codes and meanings have; a row whose code and meaning are named alike counts twice.
    pub(crate) const fn names(&self) -> usize {
        2 * self.rows.len() + self.derived.len()
    }

    /// One of them.
    pub(crate) const fn name(&self, at: usize) -> &'static str {
        if at >= 2 * self.rows.len() {
            return self.derived[at - 2 * self.rows.len()].field;
        }
        let row = &self.rows[at / 2];
        match row.field {
            Some(field) if at % 2 == 1 => field,
            _ => row.key,
        }
    }

    /// All of them, one after another.
    pub(crate) fn every_name(&self) -> impl Iterator<Item = &'static str> {
        (0..self.names()).map(|at| self.name(at))
    }

    /// Whether a code or a meaning goes by this name.
    pub(crate) const fn has_name(&self, name: &str) -> bool {
        let mut at = 0;
        while at < self.names() {
            if same_text(self.name(at), name) {
                return true;
            }
            at += 1;
        }
        false
    }
}

/// Whether two texts are the same, while the program is built.
pub(crate) const fn same_text(one: &str, other: &str) -> bool {
    let (one, other) = (one.as_bytes(), other.as_bytes());
    if one.len() != other.len() {
        return false;
    }
    let mut at = 0;
    while at < one.len() {
        if one[at] != other[at] {
            return false;
        }
        at += 1;
    }
    true
}

/// A place where a message has a meaning.
#[derive(Clone, Copy, Debug)]
pub enum Entry<'a> {
    /// One row has it.
    Row(&'a Table, &'a Row),
    /// It is derived from several.
    Derived(&'a Table, &'a Derived),
}

impl Entry<'_> {
    /// Its name.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// assert!(AirbornePosition::TABLE.entries().any(|entry| entry.field() == "pressure_altitude_ft"));
    /// ```
    pub fn field(&self) -> &'static str {
        match self {
            Self::Row(_, row) => row.field.unwrap_or(row.key),
            Self::Derived(_, derived) => derived.field,
        }
    }

    /// The same, ready for JSON.
    #[inline]
    pub(crate) fn quoted(&self) -> &Quoted {
        match self {
            Self::Row(_, row) => row.quoted[1],
            Self::Derived(_, derived) => &derived.quoted,
        }
    }

    /// One line of explanation.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// let entry = AirbornePosition::TABLE.entries().find(|entry| entry.field() == "latitude_deg").unwrap();
    /// assert!(entry.about().starts_with("Latitude"));
    /// ```
    pub fn about(&self) -> &'static str {
        match self {
            Self::Row(_, row) => row.about,
            Self::Derived(_, derived) => derived.about,
        }
    }

    /// What its values are.
    ///
    /// ```
    /// use squitterlab::{code::MeaningKind, message::AirbornePosition};
    /// let entry = AirbornePosition::TABLE.entries().find(|entry| entry.field() == "latitude_deg").unwrap();
    /// assert_eq!(entry.kind(), MeaningKind::Decimal);
    /// ```
    pub fn kind(&self) -> MeaningKind {
        match self {
            Self::Row(_, row) => row.kind,
            Self::Derived(_, derived) => derived.kind,
        }
    }

    /// Whether it takes more than one message to read.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// let entry = AirbornePosition::TABLE.entries().find(|entry| entry.field() == "latitude_deg").unwrap();
    /// assert!(entry.takes_several_messages());
    /// ```
    pub fn takes_several_messages(&self) -> bool {
        matches!(self, Self::Derived(_, Derived { sent: Some(_), .. }))
    }

    /// Whether a code of it stands for everything past the end of its scale.
    ///
    /// ```
    /// use squitterlab::message::AirborneVelocityGround;
    /// let mut entries = AirborneVelocityGround::TABLE.entries();
    /// assert!(entries.find(|entry| entry.field() == "vertical_rate_fpm").unwrap().is_capped());
    /// ```
    pub fn is_capped(&self) -> bool {
        match self {
            Self::Row(_, row) => row.capped,
            Self::Derived(_, derived) => derived.capped,
        }
    }

    /// Whether the version of the sender decides what it says: a layout of one version is read in that one.
    ///
    /// ```
    /// use squitterlab::message::SurfacePosition;
    /// let mut entries = SurfacePosition::TABLE.entries();
    /// assert!(!entries.find(|entry| entry.field() == "track_deg").unwrap().varies());
    /// ```
    #[inline]
    pub fn varies(&self) -> bool {
        match self {
            Self::Row(table, row) => row.varies && table.version.is_none(),
            Self::Derived(table, derived) => derived.varies && table.version.is_none(),
        }
    }

    /// What a pattern says here as data; `None` if it says nothing of it in this version.
    ///
    /// ```
    /// use squitterlab::{Version, code::Value, message::AirbornePosition};
    /// let mut entries = AirbornePosition::TABLE.entries();
    /// let entry = entries.find(|entry| entry.field() == "pressure_altitude_ft").unwrap();
    /// assert_eq!(entry.said(0x58C382D690C8AC, Version::Two).unwrap().value, Value::Integer(38_000));
    /// ```
    #[inline]
    pub fn said(&self, pattern: u128, version: Version) -> Option<MeaningData> {
        match self {
            Self::Row(table, row) => Some((row.said)(table.code(row, pattern), table.version.unwrap_or(version))),
            Self::Derived(table, derived) => {
                (derived.read)(pattern, table.version.unwrap_or(version)).map(|meaning| meaning.said())
            }
        }
    }

    /// The same, with its words.
    ///
    /// ```
    /// use squitterlab::{Version, message::AirbornePosition};
    /// let mut entries = AirbornePosition::TABLE.entries();
    /// let entry = entries.find(|entry| entry.field() == "pressure_altitude_ft").unwrap();
    /// let meaning = entry.meaning(0x58C382D690C8AC, Version::Two).unwrap();
    /// assert!(meaning.words().to_string().contains("38 000 ft"));
    /// ```
    pub fn meaning(&self, pattern: u128, version: Version) -> Option<Meaning> {
        match self {
            Self::Row(table, row) => Some((row.meaning)(table.code(row, pattern), table.version.unwrap_or(version))),
            Self::Derived(table, derived) => (derived.read)(pattern, table.version.unwrap_or(version)),
        }
    }

    /// What a pattern says here in every version alike; `None` if the version has a part in it.
    #[inline]
    pub(crate) fn alike(&self, pattern: u128) -> Option<MeaningData> {
        let said = self.said(pattern, Version::ALL[0])?;
        let same = |version: &Version| self.said(pattern, *version).as_ref() == Some(&said);
        (!self.varies() || Version::ALL[1..].iter().all(same)).then_some(said)
    }
}

/// Titles are unique, so a title is the table's identity.
impl PartialEq for Table {
    fn eq(&self, other: &Self) -> bool {
        // What is not the same table nearly always differs in its template, which is cheaper to compare than a name.
        std::ptr::eq(self, other) || self.template == other.template && self.title == other.title
    }
}

impl Eq for Table {}

impl Table {
    /// The code of one row.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// assert_eq!(AirbornePosition::TABLE.code(&AirbornePosition::TABLE.rows[0], 0x58C382D690C8AC), 11);
    /// ```
    #[inline]
    pub fn code(&self, row: &Row, pattern: u128) -> u64 {
        // Most messages have 56 bits, and a word of 64 is handled faster than one of 128.
        if self.bits <= 64 {
            return pattern as u64 >> (self.bits - row.span.last) & (u64::MAX >> (64 - row.span.width()));
        }
        row.span.of(pattern, self.bits)
    }

    /// A pattern with one row's code replaced; bits that the row has no room for are dropped.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// let table = AirbornePosition::TABLE;
    /// assert_eq!(table.with_code(&table.rows[0], 0x58C382D690C8AC, 12), 0x60C382D690C8AC);
    /// ```
    pub fn with_code(&self, row: &Row, pattern: u128, code: u64) -> u128 {
        let mask = row.span.mask(self.bits);
        pattern & !mask | (u128::from(code) << (self.bits - row.span.last)) & mask
    }

    /// The places where meanings are: rows that have one, then what is derived from several.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// let table = AirbornePosition::TABLE;
    /// let named = table.rows.iter().filter(|row| row.field.is_some()).count();
    /// assert_eq!(table.entries().count(), named + table.derived.len());
    /// ```
    pub fn entries(&self) -> impl Iterator<Item = Entry<'_>> {
        let rows = self.rows.iter().filter(|row| row.field.is_some()).map(|row| Entry::Row(self, row));
        rows.chain(self.derived.iter().map(|derived| Entry::Derived(self, derived)))
    }

    /// Every meaning that a pattern has in this version: rows first, then what is derived from them.
    ///
    /// ```
    /// use squitterlab::{Version, code::Value, message::AirbornePosition};
    /// let fields = AirbornePosition::TABLE.fields(0x58C382D690C8AC, Version::Two);
    /// let (_, altitude) = fields.iter().find(|(name, _)| *name == "pressure_altitude_ft").unwrap();
    /// assert_eq!(altitude.value, Value::Integer(38_000));
    /// ```
    pub fn fields(&self, pattern: u128, version: Version) -> Vec<(&'static str, Meaning)> {
        let meaning = |entry: Entry<'_>| Some((entry.field(), entry.meaning(pattern, version)?));
        self.entries().filter_map(meaning).collect()
    }

    /// How much of what this pattern says of a derived meaning only memory supports: as much as of the rows that have a part
    /// in it. A row has a part in it if it says another thing once one of the row's bits is flipped.
    pub(crate) fn memory_of(&self, derived: &Derived, pattern: u128, version: Version) -> Option<&'static str> {
        let read = |pattern| (derived.read)(pattern, self.version.unwrap_or(version)).map(|meaning| meaning.said());
        let said = read(pattern);
        let has_part =
            |row: &&Row| (row.span.first..=row.span.last).any(|bit| read(pattern ^ 1 << (self.bits - bit)) != said);
        let doubtful = self.rows.iter().filter(|row| row.memory().is_some());
        doubtful.filter(has_part).filter_map(Row::memory).max()
    }

    /// The names that [`Table::encode`] understands.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// assert!(AirbornePosition::TABLE.settable().contains(&"latitude_deg"));
    /// ```
    pub fn settable(&self) -> Vec<&'static str> {
        let rows = self.rows.iter().filter(|row| !row.is_reserved()).map(|row| row.field.unwrap_or(row.key));
        let derived = self.derived.iter().filter(|derived| derived.write.is_some()).map(|derived| derived.field);
        let mut all: Vec<_> = Vec::new();
        for name in rows.chain(derived) {
            if !all.contains(&name) {
                all.push(name);
            }
        }
        all
    }

    /// A pattern that says what is wanted; whatever is not mentioned is as in the template, zero for most. A number between
    /// two codes becomes the nearer one.
    ///
    /// ```
    /// use squitterlab::{Version, code::table::Wanted, message::AirbornePosition};
    /// let fields = [("pressure_altitude_ft".to_owned(), "38000".to_owned())].into();
    /// let wanted = Wanted { fields: &fields, version: Version::Two };
    /// let bits = AirbornePosition::TABLE.encode(&wanted).unwrap();
    /// assert_eq!(AirbornePosition::from_bits(bits as u64).altitude.feet(), Some(38_000));
    /// ```
    ///
    /// # Errors
    /// [`TableError`] names the field, what was wrong with it, and what would do.
    pub fn encode(&self, wanted: &Wanted<'_>) -> Result<u128, TableError> {
        self.encode_noting(wanted).map(|(pattern, _)| pattern)
    }

    /// The same, with a note of each value that is sent otherwise than wanted.
    ///
    /// ```
    /// use squitterlab::{Version, code::table::Wanted, message::AirbornePosition};
    /// let fields = [("pressure_altitude_ft".to_owned(), "38010".to_owned())].into();
    /// let wanted = Wanted { fields: &fields, version: Version::Two };
    /// let (_, rounded) = AirbornePosition::TABLE.encode_noting(&wanted).unwrap();
    /// assert_eq!(rounded[0].field, "pressure_altitude_ft");
    /// ```
    ///
    /// # Errors
    /// As of [`Table::encode`].
    pub fn encode_noting(&self, wanted: &Wanted<'_>) -> Result<(u128, Vec<Rounded>), TableError> {
        let wanted = Wanted { fields: wanted.fields, version: self.version.unwrap_or(wanted.version) };
        let pattern = self.write(&wanted)?;
        Ok((pattern, self.rounded(&wanted, pattern)?))
    }

    /// How each wanted meaning became bits of the pattern.
    pub(crate) fn steps_to(&self, wanted: &Wanted<'_>, pattern: u128) -> Vec<(String, Vec<Step>)> {
        let wanted = Wanted { fields: wanted.fields, version: self.version.unwrap_or(wanted.version) };
        let given = wanted.fields.iter().filter(|(_, asked)| !is_no_data(asked));
        given
            .filter_map(|(field, asked)| {
                let (memory, steps) = match self.carrier(field)? {
                    Carrier::Row(row) => (row.memory(), (row.steps_to)(asked, self.code(row, pattern), wanted.version)),
                    Carrier::Derived(derived) => {
                        (self.memory_of(derived, pattern, wanted.version), (derived.steps_to)(&wanted, pattern))
                    }
                };
                (!steps.is_empty()).then(|| (field.clone(), marked(memory, steps)))
            })
            .collect()
    }

    /// Writes what is wanted, and does not look at what came of it.
    pub(super) fn write(&self, wanted: &Wanted<'_>) -> Result<u128, TableError> {
        let mut pattern = self.template;
        let fields = &*self.past_the_end(wanted.fields);
        let wanted = &Wanted { fields, version: wanted.version };
        let wrong = |field: &str, error| TableError::Field { field: field.to_owned(), error };
        let mut derived = Vec::new();
        for (field, meaning) in wanted.fields {
            match self.carrier(field) {
                Some(Carrier::Derived(found)) => derived.push(found),
                Some(Carrier::Row(row)) => {
                    let code = (row.from_meaning)(meaning, wanted.version).map_err(|error| wrong(field, error))?;
                    pattern = self.with_code(row, pattern, code);
                }
                None => {
                    return Err(TableError::UnknownField {
                        message: self.message,
                        field: field.clone(),
                        known: self.settable().join(", "),
                    });
                }
            }
        }
        for found in derived {
            let write = found.write.ok_or(TableError::ReadOnly { field: found.field })?;
            pattern = write(wanted, pattern).map_err(|error| wrong(found.field, error))?;
        }
        Ok(pattern)
    }
}

impl Table {
    /// What is wanted, where a field that is wanted past the end of its scale is moved past it: the end may itself belong
    /// to the code before.
    fn past_the_end<'a>(&self, fields: &'a BTreeMap<String, String>) -> Cow<'a, BTreeMap<String, String>> {
        let rows = self.rows.iter().filter(|row| row.capped).filter_map(|row| row.field);
        let derived = self.derived.iter().filter(|derived| derived.capped).map(|derived| derived.field);
        let mut moved = Cow::Borrowed(fields);
        for field in rows.chain(derived) {
            let Some(beyond) = fields.get(&format!("{field}{BEYOND}")) else { continue };
            let moved = moved.to_mut();
            moved.remove(&format!("{field}{BEYOND}"));
            if let ("true", Some(end)) = (beyond.as_str(), moved.get_mut(field))
                && let Ok(number) = super::number(end)
            {
                *end = (number * 1.000_001).to_string();
            }
        }
        moved
    }
}

/// Fails the build unless the rows cover bits 1 to `bits` with no gap and no overlap.
///
/// # Panics
/// Where they do not; it is only called while the program is built.
pub(crate) const fn assert_tiles(rows: &[Row], bits: u8) {
    let (mut next, mut at) = (1, 0);
    while at < rows.len() {
        assert!(rows[at].span.first == next && rows[at].span.last >= next, "gap or overlap between rows");
        next = rows[at].span.last + 1;
        at += 1;
    }
    assert!(next == bits + 1, "the rows do not end at the last bit");
}

/// How a plain number of this many bits is understood: what is left of a row holds less than the row did.
const fn plain(width: u8) -> fn(&str, Version) -> Result<u64, CodeError> {
    macro_rules! widths {
        ($($bits:literal)+) => {
            match width {
                $( $bits => |wanted, version| {
                    <Number<$bits> as Code>::from_meaning(wanted, version).map(Bits::bits)
                }, )+
                _ => panic!("no row of this width gives up a bit"),
            }
        };
    }
    widths!(1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25 26 27 28 29 30 31 32)
}

/// The rows of a message in which one bit has another use. The row that ends with that bit gives it up; what is left of
/// it goes on under the key `rest`.
///
/// # Panics
/// Where no row ends with that bit; it is only called while the program is built.
pub(crate) const fn rows_with<const N: usize>(rows: &[Row], bit: Row, rest: &'static Names) -> [Row; N] {
    let mut all = [bit; N];
    let (mut from, mut to) = (0, 0);
    while from < rows.len() {
        let row = rows[from];
        if row.span.last != bit.span.first {
            all[to] = row;
        } else if row.span.first == bit.span.first {
            all[to] = bit;
        } else {
            all[to] = Row {
                span: Span::new(row.span.first, row.span.last - 1),
                key: rest.key,
                quoted: [&rest.quoted[0], row.quoted[1]],
                from_meaning: plain(row.span.width() - 1),
                ..row
            };
            to += 1;
            all[to] = bit;
        }
        from += 1;
        to += 1;
    }
    assert!(to == N, "no row ends with this bit");
    all
}

/// One row.
macro_rules! row {
    ($first:literal ..= $last:literal, $key:ident : $type:ty $(=> $field:expr)?, $about:literal, $source:literal) => {
        $crate::code::table::Row::of::<$type>(
            $crate::frame::Span::new($first, $last),
            $crate::code::table::names!(stringify!($key), $crate::code::table::optional!($($field)?)),
            $about,
            $source,
        )
    };
}

/// Declares a message: its name, then one line per field.
macro_rules! table {
    (
        $(#[$doc:meta])*
        $name:ident : $store:ty, $total:literal bits = $message:literal, $title:literal, when $applies:literal,
        $(in version $version:expr,)? template $template:expr;
        $(
            $first:literal ..= $last:literal $key:ident : $type:ty $(=> $field:expr)?, $about:literal, $source:literal;
        )+
        $( derived [ $( $derived:expr ),* $(,)? ] )?
        $( derived of $derivations:expr )?
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub struct $name {
            $( #[doc = concat!($about, ". Bits ", $first, " to ", $last, "; source ", $source, ".")] pub $key: $type, )+
        }

        #[allow(non_upper_case_globals)]
        impl $name {
            $(
                #[doc = concat!("The row: ", $about, ". Bits ", $first, " to ", $last, "; source ", $source, ".")]
                pub const $key: $crate::code::table::Row = $crate::code::table::row!(
                    $first ..= $last, $key: $type $(=> $field)?, $about, $source
                );
            )+

            /// All about this message.
            pub const TABLE: &'static $crate::code::table::Table = &$crate::code::table::Table {
                message: $message,
                title: $title,
                applies: $applies,
                bits: $total,
                version: $crate::code::table::optional!($($version)?),
                template: $template,
                rows: &[$( Self::$key ),+],
                derived: $crate::code::table::listed!([$( $( $derived ),* )?] $( $derivations )?),
            };

            /// Takes the fields out of the bits; every pattern has fields. Every message and register has it:
            ///
            /// ```
            /// use squitterlab::message::AirbornePosition;
            /// let message = AirbornePosition::from_bits(0x58C382D690C8AC);
            /// assert_eq!(message.altitude.feet(), Some(38_000));
            /// ```
            #[inline]
            pub fn from_bits(bits: $store) -> Self {
                Self {
                    $( $key: <$type as $crate::code::Bits>::from_bits(
                        (bits >> ($total - $last)) as u64 & ((1 << ($last - $first + 1)) - 1)
                    ), )+
                }
            }

            /// Puts the fields together again: the bits that they came from. Every message and register has it:
            ///
            /// ```
            /// use squitterlab::message::AirbornePosition;
            /// assert_eq!(AirbornePosition::from_bits(0x58C382D690C8AC).bits(), 0x58C382D690C8AC);
            /// ```
            #[inline]
            pub fn bits(&self) -> $store {
                0 $( | <$store>::from($crate::code::Bits::bits(self.$key)) << ($total - $last) )+
            }
        }

        const _: () = {
            $crate::code::table::assert_tiles($name::TABLE.rows, $total);
            assert!($name::TABLE.rows.len() + $name::TABLE.derived.len() <= 128, "more meanings than a mask has bits");
        };
    };
}

/// Something, or nothing.
macro_rules! optional {
    () => {
        None
    };
    ($value:expr) => {
        Some($value)
    };
}

/// The names of a row.
macro_rules! names {
    ($key:expr, $field:expr) => {{
        const NAMES: &$crate::code::table::Names = &$crate::code::table::Names::new($key, $field);
        NAMES
    }};
}

/// A list, or another one in its place.
macro_rules! listed {
    ([$($item:expr),*]) => {
        &[$($item),*]
    };
    ([] $other:expr) => {
        $other
    };
}

pub(crate) use {listed, names, optional, row, table};
