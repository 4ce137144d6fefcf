//! The best page breaks of a run.

use super::SPARE;
use super::prices::{TURN, last_page, white};
use super::run::Set;

/// The best first systems of pages, by dynamic programming over the last page
/// and the side it is on. `right` says whether the first page is a right-hand
/// one: music that is torn at the foot of a right-hand page is turned over.
pub fn openers(sets: &[Set], height: f64, right: bool) -> Vec<usize> {
    // By the side of the page that follows, 1 for a right-hand one.
    let mut best = vec![[f64::INFINITY; 2]; sets.len() + 1];
    let mut from = vec![[0; 2]; sets.len() + 1];
    best[0][usize::from(right)] = 0.0;
    for i in 0..sets.len() {
        let mut used = sets[i].top + sets[i].height;
        let mut room = 0.0;
        for j in i + 1..=sets.len() {
            let full = used + sets[j - 1].after;
            if full > height - SPARE && j > i + 1 {
                break;
            }
            let free = (height - full).max(0.0);
            for side in 0..2 {
                let page = if j == sets.len() {
                    last_page(full, height)
                } else {
                    let turned = side == 1 && sets[j].price > 0.0;
                    white(free, room, height) + sets[j].price + if turned { TURN } else { 0.0 }
                };
                if best[i][side] + page < best[j][1 - side] {
                    (best[j][1 - side], from[j][1 - side]) = (best[i][side] + page, i);
                }
            }
            if let Some(next) = sets.get(j) {
                used = full + next.before + next.height;
                room += next.stretch;
            }
        }
    }
    let mut openers = Vec::new();
    let mut at = sets.len();
    let mut side = usize::from(best[at][1] < best[at][0]);
    while at > 0 {
        at = from[at][side];
        side = 1 - side;
        openers.push(at);
    }
    openers.reverse();
    openers
}
