//! What a person should know before cutting, though the order can be made.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use crate::order::installing::DEFER;
use crate::order::layout::Layout;
use crate::order::plan::Notice;
use crate::order::{End, Measured, Order, Run, Side};
use crate::trade::length::Length;
use crate::trade::profile::Shape;

/// The thinnest metal flashing of the model codes, 0.019 in (IBC 2015 1503.2, IRC R903.2; read in a secondary source).
const LEAST_THICKNESS: Length = Length::from_nm(482_600);

/// The lowest slope for lapped metal panels with sealant, ½:12 (IRC R905.10.2, from memory), in degrees.
const LOWEST_SLOPE_DEG: f64 = 2.385_944;

/// UFGS 07600: a corner piece's legs.
const LEAST_CORNER: Length = Length::inches(12);

/// IRC 2018 R905.2.8.3: a side wall's flashing.
const LEAST_SIDE_WALL_LEG: Length = Length::inches(4);

/// Where no interval between joints is published, this length asks for a thought: UFGS 07600's 40 ft for other metals.
const LONG_RUN: Length = Length::inches(40 * 12);

/// The notices of a whole order, whose runs are laid out as `layouts`.
pub fn of(order: &Order, layouts: &[Layout]) -> Vec<Notice> {
    let mut notices = Vec::new();
    if order.metal.thickness < LEAST_THICKNESS {
        notices.push(Notice {
            at: "/metal".into(),
            text: format!(
                "{} is thinner than 0.019 in, the least the model codes give for metal flashing (IBC 1503.2, IRC R903.2). \
                 {DEFER}",
                order.metal.label
            ),
        });
    }
    for (index, (run, layout)) in order.runs.iter().zip(layouts).enumerate() {
        let found = [
            ("pitch", pitch(run)),
            ("measured", measured(run)),
            ("length", moves(run, layout, order)),
            ("panels", on_seams(layout, order)),
            ("profile", narrow_side_wall(run, order)),
            (run.lay_from.name(), low_dam(run)),
            ("left", deep_return(run, run.left, order)),
            ("left", short_corner(run.left, layout.lengths.first(), order)),
            ("right", deep_return(run, run.right, order)),
            ("right", short_corner(run.right, layout.lengths.last(), order)),
        ];
        notices.extend(
            found
                .into_iter()
                .filter_map(|(key, text)| Some(Notice { at: format!("/runs/{index}/{key}"), text: text? })),
        );
    }
    each_once(notices)
}

/// Notices that say the same are one, at the first of their places: an order may have ten thousand runs.
fn each_once(notices: Vec<Notice>) -> Vec<Notice> {
    let mut places: HashMap<String, usize> = HashMap::new();
    let mut once: Vec<Notice> = Vec::new();
    for notice in notices {
        match places.entry(notice.text.clone()) {
            Entry::Vacant(place) => {
                place.insert(0);
                once.push(notice);
            }
            Entry::Occupied(mut more) => *more.get_mut() += 1,
        }
    }
    for notice in &mut once {
        match places.get(&notice.text) {
            Some(1) => notice.text.push_str(" (Here and at 1 other place.)"),
            Some(more @ 2..) => notice.text.push_str(&format!(" (Here and at {more} other places.)")),
            _ => {}
        }
    }
    once
}

fn pitch(run: &Run) -> Option<String> {
    let pitch = run.roof.pitch?;
    if !run.trim.follows_pitch() {
        Some(format!("a {} is bent the same at every pitch; {pitch} is not used.", run.trim.name()))
    } else if pitch.degrees() < LOWEST_SLOPE_DEG {
        Some(format!(
            "a pitch of {pitch} is below ½:12, the lowest slope the model code gives for lapped metal panels with sealant \
             (IRC R905.10.2, from memory). {DEFER}"
        ))
    } else {
        None
    }
}

/// Between gables that are not there.
fn measured(run: &Run) -> Option<String> {
    let gable = |end| matches!(end, End::Gable { .. });
    (run.measured == Measured::Between && !gable(run.left) && !gable(run.right)).then(|| {
        format!(
            "measured between, but this {} has no gable end, so nothing is added: if it must reach over gable trims, give \
             the length outside them.",
            run.trim.name()
        )
    })
}

/// A long run of a metal for which no interval between joints is published or set.
fn moves(run: &Run, layout: &Layout, order: &Order) -> Option<String> {
    let kind = order.metal.kind;
    (layout.run > LONG_RUN && order.shop.interval(kind, run.trim).is_none()).then(|| {
        format!(
            "{} runs on without an expansion joint: for {} no interval is published. The run's working says how far it moves; \
             the shop's settings can set an interval.",
            layout.run.text(order.units),
            kind.name()
        )
    })
}

/// Laps that a panel seam runs under.
fn on_seams(layout: &Layout, order: &Order) -> Option<String> {
    let laps = layout.laps.iter().filter(|lap| lap.on_seam);
    let at: Vec<String> = laps.map(|lap| lap.span.start.text(order.units)).collect();
    (!at.is_empty()).then(|| {
        format!(
            "laps that could not be kept off a panel seam, from the run's left end: {}; dress the seam under them.",
            at.join(", ")
        )
    })
}

fn narrow_side_wall(run: &Run, order: &Order) -> Option<String> {
    let Shape::SideWall { wall_leg, roof_leg } = run.profile.shape else { return None };
    (wall_leg.min(roof_leg) < LEAST_SIDE_WALL_LEG).then(|| {
        format!(
            "legs of {} and {}: the model code asks 4 in each way of a side wall's flashing (IRC R905.2.8.3). {DEFER}",
            wall_leg.text(order.units),
            roof_leg.text(order.units)
        )
    })
}

/// A dam across the water's way.
fn low_dam(run: &Run) -> Option<String> {
    let low = if run.lay_from == Side::Left { run.left } else { run.right };
    (run.trim.is_sloped() && matches!(low, End::Dam { .. })).then(|| {
        "an end dam at the low end stands across the water's way: right only where the water is led off otherwise."
            .into()
    })
}

/// A corner that is the end of a short piece.
fn short_corner(end: End, piece: Option<&Length>, order: &Order) -> Option<String> {
    let piece = piece.filter(|piece| matches!(end, End::Corner { .. }) && **piece < LEAST_CORNER)?;
    Some(format!("the piece at the corner is {} long; UFGS 07600 asks 12 in or more of it.", piece.text(order.units)))
}

/// A tab that is folded back farther than the trim stands off the wall.
fn deep_return(run: &Run, end: End, order: &Order) -> Option<String> {
    let (End::Return { depth }, Shape::Reglet { depth: stands_off, .. }) = (end, &run.profile.shape) else {
        return None;
    };
    (depth > *stands_off).then(|| {
        format!(
            "a return {} deep reaches past the wall's face, from which this reglet stands off {}: right where the wall ends \
             here and the tab goes round it.",
            depth.text(order.units),
            stands_off.text(order.units)
        )
    })
}
