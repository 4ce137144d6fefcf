//! A bar of tablature that stands alone: figures on the lines of their strings instead of
//! heads, its rhythm outside of the lines.
//!
//! Common practice, no source; editions differ. A voice that is alone has its stems below the
//! lines, of two voices the upper one has them above. Stems do not touch the lines and are
//! equally long, with flags and beams as in notation; beams are level. The stem of a half
//! note is half as long, whole notes have none. Dots stand beside the end of the stem near
//! the lines. What a tie leads to is figured again in parentheses, so that every stem has its
//! figure.

use apoyando_fretboard::StringNumber;
use apoyando_music::{Base, EventMark, Score, VoiceNumber};

use super::beside::Sign;
use super::{Beside, Chord, Rest, StaffBar, Wishes, dots, has_stem, ornaments, rests, stems};
use super::{Contour, Stack, onsets, struck_at};
use crate::font::table;
use crate::geometry::Side;
use crate::place::{self, BEAM_PITCH};
use crate::style::Style;
use crate::tablature::{
    Fretting, HEIGHT, LINE_GAP, Label, graces_once, half, height, lay_graces, line_near, small,
    space_over, sweep_beside,
};

/// From the left edge of a normally placed head to the middle of figures and stems, so that
/// they stand over the heads of other staves.
pub const CENTRE: f64 = 0.59;

/// From the outer line to where stems begin: clear of figures on it. House.
const START: f64 = 1.1;
/// Length of stems, of those of half notes, and the white to those of another voice outside
/// of them. House.
const LENGTH: f64 = 3.25;
const HALF_NOTE: f64 = 1.6;
const NEXT_ROW: f64 = 0.8;
/// From a stem and from a flag to the first dot, and how far outside the beginning of the
/// stem it stands. House.
const DOT_TO_STEM: f64 = 0.4;
const DOT_TO_FLAG: f64 = 0.25;
const DOT_OUT: f64 = 0.35;
/// From a figure to the dots of a note without a stem, and from a rest to its own.
const DOT_TO_FIGURE: f64 = 0.35;
const DOT_TO_REST: f64 = 0.3;
/// From a figure to the tie into nothing after it.
pub const RING_GAP: f64 = 0.2;
/// Clear space above and below a rest.
const REST_CLEAR: f64 = 0.25;
/// The same where it is kept apart from what follows.
const REST_WHITE: f64 = 0.1;
/// How far the sign before a chord reaches past the middles of its outer figures at most.
const SIGN_PAST: f64 = 2.5;
/// Half of a dot with white about it.
const DOT: f64 = 0.35;

/// Where the stem of a chord begins and ends; a chord that has none has its place.
#[derive(Clone, Copy, Debug)]
pub struct Span {
    pub from: f64,
    pub tip: f64,
}

/// Length of the stem of a chord: one of a group under a beam has room for all beams.
fn length(bar: &StaffBar, chord: &Chord) -> f64 {
    let group = chord.beam.and_then(|beam| bar.beams.get(beam)).into_iter().flatten();
    let beams = group.map(|at| bar.chords[*at].value.base.flags()).max().unwrap_or(0);
    match chord.value.base {
        Base::Half => HALF_NOTE,
        _ => LENGTH + BEAM_PITCH * f64::from(beams.saturating_sub(2)),
    }
}

/// The stems of the chords of a bar. Where two voices have theirs on one side, those of the
/// second stand outside of those of the first.
pub fn spans(bar: &StaffBar, thickest: StringNumber) -> Vec<Span> {
    let mut spans = vec![Span { from: 0.0, tip: 0.0 }; bar.chords.len()];
    for up in [true, false] {
        let side = if up { 1.0 } else { -1.0 };
        let mut voices: Vec<VoiceNumber> =
            bar.chords.iter().filter(|chord| chord.up == up).map(|chord| chord.voice).collect();
        voices.sort_unstable();
        voices.dedup();
        let mut near = half(thickest) + START;
        for voice in voices {
            let mut longest = 0.0_f64;
            for (chord, span) in bar.chords.iter().zip(&mut spans) {
                if (chord.up, chord.voice) == (up, voice) {
                    let length = length(bar, chord);
                    longest = longest.max(length);
                    *span = Span { from: side * near, tip: side * (near + length) };
                }
            }
            near += longest + NEXT_ROW;
        }
    }
    spans
}

/// The figures of a chord: half their widths and their heights.
fn figures<'a>(
    score: &'a Score,
    fretting: &'a Fretting,
    chord: &'a Chord,
) -> impl Iterator<Item = (f64, f64)> + 'a {
    chord.heads.iter().filter_map(|head| {
        let place = fretting.place_of(head.note)?;
        let label = Label::new(score, head.note, fretting, head.tied_from.is_some())?;
        Some((label.half_width(), height(fretting.thickest, place.string)))
    })
}

/// Heights of the dots of a chord: one beside its stem, or one at each figure.
pub fn dot_heights(score: &Score, fretting: &Fretting, chord: &Chord, span: Span) -> Vec<f64> {
    if chord.value.dots == 0 {
        Vec::new()
    } else if has_stem(chord) {
        vec![span.from + DOT_OUT * span.from.signum()]
    } else {
        figures(score, fretting, chord).map(|(_, y)| y + LINE_GAP / 2.0).collect()
    }
}

/// Makes a bar one of figures.
pub fn finish(
    bar: &mut StaffBar,
    score: &Score,
    fretting: &Fretting,
    style: &Style,
    wishes: &Wishes,
) {
    for chord in &mut bar.chords {
        chord.up = bar.sides.of(chord.voice) == Some(Side::Upper);
        // The figure of a natural harmonic has brackets.
        chord.marks.retain(|mark| *mark != EventMark::NaturalHarmonic);
        for head in &mut chord.heads {
            head.glyph = &table::NOTEHEAD_BLACK;
            head.tied_to = None;
        }
    }
    rests::take_sides(bar);
    let onsets = onsets(bar);
    for at in 0..bar.rests.len() {
        settle(bar, at, score, fretting);
    }
    let spans = spans(bar, fretting.thickest);
    for (number, onset) in onsets.iter().copied().enumerate() {
        let (chords, rests) = struck_at(bar, onset);
        let widest = chords
            .iter()
            .flat_map(|at| figures(score, fretting, &bar.chords[*at]))
            .map(|(half, _)| half)
            .fold(0.0, f64::max);
        for at in &chords {
            bar.chords[*at].dots_x = dots_x(&bar.chords[*at], widest);
        }
        let (left, beside, mut contour) =
            contour(bar, (&chords, &rests), score, fretting, (&spans, wishes, small(style)));
        let next = onsets.get(number + 1).copied();
        if let Some((left, right)) = bar.loudness.around(onset, next) {
            contour.add_loudness(left, right);
        }
        let graces = Vec::new();
        bar.stacks.push(Stack { onset, chords, left, beside, graces, contour });
    }
}

/// Left edge of the dots of a chord at whose onset no figure is wider than twice `widest`.
fn dots_x(chord: &Chord, widest: f64) -> f64 {
    let stem = table::STEM_THICKNESS / 2.0;
    match stems::flag(chord) {
        Some(flag) => CENTRE - stem + flag.width() + DOT_TO_FLAG,
        None if has_stem(chord) => CENTRE + stem + DOT_TO_STEM,
        None => CENTRE + widest + DOT_TO_FIGURE,
    }
}

/// Puts a rest at mid height, that of one of two voices on its side, and away from the
/// figures that are struck with it, or in its bar if it fills it, and from other rests.
fn settle(bar: &mut StaffBar, at: usize, score: &Score, fretting: &Fretting) {
    let rest = &bar.rests[at];
    if !rest.drawn {
        return;
    }
    let own = bar.sides.of(rest.voice).map_or(-1.0, Side::sign);
    let aside = rest.y - rests::usual_height(rest.value.base);
    let usual = match rest.value.base {
        Base::Whole => line_near(fretting.thickest, 0.1),
        Base::Half => line_near(fretting.thickest, -0.1),
        _ => 0.0,
    };
    let here = |chord: &&Chord| rest.whole_bar || chord.onset == rest.onset;
    let figures_here =
        || bar.chords.iter().filter(here).flat_map(|chord| figures(score, fretting, chord));
    // What is there between which heights: figures, and the rests that have their places.
    let mut taken: Vec<(f64, f64)> =
        figures_here().map(|(_, y)| (y - HEIGHT / 2.0, y + HEIGHT / 2.0)).collect();
    // The sign before a chord of its bar reaches past its figures.
    let signed =
        |chord: &&Chord| rest.whole_bar && chord.marks.iter().any(|mark| Sign::of(*mark).is_some());
    taken.extend(bar.chords.iter().filter(signed).map(|chord| {
        let (low, high) = figures(score, fretting, chord)
            .fold((f64::MAX, f64::MIN), |ends, (_, y)| (ends.0.min(y), ends.1.max(y)));
        (low - SIGN_PAST, high + SIGN_PAST)
    }));
    let settled = bar.rests[..at].iter().filter(|other| {
        other.drawn && (other.whole_bar || rest.whole_bar || other.onset == rest.onset)
    });
    taken.extend(settled.map(|other| (other.y + other.glyph.low, other.y + other.glyph.high)));
    let hits = |y: f64| {
        let (low, high) = (y + rest.glyph.low - REST_CLEAR, y + rest.glyph.high + REST_CLEAR);
        taken.iter().any(|ink| ink.0 < high && low < ink.1)
    };
    let aside = if aside == 0.0 { 0.0 } else { own * LINE_GAP };
    let mut y = usual + aside;
    for _ in 0..2 * StringNumber::MOST {
        if !hits(y) {
            break;
        }
        y += own * LINE_GAP;
    }
    let dots_y = space_over(fretting.thickest, y);
    let beside = figures_here().filter(|(_, figure)| (figure - dots_y).abs() < HEIGHT / 2.0 + DOT);
    let right = beside.map(|(half, _)| CENTRE + half).fold(rest.glyph.width(), f64::max);
    let rest: &mut Rest = &mut bar.rests[at];
    (rest.y, rest.dots_x, rest.dots_y) = (y, right + DOT_TO_REST, dots_y);
}

/// The contour of everything at one onset, with the leftmost printed ink and the sign before
/// a chord.
fn contour(
    bar: &StaffBar,
    (chords, rests): (&[usize], &[usize]),
    score: &Score,
    fretting: &Fretting,
    (spans, wishes, scale): (&[Span], &Wishes, f64),
) -> (f64, Option<Beside>, Contour) {
    let here = || chords.iter().flat_map(|at| figures(score, fretting, &bar.chords[*at]));
    let widest = here().map(|(half, _)| half).fold(0.0, f64::max);
    let mut contour = Contour::EMPTY;
    let mut wanted: Vec<(f64, f64)> = Vec::new();
    let stem = table::STEM_THICKNESS / 2.0;
    for (chord, span) in chords.iter().map(|at| (&bar.chords[*at], spans[*at])) {
        for (half, y) in figures(score, fretting, chord) {
            let up = HEIGHT / 2.0;
            contour.add(CENTRE - half, CENTRE + half, y - up, y + up);
            if chord.marks.contains(&EventMark::LetRing) {
                let right = CENTRE + widest + RING_GAP + place::RING;
                contour.add(CENTRE, right, y - up, y + up);
            }
        }
        for head in chord.heads.iter().filter(|head| head.tied_from.is_none()) {
            let place = fretting.place_of(head.note);
            let y = place.map_or(0.0, |place| height(fretting.thickest, place.string));
            wanted.push((wishes.beside(head.note), y));
        }
        if has_stem(chord) {
            // The beams of other voices on its side are farther out.
            let (low, high) = (span.from.min(span.tip), span.from.max(span.tip));
            contour.add(CENTRE - stem, CENTRE + stem, low, high);
            if let Some(flag) = stems::flag(chord) {
                contour.add_glyph(flag, CENTRE - stem, span.tip);
            }
        }
        for y in dot_heights(score, fretting, chord, span) {
            let right = chord.dots_x + dots::offset(chord.value.dots);
            contour.add(chord.dots_x, right, y - 0.2, y + 0.2);
        }
        let below = bar.goes_below(chord.voice);
        if let Some((left, right)) = ornaments::room(chord, below) {
            contour.add_ornament(left, right, below);
        }
    }
    for rest in rests.iter().map(|at| &bar.rests[*at]) {
        for white in [-REST_WHITE, REST_WHITE] {
            contour.add_glyph(rest.glyph, 0.0, rest.y + white);
        }
        if rest.value.dots > 0 {
            let right = rest.dots_x + dots::offset(rest.value.dots);
            contour.add(rest.dots_x, right, rest.dots_y - 0.2, rest.dots_y + 0.2);
        }
    }
    let mut printed = contour.leftmost().min(0.0);
    let mut beside = Beside::of(bar, chords, printed);
    if let Some(sign) = &mut beside
        && let Some((left, low, high)) =
            sweep_beside(score, fretting, (&bar.chords, chords), sign, CENTRE)
    {
        sign.x = left;
        contour.add(left, sign.right(), low, high);
        printed = printed.min(left);
    }
    let groups = chords
        .iter()
        .map(|at| (lay_graces(score, fretting, &bar.chords[*at], printed, None, scale), ()));
    for (smalls, ()) in graces_once(groups) {
        for area in smalls.areas(fretting) {
            contour.add(area.left, area.right, area.low, area.high);
        }
    }
    for (wish, y) in wanted.into_iter().filter(|(wish, _)| *wish > 0.0) {
        contour.add(printed - wish, printed, y - 0.55, y + 0.55);
    }
    (printed, beside, contour)
}
