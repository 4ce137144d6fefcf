//! The playing order: which layers follow one another, where nothing leads on,
//! and where the music goes elsewhere (section 2 of the model).

use apoyando_music::{BarIndex, Duration, Moment, Score, play_order};

/// A layer and one that is played next without being written next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Seam {
    pub(crate) from: usize,
    pub(crate) to: usize,
    /// What passes between them as played: the first time, if it is not always
    /// the same.
    pub(crate) lasts: Duration,
}

/// How the layers follow one another.
pub(crate) struct Playing {
    /// Per layer, whether it is reached from the one written before.
    pub(crate) reached: Vec<bool>,
    /// In the order of the layers.
    pub(crate) seams: Vec<Seam>,
}

impl Playing {
    /// Of onsets with their bars.
    pub(crate) fn of(score: &Score, layers: &[(BarIndex, Moment)]) -> Self {
        let mut reached = vec![false; layers.len()];
        let mut seams: Vec<Seam> = Vec::new();
        // When the bar begins as played, and the last layer with when it was.
        let mut begins = Duration::ZERO;
        let mut last: Option<(usize, Duration)> = None;
        for bar in played_bars(score) {
            let first = layers.partition_point(|(own, _)| *own < bar);
            let own = layers[first..].iter().take_while(|(own, _)| *own == bar).count();
            for to in first..first + own {
                let now = begins + (layers[to].1 - score.bar(bar).start);
                match last {
                    Some((from, _)) if from + 1 == to => reached[to] = true,
                    Some((from, then)) => seams.push(Seam { from, to, lasts: now - then }),
                    None => {}
                }
                last = Some((to, now));
            }
            begins += score.bar(bar).length;
        }
        seams.sort_by_key(|seam| (seam.from, seam.to));
        seams.dedup_by_key(|seam| (seam.from, seam.to));
        Self { reached, seams }
    }
}

/// The bars as played; as written, if they cannot be unfolded.
fn played_bars(score: &Score) -> Vec<BarIndex> {
    match play_order(score) {
        Ok(played) => played.into_iter().map(|played| played.bar).collect(),
        Err(_) => (0..score.bars().len()).map(|bar| BarIndex(bar as u32)).collect(),
    }
}
