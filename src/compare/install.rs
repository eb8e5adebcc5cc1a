//! Finds which expected frame of an install an observed frame should be compared with.

use crate::code::{Identification, Version};
use crate::downlink::Decoded;
use crate::frame::{Address, Frame, Span};
use crate::message::Message;
use crate::onair::{Decision, Emission, EmissionError, Flight, Rule, Stream, When, emissions, version_of};
use crate::profile::mistake::{
    IDENTIFICATION_PADDED, LEADING_ZEROS, LOOK_ALIKE, MISTAKES, Mistake, PREFIX_LEFT_OFF, SEPARATOR_ENTERED,
};
use crate::profile::{Profile, SettingId, Stated};
use crate::register::CommonUsage;

/// An install that frames can be compared with.
#[derive(Clone, Debug)]
pub struct Install {
    /// Its name: the file.
    pub(crate) name: String,
    /// The settings.
    pub(crate) profile: Profile,
    /// The address.
    pub(crate) address: Address,
    /// The version whose layouts it sends.
    pub(crate) version: Version,
}

impl Install {
    /// Prepares an install for comparison.
    ///
    /// ```
    /// use squitterlab::{Install, Profile};
    /// let profile = |text| Profile::read(text).profile;
    /// assert!(Install::new("own", profile(r#"{"aircraft": {"address": "A5C035"}}"#)).is_ok());
    /// // Without an address there is no frame to compare with.
    /// assert!(Install::new("own", profile("{}")).is_err());
    /// ```
    ///
    /// # Errors
    /// [`EmissionError`] where the profile cannot be put on the air: no address, another version, a setting without code.
    pub fn new(name: &str, profile: Profile) -> Result<Self, EmissionError> {
        // What cannot be shown cannot be compared either.
        emissions(&profile, Flight::Unknown)?;
        emissions(&profile, Flight::Healthy)?;
        let address = profile.address.get().copied().unwrap_or(Address::new(0));
        let version = Version::from_number(version_of(&profile)).unwrap_or(Version::Two);
        Ok(Self { name: name.to_owned(), profile, address, version })
    }

    /// Its name: the file.
    ///
    /// ```
    /// use squitterlab::{Install, Profile};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// assert_eq!(Install::new("own.json", profile).unwrap().name(), "own.json");
    /// ```
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The settings.
    ///
    /// ```
    /// use squitterlab::{Install, Profile};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// assert_eq!(Install::new("own", profile.clone()).unwrap().profile(), &profile);
    /// ```
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// The address.
    ///
    /// ```
    /// use squitterlab::{Install, Profile};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// assert_eq!(Install::new("own", profile).unwrap().address().to_string(), "A5C035");
    /// ```
    pub const fn address(&self) -> Address {
        self.address
    }

    /// The version whose layouts it sends.
    ///
    /// ```
    /// use squitterlab::{Install, Profile, Version};
    /// let text = r#"{"aircraft": {"address": "A5C035"}, "transponder": {"mops_version": 1}}"#;
    /// assert_eq!(Install::new("own", Profile::read(text).profile).unwrap().version(), Version::One);
    /// ```
    pub const fn version(&self) -> Version {
        self.version
    }

    /// The frames that it is expected to send. They take several times the room of the settings, and are made anew.
    ///
    /// ```
    /// use squitterlab::{Install, Profile};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
    /// let expected = Install::new("own", profile).unwrap().expected();
    /// assert!(expected.iter().any(|one| one.emission.table.message == "aircraft_identification"));
    /// ```
    pub fn expected(&self) -> ExpectedFrames {
        // It was tried when the install was made.
        ExpectedFrames(expected(&self.profile).unwrap_or_default())
    }

    /// Identifications that an entry error makes of the right one and of hardly another aircraft's: any one wrong symbol
    /// may be the neighbour's mark, and blank and sample texts belong to no aircraft.
    pub(super) fn mistaken_identifications(&self) -> impl Iterator<Item = Identification> {
        let own = [&PREFIX_LEFT_OFF, &LOOK_ALIKE, &SEPARATOR_ENTERED, &IDENTIFICATION_PADDED, &LEADING_ZEROS];
        let candidates = own.into_iter().flat_map(|mistake| (mistake.candidates)(&self.profile));
        candidates.filter_map(|(wrong, _)| wrong.aircraft_identification.get().copied())
    }

    /// Addresses that an entry error makes of the right one, each with the mistake's number.
    pub(super) fn mistaken_addresses(&self) -> impl Iterator<Item = (usize, Address)> {
        let of_the_address = |(_, mistake): &(usize, &Mistake)| mistake.settings.contains(&SettingId::Address);
        MISTAKES.iter().enumerate().filter(of_the_address).flat_map(|(at, mistake)| {
            let candidates = (mistake.candidates)(&self.profile);
            candidates.into_iter().filter_map(move |(wrong, _)| Some((at, *wrong.address.get()?)))
        })
    }
}

/// Frames of a healthy flight, with the bits that the install decides.
#[derive(Clone, Debug)]
pub struct ExpectedFrames(Vec<Expected>);

impl std::ops::Deref for ExpectedFrames {
    type Target = [Expected];

    fn deref(&self) -> &[Expected] {
        &self.0
    }
}

impl ExpectedFrames {
    /// Ones where a frame's bits speak against the install, or against one setting of it: in every decided field whose
    /// code does not agree. What the profile leaves open, no frame speaks against.
    ///
    /// ```
    /// use squitterlab::onair::{Flight, emissions};
    /// use squitterlab::{Install, Profile};
    /// let text = r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#;
    /// let [right, wrong] = [text, &text.replace("A1", "A3")].map(|text| Profile::read(text).profile);
    /// let sent = emissions(&wrong, Flight::Healthy).unwrap();
    /// let frame = sent.iter().find(|sent| sent.table.message == "aircraft_identification").unwrap().frame;
    /// // 001 against 011 in bits 33 to 40 of 112, which say the category.
    /// let expected = Install::new("own", right).unwrap().expected();
    /// assert_eq!(expected.differing_bits(&frame.decode(), None), 0b010 << (112 - 40));
    /// ```
    pub fn differing_bits(&self, decoded: &Decoded, setting: Option<SettingId>) -> u128 {
        let Some(at) = matching(self, decoded, decoded.squitter()) else { return 0 };
        let length = decoded.frame.length();
        self[at]
            .emission
            .decisions
            .iter()
            .zip(&self[at].stated)
            .filter_map(|(decision, stated)| stated.then_some(decision))
            .filter(|decision| setting.is_none_or(|setting| decision.settings.contains(&setting)))
            .filter(|decision| decision.applies.is_none_or(|applies| applies(&decoded.frame)))
            .map(|decision| (decision, decoded.frame.field(decision.span)))
            .filter(|(decision, code)| !decision.agrees(*code))
            .fold(0, |bits, (decision, code)| bits | u128::from(code ^ decision.code) << (length - decision.span.last))
    }

    /// What the install decides of one setting in a frame like this: each field, with the code that the frame has there.
    pub(crate) fn fields_of(&self, decoded: &Decoded, setting: SettingId) -> Vec<(&Decision, u64)> {
        let Some(at) = matching(self, decoded, decoded.squitter()) else { return Vec::new() };
        let of_it = |decision: &&Decision| decision.settings.contains(&setting) && decision.applies_to(&decoded.frame);
        self[at].decisions().filter(of_it).map(|decision| (decision, decoded.frame.field(decision.span))).collect()
    }
}

/// The frames of a healthy flight. What the profile leaves open is looked for too, as if it were set as usual: it is judged
/// by nothing, and shown.
fn expected(profile: &Profile) -> Result<Vec<Expected>, EmissionError> {
    let sent = emissions(profile, Flight::Healthy)?;
    let all = emissions(&profile.filled_as_usual(), Flight::Healthy).unwrap_or_else(|_| sent.clone());
    // What is left open may decide whether the air and the ground have a frame each.
    let meet = |a: When, b: When| a == b || a == When::Both || b == When::Both;
    let same = |a: &Emission, b: &Emission| a.table == b.table && meet(a.when, b.when) && a.reply_to == b.reply_to;
    let stated = |id: SettingId| matches!(id.setting().stated(profile), Stated::Is(_));
    let is_sent = |emission: &Emission| sent.iter().any(|other| same(other, emission));
    let slim = |mut emission: Emission| {
        emission.decisions.shrink_to_fit();
        emission.used.shrink_to_fit();
        emission
    };
    Ok(all
        .into_iter()
        .map(|emission| (is_sent(&emission), slim(emission)))
        .map(|(sent, emission)| Expected::new(emission, sent, stated))
        .collect())
}

/// An expected frame, with the bits that can be compared with an observed one in one go.
#[derive(Clone, Debug)]
pub struct Expected {
    /// The frame, with what the install decides of it.
    pub emission: Emission,
    /// Whether the install sends it: where what is left open in the profile would add a frame, that is only looked for.
    pub sent: bool,
    /// For each decided or preset field, whether the profile states what is behind it.
    pub stated: Vec<bool>,
    /// The frame's downlink format.
    pub(super) format: u8,
    /// The bits of every field that must be equal in every such frame.
    pub(super) care: u128,
    /// For each decided field, whether it is among these.
    pub(super) at_once: Vec<bool>,
    /// The places of the other fields, in the order of [`Expected::decisions`].
    pub(super) one_by_one: Vec<usize>,
}

impl Expected {
    /// `stated` says whether a setting is stated in the profile.
    fn new(emission: Emission, sent: bool, stated: impl Fn(SettingId) -> bool) -> Self {
        let all = emission.decisions.iter().chain(&emission.used);
        let stated: Vec<bool> = all.map(|decision| decision.settings.iter().all(|setting| stated(*setting))).collect();
        let at_once: Vec<bool> = emission
            .decisions
            .iter()
            .zip(&stated)
            .map(|(decision, stated)| {
                *stated && decision.rule == Rule::Equal && decision.applies.is_none() && decision.also.is_empty()
            })
            .collect();
        let is_at_once = |at: &usize| at_once.get(*at) == Some(&true);
        let one_by_one = (0..stated.len()).filter(|at| !is_at_once(at)).collect();
        let length = emission.frame.length();
        let care = emission.decisions.iter().zip(&at_once).filter(|(_, at_once)| **at_once);
        let care = care.fold(0, |care, (decision, _)| care | decision.span.mask(length));
        Self { format: emission.frame.downlink_format(), emission, sent, stated, care, at_once, one_by_one }
    }

    /// The decided fields, then those that the crew uses or not.
    pub(crate) fn decisions(&self) -> impl Iterator<Item = &Decision> {
        self.emission.decisions.iter().chain(&self.emission.used)
    }

    /// One of these.
    pub(super) fn decision(&self, at: usize) -> Option<&Decision> {
        let Emission { decisions, used, .. } = &self.emission;
        decisions.get(at).or_else(|| used.get(at.checked_sub(decisions.len())?))
    }
}

/// Whether a Comm-B reply holds the register of an expected one, as far as its bits tell: most registers do not carry
/// their own number. Register 1,7 begins with bits of its own, and where they look like nothing or like the number of
/// another register, all of it must be as expected.
fn register_fits(emission: &Emission, frame: &Frame) -> bool {
    let (expected, seen) = (emission.frame.message_field(), frame.message_field());
    let plain = emission.table != CommonUsage::TABLE || !matches!(expected >> 48, 0x00 | 0x10 | 0x20);
    seen != 0 && expected >> 48 == seen >> 48 && (plain || expected == seen)
}

/// The expected frame of a format that fits. Where air and ground differ in nothing but what the envelope says of the
/// state, that chooses.
fn of_state(expected: &[Expected], format: u8, on_ground: bool, fits: impl Fn(&Expected) -> bool) -> Option<usize> {
    let mut all = (0..expected.len()).filter(|at| expected[*at].format == format && fits(&expected[*at]));
    let first = all.next()?;
    if !on_ground {
        return Some(first);
    }
    all.find(|at| expected[*at].emission.when == When::OnGround).or(Some(first))
}

/// Which expected frame an observed one is to be compared with.
pub(super) fn matching(expected: &[Expected], decoded: &Decoded, message: Option<Message>) -> Option<usize> {
    let format = decoded.frame.downlink_format();
    let table = decoded.payload.map_or(decoded.envelope, |payload| payload.table);
    let three = decoded.frame.field(Span::new(6, 8));
    let on_ground = match format {
        11 | 17 => three == 4,
        // Vertical status, and flight status.
        0 | 16 => three >> 2 == 1,
        4 | 5 | 20 | 21 => matches!(three, 1 | 3),
        _ => false,
    };
    // A status in another version than the expected one stands for it: its number is there to be compared.
    let status = message.filter(|message| message.version_number().is_some());
    let status = status.and_then(|message| match message.bits() >> 48 & 7 {
        subtype @ (0 | 1) => Some(subtype == 1),
        _ => None,
    });
    // A register that begins with its number may look like the 1,7 of this install.
    let of_usage = |frame: &Frame, other: &Emission| {
        let usage = expected.iter().map(|one| &one.emission).find(|one| one.table == CommonUsage::TABLE);
        usage.is_some_and(|usage| usage.table != other.table && usage.frame.message_field() == frame.message_field())
    };
    match (format, status) {
        (_, Some(surface)) => of_state(expected, format, on_ground, |Expected { emission, .. }| {
            emission.transmission.stream() == Some(Stream::OperationalStatus)
                && surface == (emission.when == When::OnGround)
        }),
        (0, _) => {
            let airspeed = |frame: &Frame| frame.field(Span::new(14, 17)) >= 8;
            of_state(expected, format, on_ground, |Expected { emission, .. }| {
                airspeed(&emission.frame) == airspeed(&decoded.frame)
            })
        }
        (20, _) => of_state(expected, format, on_ground, |Expected { emission, .. }| {
            register_fits(emission, &decoded.frame) && !of_usage(&decoded.frame, emission)
        }),
        _ => of_state(expected, format, on_ground, |one| one.emission.table == table),
    }
}
