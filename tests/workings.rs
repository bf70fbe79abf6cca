//! The workings of a piece hold: the rule each shows, done again with the inputs it shows, gives the number it shows and the
//! number the piece is made to. Values are read back from the words people see.

#[path = "support/every_trim.rs"]
mod every_trim;
#[path = "support/orders.rs"]
mod orders;

use std::sync::Arc;

use brakeside::order::plan::{Action, Piece, Plan, Step};
use brakeside::order::shop::Shop;
use brakeside::order::{Side, Trim, parse, planner};
use brakeside::trade::bend_order::Stop;
use brakeside::trade::length::{Length, Units};
use brakeside::trade::pitch::Pitch;
use brakeside::trade::section::Edge;
use brakeside::trade::working::Working;
use proptest::prelude::*;
use serde_json::Value;

fn plan(order: &Value) -> Plan {
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Arc::new(Shop::default())).unwrap();
    planner::plan(&order).unwrap()
}

/// A piece's working of `what`; the first, where several steps have one.
fn working<'a>(piece: &'a Piece, what: &str) -> &'a Working {
    let of_steps = piece.steps.iter().filter_map(|step| step.working.as_ref());
    of_steps
        .chain(&piece.working)
        .find(|working| working.what == what)
        .unwrap_or_else(|| panic!("no working of {what}"))
}

fn value<'a>(working: &'a Working, name: &str) -> &'a str {
    let input = working.inputs.iter().find(|input| input.name.starts_with(name));
    &input.unwrap_or_else(|| panic!("no {name} in {working:?}")).value
}

/// A length as the working says it, in mm.
fn read(text: &str) -> f64 {
    Length::parse(text, Units::In).unwrap_or_else(|error| panic!("{error}")).mm()
}

fn mm(working: &Working, name: &str) -> f64 {
    read(value(working, name))
}

/// The number a text opens with.
fn number(text: &str) -> f64 {
    text.split([' ', '°']).next().unwrap().parse().unwrap_or_else(|_| panic!("{text}"))
}

/// The sum of the inputs whose names `part` picks, in mm.
fn sum(working: &Working, part: impl Fn(&str) -> bool) -> f64 {
    working.inputs.iter().filter(|input| part(&input.name)).map(|input| read(&input.value)).sum()
}

/// Half a last place of a decimal in `units`, in mm.
fn half_place(units: Units) -> f64 {
    if units == Units::In { 0.00005 * 25.4 } else { 0.0005 }
}

/// Both are the same but for what rounding the words can do, in mm (or the unit at hand).
#[track_caller]
fn agree(shown: f64, again: f64, tolerance: f64, working: &Working) {
    assert!((shown - again).abs() <= tolerance + 1e-9, "{shown}, done again {again}: {working:#?}");
}

/// Of one run's pieces, left to right.
fn finished_length(plan: &Plan, pieces: &[&Piece]) {
    let units = plan.units;
    let step = units.reading().mm();
    let mut together = 0.0;
    for piece in pieces {
        let shown = working(piece, "finished length");
        let measured = sum(shown, |name| name == "measured" || name.contains("added because"));
        let slope = shown.inputs.iter().find(|input| input.name.starts_with("slope factor"));
        let run = match slope {
            None => measured,
            // Of the pitch it names, and on the bench's reading.
            Some(slope) => {
                let pitch = slope.name.split(" of ").nth(1).unwrap().split(',').next().unwrap();
                let factor = Pitch::parse(pitch).unwrap().degrees().to_radians().cos().recip();
                agree(number(&slope.value), factor, 1e-6, shown);
                (measured * factor / step).round() * step
            }
        };
        agree(mm(shown, "R, finished run"), run, 0.0, shown);
        agree(piece.run_length.mm, run, 0.0, shown);
        let (lap, longest) = (mm(shown, "ℓ"), mm(shown, "Lmax"));
        let n = number(value(shown, "n, "));
        assert_eq!(n, pieces.len() as f64);
        let length = read(&shown.result);
        agree(length, piece.length.mm, 0.0, shown);
        together += length;
        if piece.place == piece.of {
            agree(together, run + (n - 1.0) * lap, 1e-6, shown);
        }
        let own = piece.blank.length.mm - piece.length.mm;
        if shown.rule.starts_with("right end") {
            let [from, to] = [mm(shown, "its left end"), mm(shown, "its right end")];
            agree(length, to - from, 0.0, shown);
            agree(piece.from_left.mm, from, 0.0, shown);
            continue;
        }
        let total = mm(shown, "R + (n − 1)·ℓ");
        agree(total, run + (n - 1.0) * lap, 0.0, shown);
        let beyond: f64 = pieces.iter().map(|piece| piece.blank.length.mm - piece.length.mm).sum();
        assert!(n * longest - (n - 1.0) * lap >= run + beyond - 1e-9, "{shown:#?}");
        assert!(n == 1.0 || (n - 1.0) * longest - (n - 2.0) * lap < run + beyond, "{shown:#?}");
        if shown.rule.starts_with("Lmax − what") {
            agree(length, longest - own, 0.0, shown);
        } else if shown.rule.starts_with("equal share") {
            // A piece near its cap hands what it cannot take to others.
            let most = if beyond > 0.0 { 2.0 * step } else { step };
            let share = mm(shown, "equal share");
            agree(length, share, most + half_place(units), shown);
            let sharing = pieces.iter().filter(|piece| !working(piece, "finished length").rule.starts_with("Lmax"));
            let full = sum(shown, |name| name.contains("hold to the longest blank"));
            agree(share, (total - full) / sharing.count() as f64, half_place(units), shown);
        } else {
            assert!(shown.rule.starts_with("Lmax from the start"), "{shown:#?}");
            assert!(length <= longest - own + 1e-9);
        }
    }
}

fn blank_length(piece: &Piece, units: Units) {
    let shown = working(piece, "blank length");
    let again = sum(shown, |name| name == "finished length" || name.starts_with("beyond the finished"));
    // A mitre's reach is shown on the tape.
    let tape = 2.0 * half_tape(units);
    agree(read(&shown.result), again, 2.0 * tape, shown);
    agree(piece.blank.length.mm, again, 2.0 * tape, shown);
    agree(piece.length.mm, mm(shown, "finished length"), 0.0, shown);
}

/// Half the least a length's text tells, in mm.
fn half_tape(units: Units) -> f64 {
    if units == Units::In { 25.4 / 128.0 } else { 0.0005 }
}

fn girth(piece: &Piece, units: Units) {
    let shown = working(piece, "girth");
    let shortenings = sum(shown, |name| name.starts_with("v,"));
    let legs = sum(shown, |name| piece.section.legs.iter().any(|leg| leg.name == name));
    agree(legs, piece.section.legs.iter().map(|leg| leg.width.mm).sum(), 0.0, shown);
    let hems = [&piece.datum_hem, &piece.hem].into_iter().flatten().count() as f64;
    let (widths, gaps) = (sum(shown, |name| name.starts_with("h, hem")), sum(shown, |name| name.starts_with("g, ")));
    let again = legs - shortenings + widths + 0.57 * gaps - hems * 0.72 * mm(shown, "T, ");
    agree(read(&shown.result), again, (3.0 + shown.inputs.len() as f64) * half_place(units), shown);
    agree(piece.blank.girth.mm, read(&shown.result), half_place(units), shown);
}

/// Hems' fold lines and every fold's stop.
fn folds(piece: &Piece, units: Units) {
    for step in &piece.steps {
        let (Some(lie), Some(shown)) = (step.lie, &step.working) else { continue };
        let line = match (step.bend, step.edge) {
            (Some(index), _) => {
                bend_line(piece, index, shown, units);
                mm(shown, "bend line")
            }
            (None, edge) => {
                hem_line(piece, edge.unwrap(), shown, units);
                mm(shown, "fold line")
            }
        };
        if step.stop == Some(Stop::Bent) {
            assert!(bent_behind(piece, step), "{shown:#?}");
            continue;
        }
        let rests = mm(shown, "against the stop");
        let again = if lie.in_throat == Edge::Datum { line - rests } else { rests - line };
        agree(read(&shown.result), again, 3.0 * half_place(units), shown);
        agree(step.number.as_ref().unwrap().mm, read(&shown.result), half_place(units), shown);
        // The raw edge lies at 0 or at the girth; a hem's fold inside it.
        let edge = if lie.in_throat == Edge::Datum { 0.0 } else { piece.blank.girth.mm };
        let inside = (rests - edge).abs();
        match step.stop.unwrap() {
            Stop::RawEdge => assert!(inside < 0.002 * 25.4, "{shown:#?}"),
            Stop::HemFold => assert!(inside > 0.1, "{shown:#?}"),
            Stop::Bent => unreachable!("told above"),
        }
    }
}

/// Whether a bend between this fold and the edge in the throat is made before it.
fn bent_behind(piece: &Piece, step: &Step) -> bool {
    let before = piece.steps.iter().take_while(|other| *other != step);
    before.filter(|other| other.action == Action::Bend).count() > 0
}

fn hem_line(piece: &Piece, edge: Edge, shown: &Working, units: Units) {
    let (t, h, g) = (mm(shown, "T, "), mm(shown, "h, hem"), mm(shown, "g, its gap"));
    let (adds, past) = (h - 0.72 * t + 0.57 * g, 0.36 * t - 0.285 * g);
    let (again, hem) = match edge {
        Edge::Datum => (adds + past, &piece.datum_hem),
        Edge::Lower => (mm(shown, "girth") - adds - past, &piece.hem),
    };
    agree(mm(shown, "fold line"), again, 4.0 * half_place(units), shown);
    agree(hem.as_ref().unwrap().at.mm, mm(shown, "fold line"), half_place(units), shown);
    agree(read(&working(piece, "girth").result), mm(shown, "girth"), 0.0, shown);
}

/// A bend line and, from angle, radius and thickness alone, the shortening behind it.
fn bend_line(piece: &Piece, index: usize, shown: &Working, units: Units) {
    let girth = working(piece, "girth");
    let v = mm(shown, "v, shortening");
    agree(v, mm(girth, &format!("v, shortening at bend {}", index + 1)), 0.0, shown);
    let before = (1..=index).map(|bend| mm(girth, &format!("v, shortening at bend {bend}"))).sum();
    agree(mm(shown, "Σ v"), before, (index as f64 + 1.0) * half_place(units), shown);
    let legs: f64 = piece.section.legs[..=index].iter().map(|leg| leg.width.mm).sum();
    agree(mm(shown, "Σ legs"), legs, half_place(units), shown);
    let hem = sum(shown, |name| name.contains("hem adds"));
    let again = hem + mm(shown, "Σ legs") - mm(shown, "Σ v") - v / 2.0;
    agree(mm(shown, "bend line"), again, 5.0 * half_place(units), shown);
    agree(piece.bends[index].at.mm, mm(shown, "bend line"), half_place(units), shown);

    let through = match value_of(shown, "roof pitch") {
        Some(near) => {
            let pitch = |said: &str| Pitch::parse(said.split(" = ").next().unwrap()).unwrap().degrees();
            match (piece.trim, index) {
                (Trim::EndWall, _) | (Trim::Eave, 0) => Some(90.0 - pitch(near)),
                (Trim::Ridge, _) => Some(pitch(near) + pitch(value_of(shown, "roof pitch beyond").unwrap())),
                _ => None,
            }
        }
        None => None,
    };
    if let Some(through) = through {
        agree(piece.bends[index].angle_deg, through, 1e-9, shown);
    }
    let through = piece.bends[index].angle_deg;
    agree(number(value(shown, "N, ")), through, 0.05, shown);
    let (r, s, k) = (mm(shown, "r, "), mm(shown, "s, "), number(value(shown, "k = ")));
    agree(k, (0.65 + 0.5 * (r / s).log10()).clamp(0.0, 1.0), 0.002, shown);
    let angle = through.to_radians();
    let shortening = match through {
        ..15.0 => 0.0,
        _ => 2.0 * (r + s) * (angle.min(std::f64::consts::FRAC_PI_2) / 2.0).tan() - angle * (r + k * s / 2.0),
    };
    agree(v, shortening, 6.0 * half_place(units), shown);
}

/// The cuts at both ends: gable, tabs, mitres and lap notches.
fn cuts(piece: &Piece, units: Units) {
    for step in piece.steps.iter().filter(|step| matches!(step.action, Action::CutEnd | Action::NotchLap)) {
        let shown = step.working.as_ref().unwrap();
        match shown.what.as_str() {
            "gable cut" => {
                let (w, b, t) = (mm(shown, "W"), mm(shown, "B"), mm(shown, "t,"));
                let at_edge = shown.result.split("fold, ").nth(1).unwrap().split(" at").next().unwrap();
                // Half a place of B or t is as much at the edge as W is wider than B.
                agree(read(at_edge), w * (1.0 - t / b), (1.0 + 2.0 * w / b) * half_place(units), shown);
            }
            "lap notch" => {
                let hems = shown.inputs.iter().filter(|input| input.name.starts_with("h, hem"));
                let relief = mm(shown, "relief");
                let again: f64 = hems.map(|hem| (read(&hem.value) + relief) * mm(shown, "ℓ")).sum();
                let snipped: f64 = step.cut_away.iter().map(|notch| area(notch)).sum();
                agree(snipped, again, 2.0 * half_tape(units) * mm(shown, "ℓ"), shown);
            }
            "return cut" | "end dam's cut" => {
                let (depth, bend, foot) = (mm(shown, "D"), mm(shown, "last bend line"), mm(shown, "last leg's end"));
                let snipped: f64 = step.cut_away.iter().map(|notch| area(notch)).sum();
                let again = depth * (piece.blank.girth.mm - (foot - bend));
                agree(snipped, again, depth * 4.0 * half_place(units), shown);
            }
            "corner's cut" | "transition's cut" => {
                let past: Vec<f64> = step
                    .marks
                    .iter()
                    .map(|mark| {
                        let inset =
                            if step.side == Some(Side::Left) { mark.x.mm } else { piece.blank.length.mm - mark.x.mm };
                        piece.blank.length.mm - piece.length.mm - inset
                    })
                    .collect();
                let all = |start: &str| -> Vec<f64> {
                    let inputs = shown.inputs.iter().filter(|input| input.name.starts_with(start));
                    inputs.map(|input| signed(&input.value)).collect()
                };
                let said = all("past the run's end");
                assert_eq!(past.len(), said.len(), "{shown:#?}");
                // The other end adds to the blank as well, where it does.
                let other = past.iter().zip(&said).map(|(past, said)| past - said).fold(f64::MAX, f64::min);
                assert!(other >= -half_place(units), "{shown:#?}");
                for (past, said) in past.iter().zip(&said) {
                    agree(*past, said + other, 2.0 * half_place(units), shown);
                }
                let degrees_of = |name: &str| number(value(shown, name).split(" = ").last().unwrap());
                let (off, turn) = match shown.what.as_str() {
                    "corner's cut" => (
                        all("d, at"),
                        degrees_of("δ") * if value(shown, "corner").starts_with("out") { 1.0 } else { -1.0 },
                    ),
                    _ if value_of(shown, "pitch beyond, falling the other").is_some() => {
                        (all("h, at"), degrees_of("φ") + degrees_of("pitch beyond"))
                    }
                    _ => (all("h, at"), degrees_of("pitch beyond") - degrees_of("φ")),
                };
                let tan = (turn / 2.0).to_radians().tan();
                for (off, said) in off.iter().zip(&said) {
                    // The angles are said to a tenth of a degree; which way a transition goes follows from its end.
                    let blurred = off.abs() * 0.1_f64.to_radians() * (1.0 + tan * tan);
                    agree(said.abs(), (off * tan).abs(), half_place(units) * (1.0 + tan.abs()) + blurred, shown);
                    if shown.what == "corner's cut" && said.abs() > blurred + 1.0 {
                        assert_eq!(said.signum(), (off * tan).signum(), "{shown:#?}");
                    }
                }
                let deepest = said.iter().copied().fold(f64::MAX, f64::min);
                let reach = read(&shown.result);
                agree(reach, mm(shown, "beyond the finished end") - deepest, 2.0 * half_place(units), shown);
                let angle = |name: &str| value_of(shown, name).map(|said| number(said).to_radians());
                if let (Some(pitch), Some(turn), Trim::EndWall) = (value_of(shown, "φ"), angle("δ"), piece.trim) {
                    let pitch = Pitch::parse(pitch.split(" = ").next().unwrap()).unwrap().degrees().to_radians();
                    let leg = piece.section.legs[1].width.mm * pitch.cos() * (turn / 2.0).tan();
                    agree(reach, leg, piece.section.thickness.mm * (1.0 + (turn / 2.0).tan()) * 2.0, shown);
                }
            }
            other => panic!("{other}"),
        }
    }
}

/// Twice a polygon's signed area is the sum of its corners' cross products.
fn area(polygon: &[[f64; 2]]) -> f64 {
    let next = polygon.iter().cycle().skip(1);
    polygon.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>().abs() / 2.0
}

/// A length that may be below 0.
fn signed(text: &str) -> f64 {
    text.strip_prefix(['-', '−']).map_or_else(|| read(text), |text| -read(text))
}

fn value_of<'a>(working: &'a Working, name: &str) -> Option<&'a str> {
    working.inputs.iter().find(|input| input.name.starts_with(name)).map(|input| input.value.as_str())
}

fn mass(piece: &Piece) {
    let shown = working(piece, "mass");
    let (area, per_area) = (number(value(shown, "area")), number(value(shown, "m, ")));
    let kg = number(&shown.result);
    // The area is shown to 1 cm², the sheet to 1 g/m², the mass to 10 g.
    agree(kg, area * per_area, 0.005 + 0.00005 * per_area + 0.0005 * area, shown);
    agree(kg, piece.mass_kg, 0.005, shown);
    agree(area, piece.blank.area_mm2 * 1e-6, 0.00005, shown);
    let lb = number(shown.result.split('(').nth(1).unwrap());
    // 1 lb = 0.45359237 kg exactly.
    agree(lb, kg / 0.45359237, 0.005 + 0.005 / 0.45359237, shown);
    // The rule ends in the sheet's own mass: by the ounce and square foot, or by density.
    let rule = shown.rule.rsplit("m = ").next().unwrap();
    let by_rule = if rule.contains("oz/ft²") {
        number(rule) / 16.0 * 0.45359237 / (0.3048 * 0.3048)
    } else {
        number(rule) * piece.section.thickness.mm / 1000.0
    };
    agree(per_area, by_rule, 0.0005, shown);
}

/// Every working of an order's pieces.
fn hold(plan: &Plan) {
    for run in &plan.runs {
        let pieces: Vec<&Piece> = plan.pieces.iter().filter(|piece| piece.run == run.run).collect();
        finished_length(plan, &pieces);
    }
    for piece in &plan.pieces {
        blank_length(piece, plan.units);
        girth(piece, plan.units);
        folds(piece, plan.units);
        cuts(piece, plan.units);
        mass(piece);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn workings_hold(order in orders::makeable()) {
        hold(&plan(&order));
    }
}

#[test]
fn workings_of_every_trim_hold() {
    for text in every_trim::ORDERS {
        hold(&plan(&serde_json::from_str(text).unwrap()));
    }
}
