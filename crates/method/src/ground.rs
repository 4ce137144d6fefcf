//! What lies under the hand in one position.
//!
//! One finger to a fret: in position P fingers 1 to 4 cover frets P to P + 3,
//! and open strings belong to every position. Common practice, no source.

use apoyando_fingering::{LeftFinger, Level, Position};
use apoyando_fretboard::{Fret, Instrument, Place};
use apoyando_music::{KeyNumber, NoteName, Pitch};

/// A position of an instrument, as far as a level allows it.
#[derive(Clone, Copy)]
pub(crate) struct Ground<'a> {
    pub(crate) instrument: &'a Instrument,
    pub(crate) level: &'a Level,
    pub(crate) position: Position,
}

/// A note of a scale in a position.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Rung {
    pub(crate) pitch: Pitch,
    /// Where a finger has to leave its fret to reach it; `None` if it lies
    /// open or under its own finger.
    pub(crate) extension: Option<Place>,
}

impl<'a> Ground<'a> {
    pub(crate) fn new(instrument: &'a Instrument, level: &'a Level, position: Position) -> Self {
        Self { instrument, level, position }
    }

    /// Whether the level allows the position and the instrument has it.
    pub(crate) fn is_allowed(&self) -> bool {
        self.level.positions.contains(self.position) && self.position.get() <= self.highest_fret().0
    }

    /// The positions of a level on an instrument, from the nut on.
    pub(crate) fn all(
        instrument: &'a Instrument,
        level: &'a Level,
    ) -> impl Iterator<Item = Self> + use<'a> {
        (1..=Position::MOST)
            .filter_map(Position::new)
            .map(move |position| Self::new(instrument, level, position))
            .filter(Self::is_allowed)
    }

    /// The highest fret that may be stopped, counted from the capo.
    pub(crate) fn highest_fret(&self) -> Fret {
        let on_neck = self.instrument.frets.0.saturating_sub(self.instrument.capo.0);
        Fret(self.level.highest_fret.0.min(on_neck))
    }

    fn allows(&self, finger: LeftFinger) -> bool {
        self.level.fingers.contains(Some(finger))
    }

    /// Whether a place is open, or lies under a finger of the position. A
    /// finger that the level spares is replaced by a higher one drawn in.
    pub(crate) fn covers(&self, place: Place) -> bool {
        if place.fret.is_open() {
            return self.level.fingers.contains(None);
        }
        place.fret <= self.highest_fret()
            && LeftFinger::ALL.into_iter().any(|own| {
                self.position.fret_of(own) == place.fret
                    && LeftFinger::ALL.into_iter().any(|f| f >= own && self.allows(f))
            })
    }

    /// The finger of a stopped place that is [covered](Self::covers).
    pub(crate) fn finger_at(&self, place: Place) -> Option<LeftFinger> {
        let own = LeftFinger::ALL.into_iter().find(|f| self.position.fret_of(*f) == place.fret)?;
        LeftFinger::ALL.into_iter().find(|f| *f >= own && self.allows(*f))
    }

    /// Whether a place is one fret outside: below finger 1, or above the
    /// highest finger allowed.
    fn is_beside(&self, place: Place) -> bool {
        if place.fret.is_open() || place.fret > self.highest_fret() {
            return false;
        }
        let back =
            self.allows(LeftFinger::One) && self.position.offset(LeftFinger::One, place.fret) == -1;
        let highest = LeftFinger::ALL.into_iter().rev().find(|f| self.allows(*f));
        back || highest.is_some_and(|f| self.position.offset(f, place.fret) == 1)
    }

    /// The places of the position that sound a key, from ① on.
    pub(crate) fn covered(&self, key: KeyNumber) -> impl Iterator<Item = Place> + '_ {
        self.instrument.places(key).filter(|place| self.covers(*place))
    }

    /// How a note is reached, finger 1 reaching back before finger 4 forward;
    /// `None` if it lies outside.
    fn rung(&self, pitch: Pitch) -> Option<Rung> {
        let key = pitch.key_number();
        if self.covered(key).next().is_some() {
            return Some(Rung { pitch, extension: None });
        }
        let beside = self.instrument.places(key).filter(|place| self.is_beside(*place));
        beside.min_by_key(|place| place.fret).map(|place| Rung { pitch, extension: Some(place) })
    }

    /// The notes of a scale in this position, from low to high: from the
    /// highest that is covered down as far as none is farther away than one
    /// fret, to the lowest that is covered.
    pub(crate) fn rungs(&self, names: &[NoteName; 7]) -> Vec<Rung> {
        let mut rungs: Vec<Rung> = Vec::new();
        for pitch in self.pitches_from_the_top(names) {
            match self.rung(pitch) {
                Some(Rung { extension: Some(_), .. }) if rungs.is_empty() => {}
                Some(rung) => rungs.push(rung),
                None if rungs.is_empty() => {}
                None => break,
            }
        }
        while rungs.last().is_some_and(|rung| rung.extension.is_some()) {
            rungs.pop();
        }
        rungs.reverse();
        rungs
    }

    fn pitches_from_the_top(&self, names: &[NoteName; 7]) -> Vec<Pitch> {
        let tuning = &self.instrument.tuning;
        let open = || tuning.strings().filter_map(|string| tuning.open(string));
        let (Some(low), Some(high)) = (open().min(), open().max()) else { return Vec::new() };
        // Four octaves above the highest open string lie beyond any neck.
        let octaves = low.octave.saturating_sub(1)..=high.octave.saturating_add(4);
        let mut pitches: Vec<Pitch> =
            octaves.flat_map(|octave| names.map(|name| name.in_octave(octave))).collect();
        pitches.sort();
        pitches.reverse();
        pitches
    }
}

/// The lower tonics of the octaves whose both ends lie under the hand.
pub(crate) fn octaves(rungs: &[Rung], tonic: NoteName) -> Vec<Pitch> {
    let at_hand = |pitch: Pitch| rungs.iter().any(|r| r.pitch == pitch && r.extension.is_none());
    rungs
        .iter()
        .map(|rung| rung.pitch)
        .filter(|pitch| pitch.name() == tonic && at_hand(*pitch) && at_hand(pitch.up_octaves(1)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use apoyando_fretboard::StringNumber;
    use apoyando_music::{Direction, Key, Scale};

    fn rungs(key: &str, position: u8, level: &Level) -> Vec<Rung> {
        let guitar = Instrument::guitar();
        let ground = Ground::new(&guitar, level, Position::new(position).unwrap());
        let key: Key = key.parse().unwrap();
        ground.rungs(&Scale::of_key(key).notes(Direction::Up))
    }

    fn ends(key: &str, position: u8) -> (String, String) {
        let rungs = rungs(key, position, &Level::open());
        let written = |rung: &Rung| rung.pitch.up_octaves(1).to_string();
        (written(&rungs[0]), written(&rungs[rungs.len() - 1]))
    }

    /// Common practice, no source: the written range of a line is E3 to G♯5 in
    /// I, to A5 in II; B5 is fret 7 of ①, finger 4 in IV.
    #[test]
    fn positions_reach_as_far_as_players_say() {
        assert_eq!(ends("E major", 1), ("E3".to_owned(), "G♯5".to_owned()));
        assert_eq!(ends("D major", 2), ("E3".to_owned(), "A5".to_owned()));
        assert_eq!(ends("G major", 4).1, "B5");
        assert_eq!(ends("G major", 3).1, "A5");
    }

    /// Common practice, no source: scales with no extension in II with open
    /// strings are those of G and D major, E and B natural minor.
    #[test]
    fn the_second_position_holds_four_scales_without_extension() {
        let free: Vec<String> = Key::all()
            .map(|key| key.to_string())
            .filter(|key| rungs(key, 2, &Level::open()).iter().all(|r| r.extension.is_none()))
            .collect();
        assert_eq!(free, ["G major", "D major", "E minor", "B minor"]);
    }

    /// Common practice, no source: A major in II has finger 1 reach back for
    /// G♯ on ③ 1.
    #[test]
    fn extensions_are_found_where_players_make_them() {
        let extensions: Vec<Place> =
            rungs("A major", 2, &Level::open()).iter().filter_map(|r| r.extension).collect();
        let string = StringNumber::new(3).unwrap();
        assert_eq!(extensions, [Place { string, fret: Fret(1) }]);
    }

    #[test]
    fn a_spared_finger_leaves_its_fret_uncovered() {
        use apoyando_fingering::LeftFingerSet;
        let spared =
            Level { fingers: LeftFingerSet::ALL.without(Some(LeftFinger::Four)), ..Level::open() };
        let top = rungs("E major", 1, &spared).pop().unwrap();
        assert_eq!(top.pitch.up_octaves(1).to_string(), "F♯5");
    }
}
