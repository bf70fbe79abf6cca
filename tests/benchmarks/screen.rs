//! How the bench feels: from start to first frame, from key to new frame, what it holds after a day of cards, and what
//! it costs while nobody touches it. Run with `cargo bench --bench screen`; it asserts nothing.
//!
//! The real program in a real window with real X events (Debian: xvfb, xdotool); frames are seen in the screen's own memory.
//! `BRAKESIDE_CARDS=1440` turns as many cards as eight hours at one in twenty seconds do; else it is 300.

#[path = "../support/mod.rs"]
mod support;

use std::fs::{self, File};
use std::io::{BufRead, BufReader, Write};
use std::os::unix::fs::FileExt;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

/// A 10.1-inch, a 15.6-inch and a 21.5-inch screen.
const SCREENS: [(u32, u32, f32); 3] = [(1280, 800, 10.1), (1920, 1080, 15.6), (1920, 1080, 21.5)];

/// A touch that comes sooner is the glove bouncing: it is not taken.
const REST: Duration = Duration::from_millis(520);

fn main() {
    println!("{:<60} {:>12}", "what", "measured");
    for screen in SCREENS {
        first_frame(screen);
    }
    day(SCREENS[1]);
}

fn report(what: &str, figure: f64, unit: &str) {
    println!("{what:<60} {figure:>9.2} {unit}");
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn first_frame(screen: (u32, u32, f32)) {
    let (width, height, inches) = screen;
    let mut times: Vec<Duration> = (0..5).map(|_| Bench::start(screen).first_frame).collect();
    times.sort_unstable();
    report(&format!("cold start to the first frame, {width} × {height}, {inches} in"), milliseconds(times[2]), "ms");
}

/// Cards turned on and back, on and back, as long as a day has cards.
fn day(screen: (u32, u32, f32)) {
    let name = format!("{} × {}", screen.0, screen.1);
    let cards: usize = std::env::var("BRAKESIDE_CARDS").ok().and_then(|cards| cards.parse().ok()).unwrap_or(300);
    let mut bench = Bench::start(screen);
    bench.settle();
    // The first order, its next piece.
    for _ in 0..2 {
        bench.turn(Place::On);
        thread::sleep(REST);
    }
    bench.settle();
    let idle = bench.processor_time_while_idle(Duration::from_secs(20));
    report(&format!("processor while nobody touches it, {name}, of one core"), idle * 100.0, "%");

    let after_first = bench.resident_mb();
    let mut times = Vec::with_capacity(cards);
    while times.len() < cards {
        let started = Instant::now();
        times.push(bench.turn(Place::On));
        thread::sleep(Duration::from_millis(100));
        times.push(bench.turn(Place::Back));
        thread::sleep(REST.saturating_sub(started.elapsed()));
    }
    times.sort_unstable();
    let at = |part: f64| milliseconds(times[((times.len() - 1) as f64 * part).round() as usize]);
    report(&format!("touch to new frame, {name}, median of {} cards", times.len()), at(0.5), "ms");
    report(&format!("touch to new frame, {name}, 99 of 100"), at(0.99), "ms");
    report(&format!("memory resident at the first card, {name}"), after_first, "MB");
    report(&format!("memory resident after {} cards, {name}", times.len()), bench.resident_mb(), "MB");
}

/// The real program on a screen of its own.
struct Bench {
    server: Child,
    program: Child,
    hand: Hand,
    screen: Screen,
    size: (u32, u32),
    first_frame: Duration,
    _folder: tempfile::TempDir,
}

impl Bench {
    fn start((width, height, inches): (u32, u32, f32)) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let size = format!("{width}x{height}x24");
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", &size, "-nolisten", "tcp", "-fbdir"])
            .arg(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("Xvfb (Debian: xvfb)");
        let mut number = String::new();
        let said = server.stdout.take().expect("piped");
        BufReader::new(said).read_line(&mut number).expect("Xvfb says its display");
        let display = format!(":{}", number.trim());
        let screen = Screen::of(folder.path().join("Xvfb_screen0").as_path(), width, height);
        let hand = Hand::on(&display);

        let dark = screen.look();
        let start = Instant::now();
        let program = Command::new(env!("CARGO_BIN_EXE_brakeside"))
            .args(["demo", "--listen", "127.0.0.1", "--port", "0", "--full-screen"])
            .args(["--size", &format!("{width}x{height}"), "--diagonal", &inches.to_string()])
            .env("DISPLAY", &display)
            .env("TMPDIR", folder.path())
            .env_remove("WAYLAND_DISPLAY")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program");
        screen.wait_for_other(&dark);
        Self { server, program, hand, screen, size: (width, height), first_frame: start.elapsed(), _folder: folder }
    }

    /// From a touch to the first frame that differs where the card stands.
    fn turn(&mut self, place: Place) -> Duration {
        let before = self.screen.look();
        let (width, height) = self.size;
        let x = match place {
            Place::On => width - 80,
            Place::Back => 80,
        };
        let start = Instant::now();
        self.hand.touch(x, height - 80);
        self.screen.wait_for_other(&before);
        start.elapsed()
    }

    /// Waits until nothing has changed for a while: every drawing has come.
    fn settle(&self) {
        let mut seen = self.screen.look();
        let mut since = Instant::now();
        while since.elapsed() < Duration::from_secs(2) {
            thread::sleep(Duration::from_millis(50));
            let now = self.screen.look();
            if now != seen {
                (seen, since) = (now, Instant::now());
            }
        }
    }

    /// Which part of one core it used.
    fn processor_time_while_idle(&self, idle: Duration) -> f64 {
        let before = self.processor_time();
        let start = Instant::now();
        thread::sleep(idle);
        (self.processor_time() - before) / start.elapsed().as_secs_f64()
    }

    /// Seconds, in user and system mode: proc(5), fields 14 and 15 of `stat`, in ticks of 1/100 s.
    fn processor_time(&self) -> f64 {
        let stat = fs::read_to_string(format!("/proc/{}/stat", self.program.id())).expect("the program runs");
        let after_name = stat.rsplit_once(')').map(|(_, rest)| rest).expect("a name in brackets");
        let ticks: Vec<u64> =
            after_name.split_whitespace().skip(11).take(2).filter_map(|ticks| ticks.parse().ok()).collect();
        ticks.iter().sum::<u64>() as f64 / 100.0
    }

    fn resident_mb(&self) -> f64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.program.id())).expect("the program runs");
        let line = status.lines().find(|line| line.starts_with("VmRSS:")).expect("a resident size");
        let kilobytes: f64 = line.split_whitespace().nth(1).and_then(|number| number.parse().ok()).expect("kilobytes");
        kilobytes / 1024.0
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        for child in [&mut self.program, &mut self.server] {
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

/// What is touched, at either end of the screen's foot.
#[derive(Clone, Copy)]
enum Place {
    On,
    Back,
}

/// One long-running xdotool: it touches within a tenth of a millisecond.
struct Hand {
    xdotool: Child,
    says: ChildStdin,
}

impl Hand {
    fn on(display: &str) -> Self {
        let mut xdotool = Command::new("xdotool")
            .arg("-")
            .env("DISPLAY", display)
            .stdin(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("xdotool (Debian: xdotool)");
        let says = xdotool.stdin.take().expect("piped");
        Self { xdotool, says }
    }

    fn touch(&mut self, x: u32, y: u32) {
        writeln!(self.says, "mousemove {x} {y} click 1").and_then(|()| self.says.flush()).expect("xdotool listens");
    }
}

impl Drop for Hand {
    fn drop(&mut self) {
        let _ = self.xdotool.kill();
        let _ = self.xdotool.wait();
    }
}

/// The X server's screen memory.
struct Screen {
    pixels: File,
    /// Where the rows that are looked at lie in the file.
    rows: Vec<u64>,
    row_bytes: usize,
}

impl Screen {
    /// Looks at one row in eight of the upper two thirds, where the card is and not the way on.
    fn of(file: &std::path::Path, width: u32, height: u32) -> Self {
        let pixels = File::open(file).expect("the screen's memory");
        // An X window dump: its header's size comes first, the colour map stands between it and the pixels, which end the file.
        let row_bytes = width as usize * 4;
        let all = u64::from(width) * u64::from(height) * 4;
        let start = pixels.metadata().expect("its size").len() - all;
        let rows = (0..height * 2 / 3).step_by(8).map(|row| start + u64::from(row) * row_bytes as u64).collect();
        Self { pixels, rows, row_bytes }
    }

    fn look(&self) -> Vec<u8> {
        let mut seen = vec![0; self.rows.len() * self.row_bytes];
        for (row, at) in seen.chunks_mut(self.row_bytes).zip(&self.rows) {
            self.pixels.read_exact_at(row, *at).expect("the screen's memory");
        }
        seen
    }

    fn wait_for_other(&self, before: &[u8]) {
        let start = Instant::now();
        while self.look() == before {
            assert!(start.elapsed() < Duration::from_secs(30), "no new frame within 30 seconds");
            thread::sleep(Duration::from_micros(200));
        }
    }
}
