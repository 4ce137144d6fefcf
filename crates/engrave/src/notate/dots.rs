//! Augmentation dots.

use super::{StaffBar, height, stems};
use crate::font::table;

/// Clear space between head and first dot.
const TO_HEAD: f64 = 0.5;

/// Finds the step of every dot and the left edge of their common column.
pub fn arrange(bar: &mut StaffBar, chords: &[usize], rests: &[usize]) -> f64 {
    let mut taken: Vec<i32> = Vec::new();
    let mut x = 0.0_f64;
    for index in chords {
        let down_side = bar.shared && !bar.chords[*index].up;
        let shared = bar.shared;
        let chord = &mut bar.chords[*index];
        x = chord.heads.iter().map(|h| chord.shift + h.x + h.glyph.width()).fold(x, f64::max);
        if chord.value.dots == 0 {
            continue;
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
        let chord = &bar.chords[*index];
        if let Some(flag) = stems::flag(chord).filter(|_| chord.up) {
            let low = stems::free_tip(chord, shared) + flag.low;
            let hit = taken.iter().any(|step| height(*step) + 0.2 > low - 0.1);
            if hit {
                x = x.max(chord.shift + stems::stem_x(chord) + flag.width() - TO_HEAD + 0.2);
            }
        }
    }
    for index in rests {
        x = x.max(bar.rests[*index].glyph.width() - 0.2);
    }
    x + TO_HEAD
}

/// Left edge of a dot relative to the first one.
pub fn offset(dot: u8) -> f64 {
    f64::from(dot) * (table::AUGMENTATION_DOT.width() + 0.25)
}
