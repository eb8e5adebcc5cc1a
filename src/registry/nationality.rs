//! Finds the State of a registration mark by the nationality mark that it begins with: data in `nationality.json`.

use serde::Deserialize;
use std::sync::LazyLock;

/// The nationality marks of a State.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Nationality {
    /// The State, as among the blocks of addresses.
    pub state: String,
    /// Its nationality marks.
    pub marks: Vec<String>,
    /// `page seen` or `from memory`.
    pub confirmed: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    #[allow(dead_code)] // For readers of the file.
    title: String,
    #[allow(dead_code)]
    date: String,
    #[allow(dead_code)]
    source: String,
    rows: Vec<Nationality>,
}

// The file is part of the program; a test reads it.
static TABLE: LazyLock<Option<Table>> = LazyLock::new(|| serde_json::from_str(include_str!("nationality.json")).ok());

/// Every State whose nationality mark is known.
///
/// ```
/// use squitterlab::registry::nationalities;
/// let row = nationalities().iter().find(|row| row.state == "Germany").unwrap();
/// assert!(row.marks.iter().any(|mark| mark == "D"));
/// ```
pub fn nationalities() -> &'static [Nationality] {
    TABLE.as_ref().map_or(&[], |table| &table.rows)
}

/// The State of a registration mark and its nationality mark: what comes before the hyphen, else the longest that fits.
///
/// ```
/// use squitterlab::registry::nationality_of_mark;
/// assert_eq!(nationality_of_mark("ZK-ABC").unwrap().1, "ZK");
/// assert_eq!(nationality_of_mark("N47QX").unwrap().0.state, "United States");
/// assert!(nationality_of_mark("QQ-ABC").is_none());
/// ```
pub fn nationality_of_mark(mark: &str) -> Option<(&'static Nationality, &'static str)> {
    let before_hyphen = mark.split_once('-').map(|(before, _)| before);
    nationalities()
        .iter()
        .flat_map(|row| row.marks.iter().map(move |own| (row, own.as_str())))
        .filter(|(_, own)| before_hyphen.map_or_else(|| mark.starts_with(own), |before| before == *own))
        .max_by_key(|(_, own)| own.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::registry::BLOCKS;

    #[test]
    fn every_row_names_a_holder_of_addresses_and_no_mark_stands_twice() {
        assert!(nationalities().len() > 100);
        let mut all: Vec<&str> = Vec::new();
        for row in nationalities() {
            assert!(BLOCKS.iter().any(|block| block.holder == row.state), "{}", row.state);
            assert!(matches!(row.confirmed.as_str(), "page seen" | "from memory"), "{}", row.confirmed);
            all.extend(row.marks.iter().map(String::as_str));
        }
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count, "a mark of two States");
    }
}
