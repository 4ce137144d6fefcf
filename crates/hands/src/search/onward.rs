//! From a stage to the end: the least that what comes after it costs.
//!
//! The inner loop goes over all pairs of shapes that may follow one another, of
//! which there are many, and does little: it looks up what the fingers do and
//! takes the less of eight positions at a time. What is rare comes afterwards.

mod idle;
mod pairs;
mod staying;

use crate::hand::{Hold, Played, Shape};

use super::cost::Cost;
use super::facing::{Facing, LANES, Lanes, row, take, unpriced, worst_lane};
use super::ground::{Ground, Recalls};
use super::meets::{Leaves, Meets};
use super::pair::{Leads, Led, LeftBehind, Pair, joined_from, looking_back};
use super::seams::Fixed;
use super::sheet::{NEVER, Sheet};
use super::stage::{Remembered, Stage, Stand, Tag};

/// Room for what is worked out for one shape, used again for the next.
#[derive(Debug, Default)]
pub(crate) struct Bench {
    /// By shape of the next stage, the price of the move there, what letting go
    /// costs included.
    pairs: Vec<Pair>,
    /// By shape, for which shape before it this was worked out.
    worked: Vec<u32>,
    /// What letting go costs on the way to it, and for which shape before it that
    /// holds.
    cut: Vec<(i32, u32)>,
}

/// What comes after a stage.
pub(crate) struct Onward<'a, 'm, 'p, C> {
    ground: &'a Ground,
    fixed: &'a Fixed,
    layer: usize,
    facing: Facing<'a, C>,
    /// By shape of the next stage: its sheet and number there.
    shapes: Vec<(&'a Sheet, u32)>,
    /// Fingers and strings on which they are down, with the shapes; in order.
    down: Vec<(u8, u8, u32)>,
    /// Whether sounds of the next layer are to be joined.
    joining: bool,
    /// Whether a stand may have to remember something.
    remembering: bool,
    struck: usize,
    meets: &'m mut Option<Meets<'p>>,
    bench: &'m mut Bench,
    leads: Leads,
}

/// A shape of the stage and what has been worked out for it.
struct Leaving<'s> {
    number: u32,
    hold: Hold,
    /// All strings on which its fingers are down.
    stopped: u16,
    /// What its fingers pay wherever they go; `None` if that is not looked up.
    leaves: Option<Leaves>,
    /// Which buckets may follow, and what letting go costs.
    ways: &'s [(u32, i64)],
    /// What it leaves behind to be remembered.
    left: LeftBehind,
    /// How the sounds are played that others are to be joined from.
    from: Vec<Option<Played>>,
}

/// What an idle hand remembers, and the hurry since it was not idle.
#[derive(Clone, Copy)]
struct Memory {
    tag: Tag,
    hurry: usize,
}

/// A stand of the shape with its fingers.
struct Left<'s> {
    stand: &'s Stand,
    hold: Hold,
    /// As in [`Leaving`], with the fingers that stay.
    leaves: Option<Leaves>,
    /// Its fingers that may stay.
    offers: u128,
}

impl<'a, 'm, 'p, C: Cost> Onward<'a, 'm, 'p, C> {
    pub fn new(
        (ground, fixed): (&'a Ground, &'a Fixed),
        (meets, bench): (&'m mut Option<Meets<'p>>, &'m mut Bench),
        layer: usize,
        facing: Facing<'a, C>,
    ) -> Self {
        let next = facing.next;
        let mut shapes: Vec<(&Sheet, u32)> = Vec::with_capacity(next.onward.len());
        let mut down: Vec<(u8, u8, u32)> = Vec::with_capacity(2 * next.onward.len());
        for bucket in &next.buckets {
            for (index, number) in bucket.shapes.clone().enumerate() {
                shapes.push((&bucket.sheet, index as u32));
                let shape = &bucket.sheet.shapes[index];
                for finger in 0..4u8 {
                    let mut strings = shape.down[usize::from(finger)];
                    while strings != 0 {
                        down.push((finger, strings.trailing_zeros() as u8, number));
                        strings &= strings - 1;
                    }
                }
            }
        }
        down.sort_unstable();
        let count = shapes.len();
        if bench.pairs.len() < count {
            bench.pairs.resize(count, Pair::NONE);
        }
        bench.cut.clear();
        bench.cut.resize(count, (0, u32::MAX));
        bench.worked.clear();
        bench.worked.resize(count, u32::MAX);
        Self {
            ground,
            fixed,
            layer,
            facing,
            shapes,
            down,
            joining: !ground.joins_into(layer + 1).is_empty(),
            remembering: ground.steps[layer].recalls != Recalls::Nothing
                || ground.steps.get(layer + 1).is_some_and(|step| step.leap > 0),
            struck: ground.music.layers[layer + 1].struck().len(),
            meets,
            bench,
            leads: Leads::of(ground),
        }
    }

    /// The cost from every state of a stage on, the state itself left out.
    pub fn of(&mut self, stage: &Stage) -> Vec<i32> {
        let mut totals = vec![NEVER; stage.states as usize];
        let next = self.facing.next;
        let pace = self.ground.steps[self.layer].pace;
        let (ground, layer) = (self.ground, self.layer + 1);
        let hurry = |tag| ground.hurry_since(tag, layer);
        let mut memories: Option<Vec<Memory>> = None;
        for bucket in &stage.buckets {
            for (index, number) in bucket.shapes.clone().enumerate() {
                let shape = &bucket.sheet.shapes[index];
                let leaving = Leaving {
                    number,
                    hold: shape.hold(),
                    stopped: shape.hold().stopped(),
                    leaves: match &mut *self.meets {
                        Some(meets) if !self.joining => {
                            Some(meets.leaving(pace, &bucket.sheet.were[index]))
                        }
                        _ => None,
                    },
                    ways: &next.inlets[stage.onward[number as usize] as usize].ways,
                    left: LeftBehind::of(self.ground, self.layer, shape),
                    from: if self.joining {
                        joined_from(self.ground, self.layer, stage, number)
                    } else {
                        Vec::new()
                    },
                };
                let stands = &stage.stands[stage.stands_of(number)];
                for (bucket, cut) in leaving.ways {
                    let shapes = next.buckets[*bucket as usize].shapes.clone();
                    let cuts = &mut self.bench.cut[shapes.start as usize..shapes.end as usize];
                    cuts.fill((*cut as i32, number));
                }
                if shape.is_idle() {
                    let memories = memories.get_or_insert_with(|| {
                        let tags = stage.tags.iter();
                        tags.map(|tag| Memory { tag: *tag, hurry: hurry(tag) }).collect()
                    });
                    self.idle(&leaving, stands, memories, &mut totals);
                } else {
                    self.stopped(&leaving, stands, &mut totals);
                }
            }
        }
        totals
    }

    /// From a shape that is not idle.
    ///
    /// Fingers that stay change only what they do next themselves, so the stands
    /// without come first and the others start from what these come to.
    fn stopped(&mut self, leaving: &Leaving<'_>, stands: &[Stand], totals: &mut [i32]) {
        let hold = leaving.hold;
        let offers = self.facing.offers(&hold);
        let mut plain: Vec<(&Stand, Lanes<C>)> = Vec::new();
        for stand in stands {
            let best = if stand.stays.is_empty() {
                let left = Left { stand, hold, leaves: None, offers };
                let best = self.bare(leaving, &left);
                if stand.away == 0 {
                    plain.push((stand, best));
                }
                best
            } else {
                let left = self.left(leaving, stand);
                let same = plain.iter().find(|(plain, _)| plain.memory == stand.memory);
                let mut start = unpriced(stand);
                if let Some((plain, best)) = same {
                    let from = usize::from(stand.low - plain.low);
                    let count = usize::from(stand.count).min(LANES);
                    start[..count].copy_from_slice(&best[from..from + count]);
                }
                self.staying(leaving, &left, same.is_none(), start)
            };
            for (total, best) in totals[stand.lanes()].iter_mut().zip(best) {
                *total = if best.is_never() { NEVER } else { best.get() as i32 };
            }
        }
    }

    /// The stand of a shape of the next stage in which no finger stays, as it
    /// follows; the first one unless something has to be remembered.
    fn bare_stand(&self, leaving: &Leaving<'_>, from: &Stand, number: u32) -> usize {
        let next = self.facing.next;
        let first = next.first_stand[number as usize] as usize;
        let memory = leaving.left.remembered(from, self.shape(number));
        let fits = |s: &Stand| s.memory == memory && s.stays.is_empty() && s.away == 0;
        first + next.stands[next.stands_of(number)].iter().position(fits).unwrap_or(0)
    }

    fn shape(&self, number: u32) -> &'a Shape {
        let (sheet, index) = self.shapes[number as usize];
        &sheet.shapes[index as usize]
    }

    /// `leap` and `exchange` on the way to a shape.
    fn looking_back(&self, left: &Left<'_>, number: u32) -> i32 {
        let from = (left.stand, &left.hold.down);
        looking_back(self.ground, self.layer, from, self.shape(number)) as i32
    }

    /// From a stand in which no finger stays.
    fn bare(&mut self, leaving: &Leaving<'_>, left: &Left<'_>) -> Lanes<C> {
        let mut best = unpriced(left.stand);
        let mut worst = C::NEVER;
        let next = self.facing.next;
        let stand = left.stand;
        let usual = !self.remembering && stand.memory == Remembered::default() && stand.away == 0;
        for (bucket, cut) in leaving.ways {
            let shapes = &next.buckets[*bucket as usize].shapes;
            let cut = C::of(*cut);
            for at in shapes.start as usize..shapes.end as usize {
                let number = self.facing.order[at];
                let floor = &self.facing.floors[number as usize];
                if floor.all.plus(cut) >= worst {
                    break;
                }
                if !floor.may_improve(&best, stand, cut) {
                    continue;
                }
                let pair = self.pair(leaving, number);
                let first = next.first_stand[number as usize] as usize;
                if usual {
                    self.step_in_position(stand.low, (first, &pair), &mut best);
                } else {
                    let first = self.bare_stand(leaving, stand, number);
                    self.step_with(left, &pair, first, &mut best);
                }
                let floor = &self.facing.floors[number as usize];
                if floor.away_may_improve(&best, stand, C::of(i64::from(pair.fingers))) {
                    self.aways(leaving, left, number, &mut best);
                }
                worst = worst_lane(&best);
            }
        }
        self.held_on(leaving, left, &mut best);
        best
    }

    /// From a hand in its position to a stand in which no finger stays.
    #[inline(always)]
    fn step_in_position(&self, low: u8, (number, pair): (usize, &Pair), best: &mut Lanes<C>) {
        let rows = &self.facing.rows[number];
        take(best, &rows.stay, low, pair.in_place());
        if pair.led == Led::Plain {
            take(best, &rows.moved, low, pair.moved());
        } else {
            self.led(number, pair.led, (low, pair.moved()), best);
        }
    }

    /// To the stands of a shape that are away.
    fn aways(&self, leaving: &Leaving<'_>, left: &Left<'_>, number: u32, best: &mut Lanes<C>) {
        let stands = self.facing.next.stands_of(number);
        for stand in stands.rev() {
            if self.facing.next.stands[stand].away == 0 {
                break;
            }
            self.rare(leaving, left, (number, stand as u32), best);
        }
    }

    fn step_with(&self, left: &Left<'_>, pair: &Pair, number: usize, best: &mut Lanes<C>) {
        let (from, to) = (left.stand, &self.facing.next.stands[number]);
        let rows = &self.facing.rows[number];
        let pair = pair.and(self.looking_back(left, to.shape));
        let low = from.low;
        if from.away > 0 && from.away == to.away {
            take(best, &rows.moved, low, pair.still());
        } else if to.away > 0 || (from.away > 0 && to.is_idle()) {
            take(best, &rows.stay, low, pair.moved());
        } else if from.away > 0 {
            take(best, &row(to, &rows.costs), low, pair.moved());
        } else {
            take(best, &rows.stay, low, pair.in_place());
            if pair.led == Led::Plain && to.stays.is_empty() {
                take(best, &rows.moved, low, pair.moved());
            } else if !to.is_idle() {
                self.led(number, pair.led, (low, pair.moved()), best);
            }
        }
    }

    /// A shift, led by a finger or by nothing.
    fn led(&self, number: usize, led: Led, (low, cost): (u8, C), best: &mut Lanes<C>) {
        let to = &self.facing.next.stands[number];
        let table = &self.facing.shifts.led[led as usize];
        let lanes = &self.facing.rows[number].costs[..usize::from(to.count).min(LANES)];
        let shifts = &table[usize::from(to.low)..];
        for (total, shift) in lanes.iter().zip(shifts) {
            take(best, shift, low, total.plus(cost));
        }
    }
}

fn plus(cost: i32, more: i64) -> i32 {
    if cost == NEVER { NEVER } else { i32::try_from(i64::from(cost) + more).unwrap_or(NEVER) }
}
