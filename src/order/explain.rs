//! The working behind each number of a piece, as data: the bench shows it, the plan's JSON carries it.

mod ends;
mod folds;
mod tolerance;

pub use ends::{gable, lap_notch, mitre, open_hem, tab_cut, tab_fold};
pub use folds::{bend, hem};

use crate::order::cutting::Cutting;
use crate::order::{End, Measured, Side};
use crate::trade::length::Length;
use crate::trade::mass::KG_PER_LB;
use crate::trade::section::Edge;
use crate::trade::split::{Kind, Span};
use crate::trade::working::{COMMON_PRACTICE, Working};

/// A rule's inputs: name, and value with unit.
type Inputs = Vec<(String, String)>;

/// Finished length, from the run; and how far off it may be.
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
    let heeded = heeded(cutting);
    let rule = if !layout.laps.is_empty() && !heeded.is_empty() {
        let [left, right] = [cutting.from_left(), cutting.from_left() + cutting.length()];
        let share = Length::from_nm(total.nm() / n as i64);
        let even = (share - run.lap) * cutting.index as i64;
        inputs.extend([
            ("n, pieces".into(), n.to_string()),
            ("equal share of R + (n − 1)·ℓ".into(), share.decimal(units)),
            ("equal shares would put its left end at".into(), even.decimal(units)),
            ("equal shares would put its right end at".into(), (even + share).decimal(units)),
        ]);
        inputs.extend(heeded);
        inputs.extend([
            ("its left end, from the run's left end".into(), left.text(units)),
            ("its right end, from the run's left end".into(), right.text(units)),
        ]);
        "right end − left end: each lap lies as near its place by equal shares as what it keeps clear of lets it"
    } else {
        inputs.extend([
            ("n, least with n·Lmax − (n − 1)·ℓ ≥ R and what the ends add".into(), n.to_string()),
            ("R + (n − 1)·ℓ, all pieces together".into(), total.text(units)),
        ]);
        share(cutting, total, &mut inputs)
    };
    inputs.extend(tolerance::inputs(cutting));
    Working::new(
        "finished length",
        rule,
        inputs,
        cutting.length().text(units),
        &format!("arithmetic; laps of at least 6 in are common practice, no source; {}", tolerance::SOURCE),
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

/// What the run's laps keep clear of: the other trims' laps near this piece's ends, seams, joints.
fn heeded(cutting: &Cutting) -> Inputs {
    let (units, shop, layout) = (cutting.order.units, &cutting.order.shop, cutting.layout);
    let mut inputs = Inputs::new();
    if !layout.kept_from.is_empty() {
        inputs.push(("laps kept from those of the wall's other trims by".into(), cutting.run.stagger.text(units)));
        let ends = [cutting.from_left(), cutting.from_left() + cutting.length()];
        for end in ends {
            // They are in order: the one before and the one after are looked at.
            let next = layout.kept_from.partition_point(|lap| lap.start < end);
            let near = &layout.kept_from[next.saturating_sub(1)..(next + 1).min(layout.kept_from.len())];
            let off = |lap: &&Span| (lap.start - end).nm().abs();
            if let Some(lap) = near.iter().min_by_key(off) {
                let span = format!("{} to {}", lap.start.text(units), lap.end.text(units));
                inputs.push((format!("nearest of them to {}", end.text(units)), span));
            }
        }
    }
    if let Some(panels) = cutting.run.panels {
        let seams = format!("{}, and every {}", panels.first.text(units), panels.every.text(units));
        inputs.push(("panel seams at".into(), seams));
        inputs.push(("laps kept from seams, where possible, by".into(), shop.splits.seam_clearance.text(units)));
    }
    if let Some(interval) = layout.interval {
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
