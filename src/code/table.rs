//! A message is a table of codes: the one declaration from which everything else about it is derived.
//!
//! [`table!`](crate::code::table) takes one line a field, with the bits as the standard prints them, and makes the
//! struct, its decoding and encoding, and the [`Table`] that text, JSON, ruler, reference and comparison read.
//! The build fails unless the lines tile the message exactly, reserved bits included.

use super::rounding::{Carrier, Rounded};
use super::{Bits, Code, CodeError, Meaning, Number, Version};
use crate::frame::Span;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// One field of a message: where it stands, what it is called, what it means, and who says so.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The bits, from 1 at the start of the message.
    pub span: Span,
    /// Its key among the raw codes; `reserved_FIRST_LAST` for bits that the standard keeps.
    pub key: &'static str,
    /// Its name among the meanings; none where it only has a meaning together with other rows.
    pub field: Option<&'static str>,
    /// One line of explanation.
    pub about: &'static str,
    /// Marks of the sources, see [`SOURCES`](super::SOURCES).
    pub source: &'static str,
    /// The rule from bits to meaning.
    pub rule: &'static str,
    /// What these bits say.
    pub meaning: fn(u64, Version) -> Meaning,
    /// The bits that say what is wanted.
    pub from_meaning: fn(&str, Version) -> Result<u64, CodeError>,
    /// The arithmetic, a line a step.
    pub steps: fn(u64, Version) -> Vec<String>,
    /// Whether a code stands for everything past the end of the scale.
    pub capped: bool,
}

impl Row {
    /// How much of the row only memory supports, in words; `None` if pages support all of it.
    pub fn memory(&self) -> Option<&'static str> {
        let marks = || self.source.split_whitespace();
        match (marks().any(|mark| mark == "memory"), marks().all(|mark| mark == "memory")) {
            (false, _) => None,
            (_, true) => Some("place and meaning from memory"),
            (_, false) => Some("partly from memory"),
        }
    }

    /// The code that says what was wanted. Where a layout gives up a bit of a row, its code type says more than the row holds.
    pub(super) fn code_for(&self, wanted: &str, version: Version) -> Result<u64, CodeError> {
        let most = (1u64 << self.span.width()) - 1;
        let too_wide = || CodeError::out_of_range(wanted, 0, most, "");
        match (self.from_meaning)(wanted, version) {
            Ok(code) if code > most => Err(too_wide()),
            Err(CodeError::OutOfRange { most: said, .. }) if said.parse().is_ok_and(|said: u64| said > most) => {
                // A range of meanings goes beyond the codes of its row by right.
                match (self.from_meaning)(&said, version) {
                    Ok(code) if code > most => Err(too_wide()),
                    _ => (self.from_meaning)(wanted, version),
                }
            }
            made => made,
        }
    }

    /// Whether the standard keeps these bits for itself.
    pub fn is_reserved(&self) -> bool {
        self.key.starts_with("reserved_")
    }
}

/// What the name of a field ends with that says whether the field is past the end of its scale.
pub const BEYOND: &str = "_beyond";

/// Puts wanted meanings into a pattern.
pub type Write = fn(&Wanted<'_>, u128) -> Result<u128, CodeError>;

/// A meaning that several rows carry together, or that depends on the version for its very name.
#[derive(Clone, Copy, Debug)]
pub struct Derived {
    /// Its name among the meanings.
    pub field: &'static str,
    /// One line of explanation.
    pub about: &'static str,
    /// What a message says; none where the message says nothing of it.
    pub read: fn(u128, Version) -> Option<Meaning>,
    /// Puts what is wanted into a message; none where it can only be read.
    pub write: Option<Write>,
    /// What the message then says, for a meaning that takes more than one message to read.
    pub sent: Option<Sent>,
    /// The arithmetic, a line a step.
    pub steps: fn(u128, Version) -> Vec<String>,
    /// Whether a message can say that this lies past the end of its scale.
    pub capped: bool,
}

/// What a message says of a meaning, to somebody who knows about what it should be.
pub type Sent = fn(&Wanted<'_>, u128) -> Option<Meaning>;

impl Derived {
    /// A derived meaning that is read only, without arithmetic to follow.
    pub const fn new(field: &'static str, about: &'static str, read: fn(u128, Version) -> Option<Meaning>) -> Self {
        Self { field, about, read, write: None, sent: None, steps: |_, _| Vec::new(), capped: false }
    }

    /// The same, that can also be written.
    #[must_use]
    pub const fn written(mut self, write: Write) -> Self {
        self.write = Some(write);
        self
    }

    /// The same for a meaning that takes more than one message to read: what it then says.
    #[must_use]
    pub const fn sent_as(mut self, sent: Sent) -> Self {
        self.sent = Some(sent);
        self
    }

    /// The same of a scale whose last code stands for everything past its end.
    #[must_use]
    pub const fn capped(mut self) -> Self {
        self.capped = true;
        self
    }

    /// The same, with its arithmetic.
    #[must_use]
    pub const fn shown(mut self, steps: fn(u128, Version) -> Vec<String>) -> Self {
        self.steps = steps;
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
    pub fn get(&self, field: &str) -> Option<&str> {
        self.fields.get(field).map(String::as_str)
    }
}

/// Why a message cannot be built from meanings or codes.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
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
        error: CodeError,
    },
}

/// All about a message: its name, its rows, and the meanings derived from them.
#[derive(Debug)]
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

/// Titles are unique, so a title is the table's identity.
impl PartialEq for Table {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self, other) || self.title == other.title
    }
}

impl Eq for Table {}

/// What is asked of a field, given what it means in each version.
pub type Asking<'a> = dyn Fn(&dyn Fn(Version) -> Option<Meaning>) -> Option<Meaning> + 'a;

impl Table {
    /// The code of one row.
    pub fn code(&self, row: &Row, pattern: u128) -> u64 {
        row.span.of(pattern, self.bits)
    }

    /// A pattern with one row's code replaced; bits that the row has no room for are dropped.
    pub fn with_code(&self, row: &Row, pattern: u128, code: u64) -> u128 {
        let mask = row.span.mask(self.bits);
        pattern & !mask | (u128::from(code) << (self.bits - row.span.last)) & mask
    }

    /// Every meaning that a pattern has in this version: rows first, then what is derived from them.
    pub fn fields(&self, pattern: u128, version: Version) -> Vec<(&'static str, Meaning)> {
        self.fields_by(pattern, &|meaning| meaning(version))
    }

    /// The same, of each what is asked of its meaning in any version.
    pub fn fields_by(&self, pattern: u128, asked: &Asking<'_>) -> Vec<(&'static str, Meaning)> {
        let layout = |version| self.version.unwrap_or(version);
        let rows = self.rows.iter().filter_map(|row| {
            let code = self.code(row, pattern);
            Some((row.field?, asked(&|version| Some((row.meaning)(code, layout(version))))?))
        });
        let derived = self
            .derived
            .iter()
            .filter_map(|derived| Some((derived.field, asked(&|version| (derived.read)(pattern, layout(version)))?)));
        rows.chain(derived).collect()
    }

    /// The names that [`Table::encode`] understands.
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
    /// # Errors
    /// [`TableError`] names the field, what was wrong with it, and what would do.
    pub fn encode(&self, wanted: &Wanted<'_>) -> Result<u128, TableError> {
        self.encode_noting(wanted).map(|(pattern, _)| pattern)
    }

    /// The same, with a note of each value that is sent otherwise than wanted.
    ///
    /// # Errors
    /// As of [`Table::encode`].
    pub fn encode_noting(&self, wanted: &Wanted<'_>) -> Result<(u128, Vec<Rounded>), TableError> {
        let wanted = Wanted { fields: wanted.fields, version: self.version.unwrap_or(wanted.version) };
        let pattern = self.write(&wanted)?;
        Ok((pattern, self.rounded(&wanted, pattern)?))
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
                    let code = row.code_for(meaning, wanted.version).map_err(|error| wrong(field, error))?;
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
pub const fn assert_tiles(rows: &[Row], bits: u8) {
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
pub const fn rows_with<const N: usize>(rows: &[Row], bit: Row, rest: &'static str) -> [Row; N] {
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
                key: rest,
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
        $crate::code::table::Row {
            span: $crate::frame::Span::new($first, $last),
            key: stringify!($key),
            field: $crate::code::table::optional!($($field)?),
            about: $about,
            source: $source,
            rule: <$type as $crate::code::Code>::RULE,
            meaning: |bits, version| {
                $crate::code::Code::meaning(<$type as $crate::code::Bits>::from_bits(bits), version)
            },
            from_meaning: |wanted, version| {
                <$type as $crate::code::Code>::from_meaning(wanted, version).map($crate::code::Bits::bits)
            },
            steps: |bits, version| {
                $crate::code::Code::steps(<$type as $crate::code::Bits>::from_bits(bits), version)
            },
            capped: <$type as $crate::code::Code>::CAPPED,
        }
    };
}

/// Declares a message: its name, then one line a field.
macro_rules! table {
    (
        $(#[$doc:meta])*
        $name:ident : $store:ty, $total:literal bits = $message:literal, $title:literal, when $applies:literal,
        $(in version $version:expr,)? template $template:expr;
        $(
            $first:literal ..= $last:literal $key:ident : $type:ty $(=> $field:expr)?, $about:literal, $source:literal;
        )+
        $( derived [ $( $derived:expr ),* $(,)? ] )?
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub struct $name {
            $( #[doc = concat!($about, ". Bits ", $first, " to ", $last, ".")] pub $key: $type, )+
        }

        #[allow(non_upper_case_globals)]
        impl $name {
            $(
                #[doc = concat!("The row: ", $about, ". Bits ", $first, " to ", $last, ".")]
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
                derived: &[$( $( $derived ),* )?],
            };

            /// Takes the fields out of the bits; every pattern has fields.
            #[inline]
            pub fn from_bits(bits: $store) -> Self {
                Self {
                    $( $key: <$type as $crate::code::Bits>::from_bits(
                        (bits >> ($total - $last)) as u64 & ((1 << ($last - $first + 1)) - 1)
                    ), )+
                }
            }

            /// Puts the fields together again: the bits that they came from.
            #[inline]
            pub fn bits(&self) -> $store {
                0 $( | <$store>::from($crate::code::Bits::bits(self.$key)) << ($total - $last) )+
            }
        }

        const _: () = {
            $crate::code::table::assert_tiles($name::TABLE.rows, $total);
            $( assert!(<$type as $crate::code::Bits>::WIDTH == $last - $first + 1, "a code of another width"); )+
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

pub(crate) use {optional, row, table};
