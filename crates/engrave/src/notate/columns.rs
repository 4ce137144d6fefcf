//! Accidentals of one onset side by side, by their outlines.

use super::{Chord, height};
use crate::font::{self, Glyph, table};

/// Clear space to heads, to ledger lines and between columns.
const TO_HEAD: f64 = 0.22;
const TO_LEDGER: f64 = 0.12;
const BETWEEN: f64 = 0.15;
/// Clear space above and below.
const UPRIGHT: f64 = 0.08;

/// What another order than the rule's must save to be taken, and up to how
/// many accidentals all orders are tried.
const WORTH: f64 = 0.5;
const MOST_TRIED: usize = 6;

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

/// An accidental to be placed: chord, head, glyph and step.
type Wanted = (usize, usize, &'static Glyph, i32);

/// Places the accidentals: the highest next to the heads, then the lowest,
/// alternating inwards, each as far right as outlines allow. Octaves come to
/// share a column by themselves. Another order is taken only where it saves
/// more than half a space.
pub fn arrange(all: &mut [Chord], here: &[usize]) {
    let mut wanted: Vec<Wanted> = Vec::new();
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
    let mut best = place(&zigzag(&wanted), &mut blocks);
    if (3..=MOST_TRIED).contains(&wanted.len()) {
        let mut order = wanted;
        permute(&mut order, 0, &mut |order| {
            let places = place(order, &mut blocks);
            if leftmost(&places) > leftmost(&best) + WORTH {
                best = places;
            }
        });
    }
    for (index, at, x) in best {
        if let Some(accidental) = &mut all[index].heads[at].accidental {
            accidental.x = x;
        }
    }
}

/// The highest, the lowest, the second highest …
fn zigzag(sorted: &[Wanted]) -> Vec<Wanted> {
    let mut order = Vec::with_capacity(sorted.len());
    let (mut top, mut bottom) = (0, sorted.len());
    while top < bottom {
        order.push(sorted[top]);
        top += 1;
        if top < bottom {
            bottom -= 1;
            order.push(sorted[bottom]);
        }
    }
    order
}

/// Calls back with every order.
fn permute(order: &mut [Wanted], from: usize, call: &mut impl FnMut(&[Wanted])) {
    if from + 1 >= order.len() {
        call(order);
        return;
    }
    for at in from..order.len() {
        order.swap(from, at);
        permute(order, from + 1, call);
        order.swap(from, at);
    }
}

fn leftmost(places: &[(usize, usize, f64)]) -> f64 {
    places.iter().map(|place| place.2).fold(0.0, f64::min)
}

/// Places accidentals in an order: chord, head and origin of each.
fn place(order: &[Wanted], blocks: &mut Vec<Block>) -> Vec<(usize, usize, f64)> {
    let before = blocks.len();
    let mut out = Vec::with_capacity(order.len());
    for (index, at, glyph, step) in order {
        let y = height(*step);
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
        out.push((*index, *at, x));
        blocks.push(Block { glyph: Some(glyph), x, y, half: 0.0, gap: BETWEEN });
    }
    blocks.truncate(before);
    out
}

/// Heights of the ledger lines a step needs.
pub fn ledgers(step: i32) -> impl Iterator<Item = f64> {
    let count = (step.abs() / 2 - 2).clamp(0, 60);
    let side = f64::from(step.signum());
    (1..=count).map(move |line| side * f64::from(2 + line))
}

/// Whether a step needs ledger lines.
pub fn has_ledgers(step: i32) -> bool {
    ledgers(step).next().is_some()
}

#[cfg(test)]
mod tests {
    use apoyando_music::{Base, Duration, Moment, NoteId, NoteValue, VoiceNumber};

    use super::super::{Accidental, Head};
    use super::*;

    fn chord(steps: &[i32], glyph: &'static Glyph) -> Chord {
        let heads = steps
            .iter()
            .map(|step| Head {
                note: NoteId(0),
                step: *step,
                glyph: &table::NOTEHEAD_BLACK,
                x: 0.0,
                drawn: true,
                accidental: Some(Accidental { glyph, x: 0.0 }),
                dot_step: None,
                tied_from: None,
                tied_to: None,
            })
            .collect();
        Chord {
            voice: VoiceNumber(1),
            event: 0,
            onset: Moment::START,
            duration: Duration::QUARTER,
            value: NoteValue::plain(Base::Quarter),
            in_tuplet: false,
            marks: Vec::new(),
            graces: Vec::new(),
            up: true,
            heads,
            shift: 0.0,
            dots_x: 0.0,
            beam: None,
        }
    }

    /// The fault it guards against: accidentals scattered more than half a
    /// space beyond the best of all orders.
    #[test]
    fn no_order_is_much_better_than_ours() {
        for pattern in 0..3usize.pow(3) {
            let mut steps = vec![-4];
            for place in 0..3u32 {
                let gap = 1 + pattern / 3usize.pow(place) % 3;
                steps.push(steps[steps.len() - 1] + gap as i32);
            }
            for glyph in [&table::ACCIDENTAL_SHARP, &table::ACCIDENTAL_FLAT] {
                let mut all = vec![chord(&steps, glyph)];
                arrange(&mut all, &[0]);
                let ours = all[0]
                    .heads
                    .iter()
                    .filter_map(|head| head.accidental)
                    .fold(0.0, |least: f64, accidental| least.min(accidental.x));
                let mut blocks: Vec<Block> = steps
                    .iter()
                    .map(|step| Block {
                        glyph: Some(&table::NOTEHEAD_BLACK),
                        x: 0.0,
                        y: height(*step),
                        half: 0.0,
                        gap: TO_HEAD,
                    })
                    .collect();
                let mut order: Vec<Wanted> =
                    steps.iter().enumerate().map(|(at, step)| (0, at, glyph, *step)).collect();
                let mut best = f64::MIN;
                permute(&mut order, 0, &mut |order| {
                    best = best.max(leftmost(&place(order, &mut blocks)));
                });
                assert!(ours >= best - 0.5 && ours <= best + 1e-9, "{steps:?}: {ours} {best}");
            }
        }
    }

    #[test]
    fn octaves_share_a_column() {
        let mut blocks = vec![
            Block { glyph: Some(&table::NOTEHEAD_BLACK), x: 0.0, y: -1.0, half: 0.0, gap: 0.22 },
            Block { glyph: Some(&table::NOTEHEAD_BLACK), x: 0.0, y: 2.5, half: 0.0, gap: 0.22 },
        ];
        let order = [(0, 1, &table::ACCIDENTAL_SHARP, 5), (0, 0, &table::ACCIDENTAL_SHARP, -2)];
        let places = place(&order, &mut blocks);
        assert!((places[0].2 - places[1].2).abs() < 1e-9, "{places:?}");
    }
}
