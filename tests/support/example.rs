//! The order that the format's description shows, changed here and there, and what is said of it.

// Each test file is a program of its own and uses a part of this.
#![allow(dead_code)]

use std::sync::Arc;

use brakeside::order::Order;
use brakeside::order::fault::Faults;
use brakeside::order::shop::Shop;
use serde_json::Value;

/// The order that the format's description shows, with its gaps filled in.
pub fn example() -> Value {
    serde_json::from_str(include_str!("../data/order.json")).unwrap()
}

pub fn parse(text: &[u8]) -> Result<(Order, Value), Faults> {
    brakeside::order::parse::parse(text, &Arc::new(Shop::default()))
}

pub fn parse_value(order: &Value) -> Result<Order, Faults> {
    let (checked, kept) = parse(&serde_json::to_vec(order).unwrap())?;
    assert_eq!(&kept, order);
    Ok(checked)
}

pub fn pointers(faults: &Faults) -> Vec<&str> {
    let mut pointers: Vec<_> = faults.0.iter().map(|fault| fault.pointer.as_str()).collect();
    pointers.sort_unstable();
    pointers
}

/// The example with the values at these pointers put in, or taken out where `None`.
pub fn changed(changes: &[(&str, Option<Value>)]) -> Value {
    let mut order = example();
    for (pointer, value) in changes {
        let (parent, key) = pointer.rsplit_once('/').unwrap();
        match (order.pointer_mut(parent).unwrap(), value) {
            (Value::Object(map), Some(value)) => drop(map.insert(key.replace("~1", "/"), value.clone())),
            (Value::Object(map), None) => drop(map.remove(key).expect("only what is there can be taken out")),
            (Value::Array(list), Some(value)) => list[key.parse::<usize>().unwrap()] = value.clone(),
            _ => panic!("{pointer} is not in an object or list"),
        }
    }
    order
}

/// Asserts that these changes to the example give faults at exactly these pointers.
#[track_caller]
pub fn refused(changes: &[(&str, Option<Value>)], at: &[&str]) -> Faults {
    let faults = parse_value(&changed(changes)).expect_err("a bad order was accepted");
    let mut at = at.to_vec();
    at.sort_unstable();
    assert_eq!(pointers(&faults), at, "\n{faults}");
    faults
}

#[track_caller]
pub fn accepted(changes: &[(&str, Option<Value>)]) -> Order {
    parse_value(&changed(changes)).unwrap_or_else(|faults| panic!("a good order was refused:\n{faults}"))
}
