//! What the program says and how it ends when it is run from a shell: results on standard output, troubles on standard
//! error, exit code 0 for done, 1 for could not be done, 2 for asked wrongly.

mod support;

use std::fs;

use serde_json::{Value, json};
use support::kiosk::{Ended, Kiosk, brakeside, run};

const ORDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/src/commands/demo/order-2041.json");
const ORDER_TEXT: &str = include_str!("../src/commands/demo/order-2041.json");

/// A whole code that no store holds: J is the ISO 7064 MOD 37,36 check character of the rest.
const NOBODYS: &str = "0123456789ZJ";

fn said(arguments: &[&str]) -> Ended {
    run(brakeside().args(arguments), "")
}

/// What it printed; it must have done what it was asked, without a word of trouble.
fn done(ended: Ended) -> String {
    assert_eq!((ended.code, ended.err.as_str()), (Some(0), ""), "{}", ended.out);
    ended.out
}

/// What it complained of; it must have printed nothing else and ended with this code.
fn failed(code: i32, ended: Ended) -> String {
    assert_eq!((ended.code, ended.out.as_str()), (Some(code), ""), "{}", ended.err);
    ended.err
}

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

fn has(value: &Value, wanted: &[&str]) {
    let keys = keys(value);
    let missing: Vec<_> = wanted.iter().filter(|key| !keys.contains(key)).collect();
    assert!(missing.is_empty(), "without {missing:?}: {value}");
}

#[test]
fn a_cut_list_to_read() {
    let list = done(said(&["plan", ORDER]));
    // 42' 7-1/4" in pieces of at most 10' that lap 6": four reach 38' 6", so five; each lap is metal twice, so that they
    // are 44' 7-1/4" together, 8' 11.05" each, and on the bench's sixteenths the last makes up for the others.
    for row in [
        "ORDER 2041  Larch Lane workshop",
        "WALL A  end wall  run 42' 7-1/4\"",
        "A-EW-1  8' 11-1/16\"  8' 11-1/16\"  gable 4\"",
        "6\" under A-EW-2",
        "A-EW-5  8' 11\"",
        "Follow local codes and licensed practice.",
    ] {
        assert!(list.contains(row), "no ‘{row}’ in\n{list}");
    }
    let lines: Vec<&str> = list.lines().collect();
    assert!(lines.iter().all(|line| line.trim_end() == *line), "spaces at the end of a line");

    assert_eq!(done(run(brakeside().args(["plan", "-"]), ORDER_TEXT)), list, "standard input");
}

#[test]
fn a_plan_for_programs() {
    let plan: Value = serde_json::from_str(&done(said(&["plan", ORDER, "--json"]))).unwrap();
    assert_eq!((&plan["format"], &plan["order"]), (&json!("brakeside-plan/1"), &json!("2041")));
    has(&plan, &["format", "order", "pieces", "notices"]);
    let pieces = plan["pieces"].as_array().unwrap();
    assert_eq!(pieces.len(), 17);
    for piece in pieces {
        has(
            piece,
            &["mark", "wall", "trim", "place", "of", "length", "blank", "left", "right", "bends", "mass_kg", "steps"],
        );
        has(&piece["blank"], &["length", "girth", "area_mm2", "outline"]);
        for measure in [&piece["length"], &piece["blank"]["length"], &piece["blank"]["girth"]] {
            assert!(measure["mm"].as_f64().unwrap() > 0.0 && measure["text"].is_string(), "{measure}");
        }
        for end in [&piece["left"], &piece["right"]] {
            assert!(["square", "gable", "return", "lap"].contains(&end["end"].as_str().unwrap()), "{end}");
        }
        for bend in piece["bends"].as_array().unwrap() {
            has(bend, &["at", "angle_deg", "turn"]);
        }
        for step in piece["steps"].as_array().unwrap() {
            has(step, &["do", "text"]);
        }
        assert!(piece["mass_kg"].as_f64().unwrap() > 0.0);
        assert!(piece["blank"]["outline"].as_array().unwrap().len() >= 4);
    }
}

#[test]
fn a_bad_order_is_refused_with_every_fault() {
    let mut order: Value = serde_json::from_str(ORDER_TEXT).unwrap();
    order["job"]["name"] = json!("");
    order["metal"]["gauge"] = json!(3);
    order["runs"][0]["lap"] = json!(2);
    order["runs"][2]["pitch"] = json!("steep");
    order["runs"][4]["colour"] = json!("red");
    let trouble = failed(1, run(brakeside().args(["plan", "-"]), &order.to_string()));
    for pointer in ["/job/name", "/metal/gauge", "/runs/0/lap", "/runs/2/pitch", "/runs/4/colour"] {
        let told = trouble.lines().filter(|line| line.starts_with(&format!("{pointer}: "))).count();
        assert_eq!(told, 1, "{pointer}:\n{trouble}");
    }
    assert!(failed(1, run(brakeside().args(["plan", "-"]), "{ not json")).contains("JSON"));
    let trouble = failed(1, said(&["plan", "no-such-order.json"]));
    assert!(trouble.contains("cannot read no-such-order.json"), "{trouble}");
}

#[test]
fn help_and_what_is_asked_wrongly() {
    let help = done(said(&["--help"]));
    for word in
        ["demo", "serve", "bench", "plan", "label", "backup", "verify", "--data", "--listen", "--port", "--host"]
    {
        assert!(help.contains(word), "no {word} in\n{help}");
    }
    assert_eq!(done(said(&["--version"])), format!("brakeside {}\n", env!("CARGO_PKG_VERSION")));
    for wrong in [
        &["fold"][..],
        &["plan"],
        &["plan", ORDER, "--xml"],
        &["serve", "--port", "70000"],
        &["serve", "--listen", "everywhere"],
        &["label", NOBODYS],
        &["label", NOBODYS, "--to", "label.png", "--stock", "a4"],
        &["bench"],
    ] {
        let trouble = failed(2, said(wrong));
        assert!(trouble.starts_with("error: ") && trouble.contains("--help"), "{wrong:?}: {trouble}");
    }
}

#[test]
fn a_backup_beside_a_running_kiosk() {
    let kiosk = Kiosk::serve();
    kiosk.post_order(ORDER_TEXT);
    let code = kiosk.code("2041", "A-EW-1");
    kiosk.post_event(&code, json!({ "event": "bent" })).expect(200);
    let place = tempfile::tempdir().unwrap();
    let copy = place.path().join("backup.db");
    let backup = || kiosk.command(&["backup", copy.to_str().unwrap()]);
    assert_eq!(done(backup()), format!("Backed up to {}.\n", copy.display()));
    let bytes = fs::read(&copy).unwrap();

    kiosk.post_event(&code, json!({ "event": "loaded" })).expect(200);
    assert!(failed(1, backup()).contains("is there already: choose a new name"));
    assert_eq!(fs::read(&copy).unwrap(), bytes, "overwritten");
    assert_eq!(done(kiosk.command(&["verify"])), "The store is whole: 1 orders, 17 pieces, 2 events.\n");

    // Put in an empty folder, the copy is a store as it was then.
    let folder = place.path().join("restored");
    fs::create_dir(&folder).unwrap();
    fs::rename(&copy, folder.join("brakeside.db")).unwrap();
    let restored = said(&["verify", "--data", folder.to_str().unwrap()]);
    assert_eq!(done(restored), "The store is whole: 1 orders, 17 pieces, 1 events.\n");
}

#[test]
fn a_store_that_is_not_there_or_not_whole() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().to_str().unwrap();
    for command in [&["verify"][..], &["backup", "never-written.db"], &["label", NOBODYS, "--to", "never.png"]] {
        let trouble = failed(1, said(&[&["--data", folder], command].concat()));
        assert!(trouble.contains("there is no store in"), "{command:?}: {trouble}");
    }
    fs::write(place.path().join("brakeside.db"), "Dear diary, today it rained. ".repeat(100)).unwrap();
    let trouble = failed(1, said(&["verify", "--data", folder]));
    assert!(trouble.contains("was not made by brakeside and is left alone"), "{trouble}");
}

#[test]
fn a_label_that_cannot_be_drawn() {
    let kiosk = Kiosk::serve();
    kiosk.post_order(ORDER_TEXT);
    let code = kiosk.code("2041", "A-EW-1");
    let place = tempfile::tempdir().unwrap();
    let label = |code: &str, name: &str| {
        let to = place.path().join(name);
        kiosk.command(&["label", code, "--to", to.to_str().unwrap()])
    };
    for name in ["label.gif", "label"] {
        assert!(failed(1, label(&code, name)).contains(".svg, .png or .pdf"));
    }
    let last = code.chars().last().unwrap();
    let mistyped = format!("{}{}", &code[..code.len() - 1], if last == '0' { '1' } else { '0' });
    assert!(failed(1, label(&mistyped, "label.png")).contains("mistyped"));
    assert!(failed(1, label(&code, "no-such-folder/label.png")).contains("cannot write"));
    let trouble = failed(1, label(NOBODYS, "label.png"));
    assert!(trouble.contains(&format!("holds no piece with the code {NOBODYS}")), "{trouble}");
    assert!(place.path().read_dir().unwrap().next().is_none(), "something was written all the same");

    // The whole address does as well as the code in it.
    let address = format!("http://elsewhere/p/{}", code.to_lowercase());
    assert!(done(label(&address, "label.svg")).starts_with("A-EW-1 of order 2041: "));
}

#[test]
fn a_folder_or_a_port_that_another_kiosk_uses() {
    let kiosk = Kiosk::serve();
    let folder = kiosk.folder();
    let folder = folder.to_str().unwrap();
    let second = |folder: &str, port: &str| said(&["serve", "--data", folder, "--listen", "127.0.0.1", "--port", port]);
    let trouble = failed(1, second(folder, "0"));
    assert!(trouble.contains(&format!("another kiosk is using {folder}")), "{trouble}");
    let other = tempfile::tempdir().unwrap();
    let trouble = failed(1, second(other.path().to_str().unwrap(), &kiosk.port.to_string()));
    assert!(trouble.contains(&format!("cannot listen on 127.0.0.1:{}", kiosk.port)), "{trouble}");
}

#[test]
fn a_bench_without_a_display() {
    let folder = tempfile::tempdir().unwrap();
    let mut command = brakeside();
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        command.env_remove(name);
    }
    command.args(["bench", "--at", "http://127.0.0.1:1", "--key", NOBODYS, "--data"]).arg(folder.path());
    let trouble = failed(1, run(&mut command, ""));
    assert!(trouble.contains("no display here"), "{trouble}");
}
