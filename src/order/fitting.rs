//! What holds, closes and seals a run, from its layout and the shop's habits.

use crate::order::layout::Layout;
use crate::order::plan::Measure;
use crate::order::sheet::{CutScrew, FastenerLine, LapPlace, RunSheet};
use crate::order::{End, Order, Run};
use crate::trade::cut::Cut;
use crate::trade::expansion::{Coefficient, Interval};
use crate::trade::hardware::laid_run::{EndCut, LaidRun};
use crate::trade::hardware::spread::{Lap, Seams};
use crate::trade::hardware::{Hardware, Spacings};
use crate::trade::length::Length;
use crate::trade::sealant::{Bead, Sealing, Volume};
use crate::trade::working::Working;

/// What `run` takes.
pub fn hardware(order: &Order, run: &Run, layout: &Layout) -> Hardware {
    let laps = layout.laps.iter();
    let laid = LaidRun {
        trim: run.trim,
        length: layout.run,
        laps: laps.map(|lap| Lap { from: lap.span.start, to: lap.span.end, joint: lap.joint }).collect(),
        ends: [end_cut(run.left, &layout.ends[0]), end_cut(run.right, &layout.ends[1])],
        seams: run.panels.map(|panels| Seams { first: panels.first, every: panels.every }),
        legs: layout.section.legs.clone(),
    };
    Hardware::of(&laid, &spacings(order), order.units)
}

fn end_cut(end: End, cut: &Cut) -> EndCut {
    match end {
        End::Gable { width } => EndCut::Gable { width },
        End::Corner { .. } | End::Transition { .. } => EndCut::Mitre { back: cut.at_lower_edge() },
        End::Square | End::Return { .. } | End::Dam { .. } => EndCut::Square,
    }
}

fn spacings(order: &Order) -> Spacings {
    let fasteners = &order.shop.fasteners;
    Spacings {
        wall: fasteners.wall_spacing,
        wall_line: fasteners.wall_line,
        end: fasteners.wall_end,
        screws: fasteners.screw_spacing,
        lap_side: fasteners.lap_side,
        setback: fasteners.closure_setback,
        panel: fasteners.panel_width,
        high_wind: fasteners.high_wind,
    }
}

/// How the shop seals.
pub fn sealing(order: &Order) -> Sealing {
    let sealing = &order.shop.sealing;
    Sealing {
        bead: Bead::Rectangle { width: sealing.bead_width, height: sealing.bead_height },
        cartridge: Volume::fluid_ounces(sealing.cartridge_fl_oz),
        waste_percent: sealing.waste_percent.round() as u32,
    }
}

/// `run` as it will lie.
pub fn sheet(order: &Order, index: usize, run: &Run, layout: &Layout, hardware: Hardware) -> RunSheet {
    let exact = |length| Measure::exact(length, order.units);
    let lap = |lap: &crate::trade::split::Lap| LapPlace {
        from: exact(lap.span.start),
        to: exact(lap.span.end),
        joint: lap.joint,
        on_seam: lap.on_seam,
    };
    let fasteners = hardware.lines.iter().map(|placed| FastenerLine {
        what: placed.line.fastener.to_string(),
        leg: placed.line.leg.name().into_owned(),
        off: exact(placed.off_edge),
        edge: placed.line.edge,
        at: placed.positions.iter().map(|&at| Measure::reading(at, order.units)).collect(),
        source: placed.line.source.into(),
    });
    let cut_screws = hardware.cut_screws.iter().map(|screw| CutScrew {
        leg: screw.leg.name().into_owned(),
        at: Measure::reading(screw.x, order.units),
        down: Measure::reading(screw.down, order.units),
    });
    RunSheet {
        run: index,
        wall: run.wall.clone(),
        trim: run.trim,
        length: exact(layout.run),
        laps: layout.laps.iter().map(lap).collect(),
        fasteners: fasteners.collect(),
        cut_screws: cut_screws.collect(),
        working: hardware.workings.into_iter().chain(expansion(order, layout.run)).collect(),
    }
}

/// How a run moves with the weather, and how long a stretch may be without a joint.
fn expansion(order: &Order, run: Length) -> Vec<Working> {
    let settings = &order.shop.expansion;
    let kelvin = (settings.hottest_f - settings.coldest_f) / 1.8;
    let kind = order.metal.kind;
    let coefficient = Coefficient::of(kind).or(settings.zinc_ppm_per_f.map(Coefficient::set));
    let published = Interval::of(kind);
    let interval = settings.interval.of(kind).map(|length| match published {
        Some(published) if published.length == length => published,
        _ => Interval::set(length),
    });
    let movement = coefficient.map(|coefficient| coefficient.working(run, kelvin, order.units));
    movement.into_iter().chain(interval.map(|interval| interval.working(run, order.units))).collect()
}
