//! Codes that are a list: each number with its name and its words.

use super::{Bits, CodeError, Meaning, MeaningKind, Value};

/// One line of a list.
pub(super) type Entry = (u64, &'static str, &'static str);

/// Whether the JSON field holds the standard's number or the name.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Shown {
    AsNumber,
    AsText,
}

impl Shown {
    pub(super) const fn kind(self) -> MeaningKind {
        match self {
            Self::AsNumber => MeaningKind::Integer,
            Self::AsText => MeaningKind::Word,
        }
    }
}

#[inline]
pub(super) fn meaning(list: &'static [Entry], bits: u64, shown: Shown) -> Meaning {
    // Most lists have no gap.
    let there = list.get(bits as usize).filter(|(code, ..)| *code == bits);
    let entry = there.or_else(|| list.iter().find(|(code, ..)| *code == bits));
    let (_, name, text) = entry.copied().unwrap_or((bits, "reserved", "reserved"));
    match shown {
        Shown::AsNumber => Meaning { name: Some(name), ..Meaning::new(Value::Integer(bits as i64), text) },
        Shown::AsText => Meaning::new(Value::Word(name), text),
    }
}

pub(super) fn from_meaning<C: Bits>(list: &[Entry], wanted: &str) -> Result<C, CodeError> {
    let wanted = wanted.trim();
    if let Ok(code) = wanted.parse::<u64>()
        && code < 1 << C::WIDTH
    {
        return Ok(C::from_bits(code));
    }
    list.iter()
        .find(|(_, name, _)| *name == wanted)
        .map(|(code, ..)| C::from_bits(*code))
        .ok_or_else(|| not_one_of(list, wanted))
}

pub(super) fn not_one_of(list: &[Entry], wanted: &str) -> CodeError {
    CodeError::NotOneOf {
        found: wanted.to_owned(),
        known: list.iter().map(|(code, name, _)| format!("{code} {name}")).collect::<Vec<_>>().join(", "),
    }
}

/// Declares a code that is a list; behind `in` stand the words that a version has of its own.
macro_rules! enumeration {
    (
        $(#[$doc:meta])* $name:ident($inner:ty : $width:literal) $shown:ident,
        $( $code:literal = $word:literal, $text:literal; )+
        $( in $version:ident: $( $other:literal = $own:literal; )+ )*
    ) => {
        $crate::code::bits! {
            $(#[$doc])*
            ///
            $( #[doc = concat!("- ", $code, ": ", $text)] )+
            $name($inner: $width)
        }

        impl $name {
            const LIST: &'static [$crate::code::enumeration::Entry] = &[$( ($code, $word, $text) ),+];
            const OWN: &'static [($crate::code::Version, u64, &'static str)] =
                &[$($( ($crate::code::Version::$version, $other, $own) ),+),*];
        }

        impl $crate::code::Code for $name {
            const RULE: &'static str = "a number in a list";
            const KIND: $crate::code::MeaningKind = $crate::code::enumeration::Shown::$shown.kind();

            #[inline]
            fn meaning(self, version: $crate::code::Version) -> $crate::code::Meaning {
                use $crate::code::{enumeration::{Shown, meaning}, Bits};
                let mut meaning = meaning(Self::LIST, self.bits(), Shown::$shown);
                if let Some((.., own)) = Self::OWN.iter().find(|own| (own.0, own.1) == (version, self.bits())) {
                    meaning.text = (*own).into();
                }
                meaning
            }
            fn from_meaning(wanted: &str, _version: $crate::code::Version) -> Result<Self, $crate::code::CodeError> {
                $crate::code::enumeration::from_meaning(Self::LIST, wanted)
            }
        }
    };
}
pub(crate) use enumeration;
