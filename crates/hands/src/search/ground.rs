//! The music, the costs and the rules of one problem, ready for the search.

use std::sync::Arc;

use apoyando_fingering::{EffortTable, Pin, Problem};
use apoyando_music::{JoinKind, Score, Tones};
use rustc_hash::FxHashMap;

use crate::hand::holding::Pricing;
use crate::hand::house::House;
use crate::hand::limits::{Reader, Rules};
use crate::hand::moving::Pace;
use crate::hand::shape::SILENT;
use crate::hand::{Geometry, Hold, Played, STRINGS, moving};
use crate::heard::order::{PhraseMarks, phrase_ends};
use crate::heard::{Clock, Kind, Music, Role, again, hurry};

use super::second::Seconds;
use super::stage::Tag;

/// A struck sound that is to be joined from an earlier one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct JoinAt {
    /// Which of the sounds struck at its layer.
    pub index: usize,
    /// The sound before.
    pub from: usize,
    pub kind: JoinKind,
    /// Whether both are plain, so that it can be done.
    pub plain: bool,
    /// Whether a finger that stops the sound before may glide: it is a
    /// glissando, and that sound is stopped and not touched.
    pub glides: bool,
}

/// From one layer to the next.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Step {
    /// Whether the second is reached from the first; else there is a cut.
    pub reached: bool,
    pub pace: Pace,
    /// What eases a shift here whatever the fingers do, in percent.
    pub ease: i64,
    /// What a finger is charged that leaps over the layer before, in values of
    /// `leap`; 0 where that is not looked at.
    pub leap: i64,
    /// How many layers before the second one the note of the melody was struck that
    /// comes again there, for `exchange`; 0 if none does.
    pub again: usize,
    /// What the stands of the second layer remember of the melody.
    pub recalls: Recalls,
}

/// What is remembered of how a note of the melody was struck that comes again: the
/// finger and the string, as long as that finger is nowhere else. With the frets that
/// give the note, by string; [`SILENT`] where none does.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub(crate) enum Recalls {
    #[default]
    Nothing,
    /// The note of the layer before.
    Struck([u8; STRINGS]),
    /// What the stands of the layer before remember.
    Earlier([u8; STRINGS]),
}

/// What all stages need.
#[derive(Clone, Debug)]
pub(crate) struct Ground {
    pub music: Music,
    pub geometry: Geometry,
    pub table: EffortTable,
    pub house: House,
    /// By layer, the number of its rules among [`Ground::rule_book`].
    pub rules: Vec<u32>,
    pub rule_book: Vec<Arc<Rules>>,
    /// Which sounds may change their finger.
    pub seconds: Seconds,
    /// From every layer to the next.
    pub steps: Vec<Step>,
    /// By layer; most have none.
    pub joins: FxHashMap<usize, Vec<JoinAt>>,
    pub clock: Clock,
    numbers: FxHashMap<Arc<Rules>, u32>,
}

impl Ground {
    /// Reads a problem whose numbers are in range, given the tones of its part.
    pub fn of(problem: &Problem<'_>, tones: &Tones, pins: &[Pin]) -> Self {
        let music = Music::read((problem.score, problem.part), tones, pins);
        let mut ground = Self {
            geometry: Geometry::of(problem.instrument, &problem.level.reach),
            table: problem.effort.clone(),
            house: House::of(problem.house),
            rules: Vec::new(),
            rule_book: Vec::new(),
            seconds: Seconds::of(problem, &music, pins),
            steps: Vec::new(),
            joins: joins(&music),
            clock: Clock::of(problem.score),
            numbers: FxHashMap::default(),
            music,
        };
        let all: Vec<usize> = (0..ground.music.layers.len()).collect();
        ground.rules = vec![0; all.len()];
        ground.read_rules(problem, pins, &all);
        ground.steps = ground.all_steps(problem.score, problem.part);
        ground.recall();
        ground
    }

    /// Reads the rules of some layers anew.
    pub fn read_rules(&mut self, problem: &Problem<'_>, pins: &[Pin], layers: &[usize]) {
        let reader = Reader::new(problem, &self.music, (&self.geometry, &self.clock), pins);
        let read: Vec<(usize, Rules)> =
            layers.iter().map(|layer| (*layer, reader.rules(*layer))).collect();
        for (layer, rules) in read {
            self.set_rules(layer, rules);
        }
    }

    /// What the rules of a layer would be in another problem with the same music
    /// on the same instrument.
    pub fn rules_under(&self, problem: &Problem<'_>, pins: &[Pin], layer: usize) -> Rules {
        Reader::new(problem, &self.music, (&self.geometry, &self.clock), pins).rules(layer)
    }

    /// Puts other rules on a layer.
    pub fn set_rules(&mut self, layer: usize, rules: Rules) {
        let next = self.rule_book.len() as u32;
        let number = match self.numbers.get(&rules) {
            Some(number) => *number,
            None => {
                let rules = Arc::new(rules);
                self.rule_book.push(Arc::clone(&rules));
                self.numbers.insert(rules, next);
                next
            }
        };
        self.rules[layer] = number;
    }

    /// The rules on a layer.
    pub fn rules_on(&self, layer: usize) -> &Rules {
        &self.rule_book[self.rules[layer] as usize]
    }

    pub const fn pricing(&self) -> Pricing<'_> {
        Pricing { geometry: &self.geometry, table: &self.table, house: &self.house }
    }

    /// Milliseconds from one layer to a later one.
    pub fn time(&self, from: usize, to: usize) -> i64 {
        self.clock.milliseconds(self.music.layers[from].onset, self.music.layers[to].onset)
    }

    /// The hurry of the time since a hand was last not idle.
    pub fn hurry_since(&self, tag: &Tag, layer: usize) -> usize {
        match tag.layer {
            Tag::LONG_AGO => 1,
            last => hurry(self.time(last as usize, layer)) as usize,
        }
    }

    fn all_steps(&self, score: &Score, part: apoyando_music::PartIndex) -> Vec<Step> {
        let music = &self.music;
        let phrases = PhraseMarks::of(score, part);
        let mut latest = music.layers.first().map(|l| l.onset);
        (0..music.layers.len().saturating_sub(1))
            .map(|layer| {
                let next = &music.layers[layer + 1];
                for sound in &music.sounds[music.layers[layer].struck()] {
                    latest = latest.max(Some(sound.written_end));
                }
                let (from, to) = (music.layers[layer].onset, next.onset);
                let mut ease = 0;
                if latest.is_some_and(|end| end < to) {
                    ease += self.table.ease_rest;
                }
                if phrase_ends(&phrases, from, to) {
                    ease += self.table.ease_phrase;
                }
                if score.bar(next.bar).start == to {
                    ease += self.table.ease_beat;
                }
                if self.repeats(layer) {
                    ease += self.table.ease_repeat;
                }
                if self.leads(score, layer) {
                    ease -= self.table.leading;
                }
                let thin = next.is_thin();
                Step {
                    reached: music.is_reached(layer + 1),
                    pace: Pace {
                        hurry: hurry(self.time(layer, layer + 1)),
                        thin,
                        in_bar: music.layers[layer].bar == next.bar,
                        sings: thin && self.sings(layer),
                    },
                    ease: i64::from(ease),
                    leap: if thin { self.leap(layer) } else { 0 },
                    again: 0,
                    recalls: Recalls::Nothing,
                }
            })
            .collect()
    }

    /// Notes in the steps what the hand has to remember of notes that come again.
    fn recall(&mut self) {
        let again = again::again(&self.music, |from, to| self.time(from, to));
        for (layer, back) in again.into_iter().enumerate().filter(|(_, back)| *back > 0) {
            let first = layer - back;
            let Some(sound) = again::sung(&self.music, first) else { continue };
            let fret = |string| self.geometry.fret(string, sound.key).unwrap_or(SILENT);
            let frets = std::array::from_fn(fret);
            self.steps[layer - 1].again = back;
            self.steps[first].recalls = Recalls::Struck(frets);
            for step in &mut self.steps[first + 1..layer - 1] {
                step.recalls = Recalls::Earlier(frets);
            }
        }
    }

    /// Whether one key is struck at a layer and the next.
    fn repeats(&self, layer: usize) -> bool {
        let struck = |layer: usize| &self.music.sounds[self.music.layers[layer].struck()];
        struck(layer).iter().any(|a| struck(layer + 1).iter().any(|b| a.key == b.key))
    }

    /// Whether the melody goes from the leading note to its tonic.
    fn leads(&self, score: &Score, layer: usize) -> bool {
        let sung = |layer: usize| {
            let struck = &self.music.sounds[self.music.layers[layer].struck()];
            let mut sung = struck.iter().filter(|sound| sound.role == Role::Melody);
            sung.next().filter(|_| sung.next().is_none()).map(|sound| sound.key)
        };
        let (Some(from), Some(to)) = (sung(layer), sung(layer + 1)) else { return false };
        let fifths = score.bar(self.music.layers[layer + 1].bar).signature.fifths();
        let major = (7 * fifths).rem_euclid(12);
        let class = i32::from(to).rem_euclid(12);
        to - from == 1 && (class == major || class == (major + 9) % 12)
    }

    /// Whether just one plain sound of the melody is struck at a layer and one at the
    /// next, and the first ends there.
    fn sings(&self, layer: usize) -> bool {
        let only = |layer: usize| again::sung(&self.music, layer);
        let next = self.music.layers[layer + 1].onset;
        only(layer).is_some_and(|first| first.written_end == next) && only(layer + 1).is_some()
    }

    /// How much a leap over a layer weighs on the move from it.
    fn leap(&self, layer: usize) -> i64 {
        let music = &self.music;
        let Some(before) = layer.checked_sub(1) else { return 0 };
        let counts = music.layers[before].is_lone()
            && music.is_reached(layer)
            && music.is_reached(layer + 1);
        if counts { hurry(self.time(before, layer + 1)) - 1 } else { 0 }
    }

    /// What letting go of a sound at a layer costs.
    pub fn let_go(&self, sound: usize, layer: usize) -> i64 {
        let (cut, ring) = self.let_go_terms(sound, layer);
        cut.1 + ring
    }

    /// The same as the cut, with the role it is for, and the ring.
    pub fn let_go_terms(&self, sound: usize, layer: usize) -> ((Role, i64), i64) {
        let sound = &self.music.sounds[sound];
        let table = &self.table;
        let value = i64::from(match sound.role {
            Role::Melody => table.cut_melody,
            Role::Bass => table.cut_bass,
            Role::Inner => table.cut_inner,
        });
        let cut = if layer >= sound.written_until {
            0
        } else if layer >= sound.tail_from {
            value * i64::from(table.cut_tail) / 100
        } else {
            value
        };
        let rings = sound.wanted_end > sound.written_end && layer < sound.wanted_until;
        ((sound.role, cut), if rings { i64::from(table.ring) } else { 0 })
    }

    /// The layer itself if a seam leads to it, else [`Tag::NO_SEAM`].
    pub fn seam_end(&self, layer: usize) -> u32 {
        if self.music.order.seams.iter().any(|seam| seam.to == layer) {
            layer as u32
        } else {
            Tag::NO_SEAM
        }
    }

    /// The joins into a layer.
    pub fn joins_into(&self, layer: usize) -> &[JoinAt] {
        self.joins.get(&layer).map_or(&[], Vec::as_slice)
    }

    /// Whether and how a join is played between two postures.
    pub fn joined(
        &self,
        join: &JoinAt,
        from: Option<Played>,
        s: &Hold,
        to: Played,
    ) -> moving::Joined {
        let to_join = moving::ToJoin { kind: join.kind, plain: join.plain, from };
        moving::joined(&to_join, s, to)
    }
}

/// By layer, the struck sounds that are to be joined there.
fn joins(music: &Music) -> FxHashMap<usize, Vec<JoinAt>> {
    let mut joins: FxHashMap<usize, Vec<JoinAt>> = FxHashMap::default();
    for (index, sound) in music.sounds.iter().enumerate() {
        let Some(join) = sound.joined else { continue };
        let from = &music.sounds[join.from];
        if !music.is_reached(sound.layer) {
            continue;
        }
        joins.entry(sound.layer).or_default().push(JoinAt {
            index: index - music.layers[sound.layer].first,
            from: join.from,
            kind: join.kind,
            plain: from.kind == Kind::Plain && sound.kind == Kind::Plain,
            glides: join.kind == JoinKind::Glide && from.kind != Kind::NaturalHarmonic,
        });
    }
    joins
}
