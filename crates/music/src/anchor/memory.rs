//! What is remembered of a score: a digest of every bar.

use std::hash::Hasher;

use siphasher::sip::SipHasher13;

use crate::interval::Interval;
use crate::pitch::Pitch;
use crate::rhythm::Duration;
use crate::score::{Bar, Event, EventMark, Part, Score};

/// A hash that is the same on every machine and in every version of the
/// program, because it is written down.
#[derive(Default)]
pub(super) struct Digest(SipHasher13);

impl Digest {
    pub(super) fn number(&mut self, number: i64) {
        self.0.write(&number.to_le_bytes());
    }

    pub(super) fn duration(&mut self, duration: Duration) {
        self.number(*duration.ratio().numer());
        self.number(*duration.ratio().denom());
    }

    pub(super) fn interval(&mut self, interval: Interval) {
        self.number(i64::from(interval.steps));
        self.number(i64::from(interval.semitones));
    }

    fn pitch(&mut self, pitch: Pitch) {
        self.number(i64::from(pitch.staff_step()));
        self.number(i64::from(pitch.key_number().0));
    }

    /// Grace notes and the marks that change what is played. Nothing is written
    /// for an event without any, so that what was remembered before there were
    /// such holds on; no other number of an event or a voice is negative.
    pub(super) fn extras(&mut self, event: &Event, mut pitch: impl FnMut(&mut Self, Pitch)) {
        const GRACES: i64 = -1;
        for grace in &event.graces {
            self.number(GRACES);
            self.number(i64::from(grace.slashed));
            pitch(self, grace.pitch);
        }
        let mut marks: Vec<i64> = event.marks.iter().filter_map(number_of).collect();
        marks.sort_unstable();
        marks.into_iter().for_each(|mark| self.number(mark));
    }

    pub(super) fn finish(&self) -> u64 {
        self.0.finish()
    }
}

/// The number a mark is remembered by, never to be given to another; `None` for
/// marks of which nothing is remembered.
const fn number_of(mark: &EventMark) -> Option<i64> {
    match mark {
        EventMark::SlurStart { .. }
        | EventMark::SlurEnd
        | EventMark::Fermata
        | EventMark::Staccato
        | EventMark::Tenuto
        | EventMark::Accent
        | EventMark::Arpeggio(_)
        | EventMark::Strum(_)
        | EventMark::Together
        | EventMark::Breath
        | EventMark::Caesura
        | EventMark::WavyLine
        | EventMark::LetRing => None,
        EventMark::GlideStart => Some(-2),
        EventMark::GlideEnd => Some(-3),
        EventMark::NaturalHarmonic => Some(-4),
        EventMark::ArtificialHarmonic => Some(-5),
        EventMark::Trill => Some(-6),
        EventMark::Mordent => Some(-7),
        EventMark::InvertedMordent => Some(-8),
        EventMark::Turn => Some(-9),
        EventMark::InvertedTurn => Some(-10),
    }
}

/// What is remembered of a bar of one part.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct BarDigest {
    /// Digest of rhythm, pitches, grace notes, harmonics, glissandi and
    /// ornaments.
    pub exact: u64,
    /// The same in every transposition.
    pub shape: u64,
    /// Its first note, by which a transposition is told; `None` in a silent
    /// bar.
    pub reference: Option<Pitch>,
    /// How many notes it has.
    pub notes: u32,
}

/// Digests of all bars of a score, part by part.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Memory {
    /// Per part, per bar.
    pub parts: Vec<Vec<BarDigest>>,
}

impl Memory {
    /// What is to be remembered of a score.
    pub fn of(score: &Score) -> Self {
        let parts = score.parts().iter().map(|part| {
            score
                .bars()
                .iter()
                .enumerate()
                .map(|(index, bar)| digest(score, part, index, bar))
                .collect()
        });
        Self { parts: parts.collect() }
    }
}

fn digest(score: &Score, part: &Part, index: usize, bar: &Bar) -> BarDigest {
    let mut exact = Digest::default();
    let mut shape = Digest::default();
    let mut reference = None;
    let mut notes = 0;
    for digest in [&mut exact, &mut shape] {
        digest.duration(bar.length);
    }
    for voice in &part.voices {
        for event in voice.bars[index].iter().filter(|event| !event.is_rest()) {
            for digest in [&mut exact, &mut shape] {
                digest.number(i64::from(voice.number.0));
                digest.duration(event.onset - bar.start);
                digest.duration(event.duration);
                digest.number(event.notes().len() as i64);
            }
            for id in event.notes() {
                let pitch = score.note(*id).pitch;
                let first = *reference.get_or_insert(pitch);
                exact.pitch(pitch);
                shape.interval(Interval::between(first, pitch));
                notes += 1;
            }
            exact.extras(event, Digest::pitch);
            shape.extras(event, |digest, pitch| {
                digest.interval(Interval::between(*reference.get_or_insert(pitch), pitch));
            });
        }
    }
    BarDigest { exact: exact.finish(), shape: shape.finish(), reference, notes }
}
