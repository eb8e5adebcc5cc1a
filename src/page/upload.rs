//! The upload of captures: a form that is read as it comes, and compared meanwhile.

use super::metered::{Meter, Metered};
use super::questions::{LARGEST_CAPTURE, LARGEST_PROFILE};
use super::server::{MOST_COMPARISONS, Shared, refuse};
use super::verdict::{MOST_CAPTURES, TOO_LARGE, compared, install, rules_named};
use super::{LONGEST_NAME, shown_name};
use axum::body::{Body, Bytes};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::Value;
use std::io::{self, Read};
use std::iter;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::mpsc;
use tokio::time::timeout;

/// Pieces of an upload that wait to be read.
const WAITING: usize = 16;

/// Said of a form that cannot be read to its end. Its reader has no words for people, and does not tell these two apart.
const BROKEN: &str = "the upload broke off, or the head of a part of it cannot be read; choose the files again, and first rename \
                      one whose name has characters that cannot be seen";

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

/// Why nothing is compared.
type Refused = (StatusCode, String);

fn unusable(why: String) -> Refused {
    (StatusCode::UNPROCESSABLE_ENTITY, why)
}

/// A file's name and its pieces.
type File = (String, mpsc::Receiver<Bytes>);

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
            |result| result.map_err(|_| (StatusCode::BAD_REQUEST, BROKEN.to_owned())),
        )
    }
}

/// The form: `profile_name`, `profile`, any number of `rules`, which are in force together, then any number of files named `capture`.
pub(super) async fn compare(State(shared): State<Arc<Shared>>, request: Request) -> Response {
    let (head, body) = request.into_parts();
    let (body, meter) = Metered::new(body);
    let mut form = match Multipart::from_request(Request::from_parts(head, Body::new(body)), &()).await {
        Ok(form) => form,
        Err(error) => {
            let why =
                "this is not a form; send profile and captures as multipart/form-data, with its boundary in the head";
            return refuse(error.status(), why);
        }
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
            "profile_name" => {
                let given = short(field, "the name of a profile", LONGEST_NAME, pace).await?;
                name = shown_name(&given, &name);
            }
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
                    let (install, source) = install(&name, &profile).map_err(unusable)?;
                    let rules = rules_named(rules.iter().map(String::as_str)).map_err(unusable)?;
                    let (files, mut waiting) = mpsc::channel::<File>(1);
                    let next = move || {
                        let (name, pieces) = waiting.blocking_recv()?;
                        Some((name, Incoming { pieces, piece: Bytes::new() }))
                    };
                    // It begins to work at once, and is waited for when all is there.
                    let worker = tokio::spawn({
                        let shared = Arc::clone(shared);
                        async move {
                            shared.workers.run(move || compared(&install, &source, &rules, iter::from_fn(next))).await
                        }
                    });
                    working = Some((files, worker));
                }
                let Some((files, _)) = &working else { continue };
                let (pieces, waiting) = mpsc::channel(WAITING);
                let file = shown_name(field.file_name().unwrap_or_default(), "capture");
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
    let Some(answer) = worker.await.ok().flatten() else {
        let why = "the program failed on this comparison; please report it".to_owned();
        return Err((StatusCode::INTERNAL_SERVER_ERROR, why));
    };
    answer.map_err(unusable)
}
