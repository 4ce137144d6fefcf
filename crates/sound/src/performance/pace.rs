//! When things are played: the played bars one after another, in seconds.

use std::collections::BTreeMap;

use apoyando_music::{Bar, BarIndex, Duration, EventMark, Moment, PlayedBar, Score};

use crate::units::Seconds;

/// Quarters a minute where the score names no tempo; as the fingering has it
/// (`docs/model.md`, section 1).
const USUAL_QUARTERS: f64 = 72.0;

/// By how much an event under a fermata is longer than written. House; common practice
/// says half as much again to twice.
const FERMATA: f64 = 1.75;

/// How long the music halts at a caesura. House.
const CAESURA: Seconds = Seconds(0.6);

/// A bar as it is played.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct BarSpan {
    /// The bar.
    pub bar: BarIndex,
    /// The pass through its section, from 1.
    pub pass: u8,
    /// How much has been played before it, in whole notes.
    pub played: Duration,
    /// When it begins.
    pub from: Seconds,
    /// When it is over.
    pub to: Seconds,
}

/// A stretch of played time in one tempo.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stretch {
    /// How much has been played before it.
    pub played: Duration,
    /// When it begins.
    pub at: Seconds,
    /// What a whole note lasts.
    pub whole: Seconds,
}

/// The pace of a performance.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Pace {
    bars: Vec<BarSpan>,
    stretches: Vec<Stretch>,
}

impl Pace {
    /// The pace of a score whose bars are played in this order.
    pub fn of(score: &Score, order: &[PlayedBar]) -> Self {
        let halts = halts(score);
        let mut pace = Self::default();
        let (mut played, mut now) = (Duration::ZERO, Seconds(0.0));
        for PlayedBar { bar: index, pass } in order {
            let bar = score.bar(*index);
            let whole = whole_note(score, *index);
            let (from, begin) = (now, played);
            let mut at = bar.start;
            let mut within: Vec<(Moment, Moment, Halt)> = halts
                .iter()
                .filter(|(until, (since, _))| **until > bar.start && *since < bar.end_moment())
                .map(|(until, (since, halt))| (*since, *until, *halt))
                .collect();
            within.sort_by_key(|(since, ..)| *since);
            for (since, until, halt) in within {
                let (since, until) = (since.max(at), until.min(bar.end_moment()));
                if since >= until {
                    continue;
                }
                for (to, whole) in [(since, whole), (until, halt.whole(whole, until - since))] {
                    pace.stretches.push(Stretch { played, at: now, whole });
                    played += to - at;
                    now = Seconds(now.0 + (to - at).whole_notes() * whole.0);
                    at = to;
                }
            }
            let rest = bar.end_moment() - at;
            pace.stretches.push(Stretch { played, at: now, whole });
            now = Seconds(now.0 + rest.whole_notes() * whole.0);
            played = begin;
            played += bar.length;
            pace.bars.push(BarSpan { bar: *index, pass: *pass, played: begin, from, to: now });
        }
        pace.stretches.dedup_by(|next, last| {
            // Nothing lies between them, or the tempo goes on.
            if next.played == last.played {
                *last = *next;
                return true;
            }
            next.whole == last.whole
        });
        pace
    }

    /// The bars as they are played.
    pub fn bars(&self) -> &[BarSpan] {
        &self.bars
    }

    /// The tempos, one after another.
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    /// The same at so many times its tempo.
    pub(super) fn paced(mut self, share: f64) -> Self {
        let slower = |at: &mut Seconds| *at = Seconds(at.0 / share);
        for bar in &mut self.bars {
            slower(&mut bar.from);
            slower(&mut bar.to);
        }
        for stretch in &mut self.stretches {
            slower(&mut stretch.at);
            slower(&mut stretch.whole);
        }
        self
    }

    /// When so much has been played; beyond the end the last tempo goes on.
    pub fn seconds(&self, played: Duration) -> Seconds {
        let after = self.stretches.partition_point(|stretch| stretch.played <= played);
        let Some(stretch) = self.stretches.get(after.saturating_sub(1)) else {
            return Seconds(0.0);
        };
        Seconds(
            stretch.at.0 + (played.whole_notes() - stretch.played.whole_notes()) * stretch.whole.0,
        )
    }

    /// How many whole notes have been played by then; before the beginning they are negative.
    pub fn whole_notes(&self, at: Seconds) -> f64 {
        let after = self.stretches.partition_point(|stretch| stretch.at <= at);
        let Some(stretch) = self.stretches.get(after.saturating_sub(1)) else { return 0.0 };
        stretch.played.whole_notes() + (at.0 - stretch.at.0) / stretch.whole.0
    }

    /// When the last bar is over.
    pub fn end(&self) -> Seconds {
        self.bars.last().map_or(Seconds(0.0), |bar| bar.to)
    }

    /// How much has been played at a moment of the score that is reached from a played bar on:
    /// after a jump away from it the rest is counted on, as what sounds rings on.
    pub fn played_until(&self, from: usize, score: &Score, moment: Moment) -> Duration {
        let mut at = from;
        loop {
            let span = self.bars[at];
            let bar = score.bar(span.bar);
            let next = self.bars.get(at + 1).filter(|next| next.bar.0 == span.bar.0 + 1);
            if moment <= bar.end_moment() || next.is_none() {
                let mut played = span.played;
                played += moment - bar.start;
                return played;
            }
            at += 1;
        }
    }
}

/// Why an event takes longer than written.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Halt {
    Fermata,
    Caesura,
}

impl Halt {
    /// What a whole note lasts in an event of this length.
    fn whole(self, whole: Seconds, length: Duration) -> Seconds {
        match self {
            Self::Fermata => Seconds(whole.0 * FERMATA),
            Self::Caesura => Seconds(whole.0 + CAESURA.0 / length.whole_notes()),
        }
    }
}

/// The events at which the music halts, by their ends; where several end together, from
/// the shortest on.
fn halts(score: &Score) -> BTreeMap<Moment, (Moment, Halt)> {
    let mut halts: BTreeMap<Moment, (Moment, Halt)> = BTreeMap::new();
    let voices = score.parts().iter().flat_map(|part| &part.voices);
    for event in voices.flat_map(|voice| voice.bars.iter().flatten()) {
        let halt = event.marks.iter().find_map(|mark| match mark {
            EventMark::Fermata => Some(Halt::Fermata),
            EventMark::Caesura => Some(Halt::Caesura),
            _ => None,
        });
        if let Some(halt) = halt.filter(|_| event.duration > Duration::ZERO) {
            let own = (event.onset, halt);
            halts
                .entry(event.end())
                .and_modify(|it| *it = if own.0 > it.0 { own } else { *it })
                .or_insert(own);
        }
    }
    halts
}

/// What a whole note lasts in a bar: by the last metronome mark up to it.
fn whole_note(score: &Score, index: BarIndex) -> Seconds {
    let before = &score.bars()[..=index.0 as usize];
    let quarters = before.iter().rev().find_map(quarters).unwrap_or(USUAL_QUARTERS);
    Seconds(240.0 / quarters)
}

/// The quarters a minute that a bar's metronome mark says.
fn quarters(bar: &Bar) -> Option<f64> {
    let tempo = bar.tempo?;
    let quarters = f64::from(tempo.per_minute) * tempo.value.duration().whole_notes() * 4.0;
    (quarters > 0.0).then_some(quarters)
}
