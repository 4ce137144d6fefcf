//! What is remembered of a score: a digest of every bar.

use std::hash::Hasher;

use siphasher::sip::SipHasher13;

use crate::interval::Interval;
use crate::pitch::Pitch;
use crate::rhythm::Duration;
use crate::score::{Bar, Part, Score};

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

    pub(super) fn finish(&self) -> u64 {
        self.0.finish()
    }
}

/// What is remembered of a bar of one part.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct BarDigest {
    /// Digest of rhythm and pitches.
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
        }
    }
    BarDigest { exact: exact.finish(), shape: shape.finish(), reference, notes }
}
