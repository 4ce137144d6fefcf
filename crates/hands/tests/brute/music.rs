//! The scores of the puzzles.

use std::collections::BTreeSet;

use apoyando_fretboard::{Fret, Instrument, Place};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, EventMark, Grace, Heading, Metre,
    NoteValue, Pitch, Step,
};

use crate::bars::grid;
use crate::dice::Dice;

/// What is in the air of a puzzle.
struct Mood {
    /// Lengths of the first voice, shorter ones first.
    fast: u64,
    /// Whether notes go by step.
    by_step: bool,
    slurs: bool,
    harmonics: bool,
    ornaments: bool,
    /// Classes to draw from now and then, so that figures come up.
    chord: Option<Vec<i16>>,
    /// Keys to draw from in the first voice and in the others.
    pool: Option<[Vec<i16>; 2]>,
    voices: usize,
    onsets: usize,
}

/// Up to four short bars, up to three voices.
pub fn draft(dice: &mut Dice, instrument: &Instrument, onsets: usize) -> Draft {
    let (metre, bars) = match dice.below(6) {
        0 => (Metre::new(2, 4), 1),
        1 | 2 => (Metre::new(2, 4), 2),
        3 => (Metre::new(3, 8), 1 + dice.below(3) as usize),
        _ => (Metre::new(1, 4), 2 + dice.below(3) as usize),
    };
    let grid = grid(dice, metre, bars);
    let root = dice.below(12) as i16;
    let chord: Vec<i16> = [0, 4, 7].iter().map(|i| (root + i) % 12).collect();
    let mood = Mood {
        fast: dice.below(3),
        by_step: dice.one_in(3),
        slurs: dice.one_in(2),
        harmonics: dice.one_in(4),
        ornaments: dice.one_in(4),
        chord: dice.one_in(2).then_some(chord),
        pool: pool(dice, instrument),
        voices: 1 + dice.below(3) as usize,
        onsets,
    };
    let sixteenths =
        |bar: &DraftBar| (bar.length.unwrap_or(metre.bar()).whole_notes() * 16.0) as u64;
    let lengths: Vec<u64> = grid.iter().map(sixteenths).collect();
    let mut writer = Writer {
        dice,
        instrument,
        mood,
        lengths,
        onsets: BTreeSet::new(),
        first_voice: Vec::new(),
    };
    let mut part = DraftPart::guitar(String::new());
    for voice in 0..writer.mood.voices {
        part.voices.push(writer.voice(voice));
    }
    Draft { heading: Heading::default(), bars: grid, parts: vec![part] }
}

/// Writes the notes of some bars into later ones, if there are several.
pub fn repeat_bars(dice: &mut Dice, draft: &mut Draft) {
    let bars = draft.bars.len();
    let apart = if bars > 3 && dice.one_in(4) { 1 } else { 2 };
    for bar in apart..bars {
        let from = bar % apart;
        if from > 0 && dice.one_in(2) || draft.bars[from].length != draft.bars[bar].length {
            continue;
        }
        for voice in &mut draft.parts[0].voices {
            voice[bar] = voice[from].clone();
        }
    }
}

/// The keys of the open strings, the first string first.
pub fn open_keys(instrument: &Instrument) -> Vec<i16> {
    let open = |string| instrument.sound(Place { string, fret: Fret(0) });
    instrument.tuning.strings().filter_map(open).map(|key| key.0).collect()
}

/// Frets above the capo.
fn frets(instrument: &Instrument) -> i16 {
    i16::from(instrument.frets.0 - instrument.capo.0)
}

/// Now and then what lies under a barre with the open strings, a barre beside which
/// one string is open and not by turns, or what is too high for one position.
fn pool(dice: &mut Dice, instrument: &Instrument) -> Option<[Vec<i16>; 2]> {
    let open = open_keys(instrument);
    match dice.below(10) {
        0..=2 => {
            let fret = 1 + dice.below(3) as i16;
            let mut keys: Vec<i16> = open.iter().map(|key| key + fret).collect();
            let others = dice.below(4) as usize;
            keys.extend(open.iter().take(others));
            let above = (0..dice.below(3)).map(|_| fret + 1 + dice.below(2) as i16);
            let above: Vec<i16> = above.collect();
            keys.extend(
                above.iter().map(|above| open[dice.below(open.len() as u64) as usize] + above),
            );
            Some([keys.clone(), keys])
        }
        4 => {
            let fret = 1 + dice.below(2) as i16;
            let turning = if dice.one_in(3) { open.len() - 1 } else { 0 };
            let turns = vec![open[turning], open[turning] + fret];
            let beside = if turning == 0 { &open[1..3] } else { &open[open.len() - 3..turning] };
            Some([turns, beside.iter().map(|key| key + fret).collect()])
        }
        3 => {
            let high: Vec<i16> = (1..=frets(instrument)).map(|fret| open[0] + fret).collect();
            Some([high.clone(), high])
        }
        _ => None,
    }
}

struct Writer<'a> {
    dice: &'a mut Dice,
    instrument: &'a Instrument,
    mood: Mood,
    /// Of the bars, in sixteenths.
    lengths: Vec<u64>,
    onsets: BTreeSet<(usize, u64)>,
    /// Where the first voice strikes what.
    first_voice: Vec<((usize, u64), Pitch)>,
}

/// A slur or glissando begun, and how many events it still takes.
#[derive(Clone, Copy)]
struct Under {
    glides: bool,
    left: u64,
}

impl Writer<'_> {
    fn one_in(&mut self, chances: u64) -> bool {
        self.dice.one_in(chances)
    }

    fn voice(&mut self, voice: usize) -> Vec<Vec<DraftEvent>> {
        let mut written = Vec::new();
        let mut tied: Vec<DraftNote> = Vec::new();
        let mut under: Option<Under> = None;
        let mut last_key: Option<i16> = None;
        for bar in 0..self.lengths.len() {
            let mut events = Vec::new();
            let mut at = 0;
            while at < self.lengths[bar] {
                let length = self.length(voice, at, self.lengths[bar]);
                let mut event = DraftEvent::rest(value(length));
                let here = (bar, at);
                let last = bar + 1 == self.lengths.len() && at + length == self.lengths[bar];
                at += length;
                let held = std::mem::take(&mut tied);
                let room = self.mood.onsets.saturating_sub(self.mood.voices - 1 - voice);
                let crowded = self.onsets.len() >= room && !self.onsets.contains(&here);
                let rests = self.dice.below(6) == 0 && under.is_none();
                if held.is_empty() && (crowded || rests) {
                    if self.one_in(12) {
                        event.marks.push(EventMark::Fermata);
                    }
                    events.push(event);
                    continue;
                }
                if held.is_empty() {
                    self.onsets.insert(here);
                    self.notes(voice, here, (under.is_some(), last_key), &mut event);
                } else {
                    event.notes = held.into_iter().map(|n| DraftNote::new(n.pitch)).collect();
                }
                last_key = event.notes.first().map(|note| note.pitch.key_number().0);
                under = self.slur(under, &mut event);
                if self.one_in(12) {
                    event.marks.push(EventMark::Fermata);
                }
                if !last && self.one_in(7) {
                    for note in &mut event.notes {
                        note.tied = true;
                    }
                    tied.clone_from(&event.notes);
                }
                events.push(event);
            }
            written.push(events);
        }
        written
    }

    fn length(&mut self, voice: usize, at: u64, bar: u64) -> u64 {
        let choice = if voice == 0 { 2 + self.mood.fast } else { 4 };
        let mut length = [2, 4, 1, 8][self.dice.below(choice.min(4)) as usize];
        if voice == 0 && self.mood.fast == 2 && self.one_in(2) {
            length = 1;
        }
        if voice > 0 && self.one_in(2) {
            length = 8;
        }
        while !at.is_multiple_of(length.min(4)) || at + length > bar {
            length /= 2;
        }
        length
    }

    /// The notes of an event, with its harmonics and ornaments.
    fn notes(
        &mut self,
        voice: usize,
        here: (usize, u64),
        (slurred, last): (bool, Option<i16>),
        event: &mut DraftEvent,
    ) {
        if voice > 0 && self.one_in(4) {
            // Stemmed both ways.
            let other = self.first_voice.iter().find(|(at, _)| *at == here).map(|(_, p)| *p);
            event.notes.extend(other.map(DraftNote::new));
        }
        if self.mood.harmonics && event.notes.is_empty() && self.one_in(3) {
            self.harmonic(event);
        }
        if event.notes.is_empty() {
            let mut count = 1;
            if !slurred {
                let chords = if self.mood.pool.is_some() { 2 } else { 4 };
                count += u64::from(self.mood.voices < 3 && self.one_in(chords));
                count += u64::from(self.mood.voices == 1 && self.one_in(chords + 2));
            }
            let near = last.filter(|_| slurred || self.mood.by_step);
            while (event.notes.len() as u64) < count {
                let pitch = self.pitch(voice, near.filter(|_| event.notes.is_empty()));
                if event.notes.iter().all(|note| note.pitch != pitch) {
                    event.notes.push(DraftNote::new(pitch));
                }
            }
            if count > 1 && self.one_in(16) {
                // The same key on two strings.
                let pitch = event.notes[0].pitch;
                let other = spelled(pitch.key_number().0, true);
                event.notes[1] = DraftNote::new(other);
            }
            if self.mood.ornaments && self.one_in(3) {
                self.ornament(event);
            }
        }
        if voice == 0 {
            self.first_voice.push((here, event.notes[0].pitch));
        }
    }

    fn harmonic(&mut self, event: &mut DraftEvent) {
        let natural = self.one_in(2);
        event.marks.push(if natural {
            EventMark::NaturalHarmonic
        } else {
            EventMark::ArtificialHarmonic
        });
        let strings: Vec<_> = self.instrument.tuning.strings().collect();
        let string = strings[self.dice.below(strings.len() as u64) as usize];
        let open = self.instrument.sound(Place { string, fret: Fret(0) }).unwrap().0;
        let above = if natural {
            let all: &[i16] = match frets(self.instrument) {
                12.. => &[12, 19, 24, 28],
                7.. => &[19, 24, 28],
                5.. => &[24, 28],
                _ => &[28],
            };
            all[self.dice.below(all.len() as u64) as usize]
        } else {
            13 + self.dice.below(5) as i16
        };
        event.notes.push(DraftNote::new(spelled(open + above, false)));
    }

    fn ornament(&mut self, event: &mut DraftEvent) {
        if self.one_in(3) {
            let key = event.notes[0].pitch.key_number().0;
            for _ in 0..=self.dice.below(2) {
                let pitch = spelled(key + self.dice.below(11) as i16 - 5, false);
                event.graces.push(Grace { pitch, slashed: false });
            }
            return;
        }
        event.marks.push(
            [
                EventMark::Trill,
                EventMark::Mordent,
                EventMark::InvertedMordent,
                EventMark::Turn,
                EventMark::InvertedTurn,
            ][self.dice.below(5) as usize],
        );
    }

    /// Begins, goes on with or ends a slur or a glissando at an event.
    fn slur(&mut self, under: Option<Under>, event: &mut DraftEvent) -> Option<Under> {
        let ends = |glides: bool| if glides { EventMark::GlideEnd } else { EventMark::SlurEnd };
        let under = match under {
            Some(Under { glides, left: 0 | 1 }) => {
                event.marks.push(ends(glides));
                None
            }
            Some(under) => Some(Under { left: under.left - 1, ..under }),
            None => None,
        };
        if under.is_some() || !self.mood.slurs || !self.one_in(2) {
            return under;
        }
        let glides = self.one_in(3);
        event.marks.push(if glides {
            EventMark::GlideStart
        } else {
            EventMark::SlurStart { technical: !self.one_in(8) }
        });
        Some(Under { glides, left: 1 + self.dice.below(2) })
    }

    /// Mostly on the instrument, now and then just off it; lower voices mostly
    /// below the first.
    fn pitch(&mut self, voice: usize, near: Option<i16>) -> Pitch {
        let open = open_keys(self.instrument);
        let (low, high) = (open[open.len() - 1], open[0] + frets(self.instrument).min(7));
        let middle = (low + high) / 2;
        if self.one_in(120) {
            return spelled(low - 1, false);
        }
        for _ in 0..100 {
            let key = match (near, &self.mood.pool) {
                (Some(near), _) => near + self.dice.below(9) as i16 - 4,
                (None, Some(pools)) => {
                    let pool = &pools[voice.min(1)];
                    pool[self.dice.below(pool.len() as u64) as usize]
                }
                (None, None) => low + self.dice.below((high - low) as u64 + 1) as i16,
            };
            let fits = self.mood.chord.as_ref().is_none_or(|c| c.contains(&key.rem_euclid(12)));
            let fits = fits || near.is_some() || self.mood.pool.is_some() || self.one_in(12);
            let free = self.mood.voices == 1 || self.mood.pool.is_some() || self.one_in(4);
            let apart = free || (voice == 0) == (key > middle);
            let most =
                if self.mood.pool.is_some() { open[0] + frets(self.instrument) } else { high };
            if fits && apart && (low..=most).contains(&key) && Some(key) != near {
                return spelled(key, false);
            }
        }
        spelled(low + self.dice.below(12) as i16, false)
    }
}

pub fn value(sixteenths: u64) -> NoteValue {
    NoteValue::plain(match sixteenths {
        1 => Base::N16,
        2 => Base::Eighth,
        4 => Base::Quarter,
        _ => Base::Half,
    })
}

/// A key as it is usually written, or as the letter below it, raised.
pub fn spelled(key: i16, otherwise: bool) -> Pitch {
    use Step::{A, B, C, D, E, F, G};
    const USUAL: [(Step, i32); 12] = [
        (C, 0),
        (C, 1),
        (D, 0),
        (E, -1),
        (E, 0),
        (F, 0),
        (F, 1),
        (G, 0),
        (A, -1),
        (A, 0),
        (B, -1),
        (B, 0),
    ];
    const OTHER: [(Step, i32); 12] = [
        (B, 1),
        (D, -1),
        (C, 2),
        (D, 1),
        (F, -1),
        (E, 1),
        (G, -1),
        (F, 2),
        (G, 1),
        (G, 2),
        (A, 1),
        (C, -1),
    ];
    let class = key.rem_euclid(12) as usize;
    let (step, alter) = if otherwise { OTHER[class] } else { USUAL[class] };
    // B raised to C is of the octave below, C lowered to B of that above.
    let natural = key - alter as i16;
    Pitch::of(step, alter, (natural.div_euclid(12) - 1) as i8)
}
