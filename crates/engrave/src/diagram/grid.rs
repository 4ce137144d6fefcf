//! One diagram.

use apoyando_fingering::{Position, Shape, StringState};

use super::DiagramStyle;
use super::name::{chord_name, name_width};
use super::pen::Pen;
use crate::drawing::{Drawing, Face, Owner, StaffSpaces};
use crate::font;

/// Distance of two frets in string gaps. Common practice.
const FRET: f64 = 1.25;
/// Height of the nut. Common practice.
const NUT: f64 = 0.4;
/// Diameter of a dot. Common practice.
const DOT: f64 = 0.78;
/// Thickness of a barre. House value: thinner than the dots, so that they show.
const BARRE: f64 = 0.46;
/// Diameter of ○ and size of ×. Common practice.
const MARKER: f64 = 0.58;
/// Clear space from nut to ○ and ×, and from the last fret to the fingers.
/// House value.
const CLEAR: f64 = 0.22;
/// Em of a finger's digit. House value: at the smallest gap in use, 1.9 mm, its
/// digits are 1.7 mm tall.
const DIGIT: f64 = 1.4;
/// Em of the name and of the number of the first fret. House values.
const NAME: f64 = 1.6;
const NUMBER: f64 = 1.2;
/// Frets shown at least and, with the nut and open strings, at most.
const LEAST: u8 = 4;
pub(super) const WITH_NUT: u8 = 5;

/// What a diagram shows of the fingerboard.
pub(super) struct Grid<'a> {
    shape: &'a Shape,
    /// The first fret shown; 1 where the nut is.
    pub first: u8,
    /// How many frets.
    pub frets: u8,
}

impl<'a> Grid<'a> {
    /// From the nut as long as everything lies within the first five frets, if no string
    /// is open as far as the style asks; further up from the lowest fret in use.
    pub fn of(shape: &'a Shape, style: &DiagramStyle) -> Self {
        let stopped = || {
            let strings = shape.strings.iter().filter_map(|state| state.fret());
            let barre = shape.barre.map(|barre| barre.fret);
            strings.chain(barre).map(|fret| fret.0).filter(|fret| *fret > 0)
        };
        let highest = stopped().max().unwrap_or(1);
        let lowest = stopped().min().unwrap_or(1);
        let open = shape.strings.iter().any(|state| state.fret().is_some_and(|fret| fret.0 == 0));
        let with_nut = if open { WITH_NUT } else { style.closed.0 };
        let first = if highest <= with_nut { 1 } else { lowest };
        Self { shape, first, frets: (highest - first + 1).max(LEAST) }
    }

    fn gaps(&self) -> f64 {
        self.shape.strings.len().saturating_sub(1) as f64
    }

    /// The position whose numeral stands beside the first fret; none at the nut.
    pub fn position(&self) -> Option<Position> {
        Position::new(self.first).filter(|position| *position > Position::FIRST)
    }

    fn number(&self) -> Option<String> {
        self.position().map(|position| position.to_string())
    }

    /// From the left edge to the first string on the left.
    fn margin(&self, style: &DiagramStyle) -> f64 {
        let side = 0.5 * DOT;
        let number = self
            .number()
            .map_or(0.0, |number| font::text_width(Face::Regular, NUMBER, &number) + 0.35);
        let name = if style.named {
            (name_width(NAME, &self.shape.name) - self.gaps()) / 2.0
        } else {
            0.0
        };
        let numbered = if style.mirrored { 0.0 } else { number };
        (side + numbered).max(name)
    }

    /// The middle of the grid from the left edge.
    pub fn middle(&self, style: &DiagramStyle) -> StaffSpaces {
        style.gap * (self.margin(style) + self.gaps() / 2.0)
    }

    /// The diagram.
    pub fn draw(&self, style: &DiagramStyle) -> Drawing {
        let g = style.gap.0;
        let frets = self.frets.max(style.frets);
        let (left, gaps) = (self.margin(style) * g, self.gaps());
        let foot = -f64::from(frets) * FRET * g;
        let mut pen = Pen::default();
        let x = |index: usize| {
            let from_left = if style.mirrored { index as f64 } else { gaps - index as f64 };
            left + from_left * g
        };
        let (west, east) = (left, left + gaps * g);
        let half = style.line.0 / 2.0;
        for index in 0..self.shape.strings.len() {
            pen.line((x(index), 0.0), (x(index), foot), style.line.0);
        }
        for fret in 0..=frets {
            let y = -f64::from(fret) * FRET * g;
            pen.line((west - half, y), (east + half, y), style.line.0);
        }
        if self.first == 1 {
            pen.line((west - half, NUT * g / 2.0), (east + half, NUT * g / 2.0), NUT * g);
        }
        let y_of = |fret: u8| -(f64::from(fret - self.first) + 0.5) * FRET * g;
        if let Some(number) = self.number() {
            let width = font::text_width(Face::Regular, NUMBER * g, &number);
            let (cap, _) = font::text_ascent(Face::Regular, NUMBER * g);
            let at = if style.mirrored {
                east + (0.5 * DOT + 0.35) * g
            } else {
                west - (0.5 * DOT + 0.25) * g - width
            };
            pen.text(&number, Face::Regular, NUMBER * g, (at, y_of(self.first) - cap / 2.0));
        }
        if let Some(barre) = self.shape.barre {
            let ends = [barre.thin, barre.thick].map(|string| x(string.index()));
            let (from, to) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
            pen.bar(from, to, y_of(barre.fret.0.max(self.first)), BARRE * g);
        }
        // With or without a nut, so that markers and names stand level in a row.
        let marker = (NUT + CLEAR + MARKER / 2.0) * g;
        let mut fingered = false;
        for (index, state) in self.shape.strings.iter().enumerate() {
            match *state {
                StringState::Open => pen.ring((x(index), marker), MARKER * g, 1.5 * style.line.0),
                StringState::Unplayed => {
                    let (x, line) = (x(index), 1.5 * style.line.0);
                    // The square ends of a slanted stroke stick out a little.
                    let arm = MARKER * g / 2.0 - 0.36 * line;
                    pen.line((x - arm, marker - arm), (x + arm, marker + arm), line);
                    pen.line((x - arm, marker + arm), (x + arm, marker - arm), line);
                }
                StringState::Stopped { fret, finger } => {
                    pen.dot((x(index), y_of(fret.0.max(self.first))), DOT * g);
                    if let Some(finger) = finger {
                        let digit = finger.to_string();
                        let width = font::text_width(Face::Regular, DIGIT * g, &digit);
                        let (cap, _) = font::text_ascent(Face::Regular, DIGIT * g);
                        let at = (x(index) - width / 2.0, foot - (CLEAR * g + cap));
                        pen.text(&digit, Face::Regular, DIGIT * g, at);
                        fingered = true;
                    }
                }
            }
        }
        let mut above = marker + MARKER * g / 2.0;
        let (cap, _) = font::text_ascent(Face::Bold, NAME * g);
        let name = &self.shape.name;
        if style.named && !name.is_empty() {
            let width = name_width(NAME * g, name);
            let at = ((west + east - width) / 2.0, above + (CLEAR + 0.08) * g);
            pen.stains.extend(chord_name(name, NAME * g, Owner::System, at));
            // A sharp rises a little above the letters.
            above = at.1 + 1.12 * cap;
        }
        let below = if fingered {
            let (cap, _) = font::text_ascent(Face::Regular, DIGIT * g);
            -foot + CLEAR * g + cap + 0.05 * g
        } else {
            -foot + half
        };
        let right_number = match self.number() {
            Some(number) if style.mirrored => {
                font::text_width(Face::Regular, NUMBER * g, &number) + 0.35 * g
            }
            _ => 0.0,
        };
        let name_right =
            if style.named { (name_width(NAME * g, name) - gaps * g) / 2.0 } else { 0.0 };
        Drawing {
            stains: pen.stains,
            width: StaffSpaces(east + (0.5 * DOT * g + right_number).max(name_right)),
            above: StaffSpaces(above),
            below: StaffSpaces(below),
            description: self.description(),
        }
    }

    fn description(&self) -> String {
        let (name, frets, fingers) = (&self.shape.name, self.shape.frets(), self.shape.fingers());
        if name.is_empty() {
            format!("Chord diagram {frets}, fingers {fingers}")
        } else {
            format!("Chord diagram {name}: {frets}, fingers {fingers}")
        }
    }
}
