//! The card for the ramp as one document of at most two pages, A4 or Letter.

use super::record::document;
use crate::present::card::{Card, TEST_IDENTITY, figure_rows};
use crate::profile::figures::FIGURES_SOURCE;
use maud::{PreEscaped, html};

/// Small, since two pages are what a clipboard holds; dark on light on any screen, since it is for paper.
const STYLE: &str = "
main.card { max-width: 48rem; font-size: 8.4pt; line-height: 1.16; padding: .6rem; }
.card h1 { font-size: 12pt; margin: 0; }
.card h2 { font-size: 9.5pt; margin: .45rem 0 .1rem; break-after: avoid; }
.card p, .card ul { margin: .12rem 0; }
.card ul { padding-left: 1.1rem; }
.card .stop { border: 2px solid; padding: .1rem .4rem; margin: .25rem 0; }
.card table { width: 100%; border-collapse: collapse; font-size: inherit; table-layout: fixed; }
.card td, .card th { border: 1px solid; padding: 0 .3rem; text-align: left; vertical-align: top; font-weight: inherit; overflow-wrap: anywhere; }
.card tr { break-inside: avoid; }
.card .box { width: 1.5rem; text-align: center; }
.card .initials { width: 3.4rem; }
.card .name { width: 31%; }
.card .code { width: 24%; font-family: monospace; font-size: 7.6pt; }
.card .fill { display: inline-block; border-bottom: 1px solid; min-width: 7rem; }
@media print { @page { margin: 11mm; } main.card { padding: 0; max-width: none; } }
";

/// The card.
pub fn card(card: &Card, made: &str) -> String {
    let title = format!("Ramp card: {}", card.title);
    let body = html! {
        style { (PreEscaped(STYLE)) }
        h1 { (title) }
        p { "date " span.fill {} " place " span.fill {} " done by " span.fill {} " checked by " span.fill {} }
        section.stop aria-label="Stop" {
            ul { @for stop in &card.stops { li { strong { "STOP " } (stop) } } }
            p { (TEST_IDENTITY) }
        }
        @if let Some(why) = &card.no_frames { p { strong { "What it sends is not known: " } (why) } }
        @for step in &card.steps {
            h2 { (step.title) ": " (step.how) }
            table { tbody {
                @for line in &step.lines {
                    tr {
                        td.box { "\u{2610}" } th.name scope="row" { (line.setting.name) } td { (line.value) }
                        td.code { (line.code) } td.initials {}
                    }
                }
            } }
        }
        @if !card.open.is_empty() { p { strong { "Not filled in, so not on this card: " } (card.open.join("; ")) } }
        h2 { "Figures of the test set, which no frame shows" }
        table { tbody {
            @for (clause, words) in figure_rows() {
                tr { th scope="row" { (words) " " (clause) } td.code {} td.initials {} }
            }
        } }
        p { (FIGURES_SOURCE) ". Made " (made) " by squitterlab " (env!("CARGO_PKG_VERSION")) ". This card releases nothing: sign the release in the proper record." }
    };
    document("card", &title, &body)
}
