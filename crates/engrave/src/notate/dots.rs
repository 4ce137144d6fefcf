//! Augmentation dots.

use super::{Chord, Head, StaffBar, heads, height, stems};
use crate::font::table;

/// Clear space between head and first dot.
const TO_HEAD: f64 = 0.5;

/// Chords whose dots would stand no farther apart than this share a column: two voices a
/// second apart have their dots over one another.
const ONE_COLUMN: f64 = 1.3;
/// Clear space above and below a dot, and to the stems and flags of other voices.
const UPRIGHT: f64 = 0.25;
const TO_STROKE: f64 = 0.2;

/// Finds the step of every dot, and a column for those of each chord and rest.
pub fn arrange(bar: &mut StaffBar, chords: &[usize], rests: &[usize]) {
    let mut taken: Vec<i32> = Vec::new();
    for index in chords {
        let down_side = bar.shared && !bar.chords[*index].up;
        choose_steps(&mut bar.chords[*index], down_side, &mut taken);
    }
    // Left edges of the columns, chords before rests.
    let mut columns: Vec<(bool, f64)> = Vec::new();
    for index in chords {
        let chord = &bar.chords[*index];
        let others = chords.iter().filter(|other| *other != index).map(|at| &bar.chords[*at]);
        columns.push((chord.value.dots > 0, of_chord(bar, chord, others, rests)));
    }
    for index in rests {
        let rest = &bar.rests[*index];
        let own = rest.glyph.width() - 0.2;
        let dot = of_rest(rest.y);
        let x = chords.iter().flat_map(|at| heads_at(&bar.chords[*at], dot)).fold(own, f64::max);
        columns.push((rest.value.dots > 0, x + TO_HEAD));
    }
    let dotted: Vec<f64> = columns.iter().filter(|(dots, _)| *dots).map(|(_, x)| *x).collect();
    let shared =
        |x: f64| dotted.iter().filter(|other| **other - x < ONE_COLUMN).copied().fold(x, f64::max);
    let columns: Vec<f64> = columns.iter().map(|(_, x)| shared(*x)).collect();
    for (index, x) in chords.iter().zip(&columns) {
        bar.chords[*index].dots_x = *x;
    }
    for (index, x) in rests.iter().zip(&columns[chords.len()..]) {
        let rest = &mut bar.rests[*index];
        (rest.dots_x, rest.dots_y) = (*x, of_rest(rest.y));
    }
}

/// Height of the dots of a rest at a height.
pub fn of_rest(rest: f64) -> f64 {
    rest.floor() + 0.5
}

/// Right sides of the heads of a chord that lie in the way of a dot at a height.
fn heads_at(chord: &Chord, dot: f64) -> impl Iterator<Item = f64> {
    let hit = move |head: &&Head| (height(head.step) - dot).abs() < 0.5 + UPRIGHT;
    chord.heads.iter().filter(hit).map(|head| chord.shift + head.x + head.glyph.width())
}

/// Left edge of the dots of a chord, right of its heads, its flag, and what other voices
/// have at their heights.
fn of_chord<'a>(
    bar: &StaffBar,
    chord: &Chord,
    others: impl Iterator<Item = &'a Chord> + Clone,
    rests: &[usize],
) -> f64 {
    let dots: Vec<f64> = chord.heads.iter().filter_map(|head| head.dot_step).map(height).collect();
    let right = |head: &Head| chord.shift + head.x + head.glyph.width();
    let own = chord.heads.iter().map(right).fold(0.0, f64::max);
    let mut x = own;
    for dot in &dots {
        x = others.clone().flat_map(|other| heads_at(other, *dot)).fold(x, f64::max);
        for rest in rests.iter().map(|at| &bar.rests[*at]) {
            let (low, high) = (rest.y + rest.glyph.low, rest.y + rest.glyph.high);
            if (low - UPRIGHT..high + UPRIGHT).contains(dot) {
                x = x.max(rest.glyph.width() - 0.2);
            }
        }
    }
    let mut strokes: Vec<f64> = flag_right(chord, &dots, bar.shared).into_iter().collect();
    for other in others {
        strokes.extend(flag_right(other, &dots, bar.shared));
        strokes.extend(stem_right(bar, other, &dots));
    }
    // A stroke farther right than the dots does not stand in their way.
    strokes.sort_by(f64::total_cmp);
    let reach = offset(chord.value.dots.saturating_sub(1)) + table::AUGMENTATION_DOT.width();
    for stroke in strokes {
        let after = stroke + TO_STROKE - TO_HEAD;
        if stroke > own && after > x && stroke < x + TO_HEAD + reach + 2.0 * TO_STROKE {
            x = after;
        }
    }
    x + TO_HEAD
}

/// Right side of a flag at the height of some dots.
fn flag_right(chord: &Chord, dots: &[f64], shared: bool) -> Option<f64> {
    let flag = stems::flag(chord).filter(|_| chord.up)?;
    let tip = stems::free_tip(chord, shared);
    let hit = |dot: &f64| dot + 0.3 > tip + flag.low && dot - 0.3 < tip + flag.high;
    let x = chord.shift + stems::stem_x(chord);
    dots.iter().any(hit).then_some(x + flag.width())
}

/// Right side of a stem at the height of some dots.
fn stem_right(bar: &StaffBar, chord: &Chord, dots: &[f64]) -> Option<f64> {
    if !heads::has_stem(chord) {
        return None;
    }
    let from = stems::stem_start(chord);
    let tip = stems::free_tip(chord, bar.shared);
    let hit = |dot: &f64| (from.min(tip) - 0.2..from.max(tip) + 0.2).contains(dot);
    let right = chord.shift + stems::stem_x(chord) + table::STEM_THICKNESS / 2.0;
    dots.iter().any(hit).then_some(right)
}

/// The steps of the dots of a chord.
fn choose_steps(chord: &mut Chord, down_side: bool, taken: &mut Vec<i32>) {
    if chord.value.dots == 0 {
        return;
    }
    // From the top down (from the bottom up in a lower voice), so that
    // of two neighbours the outer one has the first choice.
    let count = chord.heads.len();
    for at in 0..count {
        let index = if down_side { at } else { count - 1 - at };
        let step = chord.heads[index].step;
        let first = if step.rem_euclid(2) == 1 {
            step
        } else if down_side {
            step - 1
        } else {
            step + 1
        };
        if !chord.heads[index].drawn && taken.contains(&first) {
            continue;
        }
        let other = if step.rem_euclid(2) == 1 { first } else { 2 * step - first };
        let chosen = [first, other]
            .into_iter()
            .find(|s| !taken.contains(s))
            .or_else(|| [first - 2, first + 2].into_iter().find(|s| !taken.contains(s)));
        let Some(chosen) = chosen else { continue };
        taken.push(chosen);
        chord.heads[index].dot_step = Some(chosen);
    }
}

/// Left edge of a dot relative to the first one.
pub fn offset(dot: u8) -> f64 {
    f64::from(dot) * (table::AUGMENTATION_DOT.width() + 0.25)
}
