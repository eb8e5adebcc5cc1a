//! What needs memory across frames, held against the published limits: pairs, references, jumps, air and ground, heights,
//! and what an aircraft says in two ways.

use crate::program::run_with;
use squitterlab::code::compact_position::{Grid, Position, Word};
use squitterlab::code::{Altitude12, Bits, ModeA, RegisterNumber};
use squitterlab::downlink::Decoded;
use squitterlab::frame::Frame;
use squitterlab::message::position::Carries;
use squitterlab::message::{AirbornePosition, SurfacePosition, TisBCoarsePosition};
use squitterlab::track::agreement::{Statement, agrees};
use squitterlab::track::state::AirGround;
use squitterlab::track::{Method, Observation, Refusal, Tracker};

/// Invented.
const ADDRESS: u32 = 0xA5_C035;
const HERE: Position = Position { latitude_deg: 44.5, longitude_deg: -103.25 };

fn squitter_of(address: u32, capability: u8, message: u64) -> Frame {
    let head = u128::from(17 << 3 | u32::from(capability)) << 104 | u128::from(address) << 80;
    Frame::from_pattern(head | u128::from(message) << 24, 112).with_overlay(0)
}

fn squitter(message: u64) -> Frame {
    squitter_of(ADDRESS, 5, message)
}

fn reply(format: u8, status: u8, code: u64) -> Frame {
    let head = u64::from(format) << 51 | u64::from(status) << 48 | code << 24;
    Frame::from_pattern(head.into(), 56).with_overlay(ADDRESS)
}

/// So many nautical miles north of a place.
fn north(of: Position, nm: f64) -> Position {
    Position { latitude_deg: of.latitude_deg + nm / 60.0, ..of }
}

fn airborne(position: Position, odd: bool) -> Frame {
    airborne_at(position, odd, 5_000.0)
}

fn airborne_at(position: Position, odd: bool, feet: f64) -> Frame {
    let altitude = Altitude12::from_feet(feet, 25).expect("an altitude");
    let message = AirbornePosition { altitude, ..AirbornePosition::from_bits(11 << 51 | u64::from(odd) << 34) };
    squitter(message.with_word(Word::encode(position, odd, Grid::Airborne).unwrap()))
}

/// A surface position with this movement code.
fn surface(position: Position, odd: bool, movement: u64) -> Frame {
    let message = SurfacePosition::from_bits(7 << 51 | movement << 44 | u64::from(odd) << 34);
    squitter(message.with_word(Word::encode(position, odd, Grid::Surface).unwrap()))
}

/// Format 18 with this control field.
fn relayed(control_field: u128, message_field: u64) -> Frame {
    Frame::from_pattern(18 << 107 | control_field << 104 | 0xABCDEF << 80 | u128::from(message_field) << 24, 112)
        .with_overlay(0)
}

/// What a ground station sends of an aircraft is a position where a reference is given, finely or coarsely, and nothing
/// is remembered of it: the next frame alone has no last position to go by.
#[test]
fn positions_of_ground_stations_are_found_near_a_reference() {
    let here = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
    let site = Position { latitude_deg: 45.5, longitude_deg: -102.0 };
    let coarse = |odd: bool| {
        let message = TisBCoarsePosition::from_bits(u64::from(odd) << 24);
        message.with_word(Word::encode(here, odd, Grid::Coarse).unwrap())
    };
    let airborne = AirbornePosition::from_bits(11 << 51).with_word(Word::encode(here, false, Grid::Airborne).unwrap());
    let surface = SurfacePosition::from_bits(7 << 51).with_word(Word::encode(site, false, Grid::Surface).unwrap());
    for (control_field, message, place, within_nm) in [
        (3, coarse(false), here, 0.1),
        (3, coarse(true), here, 0.1),
        (2, airborne, here, 0.01),
        (5, airborne, here, 0.01),
        (6, airborne, here, 0.01),
        (2, surface, site, 0.01),
    ] {
        let frame = relayed(control_field, message);
        let seen = Sky::near(site).hear(0.0, frame);
        let (found, method) = seen.position.unwrap_or_else(|| panic!("{frame} has no position"));
        assert_eq!(method, Method::Local);
        assert!(found.is_within_nm(place, within_nm), "{found:?} for {place:?}");
        assert!(!seen.address_confirmed && seen.state.is_none(), "an address that may be a track's is no aircraft");
        assert!(seen.basis.expect("a basis").steps().len() > 4);

        let mut sky = Sky::new();
        assert_eq!(sky.hear(0.0, frame).position, None);
        assert_eq!(sky.hear(1.0, frame).position, None);
        let far = Position { latitude_deg: -40.0, longitude_deg: 10.0 };
        let refused = Sky::near(far).hear(0.0, frame);
        let away = refused.position.is_none_or(|(found, _)| !found.is_within_nm(place, 1000.0));
        assert!(away, "the cell nearest to the reference is taken");
        let damaged = Frame::from_pattern(frame.pattern() ^ 1, 112);
        assert_eq!(Sky::near(site).hear(0.0, damaged).position, None);
    }
    // Twelve bits are told from seventeen: the arithmetic shows 4096 steps.
    let steps = Sky::near(site).hear(0.0, relayed(3, coarse(true))).basis.expect("a basis").steps();
    let steps = steps.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n");
    assert!(steps.contains("360 / 59"), "{steps}");
    // Other ground station messages carry no position.
    for control_field in [4, 7] {
        assert_eq!(Sky::near(site).hear(0.0, relayed(control_field, airborne)).position, None);
    }
}

struct Sky(Tracker);

impl Sky {
    fn new() -> Self {
        Self(Tracker::new(None, None))
    }

    fn near(reference: Position) -> Self {
        Self(Tracker::new(Some(reference), None))
    }

    fn hear(&mut self, time: f64, frame: Frame) -> Observation {
        self.0.observe(&Decoded::new(frame), Some(time))
    }

    fn hear_untimed(&mut self, frame: Frame) -> Observation {
        self.0.observe(&Decoded::new(frame), None)
    }
}

/// Movement codes: 24 kt up to 25 kt, and 25 kt up to 26 kt (handbook, ADS-B part, chapter 4).
const SLOW: u64 = 48;
const FAST: u64 = 49;

#[test]
fn surface_pairs_hold_for_50_s_or_25_s_when_either_word_is_of_a_fast_or_unknown_speed() {
    let method = |first: u64, second: u64, seconds: f64| {
        let mut sky = Sky::near(HERE);
        sky.hear(0.0, surface(HERE, false, first));
        sky.hear(seconds, surface(HERE, true, second)).position.map(|(_, method)| method)
    };
    // From memory, as the fact sheet has it.
    assert_eq!(method(SLOW, SLOW, 50.0), Some(Method::Global));
    assert_eq!(method(SLOW, SLOW, 50.01), Some(Method::Local));
    for (first, second) in [(SLOW, FAST), (FAST, SLOW), (0, SLOW), (FAST, FAST)] {
        assert_eq!(method(first, second, 25.0), Some(Method::Global), "{first} {second}");
        assert_eq!(method(first, second, 25.01), Some(Method::Local), "{first} {second}");
    }
}

/// Ten seconds are the limit of an airborne pair (handbook, ADS-B part, chapter 5): decided by the decimals that are
/// written, for any start, not by the nearest binary fraction.
#[test]
fn ten_seconds_are_ten_seconds_whenever_they_begin() {
    let mut random = crate::random::Random(10);
    for _ in 0..2000 {
        let begin = (random.next() % 2_000_000_000_000) as f64;
        for (milliseconds, holds) in [(9_999.0, true), (10_000.0, true), (10_001.0, false)] {
            let (first, second) = (begin / 1e3, (begin + milliseconds) / 1e3);
            let mut sky = Sky::new();
            sky.hear(first, airborne(HERE, false));
            let found = sky.hear(second, airborne(HERE, true)).position.is_some();
            assert_eq!(found, holds, "{first} and {second}");
        }
    }
}

#[test]
fn a_pair_that_no_aircraft_can_have_flown_is_refused() {
    let pair = |nm: f64| {
        let mut sky = Sky::new();
        sky.hear_untimed(airborne(HERE, false));
        sky.hear_untimed(airborne(north(HERE, nm), true))
    };
    assert_eq!(pair(2.9).position.map(|(_, method)| method), Some(Method::GlobalUntimed));
    let refused = pair(3.2);
    assert_eq!((refused.position, refused.position_refused), (None, Some(Refusal::WordsApart)));
    let pair = |nm: f64| {
        let mut sky = Sky::near(HERE);
        sky.hear(0.0, surface(HERE, false, FAST));
        sky.hear(20.0, surface(north(HERE, nm), true, FAST))
    };
    assert_eq!(pair(0.7).position.map(|(_, method)| method), Some(Method::Global));
    assert!(pair(0.8).position.is_none_or(|(_, method)| method == Method::Local));
}

#[test]
fn a_position_that_does_not_go_on_from_the_last_needs_a_second_one() {
    let mut sky = Sky::new();
    let there = north(HERE, 40.0);
    sky.hear(0.0, airborne(HERE, false));
    assert!(sky.hear(0.5, airborne(HERE, true)).position.is_some());
    // Words of two places make no pair, and the one word alone is too far: refused once, believed when it comes again.
    let mixed = sky.hear(1.0, airborne(there, false));
    assert_eq!((mixed.position, mixed.position_refused), (None, Some(Refusal::WordsApart)));
    let (position, _) = sky.hear(1.5, airborne(there, true)).position.expect("a position");
    assert!(position.is_within_nm(there, 0.01));
    let (_, method) = sky.hear(1.7, airborne(there, false)).position.expect("a position");
    assert_eq!(method, Method::Global);
    // One word from elsewhere in between stays alone.
    assert_eq!(sky.hear(2.0, airborne(HERE, false)).position, None);
    assert!(sky.hear(2.1, airborne(there, true)).position.is_some_and(|(place, _)| place.is_within_nm(there, 0.01)));
    // Within 6 NM it goes on at once; so does anything after 30 s.
    assert!(sky.hear(2.5, airborne(there, true)).position.is_some());
    let mut sky = Sky::new();
    sky.hear(0.0, airborne(HERE, false));
    sky.hear(0.5, airborne(HERE, true));
    sky.hear(25.0, airborne(north(HERE, 5.9), false));
    assert!(sky.hear(25.5, airborne(north(HERE, 5.9), true)).position.is_some());
    sky.hear(60.0, airborne(there, false));
    assert!(sky.hear(60.5, airborne(there, true)).position.is_some());
}

#[test]
fn a_single_frame_is_read_within_reach_of_its_reference_only() {
    // Annex 10 III: 180 NM in the air, 45 NM on the surface.
    let alone = |nm: f64, frame: Frame| Sky::near(north(HERE, nm)).hear(0.0, frame);
    let (position, method) = alone(170.0, airborne(HERE, true)).position.expect("a position");
    assert_eq!(method, Method::Local);
    assert!(position.is_within_nm(HERE, 0.01));
    assert!(alone(40.0, surface(HERE, true, SLOW)).position.is_some_and(|(place, _)| place.is_within_nm(HERE, 0.01)));
    // What is nearer than the truth is another place that fits, so nothing beyond the reach is ever shown.
    for (nm, degrees) in (0..400).map(|at| (f64::from(at) * 2.0, f64::from(at % 20) - 10.0)) {
        let reference = Position { longitude_deg: HERE.longitude_deg + degrees, ..north(HERE, nm / 4.0) };
        let seen = Sky::near(reference).hear(0.0, airborne(HERE, false));
        match seen.position {
            Some((place, _)) => assert!(place.distance_nm(reference) <= 180.0),
            None => assert_eq!(seen.position_refused, Some(Refusal::OutOfReach)),
        }
    }
    // The aircraft's own position is a reference for 10 s.
    let mut sky = Sky::new();
    sky.hear(0.0, airborne(HERE, false));
    sky.hear(10.0, airborne(HERE, true));
    assert_eq!(sky.hear(20.0, airborne(HERE, true)).position.map(|(_, method)| method), Some(Method::Local));
    assert_eq!(sky.hear(30.01, airborne(HERE, true)).position, None);
}

#[test]
fn a_surface_pair_wants_a_reference_within_45_nm() {
    let pair = |mut sky: Sky| {
        sky.hear(0.0, surface(HERE, false, SLOW));
        sky.hear(1.0, surface(HERE, true, SLOW))
    };
    assert!(pair(Sky::near(north(HERE, 44.0))).position.is_some_and(|(place, _)| place.is_within_nm(HERE, 0.01)));
    assert_eq!(pair(Sky::near(north(HERE, 46.0))).position, None);
    let without = pair(Sky::new());
    assert!(without.position_refused.expect("a reason").to_string().contains("reference"));
    // Its own position in the air, half a minute before, serves as well.
    let mut sky = Sky::new();
    sky.hear(-20.0, airborne(HERE, false));
    sky.hear(-19.0, airborne(HERE, true));
    assert!(pair(sky).position.is_some());
}

#[test]
fn is_within_is_the_distance() {
    let places =
        [-89.9, -60.0, -1.0, 0.0, 44.5, 87.0].map(|latitude_deg| Position { latitude_deg, longitude_deg: 179.95 });
    for from in places {
        for (north, east) in (-20..=20).flat_map(|north| (-20..=20).map(move |east| (north, east))) {
            let to = Position {
                latitude_deg: (from.latitude_deg + f64::from(north) / 40.0).clamp(-90.0, 90.0),
                longitude_deg: (from.longitude_deg + f64::from(east) / 40.0 + 180.0).rem_euclid(360.0) - 180.0,
            };
            for most in [0.75, 6.0, 20.0, 45.0] {
                let by = from.distance_nm(to) - most;
                assert!(by.abs() < 1e-9 || from.is_within_nm(to, most) == (by < 0.0), "{from:?} {to:?} {most}");
            }
        }
    }
}

#[test]
fn air_and_ground_change_at_once_in_clear_and_after_two_replies() {
    let mut sky = Sky::new();
    let first = sky.hear(0.0, airborne(HERE, false));
    assert_eq!(first.state.map(|state| (state.is, state.by)), Some((AirGround::Airborne, "airborne_position")));
    assert_eq!(first.change, None);
    // Flight status 1 is on the ground (handbook, Mode S part, chapter 3): one reply may be damaged.
    assert_eq!(sky.hear(1.0, reply(4, 1, 0)).change, None);
    assert_eq!(sky.hear(2.0, reply(4, 0, 0)).change, None);
    assert_eq!(sky.hear(3.0, reply(5, 1, 0)).change, None);
    let change = sky.hear(4.0, reply(5, 3, 0)).change.expect("the second reply on the ground");
    assert_eq!(
        (change.from.is, change.to.is, change.to.since_s),
        (AirGround::Airborne, AirGround::OnGround, Some(4.0))
    );
    assert_eq!(change.to.by, "flight_status");
    // Codes that leave it open change nothing: flight status 4 to 7, capability 0, 6, 7.
    for status in 4..8 {
        let seen = sky.hear(5.0, reply(5, status, 0));
        assert_eq!((seen.change, seen.state), (None, Some(change.to)), "flight status {status}");
    }
    // In clear once is enough; vertical status speaks in formats 0 and 16.
    assert!(sky.hear(6.0, airborne(HERE, true)).change.is_some());
    assert_eq!(sky.hear(7.0, reply(0, 4, 0)).change, None);
    assert!(sky.hear(8.0, reply(0, 4, 0)).change.is_some());
}

#[test]
fn a_frame_that_says_both_is_told() {
    let message = airborne(HERE, false).message_field();
    let mut sky = Sky::new();
    let seen = sky.hear(0.0, squitter_of(ADDRESS, 4, message)).contradiction.expect("capability 4 is on the ground");
    assert_eq!(seen.envelope, (AirGround::OnGround, "capability"));
    assert_eq!(seen.message, (AirGround::Airborne, "airborne_position"));
    for capability in [0, 5, 6, 7] {
        assert_eq!(sky.hear(0.0, squitter_of(ADDRESS, capability, message)).contradiction, None);
    }
}

#[test]
fn heights_go_together_while_the_difference_is_fresh() {
    // Type code 19, subtype 1: difference +150 ft is code 7 (25 ft steps from code 1), -150 ft with the sign bit.
    let velocity = |sign: u64, code: u64| squitter(19 << 51 | 1 << 48 | sign << 7 | code);
    let mut sky = Sky::new();
    sky.hear(10.0, velocity(0, 7));
    let heights = sky.hear(12.5, airborne_at(HERE, false, 5_000.0)).heights.expect("both");
    assert_eq!((heights.pressure_altitude_ft, heights.geometric_height_ft), (5_000, 5_150));
    assert!(!heights.geometric_sent && (heights.difference_age_s - 2.5).abs() < 1e-9);
    assert_eq!(sky.hear(12.7, airborne_at(HERE, true, 5_000.0)).heights, None);
    sky.hear(13.0, velocity(1, 7));
    // The same field is geometric height with type codes 20 to 22.
    let geometric = airborne_at(HERE, false, 5_000.0).message_field() & !(31 << 51) | 20 << 51;
    let heights = sky.hear(13.1, squitter(geometric)).heights.expect("both");
    assert_eq!((heights.pressure_altitude_ft, heights.geometric_height_ft), (5_150, 5_000));
    // "More than the scale" is no difference.
    sky.hear(14.0, velocity(0, 127));
    assert_eq!(sky.hear(14.1, airborne_at(HERE, true, 5_000.0)).heights, None);
}

#[test]
fn a_squitter_is_judged_between_two_replies_that_agree() {
    let altitude = |feet: f64| Altitude12::from_feet(feet, 25).expect("an altitude").with_metric_bit().bits();
    let judge = |first: (u8, f64), feet: f64, second: (u8, f64)| {
        let mut sky = Sky::new();
        sky.hear(0.0, airborne_at(HERE, false, 9_000.0));
        sky.hear(1.0, reply(first.0, 0, altitude(first.1)));
        sky.hear(2.0, airborne_at(HERE, true, feet));
        sky.hear(3.0, reply(second.0, 0, altitude(second.1))).disagreement
    };
    assert_eq!(judge((4, 5_000.0), 5_000.0, (4, 5_000.0)), None);
    assert_eq!(judge((4, 5_000.0), 5_125.0, (0, 5_100.0)), None, "climbing, and one step beside");
    let seen = judge((4, 5_000.0), 5_150.0, (0, 5_100.0)).expect("two steps beside");
    assert_eq!(seen.squitter, Statement::PressureAltitude { feet: 5_150, step_ft: 25 });
    // The Mode A code of type code 28 counts once version 2 is known.
    let code = |text: &str| text.parse::<ModeA>().expect("a code").bits();
    let status = |text: &str| squitter(28 << 51 | 1 << 48 | code(text) << 32);
    let mut sky = Sky::new();
    let mut judge = |before: &str, between: &str, after: &str| {
        sky.hear(1.0, reply(5, 0, code(before)));
        sky.hear(2.0, status(between));
        sky.hear(3.0, reply(5, 0, code(after))).disagreement.map(|seen| seen.reply.to_string())
    };
    assert_eq!(judge("1200", "7000", "1200"), None, "no version, no memory yet");
    assert_eq!(judge("1200", "7000", "1200"), None, "no version");
    let mut sky = Sky(Tracker::new(None, Some(2)));
    sky.hear(0.0, status("1200"));
    let mut judge = |before: &str, between: &str, after: &str| {
        sky.hear(1.0, reply(5, 0, code(before)));
        sky.hear(2.0, status(between));
        sky.hear(3.0, reply(5, 0, code(after))).disagreement.map(|seen| seen.reply.to_string())
    };
    assert_eq!(judge("1200", "1200", "1200"), None);
    assert_eq!(judge("1200", "7000", "7000"), None, "the crew changed it");
    assert_eq!(judge("7000", "0000", "7000"), None, "0000 is no code");
    assert_eq!(judge("7000", "1200", "7000"), Some("7000".to_owned()));
}

#[test]
fn identification_is_held_against_register_2_0() {
    let characters = |text: &str| text.parse::<squitterlab::code::Identification>().expect("characters").bits();
    let mut sky = Sky::new();
    sky.hear_untimed(squitter(4 << 51 | characters("DEMO1")));
    let register = |text: &str| {
        let payload = u128::from(0x20 << 48 | characters(text));
        Frame::from_pattern(20 << 107 | payload << 24, 112).with_overlay(ADDRESS)
    };
    let mut judge = |before: &str, between: &str, after: &str| {
        sky.hear_untimed(register(before));
        sky.hear_untimed(squitter(4 << 51 | characters(between)));
        sky.hear_untimed(register(after)).disagreement
    };
    assert_eq!(judge("DEMO1", "DEMO1", "DEMO1"), None);
    assert_eq!(judge("DEMO1", "DEMO2", "DEMO2"), None);
    let seen = judge("DEMO2", "DEMO1", "DEMO2").expect("they differ");
    assert_eq!((seen.reply.to_string(), seen.squitter.to_string()), ("DEMO2".into(), "DEMO1".into()));
    let one = Statement::Identification("DEMO1".parse().expect("characters"));
    assert_eq!(agrees(one, one, one, Some(60.0)), Some(true));
    assert_eq!(agrees(one, one, one, Some(61.0)), None);
}

#[test]
fn corrupt_frames_leave_no_trace() {
    let mut sky = Sky::new();
    // Replies of nobody, and a damaged squitter: no state, no confirmation.
    for _ in 0..3 {
        let seen = sky.hear(0.0, reply(4, 0, 0));
        assert_eq!((seen.address_confirmed, seen.state), (false, None));
    }
    let whole = airborne(HERE, false);
    let damaged = Frame::from_pattern(whole.pattern() ^ 1 << 60, 112);
    assert!(!sky.hear(1.0, damaged).address_confirmed);
    sky.hear(2.0, whole);
    let damaged = Frame::from_pattern(airborne(HERE, true).pattern() ^ 1 << 60, 112);
    assert_eq!(sky.hear(2.5, damaged).position, None);
    assert!(sky.hear(3.0, airborne(HERE, true)).position.is_some());
}

#[test]
fn the_register_under_an_overlay_is_found_among_known_addresses_only() {
    let mut sky = Sky::new();
    let overlaid = Frame::from_pattern(20 << 107, 112).with_overlay(ADDRESS ^ 0x44_0000);
    assert_eq!(sky.hear(0.0, overlaid).possible_data_overlay, None);
    sky.hear(1.0, airborne(HERE, false));
    let seen = sky.hear(2.0, overlaid).possible_data_overlay.expect("an overlay");
    assert_eq!((seen.address.bits(), seen.register, seen.others), (ADDRESS, RegisterNumber::new(0x44), 0));
}

#[test]
fn the_memory_is_bounded_and_forgets_whom_it_did_not_hear_for_longest() {
    let mut sky = Sky::new();
    let message = airborne(HERE, false).message_field();
    for address in 0..65_536 + 10 {
        sky.hear(f64::from(address), squitter_of(address, 5, message));
        sky.hear(f64::from(address), squitter_of(3, 5, message));
    }
    assert_eq!(sky.0.evicted(), 10);
    let known = |sky: &mut Sky, address: u32| {
        let frame = Frame::from_pattern(4 << 51, 56).with_overlay(address);
        sky.hear_untimed(frame).address_confirmed
    };
    assert!(known(&mut sky, 3), "heard all the time");
    for address in [0, 1, 2, 4, 10] {
        assert!(!known(&mut sky, address), "{address}");
    }
    assert!(known(&mut sky, 11) && known(&mut sky, 65_545));
    // An overlay lies over a remembered address only: 5 is forgotten, 010005 is not.
    let overlaid = Frame::from_pattern(20 << 107, 112).with_overlay(0x44_0005);
    let seen = sky.hear_untimed(overlaid).possible_data_overlay.expect("an overlay");
    assert_eq!((seen.address.bits(), seen.others), (0x01_0005, 0));
}

#[test]
fn the_command_line_tells_changes_and_refusals() {
    let text =
        format!("1 {}\n2 {}\n3 {}\n", airborne(HERE, false), surface(HERE, false, SLOW), surface(HERE, true, SLOW));
    let objects = run_with(&["decode", "-", "--format", "json"], text.as_bytes()).exits(0).objects();
    assert_eq!(objects[1]["state_change"]["from"]["state"], "airborne");
    assert_eq!(objects[1]["state_change"]["to"]["by"], "surface_position");
    assert_eq!(objects[1]["contradiction"]["capability"], "airborne");
    assert!(objects[2]["position_refused"].as_str().expect("a reason").contains("reference"), "{}", objects[2]);
    assert_eq!(objects[2].get("state_change"), None);
    let said = run_with(&["decode", "-"], text.as_bytes()).exits(0);
    assert!(said.out.contains("now on the ground (surface_position); it was airborne since 1.000 s"), "{}", said.out);
}
