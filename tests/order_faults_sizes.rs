//! Sizes that cannot be made: pieces too short for their ends, sections the sheet cannot be bent to, lengths no hand can set.
//! Each is told where it stands with what would mend it.

#[path = "support/example.rs"]
mod example;

use example::{accepted, refused};
use serde_json::{Value, json};

#[test]
fn what_cannot_be_made_is_refused() {
    // A lap as long as the longest piece gains nothing.
    refused(&[("/runs/0/lap", Some(json!(120)))], &["/runs/0/lap"]);
    // One piece, gable cuts wider than it is long.
    refused(&[("/runs/0/length", Some(json!(30))), ("/runs/0/left/width", Some(json!(40)))], &["/runs/0/left/width"]);
    // A return deeper than the longest blank.
    refused(&[("/runs/1/left/depth", Some(json!("10 ft")))], &["/runs/1/left/depth"]);
    // No flat is left between a reglet's two bends.
    let faults = refused(&[("/runs/1/profile", Some(json!({ "depth": "1/16" })))], &["/runs/1/profile/depth"]);
    assert!(faults.to_string().contains("make it more than"), "{faults}");
    // A hem under 4 thicknesses (from memory): 4 × 0.0276 in is just over 7/64.
    refused(&[("/runs/0/profile", Some(json!({ "hem": "7/64" })))], &["/runs/0/profile/hem"]);
    // Wide enough to fold, and too narrow for the leaf of this brake.
    let faults = refused(&[("/runs/0/profile", Some(json!({ "hem": "1/8" })))], &["/runs/0/profile/hem"]);
    assert!(faults.to_string().contains("make it 3/8\" or more"), "{faults}");
    accepted(&[("/runs/0/profile", Some(json!({ "hem": "3/8" })))]);
    refused(&[("/runs/0/profile", Some(json!({ "inside_radius": "1-1/8" })))], &["/runs/0/profile/inside_radius"]);
    refused(&[("/runs/0/profile", Some(json!({ "roof_leg": 49 })))], &["/runs/0/profile/roof_leg"]);
}

/// A piece too short for its ends points at what made it so, and its remedy works.
#[test]
fn a_short_piece_says_what_would_mend_it() {
    let short = |changes: &[(&str, Value)], at: &[&str], remedies: &[&str]| {
        let changes: Vec<_> = changes.iter().map(|(at, value)| (*at, Some(value.clone()))).collect();
        let said = refused(&changes, at).to_string();
        for remedy in remedies {
            assert!(said.contains(remedy), "{remedy}\n{said}");
        }
        assert_eq!(said.lines().count(), remedies.len(), "{said}");
    };
    let (depth, deep) = ("/runs/1/left/depth", "make it shallower");
    // A return leaves its piece an inch of the longest blank; the shop makes none under a foot.
    short(&[(depth, json!(119))], &[depth], &[deep]);
    accepted(&[(depth, Some(json!(108)))]);
    short(&[("/runs/1/right/depth", json!(114))], &["/runs/1/right/depth"], &[deep]);
    // The deeper first.
    short(&[(depth, json!(114)), ("/runs/1/right/depth", json!(119))], &["/runs/1/right/depth"], &[deep]);
    short(&[(depth, json!(114)), ("/runs/1/right/depth", json!(100))], &[depth], &[deep]);
    accepted(&[(depth, Some(json!(100))), ("/runs/1/right/depth", Some(json!(100)))]);

    // Two returns that make two pieces of a run shorter than a lap.
    let both = [("/runs/1/length", json!(5)), (depth, json!(100)), ("/runs/1/right/depth", json!(100))];
    short(&both, &[depth, "/runs/1/right/depth"], &["make the return shallower"; 2]);

    // Two pieces of 63-1/2 in: no longer run is a remedy that anybody has, a longer piece is.
    let two = [("/runs/0/length", json!(121)), ("/runs/0/left/width", json!(60))];
    short(&two, &["/runs/0/left/width"], &["make the gable narrower or the longest piece longer"]);
    accepted(&[(two[0].0, Some(two[0].1.clone())), (two[1].0, Some(two[1].1.clone())), ("/longest", Some(json!(121)))]);
    let lap = [("/runs/0/length", json!(132)), ("/runs/0/left/width", json!(60)), ("/runs/0/lap", json!(12))];
    short(&lap, &["/runs/0/left/width"], &["narrower, the lap shorter or the longest piece longer"]);
    accepted(&[lap[0].clone(), lap[1].clone(), ("/runs/0/lap", json!(6))].map(|(at, value)| (at, Some(value))));

    // Pieces of a foot with a lap at both ends.
    let run = |wall: &str, lap: f64| json!({ "wall": wall, "trim": "reglet", "length": 100, "lap": lap });
    short(
        &[("/longest", json!(12)), ("/runs/0", run("A", 6.0)), ("/runs/1", run("B", 6.5))],
        &["/runs/0/length", "/runs/1/lap"],
        &[
            "make the longest piece longer, or the run's lap another",
            "make the lap shorter or the longest piece longer",
        ],
    );
}

/// What no hand can set is not called a length.
#[test]
fn lengths_below_the_benchs_reading_are_refused() {
    for at in ["/runs/0/length", "/runs/0/left/width", "/runs/1/left/depth"] {
        for value in [json!(0.0001), json!("3/64"), json!(0)] {
            let faults = refused(&[(at, Some(value))], &[at]);
            assert!(faults.to_string().contains("too small for the bench; give 1/16\" or more"), "{faults}");
        }
        let returns = ["/runs/1/left/depth", "/runs/1/right/depth"].map(|depth| (depth, Some(json!("1-1/2 in"))));
        let metric = [("/units", Some(json!("mm"))), ("/runs/0/lap", None)];
        let metric: Vec<_> = metric.into_iter().chain(returns).chain([(at, Some(json!(0.999)))]).collect();
        let faults = refused(&metric, &[at]);
        assert!(faults.to_string().contains("0.999 is too small for the bench; give 1 mm or more"), "{faults}");
    }
    // A millimetre is less than 1/16 in: without units, neither is at fault.
    refused(&[("/units", None), ("/runs/0/left/width", Some(json!("1 mm")))], &["/units"]);
    accepted(&[("/runs/0/left/width", Some(json!("1/16"))), ("/runs/1/left/depth", Some(json!("3/8")))]);
}

/// Each part of a section is held against the sheet as soon as both are known, whatever else cannot be read.
#[test]
fn a_section_is_checked_as_far_as_it_was_read() {
    let profile = |run: usize, profile: Value| (["/runs/0/profile", "/runs/1/profile"][run], Some(profile));
    refused(
        &[profile(0, json!({ "roof_leg": 100, "hem": "1/16" }))],
        &["/runs/0/profile/roof_leg", "/runs/0/profile/hem"],
    );
    refused(
        &[profile(1, json!({ "wall_leg": "1/32", "depth": -1, "face": "1/32", "hem": "1/16" }))],
        &["wall_leg", "depth", "face", "hem"]
            .map(|key| format!("/runs/1/profile/{key}"))
            .each_ref()
            .map(String::as_str),
    );
    // Whatever else is wrong with the run or the order.
    refused(
        &[
            ("/units", None),
            ("/longest", Some(json!("x"))),
            ("/metal/finish", Some(json!(7))),
            ("/runs/0/lap", Some(json!("1 in"))),
            ("/runs/0/pitch", Some(json!("steep"))),
            profile(0, json!({ "hem": "1/16 in" })),
            profile(1, json!({ "depth": "1/16 in" })),
        ],
        &[
            "/units",
            "/longest",
            "/metal/finish",
            "/runs/0/lap",
            "/runs/0/pitch",
            "/runs/0/profile/hem",
            "/runs/1/profile/depth",
        ],
    );
    // Nothing is said of what rests on the unread: whether a leg is wide enough, without the pitch or the radius.
    refused(&[("/runs/0/pitch", Some(json!("steep"))), profile(0, json!({ "wall_leg": "1/32" }))], &["/runs/0/pitch"]);
    refused(&[profile(0, json!({ "wall_leg": "1/32", "inside_radius": 2 }))], &["/runs/0/profile/inside_radius"]);
    // Section and division of one run, each told once.
    refused(
        &[profile(1, json!({ "depth": "1/16" })), ("/runs/1/left/depth", Some(json!(119)))],
        &["/runs/1/profile/depth", "/runs/1/left/depth"],
    );
}
