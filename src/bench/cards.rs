//! The words of a card: what its step is called, and what its one number is.

use jiff::civil::Date;

use crate::order::plan::{Action, Step};
use crate::trade::section::Edge;

/// What is to be done.
pub fn title(step: &Step) -> String {
    let side = step.side.map_or("", |side| side.name());
    match step.action {
        Action::TakeBlank => "Take the blank".into(),
        Action::Shear => "Shear to length".into(),
        Action::Mark => "Mark the blank".into(),
        Action::NotchLap => format!("Notch the lap, {side} end"),
        Action::CutEnd => format!("Cut the {side} end"),
        Action::Hem if step.edge == Some(Edge::Datum) => "Fold the datum edge's hem".into(),
        Action::Hem => "Fold the hem".into(),
        Action::Bend => format!("Bend {}", step.bend.map_or(1, |bend| bend + 1)),
        Action::FoldTab => format!("Fold the tab, {side} end"),
        Action::OpenHem => format!("Open the hem, {side} end"),
        Action::CheckLength => "Check the length".into(),
        Action::Label => "Label the piece".into(),
    }
}

/// What the number on the card is.
pub fn caption(step: &Step) -> String {
    let side = step.side.map_or("", |side| side.name());
    match step.action {
        Action::TakeBlank => "wide, the strip's girth".into(),
        Action::Shear => "long, the blank".into(),
        Action::NotchLap => format!("along the lower edge, from the {side} end"),
        Action::CutEnd => format!("in from the {side} end"),
        Action::Hem if step.stop.is_some() => "from the stop to the fold line".into(),
        Action::Bend if step.stop.is_some() => "from the stop to the bend line".into(),
        // As planned before stops were.
        Action::Hem | Action::Bend => "from the datum edge".into(),
        Action::FoldTab => format!("from the {side} end"),
        Action::OpenHem => format!("over, from the {side} end"),
        Action::CheckLength => "long, finished".into(),
        Action::Mark | Action::Label => String::new(),
    }
}

/// `Fri 4 Dec`.
pub fn day(date: Date) -> String {
    date.strftime("%a %-d %b").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::{parse, planner};

    #[test]
    fn every_fold_says_where_the_stop_is_and_where_left_is() {
        let order = serde_json::json!({
            "format": "brakeside-order/1", "order": "7", "job": { "name": "Test" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 },
            "runs": [{ "wall": "A", "trim": "reglet", "length": 90 }, { "wall": "A", "trim": "eave", "length": 90, "pitch": "2:12" }]
        });
        let order = parse::from_json(&order, &Default::default()).unwrap();
        for piece in planner::plan(&order).unwrap().pieces {
            let folds = piece.steps.iter().filter(|step| matches!(step.action, Action::Hem | Action::Bend));
            for step in folds {
                let left = if step.lie.unwrap().left_is_left() { "left" } else { "right" };
                assert!(step.text.contains("LEFT") && step.text.contains(&format!("at your {left}")), "{}", step.text);
                let line = if step.action == Action::Hem { "fold" } else { "bend" };
                assert_eq!(caption(step), format!("from the stop to the {line} line"));
            }
        }
    }

    /// A step as it was planned before the brake was looked at.
    #[test]
    fn an_older_fold_is_still_told_from_the_datum_edge() {
        let step: Step = serde_json::from_str(r#"{ "do": "bend", "bend": 0, "text": "Bend up." }"#).unwrap();
        assert_eq!(caption(&step), "from the datum edge");
    }
}
