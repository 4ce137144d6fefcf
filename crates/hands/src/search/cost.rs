//! Numbers in which the tables of the search are kept.
//!
//! Costs are kept above the least of their layer, so that they are small, and
//! small numbers are many to a register. A table that could overflow them is
//! filled again with wide ones: the answer is the same.

use std::fmt::Debug;

use super::ground::Ground;

/// A cost above the least of its layer.
pub(crate) trait Cost: Copy + Ord + Default + Debug + Send + Sync + 'static {
    /// What there is no way to; stays so whatever is added.
    const NEVER: Self;
    /// A table that holds more is given up, and so are steps that cost more: two
    /// of these add up to less than [`Cost::NEVER`].
    const MOST: i64;

    /// A sum, [`Cost::NEVER`] where that is too much.
    fn plus(self, other: Self) -> Self;

    /// From a number, [`Cost::NEVER`] if it is too large.
    fn of(value: i64) -> Self;

    fn get(self) -> i64;

    fn is_never(self) -> bool {
        self == Self::NEVER
    }
}

impl Cost for i16 {
    const NEVER: Self = Self::MAX;
    const MOST: i64 = 15_000;

    #[inline(always)]
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }

    #[inline(always)]
    fn of(value: i64) -> Self {
        Self::try_from(value).unwrap_or(Self::MAX)
    }

    #[inline(always)]
    fn get(self) -> i64 {
        i64::from(self)
    }
}

impl Cost for i32 {
    const NEVER: Self = Self::MAX;
    const MOST: i64 = 500_000_000;

    #[inline(always)]
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }

    #[inline(always)]
    fn of(value: i64) -> Self {
        Self::try_from(value).unwrap_or(Self::MAX)
    }

    #[inline(always)]
    fn get(self) -> i64 {
        i64::from(self)
    }
}

/// A sum that the numbers of a table cannot hold.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct TooLarge;

/// More than any posture and the move into it can cost together: every term as
/// often as ten strings, four fingers and the longest ways allow.
pub(crate) fn largest_step(ground: &Ground) -> i64 {
    let t = &ground.table;
    let of = |value: i32, times: i64| i64::from(value) * times;
    let shift = of(t.shift, 4) + of(t.travel, 4 * 60) + of(t.hop, 4) + of(t.hop_stay, 1);
    let posture = of(t.stop, 10)
        + of(t.finger_3, 1)
        + of(t.finger_4, 1)
        + of(t.height, 45)
        + of(t.extension, 12)
        + of(t.lean, 2)
        + of(t.contraction, 12)
        + of(t.lead, 1)
        + of(t.lead_stay, 1)
        + of(t.stretch, 6 * 30)
        + of(t.tone_high, 10)
        + of(t.tone_long, 10)
        + of(t.ornament, 10)
        + of(t.house, 10);
    let fingers = of(t.barre_lay, 20)
        + of(t.barre_hold, 9)
        + of(t.barre_idle, 1)
        + of(t.hinge, 1)
        + of(t.crossed, 7 * 9)
        + of(t.crowd, 6)
        + of(t.land, 16)
        + of(t.jump, 16)
        + of(t.jump_bass, 4)
        + of(t.leap, 3)
        + of(t.twice, 4)
        + of(t.slide, 16)
        + of(t.replace, 40)
        + of(t.exchange, 11)
        + of(t.weak_pair, 4)
        + of(t.join, 10)
        + of(t.join_weak, 10);
    let held = of(t.cut_melody.max(t.cut_bass).max(t.cut_inner) + t.ring, 10);
    let seconds = if ground.seconds.are_taught() { of(t.substitute, 4) } else { 0 };
    let asked = of(t.unchanged, ground.seconds.count_asked().min(10) as i64);
    posture + shift + fingers + held + seconds + asked
}
