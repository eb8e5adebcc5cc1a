//! Keeps the frames of one state, made once and filled often with the numbers of the moment.

use crate::code::table::Row;
use crate::code::{Altitude12, Bits, CprFormat};
use crate::downlink::{CommBAltitude, CommBIdentity, LongAirAir, PAYLOAD_OFFSET, ShortAirAir};
use crate::frame::{Frame, Span};
use crate::message::AirbornePosition;
use crate::onair::Emission;
use crate::onair::flight_fields::{self, Kinematics};
use crate::onair::schedule::Stream;
use crate::onair::transmissions::Moved;
use crate::profile::{Acas, Profile};

/// The 56 bits of a message.
const MESSAGE: u128 = (1 << 56) - 1;

/// The frames of one state.
#[derive(Clone, Debug, Default)]
pub(super) struct Templates {
    /// By stream; positions even and odd.
    pub squitters: [[Option<Template>; 2]; Stream::ALL.len()],
    /// What is sent only when asked for.
    pub replies: Vec<Template>,
}

/// A frame to be filled.
#[derive(Clone, Copy, Debug)]
pub(super) struct Template {
    pub frame: Frame,
    pub message: &'static str,
    pub reply_to: Option<&'static str>,
    /// Where the altitude stands.
    altitude: Option<Span>,
    /// Puts the numbers of a moment into the message.
    moved: Option<Moved>,
    /// What the parity is overlaid with.
    overlay: u32,
}

impl Templates {
    pub(super) fn new(emissions: &[Emission], set: &Profile) -> Self {
        let mut all = Self::default();
        for emission in emissions {
            let template = Template::of(emission);
            let Some(stream) = Stream::of(emission) else {
                all.replies.push(template);
                continue;
            };
            // Both kinds of position have the grid in one place.
            let odd = emission.transmission.has_grids
                && AirbornePosition::from_bits(template.frame.message_field()).cpr_format == CprFormat::ODD;
            all.squitters[stream as usize][usize::from(odd)] = Some(template);
        }
        let more = all.more_replies(set);
        all.replies.extend(more);
        all
    }

    /// Replies that carry no setting that others do not carry, so that no emission has them: made of the others.
    fn more_replies(&self, set: &Profile) -> Vec<Template> {
        let mut more = Vec::new();
        let of = |format: u8| self.replies.iter().filter(move |reply| reply.frame.downlink_format() == format);
        let [all_call, _] = self.squitters[Stream::Acquisition as usize];
        more.extend(all_call.map(|squitter| Template {
            reply_to: Some("an all-call of an interrogator with II code 5"),
            overlay: 5,
            ..squitter
        }));
        let mut registers: Vec<Template> = of(20).copied().collect();
        let serves = |number: u8| {
            set.data_link_registers.get().is_some_and(|list| list.0.iter().any(|n| n.bits() == u64::from(number)))
        };
        if serves(0x50)
            && let Some(altitude) = of(4).next()
        {
            let frame = Frame::from_pattern(
                CommBAltitude::TABLE.template | (altitude.frame.pattern() >> 24 & 0x7FF_FFFF) << 80,
                112,
            );
            registers.push(Template {
                frame,
                message: CommBAltitude::TABLE.message,
                reply_to: Some("an interrogation for register 5,0"),
                moved: Some(|_, motion, _| Ok(flight_fields::track_and_turn(motion).bits())),
                ..*altitude
            });
            more.extend(registers.last().copied());
        }
        // The identity replies have the same fields around another code.
        if let Some(identity) = of(5).next() {
            let head = identity.frame.pattern() >> 24 & 0x7FF_FFFF;
            more.extend(registers.iter().map(|altitude| Template {
                frame: Frame::from_pattern(
                    CommBIdentity::TABLE.template | head << 80 | u128::from(altitude.frame.message_field()) << 24,
                    112,
                ),
                message: CommBIdentity::TABLE.message,
                altitude: None,
                ..*altitude
            }));
        }
        // Only collision avoidance asks in format 16.
        if set.acas.get().is_some_and(|acas| *acas != Acas::None)
            && let Some(short) =
                of(0).find(|short| ShortAirAir::from_bits(short.frame.pattern() as u64).reply_information.bits() < 8)
        {
            let short_bits = ShortAirAir::from_bits(short.frame.pattern() as u64);
            let long = LongAirAir {
                vertical_status: short_bits.vertical_status,
                reply_information: short_bits.reply_information,
                ..LongAirAir::from_bits(LongAirAir::TABLE.template)
            };
            more.push(Template {
                frame: Frame::from_pattern(long.bits(), 112),
                message: LongAirAir::TABLE.message,
                reply_to: Some("an interrogation of format 16"),
                ..*short
            });
        }
        more
    }
}

impl Template {
    fn of(emission: &Emission) -> Self {
        let row = |rows: &[Row]| rows.iter().find(|row| row.key == "altitude").map(|row| row.span);
        let inside = || row(emission.table.rows).map(|span| span.shifted(PAYLOAD_OFFSET));
        Self {
            frame: emission.frame,
            message: emission.table.message,
            reply_to: emission.reply_to,
            altitude: row(emission.envelope.rows).or_else(inside),
            moved: emission.transmission.message.and_then(|message| message.moved),
            overlay: emission.frame.overlay(),
        }
    }

    /// The frame with the numbers of a moment.
    pub(super) fn filled(&self, motion: &Kinematics, altitude: Altitude12) -> Frame {
        let length = self.frame.length();
        let mut pattern = self.frame.pattern();
        let bits = self.frame.message_field();
        // What has no code was refused at the start.
        let bits = self.moved.and_then(|moved| moved(bits, motion, altitude).ok()).unwrap_or(bits);
        if length == 112 {
            pattern = pattern & !(MESSAGE << 24) | u128::from(bits) << 24;
        }
        if let Some(span) = self.altitude {
            let code = if span.width() == 13 { altitude.with_metric_bit().bits() } else { altitude.bits() };
            pattern = pattern & !span.mask(length) | u128::from(code) << (length - span.last);
        }
        Frame::from_pattern(pattern, length).with_overlay(self.overlay)
    }
}
