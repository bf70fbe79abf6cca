//! What a person should know before cutting, though the order can be made.

use crate::order::plan::Notice;
use crate::order::{Order, Run};
use crate::trade::length::Length;

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
                 Follow local codes and licensed practice.",
                order.metal.label
            ),
        });
    }
    notices.extend(order.runs.iter().enumerate().filter_map(|(index, run)| pitch_notice(index, run)));
    notices
}

fn pitch_notice(index: usize, run: &Run) -> Option<Notice> {
    let pitch = run.pitch.as_ref()?;
    let text = if !run.trim.follows_pitch() {
        format!("a {} is bent the same at every pitch; {pitch} is not used.", run.trim.name())
    } else if pitch.degrees() < LOWEST_SLOPE_DEG {
        format!(
            "a pitch of {pitch} is below ½:12, the lowest slope the model code gives for lapped metal panels with sealant \
             (IRC R905.10.2, from memory). Follow local codes and licensed practice."
        )
    } else {
        return None;
    };
    Some(Notice { at: format!("/runs/{index}/pitch"), text })
}
