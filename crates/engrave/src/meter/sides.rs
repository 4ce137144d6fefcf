//! Seconds, unisons and crossing voices whose heads stand on the wrong sides.

use std::collections::{BTreeMap, BTreeSet};

use apoyando_music::{Base, Event, Moment, Note, NoteId, Score};

use super::Fault;
use super::joints::{Stem, stems};
use super::scan::{Item, items, note_of};
use crate::drawing::{Drawing, Kind, Owner};
use crate::font::table;
use crate::geometry::Rect;

/// Rounding.
const EXACT: f64 = 0.06;
/// Heights of neighbouring steps.
const SECOND: f64 = 0.5;
/// Voices that cross by more than a stem is long do not meet.
const STEM: f64 = 3.5;

/// Heads on one stem.
struct Chord<'a> {
    stem: Stem,
    /// The note that the stem begins at.
    note: NoteId,
    /// From the head the stem begins at.
    heads: Vec<&'a Item>,
}

impl Chord<'_> {
    fn is_up(&self) -> bool {
        self.stem.to > self.stem.from
    }

    /// Whether a head stands on the side of the stem where heads of seconds go.
    fn is_aside(&self, head: &Item) -> bool {
        let stem = (self.stem.place.left + self.stem.place.right) / 2.0;
        (head.centre() > stem) == self.is_up()
    }

    fn low(&self) -> f64 {
        self.heads.iter().map(|head| head.middle()).fold(f64::MAX, f64::min)
    }

    fn high(&self) -> f64 {
        self.heads.iter().map(|head| head.middle()).fold(f64::MIN, f64::max)
    }

    /// Whether the note that its stem begins at does not stand on the head of another.
    fn has_own_head(&self) -> bool {
        self.heads.iter().any(|head| head.owner == Owner::Note(self.note))
    }

    fn right(&self) -> f64 {
        self.heads.iter().map(|head| head.area.right).fold(f64::MIN, f64::max)
    }

    fn left(&self) -> f64 {
        self.heads.iter().map(|head| head.area.left).fold(f64::MAX, f64::min)
    }
}

/// Heads of a chord a second or a unison apart that do not stand on both sides of their
/// stem, the first on its usual side; half and black notes, or notes with and without dots,
/// that share a head; the upper of two voices at a second or unison not left of the lower,
/// unless one of them has stepped aside for a third; and voices that cross whose stems do
/// not stand on the outer sides.
#[must_use]
pub fn heads_on_wrong_sides(drawing: &Drawing, score: &Score) -> Vec<Fault> {
    let items = items(drawing);
    let heads: Vec<&Item> = items.iter().filter(|item| item.kind == Kind::Head).collect();
    let mut faults = Vec::new();
    let mut fault = |place: Rect, message: &str| {
        faults.push(Fault { rule: "heads-wrong-side", place, message: message.to_owned() });
    };
    // The stems with the notes they begin at.
    let owners = drawing.stains.iter().filter(|stain| stain.kind == Kind::Stem);
    let stems: Vec<(Stem, &Note)> = stems(drawing)
        .zip(owners)
        .filter_map(|(stem, stain)| match stain.owner {
            Owner::Note(id) => Some((stem, score.notes().get(id.0 as usize)?)),
            Owner::System | Owner::Bar(_) => None,
        })
        .collect();
    let mut stemmed: BTreeSet<(u16, Moment, u8)> = BTreeSet::new();
    stemmed.extend(stems.iter().map(|(_, note)| voice_of(note)));
    let mut struck: BTreeMap<(u16, Moment), Vec<Chord<'_>>> = BTreeMap::new();
    for (stem, note) in stems {
        let own = |head: &&&Item| {
            // A voice without a stem of its own is written with another.
            note_of(head, score).is_some_and(|other| {
                let voice = voice_of(other);
                (voice.0, voice.1) == (note.part.0, note.onset)
                    && (voice == voice_of(note) || !stemmed.contains(&voice))
            })
        };
        let chord = on_stem(stem, note.id, heads.iter().filter(own).copied());
        for (head, message) in wrong_seconds(&chord) {
            fault(head, message);
        }
        struck.entry((note.part.0, note.onset)).or_default().push(chord);
    }
    for chords in struck.values() {
        let of = |up: bool| chords.iter().filter(move |chord| chord.is_up() == up);
        let (top, bottom) = (
            of(true).map(Chord::high).fold(f64::MIN, f64::max),
            of(false).map(Chord::low).fold(f64::MAX, f64::min),
        );
        for up in of(true) {
            for down in of(false) {
                // One between two others has stepped aside for that of its side.
                let outer = up.high() > top - EXACT && down.low() < bottom + EXACT;
                if let Some(message) = wrong_voices(up, down, outer) {
                    fault(up.stem.place, message);
                }
            }
        }
    }
    for (place, message) in wrongly_shared(&heads, score) {
        fault(place, message);
    }
    faults
}

fn voice_of(note: &Note) -> (u16, Moment, u8) {
    (note.part.0, note.onset, note.voice.0)
}

/// The heads that a stem holds: those beside it, between its ends.
fn on_stem<'a>(stem: Stem, note: NoteId, heads: impl Iterator<Item = &'a Item>) -> Chord<'a> {
    let (low, high) = (stem.place.low - 0.3, stem.place.high + 0.3);
    let mut held: Vec<&Item> = heads
        .filter(|head| {
            let gap = (stem.place.left - head.area.right).max(head.area.left - stem.place.right);
            gap.abs() < table::STEM_THICKNESS + EXACT && (low..high).contains(&head.middle())
        })
        .collect();
    let up = stem.to > stem.from;
    held.sort_by(|a, b| a.middle().total_cmp(&b.middle()));
    if !up {
        held.reverse();
    }
    Chord { stem, note, heads: held }
}

/// Heads of a chord on the wrong side of its stem.
fn wrong_seconds(chord: &Chord<'_>) -> Vec<(Rect, &'static str)> {
    let mut wrong = Vec::new();
    let mut before: Option<(f64, bool)> = None;
    for head in &chord.heads {
        let near = |(y, _): (f64, bool)| (head.middle() - y).abs() < SECOND + EXACT;
        let wanted = before.is_some_and(|before| near(before) && !before.1);
        if chord.is_aside(head) != wanted {
            let message = if wanted {
                "the heads of a second are not on both sides of their stem"
            } else {
                "a head is on the wrong side of its stem"
            };
            wrong.push((head.area, message));
        }
        before = Some((head.middle(), wanted));
    }
    wrong
}

/// What is wrong between two voices struck together.
fn wrong_voices(up: &Chord<'_>, down: &Chord<'_>, outer: bool) -> Option<&'static str> {
    let apart = up.low() - down.high();
    let shares = [up, down].iter().any(|chord| !chord.has_own_head());
    if shares || apart > SECOND + EXACT || up.high() + STEM < down.low() {
        return None;
    }
    if apart > -EXACT {
        let left = up.left() + EXACT < down.left();
        return (outer && !left)
            .then_some("the upper of two voices a second apart is not left of the lower");
    }
    let clear = if outer { down.right() - 2.0 * table::STEM_THICKNESS } else { down.left() };
    (up.left() < clear).then_some("the stems of voices that cross are not on the outer sides")
}

/// Notes without a head of their own that stand on one of another look.
fn wrongly_shared(heads: &[&Item], score: &Score) -> Vec<(Rect, &'static str)> {
    let drawn = |note: NoteId| heads.iter().any(|head| head.owner == Owner::Note(note));
    let look = |event: &Event| (event.value.base.min(Base::Quarter), event.value.dots);
    let mut wrong = Vec::new();
    for head in heads {
        let Some(own) = note_of(head, score) else { continue };
        let on_it = score.notes().iter().filter(|note| {
            (note.part, note.bar, note.onset) == (own.part, own.bar, own.onset)
                && note.pitch == own.pitch
                && note.id != own.id
                && !drawn(note.id)
        });
        for note in on_it {
            if look(score.event_of(note)) != look(score.event_of(own)) {
                wrong.push((head.area, "notes that do not look alike share a head"));
            }
        }
    }
    wrong
}
