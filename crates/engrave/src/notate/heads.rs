//! Heads of a chord and of two voices side by side.

use apoyando_music::Base;

use super::{Chord, stems};
use crate::font::{Glyph, table};

/// The head of a value.
pub fn glyph_of(base: Base) -> &'static Glyph {
    match base {
        Base::Breve => &table::NOTEHEAD_DOUBLE_WHOLE,
        Base::Whole => &table::NOTEHEAD_WHOLE,
        Base::Half => &table::NOTEHEAD_HALF,
        _ => &table::NOTEHEAD_BLACK,
    }
}

/// Places the heads of all chords struck at one onset.
pub fn arrange(all: &mut [Chord], here: &[usize]) {
    for index in here {
        displace_seconds(&mut all[*index]);
    }
    let (mut ups, mut downs): (Vec<usize>, Vec<usize>) = here.iter().partition(|i| all[**i].up);
    // The outer voices first.
    ups.sort_by_key(|i| all[*i].heads.last().map(|head| -head.step));
    downs.sort_by_key(|i| all[*i].heads.first().map(|head| head.step));
    if let (Some(up), Some(down)) = (ups.first(), downs.first()) {
        part_voices(all, *up, *down);
    }
    // Voices between them step aside where they would lie on another, or where their
    // stem would be taken for that of one of their side.
    let order: Vec<usize> = ups.iter().take(1).chain(downs.iter().take(1)).copied().collect();
    let mut placed = order;
    for index in ups.into_iter().skip(1).chain(downs.into_iter().skip(1)) {
        let crowded = placed.iter().any(|other| {
            let (other, own) = (&all[*other], &all[index]);
            other.up == own.up && has_stem(own) || near(other, own, 1)
        });
        if crowded {
            let right = placed.iter().map(|other| right_side(&all[*other])).fold(0.0, f64::max);
            all[index].shift = right + 0.2;
        }
        placed.push(index);
    }
}

/// How far heads of neighbouring steps stand apart: stems in line.
fn displacement(chord: &Chord) -> f64 {
    let width = chord.heads.first().map_or(0.0, |head| head.glyph.width());
    if has_stem(chord) { width - table::STEM_THICKNESS } else { width - 0.08 }
}

/// Whether a chord has a stem.
pub fn has_stem(chord: &Chord) -> bool {
    chord.value.base >= Base::Half
}

/// From the end where the stem begins, every second head of a run of
/// neighbours goes to the other side of the stem.
fn displace_seconds(chord: &mut Chord) {
    let by = displacement(chord);
    let up = chord.up;
    let mut before: Option<(i32, bool)> = None;
    let count = chord.heads.len();
    for at in 0..count {
        let index = if up { at } else { count - 1 - at };
        let step = chord.heads[index].step;
        let aside = matches!(before, Some((last, false)) if (step - last).abs() <= 1);
        chord.heads[index].x = match (aside, up) {
            (false, _) => 0.0,
            (true, true) => by,
            (true, false) => -by,
        };
        before = Some((step, aside));
    }
}

fn right_side(chord: &Chord) -> f64 {
    chord.heads.iter().map(|h| chord.shift + h.x + h.glyph.width()).fold(0.0, f64::max)
}

fn near(one: &Chord, other: &Chord, within: i32) -> bool {
    one.heads.iter().any(|a| other.heads.iter().any(|b| (a.step - b.step).abs() <= within))
}

/// Whether two chords may share heads: same glyph, same dots, and nothing but
/// the shared notes closer than a third.
fn may_share(up: &Chord, down: &Chord) -> bool {
    let same = up.heads[0].glyph.code == down.heads[0].glyph.code
        && up.value.dots == down.value.dots
        && has_stem(up) == has_stem(down);
    let lowest = up.heads[0].step;
    let top = down.heads[down.heads.len() - 1].step;
    let plain = up.heads.iter().chain(&down.heads).all(|head| head.x == 0.0);
    let next_clear = up.heads.get(1).is_none_or(|h| h.step - lowest > 1)
        && down.heads.len().checked_sub(2).is_none_or(|i| top - down.heads[i].step > 1);
    same && plain && lowest == top && next_clear
}

/// Rules of two voices at one onset: shared heads, seconds, crossings.
fn part_voices(all: &mut [Chord], up: usize, down: usize) {
    let (Some(low), Some(top)) = (all[up].heads.first(), all[down].heads.last()) else { return };
    let apart = low.step - top.step;
    if apart > 1 {
        return;
    }
    if apart == 0 && may_share(&all[up], &all[down]) {
        if let Some(head) = all[down].heads.last_mut() {
            head.drawn = false;
        }
        return;
    }
    if apart >= 0 {
        // The upper voice left, the lower one right, their stems in line.
        let by = displacement(&all[up]);
        all[down].shift = by - all[down].heads.iter().map(|h| h.x).fold(0.0, f64::min)
            + all[up].heads.iter().map(|h| h.x).fold(0.0, f64::max);
        return;
    }
    // Voices that cross: the stems stand on the outer sides of the heads, the
    // upward one clear of what the other voice has at its height.
    let width = right_side(&all[down]);
    let clear = if near(&all[up], &all[down], 1) { 0.15 } else { -table::STEM_THICKNESS };
    let flag = stems::flag(&all[down]).map_or(0.0, |flag| flag.width() + 0.2);
    all[up].shift = (width + clear).max(flag);
}
