//! A real browser for the tests, and a checker of HTML. `tests/run` brings both and demands them; a bare `cargo test`
//! on a machine without them says so and goes on.
// Every test file uses its own part of this.
#![allow(dead_code)]

use serde_json::{Value, json};
use std::cell::RefCell;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Set by `tests/run`: what is missing fails the test.
const DEMANDED: &str = "SQUITTERLAB_TEST_TOOLS";
/// The checker's program, set by `tests/run`.
const CHECKER: &str = "SQUITTERLAB_HTML_CHECKER";
/// The checker of accessibility, set by `tests/run`: a script that runs in the page.
const ACCESS: &str = "SQUITTERLAB_ACCESS_CHECKER";
/// Longer than anything here takes on a busy machine.
const PATIENCE: Duration = Duration::from_mins(1);

/// Says that a tool is missing, or fails where it must be there.
fn missing(what: &str) {
    assert!(std::env::var_os(DEMANDED).is_none(), "{what} is missing, and tests/run brings it");
    eprintln!("not tested: {what} is missing; bash tests/run brings it");
}

/// Ends its program when it goes.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// The first line that a program prints which `wanted` says something about.
fn first_line<T>(program: &mut Child, wanted: impl Fn(&str) -> Option<T>) -> T {
    let mut lines = BufReader::new(program.stdout.take().expect("a pipe")).lines();
    let found = lines.find_map(|line| wanted(&line.expect("a line"))).expect("it says where it listens");
    // What it says later must not stop it.
    std::thread::spawn(move || lines.for_each(drop));
    found
}

/// The lab page of the built program, as a person starts it.
pub struct Page {
    program: Running,
    /// Its link.
    pub link: String,
}

impl Page {
    /// Starts it with these arguments, on a free port.
    pub fn start(arguments: &[&str]) -> Self {
        let mut program = Command::new(env!("CARGO_BIN_EXE_squitterlab"));
        program.arg("page").args(arguments);
        Self::of(program)
    }

    /// Starts it with so few open files at once.
    #[cfg(unix)]
    pub fn start_with_files(files: u32) -> Self {
        let mut shell = Command::new("sh");
        let line = format!("ulimit -n {files}; exec \"$0\" page");
        shell.args(["-c", &line, env!("CARGO_BIN_EXE_squitterlab")]);
        Self::of(shell)
    }

    fn of(mut program: Command) -> Self {
        let mut program = program
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("it starts");
        let link = first_line(&mut program, |line| line.starts_with("http://").then(|| line.trim().to_owned()));
        Self { program: Running(program), link }
    }

    /// Host and port.
    pub fn address(&self) -> &str {
        self.link.trim_start_matches("http://").split('/').next().expect("host and port")
    }

    /// A path under the link, as a request has it.
    pub fn path(&self, path: &str) -> String {
        let (_, secret) =
            self.link.trim_start_matches("http://").trim_end_matches('/').split_once('/').expect("a secret");
        format!("/{secret}{path}")
    }

    /// The number of its process.
    pub fn process(&self) -> u32 {
        self.program.0.id()
    }
}

/// How a browser is steered: the commands are those of the W3C's WebDriver either way.
enum Steered {
    /// Through a program of its own that speaks HTTP.
    Chromium { session: String, agent: ureq::Agent },
    /// Through a socket that the browser itself opens.
    Firefox(RefCell<Marionette>),
}

/// A browser window, steered as the W3C's WebDriver says.
pub struct Browser {
    by: Steered,
    /// Where its downloads go.
    pub downloads: PathBuf,
    folder: PathBuf,
    driver: Running,
}

impl Browser {
    /// Opens Firefox with a fresh profile; none where this machine has none and nobody demands it.
    pub fn open_firefox(name: &str) -> Option<Self> {
        let (folder, downloads) = folders(name);
        let data = folder.join("data");
        std::fs::create_dir_all(&data).expect("a folder");
        let wishes = [
            ("marionette.port", json!(0)),
            ("browser.download.folderList", json!(2)),
            ("browser.download.dir", json!(downloads)),
            ("browser.shell.checkDefaultBrowser", json!(false)),
            ("browser.aboutwelcome.enabled", json!(false)),
            ("datareporting.policy.dataSubmissionEnabled", json!(false)),
            ("app.update.enabled", json!(false)),
        ];
        let wishes: Vec<String> =
            wishes.iter().map(|(name, value)| format!("user_pref({}, {value});\n", json!(name))).collect();
        let wishes = wishes.concat();
        std::fs::write(data.join("user.js"), wishes).expect("it is kept");
        let mut program = Command::new("firefox-esr");
        program.args(["--headless", "--no-remote", "--marionette", "--remote-allow-system-access", "--profile"]);
        let Ok(program) = program.arg(&data).stdout(Stdio::null()).stderr(Stdio::null()).spawn() else {
            missing("firefox-esr");
            return None;
        };
        let driver = Running(program);
        let marionette = RefCell::new(Marionette::new(&data.join("MarionetteActivePort")));
        let browser = Self { by: Steered::Firefox(marionette), downloads, folder, driver };
        browser.post("session", &json!({"capabilities": {}}));
        Some(browser)
    }

    /// Opens Chromium with a fresh profile; none where this machine has none and nobody demands it.
    pub fn open(name: &str) -> Option<Self> {
        let driver = Command::new("chromedriver").arg("--port=0").stdout(Stdio::piped()).stderr(Stdio::null()).spawn();
        let Ok(mut driver) = driver else {
            missing("chromedriver");
            return None;
        };
        let port: u16 = first_line(&mut driver, |line| {
            line.split_once("on port ")?.1.trim_end_matches('.').parse().ok().filter(|port| *port != 0)
        });
        let driver = Running(driver);
        let (folder, downloads) = folders(name);
        let data = format!("--user-data-dir={}", folder.join("data").display());
        let arguments = json!([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            data
        ]);
        let options = json!({"args": arguments, "prefs": {"download.default_directory": downloads}});
        let wanted = json!({"capabilities": {"alwaysMatch": {
            "goog:chromeOptions": options, "goog:loggingPrefs": {"browser": "ALL"}}}});
        let config = ureq::Agent::config_builder().http_status_as_error(false).timeout_global(Some(PATIENCE)).build();
        let agent: ureq::Agent = config.into();
        let base = format!("http://127.0.0.1:{port}/session");
        let mut answer = agent.post(&base).send_json(&wanted).expect("the driver answers");
        let answer: Value = answer.body_mut().read_json().expect("an answer");
        let id = answer["value"]["sessionId"].as_str().unwrap_or_else(|| panic!("no browser: {answer}"));
        let by = Steered::Chromium { session: format!("{base}/{id}"), agent };
        let browser = Self { by, downloads, folder, driver };
        let allow = json!({"behavior": "allow", "downloadPath": browser.downloads});
        browser.devtools("Browser.setDownloadBehavior", &allow);
        Some(browser)
    }

    #[track_caller]
    fn post(&self, what: &str, body: &Value) -> Value {
        let value = match &self.by {
            Steered::Chromium { session, agent } => {
                let mut answer = agent.post(format!("{session}/{what}")).send_json(body).expect("the driver answers");
                let answer: Value = answer.body_mut().read_json().expect("an answer");
                answer["value"].clone()
            }
            Steered::Firefox(marionette) => {
                let (command, parameters) = as_command(what, body);
                marionette.borrow_mut().command(command, &parameters)
            }
        };
        assert!(value.get("error").is_none(), "{what} {body}: {value}");
        value
    }

    /// Runs script in the browser's own window, not in the page.
    #[track_caller]
    fn inside(&self, script: &str) -> Value {
        self.post("context", &json!({"value": "chrome"}));
        let value = self.script(script);
        self.post("context", &json!({"value": "content"}));
        value
    }

    fn is_firefox(&self) -> bool {
        matches!(self.by, Steered::Firefox(_))
    }

    /// A command of the browser's own.
    #[track_caller]
    pub fn devtools(&self, command: &str, parameters: &Value) -> Value {
        self.post("goog/cdp/execute", &json!({"cmd": command, "params": parameters}))
    }

    /// Goes to a link.
    #[track_caller]
    pub fn go(&self, link: &str) {
        self.post("url", &json!({"url": link}));
    }

    /// Makes the page see a window of this size; headless windows have a least width of their own.
    #[track_caller]
    pub fn set_size(&self, width: u32, height: u32) {
        if self.is_firefox() {
            // Its frame is part of a window's size.
            self.post("window/rect", &json!({"width": width, "height": height}));
            let inner = self.script("return [window.innerWidth, window.innerHeight]");
            let frame = |at: usize, wanted: u32| wanted - inner[at].as_u64().expect("a size").min(wanted.into()) as u32;
            let size = json!({"width": width + frame(0, width), "height": height + frame(1, height)});
            self.post("window/rect", &size);
            return;
        }
        let size = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false});
        self.devtools("Emulation.setDeviceMetricsOverride", &size);
    }

    /// Runs script and gives its value.
    #[track_caller]
    pub fn script(&self, script: &str) -> Value {
        self.post("execute/sync", &json!({"script": script, "args": []}))
    }

    /// Runs script that may wait, and gives its value; nothing else is asked of the page meanwhile.
    #[track_caller]
    pub fn waits(&self, script: &str) -> Value {
        let script = format!(
            "const done = arguments[arguments.length - 1]; \
             (async () => {{ {script} }})().then(done, (error) => done(String(error)))"
        );
        self.post("execute/async", &json!({"script": script, "args": []}))
    }

    /// The text of an element, as a person sees it.
    #[track_caller]
    pub fn text(&self, selector: &str) -> String {
        let script = format!("return document.querySelector({}).innerText", json!(selector));
        self.script(&script).as_str().expect("text").to_owned()
    }

    /// Waits until an expression is true; while the page is built, what it speaks of may not be there yet.
    #[track_caller]
    pub fn until(&self, expression: &str) {
        let since = Instant::now();
        let script = format!("try {{ return Boolean({expression}) }} catch (error) {{ return String(error) }}");
        loop {
            let told = self.script(&script);
            if told == json!(true) {
                return;
            }
            assert!(since.elapsed() < PATIENCE, "never became true: {expression}: {told}");
            std::thread::sleep(Duration::from_millis(30));
        }
    }

    #[track_caller]
    fn element(&self, selector: &str) -> String {
        let found = self.post("element", &json!({"using": "css selector", "value": selector}));
        let id = found.as_object().and_then(|object| object.values().next()?.as_str()).expect("an element");
        id.to_owned()
    }

    /// Presses an element with the mouse.
    #[track_caller]
    pub fn click(&self, selector: &str) {
        self.post(&format!("element/{}/click", self.element(selector)), &json!({}));
    }

    /// Types into an element, or chooses a file with it.
    #[track_caller]
    pub fn type_into(&self, selector: &str, text: &str) {
        self.post(&format!("element/{}/value", self.element(selector)), &json!({"text": text}));
    }

    /// Empties an input.
    #[track_caller]
    pub fn clear(&self, selector: &str) {
        self.post(&format!("element/{}/clear", self.element(selector)), &json!({}));
    }

    /// Checks that nothing sticks out at the side of the page.
    #[track_caller]
    pub fn fits(&self) {
        let widths = self.script("return [document.documentElement.scrollWidth, window.innerWidth]");
        assert!(widths[0].as_f64() <= widths[1].as_f64(), "wider than the window: {widths}");
    }

    /// Holds what is shown against the rules of accessibility, in light and in dark, and with the colours of the system.
    #[track_caller]
    pub fn is_accessible(&self, view: &str) {
        let colours =
            [("prefers-color-scheme", "light"), ("prefers-color-scheme", "dark"), ("forced-colors", "active")];
        for (name, value) in colours {
            match (self.is_firefox(), value) {
                // What the system's colours do to a page is the same in both.
                (true, "active") => continue,
                (true, _) => {
                    let dark = u8::from(value == "light");
                    let wish = "layout.css.prefers-color-scheme.content-override";
                    self.inside(&format!("Services.prefs.setIntPref('{wish}', {dark})"));
                }
                (false, _) => {
                    let features = json!({"media": "", "features": [{"name": name, "value": value}]});
                    self.devtools("Emulation.setEmulatedMedia", &features);
                }
            }
            self.keeps_the_rules(&format!("{view}, {name} {value}"), "main > section[hidden]");
        }
        if !self.is_firefox() {
            self.devtools("Emulation.setEmulatedMedia", &json!({"media": "", "features": []}));
        }
    }

    /// The same of the whole document with the views that are hidden, in the colours that it has: each name is there once.
    #[track_caller]
    pub fn is_accessible_as_a_whole(&self) {
        self.keeps_the_rules("the whole document", ":not(*)");
    }

    /// Holds the document against the rules of accessibility, without what is beside: the checker goes through every element,
    /// hidden or not, and the hidden views have most of them. The page's scripts find what is beside all the same.
    #[track_caller]
    fn keeps_the_rules(&self, what: &str, beside: &str) {
        let Some(checker) = std::env::var_os(ACCESS) else {
            missing("the checker of accessibility");
            return;
        };
        if self.script("return window.axe === undefined") == true {
            self.script(&std::fs::read_to_string(checker).expect("the checker is there"));
        }
        let found = self.waits(&format!(
            "// Colours on their way from one to the other are no colours.
             for (const each of document.getAnimations()) each.finish();
             const beside = document.createDocumentFragment();
             const places = [...document.querySelectorAll('{beside}')].map((each) => {{
               const place = document.createComment('');
               each.replaceWith(place);
               beside.append(each);
               return [place, each];
             }});
             const found = document.getElementById.bind(document);
             document.getElementById = (id) => found(id) ?? beside.getElementById(id);
             try {{
               const {{violations}} = await axe.run(document, {{runOnly: {{type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}}, resultTypes: ['violations']}});
               return violations.map((each) => [each.id, each.nodes.length, each.nodes[0].html, each.nodes[0].failureSummary]);
             }} finally {{
               for (const [place, each] of places) place.replaceWith(each);
               delete document.getElementById;
             }}"
        ));
        assert_eq!(found, json!([]), "{what}: {found:#}");
    }

    /// Opens another tab and goes to it.
    #[track_caller]
    pub fn new_tab(&self) {
        let made = self.post("window/new", &json!({"type": "tab"}));
        self.post("window", &json!({"handle": made["handle"]}));
    }

    /// Goes to a tab, by the order in which they were opened.
    #[track_caller]
    pub fn to_tab(&self, at: usize) {
        let Steered::Chromium { session, agent } = &self.by else { panic!("tabs are changed in Chromium") };
        let mut answer = agent.get(format!("{session}/window/handles")).call().expect("the driver answers");
        let answer: Value = answer.body_mut().read_json().expect("an answer");
        self.post("window", &json!({"handle": answer["value"][at]}));
    }

    /// What is open, printed: the text of each page, as far as this machine has what reads it.
    #[track_caller]
    pub fn printed(&self, paper_inches: (f64, f64)) -> Vec<String> {
        let (width, height) = paper_inches;
        let asked = json!({"paperWidth": width, "paperHeight": height, "printBackground": true});
        let printed = self.devtools("Page.printToPDF", &asked);
        let file = self.folder.join("printed.pdf");
        std::fs::write(&file, from_base64(printed["data"].as_str().expect("a document"))).expect("it is kept");
        let Ok(read) = Command::new("pdftotext").arg("-layout").arg(&file).arg("-").output() else {
            missing("pdftotext");
            return Vec::new();
        };
        let text = String::from_utf8_lossy(&read.stdout).into_owned();
        text.trim_end_matches('\u{c}').split('\u{c}').map(str::to_owned).collect()
    }

    /// What the browser complained of: errors of scripts, things that could not be loaded.
    #[track_caller]
    pub fn complaints(&self) -> Vec<Value> {
        if self.is_firefox() {
            // Errors and no warnings, of pages and not of the browser itself.
            let log = self.inside(
                "return Services.console.getMessageArray().filter((each) => each instanceof Ci.nsIScriptError \
                 && !(each.flags & Ci.nsIScriptError.warningFlag) && /^(http:|file:)/.test(each.sourceName)) \
                 .map((each) => ({message: each.errorMessage, file: each.sourceName, line: each.lineNumber}))",
            );
            self.inside("Services.console.reset()");
            return log.as_array().expect("a list").clone();
        }
        let log = self.post("se/log", &json!({"type": "browser"}));
        log.as_array().expect("a list").iter().filter(|entry| entry["level"] == "SEVERE").cloned().collect()
    }

    /// The text of a download, which goes from where it was saved.
    #[track_caller]
    pub fn downloaded(&self, name: &str) -> String {
        let file = self.download(name);
        let text = std::fs::read_to_string(&file).expect("text");
        std::fs::remove_file(file).expect("it goes");
        text
    }

    /// Waits for a download and gives its place. Browsers put an empty file there first, and write beside it.
    #[track_caller]
    pub fn download(&self, name: &str) -> PathBuf {
        let file = self.downloads.join(name);
        let is_whole = || {
            let beside = std::fs::read_dir(&self.downloads).expect("the folder of downloads").flatten();
            let is_written = |name: &str| [".part", ".crdownload"].iter().any(|end| name.ends_with(end));
            std::fs::metadata(&file).is_ok_and(|file| file.len() > 0)
                && !beside.into_iter().any(|each| is_written(&each.file_name().to_string_lossy()))
        };
        let since = Instant::now();
        while !is_whole() {
            assert!(since.elapsed() < PATIENCE, "{name} was never downloaded");
            std::thread::sleep(Duration::from_millis(30));
        }
        file
    }
}

/// A folder for a browser, and in it one for its downloads.
fn folders(name: &str) -> (PathBuf, PathBuf) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("browser_{name}_{}", std::process::id()));
    let downloads = folder.join("downloads");
    std::fs::create_dir_all(&downloads).expect("a folder");
    (folder, downloads)
}

/// The same command in the words of Firefox's socket.
fn as_command(what: &str, body: &Value) -> (&'static str, Value) {
    let mut parameters = body.clone();
    let mut parts = what.splitn(3, '/');
    let command = match (parts.next().unwrap_or_default(), parts.next(), parts.next()) {
        ("session", ..) => "WebDriver:NewSession",
        ("context", ..) => "Marionette:SetContext",
        ("url", ..) => "WebDriver:Navigate",
        ("window", Some("rect"), _) => "WebDriver:SetWindowRect",
        ("execute", Some("sync"), _) => "WebDriver:ExecuteScript",
        ("execute", Some("async"), _) => "WebDriver:ExecuteAsyncScript",
        ("element", None, _) => "WebDriver:FindElement",
        ("element", Some(id), Some(act)) => {
            parameters["id"] = json!(id);
            match act {
                "click" => "WebDriver:ElementClick",
                "clear" => "WebDriver:ElementClear",
                _ => "WebDriver:ElementSendKeys",
            }
        }
        _ => panic!("Firefox is not told {what}"),
    };
    (command, parameters)
}

/// Firefox's own socket: each message is JSON with its length before it.
struct Marionette {
    socket: BufReader<TcpStream>,
    turn: u32,
}

impl Marionette {
    /// Waits until the browser says on which port it listens, and connects.
    fn new(port: &Path) -> Self {
        let since = Instant::now();
        let socket = loop {
            let told = std::fs::read_to_string(port).ok().and_then(|port| port.trim().parse::<u16>().ok());
            if let Some(socket) = told.and_then(|port| TcpStream::connect(("127.0.0.1", port)).ok()) {
                break socket;
            }
            assert!(since.elapsed() < PATIENCE, "Firefox never listened");
            std::thread::sleep(Duration::from_millis(50));
        };
        socket.set_read_timeout(Some(PATIENCE)).expect("a time limit");
        let mut marionette = Self { socket: BufReader::new(socket), turn: 0 };
        marionette.read();
        marionette
    }

    fn read(&mut self) -> Value {
        let mut length = Vec::new();
        self.socket.read_until(b':', &mut length).expect("Firefox answers");
        let length = String::from_utf8_lossy(&length);
        let mut text = vec![0; length.trim_end_matches(':').parse().expect("a length")];
        self.socket.read_exact(&mut text).expect("Firefox answers");
        serde_json::from_slice(&text).expect("JSON")
    }

    /// The value of a command; an error is an object with `error`, as in WebDriver.
    fn command(&mut self, command: &str, parameters: &Value) -> Value {
        self.turn += 1;
        let text = json!([0, self.turn, command, parameters]).to_string();
        write!(self.socket.get_mut(), "{}:{text}", text.len()).expect("it is sent");
        let answer = self.read();
        assert_eq!(answer[1], self.turn, "answers come in order");
        if !answer[2].is_null() {
            return answer[2].clone();
        }
        answer[3].get("value").unwrap_or(&answer[3]).clone()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // The driver ends the browser with the session; Firefox is its own driver.
        if let Steered::Chromium { session, agent } = &self.by {
            let _ = agent.delete(session).call();
        } else {
            let _ = self.driver.0.kill();
            let _ = self.driver.0.wait();
        }
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

fn from_base64(text: &str) -> Vec<u8> {
    let value = |c: u8| match c {
        b'A'..=b'Z' => c - b'A',
        b'a'..=b'z' => c - b'a' + 26,
        b'0'..=b'9' => c - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let digits: Vec<u8> = text.bytes().filter(|c| *c != b'=').map(value).collect();
    digits
        .chunks(4)
        .flat_map(|four| {
            let bits = four.iter().fold(0u32, |bits, digit| bits << 6 | u32::from(*digit)) << (6 * (4 - four.len()));
            bits.to_be_bytes().into_iter().skip(1).take(four.len() - 1)
        })
        .collect()
}

/// Holds HTML files against the checker of `tests/run`.
#[track_caller]
pub fn check_html(files: &[&str]) {
    let Some(checker) = std::env::var_os(CHECKER) else {
        missing("the HTML checker");
        return;
    };
    let config = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser/html.json");
    let ran = Command::new(checker).arg("--config").arg(config).args(files).output().expect("the checker runs");
    let said = String::from_utf8_lossy(&ran.stdout);
    assert!(ran.status.success(), "{said}{}", String::from_utf8_lossy(&ran.stderr));
}
