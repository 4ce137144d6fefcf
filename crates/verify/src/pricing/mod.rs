//! What a fingering costs (section 5 of the model), and whether it says so.

mod holding;
mod posture;
mod shifting;
mod stepping;

use std::collections::BTreeMap;

use apoyando_fingering::{EffortTable, Fingering, Price, Problem, Term};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::Moment;

use crate::hand::Hand;
use crate::layers::Layers;
use crate::time::Clock;
use crate::violation::{Fault, Violation};

pub(crate) use shifting::{Shifting, shifting};

/// Everything that is charged.
pub(crate) struct Bill {
    escapes: usize,
    broken: usize,
    /// Amounts by layer and term; a move is charged at its later layer.
    items: BTreeMap<(usize, Term), i64>,
}

impl Bill {
    /// The bill of postures, `broken` rules of the author on it already.
    pub(crate) fn of(
        problem: &Problem<'_>,
        all: &Layers<'_>,
        hands: &[Hand],
        broken: usize,
    ) -> Self {
        let clock = Clock::of(all.score);
        let mut bill = Self { escapes: 0, broken, items: BTreeMap::new() };
        let mut last_stopped = None;
        // The latest written end of what has been struck.
        let mut over = None;
        for (layer, hand) in hands.iter().enumerate() {
            bill.escapes += hand.left_out.len();
            let mut charge = Charges { bill: &mut bill, layer, table: problem.effort };
            posture::charge(problem, hand, &mut charge);
            if let Some(before) = layer.checked_sub(1) {
                let step = Step {
                    before: &hands[before],
                    after: hand,
                    to: all.layers[layer].at,
                    rested: over < Some(all.layers[layer].at),
                    hurry: clock.hurry(all.layers[before].at, all.layers[layer].at),
                };
                stepping::charge(&step, &mut charge);
                holding::charge(all, &step, &mut charge);
                let since = if step.before.idle() { last_stopped } else { Some(before) };
                if let Some(since) = since {
                    let hurry = clock.hurry(all.layers[since].at, step.to);
                    shifting::charge(problem.instrument, &step, hurry, &mut charge);
                }
            }
            let struck = &all.sounds[all.layers[layer].struck.clone()];
            over = over.max(struck.iter().map(|sound| sound.written_end).max());
            if !hand.idle() {
                last_stopped = Some(layer);
            }
        }
        bill
    }

    pub(crate) fn price(&self) -> Price {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let effort: i64 = self.items.values().sum();
        Price {
            escapes: count(self.escapes),
            broken: count(self.broken),
            effort: u64::try_from(effort).unwrap_or(0),
        }
    }
}

/// Two layers in succession.
pub(crate) struct Step<'a> {
    pub(crate) before: &'a Hand,
    pub(crate) after: &'a Hand,
    /// The onset of the later one.
    pub(crate) to: Moment,
    pub(crate) hurry: i64,
    /// Whether everything struck up to the earlier one is over before.
    pub(crate) rested: bool,
}

/// Writes on the bill what one layer costs.
pub(crate) struct Charges<'a> {
    bill: &'a mut Bill,
    layer: usize,
    table: &'a EffortTable,
}

impl Charges<'_> {
    pub(crate) fn value(&self, term: Term) -> i64 {
        i64::from(self.table.value(term))
    }

    /// Charges an amount.
    pub(crate) fn amount(&mut self, term: Term, amount: i64) {
        *self.bill.items.entry((self.layer, term)).or_default() += amount;
    }

    /// Charges the value of a term so many times.
    pub(crate) fn times(&mut self, term: Term, times: i64) {
        self.amount(term, self.value(term) * times);
    }
}

/// Distance of a fret from the nut, in tenths of a millimetre.
pub(crate) fn from_nut(instrument: &Instrument, fret: i64) -> i64 {
    let fret = Fret(u8::try_from(fret).unwrap_or(0));
    i64::from(instrument.point(Place { string: StringNumber::FIRST, fret }).along.0)
}

/// Holds the bill against the fingering's own price and items.
pub(crate) fn compare(
    all: &Layers<'_>,
    bill: &Bill,
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    let mut said: BTreeMap<(usize, Term), i64> = BTreeMap::new();
    let mut sum = 0i64;
    for item in &fingering.items {
        sum = sum.saturating_add(item.amount);
        match all.layers.binary_search_by_key(&item.at, |layer| layer.at) {
            Ok(layer) => {
                let amount = said.entry((layer, item.term)).or_default();
                *amount = amount.saturating_add(item.amount);
            }
            Err(_) => found.push(Violation::whole(Fault::ItemNowhere(*item))),
        }
    }
    let mut keys: Vec<(usize, Term)> = said.keys().chain(bill.items.keys()).copied().collect();
    keys.sort_unstable();
    keys.dedup();
    for (layer, term) in keys {
        let amount = |of: &BTreeMap<_, i64>| of.get(&(layer, term)).copied().unwrap_or(0);
        let (said, wanted) = (amount(&said), amount(&bill.items));
        if said != wanted {
            let fault = Fault::Item { term, found: said, wanted };
            found.push(Violation::at(all.spot(layer), fault));
        }
    }
    if i128::from(sum) != i128::from(fingering.price.effort) {
        found.push(Violation::whole(Fault::ItemSum { sum, price: fingering.price.effort }));
    }
    let wanted = bill.price();
    if fingering.price != wanted {
        found.push(Violation::whole(Fault::Price { found: fingering.price, wanted }));
    }
}
