//! Watch: lines that come in pieces, from a file that grows or from the page itself, followed while they come.

use super::questions::{LARGEST_CAPTURE, Loaded};
use super::{Refusal, profile, shown_name, text, verdict};
use crate::capture::{Captured, Clock, Running};
use crate::compare::{Dips, Watch};
use crate::present::html::{record, watch as html};
use crate::present::verdict as reports;
use crate::present::watch::event_text;
use crate::profile::RuleSet;
use serde_json::{Value, json};
use std::collections::VecDeque;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

/// Watches that the page began and that are kept at once; one more takes the place of the oldest.
const MOST_WATCHES: usize = 8;
/// The last events that are shown.
const MOST_EVENTS: usize = 100;
/// Octets that are read before somebody who asks has a turn.
const TURN: usize = 1 << 13;
/// How long whoever reads lines lets others ask first, at most.
const COURTESY: Duration = Duration::from_millis(20);

/// Lines that are followed, shared by whoever reads them and whoever asks how they stand.
#[derive(Clone, Debug)]
pub struct Watched(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    following: Mutex<Following>,
    /// How many wait to ask.
    asking: AtomicUsize,
}

#[derive(Debug)]
struct Following {
    watch: Watch,
    rules: RuleSet,
    source: Captured,
    /// What the lines come from.
    name: String,
    digest: Running,
    octets: u64,
    trouble: Option<String>,
    has_ended: bool,
    /// Grows with everything that is new.
    turn: u64,
    events: VecDeque<String>,
}

impl Watched {
    /// Follows the install of a profile under these rules; `name` is what the lines come from.
    ///
    /// # Errors
    /// What is wrong with the profile, in words.
    pub fn new(profile: &Loaded, name: &str, rules: &RuleSet) -> Result<Self, String> {
        let (install, source) = verdict::install(&profile.name, &profile.text)?;
        let name = shown_name(name, "lines");
        let following = Following {
            watch: Watch::new(install, rules, Dips::default(), Clock::default(), &name),
            rules: rules.clone(),
            source,
            name,
            digest: Running::default(),
            octets: 0,
            trouble: None,
            has_ended: false,
            turn: 1,
            events: VecDeque::new(),
        };
        Ok(Self(Arc::new(Inner { following: Mutex::new(following), asking: AtomicUsize::new(0) })))
    }

    /// What the lines come from.
    pub fn name(&self) -> String {
        self.ask().name.clone()
    }

    /// Reads a piece, cut anywhere. False once no more is wanted.
    pub fn feed(&self, octets: &[u8]) -> bool {
        for piece in octets.chunks(TURN) {
            // Whoever asks would otherwise wait until all is read.
            for _ in 0..COURTESY.as_millis() {
                if self.0.asking.load(Ordering::Relaxed) == 0 {
                    break;
                }
                thread::sleep(Duration::from_millis(1));
            }
            if !self.lock().read(piece) {
                return false;
            }
        }
        true
    }

    /// Says that no more comes, and what went wrong if something did.
    pub fn end(&self, trouble: Option<String>) {
        self.lock().end(trouble);
    }

    fn lock(&self) -> MutexGuard<'_, Following> {
        self.0.following.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn ask(&self) -> MutexGuard<'_, Following> {
        self.0.asking.fetch_add(1, Ordering::Relaxed);
        let following = self.lock();
        self.0.asking.fetch_sub(1, Ordering::Relaxed);
        following
    }
}

impl Following {
    fn read(&mut self, octets: &[u8]) -> bool {
        if self.has_ended {
            return false;
        }
        self.octets += octets.len() as u64;
        if self.octets > LARGEST_CAPTURE {
            self.end(Some(format!("{}: {}", self.name, verdict::TOO_LARGE)));
        } else if let Err(error) = self.watch.feed(octets) {
            self.end(Some(format!("{}: {error}", self.name)));
        } else {
            self.digest.add(octets);
            self.turn += 1;
        }
        !self.has_ended
    }

    fn end(&mut self, trouble: Option<String>) {
        if self.has_ended {
            return;
        }
        self.watch.finish();
        self.trouble = trouble;
        self.has_ended = true;
        self.turn += 1;
    }

    /// How it stands; with the verdict and the record once it has ended.
    fn state_json(&mut self) -> Value {
        if !self.has_ended {
            self.watch.pause();
        }
        self.events.extend(self.watch.events().map(|event| event_text(&event)));
        while self.events.len() > MOST_EVENTS {
            self.events.pop_front();
        }
        let state = self.watch.state();
        let drawn = html::state(state, self.has_ended, self.events.iter().rev().map(String::as_str));
        let mut told = json!({
            "name": self.name, "rules": self.rules.title, "turn": self.turn, "has_ended": self.has_ended, "trouble": self.trouble,
            "state": state, "html": drawn.into_string(),
        });
        if self.has_ended {
            let report = self.watch.report();
            let captured = Captured {
                digest: self.trouble.is_none().then(|| self.digest.so_far()),
                accounting: self.watch.fleet().accounting().clone(),
                trouble: self.trouble.clone(),
                ..Captured::named(&self.name)
            };
            let files = std::slice::from_ref(&captured);
            let install = &self.watch.fleet().installs()[0];
            let made = record::now();
            told["verdict"] = json!(record::on_page(install, report, files, &self.rules, &[]).into_string());
            told["record"] =
                json!(record::compared(&[(install, report, &self.source)], files, &self.rules, &[], &made));
            told["record_name"] = json!(record::file_name(&install.profile, "comparison", &made));
            told["report"] = reports::report_json(report);
        }
        told
    }
}

/// What the page follows.
#[derive(Debug, Default)]
pub struct Watches {
    /// What the command follows.
    pub followed: Option<Watched>,
    /// Ids of another run of the program begin otherwise.
    run: String,
    /// How many the page began, and the last of them by their ids.
    begun: Mutex<(u64, VecDeque<(String, Watched)>)>,
}

impl Watches {
    /// None yet.
    pub fn new(run: String) -> Self {
        Self { run, ..Self::default() }
    }

    /// Answers a question: with `profile` new lines are followed, under `rules` if they are named; with `watch` those with this id, without it those of the
    /// command. `octets` in hexadecimal are read, `finish` says that no more comes; `seen` is the turn that is known already.
    pub fn answer(&self, request: &Value) -> Result<Value, Refusal> {
        let id = text(request, "watch");
        let (id, watched) = if request.get("profile").is_some() {
            self.begin(request)?
        } else if id.is_empty() {
            let Some(followed) = &self.followed else {
                return Err("no lines are followed: begin with a profile, or start the page with --watch".to_owned());
            };
            (String::new(), followed.clone())
        } else {
            let begun = self.begun.lock().unwrap_or_else(PoisonError::into_inner);
            let known = begun.1.iter().find(|(known, _)| known == id);
            let gone = || format!("these lines are no longer followed (at most {MOST_WATCHES} at once); start again");
            (id.to_owned(), known.ok_or_else(gone)?.1.clone())
        };
        let given = text(request, "octets");
        if !given.is_empty() {
            if id.is_empty() {
                return Err(
                    "these lines come from the file named to the command; to watch others, begin with a profile"
                        .to_owned(),
                );
            }
            let mut octets = vec![0; given.len() / 2];
            faster_hex::hex_decode(given.as_bytes(), &mut octets)
                .map_err(|_| "the piece of lines is not hexadecimal; send its bytes as pairs of digits".to_owned())?;
            watched.feed(&octets);
        }
        if request.get("finish").is_some_and(|wish| *wish == Value::Bool(true)) {
            watched.end(None);
        }
        let mut following = watched.ask();
        if request.get("seen").and_then(Value::as_u64) == Some(following.turn) {
            return Ok(json!({"watch": id, "unchanged": true}));
        }
        let mut told = following.state_json();
        told["watch"] = json!(id);
        Ok(told)
    }

    fn begin(&self, request: &Value) -> Result<(String, Watched), Refusal> {
        let or = |key: &str, otherwise: &str| shown_name(text(request, key), otherwise);
        let profile = Loaded { name: or("profile_name", "the profile on the page"), text: profile(request).to_owned() };
        let names = request.get("rules").and_then(Value::as_array).into_iter().flatten();
        let rules = verdict::rules_named(names.map(|name| name.as_str().unwrap_or_default()))?;
        let watched = Watched::new(&profile, &or("name", "lines on the page"), &verdict::together(&rules))?;
        let mut begun = self.begun.lock().unwrap_or_else(PoisonError::into_inner);
        begun.0 += 1;
        let id = format!("{}-{}", self.run, begun.0);
        begun.1.push_back((id.clone(), watched.clone()));
        if begun.1.len() > MOST_WATCHES {
            begun.1.pop_front();
        }
        Ok((id, watched))
    }
}
