//! How far the ink of one onset reaches left and right at each height, so
//! that neighbours are kept apart by their real shapes.

use apoyando_fretboard::StringNumber;
use apoyando_music::EventMark;

use super::{Beside, StaffBar, Wishes, columns, dots, heads, height, lyrics, ornaments, stems};
use crate::font::{self, Glyph, table};

/// Heights covered, and the slices they are cut into.
const LOW: f64 = -12.0;
const SLICE: f64 = 0.25;
const SLICES: usize = 96;
/// Figures of tablature keep clear of those of their string.
const STRINGS: usize = StringNumber::MOST as usize;
const INK: usize = SLICES + STRINGS;
/// Ornaments stand at heights not known yet: those above the staff keep clear
/// of one another, and so do those below, dynamics and hairpins, rows of digits above
/// and below, and every row of lyrics.
const LANES: usize = STRINGS + 5 + lyrics::ROWS;
const LYRICS: usize = INK + 5;

/// Left and right sides of ink, slice by slice.
#[derive(Clone, PartialEq, Debug)]
pub struct Contour {
    left: [f32; SLICES + LANES],
    right: [f32; SLICES + LANES],
}

fn slices(low: f64, high: f64) -> std::ops::Range<usize> {
    let first = (((low - LOW) / SLICE).floor().max(0.0) as usize).min(SLICES - 1);
    let end = (((high - LOW) / SLICE).ceil().max(0.0) as usize).clamp(first + 1, SLICES);
    first..end
}

impl Contour {
    /// No ink.
    pub const EMPTY: Self =
        Self { left: [f32::MAX; SLICES + LANES], right: [f32::MIN; SLICES + LANES] };

    /// Adds a rectangle.
    pub fn add(&mut self, left: f64, right: f64, low: f64, high: f64) {
        for slice in slices(low, high) {
            self.left[slice] = self.left[slice].min(left as f32);
            self.right[slice] = self.right[slice].max(right as f32);
        }
    }

    /// Adds ink that keeps clear of what is beside it at whatever height.
    pub(super) fn add_at_all_heights(&mut self, left: f64, right: f64) {
        self.add(left, right, LOW, -LOW);
    }

    pub(super) fn add_glyph(&mut self, glyph: &Glyph, x: f64, y: f64) {
        if let Some(profile) = font::profile(glyph.code) {
            for (low, high, left, right) in profile.rows() {
                self.add(x + left, x + right, y + low, y + high);
            }
        }
    }

    /// The least distance of the origins at which `next` stays `gap` clear of
    /// this ink; `None` where they share no height.
    pub fn distance(&self, next: &Self, gap: f64) -> Option<f64> {
        let mut found = f32::MIN;
        for slice in 0..SLICES + LANES {
            if self.right[slice] > f32::MIN && next.left[slice] < f32::MAX {
                found = found.max(self.right[slice] - next.left[slice]);
            }
        }
        (found > f32::MIN).then(|| f64::from(found) + gap)
    }

    /// Adds the ink of another contour whose origin lies `x` to the right.
    pub fn join(&mut self, other: &Self, x: f64) {
        let x = x as f32;
        for slice in 0..SLICES + LANES {
            if other.right[slice] > f32::MIN {
                self.left[slice] = self.left[slice].min(other.left[slice] + x);
                self.right[slice] = self.right[slice].max(other.right[slice] + x);
            }
        }
    }

    /// The ink drawn smaller about its origin, at its heights.
    #[must_use]
    pub fn scaled(&self, by: f64) -> Self {
        let mut small = self.clone();
        for slice in 0..SLICES + LANES {
            if small.right[slice] > f32::MIN {
                small.left[slice] *= by as f32;
                small.right[slice] *= by as f32;
            }
        }
        small
    }

    /// Adds a figure of tablature on its string.
    pub fn add_figure(&mut self, left: f64, right: f64, string: StringNumber) {
        self.add_to_lane(SLICES + string.index(), left, right);
    }

    /// Adds an ornament above or below the staff.
    pub(super) fn add_ornament(&mut self, left: f64, right: f64, below: bool) {
        self.add_to_lane(INK + usize::from(below), left, right);
    }

    /// Adds dynamics and hairpins.
    pub fn add_loudness(&mut self, left: f64, right: f64) {
        self.add_to_lane(INK + 2, left, right);
    }

    /// Adds a digit of a row above or below the staff.
    fn add_row(&mut self, left: f64, right: f64, below: bool) {
        self.add_to_lane(INK + 3 + usize::from(below), left, right);
    }

    /// How far dynamics and hairpins reach to the right, if there are some.
    pub fn loudness_right(&self) -> Option<f64> {
        let right = self.right[INK + 2];
        (right > f32::MIN).then(|| f64::from(right))
    }

    /// Adds a syllable of a row of lyrics.
    pub fn add_lyric(&mut self, row: usize, left: f64, right: f64) {
        self.add_to_lane(LYRICS + row.min(lyrics::ROWS - 1), left, right);
    }

    /// How far lyrics reach to the left, at most 0.
    pub fn lyrics_left(&self) -> f64 {
        f64::from(self.left[LYRICS..].iter().copied().fold(0.0, f32::min))
    }

    /// How far lyrics reach to the right, if there are some.
    pub fn lyrics_right(&self) -> Option<f64> {
        let right = self.right[LYRICS..].iter().copied().fold(f32::MIN, f32::max);
        (right > f32::MIN).then(|| f64::from(right))
    }

    fn add_to_lane(&mut self, lane: usize, left: f64, right: f64) {
        self.left[lane] = self.left[lane].min(left as f32);
        self.right[lane] = self.right[lane].max(right as f32);
    }

    /// Leftmost ink, 0 if there is none. Ornaments may stand over a barline.
    pub fn leftmost(&self) -> f64 {
        let least = self.left[..INK].iter().copied().fold(f32::MAX, f32::min);
        if least == f32::MAX { 0.0 } else { f64::from(least) }
    }

    /// Rightmost ink, 0 if there is none.
    pub fn rightmost(&self) -> f64 {
        let most = self.right[..INK].iter().copied().fold(f32::MIN, f32::max);
        if most == f32::MIN { 0.0 } else { f64::from(most) }
    }
}

/// What a digit wants above and below the middle of its head: it may be moved up or down, but
/// not where a slur ends over it.
const HALF_DIGIT: f64 = 0.55;
const UNDER_SLUR: f64 = 1.05;
/// A digit whose head stands farther than this from the column would be read as the note's
/// before, unless it has so much more white.
const BESIDE: f64 = 0.3;
const FAR: f64 = 0.35;

/// The contour of everything at one onset, with the leftmost printed ink
/// and the sign before a chord.
pub fn of_stack(
    bar: &StaffBar,
    chords: &[usize],
    rests: &[usize],
    wishes: &Wishes,
) -> (f64, Option<Beside>, Contour) {
    let mut contour = Contour::EMPTY;
    let mut wanted: Vec<(f64, f64, f64, f64)> = Vec::new();
    for chord in chords.iter().map(|index| &bar.chords[*index]) {
        for head in &chord.heads {
            let (x, y) = (chord.shift + head.x, height(head.step));
            contour.add_glyph(head.glyph, x, y);
            for line in columns::ledgers(head.step) {
                let reach = table::LEGER_LINE_EXTENSION;
                contour.add(x - reach, x + head.glyph.width() + reach, line - 0.1, line + 0.1);
            }
            let mut left = x;
            if let Some(accidental) = head.accidental {
                contour.add_glyph(accidental.glyph, accidental.x, y);
                left = accidental.x;
            }
            let wish = wishes.beside(head.note);
            if wish > 0.0 && head.tied_from.is_none() {
                let around =
                    if chord.marks.contains(&EventMark::SlurEnd) { UNDER_SLUR } else { HALF_DIGIT };
                wanted.push((left, wish, y, around));
            }
            if let Some((left, right)) = wishes.in_row(head.note) {
                let centre = x + head.glyph.width() / 2.0;
                contour.add_row(centre + left, centre + right, bar.goes_below(chord.voice));
            }
            if let Some(step) = head.dot_step {
                let right = chord.dots_x + dots::offset(chord.value.dots);
                contour.add(chord.dots_x, right, height(step) - 0.2, height(step) + 0.2);
            }
        }
        if heads::has_stem(chord) {
            let x = chord.shift + stems::stem_x(chord);
            let from = stems::stem_start(chord);
            // How far a beam will be is not known yet.
            let tip = match (chord.beam.is_some(), chord.up) {
                (false, _) => stems::free_tip(chord, bar.shared),
                (true, true) => -LOW,
                (true, false) => LOW,
            };
            contour.add(x - 0.06, x + 0.06, from.min(tip), from.max(tip));
            if let Some(flag) = stems::flag(chord) {
                contour.add_glyph(flag, x - 0.06, tip);
            }
        }
        let below = bar.goes_below(chord.voice);
        if let Some((left, right)) = ornaments::room(chord, below) {
            contour.add_ornament(chord.shift + left, chord.shift + right, below);
        }
    }
    for rest in rests.iter().map(|index| &bar.rests[*index]) {
        contour.add_glyph(rest.glyph, 0.0, rest.y);
        if rest.value.dots > 0 {
            let right = rest.dots_x + dots::offset(rest.value.dots);
            contour.add(rest.dots_x, right, rest.y, rest.y + 1.0);
        }
    }
    let mut printed = contour.leftmost().min(0.0);
    let beside = Beside::of(bar, chords, printed);
    if let Some(sign) = beside {
        contour.add(sign.x, sign.right(), sign.low, sign.high);
        printed = sign.x;
        for wish in &mut wanted {
            wish.0 = sign.x;
        }
    }
    // The digits of a chord stand in one column left of its accidentals.
    let column = wanted.iter().map(|(left, ..)| *left).fold(f64::MAX, f64::min);
    for (left, wish, y, around) in wanted {
        let wish = if left - column > BESIDE { wish + FAR } else { wish };
        contour.add(column - wish, column, y - around, y + around);
    }
    (printed, beside, contour)
}
