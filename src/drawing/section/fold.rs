//! One fold as it is made: the strip as it lies in the brake, what swings, over a ghost of where it lay.
//!
//! Whoever bends stands at the right; the throat is at the left. What is swung now is picked out. A piece planned before
//! pieces told how they lie is drawn with the side that will be seen up and the datum edge at the left.

mod handled;
mod hem;
mod rows;
mod swing;

use super::bent::{self, corner_past_leg};
use super::{BESIDE, Margins, Page, SHEET, minus, points, thick};
use crate::drawing::pen::{Dimension, EDGE, PAST, Pen, TAIL, Words, WordsAt, big};
use crate::drawing::spots::pairs;
use crate::drawing::svg::Paint;
use crate::order::plan::{Action, Hem, Measure, Piece, Step};
use crate::trade::bend_order::{Face, Handling, Lie, Setup, Stop};
use crate::trade::plane::{along, length};
use crate::trade::section::{Edge, Fold, Turn, degrees};
use crate::trade::shape::{Course, Made, Part, Sheet};
use rows::Rows;
use swing::{Swing, angle_words, reach};

/// A fold to be made, and the strip as far as it is folded before.
pub struct Making<'a> {
    piece: &'a Piece,
    fold: Fold,
    made: Made,
    /// How it is brought to lie so.
    handling: &'a [Handling],
    lie: Option<Lie>,
    stop: Option<Stop>,
    /// From what rests against the stop to the bend line; without a lie, from the datum edge.
    gauge: Option<&'a Measure>,
}

/// The fold that a step makes. Before hems had edges, they were at the lower one.
fn fold_of(step: &Step) -> Option<Fold> {
    match step.action {
        Action::Bend => step.bend.map(Fold::Bend),
        Action::Hem => Some(Fold::Hem(step.edge.unwrap_or(Edge::Lower))),
        _ => None,
    }
}

impl<'a> Making<'a> {
    /// `None` where `step` folds nothing, or nothing that the piece has.
    pub fn of(piece: &'a Piece, step: &'a Step) -> Option<Self> {
        let fold = fold_of(step)?;
        let has = match fold {
            Fold::Bend(index) => index < piece.bends.len(),
            Fold::Hem(Edge::Datum) => piece.datum_hem.is_some(),
            Fold::Hem(Edge::Lower) => piece.hem.is_some(),
        };
        let made = piece.steps.iter().filter_map(fold_of).take_while(|&earlier| earlier != fold).collect();
        let gauge = step.number.as_ref();
        has.then_some(Self { piece, fold, made, handling: &step.handling, lie: step.lie, stop: step.stop, gauge })
    }

    /// How the strip lies; without a lie, so that a leaf could make the fold.
    fn lies(&self) -> Lie {
        self.lie.unwrap_or_else(|| Lie { face: self.inner_face(), in_throat: Edge::Datum })
    }

    /// The face that is inside of the fold.
    fn inner_face(&self) -> Face {
        match self.fold {
            Fold::Bend(index) if self.piece.bends.get(index).is_some_and(|bend| bend.turn == Turn::Up) => Face::Seen,
            Fold::Bend(_) | Fold::Hem(_) => Face::Hidden,
        }
    }

    /// The face that is up on the page.
    fn face_up(&self) -> Face {
        self.lie.map_or(Face::Seen, |lie| lie.face)
    }

    /// Which way the page's y runs as the metal swings: [`UP`] in a brake.
    fn way(&self) -> f64 {
        if self.inner_face() == self.face_up() { UP } else { DOWN }
    }

    fn hem(&self, edge: Edge) -> Option<&Hem> {
        match edge {
            Edge::Datum => self.piece.datum_hem.as_ref(),
            Edge::Lower => self.piece.hem.as_ref(),
        }
    }

    #[cfg(test)]
    pub fn depth(&self, sheet: &Sheet) -> Option<f64> {
        Some(self.laid(sheet)?.setup.depth())
    }

    fn laid(&self, sheet: &Sheet) -> Option<Laid> {
        let setup = Setup::of(sheet, self.made, self.fold, self.lies())?;
        Some(Laid {
            before: self.parted(setup.courses(0.0))?,
            after: self.parted(setup.courses(setup.through.to_degrees()))?,
            setup,
        })
    }

    /// What is held, and what is beyond it with the fold itself.
    fn parted(&self, mut courses: Vec<Course>) -> Option<Parted> {
        let at = courses.iter().position(|course| course.part == Part::Fold(self.fold))?;
        let beyond = courses.split_off(if self.lies().in_throat == Edge::Datum { at } else { at + 1 });
        Some(match self.lies().in_throat {
            Edge::Datum => Parted { held: courses, moving: beyond },
            Edge::Lower => Parted { held: beyond, moving: courses },
        })
    }

    /// Whether any of `courses` is a bend already made.
    fn bent(&self, courses: &[Course]) -> bool {
        courses.iter().any(|course| matches!(course.part, Part::Fold(fold @ Fold::Bend(_)) if self.made.has(fold)))
    }
}

const UP: f64 = -1.0;
const DOWN: f64 = 1.0;

/// A strip in the brake, in mm: the bend line at the origin, what is held on `y` = 0 at `x` < 0.
struct Laid {
    setup: Setup,
    before: Parted,
    after: Parted,
}

impl Laid {
    /// Everywhere the metal is, before and after, and where the arrow swings.
    fn room(&self) -> Vec<[f64; 2]> {
        let metal = [&self.before.held, &self.before.moving, &self.after.moving]
            .into_iter()
            .flat_map(|courses| points(courses));
        let reach = points(&self.after.moving).map(length).fold(0.0, f64::max) * ARROW;
        let arc = (0..=8).map(|step| self.setup.through * f64::from(step) / 8.0);
        metal.chain(arc.map(|angle| [reach * angle.cos(), reach * angle.sin()])).collect()
    }
}

/// Room for the angle's words, in ems.
const ANGLE: f64 = 4.2;

/// How far out the arrow is, as a part of how far the metal reaches.
const ARROW: f64 = 0.6;

struct Parted {
    held: Vec<Course>,
    moving: Vec<Course>,
}

pub fn draw(pen: &mut Pen, making: &Making) {
    let sheet = bent::sheet(making.piece);
    let Some(laid) = making.laid(&sheet) else { return };
    match making.fold {
        // While the strip is flat, its edge alone says it all.
        Fold::Hem(edge) if !making.bent(&laid.before.held) && !making.bent(&laid.before.moving) => {
            hem::draw(pen, making, sheet, edge);
        }
        _ => draw_bend(pen, making, sheet),
    }
}

fn margins(making: &Making, rows: &Rows) -> Margins {
    let under = rows.distance + rows.foot;
    let (top, bottom) = if making.way() == UP { (rows.head, under) } else { (under, rows.head) };
    // Room for the stop, where there is one.
    let left = if making.lie.is_some() { 1.3 } else { BESIDE };

    Margins { top, right: BESIDE, bottom, left }
}

fn draw_bend(pen: &mut Pen, making: &Making, true_sheet: Sheet) {
    let Some(laid) = making.laid(&true_sheet) else { return };
    let rows = Rows::fitted(pen, making, false);
    let mut margins = margins(making, &rows);
    // The metal is thicker than its middle's line.
    margins.top += SHEET / 2.0;
    let at_datum = making.lie.is_none() && making.bent(&laid.before.held);
    if at_datum {
        // The datum edge is named left of it.
        margins.left = 5.8;
    }
    let mut page = Page::fit(pen, &laid.room(), making.way() == UP, &margins);
    let front = points(&laid.before.moving).map(|[x, _]| x * page.scale / pen.em).fold(0.0, f64::max);
    if front < ANGLE {
        // What swings is narrower than the angle's words: they stand beside it.
        margins.right += ANGLE - front / 2.0;
        page = Page::fit(pen, &laid.room(), making.way() == UP, &margins);
    }
    let sheet = thick(pen, &page, true_sheet);
    let Some(Laid { setup, before, after }) = making.laid(&sheet) else { return };

    let thickness = sheet.thickness * page.scale;
    pen.ghost(&page, &before.moving, sheet.thickness);
    let brake = if making.lie.is_some() { brake(pen, &page, &setup, Some(rows.head), rows.bed[1]) } else { vec![] };
    pen.sheet(&page, &after.held, sheet.thickness, false);
    pen.sheet(&page, &after.moving, sheet.thickness, true);
    making.tell_how_it_lies(pen, &rows);
    making.tell_handling(pen, &rows);

    // Both legs' lines meet over the bend line: the angle is told about it.
    let past = match making.fold {
        Fold::Bend(index) => sheet.bends.get(index).map_or(0.0, |bend| corner_past_leg(&sheet, bend)),
        Fold::Hem(_) => setup.metal / 2.0,
    };
    let corner = page.at([past - setup.metal / 2.0, sheet.thickness / 2.0]);
    let swing = Swing {
        corner,
        radius: (reach(&page, &after.moving, corner) * ARROW).min(pen.em * 4.5),
        through: setup.through,
        way: making.way(),
    };
    // The arrow's line starts and ends clear of the metal.
    let clear = (thickness / 2.0 + pen.em * 0.12) / swing.radius;
    let sweep = (swing.through - 2.0 * clear).max(swing.through * 0.3);
    pen.swing(corner, swing.radius, swing.way * clear, swing.way * sweep);
    let told = if at_datum {
        distance_at_datum(pen, making, &page, &after)
    } else {
        distance(pen, making, &page, &setup, [&before, &after], &rows)
    };
    let metal =
        [&before.held, &before.moving, &after.moving].map(|courses| page.all(&points(courses).collect::<Vec<_>>()));
    let drawn = metal.iter().flat_map(|line| pairs(line));
    let lines = drawn.chain(pairs(&swing.arc())).chain(brake).chain(told).collect();
    angle_words(pen, &swing, rows.head, lines, &degrees(setup.through.to_degrees()));
}

/// The brake around what is held, quietly: the bed below, the jaw's nose above, the stop in the throat. As much of each as
/// the strip leaves free; the jaw, where there is one, below so many ems from the top, the bed so many deep. Gives its lines.
fn brake(pen: &mut Pen, page: &Page, setup: &Setup, jaw: Option<f64>, deep: f64) -> Vec<[[f64; 2]; 2]> {
    let em = pen.em;
    let thickness = setup.thickness * page.scale;
    let ([bend_line, bottom], stop) = (page.at([0.0, 0.0]), page.at([-setup.depth(), 0.0])[0]);
    let top = bottom - thickness;
    let held: Vec<_> = points(&setup.held).map(|point| page.at(point)).collect();
    // Back from the bend line, to the first of the metal that is in the way.
    let free = |most: f64, in_the_way: &dyn Fn(f64, f64) -> bool| {
        let blocked = held.iter().map(|&[x, y]| (bend_line - x, y)).filter(|&(back, y)| in_the_way(back, y));
        blocked.map(|(back, _)| back - thickness * 0.8).fold(most, f64::min)
    };
    let paint = Paint::fill(pen.theme.waste).outlined(pen.theme.faint, pen.line() * 0.7);
    let [foot, deep] = [bottom + pen.line(), em * deep];
    let bed = free(bend_line - stop, &|_, y| y > bottom);
    let points = [[-bed, foot], [0.0, foot], [-deep / 2.0, foot + deep], [-bed, foot + deep]];
    let mut lines = vec![];
    if bed > em * 0.5 {
        let bed = points.map(|[x, y]| [bend_line + x, y]);
        lines.extend(pairs(&bed));
        pen.svg.polygon(&bed, paint);
    }
    let nose = free(em * 2.6, &|back, y| y < top && top - y < back * NOSE).min(bend_line - stop - em * 0.3);
    let nose = nose.min((top - jaw.unwrap_or_default() * em) / NOSE);
    if jaw.is_some() && nose > em * 0.5 {
        let foot = top - pen.line();
        let points = [[0.0, foot], [-nose, foot], [-nose, foot - nose * NOSE]];
        let jaw = points.map(|[x, y]| [bend_line - setup.metal * page.scale / 2.0 + x, y]);
        lines.extend(pairs(&jaw).chain([[jaw[0], jaw[2]]]));
        pen.svg.polygon(&jaw, paint);
    }
    let touched = held.iter().min_by(|a, b| a[0].total_cmp(&b[0])).map_or(bottom, |point| point[1]);
    let (high, low) = (touched.min(top) - (deep - em * 0.25), touched.max(bottom) + em * 0.3);
    pen.svg.rect(stop - em * 0.45, high, em * 0.45, low - high, Paint::fill(pen.theme.faint));
    lines
}

/// How steeply the jaw's nose is drawn to rise.
const NOSE: f64 = 0.75;

/// From the stop to the bend line; without a lie and nothing bent, from the datum edge. Gives the lines it takes.
fn distance(
    pen: &mut Pen,
    making: &Making,
    page: &Page,
    setup: &Setup,
    shown: [&Parted; 2],
    rows: &Rows,
) -> Vec<[[f64; 2]; 2]> {
    let Some(gauge) = making.gauge else { return vec![] };
    let away = [0.0, -making.way()];
    let metal = shown.into_iter().flat_map(|parted| points(&parted.held).chain(points(&parted.moving)));
    let beyond = metal.map(|point| page.at(point)[1] * away[1]).fold(f64::MIN, f64::max);
    let bed = if making.lie.is_some() { rows.bed[0] } else { 0.0 };
    let [from, to] = [-setup.depth(), 0.0].map(|x| page.at([x, 0.0]));
    let level = beyond.max(to[1] * away[1] + bed * pen.em) + rows.line * pen.em;
    let reference = match (making.stop, making.lies().in_throat) {
        // What rests against the stop may be a leg's back.
        _ if making.bent(&setup.held) => "the stop",
        (Some(Stop::Bent), _) => "what is farthest in",
        (Some(Stop::HemFold), Edge::Datum) => "the datum hem",
        (Some(Stop::HemFold), Edge::Lower) => "the lower hem",
        (Some(Stop::RawEdge) | None, Edge::Datum) => "the datum edge",
        (Some(Stop::RawEdge) | None, Edge::Lower) => "the lower edge",
    };
    let words = vec![pen.now(big(gauge)), pen.quiet(format!("from {reference}"))];
    let y = level * away[1];
    let middle = [f64::midpoint(from[0], to[0]), y];
    let (words, words_at, taken) = if rows.beyond {
        let taken = taken(pen, along(middle, away, pen.em * 0.55), away[1], &words);
        (words, WordsAt::Beyond, taken)
    } else {
        // In the line, if there is room for the number at least; else past it.
        let inside = pen.fit(words.clone(), to[0] - from[0] - pen.em * IN_LINE);
        if pen.row_width(&inside) + pen.em * IN_LINE < to[0] - from[0] {
            let taken = taken(pen, along(middle, away, -pen.em * 0.6), away[1], &inside);
            (inside, WordsAt::Inside, taken)
        } else {
            let words = pen.fit(words, pen.width - to[0] - pen.em * (TAIL + PAST + EDGE));
            let start = to[0] + pen.em * PAST;
            let middle = start + pen.row_width(&words) / 2.0 + pen.em * TAIL / 2.0;
            let taken = taken(pen, [middle, y - away[1] * pen.em * 0.6], away[1], &words);
            (words, WordsAt::PastTo, taken)
        }
    };
    pen.dimension(&Dimension { from, to, away, level, words: &words, words_at, now: true });
    [vec![[from, to].map(|[x, _]| [x, y])], taken].concat()
}

/// What a dimension's line takes beside the words in it, in ems.
const IN_LINE: f64 = 1.9;

/// Lines through words set beyond a point, up or down, and kept inside the drawing.
fn taken(pen: &Pen, [x, y]: [f64; 2], away: f64, words: &[Words]) -> Vec<[[f64; 2]; 2]> {
    let half = pen.row_width(words) / 2.0;
    let x = x.min(pen.width - half).max(half);
    [0.0, 0.6, 1.2].map(|row| y + away * row * pen.em).map(|y| [[x - half, y], [x + half, y]]).to_vec()
}

/// Once a leg is bent and the strip is held at the datum edge all the same, the distance is told at the bend line.
fn distance_at_datum(pen: &mut Pen, making: &Making, page: &Page, after: &Parted) -> Vec<[[f64; 2]; 2]> {
    let Some(gauge) = making.gauge else { return vec![] };
    let away = [0.0, -making.way()];
    let bend_line = page.at([0.0, 0.0]);
    let datum =
        after.held.first().and_then(|course| course.stations.first()).map_or(bend_line, |station| page.at(station.at));
    // Past the datum edge and its name.
    let tail = ((datum[1] - bend_line[1]) * away[1] + pen.em * 0.7).max(pen.em * 1.6);
    let words = [pen.now(big(gauge)), pen.quiet("from the datum edge")];
    let (colour, width) = pen.stroke(true);
    let (tip, tail) = (along(bend_line, away, pen.em * 0.5), along(bend_line, away, tail));
    pen.svg.line(along(tip, away, pen.em * 0.3), tail, Paint::stroke(colour, width));
    pen.arrow(tip, minus(away), colour);
    let half = pen.row_width(&words) / 2.0;
    let beyond = [tail[0] + half - pen.em * 0.5, tail[1]];
    pen.place(beyond, away, pen.em * 0.2, &words);
    let name = [pen.quiet("datum edge")];
    pen.place(datum, [-1.0, 0.0], pen.em * 0.4, &name);
    [vec![[bend_line, tail]], taken(pen, beyond, away[1], &words)].concat()
}
