//! What a line costs.

use std::borrow::Cow;

use super::Line;
use crate::space::{self, BarRoom, STRETCHES};
use crate::style::Style;

/// Cost of a last line that is left ragged, and of its white besides.
const RAGGED: f64 = 0.05;
const RAGGED_WHITE: f64 = 0.15;
/// Cost of one of whole phrases that could be filled: the last of four equal lines.
const RAGGED_PHRASED: f64 = 0.2;
/// Cost of a line that begins in the middle of a phrase of four bars, and of
/// one of two: full lines of four bars are easiest to read and to copy.
const WITHIN_PHRASE: f64 = 0.5;
/// Cost of a section that begins within a line: a double bar or a repeat is found at
/// once where it ends one.
const WITHIN_LINE: f64 = 0.3;
/// Bars of a phrase.
const PHRASE: usize = 4;
/// Stretch a line may have without being called loose or cramped.
pub const LOOSE: f64 = 1.25;
pub const CRAMPED: f64 = 0.85;
/// The same of a line of whole phrases: to see them one below the other is worth some
/// white between the notes. A line 40 % full that is filled is so loose: four bars of
/// quarters in two voices over the breadth of a page.
const LOOSE_PHRASED: f64 = 1.0 / 0.4;
/// What the white of such a line costs, of what that of another does.
const WHITE_PHRASED: f64 = 0.5;
/// The same of a line that is all of its music: it has no neighbour to be unlike,
/// and exercises of one line each, one below the other, end alike where they can.
/// A line of the least fullness that is filled, 65 %, is so loose.
pub const LOOSE_ALONE: f64 = 1.0 / 0.65;
/// Ratio of the stretches of neighbouring lines that is not noticed.
pub const ALIKE: f64 = 1.15;
/// The same of two lines of whole phrases: their bars tell them alike.
const ALIKE_PHRASED: f64 = 1.35;
/// A last line of one bar.
const LONE: f64 = 4.0;
/// A line with fewer distances than this does not show its stretch.
const FEWEST: usize = 4;

/// What a line costs, or several.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Cost {
    /// What is noticed: beyond a bound that the lines should keep. It comes
    /// first.
    pub noticed: f64,
    /// What is not, by which lines that keep to the bounds are told apart.
    pub unnoticed: f64,
}

impl Cost {
    pub const NEVER: Self = Self { noticed: f64::INFINITY, unnoticed: 0.0 };

    /// Both as one number.
    pub fn sum(self) -> f64 {
        self.noticed + self.unnoticed
    }

    pub fn is_finite(self) -> bool {
        self.noticed.is_finite()
    }

    /// The order in which what is noticed comes first. Sums of the same parts
    /// in another order are the same.
    pub fn order(&self, other: &Self) -> std::cmp::Ordering {
        let (one, two) = (self.noticed, other.noticed);
        if one.is_finite() && two.is_finite() && (one - two).abs() < 1e-9 {
            self.unnoticed.total_cmp(&other.unnoticed)
        } else {
            one.total_cmp(&two)
        }
    }
}

impl std::ops::Add for Cost {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { noticed: self.noticed + other.noticed, unnoticed: self.unnoticed + other.unnoticed }
    }
}

/// What a line shows of its stretch.
struct Shown {
    /// The median of its distances by what is natural.
    stretch: f64,
    /// That of which a tenth of them are narrower.
    tightest: f64,
}

/// How often a stretch is bettered at most.
const CHORDS: usize = 6;

/// Prices lines.
pub struct Caster<'a> {
    rooms: &'a [BarRoom],
    style: &'a Style,
    /// Sums of widths, joints and changes over the bars before each.
    sums: Vec<[f64; STRETCHES.len()]>,
    /// Width at the left that is not music, per first bar or later one.
    indent: (f64, f64),
}

impl<'a> Caster<'a> {
    pub fn new(rooms: &'a [BarRoom], style: &'a Style, indent: (f64, f64)) -> Self {
        let mut sums = vec![[0.0; STRETCHES.len()]; rooms.len() + 1];
        for (at, room) in rooms.iter().enumerate() {
            let mut next = sums[at];
            for (sum, width) in next.iter_mut().zip(room.widths) {
                *sum += width + room.change + room.joint;
            }
            sums[at + 1] = next;
        }
        Self { rooms, style, sums, indent }
    }

    fn available(&self, from: usize) -> f64 {
        let indent = if from == 0 { self.indent.0 } else { self.indent.1 };
        self.style.line_width.0 - indent
    }

    /// Width of a line at the nth stretch.
    fn width(&self, from: usize, to: usize, nth: usize) -> f64 {
        let last = &self.rooms[to - 1];
        let first = &self.rooms[from];
        self.sums[to][nth] - self.sums[from][nth] - first.change - last.joint + first.prefix
            - first.springs.saved_in_line()
            + last.end
    }

    /// The stretch at which a line is as wide as it should be; `None` if it
    /// does not fit at all.
    fn stretch(&self, from: usize, to: usize, wanted: f64) -> Option<f64> {
        let (mut low, mut high) = (0, STRETCHES.len() - 1);
        if self.width(from, to, low) > wanted + 1e-9 {
            return None;
        }
        if self.width(from, to, high) <= wanted {
            return Some(STRETCHES[high]);
        }
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            if self.width(from, to, middle) <= wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        let (mut narrow, broad) = (self.width(from, to, low), self.width(from, to, high));
        let (mut low, high) = (STRETCHES[low], STRETCHES[high]);
        // Where least distances end within the step, widths bend upwards: from
        // its wide end the chord comes nearer from below.
        for _ in 0..CHORDS {
            if broad - narrow < 1e-9 {
                return Some(low);
            }
            let between = low + (high - low) * (wanted - narrow) / (broad - narrow);
            let width = self.exact_width(from, to, between);
            if width >= wanted - 1e-6 {
                return Some(between);
            }
            (low, narrow) = (between, width);
        }
        Some(low + (high - low) * (wanted - narrow) / (broad - narrow))
    }

    /// The bars of a ragged line, equal times alike if it has room for that.
    fn ragged(&self, from: usize, to: usize) -> Cow<'a, [BarRoom]> {
        let rooms = &self.rooms[from..to];
        space::evened(rooms, self.available(from)).map_or(Cow::Borrowed(rooms), Cow::Owned)
    }

    /// The lines of some bars with their own costs: filled, and the last of all
    /// ragged as well.
    pub fn lines(&self, from: usize, to: usize) -> Vec<(Line, Cost)> {
        let wanted = self.available(from);
        let last = to == self.rooms.len();
        let mut cost = Cost::default();
        if last && to - from < 2 && from > 0 {
            cost.noticed += LONE;
        }
        let number = self.rooms[from].since_section;
        for phrase in [PHRASE / 2, PHRASE] {
            if !number.is_multiple_of(phrase) {
                cost.unnoticed += WITHIN_PHRASE;
            }
        }
        let sections = self.rooms[from + 1..to].iter().filter(|room| room.since_section == 0);
        cost.unnoticed += WITHIN_LINE * sections.count() as f64;
        let bars = from..to;
        let Some(stretch) = self.stretch(from, to, wanted) else {
            let line = Line {
                bars,
                stretch: 0.0,
                shown: 0.0,
                phrased: false,
                ragged: None,
                overfull: true,
            };
            let least = self.width(from, to, 0);
            cost.noticed += 100.0 + 10.0 * (least / wanted.max(1.0)).min(1e6);
            return vec![(line, cost)];
        };
        let shown = shown(&self.rooms[from..to], stretch);
        let alone = last && from == 0;
        let phrased = number.is_multiple_of(PHRASE) && (to - from).is_multiple_of(PHRASE);
        let loose = if alone { LOOSE_ALONE } else { loosest(phrased) };
        let line =
            Line { bars, stretch, shown: shown.stretch, phrased, ragged: None, overfull: false };
        let mut own = badness(stretch, &shown, loose);
        if phrased && stretch > 1.0 {
            own.unnoticed *= WHITE_PHRASED;
        }
        let full = (line.clone(), cost + own);
        let filled = alone && shown.stretch <= loose;
        if filled || !(last && self.style.ragged_last && stretch > space::NARROW) {
            return vec![full];
        }
        let rooms = self.ragged(from, to);
        let least = self::shown(&rooms, space::NARROW).stretch;
        let ragged = Line { stretch: 1.0, shown: least, ragged: Some(shown.stretch), ..line };
        // A short last line is no fault, but full lines are better.
        let white = 1.0 - space::width(&rooms, 1.0) / wanted;
        cost.unnoticed += RAGGED + RAGGED_WHITE * white;
        if phrased && shown.stretch <= loose {
            cost.unnoticed += RAGGED_PHRASED;
        }
        vec![full, (ragged, cost)]
    }

    /// A ragged last line set like the line before it, if there is one. It
    /// ends clearly before the margin, so far as that leaves it alike.
    pub fn set_ragged(&self, before: Option<&Line>, last: &mut Line) {
        let (from, to) = (last.bars.start, last.bars.end);
        let solve = |fits: &dyn Fn(f64) -> bool| {
            let (mut low, mut high) = (space::NARROW, 2.0);
            for _ in 0..40 {
                let middle = f64::midpoint(low, high);
                if fits(middle) { low = middle } else { high = middle }
            }
            low
        };
        let rooms = self.ragged(from, to);
        let width = |stretch| space::width(&rooms, stretch);
        let shows = |stretch| self::shown(&rooms, stretch).stretch;
        let alone = before.is_none();
        let clear = space::CLEARLY * self.available(from);
        let clear = solve(&|stretch| width(stretch) <= clear);
        let before = before.filter(|line| !line.overfull);
        let (shown, force) = before.map_or((1.0, 1.0), |line| (line.shown, line.stretch));
        let like = like(shown);
        let unlike = (shown / ALIKE).max(CRAMPED).min(like);
        // What digits and accidentals widen shall not make its other notes closer than
        // those before, as long as its middle stays alike.
        let wider = (like * ALIKE).min(LOOSE).max(like);
        let [like, unlike, wider] =
            [like, unlike, wider].map(|most| solve(&|stretch| shows(stretch) <= most));
        let like = like.max(force.min(wider));
        let loose = solve(&|stretch| shows(stretch) <= LOOSE);
        let set = if alone { clear.min(1.0).min(loose) } else { like.min(clear.max(unlike)) };
        last.stretch = set.min(solve(&|stretch| width(stretch) <= self.available(from)));
        last.shown = shows(last.stretch);
    }

    fn exact_width(&self, from: usize, to: usize, stretch: f64) -> f64 {
        let notes: f64 = self.rooms[from..to]
            .iter()
            .zip(from..)
            .map(|(room, at)| room.springs.width(stretch) - self.rooms[at].widths[NATURAL])
            .sum();
        self.width(from, to, NATURAL) + notes
    }
}

/// What a line of some bars shows whose springs have a stretch: where ink needs its
/// room, notes do not come nearer.
fn shown(rooms: &[BarRoom], stretch: f64) -> Shown {
    let mut ratios: Vec<f64> = rooms.iter().flat_map(|room| room.springs.shown(stretch)).collect();
    if ratios.len() < FEWEST {
        return Shown { stretch, tightest: stretch };
    }
    let (tenth, middle) = (ratios.len() / 10, ratios.len() / 2);
    let (below, stretch, _) = ratios.select_nth_unstable_by(middle, f64::total_cmp);
    let stretch = *stretch;
    Shown { stretch, tightest: *below.select_nth_unstable_by(tenth, f64::total_cmp).1 }
}

/// Index of stretch 1 in [`STRETCHES`].
const NATURAL: usize = 6;

/// The stretch that a line beside others may have without being called loose.
pub const fn loosest(phrased: bool) -> f64 {
    if phrased { LOOSE_PHRASED } else { LOOSE }
}

/// What is noticed of being so far beyond a bound.
fn noticed(beyond: f64) -> f64 {
    let beyond = beyond.max(0.0);
    beyond + 8.0 * beyond * beyond
}

/// Cost of the stretch of the springs of a line and of that which it shows: the
/// squares of their logarithms. Noticed is what lies beyond the bounds.
fn badness(stretch: f64, shown: &Shown, loose: f64) -> Cost {
    let square = |stretch: f64| stretch.max(0.05).ln().powi(2);
    let cramped = (CRAMPED / shown.stretch.max(0.05)).ln();
    let tight = (CRAMPED / shown.tightest.max(0.05)).ln();
    Cost {
        noticed: noticed((shown.stretch / loose).ln()) + noticed(2.0 * cramped.max(tight)),
        unnoticed: f64::midpoint(square(stretch), square(shown.stretch)),
    }
}

/// The stretch of a ragged line after one that shows another: the same within
/// the bounds, and where the line before is beyond them by more than lines may
/// differ, what is left of that shared among both.
fn like(before: f64) -> f64 {
    if before > LOOSE * ALIKE {
        (LOOSE * before / ALIKE).sqrt()
    } else if before < CRAMPED / ALIKE {
        (CRAMPED * before * ALIKE).sqrt()
    } else {
        before.clamp(CRAMPED, LOOSE)
    }
}

/// Cost of two neighbouring lines that are not alike.
pub fn unlike(one: &Line, other: &Line) -> Cost {
    if one.overfull || other.overfull {
        return Cost::default();
    }
    // The ragged line is set as its notes let it be.
    let shown = match other.ragged {
        Some(most) => like(one.shown).min(most).max(other.shown),
        None => other.shown,
    };
    let ratio = (one.shown.max(0.05) / shown.max(0.05)).ln().abs();
    let own = match other.ragged {
        Some(_) => badness(shown, &Shown { stretch: shown, tightest: shown }, LOOSE),
        None => Cost::default(),
    };
    let alike = if one.phrased && other.phrased { ALIKE_PHRASED } else { ALIKE };
    Cost { noticed: noticed(ratio - alike.ln()) + own.noticed, unnoticed: 0.3 * ratio * ratio }
}
