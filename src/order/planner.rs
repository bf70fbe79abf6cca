//! From a checked order to its pieces: lengths, who goes under, outlines, mass.

use crate::order::cutting::{Cutting, mark};
use crate::order::fault::{Fault, Faults};
use crate::order::layout::{self, Layout};
use crate::order::plan::{self, Blank, Hem, Leg, Measure, Piece, Plan};
use crate::order::{Order, Run, Side, explain, notices, steps};
use crate::trade::cut;
use crate::trade::length::Length;
use crate::trade::section::Turn;

/// An order whose every run can be made.
///
/// Its pieces are made one at a time as they are asked for: an order may have fifty thousand, and whoever stores or prints
/// them needs only one in hand.
pub struct Makeable<'a> {
    order: &'a Order,
    layouts: Vec<Layout>,
}

impl<'a> Makeable<'a> {
    /// Lays out every run of `order`.
    ///
    /// # Errors
    /// Every reason any run cannot be made, with pointers into the order.
    pub fn new(order: &'a Order) -> Result<Self, Faults> {
        let mut layouts = Vec::with_capacity(order.runs.len());
        let mut faults = Vec::new();
        for (index, run) in order.runs.iter().enumerate() {
            match layout::lay_out(run, order) {
                Ok(layout) => layouts.push(layout),
                Err(found) => faults.extend(found.iter().map(|fault| Fault {
                    pointer: format!("/runs/{index}{}", fault.field()),
                    detail: fault.to_string(),
                })),
            }
        }
        if faults.is_empty() { Ok(Self { order, layouts }) } else { Err(Faults(faults)) }
    }

    /// How many pieces there are.
    pub fn count(&self) -> usize {
        self.layouts.iter().map(|layout| layout.lengths.len()).sum()
    }

    /// The pieces in the order they are cut: run by run, each from left to right.
    pub fn pieces(&self) -> impl Iterator<Item = Piece> + '_ {
        let runs = self.order.runs.iter().zip(&self.layouts).enumerate();
        runs.flat_map(|(index, (run, layout))| plan_run(self.order, index, run, layout))
    }
}

/// Plans the whole of `order`.
///
/// # Errors
/// Every reason any run cannot be made, with pointers into the order.
pub fn plan(order: &Order) -> Result<Plan, Faults> {
    let makeable = Makeable::new(order)?;
    Ok(Plan {
        format: plan::FORMAT.into(),
        order: order.number.clone(),
        units: order.units,
        pieces: makeable.pieces().collect(),
        notices: notices::of(order),
    })
}

fn plan_run<'a>(
    order: &'a Order,
    run_index: usize,
    run: &'a Run,
    layout: &'a Layout,
) -> impl Iterator<Item = Piece> + use<'a> {
    let mut from_left = Length::ZERO;
    layout.lengths.iter().enumerate().map(move |(index, &length)| {
        let mut cutting = Cutting { order, run, layout, index, length, blank_length: length };
        cutting.blank_length += cutting.depth_of(index);
        let piece = plan_piece(&cutting, run_index, from_left);
        from_left += length - run.lap;
        piece
    })
}

fn plan_piece(cutting: &Cutting, run_index: usize, from_left: Length) -> Piece {
    let Cutting { order, run, layout, .. } = *cutting;
    let exact = |length| Measure::exact(length, order.units);
    let reading = |length| Measure::reading(length, order.units);

    let outline = cut::outline(cutting.blank_length, &cutting.cut(Side::Left), &cutting.cut(Side::Right));
    let area_mm2 = cut::area(&outline);
    let mass_kg = area_mm2 * 1e-6 * order.metal.areal_mass;
    let section = &layout.section;
    let bends = section
        .bends
        .iter()
        .zip(&layout.flat.bend_lines)
        .map(|(bend, &at)| plan::Bend { at: reading(at), angle_deg: bend.through_deg, turn: bend.turn })
        .collect();

    Piece {
        mark: mark(run, cutting.index + 1),
        wall: run.wall.clone(),
        trim: run.trim,
        place: cutting.index + 1,
        of: layout.lengths.len(),
        run: run_index,
        from_left: exact(from_left),
        run_length: exact(layout.run),
        length: exact(cutting.length),
        blank: Blank { length: exact(cutting.blank_length), girth: reading(layout.flat.girth), area_mm2, outline },
        left: cutting.end(Side::Left),
        right: cutting.end(Side::Right),
        bends,
        hem: Hem { at: reading(layout.flat.fold_line), width: exact(section.hem), turn: Turn::Down },
        section: plan::Section {
            legs: section
                .legs
                .iter()
                .map(|leg| Leg { name: leg.name.name().into(), width: exact(leg.width) })
                .collect(),
            thickness: Measure::decimal(section.thickness, order.units),
            inside_radius: Measure::decimal(section.inside_radius, order.units),
            painted: order.painted,
        },
        metal: order.material(),
        mass_kg,
        steps: steps::of(cutting),
        working: vec![explain::length(cutting), explain::girth(cutting), explain::mass(cutting, area_mm2, mass_kg)],
    }
}
