//! Judges the VFR code: that of another region, or a preset code that was never sent.

use super::{Finding, Judge};
use crate::code::{Bits, ModeA};
use crate::compare::observe::Evidence;
use crate::profile::mistake::VFR_CODE;
use crate::profile::{SettingId, Severity};
use std::collections::BTreeMap;

/// Codes for visual flight, by region: the United States; most of Europe and ICAO regions that use one.
const VFR_CODES: [(&str, &str); 3] = [("1200", "North America"), ("7000", "most of Europe"), ("2000", "no code given")];

/// The visual-flight code of another region, and never the preset one.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let preset = judge.install.profile.vfr_mode_a_code.get().map(ToString::to_string);
    let Some(preset) = preset else { return Vec::new() };
    let mut seen: BTreeMap<String, Evidence> = BTreeMap::new();
    for place in judge.of(SettingId::VfrModeACode) {
        for (code, evidence) in judge.codes(place) {
            let digits = ModeA::from_bits(code).to_string();
            seen.entry(digits).and_modify(|known| known.add(&evidence)).or_insert(evidence);
        }
    }
    if seen.contains_key(&preset) {
        return Vec::new();
    }
    let others = VFR_CODES.iter().filter_map(|(code, region)| Some((code, region, *seen.get(*code)?)));
    others
        .map(|(code, region, evidence)| {
            let what = format!("{code} ({region}) was seen, and never the preset {preset}");
            judge.finding(Severity::Note, &VFR_CODE, what, [evidence])
        })
        .collect()
}
