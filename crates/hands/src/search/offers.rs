//! What the stands of a layer offer to those of the next one: fingers that may stay
//! where they are, and what `leap` and `exchange` have to remember.
//!
//! A stand takes over several of these at once, and only such as some one stand
//! before it offers together: no hand could have come to it otherwise. Music that
//! is fast or full would have very many others.

use std::sync::Arc;

use super::ground::{Ground, Recalls};
use super::laid::Laid;
use super::stage::{Stage, Stand};
use crate::hand::Shape;
use crate::hand::shape::{Stay, StaySet};

/// Fingers at places that may stay there.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub(crate) struct Staying {
    /// In order.
    fingers: Vec<Stay>,
    /// By the numbers of two of them, whether some stand has both.
    together: Bits,
}

/// Fingers that have struck something, and their strings.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub(crate) struct Lifts {
    /// In order.
    lifted: Vec<(u8, u8)>,
    /// By the number of one of them and of a finger that may stay, whether some
    /// stand has both.
    with: Bits,
}

/// What a layer may take over from the stage before.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub(crate) struct Offered {
    staying: Arc<Staying>,
    /// Of lone sounds; none where they do not count.
    lifts: Arc<Lifts>,
    /// Of notes that come again, and what of them is remembered.
    recalled: Arc<Lifts>,
    pub recalls: Recalls,
    /// Whether lone sounds count, and whether the lone sound and the note are one.
    pub leaps: bool,
    pub is_one: bool,
}

/// What the stands of a layer offer.
#[derive(Clone, Debug, Default)]
pub(crate) struct Offers {
    staying: Arc<Staying>,
    lifts: Arc<Lifts>,
    /// Of notes of the melody.
    sung: Arc<Lifts>,
    /// What is remembered of such notes.
    recalled: Arc<Lifts>,
}

/// Rows of bits.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
struct Bits {
    words: Vec<u64>,
    /// Words of a row.
    width: usize,
}

impl Bits {
    fn new(rows: usize, columns: usize) -> Self {
        let width = columns.div_ceil(64);
        Self { words: vec![0; rows * width], width }
    }

    fn set(&mut self, row: usize, column: usize) {
        self.words[row * self.width + column / 64] |= 1 << (column % 64);
    }

    fn has(&self, row: usize, column: usize) -> bool {
        self.words[row * self.width + column / 64] & (1 << (column % 64)) != 0
    }
}

/// What a layer may take over from the stage before.
pub(crate) fn offered(ground: &Ground, layer: usize, before: &Stage) -> Offered {
    let mut offered = Offered::default();
    if !ground.music.is_reached(layer) {
        return offered;
    }
    if layer + 1 < ground.music.layers.len() {
        offered.staying = Arc::clone(&before.offers.staying);
    }
    if ground.steps.get(layer).is_some_and(|step| step.leap > 0) {
        offered.leaps = true;
        offered.lifts = Arc::clone(&before.offers.lifts);
    }
    offered.recalls = ground.steps[layer - 1].recalls;
    match offered.recalls {
        Recalls::Nothing => {}
        Recalls::Struck(_) => {
            offered.recalled = Arc::clone(&before.offers.sung);
            offered.is_one = ground.music.layers[layer - 1].is_lone();
        }
        Recalls::Earlier(_) => offered.recalled = Arc::clone(&before.offers.recalled),
    }
    offered
}

impl Offered {
    /// The fingers that may stay, in order.
    pub fn fingers(&self) -> &[Stay] {
        &self.staying.fingers
    }

    /// Whether some stand before has two fingers that may stay, by their numbers.
    pub fn together(&self, one: usize, other: usize) -> bool {
        self.staying.together.has(one, other)
    }

    /// Fingers that may have left a string, in order, but those with which one of
    /// some fingers, by their numbers, has never been.
    pub fn lifted(&self, staying: [Option<usize>; 2]) -> impl Iterator<Item = (u8, u8)> + '_ {
        self.lifts.each(staying)
    }

    /// Fingers with which a note that comes again may have been struck, likewise.
    pub fn recalled(&self, staying: [Option<usize>; 2]) -> impl Iterator<Item = (u8, u8)> + '_ {
        self.recalled.each(staying)
    }
}

impl Lifts {
    fn of(mut lifted: Vec<(u8, u8)>, fingers: usize) -> Self {
        lifted.sort_unstable();
        lifted.dedup();
        let with = Bits::new(lifted.len(), fingers);
        Self { lifted, with }
    }

    /// The number of one of them.
    fn row(&self, lift: Option<(u8, u8)>) -> Option<usize> {
        lift.and_then(|lift| self.lifted.binary_search(&lift).ok())
    }

    fn each(&self, staying: [Option<usize>; 2]) -> impl Iterator<Item = (u8, u8)> + '_ {
        let with = move |row: usize| {
            let mut staying = staying.into_iter().flatten();
            // Where no finger is offered none that stays has been before.
            staying.all(|finger| self.with.width == 0 || self.with.has(row, finger))
        };
        let lifted = self.lifted.iter().enumerate();
        lifted.filter(move |(row, _)| with(*row)).map(|(_, lifted)| *lifted)
    }
}

impl Offers {
    /// What the states of a layer offer.
    pub fn of(laid: &Laid) -> Self {
        let mut set = StaySet::default();
        for bucket in &laid.buckets {
            set.add_all(&bucket.sheet.offers);
        }
        laid.stands.iter().flat_map(|stand| stand.stays.iter()).for_each(|stay| set.add(stay));
        let fingers: Vec<Stay> = set.iter().collect();
        let sheets = || laid.buckets.iter().map(|bucket| &bucket.sheet);
        let count = fingers.len();
        let mut lifts =
            Lifts::of(sheets().flat_map(|sheet| sheet.lifts.iter().copied()).collect(), count);
        let mut sung =
            Lifts::of(sheets().flat_map(|sheet| sheet.sung.iter().copied()).collect(), count);
        let known = laid.stands.iter().filter_map(|stand| stand.memory.recalled.get());
        let mut recalled = Lifts::of(known.collect(), count);
        let mut together = Bits::new(count, count);
        let mut numbers = vec![0u16; Stay::ALL];
        for (number, stay) in (0..).zip(&fingers) {
            numbers[stay.number()] = number;
        }
        let number = |stay: Stay| usize::from(numbers[stay.number()]);
        let mut group: Vec<usize> = Vec::with_capacity(12);
        for bucket in &laid.buckets {
            for (shape, at) in bucket.sheet.shapes.iter().zip(bucket.shapes.clone()) {
                let lift = lifts.row((shape.alone > 0).then(|| (shape.alone - 1, shape.alone_on)));
                let sings = sung.row(shape.sung.get());
                group.clear();
                group.extend(down(shape).map(number));
                let mut join = |group: &[usize], from: usize| {
                    for (index, one) in group.iter().enumerate().skip(from) {
                        for other in &group[..index] {
                            together.set(*one, *other);
                            together.set(*other, *one);
                        }
                        if let Some(lift) = lift {
                            lifts.with.set(lift, *one);
                        }
                        if let Some(row) = sings {
                            sung.with.set(row, *one);
                        }
                    }
                };
                join(&group, 0);
                let own = group.len();
                let (from, past) =
                    (laid.first_stand[at as usize], laid.first_stand[at as usize + 1]);
                let stands: &[Stand] = &laid.stands[from as usize..past as usize];
                for stand in stands.iter().filter(|stand| !stand.stays.is_empty()) {
                    group.truncate(own);
                    group.extend(stand.stays.iter().map(number));
                    join(&group, own);
                }
                for stand in stands {
                    let Some(row) = recalled.row(stand.memory.recalled.get()) else { continue };
                    group.truncate(own);
                    group.extend(stand.stays.iter().map(number));
                    group.iter().for_each(|one| recalled.with.set(row, *one));
                }
            }
        }
        Self {
            staying: Arc::new(Staying { fingers, together }),
            lifts: Arc::new(lifts),
            sung: Arc::new(sung),
            recalled: Arc::new(recalled),
        }
    }
}

/// Where the fingers of a shape are that may stay there.
pub(crate) fn down(shape: &Shape) -> impl Iterator<Item = Stay> + '_ {
    (0..4u8).filter(|finger| shape.touching & (1 << finger) == 0).flat_map(|finger| {
        let (mut strings, fret) =
            (shape.down[usize::from(finger)], shape.fret[usize::from(finger)]);
        std::iter::from_fn(move || {
            let string = strings.trailing_zeros() as u8;
            (strings != 0).then(|| {
                strings &= strings - 1;
                Stay { finger, string, fret }
            })
        })
    })
}
