//! From a checked order to its pieces: lengths, who goes under, outlines, mass.

use crate::order::fault::{Fault, Faults};
use crate::order::layout::{self, Layout};
use crate::order::plan::{self, Blank, Goes, Hem, Leg, Measure, Piece, PieceEnd, Plan};
use crate::order::{End, Order, Run, Side, explain, notices, steps};
use crate::trade::cut::{self, Cut};
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

/// A run's mark with a place: `A-EW-3`.
fn mark(run: &Run, place: usize) -> String {
    format!("{}-{}-{place}", run.wall, run.trim.short())
}

/// One piece of a laid-out run, before it is put into words.
pub struct Cutting<'a> {
    pub order: &'a Order,
    pub run: &'a Run,
    pub layout: &'a Layout,
    /// 0 at the run's left end.
    pub index: usize,
    pub length: Length,
    pub blank_length: Length,
}

impl Cutting<'_> {
    pub fn is_first(&self) -> bool {
        self.index == 0
    }

    pub fn is_last(&self) -> bool {
        self.index + 1 == self.layout.lengths.len()
    }

    /// The run's own end on that side, or `None` where the piece laps its neighbour.
    pub fn outer_end(&self, side: Side) -> Option<End> {
        match side {
            Side::Left => self.is_first().then_some(self.run.left),
            Side::Right => self.is_last().then_some(self.run.right),
        }
    }

    /// What the returns add to the blank of the run's piece `index`.
    pub fn depth_of(&self, index: usize) -> Length {
        let left = if index == 0 { layout::depth(self.run.left) } else { Length::ZERO };
        let right = if index + 1 == self.layout.lengths.len() { layout::depth(self.run.right) } else { Length::ZERO };
        left + right
    }

    /// At a lap: each piece's far end from where laying began goes under the next.
    pub fn goes(&self, side: Side) -> Goes {
        if side == self.run.lay_from { Goes::Over } else { Goes::Under }
    }

    fn cut(&self, side: Side) -> Cut {
        let flat = &self.layout.flat;
        match self.outer_end(side) {
            Some(End::Square) => Cut::square(flat),
            Some(End::Gable { width }) => Cut::gable(flat, width),
            Some(End::Return { depth }) => Cut::return_tab(flat, depth),
            None if self.goes(side) == Goes::Under => Cut::lap_notch(flat, self.run.lap, self.layout.section.hem),
            None => Cut::square(flat),
        }
    }

    fn end(&self, side: Side) -> PieceEnd {
        let exact = |length| Measure::exact(length, self.order.units);
        match self.outer_end(side) {
            Some(End::Square) => PieceEnd::Square,
            Some(End::Gable { width }) => PieceEnd::Gable { width: exact(width) },
            Some(End::Return { depth }) => PieceEnd::Return { depth: exact(depth) },
            None => {
                let place = self.index + 1;
                let neighbour = if side == Side::Left { place - 1 } else { place + 1 };
                PieceEnd::Lap { lap: exact(self.run.lap), goes: self.goes(side), neighbour: mark(self.run, neighbour) }
            }
        }
    }
}

fn plan_run(order: &Order, index: usize, run: &Run, layout: &Layout) -> Vec<Piece> {
    let mut from_left = Length::ZERO;
    let mut pieces = Vec::with_capacity(layout.lengths.len());
    for (i, &length) in layout.lengths.iter().enumerate() {
        let mut cutting = Cutting { order, run, layout, index: i, length, blank_length: length };
        cutting.blank_length += cutting.depth_of(i);
        pieces.push(plan_piece(&cutting, index, from_left));
        from_left += length - run.lap;
    }
    pieces
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
