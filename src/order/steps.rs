//! A piece as a row of things to do at the bench, each with its one number, its caution and its working.
//!
//! The hem is folded before the bends, while the strip still lies flat: a bent leg would keep it out of the brake.

use crate::order::layout;
use crate::order::plan::{Action, Goes, Measure, Painted, Step};
use crate::order::planner::Cutting;
use crate::order::{End, Measured, Side, Trim};
use crate::trade::bending;
use crate::trade::caution::{Caution, Signal};
use crate::trade::cut;
use crate::trade::length::{Length, Units};
use crate::trade::mass::KG_PER_LB;
use crate::trade::section::Turn;
use crate::trade::working::Working;

const SHARP: &str = "Sheared edges cut: wear gloves and eye protection.";
const SHEAR: &str = "Keep hands clear of the blade and the hold-down. Wear gloves and eye protection.";
const PINCH: &str = "Pinch point: keep hands clear of the jaw and the swinging leaf.";
const TWO_PEOPLE: &str = "Long and whippy: two people carry and turn it.";

/// A cut that heals.
fn sharp() -> Option<Caution> {
    Some(Caution::new(Signal::Caution, SHARP))
}

/// A crushed finger does not.
fn pinch() -> Option<Caution> {
    Some(Caution::new(Signal::Warning, PINCH))
}

/// From this length on, two people handle a piece (common practice, no source).
const LONG_PIECE: Length = Length::inches(96);

/// The steps of one piece, in the order they are done.
pub fn of(cutting: &Cutting) -> Vec<Step> {
    let mut steps = vec![take_blank(cutting), shear(cutting), mark(cutting)];
    for side in [Side::Left, Side::Right] {
        steps.extend(cut_end(cutting, side));
    }
    steps.push(hem(cutting));
    steps.extend((0..cutting.layout.section.bends.len()).map(|index| bend(cutting, index)));
    for side in [Side::Left, Side::Right] {
        steps.extend(finish_end(cutting, side));
    }
    steps.push(check_length(cutting));
    steps.push(Step {
        caution: None,
        ..step(Action::Label, "Print the label and stick it near the LEFT end, on the face that will be seen, where it can be scanned in the stack.".into())
    });
    steps
}

fn step(action: Action, text: String) -> Step {
    Step { action, bend: None, side: None, number: None, text, caution: None, working: None }
}

impl Side {
    /// The word on cards.
    pub fn name(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

impl Cutting<'_> {
    fn exact(&self, length: Length) -> Measure {
        Measure::exact(length, self.order.units)
    }

    fn reading(&self, length: Length) -> Measure {
        Measure::reading(length, self.order.units)
    }
}

fn take_blank(cutting: &Cutting) -> Step {
    let up = match cutting.order.painted {
        Painted::Out => "Painted side up",
        Painted::In => "Painted side down",
        Painted::Both | Painted::None => "The side that will be seen up",
    };
    let girth = cutting.reading(cutting.layout.flat.girth);
    Step {
        number: Some(girth.clone()),
        caution: sharp(),
        working: Some(girth_working(cutting)),
        ..step(
            Action::TakeBlank,
            format!(
                "Take a strip of {}, {} wide. {up}, the datum edge (the wall side) away from you: left is then left.",
                cutting.order.metal.label, girth.text,
            ),
        )
    }
}

fn shear(cutting: &Cutting) -> Step {
    let length = cutting.exact(cutting.blank_length);
    let caution = if cutting.blank_length >= LONG_PIECE { format!("{SHEAR} {TWO_PEOPLE}") } else { SHEAR.into() };
    Step {
        number: Some(length.clone()),
        caution: Some(Caution::new(Signal::Warning, &caution)),
        working: Some(blank_length_working(cutting)),
        ..step(Action::Shear, format!("Shear the strip to {}.", length.text))
    }
}

fn mark(cutting: &Cutting) -> Step {
    let flat = &cutting.layout.flat;
    let lines: Vec<String> = flat.bend_lines.iter().map(|&line| cutting.reading(line).text).collect();
    let bends = if lines.len() == 1 { "the bend line" } else { "the bend lines" };
    step(
        Action::Mark,
        format!(
            "Write LEFT on the left end. From the datum edge mark {bends} at {} and the hem's fold at {}.",
            lines.join(" and "),
            cutting.reading(flat.fold_line).text,
        ),
    )
}

/// The notch or cut at an end, made while the blank is flat.
fn cut_end(cutting: &Cutting, side: Side) -> Option<Step> {
    let flat = &cutting.layout.flat;
    let hem = cutting.layout.section.hem;
    let name = side.name();
    let reading = |length| cutting.reading(length).text;
    match cutting.outer_end(side) {
        Some(End::Square) => None,
        Some(End::Gable { width }) => Some(Step {
            side: Some(side),
            number: Some(cutting.exact(width)),
            caution: sharp(),
            working: Some(gable_working(cutting, width)),
            ..step(
                Action::CutEnd,
                format!(
                    "At the {name} end mark {} in along the hem's fold. Cut from there to the bend line at the very end; \
                     over the hem carry on as the mirror image, so that it lies inside the cut when folded.",
                    cutting.exact(width).text,
                ),
            )
        }),
        Some(End::Return { depth }) => {
            let bend = flat.bend_lines.last().copied().unwrap_or_default();
            Some(Step {
                side: Some(side),
                number: Some(cutting.exact(depth)),
                caution: sharp(),
                working: Some(Working::new(
                    "return cut",
                    "over D: all above the face's bend line, and the hem; the face stays as a tab",
                    [
                        ("D, return depth", decimal(depth, cutting.order.units)),
                        ("face's bend line from the datum edge", decimal(bend, cutting.order.units)),
                        ("hem's fold from the datum edge", decimal(flat.fold_line, cutting.order.units)),
                    ],
                    format!("tab {} deep", cutting.exact(depth).text),
                    "common practice, no source",
                )),
                ..step(
                    Action::CutEnd,
                    format!(
                        "At the {name} end, over {}: cut away everything from the datum edge to the bend line at {}, and the \
                         hem beyond its fold at {}. What stays is the tab.",
                        cutting.exact(depth).text,
                        reading(bend),
                        reading(flat.fold_line),
                    ),
                )
            })
        }
        None if cutting.goes(side) == Goes::Under => {
            let lap = cutting.run.lap;
            let up = hem + cut::HEM_RELIEF;
            Some(Step {
                side: Some(side),
                number: Some(cutting.exact(lap)),
                caution: sharp(),
                working: Some(Working::new(
                    "lap notch",
                    "ℓ along, h + ⅛ in up from the lower edge",
                    [
                        ("ℓ, lap", decimal(lap, cutting.order.units)),
                        ("h, hem", decimal(hem, cutting.order.units)),
                        ("relief past the fold", decimal(cut::HEM_RELIEF, cutting.order.units)),
                    ],
                    format!("{} × {}", cutting.exact(lap).text, reading(up)),
                    "common practice, no source",
                )),
                ..step(
                    Action::NotchLap,
                    format!(
                        "The {name} end goes under. Notch it {} along and {} up from the lower edge: the hem, and a little past its fold.",
                        cutting.exact(lap).text,
                        reading(up),
                    ),
                )
            })
        }
        None => None,
    }
}

fn hem(cutting: &Cutting) -> Step {
    let fold = cutting.reading(cutting.layout.flat.fold_line);
    let width = cutting.layout.section.hem;
    Step {
        number: Some(fold.clone()),
        caution: pinch(),
        working: Some(hem_working(cutting)),
        ..step(
            Action::Hem,
            format!(
                "Fold the lower edge down, away from the side that will be seen, at {} from the datum edge, and flatten it: a hem {} wide.",
                fold.text,
                cutting.exact(width).text,
            ),
        )
    }
}

fn bend(cutting: &Cutting, index: usize) -> Step {
    let bend = cutting.layout.section.bends[index];
    let at = cutting.reading(cutting.layout.flat.bend_lines[index]);
    let turn = match bend.turn {
        Turn::Up => "up",
        Turn::Down => "down",
    };
    let through = degrees(bend.through_deg);
    let opening = degrees(180.0 - bend.through_deg);
    Step {
        bend: Some(index),
        number: Some(at.clone()),
        caution: pinch(),
        working: Some(bend_working(cutting, index)),
        ..step(
            Action::Bend,
            format!(
                "Bend {turn} through {through}, {} from the datum edge. The angle it leaves open is {opening}.",
                at.text
            ),
        )
    }
}

/// What is done at an end after the bends.
fn finish_end(cutting: &Cutting, side: Side) -> Option<Step> {
    let name = side.name();
    match cutting.outer_end(side) {
        Some(End::Return { depth }) => Some(Step {
            side: Some(side),
            number: Some(cutting.exact(depth)),
            caution: sharp(),
            ..step(
                Action::FoldTab,
                format!(
                    "Fold the {name} end's tab back 90° toward the wall, {} from its end, to close the end.",
                    cutting.exact(depth).text,
                ),
            )
        }),
        Some(End::Square | End::Gable { .. }) => None,
        None if cutting.goes(side) == Goes::Over => Some(Step {
            side: Some(side),
            number: Some(cutting.exact(cutting.run.lap)),
            caution: sharp(),
            ..step(
                Action::OpenHem,
                format!(
                    "The {name} end goes over. Pry the hem open over {}, so that it slides onto the piece below.",
                    cutting.exact(cutting.run.lap).text,
                ),
            )
        }),
        None => None,
    }
}

fn check_length(cutting: &Cutting) -> Step {
    let length = cutting.exact(cutting.length);
    let returns =
        [Side::Left, Side::Right].into_iter().any(|side| matches!(cutting.outer_end(side), Some(End::Return { .. })));
    let over = if returns { "over the folded tab, " } else { "" };
    Step {
        number: Some(length.clone()),
        working: Some(length_working(cutting)),
        ..step(
            Action::CheckLength,
            format!("Measure the finished piece end to end, {over}at the bend. It should be {}.", length.text),
        )
    }
}

/// Finished length, from the run.
pub fn length_working(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let run = cutting.run;
    let mut inputs = vec![("measured".to_owned(), run.length.text(units))];
    if run.measured == Measured::Between {
        for (side, end) in [("left", run.left), ("right", run.right)] {
            if let End::Gable { width } = end {
                inputs.push((format!("{side} gable, added because measured between"), width.text(units)));
            }
        }
    }
    let n = cutting.layout.lengths.len();
    let total = cutting.layout.run + run.lap * (n as i64 - 1);
    inputs.extend([
        ("R, finished run".into(), cutting.layout.run.text(units)),
        ("ℓ, lap".into(), run.lap.text(units)),
        ("Lmax, longest blank".into(), cutting.order.longest.text(units)),
        ("n, least with n·Lmax − (n − 1)·ℓ ≥ R and the returns' depths".into(), n.to_string()),
        ("R + (n − 1)·ℓ, all pieces together".into(), total.text(units)),
    ]);
    Working {
        inputs: inputs.into_iter().map(|(name, value)| crate::trade::working::Input { name, value }).collect(),
        ..Working::new(
            "finished length",
            "(R + (n − 1)·ℓ) / n, on the bench's reading; what is left over is given to the pieces laid first",
            [],
            cutting.length.text(units),
            "arithmetic; laps of at least 6 in are common practice, no source",
        )
    }
}

fn blank_length_working(cutting: &Cutting) -> Working {
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
        "common practice, no source",
    )
}

/// Girth, from the section.
pub fn girth_working(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let legs = section.legs.iter().map(|leg| format!("{} {}", leg.name.name(), leg.width.text(units)));
    let shortenings: Vec<String> = flat.shortenings.iter().map(|&v| decimal(v, units)).collect();
    Working::new(
        "girth",
        "Σ legs − Σ v + (h − 0.72 T)",
        [
            ("legs, outside", legs.collect::<Vec<_>>().join(", ")),
            ("v, shortening at each bend", shortenings.join(", ")),
            ("h, hem", section.hem.text(units)),
            ("T, sheet thickness", decimal(section.thickness, units)),
        ],
        decimal(flat.girth, units),
        "DIN 6935; hem by Machinery's Handbook eq. 33",
    )
}

fn hem_working(cutting: &Cutting) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    Working::new(
        "hem's fold line",
        "girth − (h − 0.72 T) − 0.36 T",
        [
            ("girth", decimal(flat.girth, units)),
            ("h, hem", section.hem.text(units)),
            ("T, sheet thickness", decimal(section.thickness, units)),
        ],
        decimal(flat.fold_line, units),
        "Machinery's Handbook eq. 33: half of the fold's arc lies each side of its line",
    )
}

fn bend_working(cutting: &Cutting, index: usize) -> Working {
    let units = cutting.order.units;
    let (section, flat) = (&cutting.layout.section, &cutting.layout.flat);
    let through = section.bends[index].through_deg;
    let ratio = section.inside_radius.mm() / section.thickness.mm();
    let mut inputs = Vec::new();
    let mut input = |name: &str, value: String| {
        inputs.push(crate::trade::working::Input { name: name.into(), value });
    };
    if let (Trim::EndWall, Some(pitch)) = (cutting.run.trim, &cutting.run.pitch) {
        input("roof pitch", format!("{pitch} = {}", degrees(pitch.degrees())));
        input("N, bent through: 90° − pitch", degrees(through));
    } else {
        input("N, bent through", degrees(through));
    }
    input("r, inside radius", decimal(section.inside_radius, units));
    input("s, sheet thickness", decimal(section.thickness, units));
    input("k = 0.65 + 0.5·log10(r/s), at most 1", format!("{:.4}", bending::k(ratio)));
    input("v, shortening", decimal(flat.shortenings[index], units));
    Working {
        inputs,
        ..Working::new(
            "bend line",
            "Σ legs before it − Σ v before it − v/2, with v = 2(r + s)·tan(N/2) − π·(N/180)·(r + k·s/2)",
            [],
            decimal(flat.bend_lines[index], units),
            "DIN 6935",
        )
    }
}

fn gable_working(cutting: &Cutting, width: Length) -> Working {
    let units = cutting.order.units;
    let flat = &cutting.layout.flat;
    let bend = flat.bend_lines.last().copied().unwrap_or_default();
    let leg = flat.fold_line - bend;
    let past = flat.girth - flat.fold_line;
    let at_edge = Length::from_mm(width.mm() * (1.0 - past.mm() / leg.mm()));
    Working::new(
        "gable cut",
        "at the fold W; at the bend line 0; at t past the fold W·(1 − t/B)",
        [
            ("W, gable's width", width.text(units)),
            ("B, roof leg in the flat, bend line to fold", decimal(leg, units)),
            ("t, at the blank's lower edge", decimal(past, units)),
        ],
        format!("{} at the fold, {} at the lower edge", width.text(units), decimal(at_edge, units)),
        "geometry: the hem's cut is the mirror image over its fold",
    )
}

/// Mass, from the outline's area.
pub fn mass_working(cutting: &Cutting, area_mm2: f64, mass_kg: f64) -> Working {
    let metal = &cutting.order.metal;
    Working::new(
        "mass",
        &format!("area × m; {}", metal.basis.rule()),
        [
            ("area left after the cuts", format!("{:.4} m²", area_mm2 * 1e-6)),
            ("m, mass of the sheet", format!("{:.3} kg/m²", metal.areal_mass)),
        ],
        format!("{mass_kg:.2} kg ({:.2} lb)", mass_kg / KG_PER_LB),
        metal.basis.source(),
    )
}

/// A computed length as a decimal: finer than the bench reads, so that the sum can be followed.
fn decimal(length: Length, units: Units) -> String {
    match units {
        Units::In => format!("{:.4} in", length.in_inches()),
        Units::Mm => format!("{:.3} mm", length.mm()),
    }
}

fn degrees(angle: f64) -> String {
    format!("{}°", format!("{angle:.1}").trim_end_matches(".0"))
}
