//! Where the facts come from: the short marks that stand beside every row, and the documents behind them.

/// Each mark's letters and the document; a number behind the letters is the page or chapter.
pub const SOURCES: &[(&str, &str)] = &[
    ("D", "ICAO Doc 9871, 2nd edition, draft of June 2011 (TSGWP11-01), page of the published copy"),
    ("A3-", "ICAO Annex 10 Volume III, Part I, Appendix to Chapter 5 (Amendment 77, 2002), page of the published copy"),
    ("A4-", "ICAO Annex 10 Volume IV, 3rd edition (2002), page of the published copy"),
    ("H", "The 1090 Megahertz Riddle, 2nd edition (J. Sun, doi 10.34641/mg.11), ADS-B part, chapter"),
    ("HM", "The same handbook, Mode S part, chapter"),
    ("HI", "The same handbook, introduction"),
    ("CF", "published answers that quote DO-260B on the control field of format 18"),
    ("SE", "published answer that quotes Annex 10 on the overlay of format 11"),
    ("RO4", "Romanian transposition of ICAO Annex 10 Volume IV (2024)"),
    ("SB", "ICAO Doc 9871, Appendix A, published pages of registers 3,0, 4,0, 5,0 and 6,0"),
    ("memory", "from memory of the standard; no page seen confirms it"),
];

/// The document behind one mark such as `D192`, or none.
///
/// ```
/// assert!(squitterlab::code::source_in_full("D192").unwrap().contains("Doc 9871"));
/// assert!(squitterlab::code::source_in_full("Q1").is_none());
/// ```
pub fn source_in_full(mark: &str) -> Option<String> {
    SOURCES
        .iter()
        .filter(|(letters, _)| mark.starts_with(letters))
        .max_by_key(|(letters, _)| letters.len())
        .filter(|(letters, _)| mark[letters.len()..].bytes().all(|b| b.is_ascii_digit()))
        .map(|(letters, document)| match &mark[letters.len()..] {
            "" => (*document).to_owned(),
            number => format!("{document} {number}"),
        })
}
