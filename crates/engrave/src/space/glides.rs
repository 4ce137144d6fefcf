//! Room for glissandi.

use apoyando_music::Moment;

use crate::notate::{self, Staff};

/// What a glissando needs to be seen, with the white at both its ends.
const LENGTH: f64 = 2.3;

/// How far apart two onsets of a bar of a staff must be for the glissandi
/// between them; 0 where there are none.
pub fn room(staff: &Staff, index: usize, from: Moment, to: Moment) -> f64 {
    let bar = &staff.bars[index];
    let stack = |onset: Moment| bar.stacks.iter().find(|stack| stack.onset == onset);
    let Some(other) = stack(to) else { return 0.0 };
    let mut right: Option<f64> = None;
    for glide in staff.glides.iter().filter(|glide| glide.from.0 == index) {
        let chord = &bar.chords[glide.from.1];
        if chord.onset != from || glide.to.0 != index || bar.chords[glide.to.1].onset != to {
            continue;
        }
        let heads = chord.heads.iter().map(|head| chord.shift + head.x + head.glyph.width());
        let dots = chord.value.dots.checked_sub(1);
        let dots = dots.map(|last| chord.dots_x + notate::dot_offset(last) + 0.4);
        right = heads.chain(dots).chain(right).reduce(f64::max);
    }
    right.map_or(0.0, |right| right + LENGTH - other.contour.leftmost())
}

/// Whether a glissando leads to the first onset of a bar from the bar before.
pub fn arrives(staff: &Staff, index: usize) -> bool {
    staff.glides.iter().any(|glide| glide.to.0 == index && glide.from.0 < index)
}
