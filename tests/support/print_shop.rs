//! A kiosk with a label printer, without its door and its screen, whose power can go; and what came out of the printer, as outside
//! decoders read it.

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::Duration;

use brakeside::endpoint::Kiosk;
use brakeside::endpoint::clock::Clock;
use brakeside::endpoint::door::Handler;
use brakeside::endpoint::http::{Method, Request, Response};
use brakeside::endpoint::printing::{self, Clerk, Printing};
use brakeside::label::printer::{Address, Patience};
use brakeside::label::stock::Stock;
use brakeside::label::url;
use brakeside::store::{PrintState, Store, StoreError};
use serde_json::{Value, json};
use tempfile::TempDir;

use super::printer::{Label, LabelPrinter};
use super::{decode, raster, wait_for};

/// A printer on this machine is quick.
pub const PATIENCE: Patience = Patience { connect: Duration::from_secs(2), answer: Duration::from_secs(2) };

/// A kiosk with an order of seven pieces, and a clerk, unless the power is off.
pub struct Shop {
    printer: Option<Address>,
    patience: Patience,
    on: Option<(Arc<Kiosk>, Option<Clerk>)>,
    folder: TempDir,
}

impl Shop {
    pub fn with(printer: &LabelPrinter) -> Self {
        Self::at(&printer.address())
    }

    pub fn at(printer: &str) -> Self {
        Self::patiently(printer, PATIENCE)
    }

    pub fn patiently(printer: &str, patience: Patience) -> Self {
        Self::new(Some(Address::parse(printer).unwrap()), patience)
    }

    pub fn without_printer() -> Self {
        Self::new(None, PATIENCE)
    }

    fn new(printer: Option<Address>, patience: Patience) -> Self {
        let mut shop = Self { printer, patience, on: None, folder: tempfile::tempdir().unwrap() };
        shop.power_on();
        let order = json!({
            "format": "brakeside-order/1", "order": "2041", "job": { "name": "Quarry Road barn" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": "10' 0\"",
            "runs": [{ "wall": "A", "trim": "end-wall", "length": "60' 0\"", "pitch": "2:12" }]
        });
        assert_eq!(shop.post("/api/orders", &order).status, 201);
        shop
    }

    /// Whenever its power is switched on from now on, its labels go there.
    pub fn set_printer(&mut self, printer: &LabelPrinter) {
        self.printer = Some(Address::parse(&printer.address()).unwrap());
    }

    /// Where it keeps everything.
    pub fn store_file(&self) -> PathBuf {
        self.folder.path().join("brakeside.db")
    }

    /// The kiosk, with nobody to take labels to the printer.
    pub fn power_on_without_clerk(&mut self) {
        // A program that another test is starting holds our files until it is itself.
        let store = wait_for("the store to be let go", || match Store::open(self.folder.path()) {
            Err(StoreError::InUse { .. }) => None,
            opened => Some(opened.unwrap()),
        });
        let labels_lead_to = url::Address::new("192.168.1.20", 8787).unwrap();
        let kiosk = Kiosk::new(store, labels_lead_to, Clock::system(), Arc::default()).unwrap();
        let printing = self
            .printer
            .clone()
            .map_or_else(Printing::none, |printer| Printing::patiently(printer, Some(Stock::INCH), self.patience));
        self.on = Some((Arc::new(kiosk.with_printing(printing)), None));
    }

    pub fn power_on(&mut self) {
        self.power_on_without_clerk();
        self.start_clerk();
    }

    pub fn start_clerk(&mut self) {
        let (kiosk, clerk) = self.on.as_mut().unwrap();
        *clerk = Some(printing::start(Arc::clone(kiosk)));
    }

    /// Everything goes but the store's file.
    pub fn power_off(&mut self) {
        let (kiosk, clerk) = self.on.take().unwrap();
        drop(clerk);
        assert!(Arc::into_inner(kiosk).is_some(), "somebody still holds the kiosk");
    }

    pub fn kiosk(&self) -> &Kiosk {
        &self.on.as_ref().unwrap().0
    }

    pub fn ask(&self, request: Request) -> Response {
        self.kiosk().handle(&request.with_header("Authorization", &format!("Bearer {}", self.kiosk().key())))
    }

    pub fn post(&self, path: &str, body: &Value) -> Response {
        self.ask(Request::new(Method::Post, path).with_body("application/json", body.to_string()))
    }

    /// The code of the order's piece of this turn.
    pub fn code(&self, turn: usize) -> String {
        self.kiosk().store().pieces("2041", turn, 1).unwrap().remove(0).code
    }

    /// The code on its newest label.
    pub fn label(&self, turn: usize) -> String {
        self.kiosk().store().pieces("2041", turn, 1).unwrap().remove(0).label
    }

    /// Asks for a piece's label under a new id, and gives the print's number.
    pub fn print(&self, turn: usize) -> i64 {
        self.asked(&format!("/api/pieces/{}/print", self.code(turn)), json!({}), 202)
    }

    pub fn asked(&self, path: &str, mut body: Value, status: u16) -> i64 {
        static NEXT: AtomicUsize = AtomicUsize::new(1);
        body["id"] = format!("request-{}", NEXT.fetch_add(1, Ordering::Relaxed)).into();
        let answer = self.post(path, &body);
        assert_eq!(answer.status, status, "{}", String::from_utf8_lossy(&answer.body));
        read(&answer)["print"].as_i64().unwrap()
    }

    pub fn act(&self, print: i64, deed: &str) -> u16 {
        self.post(&format!("/api/prints/{print}"), &json!({ "do": deed })).status
    }

    /// What a label is to whoever scans it.
    pub fn stands(&self, code: &str) -> String {
        text(&read(&self.ask(Request::new(Method::Get, &format!("/api/scan/{code}"))))["stands"])
    }

    pub fn list(&self) -> Value {
        read(&self.ask(Request::new(Method::Get, "/api/prints")))
    }

    pub fn printer_is(&self) -> (String, String) {
        let printer = &self.list()["printer"];
        (text(&printer["state"]), text(&printer["said"]))
    }

    pub fn state(&self, print: i64) -> PrintState {
        self.kiosk().store().print(print).unwrap().unwrap().state
    }

    pub fn said(&self, print: i64) -> String {
        self.kiosk().store().print(print).unwrap().unwrap().said
    }

    /// Waits until the print is this.
    #[track_caller]
    pub fn until(&self, print: i64, state: PrintState) {
        wait_for(&format!("print {print} to be {state:?}, not {:?} ({})", self.state(print), self.said(print)), || {
            (self.state(print) == state).then_some(())
        });
    }

    /// Waits for something the clerk does, hurried by somebody who cannot wait.
    #[track_caller]
    pub fn hurried(&self, what: &str, done: impl Fn() -> bool) {
        wait_for(what, || {
            self.kiosk().printing().nudge();
            thread::sleep(Duration::from_millis(50));
            done().then_some(())
        });
    }
}

pub fn read(answer: &Response) -> Value {
    serde_json::from_slice(&answer.body).unwrap()
}

pub fn text(value: &Value) -> String {
    value.as_str().unwrap().to_owned()
}

/// What the label's symbol says, by ZBar.
pub fn symbol(printer: &LabelPrinter, label: &Label) -> String {
    let picture = printer.place().join("read");
    decode::qr(&match label.media_type.as_str() {
        "image/pwg-raster" => {
            let picture = picture.with_extension("pgm");
            raster::read(&label.file).save(&picture);
            picture
        }
        "application/pdf" => decode::page_as_png(&label.file, 203),
        "image/png" => {
            let picture = picture.with_extension("png");
            fs::copy(&label.file, &picture).unwrap();
            picture
        }
        other => panic!("a label as {other}"),
    })
}

/// The codes of all that came out, first to last.
pub fn codes(printer: &LabelPrinter) -> Vec<String> {
    let code = |label| symbol(printer, &label).strip_prefix("HTTP://192.168.1.20:8787/P/").unwrap().to_owned();
    printer.out().into_iter().map(code).collect()
}
