//! The trade's computation against values published elsewhere: standards, handbooks, statutes.
//!
//! Each row carries where its value stands and how it was had: `read` in the source, `computed` from a rule the
//! source prints, or from `memory`. Handbooks round, so each row has the tolerance its source allows.

use brakeside::trade::bending::{Rule, hem_allowance, hem_fold_past_leg, k, shortening};
use brakeside::trade::length::{Length, Units};
use brakeside::trade::metal::{Kind, Metal};
use brakeside::trade::pitch::Pitch;

struct Row {
    what: String,
    got: f64,
    published: f64,
    within: f64,
    source: &'static str,
    basis: &'static str,
}

fn check(rows: impl IntoIterator<Item = Row>) {
    let wrong: Vec<String> = rows
        .into_iter()
        .filter(|row| row.got.is_nan() || (row.got - row.published).abs() > row.within)
        .map(|row| {
            let Row { what, got, published, within, source, basis } = row;
            format!("{what}: {got}, but {published} ± {within} by {source} ({basis})")
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

const FAA: &str = "FAA-H-8083-31, ch. 4";
const DIN: &str = "DIN 6935, as printed in a German table book";
const HANDBOOK: &str = "Machinery's Handbook, 31st ed., p. 1421, eqs 32-34";

/// The K-factor in the FAA's bend allowance (0.01743 R + 0.0078 T) N: 0.0078 is π/180·K.
fn faa_k() -> f64 {
    0.0078 * 180.0 / std::f64::consts::PI
}

/// The metal in the bend itself: what the shortening leaves of the two setbacks.
fn allowance(rule: Rule, bent_through: f64, radius: f64, thickness: f64) -> f64 {
    let setback = (radius + thickness) * (bent_through.min(90.0) / 2.0).to_radians().tan();
    2.0 * setback - shortening(rule, bent_through, radius, thickness)
}

#[test]
fn din_6935_k() {
    let rows = [(0.5, 0.4995), (1.0, 0.65), (1.5, 0.7380), (2.0, 0.8005), (3.0, 0.8886), (4.0, 0.9510)];
    check(rows.map(|(ratio, published)| Row {
        what: format!("k at r/s = {ratio}"),
        got: k(ratio),
        published,
        within: 0.00005,
        source: DIN,
        basis: "computed",
    }));
    check([Row {
        what: "k above r/s = 5".into(),
        got: k(5.01),
        published: 1.0,
        within: 0.0,
        source: "DIN 6935",
        basis: "memory",
    }]);
}

/// Opening angle β, inside radius and thickness in mm, shortening in mm.
#[test]
fn din_6935_shortening() {
    let rows = [
        (90.0, 1.0, 1.0, 1.9187),
        (90.0, 1.0, 0.5, 1.1148),
        (120.0, 1.0, 1.0, 0.9219),
        (135.0, 2.0, 1.0, 0.6001),
        (30.0, 1.0, 1.0, 0.5312),
        (60.0, 2.0, 2.0, 2.4499),
        (170.0, 1.0, 1.0, 0.0),
    ];
    check(rows.map(|(opening, r, s, published)| Row {
        what: format!("v at β = {opening}°, r = {r}, s = {s}"),
        got: shortening(Rule::Din6935, 180.0 - opening, r, s),
        published,
        within: 0.00005,
        source: DIN,
        basis: "computed",
    }));
}

/// β 60°, legs 16 and 21 mm, r 6, s 5. The book takes k = 0.7 off a chart and rounds its answer up.
#[test]
fn the_table_books_example() {
    let v = shortening(Rule::Din6935, 120.0, 6.0, 5.0);
    let row = |what: &str, got, published, within, basis| Row {
        what: what.into(),
        got,
        published,
        within,
        source: DIN,
        basis,
    };
    check([
        row("k", k(6.0 / 5.0), 0.68959, 0.000005, "read, recomputed"),
        row("v by formula", v, 5.823, 0.0005, "read, recomputed"),
        row("L by formula", 16.0 + 21.0 - v, 31.177, 0.0005, "read, recomputed"),
        row("v with k = 0.7", shortening(Rule::KFactor(0.7 / 2.0), 120.0, 6.0, 5.0), 5.77, 0.005, "read"),
        row("L as printed", (16.0 + 21.0 - v).ceil(), 32.0, 0.0, "read"),
    ]);
}

/// Inches: a shortening has the unit of its radius and thickness. The FAA prints π/180 as 0.01743.
#[test]
fn faa_bend_allowances() {
    let rows = [(90.0, 0.125, 0.063, 0.24031), (45.0, 0.125, 0.04, 0.11208), (135.0, 0.1875, 0.05, 0.49385)];
    check(rows.map(|(n, r, t, published)| Row {
        what: format!("bend allowance for N = {n}°, R = {r}, T = {t}"),
        got: allowance(Rule::KFactor(faa_k()), n, r, t),
        published,
        within: 0.0015 * published,
        source: FAA,
        basis: "computed from the formula read there",
    }));
}

/// T 0.040, R 0.16, two right angles, mould lines 1, 2 and 1 in.
#[test]
fn the_faas_u_channel() {
    let developed = 4.0 - 2.0 * shortening(Rule::KFactor(faa_k()), 90.0, 0.16, 0.04);
    let by_din = 4.0 - 2.0 * shortening(Rule::Din6935, 90.0, 0.16, 0.04);
    let row = |what: &str, got, published, within, basis| Row {
        what: what.into(),
        got,
        published,
        within,
        source: FAA,
        basis,
    };
    check([
        row("developed width", developed, 3.758, 0.001, "computed from the formula read there"),
        row("developed width as printed", developed, 3.74, 0.02, "memory"),
        row("developed width by DIN 6935", by_din, 3.758, 0.02, "computed"),
    ]);
}

/// Right angles: allowance a T + 1.57 R for three tempers, and the K-factor each implies.
#[test]
fn handbook_allowances() {
    let tempers =
        [("soft copper, brass", 0.55, 0.350), ("soft steel, aluminium", 0.64, 0.407), ("hard copper", 0.71, 0.452)];
    let bends = [(0.0, 1.0), (1.0, 1.0), (0.5, 2.0)];
    check(tempers.into_iter().flat_map(|(temper, of_t, k)| {
        bends.map(|(r, t)| Row {
            what: format!("allowance of {temper} at R = {r}, T = {t}"),
            got: allowance(Rule::KFactor(k), 90.0, r, t),
            published: of_t * t + 1.57 * r,
            within: 0.001 * (r + t),
            source: HANDBOOK,
            basis: "read; K computed",
        })
    }));
}

/// A flattened hem is a bend of half-hard temper through 180° at R = 0.
#[test]
fn closed_hems() {
    let t = 0.7;
    let row = |what: &str, got, published, within| Row {
        what: what.into(),
        got,
        published,
        within,
        source: HANDBOOK,
        basis: "computed from eq. 33",
    };
    check([
        row("hem's addition to the girth", hem_allowance(12.7, t), 12.7 - 0.72 * t, 1e-9),
        row("two mould legs less the hem's fold", shortening(Rule::KFactor(0.407), 180.0, 0.0, t), 0.72 * t, 0.003 * t),
        row("fold line past the leg", hem_fold_past_leg(t), -0.36 * t, 1e-9),
    ]);
}

#[test]
fn galvanized_sheet() {
    let rows = [
        (16, 0.0635, 12.969),
        (18, 0.0516, 10.528),
        (20, 0.0396, 8.087),
        (22, 0.0336, 6.866),
        (24, 0.0276, 5.645),
        (26, 0.0217, 4.425),
        (28, 0.0187, 3.814),
        (30, 0.0157, 3.204),
    ];
    check(rows.into_iter().flat_map(|(gauge, inches, kg_per_m2)| {
        let metal = Metal::gauge(Kind::GalvanizedSteel, gauge).unwrap();
        let row = |what, got, published, within| Row {
            what: format!("{what} of {gauge} ga"),
            got,
            published,
            within,
            source: "Manufacturers' Standard Gauge, galvanized sheet",
            basis: "computed from the rules read",
        };
        [
            row("thickness in inches", metal.thickness.in_inches(), inches, 1e-9),
            row("kg/m²", metal.areal_mass, kg_per_m2, 0.0006),
        ]
    }));
}

/// The statute prices bare sheet by the ounce: galvanized sheet less its 2.5 oz/ft² of zinc, and copper of the same
/// ounces, weigh what it prints.
#[test]
fn ounces_per_square_foot() {
    const STATUTE: &str = "15 U.S.C. 206";
    let ounce = Metal::ounces(16).unwrap().areal_mass / 16.0;
    let rows = [(16, 12.21, 0.005), (18, 9.765, 0.0005), (20, 7.324, 0.0005)];
    check(rows.map(|(gauge, published, within)| Row {
        what: format!("kg/m² of {gauge} ga without its zinc"),
        got: Metal::gauge(Kind::GalvanizedSteel, gauge).unwrap().areal_mass - 2.5 * ounce,
        published,
        within,
        source: STATUTE,
        basis: "read",
    }));
    check([(32, 9.765), (24, 7.324)].map(|(ounces, published)| Row {
        what: format!("kg/m² of {ounces} oz/ft²"),
        got: Metal::ounces(ounces).unwrap().areal_mass,
        published,
        within: 0.0005,
        source: STATUTE,
        basis: "read",
    }));
    check([Row {
        what: "kg/m² of 1 lb/ft²".into(),
        got: 16.0 * ounce,
        published: 4.882428,
        within: 5e-7,
        source: "NIST SP 811",
        basis: "computed from exact definitions",
    }]);
}

#[test]
fn copper_sheet() {
    let rows = [(12, 0.0162), (16, 0.0216), (20, 0.0270), (24, 0.0323), (32, 0.0431), (48, 0.0646)];
    check(rows.into_iter().flat_map(|(ounces, inches)| {
        let by_ounces = Metal::ounces(ounces).unwrap();
        let by_thickness = Metal::thickness(Kind::Copper, by_ounces.thickness).unwrap();
        [
            Row {
                what: format!("nominal thickness of {ounces} oz in inches"),
                got: by_ounces.thickness.in_inches(),
                published: inches,
                within: 1e-9,
                source: "ASTM B370, by the copper trade association's table 1.1.3",
                basis: "read",
            },
            // Table and density were published apart; thicknesses are to the nearest 0.0001 in.
            Row {
                what: format!("kg/m² of {ounces} oz by its thickness"),
                got: by_thickness.areal_mass,
                published: by_ounces.areal_mass,
                within: 0.01 * by_ounces.areal_mass,
                source: "ASTM B370; Copper Flashings: A Manual, p. 53",
                basis: "read",
            },
        ]
    }));
}

/// From memory, each as a range.
#[test]
fn densities() {
    let rows = [
        (Kind::GalvanizedSteel, 7850.0, 0.0),
        (Kind::Aluminium, 2700.0, 0.0),
        (Kind::Zinc, 7170.0, 30.0),
        (Kind::StainlessSteel, 7950.0, 50.0),
    ];
    check(rows.map(|(kind, published, within)| Row {
        what: format!("kg/m³ of {}", kind.name()),
        got: Metal::thickness(kind, Length::millimetres(1)).unwrap().areal_mass * 1000.0,
        published,
        within: within + 1e-6,
        source: "material tables",
        basis: "memory",
    }));
}

#[test]
#[expect(clippy::approx_constant, reason = "√2 as a table prints it")]
fn pitches() {
    let rows = [
        (1, 4.7636, 1.003466),
        (2, 9.4623, 1.013794),
        (3, 14.0362, 1.030776),
        (4, 18.4349, 1.054093),
        (5, 22.6199, 1.083333),
        (6, 26.5651, 1.118034),
        (8, 33.6901, 1.201850),
        (9, 36.8699, 1.25),
        (12, 45.0, 1.414214),
    ];
    check(rows.into_iter().flat_map(|(rise, degrees, factor)| {
        let pitch = Pitch::parse(&format!("{rise}:12")).unwrap();
        let row = |what, got, published, within| Row {
            what: format!("{what} of {rise}:12"),
            got,
            published,
            within,
            source: "rafter table at 1-5:12, trigonometry beyond",
            basis: "read (secondary); computed",
        };
        [row("degrees", pitch.degrees(), degrees, 0.00005), row("slope factor", pitch.slope_factor(), factor, 5e-7)]
    }));
}

#[test]
fn the_inch_is_exact() {
    check([("1 in", 25.4), ("1 ft", 304.8), ("42' 7-1/4\"", 12985.75)].map(|(text, published)| Row {
        what: format!("{text} in mm"),
        got: Length::parse(text, Units::In).unwrap().mm(),
        published,
        within: 0.0,
        source: "international yard and pound agreement, 1959",
        basis: "read (secondary)",
    }));
}
