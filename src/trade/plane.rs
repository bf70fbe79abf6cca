//! Points and vectors of the plane: the little vector algebra that sections, mitres, the brake and the drawings share.

/// A point, or the vector from the origin to it.
pub type Point = [f64; 2];

/// From `from` to `to`.
pub fn less(to: Point, from: Point) -> Point {
    [to[0] - from[0], to[1] - from[1]]
}

/// The point reached from `from` by going `distance` times the vector `toward`.
pub fn along(from: Point, toward: Point, distance: f64) -> Point {
    [from[0] + toward[0] * distance, from[1] + toward[1] * distance]
}

/// The inner product: of unit vectors, the cosine of the angle between them.
pub fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// The outer product: of unit vectors, the sine of the angle from `a` to `b`.
pub fn cross(a: Point, b: Point) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

pub fn length(vector: Point) -> f64 {
    vector[0].hypot(vector[1])
}

/// Turned about the origin, from the first axis toward the second, by the angle of this cosine and sine.
pub fn turned([x, y]: Point, [cos, sin]: [f64; 2]) -> Point {
    [x * cos - y * sin, x * sin + y * cos]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quarter turn from the first axis to the second: a unit vector's cosine with it is 0, its sine 1.
    #[test]
    fn turns_run_from_the_first_axis_to_the_second() {
        let (toward, quarter) = ([0.6, 0.8], turned([0.6, 0.8], [0.0, 1.0]));
        assert_eq!(quarter, [-0.8, 0.6]);
        assert_eq!((dot(toward, quarter), cross(toward, quarter)), (0.0, 1.0));
        assert_eq!(less(along([1.0, 2.0], toward, 5.0), [1.0, 2.0]), [3.0, 4.0]);
        assert_eq!(length([3.0, -4.0]), 5.0);
    }
}
