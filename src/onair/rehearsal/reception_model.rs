//! Models a receiver: frames that are lost, bits that are wrong, lines that are not frames.

use super::Random;
use crate::frame::Frame;

/// How good the reception is. The default is perfect.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ReceptionModel {
    /// The part of the frames that is not heard, 0 to 1.
    pub loss: f64,
    /// The part of the bits that is wrong, 0 to 1.
    pub bit_errors: f64,
    /// Lines that are not frames, for each frame that is.
    pub garbage: f64,
}

/// What is in a line of a capture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReceivedLine {
    /// A frame, right or damaged.
    Frame(Frame),
    /// Something else.
    Text(String),
}

/// A receiver at work. The same seed receives the same stream the same way.
#[derive(Clone, Debug)]
pub struct Receiver {
    reception: ReceptionModel,
    random: Random,
}

/// Streams of random numbers from here on belong to no aircraft.
const RECEIVER: u128 = 1 << 64;

impl Receiver {
    /// A receiver for one piece of a recording, by its number.
    pub fn new(reception: ReceptionModel, seed: u64, piece: u64) -> Self {
        Self { reception, random: Random::new(seed, RECEIVER + u128::from(piece)) }
    }

    /// The lines that come of a frame.
    pub fn receive(&mut self, frame: Frame) -> impl Iterator<Item = ReceivedLine> + use<> {
        let garbage = self.happens(self.reception.garbage).then(|| self.garbage(frame));
        let lost = self.happens(self.reception.loss);
        let heard = (!lost).then(|| self.damaged(frame));
        garbage.map(ReceivedLine::Text).into_iter().chain(heard.map(ReceivedLine::Frame))
    }

    fn happens(&mut self, chance: f64) -> bool {
        chance > 0.0 && self.random.part() < chance
    }

    fn damaged(&mut self, frame: Frame) -> Frame {
        if self.reception.bit_errors <= 0.0 {
            return frame;
        }
        (1..=frame.length())
            .fold(frame, |frame, bit| if self.happens(self.reception.bit_errors) { frame.flipped(bit) } else { frame })
    }

    /// A line as a broken recording has it: no frame can be read in any of them.
    fn garbage(&mut self, frame: Frame) -> String {
        let digits = frame.to_string();
        match self.random.between(0, 3) {
            0 => digits[..self.random.between(1, 13) as usize].to_owned(),
            1 => format!("{}?{}", &digits[..6], &digits[7..]),
            2 => "-- no signal --".to_owned(),
            _ => digits + "00",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is lost has nothing to do with what an aircraft does.
    #[test]
    fn a_receiver_draws_other_numbers_than_any_aircraft() {
        for (seed, piece) in [(1, 0), (1, 1), (7, 20)] {
            let mut receiver = Receiver::new(ReceptionModel::default(), seed, piece);
            let drawn = receiver.random.part();
            for aircraft in 0..100_u64 {
                assert!(
                    drawn.to_bits() != Random::new(seed, aircraft.into()).part().to_bits(),
                    "{seed} {piece} {aircraft}"
                );
            }
        }
    }
}
