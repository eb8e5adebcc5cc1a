//! The downlink formats, one table each: which bits of the whole frame are what (facts of Annex 10 Volume IV).

use super::pairs::Pair;
use crate::code::table::{Derived, table};
use crate::code::{
    Altitude13, ApplicationField, Bits, Capability, Code, ControlField, DownlinkRequest, Flag, FlightStatus, Meaning,
    MeaningKind, ModeA, Number, Overlay, ReplyInformation, ReservationKind, Reserved, SensitivityLevel, Value, Version,
    VerticalStatus,
};
use crate::frame::Address;
use crate::message::ground_station;

table! {
    /// Format 0: short air-air surveillance, the answer to another aircraft's collision avoidance.
    ShortAirAir: u64, 56 bits = "short_air_air_surveillance", "short air-air surveillance",
    when "downlink format 0, 56 bits",
    template 0;
    1..=5 downlink_format: Number<5>, "Downlink format 0", "A4-39 HM4";
    6..=6 vertical_status: VerticalStatus => "vertical_status", "Airborne or on the ground", "A4-39 HM4";
    7..=7 cross_link: Flag => "cross_link", "Can return a register that the interrogation names", "A4-39 HM4";
    8..=8 reserved_8_8: Reserved<1>, "Reserved", "A4-39 HM4";
    9..=11 sensitivity_level: SensitivityLevel => "sensitivity_level", "Sensitivity level of the collision avoidance", "HM4";
    12..=13 reserved_12_13: Reserved<2>, "Reserved", "A4-39 HM4";
    14..=17 reply_information: ReplyInformation => "reply_information", "Collision avoidance, or cruise airspeed class", "A4-39 HM4 D288 memory";
    18..=19 reserved_18_19: Reserved<2>, "Reserved", "A4-39 HM4";
    20..=32 altitude: Altitude13 => "pressure_altitude_ft", "Pressure altitude", "HM3 HM4";
    33..=56 parity_overlay: Overlay, "Parity, overlaid with the aircraft address", "A4-19 HM1";
    derived [CRUISE_SPEED_SHORT]
}

table! {
    /// Format 4: surveillance, altitude.
    SurveillanceAltitude: u64, 56 bits = "surveillance_altitude_reply", "surveillance, altitude reply",
    when "downlink format 4, 56 bits",
    template 4 << 51;
    1..=5 downlink_format: Number<5>, "Downlink format 4", "HM3";
    6..=8 flight_status: FlightStatus => "flight_status", "Alert, ident, airborne or on the ground", "HM3";
    9..=13 downlink_request: DownlinkRequest => "downlink_request", "What the transponder has to send", "HM3 memory";
    14..=17 interrogator_identifier: Number<4> => "interrogator_identifier", "Who holds the reservation", "HM3";
    18..=19 reservation: ReservationKind => "reservation", "What is reserved", "HM3";
    20..=32 altitude: Altitude13 => "pressure_altitude_ft", "Pressure altitude", "HM3";
    33..=56 parity_overlay: Overlay, "Parity, overlaid with the aircraft address", "A4-19 HM1 HM3";
}

table! {
    /// Format 5: surveillance, identity.
    SurveillanceIdentity: u64, 56 bits = "surveillance_identity_reply", "surveillance, identity reply",
    when "downlink format 5, 56 bits",
    template 5 << 51;
    1..=5 downlink_format: Number<5>, "Downlink format 5", "HM3";
    6..=8 flight_status: FlightStatus => "flight_status", "Alert, ident, airborne or on the ground", "HM3";
    9..=13 downlink_request: DownlinkRequest => "downlink_request", "What the transponder has to send", "HM3 memory";
    14..=17 interrogator_identifier: Number<4> => "interrogator_identifier", "Who holds the reservation", "HM3";
    18..=19 reservation: ReservationKind => "reservation", "What is reserved", "HM3";
    20..=32 mode_a: ModeA => "mode_a_code", "Mode A code", "HM3";
    33..=56 parity_overlay: Overlay, "Parity, overlaid with the aircraft address", "A4-19 HM1 HM3";
}

table! {
    /// Format 11: all-call reply and acquisition squitter.
    AllCall: u64, 56 bits = "all_call_reply", "all-call reply or acquisition squitter",
    when "downlink format 11, 56 bits",
    template 11 << 51 | 5 << 48;
    1..=5 downlink_format: Number<5>, "Downlink format 11", "HM2";
    6..=8 capability: Capability => "capability", "What the transponder can do, and air or ground", "HM2 H1";
    9..=32 address: Address, "Aircraft address, in the clear", "HM2";
    33..=56 parity_overlay: Overlay, "Parity, overlaid with the interrogator's code; zero in a squitter", "SE HM2";
}

table! {
    /// Format 16: long air-air surveillance.
    LongAirAir: u128, 112 bits = "long_air_air_surveillance", "long air-air surveillance",
    when "downlink format 16, 112 bits",
    template 16 << 107;
    1..=5 downlink_format: Number<5>, "Downlink format 16", "A4-39 HM4";
    6..=6 vertical_status: VerticalStatus => "vertical_status", "Airborne or on the ground", "A4-39 HM4";
    7..=8 reserved_7_8: Reserved<2>, "Reserved", "HM4";
    9..=11 sensitivity_level: SensitivityLevel => "sensitivity_level", "Sensitivity level of the collision avoidance", "HM4";
    12..=13 reserved_12_13: Reserved<2>, "Reserved", "HM4";
    14..=17 reply_information: ReplyInformation => "reply_information", "Collision avoidance, or cruise airspeed class", "A4-39 HM4 D288 memory";
    18..=19 reserved_18_19: Reserved<2>, "Reserved", "HM4";
    20..=32 altitude: Altitude13 => "pressure_altitude_ft", "Pressure altitude", "HM4";
    33..=88 message_field: Number<56>, "Message field (MV)", "HM4";
    89..=112 parity_overlay: Overlay, "Parity, overlaid with the aircraft address", "A4-19 HM1";
    derived [CRUISE_SPEED_LONG]
}

table! {
    /// Format 17: extended squitter of a transponder.
    ExtendedSquitter: u128, 112 bits = "extended_squitter", "extended squitter",
    when "downlink format 17, 112 bits",
    template 17 << 107 | 5 << 104;
    1..=5 downlink_format: Number<5>, "Downlink format 17", "H1";
    6..=8 capability: Capability => "capability", "What the transponder can do, and air or ground", "H1";
    9..=32 address: Address, "Aircraft address, in the clear", "H1";
    33..=88 message_field: Number<56>, "Message field (ME)", "H1";
    89..=112 parity_overlay: Overlay, "Parity; a sound frame has nothing XORed onto it", "A4-19 H8";
}

table! {
    /// Format 18: extended squitter of anything that is not a transponder.
    ExtendedSquitterOther: u128, 112 bits = "extended_squitter_other", "extended squitter, not from a transponder",
    when "downlink format 18, 112 bits",
    template 18 << 107;
    1..=5 downlink_format: Number<5>, "Downlink format 18", "H1 CF";
    6..=8 control_field: ControlField => "control_field", "What kind of message, and whose address", "CF AX memory";
    9..=32 address: Address, "Address, in the clear", "CF";
    33..=88 message_field: Number<56>, "Message field (ME)", "CF H1";
    89..=112 parity_overlay: Overlay, "Parity; a sound frame has nothing XORed onto it", "A4-19 H8";
    derived [ADDRESS_KIND]
}

table! {
    /// Format 19: extended squitter for military use.
    Military: u128, 112 bits = "military", "extended squitter, military",
    when "downlink format 19, 112 bits",
    template 19 << 107;
    1..=5 downlink_format: Number<5>, "Downlink format 19", "HI memory";
    6..=8 application_field: ApplicationField => "application_field", "0: the other bits are laid out as in format 17", "memory";
    9..=32 data_9_32: Number<24>, "As received; the address where the application field is 0", "memory";
    33..=88 message_field: Number<56>, "As received", "memory";
    89..=112 parity_overlay: Overlay, "Parity", "memory";
}

table! {
    /// Format 20: Comm-B, altitude.
    CommBAltitude: u128, 112 bits = "comm_b_altitude_reply", "Comm-B, altitude reply",
    when "downlink format 20, 112 bits",
    template 20 << 107;
    1..=5 downlink_format: Number<5>, "Downlink format 20", "HM5";
    6..=8 flight_status: FlightStatus => "flight_status", "Alert, ident, airborne or on the ground", "HM3 HM5";
    9..=13 downlink_request: DownlinkRequest => "downlink_request", "What the transponder has to send", "HM3 memory";
    14..=17 interrogator_identifier: Number<4> => "interrogator_identifier", "Who holds the reservation", "HM3";
    18..=19 reservation: ReservationKind => "reservation", "What is reserved", "HM3";
    20..=32 altitude: Altitude13 => "pressure_altitude_ft", "Pressure altitude", "HM3 HM5";
    33..=88 message_field: Number<56>, "Message field (MB): a register", "HM5";
    89..=112 parity_overlay: Overlay, "Parity, overlaid with the aircraft address (on request also with a register number)", "A4-19 HM1";
}

table! {
    /// Format 21: Comm-B, identity.
    CommBIdentity: u128, 112 bits = "comm_b_identity_reply", "Comm-B, identity reply",
    when "downlink format 21, 112 bits",
    template 21 << 107;
    1..=5 downlink_format: Number<5>, "Downlink format 21", "HM5";
    6..=8 flight_status: FlightStatus => "flight_status", "Alert, ident, airborne or on the ground", "HM3 HM5";
    9..=13 downlink_request: DownlinkRequest => "downlink_request", "What the transponder has to send", "HM3 memory";
    14..=17 interrogator_identifier: Number<4> => "interrogator_identifier", "Who holds the reservation", "HM3";
    18..=19 reservation: ReservationKind => "reservation", "What is reserved", "HM3";
    20..=32 mode_a: ModeA => "mode_a_code", "Mode A code", "HM3 HM5";
    33..=88 message_field: Number<56>, "Message field (MB): a register", "HM5";
    89..=112 parity_overlay: Overlay, "Parity, overlaid with the aircraft address (on request also with a register number)", "A4-19 HM1";
}

table! {
    /// Format 24: a segment of an extended length message.
    CommD: u128, 112 bits = "comm_d", "Comm-D, a segment of an extended length message",
    when "the first two bits are ones, 112 bits",
    template 3 << 110;
    1..=2 downlink_format_24: Number<2>, "Downlink format 24, known by two ones", "HI MM";
    3..=3 reserved_3_3: Reserved<1>, "Reserved", "MM";
    4..=4 acknowledgement: Flag => "acknowledgement", "A segment (0), or the acknowledgement of segments (1)", "MM memory";
    5..=8 segment_number: Number<4> => "segment_number", "Number of the segment", "MM";
    9..=48 data_9_48: Number<40>, "Segment as received, first part", "MM";
    49..=88 data_49_88: Number<40>, "Segment as received, second part", "MM";
    89..=112 parity_overlay: Overlay, "Parity, overlaid with the aircraft address", "A4-19 MM";
}

table! {
    /// 56 bits in a format that nobody assigned, or whose length does not go with its format.
    UnassignedShort: u64, 56 bits = "unassigned", "no assigned format of 56 bits",
    when "56 bits and a downlink format that is not 0, 4, 5 or 11",
    template 1 << 51;
    1..=5 downlink_format: Number<5>, "Downlink format, unassigned at this length", "HI";
    6..=32 data_6_32: Number<27>, "As received", "HI";
    33..=56 parity_overlay: Overlay, "The last 24 bits, as if they were parity", "HI";
}

table! {
    /// 112 bits in a format that nobody assigned, or whose length does not go with its format.
    UnassignedLong: u128, 112 bits = "unassigned", "no assigned format of 112 bits",
    when "112 bits and a downlink format that is not 16 to 21 or 24",
    template 22 << 107;
    1..=5 downlink_format: Number<5>, "Downlink format, unassigned at this length", "HI";
    6..=32 data_6_32: Number<27>, "As received", "HI";
    33..=88 message_field: Number<56>, "As received", "HI";
    89..=112 parity_overlay: Overlay, "The last 24 bits, as if they were parity", "HI";
}

const ADDRESS_KIND: Derived = Derived::new(
    "address_kind",
    "What the address is, by control field and IMF (from memory)",
    MeaningKind::Word,
    |pattern, version| {
        let message = ExtendedSquitterOther::from_bits(pattern);
        let control = message.control_field.bits();
        let bits = message.message_field.bits();
        let table = Pair::of((pattern >> 104) as u8).map(|pair| pair.table(bits, Some(version)));
        let imf = table.and_then(|table| ground_station::imf(table, bits, version));
        let (name, text) = match (control, imf) {
            (0, _) | (2 | 3 | 6, Some(false)) => ("icao_address", "24-bit aircraft address"),
            (1, _) | (6, Some(true)) => ("other_address", "anonymous address, ground vehicle or fixed obstruction"),
            (2 | 3, Some(true)) => {
                ("mode_a_and_track_file", "12 bits of Mode A code and a track file number of 12 bits")
            }
            (5, Some(false)) => ("not_icao_address", "24-bit address that is not an aircraft address"),
            (5, Some(true)) => ("reserved", "reserved"),
            (2 | 3 | 5 | 6, None) => return Some(Meaning::none("not known: no IMF, or its place is not settled")),
            _ => return None,
        };
        Some(Meaning::new(Value::Word(name), text))
    },
)
.varying();

const CRUISE_SPEED_SHORT: Derived =
    Derived::new(CRUISE_SPEED, CRUISE_SPEED_ABOUT, MeaningKind::Word, |pattern, version| {
        cruise_speed(ShortAirAir::from_bits(pattern as u64).reply_information, version)
    });
const CRUISE_SPEED_LONG: Derived =
    Derived::new(CRUISE_SPEED, CRUISE_SPEED_ABOUT, MeaningKind::Word, |pattern, version| {
        cruise_speed(LongAirAir::from_bits(pattern).reply_information, version)
    });
const CRUISE_SPEED: &str = "maximum_cruise_true_airspeed";
const CRUISE_SPEED_ABOUT: &str =
    "Class of the maximum cruise true airspeed, only in reply to an acquisition interrogation";

fn cruise_speed(information: ReplyInformation, version: Version) -> Option<Meaning> {
    if !information.is_airspeed() {
        return None;
    }
    let meaning = information.meaning(version);
    Some(match (information.bits(), meaning.name) {
        (8 | 15, _) | (_, None) => Meaning::none(meaning.text),
        (_, Some(name)) => Meaning::new(Value::Word(name), meaning.text),
    })
}
