//! Flight status, downlink request and reservation of surveillance replies.

use super::enumeration::enumeration;
use super::{Bits, Code, CodeError, Meaning, MeaningKind, Value, Version, bits};

enumeration! {
    /// Flight status (FS) of formats 4, 5, 20 and 21.
    #[doc(alias = "FS")]
    FlightStatus(u8: 3) AsNumber,
    0 = "airborne", "no alert, no ident, airborne";
    1 = "on_ground", "no alert, no ident, on the ground";
    2 = "alert_airborne", "alert, no ident, airborne";
    3 = "alert_on_ground", "alert, no ident, on the ground";
    4 = "alert_and_ident", "alert and ident, airborne or on the ground";
    5 = "ident", "no alert, ident, airborne or on the ground";
    6 = "reserved", "reserved";
    7 = "not_assigned", "not assigned";
}

enumeration! {
    /// Whom the utility message's reservation serves (IDS).
    ReservationKind(u8: 2) AsNumber,
    0 = "none", "no reservation";
    1 = "comm_b", "Comm-B reservation";
    2 = "comm_c", "Comm-C reservation";
    3 = "comm_d", "Comm-D reservation";
}

bits! {
    /// Downlink request (DR) of formats 4, 5, 20 and 21.
    #[doc(alias = "DR")]
    DownlinkRequest(u8: 5)
}

impl Code for DownlinkRequest {
    const RULE: &'static str = "0 none, 1 Comm-B waiting, 2-3 ACAS, 4-7 broadcasts, 16-31 segments waiting";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, version: Version) -> Meaning {
        let text = match self.0 {
            0 => "no downlink request",
            1 => "Comm-B message waiting",
            2 => "ACAS information available",
            3 => "ACAS information and Comm-B message waiting",
            4 => "Comm-B broadcast message 1 available",
            5 => "Comm-B broadcast message 2 available",
            6 => "ACAS information and broadcast message 1 available",
            7 => "ACAS information and broadcast message 2 available",
            16.. => {
                return Meaning::written(Value::Integer(self.0.into()), self.0.into(), version, |code, _, f| {
                    write!(f, "{} Comm-D segments waiting", code - 15)
                });
            }
            _ => "not assigned",
        };
        Meaning::new(Value::Integer(self.0.into()), text)
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Number::<5>::from_meaning(wanted, version).map(|n| Self(n.bits() as u8))
    }
}

enumeration! {
    /// Vertical status (VS) of formats 0 and 16.
    #[doc(alias = "VS")]
    VerticalStatus(u8: 1) AsText,
    0 = "airborne", "airborne";
    1 = "on_ground", "on the ground";
}
