//! Plain text for people; readable without colour.

use super::by_version::{MeaningsByVersion, same_in};
use super::json::{Place, emission_message};
use super::on_air;
use super::{CAUTIONS, ruler, track_output};
pub(crate) use crate::code::counted;
use crate::downlink::Decoded;
use crate::frame::Span;
use crate::onair::Emission;
use crate::profile::{Problem, RuleSet, SettingId, Severity, names};
use crate::track::Observation;
use std::borrow::Cow;
use std::cell::Cell;
use std::fmt::Write;

/// Width of lines that are folded.
const WIDTH: usize = 100;

/// Units that stay on the line of their number.
const UNITS: [&str; 14] = ["ft", "m", "kt", "ft/min", "NM", "s", "min", "lb", "kg", "mph", "km/h", "%", "MHz", "deg"];

/// The words of a text; digits in groups of three, and a number with its unit, are one word.
pub(super) fn together(text: &str) -> impl Iterator<Item = Cow<'_, str>> {
    let is_digit = |c: char| c.is_ascii_digit();
    let mut words = text.split_whitespace().peekable();
    std::iter::from_fn(move || {
        let mut whole = Cow::Borrowed(words.next()?);
        while whole.ends_with(is_digit)
            && let Some(next) = words.next_if(|next| {
                let bare = next.trim_end_matches([',', ';', '.', ':', ')']);
                bare.len() == 3 && bare.chars().all(is_digit) || UNITS.contains(&bare)
            })
        {
            whole = Cow::Owned(format!("{whole} {next}"));
        }
        Some(whole)
    })
}

thread_local! {
    /// Where the lines are narrower than usual.
    static NARROW: Cell<usize> = const { Cell::new(WIDTH) };
}

/// Folds everything that is written meanwhile into lines of this width; 100 at most, as everywhere else.
pub fn at_width<T>(width: usize, write: impl FnOnce() -> T) -> T {
    let before = NARROW.replace(width.min(WIDTH));
    let written = write();
    NARROW.set(before);
    written
}

/// How wide the lines are.
pub(crate) fn width() -> usize {
    NARROW.get()
}

/// Folds text into lines of at most 100 characters, each after `indent` spaces; the first line starts with `lead`.
pub fn folded(lead: &str, indent: usize, text: &str) -> String {
    match width() {
        WIDTH => folded_to(WIDTH, lead, indent, text),
        // A deep indent would leave no room.
        narrow => folded_to(narrow, lead, indent.min(narrow / 2), text),
    }
}

/// The same with lines of another width.
pub fn folded_to(width: usize, lead: &str, indent: usize, text: &str) -> String {
    let mut out = String::new();
    let mut line = lead.to_owned();
    let mut empty = true;
    for word in together(text) {
        if !empty && line.chars().count() + 1 + word.chars().count() > width {
            out.push_str(line.trim_end());
            out.push('\n');
            line = " ".repeat(indent);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(&word);
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
    out
}

/// A line that is folded on a narrow terminal alone.
pub(crate) fn line(indent: usize, text: &str) -> String {
    if text.chars().count() <= width() || width() == WIDTH { format!("{text}\n") } else { folded("", indent, text) }
}

/// A row of a table whose columns are two or more spaces apart: it stays as it is where there is room, and is broken
/// between columns where there is not.
pub(crate) fn row(indent: usize, text: &str) -> String {
    let fits = |text: &str| text.chars().count() <= width();
    // What is too long even between columns is folded as words.
    let whole = |text: &str| {
        let start = text.len() - text.trim_start().len();
        if fits(text) { format!("{}\n", text.trim_end()) } else { folded(&text[..start], indent, text) }
    };
    if fits(text) {
        return whole(text);
    }
    let start = text.len() - text.trim_start().len();
    let (mut out, mut line) = (String::new(), " ".repeat(start));
    for cell in text.split("  ").map(str::trim).filter(|cell| !cell.is_empty()) {
        let longer = if line.trim().is_empty() { format!("{line}{cell}") } else { format!("{line}  {cell}") };
        line = if fits(&longer) || line.trim().is_empty() {
            longer
        } else {
            out += &whole(&line);
            format!("{:indent$}{cell}", "")
        };
    }
    out + &whole(&line)
}

/// Text with every character that gives orders to a terminal, or turns the direction of reading, written as JSON
/// escapes it. Names, notes and marks come from others.
pub fn printable(text: &str) -> Cow<'_, str> {
    let orders = |c: char| {
        c.is_control() && !matches!(c, '\n' | '\t')
            || matches!(c, '\u{61C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
    };
    if !text.contains(orders) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if orders(c) {
            let _ = write!(out, "\\u{:04x}", u32::from(c));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// Several things in a row, with commas.
pub fn listed(all: &[impl ToString]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// The cautions, folded.
pub fn cautions() -> String {
    folded("CAUTION  ", 9, &CAUTIONS.join(" "))
}

/// What must be so before a test begins, a paragraph each.
pub fn stop_lines(indent: usize, stops: &[&str]) -> String {
    let lead = format!("{:indent$}STOP  ", "");
    stops.iter().map(|stop| folded(&lead, lead.len(), stop)).collect()
}

/// One captured frame in two or more lines.
pub fn frame(place: &Place<'_>, decoded: &Decoded, observation: &Observation) -> String {
    let line = if place.file.is_some() { format!("{:>6}  ", place.line) } else { String::new() };
    let time = place.time.map_or_else(String::new, |time| format!("{time:.3} s  "));
    let mut out = format!("{line}{time}{}  {}\n", decoded.frame, decoded.title());
    out += &folded("        ", 8, &ruler::address_and_parity(decoded, observation));
    for remark in ruler::register_remarks(decoded) {
        out += &folded("        ", 10, &remark);
    }
    let reading = MeaningsByVersion::new(decoded, observation.version);
    let words = |fields: &[(&'static str, crate::code::Meaning)]| {
        fields.iter().map(|(name, meaning)| format!("{name}: {}", meaning.words())).collect::<Vec<_>>().join("; ")
    };
    if !reading.fields.is_empty() {
        out += &folded("        ", 8, &words(&reading.fields));
    }
    for (numbers, fields) in same_in(&reading.by_version) {
        out += &folded("        ", 10, &format!("if version {numbers}: {}", words(fields)));
    }
    if let Some(note) = &reading.note {
        out += &folded("        ", 8, note);
    }
    for line in track_output::words(observation, 5) {
        out += &folded("        ", 10, &line);
    }
    out
}

/// Every frame of an install, to be read beside a test set.
pub fn emissions(emissions: &[Emission], unseen: &[(SettingId, String)]) -> String {
    let mut out = cautions();
    for emission in emissions {
        let title = if emission.address_in_parity { emission.envelope.title } else { emission.table.title };
        let asked = emission.reply_to.map_or_else(String::new, |by| format!(", in reply to {by}"));
        out.push('\n');
        let state = emission.when.words();
        out += &folded("", 4, &format!("{title} ({}), {state}{asked}", emission_message(emission)));
        let _ = writeln!(out, "  frame    {}", emission.frame);
        let _ = writeln!(out, "  decided  {}", emission.decided_digits());
        for decision in &emission.decisions {
            out += &decided_line(decision, "");
        }
        for used in &emission.used {
            out += &decided_line(used, &format!(" ({})", used_words(used)));
        }
        if let Some(unsettled) = emission.unsettled {
            out += &folded("    not settled      ", 21, unsettled);
        }
        if emission.address_in_parity {
            let lead = format!("    {:<38}", "parity");
            let by = SettingId::Address.name();
            out += &folded(&lead, 42, &format!("address: XORed onto the last 24 bits <- {by}"));
        }
        if emission.decisions.is_empty() && emission.used.is_empty() && !emission.address_in_parity {
            let _ = writeln!(out, "    no setting decides a bit of it");
        }
    }
    if !unseen.is_empty() {
        let _ = writeln!(out, "\nsettings that appear in none of these frames");
        for (setting, reason) in unseen {
            out += &folded("  ", 6, &format!("{}: {reason}", setting.name()));
        }
    }
    out
}

/// What is to be said of a field that the crew may change.
pub(crate) fn used_words(used: &crate::onair::Decision) -> String {
    match used.preset() {
        None => "the crew decides; this is the preset".to_owned(),
        Some(preset) => format!("the crew decides; preset {}", preset.words()),
    }
}

fn decided_line(decision: &crate::onair::Decision, remark: &str) -> String {
    let span = decision.span;
    let message = if span.first > 32 && span.last <= 88 {
        format!("message {}", Span::new(span.first - 32, span.last - 32))
    } else {
        String::new()
    };
    let width = usize::from(span.width());
    let bits = if width > 13 {
        format!("{:0digits$X}h", decision.code, digits = width.div_ceil(4))
    } else {
        format!("{:0width$b}", decision.code)
    };
    let lead = format!("    {:<8}{message:<15} {bits:<14} ", format!("{span}"));
    let by = names(decision.settings);
    folded(&lead, 42, &format!("{}: {}{remark} <- {by}", decision.field, decision.expected().words()))
}

/// The problems of a profile, one or more lines each.
pub fn problems(file: &str, problems: &[Problem]) -> String {
    let mut out = String::new();
    for problem in problems {
        let place =
            if problem.line == 0 { file.to_owned() } else { format!("{file}:{}:{}", problem.line, problem.column) };
        let pointer = if problem.pointer.is_empty() { "the whole file" } else { problem.pointer.as_str() };
        out +=
            &folded(&format!("{place}: {}: ", problem.severity.word()), 4, &format!("{pointer}: {}", problem.reason));
        out += &folded("    ", 4, &format!("-> {} [{}]", problem.correction, problem.rule));
        // A note says that something is open; what is wrong or doubtful is seen on the air.
        if let (true, Some(places)) = (problem.severity != Severity::Note, on_air::briefly(&problem.pointer)) {
            out += &folded("    on the air at: ", 6, &places);
        }
    }
    let count = |severity: Severity| {
        counted(problems.iter().filter(|problem| problem.severity == severity).count(), severity.word())
    };
    let counts = [Severity::Error, Severity::Warning, Severity::Note].map(count).join(", ");
    // Nothing wrong in what is stated is not yet a whole profile.
    let open = match problems.iter().filter(|problem| problem.is_open()).count() {
        0 => String::new(),
        open => format!("; {} still open", counted(open, "setting")),
    };
    let _ = writeln!(out, "{file}: {counts}{open}");
    out
}

/// Which rules a profile was checked against, and why these.
pub fn held_against(rules: &RuleSet, why: &str) -> String {
    if rules.name == "none" {
        return folded("no rule set applied ", 4, &format!("({why})"));
    }
    folded("checked against ", 4, &format!("{}: {}, {} ({why})", rules.name, rules.title, rules.date))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_groups_and_its_unit() {
        // Wherever the fold falls: from the beginning of the line to its end.
        for before in 0..2 * WIDTH {
            let text = format!("{} from 15 500 to 75 000 lb, at 41.7 ft, 99 % of 1 278 codes", "x".repeat(before));
            let folded = folded("", 4, &text);
            for whole in ["15 500 ", "75 000 lb,", "41.7 ft,", "99 % ", "1 278 "] {
                let line = folded.lines().any(|line| format!("{line} ").contains(whole));
                assert!(line, "{whole}: {folded}");
            }
            assert!(folded.lines().all(|line| line.chars().count() <= WIDTH || !line.trim().contains(' ')), "{folded}");
        }
    }

    #[test]
    fn a_row_is_broken_between_its_columns_and_loses_nothing() {
        let cells: Vec<String> = (0..7).map(|at| format!("{}.{at} ({at})", "1".repeat(at + 1))).collect();
        let text = format!("    {}", cells.join("   "));
        let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        for width in 20..=WIDTH {
            let broken = at_width(width, || row(6, &text));
            assert_eq!(flat(&broken), flat(&text));
            for line in broken.lines() {
                assert!(line.chars().count() <= width, "{width}: {line:?}");
                let whole = cells.iter().filter(|cell| line.contains(cell.as_str())).count();
                assert!(width < 22 || whole == line.matches('(').count(), "{width}: {line:?}");
            }
        }
        assert_eq!(row(6, &text), format!("{text}\n"));
    }

    #[test]
    fn orders_to_a_terminal_are_written_out() {
        assert_eq!(printable("a\tb\nc \u{1B}[2J\u{202E}\u{9B}\u{7F}é"), "a\tb\nc \\u001b[2J\\u202e\\u009b\\u007fé");
        assert!(matches!(printable("plain\n"), Cow::Borrowed(_)));
    }
}
