//! Comparisons and plans as JSON: one object per profile.

use super::mistake_of;
use crate::compare::{Change, Evidence, Measured, Plan, RECEPTION, Report, Run, SURE, SeenValue, Watched, Way};
use crate::present::CAUTIONS;
use crate::present::json::accounting;
use crate::profile::{Confirmed, SettingId};
use serde_json::{Map, Value, json};

fn evidence(files: &[String], evidence: &Evidence) -> Value {
    json!({"file": files.get(evidence.file), "line": evidence.line, "frame": evidence.frame.to_string()})
}

/// What the captures say of one install, as data.
pub fn report(report: &Report) -> Value {
    let settings: Vec<Value> = report
        .settings
        .iter()
        .map(|setting| {
            let observed: Vec<Value> = setting
                .observed
                .iter()
                .map(|seen| {
                    json!({
                        "value": Value::from(seen.value.clone()),
                        "meaning": seen.text,
                        "frames": seen.evidence.frames,
                        "file": report.files.get(seen.evidence.file),
                        "first_line": seen.evidence.line,
                        "example": seen.evidence.frame.to_string(),
                    })
                })
                .collect();
            let mut object = json!({
                "name": setting.setting.name(),
                "setting": setting.setting,
                "field": setting.field,
                "rule": setting.rule.key(),
                "verdict": setting.fate.key(),
                "expected": Value::from(setting.expected.clone()),
                "meaning": setting.expected_text,
                "observed": observed,
                "message": setting.messages.first(),
                "messages": setting.messages,
            });
            if let (Value::Object(object), Some(remark)) = (&mut object, &setting.remark) {
                object.insert("remark".to_owned(), json!(remark));
                object.insert("shown_by".to_owned(), setting.shown_by.iter().map(way).collect());
            }
            object
        })
        .collect();
    let findings: Vec<Value> = report
        .findings
        .iter()
        .map(|finding| {
            json!({
                "severity": finding.severity.word(),
                "cause": finding.cause,
                "and_cause": finding.and_cause,
                "setting": finding.setting.map_or("", SettingId::pointer),
                "what": finding.what,
                "likely_cause": finding.likely_cause,
                "correction": finding.correction,
                "rule": finding.rule,
                "how_often": mistake_of(finding.cause).map(|mistake| mistake.often.words()),
                "explains": finding.explains,
                "leaves": finding.leaves,
                "alternatives": finding.alternatives.iter().map(|other| {
                    json!({"cause": other.cause, "detail": other.detail, "indistinguishable": other.indistinguishable})
                }).collect::<Vec<_>>(),
                "evidence": finding.evidence.iter().map(|e| evidence(&report.files, e)).collect::<Vec<_>>(),
            })
        })
        .collect();
    let summary = report.summary();
    let mut capture = accounting(&report.accounting);
    capture.insert("of_this_aircraft".to_owned(), json!(report.of_this_aircraft));
    capture.insert("parity_invalid".to_owned(), json!(report.parity_invalid));
    if !report.unread.is_empty() {
        capture.insert("not_read_whole".to_owned(), json!(report.unread));
    }
    json!({
        "profile": report.profile,
        "address": report.address.to_string(),
        "heard_as": report.heard_as.map(|address| address.to_string()),
        "near_addresses": report.near.iter().map(|near| {
            json!({"address": near.address.to_string(), "how": near.how})
        }).collect::<Vec<_>>(),
        "verdict": report.verdict.key(),
        "proved": summary.proved,
        "provable": summary.of,
        "not_filled_in": summary.not_filled_in,
        "not_seen": summary.not_seen,
        "faults": summary.faults,
        "warnings": summary.warnings,
        "shown_once": report.shown_once(),
        "rules": report.rules,
        "capture": capture,
        "settings": settings,
        "not_judged": report.not_judged.iter().map(|check| {
            json!({"check": check.check, "reason": check.reason, "words": check.words, "needed": check.needed})
        }).collect::<Vec<_>>(),
        "findings": findings,
        "quality": report.quality.iter().map(quality).collect::<Vec<_>>(),
        "air_ground": air_ground(report),
        "reception": report.reception.iter().map(|received| json!({
            "when": state(received.by.on_ground), "by": received.by.message, "share": rounded(received.share),
            "covered_s": rounded(received.covered_s),
        })).collect::<Vec<_>>(),
        "elements": report.elements.iter().map(|element| json!({
            "message": element.kind.message, "when": state(element.kind.on_ground), "seen": element.seen,
            "expected": element.expected.map(rounded), "window_s": element.window_s, "gaps": element.gaps.0,
            "in_time": element.gaps.1, "too_short": element.short,
        })).collect::<Vec<_>>(),
        "intervals": intervals(report),
        "motion": motion(report),
        "changes": report.changes.as_ref().map(changes),
    })
}

fn way(way: &Way) -> Value {
    json!({"when": way.when.key(), "message": way.message, "seconds": way.seconds, "asked_by": way.asked_by})
}

fn run(run: &Run) -> Value {
    json!({
        "frames": run.total, "bad": run.bad, "per_cent": rounded(run.per_cent()),
        "longest_frames": run.longest.frames, "longest_seconds": run.longest.seconds().map(rounded),
        "from": run.longest.span.map(|(from, _)| from),
    })
}

fn state(on_ground: bool) -> &'static str {
    if on_ground { "on_ground" } else { "airborne" }
}

fn rounded(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}

fn quality(measured: &Measured) -> Value {
    let below = |bound: Option<u8>, below: &Watched, rule: Option<&(String, Confirmed)>| {
        bound.map(|bound| {
            let mut object = run(&below.run);
            if let Value::Object(object) = &mut object {
                object.insert("bound".to_owned(), json!(bound));
                if let Some((clause, confirmed)) = rule {
                    object.insert("clause".to_owned(), json!(clause));
                    object.insert("confirmed".to_owned(), json!(confirmed.to_string()));
                }
                object.insert("first_line".to_owned(), json!(below.first.map(|first| first.line)));
            }
            object
        })
    };
    let values: Map<String, Value> =
        measured.seen.values.iter().map(|(value, seen)| (value.to_string(), json!(seen.frames))).collect();
    json!({
        "measure": measured.measure.name(),
        "setting": measured.measure.setting(),
        "values": values,
        "below_stated": below(measured.bounds.wanted, &measured.seen.wanted, None),
        "below_floor": below(measured.bounds.floor, &measured.seen.floor, measured.required_by.as_ref()),
        "course": {
            "width_s": measured.seen.course.width_s,
            "bins": measured.seen.course.bins.iter().map(|(at, extent)| {
                json!([*at as f64 * measured.seen.course.width_s, extent.least, extent.most, extent.frames])
            }).collect::<Vec<_>>(),
        },
    })
}

fn air_ground(report: &Report) -> Value {
    let coherence = &report.coherence;
    let transitions = coherence.first.iter().chain(&coherence.transitions).map(|change| {
        json!({
            "to": change.to.key(), "by": change.by, "time": change.evidence.time, "line": change.evidence.line,
        })
    });
    json!({
        "airborne_messages": coherence.airborne,
        "surface_messages": coherence.on_ground,
        "timeline": transitions.collect::<Vec<_>>(),
        "contradictory": run(&coherence.contradictory),
        "slow_airborne": run(&coherence.slow_in_the_air),
        "fast_on_ground": run(&coherence.fast_on_surface),
    })
}

fn intervals(report: &Report) -> Vec<Value> {
    let kinds = report.intervals.kinds().filter(|(_, gaps)| gaps.frames > 0);
    kinds
        .map(|(kind, gaps)| {
            let tenths: Vec<Value> = gaps
                .tenths
                .iter()
                .enumerate()
                .filter(|(_, count)| **count > 0)
                .map(|(tenth, count)| json!([tenth as f64 / 10.0, count]))
                .collect();
            json!({
                "message": kind.message, "when": state(kind.on_ground),
                "frames": gaps.frames, "copies": gaps.copies, "silences": gaps.silences,
                "covered_s": rounded(gaps.covered_s()), "gaps": tenths,
            })
        })
        .collect()
}

fn motion(report: &Report) -> Vec<Value> {
    let comparisons = report.motion.comparisons().into_iter().filter(|(.., difference)| difference.run.total > 0);
    comparisons
        .map(|(name, unit, difference)| {
            json!({
                "comparison": name, "unit": unit, "beyond_noise": run(&difference.run),
                "largest": rounded(difference.largest), "noise": rounded(difference.noise),
            })
        })
        .collect()
}

fn changes(change: &Change) -> Value {
    let seen = |seen: &[SeenValue]| -> Vec<Value> {
        seen.iter()
            .map(|seen| json!({"value": Value::from(seen.value.clone()), "frames": seen.evidence.frames}))
            .collect()
    };
    let causes = |causes: &[(&str, Option<SettingId>)]| -> Vec<Value> {
        let setting = |setting: &Option<SettingId>| setting.map_or("", SettingId::pointer);
        causes.iter().map(|(cause, about)| json!({"cause": cause, "setting": setting(about)})).collect()
    };
    let settings: Vec<Value> = change
        .settings
        .iter()
        .map(|changed| {
            json!({
                "setting": changed.setting,
                "before": seen(&changed.before), "after": seen(&changed.after),
                "verdict_before": changed.fates.0.key(), "verdict_after": changed.fates.1.key(),
            })
        })
        .collect();
    json!({
        "before": change.files,
        "addresses": change.addresses,
        "settings": settings,
        "same": change.same,
        "only_one": change.only_one,
        "gone": causes(&change.gone),
        "new": causes(&change.new),
        "still": causes(&change.still),
    })
}

/// The captures that prove most of an install, as data.
pub fn plan(plan: &Plan) -> Value {
    let captures: Vec<Value> = plan
        .captures
        .iter()
        .map(|capture| {
            json!({
                "when": capture.when.key(),
                "interrogated": capture.interrogated,
                "seconds": capture.seconds,
                "wait_for": capture.ways.iter().map(way).collect::<Vec<_>>(),
                "proves": capture.proves,
                "adds": capture.adds,
                "stops": capture.stops,
            })
        })
        .collect();
    let never: Vec<Value> =
        plan.never.iter().map(|(setting, reason)| json!({"setting": setting, "reason": reason})).collect();
    json!({
        "profile": plan.profile,
        "address": plan.address.to_string(),
        "provable": plan.provable,
        "reception": RECEPTION,
        "certainty": SURE,
        "captures": captures,
        "when_used": plan.when_used,
        "never": never,
        "cautions": CAUTIONS,
    })
}
