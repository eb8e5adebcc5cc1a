//! Random frames through decoding, JSON, another reader of JSON, and encoding, back to the same bits. A few in every run of
//! the tests; any number with `tests/run --frames N SEED`, which says how many a second went through.

use crate::random::Random;
use serde::Deserialize;
use serde_json::{Map, Value};
use squitterlab::downlink::{Decoded, encode_codes};
use squitterlab::frame::Frame;
use squitterlab::present::json::{Place, write_frame};
use squitterlab::track::Tracker;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

/// Frames made from one seed; a number of them is a number of pieces, whoever works on which.
const PIECE: u64 = 100_000;

/// What the way back needs; the rest is read past.
#[derive(Deserialize)]
struct Written<'a> {
    frame: &'a str,
    codes: Map<String, Value>,
}

/// A pattern of either length: any bits behind a format, each format as often as any other of its length.
fn frame(random: &mut Random) -> Frame {
    let bits = u128::from(random.next()) << 64 | u128::from(random.next());
    // The first bit tells the length: format 16 and above are 112 bits long.
    let digits = if bits >> 127 == 1 { format!("{:028X}", bits >> 16) } else { format!("{:014X}", bits >> 72) };
    digits.parse().expect("a frame")
}

/// What is wrong with a frame's way there and back.
fn wrong(frame: Frame, tracker: &mut Tracker, text: &mut Vec<u8>) -> Option<String> {
    let decoded = Decoded::new(frame);
    let observation = tracker.observe(&decoded, None);
    text.clear();
    write_frame(&Place::default(), &observation.version.read(decoded), &observation, text);
    let Written { frame: digits, codes } = match serde_json::from_slice(text) {
        Ok(written) => written,
        Err(error) => return Some(format!("not JSON: {error}")),
    };
    match encode_codes(&codes) {
        Ok(again) if again == frame && digits.parse() == Ok(frame) => None,
        other => Some(format!("comes back as {other:?}, beside {digits}")),
    }
}

#[test]
fn random_frames_come_back() {
    let number = |name: &str, quick: u64| {
        std::env::var(name).map_or(quick, |given| given.parse().unwrap_or_else(|_| panic!("{name} is a whole number")))
    };
    let (wanted, seed) = (number("SQUITTERLAB_RANDOM_FRAMES", 4 * PIECE), number("SQUITTERLAB_RANDOM_SEED", 1));
    let pieces = wanted.div_ceil(PIECE);
    let (next, started) = (AtomicU64::new(0), Instant::now());
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let work = || {
        let (mut text, mut sums) = (Vec::new(), [0_u64; 32]);
        loop {
            let piece = next.fetch_add(1, Ordering::Relaxed);
            if piece >= pieces {
                return sums;
            }
            // Far apart in the generator's one cycle, so that no two pieces meet.
            let mut random = Random(seed.wrapping_mul(0xD134_2543_DE82_EF95) ^ piece << 32);
            // The aircraft of noise change what is said of a frame, and never its codes.
            let mut tracker = Tracker::new(None, None);
            for _ in 0..PIECE {
                let frame = frame(&mut random);
                if let Some(why) = wrong(frame, &mut tracker, &mut text) {
                    panic!("{frame} (seed {seed}, piece {piece}): {why}");
                }
                sums[usize::from(frame.downlink_format())] += 1;
            }
            if piece % 100 == 99 && pieces > 1000 {
                let (done, seconds) = ((piece + 1) * PIECE, started.elapsed().as_secs_f64());
                println!("{done} frames in {seconds:.0} s");
            }
        }
    };
    let mut sums = [0; 32];
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        for worker in workers {
            worker.join().expect("no frame is wrong").iter().zip(&mut sums).for_each(|(more, sum)| *sum += more);
        }
    });
    let seconds = started.elapsed().as_secs_f64();
    let all: u64 = sums.iter().sum();
    println!("{all} random frames from seed {seed} came back in {seconds:.0} s, {:.0} a second", all as f64 / seconds);
    assert_eq!(all, pieces * PIECE);
    assert!((0..24).all(|format| sums[format] > all / 100), "every format was tried: {sums:?}");
}
