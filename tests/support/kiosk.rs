//! The real program: its commands run to their end, and a kiosk serving on a free port.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};

use serde_json::{Value, json};
use tempfile::TempDir;

use super::http::{Answer, Http};
use super::program::{self, Program};

/// What the labels of these kiosks lead to. As in a shop it is not the browser's own machine, so a browser treats the
/// pages as any other machine's; only the test's browser is told where it really is.
pub const HOST: &str = "192.168.77.1";

/// The program, to be given arguments.
pub fn brakeside() -> Command {
    Command::new(env!("CARGO_BIN_EXE_brakeside"))
}

/// What a command that ran to its end left.
#[derive(Debug)]
pub struct Ended {
    /// None when a signal ended it.
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

/// Runs one command of the program to its end.
pub fn run(command: &mut Command, input: &str) -> Ended {
    let output = program::run_with_input(command, input.as_bytes(), "brakeside");
    Ended {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A kiosk of the real binary. It ends when dropped, and its folder goes.
pub struct Kiosk {
    program: Program,
    /// Holds the data folder, and what a killed kiosk leaves behind for the system to clear away.
    place: TempDir,
    pub port: u16,
    /// The shop's key, without spaces.
    pub key: String,
    http: Http,
}

impl Kiosk {
    /// The endpoint alone, on an empty store.
    pub fn serve() -> Self {
        Self::serve_with("")
    }

    /// The same, of a shop with these settings.
    pub fn serve_with(settings: &str) -> Self {
        let place = tempfile::tempdir().unwrap();
        std::fs::create_dir(data_folder(place.path())).unwrap();
        std::fs::write(data_folder(place.path()).join("settings.toml"), settings).unwrap();
        let mut program = serve(place.path(), 0);
        let (port, key) = greeting(&mut program);
        let http = Http::new(format!("http://127.0.0.1:{port}"), Some(key.clone()));
        Self { program, place, port, key, http }
    }

    /// The data folder.
    pub fn folder(&self) -> PathBuf {
        data_folder(self.place.path())
    }

    /// Where this machine reaches it.
    pub fn url(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Where phones reach it: see [`HOST`].
    pub fn phone_url(&self, path: &str) -> String {
        format!("http://{HOST}:{}{path}", self.port)
    }

    /// The power goes.
    pub fn kill_hard(&mut self) {
        self.program.kill();
    }

    /// The power comes back: the same folder and port, and the same key.
    pub fn restart(&mut self) {
        self.program = serve(self.place.path(), self.port);
        assert_eq!(greeting(&mut self.program), (self.port, self.key.clone()));
    }

    /// Another command of the program on this kiosk's folder and port.
    pub fn command(&self, arguments: &[&str]) -> Ended {
        let mut command = brakeside();
        command.arg("--data").arg(self.folder()).args(["--host", HOST, "--port", &self.port.to_string()]);
        run(command.args(arguments), "")
    }

    pub fn get(&self, path: &str) -> Answer {
        self.http.get(path)
    }

    pub fn post(&self, path: &str, body: &str) -> Answer {
        self.http.post(path, body)
    }

    /// Sends in an order that must be new.
    pub fn post_order(&self, order: &str) -> Value {
        self.post("/api/orders", order).expect(201).json()
    }

    /// Says what happened to a piece, such as `{"event": "bent"}`, under a new id.
    pub fn post_event(&self, code: &str, mut event: Value) -> Answer {
        static NEXT: AtomicUsize = AtomicUsize::new(1);
        event["id"] = json!(format!("whole-program-{}", NEXT.fetch_add(1, Ordering::Relaxed)));
        self.post(&format!("/api/pieces/{code}/events"), &event.to_string())
    }

    /// An order's summary.
    pub fn order(&self, number: &str) -> Value {
        self.get(&format!("/api/orders/{number}")).expect(200).json()
    }

    /// An order's pieces, one row each.
    pub fn rows(&self, number: &str) -> Vec<Value> {
        let page = self.get(&format!("/api/orders/{number}/pieces")).expect(200).json();
        page["pieces"].as_array().unwrap().clone()
    }

    /// The code of the piece with this mark.
    pub fn code(&self, number: &str, mark: &str) -> String {
        let row = self.rows(number).into_iter().find(|row| row["mark"] == mark);
        row.and_then(|row| row["code"].as_str().map(str::to_owned))
            .unwrap_or_else(|| panic!("order {number} has no piece {mark}"))
    }

    /// One piece, whole.
    pub fn piece(&self, code: &str) -> Value {
        self.get(&format!("/api/pieces/{code}")).expect(200).json()
    }
}

/// The port and the key that a starting kiosk says.
pub fn greeting(program: &mut Program) -> (u16, String) {
    let address = program.hear_after("Listening on ");
    let port = address.rsplit(':').next().and_then(|port| port.parse().ok());
    let key = program.hear_after("Shop key:").replace(' ', "");
    (port.unwrap_or_else(|| panic!("no port in ‘{address}’")), key)
}

fn data_folder(place: &Path) -> PathBuf {
    place.join("data")
}

fn serve(place: &Path, port: u16) -> Program {
    let mut command = brakeside();
    command.args(["serve", "--listen", "127.0.0.1", "--host", HOST, "--port", &port.to_string(), "--data"]);
    Program::start(command.arg(data_folder(place)).env("TMPDIR", place), "brakeside")
}
