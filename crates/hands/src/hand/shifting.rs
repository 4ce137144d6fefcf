//! What moves of the whole hand cost (model §5: `shift`, `travel`, `ease`,
//! `hop`), worked out once for each hurry and ease.

use std::sync::Arc;

use apoyando_fingering::EffortTable;

use super::geometry::Geometry;
use super::limits::POSITIONS;
use crate::search::cost::Cost;

/// No discount on a shift is greater, in percent.
const MOST_EASE: i64 = 80;

/// The three parts of a shift's price.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Shifting {
    pub shift: i64,
    pub travel: i64,
    /// What is taken off.
    pub ease: i64,
}

impl Shifting {
    pub const fn sum(self) -> i64 {
        self.shift + self.travel - self.ease
    }
}

/// A shift between two known positions that differ, at a hurry, with a discount
/// in percent.
pub(crate) fn shifting(
    (geometry, table): (&Geometry, &EffortTable),
    (from, to): (u8, u8),
    hurry: i64,
    ease: i64,
) -> Shifting {
    let shift = hurry * i64::from(table.shift);
    let travel = hurry * travelled(geometry, table, from, to);
    let ease = ((shift + travel) * ease.min(MOST_EASE)).div_euclid(100);
    Shifting { shift, travel, ease }
}

fn travelled(geometry: &Geometry, table: &EffortTable, from: u8, to: u8) -> i64 {
    i64::from(table.travel) * i64::from((geometry.x(to) - geometry.x(from)).abs()) / 100
}

/// `hop` from a position to a place of the hand.
pub(crate) fn hopping(
    (geometry, table): (&Geometry, &EffortTable),
    (from, to): (u8, u8),
    hurry: i64,
) -> i64 {
    hurry * (i64::from(table.hop) + travelled(geometry, table, from, to))
}

/// Positions in a row of a table, with room to read eight from any of them.
pub(crate) const ROW: usize = 32;

/// By the position before and after; the same either way. It costs nothing where
/// one is not known, 0, and there is no shift to where the hand is.
pub(crate) type ShiftTable<C> = [[C; ROW]; POSITIONS];

/// Tables of shifts by hurry and ease, for those who look them up.
#[derive(Debug)]
pub(crate) struct ShiftTables<C> {
    /// Few, so that looking through them is quick.
    tables: Vec<((i64, i64), Arc<ShiftTable<C>>)>,
}

impl<C> Default for ShiftTables<C> {
    fn default() -> Self {
        Self { tables: Vec::new() }
    }
}

impl<C: Cost> ShiftTables<C> {
    /// The table for a hurry and an ease in percent.
    pub fn at(
        &mut self,
        (geometry, table): (&Geometry, &EffortTable),
        hurry: i64,
        ease: i64,
    ) -> Arc<ShiftTable<C>> {
        let ease = ease.min(MOST_EASE);
        if let Some((_, made)) = self.tables.iter().find(|(key, _)| *key == (hurry, ease)) {
            return Arc::clone(made);
        }
        let mut costs = [[C::NEVER; ROW]; POSITIONS];
        for (from, row) in costs.iter_mut().enumerate() {
            for (to, cost) in row.iter_mut().enumerate().take(POSITIONS) {
                let way = (from as u8, to as u8);
                *cost = match (from, to) {
                    (0, _) | (_, 0) => C::of(0),
                    (from, to) if from == to => C::NEVER,
                    _ => C::of(shifting((geometry, table), way, hurry, ease).sum()),
                };
            }
        }
        let made = Arc::new(costs);
        self.tables.push(((hurry, ease), Arc::clone(&made)));
        made
    }
}
