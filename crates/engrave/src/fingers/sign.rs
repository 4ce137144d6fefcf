//! The signs themselves: what they look like and how large they are.

use apoyando_fingering::{LeftFinger, RightFinger};
use apoyando_fretboard::StringNumber;
use apoyando_marks::LeftMark;

use super::clear;
use apoyando_music::Duration;

use crate::drawing::{Face, Ink, Kind, Owner, Point, StaffSpaces, Stain};
use crate::font;
use crate::geometry::{Rect, Stage};
use crate::style::{Print, Style};

/// Sizes of the signs on a staff, in staff spaces.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sizes {
    /// Height of a left-hand digit.
    pub digit: f64,
    /// Height of a right-hand letter without ascender.
    pub letter: f64,
    /// Height of a capital of position and barre marks.
    pub numeral: f64,
    /// Em of chord names over the staff.
    pub name: f64,
    /// Em of degrees and words.
    pub words: f64,
    /// Runs of notes shorter than this have their digits in rows, for there is no room for
    /// them between the notes.
    pub rows_below: Duration,
    /// A row has so many digits at least: one alone stands at its head.
    pub row: usize,
}

impl Sizes {
    /// Digits 1.7 to 2.3 mm tall at every staff size, numerals 1.4 to 1.6 staff
    /// spaces but never under 2.5 mm [P]; the others are house values. In large
    /// print nothing has an upper limit.
    #[must_use]
    pub fn of(style: &Style) -> Self {
        let space = style.space().0.max(0.1);
        let spaces = |wish: f64, least: f64, most: f64| {
            let most = if style.print == Print::Large { f64::INFINITY } else { most };
            (wish * space).clamp(least, most) / space
        };
        Self {
            digit: spaces(1.06, 1.7, 2.3),
            letter: spaces(0.74, 1.15, 1.7),
            numeral: spaces(1.45, 2.5, 4.5),
            name: spaces(1.83, 3.2, 4.6),
            words: spaces(2.1, 3.5, 5.5),
            // In large print a digit is as wide as a head, and eighths are as close as
            // sixteenths are elsewhere.
            rows_below: match style.print {
                Print::Usual => Duration::new(1, 8),
                Print::Large => Duration::QUARTER,
            },
            // Where most digits are over the beams, one at a head would push it aside.
            row: match style.print {
                Print::Usual => 2,
                Print::Large => 1,
            },
        }
    }
}

/// A glyph drawn at a scale: `at` is the lower left corner of its box, with the
/// baseline as its lower side.
#[derive(Clone, Copy, Debug)]
struct Drawn {
    glyph: &'static font::Glyph,
    scale: f64,
}

impl Drawn {
    fn ink(self, left: f64, baseline: f64) -> Ink {
        let at = Point::new(left - self.scale * self.glyph.left, baseline);
        Ink::Glyph { glyph: self.glyph.code, scale: self.scale, at }
    }

    fn width(self) -> f64 {
        self.scale * self.glyph.width()
    }
}

/// A left-hand digit, with or without a dash or a finger in parentheses before it, and a
/// dash and the finger that takes over after it.
#[derive(Clone, Copy, Debug)]
pub struct Digit {
    drawn: Drawn,
    guide: bool,
    prepares: Option<Drawn>,
    second: Option<Drawn>,
    height: f64,
    /// How far its author moves it, to the right and up.
    nudge: (f64, f64),
}

impl Digit {
    /// A digit with what stands before it.
    pub fn new(mark: LeftMark, sizes: &Sizes) -> Self {
        let scale = sizes.digit / font::table::FINGERING_0.high;
        let drawn = |finger| Drawn { glyph: digit_of(finger), scale };
        Self {
            drawn: drawn(mark.finger),
            guide: mark.guide,
            prepares: mark.prepares.map(|finger| drawn(Some(finger))),
            second: mark.second.map(|finger| drawn(Some(finger))),
            height: sizes.digit,
            nudge: (0.0, 0.0),
        }
    }

    /// The parentheses and the finger between them, from left to right.
    fn parts_before(&self) -> Option<[Drawn; 3]> {
        use font::table::{FINGERING_LEFT_PARENTHESIS, FINGERING_RIGHT_PARENTHESIS};
        let finger = self.prepares?;
        let bracket = |glyph| Drawn { glyph, scale: finger.scale };
        Some([bracket(&FINGERING_LEFT_PARENTHESIS), finger, bracket(&FINGERING_RIGHT_PARENTHESIS)])
    }

    /// Width of what stands in parentheses, with the white after it.
    fn width_before(&self) -> f64 {
        let parts = self.parts_before().into_iter().flatten();
        let width: f64 = parts.map(|part| part.width() + clear::IN_PARENTHESES).sum();
        if width > 0.0 { width - clear::IN_PARENTHESES + clear::PREPARED_GAP } else { 0.0 }
    }

    /// The dash after the digit and the finger that takes over.
    fn parts_after(&self) -> Option<[Drawn; 2]> {
        let second = self.second?;
        let dash = Drawn { glyph: &font::table::FINGERING_SUBSTITUTION_DASH, ..second };
        Some([dash, second])
    }

    /// Width of what stands after the digit, with the white before it.
    fn width_after(&self) -> f64 {
        let parts = self.parts_after().into_iter().flatten();
        parts.map(|part| clear::SECOND_GAP + part.width()).sum()
    }

    /// The digit moved by its author from wherever it is put.
    #[must_use]
    pub fn nudged(self, nudge: (f64, f64)) -> Self {
        Self { nudge, ..self }
    }

    /// Where it is put that would stand there.
    pub fn moved(&self, right: f64, middle: f64) -> (f64, f64) {
        (right + self.nudge.0, middle + self.nudge.1)
    }

    /// The digit a little smaller, for chords whose notes crowd.
    #[must_use]
    pub fn in_chord(mut self) -> Self {
        self.drawn.scale *= clear::CHORD_SCALE;
        for other in [&mut self.prepares, &mut self.second].into_iter().flatten() {
            other.scale *= clear::CHORD_SCALE;
        }
        self.height *= clear::CHORD_SCALE;
        self
    }

    /// Its height.
    pub fn height(&self) -> f64 {
        self.height
    }

    /// Width of the digit without what stands before it.
    pub fn digit_width(&self) -> f64 {
        self.drawn.width() + self.width_after()
    }

    /// Its width with what stands before it.
    pub fn width(&self) -> f64 {
        let dash = if self.guide { clear::GUIDE_DASH + clear::GUIDE_GAP } else { 0.0 };
        self.digit_width() + dash + self.width_before()
    }

    /// Its area with its right side at `right` and its middle at `middle`.
    pub fn area(&self, right: f64, middle: f64) -> Rect {
        let half = self.height / 2.0;
        Rect::new(right - self.width(), middle - half, right, middle + half)
    }

    /// Puts it on a staff.
    pub fn put(&self, stage: &mut Stage, owner: Owner, right: f64, middle: f64) {
        let left = right - self.digit_width();
        let mut at = left - self.width_before();
        for part in self.parts_before().into_iter().flatten() {
            let ink = part.ink(at, middle - self.height / 2.0);
            stage.add(Stain { ink, kind: Kind::PreparedFinger, owner });
            at += part.width() + clear::IN_PARENTHESES;
        }
        let left = left - self.width_before();
        if self.guide {
            let end = left - clear::GUIDE_GAP;
            let ink = Ink::Line {
                from: Point::new(end - clear::GUIDE_DASH, middle - clear::GUIDE_RISE),
                to: Point::new(end, middle + clear::GUIDE_RISE),
                thickness: StaffSpaces(clear::GUIDE_THICKNESS),
                dash: None,
            };
            stage.add(Stain { ink, kind: Kind::GuideDash, owner });
        }
        self.put_as(Kind::LeftDigit, stage, owner, right, middle);
        let mut at = right - self.width_after();
        for part in self.parts_after().into_iter().flatten() {
            let ink = part.ink(at + clear::SECOND_GAP, middle - self.height / 2.0);
            stage.add(Stain { ink, kind: Kind::SecondFinger, owner });
            at += clear::SECOND_GAP + part.width();
        }
    }

    /// Puts the digit alone on a staff, as ink of a kind.
    pub fn put_as(&self, kind: Kind, stage: &mut Stage, owner: Owner, right: f64, middle: f64) {
        let ink = self.drawn.ink(right - self.digit_width(), middle - self.height / 2.0);
        stage.add(Stain { ink, kind, owner });
    }
}

const fn digit_of(finger: Option<LeftFinger>) -> &'static font::Glyph {
    use font::table::{FINGERING_0, FINGERING_1, FINGERING_2, FINGERING_3, FINGERING_4};
    match finger {
        None => &FINGERING_0,
        Some(LeftFinger::One) => &FINGERING_1,
        Some(LeftFinger::Two) => &FINGERING_2,
        Some(LeftFinger::Three) => &FINGERING_3,
        Some(LeftFinger::Four) => &FINGERING_4,
    }
}

/// Whitens the staff lines behind digits, with a rim around them. Digits so near
/// one another that bits of line would be left between them share one white; what stands
/// before one of them has its own, so that a dash does not widen that of the others.
pub fn put_halos(stage: &mut Stage, digits: &[(Digit, Rect, Owner)]) {
    let on_staff = |(_, area, _): &&(Digit, Rect, Owner)| area.low < 2.1 && area.high > -2.1;
    let mut sorted: Vec<&(Digit, Rect, Owner)> = digits.iter().filter(on_staff).collect();
    sorted.sort_by(|a, b| a.1.low.total_cmp(&b.1.low));
    let mut whites: Vec<(Rect, Owner)> = Vec::new();
    let mut before: Vec<(Rect, Owner)> = Vec::new();
    for (digit, area, owner) in sorted {
        let whole = area.grown(clear::HALO);
        let width = digit.width() - digit.digit_width();
        let alone = Rect { left: whole.left + width, ..whole };
        if width > 0.0 {
            // Into the other, so that no seam is seen between them.
            before.push((Rect { right: alone.left + clear::HALO, ..whole }, *owner));
        }
        match whites.last_mut() {
            Some((last, _)) if last.grown(clear::HALO).meets(alone) => *last = last.join(alone),
            _ => whites.push((alone, *owner)),
        }
    }
    for (white, owner) in before.into_iter().chain(whites) {
        let low = Point::new(white.left, white.low);
        let high = Point::new(white.right, white.high);
        stage.add(Stain { ink: Ink::Halo { low, high }, kind: Kind::Halo, owner });
    }
}

/// A right-hand letter.
#[derive(Clone, Copy, Debug)]
pub struct Letter(Drawn);

impl Letter {
    /// The letter of a finger.
    pub fn new(finger: RightFinger, sizes: &Sizes) -> Self {
        use font::table::{
            FINGERING_A_LOWER, FINGERING_I_LOWER, FINGERING_M_LOWER, FINGERING_P_LOWER,
        };
        let glyph = match finger {
            RightFinger::P => &FINGERING_P_LOWER,
            RightFinger::I => &FINGERING_I_LOWER,
            RightFinger::M => &FINGERING_M_LOWER,
            RightFinger::A => &FINGERING_A_LOWER,
        };
        Self(Drawn { glyph, scale: sizes.letter / FINGERING_A_LOWER.high })
    }

    /// How far it reaches below its baseline.
    pub fn depth(&self) -> f64 {
        -self.0.scale * self.0.glyph.low
    }

    /// How far it reaches above its baseline.
    pub fn rise(&self) -> f64 {
        self.0.scale * self.0.glyph.high
    }

    /// Its width.
    pub fn width(&self) -> f64 {
        self.0.width()
    }

    /// Puts it on a staff.
    pub fn put(&self, stage: &mut Stage, owner: Owner, left: f64, baseline: f64) {
        let ink = self.0.ink(left, baseline);
        stage.add(Stain { ink, kind: Kind::RightLetter, owner });
    }
}

/// Puts a circled string number on a staff. The music font has ⓪ to ⑨; a tenth
/// string is set as a ring and a figure.
pub fn put_circle(stage: &mut Stage, owner: Owner, string: StringNumber, centre: (f64, f64)) {
    use font::table::{GUITAR_STRING_0, GUITAR_STRING_1};
    let code = u32::from(GUITAR_STRING_0.code) + u32::from(string.get());
    let known = char::from_u32(code).and_then(font::glyph).filter(|_| string.get() < 10);
    let scale = clear::CIRCLE / GUITAR_STRING_1.high;
    match known {
        Some(glyph) => {
            let middle = ((glyph.left + glyph.right) / 2.0, (glyph.low + glyph.high) / 2.0);
            let at = Point::new(centre.0 - scale * middle.0, centre.1 - scale * middle.1);
            let ink = Ink::Glyph { glyph: glyph.code, scale, at };
            stage.add(Stain { ink, kind: Kind::StringCircle, owner });
        }
        None => {
            let ring = Ink::Circle {
                centre: Point::new(centre.0, centre.1),
                radius: StaffSpaces(clear::CIRCLE / 2.0 - 0.06),
                ring: Some(StaffSpaces(0.12)),
            };
            stage.add(Stain { ink: ring, kind: Kind::StringCircle, owner });
            let text = Text::new(&string.get().to_string(), Face::Regular, 1.4);
            let at = (centre.0 - text.width / 2.0, centre.1 - text.rise() / 2.0);
            text.put(stage, Kind::StringCircle, owner, at);
        }
    }
}

/// A line of text.
#[derive(Clone, PartialEq, Debug)]
pub struct Text {
    text: String,
    face: Face,
    size: f64,
    /// Its width.
    pub width: f64,
}

impl Text {
    /// Text whose em is `size`.
    pub fn new(text: &str, face: Face, size: f64) -> Self {
        let width = font::text_width(face, size, text);
        Self { text: text.to_owned(), face, size, width }
    }

    /// Text whose capitals are so tall.
    pub fn with_capitals(text: &str, face: Face, capital: f64) -> Self {
        let (of_unit, _) = font::text_ascent(face, 1.0);
        Self::new(text, face, capital / of_unit.max(0.1))
    }

    /// Height of its capitals.
    pub fn rise(&self) -> f64 {
        font::text_ascent(self.face, self.size).0
    }

    /// How far its descenders and parentheses reach below its baseline.
    pub fn drop(&self) -> f64 {
        font::text_ascent(self.face, self.size).1
    }

    /// Puts it on a staff, its baseline beginning at `at`.
    pub fn put(self, stage: &mut Stage, kind: Kind, owner: Owner, at: (f64, f64)) {
        let ink = Ink::Text {
            text: self.text,
            face: self.face,
            size: StaffSpaces(self.size),
            at: Point::new(at.0, at.1),
            width: StaffSpaces(self.width),
        };
        stage.add(Stain { ink, kind, owner });
    }
}
