//! The working behind each number of a piece, as data: the bench shows it, the plan's JSON carries it.

use crate::order::cutting::Cutting;
use crate::order::{Corner, End, Falls, Measured, Side, Trim};
use crate::trade::bend_order::{Op, Stop};
use crate::trade::bending::{self, Rule};
use crate::trade::cut;
use crate::trade::length::Length;
use crate::trade::mass::KG_PER_LB;
use crate::trade::section::{Edge, Flat, degrees};
use crate::trade::split::Kind;
use crate::trade::working::{COMMON_PRACTICE, Working};

/// A rule's inputs: name, and value with unit.
type Inputs = Vec<(String, String)>;

/// Finished length, from the run.
pub fn length(cutting: &Cutting) -> Working {
    let (units, run, layout) = (cutting.order.units, cutting.run, cutting.layout);
    let mut inputs = measured(cutting);
    let n = layout.lengths.len();
    let total = layout.run + run.lap * (n as i64 - 1);
    inputs.extend([
        ("R, finished run".into(), layout.run.text(units)),
        ("ℓ, lap".into(), run.lap.text(units)),
        ("Lmax, longest blank".into(), cutting.order.longest.text(units)),
    ]);
    let rule = if is_placed(cutting) {
        let ends = [cutting.from_left(), cutting.from_left() + cutting.length()];
        inputs.extend([
            ("n, pieces".into(), n.to_string()),
            ("its left end, from the run's left end".into(), ends[0].text(units)),
            ("its right end, from the run's left end".into(), ends[1].text(units)),
        ]);
        inputs.extend(heeded(cutting));
        "right end − left end: the laps lie as near an equal share as what they keep clear of lets them"
    } else {
        inputs.extend([
            ("n, least with n·Lmax − (n − 1)·ℓ ≥ R and what the ends add".into(), n.to_string()),
            ("R + (n − 1)·ℓ, all pieces together".into(), total.text(units)),
        ]);
        share(cutting, total, &mut inputs)
    };
    Working::new(
        "finished length",
        rule,
        inputs,
        cutting.length().text(units),
        "arithmetic; laps of at least 6 in are common practice, no source",
    )
}

/// What was measured, and what makes the run of it.
fn measured(cutting: &Cutting) -> Inputs {
    let (units, run) = (cutting.order.units, cutting.run);
    let mut inputs = vec![("measured".to_owned(), run.length.text(units))];
    if let (Measured::Level, Some(pitch)) = (run.measured, run.roof.pitch) {
        inputs.push((
            format!("slope factor √(1 + (rise/12)²) of {pitch}, because measured level; to the bench's reading"),
            format!("{:.6}", pitch.slope_factor()),
        ));
    }
    for (side, end) in [("left", run.left), ("right", run.right)] {
        match end {
            End::Gable { width } if run.measured == Measured::Between => {
                inputs.push((format!("{side} gable, added because measured between"), width.text(units)));
            }
            End::Return { depth } => inputs.push((format!("{side} return's depth, in its blank"), depth.text(units))),
            End::Dam { height } => inputs.push((format!("{side} end dam's height, in its blank"), height.text(units))),
            _ => {}
        }
    }
    inputs
}

/// Whether the run's laps were placed by more than an equal share.
fn is_placed(cutting: &Cutting) -> bool {
    !cutting.layout.laps.is_empty() && !heeded(cutting).is_empty()
}

/// What the run's laps keep clear of.
fn heeded(cutting: &Cutting) -> Inputs {
    let (units, shop) = (cutting.order.units, &cutting.order.shop);
    let mut inputs = Inputs::new();
    if cutting.layout.staggered {
        inputs.push(("laps kept from those of the wall's other trims by".into(), cutting.run.stagger.text(units)));
    }
    if let Some(panels) = cutting.run.panels {
        let seams = format!("{}, and every {}", panels.first.text(units), panels.every.text(units));
        inputs.push(("panel seams at".into(), seams));
        inputs.push(("laps kept from seams, where possible, by".into(), shop.splits.seam_clearance.text(units)));
    }
    if cutting.layout.laps.iter().any(|lap| lap.joint)
        && let Some(interval) = shop.expansion.interval.of(cutting.order.metal.kind)
    {
        inputs.push(("expansion joints no farther apart than".into(), interval.text(units)));
    }
    inputs
}

/// The rule of a run that is shared out freely.
fn share(cutting: &Cutting, total: Length, inputs: &mut Inputs) -> &'static str {
    let (units, layout) = (cutting.order.units, cutting.layout);
    let lengths = &layout.lengths;
    let n = lengths.len();
    if cutting.run.split == Kind::LongestFirst && n > 1 {
        let least = cutting.order.shop.orders.least_piece;
        inputs.push(("shortest stub".into(), least.text(units)));
        return "Lmax from the start of laying; the last piece is the rest, and the piece before it gives up what keeps the \
                last from being a stub";
    }
    // Where what its end adds leaves less of the longest blank than an equal share, a piece's blank is as long as can be.
    let beyond = |index: usize| {
        let left = if index == 0 { layout.ends[0].beyond() } else { Length::ZERO };
        let right = if index + 1 == n { layout.ends[1].beyond() } else { Length::ZERO };
        left + right
    };
    let capped =
        |index: usize| n > 1 && beyond(index) > Length::ZERO && lengths[index] + beyond(index) == cutting.order.longest;
    // Only the run's outer pieces have ends that add.
    let held: Vec<Length> = [0, n - 1].into_iter().filter(|&index| capped(index)).map(|index| lengths[index]).collect();
    let full: Length = held.iter().copied().sum();
    if capped(cutting.index) {
        return "Lmax − what its end adds: its blank is as long as can be";
    }
    // This piece at least shares, so some do.
    let share = Length::from_nm((total - full).nm() / (n - held.len()) as i64);
    if full > Length::ZERO {
        inputs.push(("pieces that their ends hold to the longest blank, together".into(), full.text(units)));
        inputs.push(("equal share of the rest".into(), share.decimal(units)));
    } else {
        inputs.push(("equal share".into(), share.decimal(units)));
    }
    "equal share, on the bench's reading; what is left over is given to the pieces laid first, so that the sum is exact"
}

/// Length of the blank.
pub fn blank_length(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let beyond = |side: Side| {
        let what = match cutting.outer_end(side) {
            Some(End::Return { .. }) => "return",
            Some(End::Dam { .. }) => "end dam",
            Some(End::Corner { .. }) => "corner, at its longest leg",
            Some(End::Transition { .. }) => "transition, at its longest leg",
            Some(End::Square | End::Gable { .. }) | None => "end",
        };
        (format!("beyond the finished {} end: {what}", side.name()), cutting.cut(side).beyond().text(units))
    };
    Working::new(
        "blank length",
        "finished length + what each end reaches beyond it",
        [("finished length".into(), cutting.length().text(units)), beyond(Side::Left), beyond(Side::Right)],
        cutting.blank.length().text(units),
        COMMON_PRACTICE,
    )
}

/// Girth, from the section.
pub fn girth(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let mut inputs: Inputs =
        section.legs.iter().map(|leg| (leg.name.name().into_owned(), leg.width.text(units))).collect();
    let shortenings = flat.shortenings.iter().enumerate();
    inputs.extend(shortenings.map(|(i, v)| (format!("v, shortening at bend {}", i + 1), v.decimal(units))));
    for (edge, hem) in [(Edge::Datum, section.datum_hem), (Edge::Lower, section.lower_hem)] {
        let Some(hem) = hem else { continue };
        inputs.push((format!("h, hem at the {}", edge.name()), hem.width.text(units)));
        inputs.push((format!("g, its gap at the {}", edge.name()), hem.gap.text(units)));
    }
    inputs.push(("T, sheet thickness".to_owned(), section.thickness.decimal(units)));
    Working::new(
        "girth",
        "Σ outside legs − Σ v + Σ (h − 0.72 T + 0.57 g)",
        inputs,
        flat.girth.decimal(units),
        &format!("{}; hems by Machinery's Handbook eq. 33", cutting.layout.bending.source),
    )
}

/// A hem's fold line, and the stop for it.
pub fn hem(cutting: &Cutting, op: &Op, edge: Edge) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let hem = section.hem(edge);
    let line = match edge {
        Edge::Datum => flat.head(),
        Edge::Lower => flat.foot(),
    };
    let hem_inputs =
        hem.map(|hem| [("h, hem".to_owned(), hem.width.text(units)), ("g, its gap".to_owned(), hem.gap.text(units))]);
    let mut inputs: Inputs = hem_inputs.into_iter().flatten().collect();
    inputs.push(("T, sheet thickness".into(), section.thickness.decimal(units)));
    inputs.push(("girth".into(), flat.girth.decimal(units)));
    let rule = match edge {
        Edge::Datum => "fold line: (h − 0.72 T + 0.57 g) + 0.36 T − 0.285 g from the datum edge",
        Edge::Lower => "fold line: girth − (h − 0.72 T + 0.57 g) − 0.36 T + 0.285 g from the datum edge",
    };
    inputs.push(("fold line, from the datum edge".into(), line.decimal(units)));
    inputs.extend(stop(op, flat, line, units));
    Working::new(
        "hem's stop",
        &format!("{rule}; the stop is as far from it as the edge in the throat"),
        inputs,
        op.gauge.decimal(units),
        "Machinery's Handbook eq. 33: half of the fold's arc lies each side of its line",
    )
}

/// What rests against the stop, from the datum edge.
fn stop(op: &Op, flat: &Flat, line: Length, units: crate::trade::length::Units) -> Inputs {
    let at = match op.lie.in_throat {
        Edge::Datum => line - op.gauge,
        Edge::Lower => line + op.gauge,
    };
    let what = match op.stop {
        Stop::RawEdge => op.lie.in_throat.name().to_owned(),
        Stop::HemFold => format!("{}'s hem", op.lie.in_throat.name()),
    };
    let _ = flat;
    vec![(format!("against the stop: the {what}, from the datum edge at"), at.decimal(units))]
}

/// A bend's line, the angle it is bent through, and the stop for it.
pub fn bend(cutting: &Cutting, op: &Op, index: usize) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let through = section.bends[index].through_deg;
    let legs: Length = section.legs[..=index].iter().map(|leg| leg.width).sum();
    let before: Length = flat.shortenings[..index].iter().copied().sum();
    let line = flat.bend_lines[index];
    let mut inputs = Inputs::new();
    if let (true, Some(pitch)) = (cutting.run.trim.follows_pitch(), &cutting.run.roof.pitch) {
        inputs.push(("roof pitch".into(), format!("{pitch} = {}", degrees(pitch.degrees()))));
    }
    if let (Trim::Ridge, Some(pitch)) = (cutting.run.trim, &cutting.run.roof.far_pitch) {
        inputs.push(("roof pitch beyond".into(), format!("{pitch} = {}", degrees(pitch.degrees()))));
    }
    inputs.extend([
        (format!("N, bent through ({})", through_words(cutting, index)), degrees(through)),
        ("r, inside radius".into(), section.inside_radius.decimal(units)),
        ("s, sheet thickness".into(), section.thickness.decimal(units)),
    ]);
    let (rule, k) = match cutting.layout.bending.rule {
        Rule::Din6935 => {
            let ratio = section.inside_radius.mm() / section.thickness.mm();
            let k = format!("{:.4}", bending::k(ratio));
            ("2(r + s)·tan(N/2) − π·(N/180)·(r + k·s/2)", ("k = 0.65 + 0.5·log10(r/s), from 0 to 1".to_owned(), k))
        }
        Rule::KFactor(k) => ("2(r + s)·tan(N/2) − π·(N/180)·(r + K·s)", ("K".to_owned(), format!("{k:.4}"))),
    };
    inputs.push(k);
    if section.datum_hem.is_some() {
        inputs.push((
            "the datum edge's hem adds".into(),
            (line + before + half(flat.shortenings[index]) - legs).decimal(units),
        ));
    }
    inputs.extend([
        ("v, shortening at this bend".into(), flat.shortenings[index].decimal(units)),
        ("Σ legs before it".into(), legs.decimal(units)),
        ("Σ v of the bends before it".into(), before.decimal(units)),
        ("bend line, from the datum edge".into(), line.decimal(units)),
    ]);
    inputs.extend(stop(op, flat, line, units));
    if let Some(kept) = cutting.layout.bending.springback {
        inputs.push(("angle got over angle set".into(), format!("{kept:.4}")));
        inputs.push(("leaf set to N over that".into(), degrees(through / kept)));
    }
    Working::new(
        "bend's stop",
        &format!(
            "bend line: what a hem before it adds + Σ legs before − Σ v before − v/2, with v = {rule} (tan 45° past 90°); the \
             stop is as far from it as the edge in the throat"
        ),
        inputs,
        op.gauge.decimal(units),
        &cutting.layout.bending.source,
    )
}

fn half(length: Length) -> Length {
    Length::from_nm(length.nm() / 2)
}

/// Where a bend's angle comes from.
fn through_words(cutting: &Cutting, index: usize) -> &'static str {
    match (cutting.run.trim, index) {
        (Trim::EndWall, _) => "90° less the pitch",
        (Trim::Eave, 0) => "90° less the pitch",
        (Trim::Eave, _) => "the kick's angle",
        (Trim::Ridge, _) => "both pitches together",
        (Trim::Custom, _) => "as ordered",
        (Trim::Reglet | Trim::SideWall | Trim::Gable, _) => "a right angle",
    }
}

/// What a lap notch takes.
pub fn lap_notch(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let (lap, section) = (cutting.run.lap, &cutting.layout.section);
    let hems = [("datum edge", section.datum_hem), ("lower edge", section.lower_hem)];
    let hems = hems.into_iter().filter_map(|(edge, hem)| Some((edge, hem?)));
    let mut inputs = vec![("ℓ, lap".to_owned(), lap.text(units))];
    let mut results = Vec::new();
    for (edge, hem) in hems {
        inputs.push((format!("h, hem at the {edge}"), hem.width.text(units)));
        results.push(format!("{} × {}", lap.text(units), (hem.width + cut::HEM_RELIEF).reading(units)));
    }
    inputs.push(("relief past the fold".into(), cut::HEM_RELIEF.text(units)));
    Working::new("lap notch", "ℓ along, h + ⅛ in across from the edge", inputs, results.join(" and "), COMMON_PRACTICE)
}

/// What a gable cut takes at each of its marks.
pub fn gable(cutting: &Cutting, side: Side, width: Length) -> Working {
    let units = cutting.order.units;
    let flat = &cutting.layout.flat;
    let bend = flat.bend_lines.last().copied().unwrap_or_default();
    Working::new(
        "gable cut",
        "at the fold W; at the bend line 0; at t past the fold W·(1 − t/B)",
        [
            ("W, gable's width", width.text(units)),
            ("B, roof leg in the flat, bend line to fold", (flat.foot() - bend).decimal(units)),
            ("t, at the blank's lower edge", (flat.girth - flat.foot()).decimal(units)),
        ],
        format!(
            "{} at the fold, {} at the lower edge",
            width.text(units),
            cutting.cut(side).at_lower_edge().decimal(units)
        ),
        "geometry: the hem's cut is the mirror image over its fold",
    )
}

/// What is cut away beside the tab of a return or an end dam.
pub fn tab_cut(cutting: &Cutting, side: Side, size: Length) -> Working {
    let units = cutting.order.units;
    let flat = &cutting.layout.flat;
    let bend = flat.bend_lines.last().copied().unwrap_or_default();
    let what = match cutting.outer_end(side) {
        Some(End::Dam { .. }) => "end dam's cut",
        _ => "return cut",
    };
    Working::new(
        what,
        "over D: all above the last leg's bend line, and the hem; the leg stays as a tab",
        [
            ("D, depth of the tab", size.text(units)),
            ("last bend line from the datum edge", bend.decimal(units)),
            ("last leg's end from the datum edge", flat.foot().decimal(units)),
        ],
        format!("tab {} deep", size.text(units)),
        COMMON_PRACTICE,
    )
}

/// Where a mitre is cut at each of its marks.
pub fn mitre(cutting: &Cutting, side: Side) -> Working {
    let units = cutting.order.units;
    let (end, roof) = (cutting.outer_end(side), &cutting.run.roof);
    let mut inputs = Inputs::new();
    if let Some(pitch) = roof.pitch {
        inputs.push(("φ, pitch".into(), format!("{pitch} = {}", degrees(pitch.degrees()))));
    }
    let (what, rule) = match end {
        Some(End::Transition { to, falls }) => {
            let way = match falls {
                Falls::On => "the same way",
                Falls::Back => "the other way",
            };
            inputs.push((format!("pitch beyond, falling {way}"), format!("{to} = {}", degrees(to.degrees()))));
            ("transition's cut", "at each point h·tan(Δ/2), h its height off the roof and Δ the change of slope")
        }
        Some(End::Corner { side, turn_deg }) => {
            inputs.push(("δ, the wall turns through".into(), degrees(turn_deg)));
            let way = match side {
                Corner::Outside => "outside: longer away from the wall",
                Corner::Inside => "inside: shorter away from the wall",
            };
            inputs.push(("corner".into(), way.into()));
            (
                "corner's cut",
                "at each point d·tan(δ/2), d its distance out from the wall; along a roof leg B wide, B·cos φ·tan(δ/2)",
            )
        }
        _ => ("mitre", "none"),
    };
    let beyond = cutting.cut(side).beyond();
    for point in cutting.marks(side) {
        let inset = cutting.inset(side, point);
        let from_finished = beyond - inset;
        inputs.push((
            format!("at {} from the datum edge, past the wall's line", point.y.decimal(units)),
            from_finished.decimal(units),
        ));
    }
    Working::new(
        what,
        rule,
        inputs,
        format!("{} in from the blank's end, at the deepest mark", cutting.deepest_mark(side).decimal(units)),
        "geometry: the upright plane that halves the corner cuts every leg",
    )
}

/// What the working of a piece's mass is of.
pub const MASS: &str = "mass";

/// Mass, from the outline's area.
pub fn mass(cutting: &Cutting, area_mm2: f64, mass_kg: f64) -> Working {
    let metal = &cutting.order.metal;
    Working::new(
        MASS,
        &format!("area × m; {}", metal.basis.rule()),
        [
            ("area left after the cuts", format!("{:.4} m²", area_mm2 * 1e-6)),
            ("m, mass of the sheet", format!("{:.3} kg/m²", metal.areal_mass)),
        ],
        format!("{mass_kg:.2} kg ({:.2} lb)", mass_kg / KG_PER_LB),
        metal.basis.source(),
    )
}
