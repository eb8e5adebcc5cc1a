//! Lists what the unit transmits, frame by frame, with the settings that decide each row.
//!
//! A row names a field of its message's table, the settings that it is made of and the conversion that makes it; a
//! conversion gets those settings and no others, and gives the code that the row has, or the build fails. The build also
//! fails if two rows share a bit, and for a setting that is in no row and gives no reason.

mod formats;
mod replies;
mod version_0;
mod version_1;
mod version_2;
mod version_3;

use super::schedule::Stream;
use super::unit::Unit;
use super::{Kinematics, Rule};
use crate::code::table::{Row, Table};
use crate::code::{Altitude12, CodeError};
use crate::downlink::PAYLOAD_OFFSET;
use crate::frame::{Frame, Span};
use crate::profile::{Profile, SettingId};

/// A row that the install decides.
#[derive(Clone, Copy)]
#[non_exhaustive]
pub struct Part {
    rows: Rows,
    /// The settings behind it.
    pub settings: &'static [SettingId],
    /// How an observed value is judged.
    pub rule: Rule,
    pub(super) code: fn(&Unit<'_>, &Row) -> Result<Option<u64>, CodeError>,
    pub(super) alike: fn(u64) -> &'static [u64],
    pub(super) by_version: bool,
    pub(super) applies: Option<fn(&Frame) -> bool>,
    pub(super) crews: Option<fn(&Profile) -> bool>,
    pub(super) is_shown: bool,
}

#[derive(Clone, Copy)]
enum Rows {
    One(Row),
    /// Each row of the table that is not reserved.
    Each(&'static [Row]),
}

impl Part {
    const fn new(
        rows: Rows,
        settings: &'static [SettingId],
        rule: Rule,
        code: fn(&Unit<'_>, &Row) -> Result<Option<u64>, CodeError>,
    ) -> Self {
        Self {
            rows,
            settings,
            rule,
            code,
            alike: |_| &[],
            by_version: false,
            applies: None,
            crews: None,
            is_shown: true,
        }
    }

    /// Other codes that say the same of the install, where the flight chooses among them.
    const fn alike(self, alike: fn(u64) -> &'static [u64]) -> Self {
        Self { alike, ..self }
    }

    /// What it means depends on the version in force.
    const fn by_version(self) -> Self {
        Self { by_version: true, ..self }
    }

    /// Only some frames say anything of it.
    const fn seen_if(self, applies: fn(&Frame) -> bool) -> Self {
        Self { applies: Some(applies), ..self }
    }

    /// In some installs it is a preset that the crew may replace.
    const fn unless(self, crews: fn(&Profile) -> bool) -> Self {
        Self { crews: Some(crews), ..self }
    }

    /// The frame has the flight's value; a preset that differs is named beside it.
    const fn beside_the_frame(self) -> Self {
        Self { is_shown: false, ..self }
    }

    /// The rows, in the order of the table.
    ///
    /// ```
    /// use squitterlab::onair::TRANSMISSIONS;
    /// // A part is at least one row of its table.
    /// assert!(TRANSMISSIONS.iter().flat_map(|sent| sent.parts()).all(|(_, part)| part.rows().count() > 0));
    /// ```
    pub fn rows(&self) -> impl Iterator<Item = &Row> {
        let (one, each): (Option<&Row>, &[Row]) = match &self.rows {
            Rows::One(row) => (Some(row), &[]),
            Rows::Each(rows) => (None, rows),
        };
        one.into_iter().chain(each.iter().filter(|row| !row.is_reserved()))
    }

    /// How an observed value is judged in this install.
    pub(super) fn rule_in(&self, profile: &Profile) -> Rule {
        if self.crews.is_some_and(|crews| crews(profile)) { Rule::WhenUsed } else { self.rule }
    }
}

/// The rows of one table: of the format around a message, or of the message.
#[derive(Clone, Copy)]
pub struct Layer {
    /// Its table.
    pub table: &'static Table,
    /// The rows that the install decides.
    pub parts: &'static [Part],
    /// What the flight says, without the numbers that change all the time.
    pub(super) fill: fn(&Unit<'_>) -> Result<u128, CodeError>,
    /// Puts the numbers of a moment into it.
    pub(super) moved: Option<Moved>,
    /// What of it no source held settles for some installs.
    pub(super) unsettled: Option<fn(&Unit<'_>) -> Option<&'static str>>,
}

pub(super) type Moved = fn(u64, &Kinematics, Altitude12) -> Result<u64, CodeError>;

/// In which state the unit sends a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// While it takes itself for airborne, and always without an air/ground input.
    Airborne,
    /// While it knows that it is on the ground.
    Surface,
    /// In both states.
    Either,
}

/// What makes the unit send a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Sending {
    /// It sends it by itself, in this rhythm.
    Every(Stream),
    /// Somebody asks.
    Asked(&'static str),
}

/// When the unit sends a frame at all.
#[derive(Clone, Copy)]
pub struct OnlyIf {
    /// In words.
    pub words: &'static str,
    holds: fn(&Unit<'_>) -> bool,
}

/// A frame of the unit, and everything in it that the install decides.
#[derive(Clone, Copy)]
#[non_exhaustive]
pub struct Transmission {
    /// Its name.
    pub name: &'static str,
    /// In words.
    pub about: &'static str,
    /// The first and the last version of the standard whose units send it so.
    pub versions: (u8, u8),
    /// In which state.
    pub format: Format,
    /// What makes the unit send it.
    pub sent: Sending,
    /// The format around it.
    pub envelope: &'static Layer,
    /// The message in it, if any.
    pub message: Option<&'static Layer>,
    /// When it goes out at all.
    pub condition: Option<OnlyIf>,
    /// Whether it goes out on both grids in turn.
    pub has_grids: bool,
}

impl std::fmt::Debug for Transmission {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

/// A name is one transmission's only.
impl PartialEq for Transmission {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl Eq for Transmission {}

impl Transmission {
    /// The table that names the message.
    ///
    /// ```
    /// use squitterlab::onair::TRANSMISSIONS;
    /// assert!(TRANSMISSIONS.iter().any(|sent| sent.table().message == "operational_status"));
    /// ```
    pub fn table(&self) -> &'static Table {
        self.message.map_or(self.envelope.table, |message| message.table)
    }

    /// Whether units of this version send it.
    ///
    /// ```
    /// use squitterlab::onair::TRANSMISSIONS;
    /// let of = |version| TRANSMISSIONS.iter().filter(|sent| sent.is_of(version)).count();
    /// assert!(of(0) < of(2));
    /// ```
    pub const fn is_of(&self, version: u8) -> bool {
        self.versions.0 <= version && version <= self.versions.1
    }

    /// Its rhythm, if the unit sends it by itself.
    pub(crate) const fn stream(&self) -> Option<Stream> {
        match self.sent {
            Sending::Every(stream) => Some(stream),
            Sending::Asked(_) => None,
        }
    }

    /// The request that it answers, if the unit does not send it by itself.
    pub(crate) const fn reply_to(&self) -> Option<&'static str> {
        match self.sent {
            Sending::Every(_) => None,
            Sending::Asked(by) => Some(by),
        }
    }

    /// Whether it goes out on the ground only.
    pub(crate) fn is_on_surface(&self) -> bool {
        self.format == Format::Surface
    }

    /// Whether it goes out in this state.
    pub(super) fn goes_out(&self, unit: &Unit<'_>) -> bool {
        let state = match self.format {
            Format::Airborne => !unit.says_ground(),
            Format::Surface => unit.says_ground(),
            Format::Either => true,
        };
        // What is longer than a short reply needs more than level 1.
        let level = self.envelope.table.bits == 56 || unit.sends_squitters();
        state && level && self.condition.is_none_or(|condition| (condition.holds)(unit))
    }

    /// Whether the address is in the parity, not in a row.
    pub(crate) const fn has_address_in_parity(&self) -> bool {
        // What is sent without being asked has nothing to overlay.
        matches!(self.sent, Sending::Asked(_))
    }

    /// Every part, with the first frame bit of its table less one.
    ///
    /// ```
    /// use squitterlab::onair::TRANSMISSIONS;
    /// // What the install decides of a squitter is in the message or, after 0 bits, in the format around it.
    /// assert!(TRANSMISSIONS.iter().flat_map(|sent| sent.parts()).all(|(bits_before, _)| matches!(bits_before, 0 | 32)));
    /// ```
    pub fn parts(&self) -> impl Iterator<Item = (u8, &'static Part)> {
        let envelope = self.envelope.parts.iter().map(|part| (0, part));
        envelope.chain(self.message.into_iter().flat_map(|layer| layer.parts).map(|part| (PAYLOAD_OFFSET, part)))
    }

    /// Where a setting is in it: the row, its frame bits, and its part. The address in a parity is in no row.
    ///
    /// ```
    /// use squitterlab::onair::TRANSMISSIONS;
    /// use squitterlab::profile::SettingId;
    /// let places = TRANSMISSIONS.iter().flat_map(|sent| sent.places(SettingId::EmitterCategory));
    /// // The type code says the set: it and the number are bits 33 to 40 of the identification.
    /// assert!(places.map(|(_, span, _)| (span.first, span.last)).any(|bits| bits == (33, 40)));
    /// ```
    pub fn places(&self, setting: SettingId) -> impl Iterator<Item = (&'static Row, Span, &'static Part)> {
        let parts = self.parts().filter(move |(_, part)| part.settings.contains(&setting));
        parts.flat_map(|(offset, part)| part.rows().map(move |row| (row, row.span.shifted(offset), part)))
    }
}

// Macros -------------------------------------------------------------------------------------------------------------

/// The code of a row, of the type that the table gives it.
macro_rules! typed {
    (row $table:ident $key:ident $given:expr) => {{
        let code = $crate::onair::conversions::Given::given($given)?;
        Ok(code.map(|code| {
            let mut message = <$table>::from_bits(<$table>::TABLE.template as _);
            message.$key = code;
            $crate::code::Bits::bits(message.$key)
        }))
    }};
    // Bits that are not just one row: as many as the code has.
    (bits $table:ident $key:ident $given:expr) => {{
        let code: Option<$crate::code::Number<{ $key.span.last - $key.span.first + 1 }>> =
            $crate::onair::conversions::Given::given($given)?;
        Ok(code.map($crate::code::Bits::bits))
    }};
    // Every row of the table is a flag.
    (each $table:ident $key:ident $given:expr) => {{
        let code: Option<$crate::code::Flag> = $crate::onair::conversions::Given::given($given)?;
        Ok(code.map($crate::code::Bits::bits))
    }};
}

macro_rules! rows {
    (row $table:ident $key:ident) => {
        $crate::onair::transmissions::Rows::One($table::$key)
    };
    (bits $table:ident $key:ident) => {
        $crate::onair::transmissions::Rows::One($key)
    };
    (each $table:ident $key:ident) => {
        $crate::onair::transmissions::Rows::Each($table::TABLE.rows)
    };
}

/// What a conversion gets: the settings, if all are stated; the unit or the row before them; or each as far as stated.
macro_rules! convert {
    ($form:ident $table:ident $key:ident [$($setting:ident)+] as $convert:expr) => {
        |unit, _| {
            $( let Some($setting) = unit.profile.$setting.get() else { return Ok(None) }; )+
            typed!($form $table $key $convert($($setting),+))
        }
    };
    ($form:ident $table:ident $key:ident [$($setting:ident)+] with $convert:expr) => {
        |unit, _| {
            $( let Some($setting) = unit.profile.$setting.get() else { return Ok(None) }; )+
            typed!($form $table $key $convert(unit, $($setting),+))
        }
    };
    ($form:ident $table:ident $key:ident [$($setting:ident)+] by $convert:expr) => {
        |unit, row| {
            $( let Some($setting) = unit.profile.$setting.get() else { return Ok(None) }; )+
            typed!($form $table $key $convert(row, $($setting),+))
        }
    };
    ($form:ident $table:ident $key:ident [$($setting:ident)+] maybe $convert:expr) => {
        |unit, _| typed!($form $table $key $convert($(unit.profile.$setting.get()),+))
    };
}

/// A layer: its table, what the flight puts into it, and one line for each row that the install decides.
macro_rules! layer {
    (
        $table:ident
        $(, flight $fill:expr)?
        $(, moved $moved:expr)?
        $(, unsettled $unsettled:expr)?;
        $(
            $form:ident $key:ident <- [$($setting:ident),+] $how:ident $convert:expr => $rule:ident
            $(, $option:ident($($value:expr)?))*;
        )*
    ) => {
        $crate::onair::transmissions::Layer {
            table: $table::TABLE,
            parts: {
                const PARTS: &[$crate::onair::transmissions::Part] = &[$(
                    $crate::onair::transmissions::Part::new(
                        rows!($form $table $key),
                        &[$( $crate::profile::id_of::$setting ),+],
                        $crate::onair::Rule::$rule,
                        convert!($form $table $key [$($setting)+] $how $convert),
                    )$( .$option($($value)?) )*
                ),*];
                const _: () = $crate::onair::transmissions::assert_apart(PARTS, $table::TABLE.bits);
                PARTS
            },
            fill: fill!($table $($fill)?),
            moved: moved!($table $($moved)?),
            unsettled: $crate::code::table::optional!($(|unit| $unsettled(unit))?),
        }
    };
}

macro_rules! fill {
    ($table:ident) => {
        |_| Ok($table::TABLE.template)
    };
    ($table:ident $fill:expr) => {
        |unit| {
            let fill: fn(&$crate::onair::unit::Unit<'_>) -> Result<$table, $crate::code::CodeError> = $fill;
            Ok(fill(unit)?.bits().into())
        }
    };
}

macro_rules! moved {
    ($table:ident) => {
        None
    };
    ($table:ident $moved:expr) => {
        Some(|bits, motion, altitude| Ok($moved($table::from_bits(bits), motion, altitude)?.bits()))
    };
}

/// A message in the format of a squitter or a Comm-B reply; or a short reply, which is a format alone.
macro_rules! transmission {
    (
        $(#[doc = $about:literal])+
        $name:ident: in $envelope:expr, versions $first:literal to $last:literal, $format:ident, $sent:expr
        $(, if $condition:literal $holds:expr)? $(, on $grids:ident)?;
        $($layer:tt)+
    ) => {
        $(#[doc = $about])+
        pub(super) const $name: $crate::onair::transmissions::Transmission =
            $crate::onair::transmissions::Transmission {
                envelope: $envelope,
                message: Some(&layer!($($layer)+)),
                has_grids: grids!($($grids)?),
                ..transmission!(@ $name $first $last $format $sent, [$($about)+] $(, $condition $holds)?)
            };
    };
    (
        $(#[doc = $about:literal])+
        $name:ident: alone, versions $first:literal to $last:literal, $format:ident, $sent:expr
        $(, if $condition:literal $holds:expr)?;
        $($layer:tt)+
    ) => {
        $(#[doc = $about])+
        pub(super) const $name: $crate::onair::transmissions::Transmission =
            $crate::onair::transmissions::Transmission {
                envelope: &layer!($($layer)+),
                ..transmission!(@ $name $first $last $format $sent, [$($about)+] $(, $condition $holds)?)
            };
    };
    (@ $name:ident $first:literal $last:literal $format:ident $sent:expr, [$($about:literal)+] $(, $condition:literal $holds:expr)?) => {
        $crate::onair::transmissions::Transmission {
            name: stringify!($name),
            about: concat!($($about),+),
            versions: ($first, $last),
            format: $crate::onair::transmissions::Format::$format,
            sent: $sent,
            envelope: &$crate::onair::transmissions::formats::SQUITTER,
            message: None,
            condition: $crate::code::table::optional!($(
                $crate::onair::transmissions::OnlyIf { words: $condition, holds: $holds }
            )?),
            has_grids: false,
        }
    };
}

macro_rules! grids {
    () => {
        false
    };
    (both_grids) => {
        true
    };
}

use {convert, fill, grids, layer, moved, rows, transmission, typed};

// The list -----------------------------------------------------------------------------------------------------------

/// Every frame of a unit that an install setting is in, of every version.
pub static TRANSMISSIONS: &[Transmission] = LIST;

const LIST: &[Transmission] = &[
    replies::ACQUISITION_REPLY,
    replies::TRACKING_REPLY,
    replies::ALTITUDE_REPLY,
    replies::IDENTITY_REPLY,
    formats::ACQUISITION_SQUITTER,
    version_2::NO_POSITION,
    version_2::AIRBORNE_POSITION,
    version_2::SURFACE_POSITION,
    version_1::AIRBORNE_POSITION,
    version_1::SURFACE_POSITION,
    version_0::AIRBORNE_POSITION,
    version_0::SURFACE_POSITION,
    version_2::IDENTIFICATION,
    version_2::AIRCRAFT_STATUS,
    version_1::EMERGENCY,
    version_2::OPERATIONAL_STATUS_SURFACE,
    version_1::OPERATIONAL_STATUS_SURFACE,
    version_3::OPERATIONAL_STATUS_SURFACE,
    version_2::VELOCITY,
    version_2::OPERATIONAL_STATUS_AIRBORNE,
    version_1::OPERATIONAL_STATUS_AIRBORNE,
    version_3::OPERATIONAL_STATUS_AIRBORNE,
    version_2::TARGET_STATE,
    version_1::TARGET_STATE,
    replies::DATA_LINK_CAPABILITY,
    replies::COMMON_USAGE,
    replies::IDENTIFICATION_REGISTER,
];

// What the build makes sure of ---------------------------------------------------------------------------------------

/// Fails the build if two rows of a layer share a bit, or one is outside its table.
///
/// # Panics
/// If so; it is only called while the program is built.
const fn assert_apart(parts: &[Part], bits: u8) {
    let mut at = 0;
    while at < parts.len() {
        match &parts[at].rows {
            Rows::One(row) => {
                assert!(row.span.last <= bits, "a row outside its table");
                let mut before = 0;
                while before < at {
                    if let Rows::One(other) = &parts[before].rows {
                        let apart = row.span.last < other.span.first || other.span.last < row.span.first;
                        assert!(apart, "one bit is decided twice");
                    }
                    before += 1;
                }
            }
            Rows::Each(_) => assert!(parts.len() == 1, "rows beside all rows of a table"),
        }
        at += 1;
    }
}

const fn is_in(setting: SettingId, layer: &Layer) -> bool {
    let mut at = 0;
    while at < layer.parts.len() {
        let settings = layer.parts[at].settings;
        let mut which = 0;
        while which < settings.len() {
            if settings[which] as usize == setting as usize {
                return true;
            }
            which += 1;
        }
        at += 1;
    }
    false
}

const fn is_on_air(setting: SettingId) -> bool {
    let mut at = 0;
    while at < LIST.len() {
        let in_message = match LIST[at].message {
            Some(layer) => is_in(setting, layer),
            None => false,
        };
        if in_message || is_in(setting, LIST[at].envelope) {
            return true;
        }
        at += 1;
    }
    false
}

// A setting is on the air, or says why it never is; not both.
const _: () = {
    let mut at = 0;
    while at < SettingId::ALL.len() {
        let setting = SettingId::ALL[at];
        let is_on_air = is_on_air(setting);
        assert!(is_on_air || setting.never().is_some(), "a setting is in no transmission and gives no reason");
        assert!(
            !is_on_air || setting.never().is_none(),
            "a setting that is said never to be on the air is in a transmission"
        );
        at += 1;
    }
};
