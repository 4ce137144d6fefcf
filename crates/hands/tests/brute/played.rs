//! Section 2 of the model, the playing order read plainly: which layers follow
//! one another, where there is a cut, and where a seam.

use apoyando_fingering::Problem;
use apoyando_music::{BarEnd, BarIndex, Duration, EventMark, play_order};

use crate::heard::{Heard, lasting};

/// A pair of layers of which the second is played next and is not written next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Seam {
    pub from: usize,
    pub to: usize,
    /// The time that passes, as played.
    pub milliseconds: i64,
}

#[derive(Debug)]
pub struct Played {
    /// Whether the next layer is reached from each layer; else there is a cut.
    pub reached: Vec<bool>,
    pub seams: Vec<Seam>,
}

pub fn play(problem: &Problem<'_>, heard: &Heard) -> Played {
    let score = problem.score;
    let order: Vec<BarIndex> = match play_order(score) {
        Ok(played) => played.iter().map(|p| p.bar).collect(),
        Err(_) => (0..score.bars().len() as u32).map(BarIndex).collect(),
    };
    // Every layer as it is played, with the number of its bar in the order.
    let mut layers: Vec<(usize, usize)> = Vec::new();
    for (turn, bar) in order.iter().enumerate() {
        let own = (0..heard.layers.len()).filter(|layer| heard.bars[*layer] == *bar);
        layers.extend(own.map(|layer| (turn, layer)));
    }
    let mut played = Played { reached: vec![false; heard.layers.len()], seams: Vec::new() };
    for pair in layers.windows(2) {
        let [(left, from), (came, to)] = [pair[0], pair[1]];
        if to == from + 1 {
            played.reached[from] = true;
            continue;
        }
        if played.seams.iter().any(|s| (s.from, s.to) == (from, to)) {
            continue;
        }
        let (here, there) = (score.bar(order[left]), score.bar(order[came]));
        let between: Duration = order[left + 1..came].iter().map(|b| score.bar(*b).length).sum();
        let rest = here.end_moment() - heard.layers[from];
        let length = rest + between + (heard.layers[to] - there.start);
        let milliseconds = lasting(problem, heard.layers[from], length);
        played.seams.push(Seam { from, to, milliseconds });
    }
    played
}

/// Whether a phrase ends between a layer and the next: by the signs at the bar
/// lines passed or by a fermata at the first.
pub fn phrase_ends(problem: &Problem<'_>, heard: &Heard, layer: usize) -> bool {
    let score = problem.score;
    let passed = heard.bars[layer].0..heard.bars[layer + 1].0;
    let signs = passed.into_iter().any(|bar| {
        let (before, after) = (score.bar(BarIndex(bar)), score.bar(BarIndex(bar + 1)));
        before.repeat_end.is_some() || before.end != BarEnd::Plain || after.repeat_start
    });
    let part = score.part(problem.part);
    let first_voice = part.voices.iter().filter(|voice| voice.number.0 == 1);
    let fermata = first_voice.flat_map(|voice| voice.bars.iter().flatten()).any(|event| {
        event.onset == heard.layers[layer] && event.marks.contains(&EventMark::Fermata)
    });
    signs || fermata
}
