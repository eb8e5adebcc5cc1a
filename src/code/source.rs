//! Lists the sources of facts: the short marks that are printed beside every row, and the documents behind them.

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
    (
        "AX",
        "EUROCONTROL specification for surveillance data exchange, Part 12, category 021, edition 2.7 (2 July 2025), with its reserved expansion field, edition 1.5 (22 December 2021), which copy the bits of the messages",
    ),
    (
        "AY",
        "EUROCONTROL specification for surveillance data exchange, Part 4, category 048, edition 1.32 (1 July 2024)",
    ),
    (
        "MM",
        "an aircraft maintenance manual, 34-52-00 pages 47 and 48 (1 May 2005), http://www.aero.cn/2011/0326/22142_108.html",
    ),
    (
        "V3",
        "read as in version 2: both standards bodies say that version 3 is backwards compatible; no page of version 3 itself was seen",
    ),
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
