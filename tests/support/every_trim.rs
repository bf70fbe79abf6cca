//! The example orders: one for each trim with every end it may have, and one that moves.

pub const ORDERS: [&str; 8] = [
    include_str!("../orders/end-wall.json"),
    include_str!("../orders/reglet.json"),
    include_str!("../orders/side-wall.json"),
    include_str!("../orders/gable.json"),
    include_str!("../orders/eave.json"),
    include_str!("../orders/ridge.json"),
    include_str!("../orders/custom.json"),
    include_str!("../orders/joints.json"),
];
