//! What a label says, in words ready to set.

use crate::drawing::wall::WallView;
use crate::label::code::Code;
use crate::label::text::showable;
use crate::label::url::Address;
use crate::order::Side;
use crate::order::plan::Piece;

/// The words and the wall of one label. Every text is showable by the embedded typeface.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelFacts {
    pub job: String,
    /// The order's number.
    pub order: String,
    pub wall: String,
    /// Trim and place, such as `end wall · 3 of 5`.
    pub place: String,
    pub mark: String,
    pub length: String,
    /// What happens at each end, such as `gable 4"` or `6" under A-EW-4`; `LOW` first on a sloped run's lower end.
    pub left: String,
    pub right: String,
    pub view: WallView,
    pub code: Code,
    /// What the symbol carries.
    pub url: String,
    /// It stands for an earlier label, which no longer counts; it says so.
    pub reprint: bool,
}

impl LabelFacts {
    /// The first label of `piece`. `pieces` holds at least the piece's own run; `job` and `order` are the job's name and
    /// the order's number.
    pub fn new(piece: &Piece, pieces: &[Piece], job: &str, order: &str, code: &Code, address: &Address) -> Self {
        let view = WallView::of(piece, pieces);
        Self {
            job: showable(job),
            order: showable(order),
            wall: showable(&piece.wall),
            place: format!("{} · {} of {}", piece.trim.name(), piece.place, piece.of),
            mark: showable(&piece.mark),
            length: piece.length.text.clone(),
            left: end(piece, Side::Left, view.low),
            right: end(piece, Side::Right, view.low),
            view,
            code: code.clone(),
            url: address.url(code),
            reprint: false,
        }
    }
}

/// What happens at an end, and whether it is its run's low one.
fn end(piece: &Piece, side: Side, low: Option<Side>) -> String {
    let end = match side {
        Side::Left => &piece.left,
        Side::Right => &piece.right,
    };
    let words = showable(&end.words());
    if low == Some(side) { format!("LOW, {words}") } else { words }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::order::parse;
    use crate::order::planner::plan;

    /// What the label says at both ends of each piece of `run`, on wall A of a roof of 4:12.
    fn ends(mut run: Value, kind: &str) -> Vec<[String; 2]> {
        (run["wall"], run["pitch"]) = ("A".into(), "4:12".into());
        let order = json!({
            "format": "brakeside-order/1", "order": "7", "units": "in", "job": { "name": "Barn" },
            "metal": { "kind": kind, "thickness": 0.03 }, "runs": [run]
        });
        let order = parse::from_json(&order, &Default::default()).unwrap();
        let pieces = plan(&order).unwrap().pieces;
        let (code, address) = (Code::random().unwrap(), Address::new("192.168.1.20", 8787).unwrap());
        let facts = |piece| LabelFacts::new(piece, &pieces, "Barn", "7", &code, &address);
        pieces.iter().map(facts).map(|facts| [facts.left, facts.right]).collect()
    }

    #[test]
    fn every_end_has_its_words() {
        let said = |trim: &str, left: Value, right: Value| {
            let low = if trim == "gable" { json!("left") } else { Value::Null };
            let mut run = json!({ "trim": trim, "length": 90, "low": low, "left": left, "right": right });
            run.as_object_mut().unwrap().retain(|_, value| !value.is_null());
            ends(run, "aluminium").remove(0)
        };
        let corner = |side: &str, turn: f64| json!({ "end": "corner", "side": side, "turn": turn });
        let transition = |falls: &str| json!({ "end": "transition", "to": "6:12", "falls": falls });
        let square = || json!({ "end": "square" });
        let (gable, dam) = (json!({ "end": "gable", "width": 4 }), json!({ "end": "dam", "height": 3 }));
        assert_eq!(said("end-wall", gable, dam), ["gable 4\"", "dam 3\""]);
        let corners = said("end-wall", corner("inside", 90.0), corner("outside", 22.5));
        assert_eq!(corners, ["inside corner 90°", "outside corner 22.5°"]);
        assert_eq!(said("gable", square(), transition("on")), ["LOW, square", "transition to 6:12"]);
        assert_eq!(said("gable", square(), transition("back")), ["LOW, square", "transition back to 6:12"]);
    }

    #[test]
    fn a_sloped_run_says_which_ends_are_low() {
        let said = |low: &str| ends(json!({ "trim": "side-wall", "length": 300, "low": low }), "aluminium");
        let under = |place| format!("6\" under A-SW-{place}");
        let over = |place| format!("LOW, 6\" over A-SW-{place}");
        assert_eq!(said("left")[0], ["LOW, square".to_owned(), under(2)]);
        assert_eq!(said("left")[1], [over(1), under(3)]);
        assert_eq!(said("right")[1], [under(1), over(3)]);
        assert_eq!(said("right")[2], [under(2), "LOW, square".to_owned()]);
    }

    #[test]
    fn level_runs_have_no_low_end_and_a_joint_is_named() {
        let said = ends(json!({ "trim": "end-wall", "length": 780, "lap": 6 }), "aluminium").concat().join(" ");
        assert!(said.contains(", joint") && said.contains("6\" over A-EW-1") && !said.contains("LOW"), "{said}");
    }
}
