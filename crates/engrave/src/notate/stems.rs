//! Which way stems point and where they end when nothing else decides.

use std::cmp::Ordering;

use super::{Chord, StaffBar, height};
use crate::font::{Glyph, table};

/// Decides the direction of all stems of a bar. Alone on the staff, the head
/// farthest from the middle line decides; of two as far, that side on which more
/// heads are, downwards if in doubt (Gould, *Behind Bars*, from memory).
pub fn direct(bar: &mut StaffBar) {
    if bar.shared {
        return;
    }
    for group in &bar.beams {
        let up = points_up(group.iter().flat_map(|i| bar.chords[*i].heads.iter().map(|h| h.step)));
        for index in group {
            bar.chords[*index].up = up;
        }
    }
    for chord in bar.chords.iter_mut().filter(|chord| chord.beam.is_none()) {
        chord.up = points_up(chord.heads.iter().map(|head| head.step));
    }
}

fn points_up(steps: impl Iterator<Item = i32>) -> bool {
    let (mut low, mut high, mut over) = (0, 0, 0);
    for step in steps {
        (low, high) = (low.min(step), high.max(step));
        over += step.signum();
    }
    match (-low).cmp(&high) {
        Ordering::Equal => over < 0,
        farther => farther == Ordering::Greater,
    }
}

/// Middle of a chord's stem relative to the left edge of its normal heads.
pub fn stem_x(chord: &Chord) -> f64 {
    let glyph = chord.heads.first().map_or(&table::NOTEHEAD_BLACK, |head| head.glyph);
    let half = table::STEM_THICKNESS / 2.0;
    if chord.up {
        glyph.stem_up.map_or(glyph.right, |at| at.0) - half
    } else {
        glyph.stem_down.map_or(0.0, |at| at.0) + half
    }
}

/// The flag of an unbeamed value.
pub fn flag(chord: &Chord) -> Option<&'static Glyph> {
    if chord.beam.is_some() {
        return None;
    }
    let flags: [(&'static Glyph, &'static Glyph); 5] = [
        (&table::FLAG_8TH_UP, &table::FLAG_8TH_DOWN),
        (&table::FLAG_16TH_UP, &table::FLAG_16TH_DOWN),
        (&table::FLAG_32ND_UP, &table::FLAG_32ND_DOWN),
        (&table::FLAG_64TH_UP, &table::FLAG_64TH_DOWN),
        (&table::FLAG_128TH_UP, &table::FLAG_128TH_DOWN),
    ];
    let (up, down) = flags.get(usize::from(chord.value.base.flags()).checked_sub(1)?)?;
    Some(if chord.up { up } else { down })
}

/// Where an unbeamed stem ends: 3.5 from the last head, a quarter more for a downward flag, at least at the
/// middle line, shorter when it points out of the staff in two voices.
pub fn free_tip(chord: &Chord, shared: bool) -> f64 {
    let (Some(low), Some(high)) = (chord.heads.first(), chord.heads.last()) else { return 0.0 };
    let side = if chord.up { 1.0 } else { -1.0 };
    let last = if chord.up { high.step } else { low.step };
    let outward = if chord.up { last } else { -last };
    let mut length = 3.5;
    if shared && outward > 0 {
        length -= 0.25 * f64::from(outward.min(4));
    }
    if flag(chord).is_some() {
        // A downward flag curls back beneath its own head, the more so the
        // more of them there are.
        let more = 0.25 * f64::from(chord.value.base.flags().saturating_sub(1));
        // An upward one hangs down to a head on the far side of the stem.
        let beside = chord.up && chord.heads.iter().any(|head| head.x > 0.0);
        let least = match (beside, chord.up) {
            (true, _) => 4.0,
            (false, true) => 3.0,
            (false, false) => 3.75,
        };
        length = f64::max(length, least + more);
    }
    let tip = side * height(last) + length;
    side * tip.max(0.0)
}

/// Height at which a stem leaves the head it begins at.
pub fn stem_start(chord: &Chord) -> f64 {
    let head = if chord.up { chord.heads.first() } else { chord.heads.last() };
    let Some(head) = head else { return 0.0 };
    let anchor = if chord.up { head.glyph.stem_up } else { head.glyph.stem_down };
    height(head.step) + anchor.map_or(0.0, |at| at.1)
}

#[cfg(test)]
mod tests {
    use super::points_up;

    /// Gould, *Behind Bars*, from memory: the head farthest from the middle line, then the
    /// side of most heads, then down.
    #[test]
    fn the_farthest_head_decides_then_the_side_of_most() {
        for (steps, up) in [
            (&[-5, 2][..], true),
            (&[-2, 5], false),
            (&[-5, -2, 0, 5], true),
            (&[-5, 0, 2, 5], false),
            (&[-5, 5], false),
            (&[0], false),
        ] {
            assert_eq!(points_up(steps.iter().copied()), up, "{steps:?}");
        }
    }
}
