//! A run laid out: its section unfolded and its bends put in order, its ends cut, its pieces' lengths, and every reason it
//! cannot be made.
//!
//! Both the checks of an incoming order and the planner work on this one layout, so nothing that passes the checks can
//! fail to plan.

mod folding;
mod short;

use std::collections::HashMap;
use std::sync::Arc;

use crate::order::shop::Bending;
use crate::order::{End, Falls, Measured, Order, Run, Side};
use crate::trade::bend_order::BendOrder;
use crate::trade::cut::Cut;
use crate::trade::length::{Length, Units};
use crate::trade::mitre::{self, Plane};
use crate::trade::section::{Edge, Flat, Section, SectionError};
use crate::trade::split::{Division, Lap, Rules, Seams, Span, Split, SplitError, Stagger};
use folding::Folding;
pub use short::Short;

/// A run ready to be planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    pub section: Section,
    pub flat: Flat,
    /// How the metal's bends are reckoned, and who says so.
    pub bending: Arc<Bending>,
    /// How the section is folded on the shop's brake.
    pub bend_order: Arc<BendOrder>,
    /// The run's finished length: measured, plus the gables where it was measured between them, or along the slope.
    pub run: Length,
    /// Finished lengths from the run's left end to its right.
    pub lengths: Vec<Length>,
    /// One fewer than the lengths.
    pub laps: Vec<Lap>,
    /// The laps of the wall's other trims that these were kept from, from the run's left end.
    pub kept_from: Vec<Span>,
    /// No stretch without an expansion joint is longer; none where the run has no joints.
    pub interval: Option<Length>,
    /// What is cut at the run's left and right end.
    pub ends: [Cut; 2],
    /// At a lap, on the piece below and on the piece above.
    pub lap_notch: Cut,
    pub square: Cut,
}

/// Why a run cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LayoutFault {
    #[error("{0}")]
    Section(SectionError),
    #[error("{0}")]
    CannotBend(String),
    #[error(
        "the order's sections have more folds in all than can be tried on the brake; give this run an order of its own"
    )]
    TooManySections,
    #[error(
        "a lap of {lap} is as long as the longest piece, {longest}: another piece would gain nothing; make the lap shorter"
    )]
    LapTooLong { lap: String, longest: String },
    #[error(
        "an end that reaches {beyond} beyond the run leaves nothing of the longest blank, {longest}; make it {less}"
    )]
    EndTooLong { field: &'static str, beyond: String, longest: String, less: &'static str },
    #[error("some piece would be {would_do} long, shorter than the shop's least, {least}; {remedy}")]
    StubTooShort { field: &'static str, would_do: String, least: String, remedy: String },
    #[error("the laps cannot keep {distance} from those of the other trims on the wall; {remedy}")]
    NoStagger { distance: String, remedy: String },
    #[error(
        "a stretch between expansion joints must be longer than {more_than}; set the metal's interval longer in the shop's \
         settings, or the lap shorter"
    )]
    IntervalTooShort { more_than: String },
    #[error("{0}")]
    Short(Short),
}

impl LayoutFault {
    /// The field at fault, as a JSON pointer from the run.
    pub fn field(&self) -> String {
        match self {
            Self::Section(SectionError::LegTooNarrow { leg, .. }) => format!("/profile/{}", leg.key()),
            Self::Section(SectionError::HemTooNarrow { edge, .. } | SectionError::HemTooWide { edge, .. }) => {
                match edge {
                    Edge::Datum => "/profile/datum_hem".into(),
                    Edge::Lower => "/profile/hem".into(),
                }
            }
            Self::Section(SectionError::BendTooSlight { .. }) => "/pitch".into(),
            Self::CannotBend(_) | Self::TooManySections => "/profile".into(),
            Self::LapTooLong { .. } | Self::IntervalTooShort { .. } => "/lap".into(),
            Self::EndTooLong { field, .. } | Self::StubTooShort { field, .. } => (*field).into(),
            Self::NoStagger { .. } => "/stagger".into(),
            Self::Short(short) => short.field.into(),
        }
    }
}

/// Lays out `runs` of `order`, each in the light of those before it on its wall, whose laps it keeps away from.
///
/// Each comes with its layout or every [`LayoutFault`] it has.
pub fn lay_out(runs: &[&Run], order: &Order) -> Vec<Result<Layout, Vec<LayoutFault>>> {
    let mut folding = Folding::new(order);
    let mut walls: HashMap<String, Vec<Span>> = HashMap::new();
    runs.iter()
        .map(|run| {
            let on_wall = run.trim.is_on_wall().then(|| walls.entry(run.wall.to_ascii_uppercase()).or_default());
            let laps = on_wall.as_ref().map_or(&[][..], |laps| laps.as_slice());
            let layout = lay_out_run(run, order, &mut folding, laps)?;
            if let Some(on_wall) = on_wall {
                on_wall.extend(layout.laps.iter().map(|lap| moved(lap.span, origin(run))));
            }
            Ok(layout)
        })
        .collect()
}

/// Where the metal's left end is on the wall: a gable's width before where the run was measured from between gables.
fn origin(run: &Run) -> Length {
    match (run.measured, run.left) {
        (Measured::Between, End::Gable { width }) => run.at - width,
        _ => run.at,
    }
}

fn moved(span: Span, by: Length) -> Span {
    Span { start: span.start + by, end: span.end + by }
}

/// `on_wall` are the laps of the wall's other trims, from the wall's left end.
fn lay_out_run(run: &Run, order: &Order, folding: &mut Folding, on_wall: &[Span]) -> Result<Layout, Vec<LayoutFault>> {
    let bending = folding.bending();
    let section = run.profile.section(&run.roof, order.metal.thickness, bending.inside_radius(&order.metal));
    let mut faults: Vec<LayoutFault> =
        section.faults(order.shop.brake.least_flange, order.units).into_iter().map(LayoutFault::Section).collect();
    if !faults.is_empty() {
        // No mitre can be cut of it, but what else is wrong can be told.
        let split = split(run, order, [run.left, run.right].map(least_beyond));
        let divided = split.divide(&rules(run, order, on_wall));
        faults.extend(divided.err().map(|error| split_fault(error, run, order, &split)));
        return Err(faults);
    }
    let flat = section.unfold(bending.rule);
    let ends = [Side::Left, Side::Right].map(|side| end_cut(run, side, &section, &flat, &bending));
    let bend_order = folding.order(&section, &flat);
    match bend_order.as_deref() {
        Some(Ok(_)) => {}
        Some(Err(impossible)) => faults.push(LayoutFault::CannotBend(impossible.text(&section, order.units))),
        None => faults.push(LayoutFault::TooManySections),
    }

    let split = split(run, order, ends.each_ref().map(Cut::beyond));
    let rules = rules(run, order, on_wall);
    match divide(run, &split, &rules, &ends) {
        Ok(division) => {
            faults.extend(short::faults(run, &division.lengths, &ends, &split, &rules, order));
            if let (true, Some(Ok(bend_order))) = (faults.is_empty(), bend_order.as_deref()) {
                let bend_order = Arc::clone(bend_order);
                let (lengths, laps) = (division.lengths, division.laps);
                let interval = rules.interval.filter(|_| laps.iter().any(|lap| lap.joint));
                let lap_notch = Cut::lap_notch(&section, &flat, run.lap);
                let square = Cut::square(&flat);
                return Ok(Layout {
                    section,
                    flat,
                    bending,
                    bend_order,
                    run: split.run,
                    lengths,
                    laps,
                    interval,
                    kept_from: rules.stagger.map_or_else(Vec::new, |stagger| stagger.laps),
                    ends,
                    lap_notch,
                    square,
                });
            }
        }
        Err(error) => faults.push(split_fault(error, run, order, &split)),
    }
    Err(faults)
}

/// Divides the run. Its laps keep off seams only where that leaves every piece longer than its ends.
fn divide(run: &Run, split: &Split, rules: &Rules, ends: &[Cut; 2]) -> Result<Division, SplitError> {
    let division = split.divide(rules)?;
    let Some(seams) = rules.seams.filter(|_| short::any(run, &division.lengths, ends)) else { return Ok(division) };
    let mut freely = split.divide(&Rules { seams: None, ..rules.clone() })?;
    for lap in &mut freely.laps {
        lap.on_seam = is_on(&seams, lap.span);
    }
    Ok(freely)
}

/// Whether `lap` comes nearer to a seam than it should.
fn is_on(seams: &Seams, lap: Span) -> bool {
    let reach = lap.start - seams.clear - seams.first;
    let next = reach.nm().div_euclid(seams.every.nm()) + 1;
    seams.first + seams.every * next.max(0) < lap.end + seams.clear
}

/// How many pieces `run` takes, joints and other trims aside; none when it cannot be divided.
pub fn count(run: &Run, order: &Order) -> Option<usize> {
    split(run, order, [run.left, run.right].map(least_beyond)).count().ok()
}

/// What the metal must reach: the measured length, plus each gable's width where it was measured between them; along
/// the slope, where it was measured level.
fn finished_length(run: &Run, order: &Order) -> Length {
    let gable = |end| match end {
        End::Gable { width } => width,
        _ => Length::ZERO,
    };
    match (run.measured, run.roof.pitch) {
        (Measured::Between, _) => run.length + gable(run.left) + gable(run.right),
        // No finer than it can be measured.
        (Measured::Level, Some(pitch)) => {
            Length::from_mm(run.length.mm() * pitch.slope_factor()).nearest(order.units.reading())
        }
        (Measured::Outside | Measured::Level, _) => run.length,
    }
}

/// What an end adds to its piece's blank at least; a corner's leg may add more.
fn least_beyond(end: End) -> Length {
    match end {
        End::Return { depth } => depth,
        End::Dam { height } => height,
        End::Square | End::Gable { .. } | End::Corner { .. } | End::Transition { .. } => Length::ZERO,
    }
}

/// What is cut at the run's own end on `side`.
fn end_cut(run: &Run, side: Side, section: &Section, flat: &Flat, bending: &Bending) -> Cut {
    let end = match side {
        Side::Left => run.left,
        Side::Right => run.right,
    };
    let mitred = |plane| mitre::mitre(section, bending.rule, run.profile.stance(&run.roof), plane);
    match end {
        End::Square => Cut::square(flat),
        End::Gable { width } => Cut::gable(flat, width),
        End::Return { depth } => Cut::return_tab(flat, depth),
        End::Dam { height } => Cut::dam(flat, height),
        End::Corner { side, turn_deg } => mitred(Plane::corner(side, turn_deg)),
        // A sloped run is laid from its low end, and climbs toward the other.
        End::Transition { to, falls } => {
            let here = run.roof.pitch.map_or(0.0, |pitch| pitch.degrees());
            let climbs = side != run.lay_from;
            let beyond = match falls {
                Falls::On => to.degrees(),
                Falls::Back => -to.degrees(),
            };
            mitred(if climbs { Plane::transition(here, beyond) } else { Plane::transition(beyond, here) })
        }
    }
}

fn split(run: &Run, order: &Order, beyond: [Length; 2]) -> Split {
    Split {
        run: finished_length(run, order),
        lap: run.lap,
        longest: order.longest,
        least: order.shop.orders.least_piece,
        beyond,
        laid_from: run.lay_from.into(),
        kind: run.split,
        step: order.shop.orders.grid(order.units),
    }
}

/// What the run's laps heed.
fn rules(run: &Run, order: &Order, on_wall: &[Span]) -> Rules {
    let mut laps: Vec<Span> = on_wall.iter().map(|&span| moved(span, -origin(run))).collect();
    laps.sort_by_key(|lap| lap.start);
    Rules {
        stagger: (!laps.is_empty()).then_some(Stagger { distance: run.stagger, laps }),
        seams: run.panels.map(|panels| Seams {
            first: panels.first,
            every: panels.every,
            clear: order.shop.splits.seam_clearance,
        }),
        interval: order.shop.interval(order.metal.kind, run.trim).map(|interval| interval.length),
    }
}

fn split_fault(error: SplitError, run: &Run, order: &Order, split: &Split) -> LayoutFault {
    let say = |length: Length| length.text(order.units);
    match error {
        SplitError::LapTooLong => LayoutFault::LapTooLong { lap: say(run.lap), longest: say(order.longest) },
        SplitError::EndTooLong => {
            let (beyond, field, less) = deepest(run, split);
            LayoutFault::EndTooLong { field, beyond: say(beyond), longest: say(order.longest), less }
        }
        SplitError::LeastTooLong { would_do } => {
            // Whether the pieces would be long enough if the ends took nothing from their blanks.
            let too_long = Split { beyond: [Length::ZERO; 2], ..*split }.divide(&Rules::default()).is_ok();
            let (field, remedy) = match too_long && split.beyond != [Length::ZERO; 2] {
                true => {
                    let (_, field, less) = deepest(run, split);
                    (field, format!("what its end adds leaves no more of the longest blank: make it {less}"))
                }
                false => ("/length", "make the longest piece longer, or the run's lap another".into()),
            };
            LayoutFault::StubTooShort { field, would_do: say(would_do), least: say(split.least), remedy }
        }
        SplitError::NoStagger { would_do } => LayoutFault::NoStagger {
            distance: say(run.stagger),
            remedy: match would_do {
                Some(distance) => format!("{} can be kept: give that or less", say(distance)),
                None => "not even apart: make the longest piece or the lap shorter".into(),
            },
        },
        SplitError::IntervalTooShort { more_than } => LayoutFault::IntervalTooShort { more_than: say(more_than) },
    }
}

/// What the end that adds more to its blank adds, its field as a JSON pointer from the run, and how it would add less.
fn deepest(run: &Run, split: &Split) -> (Length, &'static str, &'static str) {
    let [left, right] = split.beyond;
    let (beyond, end, [depth, height, whole]) = if left >= right {
        (left, run.left, ["/left/depth", "/left/height", "/left"])
    } else {
        (right, run.right, ["/right/depth", "/right/height", "/right"])
    };
    match end {
        End::Return { .. } => (beyond, depth, "shallower"),
        End::Dam { .. } => (beyond, height, "lower"),
        _ => (beyond, whole, "a lesser turn, or the legs narrower"),
    }
}

/// An end or a lap, for people: `a lap of 6"`.
fn end_words(end: End, units: Units) -> String {
    match end {
        End::Gable { width } => format!("a gable of {}", width.text(units)),
        End::Square => "a square end".into(),
        End::Return { .. } => "a return".into(),
        End::Dam { .. } => "an end dam".into(),
        End::Corner { side, .. } => format!("an {} corner", side.name()),
        End::Transition { .. } => "a transition".into(),
    }
}
