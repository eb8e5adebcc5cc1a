//! Parity, decoding a mixed million, encoding, and text line to message; floors beside them, so that ratios can be read off one run.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use squitterlab::capture::{Line, read_line};
use squitterlab::code::Version;
use squitterlab::downlink::{Decoded, encode_codes};
use squitterlab::frame::{Frame, parity_of};
use squitterlab::message::Message;
use squitterlab::present::json::codes;
use std::hint::black_box;

/// Published frames (handbook, both parts), one of each kind that a receiver hears.
const PUBLISHED: [&str; 10] = [
    "8D4840D6202CC371C32CE0576098",
    "8D40621D58C382D690C8AC2863A7",
    "8D40621D58C386435CC412692AD6",
    "8C4841753AAB238733C8CD4020B1",
    "8D485020994409940838175B284F",
    "8DA05F219B06B6AF189400CBC33F",
    "5D406FDB0D62DD",
    "2A00516D492B80",
    "2000171806A983",
    "A0001838CA380031440000F24177",
];

fn mixed(count: usize) -> Vec<Frame> {
    PUBLISHED.iter().map(|hex| hex.parse().expect("published frames are frames")).cycle().take(count).collect()
}

fn parity(criterion: &mut Criterion) {
    let frames = mixed(10_000);
    let mut group = criterion.benchmark_group("parity");
    group.throughput(Throughput::Elements(frames.len() as u64));
    group.bench_function("overlay", |bencher| {
        bencher.iter(|| frames.iter().fold(0, |sum, frame| sum ^ black_box(frame).overlay()));
    });
    let octets: Vec<Vec<u8>> = frames.iter().map(Frame::octets).collect();
    group.bench_function("floor: parity of the data octets alone", |bencher| {
        bencher.iter(|| octets.iter().fold(0, |sum, octets| sum ^ parity_of(&black_box(octets)[..octets.len() - 3])));
    });
    group.finish();
}

fn decode(criterion: &mut Criterion) {
    let frames = mixed(1_000_000);
    let mut group = criterion.benchmark_group("decode");
    group.sample_size(10);
    group.throughput(Throughput::Elements(frames.len() as u64));
    group.bench_function("mixed million to typed messages, parity checked", |bencher| {
        bencher.iter(|| {
            frames
                .iter()
                .filter(|frame| frame.overlay() == 0)
                .map(|frame| Message::decode(frame.message_field()))
                .fold(0u64, |sum, message| sum ^ black_box(message).bits())
        });
    });
    let few = mixed(1_000);
    group.throughput(Throughput::Elements(few.len() as u64));
    group.bench_function("every meaning", |bencher| {
        bencher.iter(|| few.iter().map(|frame| Decoded::new(*frame).fields(Version::Two).len()).sum::<usize>());
    });
    group.finish();
}

fn encode(criterion: &mut Criterion) {
    let frames = mixed(1_000);
    let mut group = criterion.benchmark_group("encode");
    group.throughput(Throughput::Elements(frames.len() as u64));
    let messages: Vec<Message> = frames.iter().map(|frame| Message::decode(frame.message_field())).collect();
    group.bench_function("typed message to bits", |bencher| {
        bencher.iter(|| messages.iter().fold(0, |sum, message| sum ^ black_box(message).bits()));
    });
    let all: Vec<_> = frames.iter().map(|frame| codes(&Decoded::new(*frame))).collect();
    group.bench_function("JSON codes to frame", |bencher| {
        bencher.iter(|| all.iter().filter(|codes| encode_codes(black_box(codes)).is_ok()).count());
    });
    group.finish();
}

fn lines(criterion: &mut Criterion) {
    let text: Vec<String> =
        mixed(10_000).iter().enumerate().map(|(at, frame)| format!("{}.{:03} {frame}", at / 1000, at % 1000)).collect();
    let mut group = criterion.benchmark_group("text line");
    group.throughput(Throughput::Elements(text.len() as u64));
    group.bench_function("to message, parity checked", |bencher| {
        bencher.iter(|| {
            let mut sum = 0;
            for line in &text {
                if let Line::Frame { frame, .. } = read_line(black_box(line).as_bytes())
                    && frame.overlay() == 0
                {
                    sum ^= Message::decode(frame.message_field()).bits();
                }
            }
            sum
        });
    });
    group.bench_function("floor: hexadecimal and parity with the same crates", |bencher| {
        bencher.iter(|| {
            let mut sum = 0;
            for line in &text {
                let digits = black_box(line).rsplit(' ').next().unwrap_or_default();
                let mut octets = [0; 14];
                let octets = &mut octets[..digits.len() / 2];
                if hex::decode_to_slice(digits, octets).is_ok() {
                    sum ^= parity_of(&octets[..octets.len() - 3]);
                }
            }
            sum
        });
    });
    group.finish();
}

criterion_group!(benches, parity, decode, encode, lines);
criterion_main!(benches);
