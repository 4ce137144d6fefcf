//! A drawing as a file of its own that any browser shows: glyphs and text as
//! outlines, so that it looks the same everywhere.

use std::fmt::Write as _;

use crate::drawing::{Drawing, Ink, Outline, Point};
use crate::font;

/// Points on the screen of one staff space.
const SCALE: f64 = 8.0;

/// A drawing as SVG, one staff space being eight units.
#[must_use]
pub fn svg(drawing: &Drawing) -> String {
    let mut out = String::new();
    let (width, height) = (drawing.width.0 * SCALE, drawing.height().0 * SCALE);
    // Writing to a string cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{width:.2}\" height=\"{height:.2}\" viewBox=\"0 {:.3} {:.3} {:.3}\">\n<title>",
        -drawing.above.0,
        drawing.width.0,
        drawing.height().0,
    );
    escape(&mut out, &drawing.description);
    out.push_str("</title>\n");
    for stain in &drawing.stains {
        ink(&mut out, &stain.ink);
    }
    out.push_str("</svg>\n");
    out
}

fn escape(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            _ => out.push(c),
        }
    }
}

fn ink(out: &mut String, ink: &Ink) {
    match ink {
        Ink::Glyph { glyph, scale, at } => path(out, font::outline(*glyph), *scale, *at),
        Ink::Line { from, to, thickness, dash } => {
            let _ = write!(
                out,
                "<line x1=\"{:.3}\" y1=\"{:.3}\" x2=\"{:.3}\" y2=\"{:.3}\" stroke=\"#000\" stroke-width=\"{:.3}\"",
                from.x.0, -from.y.0, to.x.0, -to.y.0, thickness.0
            );
            if let Some((dash, gap)) = dash {
                let _ = write!(out, " stroke-dasharray=\"{:.3} {:.3}\"", dash.0, gap.0);
            }
            out.push_str("/>\n");
        }
        Ink::Shape(outline) => path(out, outline, 1.0, Point::default()),
        Ink::Circle { centre, radius, ring } => {
            let _ = write!(
                out,
                "<circle cx=\"{:.3}\" cy=\"{:.3}\" r=\"{:.3}\"",
                centre.x.0, -centre.y.0, radius.0
            );
            match ring {
                Some(ring) => {
                    let _ = write!(
                        out,
                        " fill=\"none\" stroke=\"#000\" stroke-width=\"{:.3}\"/>",
                        ring.0
                    );
                }
                None => out.push_str("/>"),
            }
            out.push('\n');
        }
        Ink::Text { text, face, size, at, .. } => {
            path(out, &font::text_outline(*face, size.0, text), 1.0, *at);
        }
        Ink::Halo { low, high } => {
            let _ = writeln!(
                out,
                "<rect x=\"{:.3}\" y=\"{:.3}\" width=\"{:.3}\" height=\"{:.3}\" fill=\"#fff\"/>",
                low.x.0,
                -high.y.0,
                high.x.0 - low.x.0,
                high.y.0 - low.y.0
            );
        }
    }
}

fn path(out: &mut String, outline: &[Outline], scale: f64, at: Point) {
    let place = |p: Point| (at.x.0 + scale * p.x.0, -(at.y.0 + scale * p.y.0));
    out.push_str("<path d=\"");
    for step in outline {
        let _ = match *step {
            Outline::Move(to) => write!(out, "M{:.3} {:.3}", place(to).0, place(to).1),
            Outline::Line(to) => write!(out, "L{:.3} {:.3}", place(to).0, place(to).1),
            Outline::Curve(one, two, end) => {
                let (one, two, end) = (place(one), place(two), place(end));
                write!(
                    out,
                    "C{:.3} {:.3} {:.3} {:.3} {:.3} {:.3}",
                    one.0, one.1, two.0, two.1, end.0, end.1
                )
            }
            Outline::Close => write!(out, "Z"),
        };
    }
    out.push_str("\"/>\n");
}
