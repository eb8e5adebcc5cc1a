//! Verdict: captures dropped on the page, compared with the profile as they come in.

use super::install::in_plain_words;
use super::metered::{Meter, Metered};
use super::server::{LARGEST_CAPTURE, LARGEST_PROFILE, MOST_COMPARISONS, Shared, refuse};
use crate::capture::{Captured, Digested, ReadError, read_from, sha256};
use crate::compare::{Fleet, Install, Report};
use crate::present::html::record;
use crate::present::verdict;
use crate::profile::{Profile, RuleSet, SETTINGS, Severity, rule_set, rule_sets};
use axum::body::{Body, Bytes};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};
use std::io::{self, Read};
use std::ops::ControlFlow;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::mpsc;
use tokio::time::timeout;

/// Said of captures beyond the limit.
pub const TOO_LARGE: &str =
    "the page takes captures up to 768 MB, compressed ones too; for larger ones use squitterlab compare";

/// Pieces of an upload that wait to be read.
const WAITING: usize = 16;

/// Captures that are compared at once.
const MOST_CAPTURES: usize = 1000;
/// The most of a name that is kept.
pub const LONGEST_NAME: usize = 255;
/// How long what a refused caller still sends is read and dropped.
const FAREWELL: Duration = Duration::from_secs(2);

/// A file on its way in.
struct Incoming {
    pieces: mpsc::Receiver<Bytes>,
    piece: Bytes,
}

impl Read for Incoming {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        while self.piece.is_empty() {
            match self.pieces.blocking_recv() {
                Some(piece) => self.piece = piece,
                None => return Ok(0),
            }
        }
        let got = self.piece.len().min(into.len());
        into[..got].copy_from_slice(&self.piece.split_to(got));
        Ok(got)
    }
}

/// Rule sets by their names, each once; what asks for nothing adds nothing.
pub fn rules_named<'a>(names: impl IntoIterator<Item = &'a str>) -> Result<Vec<&'static RuleSet>, String> {
    let mut rules: Vec<&RuleSet> = Vec::new();
    for name in names {
        let Some(known) = rule_set(name) else {
            let known: Vec<&str> = rule_sets().iter().map(|rules| rules.name.as_str()).collect();
            return Err(format!("there is no rule set {name:?}; the rule sets are {}", known.join(", ")));
        };
        if known.name != NO_RULES && !rules.iter().any(|other| other.name == known.name) {
            rules.push(known);
        }
    }
    Ok(rules)
}

/// All of them in force together, as the commands take them; no regulator's where there are none.
pub fn together(rules: &[&RuleSet]) -> RuleSet {
    match rules {
        [] => rule_set(NO_RULES).cloned().unwrap_or_default(),
        rules => RuleSet::together(rules.iter().copied().cloned().collect()),
    }
}

/// The rule set that asks for nothing.
const NO_RULES: &str = "none";

/// Why nothing is compared.
pub type Refused = (StatusCode, String);

/// A file's name and its pieces.
type File = (String, mpsc::Receiver<Bytes>);

/// Reads files one after the other into a comparison under each rule set; the last file that could not be read to its end
/// is told with it.
struct Reading {
    fleets: Vec<Fleet>,
    captured: Vec<Captured>,
}

impl Reading {
    fn new<'a>(install: &Install, rules: impl IntoIterator<Item = &'a RuleSet>) -> Self {
        Self {
            fleets: rules.into_iter().map(|rules| Fleet::new(vec![install.clone()], rules)).collect(),
            captured: Vec::new(),
        }
    }

    fn read(&mut self, name: String, input: impl Read + Send + 'static) -> Result<(), Refused> {
        for fleet in &mut self.fleets {
            fleet.begin(&name);
        }
        let (input, running) = Digested::new(input);
        let read = read_from(&name, Box::new(input), |record| {
            for fleet in &mut self.fleets {
                fleet.observe(&record);
            }
            ControlFlow::Continue(())
        });
        let (accounting, trouble) = match read {
            Ok(accounting) => (accounting, None),
            Err(ReadError { error, accounting }) => (accounting, Some(error.to_string())),
        };
        for fleet in &mut self.fleets {
            fleet.account(&accounting);
        }
        let digest = trouble.is_none().then(|| running.so_far());
        if let Some(same) = self.captured.iter().find(|other| digest.is_some() && other.digest == digest) {
            let why = format!("{} and {name} are the same: its frames would count twice; leave one out", same.name);
            return Err((StatusCode::UNPROCESSABLE_ENTITY, why));
        }
        self.captured.push(Captured { name, digest, accounting, trouble });
        Ok(())
    }

    fn reports(&self) -> Vec<Report> {
        self.fleets.iter().filter_map(|fleet| fleet.reports().next()).collect()
    }
}

/// What short texts show of a profile, under no regulator's rules; `None` if there is nothing to compare.
pub fn of_texts(profile: &str, files: &[(&str, &'static str)]) -> Option<Report> {
    let (install, _) = install("profile", profile).ok()?;
    let mut reading = Reading::new(&install, rule_set(NO_RULES));
    for (name, text) in files {
        reading.read((*name).to_owned(), text.as_bytes()).ok()?;
    }
    reading.reports().pop()
}

/// Reads the files as they come, and says what they show: under all rules together, and under each of several.
fn compared(
    install: &Install,
    source: &Captured,
    rules: &[&'static RuleSet],
    mut files: mpsc::Receiver<File>,
) -> Result<Value, Refused> {
    let all = together(rules);
    let each = if rules.len() > 1 { rules } else { &[] };
    let mut reading = Reading::new(install, std::iter::once(&all).chain(each.iter().copied()));
    while let Some((name, pieces)) = files.blocking_recv() {
        reading.read(name, Incoming { pieces, piece: Bytes::new() })?;
    }
    let reports = reading.reports();
    let Some((report, alone)) = reports.split_first() else {
        return Err((StatusCode::UNPROCESSABLE_ENTITY, "no install was given".to_owned()));
    };
    let under: Vec<(&RuleSet, &Report)> = each.iter().copied().zip(alone).collect();
    let made = record::now();
    let files = &reading.captured;
    Ok(json!({
        "html": record::on_page(install, report, files, &all, &under).into_string(),
        "record": record::compared(&[(install, report, source)], files, &all, &under, &made),
        "name": record::file_name(&install.profile, "comparison", &made),
        "report": verdict::report_json(report),
        "read": reading.captured.iter().any(|file| file.accounting.frames > 0),
    }))
}

/// A part of the form that is short text: no more of it is kept than it may have.
async fn short(mut field: Field<'_>, what: &str, most: usize, pace: &Pace) -> Result<String, Refused> {
    let mut text = Vec::new();
    while let Some(piece) = pace.next(field.chunk()).await? {
        if text.len() + piece.len() > most {
            return Err((StatusCode::PAYLOAD_TOO_LARGE, format!("{what} has at most {most} bytes")));
        }
        text.extend_from_slice(&piece);
    }
    String::from_utf8(text).map_err(|_| {
        (StatusCode::UNPROCESSABLE_ENTITY, format!("{what} is not UTF-8 text; save it as UTF-8 and choose it again"))
    })
}

/// How a form is read.
struct Pace {
    meter: Meter,
    patience: Duration,
}

impl Pace {
    /// The next part or piece, unless it has been waited for too long.
    async fn next<T>(&self, next: impl Future<Output = Result<T, MultipartError>>) -> Result<T, Refused> {
        self.meter.reset();
        timeout(self.patience, next).await.map_or_else(
            |_| {
                let why = format!("nothing came for {} s, so the upload was given up", self.patience.as_secs_f64());
                Err((StatusCode::REQUEST_TIMEOUT, why))
            },
            |result| result.map_err(broken),
        )
    }
}

#[allow(clippy::needless_pass_by_value)]
fn broken(error: MultipartError) -> Refused {
    (StatusCode::BAD_REQUEST, format!("the upload broke off: {}", error.body_text()))
}

/// What a profile text and its name give to compare with.
pub fn install(name: &str, text: &str) -> Result<(Install, Captured), Refused> {
    let unusable = |why: String| (StatusCode::UNPROCESSABLE_ENTITY, why);
    let (profile, source) = source(name, text).map_err(unusable)?;
    let install = Install::new(name, profile).map_err(|error| unusable(in_plain_words(&error.to_string())))?;
    Ok((install, source))
}

/// A profile without errors, and what it was read from.
pub fn source(name: &str, text: &str) -> Result<(Profile, Captured), String> {
    let reading = Profile::read(text);
    if let Some(problem) = reading.problems.iter().find(|problem| problem.severity == Severity::Error) {
        let name = SETTINGS
            .iter()
            .find(|setting| problem.pointer.starts_with(setting.pointer))
            .map_or("", |setting| setting.name);
        let place = if problem.line == 0 {
            String::new()
        } else {
            format!(", line {}, column {}", problem.line, problem.column)
        };
        let about = if name.is_empty() { String::new() } else { format!("{name}: ") };
        return Err(format!(
            "the profile has errors, correct them first{place}: {about}{}. {}",
            problem.reason, problem.correction
        ));
    }
    let digest = (sha256(text.as_bytes()), text.len() as u64);
    Ok((reading.profile, Captured { digest: Some(digest), ..Captured::named(name) }))
}

/// The form: `profile_name`, `profile`, any number of `rules`, which are in force together, then any number of files named `capture`.
pub(super) async fn compare(State(shared): State<Arc<Shared>>, request: Request) -> Response {
    let (head, body) = request.into_parts();
    let (body, meter) = Metered::new(body);
    let mut form = match Multipart::from_request(Request::from_parts(head, Body::new(body)), &()).await {
        Ok(form) => form,
        Err(error) => return refuse(error.status(), &format!("this is not a form: {error}")),
    };
    let pace = Pace { meter, patience: shared.patience };
    let answer = if let Ok(_place) = shared.comparisons.try_acquire() {
        taken_in(&mut form, &pace, &shared).await
    } else {
        let why = format!(
            "{MOST_COMPARISONS} comparisons are under way, which is the most; wait until one is done, or use squitterlab \
             compare"
        );
        Err((StatusCode::SERVICE_UNAVAILABLE, why))
    };
    match answer {
        Ok(answer) => axum::Json(answer).into_response(),
        Err((status, why)) => {
            // A connection that is closed before takes the answer with it.
            tokio::spawn(timeout(FAREWELL, async move {
                while let Ok(Some(mut field)) = form.next_field().await {
                    pace.meter.reset();
                    while let Ok(Some(_)) = field.chunk().await {
                        pace.meter.reset();
                    }
                }
            }));
            refuse(status, &why)
        }
    }
}

async fn taken_in(form: &mut Multipart, pace: &Pace, shared: &Arc<Shared>) -> Result<Value, Refused> {
    let (mut name, mut profile, mut rules) =
        ("the profile on the page".to_owned(), String::new(), Vec::<String>::new());
    let mut working = None;
    let (mut captures, mut taken) = (0, 0);
    while let Some(mut field) = pace.next(form.next_field()).await? {
        match field.name().unwrap_or_default() {
            "profile_name" => name = short(field, "the name of a profile", LONGEST_NAME, pace).await?,
            "profile" => profile = short(field, "a profile", LARGEST_PROFILE, pace).await?,
            "rules" => {
                rules.push(short(field, "the name of a rule set", LONGEST_NAME, pace).await?);
            }
            "capture" => {
                captures += 1;
                if captures > MOST_CAPTURES {
                    let why = format!("more than {MOST_CAPTURES} captures; use squitterlab compare");
                    return Err((StatusCode::PAYLOAD_TOO_LARGE, why));
                }
                if working.is_none() {
                    let (install, source) = install(&name, &profile)?;
                    let rules = rules_named(rules.iter().map(String::as_str))
                        .map_err(|why| (StatusCode::UNPROCESSABLE_ENTITY, why))?;
                    let (files, waiting) = mpsc::channel::<File>(1);
                    // It begins to work at once, and is waited for when all is there.
                    let worker = tokio::spawn({
                        let shared = Arc::clone(shared);
                        async move { shared.workers.run(move || compared(&install, &source, &rules, waiting)).await }
                    });
                    working = Some((files, worker));
                }
                let Some((files, _)) = &working else { continue };
                let (pieces, waiting) = mpsc::channel(WAITING);
                let file: String = field.file_name().unwrap_or("capture").chars().take(LONGEST_NAME).collect();
                // A worker that stopped reading has its reason in the answer.
                let _ = files.send((file, waiting)).await;
                while let Some(piece) = pace.next(field.chunk()).await? {
                    taken += piece.len() as u64;
                    if taken > LARGEST_CAPTURE {
                        return Err((StatusCode::PAYLOAD_TOO_LARGE, TOO_LARGE.to_owned()));
                    }
                    let _ = pieces.send(piece).await;
                }
            }
            other => {
                let other: String = other.chars().take(LONGEST_NAME).collect();
                return Err((StatusCode::UNPROCESSABLE_ENTITY, format!("the form has no part {other:?}")));
            }
        }
    }
    let Some((files, worker)) = working else {
        return Err((StatusCode::UNPROCESSABLE_ENTITY, "no capture was given".to_owned()));
    };
    drop(files);
    worker.await.ok().flatten().unwrap_or_else(|| {
        let why = "the program failed on this comparison; please report it".to_owned();
        Err((StatusCode::INTERNAL_SERVER_ERROR, why))
    })
}
