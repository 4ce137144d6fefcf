//! The order in which the layers are played (model §2): which follow one
//! another as they are written, and where the playing goes elsewhere.

use apoyando_music::{BarIndex, Duration, Moment, PlayedBar, Score, play_order};

/// A way from a layer to one that is not written next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct SeamAt {
    pub from: usize,
    pub to: usize,
    /// What is played from one onset to the other.
    pub lasts: Duration,
}

/// How the layers follow one another in playing.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Order {
    /// Layers not reached from the one before, in order.
    cuts: Vec<usize>,
    /// Every seam once, in the order in which they are first played.
    pub seams: Vec<SeamAt>,
}

impl Order {
    /// Of onsets, each with its bar, in order.
    pub fn of(score: &Score, onsets: &[(BarIndex, Moment)]) -> Self {
        let Ok(played) = play_order(score) else { return Self::default() };
        if played.windows(2).all(|pair| pair[1].bar.0 == pair[0].bar.0 + 1)
            && played.len() == score.bars().len()
        {
            return Self::default();
        }
        Self::unfold(score, onsets, &played)
    }

    fn unfold(score: &Score, onsets: &[(BarIndex, Moment)], played: &[PlayedBar]) -> Self {
        let mut reached = vec![false; onsets.len()];
        let mut seams: Vec<SeamAt> = Vec::new();
        let mut last: Option<(usize, Duration)> = None;
        for bar in played {
            let (start, length) = (score.bar(bar.bar).start, score.bar(bar.bar).length);
            let from = onsets.partition_point(|(own, _)| *own < bar.bar);
            let past = onsets.partition_point(|(own, _)| *own <= bar.bar);
            for layer in from..past {
                let into = onsets[layer].1 - start;
                if let Some((before, since)) = last {
                    let lasts = since + into;
                    if layer == before + 1 {
                        reached[layer] = true;
                    } else if !seams.iter().any(|s| (s.from, s.to) == (before, layer)) {
                        seams.push(SeamAt { from: before, to: layer, lasts });
                    }
                }
                // What has passed of this bar is taken off again at the next.
                last = Some((layer, Duration::ZERO - into));
            }
            last = last.map(|(layer, since)| (layer, since + length));
        }
        let cuts = (1..onsets.len()).filter(|layer| !reached[*layer]).collect();
        Self { cuts, seams }
    }

    /// Whether a layer is reached from the one written before it.
    pub fn is_reached(&self, layer: usize) -> bool {
        self.cuts.binary_search(&layer).is_err()
    }
}

/// Whether a phrase ends between two onsets: at a bar line that is double,
/// final or a repeat, or under a fermata of the first voice at the earlier one.
pub(crate) fn phrase_ends(marks: &PhraseMarks, from: Moment, to: Moment) -> bool {
    let after = marks.lines.partition_point(|line| *line <= from);
    marks.lines.get(after).is_some_and(|line| *line <= to)
        || marks.fermatas.binary_search(&from).is_ok()
}

/// Where phrases end.
#[derive(Clone, Debug, Default)]
pub(crate) struct PhraseMarks {
    /// Starts of bars with such a line before them, in order.
    lines: Vec<Moment>,
    /// Onsets with a fermata in voice 1, in order.
    fermatas: Vec<Moment>,
}

impl PhraseMarks {
    pub fn of(score: &Score, part: apoyando_music::PartIndex) -> Self {
        use apoyando_music::{BarEnd, EventMark};
        let bars = score.bars();
        let lines = bars
            .windows(2)
            .filter(|pair| {
                pair[0].end != BarEnd::Plain || pair[0].repeat_end.is_some() || pair[1].repeat_start
            })
            .map(|pair| pair[1].start)
            .collect();
        let first = score.part(part).voices.iter().find(|voice| voice.number.0 == 1);
        let events = first.into_iter().flat_map(|voice| voice.bars.iter().flatten());
        let mut fermatas: Vec<Moment> = events
            .filter(|event| event.marks.contains(&EventMark::Fermata))
            .map(|event| event.onset)
            .collect();
        fermatas.sort_unstable();
        Self { lines, fermatas }
    }
}
