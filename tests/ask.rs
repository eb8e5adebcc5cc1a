//! `profile ask`: from the data plate to the signed sheet by questions, through a pipe and at a terminal.

use crate::program::{Folder, Pipe, Said, command, finish, flat, run, run_with};
use crate::terminal::Terminal;
use squitterlab::profile::{Answer, Profile, Questions, SETTINGS, SettingId, Stated, applies, check, rules_for};
use std::collections::HashMap;
use std::path::Path;

/// An invented install of some State: how its technician answers each question. What is not named is confirmed with Enter.
struct Case {
    mark: &'static str,
    answers: &'static [(SettingId, &'static str)],
    /// What must come out of it, worked out by hand from the tables of the standard.
    codes: &'static [(SettingId, &'static str)],
    /// Words of the warnings that belong to such an install.
    doubts: &'static [&'static str],
}

use SettingId as S;

/// What most installs of these have in common.
const COMMON: &[(SettingId, &str)] = &[
    (S::IdentificationSource, "fixed"),
    (S::MopsVersion, "DO-260B"),
    (S::ModeSLevel, "2"),
    (S::Antenna, "single"),
    (S::Acas, "none"),
    (S::SystemDesignAssurance, "2"),
    (S::SendsTargetState, "no"),
    (S::SendsAirReferencedVelocity, "no"),
    (S::DataLinkRegisters, "1,0 1,7 2,0"),
    (S::DataLinkSiCodes, "yes"),
    (S::AltitudeSourceKind, "serial"),
    (S::AltitudeResolution, "25"),
    (S::AltitudeCrossChecked, "yes"),
    (S::AirGroundKind, "switch"),
    (S::AirGroundActive, "on_ground"),
    (S::Nic, "8"),
    (S::Nacp, "9"),
    (S::Nacv, "2"),
    (S::Gva, "2"),
    (S::Sil, "3"),
    (S::SilSupplement, "per_hour"),
    (S::SurfaceDirection, "track"),
    (S::UtcSynchronised, "no"),
    (S::Es1090In, "yes"),
    (S::UatIn, "no"),
    (S::Notes, "invented, checked against no register"),
];

/// Seven States, seven kinds of install. Marks, addresses and measures are invented; no address is checked against a register.
const CASES: &[Case] = &[
    Case {
        mark: "n3829w",
        answers: &[
            (S::Kind, "aeroplane"),
            (S::MaximumTakeOffWeight, "2450 lb"),
            (S::Length, "26 ft 11 in"),
            (S::Width, "35'10\""),
            (S::MaximumCruiseTrueAirspeed, "122 kt"),
            (S::AntennaFromNose, "13 ft 1.5 in"),
            (S::AntennaFromCentreLine, "left 1 ft"),
            (S::AltitudeSourceKind, "parallel"),
            (S::AltitudeResolution, ""),
            (S::AltitudeCrossChecked, "no"),
            (S::UatIn, "yes"),
        ],
        // A46660 and 1200: the arithmetic and AIM 4-1-20, as the technician's trial of this mark found them.
        codes: &[
            (S::Address, "A46660"),
            (S::AircraftIdentification, "N3829W"),
            (S::EmitterCategory, "A1"),
            (S::VfrModeACode, "1200"),
        ],
        doubts: &[],
    },
    Case {
        mark: "D-4417",
        answers: &[
            (S::Address, "3D1A2B"),
            (S::Kind, "glider"),
            (S::MaximumTakeOffWeight, "525 kg"),
            (S::Length, "6.78 m"),
            (S::Width, "18 m"),
            (S::MaximumCruiseTrueAirspeed, "120 km/h"),
            (S::AntennaFromNose, "1.4 m"),
            (S::AntennaFromCentreLine, "0"),
            (S::AirGroundKind, "none"),
            (S::SystemDesignAssurance, "1"),
            (S::Sil, "1"),
            (S::Es1090In, "no"),
        ],
        codes: &[(S::AircraftIdentification, "D4417"), (S::EmitterCategory, "B1"), (S::VfrModeACode, "7000")],
        doubts: &["without an air/ground input no surface messages go out"],
    },
    Case {
        mark: "ZK-QXV",
        answers: &[
            (S::Address, "C81234"),
            (S::Kind, "aeroplane"),
            (S::MaximumTakeOffWeight, "7620 kg"),
            (S::Length, "15.67 m"),
            (S::Width, "17.64 m"),
            (S::MaximumCruiseTrueAirspeed, "270 kt"),
            (S::AntennaFromNose, "5.2 m"),
            (S::AntennaFromCentreLine, "0.4 m right"),
            (S::Antenna, "diversity"),
        ],
        // 7620 kg is 16 799 lb, above the 15 500 lb of A1.
        codes: &[(S::AircraftIdentification, "QXV"), (S::EmitterCategory, "A2"), (S::VfrModeACode, "1200")],
        doubts: &[],
    },
    Case {
        mark: "VH-QZX",
        answers: &[
            (S::Address, "7C4D5E"),
            (S::Kind, "rotorcraft"),
            (S::MaximumTakeOffWeight, "2250 kg"),
            (S::Length, "12.94 m"),
            (S::Width, "10.69 m"),
            (S::MaximumCruiseTrueAirspeed, "133 kt"),
            (S::AntennaFromNose, "9.1 m"),
            (S::AntennaFromCentreLine, "0"),
        ],
        codes: &[(S::AircraftIdentification, "QZX"), (S::EmitterCategory, "A7"), (S::VfrModeACode, "1200")],
        doubts: &[],
    },
    Case {
        mark: "G-QXVY",
        answers: &[
            (S::Address, "401234"),
            (S::Kind, "aeroplane"),
            (S::MaximumTakeOffWeight, "600 kg"),
            (S::Length, "6.4 m"),
            (S::Width, "8.6 m"),
            (S::MaximumCruiseTrueAirspeed, "118 kt"),
            (S::AntennaFromNose, "not_known"),
            (S::AntennaFromCentreLine, "not_known"),
        ],
        codes: &[(S::AircraftIdentification, "GQXVY"), (S::EmitterCategory, "A1"), (S::VfrModeACode, "7000")],
        doubts: &[],
    },
    Case {
        mark: "C-FQXZ",
        answers: &[
            (S::Address, "C0ABCD"),
            (S::Kind, "aeroplane"),
            (S::MaximumTakeOffWeight, "3600 lb"),
            (S::Length, "28 ft 2 in"),
            (S::Width, "36 ft 1 in"),
            (S::MaximumCruiseTrueAirspeed, "145 kt"),
            (S::AntennaFromNose, "10 ft"),
            (S::AntennaFromCentreLine, "0"),
            (S::Antenna, "diversity"),
        ],
        codes: &[(S::AircraftIdentification, "CFQXZ"), (S::EmitterCategory, "A1"), (S::VfrModeACode, "1200")],
        doubts: &[],
    },
    Case {
        mark: "HB-QXW",
        answers: &[
            (S::Address, "4B1234"),
            (S::IdentificationSource, "crew_entered"),
            (S::Kind, "aeroplane"),
            (S::MaximumTakeOffWeight, "8600 kg"),
            (S::Length, "15.2 m"),
            (S::Width, "16.3 m"),
            (S::MaximumCruiseTrueAirspeed, "440 kt"),
            (S::AntennaFromNose, "4.2 m"),
            (S::AntennaFromCentreLine, "0"),
            (S::Antenna, "diversity"),
            (S::Acas, "resolution"),
            (S::SendsTargetState, "yes"),
            (S::DataLinkRegisters, "1,0 1,7 2,0 3,0 4,0 5,0 6,0"),
            (S::AltitudeSourceKind, "bus"),
        ],
        codes: &[(S::AircraftIdentification, "HBQXW"), (S::EmitterCategory, "A2"), (S::VfrModeACode, "7000")],
        doubts: &[],
    },
];

impl Case {
    fn answer(&self, setting: SettingId) -> &'static str {
        let of =
            |list: &[(SettingId, &'static str)]| list.iter().find(|(id, _)| *id == setting).map(|(_, typed)| *typed);
        match setting {
            S::Registration => self.mark,
            _ => of(self.answers).or_else(|| of(COMMON)).unwrap_or_default(),
        }
    }

    /// The answers in the order of the questions, one per line.
    fn lines(&self) -> String {
        let mut questions = Questions::new("{}", false).expect("an empty profile");
        let mut lines = String::from("# invented\n");
        while let Some(question) = questions.question() {
            let typed = self.answer(question.setting.id);
            lines += typed;
            lines.push('\n');
            if let Answer::Doubtful(problems) =
                questions.answer(typed).unwrap_or_else(|fault| panic!("{}: {fault:?}", question.setting.name))
            {
                lines += "keep\n";
                assert!(!problems.is_empty());
                questions.confirm();
            }
        }
        lines
    }

    /// What came out is what the technician meant, and what the check says of it is what belongs to it.
    #[track_caller]
    fn is_right(&self, text: &str) {
        let reading = Profile::read(text);
        let profile = &reading.profile;
        for (setting, value) in self.codes {
            assert_eq!(setting.setting().stated(profile), Stated::Is((*value).to_owned()), "{}: {setting}", self.mark);
        }
        for (setting, typed) in self.answers.iter().filter(|(_, typed)| !typed.is_empty()) {
            let meant = setting.setting().with_typed(profile, typed).expect("a value");
            assert_eq!(*profile, meant, "{}: {setting}", self.mark);
        }
        for setting in SETTINGS.iter().filter(|setting| setting.in_new_profile && applies(profile, setting.id)) {
            assert!(matches!(setting.stated(profile), Stated::Is(_)), "{}: {} is open", self.mark, setting.name);
        }
        let (rules, _) = rules_for(None, profile);
        let said: Vec<String> = check(&reading, rules)
            .into_iter()
            .filter(|problem| problem.severity != squitterlab::profile::Severity::Note)
            .map(|problem| format!("{}: {}", problem.pointer, problem.reason))
            .collect();
        assert_eq!(said.len(), self.doubts.len(), "{}: {said:#?}", self.mark);
        for (said, doubt) in said.iter().zip(self.doubts) {
            assert!(said.contains(doubt), "{said}");
        }
    }
}

/// The profiles of the seven, as their questions leave them.
pub fn seven_installs() -> Vec<(&'static str, Profile)> {
    let profile = |case: &Case| {
        let mut questions = Questions::new("{}", false).expect("an empty profile");
        while let Some(question) = questions.question() {
            let answer = questions.answer(case.answer(question.setting.id));
            if let Answer::Doubtful(_) = answer.expect("it is taken") {
                questions.confirm();
            }
        }
        (case.mark, questions.profile().clone())
    };
    CASES.iter().map(profile).collect()
}

#[test]
fn seven_installs_of_seven_states_through_a_pipe_and_a_file_of_answers() {
    let folder = Folder::new("ask_pipe");
    for case in CASES {
        let name = format!("{}.json", case.mark.to_lowercase().replace('-', ""));
        let said = finish(command(&["profile", "ask"]).current_dir(folder.path(".")), case.lines().as_bytes()).exits(0);
        let text = std::fs::read_to_string(folder.path(&name)).expect("named after its registration");
        case.is_right(&text);
        assert!(flat(&said.out).contains("Every question is answered."), "{}", said.out);
        let wide: Vec<&str> = said.out.lines().filter(|line| line.chars().count() > 80).collect();
        let short = |line: &&&str| !line.contains("/ask_pipe");
        assert!(wide.iter().all(|line| !short(&line)), "{wide:?}");
        // The same out of a file of answers.
        let answers = folder.file("answers.txt", case.lines());
        let other = folder.path(&format!("other_{name}"));
        run(&["profile", "ask", &other, "--answers", &answers]).exits(0);
        assert_eq!(std::fs::read_to_string(other).expect("the profile"), text);
    }
}

/// Answers the questions at a terminal as the case says, until it is done or a question comes that `leave` names.
fn at_the_terminal(case: &Case, file: &str, folder: &Path, leave: Option<SettingId>) -> (i32, String) {
    let mut terminal = Terminal::start(&["profile", "ask", file], folder);
    loop {
        let said = terminal.wait_for(&["\n(", "all the same?", "for the aircraft: "]);
        if said.ends_with("for the aircraft: ") {
            break;
        }
        if said.ends_with("all the same?") {
            // The first choice is to answer again.
            terminal.wait_for(&["keep it as entered"]);
            terminal.press("keep\r");
            continue;
        }
        let heading = terminal.wait_for(&["\n"]);
        let (_, name) = heading.trim().split_once(") ").expect("a number and a name");
        let asked = SettingId::named(name).expect("a setting");
        terminal.wait_for(&["Esc: back; "]);
        if leave == Some(asked) {
            terminal.press("\u{3}");
            break;
        }
        terminal.press(&format!("{}\r", case.answer(asked)));
    }
    terminal.ends()
}

#[test]
fn seven_installs_of_seven_states_at_a_terminal_without_opening_a_file() {
    let folder = Folder::new("ask_terminal");
    for case in CASES {
        let file = folder.path(&format!("{}.json", case.mark));
        let (status, shown) = at_the_terminal(case, &file, Path::new(&folder.path(".")), None);
        assert_eq!(status, 0, "{shown}");
        let text = std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{error}: {shown}"));
        case.is_right(&text);
        assert!(!shown.contains("STOP") || shown.contains("STOP: Mode A code"), "{shown}");
        // And on to the sheet.
        let record = folder.path(&format!("{}.html", case.mark));
        run(&["profile", "check", &file]).exits(0);
        run(&["profile", "sheet", &file, "--record", &record]).exits(0);
        assert!(std::fs::read_to_string(&record).expect("the sheet").contains(&case.mark.to_uppercase()));
    }
}

#[test]
fn leaving_anywhere_and_coming_back_loses_nothing() {
    let case = &CASES[0];
    let folder = Folder::new("ask_leave");
    let whole = folder.path("whole.json");
    run_with(&["profile", "ask", &whole], case.lines().as_bytes()).exits(0);
    let whole = std::fs::read_to_string(whole).expect("the profile");
    // At a terminal, with Ctrl-C at one question and the rest in another session.
    let file = folder.path("two.json");
    let here = folder.path(".");
    let (status, shown) = at_the_terminal(case, &file, Path::new(&here), Some(S::Width));
    assert_eq!(status, 0, "{shown}");
    assert!(flat(&shown).contains("go on: squitterlab profile ask"), "{shown}");
    let half = Profile::read(&std::fs::read_to_string(&file).expect("the draft")).profile;
    assert!(half.length.get().is_some() && half.width.get().is_none());
    let (status, shown) = at_the_terminal(case, &file, Path::new(&here), None);
    assert_eq!(status, 0, "{shown}");
    assert!(!shown.contains(") Registration mark"), "what is answered is not asked again: {shown}");
    assert_eq!(std::fs::read_to_string(&file).expect("the profile"), whole);
    // Through a pipe that is cut behind each answer.
    let lines = case.lines();
    let lines: Vec<&str> = lines.lines().collect();
    let file = folder.path("cut.json");
    for cut in 1..=lines.len() {
        let _ = std::fs::remove_file(&file);
        let first = lines[..cut].join("\n") + "\n";
        run_with(&["profile", "ask", &file], first.as_bytes());
        let rest: Vec<&str> = lines[cut..].iter().copied().filter(|line| !line.starts_with('#')).collect();
        // A doubtful answer that was not confirmed was not taken, and is asked again.
        let again = if rest.first() == Some(&"keep") { lines[cut - 1] } else { "" };
        let rest = if again.is_empty() { rest.join("\n") } else { format!("{again}\n{}", rest.join("\n")) };
        run_with(&["profile", "ask", &file], (rest + "\n").as_bytes()).exits(0);
        assert_eq!(std::fs::read_to_string(&file).expect("the profile"), whole, "cut behind line {cut}");
    }
    assert!(folder.names().iter().all(|name| !name.starts_with('.')), "nothing is left beside");
}

#[test]
fn every_answer_of_a_pipe_is_kept_before_the_next_one_comes() {
    let folder = Folder::new("ask_kept");
    let file = folder.path("mine.json");
    let mut pipe = Pipe::start(&["profile", "ask", &file]);
    let read = || Profile::read(&std::fs::read_to_string(&file).unwrap_or_default()).profile;
    pipe.say("N47QX\n");
    pipe.until(|| read().registration.get().is_some());
    pipe.say("\n# by hand\n");
    pipe.until(|| read().address.get().is_some());
    pipe.interrupt();
    assert!(folder.names() == ["mine.json"], "{:?}", folder.names());
    // What cannot be kept is said before anything is asked.
    let said = run_with(&["profile", "ask", &folder.path("no/mine.json")], b"N47QX\n").exits(2);
    said.complains_of(&["no/mine.json"]);
    assert_eq!(said.out, "");
}

fn asked(said: &Said) -> Vec<String> {
    let headings = said.out.lines().filter(|line| line.starts_with('(') && line.contains(" of "));
    headings.map(|line| line.split_once(") ").expect("a number").1.to_owned()).collect()
}

#[test]
fn going_back_changes_an_answer_and_asks_again_what_follows_from_it() {
    let folder = Folder::new("ask_back");
    let file = folder.path("mine.json");
    // Back from the length to the weight: the category that followed is asked again.
    let answers = "N47QX\n\n\nfixed\naeroplane\n2550 lb\n\n145 kt\nback\nback\nback\n25500 lb\n\n\nstop\n";
    let said = run_with(&["profile", "ask", &file], answers.as_bytes()).exits(0);
    assert_eq!(
        asked(&said),
        [
            "Registration mark",
            "24-bit aircraft address",
            "Aircraft identification",
            "Who enters the identification",
            "Kind of aircraft",
            "Maximum take-off weight",
            "Emitter category",
            "Maximum cruise true airspeed",
            "Aircraft length",
            "Maximum cruise true airspeed",
            "Emitter category",
            "Maximum take-off weight",
            "Emitter category",
            "Aircraft length",
            "Aircraft width (span)",
        ],
        "{}",
        said.out
    );
    let profile = Profile::read(&std::fs::read_to_string(&file).expect("the profile")).profile;
    assert_eq!(profile.emitter_category.get().map(ToString::to_string), Some("A2".to_owned()));
    assert!(said.out.contains("Asked again"), "{}", said.out);
    // At a terminal the escape key goes back.
    let other = folder.path("esc.json");
    let mut terminal = Terminal::start(&["profile", "ask", &other], Path::new(&folder.path(".")));
    terminal.wait_for(&["(1 of "]);
    terminal.wait_for(&["Esc: back; "]);
    terminal.press("N47QX\r");
    terminal.wait_for(&["(2 of "]);
    terminal.wait_for(&["Esc: back; "]);
    terminal.press("\u{1B}");
    terminal.wait_for(&["(1 of "]);
    terminal.wait_for(&["Now: N47QX"]);
    terminal.wait_for(&["Esc: back; "]);
    terminal.press("N12345\r");
    // A061D9: N12345 of the FAA's register (published check of the address arithmetic).
    terminal.wait_for(&["Follows: A061D9"]);
    terminal.wait_for(&["Esc: back; "]);
    terminal.press("\u{3}");
    assert_eq!(terminal.ends().0, 0);
}

#[test]
fn an_answer_that_is_not_taken_says_why_and_spoils_nothing() {
    let folder = Folder::new("ask_refused");
    let file = folder.path("mine.json");
    for (answers, words) in [
        ("N0\n", &["line 1", "\"N0\"", "Registration mark"][..]),
        ("N47QX\n51340065\n", &["line 2", "24-bit aircraft address"]),
        ("N47QX\nA5C053\nkeep\n\nfixed\naeroplane\n2 lb\n", &["line 7", "\"2 lb\"", "Maximum take-off weight"]),
        ("# mine\nN47QX\n\n\nfixed\naeroplane\n2550\n", &["line 7", "\"2550\""]),
        ("N47QX\n\n\nfixed\naeroplane\n0 kg\nkeep\n", &["line 6", "\"0 kg\""]),
    ] {
        let _ = std::fs::remove_file(&file);
        let said = run_with(&["profile", "ask", &file], answers.as_bytes()).exits(2);
        said.complains_of(words);
        // What was taken before is kept.
        if answers.lines().filter(|line| !line.starts_with('#')).count() > 1 {
            let profile = Profile::read(&std::fs::read_to_string(&file).expect("the draft")).profile;
            assert!(profile.registration.get().is_some());
            assert!(profile.maximum_take_off_weight.get().is_none());
        } else {
            assert!(!Path::new(&file).exists());
        }
    }
    let faulty = folder.file("faulty.json", "{\"aircraft\": {\"length\": 27.2}}");
    run_with(&["profile", "ask", &faulty], b"").exits(2).complains_of(&["faulty.json:1:", "no unit"]);
    run_with(&["profile", "ask", "-"], b"").exits(2).complains_of(&["name one"]);
    // A profile of that name is never written over.
    let here = folder.path(".");
    folder.file("n47qx.json", "{}");
    let said = finish(command(&["profile", "ask"]).current_dir(&here), b"N47QX\n").exits(2);
    said.complains_of(&["n47qx.json is there already", "squitterlab profile ask n47qx.json"]);
}

#[test]
fn comments_survive_the_questions_and_more_asks_for_the_rest() {
    let folder = Folder::new("ask_more");
    let text = "{\n  \"aircraft\": {\n    \"registration\": \"N47QX\", // as painted\n    \"address\": null\n  }\n}\n";
    let file = folder.file("mine.json", text);
    run_with(&["profile", "ask", &file], b"\n").exits(0);
    assert_eq!(
        std::fs::read_to_string(&file).expect("text"),
        text.replace("\"address\": null", "\"address\": \"A5C035\"")
    );
    let names = |more: bool| {
        let mut questions = Questions::new("{}", more).expect("an empty profile");
        let mut names: HashMap<SettingId, usize> = HashMap::new();
        while let Some(question) = questions.question() {
            *names.entry(question.setting.id).or_default() += 1;
            assert!(names[&question.setting.id] < 3, "{} is asked for ever", question.setting.name);
            questions.leave_open();
        }
        names
    };
    let profile = Profile::default();
    let few = names(false);
    let all = names(true);
    for setting in SETTINGS.iter().filter(|setting| applies(&profile, setting.id)) {
        assert_eq!(few.get(&setting.id), setting.in_new_profile.then_some(&1), "{}", setting.name);
        assert_eq!(all.get(&setting.id), Some(&1), "{}", setting.name);
    }
}
