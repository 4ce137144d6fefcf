//! From where a stage is come to.

use std::ops::Range;
use std::sync::Arc;

use super::Behind;
use super::left::Left;
use crate::hand::shape::Stay;
use crate::hand::{Hold, Played};
use crate::search::cost::Cost;
use crate::search::facing::{ROW, Row, lower, shifted};
use crate::search::meets::{Leaves, Meets};
use crate::search::pair::{self, joined_from};
use crate::search::sheet::NEVER;
use crate::search::stage::Stand;

/// A shape of the stage before.
pub(super) struct Source<C> {
    pub(super) number: u32,
    pub(super) hold: Hold,
    /// All strings on which its fingers are down.
    pub(super) stopped: u16,
    /// What its fingers pay wherever they go; `None` if that is not looked up.
    pub(super) leaves: Option<Leaves>,
    /// What it leaves behind to be remembered.
    pub(super) left: pair::LeftBehind,
    /// How the sounds are played that others are to be joined from.
    pub(super) from: Vec<Option<Played>>,
    /// No more than it costs to come from it: by position, and to anywhere.
    pub(super) floor: Row<C>,
    pub(super) least: C,
    /// The same by position if it is known and the hand stays in it.
    pub(super) known: Row<C>,
    /// Its stands in which no finger stays, and those in which some do, among all
    /// such.
    pub(super) bare: Range<usize>,
    pub(super) staying: Range<usize>,
    /// Strings on which fingers stay in some of them.
    pub(super) stays_on: OnStrings,
    /// Its fingers that may stay, of those that stay anywhere, among all such.
    pub(super) offers: Range<usize>,
}

/// Strings by finger, as bits.
pub(super) type OnStrings = [u16; 4];

/// What shapes have several of, one shape after the other.
#[derive(Default)]
pub(super) struct Lists {
    /// Stands in which no finger stays.
    pub(super) bare: Vec<u32>,
    /// Stands in which fingers stay, and where.
    pub(super) staying: Vec<(u32, OnStrings)>,
    /// Fingers that may stay, by their numbers.
    pub(super) offers: Vec<u16>,
}

/// The sources of a bucket with what letting go costs, the most promising first.
pub(super) struct Ways<C> {
    pub(super) all: Vec<(u32, C)>,
    /// By the number of a finger that may stay, those that offer it.
    pub(super) offering: Vec<Vec<(u32, C)>>,
}

impl<C: Cost> Behind<'_, C> {
    /// Gathers what has to be known of the shapes of the stage before.
    pub(super) fn see(&mut self, meets: &mut Option<Meets<'_>>) {
        let (ground, layer, before) = (self.ground, self.layer, self.before);
        let pace = ground.steps[layer].pace;
        let joining = !ground.joins_into(layer + 1).is_empty();
        let least = Arc::clone(self.shifts.least_led());
        for bucket in &before.buckets {
            for (index, number) in bucket.shapes.clone().enumerate() {
                let shape = &bucket.sheet.shapes[index];
                let hold = shape.hold();
                let mut source = Source {
                    number,
                    hold,
                    stopped: hold.stopped(),
                    leaves: match meets {
                        Some(meets) if !joining => {
                            Some(meets.leaving(pace, &bucket.sheet.were[index]))
                        }
                        _ => None,
                    },
                    left: pair::LeftBehind::of(ground, layer, shape),
                    from: if joining {
                        joined_from(ground, layer, before, number)
                    } else {
                        Vec::new()
                    },
                    floor: [C::NEVER; ROW],
                    least: C::NEVER,
                    known: [C::NEVER; ROW],
                    bare: 0..0,
                    staying: 0..0,
                    stays_on: [0; 4],
                    offers: 0..0,
                };
                let lists = &self.lists;
                let from = (lists.bare.len(), lists.staying.len(), lists.offers.len());
                for at in before.stands_of(number) {
                    let stand = &before.stands[at];
                    self.offer(from.2, &hold, stand);
                    // Fingers that stay make nothing cheaper but what they do next.
                    if !stand.stays.is_empty() {
                        let mut strings: OnStrings = [0; 4];
                        for stay in stand.stays.iter() {
                            strings[usize::from(stay.finger)] |= 1 << stay.string;
                            source.stays_on[usize::from(stay.finger)] |= 1 << stay.string;
                        }
                        self.lists.staying.push((at as u32, strings));
                    } else {
                        self.lists.bare.push(at as u32);
                        lower(&mut source.floor, &self.left[at].stay());
                        lower(&mut source.known, self.left[at].known());
                        match &self.left[at] {
                            Left::Stopped { costs, .. } => {
                                lower(&mut source.floor, &shifted(stand, costs, &least));
                            }
                            Left::Away { .. } => {}
                            Left::Idle { moved, .. } => {
                                moved.iter().for_each(|moved| lower(&mut source.floor, moved));
                            }
                        }
                    }
                    let least = self.costs[stand.lanes()].iter().copied().min();
                    let least = least.filter(|least| *least != NEVER);
                    source.least = source.least.min(least.map_or(C::NEVER, |l| C::of(l.into())));
                }
                let lists = &self.lists;
                source.bare = from.0..lists.bare.len();
                source.staying = from.1..lists.staying.len();
                source.offers = from.2..lists.offers.len();
                self.sources.push(source);
            }
        }
    }

    /// Adds the fingers of a stand that may stay; those of its shape have been added
    /// from somewhere on.
    fn offer(&mut self, from: usize, hold: &Hold, stand: &Stand) {
        if self.numbered == 0 {
            return;
        }
        let offers = &mut self.lists.offers;
        let mut add = |stay: Stay| {
            let number = self.numbers[stay.number()];
            if number > 0 && !offers[from..].contains(&(number - 1)) {
                offers.push(number - 1);
            }
        };
        stand.stays.iter().for_each(&mut add);
        for finger in (0..4u8).filter(|finger| hold.touching & (1 << finger) == 0) {
            let mut strings = hold.down[usize::from(finger)];
            while strings != 0 {
                let string = strings.trailing_zeros() as u8;
                add(Stay { finger, string, fret: hold.fret[usize::from(finger)] });
                strings &= strings - 1;
            }
        }
    }

    /// By bucket of the next stage, from where it is come to.
    pub(super) fn ways(&self) -> impl Iterator<Item = Ways<C>> {
        let mut by_inlet: Vec<Vec<u32>> = vec![Vec::new(); self.next.inlets.len()];
        for (number, inlet) in (0..).zip(&self.before.onward) {
            by_inlet[*inlet as usize].push(number);
        }
        let mut all: Vec<Vec<(u32, C)>> = vec![Vec::new(); self.next.buckets.len()];
        for (inlet, from) in self.next.inlets.iter().zip(&by_inlet) {
            for (bucket, cut) in &inlet.ways {
                let cut = C::of(*cut);
                all[*bucket as usize].extend(from.iter().map(|number| (*number, cut)));
            }
        }
        all.into_iter().map(|mut all| {
            all.sort_unstable_by_key(|(number, cut)| self.least(*number, *cut));
            let mut offering = vec![Vec::new(); self.numbered];
            for way in &all {
                for number in &self.lists.offers[self.sources[way.0 as usize].offers.clone()] {
                    offering[usize::from(*number)].push(*way);
                }
            }
            Ways { all, offering }
        })
    }

    fn least(&self, source: u32, cut: C) -> C {
        self.sources[source as usize].least.plus(cut)
    }
}
