//! Texts as people and their editors save them: the mark that some put first, and the lines that say something.

/// A text without the mark of the byte order, which says nothing. Where files were joined, it comes before a later line.
pub(crate) fn unmarked(text: &str) -> &str {
    text.strip_prefix('\u{FEFF}').unwrap_or(text)
}

/// The same for octets, which need not be a text.
pub(crate) fn unmarked_octets(text: &[u8]) -> &[u8] {
    text.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(text)
}

/// Where a text begins behind the mark of the byte order, in octets.
pub(crate) fn begin(text: &str) -> usize {
    text.len() - unmarked(text).len()
}

/// The lines of a text that say something, with their numbers: those that are neither blank nor a remark (`#`).
pub(crate) fn written_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines = (1..).zip(text.lines().map(|line| unmarked(line).trim()));
    lines.filter(|(_, line)| !line.is_empty() && !line.starts_with('#'))
}
