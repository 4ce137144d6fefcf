//! Every sequence of postures that the price to beat does not rule out, layer
//! by layer: of all ways to one posture and memory the cheapest are followed.
//!
//! Nothing is less than nothing: no posture, move or seam costs less than 0. So
//! what is spent at a layer, with the least that the sounds struck later must
//! cost by themselves (`ahead`), is the least that any sequence can cost.

use std::collections::{BTreeMap, HashMap};
use std::rc::Rc;

use crate::ahead::ahead;
use crate::crossing::{Crossing, cross};
use crate::grip::{Place, Posture, Spot, Stands};
use crate::heard::Kind;
use crate::lists::postures;
use crate::moves::{Move, Past, of_move, of_past, remembered};
use crate::question::Question;
use crate::second::{changes_stand, taken_over};
use crate::stay::{stands, ways_to_stay};
use crate::ways::{Best, Reached, Ways};
use crate::whole::{Cost, own};

/// A posture without fingers that stay, with what it costs.
struct Entry {
    posture: Posture,
    own: Cost,
    /// Where fingers may stay; found when first asked for.
    stands: std::cell::OnceCell<[Vec<(Place, bool)>; 4]>,
}

type List = Rc<Vec<Entry>>;

/// The list of an entry, its place in the list, and where fingers stay.
type Grip = (usize, usize, Stands);

/// Posture and memory.
type State = (Grip, Past, Vec<Crossing>);

type Layer = (Vec<State>, Vec<Reached>);

pub struct Walk<'a> {
    pub q: &'a Question<'a>,
    /// The price to beat.
    pub bound: Cost,
    /// Postures asked for at layers.
    pub asked: Vec<Asked<'a>>,
    /// As many states as are followed from each layer, the cheapest.
    pub widest: usize,
    /// States followed in all.
    pub followed: usize,
    ahead: Vec<Cost>,
    lists: Vec<List>,
    known: HashMap<(usize, Vec<(usize, Spot)>), usize>,
}

pub type Asked<'a> = (usize, &'a dyn Fn(&Posture) -> bool);

/// More than anything costs.
pub const NO_BOUND: Cost = Cost(i64::MAX / 4, 0, 0);

impl<'a> Walk<'a> {
    pub fn new(q: &'a Question<'a>, bound: Cost) -> Self {
        let ahead = ahead(q);
        let (lists, known) = (Vec::new(), HashMap::new());
        Self { q, bound, asked: Vec::new(), widest: usize::MAX, followed: 0, ahead, lists, known }
    }

    /// The best of all sequences, the first in the order of ties, if any costs
    /// no more than the price to beat.
    pub fn best(&mut self) -> Option<Best> {
        let ways = self.ways();
        ways.best(&|_| true)
    }

    /// All sequences that cost no more than the price to beat, and some more.
    pub fn ways(&mut self) -> Ways<'a> {
        let mut layers: Vec<Layer> = Vec::new();
        for layer in 0..self.q.layers() {
            let next = self.step(layer, layers.last());
            self.followed += next.0.len();
            layers.push(next);
        }
        let postures = |layer: &Layer| layer.0.iter().map(|state| self.posture(state.0)).collect();
        let postures = layers.iter().map(postures).collect();
        let reached = layers.into_iter().map(|(_, reached)| reached).collect();
        Ways { q: self.q, postures, reached }
    }

    fn list(&mut self, layer: usize, kept: &[(usize, Spot)]) -> (usize, List) {
        let key = (layer, kept.to_vec());
        if let Some(number) = self.known.get(&key) {
            return (*number, self.lists[*number].clone());
        }
        let asked = |posture: &Posture| {
            let mut here = self.asked.iter().filter(|(at, _)| *at == layer);
            here.all(|(_, wanted)| wanted(posture))
        };
        let all = postures(self.q, layer, kept).into_iter().filter(asked);
        let entry = |posture: Posture| Entry {
            own: own(self.q, &posture),
            posture,
            stands: std::cell::OnceCell::new(),
        };
        let list = List::new(all.map(entry).collect());
        let number = self.lists.len();
        self.known.insert(key, number);
        self.lists.push(list.clone());
        (number, list)
    }

    pub fn posture(&self, (list, index, stays): Grip) -> Posture {
        Posture { stays, ..self.lists[list][index].posture.clone() }
    }

    /// Every posture that may follow one, or begin anew at a layer, and the least
    /// that each costs by itself as the walk reckons ahead.
    pub fn next(&mut self, layer: usize, before: Option<&Posture>) -> Vec<Posture> {
        let q = self.q;
        let mut next = Vec::new();
        for kept in before.map_or(vec![Vec::new()], |s| ways_to_keep(q, s)) {
            let (_, list) = self.list(layer, &kept);
            let changes = |n: &Posture| before.is_none_or(|s| changes_stand(q, s, n));
            let follows = |n: &Posture| stands_next(before, n) && changes(n);
            for entry in list.iter().filter(|entry| follows(&entry.posture)) {
                let least = self.ahead[layer];
                assert!(entry.own + self.ahead[layer + 1] >= least, "{:#?}", entry.posture);
                let stands = entry.stands.get_or_init(|| stands(q, &entry.posture));
                let ways = ways_to_stay(q, before, &entry.posture, stands);
                next.extend(
                    ways.into_iter().map(|stays| Posture { stays, ..entry.posture.clone() }),
                );
            }
        }
        next
    }

    fn step(&mut self, layer: usize, before: Option<&Layer>) -> Layer {
        let q = self.q;
        let mut found = Found::default();
        match before {
            None => {
                let past = (Past::default(), vec![Crossing::default(); q.played.seams.len()]);
                self.begin(layer, &[(None, Cost::default(), past.1)], &mut found);
            }
            Some((states, reached)) if !q.is_reached(layer) => {
                let all: Vec<_> = (0..states.len())
                    .map(|i| (Some(i), reached[i].spent, states[i].2.clone()))
                    .collect();
                self.begin(layer, &all, &mut found);
            }
            Some((states, reached)) => {
                let mut alike: BTreeMap<Grip, Vec<usize>> = BTreeMap::new();
                for (index, state) in states.iter().enumerate() {
                    alike.entry(state.0).or_default().push(index);
                }
                for (grip, members) in alike {
                    let s = self.posture(grip);
                    self.go_on(layer, &s, (states, reached), &members, &mut found);
                }
            }
        }
        let mut next = found.in_order();
        if next.0.len() > self.widest {
            let mut order: Vec<usize> = (0..next.0.len()).collect();
            order.sort_by_key(|i| next.1[*i].spent);
            order.truncate(self.widest);
            order.sort_unstable();
            let left = |index: usize| order.binary_search(&index).is_ok();
            let mut number = 0..;
            next.0.retain(|_| left(number.next().unwrap()));
            let mut number = 0..;
            next.1.retain(|_| left(number.next().unwrap()));
        }
        next
    }

    /// What begins anew: nothing is kept, no hand has a position before.
    fn begin(
        &mut self,
        layer: usize,
        all: &[(Option<usize>, Cost, Vec<Crossing>)],
        found: &mut Found,
    ) {
        let q = self.q;
        let (number, list) = self.list(layer, &[]);
        for (index, entry) in list.iter().enumerate() {
            let n = &entry.posture;
            if !stands_next(None, n) {
                continue;
            }
            let stands = entry.stands.get_or_init(|| stands(q, n));
            let ways = ways_to_stay(q, None, n, stands);
            for (from, spent, crossings) in all {
                let (crossings, charged) = cross(q, crossings, n);
                let cost = entry.own + Cost(0, 0, charged);
                if *spent + cost + self.ahead[layer + 1] > self.bound {
                    continue;
                }
                for way in &ways {
                    let state = ((number, index, *way), Past::default(), crossings.clone());
                    found.add(state, *spent, *from, cost);
                }
            }
        }
    }

    /// Every posture that may follow one, from all states of that posture.
    fn go_on(
        &mut self,
        layer: usize,
        s: &Posture,
        (states, reached): (&[State], &[Reached]),
        members: &[usize],
        found: &mut Found,
    ) {
        let q = self.q;
        let least = members.iter().map(|i| reached[*i].spent).min().unwrap();
        for kept in ways_to_keep(q, s) {
            let (number, list) = self.list(layer, &kept);
            for (index, entry) in list.iter().enumerate() {
                let n = &entry.posture;
                let over = |spent: Cost| spent + entry.own + self.ahead[layer + 1] > self.bound;
                if over(least) || !stands_next(Some(s), n) || !changes_stand(q, s, n) {
                    continue;
                }
                let mut moved = 0;
                let step = |past: Past| Move { s, past, n };
                of_move(q, step(Past::default()), &mut |_, amount| moved += amount);
                if over(least + Cost(0, 0, moved)) {
                    continue;
                }
                let stands = entry.stands.get_or_init(|| stands(q, n));
                let ways = ways_to_stay(q, Some(s), n, stands);
                for from in members {
                    let (_, past, crossings) = &states[*from];
                    let mut effort = moved;
                    of_past(q, step(*past), &mut |_, amount| effort += amount);
                    let (crossings, charged) = cross(q, crossings, n);
                    let spent = reached[*from].spent;
                    let cost = Cost(0, 0, effort + charged);
                    if over(spent + cost) {
                        continue;
                    }
                    let cost = cost + entry.own;
                    let past = remembered(q, Some((s, *past)), n);
                    for way in &ways {
                        let state = ((number, index, *way), past, crossings.clone());
                        found.add(state, spent, Some(*from), cost);
                    }
                }
            }
        }
    }
}

/// States of a layer as they are found.
#[derive(Default)]
struct Found {
    index: HashMap<State, usize>,
    states: Vec<Reached>,
}

impl Found {
    /// One more way to a state.
    fn add(&mut self, state: State, before: Cost, from: Option<usize>, cost: Cost) {
        let next = self.states.len();
        let index = *self.index.entry(state).or_insert(next);
        let spent = before + cost;
        if index == next {
            self.states.push(Reached { spent, from: Vec::new() });
        }
        let reached = &mut self.states[index];
        reached.spent = reached.spent.min(spent);
        reached.from.push((from, cost));
    }

    fn in_order(self) -> Layer {
        let mut states: Vec<(State, usize)> = self.index.into_iter().collect();
        states.sort_by_key(|(_, index)| *index);
        (states.into_iter().map(|(state, _)| state).collect(), self.states)
    }
}

/// M1 and M2: what of a posture's sounds may sound on, every choice of them,
/// with their spots.
pub fn ways_to_keep(q: &Question<'_>, s: &Posture) -> Vec<Vec<(usize, Spot)>> {
    let mut ways = vec![Vec::new()];
    let sounding = q.wanted[s.layer + 1].iter().filter_map(|sound| {
        let at = s.spot_of(q, *sound)?;
        let natural = q.sound(*sound).kind == Kind::Natural;
        Some((*sound, if natural { Spot { fret: 0, finger: 0, ..at } } else { at }))
    });
    let mut sounding: Vec<(usize, Spot)> = sounding.collect();
    sounding.sort_unstable();
    for kept in sounding {
        let taken_over = taken_over(q, s, kept).into_iter().map(|at| (kept.0, at));
        let with: Vec<_> = std::iter::once(kept)
            .chain(taken_over)
            .flat_map(|kept| ways.iter().map(move |way| [&way[..], &[kept]].concat()))
            .collect();
        ways.extend(with);
    }
    let now = |(sound, at): &&(usize, Spot)| {
        at.changed && s.spot_of(q, *sound).is_some_and(|was| !was.changed)
    };
    ways.retain(|way| way.iter().filter(now).count() <= 1);
    ways
}

/// M4, and where an idle hand stands; with no posture before where the hand begins
/// anew.
pub fn stands_next(before: Option<&Posture>, n: &Posture) -> bool {
    let Some(s) = before else { return n.away == 0 && (!n.idle() || n.position.is_none()) };
    let in_place = s.position.is_some() && s.position == n.position;
    (!n.idle() || s.position == n.position) && ((s.away == 0 && n.away == 0) || in_place)
}
