//! The map of a position: where the notes of a key lie under the hand.

use apoyando_fingering::{LeftFinger, Level, Position};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{Direction, Key, NoteName, Scale, ScaleKind};

use crate::ground::Ground;

/// The notes of a key under the hand in one position.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct PositionMap {
    /// The key.
    pub key: Key,
    /// The position.
    pub position: Position,
    /// Every string from the thinnest, with the note it sounds when open.
    pub strings: Vec<(StringNumber, NoteName)>,
    /// The frets under the hand, from finger 1's to finger 4's or the highest one
    /// that may be stopped.
    pub frets: (Fret, Fret),
    /// The notes, string by string from the thinnest, from the nut on.
    pub spots: Vec<Spot>,
}

/// One place of a map.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Spot {
    /// Where.
    pub place: Place,
    /// The finger; `None` is the open string.
    pub finger: Option<LeftFinger>,
    /// The note.
    pub note: NoteName,
    /// What it is in the key.
    pub standing: Standing,
}

/// What a note is in a key.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Standing {
    /// The tonic.
    Tonic,
    /// A note as the signature has it.
    Signature,
    /// A note of a minor scale that is raised against the signature.
    Raised,
}

/// The notes of a key in a position, as far as a level allows, and those that its
/// scales of other `kinds` raise; `None` where the level allows nothing of the position.
/// Of a note that lies in two places, both are shown.
#[must_use]
pub fn map(
    key: Key,
    kinds: &[ScaleKind],
    position: Position,
    instrument: &Instrument,
    level: &Level,
) -> Option<PositionMap> {
    let ground = Ground::new(instrument, level, position);
    if !ground.is_allowed() {
        return None;
    }
    let signature = Scale::of_key(key).notes(Direction::Up);
    let scales = kinds.iter().filter_map(|kind| Scale::new(key, *kind));
    let raised: Vec<NoteName> = scales.flat_map(|scale| scale.notes(Direction::Up)).collect();
    let names = || signature.iter().chain(&raised).copied();
    let first = position.fret_of(LeftFinger::One);
    let last = Fret(position.fret_of(LeftFinger::Four).0.min(ground.highest_fret().0));
    let mut strings = Vec::new();
    let mut spots = Vec::new();
    for string in instrument.tuning.strings() {
        let Some(open) = instrument.tuning.open(string) else { continue };
        strings.push((string, open.name()));
        for fret in std::iter::once(0).chain(first.0..=last.0) {
            let place = Place { string, fret: Fret(fret) };
            let sound = instrument.sound(place).filter(|_| ground.covers(place));
            let note = sound.and_then(|sound| {
                let class = i32::from(sound.0).rem_euclid(12);
                names().find(|name| name.pitch_class() == class)
            });
            if let Some(note) = note {
                let finger = ground.finger_at(place);
                let standing = if note == key.tonic() {
                    Standing::Tonic
                } else if signature.contains(&note) {
                    Standing::Signature
                } else {
                    Standing::Raised
                };
                spots.push(Spot { place, finger, note, standing });
            }
        }
    }
    Some(PositionMap { key, position, strings, frets: (first, last), spots })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(key: &str, position: u8) -> Vec<String> {
        with_scales(key, &[], position)
    }

    fn with_scales(key: &str, kinds: &[ScaleKind], position: u8) -> Vec<String> {
        let (guitar, level) = (Instrument::guitar(), Level::open());
        let position = Position::new(position).expect("a position");
        let key = key.parse().expect("a key");
        let map = map(key, kinds, position, &guitar, &level).expect("a map");
        let strings = map.strings.iter().map(|(string, _)| {
            let spots = map.spots.iter().filter(|spot| spot.place.string == *string);
            let spots: Vec<String> = spots
                .map(|spot| {
                    let finger = spot.finger.map_or(0, LeftFinger::digit);
                    let standing = match spot.standing {
                        Standing::Tonic => "!",
                        Standing::Signature => "",
                        Standing::Raised => "+",
                    };
                    format!("{}{finger}{standing}", spot.note)
                })
                .collect();
            spots.join(" ")
        });
        strings.collect()
    }

    /// Common practice, no source: the naturals in the first position, finger by fret;
    /// the B of ② is the open string and lies on fret 4 of ③ too.
    #[test]
    fn c_major_in_the_first_position() {
        let map = shown("C major", 1);
        assert_eq!(map, ["E0 F1 G3", "B0 C1! D3", "G0 A2 B4", "D0 E2 F3", "A0 B2 C3!", "E0 F1 G3"]);
    }

    /// Common practice, no source.
    #[test]
    fn d_major_in_the_second_position() {
        let map = shown("D major", 2);
        assert_eq!(map[0], "E0 F♯1 G2 A4");
        assert_eq!(map[2], "G0 A1 B3");
        assert_eq!(map[3], "D0! E1 F♯3 G4");
    }

    /// Common practice, no source: where the raised notes of A minor lie in the first
    /// position; the signature has neither.
    #[test]
    fn minor_scales_add_what_they_raise() {
        let natural = shown("A minor", 1);
        assert_eq!(natural[2..4], ["G0 A2! B4", "D0 E2 F3"]);
        let harmonic = with_scales("A minor", &[ScaleKind::HarmonicMinor], 1);
        assert_eq!(harmonic[2..4], ["G0 G♯1+ A2! B4", "D0 E2 F3"]);
        let melodic = with_scales("A minor", &[ScaleKind::MelodicMinor], 1);
        assert_eq!(melodic[2..4], ["G0 G♯1+ A2! B4", "D0 E2 F3 F♯4+"]);
        assert_eq!(with_scales("C major", &[ScaleKind::MelodicMinor], 1), shown("C major", 1));
    }
}
