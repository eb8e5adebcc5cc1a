//! Says what a field is about, which gives it its colour, and what it is called in words; the same in every message.

/// What a field is about: its colour in every ruler and table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// Which message this is.
    Envelope,
    /// The aircraft address.
    Address,
    /// Who it is: identification, category, Mode A code.
    Identity,
    /// Where it is.
    Position,
    /// How high it is, and climbing or descending.
    Height,
    /// How it moves.
    Motion,
    /// How good its position and height are.
    Quality,
    /// What the unit is and is able to do.
    Install,
    /// Anything else.
    Other,
    /// Bits that the standard keeps.
    Reserved,
    /// The last 24 bits.
    Parity,
}

/// The subjects by words of a key; the first that fits counts.
const SUBJECTS: &[(Subject, &[&str])] = &[
    (Subject::Reserved, &["reserved", "data"]),
    (Subject::Parity, &["parity"]),
    (Subject::Address, &["address"]),
    (
        Subject::Envelope,
        &[
            "downlink_format",
            "type_code",
            "subtype",
            "control_field",
            "application_field",
            "imf",
            "continuation",
            "register_number",
            "message_field",
            "definition",
            "format",
            "segment",
            "backward_compatibility",
            "request",
            "interrogator",
            "reservation",
            "acknowledgement",
            "version_number",
        ],
    ),
    (Subject::Quality, &["nacp", "nacv", "nic", "sil", "sda", "gva", "supplement", "quality", "integrity"]),
    (
        Subject::Identity,
        &[
            "characters",
            "category",
            "mode_a",
            "identification",
            "registration",
            "airline",
            "emergency_state",
            "ident",
            "flight_status",
            "surveillance_status",
            "mode_1",
            "mode_2",
            "military_mode",
        ],
    ),
    (Subject::Install, &["register", "channel", "antenna", "capability", "acas", "length_width", "reference_point"]),
    (
        Subject::Height,
        &["altitude", "vertical", "geometric", "height", "barometric", "inertial", "pressure_setting", "vnav"],
    ),
    (
        Subject::Position,
        &[
            "cpr",
            "latitude",
            "longitude",
            "position",
            "waypoint",
            "distance",
            "bearing",
            "utc",
            "time",
            "service_volume",
        ],
    ),
    (
        Subject::Motion,
        &[
            "movement",
            "track",
            "heading",
            "velocity",
            "direction",
            "airspeed",
            "speed",
            "mach",
            "roll",
            "lateral",
            "horizontal",
            "intent_change",
            "trajectory_change",
            "autopilot",
            "approach",
            "not_left",
            "not_right",
            "not_above",
            "not_below",
        ],
    ),
    (
        Subject::Install,
        &[
            "in",
            "below_70_w",
            "transmit_power",
            "version",
            "sends",
            "si_codes",
            "protocol",
            "services",
            "unit",
            "detect",
            "magnetic_reference",
            "reply_information",
            "sensitivity_level",
            "service_level_high",
            "service_level_low",
            "traffic_display",
            "cross_link",
            "hybrid_surveillance",
            "squitter_rate",
            "throughput",
        ],
    ),
];

impl Subject {
    /// What a field with this key is about.
    pub fn of(key: &str) -> Self {
        let has = |words: &&str| key == *words || format!("_{key}_").contains(&format!("_{words}_"));
        SUBJECTS.iter().find(|(_, words)| words.iter().any(has)).map_or(Self::Other, |(subject, _)| *subject)
    }

    /// The class that colours it.
    pub const fn class(self) -> &'static str {
        match self {
            Self::Envelope => "k-envelope",
            Self::Address => "k-address",
            Self::Identity => "k-identity",
            Self::Position => "k-position",
            Self::Height => "k-height",
            Self::Motion => "k-motion",
            Self::Quality => "k-quality",
            Self::Install => "k-install",
            Self::Other => "k-other",
            Self::Reserved => "kept",
            Self::Parity => "k-parity",
        }
    }
}

/// Words of keys that are written otherwise than in a key.
const WRITTEN: &[(&str, &str)] = &[
    ("nacp", "NACp"),
    ("nacv", "NACv"),
    ("nic", "NIC"),
    ("nucr", "NUCr"),
    ("nucp", "NUCp"),
    ("rc", "Rc"),
    ("sil", "SIL"),
    ("sda", "SDA"),
    ("gva", "GVA"),
    ("cpr", "CPR"),
    ("utc", "UTC"),
    ("acas", "ACAS"),
    ("uat", "UAT"),
    ("1090", "1090ES"),
    ("fms", "FMS"),
    ("mcp", "MCP"),
    ("fcu", "FCU"),
    ("vnav", "VNAV"),
    ("vhf", "VHF"),
    ("ifr", "IFR"),
    ("imf", "IMF"),
    ("si", "SI"),
    ("w", "W"),
    ("a", "A"),
    ("b", "B"),
    ("c", "C"),
    ("ft", "ft"),
    ("mach", "Mach"),
];

/// Keys that are called otherwise than their words say.
const NAMED: &[(&str, &str)] = &[
    ("characters", "Aircraft identification"),
    ("category", "Emitter category"),
    ("es_1090_in", "1090ES receiver"),
    ("uat_in", "UAT receiver"),
    ("length_width", "Length and width"),
    ("length_width_code", "Length and width"),
    ("mode_a", "Mode A code"),
    ("parity_overlay", "Parity"),
    ("below_70_w", "Below 70 W"),
    ("utc_synchronised", "Timed to UTC"),
    ("antenna_offset_lateral", "Antenna, from the centre line"),
    ("antenna_offset_longitudinal", "Antenna, from the nose"),
    ("antenna_offset_lateral_m", "Antenna, from the centre line"),
    ("antenna_offset_longitudinal_m", "Antenna, from the nose"),
    ("nacp", "Position accuracy (NACp)"),
    ("nacv", "Velocity accuracy (NACv)"),
    ("sil", "Source integrity level (SIL)"),
    ("sda", "Design assurance (SDA)"),
    ("gva", "Height accuracy (GVA)"),
    ("nic_baro", "Altitude cross-checked"),
    ("cpr_latitude", "Latitude word"),
    ("cpr_longitude", "Longitude word"),
    ("cpr_format", "Even or odd"),
    ("ident_active", "Ident"),
    ("version_number", "Version of the standard"),
    ("version", "Version of the standard"),
];

/// What a key or a field is called.
pub fn plain(key: &str) -> String {
    if let Some((_, name)) = NAMED.iter().find(|(known, _)| *known == key) {
        return (*name).to_owned();
    }
    if key.starts_with("reserved_") {
        return "Reserved".to_owned();
    }
    // A unit at the end of a name is said with the value.
    let units = ["_ft", "_kt", "_deg", "_fpm", "_m", "_nm", "_hpa", "_mhz"];
    let key = units.iter().find_map(|unit| key.strip_suffix(unit)).unwrap_or(key);
    let word = |word: &str| {
        WRITTEN
            .iter()
            .find(|(known, _)| *known == word)
            .map_or(word.to_owned(), |(_, as_written)| (*as_written).to_owned())
    };
    capital(&key.split('_').map(word).collect::<Vec<_>>().join(" "))
}

/// With a capital letter at its beginning.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::{Subject, plain};
    use crate::present::reference::tables;

    #[test]
    fn every_field_has_a_name_and_few_are_about_nothing_in_particular() {
        let (mut other, mut all) = (0, 0);
        for row in tables().iter().flat_map(|table| table.rows) {
            let name = plain(row.key);
            assert!(!name.contains('_') && name.starts_with(|first: char| !first.is_lowercase()), "{name}");
            assert_eq!(row.is_reserved(), name == "Reserved", "{}", row.key);
            assert!(!row.is_reserved() || Subject::of(row.key) == Subject::Reserved, "{}", row.key);
            all += 1;
            other += usize::from(Subject::of(row.key) == Subject::Other);
        }
        assert!(other * 10 < all, "{other} of {all} fields have no colour of their own");
    }

    #[test]
    fn a_field_is_about_the_same_in_every_message() {
        for (key, subject) in [
            ("type_code", Subject::Envelope),
            ("address", Subject::Address),
            ("characters", Subject::Identity),
            ("cpr_latitude", Subject::Position),
            ("altitude", Subject::Height),
            ("vertical_rate", Subject::Height),
            ("east_west_velocity", Subject::Motion),
            ("nacp", Subject::Quality),
            ("es_1090_in", Subject::Install),
            ("antenna_or_nic_supplement_b", Subject::Quality),
            ("parity_overlay", Subject::Parity),
            ("reserved_9_10", Subject::Reserved),
            ("length_width", Subject::Install),
            ("single_antenna", Subject::Install),
        ] {
            assert_eq!(Subject::of(key), subject, "{key}");
        }
    }
}
