//! The server: who is answered, how much is taken in, and which file or answer goes where.

use super::{Refusal, bits, install, practice, steps, verdict};
use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use serde_json::{Value, json};
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::sync::Arc;

/// The largest capture that is taken in at once, in octets.
pub const LARGEST_CAPTURE: u64 = 768 << 20;
/// The largest of all other requests.
const LARGEST_QUESTION: usize = 2 << 20;

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
    ("/bits.js", SCRIPT, include_str!("bits.js")),
    ("/install.js", SCRIPT, include_str!("install.js")),
    ("/setting.js", SCRIPT, include_str!("setting.js")),
    ("/verdict.js", SCRIPT, include_str!("verdict.js")),
    ("/steps.js", SCRIPT, include_str!("steps.js")),
    ("/practice.js", SCRIPT, include_str!("practice.js")),
];

/// A page that is ready to be served.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    profile: Option<Loaded>,
}

/// The profile that a page begins with.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// The name of its file.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// What every request may need.
struct Shared {
    port: u16,
    profile: Option<Loaded>,
}

impl Server {
    /// Takes a port of the loopback address; 0 is any free one. `profile` is what the page begins with.
    ///
    /// # Errors
    /// Where the port cannot be had.
    pub fn new(port: u16, profile: Option<Loaded>) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        listener.set_nonblocking(true)?;
        let address = listener.local_addr()?;
        Ok(Self { listener, address, profile })
    }

    /// The link to the page.
    pub fn link(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// Serves until the program ends.
    ///
    /// # Errors
    /// Where the listener fails.
    pub fn run(self) -> io::Result<()> {
        let shared = Arc::new(Shared { port: self.address.port(), profile: self.profile });
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_io().build()?;
        runtime.block_on(async move {
            let listener = tokio::net::TcpListener::from_std(self.listener)?;
            axum::serve(listener, router(shared)).await
        })
    }
}

/// Answers a question.
type Answer = fn(&Value) -> Result<Value, Refusal>;

fn router(shared: Arc<Shared>) -> Router {
    let mut router = Router::new();
    for (path, kind, text) in FILES {
        router = router.route(path, get(move || async move { ([(header::CONTENT_TYPE, *kind)], *text) }));
    }
    let questions: [(&str, Answer); 9] = [
        ("/ask/bits", bits::explain),
        ("/ask/make", bits::make),
        ("/ask/install", install::show),
        ("/ask/parity", steps::parity),
        ("/ask/position", steps::position),
        ("/ask/altitude", steps::altitude),
        ("/ask/identity", steps::identity),
        ("/ask/exercise", practice::exercise),
        ("/ask/solution", practice::solution),
    ];
    for (path, answer) in questions {
        router = router.route(path, post(move |body: Bytes| async move { asked(&body, answer) }));
    }
    router
        .layer(DefaultBodyLimit::max(LARGEST_QUESTION))
        .route("/ask/start", get(start))
        .route("/ask/verdict", post(verdict::compare).layer(DefaultBodyLimit::disable()))
        .fallback(|| async { refuse(StatusCode::NOT_FOUND, "there is no such page here") })
        .layer(from_fn_with_state(shared.clone(), guard))
        .with_state(shared)
}

/// A refusal in words.
pub fn refuse(status: StatusCode, why: &str) -> Response {
    (status, axum::Json(json!({"error": why}))).into_response()
}

fn asked(body: &[u8], answer: Answer) -> Response {
    match serde_json::from_slice(body) {
        Err(error) => refuse(StatusCode::BAD_REQUEST, &format!("the question is not valid JSON: {error}")),
        Ok(request) => match answer(&request) {
            Ok(answer) => axum::Json(answer).into_response(),
            Err(why) => refuse(StatusCode::UNPROCESSABLE_ENTITY, &why),
        },
    }
}

/// What the page begins with.
async fn start(State(shared): State<Arc<Shared>>) -> Response {
    let mut answer = bits::messages();
    if let Value::Object(answer) = &mut answer {
        answer.insert("program_version".to_owned(), json!(env!("CARGO_PKG_VERSION")));
        answer.insert("largest_capture".to_owned(), json!(LARGEST_CAPTURE));
        answer.insert("cautions".to_owned(), json!(crate::present::CAUTIONS));
        answer.insert("profile".to_owned(), json!(shared.profile.as_ref().map(|loaded| &loaded.text)));
        answer.insert("profile_name".to_owned(), json!(shared.profile.as_ref().map(|loaded| &loaded.name)));
        answer.insert("schema".to_owned(), crate::profile::schema());
        answer.insert("empty".to_owned(), crate::profile::Profile::to_be_filled_in().json());
        answer.insert("rules".to_owned(), install::rule_names());
    }
    axum::Json(answer).into_response()
}

/// Answers only this machine's own page, and says of every answer what it may do.
async fn guard(State(shared): State<Arc<Shared>>, request: Request, next: Next) -> Response {
    let mut response = match unwanted(request.headers(), shared.port) {
        Some(why) => refuse(StatusCode::FORBIDDEN, why),
        None => match too_large(request.headers(), request.uri().path()) {
            Some(why) => refuse(StatusCode::PAYLOAD_TOO_LARGE, &why),
            None => next.run(request).await,
        },
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

/// Why a request is not this page's own; another name of the host may be another site's trick.
fn unwanted(headers: &HeaderMap, port: u16) -> Option<&'static str> {
    let own = |name: &str| name == format!("127.0.0.1:{port}") || name == format!("localhost:{port}");
    let mut hosts = headers.get_all(header::HOST).iter();
    let host = hosts.next().and_then(|host| host.to_str().ok());
    if hosts.next().is_some() || !host.is_some_and(own) {
        return Some("this page answers only under the link that the program printed");
    }
    for origin in headers.get_all(header::ORIGIN) {
        let origin = origin.to_str().ok().and_then(|origin| origin.strip_prefix("http://"));
        if !origin.is_some_and(own) {
            return Some("this page answers no other site");
        }
    }
    None
}

/// Why a request is too large, as far as it says its length beforehand.
fn too_large(headers: &HeaderMap, path: &str) -> Option<String> {
    let length: u64 = headers.get(header::CONTENT_LENGTH)?.to_str().ok()?.parse().ok()?;
    let (most, what) = if path == "/ask/verdict" {
        (LARGEST_CAPTURE, verdict::TOO_LARGE)
    } else {
        (LARGEST_QUESTION as u64, "too large for this page")
    };
    (length > most).then(|| format!("{} MB: {what}", length >> 20))
}
