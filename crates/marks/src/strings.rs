//! Circled string numbers.
//!
//! A circle is printed where the place is not the one a reader would *assume*:
//! of all places of the pitch that agree with the digit printed (or any, where
//! none is), the one in the position of the hand, else the one within a fret of
//! it, else any; of several the lowest on the neck. An open string lies in every
//! position.
//!
//! An open string lies in every position, and below V a page is read as one reads the first
//! position: a note at fret 5 or above that could be an open string there (D on ⑤ fret 5,
//! E on ② fret 5) is circled the first time in each stay, though its digit rules the open
//! string out; so is a note that is known from the first position on a thinner string (C on
//! ③ fret 5). It is circled again where it has not been played for more than three bars. From V on, the numeral says that all is read anew (common practice, no
//! source). B on ③ fret 4 is of the first position itself, but circled too where the open ② is
//! played in its bar or in a bar beside it, if it is not of a chord: a digit alone is easily
//! overlooked there.
//!
//! A note that was played at the same place not long ago (see
//! [`digits`](crate::digits)) is not circled again. Successive single notes of a
//! voice on the circled string share one mark, which reaches to the last of them
//! that needs it. It stands at the first of them, below V, that a reader might take for a
//! note of a thinner string, though its digit says otherwise: B on ③ fret 4 before C on ③
//! fret 5 (common practice, no source).

use std::collections::{HashMap, HashSet};

use apoyando_fingering::{LeftFinger, Placement, Position};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{KeyNumber, NoteId};

use crate::broken::is_shape;
use crate::digits::{Memory, is_known_in_i};
use crate::marks::{LeftMark, StringMark};
use crate::positions::Hand;
use crate::sounds::{CHORD, Sound, layers};

/// Bars after the one where a place was last played in which its circle is remembered.
const CIRCLE_BARS: u32 = 3;

/// The highest fret of the first position.
pub(crate) const LAST_FIRST_FRET: u8 = 4;

/// What the digit at a note tells its reader.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Told {
    /// No digit is printed.
    Nothing,
    /// A 0.
    Open,
    /// A finger.
    Finger(LeftFinger),
}

impl Told {
    fn by(mark: Option<LeftMark>) -> Self {
        match mark {
            None => Self::Nothing,
            Some(LeftMark { finger: None, .. }) => Self::Open,
            Some(LeftMark { finger: Some(finger), .. }) => Self::Finger(finger),
        }
    }
}

/// Where a reader assumes a pitch to lie.
pub(crate) fn assumed(
    instrument: &Instrument,
    key: KeyNumber,
    position: Position,
    told: Told,
) -> Option<Place> {
    let base = i32::from(position.get());
    // How far a place is from what the hand covers; the smallest is assumed.
    let distance = |place: &Place| -> Option<u8> {
        let fret = i32::from(place.fret.0);
        match told {
            Told::Open => place.fret.is_open().then_some(0),
            Told::Nothing if place.fret.is_open() => Some(0),
            Told::Finger(_) if place.fret.is_open() => None,
            Told::Finger(finger) => Some(match position.offset(finger, place.fret).abs() {
                0 => 0,
                1 => 1,
                _ => 2,
            }),
            Told::Nothing => Some(match fret - base {
                0..=3 => 0,
                -1 | 4 => 1,
                _ => 2,
            }),
        }
    };
    instrument
        .places(key)
        .filter_map(|place| Some((distance(&place)?, place.fret, place)))
        .min_by_key(|(distance, fret, _)| (*distance, *fret))
        .map(|(_, _, place)| place)
}

/// Whether a place is read as an open string first: below V, beyond what the first position
/// has, of a pitch that has an open string.
fn is_read_open(
    instrument: &Instrument,
    key: KeyNumber,
    placement: Placement,
    position: Position,
) -> bool {
    let Fret(fret) = placement.place.fret;
    placement.finger.is_some()
        && position.get() <= LAST_FIRST_FRET
        && fret > LAST_FIRST_FRET
        && instrument.sound(placement.place) == Some(key)
        && instrument.places(key).any(|place| place.fret.is_open())
}

/// Whether a place could be mistaken for one lower on the neck: below V, a stopped note that
/// a thinner string has, too.
fn is_higher_than_known(
    instrument: &Instrument,
    key: KeyNumber,
    placement: Placement,
    position: Position,
) -> bool {
    placement.finger.is_some()
        && position.get() <= LAST_FIRST_FRET
        && instrument.places(key).any(|place| place.fret < placement.place.fret)
}

/// The circled strings of a part.
pub(crate) fn strings(
    sounds: &[Sound],
    hand: &Hand,
    left: &[Option<LeftMark>],
    instrument: &Instrument,
) -> Vec<StringMark> {
    let mut memory = Memory::new();
    let mut circled: HashMap<_, u32> = HashMap::new();
    let open: HashSet<(u32, KeyNumber)> =
        sounds.iter().filter(|it| it.is_open()).map(|it| (it.bar.0, it.key)).collect();
    let bars = sounds.chunk_by(|a, b| a.bar == b.bar).filter(|bar| !is_shape(bar));
    let struck = |layer: &&[Sound]| layer.len() < CHORD;
    let in_lines: HashSet<NoteId> =
        bars.flat_map(|bar| layers(bar).filter(struck).flatten()).map(|sound| sound.head).collect();
    // Whether a stopped note of a line is played open in its bar or beside it.
    let is_beside_open = |sound: &Sound| {
        let mut bars = sound.bar.0.saturating_sub(1)..=sound.bar.0 + 1;
        sound.is_stopped()
            && in_lines.contains(&sound.head)
            && bars.any(|bar| open.contains(&(bar, sound.key)))
    };
    // Whether a circle is needed, and whether one that is for a note after it begins here.
    let needs: Vec<(bool, bool)> = sounds
        .iter()
        .map(|sound| {
            let Some(placement) = sound.placement else { return (false, false) };
            let known = memory.knows(sound, hand);
            memory.keep(sound, hand);
            let told = Told::by(left.get(sound.head.0 as usize).copied().flatten());
            let position = hand.position_at(sound.onset);
            let elsewhere =
                !known && assumed(instrument, sound.key, position, told) != Some(placement.place);
            let once = (hand.stay_at(sound.onset), placement.place);
            let remembered = circled.get(&once).is_some_and(|bar| sound.bar.0 <= bar + CIRCLE_BARS);
            let read = position.get() <= LAST_FIRST_FRET && is_beside_open(sound)
                || is_read_open(instrument, sound.key, placement, position)
                || is_known_in_i(instrument, sound.key, placement, position);
            let needs = elsewhere || read && !remembered;
            if needs || remembered {
                circled.insert(once, sound.bar.0);
            }
            let begins = !known
                && !remembered
                && is_higher_than_known(instrument, sound.key, placement, position);
            (needs, begins)
        })
        .collect();

    let mut voices: Vec<_> = sounds.iter().map(|sound| sound.voice).collect();
    voices.sort_unstable();
    voices.dedup();
    let mut marks: Vec<(usize, StringMark)> = Vec::new();
    for voice in voices {
        let mut open: Option<(usize, StringMark)> = None;
        // Where the notes before, on the same string, begin that could be mistaken.
        let mut run: Option<(usize, StringNumber)> = None;
        let line: Vec<usize> =
            (0..sounds.len()).filter(|index| sounds[*index].voice == voice).collect();
        for (rank, &index) in line.iter().enumerate() {
            let sound = &sounds[index];
            let string = sound.placement.map(|placement| placement.place.string);
            let neighbour = |other: Option<&usize>| {
                other.is_some_and(|other| sounds[*other].onset == sound.onset)
            };
            let alone = !neighbour(rank.checked_sub(1).and_then(|rank| line.get(rank)))
                && !neighbour(line.get(rank + 1));
            if !alone || open.is_some_and(|(_, mark)| Some(mark.string) != string) {
                marks.extend(open.take());
            }
            let (needed, begins) = needs[index];
            run = match (string, run) {
                (Some(string), Some(run)) if alone && begins && run.1 == string => Some(run),
                (Some(string), _) if alone && begins => Some((index, string)),
                _ => None,
            };
            let (true, Some(string)) = (needed, string) else { continue };
            match &mut open {
                Some((_, mark)) => mark.to = sound.head,
                None => {
                    let from = run.map_or(sound.head, |(first, _)| sounds[first].head);
                    let mark = StringMark { string, from, to: sound.head };
                    if alone {
                        open = Some((index, mark));
                    } else {
                        marks.push((index, mark));
                    }
                }
            }
        }
        marks.extend(open);
    }
    marks.sort_by_key(|(index, _)| *index);
    marks.into_iter().map(|(_, mark)| mark).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::marks::Density;
    use crate::trial::trial;

    fn shown(text: &str) -> Vec<String> {
        let trial = trial(text);
        trial
            .needed()
            .strings
            .iter()
            .map(|mark| format!("{} {}..{}", mark.string, mark.from.0, mark.to.0))
            .collect()
    }

    /// Common practice, no source: written F sharp on the top line is ① fret 2
    /// in II; with finger 4 told it can only be ② fret 7 in IV.
    #[test]
    fn a_reader_assumes_the_lowest_place_under_the_hand() {
        let guitar = Instrument::guitar();
        let f_sharp = KeyNumber(66);
        let at = |position: u8, told| {
            assumed(&guitar, f_sharp, Position::new(position).unwrap(), told).unwrap().to_string()
        };
        assert_eq!(at(2, Told::Nothing), "①2");
        assert_eq!(at(4, Told::Finger(LeftFinger::Four)), "②7");
        assert_eq!(at(4, Told::Nothing), "②7");
        assert_eq!(at(9, Told::Nothing), "③11");
        assert_eq!(at(1, Told::Finger(LeftFinger::Two)), "①2");
    }

    #[test]
    fn places_in_the_position_need_no_circle() {
        assert!(shown("8 @1 3.0.0 3.2.2 2.0.0 2.1.1 2.3.4 1.0.0 1.1.1 1.3.4").is_empty());
        assert!(shown("8 @5 3.5.1 3.7.3 2.5.1 2.6.2 2.8.4 1.5.1 1.7.3 1.8.4").is_empty());
    }

    #[test]
    fn an_open_string_that_is_stopped_needs_none_where_its_digit_says_so() {
        assert!(shown("4 @1 2.1.1 3.4.4 2.1.1").is_empty());
    }

    #[test]
    fn a_note_that_is_read_as_an_open_string_is_circled_once_in_a_stay() {
        // D on ⑤ fret 5, in II; the ⑥ of A after it.
        let text =
            "4 @2 5.5.4 4.3.2 3.2.1 5.5.4 | 3.2.1 4.3.2 3.2.1 4.3.2 | 5.5.4 6.5.4 6.5.4 3.2.1";
        assert_eq!(shown(text), ["⑤ 0..0", "⑥ 9..9"]);
        for density in [Density::EveryNote, Density::WhereNeeded] {
            assert_eq!(trial(text).marked(density).strings.len(), 2, "{density:?}");
        }
        assert!(trial(text).marked(Density::None).strings.is_empty());
        // In another stay, again.
        let text = "4 @2 5.5.4 4.3.2 3.2.1 2.5.4 | @7 2.7.1 1.7.1 1.8.2 1.10.4 | @2 5.5.4 3.2.1";
        assert_eq!(shown(text), ["⑤ 0..0", "② 3..3", "⑤ 8..8"]);
        // The first position has B on ③, and C is no open string.
        assert!(shown("4 @1 2.1.1 3.4.4 2.1.1").is_empty());
        // In V all is read anew.
        assert!(shown("4 @5 5.5.1 4.5.1 2.5.1 2.8.4").is_empty());
    }

    /// C on ③, known on ②; again after three bars without it.
    #[test]
    fn a_note_known_on_another_string_is_circled_once_in_a_stay() {
        let other = "3.2.1 4.3.2 3.2.1 4.3.2";
        let bars = |between: usize| {
            let others = vec![other; between].join(" | ");
            shown(&format!("4 @2 3.5.4 3.2.1 3.5.4 3.2.1 | {others} | 3.5.4 3.2.1"))
        };
        assert_eq!(bars(1), ["③ 0..0"]);
        assert_eq!(bars(2), ["③ 0..0"]);
        assert_eq!(bars(3), ["③ 0..0", "③ 16..16"]);
        assert!(shown("4 @1 2.1.1 3.2.2").is_empty());
    }

    #[test]
    fn a_place_off_the_position_is_circled_with_all_that_follow_on_its_string() {
        // A momentary reach up the second string: F and G, also on ① in I.
        let text = "8 @1 2.1.1 2.3.3 @5 2.6.2 2.8.4 @1 2.3.3 2.1.1";
        assert_eq!(shown(text), ["② 2..3"]);
    }

    /// B on ③ fret 4 leaves the way of the first position before C on ③ fret 5 does.
    #[test]
    fn a_circle_stands_where_the_run_on_its_string_could_first_be_mistaken() {
        assert_eq!(shown("4 @2 3.2.1 3.4.3 3.5.4 2.3.2"), ["③ 1..2"]);
        // Without C there is none; the digit of B says enough.
        assert!(shown("4 @2 3.2.1 3.4.3 3.2.1 2.3.2").is_empty());
        // Another string between, and a B that is known.
        assert_eq!(shown("4 @2 3.4.3 2.3.2 3.5.4 2.3.2"), ["③ 2..2"]);
        assert_eq!(shown("4 @2 3.4.3 2.3.2 3.4.3 3.5.4"), ["③ 3..3"]);
        // From V on all is read anew.
        assert!(shown("4 @5 3.5.1 3.7.3 3.8.4 2.5.1").is_empty());
    }

    #[test]
    fn a_note_of_a_chord_is_circled_alone() {
        // F on ② fret 6, where ① fret 1 lies under the hand; the second time it
        // is remembered.
        let text = "2 @1 3.2.1+2.6.4 3.2.1+2.6.4";
        assert_eq!(shown(text), ["② 1..1"]);
    }
}
