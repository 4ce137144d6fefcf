//! All postures of a layer that hold the same sounds. Layers with the same rules
//! that hold the same share a sheet.

use crate::hand::shape::{StaySet, Strings};
use crate::hand::{Played, Shape, moving};

use super::meets::{Numbers, Places};
use super::offers::down;

/// The cost of a posture that there is not.
pub(crate) const NEVER: i32 = i32::MAX;

/// In which positions a shape can be, and what it costs by itself there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Lanes {
    /// No finger is down; what it costs up to position III, unknown ones among
    /// them, and above.
    Idle { low: i32, high: i32 },
    /// From the lowest position on, so many, with their costs in
    /// [`Sheet::own`]; [`NEVER`] in a position that is left out.
    Positions { low: u8, count: u8, at: u32 },
}

/// A place of the hand while it is away from its position, and what the shape
/// costs there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Away {
    pub hand: u8,
    pub own: i32,
}

/// A shape as it is come to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Arrival {
    /// The numbers of its fingers as they are.
    pub are: Numbers,
    /// Strings with a struck sound and a finger.
    pub strikes: u16,
    pub alone: u8,
    pub barre: bool,
    /// Whether two fingers are on one fret.
    pub paired: bool,
}

/// The postures, but for fingers that stay.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sheet {
    pub shapes: Vec<Shape>,
    /// By shape, the numbers of its fingers as they were.
    pub were: Vec<Numbers>,
    /// By shape, what the inner loop of the search asks of it.
    pub arrivals: Vec<Arrival>,
    pub lanes: Vec<Lanes>,
    pub strings: Vec<Strings>,
    /// By shape, where its places away begin; one more at the end.
    away_at: Vec<u32>,
    aways: Vec<Away>,
    /// By shape, where its sounds stand in `played`.
    pub played_at: Vec<u32>,
    pub played: Vec<Played>,
    pub own: Vec<i32>,
    /// Where fingers are that may stay there.
    pub offers: StaySet,
    /// The fingers and strings of lone sounds, each once and in order.
    pub lifts: Vec<(u8, u8)>,
    /// Those of notes of the melody.
    pub sung: Vec<(u8, u8)>,
}

impl Sheet {
    pub fn put(
        &mut self,
        (shape, strings): (Shape, Strings),
        played: &[Played],
        lanes: Lanes,
        aways: &[Away],
    ) {
        // Shapes that play the same come one after the other.
        let same = self.played.len().checked_sub(played.len()).filter(|at| {
            self.played_at.last() == Some(&(*at as u32)) && self.played[*at..] == *played
        });
        let at = same.unwrap_or(self.played.len());
        if same.is_none() {
            self.played.extend_from_slice(played);
        }
        self.played_at.push(at as u32);
        self.shapes.push(shape);
        self.strings.push(strings);
        self.lanes.push(lanes);
        self.away_at.push(self.aways.len() as u32);
        self.aways.extend_from_slice(aways);
    }

    /// Puts a shape that is not idle, with what it costs from a position on.
    pub fn put_positions(
        &mut self,
        shape: (Shape, Strings),
        played: &[Played],
        (low, own): (u8, &[i32]),
        aways: &[Away],
    ) {
        let at = self.own.len() as u32;
        self.own.extend_from_slice(own);
        let lanes = Lanes::Positions { low, count: own.len() as u8, at };
        self.put(shape, played, lanes, aways);
    }

    /// Gathers what the shapes offer to the next layer, and numbers their
    /// fingers.
    pub fn finish(&mut self, places: &mut Places) {
        for shape in &self.shapes {
            let (were, are) = places.number(shape);
            self.were.push(were);
            self.arrivals.push(Arrival {
                are,
                strikes: shape.strikes(),
                alone: shape.alone,
                barre: shape.has_barre(),
                paired: moving::pairs_on_one_fret(shape).next().is_some(),
            });
            down(shape).for_each(|stay| self.offers.add(stay));
            if shape.alone > 0 {
                self.lifts.push((shape.alone - 1, shape.alone_on));
            }
            self.sung.extend(shape.sung.get());
        }
        for fingers in [&mut self.lifts, &mut self.sung] {
            fingers.sort_unstable();
            fingers.dedup();
        }
    }

    /// Where the hand may be while it is away in a shape.
    pub fn aways(&self, shape: usize) -> &[Away] {
        let from = self.away_at[shape] as usize;
        let past = self.away_at.get(shape + 1).map_or(self.aways.len(), |at| *at as usize);
        &self.aways[from..past]
    }

    /// How the sounds struck are played in a shape.
    pub fn played(&self, shape: usize, struck: usize) -> &[Played] {
        let at = self.played_at[shape] as usize;
        &self.played[at..at + struck]
    }
}
