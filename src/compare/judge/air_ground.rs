//! Judges whether capability, flight status, vertical status, kind of message and speed agree about air and ground.

use super::limits::{ENOUGH_FRAMES, lasts};
use super::{Alternative, Finding, Judge};
use crate::code::counted;
use crate::compare::observe::{FAST_KT, Run, SLOW_KT, SLOW_S};
use crate::profile::mistake::{AIR_GROUND_CONTRADICTION, AIR_GROUND_INVERTED, AIR_GROUND_NOT_WIRED};
use crate::profile::{AirGroundKind, Severity};
use std::fmt::Write;

/// What the frames say against each other.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
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
        let evidence = [Some(evidence), seen.slow.filter(|_| stands)].into_iter().flatten();
        findings.push(refuting(judge.finding(severity, &AIR_GROUND_INVERTED, what, evidence)));
    } else if stands {
        let what = format!(
            "airborne messages below {SLOW_KT} kt, {} (longer than {SLOW_S} s: press report of 2017 on the United \
             States monitor)",
            row(slow)
        );
        let mut finding = refuting(judge.finding(Severity::Error, &AIR_GROUND_NOT_WIRED, what, seen.slow));
        // Where the unit decides by itself there is no switch to be inverted.
        if judge.install.profile.air_ground_kind.get() != Some(&AirGroundKind::Automatic) {
            finding.alternatives.push(Alternative {
                cause: AIR_GROUND_INVERTED.cause,
                detail: "the other state was not heard in motion".to_owned(),
                indistinguishable: seen.on_ground == 0,
            });
        }
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
                format!("{field} says {} in {} of {message}", words(*airborne), counted(evidence.frames, "frame"))
            })
            .collect();
        what.extend(seen.replies.iter().map(|((field, airborne), evidence)| {
            format!(
                "{field} says {} in {}, and the squitters say the opposite",
                words(*airborne),
                if evidence.frames == 1 { "1 reply".to_owned() } else { format!("{} replies", evidence.frames) }
            )
        }));
        if let Some(seconds) = seen.contradictory.longest.seconds().filter(|seconds| *seconds > 0.0) {
            what.push(format!("longest unbroken run {seconds:.1} s"));
        }
        let evidence = seen.contradictions.values().chain(seen.replies.values()).copied();
        // A change from one state to the other may show for a moment; a contradiction that stays is a fault.
        let run = &seen.contradictory;
        let severity = if lasts(run) || run.total >= ENOUGH_FRAMES && run.per_cent() >= 20.0 || replies >= ENOUGH_FRAMES
        {
            Severity::Error
        } else {
            Severity::Warning
        };
        findings.push(refuting(judge.finding(severity, &AIR_GROUND_CONTRADICTION, what.join("; "), evidence)));
    }
    findings
}

/// An error of this kind shows its settings to be wrong.
fn refuting(finding: Finding) -> Finding {
    let [input, sense] = [AIR_GROUND_CONTRADICTION.settings[0], AIR_GROUND_INVERTED.settings[0]];
    let inverted = finding.cause == AIR_GROUND_INVERTED.cause;
    let settings = [input, sense];
    finding.refuting(&settings[..if inverted { 2 } else { 1 }])
}

/// How many, and the longest unbroken run.
fn row(run: &Run) -> String {
    let frames =
        if run.bad == 1 { "1 frame".to_owned() } else { format!("{} of {}", run.bad, counted(run.total, "frame")) };
    match run.longest.seconds().filter(|seconds| *seconds > 0.0) {
        Some(seconds) => format!("{frames}, longest unbroken run {seconds:.1} s"),
        None => frames,
    }
}
