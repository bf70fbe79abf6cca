//! The workings of what is cut at a piece's ends.

use super::Inputs;
use crate::order::cutting::Cutting;
use crate::order::{Corner, End, Falls, Side};
use crate::trade::cut;
use crate::trade::length::Length;
use crate::trade::mitre;
use crate::trade::pitch::Pitch;
use crate::trade::section::degrees;
use crate::trade::working::{COMMON_PRACTICE, Working};

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

/// How deep the tab of a return or an end dam is folded.
pub fn tab_fold(cutting: &Cutting, size: Length) -> Working {
    let size = size.text(cutting.order.units);
    Working::new(
        "tab's fold",
        "D from the end, as deep as the tab is cut",
        [("D, depth of the tab", size.clone())],
        size,
        COMMON_PRACTICE,
    )
}

/// How far an over piece's hem is opened.
pub fn open_hem(cutting: &Cutting) -> Working {
    let lap = cutting.run.lap.text(cutting.order.units);
    Working::new(
        "hem pried open",
        "over ℓ, as far as it covers the piece below, whose hem is notched away there",
        [("ℓ, lap", lap.clone())],
        lap,
        COMMON_PRACTICE,
    )
}

/// Where a mitre is cut at each of its marks.
pub fn mitre(cutting: &Cutting, side: Side) -> Working {
    let units = cutting.order.units;
    let (end, roof) = (cutting.outer_end(side), &cutting.run.roof);
    let mut inputs = Inputs::new();
    let pitch = |name: &str, pitch: Pitch| (name.to_owned(), format!("{pitch} = {}", degrees(pitch.degrees())));
    inputs.extend(roof.pitch.map(|of| pitch("φ, pitch", of)));
    inputs.extend(roof.far_pitch.map(|of| pitch("pitch beyond the ridge", of)));
    let (what, rule, of, axis) = match end {
        Some(End::Transition { to, falls }) => {
            let name = match falls {
                Falls::On => "pitch beyond, falling the same way",
                Falls::Back => "pitch beyond, falling the other way",
            };
            inputs.push(pitch(name, to));
            let rule = "at each point h·tan(Δ/2), h its height off the roof and Δ the change of slope";
            ("transition's cut", rule, "h", 1)
        }
        Some(End::Corner { side, turn_deg }) => {
            let way = match side {
                Corner::Outside => "outside: longer away from the wall",
                Corner::Inside => "inside: shorter away from the wall",
            };
            inputs.push(("δ, the wall turns through".into(), degrees(turn_deg)));
            inputs.push(("corner".into(), way.into()));
            let rule = "at each point d·tan(δ/2), d how far the middle of the metal stands out from the wall, or from the ridge";
            ("corner's cut", rule, "d", 0)
        }
        _ => ("mitre", "none", "d", 0),
    };
    let beyond = cutting.cut(side).beyond();
    let stance = cutting.run.profile.stance(roof);
    for mark in cutting.marks(side) {
        let standing = mitre::standing(&cutting.layout.section, cutting.layout.bending.rule, stance, mark.y);
        let at = mark.y.decimal(units);
        inputs.push((format!("{of}, at {at} from the datum edge"), Length::from_mm(standing[axis]).decimal(units)));
        let past = beyond - cutting.inset(side, mark);
        inputs.push((format!("past the run's end, at {at} from the datum edge"), past.decimal(units)));
    }
    inputs.push(("beyond the finished end, the longest point".into(), beyond.decimal(units)));
    Working::new(
        what,
        &format!("{rule}; the deepest mark lies as far in from the blank's end as the longest point is past it"),
        inputs,
        cutting.deepest_mark(side).decimal(units),
        "geometry: the plane that halves the corner cuts every leg",
    )
}
