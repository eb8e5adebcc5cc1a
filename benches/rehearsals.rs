//! Rehearsals written as captures, beside what bounds them: parity and digits of as many frames, on as many cores.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use rayon::prelude::*;
use squitterlab::frame::Frame;
use squitterlab::onair::{CaptureWriter, FlightPath, ReceptionModel, Rehearsal, Situation, Traffic};
use squitterlab::profile::Profile;
use std::hint::black_box;

const HOUR_MS: u64 = 3_600_000;

/// The demo install, and so many invented aircraft beside it.
fn recording(path: FlightPath, others: u32, end_ms: u64) -> CaptureWriter {
    let profile = Profile::read(include_str!("../vectors/demo/profile.json")).profile;
    let all = Rehearsal::with_others(profile, path, 1, others).expect("the demo can be rehearsed");
    CaptureWriter::new(Traffic::new(all), ReceptionModel::default(), 1, end_ms)
}

fn flying() -> FlightPath {
    let situation = Situation::read(include_str!("../vectors/demo/situation.json"));
    FlightPath::fixed(situation.expect("the demo situation is one"))
}

fn octets(slice: &[Vec<u8>]) -> usize {
    slice.iter().map(Vec::len).sum()
}

/// The frames of a text of lines.
fn frames(text: &[Vec<u8>]) -> Vec<Frame> {
    let lines = text.iter().flat_map(|piece| piece.split(|octet| *octet == b'\n'));
    lines.filter_map(|line| Frame::from_digits(line.rsplit(|octet| *octet == b' ').next()?)).collect()
}

/// What no way of writing frames can go without.
fn floor(frames: &[Frame]) -> u64 {
    let share = |frames: &[Frame]| {
        let mut digits = [0; Frame::MOST_DIGITS];
        frames.iter().map(|frame| frame.with_overlay(0).encode_hex(&mut digits).len() as u64).sum::<u64>()
    };
    frames.par_chunks(4096).map(share).sum()
}

fn an_hour(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("an hour of one aircraft (50 ms at most)");
    let text: Vec<Vec<u8>> = recording(flying(), 0, HOUR_MS).flatten().collect();
    let frames = frames(&text);
    group.throughput(Throughput::Elements(frames.len() as u64));
    group.bench_function("started, flown, and written", |bencher| {
        bencher.iter(|| recording(flying(), 0, HOUR_MS).map(|slice| octets(&slice)).sum::<usize>());
    });
    group.bench_function("floor: parity and digits alone", |bencher| bencher.iter(|| floor(black_box(&frames))));
    group.finish();
}

fn many(criterion: &mut Criterion) {
    let mut group =
        criterion.benchmark_group("10000 aircraft in flight (5 million frames a second at least, on two cores)");
    group.sample_size(20);
    let mut endless = recording(flying(), 9_999, u64::MAX);
    // A slice is as long as the others, and has about as many frames.
    let frames = frames(&endless.next().unwrap_or_default());
    group.throughput(Throughput::Elements(frames.len() as u64));
    group.bench_function("flown and written", |bencher| {
        bencher.iter(|| endless.next().map_or(0, |slice| octets(&slice)));
    });
    group.bench_function("floor: parity and digits alone", |bencher| bencher.iter(|| floor(black_box(&frames))));
    group.finish();
}

criterion_group!(benches, an_hour, many);
criterion_main!(benches);
