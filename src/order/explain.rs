//! The working behind each number of a piece, as data: the bench shows it, the plan's JSON carries it.

use crate::order::cutting::Cutting;
use crate::order::layout;
use crate::order::{End, Measured, Side, Trim};
use crate::trade::bending;
use crate::trade::cut::{self, Cut};
use crate::trade::length::Length;
use crate::trade::mass::KG_PER_LB;
use crate::trade::section::degrees;
use crate::trade::working::{COMMON_PRACTICE, Working};

/// Finished length, from the run.
pub fn length(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let run = cutting.run;
    let mut inputs = vec![("measured".to_owned(), run.length.text(units))];
    for (side, end) in [("left", run.left), ("right", run.right)] {
        match end {
            End::Gable { width } if run.measured == Measured::Between => {
                inputs.push((format!("{side} gable, added because measured between"), width.text(units)));
            }
            End::Return { depth } => inputs.push((format!("{side} return's depth, in its blank"), depth.text(units))),
            _ => {}
        }
    }
    let lengths = &cutting.layout.lengths;
    let n = lengths.len();
    let total = cutting.layout.run + run.lap * (n as i64 - 1);
    inputs.extend([
        ("R, finished run".into(), cutting.layout.run.text(units)),
        ("ℓ, lap".into(), run.lap.text(units)),
        ("Lmax, longest blank".into(), cutting.order.longest.text(units)),
        ("n, least with n·Lmax − (n − 1)·ℓ ≥ R and the returns' depths".into(), n.to_string()),
        ("R + (n − 1)·ℓ, all pieces together".into(), total.text(units)),
    ]);

    // Where a return leaves less of the longest blank than an equal share, its piece's blank is as long as can be.
    let capped = |index: usize| {
        let depth = cutting.depth_of(index);
        n > 1 && depth > Length::ZERO && lengths[index] + depth == cutting.order.longest
    };
    // Only the run's outer pieces have a return.
    let held: Vec<Length> = [0, n - 1].into_iter().filter(|&index| capped(index)).map(|index| lengths[index]).collect();
    let full: Length = held.iter().copied().sum();
    let rule = if capped(cutting.index) {
        "Lmax − the return's depth: its blank is as long as can be"
    } else {
        // This piece at least shares, so some do.
        let share = Length::from_nm((total - full).nm() / (n - held.len()) as i64);
        if full > Length::ZERO {
            inputs.push(("pieces that a return holds to the longest blank, together".into(), full.text(units)));
            inputs.push(("equal share of the rest".into(), share.decimal(units)));
        } else {
            inputs.push(("equal share".into(), share.decimal(units)));
        }
        "equal share, on the bench's reading; what is left over is given to the pieces laid first, so that the sum is exact"
    };
    Working::new(
        "finished length",
        rule,
        inputs,
        cutting.length.text(units),
        "arithmetic; laps of at least 6 in are common practice, no source",
    )
}

/// Length of the blank.
pub fn blank_length(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let depth = |side| cutting.outer_end(side).map_or(Length::ZERO, layout::depth).text(units);
    Working::new(
        "blank length",
        "finished length + depth of each return",
        [
            ("finished length", cutting.length.text(units)),
            ("left return", depth(Side::Left)),
            ("right return", depth(Side::Right)),
        ],
        cutting.blank_length.text(units),
        COMMON_PRACTICE,
    )
}

/// Girth, from the section.
pub fn girth(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let legs = section.legs.iter().map(|leg| (leg.name.name().to_owned(), leg.width.text(units)));
    let shortenings = flat.shortenings.iter().enumerate();
    let shortenings = shortenings.map(|(i, v)| (format!("v, shortening at bend {}", i + 1), v.decimal(units)));
    let rest = [
        ("h, hem".to_owned(), section.hem.text(units)),
        ("T, sheet thickness".to_owned(), section.thickness.decimal(units)),
    ];
    Working::new(
        "girth",
        "Σ outside legs − Σ v + (h − 0.72 T)",
        legs.chain(shortenings).chain(rest),
        flat.girth.decimal(units),
        "DIN 6935; hem by Machinery's Handbook eq. 33",
    )
}

/// The hem's fold line.
pub fn hem(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    Working::new(
        "hem's fold line",
        "girth − (h − 0.72 T) − 0.36 T",
        [
            ("girth", flat.girth.decimal(units)),
            ("h, hem", section.hem.text(units)),
            ("T, sheet thickness", section.thickness.decimal(units)),
        ],
        flat.fold_line.decimal(units),
        "Machinery's Handbook eq. 33: half of the fold's arc lies each side of its line",
    )
}

/// A bend's line and the angle it is bent through.
pub fn bend(cutting: &Cutting, index: usize) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let through = section.bends[index].through_deg;
    let ratio = section.inside_radius.mm() / section.thickness.mm();
    let legs: Length = section.legs[..=index].iter().map(|leg| leg.width).sum();
    let before: Length = flat.shortenings[..index].iter().copied().sum();
    let mut inputs = Vec::new();
    if let (Trim::EndWall, Some(pitch)) = (cutting.run.trim, &cutting.run.pitch) {
        inputs.push(("roof pitch", format!("{pitch} = {}", degrees(pitch.degrees()))));
    }
    inputs.extend([
        ("N, bent through (90° less the pitch, or 90°)", degrees(through)),
        ("r, inside radius", section.inside_radius.decimal(units)),
        ("s, sheet thickness", section.thickness.decimal(units)),
        ("k = 0.65 + 0.5·log10(r/s), from 0 to 1", format!("{:.4}", bending::k(ratio))),
        ("v, shortening at this bend", flat.shortenings[index].decimal(units)),
        ("Σ legs before it", legs.decimal(units)),
        ("Σ v of the bends before it", before.decimal(units)),
    ]);
    Working::new(
        "bend line",
        "Σ legs before − Σ v before − v/2, with v = 2(r + s)·tan(N/2) − π·(N/180)·(r + k·s/2)",
        inputs,
        flat.bend_lines[index].decimal(units),
        "DIN 6935",
    )
}

/// What a lap notch takes.
pub fn lap_notch(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let (lap, hem) = (cutting.run.lap, cutting.layout.section.hem);
    Working::new(
        "lap notch",
        "ℓ along, h + ⅛ in up from the lower edge",
        [
            ("ℓ, lap", lap.text(units)),
            ("h, hem", hem.text(units)),
            ("relief past the fold", cut::HEM_RELIEF.text(units)),
        ],
        format!("{} × {}", lap.text(units), (hem + cut::HEM_RELIEF).reading(units)),
        COMMON_PRACTICE,
    )
}

/// What a gable cut takes at each of its two marks.
pub fn gable(cutting: &Cutting, width: Length) -> Working {
    let units = cutting.order.units;
    let flat = &cutting.layout.flat;
    let bend = flat.bend_lines.last().copied().unwrap_or_default();
    Working::new(
        "gable cut",
        "at the fold W; at the bend line 0; at t past the fold W·(1 − t/B)",
        [
            ("W, gable's width", width.text(units)),
            ("B, roof leg in the flat, bend line to fold", (flat.fold_line - bend).decimal(units)),
            ("t, at the blank's lower edge", (flat.girth - flat.fold_line).decimal(units)),
        ],
        format!(
            "{} at the fold, {} at the lower edge",
            width.text(units),
            gable_at_edge(cutting, width).decimal(units)
        ),
        "geometry: the hem's cut is the mirror image over its fold",
    )
}

/// How far in a gable cut is at the blank's lower edge.
pub fn gable_at_edge(cutting: &Cutting, width: Length) -> Length {
    Cut::gable(&cutting.layout.flat, width).at_lower_edge()
}

/// What a return cut takes.
pub fn return_cut(cutting: &Cutting, depth: Length) -> Working {
    let units = cutting.order.units;
    let flat = &cutting.layout.flat;
    let bend = flat.bend_lines.last().copied().unwrap_or_default();
    Working::new(
        "return cut",
        "over D: all above the face's bend line, and the hem; the face stays as a tab",
        [
            ("D, return depth", depth.text(units)),
            ("face's bend line from the datum edge", bend.decimal(units)),
            ("hem's fold from the datum edge", flat.fold_line.decimal(units)),
        ],
        format!("tab {} deep", depth.text(units)),
        COMMON_PRACTICE,
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
