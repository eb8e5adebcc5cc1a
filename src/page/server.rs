//! Serves the page: who is answered, how much is read and for how long, and which file or answer is at which path.

use super::patient::Patient;
use super::questions::{LARGEST_CAPTURE, Loaded, QUESTIONS};
use super::watch::{Watched, Watches};
use super::workers::Workers;
use super::{Refusal, questions, start, upload, verdict};
use crate::present::html::record::cautions;
use axum::Router;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use serde_json::{Value, json};
use std::future::poll_fn;
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::Semaphore;
use tokio::time::{sleep, timeout};

/// The largest of all other requests.
const LARGEST_QUESTION: usize = 2 << 20;

/// A caller that sends nothing, or takes nothing of its answer, for this long is left.
const PATIENCE: Duration = Duration::from_secs(20);
/// How long what a refused caller still sends is read and dropped.
const FAREWELL: Duration = Duration::from_secs(2);

/// Connections at once. One more gets an answer that says so.
const MOST_CONNECTIONS: usize = 256;
/// Callers at once that get the answer that there are too many.
const MOST_TURNED_AWAY: usize = 256;
/// Questions that are read and answered at once; more wait.
const MOST_QUESTIONS: usize = 32;
/// Comparisons at once. One more is refused.
pub const MOST_COMPARISONS: usize = 4;
/// Threads that work on answers: comparisons never take all of them.
const WORKERS: usize = 2 * MOST_COMPARISONS;

/// The page may load its own files only, and nobody may frame it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";

/// The page's files.
const FILES: &[(&str, &str, &str)] = &[
    ("/", HTML, include_str!("page.html")),
    ("/style.css", CSS, crate::present::html::STYLE),
    ("/icon.svg", "image/svg+xml", include_str!("icon.svg")),
    ("/page.css", CSS, include_str!("page.css")),
    ("/page.js", SCRIPT, include_str!("page.js")),
    ("/ask.js", SCRIPT, include_str!("ask.js")),
    ("/answers.js", SCRIPT, include_str!("answers.js")),
    ("/draft.js", SCRIPT, include_str!("draft.js")),
    ("/start.js", SCRIPT, include_str!("start.js")),
    ("/bits.js", SCRIPT, include_str!("bits.js")),
    ("/make.js", SCRIPT, include_str!("make.js")),
    ("/install.js", SCRIPT, include_str!("install.js")),
    ("/setting.js", SCRIPT, include_str!("setting.js")),
    ("/verdict.js", SCRIPT, include_str!("verdict.js")),
    ("/steps.js", SCRIPT, include_str!("steps.js")),
    ("/exercise.js", SCRIPT, include_str!("exercise.js")),
    ("/learn.js", SCRIPT, include_str!("learn.js")),
    ("/practice.js", SCRIPT, include_str!("practice.js")),
    ("/reference.js", SCRIPT, include_str!("reference.js")),
    ("/guide.js", SCRIPT, include_str!("guide.js")),
    ("/readback.js", SCRIPT, include_str!("readback.js")),
    ("/watch.js", SCRIPT, include_str!("watch.js")),
];

/// Where the page has the cautions.
const CAUTIONS_HERE: &str = "<!-- cautions -->";

/// A page that is ready to be served.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    /// What the link has behind host and port, so that nobody else on this machine can guess it.
    secret: String,
    profile: Option<Loaded>,
    watches: Watches,
    patience: Duration,
}

/// What every request may need.
pub(super) struct Shared {
    port: u16,
    secret: String,
    pub profile: Option<Loaded>,
    pub watches: Watches,
    pub patience: Duration,
    questions: Semaphore,
    pub comparisons: Semaphore,
    pub workers: Workers,
}

impl Server {
    /// Takes a port of the loopback address; 0 is any free one. `profile` is what the page begins with.
    ///
    /// # Errors
    /// If the port cannot be had, or the system gives no random numbers for the link.
    pub fn new(port: u16, profile: Option<Loaded>) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        listener.set_nonblocking(true)?;
        let address = listener.local_addr()?;
        let mut random = [0; 20];
        getrandom::fill(&mut random).map_err(io::Error::other)?;
        let (secret, run) = random.split_at(16);
        let watches = Watches::new(faster_hex::hex_string(run));
        let secret = faster_hex::hex_string(secret);
        Ok(Self { listener, address, secret, profile, watches, patience: PATIENCE })
    }

    /// Shows lines that somebody else reads.
    #[must_use]
    pub fn with_watch(mut self, watched: Watched) -> Self {
        self.watches.followed = Some(watched);
        self
    }

    /// Waits this long for a caller that sends nothing or takes nothing, instead of 20 s.
    #[must_use]
    pub fn with_patience(self, patience: Duration) -> Self {
        Self { patience, ..self }
    }

    /// The link to the page. Only who knows it is answered.
    pub fn link(&self) -> String {
        format!("http://{}/{}/", self.address, self.secret)
    }

    /// Serves until the program ends.
    ///
    /// # Errors
    /// If the system gives not one thread to work with.
    pub fn run(self) -> io::Result<()> {
        let workers = Workers::start(WORKERS)?;
        let shared = Arc::new(Shared {
            port: self.address.port(),
            secret: self.secret,
            profile: self.profile,
            watches: self.watches,
            patience: self.patience,
            questions: Semaphore::new(MOST_QUESTIONS),
            comparisons: Semaphore::new((workers.count / 2).clamp(1, MOST_COMPARISONS)),
            workers,
        });
        // The time has to be there: without it, waiting for a free connection would be a panic. It has no threads of its own,
        // since it would panic where the system gives it none.
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
        runtime.block_on(async move {
            let listener = tokio::net::TcpListener::from_std(self.listener)?;
            serve(listener, router(shared), self.patience).await
        })
    }
}

async fn serve(listener: tokio::net::TcpListener, router: Router, patience: Duration) -> io::Result<()> {
    let connections = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let turned_away = Arc::new(Semaphore::new(MOST_TURNED_AWAY));
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(patience).max_buf_size(1 << 16);
    loop {
        let Ok((stream, _)) = listener.accept().await else {
            // Open files have run out, or the caller is gone already. Those that are served go on, and will be done.
            sleep(Duration::from_millis(50)).await;
            continue;
        };
        if let Ok(place) = Arc::clone(&connections).try_acquire_owned() {
            let service = TowerToHyperService::new(router.clone());
            let connection = http.serve_connection(TokioIo::new(Patient::new(stream, patience)), service);
            tokio::spawn(async move {
                // What goes wrong with a connection is its caller's affair.
                let _ = connection.await;
                drop(place);
            });
        } else if let Ok(place) = Arc::clone(&turned_away).try_acquire_owned() {
            tokio::spawn(async move {
                let _ = timeout(FAREWELL, turn_away(stream)).await;
                drop(place);
            });
        }
    }
}

/// Says that there are too many.
async fn turn_away(mut stream: TcpStream) -> io::Result<()> {
    let why =
        json!({"error": format!("{MOST_CONNECTIONS} connections are open, which is the most; close some, or wait")});
    let why = why.to_string();
    let length = why.len();
    let said = format!(
        "HTTP/1.1 503 Service Unavailable\r\nContent-Type: application/json\r\nContent-Length: {length}\r\n\
         Retry-After: 10\r\nConnection: close\r\n\r\n{why}"
    );
    stream.write_all(said.as_bytes()).await?;
    stream.shutdown().await?;
    let mut dropped = [0; 4096];
    while stream.read(&mut dropped).await? > 0 {}
    Ok(())
}

fn router(shared: Arc<Shared>) -> Router {
    let mut router = Router::new();
    let under = |path: &str| format!("/{}{path}", shared.secret);
    // The cautions are part of the page itself: they are there before any script, and without it.
    let cautions = cautions().into_string();
    for (path, kind, text) in FILES {
        let text = Bytes::from(text.replace(CAUTIONS_HERE, &cautions));
        let file = move || async move { ([(header::CONTENT_TYPE, *kind)], text) };
        router = router.route(&under(path), get(file));
    }
    for (name, answer) in QUESTIONS {
        let asked = move |State(shared), request: Request| asked(shared, request.into_body(), answer);
        router = router.route(&under(&format!("/ask/{name}")), post(asked));
    }
    let watch = |State(shared): State<Arc<Shared>>, request: Request| {
        let watched = Arc::clone(&shared);
        asked(shared, request.into_body(), move |question: &Value| watched.watches.answer(question))
    };
    router
        .route(&under("/ask/start"), get(begin))
        .route(&under("/ask/watch"), post(watch))
        .route(&under("/ask/verdict"), post(upload::compare).layer(DefaultBodyLimit::disable()))
        .fallback(|| async { refuse(StatusCode::NOT_FOUND, "there is no such page here") })
        .method_not_allowed_fallback(|| async {
            refuse(StatusCode::METHOD_NOT_ALLOWED, "files are read with GET, questions asked with POST")
        })
        .layer(from_fn_with_state(shared.clone(), guard))
        .with_state(shared)
}

/// A refusal in words.
pub fn refuse(status: StatusCode, why: &str) -> Response {
    (status, axum::Json(questions::refused(why))).into_response()
}

/// The next piece of a body; `None` at its end.
async fn piece(body: &mut Body) -> Option<Result<axum::body::Bytes, axum::Error>> {
    loop {
        match poll_fn(|context| Pin::new(&mut *body).poll_frame(context)).await? {
            // What is not data are trailers, which nothing here has.
            Ok(frame) => {
                if let Ok(data) = frame.into_data() {
                    return Some(Ok(data));
                }
            }
            Err(error) => return Some(Err(error)),
        }
    }
}

/// Reads on for a moment what a refused caller still sends: a connection that is closed before takes the answer with it.
fn see_off(mut body: Body) {
    tokio::spawn(timeout(FAREWELL, async move { while let Some(Ok(_)) = piece(&mut body).await {} }));
}

async fn asked(
    shared: Arc<Shared>,
    mut body: Body,
    answer: impl Fn(&Value) -> Result<Value, Refusal> + Send + 'static,
) -> Response {
    let question = async {
        let place = shared.questions.acquire().await;
        let mut question = Vec::new();
        while let Some(piece) = piece(&mut body).await {
            match piece {
                Ok(piece) if question.len() + piece.len() <= LARGEST_QUESTION => question.extend_from_slice(&piece),
                Ok(_) => return Err((StatusCode::PAYLOAD_TOO_LARGE, "a question has at most 2 MB".to_owned())),
                Err(_) => return Err((StatusCode::BAD_REQUEST, "the question broke off; ask again".to_owned())),
            }
        }
        Ok((question, place))
    };
    match timeout(shared.patience, question).await {
        Ok(Ok((question, place))) => {
            let answered = shared.workers.run(move || answered(&question, answer)).await;
            drop(place);
            answered.unwrap_or_else(|| {
                refuse(StatusCode::INTERNAL_SERVER_ERROR, "the program failed on this question; please report it")
            })
        }
        Ok(Err((status, why))) => {
            see_off(body);
            refuse(status, &why)
        }
        Err(_) => {
            let why = format!("the question was not whole after {} s; ask again", shared.patience.as_secs_f64());
            refuse(StatusCode::REQUEST_TIMEOUT, &why)
        }
    }
}

fn answered(question: &[u8], answer: impl Fn(&Value) -> Result<Value, Refusal>) -> Response {
    match questions::answered(question, answer) {
        Ok(answer) => axum::Json(answer).into_response(),
        Err((status, why)) => refuse(StatusCode::from_u16(status).unwrap_or_default(), &why),
    }
}

/// What the page begins with.
async fn begin(State(shared): State<Arc<Shared>>) -> Response {
    axum::Json(start::start(shared.profile.as_ref(), shared.watches.followed.as_ref(), LARGEST_CAPTURE)).into_response()
}

/// Answers only whoever has the link, from this machine's own page, and says of every answer what it may do.
async fn guard(State(shared): State<Arc<Shared>>, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    let refused = match unwanted(request.headers(), path, &shared) {
        Some(why) => Some((StatusCode::FORBIDDEN, why.to_owned())),
        None => too_large(request.headers(), path).map(|why| (StatusCode::PAYLOAD_TOO_LARGE, why)),
    };
    let mut response = match refused {
        Some((status, why)) => {
            see_off(request.into_body());
            let mut response = refuse(status, &why);
            response.headers_mut().insert(header::CONNECTION, HeaderValue::from_static("close"));
            response
        }
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// Why a request is not this page's own. Another name of the host may be another site's trick, and other users of this
/// machine do not know the link.
fn unwanted(headers: &HeaderMap, path: &str, shared: &Shared) -> Option<&'static str> {
    let port = shared.port;
    let own = |name: &str| name == format!("127.0.0.1:{port}") || name == format!("localhost:{port}");
    let mut hosts = headers.get_all(header::HOST).iter();
    let host = hosts.next().and_then(|host| host.to_str().ok());
    let is_known = path.strip_prefix('/').and_then(|path| path.split_once('/')).is_some_and(|(secret, _)| {
        // In the same time for every wrong one.
        let differing = secret.bytes().zip(shared.secret.bytes()).fold(0, |differing, (a, b)| differing | (a ^ b));
        secret.len() == shared.secret.len() && differing == 0
    });
    if hosts.next().is_some() || !host.is_some_and(own) || !is_known {
        return Some("this page answers only under the link that the program printed");
    }
    for origin in headers.get_all(header::ORIGIN) {
        let origin = origin.to_str().ok().and_then(|origin| origin.strip_prefix("http://"));
        if !origin.is_some_and(own) {
            return Some("this page answers no other site");
        }
    }
    for site in headers.get_all("sec-fetch-site") {
        if !matches!(site.as_bytes(), b"same-origin" | b"none") {
            return Some("this page answers no other site; copy the link into the address line of the browser");
        }
    }
    None
}

/// Why a request is too large, as far as it says its length beforehand.
fn too_large(headers: &HeaderMap, path: &str) -> Option<String> {
    let length: u64 = headers.get(header::CONTENT_LENGTH)?.to_str().ok()?.parse().ok()?;
    let (most, what) = if path.ends_with("/ask/verdict") {
        (LARGEST_CAPTURE, verdict::TOO_LARGE)
    } else {
        (LARGEST_QUESTION as u64, "a question has at most 2 MB")
    };
    (length > most).then(|| format!("{} MB: {what}", length >> 20))
}
