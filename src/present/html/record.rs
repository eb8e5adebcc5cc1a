//! The record: one self-contained document for the file of the aircraft. No script, nothing fetched, ready for paper.

use super::{STYLE, chart, emission, wide};
use crate::capture::{Captured, Source};
use crate::code::spaced;
use crate::compare::{Change, Fate, Finding, Install, Report, SeenValue, Series, Shown, Verdict, in_words};
use crate::downlink::Decoded;
use crate::frame::Address;
use crate::onair::{Emission, Rule, not_in};
use crate::present::CAUTIONS;
use crate::present::altitude::{ADDITION, MODEL, conclusion};
use crate::present::card::figure_rows;
use crate::present::sheet::{Sheet, SheetMessage};
use crate::present::text::listed;
use crate::present::verdict::{LOOK_AGAIN, Row, counts, first_line, most_serious_first, near, when};
use crate::profile::figures::FIGURES_SOURCE;
use crate::profile::stops::{ALTITUDE_RUN, stops};
use crate::profile::wiring::{Diagnosis, Needs, Reading, TOLERANCE_FT};
use crate::profile::{Profile, RuleSet, SETTINGS, SettingId, Stated, joined};
use crate::track::Tracker;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::path::Path;

/// Evidence frames drawn for one finding; the others are named by their place.
const DRAWN: usize = 2;

/// A file that is not captured text, with its digest.
pub fn source(path: &Path) -> Captured {
    let source = Source::from(path);
    let mut file = Captured::named(&source.name());
    file.take_digest(&source);
    file
}

/// The present time, as a record is dated.
pub fn now() -> String {
    dated(jiff::Timestamp::now())
}

/// Seconds since 1970-01-01 UTC, as a record is dated; `None` beyond the years that have a date.
pub fn at(seconds: i64) -> Option<String> {
    jiff::Timestamp::from_second(seconds).ok().map(dated)
}

fn dated(time: jiff::Timestamp) -> String {
    time.strftime("%Y-%m-%d %H:%M:%S UTC").to_string()
}

/// A whole document around what is to be said. The record asks for nothing from anywhere.
pub(super) fn document(class: &str, title: &str, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) "main { max-width: 62rem; margin: 0 auto; padding: 1rem; }" }
            }
            body { main class=(class) { (body) } }
        }
    }
    .into_string()
}

/// The cautions, which are on everything.
pub fn cautions() -> Markup {
    html! {
        section.cautions aria-label="Cautions" {
            strong { "Cautions" }
            ul { @for caution in CAUTIONS { li { (caution) } } }
        }
    }
}

/// Who signs a record of frames.
const ROLES: &[&str] = &["set up by", "captured by", "read and checked by"];

/// Room for signatures, a row for each role.
pub(super) fn signatures(roles: &[&str]) -> Markup {
    html! {
        section.signatures {
            h2 { "Signatures" }
            (wide("Signatures", &html! { table {
                thead { tr { th scope="col" { "as" } th scope="col" { "name" } th scope="col" { "licence or approval" } th scope="col" { "date" } th scope="col" { "signature" } } }
                tbody {
                    @for role in roles {
                        tr { th scope="row" { (role) } @for _ in 0..4 { td { br; br; } } }
                    }
                }
            } }))
            p.small { "Signatures show who did the work and who checked it. This record releases nothing: sign the release in the proper record." }
        }
    }
}

fn stated(profile: &Profile, setting: SettingId) -> String {
    match (setting.setting().words)(profile) {
        Stated::Is(words) => words,
        Stated::ToBeFilledIn => "to be filled in".to_owned(),
        Stated::NotStated => "not stated".to_owned(),
    }
}

/// Aircraft, equipment and profile.
pub(super) fn head(profile: &Profile, source: &Captured, made: &str) -> Markup {
    html! {
        dl.facts {
            @for (name, setting) in [
                ("registration", SettingId::Registration), ("address", SettingId::Address),
                ("aircraft identification", SettingId::AircraftIdentification), ("notes", SettingId::Notes),
            ] { dt { (name) } dd { (stated(profile, setting)) } }
            @for setting in SETTINGS.iter().filter(|setting| setting.id.is_for_the_record()) {
                @if let Stated::Is(words) = (setting.words)(profile) { dt { (setting.name) } dd { (words) } }
            }
            dt { "install profile" } dd { (source.name) }
            dt { "its SHA-256" } dd.hash { @match &source.digest { Some((digest, _)) => { (digest) } None => { "not kept" } } }
            dt { "record made" } dd { (made) }
            dt { "made by" } dd { "squitterlab " (env!("CARGO_PKG_VERSION")) }
        }
    }
}

const fn fate(fate: Fate) -> &'static str {
    match fate {
        Fate::Agrees => "\u{2713} agrees",
        Fate::Differs => "\u{2260} differs",
        Fate::NotSeen => "? not seen",
        Fate::NotOnAir => "\u{2013} never on the air",
        Fate::NotFilledIn => "? not filled in",
        Fate::NotStated => "\u{2013} not stated",
    }
}

const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Agrees => "\u{2713} agrees: every setting that this install can put on the air was seen and agrees",
        Verdict::Differs => "\u{2260} differs: a setting is not on the air as the profile says, or a fault was found",
        Verdict::Incomplete => {
            "? incomplete: no fault was found, and not everything was seen, filled in, or could be checked"
        }
    }
}

const fn rule(rule: Rule) -> &'static str {
    match rule {
        Rule::Equal => "must be equal",
        Rule::Quality => "must be met; lower only as a rare and short dip",
        Rule::State => "must not be claimed where it is not fitted",
        Rule::WhenUsed => "when the crew uses it; what was seen is shown",
    }
}

fn captures(captures: &[Captured], report: &Report) -> Markup {
    html! {
        (wide("Captures", &html! {
            table {
                caption { "Captures" }
                thead { tr { th scope="col" { "file" } th scope="col" { "SHA-256" } th scope="col" { "time" } th scope="col" { "account of its lines" } } }
                tbody {
                    @for capture in captures {
                        tr {
                            th scope="row" { (capture.name) }
                            td.hash {
                                @match &capture.digest { Some((digest, octets)) => { (digest) br; (octets) " octets" } None => { "not kept" } }
                            }
                            td { @match capture.accounting.times { Some((from, to)) => { (format!("{from:.3} s to {to:.3} s")) } None => { "no times" } } }
                            td { (capture.accounting) @if let Some(trouble) = &capture.trouble { br; strong.error { "not read to its end: " (trouble) } } }
                        }
                    }
                }
            }
        }))
        p {
            (report.capture.of_this_aircraft) " frames of this aircraft"
            @match report.heard_as {
                Some(address) if address != report.address => { ", heard under the address " strong { (address) } }
                None => { ": it was not heard" }
                _ => {}
            }
            "; frames of any aircraft with bad parity, which count for nothing: " (report.capture.parity_invalid) "."
        }
    }
}

fn place(shown: &Shown) -> String {
    let plural = if shown.frames == 1 { "" } else { "s" };
    format!("{}, line {}, {} frame{plural} like it", shown.file, shown.line, shown.frames)
}

fn drawn(install: &Install, setting: Option<SettingId>, evidence: &Shown, open: bool) -> Markup {
    let mut decoded = Decoded::new(evidence.frame);
    if let (20 | 21, Some(payload)) = (evidence.frame.downlink_format(), decoded.payload) {
        let number = (payload.bits >> 48) as u8;
        if matches!(number, 0x10 | 0x20) {
            decoded = decoded.with_register(crate::code::RegisterNumber::new(number));
        }
    }
    let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
    // What speaks against this setting; where nothing does, against any.
    let expected = install.expected();
    let wrong = match expected.differing_bits(&decoded, setting) {
        0 => expected.differing_bits(&decoded, None),
        bits => bits,
    };
    html! {
        details.evidence open[open] {
            summary { span.frame { (evidence.frame) } " (" (place(evidence)) ")" }
            (super::evidence(&decoded, &observation, wrong))
        }
    }
}

fn finding(install: &Install, finding: &Finding) -> Markup {
    html! {
        article.finding {
            h3 { span class=(format!("word {}", finding.severity.word())) { (finding.severity.word()) } ": " (finding.setting.map_or("", SettingId::pointer)) }
            p { (finding.what) }
            dl.facts {
                dt { "likely cause" } dd { (finding.likely_cause) " " code { "(" (finding.cause) @if let Some(and) = finding.and_cause { ", " (and) } ")" } }
                dt { "correction" } dd { (finding.correction) }
                dt { "judged by" } dd { (finding.rule) }
                @if finding.explains.len() > 1 { dt { "explains" } dd { @for pointer in &finding.explains { code { (pointer) } " " } } }
                @if !finding.leaves.is_empty() { dt { "leaves unexplained" } dd { @for pointer in &finding.leaves { code { (pointer) } " " } } }
                @if !finding.alternatives.is_empty() {
                    dt { "it may also be" }
                    dd { @for other in &finding.alternatives {
                        code { (other.cause) } " (" (other.detail) ")" @if other.indistinguishable { ", which this capture cannot tell apart" } br;
                    } }
                }
            }
            @for (at, evidence) in finding.evidence.iter().take(DRAWN).enumerate() { (drawn(install, finding.setting, evidence, at == 0)) }
            @if finding.evidence.len() > DRAWN {
                ul { @for evidence in &finding.evidence[DRAWN..] { li { span.frame { (evidence.frame) } ", " (place(evidence)) } } }
            }
        }
    }
}

fn values(observed: &[SeenValue]) -> Markup {
    let values = in_words(observed);
    html! {
        @if values.is_empty() { "\u{2013}" }
        @for (text, frames) in values.iter().take(6) {
            span { (text) " " span.soft { "(" (frames) ")" } br; }
        }
        @if values.len() > 6 { span.soft { "and " (values.len() - 6) " more values" } }
    }
}

fn settings(report: &Report) -> Markup {
    wide(
        "Every setting and what became of it",
        &html! {
            table {
                caption { "Every setting and what became of it" }
                thead { tr { th scope="col" { "setting" } th scope="col" { "verdict" } th scope="col" { "expected on the air" } th scope="col" { "seen (frames)" } th scope="col" { "how it is judged" } } }
                tbody {
                    @for row in &report.settings {
                        tr {
                            th scope="row" { code { (row.setting) } span.about { (row.setting.setting().about) } }
                            td { span class=(format!("word {}", row.fate.key())) { (fate(row.fate)) } }
                            td { (row.meaning) }
                            td { (values(&row.observed)) }
                            td.small { (rule(row.rule)) @if !row.messages.is_empty() { br; span.soft { (row.messages.join(", ")) } } }
                        }
                    }
                }
            }
        },
    )
}

/// What changed since an earlier capture.
fn changes(change: &Change) -> Markup {
    html! {
        h2 { "Changed since " (change.before.join(", ")) }
        @if let Some((before, after)) = &change.addresses { p { "Address: " (before) " before, " (after) " now." } }
        @if !change.settings.is_empty() {
            (wide("Settings that changed", &html! { table {
                caption { "Settings that changed" }
                thead { tr { th scope="col" { "setting" } th scope="col" { "before" } th scope="col" { "now" } } }
                tbody { @for changed in &change.settings {
                    tr {
                        th scope="row" { code { (changed.setting) } }
                        td { (values(&changed.before)) (fate(changed.verdict_before)) }
                        td { (values(&changed.after)) (fate(changed.verdict_after)) }
                    }
                } }
            } }))
        }
        ul {
            @for (told, title) in [(&change.gone, "no longer found"), (&change.new, "not found before"), (&change.still, "found before and now")] {
                @if !told.is_empty() { li { (title) ": " (listed(told)) } }
            }
            li { "the same in both: " (change.same) " settings" }
            @if !change.only_one.is_empty() { li { "seen in only one of the two, so not compared: " (joined(&change.only_one, ", ")) } }
        }
    }
}

fn unproved(report: &Report) -> Markup {
    let of = |fate: Fate| report.settings.iter().filter(move |setting| setting.fate == fate);
    html! {
        h2 { "What was not proved, and how to prove it" }
        @if of(Fate::NotSeen).next().is_none() { p { "Every setting that can be on the air was seen." } }
        @else { ul { @for row in of(Fate::NotSeen) { li { code { (row.setting) } ": " (row.remark.as_deref().unwrap_or("capture longer")) } } } }
        @if of(Fate::NotOnAir).next().is_some() {
            h3 { "Never on the air: look at the unit and at the papers" }
            ul { @for row in of(Fate::NotOnAir) { li { code { (row.setting) } ": " (row.remark.as_deref().unwrap_or_default()) } } }
        }
        @if !report.not_judged.is_empty() {
            h3 { "Not judged" }
            ul { @for check in &report.not_judged { li { (check.words) } } }
        }
    }
}

fn rules_used(rules: &RuleSet) -> Markup {
    html! {
        h2 { "Rules applied" }
        p { (rules.title) " (" code { (rules.name) } "), " (rules.date) "; source: " (rules.source) }
        @if !rules.floors.is_empty() {
            (wide("Minimum values of the rules", &html! {
                table {
                    thead { tr { th scope="col" { "setting" } th scope="col" { "at least" } th scope="col" { "clause" } th scope="col" { "confirmed" } } }
                    tbody { @for floor in &rules.floors { tr { th scope="row" { code { (floor.setting) } } td { (floor.at_least) } td { (floor.clause) } td { (floor.confirmed) } } } }
                }
            }))
        }
    }
}

/// What captures say of one install, as part of a page.
pub fn comparison(install: &Install, report: &Report, files: &[Captured], rules: &RuleSet) -> Markup {
    html! {
        p.verdict {
            strong class=(format!("word {}", report.verdict.key())) { (verdict(report.verdict)) } br;
            (report.first_line()) "."
        }
        @if let Some(why) = report.not_heard { p { strong.error { "Not heard: " (why) } "; " (LOOK_AGAIN) "." } }
        @if !report.near.is_empty() { p { "Heard in the clear, and near it: " (near(&report.near)) "; is one of them this aircraft?" } }
        (captures(files, report))
        h2 { "Findings" }
        @if report.findings.is_empty() { p { "None." } }
        @for each in &report.findings { (finding(install, each)) }
        h2 { "Settings" }
        (settings(report))
        @if let Some(change) = &report.changes { (changes(change)) }
        (unproved(report))
        h2 { "Charts" }
        (chart::charts(&install.profile, report))
        (rules_used(rules))
    }
}

/// One aircraft over several captures, a row a capture.
fn series_table(series: &Series) -> Markup {
    html! {
        h2 { "The captures of the series" }
        (wide("The captures of the series", &html! { table {
            caption { "The captures of the series" }
            thead { tr {
                th scope="col" { "capture" } th scope="col" { "begins" } th.number scope="col" { "frames" } th scope="col" { "verdict" }
                th scope="col" { "settings and faults" } th scope="col" { "quality" } th scope="col" { "changed since the one before" }
            } }
            tbody { @for (at, capture) in series.captures.iter().enumerate() { tr {
                th scope="row" { (at + 1) ". " (capture.files.join(", ")) }
                td { @match capture.times { Some((from, _)) => { (when(from)) } None => { "no times" } } }
                td.number { (capture.of_this_aircraft) }
                td { span class=(format!("word {}", capture.verdict.key())) { (capture.verdict.key()) } }
                td { (capture.summary.words()) @if !capture.causes.is_empty() { ": " (listed(&capture.causes)) } }
                td { (listed(&capture.quality)) }
                td { @if let Some(changes) = &capture.changes {
                    @if let Some((before, after)) = &changes.addresses { "address " (before) " before, " (after) " now; " }
                    @if changes.settings.is_empty() { "nothing that both show" } @else { (joined(&changes.settings.iter().map(|changed| changed.setting).collect::<Vec<_>>(), ", ")) }
                } }
            } } }
        } }))
        h2 { "What changed" }
        @if series.changed().next().is_none() { p { "Nothing that was seen changed." } }
        ul { @for changed in series.changed() { li { code { (changed.setting) } ": "
            (changed.in_words())
        } } }
    }
}

/// A record of installs: what is true of all of them, then each by itself.
fn of_installs<T>(
    title: &str,
    subjects: &[(&Install, T, &Captured)],
    made: &str,
    first: &Markup,
    each: impl Fn(&Install, &T) -> Markup,
) -> String {
    let title = match subjects {
        [(install, ..)] => format!("{title}: {}", name(&install.profile, install.address)),
        all => format!("{title}: {} installs", all.len()),
    };
    document(
        "record",
        &title,
        &html! {
            h1 { (title) }
            p { strong { "Not a release to service." } " Captured frames were compared with the install profile; nothing here was transmitted by this program." }
            (cautions())
            (first)
            @for (install, shown, source) in subjects {
                @if subjects.len() > 1 { h2 { (name(&install.profile, install.address)) } }
                (head(&install.profile, source, made))
                (each(install, shown))
            }
            (signatures(ROLES))
        },
    )
}

/// The record of one aircraft over several captures; the last is shown in full.
pub fn over_time(
    subjects: &[(&Install, &Series, &Captured)],
    files: &[Captured],
    rules: &RuleSet,
    made: &str,
) -> String {
    of_installs("Install comparison over time", subjects, made, &html! {}, |install, series| {
        html! {
            (series_table(series))
            @if let Some(last) = &series.last { h2 { "The last capture in full" } (comparison(install, last, files, rules)) }
        }
    })
}

/// The record of a comparison, of one install or of a fleet.
pub fn compared(
    subjects: &[(&Install, &Report, &Captured)],
    files: &[Captured],
    rules: &RuleSet,
    made: &str,
) -> String {
    let overview = html! { @if subjects.len() > 1 { (fleet(subjects)) } };
    of_installs("Install comparison record", subjects, made, &overview, |install, report| {
        comparison(install, report, files, rules)
    })
}

/// The aircraft of a fleet: what to act on first, then what is open, then what was not heard.
fn fleet(subjects: &[(&Install, &Report, &Captured)]) -> Markup {
    let rows: Vec<Row> = subjects.iter().map(|(install, report, _)| Row::new(install, report)).collect();
    html! {
        h2 { "The fleet" }
        p.verdict { strong { (first_line(&rows)) "." } br; (counts(&rows)) "." }
        (wide("The aircraft of the fleet, the most serious first", &html! { table {
            caption { "The aircraft of the fleet, the most serious first" }
            thead { tr { th scope="col" { "aircraft" } th scope="col" { "verdict" } th scope="col" { "proved" } th scope="col" { "what to do" } } }
            tbody { @for row in most_serious_first(&rows) { tr {
                th scope="row" { (row.name()) br; span.mono { (row.address) } }
                td { @if row.heard_as.is_none() { "not heard" } @else { span class=(format!("word {}", row.verdict.key())) { (row.verdict.key()) } } }
                td { (row.summary.proved) " of " (row.summary.of) }
                td {
                    @if let Some(seen) = row.heard_as.filter(|seen| *seen != row.address) { p { "heard under the address " strong { (seen) } } }
                    @for fault in &row.faults { p {
                        span class=(format!("word {}", fault.severity.word())) { (fault.severity.word()) } " " code { (fault.setting) } ": " (fault.what)
                        br; (fault.likely) "; " (fault.correction)
                    } }
                    @if row.faults.is_empty() && row.heard_as.is_some() {
                        (row.open)
                    }
                    @if !row.near.is_empty() { p { "heard in the clear, and near its own: " (near(&row.near)) } }
                }
            } } }
        } }))
    }
}

/// What an aircraft is called.
pub(super) fn name(profile: &Profile, address: Address) -> String {
    profile.registration.get().map_or_else(|| address.to_string(), |mark| format!("{} ({address})", mark.0))
}

/// The settings of the intended-install record: a box to tick, the value, its place on the air, where it is taken from.
fn rows(sheet: &Sheet) -> Markup {
    wide(
        "Every setting of the install",
        &html! {
            table {
                caption { "Every setting, to be ticked when it is set and read back" }
                thead { tr {
                    th.thin scope="col" { "set" } th scope="col" { "setting" } th scope="col" { "value" }
                    th scope="col" { "on the air" } th scope="col" { "taken from" }
                } }
                tbody { @for row in &sheet.rows {
                    tr {
                        td.tick { "\u{2610}" }
                        th scope="row" { (row.setting.name) span.about { (row.setting.about) } code.about { (row.setting.pointer) } }
                        td { @match &row.value {
                            Stated::Is(value) => { strong { (value) } }
                            Stated::ToBeFilledIn => { "to be filled in: ____________" }
                            Stated::NotStated => { "not stated" }
                        } }
                        td {
                            @for place in &row.places {
                                code { (place.field) } " " span.mono { (place.digits()) } ": " (place.meaning) "; " (place.bits())
                                span.about { (place.messages.iter().map(SheetMessage::words).collect::<Vec<_>>().join("; ")) }
                            }
                            @if let Some(remark) = &row.remark { (remark) }
                        }
                        td.small { (row.setting.taken_from.words()) br; "document, page: ____________" }
                    }
                } }
            }
        },
    )
}

/// The intended-install record.
pub fn intended(profile: &Profile, sheet: &Sheet, source: &Captured, made: &str) -> String {
    let address = profile.address.get().copied().unwrap_or(Address::new(0));
    let title = format!("Intended install: {}", name(profile, address));
    document(
        "record",
        &title,
        &html! {
            h1 { (title) }
            p { strong { "Not a release to service." } " What is to be set, and what later captures are compared with." }
            (cautions())
            (head(profile, source, made))
            p { "aircraft serial number ____________  set by ____________  read back by ____________" }
            p { (sheet.held_against) }
            @if let Some(why) = &sheet.no_frames { p { strong { "What it sends is not known: " } (why) } }
            h2 { "Settings" }
            (rows(sheet))
            (chart::antenna(profile))
            h2 { "Checks of the profile" }
            @if sheet.problems.is_empty() { p { "Nothing was found." } }
            ul { @for problem in &sheet.problems {
                li { span class=(format!("word {}", problem.severity.word())) { (problem.severity.word()) } ": " code { (problem.pointer) } " " (problem.reason) "; " (problem.correction) }
            } }
            @if !sheet.unseen.is_empty() {
                h2 { "What the rules ask for and no frame shows" }
                ul { @for unseen in &sheet.unseen { li { (unseen) ": ____________" } } }
            }
            h2 { "Figures of the test set, which no frame shows" }
            ul { @for (clause, words) in figure_rows() { li { (words) " " (clause) ": ____________" } } }
            p.small { (FIGURES_SOURCE) "." }
            (signatures(ROLES))
        },
    )
}

/// The record of what an install sends.
pub fn transmitted(profile: &Profile, emissions: &[Emission], source: &Captured, made: &str) -> String {
    let address = profile.address.get().copied().unwrap_or(Address::new(0));
    let title = format!("What the install transmits: {}", name(profile, address));
    let unseen = not_in(profile, emissions);
    document(
        "record",
        &title,
        &html! {
            h1 { (title) }
            p { strong { "Not a release to service." } " Computed from the install profile; nothing here was received or transmitted." }
            (cautions())
            (head(profile, source, made))
            h2 { "Settings" }
            (wide("The settings of the install", &html! {
                table {
                    caption { "Settings" }
                    thead { tr { th scope="col" { "setting" } th scope="col" { "as stated" } } }
                    tbody { @for setting in SETTINGS.iter().filter(|setting| setting.is_on_record(profile)) {
                        tr { th scope="row" { code { (setting.pointer) } span.about { (setting.about) } } td { (stated(profile, setting.id)) } }
                    } }
                }
            }))
            (chart::antenna(profile))
            h2 { "Frames" }
            p { "Coloured and lettered bits are decided by the install; bits marked \u{b7} are the flight's." }
            @for each in emissions { (emission(each)) }
            @if !unseen.is_empty() {
                h2 { "Settings that appear in none of these frames" }
                ul { @for (pointer, reason) in &unseen { li { code { (pointer) } ": " (reason) } } }
            }
            (signatures(ROLES))
        },
    )
}

/// The record of altitude readings: the correspondence, and which faults of the wires explain it.
pub fn correspondence(readings: &[Reading], diagnosis: &Diagnosis, source: &Captured, made: &str) -> String {
    let title = "Altitude readings";
    let within = readings.iter().filter(|reading| reading.within_tolerance()).count();
    let exact = readings.iter().filter(|reading| reading.exact()).count();
    document(
        "record",
        title,
        &html! {
            h1 { (title) }
            p { strong { "Not a release to service." } " " (ADDITION) }
            section.cautions aria-label="Stop" {
                strong { "Stop" }
                ul { @for stop in stops(ALTITUDE_RUN) { li { (stop) } } }
            }
            (cautions())
            dl.facts {
                dt { "readings" } dd { (source.name) }
                dt { "its SHA-256" } dd.hash { @match &source.digest { Some((digest, _)) => { (digest) } None => { "not kept" } } }
                dt { "record made" } dd { (made) }
                dt { "made by" } dd { "squitterlab " (env!("CARGO_PKG_VERSION")) }
            }
            p.verdict { strong {
                (within) " of " (readings.len()) " readings are within the " (TOLERANCE_FT) " ft tolerance, "
                (exact) " of " (readings.len()) " readings are exactly right."
            } }
            h2 { "Correspondence" }
            (chart::correspondence(readings))
            h2 { "What the readings say" }
            @for sentence in conclusion(readings, diagnosis) { p { (sentence) } }
            @if let Needs::Wires(_) = diagnosis.needs {
                h2 { "What explains the readings best" }
                p.small { (MODEL) }
                ol { @for fit in diagnosis.fits.iter().take(diagnosis.equal.clamp(1, 8)) {
                    li {
                        (fit.explanation) ": " (fit.readings) " of " (readings.len()) " readings"
                        @if !fit.alike.is_empty() { "; no altitude tells it from: " (fit.alike.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")) }
                    }
                } }
                @if let Some(next) = &diagnosis.next { p { "To tell them apart, set " strong { (spaced(next.set_ft.into())) " ft" } " next." } }
            }
            (signatures(ROLES))
        },
    )
}
