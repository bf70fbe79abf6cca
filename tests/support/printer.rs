//! A label printer: the IPP sample printer that comes with CUPS, `ippeveprinter`, with a head of our own that can fail.
//!
//! The printer's side of the protocol is not ours. What it would print it hands to a command, which here keeps what came out
//! and, on request, fails as printers do. It needs a D-Bus to start, and gets one of its own.

use std::fs;
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicU16, Ordering};

use tempfile::TempDir;

use super::program::{Program, run_well};
use super::wait_for;

const PRINTER: &str = "cups-ipp-utils";

/// The printer's head. What it is to do stands in a file beside it.
const HEAD: &str = r#"#!/bin/sh
place=$(dirname "$0")
# The power of a printer that was killed goes for its head too, even before the head has begun and has another parent.
printer=$PPID
powered() { [ "$(cat /proc/$printer/comm 2>/dev/null)" = ippeveprinter ]; }
[ "$(cat "$place/fault")" = empty ] && echo "STATE: +media-empty-error" >&2
while :; do
    powered || exit 1
    case $(cat "$place/fault") in
        none) break ;;
        abort) exit 1 ;;
    esac
    sleep 0.02
done
echo "STATE: -media-empty-error" >&2
count=$(ls "$place/out" | grep -c '\.label$')
cp "$1" "$place/out/$count.part"
printf '%s\n' "$CONTENT_TYPE" "$IPP_JOB_NAME" "$IPP_MEDIA" "$IPP_COPIES" >"$place/out/$count.said"
# Whole at once, or not at all.
mv "$place/out/$count.part" "$place/out/$count.label"
"#;

/// What the head does with a label.
#[derive(Debug, Clone, Copy)]
pub enum Fault {
    /// It prints.
    None,
    /// It takes its time.
    Slow,
    /// There are no labels to print on, until there are.
    Empty,
    /// It gives up.
    Abort,
}

/// One label that came out.
#[derive(Debug, Clone)]
pub struct Label {
    pub file: PathBuf,
    pub media_type: String,
    pub job_name: String,
    pub medium: String,
    pub copies: String,
}

/// The printer. It can be switched off and on again, at the same address. It ends when dropped.
pub struct LabelPrinter {
    bus: Bus,
    place: TempDir,
    port: u16,
    program: Option<Program>,
}

/// A label printer of 203 dpi, as [`LabelPrinter::start`] takes it.
pub const ATTRIBUTES: &str = "\
ATTR keyword media-supported oe_4x6-label_4x6in,oe_4x2-label_4x2in
ATTR keyword media-default oe_4x2-label_4x2in
ATTR keyword media-ready oe_4x2-label_4x2in
ATTR resolution printer-resolution-supported 203dpi
ATTR resolution printer-resolution-default 203dpi
ATTR resolution pwg-raster-document-resolution-supported 203dpi
ATTR keyword pwg-raster-document-type-supported black_1
ATTR integer copies-default 1
ATTR rangeOfInteger copies-supported 1-999
ATTR keyword print-color-mode-supported monochrome
ATTR keyword print-scaling-supported none,fit
";

/// Every format a label may go in.
pub const FORMATS: &str = "image/pwg-raster,application/pdf,image/png";

impl LabelPrinter {
    /// Switched on, of [`ATTRIBUTES`] and [`FORMATS`].
    pub fn start() -> Self {
        Self::of(ATTRIBUTES, FORMATS)
    }

    /// Switched on, of these attributes, taking these formats.
    pub fn of(attributes: &str, formats: &str) -> Self {
        let place = tempfile::tempdir().unwrap();
        let head = place.path().join("head.sh");
        fs::write(&head, HEAD).unwrap();
        run_well(Command::new("chmod").arg("+x").arg(&head), "coreutils");
        let formats = format!("ATTR mimeMediaType document-format-supported {formats}\n");
        fs::write(place.path().join("label.conf"), formats + attributes).unwrap();
        fs::create_dir(place.path().join("out")).unwrap();
        fs::create_dir(place.path().join("spool")).unwrap();
        let port = free_port();
        let mut printer = Self { bus: Bus::start(), place, port, program: None };
        printer.fault(Fault::None);
        printer.switch_on();
        printer
    }

    pub fn address(&self) -> String {
        format!("ipp://127.0.0.1:{}/ipp/print", self.port)
    }

    /// Where it keeps what it has, and where tests may keep what they make of it.
    pub fn place(&self) -> &Path {
        self.place.path()
    }

    pub fn switch_on(&mut self) {
        let place = self.place.path();
        let mut command = Command::new("ippeveprinter");
        command.env("DBUS_SYSTEM_BUS_ADDRESS", self.bus.address());
        command.args(["-vvv", "-n", "localhost", "-r", "off", "--no-web-forms", "-k", "-p", &self.port.to_string()]);
        command.arg("-d").arg(place.join("spool")).arg("-a").arg(place.join("label.conf"));
        command.arg("-c").arg(place.join("head.sh")).arg("Test labels");
        let mut program = Program::start(&mut command, PRINTER);
        program.hear_after("Printer:");
        wait_for("the printer to listen", || TcpStream::connect(("127.0.0.1", self.port)).ok());
        self.program = Some(program);
    }

    /// As if its plug were pulled: it forgets its jobs.
    pub fn switch_off(&mut self) {
        self.program = None;
    }

    pub fn port(&self) -> u16 {
        self.port
    }

    /// What its head does from now on.
    pub fn fault(&self, fault: Fault) {
        let word = match fault {
            Fault::None => "none",
            Fault::Slow => "slow",
            Fault::Empty => "empty",
            Fault::Abort => "abort",
        };
        // Whole at once: the head reads it all the time.
        let next = self.place.path().join("fault.next");
        fs::write(&next, word).unwrap();
        fs::rename(&next, self.place.path().join("fault")).unwrap();
    }

    /// All that came out, first to last.
    pub fn out(&self) -> Vec<Label> {
        let folder = self.place.path().join("out");
        let labels = (0..).map(|count| folder.join(format!("{count}.label"))).take_while(|label| label.exists());
        let read = |file: PathBuf| {
            let said = fs::read_to_string(file.with_extension("said")).unwrap();
            let mut said = said.lines().map(str::to_owned);
            let mut next = || said.next().unwrap_or_default();
            Label { media_type: next(), job_name: next(), medium: next(), copies: next(), file }
        };
        labels.map(read).collect()
    }

    /// Whether it was, since it was switched on. Its log names an operation elsewhere too, where it says what it can do.
    pub fn was_asked(&self, operation: &str) -> bool {
        let asked = format!("operation-id={operation}(");
        self.program.as_ref().is_some_and(|program| program.said().contains(&asked))
    }
}

/// A private D-Bus, which only the printer uses.
struct Bus {
    place: TempDir,
    _program: Program,
}

impl Bus {
    fn start() -> Self {
        let place = tempfile::tempdir().unwrap();
        let socket = place.path().join("bus");
        let mut command = Command::new("dbus-daemon");
        command.args(["--session", "--nofork", "--nopidfile"]);
        command.arg(format!("--address=unix:path={}", socket.display()));
        let program = Program::start(&mut command, "dbus-daemon");
        wait_for("the bus to listen", || socket.exists().then_some(()));
        Self { place, _program: program }
    }

    fn address(&self) -> String {
        format!("unix:path={}", self.place.path().join("bus").display())
    }
}

/// A port that stays the printer's own while it is off: none of those that the system gives to whoever connects.
fn free_port() -> u16 {
    static NEXT: AtomicU16 = AtomicU16::new(0);
    let first = (std::process::id() * 64 % 10_000) as u16;
    let ports = std::iter::repeat_with(|| 20_000 + (first + NEXT.fetch_add(1, Ordering::Relaxed)) % 10_000);
    ports.take(10_000).find(|port| TcpListener::bind(("127.0.0.1", *port)).is_ok()).expect("a port that is free")
}
