//! Layers: what is struck at one onset (section 2 of the model).

use std::ops::Range;

use apoyando_fingering::Problem;
use apoyando_music::{BarIndex, JoinKind, Moment, PartIndex, Score};

use crate::figure::{figures, wanted_ends};
use crate::playing::{Playing, Seam};
use crate::sounds::{Sound, of_tone, sounds};
use crate::spot::Spot;

/// Everything struck at one onset.
#[derive(Debug)]
pub(crate) struct Layer {
    pub(crate) at: Moment,
    pub(crate) bar: BarIndex,
    /// The sounds struck, by index.
    pub(crate) struck: Range<usize>,
    /// Earlier sounds whose wanted end lies after this onset.
    pub(crate) held: Vec<usize>,
    /// Whether it is reached from the layer written before it. The first layer
    /// is not, nor is one after a cut.
    pub(crate) reached: bool,
}

/// All sounds and layers of a part.
pub(crate) struct Layers<'a> {
    pub(crate) score: &'a Score,
    pub(crate) part: PartIndex,
    pub(crate) sounds: Vec<Sound>,
    pub(crate) layers: Vec<Layer>,
    /// Per tone, the sound it belongs to.
    pub(crate) of_tone: Vec<usize>,
    /// The broken chords, as ranges of layers.
    pub(crate) figures: Vec<Range<usize>>,
    /// Where the playing order goes elsewhere than on.
    pub(crate) seams: Vec<Seam>,
}

impl<'a> Layers<'a> {
    pub(crate) fn of(problem: &Problem<'a>) -> Self {
        let (score, part) = (problem.score, problem.part);
        let tones = score.tones(part);
        let sounds = sounds(problem, &tones);
        let of_tone = of_tone(tones.len(), &sounds);
        let layers = layers(score, &sounds);
        let mut all =
            Self { score, part, sounds, layers, of_tone, figures: Vec::new(), seams: Vec::new() };
        all.figures = figures(&all);
        for (sound, end) in wanted_ends(&all).into_iter().enumerate() {
            all.sounds[sound].wanted_end = end;
        }
        for (layer, held) in all.sounding_on(|sound| sound.wanted_end).into_iter().enumerate() {
            all.layers[layer].held = held;
        }
        let onsets: Vec<_> = all.layers.iter().map(|layer| (layer.bar, layer.at)).collect();
        let playing = Playing::of(score, &onsets);
        for (layer, reached) in all.layers.iter_mut().zip(playing.reached) {
            layer.reached = reached;
        }
        all.seams = playing.seams;
        all
    }

    /// Per layer, the earlier sounds whose `end` lies after its onset.
    pub(crate) fn sounding_on(&self, end: impl Fn(&Sound) -> Moment) -> Vec<Vec<usize>> {
        let mut active: Vec<usize> = Vec::new();
        self.layers
            .iter()
            .map(|layer| {
                active.retain(|sound| end(&self.sounds[*sound]) > layer.at);
                let here = active.clone();
                active.extend(layer.struck.clone());
                here
            })
            .collect()
    }

    /// What is struck in a layer, played or left out.
    pub(crate) fn struck(&self, layer: usize) -> &[Sound] {
        self.layers.get(layer).map_or(&[], |layer| &self.sounds[layer.struck.clone()])
    }

    /// The only sound struck in a layer, played or left out.
    pub(crate) fn lone(&self, layer: usize) -> Option<&Sound> {
        match self.struck(layer) {
            [lone] => Some(lone),
            _ => None,
        }
    }

    /// The figure that a layer is part of.
    pub(crate) fn figure_of(&self, layer: usize) -> Option<Range<usize>> {
        let after = self.figures.partition_point(|figure| figure.start <= layer);
        let figure = self.figures.get(after.checked_sub(1)?)?;
        figure.contains(&layer).then(|| figure.clone())
    }

    /// The lower sounds to which a slur leads from a sound.
    pub(crate) fn slurred_down(&self, sound: usize) -> impl Iterator<Item = &Sound> + '_ {
        let from = &self.sounds[sound];
        let lower = from.leads_to.iter().map(|to| &self.sounds[*to]);
        lower.filter(move |to| {
            to.key < from.key && to.joined.is_some_and(|joined| joined.kind == JoinKind::Slur)
        })
    }

    pub(crate) fn spot(&self, layer: usize) -> Spot {
        let here = &self.layers[layer];
        Spot::new(self.score, here.bar, layer, here.at)
    }
}

fn layers(score: &Score, sounds: &[Sound]) -> Vec<Layer> {
    sounds
        .chunk_by(|a, b| a.layer == b.layer)
        .scan(0, |begin, chunk| {
            let struck = *begin..*begin + chunk.len();
            *begin = struck.end;
            let at = chunk[0].onset;
            let bar = score.bar_at(at).unwrap_or(BarIndex(0));
            Some(Layer { at, bar, struck, held: Vec::new(), reached: false })
        })
        .collect()
}
