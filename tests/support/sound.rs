//! What holds of every plan, whatever was ordered: nothing here knows how a plan is made.

use std::collections::{BTreeMap, BTreeSet};

use brakeside::order::Order;
use brakeside::order::plan::{Action, Hem, Piece, PieceEnd, Plan};
use brakeside::order::sheet::{FastenerLine, RunSheet};
use brakeside::trade::section::Edge;
use geo::{Area, Contains, Coord, LineString, Point, Polygon, Validation};

fn nm(mm: f64) -> i64 {
    (mm * 1e6).round() as i64
}

fn polygon(points: &[[f64; 2]]) -> Polygon {
    Polygon::new(LineString(points.iter().map(|&[x, y]| Coord { x, y }).collect()), vec![])
}

/// Fails with what does not hold.
pub fn sound(order: &Order, plan: &Plan) {
    assert_eq!(plan.runs.len(), order.runs.len());
    for sheet in &plan.runs {
        let pieces: Vec<&Piece> = plan.pieces.iter().filter(|piece| piece.run == sheet.run).collect();
        run(order, sheet, &pieces);
    }
    walls(order, plan);
    for piece in &plan.pieces {
        blank(order, piece);
        folds(order, piece);
    }
    load(plan);
    // Every number is one: JSON has none for what is not.
    let text = serde_json::to_string(plan).unwrap();
    assert_eq!(&serde_json::from_str::<Plan>(&text).unwrap(), plan);
}

fn run(order: &Order, sheet: &RunSheet, pieces: &[&Piece]) {
    let run = &order.runs[sheet.run];
    let (length, lap, n) = (nm(sheet.length.mm), run.lap.nm(), pieces.len() as i64);
    assert!(n > 0 && sheet.laps.len() as i64 == n - 1);
    assert_eq!(
        pieces.iter().map(|piece| nm(piece.length.mm)).sum::<i64>(),
        length + (n - 1) * lap,
        "Σ = R + (n − 1)·ℓ"
    );
    let mut marks = BTreeSet::new();
    for (place, piece) in pieces.iter().enumerate() {
        assert_eq!((piece.place, piece.of), (place + 1, pieces.len()));
        assert!(marks.insert(&piece.mark), "{} twice", piece.mark);
        let from = if place == 0 { 0 } else { nm(sheet.laps[place - 1].from.mm) };
        assert_eq!(nm(piece.from_left.mm), from, "each piece begins where its lap does");
        let lapped = |end: &PieceEnd| matches!(end, PieceEnd::Lap { .. });
        assert_eq!((lapped(&piece.left), lapped(&piece.right)), (place > 0, place + 1 < pieces.len()));
        // A piece is no shorter than the shop's least, unless its run is.
        let least = order.shop.orders.least_piece.nm();
        assert!(nm(piece.length.mm) >= least || length < least, "{} is a stub", piece.mark);
    }
    let laps = sheet.laps.iter().map(|lap| (nm(lap.from.mm), nm(lap.to.mm)));
    assert!(laps.clone().all(|(from, to)| from >= 0 && to <= length && to - from == lap));
    joints(order, sheet, length);

    // A mitred end's metal may go on past the run's, and its fasteners with it; a tab is no part of the run.
    let past = |piece: &Piece, end: &PieceEnd| match end {
        PieceEnd::Corner { .. } | PieceEnd::Transition { .. } => nm(piece.blank.length.mm - piece.length.mm),
        _ => 0,
    };
    let (first, last) = (pieces[0], pieces[pieces.len() - 1]);
    let metal = -past(first, &first.left)..=length + past(last, &last.right);
    for line in &sheet.fasteners {
        let at: Vec<i64> = line.at.iter().map(|at| nm(at.mm)).collect();
        pieces.iter().for_each(|piece| in_metal(piece, line));
        assert!(at.is_sorted() && at.iter().all(|at| metal.contains(at)), "{line:?}");
        for joint in sheet.laps.iter().filter(|lap| lap.joint) {
            let within = |&&at: &&i64| at >= nm(joint.from.mm) && at <= nm(joint.to.mm);
            assert_eq!(at.iter().find(within), None, "fastened through the joint at {}", joint.from.text);
        }
    }
    // On less than the shop's least piece there is no room for screws a set distance off a cut.
    let inside = |at: f64| (0..=length).contains(&nm(at)) || length < order.shop.orders.least_piece.nm();
    assert!(sheet.cut_screws.iter().all(|screw| inside(screw.at.mm) && screw.down.mm >= 0.0), "{:?}", sheet.cut_screws);
}

/// Every fastener of `line` that is on `piece` goes through its blank, as the piece's own outline has it.
fn in_metal(piece: &Piece, line: &FastenerLine) {
    let before = match (adds(&piece.left), adds(&piece.right)) {
        (false, _) => 0.0,
        (true, false) => piece.blank.length.mm - piece.length.mm,
        // There is no telling how much is at which end.
        (true, true) => return,
    };
    let legs = &piece.section.legs;
    let leg = legs.iter().position(|leg| leg.name == line.leg).unwrap();
    let fold = |hem: &Option<Hem>, edge| hem.as_ref().map_or(edge, |hem| hem.at.mm);
    // To the few millimetres that a bend takes.
    let y = match line.edge {
        Edge::Datum if leg == 0 => fold(&piece.datum_hem, 0.0) + line.off.mm,
        Edge::Datum => piece.bends[leg - 1].at.mm + line.off.mm,
        Edge::Lower if leg + 1 == legs.len() => fold(&piece.hem, piece.blank.girth.mm) - line.off.mm,
        Edge::Lower => piece.bends[leg].at.mm - line.off.mm,
    };
    let outline = polygon(&piece.blank.outline);
    let [lapped_left, lapped_right] = [&piece.left, &piece.right].map(|end| matches!(end, PieceEnd::Lap { .. }));
    for at in &line.at {
        let x = at.mm - piece.from_left.mm;
        // On the very end of a lapped piece the neighbour holds it.
        let beside = lapped_left && x <= 1e-6 || lapped_right && x >= piece.length.mm - 1e-6;
        let hits = || outline.contains(&Point::new(x + before, y));
        assert!(beside || hits(), "{} at {} of the {} misses {}", line.what, at.text, line.leg, piece.mark);
    }
}

/// Whether an end may make the blank longer than the piece.
fn adds(end: &PieceEnd) -> bool {
    !matches!(end, PieceEnd::Square | PieceEnd::Gable { .. } | PieceEnd::Lap { .. })
}

/// No stretch is longer than the metal's interval.
fn joints(order: &Order, sheet: &RunSheet, length: i64) {
    let Some(interval) = order.shop.interval(order.metal.kind, sheet.trim) else {
        assert!(sheet.laps.iter().all(|lap| !lap.joint));
        return;
    };
    let lap = order.runs[sheet.run].lap.nm();
    let joints = sheet.laps.iter().filter(|lap| lap.joint).map(|lap| nm(lap.from.mm));
    let ends: Vec<i64> = [0].into_iter().chain(joints).chain([length - lap]).collect();
    assert!(ends.windows(2).all(|pair| pair[1] - pair[0] <= interval.length.nm()), "{ends:?}");
}

/// Laps of trims on one wall keep the later run's distance.
fn walls(order: &Order, plan: &Plan) {
    let mut walls: BTreeMap<String, Vec<(i64, i64)>> = BTreeMap::new();
    for sheet in &plan.runs {
        let run = &order.runs[sheet.run];
        if !run.trim.is_on_wall() {
            continue;
        }
        let on_wall = walls.entry(run.wall.to_ascii_uppercase()).or_default();
        let laps = sheet.laps.iter().map(|lap| (nm(lap.from.mm) + run.at.nm(), nm(lap.to.mm) + run.at.nm()));
        let own: Vec<(i64, i64)> = laps.collect();
        for (from, to) in &own {
            for (other_from, other_to) in on_wall.iter() {
                let clear = (from - other_to).max(other_from - to);
                assert!(clear >= run.stagger.nm(), "laps at {from} and {other_from} nm on wall {}", run.wall);
            }
        }
        on_wall.extend(own);
    }
}

fn blank(order: &Order, piece: &Piece) {
    let (blank, mark) = (&piece.blank, &piece.mark);
    let [length, girth] = [blank.length.mm, blank.girth.mm];
    assert!(blank.length.mm <= order.longest.mm() + 1e-6, "{mark} is cut from more than the longest blank");
    assert!(length >= piece.length.mm - 1e-6);
    let outline = polygon(&blank.outline);
    assert!(outline.is_valid(), "{mark}: {:?}", blank.outline);
    assert!(
        blank.outline.iter().all(|&[x, y]| (-1e-6..=length + 1e-6).contains(&x) && (-1e-6..=girth + 1e-6).contains(&y))
    );
    assert!((outline.unsigned_area() - blank.area_mm2).abs() < 1e-3 && blank.area_mm2 > 0.0);
    let snipped: f64 = piece
        .steps
        .iter()
        .flat_map(|step| &step.cut_away)
        .map(|notch| {
            let notch = polygon(notch);
            assert!(notch.is_valid(), "{mark}: {notch:?}");
            notch.unsigned_area()
        })
        .sum();
    assert!((blank.area_mm2 + snipped - length * girth).abs() < 1e-2, "{mark}: outline and snips make up the strip");
    let marks = piece.steps.iter().flat_map(|step| &step.marks);
    assert!(
        marks.clone().all(|at| (-1e-6..=length + 1e-6).contains(&at.x.mm) && (-1e-6..=girth + 1e-6).contains(&at.y.mm))
    );
}

/// Every fold once, and the stop within reach.
fn folds(order: &Order, piece: &Piece) {
    let (mut bends, mut hems) = (Vec::new(), Vec::new());
    for step in &piece.steps {
        match step.action {
            Action::Bend => bends.push(step.bend.unwrap()),
            Action::Hem => hems.push(step.edge.unwrap()),
            _ => continue,
        }
        let gauge = step.number.as_ref().unwrap();
        assert!(gauge.mm > 0.0 && gauge.mm <= order.shop.brake.throat.mm(), "{}: {gauge:?}", piece.mark);
        assert!(step.lie.is_some() && step.stop.is_some());
    }
    bends.sort_unstable();
    assert_eq!(bends, (0..piece.bends.len()).collect::<Vec<_>>());
    for (edge, hem) in [(Edge::Datum, &piece.datum_hem), (Edge::Lower, &piece.hem)] {
        assert_eq!(hems.iter().filter(|&&made| made == edge).count(), usize::from(hem.is_some()));
    }
    let datum = piece.datum_hem.iter().map(|hem| hem.at.mm);
    let lower = piece.hem.iter().map(|hem| hem.at.mm);
    let lines = datum.chain(piece.bends.iter().map(|bend| bend.at.mm)).chain(lower);
    let lines: Vec<f64> = [0.0].into_iter().chain(lines).chain([piece.blank.girth.mm]).collect();
    assert!(lines.windows(2).all(|pair| pair[0] < pair[1] || piece.bends.is_empty()), "{}: {lines:?}", piece.mark);
}

fn load(plan: &Plan) {
    let sheet = plan.sheet.as_ref().unwrap();
    let load = sheet.load.as_ref().unwrap();
    let kg: f64 = plan.pieces.iter().map(|piece| piece.mass_kg).sum();
    assert!(plan.pieces.iter().all(|piece| piece.mass_kg > 0.0) && (load.mass_kg - kg).abs() < 1e-6 * kg.max(1.0));
    let (mut stacked, mut marks): (Vec<&String>, Vec<&String>) =
        (load.stack.iter().collect(), plan.pieces.iter().map(|piece| &piece.mark).collect());
    stacked.sort();
    marks.sort();
    assert_eq!(stacked, marks, "every piece is stacked once");
    assert!(sheet.buy.iter().all(|need| need.count > 0));
}
