//! Which side of the strip lies up, in the words of the bench.

use crate::order::Painted;
use crate::trade::bend_order::Face;

/// Such as `painted side up`.
pub fn words(painted: Painted, up: Face) -> &'static str {
    match (painted, up) {
        (Painted::Out, Face::Seen) | (Painted::In, Face::Hidden) => "painted side up",
        (Painted::Out, Face::Hidden) | (Painted::In, Face::Seen) => "bare side up",
        (Painted::Both | Painted::None, Face::Seen) => "seen side up",
        (Painted::Both | Painted::None, Face::Hidden) => "hidden side up",
    }
}
