//! Air and ground: capability, flight status, vertical status, kind of message and speed against each other.

use super::evidence::{Evidence, Run, Seen, follows, note};
use super::judge::limits::{ENOUGH_FRAMES, lasts};
use super::report::{Alternative, Finding};
use super::tally::Heard;
use super::verdict::Judge;
use crate::code::Version;
use crate::message::Message;
use crate::profile::mistake::{AIR_GROUND_CONTRADICTION, AIR_GROUND_INVERTED, AIR_GROUND_NOT_WIRED};
use crate::profile::{AirGroundKind, Severity};
use crate::track::state::{AirGround, Witness, envelope_says, message_says};
use std::fmt::Write;

/// No aircraft taxies faster (tool default).
const FAST_KT: f64 = 100.0;
/// Below this speed an aircraft with wings is on the ground (press report of 2017 on the United States monitor).
pub const SLOW_KT: f64 = 25.0;
/// So long in a row counted as airborne messages on the surface there (press report of 2017).
pub const SLOW_S: f64 = 35.0;
/// A reply is held against a squitter at most this much older (tool default).
const TOGETHER_S: f64 = 2.0;
/// At most so many transitions are kept, the first ones.
const MOST_TRANSITIONS: usize = 64;

/// A change between air and ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transition {
    /// What it is from here on.
    pub to: AirGround,
    /// What said so first.
    pub by: Witness,
    /// Where.
    pub evidence: Evidence,
}

/// What was seen of the state.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Coherence {
    /// Frames in a row whose envelope and message say different things.
    pub contradictory: Run,
    /// By what the envelope's field says and what the message says.
    pub contradictions: Seen<(Witness, bool, Witness)>,
    /// Replies that say another state than the squitters just before and after them, by the field of the reply.
    pub replies: Seen<(Witness, bool)>,
    /// Surface messages faster than any taxiing aircraft, in a row.
    pub fast_on_surface: Run,
    fast: Option<Evidence>,
    /// Airborne velocities slower than any flying aircraft with wings, in a row.
    pub slow_in_the_air: Run,
    slow: Option<Evidence>,
    /// Messages of the air, and of the ground.
    pub airborne: u64,
    /// Messages of the ground.
    pub on_ground: u64,
    /// When the state changed.
    pub transitions: Vec<Transition>,
    /// The state that was heard first.
    pub first: Option<Transition>,
    /// What the last squitter of this part said, and when.
    last: Option<(AirGround, f64)>,
    /// A reply since then that said the other.
    doubt: Option<((Witness, bool), Evidence)>,
}

impl Coherence {
    /// What the kind of the last squitter that tells the state said, while it is fresh.
    pub(super) fn said_lately(&self, time: Option<f64>) -> Option<AirGround> {
        let ((state, then), now) = (self.last?, time?);
        follows(then, now).then_some(state)
    }

    pub(super) fn take(&mut self, heard: &Heard<'_>) {
        let evidence = &heard.evidence;
        let time = evidence.time;
        let envelope = envelope_says(heard.decoded);
        let message = heard.message.as_ref().and_then(message_says);
        if let (Some((state, by)), Some(said)) = (envelope, message) {
            self.contradictory = self.contradictory.then(Run::one(state != said.0, time));
            if state != said.0 {
                note(&mut self.contradictions, (by, state == AirGround::Airborne, said.1), evidence);
            }
        }
        if let (Some((state, by)), None, Some((last, then)), Some(now)) = (envelope, &heard.message, self.last, time)
            && state != last
            && by != "capability"
            && (0.0..=TOGETHER_S).contains(&(now - then))
        {
            self.doubt = Some(((by, state == AirGround::Airborne), *evidence));
        }
        if let Some((state, _)) = message {
            // At a transition the reply is only the first to say it: the next squitter decides.
            if let (Some((reply, doubt)), Some(last)) = (self.doubt.take(), self.last)
                && state == last.0
                && let (Some(then), Some(now)) = (doubt.time, time)
                && (0.0..=TOGETHER_S).contains(&(now - then))
            {
                note(&mut self.replies, reply, &doubt);
            }
            match state {
                AirGround::Airborne => self.airborne += 1,
                AirGround::OnGround => self.on_ground += 1,
            }
            self.last = time.map(|time| (state, time));
        }
        if let (None, Some(state)) = (&self.first, heard.seen.state) {
            self.first = Some(Transition { to: state.is, by: state.by, evidence: *evidence });
        }
        if let Some(change) = heard.seen.change.filter(|_| self.transitions.len() < MOST_TRANSITIONS) {
            self.transitions.push(Transition { to: change.to.is, by: change.to.by, evidence: *evidence });
        }
        match &heard.message {
            Some(Message::SurfacePosition(m)) => {
                if let Some((least, _)) = m.movement.knots(Version::Two) {
                    self.fast_on_surface = self.fast_on_surface.then(Run::one(least >= FAST_KT, time));
                    if least >= FAST_KT {
                        Evidence::note(&mut self.fast, evidence);
                    }
                }
            }
            Some(Message::AirborneVelocityGround(m)) => {
                if let Some((knots, _)) = m.speed_and_track() {
                    self.slow_in_the_air = self.slow_in_the_air.then(Run::one(knots < SLOW_KT, time));
                    if knots < SLOW_KT {
                        Evidence::note(&mut self.slow, evidence);
                    }
                }
            }
            _ => {}
        }
    }
}

/// What the frames say against each other.
pub(super) fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.coherence;
    let mut findings = Vec::new();
    let hovers = judge
        .install
        .profile
        .emitter_category
        .get()
        .is_some_and(|category| ["A7", "B2", "B3", "B4"].contains(&category.to_string().as_str()));
    // A unit without an air/ground input sends airborne messages on the ground, and no source held settles what its
    // replies say of the state.
    let knows_ground = judge.install.profile.air_ground_kind.get() != Some(&AirGroundKind::None);
    let slow = &seen.slow_in_the_air;
    let stands = knows_ground && !hovers && slow.longest.seconds().is_some_and(|seconds| seconds >= SLOW_S);
    if let Some(evidence) = seen.fast {
        let mut what = format!("surface messages above {FAST_KT} kt, {}", row(&seen.fast_on_surface));
        if stands {
            let _ = write!(what, "; and airborne messages below {SLOW_KT} kt, {}", row(slow));
        }
        // A take-off roll is as fast for a while, and in the surface format.
        let lasting = seen.fast_on_surface.longest.seconds().is_some_and(|seconds| seconds >= SLOW_S);
        let severity = match seen.fast_on_surface.longest.seconds() {
            _ if lasting || stands => Severity::Error,
            // Without times nobody knows how long it lasted.
            None => Severity::Warning,
            Some(_) => Severity::Note,
        };
        let evidence = [Some(evidence), seen.slow.filter(|_| stands)].into_iter().flatten().collect();
        findings.push(refuting(Finding::of(severity, &AIR_GROUND_INVERTED, what, evidence)));
    } else if stands {
        let what = format!(
            "airborne messages below {SLOW_KT} kt, {} (longer than {SLOW_S} s: press report of 2017 on the United \
             States monitor)",
            row(slow)
        );
        let evidence = seen.slow.into_iter().collect();
        let mut finding = refuting(Finding::of(Severity::Error, &AIR_GROUND_NOT_WIRED, what, evidence));
        finding.alternatives.push(Alternative {
            cause: AIR_GROUND_INVERTED.cause,
            detail: "the other state was not heard in motion".to_owned(),
            indistinguishable: seen.on_ground == 0,
        });
        findings.push(finding);
    }
    let together: u64 = seen.contradictions.values().map(|evidence| evidence.frames).sum();
    let replies: u64 = seen.replies.values().map(|evidence| evidence.frames).sum();
    if knows_ground && (together >= 2 || replies >= 2) {
        let words = |airborne: bool| if airborne { "airborne" } else { "on the ground" };
        let mut what: Vec<String> = seen
            .contradictions
            .iter()
            .map(|((field, airborne, message), evidence)| {
                format!("{field} says {} in {} frames of {message}", words(*airborne), evidence.frames)
            })
            .collect();
        what.extend(seen.replies.iter().map(|((field, airborne), evidence)| {
            format!(
                "{field} says {} in {} replies, and the squitters say the opposite",
                words(*airborne),
                evidence.frames
            )
        }));
        if let Some(seconds) = seen.contradictory.longest.seconds().filter(|seconds| *seconds > 0.0) {
            what.push(format!("longest unbroken run {seconds:.1} s"));
        }
        let evidence = seen.contradictions.values().chain(seen.replies.values()).copied().collect();
        // A change from one state to the other may show for a moment; a contradiction that stays is a fault.
        let run = &seen.contradictory;
        let severity = if lasts(run) || run.total >= ENOUGH_FRAMES && run.per_cent() >= 20.0 || replies >= ENOUGH_FRAMES
        {
            Severity::Error
        } else {
            Severity::Warning
        };
        findings.push(refuting(Finding::of(severity, &AIR_GROUND_CONTRADICTION, what.join("; "), evidence)));
    }
    findings
}

/// An error of this kind shows its settings to be wrong.
fn refuting(mut finding: Finding) -> Finding {
    if finding.severity == Severity::Error {
        finding.refutes = vec![AIR_GROUND_CONTRADICTION.settings[0], AIR_GROUND_INVERTED.settings[0]];
        finding.refutes.truncate(if finding.cause == AIR_GROUND_INVERTED.cause { 2 } else { 1 });
    }
    finding
}

/// How many, and the longest row.
fn row(run: &Run) -> String {
    let frames = if run.bad == 1 { "1 frame".to_owned() } else { format!("{} of {} frames", run.bad, run.total) };
    match run.longest.seconds().filter(|seconds| *seconds > 0.0) {
        Some(seconds) => format!("{frames}, longest unbroken run {seconds:.1} s"),
        None => frames,
    }
}
