//! What the README promises is there: its commands, its options, its order.

mod support;

use std::collections::BTreeMap;
use std::sync::Arc;

use brakeside::order::shop::Shop;
use brakeside::order::{parse, planner};
use support::kiosk::{brakeside, run};

const README: &str = include_str!("../README.md");

/// The fenced blocks of this language.
fn blocks(language: &str) -> Vec<&'static str> {
    let fence = format!("```{language}\n");
    README.split(&fence).skip(1).map(|rest| rest.split("```").next().unwrap()).collect()
}

#[test]
fn its_order_can_be_made() {
    let orders = blocks("json");
    assert_eq!(orders.len(), 1);
    let (order, _) = parse::parse(orders[0].as_bytes(), &Arc::new(Shop::default())).unwrap();
    assert!(!planner::plan(&order).unwrap().pieces.is_empty());
}

#[test]
fn its_commands_and_options_are_the_programs() {
    let commands: Vec<&str> = README
        .split("`brakeside ")
        .skip(1)
        .filter_map(|rest| rest.split([' ', '`']).next())
        .filter(|word| word.chars().all(|c| c.is_ascii_lowercase()))
        .collect();
    assert!(commands.len() > 6, "{commands:?}");
    for command in commands {
        assert_eq!(run(brakeside().args([command, "--help"]), "").code, Some(0), "brakeside {command}");
    }
    let help = run(brakeside().arg("--help"), "").out;
    for option in
        ["--data", "--settings", "--listen", "--port", "--host", "--size", "--diagonal", "--full-screen", "--dark"]
    {
        assert!(README.contains(option) && help.contains(option), "{option}");
    }
}

#[test]
fn its_pictures_are_there() {
    let pictures: Vec<&str> =
        README.split("](ui/pictures/").skip(1).filter_map(|rest| rest.split(')').next()).collect();
    assert!(pictures.len() >= 7, "{pictures:?}");
    for name in pictures {
        let path = format!("{}/ui/pictures/{name}", env!("CARGO_MANIFEST_DIR"));
        let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(bytes.starts_with(b"\x89PNG"), "{name} is no PNG");
    }
}

/// The page of every kind of piece is the one the program makes today.
#[test]
fn the_page_of_every_kind_is_current() {
    let folder = tempfile::tempdir().unwrap();
    let (to, nowhere) = (folder.path().join("docs"), folder.path().join("none"));
    let made = run(
        brakeside().args(["plan", "tests/orders/every-kind.json", "--svg"]).arg(&to).arg("--data").arg(nowhere),
        "",
    );
    assert_eq!(made.code, Some(0), "{made:?}");
    let files = |folder: &std::path::Path| -> BTreeMap<String, String> {
        // Other pages stand beside it.
        let is_its_own = |name: &str| name == "README.md" || name.ends_with(".svg");
        let entries = std::fs::read_dir(folder).unwrap().map(Result::unwrap);
        entries
            .filter(|entry| entry.file_name().to_str().is_some_and(is_its_own))
            .map(|entry| (entry.file_name().into_string().unwrap(), std::fs::read_to_string(entry.path()).unwrap()))
            .collect()
    };
    let (made, kept) = (files(&to), files("docs".as_ref()));
    assert_eq!(made.keys().collect::<Vec<_>>(), kept.keys().collect::<Vec<_>>());
    let stale: Vec<&String> = made.keys().filter(|name| made[*name] != kept[*name]).collect();
    assert!(stale.is_empty(), "make docs anew, as DEVELOPERS.md says: {stale:?}");
}
