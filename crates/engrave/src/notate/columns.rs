//! Accidentals of one onset side by side, by their outlines.

use super::{Chord, height};
use crate::font::{self, Glyph, table};

/// Clear space to heads, to ledger lines and between columns.
const TO_HEAD: f64 = 0.22;
const TO_LEDGER: f64 = 0.12;
const BETWEEN: f64 = 0.15;
/// Clear space above and below.
const UPRIGHT: f64 = 0.08;

/// Ink that an accidental has to keep clear of.
struct Block {
    glyph: Option<&'static Glyph>,
    x: f64,
    y: f64,
    /// For ink that is no glyph: left side and half its height.
    half: f64,
    gap: f64,
}

impl Block {
    /// Leftmost ink between two heights.
    fn left(&self, low: f64, high: f64) -> Option<f64> {
        match self.glyph {
            Some(glyph) => {
                let profile = font::profile(glyph.code)?;
                profile.sides(low - self.y, high - self.y).map(|sides| self.x + sides.0)
            }
            None => (low < self.y + self.half && self.y - self.half < high).then_some(self.x),
        }
    }
}

/// Places the accidentals: the highest next to the heads, then the lowest,
/// alternating inwards, each as far right as outlines allow. Octaves come to
/// share a column by themselves.
pub fn arrange(all: &mut [Chord], here: &[usize]) {
    let mut wanted: Vec<(usize, usize, &'static Glyph, i32)> = Vec::new();
    let mut blocks: Vec<Block> = Vec::new();
    for index in here {
        for (at, head) in all[*index].heads.iter().enumerate() {
            let x = all[*index].shift + head.x;
            let y = height(head.step);
            blocks.push(Block { glyph: Some(head.glyph), x, y, half: 0.0, gap: TO_HEAD });
            for line in ledgers(head.step) {
                blocks.push(Block {
                    glyph: None,
                    x: x - table::LEGER_LINE_EXTENSION,
                    y: line,
                    half: table::LEGER_LINE_THICKNESS / 2.0,
                    gap: TO_LEDGER,
                });
            }
            if let Some(accidental) = head.accidental {
                wanted.push((*index, at, accidental.glyph, head.step));
            }
        }
    }
    if wanted.is_empty() {
        return;
    }
    wanted.sort_by_key(|(_, _, _, step)| -step);
    let mut order = Vec::with_capacity(wanted.len());
    let (mut top, mut bottom) = (0, wanted.len());
    while top < bottom {
        order.push(wanted[top]);
        top += 1;
        if top < bottom {
            bottom -= 1;
            order.push(wanted[bottom]);
        }
    }
    for (index, at, glyph, step) in order {
        let y = height(step);
        let Some(profile) = font::profile(glyph.code) else { continue };
        let x = profile
            .rows()
            .flat_map(|(low, high, _, right)| {
                blocks.iter().filter_map(move |block| {
                    let left = block.left(y + low - UPRIGHT, y + high + UPRIGHT)?;
                    Some(left - block.gap - right)
                })
            })
            .fold(-TO_HEAD - glyph.right, f64::min);
        if let Some(accidental) = &mut all[index].heads[at].accidental {
            accidental.x = x;
        }
        blocks.push(Block { glyph: Some(glyph), x, y, half: 0.0, gap: BETWEEN });
    }
}

/// Heights of the ledger lines a step needs.
pub fn ledgers(step: i32) -> impl Iterator<Item = f64> {
    let count = (step.abs() / 2 - 2).clamp(0, 60);
    let side = f64::from(step.signum());
    (1..=count).map(move |line| side * f64::from(2 + line))
}
