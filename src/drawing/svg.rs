//! A small writer of SVG: just the shapes the drawings use, escaped and rounded in one place.

use std::fmt::Write;

/// An SVG drawing being written. Coordinates are user units, y downward.
#[derive(Debug, Clone)]
pub struct Svg {
    width: f64,
    height: f64,
    body: String,
}

/// How a shape is painted.
#[derive(Debug, Clone, Copy, Default)]
pub struct Paint<'a> {
    pub fill: Option<&'a str>,
    pub stroke: Option<&'a str>,
    pub stroke_width: f64,
    pub dashed: bool,
}

impl<'a> Paint<'a> {
    pub fn fill(colour: &'a str) -> Self {
        Self { fill: Some(colour), ..Self::default() }
    }

    pub fn stroke(colour: &'a str, width: f64) -> Self {
        Self { stroke: Some(colour), stroke_width: width, ..Self::default() }
    }

    pub fn outlined(self, colour: &'a str, width: f64) -> Self {
        Self { stroke: Some(colour), stroke_width: width, ..self }
    }

    pub fn dashed(self) -> Self {
        Self { dashed: true, ..self }
    }
}

/// Where a text sits on its anchor point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// The weights of the embedded typeface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    Regular,
    SemiBold,
    Bold,
}

/// How a text is set: `size` is the em height in user units.
#[derive(Debug, Clone, Copy)]
pub struct Type<'a> {
    pub size: f64,
    pub weight: Weight,
    pub anchor: Anchor,
    pub colour: &'a str,
}

impl Svg {
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, body: String::new() }
    }

    pub fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, paint: Paint) {
        let (x, y, w, h) = (number(x), number(y), number(width), number(height));
        self.push(format!(r#"<rect x="{x}" y="{y}" width="{w}" height="{h}"{}/>"#, attributes(paint)));
    }

    pub fn polygon(&mut self, points: &[[f64; 2]], paint: Paint) {
        self.push(format!(r#"<polygon points="{}"{}/>"#, list(points), attributes(paint)));
    }

    pub fn polyline(&mut self, points: &[[f64; 2]], paint: Paint) {
        self.push(format!(r#"<polyline points="{}"{}/>"#, list(points), attributes(paint)));
    }

    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], paint: Paint) {
        self.polyline(&[from, to], paint);
    }

    pub fn circle(&mut self, centre: [f64; 2], radius: f64, paint: Paint) {
        let ([x, y], r) = (centre.map(number), number(radius));
        self.push(format!(r#"<circle cx="{x}" cy="{y}" r="{r}"{}/>"#, attributes(paint)));
    }

    /// Cells of `[x, y, width, height]` as one shape with sharp edges, so that neighbours join without a seam.
    pub fn cells(&mut self, cells: impl IntoIterator<Item = [f64; 4]>, colour: &str) {
        let mut path = String::new();
        for cell in cells {
            let [x, y, width, height] = cell.map(number);
            // Writing to a String cannot fail.
            let _ = write!(path, "M{x} {y}h{width}v{height}h-{width}z");
        }
        self.push(format!(r#"<path d="{path}" fill="{colour}" shape-rendering="crispEdges"/>"#));
    }

    /// `at` is the anchor on the baseline.
    pub fn text(&mut self, at: [f64; 2], text: &str, set: Type) {
        let [x, y] = at.map(number);
        let anchor = match set.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let weight = match set.weight {
            Weight::Regular => 400,
            Weight::SemiBold => 600,
            Weight::Bold => 700,
        };
        self.push(format!(
            r#"<text x="{x}" y="{y}" font-size="{}" font-weight="{weight}" text-anchor="{anchor}" fill="{}">{}</text>"#,
            number(set.size),
            set.colour,
            escape(text),
        ));
    }

    /// A whole drawing with its upper left corner at a point of this one.
    pub fn inset(&mut self, drawing: &str, [x, y]: [f64; 2]) {
        let at = format!(r#"<svg x="{}" y="{}""#, number(x), number(y));
        self.push(drawing.trim_end().replacen("<svg", &at, 1));
    }

    fn push(&mut self, element: String) {
        self.body.push_str(&element);
        self.body.push('\n');
    }

    /// The finished document. The typeface is named, not embedded: pages fall back to the phone's own sans-serif.
    pub fn finish(self) -> String {
        let (w, h) = (number(self.width), number(self.height));
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w}" height="{h}" viewBox="0 0 {w} {h}" font-family="'Source Sans 3', sans-serif">
{}</svg>
"#,
            self.body
        )
    }
}

/// Thousandths are finer than any eye or printer; trailing zeros are dropped.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

fn list(points: &[[f64; 2]]) -> String {
    let mut text = String::new();
    for [x, y] in points {
        // Writing to a String cannot fail.
        let _ = write!(text, "{},{} ", number(*x), number(*y));
    }
    text.truncate(text.trim_end().len());
    text
}

fn attributes(paint: Paint) -> String {
    let mut text = format!(r#" fill="{}""#, paint.fill.unwrap_or("none"));
    if let Some(colour) = paint.stroke {
        let width = paint.stroke_width;
        let _ = write!(text, r#" stroke="{colour}" stroke-width="{}""#, number(width));
        if paint.dashed {
            let _ = write!(text, r#" stroke-dasharray="{} {}""#, number(width * 4.0), number(width * 3.0));
        }
    }
    text
}

/// Text as SVG may carry it: markup escaped, characters XML forbids dropped.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}
