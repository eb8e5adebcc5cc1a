//! Reads JSON with the place of every value, so that every fault can be pointed at; and says of text that is not JSON
//! what is wrong where, and what to do, in words for somebody who does not program.

use crate::written::begin;
use std::borrow::Cow;
use std::ops::Range;

/// Deeper than any profile; a guard against text made to exhaust the stack.
const DEEPEST: usize = 32;

/// The longest piece of a text that a message repeats.
const LONGEST_QUOTE: usize = 40;

/// A JSON value with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Where it begins, in octets from the start of the text.
    pub at: usize,
    /// What it is.
    pub kind: NodeKind,
}

/// What a JSON value is.
#[derive(Clone, Debug, PartialEq)]
pub enum NodeKind {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// A number.
    Number(f64),
    /// A string.
    Text(String),
    /// An array.
    List(Vec<Node>),
    /// An object, in order, repeated keys included.
    Object(Vec<Member>),
}

/// A key and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// The key.
    pub key: String,
    /// Where the key is.
    pub key_at: usize,
    /// The value.
    pub node: Node,
}

impl Node {
    /// Reads a JSON text.
    ///
    /// ```
    /// use squitterlab::profile::Node;
    /// let slip = Node::parse("{\"aircraft\": {\"address\": \"A5C035\",}}").unwrap_err();
    /// assert_eq!((slip.column, slip.correction.as_str()), (35, "remove the comma before this }"));
    /// ```
    ///
    /// # Errors
    /// [`JsonError`] for text that is not JSON.
    pub fn parse(text: &str) -> Result<Self, JsonError> {
        Reader { text, at: begin(text) }.whole().map_err(|Wrong { at, reason, correction }| {
            let (line, column) = Lines::new(text).place(at);
            JsonError { line, column, reason, correction }
        })
    }

    /// The member with this key, the last if it is repeated.
    pub fn member(&self, key: &str) -> Option<&Member> {
        match &self.kind {
            NodeKind::Object(members) => members.iter().rev().find(|member| member.key == key),
            _ => None,
        }
    }

    /// What kind of value this is, for a message.
    pub fn kind_in_words(&self) -> String {
        match &self.kind {
            NodeKind::Null => "null".to_owned(),
            NodeKind::Bool(yes) => yes.to_string(),
            NodeKind::Number(number) => format!("the number {number}"),
            NodeKind::Text(text) => format!("the text {}", quoted(text)),
            NodeKind::List(_) => "a list".to_owned(),
            NodeKind::Object(_) => "an object".to_owned(),
        }
    }
}

/// Where the comments of a text are (`// to the end of the line`, `/* between */`), in octets.
pub(super) fn comments(text: &str) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let (mut at, mut in_string, mut is_never_closed) = (0, false, false);
    while at < bytes.len() {
        let end = match (in_string, bytes[at], bytes.get(at + 1)) {
            (true, b'\\', _) => {
                at += 2;
                continue;
            }
            (_, b'"', _) => {
                in_string = !in_string;
                at += 1;
                continue;
            }
            // A string ends with its line, even if its quotation mark is missing.
            (true, b'\n', _) => {
                in_string = false;
                at += 1;
                continue;
            }
            (false, b'/', Some(b'/')) => {
                let end = text[at..].find('\n').map_or(bytes.len(), |length| at + length);
                end - usize::from(text[at..end].ends_with('\r'))
            }
            // A comment that does not end is left for the reader to complain of; then none behind it ends either.
            (false, b'/', Some(b'*')) if !is_never_closed => {
                let length = text[at + 2..].find("*/");
                is_never_closed = length.is_none();
                length.map_or(at, |length| at + 2 + length + 2)
            }
            _ => at,
        };
        if end > at {
            found.push(at..end);
        }
        at = end.max(at + 1);
    }
    found
}

/// The text with blanks in place of its comments, so that all else stays in its place; the text itself if it has none.
pub fn without_comments(text: &str) -> Cow<'_, str> {
    let comments = comments(text);
    if comments.is_empty() {
        return Cow::Borrowed(text);
    }
    let mut bare = text.as_bytes().to_vec();
    for byte in comments.into_iter().flatten() {
        if bare[byte] != b'\n' {
            bare[byte] = b' ';
        }
    }
    match String::from_utf8(bare) {
        Ok(bare) => Cow::Owned(bare),
        Err(_) => Cow::Borrowed(text),
    }
}

/// The first characters of a text that has more than this.
fn beginning(text: &str, most: usize) -> Option<&str> {
    text.char_indices().nth(most).map(|(end, _)| &text[..end])
}

/// A text in quotation marks, cut where it is long.
pub fn quoted(text: &str) -> String {
    match beginning(text, LONGEST_QUOTE) {
        Some(begin) => format!("{begin:?}…"),
        None => format!("{text:?}"),
    }
}

/// The longest reason or correction, in characters, where what is quoted in it may be as long as a file.
const LONGEST_MESSAGE: usize = 500;

/// A message without what is beyond reading in it.
pub(super) fn message(text: String) -> String {
    match beginning(&text, LONGEST_MESSAGE) {
        Some(begin) => format!("{begin}…"),
        None => text,
    }
}

/// Why a text is not JSON, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JsonError {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1, in characters.
    pub column: usize,
    /// What is wrong.
    pub reason: String,
    /// What to do.
    pub correction: String,
}

/// Where the lines of a text begin, to find line and column of many places.
#[derive(Debug)]
pub struct Lines<'t> {
    text: &'t str,
    /// Where each line begins.
    begins: Vec<usize>,
    /// How many characters begin before each piece of [`PIECE`] octets.
    characters: Vec<usize>,
}

const PIECE: usize = 256;

/// How many characters begin in these octets.
fn characters(octets: &[u8]) -> usize {
    octets.iter().filter(|octet| **octet & 0xC0 != 0x80).count()
}

impl<'t> Lines<'t> {
    /// Looks through a text once.
    pub fn new(text: &'t str) -> Self {
        let mut characters_before = vec![0];
        let mut sum = 0;
        for piece in text.as_bytes().chunks(PIECE) {
            sum += characters(piece);
            characters_before.push(sum);
        }
        let begins =
            std::iter::once(begin(text)).chain(memchr::memchr_iter(b'\n', text.as_bytes()).map(|at| at + 1)).collect();
        Self { text, begins, characters: characters_before }
    }

    /// Line and column (from 1, in characters) of a place in octets; of the end of the text for a place beyond it.
    pub fn place(&self, at: usize) -> (usize, usize) {
        let at = at.clamp(self.begins[0], self.text.len());
        let line = self.begins.partition_point(|begin| *begin <= at);
        let begin = self.begins[line - 1];
        (line, self.characters_before(at) - self.characters_before(begin) + 1)
    }

    fn characters_before(&self, at: usize) -> usize {
        let piece = at / PIECE;
        self.characters[piece] + characters(&self.text.as_bytes()[piece * PIECE..at])
    }
}

/// A slip at a place in octets.
struct Wrong {
    at: usize,
    reason: String,
    correction: String,
}

type Read<T> = Result<T, Wrong>;

fn wrong<T>(at: usize, reason: impl Into<String>, correction: impl Into<String>) -> Read<T> {
    Err(Wrong { at, reason: reason.into(), correction: correction.into() })
}

/// Goes through a text from left to right; it stops at the first slip.
struct Reader<'t> {
    text: &'t str,
    at: usize,
}

impl Reader<'_> {
    fn whole(mut self) -> Read<Node> {
        self.space();
        if self.peek().is_none() {
            return wrong(0, "there is nothing in this text", "write one object, from { to }");
        }
        let node = self.value("", 0)?;
        self.space();
        match self.peek() {
            None => Ok(node),
            Some(close @ ('}' | ']')) => {
                wrong(self.at, format!("there is one {close} too many"), format!("remove this {close}"))
            }
            Some(',') => wrong(self.at, "a comma follows the end", "remove this comma"),
            Some('{' | '[' | '"') => {
                let reason = "something begins here although everything before it is closed";
                wrong(
                    self.at,
                    reason,
                    "put all into one object, and remove the rest; look for a } or ] too many before",
                )
            }
            Some(_) => self.stray("after the end"),
        }
    }

    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn space(&mut self) {
        let rest = &self.text.as_bytes()[self.at..];
        self.at += rest.iter().take_while(|octet| matches!(octet, b' ' | b'\t' | b'\n' | b'\r')).count();
    }

    /// Letters and digits from here on, and what may be between them in a number or a name.
    fn word(&self) -> &str {
        let rest = &self.text[self.at..];
        let end = rest.find(|c: char| !(c.is_alphanumeric() || matches!(c, '_' | '-' | '+' | '.')));
        &rest[..end.unwrap_or(rest.len())]
    }

    /// A value; `of` says whose it is, for messages.
    fn value(&mut self, of: &str, depth: usize) -> Read<Node> {
        let at = self.at;
        if depth > DEEPEST {
            return wrong(at, "the brackets are nested too deeply", "look for a { or [ too many before");
        }
        let kind = match self.peek() {
            Some('{') => self.object(depth)?,
            Some('[') => self.list(depth)?,
            Some('"') => NodeKind::Text(self.string()?),
            Some('-' | '0'..='9') => self.number()?,
            Some(c @ (',' | '}' | ']')) => {
                return wrong(
                    at,
                    format!("{of} has no value before this {c}"),
                    "write the value, or null if it is still to be filled in",
                );
            }
            Some(':') => return wrong(at, "there is a colon too many", "remove this colon"),
            Some('+') => return wrong(at, "a number has no plus sign in front", "remove the plus sign"),
            Some('.') => return wrong(at, "a number begins with a digit", "write 0 before the point"),
            Some(c) if c.is_alphabetic() || c == '_' => self.bare_word()?,
            None => {
                return wrong(
                    at,
                    format!("the text ends before the value of {of}"),
                    "write the value, and close every { and [",
                );
            }
            Some(_) => return self.stray("before a value"),
        };
        Ok(Node { at, kind })
    }

    fn bare_word(&mut self) -> Read<NodeKind> {
        let word = self.word();
        let kind = match word {
            "true" => NodeKind::Bool(true),
            "false" => NodeKind::Bool(false),
            "null" => NodeKind::Null,
            _ => {
                let reason = format!("{} is without quotation marks", quoted(word));
                let correction = match word.to_lowercase().as_str() {
                    right @ ("true" | "false" | "null") => format!("write {right} in small letters"),
                    "yes" | "on" => "write true".to_owned(),
                    "no" | "off" => "write false".to_owned(),
                    "none" | "nil" | "undefined" | "nan" | "inf" | "infinity" => {
                        "write null if it is still to be filled in, or leave the setting out".to_owned()
                    }
                    _ => format!("write {}, or a number, true, false or null", quoted(word)),
                };
                return wrong(self.at, reason, correction);
            }
        };
        self.at += word.len();
        Ok(kind)
    }

    fn number(&mut self) -> Read<NodeKind> {
        let at = self.at;
        let word = self.word().to_owned();
        let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
        let unsigned = word.strip_prefix('-').unwrap_or(&word);
        let whole = digits(unsigned);
        let (first, mut rest) = unsigned.split_at(whole);
        if whole == 0 {
            return match rest.chars().next() {
                Some('.') => wrong(at, "a number begins with a digit", "write 0 before the point"),
                Some(_) => wrong(
                    at,
                    format!("{} is not a number", quoted(&word)),
                    "write a number, or null if it is still to be filled in",
                ),
                None => wrong(at, "there is a minus sign without a number", "write the number after it, or remove it"),
            };
        }
        let mut complete = true;
        if let Some(fraction) = rest.strip_prefix('.') {
            complete = digits(fraction) > 0;
            rest = &fraction[digits(fraction)..];
            if !complete && rest.is_empty() {
                return wrong(
                    at,
                    format!("{} has no digit after the point", quoted(&word)),
                    format!("write {first}, or the digits after the point"),
                );
            }
        }
        if let (true, Some(exponent)) = (complete, rest.strip_prefix(['e', 'E'])) {
            let exponent = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
            complete = digits(exponent) > 0;
            rest = &exponent[digits(exponent)..];
        }
        if !complete || !rest.is_empty() {
            let reason = format!("{} is not a number, and has no quotation marks", quoted(&word));
            return wrong(
                at,
                reason,
                format!("write {} if it is a text; a unit is a key of its own, as in {{\"ft\": 27.2}}", quoted(&word)),
            );
        }
        if whole > 1 && first.starts_with('0') {
            let plain = first.trim_start_matches('0');
            let plain = if plain.is_empty() { "0" } else { plain };
            let reason = format!("the number {} has a zero in front", cut(&word));
            return wrong(
                at,
                reason,
                format!(
                    "write {:?} with quotation marks if it is a code, or the number without the zero: {}",
                    cut(&word),
                    cut(plain)
                ),
            );
        }
        self.at += word.len();
        match word.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(NodeKind::Number(number)),
            _ => wrong(
                at,
                format!("the number {} is too large", cut(&word)),
                "write the measured number, or null if it is still to be filled in",
            ),
        }
    }

    /// A string, from its opening quotation mark on.
    fn string(&mut self) -> Read<String> {
        let opening = self.at;
        let mut out = String::new();
        self.at += 1;
        loop {
            let Some(c) = self.peek() else { return self.open_string(opening) };
            let at = self.at;
            self.at += c.len_utf8();
            match c {
                '"' => return Ok(out),
                '\\' => out.push(self.escaped(at, opening)?),
                '\n' | '\r' => return self.open_string(opening),
                '\t' => return wrong(at, "there is a tab inside quotation marks", "write a space instead"),
                c if c < ' ' => {
                    let reason =
                        format!("a character that cannot be seen (U+{:04X}) is inside quotation marks", u32::from(c));
                    return wrong(at, reason, "remove it: delete the text and type it again");
                }
                c => out.push(c),
            }
        }
    }

    fn open_string<T>(&self, opening: usize) -> Read<T> {
        let rest = self.text[opening + 1..].lines().next().unwrap_or_default();
        let reason = format!("the quotation mark before {} has no closing one in its line", quoted(rest.trim_end()));
        wrong(opening, reason, "write the missing \" at the end of the text, before the comma; or remove this one")
    }

    /// What a backslash makes of the characters behind it.
    fn escaped(&mut self, at: usize, opening: usize) -> Read<char> {
        let Some(c) = self.peek() else { return self.open_string(opening) };
        self.at += c.len_utf8();
        Ok(match c {
            '"' | '\\' | '/' => c,
            'n' => '\n',
            't' => '\t',
            'r' => '\r',
            'b' => '\u{8}',
            'f' => '\u{C}',
            'u' => {
                let high = self.four_digits();
                let pair = match high {
                    Some(0xD800..0xDC00) if self.text[self.at..].starts_with("\\u") => {
                        self.at += 2;
                        high.zip(self.four_digits())
                    }
                    _ => None,
                };
                let code = match (high, pair) {
                    (_, Some((high, low @ 0xDC00..0xE000))) => Some(0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00)),
                    (_, Some(_)) => None,
                    (alone, None) => alone,
                };
                match code.and_then(char::from_u32) {
                    Some(c) => c,
                    None => {
                        return wrong(
                            at,
                            "\\u with four digits is half a character, or its digits are missing",
                            "write the character itself",
                        );
                    }
                }
            }
            _ => {
                let reason = "a backslash inside quotation marks changes the character after it";
                return wrong(at, reason, "write two backslashes for one, or remove it");
            }
        })
    }

    fn four_digits(&mut self) -> Option<u32> {
        let digits = self.text.get(self.at..self.at + 4)?;
        let code = digits.bytes().all(|c| c.is_ascii_hexdigit()).then(|| u32::from_str_radix(digits, 16).ok())?;
        self.at += 4;
        code
    }

    fn object(&mut self, depth: usize) -> Read<NodeKind> {
        let opening = self.at;
        let mut members = Vec::new();
        let mut comma = None;
        self.at += 1;
        loop {
            self.space();
            match (self.peek(), comma) {
                (Some('"'), _) => {}
                (Some('}'), None) => break,
                (Some('}'), Some(comma)) => return self.trailing_comma(comma, '}'),
                _ => return self.no_key(opening, comma),
            }
            let key_at = self.at;
            let key = self.string()?;
            self.colon(&key)?;
            let node = self.value(&quoted(&key), depth + 1)?;
            members.push(Member { key, key_at, node });
            comma = self.next(opening, '}')?;
            if comma.is_none() {
                return Ok(NodeKind::Object(members));
            }
        }
        self.at += 1;
        Ok(NodeKind::Object(members))
    }

    fn list(&mut self, depth: usize) -> Read<NodeKind> {
        let opening = self.at;
        let mut items = Vec::new();
        let mut comma = None;
        self.at += 1;
        loop {
            self.space();
            match (self.peek(), comma) {
                (Some(']'), None) => break,
                (Some(']'), Some(comma)) => return self.trailing_comma(comma, ']'),
                (Some(','), _) => return wrong(self.at, "there is a comma too many", "remove this comma"),
                (None, _) => return self.unclosed(opening),
                _ => {}
            }
            items.push(self.value("this place of the list", depth + 1)?);
            comma = self.next(opening, ']')?;
            if comma.is_none() {
                return Ok(NodeKind::List(items));
            }
        }
        self.at += 1;
        Ok(NodeKind::List(items))
    }

    /// The colon behind a key, and the space around it.
    fn colon(&mut self, key: &str) -> Read<()> {
        let behind = self.at;
        self.space();
        let key = quoted(key);
        match self.peek() {
            Some(':') => {
                self.at += 1;
                self.space();
                Ok(())
            }
            Some('=') => wrong(self.at, format!("{key} is followed by = instead of a colon"), "write a colon instead"),
            Some(c @ (',' | '}' | ']')) => {
                let reason = format!("{key} has no value before this {c}");
                wrong(self.at, reason, "write a colon and the value after it; null if it is still to be filled in")
            }
            Some('/' | '#') => self.stray("before a value"),
            Some(c) if c.is_alphanumeric() && self.at == behind => {
                let reason = format!("{key} is followed directly by {}", quoted(self.word()));
                wrong(
                    self.at,
                    reason,
                    "a quotation mark is missing or too many before this place; key and value each have two",
                )
            }
            _ => wrong(behind, format!("there is no colon after {key}"), "write a colon between the key and its value"),
        }
    }

    /// What follows a value: a comma, whose place this gives, or nothing once the bracket is closed.
    fn next(&mut self, opening: usize, close: char) -> Read<Option<usize>> {
        let behind = self.at;
        self.space();
        let at = self.at;
        match self.peek() {
            Some(',') => {
                self.at += 1;
                Ok(Some(at))
            }
            Some(c) if c == close => {
                self.at += 1;
                Ok(None)
            }
            None => self.unclosed(opening),
            Some(c @ ('}' | ']')) => {
                let (line, open) = (Lines::new(self.text).place(opening).0, &self.text[opening..=opening]);
                wrong(
                    at,
                    format!("this {c} does not fit the {open} of line {line}"),
                    format!("write {close} before it, or instead of it"),
                )
            }
            Some('"' | '{' | '[' | '-' | '0'..='9') => {
                wrong(behind, "there is no comma between two entries", "write a comma here")
            }
            Some(c @ (';' | '.')) => {
                wrong(at, format!("there is {c:?} where a comma belongs"), "write a comma instead")
            }
            Some(c) if c.is_alphanumeric() && at == behind => {
                let reason = format!("a value is followed directly by {}", quoted(self.word()));
                wrong(at, reason, "a quotation mark is missing or too many before this place; a text has two")
            }
            Some(c) if c.is_alphabetic() => {
                wrong(behind, "there is no comma between two entries", "write a comma here")
            }
            Some(_) => self.stray("behind a value"),
        }
    }

    fn trailing_comma<T>(&self, comma: usize, close: char) -> Read<T> {
        let lines = Lines::new(self.text);
        let (line, here) = (lines.place(comma).0, lines.place(self.at).0);
        let where_it_is = if line == here { String::new() } else { format!(", at the end of line {line}") };
        let reason = format!("a comma is followed by {close} and not by another entry");
        wrong(self.at, reason, format!("remove the comma before this {close}{where_it_is}"))
    }

    fn unclosed<T>(&self, opening: usize) -> Read<T> {
        let open = &self.text[opening..=opening];
        let close = if open == "{" { '}' } else { ']' };
        wrong(
            opening,
            format!("this {open} is never closed"),
            format!("write the missing {close} where its entries end"),
        )
    }

    /// Why there is no key where one belongs.
    fn no_key<T>(&self, opening: usize, comma: Option<usize>) -> Read<T> {
        let at = self.at;
        match self.peek() {
            None => self.unclosed(opening),
            Some(',') => wrong(at, "there is a comma too many", "remove this comma"),
            Some(':') => wrong(at, "there is no key before this colon", "write the key in quotation marks before it"),
            Some(c @ ('{' | '[')) => wrong(
                at,
                format!("this {c} has no key"),
                "write its key in quotation marks and a colon before it, or remove it",
            ),
            Some(']') => wrong(at, "this ] does not fit the { before", "write } instead, or remove it"),
            Some(c) if c.is_ascii_digit() && comma.is_some() => {
                let reason = format!("{} is not a key", quoted(self.word()));
                wrong(at, reason, "write a point instead of the comma before it if it belongs to a number, as in 27.2")
            }
            Some(c) if c.is_alphanumeric() || c == '_' => {
                let word = quoted(self.word());
                wrong(at, format!("the key {word} is without quotation marks"), format!("write {word}"))
            }
            Some(_) => self.stray("before a key"),
        }
    }

    /// A character that belongs nowhere outside quotation marks.
    fn stray<T>(&self, near: &str) -> Read<T> {
        let at = self.at;
        let rest = &self.text[at..];
        let Some(c) = rest.chars().next() else { return wrong(at, "the text ends too early", "close every { and [") };
        if rest.starts_with("//") || rest.starts_with("/*") || c == '#' {
            let correction = "remove it; what is to be remembered goes into \"notes\"";
            return wrong(at, "comments are not allowed here", correction);
        }
        let (reason, correction) = match c {
            '\'' | '`' => {
                ("this is not a quotation mark of JSON".to_owned(), "write \" instead, before and after the text")
            }
            '“' | '”' | '„' | '‟' | '‘' | '’' | '‚' | '«' | '»' | '″' | '＂' => (
                format!("{c} is a typographic quotation mark"),
                "write \" instead, before and after the text; a plain text editor does",
            ),
            c if c.is_whitespace() => {
                (format!("there is a special space (U+{:04X}) {near}", u32::from(c)), "write an ordinary space instead")
            }
            c if c.is_control() || c == '\u{FEFF}' => {
                (format!("there is a character that cannot be seen (U+{:04X}) {near}", u32::from(c)), "remove it")
            }
            c => (format!("there is {c:?} {near}"), "remove it; a text is written in quotation marks"),
        };
        wrong(at, reason, correction)
    }
}

fn cut(text: &str) -> &str {
    beginning(text, LONGEST_QUOTE).unwrap_or(text)
}
