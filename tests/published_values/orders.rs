//! Orders of one run, for what only a whole order can be asked.

use std::sync::Arc;

use brakeside::order::plan::Plan;
use brakeside::order::planner::plan;
use brakeside::order::shop::Shop;
use brakeside::order::{Order, parse};
use serde_json::{Value, json};

/// An order in inches for a shop as it comes; none if it is refused.
pub fn order_of(metal: Value, run: Value) -> Option<Order> {
    let order = json!({
        "format": "brakeside-order/1", "order": "1", "job": { "name": "test" }, "units": "in", "metal": metal,
        "runs": [run]
    });
    parse::from_json(&order, &Arc::new(Shop::default())).ok()
}

/// Its plan.
pub fn plan_of(metal: Value, run: Value) -> Option<Plan> {
    plan(&order_of(metal, run)?).ok()
}

/// 24 ga galvanized steel.
pub fn steel() -> Value {
    json!({ "kind": "galvanized-steel", "gauge": 24 })
}
