//! Layers: the onsets of a part, and what sounds into them (model §2).

use apoyando_fingering::Pin;
use apoyando_music::{BarIndex, Moment, PartIndex, Score, Tones};

use super::figure;
use super::order::Order;
use super::sounds::{Sound, sounding_voices, sounds};

/// An onset.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Layer {
    pub onset: Moment,
    pub bar: BarIndex,
    /// Sounds struck here, as a range of [`Music::sounds`].
    pub first: usize,
    pub past: usize,
    /// Earlier sounds whose wanted end lies after this onset, from low to high.
    pub held: Vec<usize>,
    /// The figure it belongs to, by the layer at which that begins and the
    /// first one after it.
    pub figure: Option<(usize, usize)>,
}

impl Layer {
    pub fn struck(&self) -> std::ops::Range<usize> {
        self.first..self.past
    }

    /// Whether one sound only is struck.
    pub const fn is_lone(&self) -> bool {
        self.past - self.first == 1
    }

    /// Whether what is struck is no chord.
    pub const fn is_thin(&self) -> bool {
        self.past - self.first < 3
    }
}

/// All sounds and layers of a part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Music {
    pub sounds: Vec<Sound>,
    pub layers: Vec<Layer>,
    /// How many voices hold notes.
    pub voices: usize,
    /// In which order the layers are played.
    pub order: Order,
}

impl Music {
    /// Reads a part, given its tones; the pins are those in force.
    pub fn read((score, part): (&Score, PartIndex), tones: &Tones, pins: &[Pin]) -> Self {
        let mut music = Self {
            sounds: sounds((score, part), tones, pins),
            layers: Vec::new(),
            voices: sounding_voices(score, part).len(),
            order: Order::default(),
        };
        music.layer(score);
        figure::find(&mut music);
        music.end_at_joins();
        music.place_ends();
        music.hold();
        let onsets: Vec<_> = music.layers.iter().map(|layer| (layer.bar, layer.onset)).collect();
        music.order = Order::of(score, &onsets);
        music
    }

    /// Cuts the sounds, which are in order, into layers.
    fn layer(&mut self, score: &Score) {
        for index in 0..self.sounds.len() {
            let onset = self.sounds[index].onset;
            match self.layers.last_mut() {
                Some(layer) if layer.onset == onset => layer.past = index + 1,
                _ => self.layers.push(Layer {
                    onset,
                    bar: score.bar_at(onset).unwrap_or(BarIndex(0)),
                    first: index,
                    past: index + 1,
                    held: Vec::new(),
                    figure: None,
                }),
            }
            self.sounds[index].layer = self.layers.len() - 1;
        }
    }

    /// What is joined from a sound takes its string.
    fn end_at_joins(&mut self) {
        for to in 0..self.sounds.len() {
            if let Some(join) = self.sounds[to].joined {
                let onset = self.sounds[to].onset;
                let from = &mut self.sounds[join.from];
                from.wanted_end = from.wanted_end.min(onset);
            }
        }
    }

    /// Turns the ends into numbers of layers, which compare faster.
    fn place_ends(&mut self) {
        let onsets: Vec<Moment> = self.layers.iter().map(|l| l.onset).collect();
        for sound in &mut self.sounds {
            let length = sound.written_end - sound.onset;
            let from = sound.layer + 1;
            let count = |keep: &dyn Fn(Moment) -> bool| {
                from + onsets[from..].iter().take_while(|m| keep(**m)).count()
            };
            sound.tail_from =
                count(&|m| m < sound.written_end && (sound.written_end - m) * 4 > length);
            sound.written_until = count(&|m| m < sound.written_end);
            sound.wanted_until = count(&|m| m < sound.wanted_end);
        }
    }

    fn hold(&mut self) {
        let mut active: Vec<usize> = Vec::new();
        for index in 0..self.layers.len() {
            active.retain(|s| self.sounds[*s].wanted_until > index);
            self.layers[index].held.clone_from(&active);
            active.extend(self.layers[index].struck());
            active.sort_by_key(|s| (self.sounds[*s].key, *s));
        }
    }

    /// The figures, each by its first layer and the one after its last.
    pub fn figures(&self) -> impl Iterator<Item = (usize, usize)> {
        let begins =
            |(index, layer): (usize, &Layer)| layer.figure.filter(|(first, _)| *first == index);
        self.layers.iter().enumerate().filter_map(begins)
    }

    /// Whether a layer is reached from the one before.
    pub fn is_reached(&self, layer: usize) -> bool {
        layer > 0 && self.order.is_reached(layer)
    }
}
