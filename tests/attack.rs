//! The page under attack: callers by the hundred that say nothing, little, too much or for ever; other users of the machine;
//! uploads cut off. What is refused is told why, memory stays bounded, and whoever asks properly is answered again.

use crate::browser::Page;
use crate::page::{Answer, answer, form, send};
use crate::program::{GOOD, profile_text};
use serde_json::json;
use squitterlab::page::Server;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// How long the server of these tests waits for a silent caller.
const PATIENCE: Duration = Duration::from_secs(1);

/// A page with little patience, in this process.
struct Lab {
    address: String,
    secret: String,
}

impl Lab {
    fn start() -> Self {
        Self::with_patience(PATIENCE)
    }

    fn with_patience(patience: Duration) -> Self {
        let server = Server::new(0, None).expect("a port").with_patience(patience);
        let link = server.link();
        let (address, secret) =
            link.trim_start_matches("http://").trim_end_matches('/').split_once('/').expect("a link");
        let lab = Self { address: address.to_owned(), secret: secret.to_owned() };
        std::thread::spawn(move || server.run());
        lab
    }

    /// The head of a request without the blank line at its end.
    fn head(&self, method: &str, path: &str) -> String {
        let Self { address, secret } = self;
        format!("{method} /{secret}{path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n")
    }

    fn get(&self, path: &str) -> Answer {
        send(&self.address, (self.head("GET", path) + "\r\n").as_bytes())
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.address).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(20))).expect("a stream");
        stream
    }

    /// Begins a request, its head whole.
    fn begin(&self, path: &str, headers: &str, body: &[u8]) -> TcpStream {
        let mut stream = self.connect();
        let head = self.head("POST", path) + headers + "\r\n";
        stream.write_all(&[head.as_bytes(), body].concat()).expect("it is sent");
        stream
    }

    fn verdict(&self, body: &[u8]) -> Answer {
        let headers = format!("{FORM}Content-Length: {}\r\n", body.len());
        answer(&mut self.begin("/ask/verdict", &headers, body))
    }

    /// Asks until it is answered, which it is once those who say nothing are left.
    #[track_caller]
    fn is_answered_again(&self) {
        let started = Instant::now();
        loop {
            let mut stream = self.connect();
            let asked = stream.write_all((self.head("GET", "/") + "\r\n").as_bytes());
            let mut said = Vec::new();
            if asked.and_then(|()| stream.read_to_end(&mut said)).is_ok() && said.starts_with(b"HTTP/1.1 200") {
                return;
            }
            assert!(started.elapsed() < 15 * PATIENCE, "{}", String::from_utf8_lossy(&said));
            std::thread::sleep(PATIENCE / 10);
        }
    }
}

const FORM: &str = "Content-Type: multipart/form-data; boundary=end\r\n";
const CHUNKED: &str = "Content-Type: multipart/form-data; boundary=end\r\nTransfer-Encoding: chunked\r\n";

fn reason(said: &Answer) -> String {
    said.json()["error"].as_str().expect("a reason").to_owned()
}

fn capture() -> Vec<u8> {
    std::fs::read(GOOD[0]).expect("a capture")
}

#[test]
fn only_who_has_the_link_is_answered() {
    let (lab, other) = (Lab::start(), Lab::start());
    assert_ne!(lab.secret, other.secret);
    assert!(lab.secret.len() == 32 && lab.secret.bytes().all(|c| c.is_ascii_hexdigit()), "{}", lab.secret);
    lab.get("/").is(200);
    let mut nearly = lab.secret.clone().into_bytes();
    let last = nearly.last_mut().expect("a digit");
    *last = if *last == b'0' { b'1' } else { b'0' };
    let nearly = String::from_utf8(nearly).expect("digits");
    let (short, long) = (lab.secret[1..].to_owned(), format!("{}0", lab.secret));
    for secret in ["", &other.secret, &nearly, &short, &long, &lab.secret.to_uppercase().replace('0', "O"), "%00"] {
        let stranger = Lab { address: lab.address.clone(), secret: secret.to_owned() };
        for path in ["", "/", "/page.js", "/ask/start", "/ask/verdict", "/nowhere"] {
            for method in ["GET", "POST", "PUT", "HEAD"] {
                let said = send(&lab.address, (stranger.head(method, path) + "\r\n").as_bytes());
                assert_eq!(said.status, 403, "{secret} {path}: {said:?}");
                assert!(method == "HEAD" || reason(&said).contains("link that the program printed"), "{said:?}");
            }
        }
    }
}

#[test]
fn other_sites_are_refused_whatever_they_send() {
    let lab = Lab::start();
    for (headers, status) in [
        ("Sec-Fetch-Site: same-origin\r\n", 200),
        ("Sec-Fetch-Site: none\r\n", 200),
        ("Sec-Fetch-Site: cross-site\r\n", 403),
        ("Sec-Fetch-Site: same-site\r\n", 403),
        ("Sec-Fetch-Site: same-origin\r\nSec-Fetch-Site: cross-site\r\n", 403),
        ("Origin: http://127.0.0.1\r\n", 403),
        ("Origin: null\r\n", 403),
    ] {
        let said = send(&lab.address, (lab.head("GET", "/ask/start") + headers + "\r\n").as_bytes()).is(status);
        assert!(status == 200 || reason(&said).contains("no other site"), "{headers}");
    }
}

#[test]
fn whatever_is_refused_says_why_in_json() {
    let lab = Lab::start();
    let one = |part: &str| format!("--end\r\nContent-Disposition: form-data; name=\"{part}\"\r\n\r\nx\r\n--end--\r\n");
    let whole = form(&profile_text(&[]), &[("a.txt", &capture())]);
    let bare = |head: String| send(&lab.address, (head + "\r\n").as_bytes());
    let posted = |headers: &str, body: &[u8]| {
        let headers = format!("{headers}Content-Length: {}\r\n", body.len());
        answer(&mut lab.begin("/ask/verdict", &headers, body))
    };
    let asked = |body: &[u8]| answer(&mut lab.begin("/ask/bits", &format!("Content-Length: {}\r\n", body.len()), body));
    let cut = &whole[..whole.len() - 20];
    let twice = form(&profile_text(&[]), &[("a.txt", &capture()), ("b.txt", &capture())]);
    let escape = form(&profile_text(&[]), &[("a\u{1B}.txt", &capture())]);
    let latin =
        form("{\"notes\": \"\u{e9}\"}", &[]).iter().map(|c| if *c == 0xC3 { 0xE9 } else { *c }).collect::<Vec<_>>();
    for (said, status, why) in [
        (bare(lab.head("GET", "/nowhere")), 404, "no such page"),
        (bare(lab.head("DELETE", "/")), 405, "GET"),
        (bare(lab.head("GET", "/ask/bits")), 405, "POST"),
        (bare(lab.head("POST", "/ask/bits")), 400, "not valid JSON"),
        (asked(b""), 400, "not valid JSON (line 1, column 1): there is nothing in this text; write one object"),
        (asked(b"\xFF\xFE"), 400, "not valid JSON (line 1, column 1): this is not UTF-8 text; send one JSON object"),
        (asked(b"{{{"), 400, "not valid JSON (line 1, column 2): this { has no key; write its key in quotation marks"),
        (asked(b"\xEF\xBB\xBF{}"), 400, "not valid JSON (line 1, column 1): this cannot be read; send one JSON object"),
        (posted("Content-Type: text/plain\r\n", b"x"), 400, "not a form"),
        (posted("Content-Type: multipart/form-data\r\n", b"x"), 400, "not a form"),
        (posted(FORM, b""), 400, "broke off"),
        (posted(FORM, cut), 400, "broke off"),
        (posted(FORM, one("other").as_bytes()), 422, "no part \"other\""),
        (posted(FORM, one("profile").as_bytes()), 422, "no capture"),
        (posted(FORM, one("capture").as_bytes()), 422, "profile"),
        (posted(FORM, &latin), 422, "UTF-8"),
        (posted(FORM, &twice), 422, "a.txt and b.txt are the same"),
        (posted(FORM, &escape), 400, "rename one whose name has characters that cannot be seen"),
        (posted("Content-Type: application/json\r\n", b"{}"), 400, "send profile and captures as multipart/form-data"),
    ] {
        assert_eq!(said.status, status, "{why}: {said:?}");
        assert!(reason(&said).contains(why), "{why}: {said:?}");
        // The words of a parser are not for people.
        for jargon in ["EOF", "expected value", "Invalid `boundary`", "failed to read"] {
            assert!(!reason(&said).contains(jargon), "{jargon}: {said:?}");
        }
        assert!(said.head.contains("content-security-policy"), "{said:?}");
    }
    lab.verdict(&whole).is(200);
}

#[test]
fn a_name_that_turns_the_direction_of_reading_is_written_out() {
    let lab = Lab::start();
    let odd = "good\u{202E}txt.exe";
    let said = lab.verdict(&form(&profile_text(&[]), &[(odd, &capture())])).is(200).json();
    assert!(said["record"].as_str().expect("markup").contains("good\\u202etxt.exe"));
    for shown in ["html", "record", "report"] {
        assert!(!said[shown].to_string().contains('\u{202E}'), "{shown}: {said}");
    }
    let twice = form(&profile_text(&[]), &[(odd, &capture()), ("b.txt", &capture())]);
    assert!(reason(&lab.verdict(&twice).is(422)).starts_with("good\\u202etxt.exe and b.txt are the same"));
}

#[test]
fn hundreds_who_say_nothing_are_left_and_others_answered() {
    // Long enough that all of them are there at once, on a busy machine too.
    let lab = Lab::with_patience(4 * PATIENCE);
    // Some silent from the start, some within the head of a request, some after an answer.
    let mut idle: Vec<TcpStream> = (0..400).map(|_| lab.connect()).collect();
    for (at, stream) in idle.iter_mut().enumerate() {
        let head = lab.head("GET", "/icon.svg").replace("Connection: close\r\n", "");
        let part = match at % 3 {
            0 => "",
            1 => &head[..head.len() / 2],
            _ => &(head + "\r\n"),
        };
        // Those beyond the most are refused already.
        let _ = stream.write_all(part.as_bytes());
    }
    lab.is_answered_again();
    // Those beyond the most were told so.
    let said: Vec<String> = idle
        .into_iter()
        .map(|mut stream| {
            let mut said = Vec::new();
            let _ = stream.read_to_end(&mut said);
            String::from_utf8_lossy(&said).into_owned()
        })
        .collect();
    let refused: Vec<&String> = said.iter().filter(|said| said.starts_with("HTTP/1.1 503")).collect();
    assert!(!refused.is_empty(), "{said:?}");
    assert!(refused.iter().all(|said| said.contains("256 connections are open")), "{refused:?}");
    lab.is_answered_again();
}

#[cfg(unix)]
#[test]
fn without_open_files_the_page_waits_and_goes_on() {
    let page = Page::start_with_files(40);
    let idle: Vec<TcpStream> = (0..100).filter_map(|_| TcpStream::connect(page.address()).ok()).collect();
    assert!(idle.len() > 40, "{}", idle.len());
    std::thread::sleep(Duration::from_millis(500));
    drop(idle);
    let request = format!("GET {} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", page.path("/"), page.address());
    let mut stream = TcpStream::connect(page.address()).expect("it listens");
    stream.set_read_timeout(Some(Duration::from_secs(30))).expect("a stream");
    stream.write_all(request.as_bytes()).expect("it is sent");
    answer(&mut stream).is(200);
}

#[test]
fn a_head_that_trickles_is_given_up() {
    let lab = Lab::start();
    let mut stream = lab.connect();
    let started = Instant::now();
    let head = lab.head("GET", "/") + "X: ";
    let mut octets = head.bytes().chain(std::iter::repeat(b'x'));
    while stream.write_all(&[octets.next().expect("no end")]).is_ok() {
        assert!(started.elapsed() < 10 * PATIENCE, "it is still read");
        std::thread::sleep(PATIENCE / 20);
    }
    lab.get("/").is(200);
}

#[test]
fn a_body_that_does_not_come_is_given_up_with_the_reason() {
    let lab = Lab::start();
    let said = answer(&mut lab.begin("/ask/bits", "Content-Length: 100\r\n", b"{\"frame\":")).is(408);
    assert!(reason(&said).contains("not whole after 1 s"), "{said:?}");
    let whole = form(&profile_text(&[]), &[("a.txt", &capture())]);
    for stop in [0, 10, 200, whole.len() - 100] {
        let headers = format!("{FORM}Content-Length: {}\r\n", whole.len());
        let said = answer(&mut lab.begin("/ask/verdict", &headers, &whole[..stop])).is(408);
        assert!(reason(&said).contains("nothing came for 1 s"), "{stop}: {said:?}");
    }
}

#[test]
fn uploads_that_stop_half_way_block_nobody_for_long() {
    let lab = Lab::start();
    let whole = form(&profile_text(&[]), &[("a.txt", &capture())]);
    let headers = format!("{FORM}Content-Length: {}\r\n", whole.len());
    let half = &whole[..whole.len() - 100];
    let mut stalled: Vec<TcpStream> = (0..4).map(|_| lab.begin("/ask/verdict", &headers, half)).collect();
    std::thread::sleep(PATIENCE / 4);
    let said = lab.verdict(&whole).is(503);
    assert!(reason(&said).contains("4 comparisons are under way"), "{said:?}");
    // Questions go on meanwhile.
    let question = json!({"frame": "8DA5C035213B4DD16208206CA0A9"}).to_string();
    let length = format!("Content-Length: {}\r\n", question.len());
    answer(&mut lab.begin("/ask/bits", &length, question.as_bytes())).is(200);
    for stream in &mut stalled {
        answer(stream).is(408);
    }
    lab.verdict(&whole).is(200);
    // Cut off by the hundred.
    for at in 0..200 {
        drop(lab.begin("/ask/verdict", &headers, &whole[..whole.len() * at / 200]));
    }
    let started = Instant::now();
    while lab.verdict(&whole).status != 200 {
        assert!(started.elapsed() < 10 * PATIENCE, "uploads that were cut off are still under way");
        std::thread::sleep(PATIENCE / 10);
    }
}

/// Sends a body in pieces that has no end, until it is refused or `most` octets are sent; then reads the answer.
fn endless(mut stream: TcpStream, most: usize) -> (Answer, usize) {
    let piece = format!("10000\r\n{}\r\n", "x".repeat(0x1_0000)).into_bytes();
    stream.set_write_timeout(Some(Duration::from_secs(20))).expect("a stream");
    let mut reader = stream.try_clone().expect("a handle");
    let reading = std::thread::spawn(move || {
        let mut said = Vec::new();
        let mut piece = [0; 4096];
        while let Ok(got @ 1..) = reader.read(&mut piece) {
            said.extend_from_slice(&piece[..got]);
        }
        said
    });
    let mut sent = 0;
    while sent < most && stream.write_all(&piece).is_ok() {
        sent += piece.len();
    }
    let _ = stream.shutdown(std::net::Shutdown::Write);
    let said = String::from_utf8_lossy(&reading.join().expect("it reads")).into_owned();
    let (head, body) = said.split_once("\r\n\r\n").unwrap_or((&said, ""));
    let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
    (Answer { status, head: head.to_owned(), body: body.to_owned() }, sent)
}

#[cfg(target_os = "linux")]
#[test]
fn bodies_without_end_are_refused_and_not_kept() {
    let page = Page::start(&[]);
    let peak = || {
        let status = std::fs::read_to_string(format!("/proc/{}/status", page.process())).expect("a process");
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).expect("the peak");
        line.trim().trim_end_matches(" kB").parse::<u64>().expect("a number") / 1024
    };
    let begin = |path: &str, part: &str| {
        let mut stream = TcpStream::connect(page.address()).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(30))).expect("a stream");
        let (path, address) = (page.path(path), page.address());
        let head = format!("POST {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n{CHUNKED}\r\n");
        let begun = format!("{:x}\r\n{part}\r\n", part.len());
        stream.write_all((head + if part.is_empty() { "" } else { &begun }).as_bytes()).expect("it is sent");
        stream
    };
    let part = |name: &str| format!("--end\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n");
    let before = peak();
    for (path, begun, status, why) in [
        ("/ask/bits", String::new(), 413, "at most 2 MB"),
        ("/ask/install", String::new(), 413, "at most 2 MB"),
        ("/ask/verdict", part("profile"), 413, "a profile has at most 1048576 bytes"),
        ("/ask/verdict", part("profile_name"), 413, "at most 255 bytes"),
        ("/ask/verdict", part("rules"), 413, "at most 255 bytes"),
        ("/ask/verdict", part("other"), 422, "no part"),
        ("/ask/verdict", "--end\r\nContent-Disposition: ".to_owned(), 400, "broke off"),
    ] {
        let (said, sent) = endless(begin(path, &begun), 300 << 20);
        assert_eq!(said.status, status, "{path} {begun}: {said:?}, {sent} sent");
        assert!(reason(&said).contains(why), "{path} {begun}: {said:?}");
    }
    let grown = peak() - before;
    assert!(grown < 40, "{grown} MB more");
}

#[test]
fn no_upload_has_captures_without_number() {
    let lab = Lab::start();
    let line = |at: usize| format!("{at}.5 8DA5C035213B4DD16208206CA0A9\n").into_bytes();
    let many: Vec<(String, Vec<u8>)> = (0..1001).map(|at| (format!("{at}.txt"), line(at))).collect();
    let files: Vec<(&str, &[u8])> = many.iter().map(|(name, octets)| (name.as_str(), &octets[..])).collect();
    let said = lab.verdict(&form(&profile_text(&[]), &files)).is(413);
    assert!(reason(&said).contains("more than 1000 captures"), "{said:?}");
    lab.verdict(&form(&profile_text(&[]), &files[..1000])).is(200);
}

/// RFC 9110, section 15.5.15: what cannot be interpreted for its length is answered by a status that says so.
#[test]
fn a_path_that_is_too_long_is_refused_by_its_status_and_nothing_else_happens() {
    let lab = Lab::start();
    assert!(reason(&lab.get(&format!("/{}", "a".repeat(60_000))).is(404)).len() > 10);
    let said = lab.get(&format!("/{}", "a".repeat(66_000))).is(414);
    assert!(said.head.starts_with("http/1.1 414 uri too long") && said.body.is_empty(), "{said:?}");
    lab.get("/").is(200);
}

#[test]
fn who_asks_and_does_not_read_is_left() {
    let lab = Lab::start();
    let mut stream = lab.connect();
    let request = lab.head("GET", "/ask/start").replace("Connection: close\r\n", "") + "\r\n";
    let started = Instant::now();
    let one = send(&lab.address, (lab.head("GET", "/ask/start") + "\r\n").as_bytes()).body.len();
    let each = started.elapsed();
    // More than all buffers on the way can hold.
    let count = (24 << 20) / one;
    stream.set_write_timeout(Some(Duration::from_secs(3))).expect("a stream");
    for _ in 0..count {
        if stream.write_all(request.as_bytes()).is_err() {
            break;
        }
    }
    // As long as all answers take if they go on being made.
    std::thread::sleep(3 * PATIENCE + 2 * each * u32::try_from(count).expect("a small number"));
    let (mut got, mut piece) = (0, vec![0; 1 << 16]);
    while let Ok(read @ 1..) = stream.read(&mut piece) {
        got += read;
    }
    assert!(got < one * count, "all {count} answers were kept for a caller that took none");
    lab.get("/").is(200);
}

#[test]
fn hostile_questions_take_little_time_and_nobody_else_waits() {
    let lab = Lab::start();
    let most = 1_900_000;
    let repeat = |piece: &str| piece.repeat(most / piece.len() / 2);
    let texts = [
        format!(
            "{{\"aircraft\": {{{}\"x\": 1}}}}",
            (0..60_000).map(|at| format!("\"k{at}\": 1, ")).collect::<Vec<_>>().concat()
        ),
        format!("{{\"aircraft\": {{{}\"x\": 1}}}}", "\"x\": 1, ".repeat(100_000)),
        format!("{{\"aircraft\": {{\"registration\": \"{}\"}}}}", repeat("N")),
        format!("{{\"{}\": 1}}", repeat("k")),
        repeat("/* "),
        repeat("\n"),
        repeat("["),
        repeat("\"\\u0041"),
        format!("{{\"notes\": {}", repeat("9")),
        format!("{{\"aircraft\": [{}1]}}", repeat("1,")),
    ];
    for text in &texts {
        let body = json!({"profile": text}).to_string();
        assert!(body.len() < 2 << 20, "{}", body.len());
        let started = Instant::now();
        let headers = format!("Content-Length: {}\r\n", body.len());
        let mut asking: Vec<TcpStream> = (0..3).map(|_| lab.begin("/ask/install", &headers, body.as_bytes())).collect();
        let meanwhile = Instant::now();
        lab.get("/").is(200);
        assert!(meanwhile.elapsed() < 5 * PATIENCE, "{:?}", meanwhile.elapsed());
        for stream in &mut asking {
            let said = answer(stream).is(200);
            assert!(said.body.len() < 1 << 20, "{} for {:?}", said.body.len(), &text[..40]);
        }
        assert!(started.elapsed() < 15 * PATIENCE, "{:?} for {:?}", started.elapsed(), &text[..40]);
    }
}
