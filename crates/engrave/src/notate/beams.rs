//! Which notes share a beam.

use apoyando_music::{Bar, BarIndex, Base, Duration, Metre, VoiceNumber};

use super::StaffBar;

/// The cells of a bar within which notes are beamed: the ends of each,
/// counted from the beginning of a full bar.
fn beats(metre: Metre) -> Vec<Duration> {
    let unit = Duration::new(1, i64::from(metre.unit.max(1)));
    let counts: Vec<i64> = match (metre.count, metre.unit) {
        (count, unit) if unit >= 8 && count > 3 && count % 3 == 0 => {
            vec![3; usize::from(count / 3)]
        }
        (count, unit) if unit >= 8 => match count {
            1..=3 => vec![i64::from(count)],
            // Five as 3 + 2, seven as 2 + 2 + 3 (common practice, no source).
            5 => vec![3, 2],
            7 => vec![2, 2, 3],
            _ => {
                let mut pairs = vec![2; usize::from(count / 2)];
                pairs.extend((count % 2 == 1).then_some(1));
                pairs
            }
        },
        (count, _) => vec![1; usize::from(count)],
    };
    let mut end = Duration::ZERO;
    counts
        .into_iter()
        .map(|count| {
            end += unit * count;
            end
        })
        .collect()
}

/// Cells that plain eighths may fill under one beam: half bars of 4/4, whole
/// bars of 2/4 and 3/4.
fn wide(metre: Metre) -> Option<Duration> {
    match (metre.count, metre.unit) {
        (4 | 2, 4) => Some(Duration::new(1, 2)),
        (3, 4) => Some(Duration::new(3, 4)),
        _ => None,
    }
}

/// Groups the chords of one voice, which are the last ones collected.
pub fn group(out: &mut StaffBar, bar: &Bar, index: BarIndex, voice: VoiceNumber) {
    // A pickup is the end of a bar.
    let full = bar.metre.bar();
    let lead = if index.0 == 0 && bar.length < full { full - bar.length } else { Duration::ZERO };
    let beats = beats(bar.metre);
    let offset = |at: usize, out: &StaffBar| out.chords[at].onset - bar.start + lead;
    let cell = |offset: Duration| beats.partition_point(|end| *end <= offset);
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut last: Option<(usize, usize)> = None;
    for at in 0..out.chords.len() {
        let chord = &out.chords[at];
        if chord.voice != voice {
            continue;
        }
        if chord.value.base < Base::Eighth {
            last = None;
            continue;
        }
        let here = cell(offset(at, out));
        // Adjoining events: a rest between them takes an index.
        match last {
            Some((before, event)) if before == here && event + 1 == chord.event => {
                if let Some(group) = groups.last_mut() {
                    group.push(at);
                }
            }
            _ => groups.push(vec![at]),
        }
        last = Some((here, chord.event));
    }
    if let Some(wide) = wide(bar.metre) {
        join_eighths(&mut groups, out, wide, |at| offset(at, out));
    }
    for group in groups.into_iter().filter(|group| group.len() > 1) {
        for at in &group {
            out.chords[*at].beam = Some(out.beams.len());
        }
        out.beams.push(group);
    }
}

/// Joins the groups of a wide cell that nothing but plain eighths fill, up to
/// one rest.
fn join_eighths(
    groups: &mut Vec<Vec<usize>>,
    out: &StaffBar,
    wide: Duration,
    offset: impl Fn(usize) -> Duration,
) {
    let eighth = Duration::new(1, 8);
    let cell = |at: usize| (offset(at).ratio() / wide.ratio()).floor();
    let plain = |group: &[usize]| {
        group.iter().all(|at| out.chords[*at].duration == eighth && !out.chords[*at].in_tuplet)
    };
    let mut at = 0;
    while at < groups.len() {
        let first = groups[at][0];
        let end = (at..groups.len())
            .find(|g| cell(groups[*g][0]) != cell(first) || !plain(&groups[*g]))
            .unwrap_or(groups.len());
        let chords: Vec<usize> = groups[at..end].iter().flatten().copied().collect();
        let length = eighth * chords.len() as i64;
        // One eighth may be a rest at either end.
        let filled = length == wide || length + eighth == wide;
        let adjoining = chords
            .windows(2)
            .all(|pair| out.chords[pair[0]].onset + eighth == out.chords[pair[1]].onset);
        if end > at + 1 && filled && adjoining {
            let joined: Vec<usize> = groups.drain(at..end).flatten().collect();
            groups.insert(at, joined);
        }
        at += 1;
    }
}
