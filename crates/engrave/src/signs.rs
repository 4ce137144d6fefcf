//! Clefs, signatures and barlines: which glyphs and strokes, and how wide.

use apoyando_music::rhythm::MetreSign;
use apoyando_music::{Bar, BarEnd, Clef, KeySignature, Metre};

use crate::drawing::Kind;
use crate::font::{Glyph, table};

/// Clear space before the clef, and between clef, key and time.
const BEFORE_CLEF: f64 = 0.8;
const BETWEEN: f64 = 1.0;
/// Middle of a treble clef at the beginning of a line.
pub const CLEF_MIDDLE: f64 = BEFORE_CLEF + 1.35;
/// Clear space between the time signature and the first note.
const AFTER_TIME: f64 = 2.0;
/// Clear space between clef or key and the first note where there is no time.
const AFTER_KEY: f64 = 1.8;

/// What a staff begins with, which decides what signatures it has.
#[derive(Clone, Copy, Debug)]
pub enum Front {
    /// Five lines with a clef.
    Clef(Clef),
    /// Lines for the strings, which have no key; the metre is so many times as large as on
    /// five lines. Its letters are drawn with the lines.
    Strings(f64),
}

impl Front {
    /// How large its metre is.
    const fn scale(self) -> f64 {
        match self {
            Self::Clef(_) => 1.0,
            Self::Strings(scale) => scale,
        }
    }
}

/// A glyph of a signature.
#[derive(Clone, Copy, Debug)]
pub struct Sign {
    pub glyph: &'static Glyph,
    pub kind: Kind,
    /// Its size to the usual one.
    pub scale: f64,
    /// Origin, counted from the beginning of the signs.
    pub x: f64,
    pub y: f64,
}

/// Signs in a row and the room they take, with the space after them.
#[derive(Clone, Debug, Default)]
pub struct Row {
    pub signs: Vec<Sign>,
    pub width: f64,
}

/// The clef and where its origin stands.
const fn clef_sign(clef: Clef) -> (&'static Glyph, f64) {
    match clef {
        Clef::Guitar => (&table::G_CLEF_8VB, -1.0),
        Clef::Treble => (&table::G_CLEF, -1.0),
        Clef::Bass => (&table::F_CLEF, 1.0),
    }
}

/// Steps above the middle line of the sharps or flats in a treble clef, in
/// their order (common practice, no source).
const SHARPS: [i32; 7] = [4, 1, 5, 2, -1, 3, 0];
const FLATS: [i32; 7] = [0, 3, -1, 2, -2, 1, -3];

/// Width of the accidentals of a signature; draws them into `row` at `x`.
fn key(row: &mut Vec<Sign>, x: f64, clef: Clef, glyph: &'static Glyph, steps: &[i32]) -> f64 {
    let lower = if clef == Clef::Bass { -2 } else { 0 };
    let mut at = x;
    for step in steps {
        let y = f64::from(step + lower) / 2.0;
        row.push(Sign { glyph, kind: Kind::KeySignature, scale: 1.0, x: at - glyph.left, y });
        at +=
            glyph.width() + if glyph.code == table::ACCIDENTAL_NATURAL.code { 0.15 } else { 0.05 };
    }
    at - x
}

fn signature(
    row: &mut Vec<Sign>,
    x: f64,
    clef: Clef,
    new: KeySignature,
    old: Option<KeySignature>,
) -> f64 {
    let count = new.fifths().unsigned_abs() as usize;
    if count == 0 {
        // Naturals only where nothing else would tell.
        let Some(old) = old else { return 0.0 };
        let gone = old.fifths().unsigned_abs() as usize;
        let steps = if old.fifths() > 0 { &SHARPS[..gone] } else { &FLATS[..gone] };
        return key(row, x, clef, &table::ACCIDENTAL_NATURAL, steps);
    }
    if new.fifths() > 0 {
        key(row, x, clef, &table::ACCIDENTAL_SHARP, &SHARPS[..count])
    } else {
        key(row, x, clef, &table::ACCIDENTAL_FLAT, &FLATS[..count])
    }
}

const DIGITS: [&Glyph; 10] = [
    &table::TIME_SIG_0,
    &table::TIME_SIG_1,
    &table::TIME_SIG_2,
    &table::TIME_SIG_3,
    &table::TIME_SIG_4,
    &table::TIME_SIG_5,
    &table::TIME_SIG_6,
    &table::TIME_SIG_7,
    &table::TIME_SIG_8,
    &table::TIME_SIG_9,
];

pub fn figures(number: u16) -> impl Iterator<Item = &'static Glyph> {
    let text = number.to_string();
    text.into_bytes().into_iter().map(|digit| DIGITS[usize::from(digit - b'0') % 10])
}

fn time(row: &mut Vec<Sign>, x: f64, metre: Metre, scale: f64) -> f64 {
    let kind = Kind::TimeSignature;
    let sign = match metre.sign {
        MetreSign::Common => Some(&table::TIME_SIG_COMMON),
        MetreSign::Cut => Some(&table::TIME_SIG_CUT_COMMON),
        MetreSign::Figures => None,
    };
    if let Some(glyph) = sign {
        row.push(Sign { glyph, kind, scale, x: x - scale * glyph.left, y: 0.0 });
        return scale * glyph.width();
    }
    let width = |number: u8| scale * figures(u16::from(number)).map(|g| g.advance).sum::<f64>();
    let all = width(metre.count).max(width(metre.unit));
    for (number, y) in [(metre.count, scale), (metre.unit, -scale)] {
        let mut at = x + (all - width(number)) / 2.0;
        for glyph in figures(u16::from(number)) {
            row.push(Sign { glyph, kind, scale, x: at, y });
            at += scale * glyph.advance;
        }
    }
    all
}

/// Clef and signatures at the beginning of a line, with the space up to the
/// first note.
pub fn prefix(front: Front, bar: &Bar, with_time: bool) -> Row {
    let mut signs = Vec::new();
    let mut x = BEFORE_CLEF;
    match front {
        Front::Clef(clef) => {
            let (glyph, y) = clef_sign(clef);
            let x_of = x - glyph.left;
            signs.push(Sign { glyph, kind: Kind::Clef, scale: 1.0, x: x_of, y });
            x += glyph.width();
            let width = signature(&mut signs, x + BETWEEN, clef, bar.signature, None);
            if width > 0.0 {
                x += BETWEEN + width;
            }
        }
        Front::Strings(_) => x = 2.0 * CLEF_MIDDLE - BEFORE_CLEF,
    }
    if with_time {
        x += BETWEEN;
        x += time(&mut signs, x, bar.metre, front.scale());
    }
    Row { signs, width: x + if with_time { AFTER_TIME } else { AFTER_KEY } }
}

/// New signatures after a barline within a line (`tail` 1.5), or as a warning
/// at its end (`tail` 0.5). Empty where nothing changes.
pub fn change(front: Front, before: &Bar, bar: &Bar, tail: f64) -> Row {
    let mut signs = Vec::new();
    let mut x = 0.0;
    if let (Front::Clef(clef), true) = (front, bar.signature != before.signature) {
        let width = signature(&mut signs, 0.8, clef, bar.signature, Some(before.signature));
        x += 0.8 + width;
    }
    if bar.metre != before.metre {
        x += 0.9;
        x += time(&mut signs, x, bar.metre, front.scale());
    }
    let width = if signs.is_empty() { 0.0 } else { x + tail };
    Row { signs, width }
}

/// Whether anything changes.
pub fn changes(before: &Bar, bar: &Bar) -> bool {
    bar.signature != before.signature || bar.metre != before.metre
}

/// A barline.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BarLine {
    /// None, within a long rest.
    None,
    Plain,
    Double,
    Final,
    RepeatStart,
    RepeatEnd,
    RepeatBoth,
}

/// A part of a barline, with its left edge.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Stroke {
    Thin(f64),
    Thick(f64),
    Dots(f64),
}

impl BarLine {
    /// The line between two bars.
    pub const fn between(before: &Bar, after: &Bar) -> Self {
        match (before.repeat_end.is_some(), after.repeat_start) {
            (true, true) => Self::RepeatBoth,
            (true, false) => Self::RepeatEnd,
            (false, true) => Self::RepeatStart,
            (false, false) => Self::ending(before),
        }
    }

    /// The line at the end of a bar, whatever follows.
    pub const fn ending(bar: &Bar) -> Self {
        match (bar.repeat_end.is_some(), bar.end) {
            (true, _) => Self::RepeatEnd,
            (false, BarEnd::Final) => Self::Final,
            (false, BarEnd::Double) => Self::Double,
            (false, BarEnd::Plain) => Self::Plain,
        }
    }

    /// Where in it the bar before it ends: at the right of the stroke that both bars
    /// share, before what only the next bar has.
    pub fn end_of_bar(self) -> f64 {
        let shared = self.strokes().into_iter().find_map(|stroke| match stroke {
            Stroke::Thick(x) => Some(x + table::THICK_BARLINE_THICKNESS),
            Stroke::Thin(_) | Stroke::Dots(_) => None,
        });
        shared.unwrap_or_else(|| self.width())
    }

    /// Its strokes from left to right.
    pub fn strokes(self) -> Vec<Stroke> {
        use Stroke::{Dots, Thick, Thin};
        let order: &[Stroke] = match self {
            Self::None => &[],
            Self::Plain => &[Thin(0.0)],
            Self::Double => &[Thin(0.0), Thin(0.0)],
            Self::Final => &[Thin(0.0), Thick(0.0)],
            Self::RepeatStart => &[Thick(0.0), Thin(0.0), Dots(0.0)],
            Self::RepeatEnd => &[Dots(0.0), Thin(0.0), Thick(0.0)],
            Self::RepeatBoth => &[Dots(0.0), Thin(0.0), Thick(0.0), Thin(0.0), Dots(0.0)],
        };
        let mut x = 0.0;
        let mut out = Vec::with_capacity(order.len());
        for (at, stroke) in order.iter().enumerate() {
            let next_dots = matches!(order.get(at + 1), Some(Dots(_)));
            let (placed, width) = match stroke {
                Thin(_) => (Thin(x), table::THIN_BARLINE_THICKNESS),
                Thick(_) => (Thick(x), table::THICK_BARLINE_THICKNESS),
                Dots(_) => (Dots(x), table::REPEAT_DOT.width()),
            };
            out.push(placed);
            let dots = next_dots || matches!(stroke, Dots(_));
            x += width
                + if dots {
                    table::REPEAT_BARLINE_DOT_SEPARATION + 0.1
                } else {
                    table::BARLINE_SEPARATION
                };
        }
        out
    }

    /// How wide it is.
    pub fn width(self) -> f64 {
        self.strokes().last().map_or(0.0, |stroke| match stroke {
            Stroke::Thin(x) => x + table::THIN_BARLINE_THICKNESS,
            Stroke::Thick(x) => x + table::THICK_BARLINE_THICKNESS,
            Stroke::Dots(x) => x + table::REPEAT_DOT.width(),
        })
    }
}
