//! Kilograms and pounds, in one place: metals, loads and cut lists all convert.

/// Exact by the international yard and pound agreement, 1 July 1959.
pub const KG_PER_LB: f64 = 0.453_592_37;
