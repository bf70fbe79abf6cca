//! Makes the README's pictures from the real program: its window, its pages in a phone-sized browser, a label.
//!
//! Not a test of anything, so it is left out unless asked for: `cargo test --release --test pictures -- --ignored`.

mod support;

use std::fs;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use support::browser::Browser;
use support::display::{Display, Screenshot};
use support::http::Http;
use support::kiosk::{HOST, brakeside, greeting};
use support::program::Program;
use support::wait_for;

const WIDTH: u32 = 1280;
const HEIGHT: u32 = 800;

fn picture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("ui/pictures").join(name)
}

/// The screen once it has changed from `last` and stands still.
fn settled(display: &Display, last: &Screenshot) -> Screenshot {
    wait_for("the screen to change", || {
        let now = display.screenshot();
        thread::sleep(Duration::from_millis(400));
        (now.difference(last) > 0.01 && display.screenshot() == now).then_some(now)
    })
}

#[test]
#[ignore = "makes pictures"]
fn pictures() {
    fs::create_dir_all(picture("")).unwrap();
    let display = Display::start(WIDTH, HEIGHT);
    let blank = display.screenshot();
    let mut program = Program::start(
        brakeside()
            .args(["demo", "--listen", "127.0.0.1", "--port", "0", "--host", HOST, "--full-screen"])
            .env("DISPLAY", &display.name)
            .env_remove("WAYLAND_DISPLAY"),
        "brakeside",
    );
    let (port, key) = greeting(&mut program);
    let endpoint = Http::new(format!("http://127.0.0.1:{port}"), Some(key.clone()));
    let code = |order: &str, mark: &str| {
        let rows = endpoint.get(&format!("/api/orders/{order}/pieces")).expect(200).json();
        let rows = rows["pieces"].as_array().unwrap().clone();
        let row = rows.into_iter().find(|row| row["mark"] == mark).unwrap();
        row["code"].as_str().unwrap().to_owned()
    };

    let queue = settled(&display, &blank);
    queue.save(&picture("bench-queue.png"));
    display.key("space");
    let order = settled(&display, &queue);
    order.save(&picture("bench-order.png"));
    // The piece that the demo left at its fourth card: the notch.
    display.key("space");
    let card = settled(&display, &order);
    card.save(&picture("bench-card-cut.png"));
    let mut last = card;
    for _ in 0..2 {
        display.key("space");
        last = settled(&display, &last);
    }
    last.save(&picture("bench-card-bend.png"));

    let browser = Browser::start();
    let open = |path: &str| browser.open(&format!("http://{HOST}:{port}{path}"));
    open(&format!("/join?key={key}"));
    open("/load/2041");
    fs::write(picture("phone-load.png"), browser.screenshot()).unwrap();
    // The installer's phone knows nothing but what the label says.
    let browser = Browser::start();
    browser.open(&format!("http://{HOST}:{port}/P/{}", code("2041", "A-EW-2")));
    fs::write(picture("phone-roof.png"), browser.screenshot()).unwrap();

    let label = endpoint.get(&format!("/api/pieces/{}/label.png", code("2041", "A-EW-3"))).expect(200);
    fs::write(picture("label.png"), label.body).unwrap();

    // Told to stop, not killed: it puts its throw-away folders away.
    program.terminate();
}
