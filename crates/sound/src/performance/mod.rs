//! What is struck when, on which string and fret, how strongly and until when.

mod loudness;
mod ornaments;
mod pace;
#[cfg(test)]
mod tests;

use apoyando_fingering::{Fingering, RightFinger, Stroke};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{
    EventMark, KeyNumber, Moment, NoteId, Part, PartIndex, PlayOrderError, Score, Sweep, Tone,
    VoiceNumber, play_order,
};
use rustc_hash::FxHashMap;

pub use pace::{BarSpan, Pace, Stretch};

use crate::units::{Decibels, Seconds};

/// How a string is set going.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Touch {
    /// The right hand plucks it.
    Plucked {
        /// With this finger; where it is not known, with a finger.
        finger: Option<RightFinger>,
        /// And so.
        stroke: Stroke,
    },
    /// The left hand makes it sound.
    Joined,
}

/// One sound as it is played.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Strike {
    /// The part.
    pub part: PartIndex,
    /// The voice.
    pub voice: VoiceNumber,
    /// The head it is played for.
    pub note: NoteId,
    /// Which of the played bars it is in.
    pub bar: usize,
    /// What sounds.
    pub key: KeyNumber,
    /// The string and the fret that is stopped, counted from the capo.
    pub place: Place,
    /// Which partial sounds lowest: 1, or that of a harmonic.
    pub partial: u8,
    /// How it is set going.
    pub touch: Touch,
    /// How strongly, against *mf*.
    pub strength: Decibels,
    /// When.
    pub at: Seconds,
    /// When the string is stopped from sounding.
    pub until: Seconds,
}

/// A score as it is played.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Performance {
    /// Everything struck, in the order of time.
    pub strikes: Vec<Strike>,
    /// When the bars are played.
    pub pace: Pace,
}

/// From one string of a spread chord to the next. House.
const SPREAD: f64 = 0.045;
/// From one string to the next at a stroke across them. House.
const STRUM: f64 = 0.012;
/// How long a chord takes at most. House.
const SPREAD_MOST: f64 = 0.22;
/// What is left of a note under a dot.
const STACCATO: f64 = 0.5;
/// What is left of a note before a breath.
const BREATH: f64 = 0.75;
/// A string is quiet so long before it is struck again.
const BEFORE_AGAIN: f64 = 0.004;

/// Plays a score. A part without fingering is played on the lowest frets; what its fingering
/// leaves out, or no string has, is silent.
///
/// # Errors
/// If repeats and jumps cannot be unfolded.
pub fn perform(
    score: &Score,
    fingerings: &[Option<&Fingering>],
    instrument: &Instrument,
) -> Result<Performance, PlayOrderError> {
    let order = play_order(score)?;
    let pace = Pace::of(score, &order);
    let mut strikes = Vec::new();
    for (index, part) in score.part_indices().zip(score.parts()) {
        let player = Player {
            score,
            part,
            index,
            fingering: fingerings.get(usize::from(index.0)).copied().flatten(),
            instrument,
            pace: &pace,
        };
        player.play(&mut strikes);
    }
    strikes.sort_by(|a, b| a.at.0.total_cmp(&b.at.0).then(a.key.cmp(&b.key)));
    free_strings(&mut strikes);
    Ok(Performance { strikes, pace })
}

impl Performance {
    /// The same at so many times its tempo; how it sounds stays.
    #[must_use]
    pub fn paced(mut self, share: f64) -> Self {
        let share = if share > 0.0 { share } else { 1.0 };
        for strike in &mut self.strikes {
            strike.at = Seconds(strike.at.0 / share);
            strike.until = Seconds(strike.until.0 / share);
        }
        self.pace = self.pace.paced(share);
        self
    }
}

/// A string that is struck again has stopped before that.
fn free_strings(strikes: &mut [Strike]) {
    let mut last: FxHashMap<(PartIndex, StringNumber), usize> = FxHashMap::default();
    for at in 0..strikes.len() {
        let here = strikes[at];
        if let Some(before) = last.insert((here.part, here.place.string), at) {
            let before = &mut strikes[before];
            let latest = (here.at.0 - BEFORE_AGAIN).max(before.at.0);
            before.until = Seconds(before.until.0.min(latest));
        }
    }
}

/// One part and all that is known of how it is played.
struct Player<'a> {
    score: &'a Score,
    part: &'a Part,
    index: PartIndex,
    fingering: Option<&'a Fingering>,
    instrument: &'a Instrument,
    pace: &'a Pace,
}

impl Player<'_> {
    fn play(&self, strikes: &mut Vec<Strike>) {
        let tones = self.score.tones(self.index);
        let mut by_bar: Vec<Vec<(&Tone, NoteId)>> = vec![Vec::new(); self.score.bars().len()];
        for tone in tones.as_slice() {
            for note in &tone.notes {
                by_bar[self.score.note(*note).bar.0 as usize].push((tone, *note));
            }
        }
        for (at, span) in self.pace.bars().iter().enumerate() {
            let follows = at > 0 && self.pace.bars()[at - 1].bar.0 + 1 == span.bar.0;
            for (tone, note) in &by_bar[span.bar.0 as usize] {
                let own = self.score.note(*note);
                // Tied to, it goes on; but after a jump nothing sounds that could.
                let jumped = own.onset == self.score.bar(span.bar).start && !follows;
                if own.tied_from.is_none() || jumped {
                    self.strike(at, tone, *note, strikes);
                }
            }
        }
    }

    /// Adds what is heard of a tone that begins with a note.
    fn strike(&self, bar: usize, tone: &Tone, note: NoteId, strikes: &mut Vec<Strike>) {
        let own = self.score.note(note);
        let event = self.score.event_of(own);
        let played = self.fingering.map(|fingering| *fingering.tone(tone.id));
        let key = tone.pitch.key_number();
        let place = match played {
            Some(played) => played.left.map(|placement| placement.place),
            None => self.instrument.places(key).min_by_key(|place| place.fret),
        };
        let Some(place) = place else { return };
        let until = played.map_or(tone.end, |played| played.sounds_until);
        let at = self.pace.seconds(self.pace.played_until(bar, self.score, own.onset));
        let mut until =
            self.pace.seconds(self.pace.played_until(bar, self.score, until.max(own.onset)));
        let has = |mark: EventMark| event.marks.contains(&mark);
        let kept = match () {
            () if has(EventMark::Staccato) => STACCATO,
            () if has(EventMark::Breath) => BREATH,
            () => 1.0,
        };
        until = Seconds(at.0 + (until.0 - at.0) * kept);
        let joined = played.is_some_and(|played| played.joined) && own.tied_from.is_none();
        let touch = if joined {
            Touch::Joined
        } else {
            Touch::Plucked {
                finger: played.and_then(|played| played.right),
                stroke: played.and_then(|played| played.stroke).unwrap_or(Stroke::Free),
            }
        };
        let partial = self.partial(place, key, &event.marks);
        let strike = Strike {
            part: self.index,
            voice: own.voice,
            note,
            bar,
            key,
            place: Place { fret: if partial.1 { Fret::OPEN } else { place.fret }, ..place },
            partial: partial.0,
            touch,
            strength: self.strength(own.onset, &event.marks, touch),
            at: Seconds(at.0 + self.spread(event.notes(), note, &event.marks)),
            until,
        };
        ornaments::played(self, &strike, event, strikes);
    }

    /// Which partial sounds lowest, and whether its string is only touched.
    fn partial(&self, place: Place, key: KeyNumber, marks: &[EventMark]) -> (u8, bool) {
        let natural = marks.contains(&EventMark::NaturalHarmonic);
        let artificial = marks.contains(&EventMark::ArtificialHarmonic);
        if !natural && !artificial {
            return (1, false);
        }
        let stopped = Place { fret: if natural { Fret::OPEN } else { place.fret }, ..place };
        let sounds = self.instrument.sound(stopped).map_or(key.0, |sound| sound.0);
        let ratio = (f64::from(key.0 - sounds) / 12.0).exp2().round();
        (ratio.clamp(1.0, 16.0) as u8, natural)
    }

    fn strength(&self, onset: Moment, marks: &[EventMark], touch: Touch) -> Decibels {
        let thumb = matches!(touch, Touch::Plucked { finger: Some(RightFinger::P), .. });
        let bar = self.score.bar_at(onset).map(|bar| self.score.bar(bar));
        let first = bar.is_some_and(|bar| bar.start == onset);
        let mut strength = loudness::at(self.part, onset) + loudness::of_marks(marks);
        for (is, more) in [
            (thumb, loudness::BASS),
            (first, loudness::FIRST_BEAT),
            (touch == Touch::Joined, loudness::JOINED),
        ] {
            strength = if is { strength + more } else { strength };
        }
        strength
    }

    /// How much later than its chord a note of it is struck.
    fn spread(&self, chord: &[NoteId], note: NoteId, marks: &[EventMark]) -> f64 {
        let (step, sweep) = match marks.iter().find_map(|mark| match mark {
            EventMark::Arpeggio(sweep) => Some((SPREAD, sweep.unwrap_or(Sweep::ToTreble))),
            EventMark::Strum(sweep) => Some((STRUM, *sweep)),
            _ => None,
        }) {
            Some(found) => found,
            None => return 0.0,
        };
        let step = step.min(SPREAD_MOST / (chord.len() as f64).max(1.0));
        let rank = chord.iter().position(|other| *other == note).unwrap_or(0);
        let rank = match sweep {
            Sweep::ToTreble => rank,
            Sweep::ToBass => chord.len().saturating_sub(1) - rank,
        };
        rank as f64 * step
    }
}
