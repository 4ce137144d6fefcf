//! Where a barre lies, and for how long.

use apoyando_fingering::Barre;
use apoyando_music::{Duration, Moment};
use num_rational::Ratio;

use super::Spot;
use super::reading::Reading;

/// A barre and how long it is held.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BarreAdvice {
    /// The barre, as wide as it gets.
    pub barre: Barre,
    /// Where it is laid.
    pub spot: Spot,
    /// When it may be lifted.
    pub until: Moment,
    /// How long it is held, in beats of the bar in which it is laid.
    pub beats: Ratio<i64>,
    /// Whether it is the longest of several (the first, of equals).
    pub longest: bool,
}

impl BarreAdvice {
    /// How long it is held.
    pub fn duration(&self) -> Duration {
        self.until - self.spot.at
    }
}

pub(super) fn find(reading: &Reading<'_>) -> Vec<BarreAdvice> {
    let score = reading.score();
    let postures = &reading.fingering.postures;
    let mut all: Vec<BarreAdvice> = Vec::new();
    for span in &reading.fingering.barres {
        let last = reading.posture_from(span.to);
        let next = postures.get(last + 1).map(|posture| posture.at);
        let until = next.or_else(|| Some(reading.end_of(postures.get(last)?)));
        let until = until.unwrap_or(span.to).max(span.from);
        let metre = score.bar_at(span.from).map(|bar| score.bar(bar).metre);
        let beat = metre.map_or(Duration::QUARTER, |metre| metre.beat());
        let beats = (until - span.from).ratio() / beat.ratio();
        let spot = Spot::of(score, span.from);
        all.push(BarreAdvice { barre: span.barre, spot, until, beats, longest: false });
    }
    let longest = (0..all.len()).rev().max_by_key(|index| all[*index].duration());
    if let Some(index) = longest.filter(|_| all.len() > 1) {
        all[index].longest = true;
    }
    all
}
