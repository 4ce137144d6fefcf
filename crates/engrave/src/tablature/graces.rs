//! Figures of grace notes: small, before that of their note and on its string, as the hand
//! plays them, with a slur to it. One that the string cannot give, one of a chord, and one
//! so far off that it is played as a note of its own has no figure, for nobody knows its
//! place.

use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{EventMark, NoteId, Score};

use super::Fretting;
use super::figures::{Figure, HEIGHT, Label};
use super::lines;
use crate::drawing::{Ink, Kind, Owner, Stain};
use crate::font::table;
use crate::geometry::{Rect, Stage};
use crate::graces::{GraceGroup, HEAD_WIDTH};
use crate::notate::Chord;
use crate::place::Bow;

/// A grace note farther off than this many semitones is played as a note of its own
/// (`Score::auxiliaries`).
const NEAR: i32 = 4;
/// White to the ink of the note, and from one to the next. House.
const TO_MAIN: f64 = 0.4;
const BETWEEN: f64 = 0.35;
/// White from figures to the slur and from the slur to other ink; its height; how far left
/// of the middle of its note it ends. House.
const GAP: f64 = 0.24;
const CLEAR: f64 = 0.09;
const CLEAR_OF_OWN: f64 = 0.02;
const RISE: f64 = 0.45;
const TIP: f64 = 0.15;

/// The grace notes before a note, with their middles from the column.
#[derive(Clone, Debug)]
pub struct Smalls {
    note: NoteId,
    /// Their size to that of other figures.
    scale: f64,
    /// Where each stands, from the first.
    pub places: Vec<(Place, f64)>,
}

impl Smalls {
    /// The string that they stand on.
    fn string(&self) -> Option<StringNumber> {
        self.places.first().map(|(place, _)| place.string)
    }

    /// The chord of their note.
    pub fn chord<'a>(&self, all: &'a [Chord]) -> Option<&'a Chord> {
        all.iter().find(|chord| chord.heads.iter().any(|head| head.note == self.note))
    }

    /// What they cover with a little white above and below, from the column.
    pub fn areas(&self, fretting: &Fretting) -> impl Iterator<Item = Rect> {
        let up = self.scale * HEIGHT / 2.0 + CLEAR;
        self.places.iter().map(move |(place, x)| {
            let half = Label::small(place.fret, self.scale).half_width();
            let y = lines::height(fretting.thickest, place.string);
            Rect::new(x - half, y - up, x + half, y + up)
        })
    }
}

/// Lays the grace notes of a chord out before ink that begins at `left`, under their heads
/// if they have some and there is room; `scale` is their size to that of other figures.
pub fn lay(
    score: &Score,
    fretting: &Fretting,
    chord: &Chord,
    left: f64,
    heads: Option<&GraceGroup>,
    scale: f64,
) -> Option<Smalls> {
    // Of a note that another voice is written with, its own.
    let note = chord.heads.iter().map(|head| score.note(head.note)).find(|note| {
        let event = score.event_of(note);
        event.notes().len() == 1 && !event.graces.is_empty()
    })?;
    let event = score.event_of(note);
    let main = fretting.place_of(note.id)?;
    if event.marks.contains(&EventMark::NaturalHarmonic) {
        return None;
    }
    let mut right = left - TO_MAIN;
    let mut places = Vec::new();
    for (number, grace) in event.graces.iter().enumerate().rev() {
        let off = note.pitch.semitones_to(grace.pitch);
        if off.abs() > NEAR {
            continue;
        }
        let Ok(fret) = u8::try_from(i32::from(main.fret.0) + off) else { continue };
        let place = Place { string: main.string, fret: Fret(fret) };
        let half = Label::small(place.fret, scale).half_width();
        let head = heads.and_then(|group| group.notes.get(number));
        let wished = head.map_or(f64::MAX, |head| head.x + HEAD_WIDTH / 2.0);
        let x = wished.min(right - half);
        right = x - half - BETWEEN;
        places.push((place, x));
    }
    places.reverse();
    (!places.is_empty()).then_some(Smalls { note: note.id, scale, places })
}

/// Lays the grace notes of the chords of an onset out, each with something of its own: on
/// each string those of the first, for a unison of two voices has one figure.
pub fn lay_once<T>(
    groups: impl Iterator<Item = (Option<Smalls>, T)>,
) -> impl Iterator<Item = (Smalls, T)> {
    let mut taken: Vec<Option<StringNumber>> = Vec::new();
    groups.filter_map(move |(smalls, own)| {
        let smalls = smalls?;
        let string = smalls.string();
        let free = !taken.contains(&string);
        taken.push(string);
        free.then_some((smalls, own))
    })
}

/// The figures of grace notes whose column is at a place.
pub fn figures(
    score: &Score,
    fretting: &Fretting,
    smalls: &Smalls,
    column: f64,
) -> impl Iterator<Item = Figure> {
    let onset = score.note(smalls.note).onset;
    smalls.places.iter().map(move |(place, x)| {
        let y = lines::height(fretting.thickest, place.string);
        Figure::grace((smalls.note, onset), *place, (column + x, y), smalls.scale)
    })
}

/// Draws the slur from the first of some grace notes to the figure of their note, on a side
/// if there is room, or else on the other; where there is none it is left out.
pub fn slur(stage: &mut Stage, figures: &[Figure], smalls: &Smalls, side: f64) {
    let own = |figure: &&Figure| figure.note == smalls.note;
    let Some(first) = figures.iter().filter(own).find(|figure| figure.is_small()) else { return };
    let main = figures.iter().find(|figure| !figure.is_small() && own(figure));
    let Some(main) = main else { return };
    let (tip, y) = (smalls.scale * HEIGHT / 2.0 + GAP, main.centre.1);
    let bows = [side, -side].into_iter().flat_map(|side| {
        let from = (first.centre.0, y + side * tip);
        let over = (main.centre.0 - TIP, y + side * (HEIGHT / 2.0 + GAP));
        let before = (main.area().left - GAP, from.1);
        [over, before].map(|to| Bow { from, to, height: RISE, side })
    });
    let clear = |bow: &Bow| {
        (0..=16).all(|number| {
            let (x, y) = bow.at(f64::from(number) / 16.0);
            let half = table::SLUR_MIDPOINT_THICKNESS * smalls.scale / 2.0;
            let point = Rect::new(x, y, x, y);
            let mut near = stage.near(point, half + CLEAR);
            near.all(|ink| {
                let own = ink.owner == Owner::Note(smalls.note);
                ink.kind == Kind::TabLine || own && ink.area.distance(point) > half + CLEAR_OF_OWN
            })
        })
    };
    let Some(bow) = bows.into_iter().find(clear) else { return };
    let outline =
        bow.outline(table::SLUR_ENDPOINT_THICKNESS, smalls.scale * table::SLUR_MIDPOINT_THICKNESS);
    let owner = Owner::Note(smalls.note);
    stage.add(Stain { ink: Ink::Shape(outline), kind: Kind::Slur, owner });
}
