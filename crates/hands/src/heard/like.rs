//! Like bars: bars with the same sounds under the same pins (model §10).

use std::collections::HashMap;

use apoyando_fingering::{Pin, PinRule, Scope};
use apoyando_music::{BarIndex, Duration, JoinKind, Score, Tones};

use super::clock::{Clock, hurry};
use super::music::Music;
use super::sounds::{Kind, Role, Sound};

/// A bar and the layers in it, as a range.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct LikeBar {
    pub bar: BarIndex,
    pub layers: std::ops::Range<usize>,
}

/// What likeness goes by, but for the pins.
#[derive(PartialEq, Eq, Hash)]
struct Look {
    /// By layer, its distance from the beginning of the bar and what is struck.
    layers: Vec<(Duration, Vec<SoundLook>)>,
    /// From layer to layer.
    hurries: Vec<i64>,
    /// Keys of sounds struck before that end after the bar's beginning, and how
    /// long after.
    ends: Vec<(i16, Duration)>,
}

#[derive(PartialEq, Eq, Hash)]
struct SoundLook {
    key: i16,
    kind: Kind,
    role: Role,
    voices: Vec<u8>,
    auxiliaries: Vec<i16>,
    /// How it is joined, from which key, struck how far from the bar's beginning.
    joined: Option<(JoinKind, i16, Duration)>,
    lasts: Duration,
}

/// What classes are read from.
pub(crate) struct Reader<'a> {
    pub score: &'a Score,
    pub tones: &'a Tones,
    pub music: &'a Music,
    pub clock: &'a Clock,
    /// Those in force.
    pub pins: &'a [Pin],
}

impl Reader<'_> {
    /// The classes of at least two like bars, in the order of their first bars.
    pub fn classes(&self) -> Vec<Vec<LikeBar>> {
        let mut classes: Vec<Vec<LikeBar>> = Vec::new();
        let mut by_look: HashMap<Look, Vec<usize>> = HashMap::new();
        let layers = &self.music.layers;
        let mut first = 0;
        while first < layers.len() {
            let bar = layers[first].bar;
            let past = first + layers[first..].partition_point(|layer| layer.bar <= bar);
            let own = LikeBar { bar, layers: first..past };
            let alike = by_look.entry(self.look(&own)).or_default();
            match alike.iter().find(|class| self.same_pins(&classes[**class][0], &own)) {
                Some(class) => classes[*class].push(own),
                None => {
                    alike.push(classes.len());
                    classes.push(vec![own]);
                }
            }
            first = past;
        }
        classes.retain(|class| class.len() > 1);
        classes
    }

    fn look(&self, bar: &LikeBar) -> Look {
        let start = self.score.bar(bar.bar).start;
        let layers = &self.music.layers[bar.layers.clone()];
        let sounds = &self.music.sounds;
        let sound = |sound: &Sound| SoundLook {
            key: sound.key,
            kind: sound.kind,
            role: sound.role,
            voices: sound.tones.iter().map(|tone| self.tones.get(*tone).voice.0).collect(),
            auxiliaries: sound.auxiliaries.clone(),
            joined: sound.joined.map(|join| {
                let from = &sounds[join.from];
                (join.kind, from.key, from.onset - start)
            }),
            lasts: sound.written_end - sound.onset,
        };
        let before = layers.first().map_or(0, |layer| layer.first);
        let mut ends: Vec<(i16, Duration)> = sounds[..before]
            .iter()
            .filter(|sound| sound.written_end > start)
            .map(|sound| (sound.key, sound.written_end - start))
            .collect();
        ends.sort_unstable();
        Look {
            layers: layers
                .iter()
                .map(|layer| {
                    let struck = sounds[layer.struck()].iter().map(sound).collect();
                    (layer.onset - start, struck)
                })
                .collect(),
            hurries: layers
                .windows(2)
                .map(|pair| hurry(self.clock.milliseconds(pair[0].onset, pair[1].onset)))
                .collect(),
            ends,
        }
    }

    /// Whether the same pins of the left hand hold in two bars that look alike.
    fn same_pins(&self, a: &LikeBar, b: &LikeBar) -> bool {
        let tones = |bar: &LikeBar| {
            let sounds = self.music.layers[bar.layers.clone()].iter().flat_map(|l| l.struck());
            let tones = sounds.flat_map(|sound| self.music.sounds[sound].tones.iter().copied());
            tones.map(Scope::Tone).collect::<Vec<_>>()
        };
        let over = |bar: &LikeBar| {
            let takes_in = |scope| crate::hand::limits::takes_in(scope, bar.bar);
            self.rules(takes_in)
        };
        let on = |scope: &Scope| self.rules(|other| other == *scope);
        same(over(a), over(b)) && tones(a).iter().zip(&tones(b)).all(|(a, b)| same(on(a), on(b)))
    }

    /// The rules on the left hand of the pins with some scopes.
    fn rules(&self, scope: impl Fn(Scope) -> bool) -> Vec<PinRule> {
        let left = |pin: &&Pin| !matches!(pin.rule, PinRule::RightFingers(_));
        let pins = self.pins.iter().filter(left).filter(|pin| scope(pin.scope));
        pins.map(|pin| pin.rule).collect()
    }
}

/// Whether two lists hold the same, each as often.
fn same(a: Vec<PinRule>, mut b: Vec<PinRule>) -> bool {
    a.len() == b.len()
        && a.into_iter().all(|rule| {
            let at = b.iter().position(|other| *other == rule);
            at.map(|at| b.swap_remove(at)).is_some()
        })
}
