//! Rule sets, alone and several at once: each number with its clause, date and mark, and nothing lost between sets.

use crate::program::{PROFILE, flat, profile_text, run};
use serde_json::Value;
use squitterlab::profile::{Binds, Problem, Profile, RuleSet, Severity, check, rule_set, rule_sets};

fn set(name: &str) -> &'static RuleSet {
    rule_set(name).unwrap_or_else(|| panic!("{name}"))
}

/// Profiles of every weight class and State that a set speaks of.
fn profiles() -> Vec<Profile> {
    let mut all = vec![Profile::default()];
    for mark in ["N47QX", "D-EABC", "G-ABCD", "VH-ABC", "ZK-ABC", "C-FABC", "HB-ABC", "PT-ABC"] {
        for (kind, weight) in [("aeroplane", "2000"), ("aeroplane", "9000"), ("glider", "500"), ("unmanned", "10")] {
            for (sil, sda, nic, nacp) in [(3, 2, 8, 9), (1, 1, 6, 5), (0, 0, 0, 0), (2, 3, 7, 7)] {
                let text = format!(
                    r#"{{"aircraft": {{"registration": "{mark}", "kind": "{kind}", "maximum_take_off_weight": {{"kg": {weight}}}}},
                    "transponder": {{"mops_version": 1, "antenna": "single", "system_design_assurance": {sda}, "air_ground": {{"kind": "none"}}}},
                    "position_source": {{"sil": {sil}, "nic": {nic}, "nacp": {nacp}, "nacv": 0}}}}"#
                );
                let reading = Profile::read(&text);
                assert!(!reading.has_errors(), "{:?}", reading.problems);
                all.push(reading.profile);
            }
        }
    }
    all
}

#[test]
fn every_number_of_every_set_has_its_clause_its_date_and_its_mark() {
    let mut numbers = 0;
    for rules in rule_sets() {
        assert!(!rules.date.is_empty() && !rules.source.is_empty() && !rules.title.is_empty(), "{}", rules.name);
        let clauses = rules.floors.iter().map(|each| &each.clause);
        let clauses = clauses.chain(rules.required.iter().map(|each| &each.clause));
        let clauses = clauses.chain(rules.remarks.iter().map(|each| &each.clause));
        let clauses = clauses.chain(rules.vfr_mode_a_codes.iter().map(|each| &each.clause));
        let clauses = clauses.chain(rules.unseen.iter().map(|each| &each.clause));
        let clauses = clauses.chain(rules.pairs.iter().chain(&rules.outside_scope).map(|each| &each.clause));
        for clause in clauses {
            assert!(clause.len() > 4, "{}: {clause:?}", rules.name);
            numbers += 1;
        }
        // What frames cannot show is said of each set that asks for anything.
        assert_eq!(rules.unseen.is_empty(), rules.name == "none", "{}", rules.name);
    }
    assert!(numbers > 60, "{numbers}");
    let list = flat(&run(&["profile", "check", "--list-rules"]).exits(0).out);
    for rules in rule_sets() {
        assert!(list.contains(&format!("{}: {}", rules.name, flat(&rules.title))), "{}", rules.name);
        for unseen in &rules.unseen {
            assert!(list.contains(&flat(&unseen.what)), "{}", unseen.what);
        }
    }
}

/// What a rule set itself says of a profile.
fn of_rules(profile: &Profile, rules: &RuleSet) -> Vec<(String, String, &'static str, Severity)> {
    let problems: Vec<Problem> = check(&Profile::read(&profile.json().to_string()), rules);
    let own = problems.into_iter().filter(|problem| ["floor", "remark", "pairs"].contains(&problem.rule));
    let mut own: Vec<_> =
        own.map(|problem| (problem.pointer, problem.reason, problem.rule, problem.severity)).collect();
    own.sort();
    own
}

#[test]
fn several_sets_say_together_what_each_says_alone() {
    let profiles = profiles();
    for one in rule_sets() {
        for other in rule_sets() {
            if one.name == other.name {
                continue;
            }
            let both = RuleSet::together(vec![one.clone(), other.clone()]);
            for profile in &profiles {
                let mut each = [of_rules(profile, one), of_rules(profile, other)].concat();
                each.sort();
                assert_eq!(of_rules(profile, &both), each, "{}", both.name);
                // The stricter minimum value counts, of those that bind.
                let floors = both.floors_for(profile);
                for floor in one.floors_for(profile).iter().chain(other.floors_for(profile)) {
                    let of = floors.iter().filter(|merged| merged.setting == floor.setting);
                    assert_eq!(of.clone().count(), 1, "{}", floor.setting);
                    assert!(of.clone().all(|merged| merged.at_least >= floor.at_least));
                    let exists = |floors: &[squitterlab::profile::Floor]| {
                        floors.iter().any(|own| {
                            of.clone().any(|merged| merged.at_least == own.at_least && own.setting == merged.setting)
                        })
                    };
                    assert!(exists(one.floors_for(profile)) || exists(other.floors_for(profile)));
                }
                // Of those that have minimum values, the one that binds most says how far all bind.
                let with_floors = [one, other].into_iter().filter(|set| !set.floors.is_empty());
                let most = with_floors.map(|set| set.binds(profile)).max_by_key(|binds| match binds {
                    Binds::No => 0,
                    Binds::Unknown => 1,
                    Binds::Yes => 2,
                });
                assert_eq!(both.binds(profile), most.unwrap_or(Binds::Yes), "{}", both.name);
                // The form of the identification is that of the State of registry in any company.
                let forms = |rules: &RuleSet| rules.identification_forms(profile).map(|forms| format!("{forms:?}"));
                assert_eq!(forms(&both), forms(set("none")), "{}", both.name);
            }
        }
    }
}

#[test]
fn a_light_aircraft_in_europe_has_one_of_three_pairs() {
    for rules in ["europe_light", "gliders"] {
        for sil in 0..=3 {
            for sda in 0..=3 {
                let text = format!(
                    r#"{{"aircraft": {{"registration": "D-EABC", "kind": "glider"}}, "transponder": {{"system_design_assurance": {sda}}}, "position_source": {{"sil": {sil}}}}}"#
                );
                let problems = check(&Profile::read(&text), set(rules));
                let told = problems.iter().filter(|problem| problem.rule == "pairs").count();
                // CS-SC005a (EASA, 6 March 2019): SIL 3 and SDA 2, 1 and 1, 0 and 0.
                assert_eq!(told, usize::from(![(3, 2), (1, 1), (0, 0)].contains(&(sil, sda))), "{sil} {sda}");
            }
        }
    }
}

#[test]
fn sets_are_named_with_commas_at_check_and_compare() {
    let light = profile_text(&[
        ("\"sil\": 3", "\"sil\": 1"),
        ("\"system_design_assurance\": 2", "\"system_design_assurance\": 3"),
    ]);
    let folder = crate::program::Folder::new("rules_commas");
    let file = folder.file("light.json", light);
    let said = flat(&run(&["profile", "check", &file, "--rules", "europe_light,united_states"]).exits(1).out);
    assert!(said.contains("none of the pairs of a light aircraft"), "{said}");
    assert!(said.contains("1 is below the 3 that United States, 14 CFR 91.227 requires"), "{said}");
    assert!(said.contains("checked against europe_light,united_states"), "{said}");
    // Spaces, repeats and `none` change nothing.
    let again =
        run(&["profile", "check", &file, "--rules", " europe_light, none,united_states,united_states"]).exits(1);
    assert_eq!(flat(&again.out), said);
    // A file of one's own among them.
    let own = folder.file(
        "ours.json",
        r#"{"name": "ours", "title": "our shop", "date": "2026", "source": "our manual", "floors":
        [{"setting": "/position_source/nacp", "at_least": 10, "clause": "page 3", "confirmed": "page seen"}]}"#,
    );
    let said = flat(&run(&["profile", "check", PROFILE, "--rules", &format!("united_states,{own}")]).exits(1).out);
    assert!(said.contains("9 is below the 10 that our shop requires (page 3; 2026)"), "{said}");
    run(&["profile", "check", PROFILE, "--rules", "united_states,untied"])
        .exits(2)
        .complains_of(&["\"untied\"", "europe_light"]);
    let capture = "vectors/demo/good_air.txt";
    let rules = format!("united_states,{own}");
    let report = run(&["compare", PROFILE, "--capture", capture, "--rules", &rules, "--format", "json"]).object();
    let findings: Vec<&Value> = report["findings"].as_array().expect("a list").iter().collect();
    let ours = |finding: &&&Value| {
        finding["setting"] == "/position_source/nacp" && finding["rule"].to_string().contains("our shop")
    };
    assert!(findings.iter().any(|finding| ours(&finding)), "{findings:?}");
}
