//! What is sent only when asked for: surveillance replies, and registers that carry install settings.

use super::formats::COMM_B;
use super::{Sending, convert, fill, grids, layer, moved, rows, transmission, typed};
use crate::code::{Bits, ReplyInformation};
use crate::downlink::{ShortAirAir, SurveillanceAltitude, SurveillanceIdentity};
use crate::onair::conversions::{
    STEP_IN_REPLY, acas_reply, airspeed, crew_enters_it, flag, gives_advisories, in_use, reply_altitude_tells,
    reply_says_acas, reply_says_airspeed, same, serves, serves_identification, step,
};
use crate::onair::unit::Unit;
use crate::register::{AircraftIdentificationRegister, CommonUsage, DataLinkCapability};

transmission! {
    /// Short air-air reply with the airspeed class
    ACQUISITION_REPLY: alone, versions 0 to 3, Either, Sending::Asked("an acquisition interrogation of format 0");
    ShortAirAir, flight |unit| Ok(ShortAirAir {
        vertical_status: unit.vertical_status(),
        reply_information: ReplyInformation::from_bits(8),
        altitude: unit.altitude()?.with_metric_bit(),
        ..ShortAirAir::from_bits(ShortAirAir::TABLE.template as u64)
    }), unsettled Unit::unsettled_vertical_status;
    row reply_information <- [maximum_cruise_true_airspeed] as airspeed => Equal, seen_if(reply_says_airspeed);
    bits STEP_IN_REPLY <- [altitude_resolution] with step => Equal, seen_if(reply_altitude_tells);
}

transmission! {
    /// Short air-air reply with the collision avoidance
    TRACKING_REPLY: alone, versions 0 to 3, Either, Sending::Asked("a tracking interrogation of format 0");
    ShortAirAir, flight |unit| Ok(ShortAirAir {
        vertical_status: unit.vertical_status(),
        altitude: unit.altitude()?.with_metric_bit(),
        ..ShortAirAir::from_bits(ShortAirAir::TABLE.template as u64)
    }), unsettled Unit::unsettled_vertical_status;
    row reply_information <- [acas] as acas_reply => State, seen_if(reply_says_acas);
    bits STEP_IN_REPLY <- [altitude_resolution] with step => Equal, seen_if(reply_altitude_tells);
}

transmission! {
    /// Surveillance, altitude reply
    ALTITUDE_REPLY: alone, versions 0 to 3, Either, Sending::Asked("an altitude interrogation of format 4");
    SurveillanceAltitude, flight |unit| Ok(SurveillanceAltitude {
        flight_status: unit.flight_status(),
        altitude: unit.altitude()?.with_metric_bit(),
        ..SurveillanceAltitude::from_bits(SurveillanceAltitude::TABLE.template as u64)
    }), unsettled Unit::unsettled_flight_status;
    bits STEP_IN_REPLY <- [altitude_resolution] with step => Equal, seen_if(reply_altitude_tells);
}

transmission! {
    /// Surveillance, identity reply
    IDENTITY_REPLY: alone, versions 0 to 3, Either, Sending::Asked("an identity interrogation of format 5");
    SurveillanceIdentity, flight |unit| Ok(SurveillanceIdentity {
        flight_status: unit.flight_status(),
        mode_a: unit.mode_a(),
        ..SurveillanceIdentity::from_bits(SurveillanceIdentity::TABLE.template as u64)
    }), unsettled Unit::unsettled_flight_status;
    row mode_a <- [vfr_mode_a_code] as same => WhenUsed, beside_the_frame();
}

transmission! {
    /// Register 1,0, data link capability
    DATA_LINK_CAPABILITY: in &COMM_B, versions 0 to 3, Either, Sending::Asked("an interrogation for register 1,0"),
    if "the install serves register 1,0" |unit| serves(unit.profile, 0x10);
    DataLinkCapability;
    row identification_capability <- [data_link_registers] as serves_identification => Equal;
    row si_codes <- [data_link_si_codes] as flag => Equal;
    row resolution_advisories <- [acas] as gives_advisories => State;
}

transmission! {
    /// Register 1,7, common usage
    COMMON_USAGE: in &COMM_B, versions 0 to 3, Either, Sending::Asked("an interrogation for register 1,7"),
    if "the install serves register 1,7" |unit| serves(unit.profile, 0x17);
    CommonUsage;
    each register <- [data_link_registers] by in_use => State;
}

transmission! {
    /// Register 2,0, aircraft identification
    IDENTIFICATION_REGISTER: in &COMM_B, versions 0 to 3, Either, Sending::Asked("an interrogation for register 2,0"),
    if "the install serves register 2,0" |unit| serves(unit.profile, 0x20);
    AircraftIdentificationRegister;
    row characters <- [aircraft_identification] as same => Equal, unless(crew_enters_it);
}
