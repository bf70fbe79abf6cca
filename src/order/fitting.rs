//! What holds, closes and seals a run, from its layout and the shop's habits.

use crate::order::layout::Layout;
use crate::order::plan::Measure;
use crate::order::sheet::{CutScrew, FastenerLine, LapPlace, RunSheet};
use crate::order::{End, Order, Run};
use crate::trade::cut::Cut;
use crate::trade::expansion::{Coefficient, FAHRENHEIT_PER_KELVIN};
use crate::trade::hardware::laid_run::{LaidEnd, LaidRun, Placed};
use crate::trade::hardware::spread::{Grid, Lap, Seams};
use crate::trade::hardware::{Hardware, needs::Total};
use crate::trade::length::Length;
use crate::trade::split;
use crate::trade::working::Working;

/// Adds what `run` takes to the order's `total`.
pub fn add(order: &Order, run: &Run, layout: &Layout, total: &mut Total) {
    total.add(&Hardware::of(&laid(run, layout), &order.shop.fasteners));
}

fn laid<'a>(run: &Run, layout: &'a Layout) -> LaidRun<'a> {
    let laps = layout.laps.iter();
    LaidRun {
        trim: run.trim,
        length: layout.run,
        laps: laps.map(|lap| Lap { from: lap.span.start, to: lap.span.end, joint: lap.joint }).collect(),
        ends: [end(run.left, &layout.ends[0]), end(run.right, &layout.ends[1])],
        seams: run.panels.map(|panels| Seams { first: panels.first, every: panels.every }),
        section: &layout.section,
        flat: &layout.flat,
    }
}

fn end(end: End, cut: &Cut) -> LaidEnd<'_> {
    match end {
        End::Square => LaidEnd::Square,
        End::Gable { width } => LaidEnd::Gable { width, cut },
        End::Corner { .. } | End::Transition { .. } => LaidEnd::Mitre { cut },
        End::Return { depth } | End::Dam { height: depth } => LaidEnd::Tab { depth },
    }
}

/// `run` as it will lie.
pub fn sheet(order: &Order, index: usize, run: &Run, layout: &Layout) -> RunSheet {
    let spacings = &order.shop.fasteners;
    let laid = laid(run, layout);
    let hardware = Hardware::of(&laid, spacings);
    let exact = |length| Measure::exact(length, order.units);
    let lap = |lap: &split::Lap| LapPlace {
        from: exact(lap.span.start),
        to: exact(lap.span.end),
        joint: lap.joint,
        on_seam: lap.on_seam,
    };
    let cut_screws = hardware.cut_screws.iter().map(|screw| CutScrew {
        leg: screw.leg.name().into_owned(),
        at: Measure::reading(screw.x, order.units),
        down: Measure::reading(screw.down, order.units),
    });
    let working = hardware.workings(&laid, spacings, order.units);
    RunSheet {
        run: index,
        wall: run.wall.clone(),
        trim: run.trim,
        length: exact(layout.run),
        laps: layout.laps.iter().map(lap).collect(),
        fasteners: hardware.lines.iter().map(|placed| fastener_line(order, placed)).collect(),
        cut_screws: cut_screws.collect(),
        tape: hardware.taped.first().map(|track| exact(track.off_edge)),
        high_wind: spacings.high_wind.is_some(),
        working: working.into_iter().chain(expansion(order, run, layout)).collect(),
    }
}

fn fastener_line(order: &Order, placed: &Placed) -> FastenerLine {
    let exact = |length| Measure::exact(length, order.units);
    let (apart, on_seams) = match placed.grid {
        Grid::Evenly(apart) => (Some(exact(apart)), false),
        Grid::Seams(_) => (None, true),
        Grid::SeamsAndBetween(_, apart) => (Some(exact(apart)), true),
    };
    FastenerLine {
        what: placed.line.fastener.to_string(),
        leg: placed.line.leg.name().into_owned(),
        off: exact(placed.track.off_edge),
        edge: placed.line.edge,
        apart,
        on_seams,
        at: placed.positions.iter().map(|&at| Measure::reading(at, order.units)).collect(),
        source: placed.line.source.into(),
    }
}

/// How much of a run moves with the weather, and how long a stretch may be without a joint.
fn expansion(order: &Order, run: &Run, layout: &Layout) -> Vec<Working> {
    let settings = &order.shop.expansion;
    let kelvin = (settings.hottest_f - settings.coldest_f) / FAHRENHEIT_PER_KELVIN;
    let kind = order.metal.kind;
    let coefficient = Coefficient::of(kind).or(settings.zinc_ppm_per_f.map(Coefficient::set));
    let movement = coefficient.map(|coefficient| coefficient.working(longest_stretch(layout), kelvin, order.units));
    let joints = order.shop.interval(kind, run.trim).map(|interval| interval.working(layout.run, order.units));
    movement.into_iter().chain(joints).collect()
}

/// The longest metal that moves as one: from where one joint's lap begins to where the next one's ends.
fn longest_stretch(layout: &Layout) -> Length {
    let joints = || layout.laps.iter().filter(|lap| lap.joint).map(|lap| lap.span);
    let from = std::iter::once(Length::ZERO).chain(joints().map(|span| span.start));
    let to = joints().map(|span| span.end).chain([layout.run]);
    from.zip(to).map(|(from, to)| to - from).max().unwrap_or(layout.run)
}
