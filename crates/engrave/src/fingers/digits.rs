//! Left-hand digits.
//!
//! Places in order: left of the head (of all accidentals in a chord); on the
//! head's side away from the stem; beyond stem or beam; outside the staff. The
//! digits of a run stand all left of their heads, or all in one level row above
//! the staff, below it for a lower voice.

use std::collections::{BTreeMap, HashSet};

use apoyando_marks::{Marks, Nudged};
use apoyando_music::{Moment, NoteId, Score};

use super::clear;
use super::fan::fan;
use super::rows::{choose_rows, put_outside, put_rows};
use super::runs::runs;
use super::sign::{Digit, Sizes, put_halos};
use crate::drawing::{Kind, Owner};
use crate::font::table;
use crate::geometry::{Obstacle, PlacedHead, Rect, Side, Stage};
use crate::notate::{self, Wishes};

/// How far left of its nearest place a digit may stand to come clear.
const SLIDE: f64 = 0.75;
/// A digit keeps so far within its bar.
const PAST_BAR: f64 = 0.2;
/// Steps in which places are tried.
const STEP: f64 = 0.05;
/// A column that leaves no digit farther from its head than this is as good as one for
/// each voice.
const ALIGNED: f64 = 0.2;
/// Digits of a column no farther apart than this are read as one sign.
const ONE_SIGN: f64 = 4.5;
/// Digits of two voices so far apart stand clear of one another side by side.
const VOICES_APART: f64 = 2.0;
/// How far above or below the middle of its head a single digit may stand.
const SHIFTS: [f64; 5] = [0.0, 0.3, -0.3, 0.5, -0.5];

/// A digit to be placed, with the head it is for.
#[derive(Clone, Copy)]
pub(super) struct Wanted {
    pub head: PlacedHead,
    pub digit: Digit,
}

impl Wanted {
    pub fn middle(&self) -> f64 {
        (self.head.head.low + self.head.head.high) / 2.0
    }

    pub fn centre(&self) -> f64 {
        (self.head.head.left + self.head.head.right) / 2.0
    }

    /// Whether the voice has its marks below the staff.
    pub fn is_lower(&self) -> bool {
        self.head.side == Some(Side::Lower)
    }
}

/// A digit with its place: its right side and its middle.
#[derive(Clone, Copy)]
pub(super) struct Found {
    pub wanted: Wanted,
    pub right: f64,
    pub middle: f64,
}

/// Puts the digits of one onset on a staff.
pub(super) fn put_all(found: &[Found], stage: &mut Stage) {
    let placed = found.iter().map(|found| {
        let digit = found.wanted.digit;
        (digit, digit.moved(found.right, found.middle), Owner::Note(found.wanted.head.note))
    });
    let placed: Vec<_> = placed.collect();
    let areas: Vec<(Digit, Rect, Owner)> = placed
        .iter()
        .map(|(digit, (right, middle), owner)| (*digit, digit.area(*right, *middle), *owner))
        .collect();
    put_halos(stage, &areas);
    for (digit, (right, middle), owner) in placed {
        digit.put(stage, owner, right, middle);
    }
}

/// Puts all left-hand digits on a staff.
pub fn place(score: &Score, marks: &Marks, sizes: &Sizes, stage: &mut Stage) {
    let wanted: BTreeMap<NoteId, Wanted> = stage
        .heads
        .iter()
        .filter(|head| !head.tied_from)
        .filter_map(|head| {
            let mark = marks.left_of(head.note)?;
            let digit = Digit::new(mark, sizes).nudged(marks.nudge_of(head.note, Nudged::Digit));
            Some((head.note, Wanted { head: *head, digit }))
        })
        .collect();
    let runs = runs(score, stage.part, marks, stage.bars.clone(), sizes.rows_below);
    let rows = choose_rows(runs, &wanted, sizes, stage);
    let in_rows: HashSet<NoteId> =
        rows.iter().flat_map(|run| run.onsets.iter().flatten().copied()).collect();

    // By onset, both voices together, the digits that stand at their heads.
    let mut onsets: BTreeMap<Moment, Vec<Wanted>> = BTreeMap::new();
    for (note, digit) in &wanted {
        if !in_rows.contains(note) {
            onsets.entry(digit.head.onset).or_default().push(*digit);
        }
    }
    let mut outside = Vec::new();
    for digits in onsets.values() {
        match at_heads(digits, stage) {
            Some(found) => put_all(&found, stage),
            None => outside.push(digits.clone()),
        }
    }
    for digits in outside {
        put_outside(&digits, stage);
    }
    put_rows(&rows, &wanted, stage);
}

/// Places for the digits of one onset at their heads.
fn at_heads(digits: &[Wanted], stage: &Stage) -> Option<Vec<Found>> {
    left_of(digits, stage).or_else(|| match digits {
        [one] => beside_stem(one, stage).map(|found| vec![found]),
        _ => {
            // A digit for each voice where the column has no room for all.
            let (lower, upper): (Vec<Wanted>, Vec<Wanted>) =
                digits.iter().copied().partition(Wanted::is_lower);
            let (false, false) = (lower.is_empty(), upper.is_empty()) else { return None };
            let mut found = at_heads(&upper, stage)?;
            found.extend(at_heads(&lower, stage)?);
            are_apart(&found).then_some(found)
        }
    })
}

/// Whether no two digits touch.
fn are_apart(found: &[Found]) -> bool {
    let areas: Vec<Rect> = found.iter().map(|f| f.wanted.digit.area(f.right, f.middle)).collect();
    (1..areas.len()).all(|later| (0..later).all(|at| areas[at].distance(areas[later]) >= 0.1))
}

/// Whether some ink belongs to a digit's own note or to those it stands with.
fn is_own(ink: &Obstacle, wanted: &Wanted, is_with: impl Fn(NoteId) -> bool) -> bool {
    matches!(ink.owner, Owner::Note(of) if is_with(of)) || ink.area.meets(wanted.head.head)
}

/// How far a digit is from the ink of its note or chord: what is nearest is what it is read
/// as belonging to.
fn to_own(
    wanted: &Wanted,
    area: Rect,
    is_with: impl Fn(NoteId) -> bool + Copy,
    stage: &Stage,
) -> f64 {
    stage
        .near(area, clear::OWN_FARTHEST)
        .filter(|ink| is_own(ink, wanted, is_with))
        .map(|ink| ink.area.distance(area))
        .fold(clear::OWN_FARTHEST, f64::min)
}

/// Whether a digit keeps clear of all ink there, and by more of other notes' heads than it
/// is from its own ink.
fn is_clear(
    wanted: &Wanted,
    area: Rect,
    is_with: impl Fn(NoteId) -> bool + Copy,
    to_own: f64,
    stage: &Stage,
) -> bool {
    // Barlines of a system go on between its staves, where no staff sees them.
    let level = Rect::new(area.left, -0.5, area.right, 0.5);
    let in_bar = stage.near(level, PAST_BAR).all(|ink| ink.kind != Kind::BarLine);
    let foreign = clear::FOREIGN_HEAD.max(to_own + clear::NEARER);
    in_bar
        && stage.near(area, foreign).all(|ink| {
            let own = is_own(ink, wanted, is_with);
            let least = match ink.kind {
                Kind::Head | Kind::GraceHead if !own => foreign,
                kind => clear::of_digit(kind, own),
            };
            ink.area.distance(area) >= least - 1e-9
        })
}

/// The farthest right that a digit left of a head may end.
fn left_edge(head: &PlacedHead) -> f64 {
    (head.left - clear::ACCIDENTAL).min(head.head.left - clear::OWN_HEAD)
}

/// Places left of the heads: one digit at the height of its head, several in a column
/// left of all accidentals. Where that is far from some head, voices that lie apart have
/// columns of their own.
pub(super) fn left_of(digits: &[Wanted], stage: &Stage) -> Option<Vec<Found>> {
    let mut digits = digits.to_vec();
    digits.sort_by(|a, b| a.middle().total_cmp(&b.middle()));
    let one = column(&digits, stage);
    if one.as_ref().is_some_and(|found| farthest(found) <= ALIGNED) {
        return one;
    }
    let splits = (1..digits.len()).filter(|at| {
        let (below, above) = (&digits[at - 1], &digits[*at]);
        let apart = above.middle() - below.middle() >= VOICES_APART;
        // The digits of a chord stand in one column where they can.
        apart && (one.is_none() || above.head.voice != below.head.voice)
    });
    let several = splits.filter_map(|at| {
        let mut found = column(&digits[..at], stage)?;
        found.extend(left_of(&digits[at..], stage)?);
        are_apart(&found).then_some(found)
    });
    let best = several.min_by(|a, b| farthest(a).total_cmp(&farthest(b)));
    match (one, best) {
        (Some(one), Some(best)) if farthest(&one) <= farthest(&best) => Some(one),
        (one, best) => best.or(one),
    }
}

/// How far the farthest of some digits ends from where it could at its head.
fn farthest(found: &[Found]) -> f64 {
    found.iter().map(|f| left_edge(&f.wanted.head) - f.right).fold(0.0, f64::max)
}

/// A column of digits, seconds in two.
fn column(digits: &[Wanted], stage: &Stage) -> Option<Vec<Found>> {
    let mut digits = digits.to_vec();
    let onset = digits.first()?.head.onset;
    let is_with = |note| stage.head(note).is_some_and(|head| head.onset == onset);
    if let [one] = digits.as_slice() {
        let nearest = left_edge(&one.head);
        // Nor may it come to stand level with another note struck with it.
        let level = |middle: f64| {
            let off = |head: &PlacedHead| ((head.head.low + head.head.high) / 2.0 - middle).abs();
            let others = stage.heads.iter().filter(|head| head.onset == onset);
            others.filter(|head| head.step != one.head.step).any(|head| off(head) <= off(&one.head))
        };
        let shifts = SHIFTS.into_iter().filter(|shift| !level(one.middle() + shift));
        return shifts.into_iter().find_map(|shift| {
            let middle = one.middle() + shift;
            slides().find_map(|slide| {
                let right = nearest - slide;
                let area = one.digit.area(right, middle);
                let to_own = to_own(one, area, is_with, stage);
                let found = Found { wanted: *one, right, middle };
                is_clear(one, area, is_with, to_own, stage).then_some(vec![found])
            })
        });
    }
    crowd(&mut digits);
    let wished: Vec<f64> = digits.iter().map(Wanted::middle).collect();
    let pitch = pitch_of(&digits);
    let column = |chosen: &[Wanted], right: f64| -> Vec<Found> {
        let wished: Vec<f64> = chosen.iter().map(Wanted::middle).collect();
        let middles = fan(&wished, pitch);
        let widest = chosen.iter().map(|wanted| wanted.digit.digit_width()).fold(0.0, f64::max);
        chosen
            .iter()
            .zip(middles)
            .map(|(wanted, middle)| {
                // Digits of a column are centred on one another.
                let right = right - (widest - wanted.digit.digit_width()) / 2.0;
                Found { wanted: *wanted, right, middle }
            })
            .collect()
    };
    let spread = |found: &[Found]| {
        found.iter().map(|f| (f.middle - f.wanted.middle()).abs()).fold(0.0, f64::max)
    };
    // Left of the accidentals at the heights of the column, whosever they are.
    let heights = wished.first()? - 1.2..=wished.last()? + 1.2;
    let nearest = stage
        .heads
        .iter()
        .filter(|head| head.onset == onset)
        .filter(|head| heights.contains(&((head.head.low + head.head.high) / 2.0)))
        .map(left_edge)
        .fold(f64::MAX, f64::min);
    slides().find_map(|slide| {
        let right = nearest - slide;
        let mut found = column(&digits, right);
        if spread(&found) > clear::FAN {
            let (inner, outer): (Vec<_>, Vec<_>) =
                digits.iter().copied().enumerate().partition(|(rank, _)| rank % 2 == 1);
            let bare = |side: Vec<(usize, Wanted)>| -> Vec<Wanted> {
                side.into_iter().map(|(_, wanted)| wanted).collect()
            };
            let (inner, outer) = (bare(inner), bare(outer));
            let mut staggered = column(&inner, right);
            let leftmost = staggered
                .iter()
                .map(|f| f.wanted.digit.area(f.right, f.middle).left)
                .fold(right, f64::min);
            staggered.extend(column(&outer, leftmost - clear::COLUMNS));
            if spread(&staggered) < spread(&found) {
                found = staggered;
            }
        }
        // Digits of a column near one another are read as one sign.
        let area = |f: &Found| f.wanted.digit.area(f.right, f.middle);
        let own: Vec<f64> =
            found.iter().map(|f| to_own(&f.wanted, area(f), is_with, stage)).collect();
        let fits = found.iter().all(|f| {
            let near = |other: &Found| (other.middle - f.middle).abs() <= ONE_SIGN;
            let near = found.iter().zip(&own).filter(|(other, _)| near(other));
            let to_own = near.map(|(_, own)| *own).fold(clear::OWN_FARTHEST, f64::min);
            is_clear(&f.wanted, area(f), is_with, to_own, stage)
        });
        fits.then_some(found)
    })
}

/// Makes the digits of one onset smaller where their notes stand too close for
/// them.
fn crowd(digits: &mut [Wanted]) {
    let pitch = pitch_of(digits);
    let crowded = digits.windows(2).any(|pair| (pair[1].middle() - pair[0].middle()).abs() < pitch);
    if crowded {
        for wanted in digits {
            wanted.digit = wanted.digit.in_chord();
        }
    }
}

/// Distance from baseline to baseline of digits over one another.
fn pitch_of(digits: &[Wanted]) -> f64 {
    let height = digits.iter().map(|wanted| wanted.digit.height()).fold(0.0, f64::max);
    clear::CHORD_PITCH.max(height + clear::CHORD_GAP)
}

fn slides() -> impl Iterator<Item = f64> {
    (0..=(SLIDE / STEP) as usize).map(|step| step as f64 * STEP)
}

/// A place over or under the head, away from its stem, else beyond the stem.
fn beside_stem(wanted: &Wanted, stage: &Stage) -> Option<Found> {
    let half = wanted.digit.height() / 2.0;
    let right = wanted.centre() + wanted.digit.digit_width() / 2.0;
    let head = wanted.head.head;
    let stem = wanted.head.stem;
    let stem_up = stem.map_or(!wanted.is_lower(), |stem| stem.up);
    let gap = |least: f64| least + half;
    let mut tries: Vec<(f64, f64)> = Vec::new();
    // Between two voices a digit would be anybody's.
    if wanted.head.side.is_none() {
        let away = if stem_up { -1.0 } else { 1.0 };
        let edge = if stem_up { head.low } else { head.high };
        tries.extend(
            [0.0, 0.15, 0.3].map(|more| (right, edge + away * (gap(clear::OWN_HEAD) + more))),
        );
    }
    if let Some(stem) = stem {
        let beyond = if stem.up { 1.0 } else { -1.0 };
        tries.extend(
            [0.0, 0.15, 0.3, 0.5]
                .map(|more| (right, stem.tip + beyond * (gap(clear::STROKE) + 0.05 + more))),
        );
    } else if wanted.head.side.is_some() {
        let beyond = if stem_up { 1.0 } else { -1.0 };
        let edge = if stem_up { head.high } else { head.low };
        tries.push((right, edge + beyond * gap(clear::OWN_HEAD)));
    }
    tries.into_iter().find_map(|(right, middle)| {
        let area = wanted.digit.area(right, middle);
        // Far from its head a digit is no longer read with it.
        let near = area.distance(head) < 2.4 || stem.is_some_and(|s| !s.beamed);
        let is_with = |note| note == wanted.head.note;
        let to_own = to_own(wanted, area, is_with, stage);
        (near && is_clear(wanted, area, is_with, to_own, stage)).then_some(Found {
            wanted: *wanted,
            right,
            middle,
        })
    })
}

/// Asks for the room that digits want at their heads or in their rows.
pub fn request(score: &Score, marks: &Marks, sizes: &Sizes, wishes: &mut Wishes) {
    let bars = 0..score.bars().len() as u32;
    let in_rows: HashSet<NoteId> = runs(score, marks.part, marks, bars, sizes.rows_below)
        .into_iter()
        .filter(|run| run.is_a_row(sizes.row))
        .flat_map(|run| run.onsets.into_iter().flatten())
        .collect();
    for note in score.notes() {
        let Some(mark) = marks.left_of(note.id) else { continue };
        let digit = Digit::new(mark, sizes);
        if in_rows.contains(&note.id) {
            let right = digit.digit_width() / 2.0;
            wishes.want_in_row(note.id, right - digit.width(), right);
        } else {
            // A digit stands clear of the ledger lines of its head, too.
            let step = notate::step_of(note.pitch, score.part(note.part).clef);
            let own = match notate::has_ledgers(step) {
                true => table::LEGER_LINE_EXTENSION + clear::LEDGER,
                false => clear::OWN_HEAD,
            };
            let width = own + digit.width() + clear::FOREIGN_HEAD;
            wishes.want_beside(note.id, width);
        }
    }
}
