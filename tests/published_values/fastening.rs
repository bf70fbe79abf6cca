//! 4. Flashing practice: what public texts ask of fasteners, and what crews do.

use brakeside::order::installing::sealing_and_fastening;
use brakeside::trade::bending::Rule;
use brakeside::trade::cut::{Cut, lap_notch_line};
use brakeside::trade::hardware::laid_run::{LaidEnd, LaidRun, Placed};
use brakeside::trade::hardware::practice::Fastener;
use brakeside::trade::hardware::spread::Lap;
use brakeside::trade::hardware::{Hardware, Spacings};
use brakeside::trade::length::Length;
use brakeside::trade::section::{Bend, Edge, Hem, Leg, LegName, Section, Turn};
use brakeside::trade::trim::Trim;
use serde_json::json;

use super::orders::{plan_of, steel};
use super::table::Agrees::{AtMost, Exactly};
use super::table::Basis::{CommonPractice, Read};
use super::table::{Column, Fact, Source, Table, Value, facts};
use super::words::{number_before, told};

const WIND: &str = "UFGS 07612N, high wind";
const FEMA: &str = "FEMA P-499, hip, ridge and rake in high wind";
const CREWS: Source = Source("common practice, no source", CommonPractice);

pub fn values() -> Vec<Value> {
    [HIGH_WIND.values(), RIDGE_AND_RAKE.values(), facts(&PAST_THE_FASTENER), facts(&TOLD), facts(&CREWS_DO)]
        .into_iter()
        .flatten()
        .collect()
}

const IN: fn(i64) -> Length = Length::inches;

/// Ten feet and two inches of `trim`, two legs of 5 in and one lap, with a gable of `gable` at its left end where asked.
fn laid(trim: Trim, gable: Option<Length>, spacings: &Spacings) -> Hardware {
    let names = match trim {
        Trim::Gable => [LegName::RoofLeg, LegName::Face],
        Trim::Ridge => [LegName::FarLeg, LegName::NearLeg],
        _ => [LegName::WallLeg, LegName::RoofLeg],
    };
    let section = Section {
        legs: names.map(|name| Leg { name, width: IN(5) }).to_vec(),
        bends: vec![Bend { through_deg: 80.0, turn: Turn::Up }],
        datum_hem: None,
        lower_hem: None,
        thickness: Length::from_mm(0.7),
        inside_radius: Length::from_mm(0.7),
    };
    let flat = section.unfold(Rule::Din6935);
    let cut = gable.map(|width| (width, Cut::gable(&flat, width)));
    let left = cut.as_ref().map_or(LaidEnd::Square, |(width, cut)| LaidEnd::Gable { width: *width, cut });
    let run = LaidRun {
        trim,
        length: IN(122),
        laps: vec![Lap { from: IN(58), to: IN(64), joint: false }],
        ends: [left, LaidEnd::Square],
        seams: None,
        section: &section,
        flat: &flat,
    };
    Hardware::of(&run, spacings)
}

fn as_set() -> Hardware {
    laid(Trim::EndWall, None, &Spacings::default())
}

/// In inches.
fn widest_gap(lines: &[Placed]) -> f64 {
    let gaps = lines.iter().flat_map(|line| line.positions.windows(2).map(|pair| pair[1] - pair[0]));
    gaps.max().map_or(f64::NAN, Length::in_inches)
}

fn in_high_wind((trim, most): (Trim, i64)) -> f64 {
    let spacings = Spacings { high_wind: Some(IN(most)), ..Spacings::default() };
    widest_gap(&laid(trim, None, &spacings).lines)
}

const HIGH_WIND: Table<(Trim, i64), 1> = Table {
    source: Source("UFGS 07612N: fasteners 4 to 6 in o.c. in high wind", Read),
    inputs: "trim, the shop's high-wind spacing in inches",
    columns: [Column { what: "widest gap in inches", agrees: AtMost, ask: in_high_wind }],
    rows: &[
        ((Trim::EndWall, 6), [6.0]),
        ((Trim::EndWall, 4), [4.0]),
        ((Trim::Reglet, 6), [6.0]),
        ((Trim::SideWall, 6), [6.0]),
    ],
};

const RIDGE_AND_RAKE: Table<(Trim, i64), 1> = Table {
    source: Source("FEMA P-499: exposed fasteners 3 to 6 in o.c. at ridge and rake in high wind", Read),
    inputs: "trim, the shop's high-wind spacing in inches",
    columns: [Column { what: "widest gap in inches", agrees: AtMost, ask: in_high_wind }],
    rows: &[((Trim::Ridge, 6), [6.0]), ((Trim::Ridge, 3), [3.0]), ((Trim::Gable, 6), [6.0]), ((Trim::Gable, 3), [3.0])],
};

/// The metal from the fasteners' line to the edge.
const PAST_THE_FASTENER: [Fact; 2] = [
    Fact {
        what: "wall fasteners from the leg's edge by default, in inches",
        published: 1.0,
        agrees: AtMost,
        source: Source("UFGS 07612N: flashing at most 1 in past the fastener", Read),
        ask: || Spacings::default().wall_line.in_inches(),
    },
    Fact {
        what: "lap screws from the trim's edge by default, in inches",
        published: 1.0,
        agrees: AtMost,
        source: Source("UFGS 07612N: flashing at most 1 in past the fastener", Read),
        ask: || Spacings::default().screw_line.in_inches(),
    },
];

/// The source of `trim`'s first line of fasteners.
fn line_source(trim: Trim) -> &'static str {
    trim.practice().lines.first().map_or("", |line| line.source)
}

/// What an installer reads of the first piece of an end wall with a lap; the note that has `word`.
fn note(word: &str) -> String {
    let run = json!({ "wall": "A", "trim": "end-wall", "length": 200, "pitch": "2:12" });
    let plan = plan_of(steel(), run);
    let notes = plan.iter().flat_map(|plan| &plan.pieces).take(1).flat_map(|piece| sealing_and_fastening(piece, None));
    notes.map(|note| format!("{} ({})", note.text, note.source)).find(|text| text.contains(word)).unwrap_or_default()
}

const TOLD: [Fact; 7] = [
    Fact {
        what: "upper edge of a base flashing, inches o.c., as the end wall's fasteners quote it",
        published: 6.0,
        agrees: Exactly,
        source: Source("UFGS 07600", Read),
        ask: || number_before(line_source(Trim::EndWall), " in o.c. of a base flashing"),
    },
    Fact {
        what: "least inches o.c. in high wind, as the end wall's fasteners quote it",
        published: 4.0,
        agrees: Exactly,
        source: Source(WIND, Read),
        ask: || number_before(line_source(Trim::EndWall), " to 6 in in high wind"),
    },
    Fact {
        what: "least inches o.c. in high wind, as the ridge's screws quote it",
        published: 3.0,
        agrees: Exactly,
        source: Source(FEMA, Read),
        ask: || number_before(line_source(Trim::Ridge), " to 6 in o.c. at ridge and rake"),
    },
    Fact {
        what: "most inches o.c. in high wind, as the gable's screws quote it",
        published: 6.0,
        agrees: Exactly,
        source: Source(FEMA, Read),
        ask: || number_before(line_source(Trim::Gable), " in o.c. at ridge and rake"),
    },
    Fact {
        what: "least inches apart in high wind, as an installer reads it",
        published: 4.0,
        agrees: Exactly,
        source: Source(WIND, Read),
        ask: || number_before(&note("In high wind"), " to "),
    },
    Fact {
        what: "most inches apart in high wind, as an installer reads it",
        published: 6.0,
        agrees: Exactly,
        source: Source(WIND, Read),
        ask: || number_before(&note("In high wind"), " in ("),
    },
    Fact {
        what: "swarf is cleaned off, since it can rust overnight: an installer reads it",
        published: 1.0,
        agrees: Exactly,
        source: CREWS,
        ask: || told(note("swarf").contains("overnight")),
    },
];

/// What is cut off the lower edge over a lap beyond the hem itself: depth and length, in inches.
fn hem_relief() -> [f64; 2] {
    let (hem, lap) = (Hem::closed(Length::from_inches(0.5)), IN(6));
    let section = Section {
        legs: vec![Leg { name: LegName::RoofLeg, width: IN(5) }],
        bends: vec![],
        datum_hem: None,
        lower_hem: Some(hem),
        thickness: Length::from_mm(0.7),
        inside_radius: Length::from_mm(0.7),
    };
    let flat = section.unfold(Rule::Din6935);
    let cut = flat.girth - lap_notch_line(&flat, Edge::Lower, hem);
    [cut - hem.width, Cut::lap_notch(&section, &flat, lap).reach()].map(Length::in_inches)
}

/// How many of `fastener` stand within 2 in of the lap, on either side and in it.
fn about_the_lap(fastener: Fastener) -> [usize; 3] {
    let hardware = as_set();
    let positions =
        hardware.lines.iter().filter(|line| line.line.fastener == fastener).flat_map(|line| &line.positions);
    let mut found = [0; 3];
    for &at in positions {
        match at {
            at if at < IN(56) || at > IN(66) => {}
            at if at < IN(58) => found[0] += 1,
            at if at <= IN(64) => found[1] += 1,
            _ => found[2] += 1,
        }
    }
    found
}

const CREWS_DO: [Fact; 10] = [
    Fact {
        what: "hem relief over a lap in inches",
        published: 0.125,
        agrees: Exactly,
        source: CREWS,
        ask: || hem_relief()[0],
    },
    Fact {
        what: "length of the hem relief of a 6 in lap in inches",
        published: 6.0,
        agrees: Exactly,
        source: CREWS,
        ask: || hem_relief()[1],
    },
    Fact {
        what: "wall fasteners, most inches apart",
        published: 12.0,
        agrees: AtMost,
        source: CREWS,
        ask: || widest_gap(&as_set().lines[..1]),
    },
    Fact {
        what: "wall fasteners' spacing in a shop that sets none, in inches",
        published: 12.0,
        agrees: Exactly,
        source: CREWS,
        ask: || Spacings::default().wall.in_inches(),
    },
    Fact {
        what: "wall fasteners' line from the edge in inches",
        published: 1.0,
        agrees: Exactly,
        source: CREWS,
        ask: || as_set().lines[0].track.off_edge.in_inches(),
    },
    Fact {
        what: "closures and tape from the trim's edge in inches, as an installer reads it",
        published: 1.0,
        agrees: Exactly,
        source: CREWS,
        ask: || number_before(&note("Closures and butyl tape"), " in (25 mm) from the trim's edge"),
    },
    Fact {
        what: "lap screws, most inches apart where no seams are known",
        published: 12.0,
        agrees: AtMost,
        source: CREWS,
        ask: || widest_gap(&as_set().lines[1..]),
    },
    Fact {
        what: "lap screws on each side of a lap, the fewer",
        published: 1.0,
        agrees: Exactly,
        source: CREWS,
        ask: || {
            let [left, _, right] = about_the_lap(Fastener::LapScrew);
            left.min(right) as f64
        },
    },
    Fact {
        what: "lap screws through a lap",
        published: 0.0,
        agrees: Exactly,
        source: CREWS,
        ask: || about_the_lap(Fastener::LapScrew)[1] as f64,
    },
    Fact {
        what: "screws on an angled gable cut",
        published: 2.0,
        agrees: Exactly,
        source: CREWS,
        ask: || laid(Trim::EndWall, Some(IN(4)), &Spacings::default()).cut_screws.len() as f64,
    },
];
