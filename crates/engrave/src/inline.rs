//! Drawings within a page of HTML: a glyph or word that comes again is drawn once, and the
//! ink has the colour of the page's text, so that it can be read on a dark ground too.

use std::collections::HashMap;
use std::fmt::Write as _;

use crate::drawing::{Drawing, Face, Ink, Outline, Point};
use crate::font;

/// What is drawn once and used by many: a glyph, or a text of a size in a face.
#[derive(Clone, PartialEq, Eq, Hash)]
enum Shared {
    Glyph(char),
    Text(Face, u64, String),
}

/// The glyphs and words of a page.
#[derive(Default)]
pub struct Inline {
    /// The number of each.
    known: HashMap<Shared, usize>,
    definitions: String,
}

impl Inline {
    /// The ink of a drawing as elements of SVG, in staff spaces with y down: what stands within
    /// an `<svg>` whose `viewBox` is [`view_box`]. Halos have the class `halo`, for the page
    /// knows the colour of its ground.
    pub fn ink(&mut self, drawing: &Drawing) -> String {
        let mut out = String::new();
        for stain in &drawing.stains {
            self.one(&mut out, &stain.ink);
        }
        out
    }

    /// What all the drawings use: elements that stand once on the page within `<defs>`.
    #[must_use]
    pub fn definitions(&self) -> &str {
        &self.definitions
    }

    fn one(&mut self, out: &mut String, ink: &Ink) {
        // Writing to a string cannot fail.
        let _ = match ink {
            Ink::Glyph { glyph, scale, at } => {
                let number = self.shared(Shared::Glyph(*glyph));
                let (x, y) = (short(at.x.0), short(-at.y.0));
                if (scale - 1.0).abs() < 1e-9 {
                    write!(out, "<use href=\"#g{number}\" x=\"{x}\" y=\"{y}\"/>")
                } else {
                    let scale = short(*scale);
                    write!(
                        out,
                        "<use href=\"#g{number}\" transform=\"translate({x} {y}) scale({scale})\"/>"
                    )
                }
            }
            Ink::Text { text, face, size, at, .. } => {
                let number = self.shared(Shared::Text(*face, size.0.to_bits(), text.clone()));
                let (x, y) = (short(at.x.0), short(-at.y.0));
                write!(out, "<use href=\"#g{number}\" x=\"{x}\" y=\"{y}\"/>")
            }
            Ink::Line { from, to, thickness, dash } => {
                let dashes = dash.map_or_else(String::new, |(dash, gap)| {
                    format!(" stroke-dasharray=\"{} {}\"", short(dash.0), short(gap.0))
                });
                write!(
                    out,
                    "<path d=\"M{} {}L{} {}\" stroke=\"currentColor\" stroke-width=\"{}\"{dashes}/>",
                    short(from.x.0),
                    short(-from.y.0),
                    short(to.x.0),
                    short(-to.y.0),
                    short(thickness.0)
                )
            }
            Ink::Shape(outline) => write!(out, "<path d=\"{}\"/>", path(outline)),
            Ink::Circle { centre, radius, ring } => {
                let ring = ring.map_or_else(String::new, |ring| {
                    let width = short(ring.0);
                    format!(" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{width}\"")
                });
                let (x, y, r) = (short(centre.x.0), short(-centre.y.0), short(radius.0));
                write!(out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"{ring}/>")
            }
            Ink::Halo { low, high } => write!(
                out,
                "<rect class=\"halo\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
                short(low.x.0),
                short(-high.y.0),
                short(high.x.0 - low.x.0),
                short(high.y.0 - low.y.0)
            ),
        };
    }

    fn shared(&mut self, what: Shared) -> usize {
        let next = self.known.len();
        let number = *self.known.entry(what.clone()).or_insert(next);
        if number == next {
            let drawn = match &what {
                Shared::Glyph(glyph) => path(font::outline(*glyph)),
                Shared::Text(face, size, text) => {
                    path(&font::text_outline(*face, f64::from_bits(*size), text))
                }
            };
            let _ = write!(self.definitions, "<path id=\"g{number}\" d=\"{drawn}\"/>");
        }
        number
    }
}

/// The `viewBox` of a drawing in staff spaces.
#[must_use]
pub fn view_box(drawing: &Drawing) -> String {
    let (width, height) = (short(drawing.width.0), short(drawing.height().0));
    format!("0 {} {width} {height}", short(-drawing.above.0))
}

/// A number as short as it can be: a hundredth of a staff space is less than a dot of a screen.
#[must_use]
pub fn short(number: f64) -> String {
    let mut text = format!("{number:.2}");
    let kept = text.trim_end_matches('0').trim_end_matches('.').len();
    text.truncate(kept);
    if text == "-0" { "0".to_owned() } else { text }
}

fn path(outline: &[Outline]) -> String {
    let mut out = String::new();
    let place = |point: Point| format!("{} {}", short(point.x.0), short(-point.y.0));
    for step in outline {
        let _ = match *step {
            Outline::Move(to) => write!(out, "M{}", place(to)),
            Outline::Line(to) => write!(out, "L{}", place(to)),
            Outline::Curve(one, two, end) => {
                write!(out, "C{} {} {}", place(one), place(two), place(end))
            }
            Outline::Close => write!(out, "Z"),
        };
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Kind, Owner, StaffSpaces, Stain};

    fn drawing(inks: Vec<Ink>) -> Drawing {
        let stain = |ink| Stain { ink, kind: Kind::Head, owner: Owner::System };
        Drawing {
            stains: inks.into_iter().map(stain).collect(),
            width: StaffSpaces(10.0),
            above: StaffSpaces(4.5),
            below: StaffSpaces(2.0),
            description: String::new(),
        }
    }

    #[test]
    fn what_comes_again_is_drawn_once() {
        let head = |x| Ink::Glyph { glyph: '\u{E0A4}', scale: 1.0, at: Point::new(x, 0.5) };
        let mut inline = Inline::default();
        let first = inline.ink(&drawing(vec![head(1.0), head(2.5)]));
        assert_eq!(
            first,
            "<use href=\"#g0\" x=\"1\" y=\"-0.5\"/><use href=\"#g0\" x=\"2.5\" y=\"-0.5\"/>"
        );
        let defined = inline.definitions().to_owned();
        assert_eq!(defined.matches("<path").count(), 1);
        inline.ink(&drawing(vec![head(3.0)]));
        assert_eq!(inline.definitions(), defined, "another drawing uses the same");
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!(
            [0.0, -0.001, 1.0, 0.128, -3.5, 10.0].map(short),
            ["0", "0", "1", "0.13", "-3.5", "10"]
        );
        assert_eq!(view_box(&drawing(Vec::new())), "0 -4.5 10 6.5");
    }
}
