//! Keeps turns of phrase that no native speaker would write out of what people read: the texts and documentation in the
//! source, the guide, the page, and the words of the vectors.
//!
//! There is no list of exceptions: what only looks like one of them is said in other words.

use std::fs;
use std::path::{Path, PathBuf};

/// A turn of phrase, and what to say instead.
///
/// Words with `/` between them are alternatives, `*` is any one word. A match does not go on past a mark of punctuation,
/// and none is one that one of the words `but` follows.
struct Phrase {
    find: &'static str,
    but: &'static str,
    say: &'static str,
}

const fn phrase(find: &'static str, say: &'static str) -> Phrase {
    Phrase { find, but: "", say }
}

const PHRASES: &[Phrase] = &[
    Phrase {
        find: "!there is/are/was/were/be no",
        but: "longer more less better worse later earlier data",
        say: "\"is not a\", \"cannot be a\"",
    },
    phrase("held/hold/holds/holding against", "\"compared with\", \"checked against\""),
    phrase("held/hold/holds/holding */it/them against", "\"compared with\", \"checked against\""),
    phrase("wants", "\"requires\", \"asks for\""),
    phrase(
        "stand/stands/stood/standing in/at/on/there/here/beside/behind/before/between/under/above/below",
        "\"is in\", \"is written\", \"comes before\"",
    ),
    phrase("mend/mends/mended/mending", "\"correct\", \"fix\""),
    phrase("reckon/reckons/reckoned/reckoning", "\"assuming\""),
    phrase("grave/graver/gravest", "\"serious\", \"most serious\""),
    phrase("laid/lay/lays/laying over", "\"XORed onto\", \"combined with\""),
    phrase("laid/lay/lays/laying * over", "\"XORed onto\", \"combined with\""),
    phrase("hang/hangs/hanging/hung on/from", "\"depends on\""),
    phrase("none/nothing where", "\"none if\", \"`None` if\""),
    phrase("so many/much", "\"this many\", \"at most this much\""),
    phrase(
        "one/a/an column/entry/field/file/finding/frame/key/line/list/message/object/page/record/row/table a/an",
        "\"one X per Y\"",
    ),
    phrase("in clear", "\"in the clear\""),
    phrase("is/are/was/were told", "\"is reported\", \"is shown\", \"is identified\""),
    phrase("take/takes/taking/taken it/them/this/that/everything/each in", "\"reads\", \"records\", \"observes\""),
    phrase("takes in", "\"reads\", \"records\", \"observes\""),
    phrase("hear/hears", "\"receives\""),
    phrase("what is/was asked", "\"the question\", \"what is wanted\""),
    phrase("call/calls/called it forth", "\"asks for it\", \"triggers it\""),
    phrase("call/calls/called forth", "\"asks for\", \"triggers\""),
    phrase("leaves/left/leave a/no/the rest", "\"remainder\""),
    phrase("rest of a/the division", "\"remainder\""),
    phrase("below/under/have/has/no a/an/the/its floor", "\"minimum value\""),
    phrase("signs elsewhere", "\"sign the release in the proper record\""),
];

/// Words of a text, each with whether a mark of punctuation follows.
fn words(text: &str) -> Vec<(String, bool)> {
    text.split_whitespace()
        .map(|word| {
            let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
            (bare.to_lowercase(), word.ends_with(['.', ',', ';', ':', '!', '?', ')', '"', '`']))
        })
        .filter(|(word, ends)| !word.is_empty() || *ends)
        .collect()
}

impl Phrase {
    /// Whether the phrase begins at this word.
    fn is_at(&self, words: &[(String, bool)], at: usize) -> bool {
        // A word with `!` must not come before.
        let (not_after, find) = match self.find.strip_prefix('!').and_then(|find| find.split_once(' ')) {
            Some((not_after, find)) => (not_after, find),
            None => ("", self.find),
        };
        let parts: Vec<&str> = find.split(' ').collect();
        let Some(here) = words.get(at..at + parts.len()) else { return false };
        let fits = |(part, (word, _)): (&&str, &(String, bool))| part.split('/').any(|one| one == "*" || one == word);
        let is_one = !here[..here.len() - 1].iter().any(|(_, ends)| *ends) && parts.iter().zip(here).all(fits);
        let before = at.checked_sub(1).and_then(|before| words.get(before));
        let excused = before.is_some_and(|(word, _)| word == not_after)
            || words.get(at + parts.len()).is_some_and(|(word, _)| self.but.split(' ').any(|one| one == word));
        is_one && !excused
    }
}

/// What is said in a text that should be said otherwise: the words around it, and what to say.
pub fn hits(text: &str) -> Vec<(String, &'static str)> {
    let words = words(text);
    let around = |at: usize| {
        let near = &words[at.saturating_sub(4)..(at + 8).min(words.len())];
        near.iter().map(|(word, _)| word.as_str()).collect::<Vec<_>>().join(" ")
    };
    let of = |at: usize| PHRASES.iter().find(|phrase| phrase.is_at(&words, at)).map(|phrase| (around(at), phrase.say));
    (0..words.len()).filter_map(of).collect()
}

/// The texts of a Rust source with their lines: string literals, and each run of documentation as one text.
fn texts_of_rust(source: &str) -> Vec<(usize, String)> {
    let mut all: Vec<(usize, String)> = Vec::new();
    // The documentation that is being read, and the line that it has come to.
    let mut doc: Option<(usize, usize, String)> = None;
    let (mut at, mut line) = (0, 1);
    let is_name = |octet: u8| octet.is_ascii_alphanumeric() || octet == b'_';
    while let Some(&octet) = source.as_bytes().get(at) {
        let rest = &source[at..];
        let mut length = rest.chars().next().map_or(1, char::len_utf8);
        if rest.starts_with("//") {
            length = rest.find('\n').unwrap_or(rest.len());
            let text = rest[..length].strip_prefix("///").or(rest[..length].strip_prefix("//!"));
            if let Some(text) = text {
                match &mut doc {
                    Some((_, last, known)) if *last + 1 == line => {
                        *last = line;
                        *known += " ";
                        *known += text.trim();
                    }
                    _ => {
                        all.extend(doc.take().map(|(line, _, text)| (line, text)));
                        doc = Some((line, line, text.trim().to_owned()));
                    }
                }
            }
        } else if rest.starts_with("/*") {
            length = rest.find("*/").map_or(rest.len(), |end| end + 2);
        } else if octet == b'r' && !(at > 0 && is_name(source.as_bytes()[at - 1]) && source.as_bytes()[at - 1] != b'b')
        {
            let hashes = rest[1..].bytes().take_while(|octet| *octet == b'#').count();
            let end = format!("\"{}", &rest[1..=hashes]);
            if rest[1 + hashes..].starts_with('"') {
                let begin = hashes + 2;
                let text = rest[begin..].find(&end).unwrap_or(rest.len() - begin);
                all.push((line, rest[begin..begin + text].to_owned()));
                length = begin + text + end.len();
            }
        } else if octet == b'"' {
            let mut escaped = false;
            let closing = rest[1..].bytes().position(|octet| {
                let ends = octet == b'"' && !escaped;
                escaped = octet == b'\\' && !escaped;
                ends
            });
            let text = &rest[1..=closing.unwrap_or(rest.len() - 2)];
            length = text.len() + 2;
            all.push((line, text.replace("\\\n", "").replace("\\n", " ").replace("\\\"", "\"")));
        } else if octet == b'\'' {
            // A character, not a lifetime.
            length = if rest[1..].starts_with('\\') {
                rest[2..].find('\'').map_or(1, |end| end + 3)
            } else {
                let one = rest[1..].chars().next().map_or(0, char::len_utf8);
                if rest[1 + one..].starts_with('\'') { one + 2 } else { 1 }
            };
        }
        let end = (at + length).min(source.len());
        line += source[at..end].bytes().filter(|octet| *octet == b'\n').count();
        at = end;
    }
    all.extend(doc.map(|(line, _, text)| (line, text)));
    all
}

/// Paragraphs with their lines.
fn paragraphs(text: &str) -> Vec<(usize, String)> {
    let mut all: Vec<(usize, String)> = Vec::new();
    let mut is_new = true;
    for (at, line) in text.lines().enumerate() {
        match all.last_mut() {
            Some((_, known)) if !is_new => *known = format!("{known}\n{line}"),
            _ => all.push((at + 1, line.to_owned())),
        }
        is_new = line.trim().is_empty();
    }
    all
}

fn files(folder: &Path, endings: &[&str], into: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("an entry").path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files(&path, endings, into);
        } else if path.extension().is_some_and(|ending| endings.iter().any(|one| ending == *one)) {
            into.push(path);
        }
    }
}

/// Every file whose words people read, with its texts and their lines.
fn all_texts() -> Vec<(String, usize, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut paths = vec![root.join("README.md"), root.join("DEVELOPERS.md")];
    files(&root.join("src"), &["rs", "md", "html", "js", "json"], &mut paths);
    files(&root.join("vectors"), &["json"], &mut paths);
    let texts = |path: &PathBuf| {
        let source = fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let texts = match path.extension().and_then(|ending| ending.to_str()) {
            Some("rs") => texts_of_rust(&source),
            Some("json") => source.lines().enumerate().map(|(at, line)| (at + 1, line.to_owned())).collect(),
            _ => paragraphs(&source),
        };
        let name = path.strip_prefix(root).unwrap_or(path).display().to_string();
        texts.into_iter().map(move |(line, text)| (name.clone(), line, text)).collect::<Vec<_>>()
    };
    paths.iter().flat_map(texts).collect()
}

#[test]
fn nothing_that_people_read_has_a_dropped_turn_of_phrase() {
    let texts = all_texts();
    for known in [
        "README.md",
        "DEVELOPERS.md",
        "src/CHANGELOG.md",
        "src/guide/student.md",
        "src/page/page.html",
        "src/profile/wiring.rs",
    ] {
        assert!(texts.iter().any(|(file, ..)| file == known), "{known} was not read");
    }
    assert!(texts.len() > 10_000, "{}", texts.len());
    let found: Vec<String> = texts
        .iter()
        .flat_map(|(file, line, text)| {
            hits(text).into_iter().map(move |(words, say)| format!("{file}:{line}: …{words}…; say {say}"))
        })
        .collect();
    assert!(found.is_empty(), "{} turns of phrase:\n{}", found.len(), found.join("\n"));
}

#[test]
fn each_turn_of_phrase_is_found_and_what_is_right_is_not() {
    for wrong in [
        "this is no JSON",
        "\"x\" is no whole number",
        "What the profile was held against, in words.",
        "each register's rules are held against the bits",
        "as the standard wants them sent",
        "the mark stands in the identification",
        "mend the JSON at this place",
        "Reckoned with 50 % of all frames received",
        "the gravest finding",
        "nothing laid over it",
        "it does not hang on the version",
        "none where there is none",
        "of so many bits",
        "a row an aircraft",
        "one file a command",
        "an address heard in clear.",
        "How the threat is told",
        "Takes in one frame.",
        "a receiver hears a frame",
        "What calls it forth, where it is no squitter.",
        "leaves no rest",
        "below a floor",
    ] {
        assert!(!hits(wrong).is_empty(), "{wrong}");
    }
    for right in [
        "there is no rule set {name:?}",
        "it is no longer sent",
        "the last code stands for everything beyond",
        "in the clear, in clear text",
        "parity; no, where",
        "one line per field. A frame",
        "the rest is left blank for you",
        "floor(57 / 5) = 11",
    ] {
        assert!(hits(right).len() <= usize::from(right.contains("in clear")), "{right}: {:?}", hits(right));
    }
    let source = "/// One,\n/// two.\nconst A: &str = \"three \\\n    four\"; // not read\nlet b = ('\"', 'a', r#\"five \"six\" \"#);";
    let texts: Vec<(usize, String)> = texts_of_rust(source);
    let of: Vec<(usize, String)> = texts
        .iter()
        .map(|(line, text)| (*line, words(text).iter().map(|(word, _)| word.as_str()).collect::<Vec<_>>().join(" ")))
        .collect();
    assert_eq!(of, [(3, "three four".to_owned()), (5, "five six".to_owned()), (1, "one two".to_owned())], "{texts:?}");
}
