//! What a person should know before cutting, though the order can be made.

use crate::order::installing::DEFER;
use crate::order::plan::Notice;
use crate::order::{End, Measured, Order, Run};
use crate::trade::length::Length;
use crate::trade::profile::Shape;

/// The thinnest metal flashing of the model codes, 0.019 in (IBC 2015 1503.2, IRC R903.2; read in a secondary source).
const LEAST_THICKNESS: Length = Length::from_nm(482_600);

/// The lowest slope for lapped metal panels with sealant, ½:12 (IRC R905.10.2, from memory), in degrees.
const LOWEST_SLOPE_DEG: f64 = 2.385_944;

/// The notices of a whole order.
pub fn of(order: &Order) -> Vec<Notice> {
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
    for (index, run) in order.runs.iter().enumerate() {
        let found = [
            ("pitch", pitch(run)),
            ("measured", measured(run)),
            ("left", deep_return(run, run.left, order)),
            ("right", deep_return(run, run.right, order)),
        ];
        notices.extend(
            found
                .into_iter()
                .filter_map(|(key, text)| Some(Notice { at: format!("/runs/{index}/{key}"), text: text? })),
        );
    }
    notices
}

fn pitch(run: &Run) -> Option<String> {
    let pitch = run.pitch.as_ref()?;
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

/// A tab that is folded back farther than the trim stands off the wall.
fn deep_return(run: &Run, end: End, order: &Order) -> Option<String> {
    let (End::Return { depth }, Shape::Reglet { depth: stands_off, .. }) = (end, run.profile.shape) else {
        return None;
    };
    (depth > stands_off).then(|| {
        format!(
            "a return {} deep reaches past the wall's face, from which this reglet stands off {}: right where the wall ends \
             here and the tab goes round it.",
            depth.text(order.units),
            stands_off.text(order.units)
        )
    })
}
