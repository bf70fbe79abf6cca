//! The trade's computation against values published elsewhere: standards, handbooks, statutes, codes.
//!
//! All of it is one table: what is published, how far the program may be off and why, the source, and whether that was
//! read, recalled or worked out. The values stand as they are published; the program is asked for the same. The reference
//! they come from has eleven sections, and every one has its place here, or the reason why it has none.

#[path = "published_values/bending.rs"]
mod bending;
#[path = "published_values/fastening.rs"]
mod fastening;
#[path = "published_values/metal.rs"]
mod metal;
#[path = "published_values/movement.rs"]
mod movement;
#[path = "published_values/orders.rs"]
mod orders;
#[path = "published_values/practice.rs"]
mod practice;
#[path = "published_values/safety.rs"]
mod safety;
#[path = "published_values/sealant.rs"]
mod sealant;
#[path = "published_values/table.rs"]
mod table;
#[path = "published_values/tolerances.rs"]
mod tolerances;
#[path = "published_values/units.rs"]
mod units;
#[path = "published_values/words.rs"]
mod words;

use table::Value;

/// One section of the reference.
struct Section {
    title: &'static str,
    checked: Checked,
    /// What it publishes and the program does not claim to meet, and why.
    not_claimed: &'static [(&'static str, &'static str)],
}

/// Where a section is checked.
enum Checked {
    /// Here, by so many values: a row that is lost is missed.
    Here(usize, fn() -> Vec<Value>),
    /// Elsewhere, or not at all, and why.
    NotHere(&'static str),
}

use Checked::{Here, NotHere};

const SECTIONS: [Section; 11] = [
    Section {
        title: "1 bending",
        checked: Here(77, bending::values),
        not_claimed: &[("setback K = tan(N/2) past 90°", "widths run to the tangent line there, as in DIN 6935")],
    },
    Section {
        title: "2 gauge, mass",
        checked: Here(68, metal::values),
        not_claimed: &[
            ("copper's least thicknesses", "sheets go by their nominal thickness"),
            ("aluminium by gauge", "aluminium goes by its thickness"),
            ("the statute's thicknesses", "they are bare iron's; galvanized sheet goes by its own table"),
        ],
    },
    Section {
        title: "3 thermal movement",
        checked: Here(64, movement::values),
        not_claimed: &[(
            "joints every 12 ft in an aluminium gravel stop",
            "no trim here is one; eaves and gables are fascia",
        )],
    },
    Section {
        title: "4 flashing practice",
        checked: Here(57, flashing),
        not_claimed: &[
            ("soldered laps of 1 in", "laps are sealed, and longer"),
            ("joints wider than 8 in want support", "what lies beneath is not known"),
            ("base flashing 8 or 10 in up the wall", "the leg is the shop's to set, and 4 in where it does not"),
            ("counterflashing 4 in over the base", "the face is the shop's to set, and 3 in where it does not"),
            ("counterflashing 2 in into masonry, turned up ¼ in", "the reglet here stands on the wall"),
            ("reglet opening, wedges, slots, tongues, anchors", "the reglet here stands on the wall"),
            ("upper edge fastened 6 in o.c.", "quoted beside our 12 in, which are common practice"),
            ("lowest slopes of 3:12 and ¼:12", "how the panels are seamed is not known: ½:12 stands for all"),
        ],
    },
    Section { title: "5 pitch", checked: Here(18, units::pitches), not_claimed: &[] },
    Section { title: "6 units", checked: Here(9, units::units), not_claimed: &[] },
    Section {
        title: "7 ISO 7064",
        checked: NotHere("beside the code's check character, in src/label/code.rs"),
        not_claimed: &[],
    },
    Section {
        title: "8 QR",
        checked: NotHere("beside the symbol, in src/label/qr.rs; whole labels by outside decoders, in tests/label.rs"),
        not_claimed: &[],
    },
    Section {
        title: "9 safety and transport",
        checked: Here(49, safety::values),
        not_claimed: &[("DANGER and NOTICE", "nothing told here is certain death, nor without injury")],
    },
    Section { title: "10 sealant", checked: Here(15, sealant::values), not_claimed: &[] },
    Section {
        title: "11 tolerances",
        checked: Here(34, tolerances::values),
        not_claimed: &[("tapes of class I and III", "a tape's own error is told, of class II, and added to nothing")],
    },
];

fn flashing() -> Vec<Value> {
    practice::values().into_iter().chain(fastening::values()).collect()
}

#[test]
fn the_program_agrees_with_what_is_published() {
    let mut wrong = Vec::new();
    for Section { title, checked, not_claimed } in SECTIONS {
        match checked {
            Here(count, values) => {
                let values = values();
                println!("{title}: {} values", values.len());
                if values.len() != count {
                    wrong.push(format!("{title}: {} values, where {count} are counted on", values.len()));
                }
                wrong.extend(values.iter().filter_map(Value::disagreement));
            }
            NotHere(why) => println!("{title}: {why}"),
        }
        for (what, why) in not_claimed {
            println!("  not claimed: {what}: {why}");
        }
    }
    assert!(wrong.is_empty(), "{} disagreements:\n{}", wrong.len(), wrong.join("\n"));
}
