//! Which new bar an old bar has become.

use std::collections::HashMap;
use std::ops::Range;

use super::memory::{BarDigest, Memory};
use crate::interval::Interval;
use crate::score::BarIndex;

/// What has become of an old bar.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum BarMatch {
    /// It is this bar, transposed by so much; in its order among the others,
    /// or not.
    Found {
        /// The new bar.
        bar: BarIndex,
        /// From the old pitches to the new.
        by: Interval,
        /// Whether it kept its order.
        in_order: bool,
    },
    /// It stood where this bar stands, and has been changed.
    Edited {
        /// The new bar.
        bar: BarIndex,
        /// The transposition of the bars around it.
        by: Interval,
    },
    /// It is one of these, and nothing tells which.
    OneOf(Vec<BarIndex>),
    /// It is gone; the new bars at its place are these, maybe none.
    Gone {
        /// New bars between the neighbours that were found.
        gap: Range<u32>,
        /// The transposition of the bars around it.
        by: Interval,
    },
}

/// What has become of all old bars.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Alignment {
    parts: Vec<Vec<BarMatch>>,
}

const UNISON: Interval = Interval::new(0, 0);

/// Intervals tried for the piece as a whole, besides the unison.
const HYPOTHESES: usize = 3;

/// Beyond so many pairs of bars, only what is unchanged at both ends and
/// unique in the middle is matched.
const MOST_PAIRS: usize = 1 << 24;

/// A bar with fewer notes looks like too many others to be known again in
/// another transposition than its neighbours'.
const TELLING_NOTES: u32 = 3;

impl Alignment {
    /// Aligns an old score with a new one, part by part.
    pub fn of(old: &Memory, new: &Memory) -> Self {
        let parts = old
            .parts
            .iter()
            .enumerate()
            .map(|(index, bars)| align(bars, new.parts.get(index).map_or(&[], Vec::as_slice)));
        Self { parts: parts.collect() }
    }

    /// What has become of a bar; `None` if the memory has no such bar.
    pub fn of_bar(&self, part: usize, bar: BarIndex) -> Option<&BarMatch> {
        self.parts.get(part)?.get(bar.0 as usize)
    }
}

fn interval(old: &BarDigest, new: &BarDigest) -> Option<Interval> {
    Some(Interval::between(old.reference?, new.reference?))
}

/// Whether a new bar is an old one moved by an interval.
fn is(old: &BarDigest, new: &BarDigest, by: Interval) -> bool {
    old.shape == new.shape && interval(old, new).is_none_or(|interval| interval == by)
}

fn align(old: &[BarDigest], new: &[BarDigest]) -> Vec<BarMatch> {
    // The unison is tried first and wins a tie.
    let (by, kept) = hypotheses(old, new)
        .into_iter()
        .map(|by| (by, longest_common(old, new, by)))
        .reduce(|best, next| if next.1.len() > best.1.len() { next } else { best })
        .unwrap_or((UNISON, Vec::new()));
    let mut matches: Vec<Option<BarMatch>> = vec![None; old.len()];
    let mut taken = vec![false; new.len()];
    for (from, to) in &kept {
        let bar = BarIndex(*to as u32);
        matches[*from] = Some(BarMatch::Found { bar, by, in_order: true });
        taken[*to] = true;
    }
    let same = |bar: &BarDigest| (bar.shape, bar.reference);
    let moved: Vec<(u64, Option<crate::Pitch>)> = old
        .iter()
        .map(|bar| (bar.shape, bar.reference.and_then(|pitch| by.above(pitch))))
        .collect();
    unique(&mut matches, &mut taken, &moved, &new.iter().map(same).collect::<Vec<_>>(), |_, _| by);
    let telling = |bars: &[BarDigest]| -> Vec<Option<u64>> {
        bars.iter().map(|bar| (bar.notes >= TELLING_NOTES).then_some(bar.shape)).collect()
    };
    unique_known(&mut matches, &mut taken, &telling(old), &telling(new), |from, to| {
        interval(&old[from], &new[to]).unwrap_or(by)
    });
    fill_gaps(matches, &taken, &kept, new.len(), by)
}

/// The unison, then the intervals by which most bars could have moved.
fn hypotheses(old: &[BarDigest], new: &[BarDigest]) -> Vec<Interval> {
    let mut by_shape: HashMap<u64, Vec<&BarDigest>> = HashMap::new();
    for bar in new {
        by_shape.entry(bar.shape).or_default().push(bar);
    }
    let mut counts: HashMap<Interval, usize> = HashMap::new();
    for bar in old {
        for other in by_shape.get(&bar.shape).into_iter().flatten().take(64) {
            if let Some(interval) = interval(bar, other) {
                *counts.entry(interval).or_default() += 1;
            }
        }
    }
    counts.remove(&UNISON);
    let mut counts: Vec<(Interval, usize)> = counts.into_iter().collect();
    counts.sort_by_key(|(interval, count)| (std::cmp::Reverse(*count), *interval));
    std::iter::once(UNISON)
        .chain(counts.into_iter().take(HYPOTHESES).map(|(interval, _)| interval))
        .collect()
}

/// The longest common subsequence under an interval, as pairs in order.
fn longest_common(old: &[BarDigest], new: &[BarDigest], by: Interval) -> Vec<(usize, usize)> {
    let head = old.iter().zip(new).take_while(|(a, b)| is(a, b, by)).count();
    let (old_rest, new_rest) = (&old[head..], &new[head..]);
    let tail = old_rest.iter().rev().zip(new_rest.iter().rev());
    let tail = tail.take_while(|(a, b)| is(a, b, by)).count();
    let a = &old_rest[..old_rest.len() - tail];
    let b = &new_rest[..new_rest.len() - tail];
    let mut pairs: Vec<(usize, usize)> = (0..head).map(|index| (index, index)).collect();
    if a.len().saturating_mul(b.len()) <= MOST_PAIRS {
        pairs.extend(middle(a, b, by).into_iter().map(|(i, j)| (i + head, j + head)));
    }
    pairs.extend((0..tail).map(|k| (old.len() - tail + k, new.len() - tail + k)));
    pairs
}

fn middle(a: &[BarDigest], b: &[BarDigest], by: Interval) -> Vec<(usize, usize)> {
    let width = b.len() + 1;
    // length[i][j]: longest for a[i..] and b[j..].
    let mut length = vec![0u32; (a.len() + 1) * width];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            length[i * width + j] = if is(&a[i], &b[j], by) {
                length[(i + 1) * width + j + 1] + 1
            } else {
                length[(i + 1) * width + j].max(length[i * width + j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut pairs = Vec::new();
    while i < a.len() && j < b.len() {
        if is(&a[i], &b[j], by) {
            pairs.push((i, j));
            i += 1;
            j += 1;
        } else if length[(i + 1) * width + j] >= length[i * width + j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    pairs
}

/// Matches bars left over that are alike in one pair only; where several are
/// alike, that is what is said of them.
fn unique<K: std::hash::Hash + Eq + Copy>(
    matches: &mut [Option<BarMatch>],
    taken: &mut [bool],
    old: &[K],
    new: &[K],
    by: impl Fn(usize, usize) -> Interval,
) {
    let known = |keys: &[K]| keys.iter().copied().map(Some).collect::<Vec<_>>();
    unique_known(matches, taken, &known(old), &known(new), by);
}

/// [`unique`] among the bars that have a key.
fn unique_known<K: std::hash::Hash + Eq + Copy>(
    matches: &mut [Option<BarMatch>],
    taken: &mut [bool],
    old: &[Option<K>],
    new: &[Option<K>],
    by: impl Fn(usize, usize) -> Interval,
) {
    let mut left: HashMap<K, (Vec<usize>, Vec<usize>)> = HashMap::new();
    for (index, key) in old.iter().enumerate() {
        if let (Some(key), None) = (key, &matches[index]) {
            left.entry(*key).or_default().0.push(index);
        }
    }
    for (index, key) in new.iter().enumerate() {
        if let (Some(key), false) = (key, taken[index]) {
            left.entry(*key).or_default().1.push(index);
        }
    }
    for (from, to) in left.into_values() {
        match (&from[..], &to[..]) {
            (_, []) | ([], _) => {}
            (&[from], &[to]) => {
                let bar = BarIndex(to as u32);
                matches[from] = Some(BarMatch::Found { bar, by: by(from, to), in_order: false });
                taken[to] = true;
            }
            _ => {
                let bars: Vec<BarIndex> = to.iter().map(|to| BarIndex(*to as u32)).collect();
                for from in from {
                    matches[from] = Some(BarMatch::OneOf(bars.clone()));
                }
            }
        }
    }
}

/// What is still unknown stands between bars that kept their order: as many
/// new bars as old ones are the old ones edited.
fn fill_gaps(
    matches: Vec<Option<BarMatch>>,
    taken: &[bool],
    kept: &[(usize, usize)],
    new_len: usize,
    by: Interval,
) -> Vec<BarMatch> {
    let mut fence: Vec<(usize, usize)> = kept.to_vec();
    fence.push((matches.len(), new_len));
    let mut filled = matches;
    let (mut old_from, mut new_from) = (0, 0);
    for (old_to, new_to) in fence {
        let unknown: Vec<usize> =
            (old_from..old_to).filter(|index| filled[*index].is_none()).collect();
        let free: Vec<usize> = (new_from..new_to).filter(|index| !taken[*index]).collect();
        for (rank, index) in unknown.iter().enumerate() {
            filled[*index] = Some(if unknown.len() == free.len() {
                BarMatch::Edited { bar: BarIndex(free[rank] as u32), by }
            } else {
                BarMatch::Gone { gap: new_from as u32..new_to as u32, by }
            });
        }
        old_from = old_to + 1;
        new_from = new_to + 1;
    }
    let nothing = || BarMatch::Gone { gap: 0..0, by };
    filled.into_iter().map(|found| found.unwrap_or_else(nothing)).collect()
}
