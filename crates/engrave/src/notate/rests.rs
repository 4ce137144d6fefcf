//! Rests: their glyphs and their heights.

use apoyando_music::{Base, Event, Moment, VoiceNumber};

use super::{Chord, Rest, Sides, StaffBar, height};
use crate::font::{Glyph, table};
use crate::geometry::Side;

/// The sign of a rest.
fn glyph_of(base: Base) -> &'static Glyph {
    match base {
        Base::Breve => &table::REST_DOUBLE_WHOLE,
        Base::Whole => &table::REST_WHOLE,
        Base::Half => &table::REST_HALF,
        Base::Quarter => &table::REST_QUARTER,
        Base::Eighth => &table::REST_8TH,
        Base::N16 => &table::REST_16TH,
        Base::N32 => &table::REST_32ND,
        Base::N64 => &table::REST_64TH,
        Base::N128 => &table::REST_128TH,
    }
}

/// A whole rest hangs from the fourth line; the others are centred.
pub(super) fn usual_height(base: Base) -> f64 {
    if base == Base::Whole { 1.0 } else { 0.0 }
}

/// A rest where it stands alone on the staff.
pub fn bare(event: &Event, voice: VoiceNumber, whole_bar: bool) -> Rest {
    // A rest that fills its bar is a whole rest in any metre.
    let filling = whole_bar && event.value.base <= Base::Whole;
    Rest {
        voice,
        onset: event.onset,
        end: event.end(),
        drawn: true,
        value: event.value,
        glyph: glyph_of(event.value.base),
        y: usual_height(event.value.base),
        whole_bar: filling,
        dots_x: 0.0,
        dots_y: 0.0,
        in_tuplet: event.tuplet.is_some(),
        marks: event.marks.clone(),
    }
}

/// Gives the rests of a bar with several voices their sides. Equal rests of
/// two voices at one onset become one, in the usual place; so does a rest
/// during which no other voice says anything.
pub fn take_sides(bar: &mut StaffBar) {
    if !bar.shared {
        return;
    }
    let StaffBar { chords, rests, sides, .. } = bar;
    for at in 0..rests.len() {
        if !rests[at].drawn {
            continue;
        }
        let rest = rests[at].clone();
        let overlaps = |onset: Moment, end: Moment| onset < rest.end && rest.onset < end;
        let others_rest = rests.iter().any(|r| r.voice != rest.voice && overlaps(r.onset, r.end));
        let others_play =
            chords.iter().any(|c| c.voice != rest.voice && overlaps(c.onset, c.onset + c.duration));
        // One rest says it for all, and for two on one side while the other plays.
        let alike = |r: &Rest| !others_play || sides.of(r.voice) == sides.of(rest.voice);
        let twin = rests.iter().position(|r| {
            r.voice != rest.voice
                && r.drawn
                && r.onset == rest.onset
                && r.value == rest.value
                && r.whole_bar == rest.whole_bar
                && !r.in_tuplet
                && !rest.in_tuplet
                && alike(r)
        });
        if let Some(twin) = twin {
            rests[twin].drawn = false;
        }
        if others_play || (others_rest && twin.is_none()) {
            rests[at].y += 2.0 * sides.of(rest.voice).map_or(0.0, Side::sign);
        }
    }
}

/// Moves a rest by whole spaces until it is half a space clear of the heads.
fn clear<'a>(rest: &mut Rest, sides: &Sides, others: impl Iterator<Item = &'a Chord>) {
    let up = sides.of(rest.voice) != Some(Side::Lower);
    let heads: Vec<f64> = others
        .filter(|c| c.voice != rest.voice)
        .flat_map(|c| c.heads.iter().map(|h| height(h.step)))
        .collect();
    let hit = |y: f64| {
        heads
            .iter()
            .any(|h| if up { y + rest.glyph.low < h + 1.0 } else { y + rest.glyph.high > h - 1.0 })
    };
    let mut y = rest.y;
    for _ in 0..24 {
        if !hit(y) {
            break;
        }
        y += if up { 1.0 } else { -1.0 };
    }
    rest.y = y;
}

/// Clears the rests at an onset from the other voice's heads there.
pub fn settle(bar: &mut StaffBar, chords: &[usize], rests: &[usize]) {
    let StaffBar { chords: all, rests: all_rests, shared, sides, .. } = bar;
    if *shared {
        for index in rests {
            clear(&mut all_rests[*index], sides, chords.iter().map(|i| &all[*i]));
        }
    }
}

/// Clears rests that fill the bar from everything the other voice has in it.
pub fn settle_whole_bars(bar: &mut StaffBar) {
    let StaffBar { chords, rests, shared, sides, .. } = bar;
    if *shared {
        for rest in rests.iter_mut().filter(|rest| rest.whole_bar) {
            clear(rest, sides, chords.iter());
        }
    }
}
