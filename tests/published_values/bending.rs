//! 1. Bending: allowances, setbacks, DIN 6935, two worked examples, hems.

use brakeside::order::Trim;
use brakeside::order::shop::{BendingSettings, Profiles};
use brakeside::trade::bending::{Rule, fold_length, k, setback, shortening};
use brakeside::trade::length::{Length, Units};
use brakeside::trade::metal::{Kind, Metal};
use brakeside::trade::section::{Bend, Hem, Leg, LegName, Section, Turn};
use brakeside::trade::shape::{Made, Part, Sheet};
use brakeside::trade::test_bend::{TestBend, measure};

use super::table::Agrees::{Exactly, Within};
use super::table::Basis::{Computed, Memory, Read, ReadSecondary};
use super::table::{Column, Fact, Source, Table, Value, facts};

const FAA: &str = "FAA-H-8083-31, ch. 4";
const HANDBOOK: &str = "Machinery's Handbook, 31st ed., p. 1421, eqs 32-34";
const DIN: &str = "DIN 6935, as printed in a German table book";

const FOUR_PLACES: &str = "printed to four places";
const FIVE_PLACES: &str = "printed to five places";

pub fn values() -> Vec<Value> {
    let of_bends = [
        SETBACK.values(),
        FAA_ALLOWANCE.values(),
        HANDBOOK_ALLOWANCE.values(),
        IMPLIED_K.values(),
        facts(&[DEFAULT_K]),
        DIN_K.values(),
        facts(&[K_CAP]),
        DIN_FIRST_TERM.values(),
        DIN_SHORTENING.values(),
        facts(&U_CHANNEL),
        facts(&TABLE_BOOK),
    ];
    let of_hems = [HEM.values(), HEM_FOLD.values(), HEM_WIDTH.values(), facts(&[LEAST_HEM])];
    of_bends.into_iter().chain(of_hems).flatten().collect()
}

/// The metal in the bend itself: what the shortening leaves of the two setbacks.
fn allowance(k: f64, bent_through: f64, radius: f64, thickness: f64) -> f64 {
    2.0 * setback(bent_through, radius, thickness) - shortening(Rule::KFactor(k), bent_through, radius, thickness)
}

/// Past 90° the program's widths run to the tangent line, as DIN 6935 has them, so K stops at 1 there.
const SETBACK: Table<[f64; 3], 1> = Table {
    source: Source("FAA-H-8083-31, ch. 4: SB = K (R + T), K = tan(N/2), 1 at 90°", Computed),
    inputs: "N in degrees, R, T in inches",
    columns: [Column { what: "setback", agrees: Within(0.000_005, FIVE_PLACES), ask: |[n, r, t]| setback(n, r, t) }],
    rows: &[
        ([90.0, 0.16, 0.04], [0.2]),
        ([90.0, 0.125, 0.063], [0.188]),
        ([60.0, 0.6, 0.4], [0.57735]),
        ([45.0, 0.6, 0.4], [0.41421]),
        ([15.0, 0.6, 0.4], [0.13165]),
    ],
};

const FAA_ALLOWANCE: Table<[f64; 3], 1> = Table {
    source: Source("FAA-H-8083-31, ch. 4: BA = (0.01743 R + 0.0078 T) N", Computed),
    inputs: "N in degrees, R, T in inches",
    columns: [Column {
        what: "bend allowance at the K of 0.447 it implies",
        agrees: Within(0.0008, "0.01743 stands for π/180, 0.13 % less"),
        ask: |[n, r, t]| allowance(0.447, n, r, t),
    }],
    rows: &[([90.0, 0.125, 0.063], [0.24031]), ([45.0, 0.125, 0.04], [0.11208]), ([135.0, 0.1875, 0.05], [0.49385])],
};

/// The three tempers, by the K-factors that their allowances imply.
const HANDBOOK_ALLOWANCE: Table<[f64; 4], 1> = Table {
    source: Source(HANDBOOK, Read),
    inputs: "K, N in degrees, R, T",
    columns: [Column {
        what: "bend allowance",
        agrees: Within(0.0025, "K is to three places, and 1.57 stands for π/2"),
        ask: |[k, n, r, t]| allowance(k, n, r, t),
    }],
    rows: &[
        ([0.350, 90.0, 0.0, 1.0], [0.55]),
        ([0.350, 90.0, 1.0, 1.0], [2.12]),
        ([0.350, 90.0, 0.5, 2.0], [1.885]),
        ([0.350, 45.0, 1.0, 1.0], [1.06]),
        ([0.350, 135.0, 1.0, 1.0], [3.18]),
        ([0.407, 90.0, 0.0, 1.0], [0.64]),
        ([0.407, 90.0, 1.0, 1.0], [2.21]),
        ([0.407, 90.0, 0.5, 2.0], [2.065]),
        ([0.407, 45.0, 1.0, 1.0], [1.105]),
        ([0.407, 135.0, 1.0, 1.0], [3.315]),
        ([0.452, 90.0, 0.0, 1.0], [0.71]),
        ([0.452, 90.0, 1.0, 1.0], [2.28]),
        ([0.452, 90.0, 0.5, 2.0], [2.205]),
        ([0.452, 45.0, 1.0, 1.0], [1.14]),
        ([0.452, 135.0, 1.0, 1.0], [3.42]),
    ],
};

/// Strips of 1 mm sheet bent through 90° into two legs of 20 mm, as long before as the published allowance makes them:
/// 40 − 2 (R + 1) + allowance. The last is the FAA's 0.0078 · 90.
const IMPLIED_K: Table<[f64; 2], 1> = Table {
    source: Source("Machinery's Handbook, 31st ed., p. 1421, eqs 32-34; FAA-H-8083-31, ch. 4", Computed),
    inputs: "R, strip before, in mm",
    columns: [Column {
        what: "K of a test bend",
        agrees: Within(0.001, "K is to three places, and 1.57 stands for π/2"),
        ask: |[radius, strip]| {
            let Ok(metal) = Metal::thickness(Kind::Aluminium, Length::millimetres(1)) else { return f64::NAN };
            let test = TestBend {
                metal,
                strip: Length::from_mm(strip),
                legs: [Length::millimetres(20); 2],
                angle_deg: 90.0,
                radius: Some(Length::from_mm(radius)),
                set_angle_deg: None,
                on: jiff::civil::date(2026, 11, 25),
                by: "RT".into(),
            };
            measure(&[&test]).map_or(f64::NAN, |measured| measured.k)
        },
    }],
    rows: &[
        ([0.0, 38.55], [0.350]),
        ([1.0, 38.12], [0.350]),
        ([0.0, 38.64], [0.407]),
        ([1.0, 38.21], [0.407]),
        ([0.0, 38.71], [0.452]),
        ([1.0, 38.28], [0.452]),
        ([0.0, 38.702], [0.447]),
    ],
};

const DEFAULT_K: Fact = Fact {
    what: "the K-factor of a shop that sets none of its own",
    published: 0.447,
    agrees: Exactly,
    source: Source(FAA, Computed),
    ask: || BendingSettings::default().k,
};

const DIN_K: Table<f64, 1> = Table {
    source: Source("DIN 6935: k = 0.65 + 0.5·log10(r/s)", Computed),
    inputs: "r/s",
    columns: [Column { what: "k", agrees: Within(0.000_05, FOUR_PLACES), ask: k }],
    rows: &[(0.5, [0.4995]), (1.0, [0.65]), (1.5, [0.7380]), (2.0, [0.8005]), (3.0, [0.8886]), (4.0, [0.9510])],
};

const K_CAP: Fact = Fact {
    what: "k above r/s = 5",
    published: 1.0,
    agrees: Exactly,
    source: Source("DIN 6935", Memory),
    ask: || k(5.01),
};

const DIN_FIRST_TERM: Table<[f64; 3], 1> = Table {
    source: Source("DIN 6935: 2(r+s) for β up to 90°, 2(r+s)·tan(N/2) beyond", Computed),
    inputs: "β in degrees, r, s in mm",
    columns: [Column {
        what: "first term of v",
        agrees: Within(0.000_05, FOUR_PLACES),
        ask: |[opening, r, s]| 2.0 * setback(180.0 - opening, r, s),
    }],
    rows: &[
        ([30.0, 1.0, 1.0], [4.0]),
        ([60.0, 2.0, 2.0], [8.0]),
        ([90.0, 1.0, 1.0], [4.0]),
        ([120.0, 1.0, 1.0], [2.3094]),
        ([135.0, 2.0, 1.0], [2.4853]),
    ],
};

const DIN_SHORTENING: Table<[f64; 3], 1> = Table {
    source: Source(DIN, Computed),
    inputs: "β in degrees, r, s in mm",
    columns: [Column {
        what: "shortening v in mm",
        agrees: Within(0.000_05, FOUR_PLACES),
        ask: |[opening, r, s]| shortening(Rule::Din6935, 180.0 - opening, r, s),
    }],
    rows: &[
        ([90.0, 1.0, 1.0], [1.9187]),
        ([90.0, 1.0, 0.5], [1.1148]),
        ([120.0, 1.0, 1.0], [0.9219]),
        ([135.0, 2.0, 1.0], [0.6001]),
        ([30.0, 1.0, 1.0], [0.5312]),
        ([60.0, 2.0, 2.0], [2.4499]),
        // The last opening that is shortened, and the first that is not.
        ([165.0, 1.0, 1.0], [0.1797]),
        ([165.01, 1.0, 1.0], [0.0]),
        ([170.0, 1.0, 1.0], [0.0]),
    ],
};

/// A section of these outside widths, every bend through `through_deg` upward; in mm.
fn section<const N: usize>(widths: [Length; N], through_deg: f64, radius: Length, thickness: Length) -> Section {
    Section {
        legs: widths.into_iter().enumerate().map(|(i, width)| Leg { name: LegName::Nth(i), width }).collect(),
        bends: vec![Bend { through_deg, turn: Turn::Up }; N - 1],
        datum_hem: None,
        lower_hem: None,
        thickness,
        inside_radius: radius,
    }
}

/// T 0.040, R 0.16, two right angles, mould lines 1, 2 and 1 in.
fn u_channel() -> Section {
    let widths = [1, 2, 1].map(Length::inches);
    section(widths, 90.0, Length::from_inches(0.16), Length::from_inches(0.04))
}

/// What of a leg of the channel stays flat, in inches.
fn flat(leg: usize) -> f64 {
    let strip = Sheet::of(&u_channel(), Rule::KFactor(0.447)).shape(Made::NONE);
    let course = strip.iter().find(|course| course.part == Part::Leg(leg));
    course.map_or(f64::NAN, |course| (course.stations[1].y - course.stations[0].y) / 25.4)
}

fn developed(rule: Rule) -> f64 {
    u_channel().unfold(rule).girth.in_inches()
}

const U_CHANNEL: [Fact; 6] = [
    Fact {
        what: "flat of the channel's first leg in inches",
        published: 0.80,
        agrees: Within(1e-6, "lengths are whole nanometres"),
        source: Source(FAA, Read),
        ask: || flat(0),
    },
    Fact {
        what: "flat of the channel's web in inches",
        published: 1.60,
        agrees: Within(1e-6, "lengths are whole nanometres"),
        source: Source(FAA, Read),
        ask: || flat(1),
    },
    Fact {
        what: "flat of the channel's last leg in inches",
        published: 0.80,
        agrees: Within(1e-6, "lengths are whole nanometres"),
        source: Source(FAA, Read),
        ask: || flat(2),
    },
    Fact {
        what: "the channel's developed width in inches",
        published: 3.758,
        agrees: Within(0.001, "0.01743 stands for π/180"),
        source: Source(FAA, Computed),
        ask: || developed(Rule::KFactor(0.447)),
    },
    Fact {
        what: "the channel's developed width in inches, as printed",
        published: 3.74,
        agrees: Within(0.02, "the print rounds each allowance to 0.27"),
        source: Source(FAA, Memory),
        ask: || developed(Rule::KFactor(0.447)),
    },
    Fact {
        what: "the channel's developed width in inches, by DIN 6935",
        published: 3.758,
        agrees: Within(0.02, "two rules for one bend"),
        source: Source(FAA, Computed),
        ask: || developed(Rule::Din6935),
    },
];

/// β 60°, a 16, b 21, r 6, s 5 mm.
fn table_books_length() -> f64 {
    let widths = [16, 21].map(Length::millimetres);
    section(widths, 120.0, Length::millimetres(6), Length::millimetres(5)).unfold(Rule::Din6935).girth.mm()
}

const TABLE_BOOK: [Fact; 5] = [
    Fact {
        what: "k of the table book's example",
        published: 0.68959,
        agrees: Within(0.000_005, FIVE_PLACES),
        source: Source(DIN, Computed),
        ask: || k(6.0 / 5.0),
    },
    Fact {
        what: "v of the table book's example",
        published: 5.823,
        agrees: Within(0.0005, "printed to three places"),
        source: Source(DIN, Computed),
        ask: || shortening(Rule::Din6935, 120.0, 6.0, 5.0),
    },
    Fact {
        what: "L of the table book's example",
        published: 31.177,
        agrees: Within(0.0005, "printed to three places"),
        source: Source(DIN, Computed),
        ask: table_books_length,
    },
    Fact {
        what: "v of the table book's example with k = 0.7 off its chart",
        published: 5.77,
        agrees: Within(0.005, "printed to two places"),
        source: Source(DIN, ReadSecondary),
        ask: || shortening(Rule::KFactor(0.7 / 2.0), 120.0, 6.0, 5.0),
    },
    Fact {
        what: "L of the table book's example as printed, up to the whole millimetre",
        published: 32.0,
        agrees: Exactly,
        source: Source(DIN, ReadSecondary),
        ask: || table_books_length().ceil(),
    },
];

/// What a hem adds to the girth of a 100 mm leg, in mm.
fn hem_adds([width, gap, thickness]: [f64; 3]) -> f64 {
    let [width, gap, thickness] = [width, gap, thickness].map(Length::from_mm);
    let leg = Length::millimetres(100);
    let hemmed = Section { lower_hem: Some(Hem { width, gap }), ..section([leg], 0.0, thickness, thickness) };
    (hemmed.unfold(Rule::Din6935).girth - leg).mm()
}

/// h − 0.72 T + 0.57 g; a closed hem's gap is 0.
const HEM: Table<[f64; 3], 1> = Table {
    source: Source("Machinery's Handbook, 31st ed., p. 1421, eq. 33", Computed),
    inputs: "h, g, T in mm",
    columns: [Column {
        what: "a hem's addition to the girth in mm",
        agrees: Within(1e-6, "lengths are whole nanometres"),
        ask: hem_adds,
    }],
    rows: &[
        ([12.7, 0.0, 0.7], [12.196]),
        ([12.7, 3.0, 0.7], [13.906]),
        ([10.0, 0.0, 1.0], [9.28]),
        ([10.0, 2.0, 1.0], [10.42]),
    ],
};

/// Two right angles of half-hard temper: 2 (0.64 T + 1.57 R), where R is half the gap.
const HEM_FOLD: Table<[f64; 2], 1> = Table {
    source: Source("Machinery's Handbook, 31st ed., p. 1421, eq. 33", Computed),
    inputs: "g, T in mm",
    columns: [Column {
        what: "metal in a hem's fold in mm",
        agrees: Within(1e-9, "arithmetic"),
        ask: |[gap, thickness]| fold_length(gap, thickness),
    }],
    rows: &[([0.0, 1.0], [1.28]), ([2.0, 1.0], [4.42]), ([3.0, 0.5], [5.35])],
};

const HEM_WIDTH: Table<Trim, 1> = Table {
    source: Source("Copper Flashings: A Manual: exposed edges folded back about ½ in and flattened", Read),
    inputs: "trim",
    columns: [Column {
        what: "hem in inches where the order sets none",
        agrees: Within(0.125, "\"about\""),
        ask: |trim| {
            let shop = Profiles::default();
            let hem = match trim {
                Trim::EndWall => shop.end_wall.hem,
                Trim::Reglet => shop.reglet.hem,
                Trim::SideWall => shop.side_wall.hem,
                Trim::Gable => shop.gable.hem,
                Trim::Eave => shop.eave.hem,
                Trim::Ridge => shop.ridge.hem,
                Trim::Custom => return f64::NAN,
            };
            hem.in_inches()
        },
    }],
    rows: &[
        (Trim::EndWall, [0.5]),
        (Trim::Reglet, [0.5]),
        (Trim::SideWall, [0.5]),
        (Trim::Gable, [0.5]),
        (Trim::Eave, [0.5]),
        (Trim::Ridge, [0.5]),
    ],
};

const LEAST_HEM: Fact = Fact {
    what: "narrowest closed hem that is not refused, in thicknesses, to a tenth",
    published: 4.0,
    agrees: Exactly,
    source: Source("hem return at least 4 T", Memory),
    ask: || {
        let one = Length::millimetres(1);
        let bends = |tenths: &i64| {
            let hem = Hem::closed(Length::from_nm(tenths * 100_000));
            let section = Section { lower_hem: Some(hem), ..section([one * 100], 0.0, one, one) };
            section.faults(Length::ZERO, Units::Mm).is_empty()
        };
        (1..=100).find(bends).map_or(f64::NAN, |tenths| tenths as f64 / 10.0)
    },
};
