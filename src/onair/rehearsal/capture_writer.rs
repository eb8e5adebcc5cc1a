//! Writes the lines of a capture as a receiver would record the traffic, on every core, and the same on any number of
//! them.

use super::{ReceivedLine, Receiver, ReceptionModel, Sent, Traffic};
use crate::frame::Frame;

/// The lines of a capture, slice by slice of time; each slice in pieces that follow one another.
///
/// ```
/// use squitterlab::onair::{FlightPath, ReceptionModel, CaptureWriter, Rehearsal, Traffic};
/// use squitterlab::profile::Profile;
///
/// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
/// let all = Rehearsal::with_others(profile, FlightPath::demo(), 1, 5).unwrap();
/// let text = CaptureWriter::new(Traffic::new(all), ReceptionModel::default(), 1, 60_000).flatten().flatten().collect();
/// assert!(String::from_utf8(text).unwrap().lines().all(|line| line.contains(' ')));
/// ```
#[derive(Clone, Debug)]
pub struct CaptureWriter {
    traffic: Traffic,
    reception: ReceptionModel,
    seed: u64,
    done_ms: u64,
    end_ms: u64,
    pieces: u64,
}

impl CaptureWriter {
    /// A recording from the traffic's start to a time. The same seed records the same traffic the same way.
    pub const fn new(traffic: Traffic, reception: ReceptionModel, seed: u64, end_ms: u64) -> Self {
        Self { traffic, reception, seed, done_ms: 0, end_ms, pieces: 0 }
    }
}

impl Iterator for CaptureWriter {
    type Item = Vec<Vec<u8>>;

    fn next(&mut self) -> Option<Vec<Vec<u8>>> {
        if self.done_ms >= self.end_ms {
            return None;
        }
        self.done_ms = self.end_ms.min(self.done_ms.saturating_add(self.traffic.slice_ms()));
        let (reception, seed, before) = (self.reception, self.seed, self.pieces);
        let pieces = self.traffic.until(self.done_ms, |piece, frames| {
            // Each piece has its own luck, or they would have to wait for one another.
            lines(frames, &mut Receiver::new(reception, seed, before + piece as u64))
        });
        self.pieces += pieces.len() as u64;
        Some(pieces)
    }
}

/// Octets of a line, about.
const LINE: usize = 40;

fn lines(frames: &[&Sent], receiver: &mut Receiver) -> Vec<u8> {
    let mut text = Vec::with_capacity(frames.len() * LINE);
    for sent in frames {
        for heard in receiver.receive(sent.frame) {
            push_time(&mut text, sent.time_ms);
            match heard {
                ReceivedLine::Frame(frame) => text.extend(frame.encode_hex(&mut [0; Frame::MOST_DIGITS]).as_bytes()),
                ReceivedLine::Text(other) => text.extend(other.as_bytes()),
            }
            text.push(b'\n');
        }
    }
    text
}

/// Seconds with three decimals, and a space. This is done millions of times a second, and formatting takes its time.
fn push_time(text: &mut Vec<u8>, time_ms: u64) {
    text.extend(itoa::Buffer::new().format(time_ms / 1000).as_bytes());
    let digit = |tens: u64| b'0' + (time_ms / tens % 10) as u8;
    text.extend([b'.', digit(100), digit(10), digit(1), b' ']);
}
