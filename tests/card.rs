//! `profile sheet --card`: what has to be seen in each step, on at most two pages of A4 or Letter; and equipment, test and
//! people on every paper.

use crate::browser::Browser;
use crate::program::{Folder, PROFILE, command, finish, flat, profile, profile_text, run};
use squitterlab::onair::{Flight, When, emissions};
use squitterlab::present::card::Card;
use squitterlab::profile::figures::FIGURES;
use squitterlab::profile::{Profile, SETTINGS, SettingId as S, Stated};

/// The demo install with other answers.
fn install(answers: &[(S, &str)]) -> Profile {
    answers.iter().fold(profile(&[]), |profile, (setting, typed)| {
        setting.setting().with_typed(&profile, typed).unwrap_or_else(|fault| panic!("{setting}: {fault:?}"))
    })
}

/// Installs of every kind that a card is made for; the longest among them.
fn installs() -> Vec<(&'static str, Profile)> {
    let jet: &[(S, &str)] = &[
        (S::EmitterCategory, "A3"),
        (S::Length, "123 ft 3 in"),
        (S::Width, "112 ft 7 in"),
        (S::MaximumCruiseTrueAirspeed, "455 kt"),
        (S::Antenna, "diversity"),
        (S::Acas, "resolution"),
        (S::SendsTargetState, "yes"),
        (S::SendsAirReferencedVelocity, "yes"),
        (S::DataLinkRegisters, "1,0 1,7 2,0 3,0 4,0 5,0 6,0"),
        (S::DataLinkSiCodes, "yes"),
        (S::AltitudeSourceKind, "bus"),
        (S::AltitudeResolution, "25"),
        (S::AltitudeCrossChecked, "yes"),
        (S::TransmitPower, "70_w_or_more"),
        (S::AntennaFromNose, "26 ft 11-1/2 in"),
        (S::AntennaFromCentreLine, "1 ft 2 in right"),
        (S::SurfaceDirection, "heading"),
        (S::SurfaceDirectionReference, "magnetic"),
        (S::IdentificationSource, "crew_entered"),
    ];
    let mut all = vec![("demo", profile(&[])), ("jet", install(jet))];
    for (name, version) in [("version 0", "0"), ("version 1", "1")] {
        all.push((name, install(&[(S::MopsVersion, version)])));
    }
    all.push(("glider", install(&[(S::Kind, "glider"), (S::EmitterCategory, "B1"), (S::AirGroundKind, "none")])));
    all
}

#[test]
fn every_decided_value_is_on_the_card_in_the_step_that_shows_it() {
    for (name, profile) in installs() {
        let card = Card::new(&profile);
        let step = |title: &str| card.steps.iter().find(|step| step.title == title);
        let has = |title: &str, setting: S| {
            step(title).is_some_and(|step| step.lines.iter().any(|line| line.setting.id == setting))
        };
        let without_ground = profile.air_ground_kind.get() == Some(&squitterlab::profile::AirGroundKind::None);
        let mut decided = 0;
        for emission in emissions(&profile, Flight::Healthy).expect("frames") {
            for decision in emission.decisions.iter().chain(&emission.used) {
                for setting in
                    decision.settings.iter().filter(|id| matches!(id.setting().stated(&profile), Stated::Is(_)))
                {
                    decided += 1;
                    if emission.reply_to.is_some() {
                        assert!(has("Interrogation step", *setting), "{name}: {setting}");
                        continue;
                    }
                    if emission.when != When::OnGround {
                        assert!(has("Air step", *setting), "{name}: {setting}");
                    }
                    if emission.when != When::Airborne && !without_ground {
                        assert!(has("Ground step", *setting), "{name}: {setting}");
                    }
                }
            }
        }
        assert!(decided > 30, "{name}: {decided}");
        // What is nowhere on the air is not on the card.
        for line in card.steps.iter().flat_map(|step| &step.lines) {
            assert_eq!(line.setting.never, None, "{name}: {}", line.setting.name);
            assert!(!line.code.is_empty() && !line.value.is_empty());
        }
        assert_eq!(without_ground, step("Ground step").is_none(), "{name}");
        assert!(card.stops.iter().any(|stop| stop.contains("Never 7500")), "{name}");
        assert_eq!(
            without_ground,
            card.stops.iter().any(|stop| stop.contains("without an air/ground input")),
            "{name}"
        );
        let text = card.text();
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{name}: {text}");
        for figure in FIGURES {
            assert!(flat(&text).contains(&flat(figure.limits)), "{text}");
        }
    }
}

#[test]
fn what_is_open_is_named_on_the_card_and_a_faulty_profile_has_none() {
    let folder = Folder::new("card_open");
    let file =
        folder.file("open.json", profile_text(&[("\"nic\": 8", "\"nic\": null"), ("\"length\": {\"ft\": 27.2},", "")]));
    let said = flat(&run(&["profile", "sheet", &file, "--card"]).exits(0).out);
    assert!(said.contains("Not filled in, so not on this card: Aircraft length; "), "{said}");
    assert!(said.contains("Position integrity (NIC)"), "{said}");
    let faulty = folder.file("faulty.json", profile_text(&[("{\"ft\": 27.2}", "27.2")]));
    run(&["profile", "sheet", &faulty, "--card"]).exits(2).complains_of(&["no unit"]);
    run(&["profile", "sheet", PROFILE, "--card", "--drawing", &folder.path("a.svg")]).exits(2);
    let object = run(&["profile", "sheet", PROFILE, "--card", "--format", "json"]).exits(0).object();
    assert_eq!(object["steps"].as_array().map(Vec::len), Some(3), "{object}");
}

/// Octets of base64 (RFC 4648).
fn base64(text: &str) -> Vec<u8> {
    const DIGITS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let (mut out, mut bits, mut held) = (Vec::new(), 0_u32, 0);
    for c in text.bytes().filter(|c| *c != b'=') {
        bits = bits << 6 | DIGITS.iter().position(|digit| *digit == c).expect("base64") as u32;
        held += 6;
        if held >= 8 {
            held -= 8;
            out.push((bits >> held) as u8);
        }
    }
    out
}

#[test]
fn the_card_is_at_most_two_pages_of_a4_and_letter() {
    let Some(browser) = Browser::open("card") else { return };
    let folder = Folder::new("card_paper");
    for (name, install) in installs() {
        let file = folder.file("install.json", install.json().to_string());
        let html = folder.path("card.html");
        run(&["profile", "sheet", &file, "--card", "--record", &html, "--force"]).exits(0);
        browser.go(&format!("file://{html}"));
        for (paper, width, height) in [("a4", 8.27, 11.69), ("letter", 8.5, 11.0)] {
            let size = serde_json::json!({"paperWidth": width, "paperHeight": height, "preferCSSPageSize": false});
            let printed = browser.devtools("Page.printToPDF", &size);
            let pdf = base64(printed["data"].as_str().expect("a document"));
            if let Ok(keep) = std::env::var("SQUITTERLAB_KEEP_CARDS") {
                std::fs::write(format!("{keep}/{}_{paper}.pdf", name.replace(' ', "_")), &pdf).expect("a copy");
            }
            let pages = String::from_utf8_lossy(&pdf).matches("/Type /Page\n").count();
            assert!((1..=2).contains(&pages), "{name} on {paper}: {pages} pages");
        }
        // Every setting of the card is on the paper too.
        let text = flat(&browser.text("body"));
        for line in Card::new(&install).steps.iter().flat_map(|step| &step.lines) {
            assert!(text.contains(line.setting.name), "{name}: {}", line.setting.name);
        }
        assert_eq!(browser.complaints(), Vec::<serde_json::Value>::new());
    }
}

#[test]
fn equipment_test_and_people_are_on_profile_sheet_and_record() {
    let folder = Folder::new("card_equipment");
    let file = folder.file("mine.json", profile_text(&[]));
    let record_only: Vec<_> = SETTINGS.iter().filter(|setting| setting.id.is_for_the_record()).collect();
    // Make, part, serial and software of four boxes but for the software of an antenna; approval; test set, people.
    assert_eq!(record_only.len(), 4 * 4 - 1 + 1 + 8);
    let mut set = vec!["profile", "set", &file];
    let mut values = Vec::new();
    for setting in &record_only {
        let value = match setting.id {
            S::TestSetCalibratedUntil => "2027-01-31".to_owned(),
            S::TestDay => "2026-11-27".to_owned(),
            S::TestCoupling => "direct".to_owned(),
            _ => format!("Invented {}", setting.id.id()),
        };
        values.push((setting, value));
    }
    for (setting, value) in &values {
        set.extend([setting.id.id(), value.as_str()]);
    }
    run(&set).exits(0);
    let intended = folder.path("sheet.html");
    let compared = folder.path("compared.html");
    let sheet = flat(&run(&["profile", "sheet", &file, "--record", &intended]).exits(0).out);
    run(&["compare", &file, "--capture", "vectors/demo/good_air.txt", "--record", &compared]);
    for (setting, value) in &values {
        let value = if setting.id == S::TestCoupling { "a cable to the unit" } else { value };
        assert!(sheet.contains(&format!("{} {value}", setting.name)), "{}: {sheet}", setting.name);
        for paper in [&intended, &compared] {
            let text = std::fs::read_to_string(paper).expect("the record");
            assert!(text.contains(value), "{paper}: {}", setting.name);
        }
    }
    // The same by questions.
    let asked = folder.file("asked.json", profile_text(&[("\"notes\"", "\"equipment\": null, \"notes\"")]));
    let answers = "Invented maker\nPN 1\nSN 2\n1.0\nstop\n";
    finish(&mut command(&["profile", "ask", &asked, "--more"]), answers.as_bytes());
    // Nobody is blamed for what is in order; what is not is said.
    let check = |settings: &[(&str, &str)]| {
        let mut arguments = vec!["profile", "set", &file];
        arguments.extend(settings.iter().flat_map(|(name, value)| [*name, *value]));
        flat(&run(&arguments).exits(0).out)
    };
    assert!(!check(&[("test_day", "2027-01-31")]).contains("warning"));
    assert!(
        check(&[("test_day", "2027-02-01")])
            .contains("the calibration ended on 2027-01-31, before the test on 2027-02-01")
    );
}
