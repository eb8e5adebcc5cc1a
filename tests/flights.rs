//! What only a timed capture shows: quality, air and ground, same source, intervals, motion, heights. Each is held
//! against a flight of the demo install, some of whose frames were changed.

use crate::program::profile;
use squitterlab::capture::{Line, Record, read_line};
use squitterlab::compare::{Finding, Fleet, Install, Report};
use squitterlab::frame::{Frame, Span};
use squitterlab::onair::When;
use squitterlab::onair::{FlightPath, Rehearsal, Situation};
use squitterlab::profile::{RuleSet, SettingId, rule_set};
use std::collections::BTreeMap;

/// Frames with their times: a quarter of an hour from apron to apron, interrogated twice a second.
fn flight() -> Vec<(f64, Frame)> {
    let path = FlightPath::demo();
    let end = path.duration_ms();
    let rehearsal = Rehearsal::new(profile(&[]), path, 11).expect("a rehearsal").interrogated(2.0);
    rehearsal.take_while(|sent| sent.time_ms < end).map(|sent| (sent.time_s(), sent.frame)).collect()
}

fn judged(frames: &[(f64, Frame)], rules: &RuleSet) -> Report {
    let mut fleet = Fleet::new(vec![Install::new("demo", profile(&[])).expect("an install")], rules);
    fleet.begin("capture");
    for (at, (time, frame)) in frames.iter().enumerate() {
        let Line::Frame { time, frame, .. } = read_line(format!("{time:.3} {frame}").as_bytes()) else { panic!() };
        fleet.observe(&Record { line: at as u64 + 1, time, frame });
    }
    fleet.reports().next().expect("one report")
}

fn report(frames: &[(f64, Frame)]) -> Report {
    judged(frames, rule_set("none").expect("rules"))
}

fn causes(report: &Report) -> Vec<&str> {
    report.findings.iter().map(|finding| finding.cause).collect()
}

fn found<'r>(report: &'r Report, cause: &str) -> &'r Finding {
    report.findings.iter().find(|finding| finding.cause == cause).unwrap_or_else(|| panic!("{:?}", causes(report)))
}

/// The frame with some bits set to a code.
fn with(frame: Frame, first: u8, last: u8, code: u64) -> Frame {
    let mask = Span::new(first, last).mask(frame.length());
    let pattern = frame.pattern() & !mask | u128::from(code) << (frame.length() - last);
    Frame::from_pattern(pattern, frame.length()).with_overlay(frame.overlay())
}

fn type_code(frame: &Frame) -> u64 {
    if frame.downlink_format() == 17 { frame.field(Span::new(33, 37)) } else { 0 }
}

/// The flight with the frames that `which` names changed.
fn changed(which: impl Fn(f64, &Frame) -> bool, change: impl Fn(Frame) -> Frame) -> Vec<(f64, Frame)> {
    let frames = flight().into_iter();
    frames.map(|(time, frame)| (time, if which(time, &frame) { change(frame) } else { frame })).collect()
}

#[test]
fn a_good_flight_has_nothing_to_tell() {
    let report = report(&flight());
    assert_eq!(causes(&report), Vec::<&str>::new());
    let states: Vec<&str> = report.air_ground.timeline[1..].iter().map(|change| change.to.key()).collect();
    assert_eq!(states, ["airborne", "on_ground"], "off and on again");
    assert!(report.reception.iter().all(|received| received.share > 0.97), "{:?}", report.reception);
    assert_eq!(report.motion.len(), 3);
    for motion in &report.motion {
        assert!(motion.beyond_noise.frames > 20 && motion.beyond_noise.bad == 0, "{motion:?}");
    }
}

#[test]
fn a_dip_of_quality_is_told_with_share_length_and_time() {
    // NACp is in bits 77-80 of a status; low for a moment in the air.
    let low = |time: f64, frame: &Frame| type_code(frame) == 31 && (300.0..313.0).contains(&time);
    let dipped = report(&changed(low, |frame| with(frame, 77, 80, 6)));
    let note = found(&dipped, "quality_dips");
    assert_eq!(note.setting, Some(SettingId::Nacp));
    let measured = dipped.quality.iter().find(|one| one.measure == "NACp").expect("NACp");
    let run = &measured.below_stated.as_ref().expect("a stated value").stretch;
    let seconds = run.longest_seconds.expect("times");
    assert!((8.0..13.0).contains(&seconds), "{run:?}");
    assert_eq!(run.longest_frames, run.bad, "one row");
    assert!(note.what.contains(&format!("{:.1} %", run.per_cent)) && note.what.contains(&format!("{seconds:.1} s")));
    assert!(run.bad < run.frames && run.from.is_some_and(|from| from >= 300.0), "{run:?}");
    // Held against a floor: a note that says how long. 14 CFR 91.227(c)(1)(i): NACp 8.
    let rules = rule_set("united_states").expect("rules");
    let below = judged(&changed(low, |frame| with(frame, 77, 80, 6)), rules);
    let floor = below.findings.iter().find(|finding| finding.cause == "below_floor").expect("the floor");
    assert!(
        floor.what.starts_with("United States, 14 CFR 91.227 requires 8 or more; ")
            && floor.what.contains("below 8")
            && floor.rule.contains("91.227(c)(1)(i)"),
        "{floor:?}"
    );
    // From the first frame to the last over minutes: the install's value, or a source that never got better.
    let constant = judged(&changed(|_, frame| type_code(frame) == 31, |frame| with(frame, 77, 80, 6)), rules);
    let floor = constant.findings.iter().find(|finding| finding.cause == "below_floor").expect("the floor");
    assert!(
        floor.what.contains("the best value seen is 6")
            && floor.what.contains("constant in this capture: the install's value, or"),
        "{floor:?}"
    );
}

#[test]
fn replies_that_say_another_state_contradict() {
    // Flight status 1 is on the ground; in the air the squitters around it say otherwise.
    let reply = |time: f64, frame: &Frame| frame.downlink_format() == 4 && (300.0..500.0).contains(&time);
    let finding = report(&changed(reply, |frame| with(frame, 6, 8, 1)));
    let told = found(&finding, "air_ground_contradiction");
    assert!(told.what.contains("flight_status says on the ground"), "{told:?}");
    // A capability that says ground beside airborne messages: how long is told.
    let squitter = |time: f64, frame: &Frame| (9..=22).contains(&type_code(frame)) && (300.0..340.0).contains(&time);
    let finding = report(&changed(squitter, |frame| with(frame, 6, 8, 4)));
    let told = found(&finding, "air_ground_contradiction");
    assert!(
        told.what.contains("capability says on the ground in") && told.what.contains("longest unbroken run"),
        "{told:?}"
    );
}

#[test]
fn a_mode_a_code_that_replies_and_squitters_do_not_share_is_told() {
    // 7000 in every identity reply (format 5, bits 20-32), 1200 and the assigned code in the squitters.
    let report =
        report(&changed(|_, frame| frame.downlink_format() == 5, |frame| with(frame, 20, 32, 0x0AA8 & 0x1FBF)));
    let told = found(&report, "same_source_differs");
    assert!(told.what.starts_with("mode_a_code"), "{told:?}");
    assert_eq!(told.setting, Some(SettingId::VfrModeACode));
}

#[test]
fn a_velocity_that_is_not_that_of_the_motion_is_told() {
    // The east-west speed (bits 47-56) doubled.
    let doubled = |frame: Frame| with(frame, 47, 56, (frame.field(Span::new(47, 56)) * 2).min(1022));
    let report = report(&changed(|_, frame| type_code(frame) == 19, doubled));
    let told = found(&report, "motion_differs");
    assert!(told.what.contains("position compared with velocity") && told.what.contains("noise"), "{told:?}");
}

#[test]
fn two_aircraft_with_one_address_are_told_apart() {
    let text = r#"{"airborne": true, "latitude_deg": -33.5, "longitude_deg": 151.0, "pressure_altitude_ft": 9000,
        "ground_speed_kt": 250, "track_deg": 10, "vertical_rate_fpm": 0, "mode_a_code": "1200"}"#;
    let far = FlightPath::fixed(Situation::read(text).expect("a situation"));
    let twin = Rehearsal::new(profile(&[]), far, 6).expect("a rehearsal");
    let twin = twin.take_while(|sent| sent.time_ms < 500_000).map(|sent| (sent.time_s(), sent.frame));
    let mut frames = flight();
    frames.extend(twin.filter(|(time, _)| *time >= 300.0));
    frames.sort_by(|a, b| a.0.total_cmp(&b.0));
    let report = report(&frames);
    let told = found(&report, "two_aircraft");
    assert!(told.what.contains("cannot have reached"), "{told:?}");
}

#[test]
fn a_message_that_never_came_is_missed_and_a_rare_one_is_not() {
    let without: Vec<_> = flight().into_iter().filter(|(_, frame)| !(1..=4).contains(&type_code(frame))).collect();
    let report = report(&without);
    let told: Vec<&Finding> = report.findings.iter().filter(|finding| finding.cause == "message_missing").collect();
    // On the ground no message has one rhythm that a source settles, so nothing is concluded there.
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].what.starts_with("aircraft_identification in the air"), "{told:?}");
}

#[test]
fn nothing_is_found_or_reckoned_by_the_acquisition_squitter() {
    // Its interval, and whether it goes out on the ground, are from memory: facts on both differ.
    let acquisition = |frame: &Frame| frame.downlink_format() == 11;
    let mut at = 0;
    let silent: Vec<_> = flight().into_iter().filter(|(_, frame)| !acquisition(frame)).collect();
    let seldom: Vec<_> = flight()
        .into_iter()
        .filter(|(_, frame)| {
            at += u32::from(acquisition(frame));
            !acquisition(frame) || at % 3 == 0
        })
        .collect();
    for frames in [flight(), silent, seldom] {
        let report = report(&frames);
        assert_eq!(causes(&report), Vec::<&str>::new());
        assert!(report.reception.iter().all(|received| received.by != "all_call_reply"), "{report:?}");
        assert!(report.reception.iter().all(|received| received.when != When::OnGround));
    }
}

/// Counted here by format and type code alone. A reply to an interrogator has the format of the acquisition squitter, but its
/// code laid over the parity; it comes when somebody asks.
#[test]
fn the_intervals_are_of_all_squitters_and_of_nothing_else() {
    let acquisition = |frame: &Frame| frame.downlink_format() == 11 && frame.overlay() == 0;
    let mut frames = flight();
    let replies = frames.iter().filter(|(_, frame)| acquisition(frame));
    let replies: Vec<_> = replies.map(|(time, frame)| (time + 0.3, frame.with_overlay(5))).collect();
    assert!(replies.len() > 100);
    frames.extend(replies);
    frames.sort_by(|(one, _), (other, _)| one.total_cmp(other));
    let mut sent = BTreeMap::new();
    for (_, frame) in &frames {
        let message = match type_code(frame) {
            _ if acquisition(frame) => "all_call_reply",
            1..=4 => "aircraft_identification",
            5..=8 => "surface_position",
            9..=18 => "airborne_position",
            19 => "airborne_velocity",
            28 => "aircraft_status",
            29 => "target_state",
            31 => "operational_status",
            _ => continue,
        };
        *sent.entry(message).or_insert(0) += 1;
    }
    assert!(sent.len() >= 7, "{sent:?}");
    let mut counted = BTreeMap::new();
    for kind in report(&frames).intervals {
        *counted.entry(kind.message).or_insert(0) += kind.frames;
    }
    assert_eq!(counted, sent);
}

#[test]
fn a_rhythm_that_is_not_the_standards_is_noted() {
    let mut at = 0;
    let frames: Vec<_> = flight()
        .into_iter()
        .filter(|(_, frame)| {
            let position = (9..=18).contains(&type_code(frame));
            at += u32::from(position);
            // Every other position and no more: a second apart, where the standard has half of it.
            !position || at % 2 == 0
        })
        .collect();
    let report = report(&frames);
    let told = found(&report, "interval_off");
    assert!(told.what.starts_with("airborne_position in the air: 0 %"), "{told:?}");
}

#[test]
fn a_geometric_difference_that_is_absent_is_noted() {
    let report = report(&changed(|_, frame| type_code(frame) == 19, |frame| with(frame, 82, 88, 0)));
    let told = found(&report, "geometric_difference");
    assert!(told.what.starts_with("none of "), "{told:?}");
}

#[test]
fn untimed_frames_support_no_finding_on_motion() {
    let mut fleet =
        Fleet::new(vec![Install::new("demo", profile(&[])).expect("an install")], rule_set("none").expect("rules"));
    fleet.begin("capture");
    let doubled = |frame: Frame| with(frame, 47, 56, (frame.field(Span::new(47, 56)) * 2).min(1022));
    for (at, (_, frame)) in changed(|_, frame| type_code(frame) == 19, doubled).iter().enumerate() {
        fleet.observe(&Record { line: at as u64 + 1, time: None, frame: *frame });
    }
    let report = fleet.reports().next().expect("one report");
    assert!(report.motion.is_empty() && report.path.is_empty(), "{:?}", report.motion);
    let warned: Vec<&str> = causes(&report).into_iter().filter(|cause| *cause != "air_ground_inverted").collect();
    assert_eq!(warned, Vec::<&str>::new());
}

#[test]
fn the_minimum_values_of_a_rule_count_only_for_the_aircraft_that_it_binds() {
    // The European set is for more than 5 700 kg or more than 250 kt (press pages, as the facts of the States have it).
    let rules = rule_set("europe").expect("rules");
    let low = changed(|_, frame| type_code(frame) == 31, |frame| with(frame, 77, 80, 3));
    for (weight, speed, is_bound) in
        [("1157", "145", false), ("5700", "250", false), ("5701", "145", true), ("1157", "251", true)]
    {
        let weight = format!("\"maximum_take_off_weight\": {{\"kg\": {weight}}}, \"emitter_category\"");
        let speed = format!("{{\"kt\": {speed}}}");
        let install = profile(&[("\"emitter_category\"", &weight), ("{\"kt\": 145}", &speed)]);
        let mut fleet = Fleet::new(vec![Install::new("light", install).expect("an install")], rules);
        fleet.begin("capture");
        for (at, (time, frame)) in low.iter().enumerate() {
            fleet.observe(&Record { line: at as u64 + 1, time: Some(*time), frame: *frame });
        }
        let report = fleet.reports().next().expect("a report");
        let told = report.findings.iter().any(|finding| finding.cause == "below_floor");
        assert_eq!(told, is_bound, "{weight}, {speed}: {:?}", report.findings);
    }
}

#[test]
fn a_minimum_missed_in_few_frames_is_not_called_the_installs_value() {
    // One, two and nine frames of a status, and many within half a minute: a source that is starting looks the same.
    let rules = rule_set("united_states").expect("rules");
    let low = changed(|_, frame| type_code(frame) == 31, |frame| with(frame, 77, 80, 6));
    let status: Vec<(f64, Frame)> = low.iter().filter(|(_, frame)| type_code(frame) == 31).copied().collect();
    let soon: Vec<(f64, Frame)> = status.iter().take_while(|(time, _)| *time < status[0].0 + 59.0).copied().collect();
    for few in [&status[..1], &status[..2], &status[..9], &soon] {
        let report = judged(few, rules);
        let floor = report.findings.iter().find(|finding| finding.cause == "below_floor").expect("a finding");
        assert!(floor.what.contains("too few frames or too short a time"), "{floor:?}");
        assert!(!floor.what.contains("set up") && !floor.what.contains("the install's value, or"), "{floor:?}");
    }
    let one = judged(&status[..1], rules);
    assert_eq!(one.summary.proved, 0, "one frame shows, and proves nothing");
    assert!(one.summary.shown_once > 5, "{}", one.summary.shown_once);
    let text = squitterlab::present::verdict::report_text(&one);
    assert!(
        text.starts_with(&format!("0 of {} settings proved, 0 not filled in, ", one.summary.of))
            && crate::program::flat(&text).contains("seen in one frame only, which shows but does not prove"),
        "{text}"
    );
    assert!(text.contains("1 of 1 frame below 8"), "{text}");
    // The rule stands beside the number, in text and in JSON.
    let (text, json) = (
        squitterlab::present::verdict::report_text(&judged(&low, rules)),
        squitterlab::present::verdict::report_json(&judged(&low, rules)),
    );
    assert!(crate::program::flat(&text).contains("below 8 (required by 91.227(c)(1)(i): less than 0.05 NM"), "{text}");
    let nacp = json["quality"].as_array().expect("a list").iter().find(|one| one["measure"] == "NACp").expect("NACp");
    let below = &nacp["below_floor"];
    assert!(below["clause"].as_str().is_some_and(|clause| clause.starts_with("91.227(c)(1)(i): ")), "{below}");
    assert_eq!(below["confirmed"], "page seen");
}
