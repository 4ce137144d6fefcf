//! Chords as shapes: every way a chord lies on the strings, and which of them
//! a teacher would print.
//!
//! The costs are whole numbers, house values set so that the open chords of
//! common practice come out; the tests name them.

use apoyando_fingering::{BarreLimit, EffortTable, Level, Position, Shape, StringState};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{Chord, Inversion, KeyNumber, NoteName, Pitch};

use crate::bars::{Hold, Struck};
use crate::grip::{Grip, Hand};

/// A string not played on the thin side: the chord sounds less full.
const MISSING_THIN: i32 = 10;
/// A string not played below the bass.
const MISSING_THICK: i32 = 4;
/// The lowest note on one of the thin strings: the chord has no bass.
const NO_BASS: i32 = 20;
/// The fifth left out of a seventh chord, as C7 x32310 does.
const MISSING_FIFTH: i32 = 14;
/// A string that sounds lower than its thicker neighbour.
const TURNED: i32 = 6;
/// All four fingers down, none of them as a barre.
const FULL_HAND: i32 = 14;
/// Laying a barre.
const BARRE: i32 = 5;
/// Each string under it.
const BARRE_STRING: i32 = 1;
/// The third in the bass of a triad wanted in root position.
const INVERTED: i32 = 10;
/// A fret between the hand and the position of the exercise.
const AWAY: i32 = 7;
/// The cost up to which a teacher would show a shape to a class: xx0331 for
/// B♭ is just within it, x2444x for B without a barre is not.
const PRESENTABLE: i32 = 31;
/// Fewest strings of a chord.
const FEWEST_STRINGS: usize = 3;

/// What the fingers of a shape cost: the terms of the hand model on a posture,
/// with values of their own, so that a book that prices its fingering
/// otherwise still gets the shapes its readers know. How high a shape lies is
/// told by its distance from the exercise's position.
pub(crate) fn effort_of_shapes() -> EffortTable {
    EffortTable {
        stop: 2,
        finger_3: 1,
        finger_4: 3,
        height: 0,
        extension: 8,
        contraction: 1,
        stretch: 1,
        crossed: 4,
        barre_hold: 2,
        ..EffortTable::default()
    }
}

/// A chord on the strings, held by fingers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Voicing {
    /// Per string from ① on, the fret; `None` if it is not played.
    pub(crate) frets: Vec<Option<Fret>>,
    pub(crate) grip: Grip,
    /// Which chord tone lies lowest.
    pub(crate) inversion: Inversion,
    pub(crate) cost: i32,
}

impl Voicing {
    /// Whether its lowest string is one of the thick half.
    pub(crate) fn has_bass(&self) -> bool {
        let thickest = self.frets.iter().rposition(Option::is_some);
        thickest.is_some_and(|index| index >= self.frets.len() / 2)
    }

    /// Whether a teacher would show it to a class.
    pub(crate) const fn is_presentable(&self) -> bool {
        self.cost <= PRESENTABLE
    }

    pub(crate) fn shape(&self, name: String) -> Shape {
        shape(&self.frets, Some(&self.grip), name)
    }

    /// What sounds, from the thickest string played to the thinnest, with the
    /// finger on each.
    pub(crate) fn struck(&self, chord: Chord, instrument: &Instrument) -> Vec<Struck> {
        struck(&self.frets, &self.grip, chord, instrument)
    }
}

/// The notes of a shape as they are written, from the thickest string on.
pub(crate) fn struck(
    frets: &[Option<Fret>],
    grip: &Grip,
    chord: Chord,
    instrument: &Instrument,
) -> Vec<Struck> {
    sounded(frets, chord, instrument)
        .into_iter()
        .map(|(pitch, place)| {
            let finger = grip.fingers.get(place.string.index()).copied().flatten();
            (pitch, Some(Hold { string: place.string, finger }))
        })
        .collect()
}

/// A shape as diagrams show it.
pub(crate) fn shape(frets: &[Option<Fret>], grip: Option<&Grip>, name: String) -> Shape {
    let strings = frets
        .iter()
        .enumerate()
        .map(|(index, fret)| match fret {
            None => StringState::Unplayed,
            Some(Fret::OPEN) => StringState::Open,
            Some(fret) => StringState::Stopped {
                fret: *fret,
                finger: grip.and_then(|grip| grip.fingers.get(index).copied().flatten()),
            },
        })
        .collect();
    Shape { name, strings, barre: grip.and_then(|grip| grip.barre) }
}

/// The name spelled in the octave in which it sounds a key; `None` if it
/// sounds another pitch class.
pub(crate) fn spell(name: NoteName, key: KeyNumber) -> Option<Pitch> {
    let near = i8::try_from(key.0.div_euclid(12) - 1).ok()?;
    (near.saturating_sub(1)..=near.saturating_add(1))
        .map(|octave| name.in_octave(octave))
        .find(|pitch| pitch.key_number() == key)
}

pub(crate) fn sounded(
    frets: &[Option<Fret>],
    chord: Chord,
    instrument: &Instrument,
) -> Vec<(Pitch, Place)> {
    frets
        .iter()
        .enumerate()
        .rev()
        .filter_map(|(index, fret)| {
            let place = Place { string: StringNumber::new(index as u8 + 1)?, fret: (*fret)? };
            let key = instrument.sound(place)?;
            Some((spell(chord.note_of_class(i32::from(key.0))?, key)?, place))
        })
        .collect()
}

/// What is looked for.
#[derive(Clone, Copy)]
pub(crate) struct Search<'a> {
    pub(crate) instrument: &'a Instrument,
    pub(crate) level: &'a Level,
    pub(crate) effort: &'a EffortTable,
    /// The position of the exercise.
    pub(crate) home: Position,
    /// Only shapes whose stopped frets lie in the home position.
    pub(crate) at_home_only: bool,
}

/// A chord as it is wanted.
#[derive(Clone, Copy)]
struct Wanted {
    chord: Chord,
    inversion: Inversion,
    /// Whether its first inversion does, too.
    gives_way: bool,
}

impl Search<'_> {
    /// The highest fret tried: the home position's own, and at least the
    /// fourth, where open chords lie.
    pub(crate) fn highest_fret(&self) -> u8 {
        let on_neck = self.instrument.frets.0.saturating_sub(self.instrument.capo.0);
        (self.home.get() + 3).max(4).min(self.level.highest_fret.0).min(on_neck)
    }

    /// All shapes of a chord that the level allows, best first. A triad in root
    /// position gives way to its first inversion where a level without large
    /// barres leaves little choice, as Bm does to xx0432, or where there is no other shape.
    pub(crate) fn voicings(&self, chord: Chord, inversion: Inversion) -> Vec<Voicing> {
        // A seventh chord can leave out its fifth instead.
        let may = inversion == Inversion::ROOT && !chord.quality().is_seventh();
        let root =
            Wanted { chord, inversion, gives_way: may && self.level.barre != BarreLimit::Full };
        let found = self.found(root);
        let again = found.is_empty() && may && !root.gives_way;
        if again { self.found(Wanted { gives_way: true, ..root }) } else { found }
    }

    fn found(&self, wanted: Wanted) -> Vec<Voicing> {
        let strings = self.instrument.tuning.len();
        let mut found = Vec::new();
        for thickest in (FEWEST_STRINGS - 1..strings).rev() {
            let mut frets = vec![None; strings];
            self.lay(wanted, thickest, thickest, &mut frets, &mut found);
        }
        found.sort_by(|a, b| {
            (a.cost, &a.frets, &a.grip.fingers).cmp(&(b.cost, &b.frets, &b.grip.fingers))
        });
        found
    }

    /// Tries every fret on the string `index`, then goes on to the next
    /// thinner one.
    fn lay(
        &self,
        wanted: Wanted,
        thickest: usize,
        index: usize,
        frets: &mut Vec<Option<Fret>>,
        found: &mut Vec<Voicing>,
    ) {
        let Some(string) = StringNumber::new(index as u8 + 1) else { return };
        for fret in (0..=self.highest_fret()).map(Fret) {
            let place = Place { string, fret };
            let Some(key) = self.instrument.sound(place) else { continue };
            let tone = wanted.chord.note_of_class(i32::from(key.0)).is_some();
            if !tone || !self.may_lie(fret, frets) {
                continue;
            }
            frets[index] = Some(fret);
            if thickest - index + 1 >= FEWEST_STRINGS {
                self.weigh(wanted, (thickest, index), frets, found);
            }
            if index > 0 {
                self.lay(wanted, thickest, index - 1, frets, found);
            }
            frets[index] = None;
        }
    }

    /// Whether a fret lies near enough to those stopped already.
    fn may_lie(&self, fret: Fret, frets: &[Option<Fret>]) -> bool {
        let home = self.home.get();
        if fret.is_open() {
            return true;
        }
        let near = |other: &Fret| other.is_open() || other.0.abs_diff(fret.0) <= 4;
        (!self.at_home_only || (home..=home + 3).contains(&fret.0))
            && frets.iter().flatten().all(near)
    }

    fn weigh(
        &self,
        wanted: Wanted,
        (thickest, thinnest): (usize, usize),
        frets: &[Option<Fret>],
        found: &mut Vec<Voicing>,
    ) {
        let chord = wanted.chord;
        let sounds = sounded(frets, chord, self.instrument);
        let Some(lowest) = sounds.iter().map(|(pitch, _)| *pitch).min() else { return };
        let Some(inversion) = chord.inversion_over(lowest.name()) else { return };
        let inverted = match inversion {
            found if wanted.inversion == found => 0,
            Inversion::FIRST if wanted.gives_way => INVERTED,
            _ => return,
        };
        let turned = sounds.windows(2).filter(|pair| pair[1].0 < pair[0].0).count() as i32;
        let mut keys: Vec<KeyNumber> = sounds.iter().map(|(p, _)| p.key_number()).collect();
        keys.sort();
        if keys.windows(2).any(|pair| pair[0] == pair[1]) {
            return;
        }
        let notes = chord.notes();
        let missing = |note: &NoteName| !sounds.iter().any(|(pitch, _)| pitch.name() == *note);
        let fifth_missing = chord.quality().is_seventh() && notes.get(2).is_some_and(missing);
        let others_missing =
            notes.iter().enumerate().any(|(i, n)| missing(n) && !(i == 2 && fifth_missing));
        if others_missing {
            return;
        }
        let all = self.instrument.tuning.len();
        let below = all - 1 - thickest;
        let bass = if thickest < all / 2 { NO_BASS } else { 0 };
        let strings =
            thinnest as i32 * MISSING_THIN + below as i32 * MISSING_THICK + bass + turned * TURNED;
        let spare = if fifth_missing { MISSING_FIFTH } else { 0 };
        let hand = Hand { instrument: self.instrument, level: self.level, effort: self.effort };
        for grip in hand.grips(frets) {
            let fingers = match grip.barre {
                Some(barre) => BARRE + i32::from(barre.width()) * BARRE_STRING,
                None if grip.count() == 4 => FULL_HAND,
                None => 0,
            };
            let away = grip.position.map_or(0, |p| i32::from(p.get().abs_diff(self.home.get())));
            let cost = grip.effort + strings + spare + inverted + fingers + away * AWAY;
            found.push(Voicing { frets: frets.to_vec(), grip, inversion, cost });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn best(chord: &str, level: &Level, home: u8) -> String {
        let search = Search {
            instrument: &Instrument::guitar(),
            level,
            effort: &effort_of_shapes(),
            home: Position::new(home).unwrap(),
            at_home_only: false,
        };
        let chord: Chord = chord.parse().unwrap();
        search.voicings(chord, Inversion::ROOT)[0].shape(String::new()).to_string()
    }

    /// Common practice, no source: the open chords of every handbook.
    #[test]
    fn open_chords_come_out() {
        for (chord, accepted) in [
            ("C", &["x32010 ·32·1·"][..]),
            ("A", &["x02220 ··123·"]),
            ("G", &["320003 21···3", "320003 32···4"]),
            ("E", &["022100 ·231··"]),
            ("D", &["xx0232 ···132"]),
            ("Am", &["x02210 ··231·"]),
            ("Em", &["022000 ·23···", "022000 ·12···"]),
            ("Dm", &["xx0231 ···231"]),
            ("A7", &["x02020 ··1·2·", "x02020 ··2·3·"]),
            ("E7", &["020100 ·2·1··"]),
            ("D7", &["xx0212 ···213"]),
            ("B7", &["x21202 ·213·4"]),
            ("G7", &["320001 32···1"]),
            ("C7", &["x32310 ·3241·"]),
        ] {
            for level in [Level::first(), Level::open()] {
                let found = best(chord, &level, 1);
                assert!(accepted.contains(&found.as_str()), "{chord}: {found}");
            }
        }
    }

    /// Common practice, no source: F, B minor and F♯7 without barre.
    #[test]
    fn chords_without_barre_are_found() {
        assert_eq!(best("F", &Level::first(), 1), "xx321x ··321·");
        assert_eq!(best("Bm", &Level::first(), 2), "xx0432 ···321");
        assert_eq!(best("F#7", &Level::first(), 2), "xx4320 ··321·");
    }

    /// Common practice, no source: the shapes with barre, as far as their
    /// strings are the fullest.
    #[test]
    fn a_barre_is_laid_where_the_level_allows_it() {
        let small = Level { barre: BarreLimit::Small, ..Level::first() };
        assert_eq!(best("F", &small, 1), "xx3211 ··3211");
        assert_eq!(best("Bm", &Level::open(), 2), "x24432 ·13421");
    }

    #[test]
    fn every_shape_sounds_its_chord() {
        let guitar = Instrument::guitar();
        let search = Search {
            instrument: &guitar,
            level: &Level::open(),
            effort: &effort_of_shapes(),
            home: Position::new(3).unwrap(),
            at_home_only: false,
        };
        for name in ["C", "F#m", "Bb7", "Adim7", "Gmaj7"] {
            let chord: Chord = name.parse().unwrap();
            for inversion in [Inversion::ROOT, Inversion::SECOND] {
                let found = search.voicings(chord, inversion);
                assert!(!found.is_empty(), "{name} {inversion}");
                for voicing in found {
                    let sounds = sounded(&voicing.frets, chord, &guitar);
                    assert!(sounds.iter().all(|(p, at)| guitar.sound(*at) == Some(p.key_number())));
                    let lowest = sounds.iter().map(|(p, _)| *p).min().unwrap();
                    assert_eq!(chord.bass(inversion), Some(lowest.name()));
                }
            }
        }
    }
}
