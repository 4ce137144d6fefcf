//! *Like bars* of section 6 of the model, read plainly: every class, every way of
//! its bars, every sequence of hands that keeps to it.

use std::collections::BTreeSet;

use apoyando_fingering::RightFinger;
use apoyando_hands::finger;
use apoyando_hands::right::{pluck, pluck_alike};
use apoyando_music::BarIndex;

use crate::brute::{Brute, Hand};
use crate::heard::{Role, milliseconds};
use crate::puzzle::Puzzle;
use crate::said;

/// Layers in which something is plucked, by bar.
fn bars(brute: &Brute<'_>) -> Vec<Vec<usize>> {
    let bar = |layer: usize| brute.heard.bars[brute.layers[layer].at];
    let all: BTreeSet<BarIndex> = (0..brute.layers.len()).map(bar).collect();
    let of = |own: BarIndex| (0..brute.layers.len()).filter(|l| bar(*l) == own).collect();
    all.into_iter().map(of).collect()
}

fn one_task(brute: &Brute<'_>, a: &[usize], b: &[usize]) -> bool {
    if a.len() != b.len() {
        return false;
    }
    let onset = |layer: usize| brute.heard.layers[brute.layers[layer].at];
    let start =
        |bar: &[usize]| brute.problem.score.bar(brute.heard.bars[brute.layers[bar[0]].at]).start;
    let strings = |bar: &[usize]| -> BTreeSet<u8> {
        bar.iter().flat_map(|l| &brute.layers[*l].struck).map(|s| s.string).collect()
    };
    let lines = a.iter().chain(b).any(|l| brute.is_line(*l));
    let place = |bar: &[usize], string: u8| {
        if lines { usize::from(string) } else { strings(bar).range(..string).count() }
    };
    let home = |layer: usize, string: u8| brute.at_home(layer, string);
    let free = |layer: usize, sound: usize| {
        let set = brute.allowed(layer, sound, None);
        if set.is_empty() { RightFinger::ALL.to_vec() } else { set }
    };
    let like_layers = |x: usize, y: usize| {
        let (p, q) = (&brute.layers[x].struck, &brute.layers[y].struck);
        onset(x) - start(a) == onset(y) - start(b)
            && brute.is_line(x) == brute.is_line(y)
            && brute.is_lone_bass(x) == brute.is_lone_bass(y)
            && brute.broken(x).is_some() == brute.broken(y).is_some()
            && brute.begins_a_rise(x) == brute.begins_a_rise(y)
            && brute.given(x) == brute.given(y)
            && p.len() == q.len()
            && p.iter().zip(q).all(|(s, t)| {
                (brute.role(*s) == Role::Bass) == (brute.role(*t) == Role::Bass)
                    && home(x, s.string) == home(y, t.string)
                    && free(x, s.sound) == free(y, t.sound)
                    && (s.string >= 4) == (t.string >= 4)
                    && place(a, s.string) == place(b, t.string)
            })
    };
    let times = |bar: &[usize]| -> Vec<i64> {
        bar.windows(2).map(|p| milliseconds(brute.problem, onset(p[0]), onset(p[1]))).collect()
    };
    times(a) == times(b) && a.iter().zip(b).all(|(x, y)| like_layers(*x, *y))
}

/// The way, its price, and how many classes were made alike.
fn alike(brute: &mut Brute<'_>) -> (i32, Vec<Hand>, usize) {
    let mut classes: Vec<Vec<Vec<usize>>> = Vec::new();
    for bar in bars(brute) {
        match classes.iter_mut().find(|class| one_task(brute, &class[0], &bar)) {
            Some(class) => class.push(bar),
            None => classes.push(vec![bar]),
        }
    }
    let mut made = 0;
    let worth_of_one = brute.problem.effort.rh_alike;
    for class in classes.into_iter().filter(|class| class.len() > 1) {
        let (price, now) = brute.best();
        let way = |bar: &[usize]| -> Vec<Hand> { bar.iter().map(|l| now[*l].clone()).collect() };
        let mut ways: Vec<Vec<Hand>> = Vec::new();
        for bar in &class {
            if !ways.contains(&way(bar)) {
                ways.push(way(bar));
            }
        }
        let free: Vec<Vec<Hand>> = brute.layers.iter().map(|layer| layer.hands.clone()).collect();
        let hold = |brute: &mut Brute<'_>, way: &[Hand]| {
            for (layer, hand) in class.iter().flat_map(|bar| bar.iter().zip(way)) {
                brute.layers[*layer].hands = vec![hand.clone()];
            }
        };
        let mut tried: Vec<(i32, Vec<Hand>)> = Vec::new();
        for way in &ways {
            hold(brute, way);
            tried.push((brute.best().0, way.clone()));
            for (layer, hands) in brute.layers.iter_mut().zip(&free) {
                layer.hands.clone_from(hands);
            }
        }
        let least = tried.iter().map(|(held, _)| *held).min().unwrap();
        let (held, chosen) = tried.into_iter().find(|(held, _)| *held == least).unwrap();
        let others: usize = class
            .iter()
            .flat_map(|bar| bar.iter().zip(&chosen))
            .map(|(l, hand)| now[*l].iter().zip(hand).filter(|(a, b)| a != b).count())
            .sum();
        if held - price <= worth_of_one * others as i32 {
            made += usize::from(ways.len() > 1);
            hold(brute, &chosen);
        }
    }
    let (price, way) = brute.best();
    (price, way, made)
}

#[test]
fn like_bars_are_plucked_as_the_model_says() {
    let (mut made, mut dearer, mut apart) = (0, 0, 0);
    for seed in 0..1500 {
        let puzzle = Puzzle::again(seed);
        let problem = puzzle.problem();
        let left = finger(&problem, &puzzle.plan).expect("a fingering").fingering;
        let mut brute = Brute::new(&problem, &puzzle.plan, &left);
        let (price, way, count) = alike(&mut brute);
        let hand = pluck_alike(&problem, &puzzle.plan, &left).expect("a right hand");
        assert_eq!(said(&brute, &hand), way, "seed {seed}");
        assert_eq!(hand.effort, price as u64, "seed {seed}");
        let sum: i64 = hand.items.iter().map(|item| item.amount).sum();
        assert_eq!(sum, i64::from(price), "seed {seed}");
        assert_eq!(hand.alike.len(), count, "seed {seed}");
        let cheapest = pluck(&problem, &puzzle.plan, &left).expect("a right hand");
        let more: u64 = hand.alike.iter().map(|made| made.more).sum();
        assert_eq!(cheapest.effort + more, hand.effort, "seed {seed}");
        made += count;
        dearer += usize::from(more > 0);
        let halves = bars(&brute);
        let of = |bar: &[usize]| bar.iter().map(|l| way[*l].clone()).collect::<Vec<_>>();
        apart += usize::from(halves.iter().any(|bar| of(bar) != of(&halves[0])));
    }
    assert!(made > 20 && dearer > 20 && apart > 20, "{made} made, {dearer} dearer, {apart} apart");
}
