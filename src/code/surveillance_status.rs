//! Surveillance status of the airborne position message.

use super::enumeration::enumeration;

enumeration! {
    /// Alert or ident; 1 and 2 win over 3.
    #[doc(alias = "SS")]
    SurveillanceStatus(u8: 2) AsNumber,
    0 = "no_condition", "no condition";
    1 = "permanent_alert", "permanent alert (emergency)";
    2 = "temporary_alert", "temporary alert (Mode A code changed)";
    3 = "ident", "ident (special position identification)";
}
