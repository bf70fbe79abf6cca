//! The demonstration in a real window, worked by a real mouse and keyboard; and where there is no window to be had.

mod support;

use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::Duration;

use serde_json::Value;
use support::display::{Display, Screenshot};
use support::http::Http;
use support::kiosk::{brakeside, greeting};
use support::program::Program;
use support::wait_for;

const WIDTH: u32 = 1280;
const HEIGHT: u32 = 800;

/// On the large way on, which lies along the lower edge, beside its words.
const ON: (u32, u32) = (WIDTH - 80, HEIGHT - 100);

/// The large way on is blue, and nothing else as large is.
const BLUE: [u8; 3] = [0x0b, 0x4f, 0x9e];

/// A hand takes longer than this from touch to touch; a glove that bounces does not (common practice, no source).
const BETWEEN_TOUCHES: Duration = Duration::from_millis(700);

/// The demonstration, whose throw-away folder is made in `temporary`.
fn demo(temporary: &Path) -> Command {
    let mut command = brakeside();
    command.args(["demo", "--listen", "127.0.0.1", "--port", "0"]).env("TMPDIR", temporary);
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        command.env_remove(name);
    }
    command
}

/// What the demonstration's endpoint says, asked as any program would.
fn endpoint(program: &mut Program) -> Http {
    let (port, key) = greeting(program);
    Http::new(format!("http://127.0.0.1:{port}"), Some(key))
}

/// All pieces of all orders.
fn rows(endpoint: &Http) -> Vec<Value> {
    let orders = endpoint.get("/api/orders").expect(200).json();
    let numbers = orders["orders"].as_array().unwrap().iter().map(|order| order["order"].as_str().unwrap());
    let pieces = numbers.map(|number| endpoint.get(&format!("/api/orders/{number}/pieces")).expect(200).json());
    let rows = pieces.flat_map(|page| page["pieces"].as_array().unwrap().clone());
    // Which bench has a piece in hand is another matter: whoever opens it has.
    rows.map(|mut row| {
        row["bench"] = Value::Null;
        row
    })
    .collect()
}

/// The one row that is no longer as it was, as soon as there is one: before and after.
#[track_caller]
fn changed(endpoint: &Http, before: &[Value]) -> (Value, Value) {
    wait_for("a step in the store", || {
        let after = rows(endpoint);
        let mut pairs = before.iter().zip(&after).filter(|(before, after)| before != after);
        let first = pairs.next();
        assert!(pairs.next().is_none(), "one touch changed two pieces");
        first.map(|(before, after)| (before.clone(), after.clone()))
    })
}

/// The screen as soon as it differs from `last` and offers a way on, and no more changes.
#[track_caller]
fn next_picture(display: &Display, last: &Screenshot) -> Screenshot {
    wait_for("the screen to change", || {
        let picture = display.screenshot();
        let offers = picture.difference(last) > 0.02 && picture.pixel(ON) == BLUE;
        (offers && display.screenshot() == picture).then_some(picture)
    })
}

/// Touches the large way on with the mouse.
fn click(display: &Display) {
    thread::sleep(BETWEEN_TOUCHES);
    display.click(ON);
}

/// Presses a key on a card; by how many steps the piece is further then.
#[track_caller]
fn press(display: &Display, endpoint: &Http, key: &str) -> i64 {
    let before = rows(endpoint);
    thread::sleep(BETWEEN_TOUCHES);
    display.key(key);
    let (was, is) = changed(endpoint, &before);
    is["done"].as_i64().unwrap() - was["done"].as_i64().unwrap()
}

#[test]
fn the_demonstration_is_worked_in_a_real_window() {
    let display = Display::start(WIDTH, HEIGHT);
    let nothing = display.screenshot();
    assert_eq!(nothing.colours(), 1);
    let temporary = tempfile::tempdir().unwrap();
    let mut program = Program::start(demo(temporary.path()).env("DISPLAY", &display.name), "brakeside");
    let endpoint = endpoint(&mut program);

    let orders = next_picture(&display, &nothing);
    display.focus("brakeside");
    let before = rows(&endpoint);
    click(&display);
    let pieces = next_picture(&display, &orders);
    click(&display);
    let card = next_picture(&display, &pieces);
    assert_eq!(rows(&endpoint), before, "looking is not doing");

    // A click says that the card's step is done, so does the space bar, and Escape looks a card back.
    click(&display);
    let (was, is) = changed(&endpoint, &before);
    assert_eq!((&was["code"], is["state"].as_str()), (&is["code"], Some("started")));
    assert_eq!(is["done"].as_i64(), was["done"].as_i64().map(|done| done + 1));
    let second = next_picture(&display, &card);
    assert_eq!(press(&display, &endpoint, "space"), 1);
    let third = next_picture(&display, &second);
    let before = rows(&endpoint);
    thread::sleep(BETWEEN_TOUCHES);
    display.key("Escape");
    next_picture(&display, &third);
    assert_eq!(rows(&endpoint), before, "looking back is not taking back");

    assert_eq!(program.terminate().code(), Some(0), "{}", program.said());
    assert_left_clean(temporary.path());
}

/// On a touch screen the arrow would only stand in the way; a mouse that moves brings it back.
#[test]
fn full_screen_has_no_pointer_until_a_mouse_moves() {
    for (full_screen, seen) in [(false, true), (true, false)] {
        let display = Display::start(WIDTH, HEIGHT).with_arrow();
        let nothing = display.screenshot();
        let temporary = tempfile::tempdir().unwrap();
        let mut command = demo(temporary.path());
        let program = Program::start(
            command.args(full_screen.then_some("--full-screen")).env("DISPLAY", &display.name),
            "brakeside",
        );
        next_picture(&display, &nothing);
        let shows = |wanted: bool| wait_for("the pointer", || (display.shows_pointer() == wanted).then_some(()));
        shows(seen);
        display.point((WIDTH / 2, HEIGHT / 3));
        display.point((WIDTH / 2, HEIGHT / 2));
        shows(true);
        drop(program);
    }
}

#[test]
fn without_a_display_it_says_so_and_serves() {
    let temporary = tempfile::tempdir().unwrap();
    serves(Program::start(&mut demo(temporary.path()), "brakeside"), temporary.path());
}

/// No X server has this number.
#[test]
fn with_a_display_that_does_not_answer_it_says_so_and_serves() {
    let temporary = tempfile::tempdir().unwrap();
    let mut command = demo(temporary.path());
    serves(Program::start(command.env("DISPLAY", ":59999"), "brakeside"), temporary.path());
}

fn serves(mut program: Program, temporary: &Path) {
    let endpoint = endpoint(&mut program);
    program.hear("that there is no display", |line| line.contains("No display").then_some(()));
    assert_eq!(endpoint.get("/healthz").expect(200).json()["ok"], true);
    assert!(rows(&endpoint).len() > 20);
    assert!(temporary.read_dir().unwrap().next().is_some(), "the store is elsewhere");

    assert_eq!(program.terminate().code(), Some(0), "{}", program.said());
    assert_left_clean(temporary);
}

fn assert_left_clean(folder: &Path) {
    let left: Vec<_> = folder.read_dir().unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert!(left.is_empty(), "left behind: {left:?}");
}
