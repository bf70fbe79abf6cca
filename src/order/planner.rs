//! From a checked order to its pieces: lengths, who goes under, outlines, mass.

use crate::order::cutting::{Cutting, mark};
use crate::order::fault::{Fault, Faults};
use crate::order::layout::{self, Layout};
use crate::order::plan::{self, Blank, Hem, Leg, Measure, Notice, Piece, Plan};
use crate::order::sheet::{OrderSheet, RunSheet};
use crate::order::{End, Order, Run, Side, explain, fitting, loading, notices, steps, twins};
use crate::trade::cut;
use crate::trade::hardware::needs::Total;
use crate::trade::length::Length;
use crate::trade::load::Cargo;
use crate::trade::section;

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
        let runs: Vec<&Run> = order.runs.iter().collect();
        for (index, laid_out) in layout::lay_out(&runs, order).into_iter().enumerate() {
            match laid_out {
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

    /// The runs as they will lie, one at a time.
    pub fn runs(&self) -> impl Iterator<Item = RunSheet> + '_ {
        self.laid_out().map(|(index, run, layout)| fitting::sheet(self.order, index, run, layout))
    }

    /// What a person should know before cutting.
    pub fn notices(&self) -> Vec<Notice> {
        notices::of(self.order, &self.layouts)
    }

    /// What to buy for the whole order, and how it travels.
    pub fn sheet(&self) -> OrderSheet {
        let mut total = Total::default();
        let mut pieces = Vec::with_capacity(self.count());
        for (run, layout) in self.as_installed() {
            fitting::add(self.order, run, layout, &mut total);
            let left_to_right = 0..layout.lengths.len();
            let as_laid: Vec<usize> = match run.lay_from {
                Side::Left => left_to_right.collect(),
                Side::Right => left_to_right.rev().collect(),
            };
            pieces.extend(as_laid.into_iter().map(|piece| {
                let cutting = Cutting::new(self.order, run, layout, piece);
                let cargo = Cargo { length: extent(&cutting), mass_kg: mass(self.order, &cutting.blank.outline()) };
                loading::Piece { mark: mark(run, piece + 1), cargo }
            }));
        }
        let sealing = &self.order.shop.sealing;
        let buy = total.needs(sealing.butyl_roll, &sealing.beads(), self.order.units);
        OrderSheet { buy, load: loading::load(self.order, &pieces) }
    }

    /// The runs in the order they go up.
    fn as_installed(&self) -> Vec<(&Run, &Layout)> {
        let mut runs: Vec<(&Run, &Layout)> = self.order.runs.iter().zip(&self.layouts).collect();
        runs.sort_by_key(|(run, _)| run.trim.stage());
        runs
    }

    fn laid_out(&self) -> impl Iterator<Item = (usize, &Run, &Layout)> {
        let runs = self.order.runs.iter().zip(&self.layouts).enumerate();
        runs.map(|(index, (run, layout))| (index, run, layout))
    }

    /// The pieces in the order they are cut: run by run, each from left to right.
    pub fn pieces(&self) -> impl Iterator<Item = Piece> + '_ {
        let batches = twins::batches(self.laid_out().map(|(_, run, layout)| (run, layout)));
        let pieces = self.laid_out().flat_map(|(index, run, layout)| plan_run(self.order, index, run, layout));
        pieces.zip(batches).map(|(piece, batch)| Piece { batch, ..piece })
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
        runs: makeable.runs().collect(),
        sheet: Some(makeable.sheet()),
        notices: makeable.notices(),
    })
}

fn plan_run<'a>(
    order: &'a Order,
    run_index: usize,
    run: &'a Run,
    layout: &'a Layout,
) -> impl Iterator<Item = Piece> + use<'a> {
    let shared = steps::Shared::of(&Cutting::new(order, run, layout, 0));
    (0..layout.lengths.len()).map(move |index| plan_piece(&Cutting::new(order, run, layout, index), run_index, &shared))
}

/// How long the bent piece is: its finished length and what a mitre reaches beyond it. A tab is folded, and adds nothing.
fn extent(cutting: &Cutting) -> Length {
    let beyond = |side| match cutting.outer_end(side) {
        Some(End::Corner { .. } | End::Transition { .. }) => cutting.cut(side).beyond(),
        _ => Length::ZERO,
    };
    cutting.length() + beyond(Side::Left) + beyond(Side::Right)
}

/// In kg, of a blank cut to `outline`.
fn mass(order: &Order, outline: &[[f64; 2]]) -> f64 {
    cut::area(outline) * 1e-6 * order.metal.areal_mass
}

fn plan_piece(cutting: &Cutting, run_index: usize, shared: &steps::Shared) -> Piece {
    let Cutting { order, run, layout, .. } = *cutting;
    let exact = |length| Measure::exact(length, order.units);
    let reading = |length| Measure::reading(length, order.units);

    let outline = cutting.blank.outline();
    let area_mm2 = cut::area(&outline);
    let mass_kg = mass(order, &outline);
    let section = &layout.section;
    let bends = section
        .bends
        .iter()
        .zip(&layout.flat.bend_lines)
        .map(|(bend, &at)| plan::Bend { at: reading(at), angle_deg: bend.through_deg, turn: bend.turn })
        .collect();

    let hem = |hem: Option<section::Hem>, fold: Option<Length>| {
        let (hem, fold) = hem.zip(fold)?;
        Some(Hem { at: reading(fold), width: exact(hem.width), gap: hem.is_open().then(|| exact(hem.gap)) })
    };

    Piece {
        mark: mark(run, cutting.index + 1),
        wall: run.wall.clone(),
        trim: run.trim,
        place: cutting.index + 1,
        of: layout.lengths.len(),
        run: run_index,
        batch: 0, // Known once all are laid out: see [`Makeable::pieces`].
        low: run.trim.is_sloped().then_some(run.lay_from),
        from_left: exact(cutting.from_left()),
        run_length: exact(layout.run),
        length: exact(cutting.length()),
        blank: Blank { length: exact(cutting.blank.length()), girth: reading(layout.flat.girth), area_mm2, outline },
        left: cutting.end(Side::Left),
        right: cutting.end(Side::Right),
        bends,
        hem: hem(section.lower_hem, layout.flat.lower_fold),
        datum_hem: hem(section.datum_hem, layout.flat.datum_fold),
        section: plan::Section {
            legs: section
                .legs
                .iter()
                .map(|leg| Leg { name: leg.name.name().into_owned(), width: exact(leg.width) })
                .collect(),
            thickness: Measure::decimal(section.thickness, order.units),
            inside_radius: Measure::decimal(section.inside_radius, order.units),
            painted: order.painted,
            heading_deg: run.profile.stance(&run.roof).heading_deg,
        },
        metal: order.material(),
        mass_kg,
        steps: steps::of(cutting, shared),
        working: vec![explain::mass(cutting, area_mm2, mass_kg)],
    }
}
