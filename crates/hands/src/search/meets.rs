//! What one finger pays from a posture to the next, looked up.
//!
//! What a finger does depends on where it was and where it is, and there are few
//! such places. A move of the whole hand is, but for barres and for fingers that
//! take one another's place, the sum of what its four fingers do, so that each
//! pair of places is worked out once.

use std::rc::Rc;

use apoyando_fingering::EffortTable;
use rustc_hash::FxHashMap;

use crate::hand::Shape;
use crate::hand::moving::Pace;
use crate::hand::shape::Stay;
use crate::heard::clock::MOST_HURRY;

use super::stage::Stand;

/// Where a finger was: the strings it was down on, those it was down or stayed
/// on, its fret.
type Was = (u16, u16, u8);
/// Where it is: the strings it is down on, those with a struck sound, its fret.
type Is = (u16, u16, u8);

/// The places of fingers, numbered; 0 is nowhere.
#[derive(Clone, Debug)]
pub(crate) struct Places {
    was: FxHashMap<Was, u16>,
    is: FxHashMap<Is, u16>,
    all_was: Vec<Was>,
    all_is: Vec<Is>,
    /// By place, the number of a finger that stays there; 0 if it has none yet.
    staying: Vec<u16>,
}

/// By finger.
pub(crate) type Numbers = [u16; 4];

impl Default for Places {
    fn default() -> Self {
        Self {
            was: FxHashMap::from_iter([((0, 0, 0), 0)]),
            is: FxHashMap::from_iter([((0, 0, 0), 0)]),
            all_was: vec![(0, 0, 0)],
            all_is: vec![(0, 0, 0)],
            staying: vec![0; Stay::PLACES],
        }
    }
}

impl Places {
    /// The numbers of the fingers of a shape, as they were and as they are.
    pub fn number(&mut self, shape: &Shape) -> (Numbers, Numbers) {
        let mut numbers = ([0; 4], [0; 4]);
        for finger in 0..4 {
            let down = shape.down[finger];
            if down == 0 {
                continue;
            }
            let fret = shape.fret[finger];
            numbers.0[finger] = self.was((down, down, fret));
            let is = (down, shape.struck[finger], fret);
            let next = self.all_is.len() as u16;
            numbers.1[finger] = *self.is.entry(is).or_insert_with(|| {
                self.all_is.push(is);
                next
            });
        }
        numbers
    }

    fn was(&mut self, was: Was) -> u16 {
        let next = self.all_was.len() as u16;
        *self.was.entry(was).or_insert_with(|| {
            self.all_was.push(was);
            next
        })
    }

    /// The number of a finger that stays.
    pub fn staying(&mut self, stay: Stay) -> u16 {
        let known = self.staying[stay.place()];
        if known != 0 {
            return known;
        }
        let number = self.was((0, 1 << stay.string, stay.fret));
        self.staying[stay.place()] = number;
        number
    }
}

/// What fingers pay and do, in one number, so that those of four fingers add up
/// without running into one another: `land` and `jump`, `slide`, guide fingers,
/// pivot fingers.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Paid(u32);

const SLIDE: u32 = 14;
const GUIDE: u32 = 24;
const PIVOT: u32 = 27;
/// The most that one finger may pay for `land` and `jump`, and for `slide`.
const MOST: (i32, i32) = (4095, 255);

impl Paid {
    /// `land` and `jump`.
    #[inline(always)]
    pub const fn fingers(self) -> i32 {
        (self.0 & 0x3fff) as i32
    }

    #[inline(always)]
    pub const fn slide(self) -> i32 {
        (self.0 >> SLIDE & 0x3ff) as i32
    }

    /// Whether a finger leads a shift: 1 for a guide, 2 for a pivot, 3 for both.
    #[inline(always)]
    pub const fn leads(self) -> usize {
        (self.0 >> GUIDE & 7 != 0) as usize + 2 * (self.0 >> PIVOT & 7 != 0) as usize
    }

    #[inline(always)]
    const fn and(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

/// More pairs of places than this are not kept; no guitar comes near.
const KEPT: usize = 1 << 22;

/// What happens between two places of a finger, as far as it has been asked.
#[derive(Debug)]
pub(crate) struct Meets<'a> {
    places: &'a Places,
    table: &'a EffortTable,
    /// By hurry and by whether few sounds are struck; then by where a finger was.
    rows: Vec<Vec<Option<Rc<[Paid]>>>>,
}

/// What a hand pays to wherever its fingers go.
#[derive(Clone, Debug)]
pub(crate) struct Leaves([Rc<[Paid]>; 4]);

impl<'a> Meets<'a> {
    /// `None` if the table has larger values than fit, or there are too many
    /// places.
    pub fn new(table: &'a EffortTable, places: &'a Places) -> Option<Self> {
        let (width, height) = (places.all_is.len(), places.all_was.len());
        let most = MOST_HURRY as i32;
        let fits = most * (table.land + table.jump) <= MOST.0
            && most * table.slide <= MOST.1
            && width * height <= KEPT;
        let rows = vec![vec![None; height]; 2 * MOST_HURRY as usize];
        fits.then_some(Self { places, table, rows })
    }

    /// What fingers pay from where they were, at a pace.
    pub fn leaving(&mut self, pace: Pace, was: &Numbers) -> Leaves {
        Leaves(was.map(|number| self.row(pace, number)))
    }

    fn row(&mut self, pace: Pace, was: u16) -> Rc<[Paid]> {
        let rows = &mut self.rows[2 * (pace.hurry as usize - 1) + usize::from(pace.thin)];
        let row = rows[usize::from(was)].get_or_insert_with(|| {
            let from = self.places.all_was[usize::from(was)];
            let to = self.places.all_is.iter();
            to.map(|to| meet(self.table, pace, from, *to)).collect()
        });
        Rc::clone(row)
    }

    /// The same from a stand with the fingers that stay in it.
    pub fn staying(&mut self, pace: Pace, leaves: &Leaves, stand: &Stand) -> Leaves {
        let mut leaves = leaves.clone();
        for (stay, number) in stand.stays.iter().zip(stand.staying) {
            leaves.0[usize::from(stay.finger)] = self.row(pace, number);
        }
        leaves
    }
}

impl Leaves {
    /// What the four fingers pay, barres left out of account.
    #[inline(always)]
    pub fn to(&self, is: &Numbers) -> Paid {
        let paid = |finger: usize| self.0[finger][usize::from(is[finger])];
        paid(0).and(paid(1)).and(paid(2)).and(paid(3))
    }
}

/// What a finger pays from one place to another (model §5).
fn meet(t: &EffortTable, pace: Pace, (was, on, fret): Was, (down, struck, there): Is) -> Paid {
    let same_fret = fret == there;
    let meets = on & down != 0;
    let (guide, pivot) = (meets && !same_fret, meets && same_fret);
    let mut sum = u32::from(guide) << GUIDE | u32::from(pivot) << PIVOT;
    if struck == 0 {
        return Paid(sum);
    }
    let hurry = pace.hurry as i32;
    let stays = same_fret && was & down != 0;
    if pace.thin && on & struck == 0 {
        sum += (hurry * t.land) as u32;
    }
    if was != 0 && !stays {
        if was & struck != 0 {
            sum += ((hurry * t.slide) as u32) << SLIDE;
        } else if pace.thin {
            sum += (hurry * t.jump) as u32;
        }
    }
    Paid(sum)
}
