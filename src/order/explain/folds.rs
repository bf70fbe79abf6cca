//! The workings of folds: where the line is, through what angle, how far off the stop stands.

use super::Inputs;
use crate::order::Trim;
use crate::order::cutting::Cutting;
use crate::trade::bend_order::{Op, Stop};
use crate::trade::bending::{self, Rule};
use crate::trade::length::{Length, Units};
use crate::trade::section::{Edge, degrees};
use crate::trade::working::Working;

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
    inputs.extend(stop(op, line, units));
    Working::new(
        "hem's stop",
        &format!("{rule}; the stop is as far from it as what rests against it"),
        inputs,
        op.gauge.decimal(units),
        "Machinery's Handbook eq. 33: half of the fold's arc lies each side of its line",
    )
}

/// What rests against the stop, from the datum edge.
fn stop(op: &Op, line: Length, units: Units) -> Inputs {
    let at = match op.lie.in_throat {
        Edge::Datum => line - op.gauge,
        Edge::Lower => line + op.gauge,
    };
    let edge = op.lie.in_throat.name();
    let what = match op.stop {
        Stop::RawEdge => format!("the {edge}"),
        Stop::HemFold => format!("the {edge}'s hem"),
        Stop::Bent => {
            return vec![("against the stop: what of the bent part is farthest in".into(), op.gauge.decimal(units))];
        }
    };
    vec![(format!("against the stop: {what}, from the datum edge at"), at.decimal(units))]
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
    inputs.extend(stop(op, line, units));
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
