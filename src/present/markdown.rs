//! Shows Markdown on a terminal, and on the page as HTML.

use super::text::{folded_to, together, width};
use anstyle::{AnsiColor, Style};
use maud::{Markup, PreEscaped};
use pulldown_cmark::html::push_html;
use pulldown_cmark::{CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd};
use std::fmt::Write;

/// What stands for a link: `None` if it leads to nothing that can be named here.
pub type Leads<'a> = &'a dyn Fn(&str) -> Option<String>;

fn parser(markdown: &str) -> Parser<'_> {
    Parser::new_ext(markdown, Options::ENABLE_TABLES)
}

/// A heading of a text.
#[derive(Clone, Debug)]
pub struct Heading {
    /// Its words.
    pub words: String,
    /// Its name in links, as rustdoc makes it: the words in small letters with hyphens between them.
    pub name: String,
    level: HeadingLevel,
    starts: usize,
}

/// The headings of a text, in their order.
pub fn headings(markdown: &str) -> Vec<Heading> {
    let mut found: Vec<Heading> = Vec::new();
    let mut is_inside = false;
    for (event, place) in parser(markdown).into_offset_iter() {
        match event {
            Event::Start(Tag::Heading { level, .. }) => {
                found.push(Heading { words: String::new(), name: String::new(), level, starts: place.start });
                is_inside = true;
            }
            Event::End(TagEnd::Heading(_)) => is_inside = false,
            Event::Text(words) | Event::Code(words) if is_inside => {
                if let Some(heading) = found.last_mut() {
                    heading.words += &words;
                }
            }
            _ => {}
        }
    }
    for heading in &mut found {
        let kept = heading.words.chars().filter(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | ' '));
        heading.name = kept.map(|c| if c == ' ' { '-' } else { c.to_ascii_lowercase() }).collect();
    }
    found
}

/// What is under the heading of this name, with the headings below it.
pub fn section<'a>(markdown: &'a str, name: &str) -> Option<&'a str> {
    let all = headings(markdown);
    let at = all.iter().position(|heading| heading.name == name)?;
    let next = all[at + 1..].iter().find(|next| next.level <= all[at].level);
    markdown.get(all[at].starts..next.map_or(markdown.len(), |next| next.starts))
}

/// The text as HTML: headings one level down, since the page has its own title, their names behind `prefix`. Markup in the
/// text is shown as text.
pub fn markup(markdown: &str, prefix: &str, leads: Leads<'_>) -> Markup {
    let mut names = headings(markdown).into_iter().map(|heading| heading.name);
    let as_is = |html: &'static str| Event::Html(CowStr::Borrowed(html));
    let mut is_link = Vec::new();
    let mut is_code = false;
    let events = parser(markdown).filter_map(|event| {
        is_code = match event {
            Event::Start(Tag::CodeBlock(_)) => true,
            Event::End(TagEnd::CodeBlock) => false,
            _ => is_code,
        };
        Some(match event {
            Event::Start(Tag::Heading { level, .. }) => {
                let id = names.next().map(|name| format!("{prefix}{name}").into());
                Event::Start(Tag::Heading { level: below(level), id, classes: Vec::new(), attrs: Vec::new() })
            }
            Event::End(TagEnd::Heading(level)) => Event::End(TagEnd::Heading(below(level))),
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                let to = leads(&dest_url);
                is_link.push(to.is_some());
                Event::Start(Tag::Link { link_type, dest_url: to?.into(), title, id })
            }
            Event::End(TagEnd::Link) if is_link.pop() == Some(false) => return None,
            Event::Start(Tag::CodeBlock(_)) => as_is("<pre class=\"small\" tabindex=\"0\">"),
            Event::End(TagEnd::CodeBlock) => as_is("</pre>\n"),
            Event::Html(html) | Event::InlineHtml(html) => Event::Text(html),
            Event::Text(text) if !is_code => Event::Text(unbroken(&text).into()),
            other => other,
        })
    });
    let mut out = String::with_capacity(markdown.len() * 5 / 4);
    push_html(&mut out, events);
    PreEscaped(out)
}

/// The text with numbers that no line breaks from their units.
fn unbroken(text: &str) -> String {
    together(text)
        .filter(|word| word.contains(' '))
        .fold(text.to_owned(), |text, word| text.replace(&*word, &word.replace(' ', "\u{a0}")))
}

fn below(level: HeadingLevel) -> HeadingLevel {
    match level {
        HeadingLevel::H1 => HeadingLevel::H2,
        HeadingLevel::H2 => HeadingLevel::H3,
        HeadingLevel::H3 => HeadingLevel::H4,
        HeadingLevel::H4 => HeadingLevel::H5,
        HeadingLevel::H5 | HeadingLevel::H6 => HeadingLevel::H6,
    }
}

/// The text for a terminal, with the terminal's orders for bold and colour. Commands and what they print are not folded.
pub fn on_terminal(markdown: &str, leads: Leads<'_>) -> String {
    let mut shown = Shown::default();
    for event in parser(markdown) {
        shown.take(event, leads);
    }
    shown.out
}

/// Words, each character with its style.
type Words = Vec<(char, Style)>;

const COMMAND: Style = AnsiColor::Cyan.on_default();

#[derive(Default)]
struct Shown {
    out: String,
    words: Words,
    /// Styles that are begun, the innermost last.
    styles: Vec<Style>,
    /// What stands for the links that are begun.
    links: Vec<Option<String>>,
    /// Lists that are begun: the number of the next item, if they are numbered.
    lists: Vec<Option<u64>>,
    /// What the next line begins with.
    lead: String,
    is_code: bool,
    rows: Vec<Vec<Words>>,
}

impl Shown {
    fn take(&mut self, event: Event<'_>, leads: Leads<'_>) {
        match event {
            Event::Start(Tag::Heading { level, .. }) => {
                self.gap();
                let style =
                    if level == HeadingLevel::H1 { Style::new().bold().underline() } else { Style::new().bold() };
                self.styles.push(style);
            }
            Event::End(TagEnd::Heading(_)) => {
                self.fold();
                self.styles.pop();
            }
            Event::Start(Tag::Paragraph | Tag::Table(_)) => self.gap(),
            Event::Start(Tag::List(first)) => {
                self.fold();
                self.gap();
                self.lists.push(first);
            }
            Event::End(TagEnd::List(_)) => {
                self.lists.pop();
            }
            Event::Start(Tag::Item) => {
                let indent = 2 * self.lists.len().saturating_sub(1);
                let mark = match self.lists.last_mut() {
                    Some(Some(number)) => {
                        *number += 1;
                        format!("{}.", *number - 1)
                    }
                    _ => "-".to_owned(),
                };
                self.lead = format!("{:indent$}{mark} ", "");
            }
            Event::End(TagEnd::Item | TagEnd::Paragraph) => self.fold(),
            Event::Start(Tag::Strong) => self.styles.push(Style::new().bold()),
            Event::Start(Tag::Emphasis) => self.styles.push(Style::new().italic()),
            Event::End(TagEnd::Strong | TagEnd::Emphasis) => {
                self.styles.pop();
            }
            Event::Start(Tag::Link { dest_url, .. }) => self.links.push(leads(&dest_url)),
            Event::End(TagEnd::Link) => {
                if let Some(command) = self.links.pop().flatten() {
                    self.say(" (", Style::new());
                    self.say(&command, COMMAND);
                    self.say(")", Style::new());
                }
            }
            Event::Start(Tag::CodeBlock(_)) => {
                self.gap();
                self.is_code = true;
            }
            Event::End(TagEnd::CodeBlock) => self.is_code = false,
            Event::Text(text) if self.is_code => {
                for line in text.lines() {
                    let style = if line.starts_with("$ ") { COMMAND } else { Style::new() };
                    let _ = writeln!(self.out, "  {style}{line}{style:#}");
                }
            }
            Event::Text(text) | Event::Html(text) | Event::InlineHtml(text) => {
                let style = self.styles.last().copied().unwrap_or_default();
                self.say(&text, style);
            }
            Event::Code(text) => self.say(&text, COMMAND),
            Event::SoftBreak | Event::HardBreak => self.say(" ", Style::new()),
            Event::Start(Tag::TableHead | Tag::TableRow) => self.rows.push(Vec::new()),
            Event::End(TagEnd::TableCell) => {
                let words = std::mem::take(&mut self.words);
                if let Some(row) = self.rows.last_mut() {
                    row.push(words);
                }
            }
            Event::End(TagEnd::Table) => self.table(),
            _ => {}
        }
    }

    fn say(&mut self, text: &str, style: Style) {
        self.words.extend(text.chars().map(|c| (c, style)));
    }

    /// An empty line before what comes, except at the start and within a list.
    fn gap(&mut self) {
        if !self.out.is_empty() && self.lists.is_empty() {
            self.out.push('\n');
        }
    }

    /// Writes the words so far in lines that fit.
    fn fold(&mut self) {
        if !self.words.is_empty() {
            let words = std::mem::take(&mut self.words);
            let indent = 2 * self.lists.len();
            let mut lead = std::mem::take(&mut self.lead);
            if lead.is_empty() {
                lead = " ".repeat(indent);
            }
            self.out += &styled(&lead, indent.max(lead.len()), &words);
        }
    }

    /// Writes a table in columns, or where they do not fit each row as its first cell with the others below it.
    fn table(&mut self) {
        let rows = std::mem::take(&mut self.rows);
        let columns = rows.iter().map(Vec::len).max().unwrap_or_default();
        let wide: Vec<usize> = (0..columns)
            .map(|at| rows.iter().filter_map(|row| Some(row.get(at)?.len())).max().unwrap_or_default())
            .collect();
        if wide.iter().sum::<usize>() + 2 * columns.saturating_sub(1) <= width() {
            for (at, row) in rows.iter().enumerate() {
                let mut line = Words::new();
                for (cell, wide) in row.iter().zip(&wide) {
                    let style = |style: Style| if at == 0 { style.bold() } else { style };
                    line.extend(cell.iter().map(|(c, given)| (*c, style(*given))));
                    line.extend(std::iter::repeat_n((' ', Style::new()), wide + 2 - cell.len()));
                }
                let plain: String = line.iter().map(|(c, _)| c).collect();
                self.out += &in_style(plain.trim_end(), 0, &line);
                self.out.push('\n');
            }
            return;
        }
        let Some((head, rows)) = rows.split_first() else { return };
        let names: Vec<String> = head.iter().map(|cell| cell.iter().map(|(c, _)| c).collect()).collect();
        let longest = names.iter().skip(1).map(|name| name.chars().count()).max().unwrap_or_default();
        for row in rows {
            let mut cells = row.iter().zip(&names);
            if let Some((first, _)) = cells.next() {
                let bold: Words = first.iter().map(|(c, style)| (*c, style.bold())).collect();
                self.out += &styled("", 0, &bold);
            }
            for (cell, name) in cells {
                let lead = format!("  {name:<longest$}  ");
                self.out += &styled(&lead, lead.chars().count(), cell);
            }
        }
    }
}

/// Words in lines that fit, in their styles.
fn styled(lead: &str, indent: usize, words: &Words) -> String {
    let plain: String = words.iter().map(|(c, _)| c).collect();
    let most = width();
    let folded = folded_to(most, lead, indent.min(most / 2), &plain);
    in_style(&folded, lead.chars().filter(|c| !c.is_whitespace()).count(), words)
}

/// Gives each character of a text its style again after its spaces were changed; the first `lead` have none.
fn in_style(text: &str, lead: usize, words: &Words) -> String {
    let plain = std::iter::repeat_n(Style::new(), lead);
    let mut styles = plain.chain(words.iter().filter(|(c, _)| !c.is_whitespace()).map(|(_, style)| *style));
    let mut out = String::with_capacity(text.len() * 2);
    let mut current = Style::new();
    for c in text.chars() {
        let wanted = match c {
            '\n' => Style::new(),
            c if c.is_whitespace() => current,
            _ => styles.next().unwrap_or_default(),
        };
        if wanted != current {
            let _ = write!(out, "{current:#}{wanted}");
            current = wanted;
        }
        out.push(c);
    }
    out + &format!("{current:#}")
}
