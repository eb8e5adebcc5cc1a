//! Counts whether positions and pressure altitudes are sent at all, in squitters and in replies.

use super::evidence::Watched;
use super::tally::ObservedFrame;
use crate::code::Bits;
use crate::frame::Span;
use crate::message::Message;
use crate::track::state::{AirGround, envelope_says};

/// What was missing where it belongs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Presence {
    /// Position messages in the air; watched for type code 0, no position.
    pub position: Watched,
    /// The same on the ground.
    pub surface_position: Watched,
    /// Airborne squitters that carry pressure altitude; watched for the code of no data.
    pub squitter_altitude: Watched,
    /// Airborne positions; watched for geometric height in the place of pressure altitude.
    pub geometric: Watched,
    /// Replies that carry pressure altitude; watched for the code of no data.
    pub reply_altitude: Watched,
}

impl Presence {
    pub fn observe(&mut self, heard: &ObservedFrame<'_>) {
        let (frame, evidence) = (&heard.decoded.frame, &heard.evidence);
        match &heard.message {
            Some(Message::NoPosition(m)) => {
                // On the ground an altitude is not asked for.
                if frame.field(Span::new(6, 8)) == 4 {
                    self.surface_position.observe(true, evidence);
                } else {
                    self.position.observe(true, evidence);
                    self.squitter_altitude.observe(m.altitude.bits() == 0, evidence);
                }
            }
            Some(Message::AirbornePosition(m)) => {
                self.position.observe(false, evidence);
                self.geometric.observe(m.is_geometric(), evidence);
                if !m.is_geometric() {
                    self.squitter_altitude.observe(m.altitude.bits() == 0, evidence);
                }
            }
            Some(Message::SurfacePosition(_)) => self.surface_position.observe(false, evidence),
            // Only a reply that says "airborne" has to have one.
            None if matches!(frame.downlink_format(), 0 | 4 | 16 | 20)
                && envelope_says(heard.decoded).is_some_and(|(state, _)| state == AirGround::Airborne) =>
            {
                self.reply_altitude.observe(frame.field(Span::new(20, 32)) == 0, evidence);
            }
            _ => {}
        }
    }
}
