//! The record: one self-contained document for the file of the aircraft. No script, nothing fetched, ready for paper.

use super::field::{Subject, capital, plain};
use super::{STYLE, chart, emission, frame_link, setting_link, wide};
use crate::capture::{Captured, Source, sha256};
use crate::code::spaced;
use crate::compare::{
    Change, Doubt, ExpectedFrames, Finding, Install, Report, SeenValue, Series, SettingStatus, SettingVerdict, Shown,
    Verdict, in_words,
};
use crate::downlink::Decoded;
use crate::frame::Address;
use crate::onair::{Decision, Emission, Rule, not_in};
use crate::present::CAUTIONS;
use crate::present::altitude::{ADDITION, MODEL, conclusion};
use crate::present::card::figure_rows;
use crate::present::identity::IdentitySheet;
use crate::present::run_form::{OUTPUTS, Run};
use crate::present::sheet::{Sheet, SheetMessage};
use crate::present::text::{counted, listed, printable};
use crate::present::verdict::{
    self, IN_THE_PROFILE, LOOK_AGAIN, Row, counts, first_line, most_serious_first, near, when,
};
use crate::profile::figures::FIGURES_SOURCE;
use crate::profile::stops::{ALTITUDE_RUN, stops};
use crate::profile::wiring::{AltitudeReading, Diagnosis, Needs, TOLERANCE_FT};
use crate::profile::{Profile, RuleSet, SETTINGS, SettingId, Severity, Stated, names};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::fmt::Write;
use std::path::Path;
use std::sync::atomic::{AtomicI64, Ordering};

/// A file that is not captured text, with its digest.
pub fn source(path: &Path) -> Captured {
    let source = Source::from(path);
    let mut file = Captured::named(&source.name());
    file.take_digest(&source);
    file
}

/// The present time in seconds since 1970-01-01 UTC as the caller has it; 0 where the system has a clock.
static GIVEN: AtomicI64 = AtomicI64::new(0);

/// Sets the present time, where the system has no clock.
pub(crate) fn set_clock(seconds: i64) {
    GIVEN.store(seconds, Ordering::Relaxed);
}

/// The present time, as a record is dated.
pub fn now() -> String {
    match GIVEN.load(Ordering::Relaxed) {
        0 => dated(jiff::Timestamp::now()),
        told => at(told).unwrap_or_default(),
    }
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
    paged(class, title, "", body)
}

/// The same with rules for paper of its own.
fn paged(class: &str, title: &str, paper: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) "main { max-width: 62rem; margin: 0 auto; padding: 1rem; }" (PreEscaped(paper)) }
            }
            body { main class=(class) { (body) } }
        }
    };
    // Names, notes and marks come from others.
    printable(&page.into_string()).into_owned()
}

/// What is printed on every page of a record.
pub(super) struct Running<'a> {
    /// What it is, and of which aircraft.
    pub title: &'a str,
    /// Its number.
    pub number: &'a str,
    /// When it was made.
    pub made: &'a str,
}

impl Running<'_> {
    /// Head, foot and page numbers, by the rules that browsers have for paper.
    fn rules(&self) -> String {
        // Inside the quotation marks of a style only these letters are certain to stay letters.
        let safe = |text: &str| -> String {
            let is_safe = |c: &char| c.is_ascii_alphanumeric() || " .,:()+-".contains(*c);
            text.chars().filter(is_safe).take(90).collect()
        };
        let (title, number, made) = (safe(self.title), safe(self.number), safe(self.made));
        format!(
            "@media print {{ @page {{ margin: 17mm 13mm 15mm; \
             @top-left {{ content: \"{title}\"; }} @top-right {{ content: \"record {number}, {made}\"; }} \
             @bottom-left {{ content: \"{RELATES}\"; }} @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); }} }} \
             @page {{ @top-left {{ {RUNNING} }} @top-right {{ {RUNNING} }} @bottom-left {{ {RUNNING} }} @bottom-right {{ {RUNNING} }} }} }}"
        )
    }

    /// The whole record.
    pub fn document(&self, body: &Markup) -> String {
        let body = html! {
            (body)
            p.end { "End of record " (self.number) }
        };
        paged("record", self.title, &self.rules(), &body)
    }
}

/// How the running head and foot are written.
const RUNNING: &str = "font: 7.5pt system-ui, \"DejaVu Sans\", sans-serif; color: #55606f; white-space: nowrap;";

/// What a test says of itself by general practice.
const RELATES: &str = "These results relate only to the unit and the times named.";

/// The number of a record: it follows from what the record is made of, so that two that differ in anything differ in it.
pub(super) fn number(title: &str, made: &str, files: &[&Captured]) -> String {
    let mut all = format!("{title}\n{made}\n{}\n", env!("CARGO_PKG_VERSION"));
    for file in files {
        let _ = writeln!(all, "{} {:?}", file.name, file.digest);
    }
    let digest = sha256(all.as_bytes()).to_uppercase();
    [&digest[..4], &digest[4..8], &digest[8..12]].join("-")
}

/// A name for the file of a record: of what, which kind, when.
pub fn file_name(profile: &Profile, kind: &str, made: &str) -> String {
    let mark = profile.registration.get().map(|mark| mark.0.clone());
    let whose = mark.or_else(|| profile.address.get().map(ToString::to_string)).unwrap_or_else(|| "install".to_owned());
    let is_safe = |c: &char| c.is_ascii_alphanumeric() || *c == '-';
    let whose: String = whose.chars().filter(is_safe).collect();
    format!("{whose}-{}-{kind}.html", made.get(..10).unwrap_or_default())
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
                thead { tr { th scope="col" { "as" } th scope="col" { "name" } th scope="col" { "certificate: number and kind" } th scope="col" { "date" } th scope="col" { "signature" } } }
                tbody {
                    @for role in roles {
                        tr { th scope="row" { (role) } @for _ in 0..4 { td {} } }
                    }
                }
            } }))
            p.small { "Signatures show who did the work and who checked it. This record releases nothing: sign the release in the proper record." }
        }
    }
}

/// A line to write on, with what belongs there.
fn to_fill_in(what: &str) -> Markup {
    html! { div.blank { span { (what) } } }
}

/// What an entry in the maintenance record asks for, where the record is filed with one.
fn maintenance_entry() -> Markup {
    html! {
        section.entry aria-label="For the maintenance entry" {
            h2 { "For the maintenance entry" }
            p.small { "What 14 CFR 43.9(a) asks of an entry (page seen); other States ask for much the same." }
            div.blanks {
                (to_fill_in("description of the work, or reference to the data (1)")) (to_fill_in("completed on (2)"))
                (to_fill_in("done by, if another than who signs (3)")) (to_fill_in("signature, certificate number and kind (4)"))
            }
        }
    }
}

fn stated(profile: &Profile, setting: SettingId) -> String {
    match setting.setting().stated(profile) {
        Stated::Is(words) => words,
        Stated::ToBeFilledIn => "to be filled in".to_owned(),
        Stated::NotStated => "not stated".to_owned(),
    }
}

/// Aircraft, equipment and profile.
pub(super) fn head(profile: &Profile, source: &Captured, made: &str, number: &str) -> Markup {
    html! {
        dl.facts.paired {
            @for setting in [SettingId::Registration, SettingId::Address, SettingId::AircraftIdentification] {
                dt { (setting.name()) } dd { (stated(profile, setting)) }
            }
            @for setting in SETTINGS.iter().filter(|setting| setting.id.is_for_the_record()) {
                @if let Stated::Is(words) = setting.stated(profile) { dt { (setting.name) } dd { (words) } }
            }
            dt { "Record" } dd { (number) ", made " (made) }
            dt { "Made by" } dd { "squitterlab " (env!("CARGO_PKG_VERSION")) }
            dt { "Install profile" } dd { (source.name) }
            dt { "Its SHA-256" } dd.hash { @match &source.digest { Some((digest, _)) => { (digest) } None => { "not kept" } } }
            dt { "Notes" } dd { (stated(profile, SettingId::Notes)) }
        }
    }
}

const fn status_words(status: SettingStatus) -> &'static str {
    match status {
        SettingStatus::Agrees => "\u{2713} agrees",
        SettingStatus::Differs => "\u{2260} differs",
        SettingStatus::NotSeen => "? not seen",
        SettingStatus::NotOnAir => "\u{2013} never on the air",
        SettingStatus::NotFilledIn => "? not filled in",
        SettingStatus::NotStated => "\u{2013} not stated",
    }
}

/// What became of a setting, with its mark, and the class of its colour.
fn outcome(row: &SettingVerdict) -> (&'static str, &'static str) {
    if row.is_only_shown() {
        ("\u{2013} not judged", SettingStatus::NotOnAir.key())
    } else {
        (status_words(row.status), row.status.key())
    }
}

const fn verdict_words(verdict: Verdict) -> &'static str {
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
        Rule::Equal => "equal",
        Rule::Quality => "met, but for short dips",
        Rule::State => "not claimed if not fitted",
        Rule::WhenUsed => "shown only",
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

/// A frame of evidence as it is to be read.
fn decoded(evidence: &Shown) -> Decoded {
    let decoded = Decoded::new(evidence.frame);
    if let (20 | 21, Some(payload)) = (evidence.frame.downlink_format(), decoded.payload) {
        let number = (payload.bits >> 48) as u8;
        if matches!(number, 0x10 | 0x20) {
            return decoded.with_register(crate::code::RegisterNumber::new(number));
        }
    }
    decoded
}

/// Bits of one field in a row; those that are not as they should be are marked.
fn row_of_bits(field: &Decision, code: u64, other: Option<u64>) -> Markup {
    let width = field.span.width();
    let class = Subject::of(field.field).class();
    html! {
        @for (at, bit) in (field.span.first..=field.span.last).enumerate() {
            @let shift = u32::from(width) - 1 - at as u32;
            @let value = code >> shift & 1;
            @let is_wrong = other.is_some_and(|other| other >> shift & 1 != value);
            span class=(format!("bit {class}{}", if is_wrong { " wrong" } else { "" })) data-bit=(bit) { (value) }
        }
    }
}

/// What was expected and what was seen of a setting, in bits and in words, by the first frame of evidence that shows it.
fn expected_and_seen(expected: &ExpectedFrames, setting: SettingId, evidence: &[Shown]) -> Option<Markup> {
    let (decision, code) = evidence.iter().find_map(|evidence| {
        let fields = expected.fields_of(&decoded(evidence), setting);
        fields.into_iter().find(|(decision, code)| !decision.agrees(*code))
    })?;
    Some(wide(
        "Expected and seen",
        &html! { table.against {
            tbody {
                tr { th scope="row" { "expected" } td.ex { (row_of_bits(decision, decision.code, None)) } td { (decision.expected().words()) } }
                tr { th scope="row" { "seen" } td.ex { (row_of_bits(decision, code, Some(decision.code))) }
                    td { span.differs { ((decision.meaning)(code, decision.version).words()) } span.small.soft { " (" (plain(decision.field)) ", frame bits " (decision.span) ")" } } }
            }
        } },
    ))
}

/// What a finding is about, in words.
fn subject(finding: &Finding) -> &'static str {
    finding.setting.map_or("the capture as a whole", SettingId::name)
}

fn finding(expected: &ExpectedFrames, at: usize, finding: &Finding, on_page: bool) -> Markup {
    html! {
        article.finding id=(format!("fault-{at}")) {
            h3 { (at) ". " span class=(format!("word {}", finding.severity.word())) { (finding.severity.word()) } ": "
                @match finding.setting { Some(setting) => { (setting_link(setting, on_page)) } None => { (subject(finding)) } } }
            @let rows = finding.setting.and_then(|setting| expected_and_seen(expected, setting, &finding.evidence));
            // The rows of bits have told the plain difference.
            p.what.told[rows.is_some() && finding.what.starts_with("expected ")] { (finding.what) }
            @if let Some(rows) = rows { (rows) }
            dl.facts {
                dt { "most likely" } dd { (finding.likely_cause) "." }
                dt { "what to do" } dd { strong { (finding.correction) } "." }
                @if finding.explains.len() > 1 { dt { "explains" } dd { (names(&finding.explains)) } }
                @if !finding.leaves.is_empty() { dt { "leaves unexplained" } dd { (names(&finding.leaves)) } }
                @if !finding.alternatives.is_empty() {
                    dt { "it may also be" }
                    dd { @for other in &finding.alternatives {
                        span { (other.cause.replace('_', " ")) " (" (other.detail) ")" @if other.indistinguishable { ", which this capture cannot tell apart" } br; }
                    } }
                }
                dt { "seen in" }
                dd { @for evidence in &finding.evidence {
                    span { (frame_link(&evidence.frame, on_page)) span.soft { " (" (place(evidence)) ")" } br; }
                } }
                dt { "judged by" } dd.small { (finding.rule) span.soft { "; cause " code { (finding.cause) @if let Some(and) = finding.and_cause { ", " (and) } }
                    @if let Some(setting) = finding.setting { "; setting " code { (setting) } } } }
            }
        }
    }
}

/// The faults in a line each: what was expected, what was seen, the cause, what to do.
fn faults(report: &Report, on_page: bool) -> Markup {
    let mut told: Vec<SettingId> = Vec::new();
    let rows: Vec<(usize, &Finding, Option<&SettingVerdict>)> = (1..)
        .zip(&report.findings)
        .filter(|(_, finding)| finding.severity != Severity::Note)
        .map(|(at, finding)| {
            let setting = finding.setting.filter(|setting| !told.contains(setting));
            told.extend(setting);
            let row =
                report.settings.iter().find(|row| Some(row.setting) == setting && row.status == SettingStatus::Differs);
            (at, finding, row)
        })
        .collect();
    html! {
        @if rows.is_empty() { p { "No fault was found." } } @else {
            (wide("Faults, the most serious first", &html! { table.faults {
                thead { tr {
                    th.number.no scope="col" { "no." } th.name scope="col" { "setting" } th.value scope="col" { "expected" } th.value scope="col" { "seen" }
                    th scope="col" { "most likely cause, what to do" }
                } }
                tbody { @for (at, finding, row) in rows {
                    tr {
                        td.number { (at) }
                        th scope="row" { a href=(format!("#fault-{at}")) { (subject(finding)) }
                            @if finding.severity == Severity::Warning { span.soft { " (warning)" } } }
                        @if let Some(row) = row {
                            td.agrees data-label="expected" { (row.meaning) }
                            td.differs data-label="seen" { @for (at, (text, _)) in in_words(&row.observed).into_iter().take(2).enumerate() { @if at > 0 { "; " } (text) } }
                        } @else {
                            td colspan="2" { (finding.what) }
                        }
                        td { (capital(&finding.likely_cause)) ". " strong { (capital(&finding.correction)) "." }
                            @if on_page { " " @if let Some(first) = finding.evidence.first() { a.small href=(format!("?frame={}#bits", first.frame)) { "frame" } } } }
                    }
                } }
            } }))
        }
    }
}

/// What became of the settings: a cell each, grouped; the legend says what they are.
pub fn status_bar(report: &Report) -> Markup {
    // What is shown only is not missed, and counts for nothing.
    let of = |status: SettingStatus| {
        report.settings.iter().filter(|row| row.status == status && !row.is_only_shown()).count()
    };
    let counted = [
        SettingStatus::Differs,
        SettingStatus::Agrees,
        SettingStatus::NotSeen,
        SettingStatus::NotFilledIn,
        SettingStatus::NotOnAir,
    ];
    let counted =
        counted.map(|shown| (shown, status_words(shown).split_once(' ').map_or("", |(_, words)| words), of(shown)));
    let only_shown = report.settings.iter().filter(|row| row.is_only_shown()).count();
    let only_shown = (SettingStatus::NotOnAir, "not judged", only_shown);
    let cells: Vec<_> = counted.into_iter().chain([only_shown]).filter(|(.., count)| *count > 0).collect();
    let said: Vec<String> = cells.iter().map(|(_, words, count)| format!("{count} {words}")).collect();
    html! {
        div.status-bar role="img" aria-label=(said.join(", ")) {
            @for (status, _, count) in &cells { @for _ in 0..*count { span class=(format!("st {}", status.key())) {} } }
        }
        ul.legend aria-hidden="true" { @for (status, words, count) in &cells {
            li { span class=(format!("st {}", status.key())) {} " " (words) " " strong { (count) } }
        } }
    }
}

fn values(observed: &[SeenValue]) -> Markup {
    let values = in_words(observed);
    html! {
        @if values.is_empty() { "\u{2013}" }
        @for (at, (text, frames)) in values.iter().take(6).enumerate() {
            @if at > 0 { "; " } (text) " " span.soft { "(" (frames) ")" }
        }
        @if values.len() > 6 { span.soft { "; and " (values.len() - 6) " more values" } }
    }
}

fn settings(report: &Report, on_page: bool) -> Markup {
    // What needs an eye comes first.
    let order = [
        SettingStatus::Differs,
        SettingStatus::NotSeen,
        SettingStatus::NotFilledIn,
        SettingStatus::Agrees,
        SettingStatus::NotOnAir,
    ];
    let rows = order.iter().flat_map(|status| report.settings.iter().filter(move |row| row.status == *status));
    let unstated: Vec<&SettingVerdict> =
        report.settings.iter().filter(|row| row.status == SettingStatus::NotStated).collect();
    wide(
        "Every setting and what became of it",
        &html! {
            table.settings {
                caption { "Every setting and what became of it" }
                thead { tr { th.name scope="col" { "setting" } th.status scope="col" { "verdict" } th.value scope="col" { "expected on the air" } th.value scope="col" { "seen (frames)" } th scope="col" { "how it is judged" } } }
                tbody {
                    @for row in rows {
                        tr data-fate=(row.status.key()) {
                            th scope="row" { (setting_link(row.setting, on_page)) " " code.pointer { (row.setting) } }
                            td { @let (words, class) = outcome(row); span class=(format!("word {class}")) { (words) } }
                            td { (row.meaning) }
                            td { (values(&row.observed)) }
                            td.small { (rule(row.rule)) @if on_page && !row.messages.is_empty() { span.soft { " (" (row.messages.iter().map(|message| plain(message)).collect::<Vec<_>>().join(", ")) ")" } } }
                        }
                    }
                    @if !unstated.is_empty() {
                        tr data-fate="not_stated" { td.small colspan="5" {
                            "Not stated in the profile, so nothing is expected: "
                            @for row in unstated { (row.setting.name()) " " code.pointer { (row.setting) } " \u{b7} " }
                            span.word { (status_words(SettingStatus::NotStated)) }
                            @let seen: Vec<&SettingVerdict> = report.settings.iter().filter(|row| row.status == SettingStatus::NotStated && !row.observed.is_empty()).collect();
                            @for row in seen { br; (row.setting.name()) ", seen: " (in_words(&row.observed).into_iter().map(|(text, frames)| format!("{text} ({frames})")).collect::<Vec<_>>().join("; ")) }
                        } }
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
                        th scope="row" { (changed.setting.name()) " " code.pointer { (changed.setting) } }
                        td { (values(&changed.before)) (status_words(changed.verdict_before)) }
                        td { (values(&changed.after)) (status_words(changed.verdict_after)) }
                    }
                } }
            } }))
        }
        ul {
            @for (told, title) in [(&change.gone, "no longer found"), (&change.new, "not found before"), (&change.still, "found before and now")] {
                @if !told.is_empty() { li { (title) ": " (listed(told)) } }
            }
            li { "the same in both: " (change.same) " settings" }
            @if !change.only_one.is_empty() { li { "seen in only one of the two, so not compared: " (names(&change.only_one)) } }
        }
    }
}

/// A setting with what is to be said of it.
fn remarked<'a>(rows: impl Iterator<Item = &'a SettingVerdict>, otherwise: &str) -> Markup {
    html! { ul { @for row in rows { li { strong { (row.setting.name()) } ": " (row.remark.as_deref().unwrap_or(otherwise)) } } } }
}

fn unproved(report: &Report) -> Markup {
    let of = |status: SettingStatus| report.settings.iter().filter(move |setting| setting.status == status);
    html! {
        @let missed = || of(SettingStatus::NotSeen).filter(|row| !row.is_only_shown());
        @if missed().next().is_none() { p { "Every setting that can be on the air was seen." } }
        @else { (remarked(missed(), "capture longer")) }
        @let only_shown = || report.settings.iter().filter(|row| row.is_only_shown());
        @if only_shown().next().is_some() {
            h3 { "Shown only" }
            (remarked(only_shown(), ""))
        }
        @if of(SettingStatus::NotFilledIn).next().is_some() {
            h3 { "Not filled in" }
            ul { @for row in of(SettingStatus::NotFilledIn) { li { strong { (row.setting.name()) } @if !row.observed.is_empty() { ": seen " (values(&row.observed)) } } } }
        }
        @if of(SettingStatus::NotOnAir).next().is_some() {
            h3 { "Never on the air: look at the unit and at the papers" }
            (remarked(of(SettingStatus::NotOnAir), ""))
        }
        @if !report.not_judged.is_empty() {
            h3 { "Not judged" }
            ul { @for check in &report.not_judged { li { (check.words) } } }
        }
    }
}

/// The same in a few lines, for the first page.
fn unproved_in_short(report: &Report) -> Markup {
    let named = |is: &dyn Fn(&SettingVerdict) -> bool| {
        report.settings.iter().filter(|row| is(row)).map(|row| row.setting).collect::<Vec<_>>()
    };
    let of = |status: SettingStatus| named(&|row| row.status == status && !row.is_only_shown());
    let needed = report.not_judged.iter().filter(|check| check.needed).count();
    html! {
        h2 { "Not proved by this capture" }
        @for (title, settings) in [("Not seen", of(SettingStatus::NotSeen)), ("Not filled in", of(SettingStatus::NotFilledIn)), ("Never on the air", of(SettingStatus::NotOnAir)), ("Shown only, not judged", named(&SettingVerdict::is_only_shown))] {
            @if !settings.is_empty() { p { (title) ": " (names(&settings)) "." } }
        }
        @if !report.not_judged.is_empty() { p { (counted(report.not_judged.len(), "check")) " could not be made" @if needed > 0 { ", " (needed) " of them needed" } "; the reasons are below." } }
    }
}

fn rules_used(rules: &RuleSet) -> Markup {
    html! {
        h2 { "Rules applied" }
        @if rules.name == "none" {
            p { "No regulator\u{2019}s rules were applied. " (capital(&rules.source)) "." }
        } @else {
            p { (rules.title) " (" code { (rules.name) } "), " (rules.date) "; source: " (rules.source) }
        }
        @if !rules.floors.is_empty() {
            (wide("Minimum values of the rules", &html! {
                table {
                    thead { tr { th scope="col" { "setting" } th scope="col" { "at least" } th scope="col" { "clause" } th scope="col" { "confirmed" } } }
                    tbody { @for floor in &rules.floors { tr { th scope="row" { (floor.setting.name()) } td { (floor.at_least) } td { (floor.clause) } td { (floor.confirmed) } } } }
                }
            }))
        }
    }
}

/// The verdict at a glance: a sentence, the bar, the first line of every output.
fn at_a_glance(report: &Report) -> Markup {
    html! {
        p.say { (verdict::sentence(report)) }
        @if report.not_heard.is_none() { (status_bar(report)) }
        @if report.not_heard.is_some() { p { strong.error { (capital(LOOK_AGAIN)) "." } } }
        @else if !report.near.is_empty() { p { "Heard in the clear, and near it: " (near(&report.near)) "; is one of them this aircraft?" } }
        p.small.verdict { strong class=(format!("word {}", report.verdict.key())) { (verdict_words(report.verdict)) } ". " (report.first_line()) "." }
        (doubts(&report.profile_doubts))
    }
}

/// What is wrong or doubtful in a profile by itself.
pub(super) fn doubts(all: &[Doubt]) -> Markup {
    html! {
        @if !all.is_empty() {
            p { strong { (capital(IN_THE_PROFILE)) ":" } }
            ul { @for doubt in all { li {
                span class=(format!("word {}", doubt.severity.word())) { (doubt.severity.word()) } ": " (doubt.setting.name()) ": " (doubt.reason) ". "
                strong { (capital(&doubt.correction)) "." }
            } } }
        }
    }
}

/// What the captures say under each of several rule sets.
fn under_rules(each: &[(&RuleSet, &Report)]) -> Markup {
    html! {
        @if !each.is_empty() {
            h2 { "Under each rule set" }
            (wide("Under each rule set", &html! { table {
                thead { tr { th scope="col" { "rules" } th scope="col" { "verdict" } th scope="col" { "in numbers" } th scope="col" { "what only these rules find" } } }
                tbody { @for (rules, report) in each {
                    @let alone = |finding: &&Finding| each.iter().filter(|(other, _)| other.name != rules.name)
                        .all(|(_, other)| !other.findings.iter().any(|known| known.what == finding.what));
                    tr {
                        th scope="row" { (rules.title) }
                        td { span class=(format!("word {}", report.verdict.key())) { (report.verdict.key()) } }
                        td { (report.summary.words()) }
                        td { @for finding in report.findings.iter().filter(alone) { p { (subject(finding)) ": " (finding.what) } } }
                    }
                } }
            } }))
        }
    }
}

/// The heading of the settings that are open.
const UNPROVED: &str = "What was not proved, and how to prove it";

/// The heading of a part; on the page, which has one answer at a time, a place to go to.
fn part(title: &str, on_page: bool) -> Markup {
    html! { h2 id=[on_page.then(|| place_of(title))] { (title) } }
}

fn place_of(title: &str) -> String {
    format!("part-{}", title.split([' ', ',']).next().unwrap_or_default().to_lowercase())
}

/// Everything behind the first page.
fn in_detail(
    install: &Install,
    report: &Report,
    files: &[Captured],
    rules: &RuleSet,
    each: &[(&RuleSet, &Report)],
    on_page: bool,
) -> Markup {
    let expected = install.expected();
    html! {
        @if !report.findings.is_empty() {
            (part("Findings", on_page))
            @for (at, each) in (1..).zip(&report.findings) { (finding(&expected, at, each, on_page)) }
        }
        (under_rules(each))
        section.whole {
            (part("Settings", on_page))
            (settings(report, on_page))
        }
        @if let Some(change) = &report.changes { (changes(change)) }
        (part(UNPROVED, on_page))
        (unproved(report))
        (part("Charts", on_page))
        (chart::charts(&install.profile, report))
        (part("Captures", on_page))
        (captures(files, report))
        (rules_used(rules))
    }
}

/// What captures say of one install, as part of a page.
pub fn on_page(
    install: &Install,
    report: &Report,
    files: &[Captured],
    rules: &RuleSet,
    each: &[(&RuleSet, &Report)],
) -> Markup {
    html! {
        (at_a_glance(report))
        nav.jumps aria-label="Parts of the answer" { ul {
            @for (title, short) in [("Findings", "Findings"), ("Settings", "Settings"), (UNPROVED, "Not proved"), ("Charts", "Charts"), ("Captures", "Captures")] {
                @if title != "Findings" || !report.findings.is_empty() { li { a href=(format!("#{}", place_of(title))) { (short) } } }
            }
        } }
        @if report.findings.iter().any(|finding| finding.severity != Severity::Note) { (faults(report, true)) }
        (in_detail(install, report, files, rules, each, true))
    }
}

/// How the record came about, and what is to be written beside it.
fn method(profile: &Profile) -> Markup {
    let is_stated = |setting: SettingId| matches!(setting.setting().stated(profile), Stated::Is(_));
    html! {
        h2 { "Method" }
        p { "Captured text was read line by line, and every line accounted for. A frame counts if its parity holds and its address is the aircraft's; "
            "each field that the install decides was then compared with the code that the profile gives it, place by place. Two frames or more, seconds apart, prove a setting; "
            "one frame only shows it. Nothing was transmitted by this program." }
        div.blanks {
            @if !is_stated(SettingId::TestSet) { (to_fill_in("receiver or test set: make, serial number, calibrated until")) }
            @if !is_stated(SettingId::TestPlace) { (to_fill_in("place, and how it was coupled")) }
            (to_fill_in("deviations from the method"))
        }
        p.small { (RELATES) " What was received is not all that was transmitted." }
    }
}

/// One aircraft over several captures, one row per capture.
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
                    @if changes.settings.is_empty() { "nothing that both show" } @else { (names(&changes.settings.iter().map(|changed| changed.setting).collect::<Vec<_>>())) }
                } }
            } } }
        } }))
        h2 { "What changed" }
        @if series.changed().next().is_none() { p { "Nothing that was seen changed." } }
        ul { @for changed in series.changed() { li { strong { (changed.setting.name()) } ": "
            (changed.in_words())
        } } }
    }
}

/// A record of installs: what is true of all of them, then each by itself.
fn of_installs<T>(
    kind: &str,
    subjects: &[(&Install, T, &Captured)],
    files: &[Captured],
    made: &str,
    first: &Markup,
    each: impl Fn(&Install, &T, &Captured, &str) -> Markup,
) -> String {
    let title = match subjects {
        [(install, ..)] => format!("{kind}: {}", name(&install.profile, install.address)),
        all => format!("{kind}: {} installs", all.len()),
    };
    let sources: Vec<&Captured> = subjects.iter().map(|(.., source)| *source).chain(files).collect();
    let number = number(&title, made, &sources);
    Running { title: &title, number: &number, made }.document(&html! {
        h1 { (title) }
        p { strong { "Not a release to service." } " Captured frames were compared with the install profile; nothing here was transmitted by this program." }
        (first)
        @for (install, shown, source) in subjects {
            @if subjects.len() > 1 { h2.next-page { (name(&install.profile, install.address)) } }
            (each(install, shown, source, &number))
        }
    })
}

/// The record of one aircraft over several captures; the last is shown in full.
pub fn over_time(
    subjects: &[(&Install, &Series, &Captured)],
    files: &[Captured],
    rules: &RuleSet,
    made: &str,
) -> String {
    of_installs("Install comparison over time", subjects, files, made, &html! {}, |install, series, source, number| {
        html! {
            (head(&install.profile, source, made, number))
            (series_table(series))
            (signatures(ROLES))
            (maintenance_entry())
            (cautions())
            @if let Some(last) = &series.last {
                h2 { "The last capture in full" }
                (at_a_glance(last)) (faults(last, false)) (in_detail(install, last, files, rules, &[], false))
            }
            (method(&install.profile))
        }
    })
}

/// The record of a comparison, of one install or of a fleet; `each` is what the same captures say under each of
/// several rule sets.
pub fn compared(
    subjects: &[(&Install, &Report, &Captured)],
    files: &[Captured],
    rules: &RuleSet,
    each: &[(&RuleSet, &Report)],
    made: &str,
) -> String {
    let is_fleet = subjects.len() > 1;
    let overview = html! { @if is_fleet { (fleet(subjects)) (signatures(ROLES)) (cautions()) } };
    of_installs("Install comparison record", subjects, files, made, &overview, |install, report, source, number| {
        html! {
            // The first page is the document; what follows is what it rests on.
            section.first {
                (at_a_glance(report))
                (head(&install.profile, source, made, number))
                p.small { "Captures: "
                    @for (at, file) in files.iter().enumerate() { @if at > 0 { "; " } (file.name) @if let Some((from, to)) = file.accounting.times { ", " (format!("{from:.3} s to {to:.3} s")) } }
                    ". " (counted(report.capture.of_this_aircraft as usize, "frame")) " of this aircraft. Rules: " (rules.title) "." }
                h2 { "Faults, the most serious first" }
                (faults(report, false))
                (unproved_in_short(report))
                @if !is_fleet { (signatures(ROLES)) (maintenance_entry()) (cautions()) }
            }
            (in_detail(install, report, files, rules, each, false))
            (method(&install.profile))
        }
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
                        span class=(format!("word {}", fault.severity.word())) { (fault.severity.word()) } " " strong { (plain_of_pointer(&fault.setting)) } ": " (fault.what)
                        br; (fault.likely) "; " (fault.correction)
                    } }
                    @for doubt in &row.doubts { p { "in the profile: " (doubt) } }
                    @if row.faults.is_empty() && row.heard_as.is_some() {
                        (row.open)
                    }
                    @if !row.near.is_empty() { p { "heard in the clear, and near its own: " (near(&row.near)) } }
                }
            } } }
        } }))
    }
}

/// The name of a setting, by its pointer.
fn plain_of_pointer(pointer: &str) -> &str {
    crate::profile::setting(pointer).map_or(pointer, |setting| setting.name)
}

/// What an aircraft is called.
pub(super) fn name(profile: &Profile, address: Address) -> String {
    profile.registration.get().map_or_else(|| address.to_string(), |mark| format!("{} ({address})", mark.0))
}

/// At most this many places on the air of one setting are in its row; the others are in the list of frames.
const MOST_PLACES: usize = 2;

/// The settings of the intended-install record: a box to tick, the value, its place on the air, where it is taken from, and
/// room for what was read, by whom and where.
fn rows(sheet: &Sheet) -> Markup {
    wide(
        "Every setting of the install",
        &html! {
            table.sheet {
                caption { "Every setting, to be ticked when it is set and read back" }
                thead { tr {
                    th.thin scope="col" { "set" } th scope="col" { "setting" } th scope="col" { "value" }
                    th scope="col" { "on the air" } th scope="col" { "taken from: document, page" } th scope="col" { "initials" }
                } }
                tbody { @for row in &sheet.rows {
                    tr {
                        td.tick { "\u{2610}" }
                        th scope="row" { (row.setting.name) " " code.pointer { (row.setting.pointer) } }
                        td { @match &row.value {
                            Stated::Is(value) => { strong { (value) } }
                            Stated::ToBeFilledIn => { (to_fill_in("to be filled in")) }
                            Stated::NotStated => { "not stated" }
                        } }
                        td.small {
                            @for place in row.places.iter().take(MOST_PLACES) {
                                div { (plain(place.field)) " " span.mono { (place.digits()) } ": " (place.meaning) span.soft { "; " (place.bits()) } }
                            }
                            @if row.places.len() > MOST_PLACES { div.soft { "and " (counted(row.places.len() - MOST_PLACES, "more place")) } }
                            @if let Some(remark) = &row.remark { (remark) }
                        }
                        td { (to_fill_in(row.setting.taken_from.words())) }
                        td {}
                    }
                } }
            }
        },
    )
}

/// Where each setting is on the air: every place.
fn places(sheet: &Sheet) -> Markup {
    wide(
        "Where each setting is on the air",
        &html! { table {
            thead { tr { th scope="col" { "setting" } th scope="col" { "field" } th scope="col" { "bits" } th scope="col" { "messages" } } }
            tbody { @for row in &sheet.rows { @for place in &row.places {
                tr {
                    th scope="row" { (row.setting.name) } td { (plain(place.field)) " " span.mono { (place.digits()) } ": " (place.meaning) } td { (place.bits()) }
                    td.small { (place.messages.iter().map(SheetMessage::words).collect::<Vec<_>>().join("; ")) }
                }
            } } }
        } },
    )
}

/// The intended-install record.
pub fn intended(profile: &Profile, sheet: &Sheet, source: &Captured, made: &str) -> String {
    let address = profile.address.get().copied().unwrap_or(Address::new(0));
    let title = format!("Intended install: {}", name(profile, address));
    let number = number(&title, made, &[source]);
    Running { title: &title, number: &number, made }.document(&html! {
        h1 { (title) }
        p { strong { "Not a release to service." } " What is to be set, and what later captures are compared with." }
        (head(profile, source, made, &number))
        div.blanks { (to_fill_in("aircraft serial number")) (to_fill_in("set by, date")) (to_fill_in("measured or looked up by, date")) (to_fill_in("read back by, date")) }
        p.small { (sheet.held_against) }
        @if let Some(why) = &sheet.no_frames { p { strong { "What it sends is not known: " } (why) } }
        h2 { "Checks of the profile" }
        @if sheet.problems.is_empty() { p { "Nothing was found." } }
        ul.small { @for problem in &sheet.problems {
            li { span class=(format!("word {}", problem.severity.word())) { (problem.severity.word()) } ": " (plain_of_pointer(&problem.pointer)) ": " (problem.reason) "; " (problem.correction) }
        } }
        h2 { "Settings" }
        (rows(sheet))
        (chart::antenna(profile))
        @if !sheet.unseen.is_empty() {
            h2 { "What the rules ask for and no frame shows" }
            ul { @for unseen in &sheet.unseen { li { (to_fill_in(unseen)) } } }
        }
        h2 { "Figures of the test set, which no frame shows" }
        ul { @for (clause, words) in figure_rows() { li { (to_fill_in(&format!("{words} {clause}"))) } } }
        p.small { (FIGURES_SOURCE) "." }
        (signatures(ROLES))
        (maintenance_entry())
        h2 { "Where each setting is on the air" }
        (places(sheet))
        (cautions())
    })
}

/// The record of what an install sends.
pub fn transmitted(profile: &Profile, emissions: &[Emission], source: &Captured, made: &str) -> String {
    let address = profile.address.get().copied().unwrap_or(Address::new(0));
    let title = format!("What the install transmits: {}", name(profile, address));
    let unseen = not_in(profile, emissions);
    let number = number(&title, made, &[source]);
    Running { title: &title, number: &number, made }.document(&html! {
        h1 { (title) }
        p { strong { "Not a release to service." } " Computed from the install profile; nothing here was received or transmitted." }
        (head(profile, source, made, &number))
        h2 { "Settings" }
        (wide("The settings of the install", &html! {
            table.stated {
                caption { "Settings" }
                thead { tr { th scope="col" { "setting" } th scope="col" { "as stated" } } }
                tbody { @for setting in SETTINGS.iter().filter(|setting| setting.is_on_record(profile)) {
                    tr { th scope="row" { (setting.name) " " code.pointer { (setting.pointer) } } td { (stated(profile, setting.id)) } }
                } }
            }
        }))
        (chart::antenna(profile))
        (signatures(ROLES))
        h2 { "Frames" }
        p { "Coloured and lettered bits are decided by the install; bits marked \u{b7} are the flight's." }
        @for each in emissions { (emission(each, false)) }
        @if !unseen.is_empty() {
            h2 { "Settings that appear in none of these frames" }
            ul { @for (setting, reason) in &unseen { li { strong { (setting.name()) } ": " (reason) } } }
        }
        (cautions())
    })
}

/// The record of an altitude run: every row as it was read, and what was judged of it.
pub fn altitude_run(run: &Run, source: &Captured, made: &str) -> String {
    let title = "Altitude run";
    let number = number(title, made, &[source]);
    Running { title, number: &number, made }.document(&html! {
        h1 { (title) }
        p { strong { "Not a release to service." } " " (ADDITION) }
        p.say { @if run.differs() { "Something is beyond its tolerance, or the outputs contradict one another." } @else if run.leaves_unjudged() { "Not everything that was read could be judged." } @else { "Nothing that was read is beyond its tolerance." } }
        p { (run.still_open()) }
        dl.facts.paired {
            dt { "Readings" } dd { (source.name) }
            dt { "Record" } dd { (number) ", made " (made) }
            dt { "Made by" } dd { "squitterlab " (env!("CARGO_PKG_VERSION")) }
            dt { "SHA-256" } dd.hash { @match &source.digest { Some((digest, _)) => { (digest) } None => { "not kept" } } }
        }
        div.blanks { (to_fill_in("aircraft: registration, serial number")) (to_fill_in("altimeter: make, serial number")) (to_fill_in("altitude source: make, serial number")) (to_fill_in("test set: make, serial number, calibrated until")) }
        section.cautions aria-label="Stop" {
            strong { "Stop" }
            ul { @for stop in stops(ALTITUDE_RUN) { li { (stop) } } }
        }
        @for (title, found) in run.sections() {
            h2 { (title) }
            ul { @for item in found { li { (item) } } }
        }
        h2 { "The readings" }
        (wide("The readings", &html! { table {
            thead { tr {
                th scope="col" { "from" } th.number scope="col" { "set" } th.number scope="col" { "altimeter" }
                @for output in OUTPUTS { th.number scope="col" { (output) } }
            } }
            tbody { @for row in &run.rows { tr {
                th scope="row" { @if row.up { "below" } @else { "above" } }
                td.number { (spaced(row.set_ft.into())) " ft" } td.number { (row.altimeter) }
                @for read in row.outputs { td.number { (read) } }
            } } }
        } }))
        (signatures(ROLES))
        (maintenance_entry())
        (cautions())
    })
}

/// The record of a change of identity: every place where it lives, before and after, to be ticked.
pub fn identity(sheet: &IdentitySheet, made: &str) -> String {
    let title = format!("Change of identity: {}", sheet.title);
    let number = number(&title, made, &[&Captured::named(&sheet.text())]);
    Running { title: &title, number: &number, made }.document(&html! {
        h1 { (title) }
        p { strong { "Not a release to service." } " The State's register decides about mark and address; none was looked up here." }
        p.small { "Record " (number) ", made " (made) " by squitterlab " (env!("CARGO_PKG_VERSION")) "." }
        div.blanks { (to_fill_in("date")) (to_fill_in("place")) (to_fill_in("done by")) (to_fill_in("checked by")) }
        h2 { "Where the identity lives" }
        (wide("Where the identity lives", &html! { table.sheet {
            thead { tr { th.thin scope="col" { "done" } th scope="col" { "place" } th scope="col" { "before" } th scope="col" { "after" } th scope="col" { "what to do" } th scope="col" { "initials" } } }
            tbody { @for place in &sheet.places { tr {
                td.tick { "\u{2610}" } th scope="row" { (place.place) } td { (place.before) } td { strong { (place.after) } } td { (place.how) } td {}
            } } }
        } }))
        h2 { "If a unit moves to another aircraft, these settings go with the aircraft" }
        @if sheet.differing.is_empty() && sheet.unknown.is_empty() { p { "None of them differs." } } @else {
            (wide("Settings that go with the aircraft", &html! { table {
                thead { tr { th.thin scope="col" { "done" } th scope="col" { "setting" } th scope="col" { "before" } th scope="col" { "after" } } }
                tbody {
                    @for (setting, old, new) in &sheet.differing { tr { td.tick { "\u{2610}" } th scope="row" { (setting.name()) } td { (old) } td { strong { (new) } } } }
                    @for setting in &sheet.unknown { tr { td.tick { "\u{2610}" } th scope="row" { (setting.name()) } td colspan="2" { "to be compared by hand" } } }
                }
            } }))
        }
        (signatures(ROLES))
        (maintenance_entry())
        (cautions())
    })
}

/// The record of altitude readings: the correspondence, and which faults of the wires explain it.
pub fn correspondence(readings: &[AltitudeReading], diagnosis: &Diagnosis, source: &Captured, made: &str) -> String {
    let title = "Altitude readings";
    let within = readings.iter().filter(|reading| reading.within_tolerance()).count();
    let exact = readings.iter().filter(|reading| reading.exact()).count();
    let number = number(title, made, &[source]);
    Running { title, number: &number, made }.document(&html! {
        h1 { (title) }
        p { strong { "Not a release to service." } " " (ADDITION) }
        p.say {
            (within) " of " (readings.len()) " readings are within the " (TOLERANCE_FT) " ft tolerance, "
            (exact) " of " (readings.len()) " readings are exactly right."
        }
        dl.facts.paired {
            dt { "Readings" } dd { (source.name) }
            dt { "Record" } dd { (number) ", made " (made) }
            dt { "Made by" } dd { "squitterlab " (env!("CARGO_PKG_VERSION")) }
            dt { "SHA-256" } dd.hash { @match &source.digest { Some((digest, _)) => { (digest) } None => { "not kept" } } }
        }
        section.cautions aria-label="Stop" {
            strong { "Stop" }
            ul { @for stop in stops(ALTITUDE_RUN) { li { (stop) } } }
        }
        h2 { "What the readings say" }
        @for sentence in conclusion(readings, diagnosis) { p { (sentence) } }
        @if let Needs::Wires(_) = diagnosis.needs {
            h2 { "What explains the readings best" }
            p.small { (MODEL) }
            ol { @for fit in diagnosis.fits.iter().take(diagnosis.equal.clamp(1, 8)) {
                li {
                    (fit.explanation) ": " (fit.readings) " of " (readings.len()) " readings"
                    @if !fit.alike.is_empty() { "; no altitude distinguishes it from: " (fit.alike.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")) }
                }
            } }
            @if let Some(next) = &diagnosis.next { p { "To tell them apart, set " strong { (spaced(next.set_ft.into())) " ft" } " next." } }
        }
        h2 { "Correspondence" }
        (chart::correspondence(readings))
        (signatures(ROLES))
        (maintenance_entry())
        (cautions())
    })
}
