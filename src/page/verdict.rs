//! Verdict: captures dropped on the page, compared with the profile as they come in.

use super::server::{LARGEST_CAPTURE, refuse};
use crate::capture::{Captured, Digested, read_from, sha256};
use crate::compare::{Fleet, Install};
use crate::present::html::record;
use crate::present::verdict;
use crate::profile::{Profile, RuleSet, rule_set};
use axum::body::Bytes;
use axum::extract::Multipart;
use axum::extract::multipart::{Field, MultipartError};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};
use std::io::{self, Read};
use std::ops::ControlFlow;
use tokio::sync::mpsc;

/// Said of captures beyond the limit.
pub const TOO_LARGE: &str =
    "the page takes captures up to 768 MB, compressed ones too; for larger ones use squitterlab compare";

/// Pieces of an upload that wait to be read.
const WAITING: usize = 16;

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

/// Why nothing is compared.
type Refused = (StatusCode, String);

/// A file's name and its pieces.
type File = (String, mpsc::Receiver<Bytes>);

/// Reads the files as they come, and says what they show.
fn hold(install: &Install, source: &Captured, rules: &RuleSet, mut files: mpsc::Receiver<File>) -> Value {
    let mut fleet = Fleet::new(vec![install.clone()], rules);
    let mut captured = Vec::new();
    while let Some((name, pieces)) = files.blocking_recv() {
        fleet.begin(&name);
        let (input, running) = Digested::new(Incoming { pieces, piece: Bytes::new() });
        let read = read_from(&name, Box::new(input), |record| {
            fleet.observe(&record);
            ControlFlow::Continue(())
        });
        let (accounting, trouble) = match read {
            Ok(accounting) => (accounting, None),
            Err((error, accounting)) => (accounting, Some(error.to_string())),
        };
        fleet.account(&accounting);
        let digest = trouble.is_none().then(|| running.so_far());
        captured.push(Captured { name, digest, accounting, trouble });
    }
    let Some(report) = &fleet.reports().next() else { return json!({"error": "no install was given"}) };
    let made = record::now();
    json!({
        "html": record::comparison(install, report, &captured, rules).into_string(),
        "record": record::compared(&[(install, report, source)], &captured, rules, &made),
        "report": verdict::report_json(report),
    })
}

/// A part of the form that is short text.
async fn short(field: Field<'_>) -> Result<String, Refused> {
    let text = field.text().await.map_err(broken)?;
    if text.len() > 1 << 20 {
        return Err((StatusCode::PAYLOAD_TOO_LARGE, "a profile has at most 1 MB".to_owned()));
    }
    Ok(text)
}

#[allow(clippy::needless_pass_by_value)]
fn broken(error: MultipartError) -> Refused {
    (StatusCode::BAD_REQUEST, format!("the upload broke off: {error}"))
}

/// What a profile text and its name give to compare with.
fn install(name: &str, text: &str) -> Result<(Install, Captured), Refused> {
    let unusable = |why: String| (StatusCode::UNPROCESSABLE_ENTITY, why);
    let reading = Profile::read(text);
    if let Some(problem) = reading.problems.first().filter(|_| reading.has_errors()) {
        return Err(unusable(format!(
            "the profile has errors, correct them first: {}: {}",
            problem.pointer, problem.reason
        )));
    }
    let install = Install::new(name, reading.profile).map_err(|error| unusable(error.to_string()))?;
    let digest = (sha256(text.as_bytes()), text.len() as u64);
    Ok((install, Captured { digest: Some(digest), ..Captured::named(name) }))
}

/// The form: `profile_name`, `profile`, `rules`, then any number of files named `capture`.
pub async fn compare(form: Multipart) -> Response {
    match taken_in(form).await {
        Ok(answer) => axum::Json(answer).into_response(),
        Err((status, why)) => refuse(status, &why),
    }
}

async fn taken_in(mut form: Multipart) -> Result<Value, Refused> {
    let (mut name, mut profile, mut rules) = ("the profile on the page".to_owned(), String::new(), "none".to_owned());
    let mut working = None;
    let mut taken = 0;
    while let Some(mut field) = form.next_field().await.map_err(broken)? {
        match field.name().unwrap_or_default() {
            "profile_name" => name = short(field).await?,
            "profile" => profile = short(field).await?,
            "rules" => rules = short(field).await?,
            "capture" => {
                if working.is_none() {
                    let (install, source) = install(&name, &profile)?;
                    let rules = rule_set(&rules)
                        .ok_or_else(|| (StatusCode::UNPROCESSABLE_ENTITY, "there is no such rule set".to_owned()))?;
                    let (files, waiting) = mpsc::channel::<File>(1);
                    let worker = tokio::task::spawn_blocking(move || hold(&install, &source, rules, waiting));
                    working = Some((files, worker));
                }
                let Some((files, _)) = &working else { continue };
                let (pieces, waiting) = mpsc::channel(WAITING);
                let file = field.file_name().unwrap_or("capture").to_owned();
                // A worker that stopped reading has its reason in the answer.
                let _ = files.send((file, waiting)).await;
                while let Some(piece) = field.chunk().await.map_err(broken)? {
                    taken += piece.len() as u64;
                    if taken > LARGEST_CAPTURE {
                        return Err((StatusCode::PAYLOAD_TOO_LARGE, TOO_LARGE.to_owned()));
                    }
                    let _ = pieces.send(piece).await;
                }
            }
            _ => {}
        }
    }
    let Some((files, worker)) = working else {
        return Err((StatusCode::UNPROCESSABLE_ENTITY, "no capture was given".to_owned()));
    };
    drop(files);
    worker.await.map_err(|_| (StatusCode::INTERNAL_SERVER_ERROR, "the comparison stopped".to_owned()))
}
