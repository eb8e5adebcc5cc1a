//! The record of what a person read off a test set or a report: evidence of its own kind, which the record says.

use super::record::{Running, cautions, doubts, head, name, number, signatures};
use super::wide;
use crate::capture::Captured;
use crate::compare::Install;
use crate::compare::readback::{LineVerdict, ReadbackReport};
use crate::profile::figures::FIGURES_SOURCE;
use crate::profile::names;
use maud::{Markup, html};

/// The mark and the word of what became of a value.
pub const fn mark(verdict: LineVerdict) -> &'static str {
    match verdict {
        LineVerdict::Agrees => "\u{2713} agrees",
        LineVerdict::Differs => "\u{2260} differs",
        LineVerdict::NotRead => "? not read",
        LineVerdict::Recorded => "\u{2013} recorded",
    }
}

/// What differs, why and what to do.
pub fn findings(report: &ReadbackReport) -> Markup {
    html! {
        (doubts(&report.profile_doubts))
        @for found in &report.findings { article.finding {
            h3 { span class="word error" { "error" } ": " (names(&found.explains)) }
            p { (found.what) }
            dl.facts {
                dt { "likely cause" } dd { (found.likely_cause) " " code { "(" (found.cause) @if let Some(and) = found.and_cause { ", " (and) } ")" } }
                @if !found.alternatives.is_empty() {
                    dt { "it may also be" }
                    dd { @for other in &found.alternatives { span {
                        (other.cause.replace('_', " ")) @if !other.detail.is_empty() { " (" (other.detail) ")" } @if other.indistinguishable { ", which these values cannot tell apart" } br;
                    } } }
                }
                dt { "correction" } dd { (found.correction) }
                dt { "judged by" } dd { (found.rule) }
            }
        } }
    }
}

/// The record; `read` is the form with its digest, where there is one.
pub fn read_back(
    install: &Install,
    report: &ReadbackReport,
    source: &Captured,
    read: Option<&Captured>,
    made: &str,
) -> String {
    let title = format!("Read-back record: {}", name(&install.profile, install.address));
    let files: Vec<&Captured> = std::iter::once(source).chain(read).collect();
    let number = number(&title, made, &files);
    Running { title: &title, number: &number, made }.document(&html! {
            h1 { (title) }
            p { strong { "Not a release to service." } " Evidence: " (report.evidence) "." }
            (head(&install.profile, source, made, &number))
            dl.facts {
                @for (name, typed) in report.head() { dt { (name) } dd { (typed) } }
                @if let Some(read) = read {
                    dt { "form" } dd { (read.name) }
                    dt { "its SHA-256" } dd.hash { @match &read.digest { Some((digest, _)) => { (digest) } None => { "not kept" } } }
                }
            }
            p.verdict { strong { (report.first_line()) "." } }
            h2 { "Findings" }
            @if report.findings.is_empty() { p { "None." } }
            (findings(report))
            h2 { "Values" }
            (wide("Every value, what was expected and what was shown", &html! { table {
                caption { "Every value, what was expected and what was shown" }
                thead { tr { th scope="col" { "value" } th scope="col" { "verdict" } th scope="col" { "expected" } th scope="col" { "shown" } } }
                tbody { @for line in &report.lines { tr {
                    th scope="row" { (line.step.word()) ": " (line.name) span.about { (line.message) } }
                    td { (mark(line.verdict)) }
                    td { (line.expected) @if let Some(code) = line.code { " (code " (code) ")" } }
                    td { @match (&line.typed, &line.shown) {
                        (Some(typed), Some(shown)) => { (typed) @if typed != shown { " (" (shown) ")" } }
                        _ => { "____________" }
                    } }
                } } }
            } }))
            h2 { "Figures of the test set, which no frame shows" }
            (wide("Figures of the test set", &html! { table {
                thead { tr { th scope="col" { "figure" } th scope="col" { "read" } th scope="col" { "verdict" } th scope="col" { "limits" } } }
                tbody { @for figure in &report.figures { tr {
                    th scope="row" { (figure.name) }
                    td { @match &figure.typed { Some(typed) => { (typed) } None => { "____________" } } }
                    td { (figure.verdict.replace('_', " ")) @if let Some(remark) = &figure.remark { "; " (remark) } }
                    td { (figure.limits) " " (figure.clause) }
                } } }
            } }))
            p.small { (FIGURES_SOURCE) "." }
            @if !report.not_filled_in.is_empty() {
                h2 { "Not filled in, so nothing is expected" }
                p { (names(&report.not_filled_in)) }
            }
            (signatures(&["set up by", "read by", "checked by"]))
            (cautions())
    })
}
