//! A map of the fingerboard: strings lie as in tablature, the thinnest on top, the
//! nut at the left, after which frets may be left out; frets stand as far apart as on the
//! instrument. Rings show where notes lie, with what stands in them; a thick ring is a
//! tonic, and what is only sometimes a note of the key has no ring.

use apoyando_fingering::Position;
use apoyando_fretboard::{Fret, Millimetres, Place, StringNumber};

use super::pen::Pen;
use super::{THINNEST, grown};
use crate::drawing::{Drawing, Face, StaffSpaces};
use crate::font;
use crate::style::{Stopping, Style};

/// Distance of two strings. House value: a digit in a ring is 1.9 mm tall.
const GAP: Millimetres = Millimetres(4.2);
/// Width of the first fret shown, in string gaps. House value.
const FIRST_FRET: f64 = 2.5;
/// Diameter of a ring, in string gaps: rings on neighbouring strings do not touch.
const RING: f64 = 0.86;
/// Thickness of a ring and of a tonic's, in string gaps. House values.
const THIN: f64 = 0.035;
const THICK: f64 = 0.11;
/// Thickness of strings and frets, and of the nut, in string gaps. House values.
const LINE: f64 = 0.045;
const NUT: f64 = 0.22;
/// Em of what stands in a ring, of a string's name and of a fret's numeral.
/// House values.
const LABEL: f64 = 0.68;
const STRING: f64 = 0.72;
const NUMERAL: f64 = 0.62;
/// Room between the nut and the ring of an open string, and between that ring and
/// the string's name. House values.
const OPEN: f64 = 0.28;
/// Width of the break between the nut and the first fret shown where frets are left out, and
/// how far strings reach into it from both sides. House values.
const LEFT_OUT: f64 = 0.95;
const REACHING: f64 = 0.3;

/// A fingerboard with notes on it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Neck {
    /// Every string from the thinnest, with its name.
    pub strings: Vec<(StringNumber, String)>,
    /// The first and the last fret shown.
    pub frets: (Fret, Fret),
    /// Frets whose number stands below them.
    pub numbered: Vec<Fret>,
    /// What lies where.
    pub rings: Vec<Ring>,
    /// What it shows, for those who cannot see it.
    pub description: String,
}

/// A note on it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Ring {
    /// Where.
    pub place: Place,
    /// What stands in the ring.
    pub label: String,
    /// How it is drawn.
    pub look: RingLook,
}

/// How a note on a map is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum RingLook {
    /// In a thin ring.
    Thin,
    /// In a thick one.
    Thick,
    /// Without a ring.
    Bare,
}

struct Ruler<'a> {
    neck: &'a Neck,
    gap: f64,
    /// x of the nut.
    left: f64,
    /// From the nut to the fret before the first one, where frets are left out.
    left_out: f64,
    mirrored: Option<f64>,
}

impl Ruler<'_> {
    /// From the left edge of the first fret shown, in widths of it: frets shrink by
    /// the twelfth root of two.
    fn fret(&self, fret: u8) -> f64 {
        let shown = f64::from(fret) - f64::from(self.neck.frets.0.0) + 1.0;
        let shrink = |frets: f64| 1.0 - (-frets / 12.0).exp2();
        self.left_out + FIRST_FRET * self.gap * shrink(shown) / shrink(1.0)
    }

    /// A distance from the left, or from the right where the neck is mirrored.
    fn side(&self, x: f64) -> f64 {
        self.mirrored.map_or(x, |width| width - x)
    }

    fn string(&self, string: StringNumber) -> f64 {
        let index = self.neck.strings.iter().position(|(it, _)| *it == string).unwrap_or(0);
        -(index as f64) * self.gap
    }

    /// The middle of a place: of an open string, before the nut.
    fn place(&self, place: Place) -> f64 {
        if place.fret.is_open() {
            return self.left - (OPEN + RING / 2.0) * self.gap;
        }
        self.left + f64::midpoint(self.fret(place.fret.0 - 1), self.fret(place.fret.0))
    }
}

/// Draws it. The origin is the left edge at the height of the thinnest string.
#[must_use]
pub fn neck(neck: &Neck, style: &Style) -> Drawing {
    let space = style.space().0.max(0.1);
    let gap = grown(style) * GAP.0 / space;
    let thin = |share: f64| (share * gap).max(THINNEST.0 / space);
    let name = |text: &str| font::text_width(Face::Regular, STRING * gap, text);
    let names = neck.strings.iter().map(|(_, text)| name(text)).fold(0.0, f64::max);
    let left = names + (2.0 * OPEN + RING) * gap;
    let first = neck.frets.0.0;
    let left_out = if first > 1 { LEFT_OUT * gap } else { 0.0 };
    let mut ruler = Ruler { neck, gap, left, left_out, mirrored: None };
    // A fret goes on a little: the neck does not end there.
    let east = left + ruler.fret(neck.frets.1.0) + 0.35 * gap;
    if style.stopping == Stopping::RightHand {
        ruler.mirrored = Some(east);
    }
    let mut ink = Pen::default();
    let last = neck.strings.len().saturating_sub(1) as f64;
    let (top, foot) = (0.0, -last * gap);
    for (string, text) in &neck.strings {
        let y = ruler.string(*string);
        let mut string = |from: f64, to: f64| {
            ink.line((ruler.side(from), y), (ruler.side(to), y), thin(LINE));
        };
        if first > 1 {
            string(left, left + REACHING * gap);
            string(left + left_out - REACHING * gap, east);
        } else {
            string(left, east);
        }
        let (cap, _) = font::text_ascent(Face::Regular, STRING * gap);
        let width = name(text);
        let x = ruler.side(names / 2.0) - width / 2.0;
        ink.text(text, Face::Regular, STRING * gap, (x, y - cap / 2.0));
    }
    let half = thin(LINE) / 2.0;
    if first > 1 {
        let x = ruler.side(left);
        ink.line((x, top + half), (x, foot - half), thin(NUT));
    }
    for fret in first.saturating_sub(1)..=neck.frets.1.0 {
        let at_nut = fret == 0;
        let x = ruler.side(left + ruler.fret(fret));
        let thickness = if at_nut { thin(NUT) } else { thin(LINE) };
        ink.line((x, top + half), (x, foot - half), thickness);
    }
    for ring in &neck.rings {
        let at = (ruler.side(ruler.place(ring.place)), ruler.string(ring.place.string));
        let radius = RING * gap / 2.0;
        let white = if ring.look == RingLook::Bare { 0.7 * radius } else { radius };
        ink.halo((at.0 - white, at.1 - radius / 2.0), (at.0 + white, at.1 + radius / 2.0));
        match ring.look {
            RingLook::Thin => ink.ring(at, RING * gap, thin(THIN)),
            RingLook::Thick => ink.ring(at, RING * gap, thin(THICK)),
            RingLook::Bare => {}
        }
        let size = LABEL * gap * if ring.label.chars().count() > 1 { 0.85 } else { 1.0 };
        let width = font::text_width(Face::Regular, size, &ring.label);
        let (cap, _) = font::text_ascent(Face::Regular, size);
        ink.text(&ring.label, Face::Regular, size, (at.0 - width / 2.0, at.1 - cap / 2.0));
    }
    let (cap, _) = font::text_ascent(Face::Regular, NUMERAL * gap);
    let baseline = foot - 0.85 * gap - cap / 2.0;
    for fret in &neck.numbered {
        if let Some(numeral) = Position::new(fret.0).map(|it| it.to_string()) {
            let middle =
                ruler.side(ruler.place(Place { string: StringNumber::FIRST, fret: *fret }));
            let width = font::text_width(Face::Regular, NUMERAL * gap, &numeral);
            ink.text(&numeral, Face::Regular, NUMERAL * gap, (middle - width / 2.0, baseline));
        }
    }
    Drawing {
        stains: ink.stains,
        width: StaffSpaces(east),
        above: StaffSpaces(0.55 * gap),
        below: StaffSpaces(if neck.numbered.is_empty() { -foot + 0.55 * gap } else { -baseline }),
        description: neck.description.clone(),
    }
}
