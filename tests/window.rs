//! The demonstration in a real window, worked by a real mouse and keyboard; and where there is no window to be had.

mod support;

use std::path::Path;
use std::process::Command;

use serde_json::Value;
use support::display::{Display, Screenshot};
use support::http::Http;
use support::kiosk::{brakeside, greeting};
use support::program::Program;
use support::wait_for;

const WIDTH: u32 = 1280;
const HEIGHT: u32 = 800;

/// In the middle of the large way on, which lies along the lower edge.
const ON: (u32, u32) = (WIDTH * 2 / 3, HEIGHT - 60);

/// A window that stands has ink, paper and what lies between them where type is smoothed.
const COLOURS: usize = 16;

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
    pieces.flat_map(|page| page["pieces"].as_array().unwrap().clone()).collect()
}

/// The one row that is no longer as it was, as soon as there is one: before and after.
fn changed(endpoint: &Http, before: &[Value]) -> (Value, Value) {
    wait_for("a step in the store", || {
        let after = rows(endpoint);
        let mut pairs = before.iter().zip(&after).filter(|(before, after)| before != after);
        let first = pairs.next();
        assert!(pairs.next().is_none(), "one touch changed two pieces");
        first.map(|(before, after)| (before.clone(), after.clone()))
    })
}

/// Waits for a picture that differs from the last, and stands still: the next one is the same.
fn next_picture(display: &Display, last: &Screenshot) -> Screenshot {
    wait_for("the screen to change", || {
        let picture = display.screenshot();
        (picture.difference(last) > 0.02 && display.screenshot() == picture).then_some(picture)
    })
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
    assert!(orders.colours() > COLOURS, "{} colours", orders.colours());
    let before = rows(&endpoint);
    display.click(ON.0, ON.1);
    let pieces = next_picture(&display, &orders);
    display.click(ON.0, ON.1);
    let card = next_picture(&display, &pieces);
    assert_eq!(rows(&endpoint), before, "looking is not doing");

    // A click says that the card's step is done, so does the space bar, and Escape goes a card back.
    display.click(ON.0, ON.1);
    let (was, is) = changed(&endpoint, &before);
    assert_eq!(is["done"].as_u64(), was["done"].as_u64().map(|done| done + 1));
    assert_eq!((&was["code"], is["state"].as_str()), (&is["code"], Some("started")));
    let next_card = next_picture(&display, &card);
    let done = |key: &str| {
        let before = rows(&endpoint);
        display.key(key);
        let (was, is) = changed(&endpoint, &before);
        is["done"].as_i64().unwrap() - was["done"].as_i64().unwrap()
    };
    assert_eq!(done("space"), 1);
    next_picture(&display, &next_card);
    assert_eq!(done("Escape"), -1);

    assert_eq!(program.terminate().code(), Some(0), "{}", program.said());
    assert_left_clean(temporary.path());
}

#[test]
fn without_a_display_it_says_so_and_serves() {
    let temporary = tempfile::tempdir().unwrap();
    let mut program = Program::start(&mut demo(temporary.path()), "brakeside");
    let endpoint = endpoint(&mut program);
    program.hear("that there is no display", |line| line.contains("No display").then_some(()));
    assert_eq!(endpoint.get("/healthz").expect(200).json()["ok"], true);
    assert!(rows(&endpoint).len() > 20);
    assert!(temporary.path().read_dir().unwrap().next().is_some(), "the store is elsewhere");

    assert_eq!(program.terminate().code(), Some(0), "{}", program.said());
    assert_left_clean(temporary.path());
}

fn assert_left_clean(folder: &Path) {
    let left: Vec<_> = folder.read_dir().unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert!(left.is_empty(), "left behind: {left:?}");
}
