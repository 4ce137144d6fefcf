use super::price::ALIKE;
use super::*;
use crate::drawing::StaffSpaces;

/// A bar whose notes stretch as they like above a least width.
fn room(ideal: f64) -> BarRoom {
    BarRoom::plain(ideal)
}

/// Cost of given lines, reckoned one by one, with the lines: the last is ragged
/// where that is better.
fn priced(caster: &Caster<'_>, ends: &[usize]) -> Option<(Cost, Vec<Line>)> {
    priced_of(caster, ends, |_| true)
}

/// The same of lines of which `may` is true.
fn priced_of(
    caster: &Caster<'_>,
    ends: &[usize],
    may: impl Fn(&Line) -> bool,
) -> Option<(Cost, Vec<Line>)> {
    let mut ways = vec![(Cost::default(), Vec::<Line>::new())];
    let mut from = 0;
    for end in ends {
        let mut next = Vec::new();
        for (line, own) in caster.lines(from, *end) {
            if line.overfull && end - from > 1 {
                return None;
            }
            if !may(&line) {
                continue;
            }
            for (sum, lines) in &ways {
                let joint = lines.last().map_or(Cost::default(), |before| unlike(before, &line));
                let lines = lines.iter().cloned().chain([line.clone()]).collect();
                next.push((*sum + joint + own, lines));
            }
        }
        ways = next;
        from = *end;
    }
    ways.into_iter().min_by(|a, b| a.0.order(&b.0))
}

/// Whether both are the same to the last that sums in another order can be.
fn same(one: Cost, other: Cost) -> bool {
    let near = |one: f64, other: f64| (one - other).abs() < 1e-9;
    near(one.noticed, other.noticed) && near(one.unnoticed, other.unnoticed)
}

const BARS: usize = 13;

fn dice(seed: usize) -> Vec<BarRoom> {
    let width = |bar: usize| 10.0 + ((seed * 7919 + bar * bar * 104_729) % 31) as f64 / 8.0;
    let sections = |bar: usize| bar % (4 + seed % 7);
    let bar = |bar| BarRoom { since_section: sections(bar), ..room(width(bar)) };
    (0..BARS).map(bar).collect()
}

/// Every way of breaking the bars, by the bars its lines end before.
fn all_ways() -> impl Iterator<Item = Vec<usize>> {
    (0..1u32 << (BARS - 1)).map(|mask| {
        let mut ends: Vec<usize> = (1..BARS).filter(|bar| mask >> (bar - 1) & 1 == 1).collect();
        ends.push(BARS);
        ends
    })
}

fn ends(casting: &Casting) -> Vec<usize> {
    casting.lines.iter().map(|line| line.bars.end).collect()
}

#[test]
fn no_way_of_breaking_is_better() {
    let style = Style::default();
    for seed in 0..40 {
        let rooms = dice(seed);
        let best = best(&rooms, &style, (0.0, 0.0), &|_| false);
        let caster = Caster::new(&rooms, &style, (0.0, 0.0));
        let ways = all_ways().filter_map(|ends| priced(&caster, &ends));
        let (least, _) = ways.min_by(|a, b| a.0.order(&b.0)).expect("some way");
        let ours = ends(&best);
        let (found, _) = priced(&caster, &ours).expect("a way");
        assert!(same(found, least), "seed {seed}: {ours:?} costs {found:?}, not {least:?}");
        assert!(same(found, best.cost));
    }
}

#[test]
fn no_way_with_as_many_lines_is_better_and_none_is_left_out() {
    let mut several = 0;
    for seed in 0..40 {
        let line_width = StaffSpaces(60.0 + (seed % 13) as f64 * 2.0);
        let style = Style { line_width, ..Style::default() };
        // In every other score one bar must begin a line.
        let begins = |bar: usize| bar == 5 && seed % 2 == 0;
        let rooms = dice(seed);
        let caster = Caster::new(&rooms, &style, (0.0, 0.0));
        let offers = offers(&rooms, &style, (0.0, 0.0), &begins);
        let best = offers[0].lines.len();
        for count in best.saturating_sub(FEWER)..=best + MORE {
            let ways = all_ways()
                .filter(|ends| ends.len() == count && (seed % 2 > 0 || ends.contains(&5)))
                .filter_map(|ends| priced_of(&caster, &ends, is_good));
            let least = ways.min_by(|a, b| a.0.order(&b.0));
            let offer = offers.iter().find(|offer| offer.lines.len() == count);
            match (offer, least) {
                (Some(offer), _) if count == best => assert_eq!(offer, &offers[0]),
                (Some(offer), Some((least, _))) => {
                    assert!(same(offer.cost, least), "seed {seed}, {count} lines");
                    let found = priced_of(&caster, &ends(offer), is_good).expect("a way");
                    assert!(same(found.0, least) && offered(offer));
                }
                (Some(offer), None) => panic!("seed {seed}: {:?} is not good", ends(offer)),
                // What is not offered has one bar on the last line, or a ragged one
                // that is loose or cramped.
                (None, Some((cost, mut lines))) if count != best => {
                    if let Some((last, before)) = lines.split_last_mut()
                        && last.ragged.is_some()
                    {
                        caster.set_ragged(before.last(), last);
                    }
                    assert!(!offered(&Casting { lines, cost }));
                }
                (None, _) => {}
            }
        }
        several += usize::from(offers.len() > 1);
    }
    assert!(several > 5, "{several}");
}

#[test]
fn even_bars_make_even_lines() {
    let rooms: Vec<BarRoom> = (0..16).map(|_| room(20.0)).collect();
    let lines = best(&rooms, &Style::default(), (0.0, 0.0), &|_| false).lines;
    let counts: Vec<usize> = lines.iter().map(|line| line.bars.len()).collect();
    assert_eq!(counts, [4, 4, 4, 4]);
    assert!(lines.iter().all(|line| (CRAMPED..=loosest(line.phrased)).contains(&line.shown)));
}

/// Two bars of which each is half as wide as a line and a bit, and a last line that
/// would be loose.
#[test]
fn a_last_line_is_ragged_where_filling_it_would_stretch_it_too_far_and_then_like_the_one_before() {
    let style = Style { line_width: StaffSpaces(100.0), ..Style::default() };
    for (wide, ragged) in [(50.0, false), (43.0, false), (38.0, true), (20.0, true)] {
        let rooms = [room(48.0), room(48.0), room(48.0), room(48.0), room(wide), room(wide)];
        let begins = |bar: usize| bar.is_multiple_of(2);
        let lines = best(&rooms, &style, (0.0, 0.0), &begins).lines;
        let [.., before, last] = lines.as_slice() else { panic!("three lines") };
        assert_eq!(last.ragged.is_some(), ragged, "{wide}");
        if ragged {
            let unlike = before.shown / last.shown;
            assert!((1.0 - 1e-9..=ALIKE + 1e-9).contains(&unlike), "{unlike}");
            // Not so near to the margin that it looks like a mistake.
            assert!(2.0 * wide * last.stretch < 90.0 + 1e-6);
        }
    }
}
