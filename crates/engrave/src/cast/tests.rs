use super::*;
use crate::drawing::StaffSpaces;

/// A bar whose notes stretch as they like above a least width.
fn room(ideal: f64) -> BarRoom {
    BarRoom::plain(ideal)
}

/// Cost of given lines, reckoned one by one.
fn cost(caster: &Caster<'_>, ends: &[usize]) -> f64 {
    let mut from = 0;
    let mut before: Option<Line> = None;
    let mut sum = 0.0;
    for end in ends {
        let (line, own) = caster.line(from, *end);
        if line.overfull && end - from > 1 {
            return f64::MAX;
        }
        sum += own + before.map_or(0.0, |before| unlike(&before, &line));
        before = Some(line);
        from = *end;
    }
    sum
}

const BARS: usize = 13;

fn dice(seed: usize) -> Vec<BarRoom> {
    let width = |bar: usize| 10.0 + ((seed * 7919 + bar * bar * 104_729) % 31) as f64 / 8.0;
    (0..BARS).map(|bar| room(width(bar))).collect()
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
        let least = all_ways().map(|ends| cost(&caster, &ends)).fold(f64::MAX, f64::min);
        let ours = ends(&best);
        let found = cost(&caster, &ours);
        assert!((found - least).abs() < 1e-9, "seed {seed}: {ours:?} costs {found}, not {least}");
        assert!((found - best.cost).abs() < 1e-9);
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
                .filter(|ends| ends.len() == count && (seed % 2 > 0 || ends.contains(&5)));
            let (least, ends_of_least) = ways
                .map(|ends| (cost(&caster, &ends), ends))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or((f64::MAX, Vec::new()));
            match offers.iter().find(|offer| offer.lines.len() == count) {
                Some(offer) => {
                    assert!((offer.cost - least).abs() < 1e-9, "seed {seed}, {count} lines");
                    assert!((cost(&caster, &ends(offer)) - least).abs() < 1e-9);
                    assert!(count == best || offered(offer));
                }
                // What is not offered has a line that is loose, cramped or of
                // one bar at the end, or is no way at all.
                None if least < f64::MAX => {
                    let mut from = 0;
                    let lines = ends_of_least.iter().map(|end| {
                        let line = caster.line(from, *end).0;
                        from = *end;
                        line
                    });
                    assert!(!offered(&Casting { lines: lines.collect(), cost: least }));
                }
                None => {}
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
    assert!(lines.iter().all(|line| (CRAMPED..LOOSE).contains(&line.stretch)));
}
