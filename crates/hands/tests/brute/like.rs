//! Section 10 of the model, read plainly: like bars are sought by what is heard in
//! them, and every way is tried that one of them is fingered in.

use apoyando_fingering::{Pin, PinRule, Scope, Term};
use apoyando_hands::{Alike, Likeness, MadeAlike, RightPlan, solve};
use apoyando_music::{BarIndex, Duration};

use crate::compare::{differences, price_of};
use crate::grip::{Posture, Spot};
use crate::puzzle::Puzzle;
use crate::question::Question;
use crate::walk::{Asked, NO_BOUND, Walk};
use crate::ways::Best;
use crate::whole::Cost;

/// The layers of a bar.
fn layers(q: &Question<'_>, bar: BarIndex) -> Vec<usize> {
    (0..q.layers()).filter(|layer| q.heard.bars[*layer] == bar).collect()
}

/// The rules on the left hand of the pins of some scopes, in an order of their own.
fn rules(q: &Question<'_>, wanted: &dyn Fn(Scope) -> bool) -> Vec<String> {
    let pins = q.pins.iter().filter(|pin| wanted(pin.scope));
    let left = pins.filter(|pin: &&Pin| !matches!(pin.rule, PinRule::RightFingers(_)));
    let mut rules: Vec<String> = left.map(|pin| format!("{:?}", pin.rule)).collect();
    rules.sort();
    rules
}

/// Everything that has to be the same, in words.
fn heard_in(q: &Question<'_>, bar: BarIndex) -> String {
    let tones = q.problem.score.tones(q.problem.part);
    let start = q.problem.score.bar(bar).start;
    let own = layers(q, bar);
    let mut said = Vec::new();
    for layer in &own {
        said.push(format!("at {:?}", q.heard.layers[*layer] - start));
        for sound in q.struck[*layer].iter().map(|sound| q.sound(*sound)) {
            let voices: Vec<u8> = sound.tones.iter().map(|t| tones.get(*t).voice.0).collect();
            let from = sound.from.map(|(from, kind)| {
                let from = q.sound(from);
                (kind, from.key, from.onset - start)
            });
            let lasts: Duration = sound.written - sound.onset;
            said.push(format!(
                "{} {:?} {:?} {voices:?} {:?} {from:?} {lasts:?}",
                sound.key, sound.kind, sound.role, sound.auxiliaries
            ));
            for tone in &sound.tones {
                said.push(format!("{:?}", rules(q, &|scope| scope == Scope::Tone(*tone))));
            }
        }
    }
    for pair in own.windows(2) {
        said.push(format!("hurry {}", q.hurry(pair[0], pair[1])));
    }
    let mut ends: Vec<(i16, Duration)> = q
        .heard
        .sounds
        .iter()
        .filter(|sound| sound.onset < start && sound.written > start)
        .map(|sound| (sound.key, sound.written - start))
        .collect();
    ends.sort();
    said.push(format!("ends {ends:?}"));
    let over = |scope| matches!(scope, Scope::Bars { first, last } if first <= bar && bar <= last);
    said.push(format!("over {:?}", rules(q, &over)));
    said.join("; ")
}

/// Classes of at least two bars, by their first.
fn classes(q: &Question<'_>) -> Vec<Vec<BarIndex>> {
    let count = q.problem.score.bars().len() as u32;
    let bars = (0..count).map(BarIndex).filter(|bar| !layers(q, *bar).is_empty());
    let bars: Vec<BarIndex> = bars.collect();
    let like = |a: BarIndex, b: BarIndex| heard_in(q, a) == heard_in(q, b);
    let first = |bar: &BarIndex| !bars.iter().any(|other| other < bar && like(*other, *bar));
    let of = |first: &BarIndex| bars.iter().copied().filter(|bar| like(*first, *bar)).collect();
    let all: Vec<Vec<BarIndex>> = bars.iter().filter(|bar| first(bar)).map(of).collect();
    all.into_iter().filter(|class| class.len() > 1).collect()
}

type Way = Vec<Vec<Option<Spot>>>;

fn way_of(q: &Question<'_>, way: &[Posture], bar: BarIndex) -> Way {
    layers(q, bar).into_iter().map(|layer| way[layer].struck.clone()).collect()
}

/// Bars with the way they are to be fingered in.
type Held = Vec<(BarIndex, Way)>;

type Wanted = Box<dyn Fn(&Posture) -> bool>;

/// The best fingering with bars held, if it leaves out and breaks no more than is
/// allowed.
fn best_with(q: &Question<'_>, held: &Held, most: Cost) -> Option<Best> {
    let wanted: Vec<(usize, Vec<Option<Spot>>)> = held
        .iter()
        .flat_map(|(bar, way)| layers(q, *bar).into_iter().zip(way.iter().cloned()))
        .collect();
    let asked: Vec<Wanted> = wanted
        .iter()
        .map(|(_, struck)| {
            let struck = struck.clone();
            Box::new(move |posture: &Posture| posture.struck == struck) as Wanted
        })
        .collect();
    let walk = |bound: Cost, widest: usize| {
        let mut walk = Walk::new(q, bound);
        walk.widest = widest;
        let here = wanted
            .iter()
            .zip(&asked)
            .map(|((layer, _), asked)| -> Asked<'_> { (*layer, &**asked) });
        walk.asked.extend(here);
        walk.best()
    };
    let some = walk(NO_BOUND, 60).map(|best| best.price);
    let limit = Cost(most.0, most.1, i64::MAX / 4);
    let bound = some.filter(|some| (some.0, some.1) <= (most.0, most.1)).unwrap_or(limit);
    walk(bound, usize::MAX).filter(|best| best.price.0 <= most.0 && best.price.1 <= most.1)
}

/// What section 10 makes of a best fingering.
fn alike(q: &Question<'_>, mut w: Best) -> (Best, Vec<Likeness>) {
    let mut held: Held = Vec::new();
    let mut said = Vec::new();
    for bars in classes(q) {
        let mut ways: Vec<(BarIndex, Way)> = Vec::new();
        for bar in &bars {
            let way = way_of(q, &w.way, *bar);
            if ways.iter().all(|(_, other)| *other != way) {
                ways.push((*bar, way));
            }
        }
        if ways.len() == 1 {
            held.extend(bars.iter().map(|bar| (*bar, ways[0].1.clone())));
            said.push(Likeness { bars, outcome: Alike::Already });
            continue;
        }
        let whole = ways.iter().filter(|(_, way)| way.iter().flatten().all(Option::is_some));
        let mut found: Option<(Best, BarIndex, &Way)> = None;
        for (bar, way) in whole {
            let mut with = held.clone();
            with.extend(bars.iter().map(|bar| (*bar, way.clone())));
            let Some(best) = best_with(q, &with, w.price) else { continue };
            if found.as_ref().is_none_or(|(cheapest, ..)| best.price.2 < cheapest.price.2) {
                found = Some((best, *bar, way));
            }
        }
        let Some((best, like, way)) = found else {
            said.push(Likeness { bars, outcome: Alike::Impossible });
            continue;
        };
        let mut notes = 0;
        for bar in &bars {
            let now = way_of(q, &w.way, *bar);
            let pairs = now.iter().flatten().zip(way.iter().flatten());
            notes += pairs.filter(|(now, then)| now != then).count() as i64;
        }
        let (more, worth) = (best.price.2 - w.price.2, q.value(Term::Alike) * notes);
        let made = MadeAlike { like, notes: notes as u32, more: more as u64, worth: worth as u64 };
        if more <= worth {
            held.extend(bars.iter().map(|bar| (*bar, way.clone())));
            w = best;
            said.push(Likeness { bars, outcome: Alike::Made(made) });
        } else {
            said.push(Likeness { bars, outcome: Alike::TooDear(made) });
        }
    }
    (w, said)
}

#[test]
fn like_bars_are_made_alike_as_the_model_says() {
    let (mut already, mut made, mut dear, mut impossible, mut dearer) = (0, 0, 0, 0, 0);
    let mut puzzles = 0;
    for seed in 520_000..542_000 {
        let Some(puzzle) = Puzzle::of_like_bars(seed) else { continue };
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let classes = classes(&q);
        if !(2..=7).contains(&q.layers()) || classes.is_empty() {
            continue;
        }
        let solved = solve(&problem, &RightPlan::default()).expect("a fingering");
        let price = solved.price();
        let best = Walk::new(&q, price_of(&solved.solution().fingering)).best();
        let best = best.unwrap_or_else(|| panic!("seed {seed}: nothing costs as little"));
        let differs = classes.iter().any(|class| {
            let way = |bar: &BarIndex| way_of(&q, &best.way, *bar);
            class.iter().any(|bar| way(bar) != way(&class[0]))
        });
        // Of those that are alike by themselves one in eight is enough.
        if !differs && seed % 8 > 0 {
            continue;
        }
        puzzles += 1;
        let (wanted, said) = alike(&q, best);
        let ways_out = solved.ways_out().expect("ways out");
        let (solved, told) = solved.alike().expect("a fingering");
        assert_eq!(told, said, "seed {seed}");
        let found = differences(&q, &solved.solution().fingering, &wanted);
        assert!(found.is_empty(), "seed {seed}:\n{}", found.join("\n"));
        // Ways out are those of the question itself.
        assert_eq!(solved.ways_out().expect("ways out"), ways_out, "seed {seed}");
        let none_made = !told.iter().any(|told| matches!(told.outcome, Alike::Made(_)));
        assert!(!none_made || solved.price() == price, "seed {seed}");
        for likeness in said {
            match likeness.outcome {
                Alike::Already => already += 1,
                Alike::Made(it) => {
                    made += 1;
                    dearer += usize::from(it.more > 0);
                }
                Alike::TooDear(_) => dear += 1,
                Alike::Impossible => impossible += 1,
                Alike::NotTried { .. } => unreachable!("there are few bars"),
            }
        }
    }
    let counts = [already, made, dearer, dear, impossible];
    println!("puzzles {puzzles}: {counts:?}");
    let least = [80, 60, 25, 10, 10];
    assert!(counts.iter().zip(least).all(|(count, least)| *count >= least), "too few: {counts:?}");
}
