//! Regulators' floors as data: named, dated sets, each number with its clause and whether a page confirmed it.

use super::Profile;
use serde::Deserialize;
use std::sync::LazyLock;

/// A regulator's floors.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RuleSet {
    /// The name on the command line.
    pub name: String,
    /// The name for people.
    pub title: String,
    /// Which state of the rules it is.
    pub date: String,
    /// Where the numbers are from.
    pub source: String,
    /// The numbers.
    pub floors: Vec<Floor>,
}

/// The least that a rule allows for a setting.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Floor {
    /// JSON pointer.
    pub setting: String,
    /// The least.
    pub at_least: u8,
    /// The clause.
    pub clause: String,
    /// `page seen`, or `from memory`; the latter never fails an install by itself.
    pub confirmed: String,
}

impl Floor {
    /// Whether a page was seen that says this number.
    pub fn is_confirmed(&self) -> bool {
        self.confirmed == "page seen"
    }

    /// What a profile says of this setting, as a number.
    pub fn stated(&self, profile: &Profile) -> Option<u8> {
        match self.setting.as_str() {
            "/transponder/mops_version" => profile.mops_version.get().map(|number| number.0),
            "/transponder/system_design_assurance" => profile.system_design_assurance.get().map(|number| number.0),
            "/position_source/nic" => profile.nic.get().map(|number| number.0),
            "/position_source/nacp" => profile.nacp.get().map(|number| number.0),
            "/position_source/nacv" => profile.nacv.get().map(|number| number.0),
            "/position_source/sil" => profile.sil.get().map(|number| number.0),
            "/position_source/gva" => profile.gva.get().map(|number| number.0),
            _ => None,
        }
    }
}

static SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    [
        include_str!("rules/none.json"),
        include_str!("rules/united_states.json"),
        include_str!("rules/europe.json"),
        include_str!("rules/new_zealand.json"),
    ]
    .into_iter()
    // The files are part of the program; a test reads each of them.
    .filter_map(|text| serde_json::from_str(text).ok())
    .collect()
});

/// Every rule set, `none` first.
pub fn rule_sets() -> &'static [RuleSet] {
    &SETS
}

/// The rule set with this name.
pub fn rule_set(name: &str) -> Option<&'static RuleSet> {
    SETS.iter().find(|set| set.name == name)
}

#[cfg(test)]
mod tests {
    #[test]
    fn every_rule_file_is_read_and_names_known_settings() {
        assert_eq!(super::rule_sets().len(), 4);
        for set in super::rule_sets() {
            for floor in &set.floors {
                assert!(crate::profile::setting(&floor.setting).is_some(), "{}", floor.setting);
                assert!(matches!(floor.confirmed.as_str(), "page seen" | "from memory"), "{}", floor.confirmed);
            }
        }
    }
}
