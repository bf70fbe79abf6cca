//! The workings of length, blank, girth, hem, bends and mass hold: the rule each shows, done again with the inputs it shows, gives the number it shows and the number
//! the piece is made to. Values are read back from the words people see.

#[path = "support/orders.rs"]
mod orders;

use brakeside::order::plan::{Action, Piece, PieceEnd, Plan};
use brakeside::order::{parse, planner};
use brakeside::trade::length::{Length, Units};
use brakeside::trade::pitch::Pitch;
use brakeside::trade::working::Working;
use proptest::prelude::*;
use serde_json::Value;

fn plan(order: &Value) -> Plan {
    let (order, _) = parse::parse(order.to_string().as_bytes()).unwrap();
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

fn finished_length(plan: &Plan) {
    let step = plan.units.reading().mm();
    let mut together = 0.0;
    for piece in &plan.pieces {
        let shown = working(piece, "finished length");
        let run = sum(shown, |name| name == "measured" || name.contains("added because"));
        agree(mm(shown, "R, finished run"), run, 0.0, shown);
        agree(piece.run_length.mm, run, 0.0, shown);
        let (lap, longest, n) = (mm(shown, "ℓ"), mm(shown, "Lmax"), number(value(shown, "n, least")));
        assert_eq!(n, plan.pieces.len() as f64);
        let total = mm(shown, "R + (n − 1)·ℓ");
        agree(total, run + (n - 1.0) * lap, 0.0, shown);
        let depths = sum(shown, |name| name.contains("return's depth"));
        assert!(n * longest - (n - 1.0) * lap >= run + depths - 1e-9, "{shown:#?}");
        if n > 1.0 {
            assert!((n - 1.0) * longest - (n - 2.0) * lap < run + depths, "{shown:#?}");
        }

        let length = read(&shown.result);
        agree(length, piece.length.mm, 0.0, shown);
        together += length;
        if shown.rule.starts_with("Lmax − the return's depth") {
            let depth = |end: &PieceEnd| if let PieceEnd::Return { depth } = end { depth.mm } else { 0.0 };
            agree(length, longest - depth(&piece.left) - depth(&piece.right), 0.0, shown);
        } else {
            let share = mm(shown, "equal share");
            // A piece near its cap hands what it cannot take to others.
            let most = if depths > 0.0 { 2.0 * step } else { step };
            agree(length, share, most + half_place(plan.units), shown);
            let sharing =
                plan.pieces.iter().filter(|piece| !working(piece, "finished length").rule.starts_with("Lmax"));
            let full = sum(shown, |name| name.contains("holds to the longest blank"));
            agree(share, (total - full) / sharing.count() as f64, half_place(plan.units), shown);
        }
        if piece.place == piece.of {
            agree(together, total, 1e-6, shown);
        }
    }
}

fn blank_length(piece: &Piece) {
    let shown = working(piece, "blank length");
    let again = mm(shown, "finished length") + mm(shown, "left return") + mm(shown, "right return");
    agree(read(&shown.result), again, 0.0, shown);
    agree(piece.blank.length.mm, again, 0.0, shown);
    agree(piece.length.mm, mm(shown, "finished length"), 0.0, shown);
}

fn girth(piece: &Piece, units: Units) {
    let shown = working(piece, "girth");
    let shortenings = sum(shown, |name| name.starts_with("v,"));
    let legs = sum(shown, |name| piece.section.legs.iter().any(|leg| leg.name == name));
    agree(legs, piece.section.legs.iter().map(|leg| leg.width.mm).sum(), 0.0, shown);
    let again = legs - shortenings + mm(shown, "h, hem") - 0.72 * mm(shown, "T, ");
    agree(read(&shown.result), again, 5.0 * half_place(units), shown);
    agree(piece.blank.girth.mm, read(&shown.result), half_place(units), shown);
}

fn hem_fold_line(piece: &Piece, units: Units) {
    let shown = working(piece, "hem's fold line");
    let t = mm(shown, "T, ");
    let again = mm(shown, "girth") - (mm(shown, "h, hem") - 0.72 * t) - 0.36 * t;
    agree(read(&shown.result), again, 3.0 * half_place(units), shown);
    agree(piece.hem.at.mm, read(&shown.result), half_place(units), shown);
    agree(read(&working(piece, "girth").result), mm(shown, "girth"), 0.0, shown);
}

/// Bend lines and, from pitch, radius and thickness alone, the shortenings behind them.
fn bend_lines(piece: &Piece, units: Units) {
    let girth = working(piece, "girth");
    let bends = piece.steps.iter().filter(|step| step.action == Action::Bend);
    let mut before = 0.0;
    for (index, step) in bends.enumerate() {
        let shown = step.working.as_ref().unwrap();
        let v = mm(shown, "v, shortening");
        agree(v, mm(girth, &format!("v, shortening at bend {}", index + 1)), 0.0, shown);
        agree(mm(shown, "Σ v"), before, 2.0 * half_place(units), shown);
        before += v;
        let legs: f64 = piece.section.legs[..=index].iter().map(|leg| leg.width.mm).sum();
        agree(mm(shown, "Σ legs"), legs, half_place(units), shown);
        let again = mm(shown, "Σ legs") - mm(shown, "Σ v") - v / 2.0;
        agree(read(&shown.result), again, 3.5 * half_place(units), shown);
        agree(piece.bends[index].at.mm, read(&shown.result), half_place(units), shown);

        let pitch = shown.inputs.iter().find(|input| input.name == "roof pitch");
        let through = pitch.map_or(90.0, |pitch| {
            let said = pitch.value.split(" = ").next().unwrap();
            90.0 - Pitch::parse(said).unwrap().degrees()
        });
        agree(number(value(shown, "N, ")), through, 0.05, shown);
        agree(piece.bends[index].angle_deg, through, 0.0, shown);
        let (r, s, k) = (mm(shown, "r, "), mm(shown, "s, "), number(value(shown, "k = ")));
        agree(k, (0.65 + 0.5 * (r / s).log10()).clamp(0.0, 1.0), 0.002, shown);
        let angle = through.to_radians();
        let shortening = 2.0 * (r + s) * (angle / 2.0).tan() - angle * (r + k * s / 2.0);
        agree(v, shortening, 6.0 * half_place(units), shown);
    }
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn workings_hold(order in orders::makeable()) {
        let plan = plan(&order);
        finished_length(&plan);
        for piece in &plan.pieces {
            blank_length(piece);
            girth(piece, plan.units);
            hem_fold_line(piece, plan.units);
            bend_lines(piece, plan.units);
            mass(piece);
        }
    }
}
