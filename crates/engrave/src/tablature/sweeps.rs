//! Arrows of strums and the signs of spread chords before figures, along the strings that
//! are struck; an arrow points up the page to the thinnest string, as in the notation.

use apoyando_fretboard::StringNumber;
use apoyando_music::Score;

use super::figures::{self, Figure, HEIGHT, Label};
use super::{Fretting, lines};
use crate::geometry::Stage;
use crate::notate::beside::Beside;
use crate::notate::{Chord, Staff};
use crate::place::{Frame, put_sign, sign_owner};

/// Clear space to the figures at its right.
const GAP: f64 = 0.3;
/// How far it reaches past the outer figures, and at an arrow's tip.
const PAST: f64 = 0.1;
const TIP: f64 = 0.8;
/// Clear space to the figures above and below.
const CLEAR: f64 = 0.1;

/// The chords of a stack that have its sign.
fn marked<'a>(
    (all, here): (&'a [Chord], &'a [usize]),
    sign: &Beside,
) -> impl Iterator<Item = &'a Chord> {
    let sign = sign.sign;
    here.iter().map(|index| &all[*index]).filter(move |chord| sign.is_of(&chord.marks))
}

/// A sign among the figures.
pub struct Placed {
    /// Its left side from the column.
    pub left: f64,
    /// The sign at its height.
    pub sign: Beside,
    /// The outer strings that are struck.
    outer: [StringNumber; 2],
}

impl Placed {
    /// The strings whose figures it could touch.
    pub fn strings(&self, thickest: StringNumber) -> impl Iterator<Item = StringNumber> + use<> {
        let (low, high) = (self.sign.low - CLEAR, self.sign.high + CLEAR);
        (1..=thickest.get()).filter_map(StringNumber::new).filter(move |string| {
            let y = lines::height(thickest, *string);
            low < y + HEIGHT / 2.0 && y - HEIGHT / 2.0 < high
        })
    }
}

/// Where the sign of a stack stands so that the figures of its onset keep clear of it;
/// `middle` is theirs.
pub fn place(
    score: &Score,
    fretting: &Fretting,
    chords: (&[Chord], &[usize]),
    sign: &Beside,
    middle: f64,
) -> Option<Placed> {
    let notes: Vec<_> = marked(chords, sign)
        .flat_map(|chord| &chord.heads)
        .filter(|head| head.tied_from.is_none())
        .map(|head| head.note)
        .collect();
    let strings = || notes.iter().filter_map(|note| Some(fretting.place_of(*note)?.string));
    let outer = [strings().min()?, strings().max()?];
    // The figures of other voices, too, and what is held from the line before.
    let heads = chords.1.iter().flat_map(|index| &chords.0[*index].heads);
    let labels =
        heads.filter_map(|head| Label::new(score, head.note, fretting, head.tied_from.is_some()));
    let half = labels.map(|label| label.half_width()).fold(0.0, f64::max);
    // Accidentals do not part it from them.
    let left = middle - half - GAP - sign.width();
    let [high, low] = outer.map(|string| lines::height(fretting.thickest, string));
    let sign = sign.along(low - HEIGHT / 2.0, high + HEIGHT / 2.0, (PAST, TIP));
    Some(Placed { left, sign, outer })
}

/// The left side of the sign of a stack and how far it reaches down and up; `middle` is that
/// of the figures.
pub fn beside(
    score: &Score,
    fretting: &Fretting,
    chords: (&[Chord], &[usize]),
    sign: &Beside,
    middle: f64,
) -> Option<(f64, f64, f64)> {
    let placed = place(score, fretting, chords, sign, middle)?;
    Some((placed.left, placed.sign.low, placed.sign.high))
}

/// Draws the signs of a line of music.
pub fn draw(
    stage: &mut Stage,
    score: &Score,
    (staff, frame): (&Staff, &Frame),
    fretting: &Fretting,
    (notation, all): (&Stage, &[Figure]),
) {
    for bar in &frame.bars {
        let notated = &staff.bars[bar.index];
        for stack in &notated.stacks {
            let Some(sign) = stack.beside else { continue };
            let column = bar.column(stack.onset);
            let middle = figures::centre(notation, stack.onset) - column;
            let here = (&notated.chords[..], &stack.chords[..]);
            let Some(placed) = place(score, fretting, here, &sign, middle) else { continue };
            // Strings that have no figure here are not struck.
            let struck = |string: &StringNumber| {
                all.iter().any(|figure| figure.onset == stack.onset && figure.string == *string)
            };
            let Some(owner) = marked(here, &sign).map(sign_owner).next() else { continue };
            if placed.outer.iter().all(struck) {
                put_sign(stage, column + placed.left, placed.sign, owner);
            }
        }
    }
}
