//! The guide as a book: its index reaches everything, its links lead somewhere, and it is the same text in a pipe, on a
//! terminal and on the page.

use crate::browser::{Browser, Page};
use crate::page::ask;
use crate::program::{Folder, commands, flat, run};
use crate::terminal::Terminal;
use serde_json::{Value, json};
use squitterlab::guide::{CHAPTERS, Chapter, chapter};
use std::collections::BTreeSet;

/// The lines of a chapter outside its examples.
fn prose(chapter: &Chapter) -> Vec<&'static str> {
    let mut is_example = false;
    let outside = chapter.text.lines().filter(|line| {
        let is_fence = line.starts_with("```");
        is_example ^= is_fence;
        !is_example && !is_fence
    });
    outside.collect()
}

/// The words of its headings.
fn headings(chapter: &Chapter) -> Vec<&'static str> {
    prose(chapter)
        .into_iter()
        .filter_map(|line| line.trim_start_matches('#').strip_prefix(' ').filter(|_| line.starts_with('#')))
        .collect()
}

/// A heading's name in links.
fn name_of(heading: &str) -> String {
    let kept = heading.to_lowercase().replace(' ', "-");
    kept.chars().filter(|c| c.is_alphanumeric() || *c == '-').collect()
}

/// The links of a chapter: chapter and heading.
fn links(chapter: &Chapter) -> Vec<(String, Option<String>)> {
    let text = prose(chapter).join("\n");
    let targets = text.split("](").skip(1).map(|rest| rest.split_once(')').expect("a link ends").0);
    targets
        .map(|target| match target.split_once('#') {
            Some((name, heading)) => (name.to_owned(), Some(heading.to_owned())),
            None => (target.to_owned(), None),
        })
        .collect()
}

#[test]
fn every_link_leads_to_a_heading_that_is_there() {
    let mut counted = 0;
    for from in CHAPTERS {
        let names: Vec<String> = headings(from).iter().map(|heading| name_of(heading)).collect();
        let different: BTreeSet<&String> = names.iter().collect();
        assert_eq!(different.len(), names.len(), "{}: two headings have one name: {names:?}", from.name);
        for (name, heading) in links(from) {
            counted += 1;
            let to = chapter(&name).unwrap_or_else(|| panic!("{}: there is no chapter {name}", from.name));
            if let Some(heading) = heading {
                let names: Vec<String> = headings(to).iter().map(|heading| name_of(heading)).collect();
                assert!(names.contains(&heading), "{}: {name} has no heading {heading}, but {names:?}", from.name);
            }
        }
    }
    assert!(counted > 50, "{counted} links");
}

#[test]
fn the_index_reaches_every_chapter_and_every_command() {
    let index = &CHAPTERS[0];
    assert_eq!(index.name, "index");
    let reached: BTreeSet<String> = links(index).into_iter().map(|(name, _)| name).collect();
    for chapter in &CHAPTERS[1..] {
        assert!(reached.contains(chapter.name), "no line leads to {}", chapter.name);
    }
    for name in commands(&[]) {
        if name != "profile" {
            assert!(index.text.contains(&format!("`squitterlab {name}")), "no line names {name}");
        }
    }
    for name in commands(&["profile"]) {
        assert!(index.text.contains(&format!("`squitterlab profile {name}")), "no line names profile {name}");
    }
    // Whatever a line promises is a command or a place.
    for line in prose(index).into_iter().filter(|line| line.starts_with("- ")) {
        assert!(line.contains("](") || line.contains("`squitterlab "), "{line}");
    }
    // Of the chapters for readers, every heading is reached.
    let places: BTreeSet<(String, Option<String>)> = links(index).into_iter().collect();
    for name in ["technician", "student", "library"] {
        for heading in &headings(chapter(name).expect("a chapter"))[1..] {
            let place = (name.to_owned(), Some(name_of(heading)));
            assert!(*heading == "Before you begin" || places.contains(&place), "no line leads to {name}: {heading}");
        }
    }
}

#[test]
fn a_pipe_gets_markdown_whole_or_under_a_heading() {
    let list = run(&["guide", "--list"]).exits(0).out;
    for chapter in CHAPTERS {
        assert!(
            list.lines().any(|line| line.starts_with(chapter.name)) && flat(&list).contains(&flat(chapter.about)),
            "{list}"
        );
        let printed = run(&["guide", chapter.name]).exits(0).out;
        // Links lead from file to file; nothing else differs.
        let mut back = printed.clone();
        for name in CHAPTERS.iter().map(|chapter| chapter.name) {
            back = back.replace(&format!("]({name}.md"), &format!("]({name}"));
        }
        assert_eq!(back, chapter.text);
        assert!(!printed.contains('\u{1b}'));
    }
    assert_eq!(run(&["guide"]).exits(0).out, run(&["guide", "index"]).exits(0).out);
    let part = run(&["guide", "technician", "check-the-profile"]).exits(0).out;
    assert!(part.starts_with("## Check the profile\n") && part.contains("--list-rules"), "{part}");
    assert_eq!(part.matches("\n## ").count(), 0, "{part}");
    assert!(run(&["guide", "weather"]).exits(2).err.contains("technician"), "the chapters are named");
    let refused = run(&["guide", "technician", "cookery"]).exits(2);
    refused.complains_of(&["cookery", "check-the-profile"]);
}

/// On a terminal of 80 columns links name their command, and no line of prose is longer than the terminal.
#[test]
fn a_terminal_gets_lines_that_fit_and_links_that_are_commands() {
    let folder = Folder::new("guide_terminal");
    let here = std::path::PathBuf::from(folder.path(""));
    for chapter in CHAPTERS {
        let (status, shown) = Terminal::start(&["guide", chapter.name], &here).ends();
        assert_eq!(status, 0);
        let shown: Vec<&str> = shown.lines().map(str::trim_end).collect();
        let all = flat(&shown.join("\n"));
        for heading in headings(chapter) {
            assert!(all.contains(heading), "{}: {heading}", chapter.name);
        }
        for (name, heading) in links(chapter) {
            let command =
                ["squitterlab guide", &name].into_iter().chain(heading.as_deref()).collect::<Vec<_>>().join(" ");
            assert!(all.contains(&command), "{}: {command}", chapter.name);
        }
        assert!(!all.contains("](") && !all.contains("**"), "{}", chapter.name);
        // Examples are as they are; they stand two columns in.
        let examples: BTreeSet<String> = chapter.text.lines().map(|line| format!("  {line}")).collect();
        for line in shown {
            assert!(line.chars().count() <= 80 || examples.contains(line), "{}: {line}", chapter.name);
        }
    }
}

/// The words of HTML, whatever it says with them.
fn words(html: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                out.push(' ');
            }
            c if !inside => out.push(c),
            _ => {}
        }
    }
    flat(&out.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&"))
}

#[test]
fn the_page_shows_the_chapters_with_their_markup_escaped() {
    let page = Page::start(&[]);
    for chapter in CHAPTERS {
        let given = ask(&page, "guide", &json!({"chapter": chapter.name})).is(200).json();
        let html = given["html"].as_str().expect("markup");
        let shown = words(html);
        for heading in headings(chapter) {
            assert!(shown.contains(heading), "{}: {heading}", chapter.name);
            assert!(html.contains(&format!("id=\"guide-{}\"", name_of(heading))), "{}: {heading}", chapter.name);
        }
        for (name, heading) in links(chapter) {
            let heading = heading.map(|heading| format!("&amp;heading=guide-{heading}")).unwrap_or_default();
            assert!(
                html.contains(&format!("href=\"?chapter={name}{heading}#guide\"")),
                "{}: {name}{heading}",
                chapter.name
            );
        }
        let example = chapter.text.lines().find(|line| line.starts_with("$ "));
        assert!(example.is_none_or(|example| shown.contains(&flat(example))), "{}: {example:?}", chapter.name);
    }
    let refused = ask(&page, "guide", &json!({"chapter": "<b>"})).is(422).json();
    assert!(refused["error"].as_str().expect("a reason").contains("<b>"), "{refused}");
}

#[test]
fn a_person_reads_the_guide_on_the_page_and_prints_it() {
    let Some(browser) = Browser::open("guide") else { return };
    let page = Page::start(&[]);
    for (width, height) in [(360, 740), (768, 1024), (1280, 900)] {
        browser.set_size(width, height);
        for chapter in CHAPTERS {
            browser.go(&format!("{}?chapter={}&at={width}#guide", page.link, chapter.name));
            browser
                .until(&format!("document.querySelector('#guide-text h2')?.innerText === '{}'", headings(chapter)[0]));
            browser.fits();
        }
        browser.is_accessible(&format!("Guide at {width}"));
    }
    // A line of the index leads to its heading, which gets the focus; the address is that of the place.
    browser.go(&page.link);
    browser.until("document.body.dataset.ready");
    browser.click("header a[href='#guide']");
    browser.until("document.querySelector('#guide-text a[href*=check-the-profile]')");
    browser.is_accessible("Guide, the index");
    browser.script("document.querySelector('#guide-text a[href*=check-the-profile]').click()");
    browser.until("document.activeElement.id === 'guide-check-the-profile'");
    let place =
        "return Math.abs(document.querySelector('#guide-check-the-profile').getBoundingClientRect().top) < innerHeight";
    assert_eq!(browser.script(place), true);
    assert!(
        browser.script("return location.search").as_str().expect("text").contains("heading=guide-check-the-profile")
    );
    let printed = flat(&browser.printed((8.27, 11.69)).concat());
    if !printed.is_empty() {
        for words in ["Check the profile", "squitterlab profile check n47qx.json", "Find a faulty wire"] {
            assert!(printed.contains(words), "{words}: {printed}");
        }
    }
    assert_eq!(browser.complaints(), Vec::<Value>::new());
}
