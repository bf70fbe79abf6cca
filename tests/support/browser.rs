//! A real browser the size of a phone, driven by the W3C WebDriver protocol: headless Chromium.
//!
//! Pages are opened at [`HOST`](super::kiosk::HOST), which only this browser takes for the test's own machine: for it the
//! kiosk is another machine without TLS, as it is for a phone. It finds no other machine at all.

use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};
use tempfile::TempDir;

use super::http::Http;
use super::kiosk::HOST;
use super::program::Program;
use super::wait_for;

/// A phone's screen in CSS pixels.
const WIDTH: u32 = 412;
const HEIGHT: u32 = 915;

/// The key that a wedge scanner ends with, as WebDriver writes it (§17.4.2).
const ENTER: char = '\u{e007}';

/// The name under which WebDriver hands out elements (§12).
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A browser with a profile of its own. It ends when dropped.
pub struct Browser {
    http: Http,
    /// `/session/…`
    session: String,
    _driver: Program,
    /// Its profile, and what it leaves in the temporary folder.
    _place: TempDir,
}

/// One element of the page that is open.
pub struct Element<'b> {
    browser: &'b Browser,
    path: String,
}

impl Browser {
    pub fn start() -> Self {
        let place = tempfile::tempdir().unwrap();
        let mut command = Command::new("chromedriver");
        let mut driver = Program::start(command.arg("--port=0").env("TMPDIR", place.path()), "chromium-driver");
        let port = driver.hear("its port", |line| {
            let (_, port) = line.split_once("started successfully on port ")?;
            Some(port.trim_end_matches('.').to_owned())
        });
        let http = Http::new(format!("http://127.0.0.1:{port}"), None);
        let answer = http.post("/session", &capabilities(&place.path().join("profile")).to_string());
        assert_eq!(
            answer.status,
            200,
            "no browser; Debian's packages chromium and chromium-driver bring one: {}",
            answer.text()
        );
        let id = answer.json()["value"]["sessionId"].as_str().unwrap().to_owned();
        Self { http, session: format!("/session/{id}"), _driver: driver, _place: place }
    }

    pub fn open(&self, url: &str) {
        self.post("/url", &json!({ "url": url }));
    }

    /// The address of the page that is open.
    pub fn url(&self) -> String {
        text(self.get("/url"))
    }

    /// The first element that the CSS selector finds, as soon as there is one.
    #[track_caller]
    pub fn find(&self, css: &str) -> Element<'_> {
        wait_for(&format!("{css} in the browser"), || self.find_all(css).into_iter().next())
    }

    /// Every element that the CSS selector finds now.
    pub fn find_all(&self, css: &str) -> Vec<Element<'_>> {
        let found = self.post("/elements", &json!({ "using": "css selector", "value": css }));
        let ids = found.as_array().into_iter().flatten().filter_map(|element| element[ELEMENT].as_str());
        ids.map(|id| Element { browser: self, path: format!("/element/{id}") }).collect()
    }

    /// All the words on the page as they are seen.
    pub fn words(&self) -> String {
        self.find("body").text()
    }

    /// Types into whatever has the focus, as a wedge scanner does, and ends with Enter.
    pub fn scan(&self, text: &str) {
        let keys = text.chars().chain([ENTER]).flat_map(|key| {
            let key = key.to_string();
            [json!({ "type": "keyDown", "value": key }), json!({ "type": "keyUp", "value": key })]
        });
        let scanner = json!({ "type": "key", "id": "scanner", "actions": keys.collect::<Vec<Value>>() });
        self.post("/actions", &json!({ "actions": [scanner] }));
    }

    /// Does what leads to another page, or to this one anew, and waits until that has come.
    pub fn turn_page(&self, lead_on: impl FnOnce()) {
        self.script("document.body.dataset.left = ''");
        lead_on();
        self.find("body:not([data-left])");
    }

    /// What a script returns that runs in the page.
    pub fn script(&self, script: &str) -> Value {
        self.post("/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// The visible part of the page as a PNG.
    pub fn screenshot(&self) -> Vec<u8> {
        base64(&text(self.get("/screenshot")))
    }

    fn get(&self, path: &str) -> Value {
        value(self.http.get(&format!("{}{path}", self.session)).expect(200).json())
    }

    fn post(&self, path: &str, body: &Value) -> Value {
        value(self.http.post(&format!("{}{path}", self.session), &body.to_string()).expect(200).json())
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Closes its window, and with it Chromium. A failing test has said already what is wrong.
        let _ = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| self.http.delete(&self.session)));
    }
}

impl Element<'_> {
    pub fn click(&self) {
        self.browser.post(&format!("{}/click", self.path), &json!({}));
    }

    pub fn type_text(&self, text: &str) {
        self.browser.post(&format!("{}/value", self.path), &json!({ "text": text }));
    }

    /// Its words as they are seen.
    pub fn text(&self) -> String {
        text(self.browser.get(&format!("{}/text", self.path)))
    }
}

fn capabilities(profile: &Path) -> Value {
    let phone = json!({ "deviceMetrics": { "width": WIDTH, "height": HEIGHT, "pixelRatio": 2, "touch": true, "mobile": true } });
    let options = json!({
        "args": [
            "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync",
            format!("--user-data-dir={}", profile.display()),
            format!("--window-size={WIDTH},{HEIGHT}"),
            format!("--host-resolver-rules=MAP {HOST} 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"),
        ],
        "mobileEmulation": phone,
    });
    json!({ "capabilities": { "alwaysMatch": { "goog:chromeOptions": options } } })
}

fn value(mut answer: Value) -> Value {
    answer["value"].take()
}

fn text(value: Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("not a text: {value}")).to_owned()
}

/// RFC 4648 §4, of a well-formed text.
fn base64(text: &str) -> Vec<u8> {
    const ALPHABET: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let digits = text.bytes().filter_map(|byte| ALPHABET.iter().position(|&known| known == byte));
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut bits, mut held) = (0, 0);
    for digit in digits {
        (bits, held) = (bits << 6 | digit as u32, held + 6);
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
            bits &= (1 << held) - 1;
        }
    }
    bytes
}
