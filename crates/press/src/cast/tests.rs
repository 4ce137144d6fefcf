//! The search against trying all.

use super::SPARE;
use super::prices::{TURN, last_page, white};
use super::run::Set;
use super::search::openers;

fn set(figure: usize, price: f64) -> Set {
    Set {
        figure,
        before: 30.0,
        top: 0.0,
        height: 70.0,
        after: 0.0,
        gap: figure,
        stretch: 10.0,
        natural: 30.0,
        price,
        leader: figure,
    }
}

/// The cheapest way to break, by trying all.
fn brute(sets: &[Set], height: f64, right: bool) -> f64 {
    (0..1_u32 << (sets.len() - 1))
        .filter_map(|mask| {
            let mut price = 0.0;
            let mut first = 0;
            let mut right = right;
            for j in 1..=sets.len() {
                if j < sets.len() && mask >> (j - 1) & 1 == 0 {
                    continue;
                }
                price += price_of(&sets[first..j], sets.get(j), height, right)?;
                first = j;
                right = !right;
            }
            Some(price)
        })
        .fold(f64::INFINITY, f64::min)
}

fn price_of(page: &[Set], next: Option<&Set>, height: f64, right: bool) -> Option<f64> {
    let rest = &page[1..];
    let used = page[0].top
        + page[0].height
        + rest.iter().map(|s| s.before + s.height).sum::<f64>()
        + page.iter().map(|s| s.after).sum::<f64>();
    if used > height - SPARE && page.len() > 1 {
        return None;
    }
    let room = rest.iter().map(|s| s.stretch).sum();
    Some(match next {
        None => last_page(used, height),
        Some(next) => {
            let turn = if right && next.price > 0.0 { TURN } else { 0.0 };
            white((height - used).max(0.0), room, height) + next.price + turn
        }
    })
}

#[test]
fn the_breaks_are_the_cheapest_of_all() {
    for seed in 0..200_usize {
        let sets: Vec<Set> = (0..9)
            .map(|i| {
                let dice = (seed * 7919 + i * 104_729) % 97;
                let mut set = set(i, [0.0, 25.0, 70.0, 90.0][dice % 4]);
                set.height += (dice % 11) as f64 * 9.0;
                set.after = if dice % 5 == 0 { 60.0 } else { 0.0 };
                set.top = if set.price > 0.0 { 0.0 } else { 40.0 };
                set.before += set.top;
                set
            })
            .collect();
        let height = 400.0;
        let right = seed % 2 == 0;
        let openers = openers(&sets, height, right);
        let mut price = 0.0;
        for (page, &first) in openers.iter().enumerate() {
            let next = openers.get(page + 1).copied().unwrap_or(sets.len());
            let right = right == (page % 2 == 0);
            price += price_of(&sets[first..next], sets.get(next), height, right).unwrap();
        }
        assert!((price - brute(&sets, height, right)).abs() < 1e-9, "seed {seed}: {openers:?}");
    }
}
