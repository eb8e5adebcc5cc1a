//! Changes a setting in the text of a profile, in place: all else in the text stays as it is, comments and layout included.

use super::form::Misfit;
use super::json_spans::{Lines, Member, Node, NodeKind, comments, without_comments};
use super::settings::{keys_below, put, setting as setting_at};
use super::{Profile, SettingId};
use serde_json::Value;
use std::ops::Range;

/// The text with another value of a setting; `null` if it is still to be filled in.
///
/// ```
/// use squitterlab::profile::{SettingId, with_value};
/// let text = "{\"aircraft\": {\"length\": {\"m\": 8.2} /* by tape */}}";
/// let changed = with_value(text, SettingId::Length, &serde_json::json!({"ft": 26, "in": 11})).unwrap();
/// assert_eq!(changed, "{\"aircraft\": {\"length\": {\"ft\": 26, \"in\": 11} /* by tape */}}");
/// ```
///
/// # Errors
/// [`Misfit`] with the place, if the text is not JSON, something else is where a group of settings belongs, or a comment
/// would be lost.
pub fn with_value(text: &str, setting: SettingId, value: &Value) -> Result<String, Misfit> {
    let bare = without_comments(text);
    let editor = Editor { text, bare: &bare, comments: comments(text) };
    let root = Node::parse(&bare)?;
    let misfit = |at, reason: String, correction: &str| {
        let (line, column) = Lines::new(text).place(at);
        Misfit { line, column, pointer: setting.pointer().to_owned(), reason, correction: correction.to_owned() }
    };
    let mut node = &root;
    let mut keys = setting.pointer().split('/').skip(1).peekable();
    let mut pointer = String::new();
    while let Some(member) = keys.peek().and_then(|key| node.member(key)) {
        keys.next();
        pointer = format!("{pointer}/{}", member.key);
        node = &member.node;
    }
    let rest: Vec<&str> = keys.collect();
    let before = Profile::read(text);
    let mut wanted = before.profile.json();
    put(&mut wanted, setting.pointer(), value.clone());
    let changed = match (&rest[..], &node.kind) {
        ([], _) | (_, NodeKind::Null) => {
            let range = node.at..end_of(&bare, node.at);
            if let Some(lost) = editor.comments.iter().find(|comment| range.contains(&comment.start)) {
                return Err(misfit(
                    lost.start,
                    "a comment is inside the value that is to be replaced, and would be lost".to_owned(),
                    "move the comment in front of the setting, then try again",
                ));
            }
            // What was open together stays open one by one.
            let all = wanted.pointer(&pointer).unwrap_or(value);
            let written = laid_out(all, &pointer, &editor.indent(node.at), editor.new_line());
            editor.with(&[(range, written)])
        }
        ([key, ..], NodeKind::Object(members)) => {
            let mut all = Value::Null;
            put(&mut all, &format!("/{}", rest.join("/")), value.clone());
            let inner = format!("{pointer}/{key}");
            let written =
                |indent: &str| format!("\"{key}\": {}", laid_out(&all[key], &inner, indent, editor.new_line()));
            editor.with_member(node.at, members, &keys_below(&pointer), key, written)
        }
        (_, other) => {
            let node = Node { at: node.at, kind: other.clone() };
            let reason = format!("{} is where an object belongs", node.kind_in_words());
            return Err(misfit(node.at, reason, "correct it in an editor; `profile check` says what may be there"));
        }
    };
    // Whatever the layout was: exactly this setting has changed, and every comment is still there.
    let said = |text: &str| comments(text).into_iter().map(|at| text[at].to_owned()).collect::<Vec<_>>();
    let after = Profile::read(&changed);
    if after.is_unreadable()
        || Profile::read(&wanted.to_string()).profile != after.profile
        || said(text) != said(&changed)
    {
        return Err(misfit(
            node.at,
            "this cannot be changed in place without losing something".to_owned(),
            "change it in an editor, or put each setting on a line of its own and try again",
        ));
    }
    Ok(changed)
}

struct Editor<'t> {
    text: &'t str,
    /// The text with blanks in place of its comments.
    bare: &'t str,
    comments: Vec<Range<usize>>,
}

impl Editor<'_> {
    fn new_line(&self) -> &'static str {
        if self.text.contains("\r\n") { "\r\n" } else { "\n" }
    }

    /// The blanks that the line of a place begins with.
    fn indent(&self, at: usize) -> String {
        let begin = self.text[..at].rfind('\n').map_or(0, |before| before + 1);
        self.text[begin..].chars().take_while(|c| matches!(c, ' ' | '\t')).collect()
    }

    /// The text with pieces replaced, in their order.
    fn with(&self, pieces: &[(Range<usize>, String)]) -> String {
        let (mut out, mut copied) = (String::new(), 0);
        for (range, piece) in pieces {
            out += &self.text[copied..range.start];
            out += piece;
            copied = range.end;
        }
        out + &self.text[copied..]
    }

    /// The text with a member more in the object that begins here, behind the one that it follows in the order of a
    /// profile.
    fn with_member(
        &self,
        opening: usize,
        members: &[Member],
        order: &[&str],
        key: &str,
        written: impl Fn(&str) -> String,
    ) -> String {
        let closing = end_of(self.bare, opening) - 1;
        let rank = |key: &str| order.iter().position(|known| *known == key);
        let before = members.iter().rposition(|member| rank(&member.key) < rank(key)).unwrap_or(0);
        let Some(before_it) = members.get(before) else {
            let at_line = self.bare[opening..closing].contains('\n');
            let indent = self.indent(closing);
            let deeper = format!("{indent}  ");
            let member =
                if at_line { format!("  {}{}{indent}", written(&deeper), self.new_line()) } else { written(&indent) };
            return self.with(&[(closing..closing, member)]);
        };
        let end = end_of(self.bare, before_it.node.at);
        let next = members.get(before + 1);
        let behind = match next {
            Some(_) => end + self.bare[end..].find(',').map_or(0, |comma| comma + 1),
            None => end,
        };
        let line_end = self.bare[behind..].find('\n').map_or(self.bare.len(), |length| behind + length);
        let line_end = line_end - usize::from(self.bare[..line_end].ends_with('\r') && line_end > behind);
        let indent = self.indent(before_it.key_at);
        let line_begins = before_it.key_at - indent.len();
        let own_line = (line_begins == 0 || self.text[..line_begins].ends_with('\n'))
            && self.bare[behind..line_end].trim().is_empty()
            && !self.comments.iter().any(|comment| comment.start < line_end && line_end < comment.end);
        let comma = (end..end, ",".to_owned());
        match (own_line, next) {
            (true, Some(_)) => {
                self.with(&[(line_end..line_end, format!("{}{indent}{},", self.new_line(), written(&indent)))])
            }
            (true, None) => {
                self.with(&[comma, (line_end..line_end, format!("{}{indent}{}", self.new_line(), written(&indent)))])
            }
            (false, Some(_)) => self.with(&[(behind..behind, format!(" {},", written(&indent)))]),
            (false, None) => {
                let space = if self.text[..closing].ends_with(char::is_whitespace) { "" } else { " " };
                self.with(&[comma, (closing..closing, format!("{space}{}", written(&indent)))])
            }
        }
    }
}

/// Where the value that begins here ends.
fn end_of(bare: &str, at: usize) -> usize {
    let bytes = bare.as_bytes();
    let (mut depth, mut at) = (0, at);
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'"' => {
                at += 1;
                while let Some(byte) = bytes.get(at).filter(|byte| **byte != b'"') {
                    at += if *byte == b'\\' { 2 } else { 1 };
                }
                at += 1;
                if depth == 0 {
                    return at.min(bytes.len());
                }
                continue;
            }
            b'{' | b'[' => depth += 1,
            b'}' | b']' | b',' | b' ' | b'\t' | b'\r' | b'\n' if depth == 0 => return at,
            b'}' | b']' => {
                depth -= 1;
                if depth == 0 {
                    return at + 1;
                }
            }
            _ => {}
        }
        at += 1;
    }
    at.min(bytes.len())
}

/// The value of a setting on one line; a group of settings with each on a line of its own.
fn laid_out(value: &Value, pointer: &str, indent: &str, new_line: &str) -> String {
    match value {
        Value::Object(members) if setting_at(pointer).is_none() && !members.is_empty() => {
            let deeper = format!("{indent}  ");
            let lines: Vec<String> = members
                .iter()
                .map(|(key, value)| {
                    let inner = laid_out(value, &format!("{pointer}/{key}"), &deeper, new_line);
                    format!("{new_line}{deeper}\"{key}\": {inner}")
                })
                .collect();
            format!("{{{}{new_line}{indent}}}", lines.join(","))
        }
        other => on_one_line(other),
    }
}

/// A value as a person writes it on one line.
fn on_one_line(value: &Value) -> String {
    match value {
        Value::Object(members) => {
            let members: Vec<String> =
                members.iter().map(|(key, value)| format!("\"{key}\": {}", on_one_line(value))).collect();
            format!("{{{}}}", members.join(", "))
        }
        Value::Array(items) => format!("[{}]", items.iter().map(on_one_line).collect::<Vec<_>>().join(", ")),
        other => other.to_string(),
    }
}
