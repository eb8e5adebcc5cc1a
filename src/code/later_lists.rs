//! Lists that version 3 added to the operational status, as the exchange standard that copies the bits prints them.

use super::enumeration::enumeration;

enumeration! {
    /// Transmit power at the antenna port, rounded down.
    TransmitPower(u8: 2) AsNumber,
    0 = "unknown_or_below_70_w", "unknown, or less than 70 W";
    1 = "at_least_70_w", "70 W or more";
    2 = "at_least_125_w", "125 W or more";
    3 = "at_least_200_w", "200 W or more";
}

enumeration! {
    /// Whether detect and avoid is fitted.
    DetectAndAvoid(u8: 2) AsNumber,
    0 = "none", "no detect and avoid";
    1 = "with_resolution_advisories", "detect and avoid with resolution advisories";
    2 = "without_resolution_advisories", "detect and avoid without resolution advisories";
    3 = "reserved", "reserved";
}
