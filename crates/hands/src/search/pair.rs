//! What a move from one shape to another costs, whatever the positions.

use apoyando_fingering::Term;

use crate::hand::moving::{self, Joined};
use crate::hand::{Hold, Played, Shape};

use super::cost::Cost;
use super::ground::{Ground, JoinAt, Recalls};
use super::meets::{Leaves, Paid};
use super::sheet::Arrival;
use super::stage::{Lifted, Remembered, Stage, Stand, entries};

/// The largest of what the fingers do for a shift.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Led {
    /// By nothing.
    Plain,
    /// By a guide finger.
    Guide,
    /// By a pivot finger.
    Pivot,
}

impl Led {
    pub const ALL: [Self; 3] = [Self::Plain, Self::Guide, Self::Pivot];

    /// What it takes off a shift, in percent.
    pub fn ease(self, ground: &Ground) -> i64 {
        i64::from(match self {
            Self::Plain => 0,
            Self::Guide => ground.table.ease_guide,
            Self::Pivot => ground.table.ease_pivot,
        })
    }
}

/// The price of a move but for what depends on positions.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Pair {
    /// Charged wherever the hand goes.
    pub fingers: i32,
    /// `slide`, `crossed` of a melody and `exchange` of what lies there, charged if the hand
    /// stays where it is.
    pub slide: i32,
    /// `join` and `join_weak` if the hand stays where it is, away in neither.
    pub join_in_place: i32,
    /// The same if it does not.
    pub join_moved: i32,
    pub led: Led,
}

impl Pair {
    /// Nothing.
    pub const NONE: Self =
        Self { fingers: 0, slide: 0, join_in_place: 0, join_moved: 0, led: Led::Plain };

    /// With something more charged wherever the hand goes.
    pub const fn and(mut self, more: i32) -> Self {
        self.fingers += more;
        self
    }

    /// The price if the hand stays where it is.
    pub fn in_place<C: Cost>(&self) -> C {
        C::of(i64::from(self.fingers + self.slide + self.join_in_place))
    }

    /// The price if it goes elsewhere, its way left out.
    pub fn moved<C: Cost>(&self) -> C {
        C::of(i64::from(self.fingers + self.join_moved))
    }

    /// The price if it is away at one place before and after.
    pub fn still<C: Cost>(&self) -> C {
        C::of(i64::from(self.fingers + self.slide + self.join_moved))
    }
}

/// How the sounds are played that others of the next layer are to be joined
/// from, in the order of its joins.
pub(crate) fn joined_from(
    ground: &Ground,
    layer: usize,
    stage: &Stage,
    shape: u32,
) -> Vec<Option<Played>> {
    let joins = ground.joins_into(layer + 1);
    joins.iter().map(|join| played_in(ground, layer, stage, shape, join.from)).collect()
}

/// How a sound is played in a shape that strikes or keeps it.
fn played_in(
    ground: &Ground,
    layer: usize,
    stage: &Stage,
    shape: u32,
    sound: usize,
) -> Option<Played> {
    let here = &ground.music.layers[layer];
    if here.struck().contains(&sound) {
        let played = stage.played(shape, here.struck().len())[sound - here.first];
        return Some(played).filter(|played| *played != Played::OUT);
    }
    let slot = here.held.iter().position(|held| *held == sound)? as u16;
    let held = entries(stage.bucket_of(shape).held).find(|(_, s, _)| *s == slot);
    let (string, _, finger) = held?;
    let fret = ground.geometry.kept_fret(usize::from(string), &ground.music.sounds[sound])?;
    Some(Played { string, fret, finger })
}

/// The joins of a move: those asked for, and how the first sounds are played.
#[derive(Clone, Copy)]
pub(crate) struct Joins<'a> {
    pub joins: &'a [JoinAt],
    pub from: &'a [Option<Played>],
}

impl Joins<'_> {
    /// How each is played between a hold and sounds struck after it.
    pub fn played<'b>(
        &'b self,
        ground: &'b Ground,
        s: &'b Hold,
        struck: &'b [Played],
    ) -> impl Iterator<Item = (&'b JoinAt, Played, Joined)> + 'b {
        self.joins.iter().zip(self.from).filter_map(move |(join, from)| {
            let to = struck[join.index];
            (to != Played::OUT).then(|| (join, to, ground.joined(join, *from, s, to)))
        })
    }

    /// Strings on which a sound glides from one stopped by the same finger.
    pub fn gliding(&self, struck: &[Played]) -> u16 {
        let mut strings = 0;
        for (join, from) in self.joins.iter().zip(self.from) {
            let (Some(from), to) = (from, struck[join.index]) else { continue };
            if join.glides && to.finger > 0 && from.finger == to.finger {
                strings |= 1 << to.string;
            }
        }
        strings
    }
}

/// The price of a move from a layer to the next, left to right, but for letting
/// go, `leap`, `exchange` and what depends on positions.
pub(crate) fn pair(
    ground: &Ground,
    layer: usize,
    s: &Hold,
    n: &Shape,
    (joins, struck): (Joins<'_>, &[Played]),
) -> Pair {
    let mut fingers = 0;
    let mut add = |_: Term, amount: i64| fingers += amount as i32;
    let pace = ground.steps[layer].pace;
    let none = joins.joins.is_empty();
    let gliding = if none { 0 } else { joins.gliding(struck) };
    let meeting = moving::fingers(&ground.table, s, (n, gliding), pace, &mut add);
    let (mut in_place, mut moved) = (0, 0);
    if !none {
        for (_, _, how) in joins.played(ground, s, struck) {
            let (join, weak) = (ground.table.join, ground.table.join_weak);
            let (here, there) = match how {
                Joined::Not => (join, join),
                Joined::Slurred { weak: true } => (weak, join),
                Joined::Slurred { weak: false } => (0, join),
                Joined::Glided => (0, 0),
            };
            in_place += here;
            moved += there;
        }
    }
    Pair {
        fingers,
        slide: (meeting.slide + meeting.crossed + meeting.exchange) as i32,
        join_in_place: in_place,
        join_moved: moved,
        led: led(ground, meeting),
    }
}

/// The same from the tables, where no sound of the next layer is joined.
#[inline(always)]
pub(crate) fn looked_up(
    (ground, leads): (&Ground, &Leads),
    layer: usize,
    hold: (&Hold, u16),
    leaves: &Leaves,
    (shape, arrival): (&Shape, &Arrival),
) -> Pair {
    let paid = leaves.to(&arrival.are);
    let (more, in_place) = besides(ground, layer, hold, (shape, arrival));
    let mut fingers = paid.fingers() + more;
    let mut slide = paid.slide() + in_place;
    let pace = ground.steps[layer].pace;
    if pace.thin && moving::jumps_in_bass(hold.0, shape) {
        fingers += ground.table.jump_bass * pace.hurry as i32;
    }
    if pace.sings {
        if moving::sings_twice(hold.0, shape) {
            fingers += ground.table.twice * pace.hurry as i32;
        }
        slide += ground.table.crossed * moving::passes(hold.0, shape) as i32;
    }
    let led = leads.of_paid(paid);
    Pair { fingers, slide, join_in_place: 0, join_moved: 0, led }
}

/// What a move costs besides what each finger pays by itself, and what more if the hand
/// stays where it is: fingers that take one another's place, a weak pair, barres.
#[inline(always)]
fn besides(
    ground: &Ground,
    layer: usize,
    (s, stopped): (&Hold, u16),
    (n, arrival): (&Shape, &Arrival),
) -> (i32, i32) {
    let (mut sum, mut in_place) = (0, 0);
    if stopped & arrival.strikes != 0 {
        let hurry = ground.steps[layer].pace.hurry as i32;
        let places = moving::replaced(s, n) as i32;
        sum += places * ground.table.replace * hurry;
        if ground.steps[layer].pace.thin {
            in_place += places * ground.table.exchange;
        }
    }
    if s.alone >= 3 && matches!((s.alone, arrival.alone), (3, 4) | (4, 3)) {
        sum += ground.table.weak_pair * ground.steps[layer].pace.hurry as i32;
    }
    if arrival.paired {
        let add = &mut |_: Term, amount: i64| sum += amount as i32;
        moving::on_one_fret(&ground.table, s, n, add);
    }
    if s.span != 0 || arrival.barre {
        sum += with_barre(ground, layer, s, n);
    }
    (sum, in_place)
}

/// What barres add: laying them, and what finger 1 is spared under them.
fn with_barre(ground: &Ground, layer: usize, s: &Hold, n: &Shape) -> i32 {
    let t = &ground.table;
    let pace = ground.steps[layer].pace;
    let mut sum = 0;
    if n.has_barre() {
        moving::barre(t, s, n, pace, &mut |_, amount| sum += amount as i32);
    }
    let (was, strikes) = (s.down[0], n.struck[0]);
    let jumps = pace.thin && was != 0 && strikes != 0 && was & strikes == 0;
    let same_fret = s.fret[0] == n.fret[0];
    if pace.thin && strikes & s.on[0] == 0 && moving::lies_ready(s, n, 0) {
        sum -= pace.hurry as i32 * t.land;
    }
    // Only at one fret does a barre join what would be a jump.
    if jumps && same_fret && was & n.down[0] == 0 && moving::barre_joins(s, n, 0) {
        sum -= pace.hurry as i32 * t.jump;
    }
    sum
}

/// What leads a shift best, by whether there is a guide finger and, counted
/// twice, a pivot finger.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Leads([Led; 4]);

impl Leads {
    pub fn of(ground: &Ground) -> Self {
        let led = |guide, pivot| {
            led(ground, moving::Meeting { guide, pivot, ..moving::Meeting::default() })
        };
        Self([led(false, false), led(true, false), led(false, true), led(true, true)])
    }

    /// What leads it by what the fingers do.
    #[inline(always)]
    pub const fn of_paid(&self, paid: Paid) -> Led {
        self.0[paid.leads()]
    }
}

/// What leads a shift best.
pub(crate) fn led(ground: &Ground, meeting: moving::Meeting) -> Led {
    let candidates = [(meeting.guide, Led::Guide), (meeting.pivot, Led::Pivot)];
    let applies = candidates.into_iter().filter(|(applies, _)| *applies).map(|(_, led)| led);
    applies.max_by_key(|led| (led.ease(ground), *led)).unwrap_or(Led::Plain)
}

/// What a shape leaves behind that `leap` or `exchange` may count.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LeftBehind {
    /// The finger and string of a lone sound, if `leap` looks at it.
    lone: Option<(u8, u8)>,
    /// Those of the note of the melody.
    sung: Lifted,
    recalls: Recalls,
}

impl LeftBehind {
    pub fn of(ground: &Ground, layer: usize, shape: &Shape) -> Self {
        let counts = ground.steps.get(layer + 1).is_some_and(|step| step.leap > 0);
        let lone = (counts && shape.alone > 0).then(|| (shape.alone - 1, shape.alone_on));
        let recalls = ground.steps.get(layer).map_or(Recalls::Nothing, |step| step.recalls);
        let sung = shape.sung.get().map_or(Lifted::NONE, |(f, string)| Lifted::of(f, string));
        Self { lone, sung, recalls }
    }

    /// What a stand of the next layer remembers after one of this shape.
    pub fn remembered(&self, from: &Stand, n: &Shape) -> Remembered {
        Remembered { lifted: self.lifted(n), recalled: self.recalled(from.memory.recalled, n) }
    }

    /// Whether a stand of the next layer may follow one of this shape by what it
    /// remembers; one that takes over what that one remembered may not, for all that.
    #[inline]
    pub fn may_leave(&self, n: &Stand, shape: &Shape) -> bool {
        let known = matches!(self.recalls, Recalls::Earlier(_))
            || n.memory.recalled == self.recalled(Lifted::NONE, shape);
        known && n.memory.lifted == self.lifted(shape)
    }

    /// Whether a stand remembers what it has to after one of this shape, if it may
    /// follow the shape at all.
    #[inline]
    pub fn leaves(&self, from: &Stand, n: &Stand, shape: &Shape) -> bool {
        !matches!(self.recalls, Recalls::Earlier(_))
            || n.memory.recalled == self.recalled(from.memory.recalled, shape)
    }

    fn lifted(&self, n: &Shape) -> Lifted {
        match self.lone {
            Some((finger, string)) if !n.is_down(usize::from(finger)) => Lifted::of(finger, string),
            _ => Lifted::NONE,
        }
    }

    fn recalled(&self, before: Lifted, n: &Shape) -> Lifted {
        let (was, frets) = match &self.recalls {
            Recalls::Nothing => return Lifted::NONE,
            Recalls::Struck(frets) => (self.sung, frets),
            Recalls::Earlier(frets) => (before, frets),
        };
        match was.get() {
            Some(place) if moving::is_free(place, n, frets) => was,
            _ => Lifted::NONE,
        }
    }
}

/// `leap` and `exchange` on the move from a stand.
#[inline]
pub(crate) fn looking_back(
    ground: &Ground,
    layer: usize,
    (stand, s): (&Stand, &[u16; 4]),
    n: &Shape,
) -> i64 {
    if stand.memory == Remembered::default() {
        return 0;
    }
    let step = &ground.steps[layer];
    let mut sum = 0;
    if moving::leaps(stand.memory.lifted.get(), n) {
        sum += step.leap * i64::from(ground.table.leap);
    }
    if step.again > 0 && moving::exchanges(stand.memory.recalled.get(), s, n) {
        sum += i64::from(ground.table.exchange);
    }
    sum
}
