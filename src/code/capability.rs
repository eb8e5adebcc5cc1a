//! Who sends: capability in formats 11 and 17, control field in format 18, application field in format 19.

use super::enumeration::enumeration;

enumeration! {
    /// Capability (CA): what the transponder can do, and whether it is on the ground.
    #[doc(alias = "CA")]
    Capability(u8: 3) AsNumber,
    0 = "level_1", "level 1 transponder (surveillance only), on the ground or airborne";
    1 = "reserved_1", "reserved (once level 2)";
    2 = "reserved_2", "reserved (once level 3)";
    3 = "reserved_3", "reserved (once level 4)";
    4 = "level_2_or_above_on_ground", "level 2 or above, on the ground";
    5 = "level_2_or_above_airborne", "level 2 or above, airborne";
    6 = "level_2_or_above_either", "level 2 or above, on the ground or airborne (no automatic ground input)";
    7 = "request_or_alert", "a downlink request, an alert or an ident is on; on the ground or airborne";
}

impl Capability {
    /// Level 1, no extended squitter.
    pub const LEVEL_1: Self = Self(0);
    /// Level 2 or above, on the ground.
    pub const ON_GROUND: Self = Self(4);
    /// Level 2 or above, airborne.
    pub const AIRBORNE: Self = Self(5);
    /// Level 2 or above without an automatic ground input.
    pub const EITHER: Self = Self(6);
    /// A downlink request, alert or ident, which the flight decides.
    pub const REQUEST_OR_ALERT: Self = Self(7);
}

enumeration! {
    /// Control field (CF) of format 18: what kind of message, and whose address.
    #[doc(alias = "CF")]
    ControlField(u8: 3) AsNumber,
    0 = "adsb_icao_address", "ADS-B from a device that is not a transponder, 24-bit address";
    1 = "adsb_other_address", "ADS-B from a device that is not a transponder, other address";
    2 = "tis_b_fine", "fine TIS-B, 24-bit address or track file";
    3 = "tis_b_coarse", "coarse TIS-B";
    4 = "tis_b_management", "TIS-B and ADS-R management";
    5 = "tis_b_fine_other_address", "fine TIS-B, other address";
    6 = "rebroadcast", "ADS-R: rebroadcast of ADS-B from another link";
    7 = "reserved", "reserved";
}

enumeration! {
    /// Application field (AF) of format 19.
    #[doc(alias = "AF")]
    ApplicationField(u8: 3) AsNumber,
    0 = "civil_format", "the other bits are laid out as in format 17";
}
