//! Left-hand digits.
//!
//! *Every note*: a digit at every head that is struck, 0 at open strings, none
//! at heads that are tied to. A head that two voices share has one digit.
//!
//! *Where needed*: a digit at
//! - all stopped sounds struck where the hand arrives in a position, the first of the part
//!   among them: the *arrival*;
//! - every sound of a momentary reach, which has no numeral, and of a stay until its
//!   numeral;
//! - an *exception*: a finger that is not the one the position gives for the
//!   fret; a pitch that could be open or stopped where the hand is; one that is known from
//!   the first position on another string, in II to IV; an open string under a barre, lifted
//!   for it; a place that is not the one a reader would assume (see [`strings`](crate::strings));
//! - both ends of a guide finger's slide, the second with a dash; not the first
//!   if its digit was printed shortly before; so, too, of a finger that goes two frets or
//!   more along its string from one onset to the next, in a reach or stretched, or a fret
//!   from a chord to a chord or from a note of a line to the next (see
//!   [`slides`](crate::slides)); from a broken chord to the next
//!   the digits that are printed have it;
//! - a sound at which another finger is put down beforehand (see [`prepared`]);
//! - a sound that another finger takes over while it sounds, each time;
//! - a finger that comes from another string (see [`hops`](crate::hops));
//! - what a reader meets for the first time in a part: a stopped sound that is altered
//!   against the key signature, or, in II to IV, under finger 4 beyond the fourth fret;
//! - a stopped sound that could be an open string, each time, unless it is repeated at once;
//! - a sound that is known from the first position on another string, in II to IV, the first
//!   time in each bar;
//! - notes of two voices that sound together on one fret (see [`one_fret`](crate::one_fret));
//! - a *change*: a pitch that was last played at another place or with another
//!   finger while the hand was where it is now, however long ago.
//!
//! If one sound of a chord in a voice needs its digit, all of them have theirs; so do the
//! stopped sounds of a broken chord, the chords of a row, and one that gathers a broken chord and
//! adds to it (see [`shapes`](crate::shapes) and [`broken`](crate::broken)). Like bars have like digits (see [`like`](crate::like)); a
//! note struck again at once has none (see [`again`](crate::again)).
//! An exception is not marked again while the reader remembers it: in the bar
//! where the sound was last played in that way and in the one after, as long
//! as the hand stays. So repeated notes and patterns are marked once. In a line a finger that is
//! not that of its fret is told once in each bar, unless it is played again at once: where no
//! digit stands, the finger is that of the fret. Where a pitch is played with two fingers in a
//! bar, both are told.

use std::collections::{HashMap, HashSet};

use apoyando_fingering::{Fingering, LeftFinger, Placement, Position};
use apoyando_fretboard::{Instrument, Place};
use apoyando_music::{KeyNumber, Moment, Score};

use crate::again;
use crate::broken;
use crate::hops::hops;
use crate::like;
use crate::marks::{Density, LeftMark};
use crate::one_fret;
use crate::positions::Hand;
use crate::prepared::prepared;
use crate::shapes::{self, is_shown};
use crate::slides;
use crate::sounds::{Sound, is_alone};
use crate::strings::{LAST_FIRST_FRET, Told, assumed};

/// How each pitch was last played, as a reader remembers it.
#[derive(Default)]
pub(crate) struct Memory {
    last: HashMap<KeyNumber, (Placement, u32, usize)>,
}

impl Memory {
    /// Bars after the one where a sound was played in which its finger is remembered.
    const BARS: u32 = 1;

    /// Bars after the one where a sound was played in which its string is remembered: a string
    /// is longer kept in mind than a finger.
    const STRING_BARS: u32 = 2;

    /// Nothing is remembered.
    pub fn new() -> Self {
        Self::default()
    }

    /// How the pitch of a sound was last played, if that is remembered over so many bars.
    fn recall(&self, sound: &Sound, hand: &Hand, bars: u32) -> Option<Placement> {
        let (placement, bar, stay) = self.last.get(&sound.key)?;
        let fresh = sound.bar.0 <= bar + bars && *stay == hand.stay_at(sound.onset);
        fresh.then_some(*placement)
    }

    /// Whether the pitch of a sound was last played otherwise in the same stay of the
    /// hand, be it remembered or not.
    fn was_other(&self, sound: &Sound, hand: &Hand) -> bool {
        self.last.get(&sound.key).is_some_and(|(placement, _, stay)| {
            *stay == hand.stay_at(sound.onset) && Some(*placement) != sound.placement
        })
    }

    /// Whether a sound is played as its pitch was last, as far as its string goes.
    pub fn knows(&self, sound: &Sound, hand: &Hand) -> bool {
        sound.placement.is_some() && self.recall(sound, hand, Self::STRING_BARS) == sound.placement
    }

    /// Remembers how a sound is played.
    pub fn keep(&mut self, sound: &Sound, hand: &Hand) {
        if let Some(placement) = sound.placement {
            self.last.insert(sound.key, (placement, sound.bar.0, hand.stay_at(sound.onset)));
        }
    }
}

/// The digit of every sound.
pub(crate) fn digits(
    sounds: &[Sound],
    hand: &Hand,
    fingering: &Fingering,
    instrument: &Instrument,
    score: &Score,
    density: Density,
) -> Vec<Option<LeftMark>> {
    let bars = score.bars();
    let mut needed = match density {
        Density::None => vec![false; sounds.len()],
        Density::EveryNote => vec![true; sounds.len()],
        Density::WhereNeeded => where_needed(sounds, hand, fingering, instrument),
    };
    let prepares = match density {
        Density::None => vec![None; sounds.len()],
        density => prepared(sounds, hand, fingering, density),
    };
    for (needed, (sound, prepares)) in needed.iter_mut().zip(sounds.iter().zip(&prepares)) {
        *needed |= prepares.is_some() || sound.second.is_some() && density != Density::None;
    }
    whole_chords(sounds, &mut needed);
    if density == Density::WhereNeeded {
        shapes::broken(sounds, fingering, &mut needed);
        shapes::in_rows(sounds, &mut needed);
    }
    let mut guided = vec![false; sounds.len()];
    for (leaves, arrives) in slides::guides(sounds, hand, fingering) {
        guided[arrives] = density != Density::None;
        if density == Density::WhereNeeded {
            needed[arrives] = true;
            needed[leaves] |= !is_shown(sounds, &needed, leaves);
        }
    }
    if density == Density::WhereNeeded {
        not_open(sounds, instrument, &mut needed);
        known_elsewhere(sounds, hand, instrument, &mut needed);
        one_fret::told(sounds, &score.tones(fingering.part), fingering, &mut needed);
        // A dash, a finger put down beforehand and an arrival are of the way, not of the figure.
        let arrives = |sound: &Sound| sound.is_stopped() && hand.arrivals.contains(&sound.onset);
        let of_way = sounds.iter().zip(guided.iter().zip(&prepares));
        let fixed: Vec<bool> =
            of_way.map(|(it, (guide, put))| *guide || put.is_some() || arrives(it)).collect();
        let knowing = broken::Knowing { instrument, hand, fingering };
        broken::rows(sounds, bars, &knowing, &fixed, &mut needed);
        shapes::gathered(sounds, &fixed, &mut needed);
        whole_chords(sounds, &mut needed);
        like::bars(sounds, bars, &mut needed);
        like::figures(sounds, bars, &fixed, &mut needed);
        both_told(sounds, &mut needed);
        again::told_first(sounds, &fixed, &mut needed);
    }
    whole_chords(sounds, &mut needed);
    for (leaves, arrives) in slides::between_shapes(sounds, bars) {
        guided[arrives] |= needed[leaves] || is_shown(sounds, &needed, leaves);
    }
    sounds
        .iter()
        .zip(needed.iter().zip(guided.iter().zip(&prepares)))
        .map(|(sound, (needed, (guide, prepares)))| {
            let placement = sound.placement.filter(|_| *needed)?;
            Some(LeftMark {
                guide: *guide,
                prepares: *prepares,
                second: sound.second,
                ..LeftMark::plain(placement.finger)
            })
        })
        .collect()
}

fn where_needed(
    sounds: &[Sound],
    hand: &Hand,
    fingering: &Fingering,
    instrument: &Instrument,
) -> Vec<bool> {
    let mut memory = Memory::new();
    let mut met = HashSet::new();
    // What every voice struck last.
    let mut voices = HashMap::new();
    let hops = hops(sounds, fingering);
    sounds
        .iter()
        .zip(hops)
        .enumerate()
        .map(|(at, (sound, hops))| {
            let Some(placement) = sound.placement else { return false };
            let position = hand.position_at(sound.onset);
            let new = is_new(sound, position) && met.insert((sound.key, placement.place));
            let arrival = hand.arrivals.contains(&sound.onset) && sound.is_stopped();
            let away = hand.is_away(sound.onset);
            let recalled = memory.recall(sound, hand, Memory::BARS);
            let told_in_bar = memory.recall(sound, hand, 0).is_some();
            let own = (sound.key, placement);
            let again = voices.insert(sound.voice, own) == Some(own);
            let changed = memory.was_other(sound, hand);
            if !away {
                memory.keep(sound, hand);
            }
            let begins = arrival || hand.is_early(sound.onset);
            if begins || away || hops || new {
                return true;
            }
            let exception = || {
                is_exception(instrument, sound.key, placement, position)
                    || is_under_barre(fingering, sound.onset, placement)
            };
            // A finger that is not that of its fret is told once in each bar of a line.
            let strange = !is_own(placement, position) && is_alone(sounds, at);
            let remembered = recalled.is_some() && (!strange || again || told_in_bar);
            changed || !remembered && exception()
        })
        .collect()
}

/// Whether a stopped sound is one that is new to a reader where he first meets it in a
/// part: altered against the key signature, or, below V, under finger 4 beyond the first
/// position.
fn is_new(sound: &Sound, position: Position) -> bool {
    let beyond = |placement: Placement| {
        placement.finger == Some(LeftFinger::Four)
            && (2..=LAST_FIRST_FRET).contains(&position.get())
            && placement.place.fret.0 > LAST_FIRST_FRET
    };
    sound.is_stopped() && (sound.altered || sound.placement.is_some_and(beyond))
}

/// Adds the digits of stopped sounds that an open string has as well, unless the voice has
/// just had the same.
fn not_open(sounds: &[Sound], instrument: &Instrument, needed: &mut [bool]) {
    for (index, sound) in sounds.iter().enumerate().filter(|(_, sound)| sound.is_stopped()) {
        let before = sounds[..index].iter().rev().find(|before| before.voice == sound.voice);
        let same = before.is_some_and(|it| (it.key, it.placement) == (sound.key, sound.placement));
        let open = instrument.places(sound.key).any(|place| place.fret.is_open());
        needed[index] |= open && !same;
    }
}

/// Adds the digits of sounds that are known from the first position on another string, the
/// first time in each bar.
fn known_elsewhere(sounds: &[Sound], hand: &Hand, instrument: &Instrument, needed: &mut [bool]) {
    for (index, sound) in sounds.iter().enumerate() {
        let Some(placement) = sound.placement else { continue };
        let position = hand.position_at(sound.onset);
        if !is_known_in_i(instrument, sound.key, placement, position) {
            continue;
        }
        let mut bar = sounds[..index].iter().rev().take_while(|before| before.bar == sound.bar);
        let told = bar.any(|it| {
            (it.key, it.voice, it.placement) == (sound.key, sound.voice, sound.placement)
        });
        needed[index] |= !told;
    }
}

/// Adds the digit of what a pitch was in its bar before it is played with another finger: a
/// digit at the second alone does not say what was there first.
fn both_told(sounds: &[Sound], needed: &mut [bool]) {
    for (at, sound) in sounds.iter().enumerate() {
        let bar = sounds[..at].iter().enumerate().rev().take_while(|(_, it)| it.bar == sound.bar);
        let mut before = bar.filter(|(_, it)| it.key == sound.key);
        if let Some((before, _)) = before.next().filter(|(_, it)| it.placement != sound.placement) {
            needed[before] |= needed[at];
        }
    }
}

/// Whether an open string lies in the span of a barre.
fn is_under_barre(fingering: &Fingering, onset: Moment, placement: Placement) -> bool {
    let barre = fingering.barres.partition_point(|span| span.from <= onset).checked_sub(1);
    placement.finger.is_none()
        && barre
            .and_then(|index| fingering.barres.get(index))
            .is_some_and(|span| onset <= span.to && span.barre.covers(placement.place.string))
}

/// Whether a place has the finger that the position gives for its fret.
fn is_own(placement: Placement, position: Position) -> bool {
    placement.finger.is_none_or(|finger| position.offset(finger, placement.place.fret) == 0)
}

/// Whether a reader who knows the position would play a note otherwise, or be
/// in doubt.
fn is_exception(
    instrument: &Instrument,
    key: KeyNumber,
    placement: Placement,
    position: Position,
) -> bool {
    let covered = |fret: u8| (position.get()..position.get() + 4).contains(&fret);
    let open = instrument.places(key).any(|place| place.fret.is_open());
    let stopped = instrument.places(key).any(|place| covered(place.fret.0));
    !is_own(placement, position)
        || open && stopped
        || is_known_in_i(instrument, key, placement, position)
        || assumed(instrument, key, position, Told::Nothing) != Some(placement.place)
}

/// Whether a reader knows the pitch from the first position, on a thinner string, and may
/// go back there: below V, where that place is near.
pub(crate) fn is_known_in_i(
    instrument: &Instrument,
    key: KeyNumber,
    placement: Placement,
    position: Position,
) -> bool {
    let in_i = |place: Place| (1..=4).contains(&place.fret.0);
    (2..=4).contains(&position.get())
        && placement.finger.is_some()
        && !in_i(placement.place)
        && instrument.places(key).any(in_i)
}

/// Where one sound of a chord has its digit, all have.
fn whole_chords(sounds: &[Sound], needed: &mut [bool]) {
    let wanted: Vec<usize> = (0..sounds.len()).filter(|index| needed[*index]).collect();
    for index in wanted {
        let same = |other: &usize| sounds[*other].same_event(&sounds[index]);
        for other in (0..index).rev().take_while(|i| sounds[*i].onset == sounds[index].onset) {
            needed[other] |= same(&other);
        }
        for other in
            (index + 1..sounds.len()).take_while(|i| sounds[*i].onset == sounds[index].onset)
        {
            needed[other] |= same(&other);
        }
    }
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::{LeftFinger, SecondFinger};

    use crate::marks::Density;
    use crate::trial::trial;

    /// One character per note: its digit or `·`, `-` before it for a guide.
    fn shown(text: &str, density: Density) -> String {
        let marks = trial(text).marked(density);
        marks
            .left
            .iter()
            .map(|mark| match mark {
                None => "·".to_owned(),
                Some(mark) => {
                    let dash = if mark.guide { "-" } else { "" };
                    format!("{dash}{}", mark.finger.map_or(0, |finger| finger.digit()))
                }
            })
            .collect()
    }

    fn needed(text: &str) -> String {
        shown(text, Density::WhereNeeded)
    }

    /// A trial in which a note is taken over by a finger.
    fn taken_over(text: &str, tone: usize, finger: u8, density: Density) -> Vec<(usize, String)> {
        let mut trial = trial(text);
        trial.fingering.tones[tone].second = LeftFinger::from_digit(finger)
            .map(|finger| SecondFinger { finger, from: trial.fingering.postures[tone].at });
        let left = trial.marked(density).left;
        let said = |mark: crate::LeftMark| {
            let digit = |finger: Option<LeftFinger>| finger.map_or(0, |finger| finger.digit());
            let second = mark.second.map_or(String::new(), |second| format!("–{second}"));
            format!("{}{second}", digit(mark.finger))
        };
        left.iter().enumerate().filter_map(|(at, mark)| Some((at, said((*mark)?)))).collect()
    }

    /// Finger 3 on ②3 needs no digit by itself, the second time even less.
    #[test]
    fn a_finger_that_takes_over_is_told_each_time_after_the_first_one() {
        let text = "4 @1 2.1.1 2.3.3 1.1.1 1.3.3 | 2.1.1 2.3.3 1.1.1 1.3.3";
        let needed = |tone| taken_over(text, tone, 1, Density::WhereNeeded);
        assert_eq!(needed(1), [(0, "1".to_owned()), (1, "3–1".to_owned())]);
        assert!(needed(5).contains(&(5, "3–1".to_owned())));
        assert!(taken_over(text, 1, 1, Density::EveryNote).contains(&(1, "3–1".to_owned())));
        assert_eq!(taken_over(text, 1, 1, Density::None), []);
    }

    const SCALE: &str = "8 @1 5.3.3 4.0.0 4.2.2 4.3.3 3.0.0 3.2.2 2.0.0 2.1.1";

    #[test]
    fn every_note_has_a_digit_on_a_beginners_page() {
        assert_eq!(shown(SCALE, Density::EveryNote), "30230201");
        assert_eq!(shown(SCALE, Density::None), "········");
    }

    #[test]
    fn a_tied_head_has_no_digit() {
        assert_eq!(shown("4 @1 2.1.1~ 2.1.1 2.3.4 2.1.1", Density::EveryNote), "1·41");
    }

    #[test]
    fn where_needed_a_scale_in_the_first_position_has_its_first_digit_and_the_doubtful_b() {
        assert_eq!(needed(SCALE), "3·····0·");
    }

    /// It could be nothing else; in II, G on ③ could be on ④.
    #[test]
    fn an_open_string_at_the_beginning_has_its_digit_where_it_is_in_doubt() {
        assert_eq!(needed("4 @1 5.0.0 3.2.2 3.0.0 3.2.2"), "·2··");
        assert_eq!(needed("4 @2 3.0.0 3.2.1 3.0.0 3.2.1"), "01··");
    }

    #[test]
    fn a_finger_on_its_own_fret_needs_no_digit_and_another_does() {
        assert_eq!(needed("4 @1 2.1.1 2.3.3 1.1.1 1.3.3"), "1···");
        // Finger 4 on fret 3.
        assert_eq!(needed("4 @1 2.1.1 2.3.4 1.1.1 1.3.4"), "14·4");
    }

    #[test]
    fn a_finger_of_another_fret_is_told_once_in_each_bar() {
        assert_eq!(needed("4 @1 2.1.1 1.3.4 2.1.1 1.3.4 | 2.1.1 2.1.1 1.3.4 2.1.1"), "14····4·");
        // Not where it is played again at once.
        assert_eq!(needed("4 @1 2.1.1 2.1.1 2.1.1 1.3.4 | 1.3.4 2.1.1 2.1.1 1.3.4"), "1··4····");
        let text =
            "4 @1 2.1.1 1.3.4 2.1.1 2.1.1 | 2.1.1 2.1.1 2.1.1 2.1.1 | 1.3.4 2.1.1 2.1.1 2.1.1";
        assert_eq!(needed(text), "14······4···");
    }

    #[test]
    fn a_pitch_played_otherwise_than_before_has_a_digit() {
        assert_eq!(needed("4 @1 2.1.1 1.3.4 1.3.3 1.3.3"), "143·");
    }

    #[test]
    fn the_arrival_in_a_position_and_the_return_have_digits() {
        assert_eq!(
            needed("8 @1 2.1.1 2.3.3 1.3.3 @5 1.5.1 1.7.3 1.8.4 @1 1.1.1 2.3.3"),
            "1·31··1·"
        );
    }

    #[test]
    fn every_note_of_a_momentary_reach_has_its_digit() {
        assert_eq!(needed("8 @2 1.2.1 1.3.2 1.5.4 @5 1.7.3 1.8.4 @2 1.3.2 1.2.1"), "1·4342·");
    }

    #[test]
    fn an_open_string_under_a_barre_has_its_digit() {
        let bar = |barre: &str, end: &str| {
            needed(&format!("8 @1 {barre} 2.1.1+1.1.1 1.0.0 1.1.1 {end} 1.0.0"))
        };
        assert_eq!(bar("[1:1-6", "]"), "110··");
        assert_eq!(bar("", ""), "11···");
        // Open strings beside it have none.
        assert_eq!(bar("[1:2-6", "]"), "11···");
    }

    #[test]
    fn a_stay_has_its_digits_until_its_numeral() {
        // Finger 1 on fret 3 twice, then it is II.
        let text = "8 @2 6.3.1 3.0.0 6.3.1 3.0.0 2.3.2 2.2.1 2.3.2 2.2.1";
        assert_eq!(needed(text), "101021··");
    }

    #[test]
    fn a_note_known_on_another_string_has_its_digit() {
        // C on ③5, known on ②1; the same where the hand is far from there.
        assert_eq!(needed("4 @2 3.2.1 3.4.3 3.5.4 3.4.3"), "1343");
        assert_eq!(needed("4 @5 3.5.1 3.7.3 3.5.1 2.6.2"), "1···");
    }

    /// C on ③ fret 5: at the first in each bar.
    #[test]
    fn a_note_known_on_another_string_has_its_digit_in_every_bar() {
        let shown = needed("4 @2 3.5.4 1.2.1 3.5.4 1.2.1 | 2.3.2 1.2.1 3.5.4 1.2.1");
        assert_eq!(shown, "41····4·");
    }

    #[test]
    fn a_guide_finger_has_a_digit_at_both_ends_and_a_dash_at_the_second() {
        assert_eq!(needed("8 @1 2.1.1 1.0.0 1.3.3 @3 1.5.3 1.3.1 1.8.4"), "1·3-3·4");
        assert_eq!(
            shown("8 @1 2.1.1 1.3.3 @3 1.5.3", Density::EveryNote),
            "13-3",
            "the dash is printed at any density"
        );
    }

    /// Common practice, no source: 4 from fret 3 to 5 on ① and back slides, also in one
    /// position, and in a line a fret, for the next finger would be taken otherwise; a note
    /// between parts them.
    #[test]
    fn a_finger_that_goes_far_along_its_string_is_a_guide_without_a_shift() {
        assert_eq!(needed("8 @1 1.3.4 1.5.4 1.3.4 1.1.1"), "4-4-4·");
        assert_eq!(shown("8 @1 1.3.4 1.4.4", Density::EveryNote), "4-4");
        assert_eq!(shown("8 @1 1.3.4 1.0.0 1.5.4", Density::EveryNote), "404");
        assert_eq!(shown("8 @1 1.3.4 2.5.4", Density::EveryNote), "44");
        // In a shift one finger is the guide.
        let chord = "2 @1 3.2.2+2.3.3 @3 3.4.2+2.5.3";
        assert_eq!(shown(chord, Density::EveryNote).matches('-').count(), 1);
    }

    /// Common practice, no source: from A to D finger 3 stays on ② and goes up a fret.
    #[test]
    fn a_finger_that_stays_on_its_string_leads_from_chord_to_chord() {
        let (a, d) = ("4.2.1+3.2.2+2.2.3", "3.2.1+2.3.3+1.2.2");
        assert_eq!(shown(&format!("2 @1 {a} {d}"), Density::EveryNote), "1231-32");
        // Not one of two, nor in a line.
        let (low, high) = ("4.2.1+3.2.2+2.2.3", "3.3.2+2.3.3+1.2.1");
        assert_eq!(shown(&format!("2 @1 {low} {high}"), Density::EveryNote), "123231");
        assert_eq!(shown("2 @1 2.2.3+1.0.0 2.3.3+1.0.0", Density::EveryNote), "3030");
    }

    #[test]
    fn a_guide_finger_that_has_its_digit_already_is_not_marked_again() {
        assert_eq!(needed("8 @1 1.3.4 1.3.4 @3 1.6.4"), "4·-4");
        assert_eq!(needed("8 @1 1.1.1 1.3.3 1.3.3 @3 1.5.3"), "13·-3");
        // Shown with its chord, not for its own sake.
        let chord = "2.1.1+1.3.4";
        assert_eq!(needed(&format!("8 @1 1.1.1 {chord} {chord} @3 2.3.1")), "114··-1");
    }

    #[test]
    fn a_chord_has_all_its_digits_or_none() {
        // C, F and G in I with every finger on its own fret but 4 on ① fret 3.
        assert_eq!(
            needed("2 @1 5.3.3+4.2.2+2.1.1 4.0.0+3.2.2+1.1.1 | 6.3.3+4.0.0+1.3.4 2.1.1"),
            "321021304·"
        );
    }

    #[test]
    fn a_repeated_chord_is_not_marked_again() {
        assert_eq!(needed("2 @1 4.2.2+3.2.3+2.1.1 4.2.2+3.2.3+2.1.1"), "231···");
    }

    #[test]
    fn what_is_met_for_the_first_time_has_its_digit() {
        // G sharp, and A on ① fret 5.
        let bars = "2.1.1 3.1.1 3.2.2 3.1.1 | 3.0.0 3.2.2 3.0.0 3.2.2 | 3.1.1 3.2.2 3.1.1 3.2.2";
        assert_eq!(needed(&format!("4 @1 {bars}")), "11··········");
        assert_eq!(needed("4 @2 1.3.2 1.5.4 1.3.2 1.5.4"), "24··");
    }

    /// D on ⑤, of which there is an open string.
    #[test]
    fn a_stopped_note_that_could_be_open_has_its_digit_every_time() {
        assert_eq!(needed("8 @2 5.5.4 5.5.4 5.3.2 5.5.4 5.3.2 5.5.4"), "4··4·4");
    }

    #[test]
    fn a_note_that_two_voices_share_is_marked_once() {
        let trial = trial("4 @1 2.1.1 2.3.3 / 2 2.1.1");
        let marks = trial.marked(Density::EveryNote);
        assert_eq!(marks.left.iter().filter(|mark| mark.is_some()).count(), 2);
        assert!(marks.left[0].is_some(), "at the upper voice");
    }
}
