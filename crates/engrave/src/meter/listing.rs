//! A drawing as lines of text, one for each stain, for tests to keep.

use std::fmt::Write as _;

use crate::drawing::{Drawing, Ink, Owner, Point};
use crate::font;
use crate::geometry::bounds;

/// Every stain in painting order: kind, owner, what it is and where, in staff
/// spaces to two places.
#[must_use]
pub fn listing(drawing: &Drawing) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(
        out,
        "{} wide, {} up, {} down: {}",
        short(drawing.width.0),
        short(drawing.above.0),
        short(drawing.below.0),
        drawing.description
    );
    for stain in &drawing.stains {
        let owner = match stain.owner {
            Owner::System => String::new(),
            Owner::Bar(bar) => format!(" bar {}", bar.0),
            Owner::Note(note) => format!(" note {}", note.0),
        };
        let _ = writeln!(out, "{:?}{owner}: {}", stain.kind, said(&stain.ink));
    }
    out
}

fn short(number: f64) -> String {
    // Adding zero turns a rounded −0 into 0.
    format!("{:.2}", (number * 100.0).round() / 100.0 + 0.0)
}

fn at(point: Point) -> String {
    format!("({}, {})", short(point.x.0), short(point.y.0))
}

fn said(ink: &Ink) -> String {
    match ink {
        Ink::Glyph { glyph, scale, at: origin } => {
            let name = font::glyph(*glyph).map_or("unknown glyph", |glyph| glyph.name);
            format!("{name} × {} {}", short(*scale), at(*origin))
        }
        Ink::Line { from, to, thickness, dash } => {
            let dash = if dash.is_some() { "dashes" } else { "line" };
            format!("{dash} {}–{} × {}", at(*from), at(*to), short(thickness.0))
        }
        Ink::Shape(_) => {
            let area = bounds(ink);
            let (low, high) = (Point::new(area.left, area.low), Point::new(area.right, area.high));
            format!("shape {}–{}", at(low), at(high))
        }
        Ink::Circle { centre, radius, ring } => {
            let what = if ring.is_some() { "ring" } else { "disc" };
            format!("{what} {} r {}", at(*centre), short(radius.0))
        }
        Ink::Text { text, face, size, at: origin, .. } => {
            format!("“{text}” {face:?} {} {}", short(size.0), at(*origin))
        }
        Ink::Halo { low, high } => format!("halo {}–{}", at(*low), at(*high)),
    }
}
