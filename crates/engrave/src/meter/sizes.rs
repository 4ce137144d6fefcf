//! Staves of several sizes: each is measured in its own staff spaces.

use crate::drawing::{Drawing, Ink, Kind, Outline, Point, StaffSpaces, Stain};
use crate::geometry::bounds;

/// Lines of a staff of notation.
const LINES: usize = 5;
/// Lines nearer than this are those of a smaller staff: its spaces are shares of one.
const SMALLER: f64 = 0.99;

/// What stands on staves of the usual size, then each smaller staff by itself, made as
/// large as others are. A staff is painted from its lines on until the lines of the next.
pub fn by_size(drawing: &Drawing) -> Vec<Drawing> {
    let mut staves: Vec<Vec<Stain>> = vec![Vec::new()];
    let mut in_lines = false;
    for stain in &drawing.stains {
        let line = stain.kind == Kind::StaffLine;
        if line && !in_lines {
            staves.push(Vec::new());
        }
        in_lines = line;
        if let Some(staff) = staves.last_mut() {
            staff.push(stain.clone());
        }
    }
    let mut usual = Drawing { stains: Vec::new(), ..drawing.clone() };
    let mut small = Vec::new();
    for stains in staves {
        match size_of(&stains) {
            Some((size, middle)) if size < SMALLER => {
                let large = stains.into_iter().map(|stain| enlarged(stain, size, middle));
                small.push(Drawing { stains: large.collect(), ..drawing.clone() });
            }
            _ => usual.stains.extend(stains),
        }
    }
    let mut all = vec![usual];
    all.append(&mut small);
    all
}

/// How large the spaces of a staff are, and where its middle line lies; `None` for what is
/// no staff of notation.
fn size_of(stains: &[Stain]) -> Option<(f64, f64)> {
    let lines = stains.iter().take_while(|stain| stain.kind == Kind::StaffLine);
    let mut heights: Vec<f64> = lines
        .map(|stain| {
            let area = bounds(&stain.ink);
            f64::midpoint(area.low, area.high)
        })
        .collect();
    heights.sort_by(f64::total_cmp);
    (heights.len() == LINES).then(|| {
        let (low, high) = (heights[0], heights[LINES - 1]);
        ((high - low) / (LINES - 1) as f64, f64::midpoint(low, high))
    })
}

fn enlarged(stain: Stain, size: f64, middle: f64) -> Stain {
    let point = |at: Point| Point::new(at.x.0 / size, (at.y.0 - middle) / size);
    let length = |length: StaffSpaces| StaffSpaces(length.0 / size);
    let ink = match stain.ink {
        Ink::Glyph { glyph, scale, at } => Ink::Glyph { glyph, scale: scale / size, at: point(at) },
        Ink::Line { from, to, thickness, dash } => Ink::Line {
            from: point(from),
            to: point(to),
            thickness: length(thickness),
            dash: dash.map(|(dash, gap)| (length(dash), length(gap))),
        },
        Ink::Shape(outline) => Ink::Shape(
            outline
                .into_iter()
                .map(|step| match step {
                    Outline::Move(to) => Outline::Move(point(to)),
                    Outline::Line(to) => Outline::Line(point(to)),
                    Outline::Curve(one, two, to) => {
                        Outline::Curve(point(one), point(two), point(to))
                    }
                    Outline::Close => Outline::Close,
                })
                .collect(),
        ),
        Ink::Circle { centre, radius, ring } => {
            Ink::Circle { centre: point(centre), radius: length(radius), ring: ring.map(length) }
        }
        Ink::Text { text, face, size: em, at, width } => {
            Ink::Text { text, face, size: length(em), at: point(at), width: length(width) }
        }
        Ink::Halo { low, high } => Ink::Halo { low: point(low), high: point(high) },
    };
    Stain { ink, ..stain }
}
