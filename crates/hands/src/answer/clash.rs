//! Which notes cannot be played together, and by which rule of the hand.

use apoyando_fingering::Finding;
use apoyando_music::ToneId;

use super::way_wording::Wording;
use crate::hand::Played;
use crate::hand::limits::{Candidate, Rules};
use crate::search::grips::Grips;
use crate::solved::Weighed;

/// So many notes left out are looked at. House.
const MOST_LOOKED_AT: usize = 32;

/// The rule of the hand by which notes clash (model §3).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum ClashRule {
    /// P2: they have too few strings between them.
    Strings,
    /// P4: on whatever strings, they need more than four fingers, one of which may
    /// lay a barre.
    Fingers,
    /// P5 to P7: there are fingers enough, but the hand would have to reach too far.
    Reach,
}

/// A fewest of notes struck together that no hand can play together; all but any
/// one of them can be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Clash {
    /// The first tone of each sound, from low to high.
    pub tones: Vec<ToneId>,
    /// Why not.
    pub rule: ClashRule,
}

impl Weighed<'_> {
    /// A clash for each sound left out at a layer that has a place at all: of the
    /// smallest with it the first, among it and what is played.
    pub fn clashes(&self, layer: usize) -> Vec<Clash> {
        let mut clashes: Vec<Clash> = Vec::new();
        for out in self.numbers_left_out(layer) {
            if let Some(clash) = self.clash(layer, out)
                && !clashes.contains(&clash)
            {
                clashes.push(clash);
            }
        }
        clashes
    }

    /// The numbers of the sounds that the best way leaves out at a layer.
    pub fn numbers_left_out(&self, layer: usize) -> Vec<usize> {
        let Some(choice) = self.search.way.get(layer).copied() else { return Vec::new() };
        let struck = self.search.ground.music.layers[layer].struck().len();
        (0..struck).filter(|i| self.search.played(layer, *i, choice) == Played::OUT).collect()
    }

    fn clash(&self, layer: usize, out: usize) -> Option<Clash> {
        let rules = self.search.ground.rules_on(layer);
        if rules.struck[out].candidates.is_empty() {
            return None;
        }
        let left_out = self.numbers_left_out(layer);
        let others: Vec<usize> =
            (0..rules.struck.len()).filter(|i| !left_out.contains(i)).collect();
        let sets = 1u32 << others.len().min(31);
        let mut sets: Vec<u32> = (0..sets).collect();
        // Of equals those of the lowest notes first.
        sets.sort_by_key(|set| (set.count_ones(), *set));
        let set = sets.into_iter().find_map(|set| {
            let mut of: Vec<usize> = others
                .iter()
                .enumerate()
                .filter(|(bit, _)| set & (1 << bit) != 0)
                .map(|(_, index)| *index)
                .collect();
            of.push(out);
            of.sort_unstable();
            (!self.can_be_played(rules, &of)).then_some(of)
        })?;
        let music = &self.search.ground.music;
        let first = music.layers[layer].first;
        let tones = set.iter().filter_map(|i| music.sounds[first + i].tones.first().copied());
        let rule = match fewest_fingers(rules, &set, &mut Vec::new()) {
            None => ClashRule::Strings,
            Some(5..) => ClashRule::Fingers,
            Some(_) => ClashRule::Reach,
        };
        Some(Clash { tones: tones.collect(), rule })
    }

    /// Whether a hand could play some of the sounds of a layer together, whatever
    /// the author's rules.
    fn can_be_played(&self, rules: &Rules, set: &[usize]) -> bool {
        let mut rules = rules.clone();
        for (index, struck) in rules.struck.iter_mut().enumerate() {
            if !set.contains(&index) {
                struck.candidates.clear();
            }
        }
        let left_out = rules.struck.len() - set.len();
        Grips::new(self.search.ground.pricing(), &rules)
            .least_faults()
            .is_ok_and(|faults| usize::from(faults.0) == left_out)
    }

    /// Says in the findings on notes left out what they clash with.
    pub fn name_clashes(&self, findings: &mut [Finding]) {
        let strings = self.problem.instrument.tuning.len();
        let mut left_out = findings.iter_mut().filter(|f| f.rule == "note-left-out");
        let spots = (0..self.search.stages.len()).filter(|l| self.search.stages[*l].faults.0 > 0);
        let notes = spots.flat_map(|layer| {
            self.numbers_left_out(layer).into_iter().map(move |index| (layer, index))
        });
        let mut looked_at = 0;
        for (layer, index) in notes {
            let here = &self.search.ground.music.layers[layer];
            let sound = &self.search.ground.music.sounds[here.first + index];
            let Some(tone) = sound.tones.first() else { continue };
            // Those off the instrument, and harmonics that no string has, have
            // findings of their own.
            if self.search.ground.geometry.places(sound).next().is_none() {
                continue;
            }
            let Some(finding) = left_out.next() else { return };
            if here.struck().len() > strings || looked_at == MOST_LOOKED_AT {
                continue;
            }
            looked_at += 1;
            if let Some(clash) = self.clash(layer, index) {
                let wording = Wording { weighed: self, layer };
                let name = wording.name(*tone);
                finding.message = format!("{name} is left out: {}", wording.clash(&clash));
            }
        }
    }
}

/// How many fingers some sounds need at the least, each on a string of its own
/// (P2, P4); `None` if there are not strings enough.
fn fewest_fingers(
    rules: &Rules,
    set: &[usize],
    placed: &mut Vec<(Candidate, bool)>,
) -> Option<u32> {
    let Some((first, rest)) = set.split_first() else { return Some(fingers(placed)) };
    let struck = &rules.struck[*first];
    let mut fewest = None;
    for (number, candidate) in struck.candidates.iter().enumerate() {
        let same =
            |other: &Candidate| (other.string, other.fret) == (candidate.string, candidate.fret);
        // The fingers are counted below; one of them stands for all.
        if struck.candidates[..number].iter().any(same)
            || placed.iter().any(|(other, _)| other.string == candidate.string)
        {
            continue;
        }
        placed.push((*candidate, struck.touched));
        let needed = fewest_fingers(rules, rest, placed);
        placed.pop();
        fewest = fewest.into_iter().chain(needed).min();
    }
    fewest
}

/// How many fingers places need, with a barre at the lowest fret where it helps.
fn fingers(placed: &[(Candidate, bool)]) -> u32 {
    let down = || placed.iter().filter(|(at, _)| at.fret > 0);
    let lowest = down().map(|(at, _)| at.fret).min();
    let mut by_string: Vec<&(Candidate, bool)> = placed.iter().collect();
    by_string.sort_by_key(|(at, _)| at.string);
    // The most that lie side by side at the lowest fret, no open string between.
    let (mut run, mut longest) = (0u32, 0u32);
    for (at, touched) in by_string {
        if at.fret == 0 || *touched {
            run = 0;
        } else if Some(at.fret) == lowest {
            run += 1;
            longest = longest.max(run);
        }
    }
    down().count() as u32 - longest.saturating_sub(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(frets: &[(u8, u8)]) -> Vec<(Candidate, bool)> {
        let at = |(string, fret): &(u8, u8)| Candidate {
            string: *string,
            fret: *fret,
            finger: 0,
            breaches: 0,
            against: false,
        };
        frets.iter().map(|place| (at(place), false)).collect()
    }

    #[test]
    fn a_barre_counts_as_one_finger_and_an_open_string_ends_it() {
        assert_eq!(fingers(&placed(&[(0, 0), (1, 1), (2, 2)])), 2);
        assert_eq!(fingers(&placed(&[(0, 1), (1, 1), (2, 2), (3, 3), (4, 3), (5, 1)])), 4);
        assert_eq!(fingers(&placed(&[(0, 1), (1, 0), (2, 2), (3, 3), (4, 3), (5, 1)])), 5);
        assert_eq!(fingers(&placed(&[(0, 1), (1, 1), (2, 0), (3, 3), (4, 3), (5, 1)])), 4);
    }
}
