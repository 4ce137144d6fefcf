//! Like bars are fingered alike where that costs little (model §10).

use std::collections::BTreeMap;

use apoyando_fingering::{Finding, Price, Severity};
use apoyando_music::{BarIndex, PartIndex, Score};

use crate::error::HandsError;
use crate::hand::Played;
use crate::heard::like::{LikeBar, Reader};
use crate::solved::{Solved, Weighed};
use crate::when;

/// A class whose bars are fingered in more ways is not tried.
const MOST_WAYS: usize = 8;

/// So many ways are tried in all.
const MOST_TRIED: usize = 200;

/// Bars with the same notes, and what became of them.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Likeness {
    /// The bars, at least two, in order.
    pub bars: Vec<BarIndex>,
    /// What became of them.
    pub outcome: Alike,
}

/// What became of like bars.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Alike {
    /// They were fingered alike.
    Already,
    /// They were made alike.
    Made(MadeAlike),
    /// It would cost too much.
    TooDear(MadeAlike),
    /// There is no way of one of the bars in which all can be fingered without
    /// leaving out more notes or breaking more rules.
    Impossible,
    /// They are fingered in so many ways that it was not tried.
    NotTried {
        /// In how many.
        ways: u32,
    },
}

/// What it takes to finger like bars alike.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct MadeAlike {
    /// The bar whose fingering all have then.
    pub like: BarIndex,
    /// How many notes are then played otherwise.
    pub notes: u32,
    /// The effort by which the whole then costs more.
    pub more: u64,
    /// The most that it may cost.
    pub worth: u64,
}

/// How a bar is fingered: by layer and sound.
type Way = Vec<Vec<Played>>;

impl Solved<'_> {
    /// Fingers like bars alike where that costs at most the effort value `alike`
    /// for each note played otherwise, and says of every class of like bars what
    /// became of it, in the order of their first bars.
    ///
    /// What is asked of the answer from then on, but for its ways out, is about the
    /// fingerings in which these bars are as they were made.
    ///
    /// # Errors
    /// As [`finger`](crate::finger).
    pub fn alike(mut self) -> Result<(Self, Vec<Likeness>), HandsError> {
        let likenesses = self.weighed.make_alike()?;
        Ok((Self::of(self.weighed), likenesses))
    }
}

/// Layers whose sounds are held to a way of playing them, with the bars that are
/// alike by it.
pub(crate) type HeldAlike = BTreeMap<usize, Vec<BarIndex>>;

impl Weighed<'_> {
    fn make_alike(&mut self) -> Result<Vec<Likeness>, HandsError> {
        let ground = &self.search.ground;
        let reader = Reader {
            score: self.problem.score,
            tones: &self.tones,
            music: &ground.music,
            clock: &ground.clock,
            pins: &self.pins,
        };
        let classes = reader.classes();
        let alike = |class: &Vec<LikeBar>| {
            let way = self.way_of_bar(&class[0]);
            class.iter().all(|bar| self.way_of_bar(bar) == way)
        };
        if classes.iter().all(alike) {
            let already =
                |class: &Vec<LikeBar>| Likeness { bars: bars_of(class), outcome: Alike::Already };
            return Ok(classes.iter().map(already).collect());
        }
        let mut tried = 0;
        let mut likenesses = Vec::with_capacity(classes.len());
        // Classes that were alike, which nothing may part any more.
        let mut found: Vec<Vec<LikeBar>> = Vec::new();
        for class in classes {
            let outcome = self.try_class(&class, &mut tried)?;
            if outcome == Alike::Already {
                let way = self.way_of_bar(&class[0]);
                self.hold(&class, &way);
                self.solve_layers_again(&class)?;
                found.push(class.clone());
            }
            likenesses.push(Likeness { bars: bars_of(&class), outcome });
        }
        self.release(&found)?;
        Ok(likenesses)
    }

    fn try_class(&mut self, class: &[LikeBar], tried: &mut usize) -> Result<Alike, HandsError> {
        let now: Vec<Way> = class.iter().map(|bar| self.way_of_bar(bar)).collect();
        let mut ways: Vec<(BarIndex, &Way)> = Vec::new();
        for (bar, way) in class.iter().zip(&now) {
            if ways.iter().all(|(_, other)| *other != way) {
                ways.push((bar.bar, way));
            }
        }
        if ways.len() == 1 {
            return Ok(Alike::Already);
        }
        let count = ways.len();
        ways.retain(|(_, way)| way.iter().flatten().all(|played| *played != Played::OUT));
        if count > MOST_WAYS || *tried + ways.len() > MOST_TRIED {
            return Ok(Alike::NotTried { ways: count as u32 });
        }
        *tried += ways.len();
        let price = self.price();
        let as_it_was = self.search.ground.rules.clone();
        let mut best: Option<(Price, BarIndex, &Way)> = None;
        for (bar, way) in ways {
            self.hold(class, way);
            self.solve_layers_again(class)?;
            let held = self.price();
            let plays = class.iter().all(|bar| self.way_of_bar(bar) == *way);
            if plays
                && held.escapes <= price.escapes
                && held.broken <= price.broken
                && best.is_none_or(|(best, ..)| held.effort < best.effort)
            {
                best = Some((held, bar, way));
            }
        }
        let outcome = best.map(|(held, like, way)| {
            let all = now.iter().flat_map(|now| now.iter().flatten().zip(way.iter().flatten()));
            let notes = all.filter(|(now, then)| now != then).count();
            let more = held.effort.saturating_sub(price.effort);
            let worth = u64::try_from(self.problem.effort.alike).unwrap_or(0) * notes as u64;
            (MadeAlike { like, notes: notes as u32, more, worth }, way)
        });
        match outcome {
            Some((made, way)) if made.more <= made.worth => {
                self.hold(class, way);
                self.solve_layers_again(class)?;
                for layer in class.iter().flat_map(|bar| bar.layers.clone()) {
                    self.held_alike.insert(layer, bars_of(class));
                }
                Ok(Alike::Made(made))
            }
            outcome => {
                self.search.ground.rules = as_it_was;
                self.solve_layers_again(class)?;
                Ok(outcome.map_or(Alike::Impossible, |(made, _)| Alike::TooDear(made)))
            }
        }
    }

    /// How the best way fingers a bar.
    fn way_of_bar(&self, bar: &LikeBar) -> Way {
        let layers = bar.layers.clone();
        layers
            .map(|layer| {
                let struck = self.search.ground.music.layers[layer].struck().len();
                let choice = self.search.way[layer];
                (0..struck).map(|index| self.search.played(layer, index, choice)).collect()
            })
            .collect()
    }

    /// Leaves the sounds of bars no placement but those of a way.
    fn hold(&mut self, class: &[LikeBar], way: &Way) {
        for bar in class {
            for (layer, way) in bar.layers.clone().zip(way) {
                let ground = &mut self.search.ground;
                let mut rules = ground.rules_under(&self.problem, &self.pins, layer);
                for (struck, played) in rules.struck.iter_mut().zip(way) {
                    struck.candidates.retain(|c| {
                        (c.string, c.fret, c.finger) == (played.string, played.fret, played.finger)
                    });
                }
                ground.set_rules(layer, rules);
            }
        }
    }

    /// Lets go of bars that were alike by themselves, if the best way has them so
    /// without.
    fn release(&mut self, found: &[Vec<LikeBar>]) -> Result<(), HandsError> {
        let held = self.search.ground.rules.clone();
        for layer in found.iter().flatten().flat_map(|bar| bar.layers.clone()) {
            let rules = self.search.ground.rules_under(&self.problem, &self.pins, layer);
            self.search.ground.set_rules(layer, rules);
        }
        let ways: Vec<Vec<Way>> = found
            .iter()
            .map(|class| class.iter().map(|bar| self.way_of_bar(bar)).collect())
            .collect();
        let price = self.price();
        let all: Vec<LikeBar> = found.iter().flatten().cloned().collect();
        self.solve_layers_again(&all)?;
        let same = found.iter().zip(&ways).all(|(class, ways)| {
            class.iter().zip(ways).all(|(bar, way)| self.way_of_bar(bar) == *way)
        });
        if same && self.price() == price {
            return Ok(());
        }
        self.search.ground.rules = held;
        for class in found {
            for layer in class.iter().flat_map(|bar| bar.layers.clone()) {
                self.held_alike.insert(layer, bars_of(class));
            }
        }
        self.solve_layers_again(&all)
    }

    /// The same with no bars held.
    pub fn freed(&self) -> Result<Self, HandsError> {
        let mut freed = self.clone();
        let layers: Vec<usize> = freed.held_alike.keys().copied().collect();
        freed.held_alike.clear();
        for layer in &layers {
            let rules = freed.search.ground.rules_under(&freed.problem, &freed.pins, *layer);
            freed.search.ground.set_rules(*layer, rules);
        }
        freed.again(&layers)?;
        Ok(freed)
    }

    fn solve_layers_again(&mut self, bars: &[LikeBar]) -> Result<(), HandsError> {
        let mut layers: Vec<usize> = bars.iter().flat_map(|bar| bar.layers.clone()).collect();
        layers.sort_unstable();
        self.again(&layers)
    }
}

fn bars_of(class: &[LikeBar]) -> Vec<BarIndex> {
    class.iter().map(|bar| bar.bar).collect()
}

impl Likeness {
    /// What became of the bars, in a sentence without a full stop.
    pub fn sentence(&self, score: &Score) -> String {
        let bars = bars_in_words(score, &self.bars);
        let like = |made: &MadeAlike| format!("like bar {}", score.bar(made.like).number);
        let notes = |made: &MadeAlike| match made.notes {
            1 => "1 note".to_owned(),
            notes => format!("{notes} notes"),
        };
        match &self.outcome {
            Alike::Already => format!("{bars} have the same notes and are fingered alike"),
            Alike::Made(made) => format!(
                "{bars} have the same notes and are all fingered {}: {} played otherwise, effort {} more",
                like(made),
                notes(made),
                made.more
            ),
            Alike::TooDear(made) => format!(
                "{bars} have the same notes and are not fingered alike: {} that would cost {} more for {} played otherwise, and may cost {}",
                like(made),
                made.more,
                notes(made),
                made.worth
            ),
            Alike::Impossible => format!(
                "{bars} have the same notes and are not fingered alike: no way of one of them does for all"
            ),
            Alike::NotTried { ways } => format!(
                "{bars} have the same notes and are fingered in {ways} ways, too many to try which does for all"
            ),
        }
    }

    /// The finding on bars that are not fingered alike; `None` if they are.
    pub fn finding(&self, score: &Score, part: PartIndex) -> Option<Finding> {
        let remedy = match self.outcome {
            Alike::Already | Alike::Made(_) => return None,
            Alike::TooDear(_) => "pin them alike, or raise the effort value “alike”",
            Alike::Impossible | Alike::NotTried { .. } => "pin them alike if they should be",
        };
        let first = score.bar(*self.bars.first()?).start;
        Some(Finding {
            rule: "like-bars-differ",
            severity: Severity::Advice,
            place: when::place(score, part, first),
            message: self.sentence(score),
            remedy: Some(remedy.to_owned()),
            remedies: Vec::new(),
        })
    }
}

/// `bars 1, 3 and 5`.
pub(crate) fn bars_in_words(score: &Score, bars: &[BarIndex]) -> String {
    let numbers: Vec<String> = bars.iter().map(|bar| score.bar(*bar).number.to_string()).collect();
    match &numbers[..] {
        [all @ .., last] if !all.is_empty() => format!("bars {} and {last}", all.join(", ")),
        _ => format!("bar {}", numbers.concat()),
    }
}
