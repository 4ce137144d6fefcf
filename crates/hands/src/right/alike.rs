//! Bars that are one task to the right hand are plucked alike (model §6).

use std::collections::HashMap;

use apoyando_music::{BarIndex, Duration, Score};

use super::Asked;
use super::beat::{Beat, Beats};
use super::hand::Hand;
use super::home::THICK;
use super::way::Table;
use crate::answer::like_bars::bars_in_words;

/// A class whose bars are plucked in more ways is not tried.
const MOST_WAYS: usize = 8;

/// So many ways are tried in all.
const MOST_TRIED: usize = 400;

/// Bars that are plucked alike, which the cheapest hand would part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PluckedAlike {
    /// The bars, in order.
    pub bars: Vec<BarIndex>,
    /// The bar whose fingers all have.
    pub like: BarIndex,
    /// How many sounds the cheapest hand would have plucked otherwise.
    pub sounds: u32,
    /// By how much the whole right hand costs more.
    pub more: u64,
}

impl PluckedAlike {
    /// What was done, in a sentence without a full stop.
    pub fn sentence(&self, score: &Score) -> String {
        let bars = bars_in_words(score, &self.bars);
        let like = score.bar(self.like).number;
        let notes = match self.sounds {
            1 => "1 note".to_owned(),
            sounds => format!("{sounds} notes"),
        };
        let more = self.more;
        format!(
            "{bars} are one task to the right hand and are all plucked like bar {like}: {notes} \
             plucked otherwise, effort {more} more"
        )
    }
}

/// All that the price of a hand within a bar depends on: two bars with one look
/// cost the same with the same fingers.
#[derive(PartialEq, Eq, Hash)]
struct Look {
    beats: Vec<BeatLook>,
    /// Milliseconds from beat to beat.
    times: Vec<i64>,
}

#[derive(PartialEq, Eq, Hash)]
struct BeatLook {
    /// From the beginning of the bar.
    at: Duration,
    line: bool,
    lone_bass: bool,
    broken: bool,
    begins: bool,
    given: Option<u8>,
    plucks: Vec<PluckLook>,
}

#[derive(PartialEq, Eq, Hash)]
struct PluckLook {
    bass: bool,
    home: u8,
    allowed: u8,
    /// Whether the string is for the fingers.
    thin: bool,
    /// Places the string among those of its bar; on a line, the string itself,
    /// for a tune of another course is another tune.
    string: u8,
}

/// The beats of a bar.
#[derive(Clone, Debug)]
struct Bar {
    bar: BarIndex,
    beats: std::ops::Range<usize>,
}

/// Makes bars alike in a table, class by class in the order of their first bars,
/// where that costs at most the effort value `rh_alike` for each sound plucked
/// otherwise; says what was made so.
pub(super) fn make_alike(asked: &Asked<'_>, table: &mut Table<'_>) -> Vec<PluckedAlike> {
    let mut made = Vec::new();
    let mut tried = 0;
    let classes = classes(asked, table.beats);
    if classes.is_empty() {
        return made;
    }
    let (mut now, mut price) = table.cheapest(asked.plan);
    for class in classes {
        let ways = ways(&class, &now);
        if let [(_, way)] = &ways[..] {
            // The cheapest hand has it so: nothing is to be looked at again.
            bind(table, &class, way);
            continue;
        }
        // What was tried before is looked at again only with the next way.
        if ways.len() > MOST_WAYS || tried + ways.len() > MOST_TRIED {
            continue;
        }
        tried += ways.len();
        let mut best: Option<(i64, BarIndex, Vec<Hand>)> = None;
        for (bar, way) in ways {
            hold(table, &class, &way);
            let (_, held) = table.cheapest(asked.plan);
            if best.as_ref().is_none_or(|(least, ..)| held < *least) {
                best = Some((held, bar, way));
            }
        }
        let Some((held, like, way)) = best else { continue };
        let differs = |bar: &Bar| differing(&now[bar.beats.clone()], &way);
        let sounds: u32 = class.iter().map(differs).sum();
        let worth = i64::from(asked.problem.effort.rh_alike) * i64::from(sounds);
        if held - price <= worth {
            hold(table, &class, &way);
            let bars = class.iter().map(|bar| bar.bar).collect();
            let more = u64::try_from(held - price).unwrap_or(0);
            made.push(PluckedAlike { bars, like, sounds, more });
            (now, price) = table.cheapest(asked.plan);
        } else {
            free(table, &class);
        }
    }
    table.look_onward();
    made
}

/// The different ways in which bars are plucked, each with the first bar that has
/// it.
fn ways(class: &[Bar], now: &[Hand]) -> Vec<(BarIndex, Vec<Hand>)> {
    let mut ways: Vec<(BarIndex, Vec<Hand>)> = Vec::new();
    for bar in class {
        let way = &now[bar.beats.clone()];
        if ways.iter().all(|(_, other)| other != way) {
            ways.push((bar.bar, way.to_vec()));
        }
    }
    ways
}

fn differing(now: &[Hand], way: &[Hand]) -> u32 {
    let fingers = |hands: &[Hand]| hands.iter().flat_map(|hand| hand.fingers()).collect::<Vec<_>>();
    let pairs = fingers(now).into_iter().zip(fingers(way));
    pairs.map(|(one, other)| u32::from(one != other)).sum()
}

fn hold(table: &mut Table<'_>, class: &[Bar], way: &[Hand]) {
    bind(table, class, way);
    table.look_onward();
}

fn bind(table: &mut Table<'_>, class: &[Bar], way: &[Hand]) {
    for bar in class {
        for (beat, hand) in bar.beats.clone().zip(way) {
            table.hold(beat, *hand);
        }
    }
}

fn free(table: &mut Table<'_>, class: &[Bar]) {
    for beat in class.iter().flat_map(|bar| bar.beats.clone()) {
        table.free(beat);
    }
}

/// The classes of at least two bars with one look.
fn classes(asked: &Asked<'_>, beats: &Beats) -> Vec<Vec<Bar>> {
    let bar_of = |beat: &Beat| asked.music.layers[beat.layer].bar;
    let mut classes: Vec<Vec<Bar>> = Vec::new();
    let mut by_look: HashMap<Look, usize> = HashMap::new();
    let mut first = 0;
    while let Some(beat) = beats.beats.get(first) {
        let bar = bar_of(beat);
        let past = first + beats.beats[first..].partition_point(|beat| bar_of(beat) <= bar);
        let own = Bar { bar, beats: first..past };
        let look = look(asked, beats, &own);
        match by_look.get(&look) {
            Some(class) => classes[*class].push(own),
            None => {
                by_look.insert(look, classes.len());
                classes.push(vec![own]);
            }
        }
        first = past;
    }
    classes.retain(|class| class.len() > 1);
    classes
}

fn look(asked: &Asked<'_>, beats: &Beats, bar: &Bar) -> Look {
    let start = asked.problem.score.bar(bar.bar).start;
    let own = &beats.beats[bar.beats.clone()];
    let mut strings: Vec<u8> =
        own.iter().flat_map(|beat| beats.plucks(beat)).map(|pluck| pluck.string).collect();
    strings.sort_unstable();
    strings.dedup();
    let has_line = own.iter().any(|beat| beat.line);
    let place = |string: u8| {
        let among = strings.iter().position(|other| *other == string).unwrap_or(0);
        if has_line { string } else { among as u8 }
    };
    let beat_look = |beat: &Beat| BeatLook {
        at: asked.music.layers[beat.layer].onset - start,
        line: beat.line,
        lone_bass: beat.lone_bass,
        broken: beat.broken,
        begins: beat.begins,
        given: beat.given,
        plucks: beats
            .plucks(beat)
            .iter()
            .map(|pluck| PluckLook {
                bass: pluck.bass,
                home: pluck.home,
                allowed: pluck.allowed,
                thin: pluck.string < THICK,
                string: place(pluck.string),
            })
            .collect(),
    };
    Look {
        beats: own.iter().map(beat_look).collect(),
        times: own.windows(2).map(|pair| (asked.time)(pair[0].layer, pair[1].layer)).collect(),
    }
}
