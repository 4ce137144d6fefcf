//! Casting off pages: which system opens a page, and how far the gaps grow.
//!
//! The pages are set once with natural gaps, which tells how high everything
//! is. Between two page breaks made on purpose, the breaks are then chosen as
//! one optimum: white at the foot of a page, an exercise torn apart, a system
//! left alone and a page turned in the middle of music each have a price. On a page that ends because the next
//! system did not fit, the gaps grow by one share until it is full, at most to
//! 1.4 of their size; what is left stays white.
//!
//! Where prose runs between the systems, the breaks stay as they were set.
//! All prices are house values.

use typst_layout::PagedDocument;
use typst_library::layout::{Frame, FrameItem, Point};

use crate::forme::{Figure, Gap, Role};

/// A last page is filled where this share of the possible growth is enough.
const LAST_PAGE: f64 = 0.4;

/// The price of turning the page within an exercise or piece.
const TURN: f64 = 200.0;

/// Kept free at the foot against rounding, in points.
const SPARE: f64 = 0.5;

/// What was measured on the pages set first.
pub struct Measured {
    /// Upper and lower edge of the type area, in points from the top.
    pub area: (f64, f64),
    /// Where every figure stands.
    pub figures: Vec<Place>,
    /// Where every head of an exercise or piece stands.
    pub heads: Vec<Place>,
    /// The lowest ink of every page.
    pub lowest: Vec<f64>,
}

/// A place on a page.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Place {
    /// The page, from 0.
    pub page: usize,
    /// Points from the top.
    pub y: f64,
}

/// How the pages are to be set the second time.
#[derive(Clone, PartialEq, Debug)]
pub struct Plan {
    /// Height of every gap in points.
    pub gaps: Vec<f64>,
    /// Whether a new page begins instead of the gap.
    pub breaks: Vec<bool>,
    /// Whether every figure is to stand on the page of the one before it.
    pub together: Vec<bool>,
}

impl Plan {
    /// Natural gaps and no breaks: the first setting.
    pub fn natural(gaps: &[Gap]) -> Self {
        Self {
            gaps: gaps.iter().map(|gap| gap.height).collect(),
            breaks: vec![false; gaps.len()],
            together: Vec::new(),
        }
    }

    /// Whether pages set by this plan came out as planned.
    pub fn kept(&self, figures: &[Place]) -> bool {
        together(figures) == self.together
    }
}

/// The breaks left as they are and the gaps grown.
pub fn spread(measured: &Measured, gaps: &[Gap], figures: &[Figure]) -> Plan {
    let mut plan = Plan::natural(gaps);
    plan.together = together(&measured.figures);
    if measured.figures.len() != figures.len() {
        return plan;
    }
    for (number, low) in measured.lowest.iter().enumerate() {
        let first = measured.figures.partition_point(|place| place.page < number);
        let next = measured.figures.partition_point(|place| place.page <= number);
        if next <= first {
            continue;
        }
        let mine = figures[first].end_gap..figures[next - 1].end_gap;
        let room: f64 = gaps[mine.clone()].iter().map(|gap| gap.stretch).sum();
        let free = measured.area.1 - low - SPARE;
        let broken = figures.get(next).is_some_and(|figure| !figure.fresh);
        let share = share(free, room, broken);
        for i in mine {
            plan.gaps[i] += gaps[i].stretch * share;
        }
    }
    plan
}

/// The best breaks, and the gaps grown; as [`spread`] where the breaks must
/// stay.
pub fn cast(measured: &Measured, gaps: &[Gap], figures: &[Figure]) -> Plan {
    let mut plan = spread(measured, gaps, figures);
    if measured.figures.len() != figures.len() {
        return plan;
    }
    let mut start = 0;
    while start < figures.len() {
        let rest = &figures[start + 1..];
        let end = start + 1 + rest.iter().position(|f| f.fresh).unwrap_or(rest.len());
        if let Some(blocks) = blocks(measured, gaps, figures, start, end) {
            // Pages are counted from 0 here, so the even ones lie on the right.
            let right = measured.figures[start].page.is_multiple_of(2);
            let height = measured.area.1 - measured.area.0;
            carry_out(&mut plan, &blocks, (start, end), height, right);
        }
        start = end;
    }
    plan
}

/// A system with the words above and below it, in points.
#[derive(Clone, Debug)]
struct Set {
    figure: usize,
    /// From the foot of what is before it to the system, with natural gaps.
    before: f64,
    /// The same, where it opens a page.
    top: f64,
    height: f64,
    /// Words below it.
    after: f64,
    /// The gap before it that can grow or become a page break.
    gap: usize,
    stretch: f64,
    natural: f64,
    /// The price of a page break before it.
    price: f64,
    /// The first figure that goes to the next page with it.
    leader: usize,
}

/// The systems between two page breaks made on purpose, or `None` where the
/// breaks must stay as they are.
fn blocks(
    measured: &Measured,
    gaps: &[Gap],
    figures: &[Figure],
    start: usize,
    end: usize,
) -> Option<Vec<Set>> {
    let (top, places) = (measured.area.0, &measured.figures);
    let mut sets: Vec<Set> = Vec::new();
    let mut leader = start;
    for i in start..end {
        let figure = &figures[i];
        if i > start && figure.words_before {
            return None;
        }
        let (index, count, head) = match figure.role {
            Role::System { index, count, head } => (index, count, head),
            Role::BeforeMusic => continue,
            Role::Loose => return None,
        };
        let gap = head.map_or(figure.first_gap, |head| head.gap);
        let natural = gaps.get(gap)?.height;
        let place = places[i];
        let mut set = Set {
            figure: i,
            before: natural,
            top: 0.0,
            height: figure.height,
            after: 0.0,
            gap,
            stretch: gaps[gap].stretch,
            natural,
            price: torn(index, count),
            leader,
        };
        match (sets.last_mut(), head) {
            (None, _) => set.top = place.y - top,
            (Some(last), Some(head)) => {
                let head = *measured.heads.get(head.ordinal)?;
                if head.page != place.page {
                    return None;
                }
                let before = places[last.figure];
                let foot = before.y + last.height;
                last.after = if head.page == before.page {
                    head.y - natural - foot
                } else if head.page == before.page + 1 && (head.y - top).abs() < 1.0 {
                    measured.lowest.get(before.page)? - foot
                } else {
                    return None;
                };
                last.after = last.after.max(0.0);
                set.top = place.y - head.y;
                set.before = natural + set.top;
            }
            (Some(_), None) if index == 0 => return None,
            (Some(_), None) => {}
        }
        leader = i + 1;
        sets.push(set);
    }
    let last = sets.last_mut()?;
    let place = places[last.figure];
    last.after = (measured.lowest.get(place.page)? - place.y - last.height).max(0.0);
    Some(sets)
}

/// The price of a page break before a system of this index in music of so many.
fn torn(index: usize, count: usize) -> f64 {
    if index == 0 {
        return 0.0;
    }
    let alone = index == 1 || index + 1 == count;
    25.0 + if alone { 45.0 } else { 0.0 } + if count <= 3 { 20.0 } else { 0.0 }
}

/// The price of a page with so much free and so much room for gaps to grow.
fn white(free: f64, room: f64, height: f64) -> f64 {
    if free <= room {
        let share = if room > 0.0 { free / room } else { 0.0 };
        10.0 + 20.0 * share * share
    } else {
        let white = (free - room) / height;
        30.0 + 300.0 * white + 600.0 * white * white
    }
}

/// The price of a last page with so much used: next to nothing looks lost.
fn last_page(used: f64, height: f64) -> f64 {
    10.0 + 60.0 * (1.0 - used / (0.3 * height)).max(0.0)
}

/// The best first systems of pages, by dynamic programming over the last page
/// and the side it is on. `right` says whether the first page is a right-hand
/// one: music that is torn at the foot of a right-hand page is turned over.
fn openers(sets: &[Set], height: f64, right: bool) -> Vec<usize> {
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

fn carry_out(
    plan: &mut Plan,
    sets: &[Set],
    (start, end): (usize, usize),
    height: f64,
    right: bool,
) {
    let openers = openers(sets, height, right);
    plan.together[start + 1..end].fill(true);
    let mut share_before = None;
    for (page, &first) in openers.iter().enumerate() {
        let next = openers.get(page + 1).copied().unwrap_or(sets.len());
        let (opener, rest) = (&sets[first], &sets[first + 1..next]);
        plan.breaks[opener.gap] = first > 0;
        plan.gaps[opener.gap] = opener.natural;
        if first > 0 {
            plan.together[opener.leader] = false;
        }
        let words: f64 = sets[first..next].iter().map(|set| set.after).sum();
        let music: f64 = rest.iter().map(|set| set.before + set.height).sum();
        let free = height - opener.top - opener.height - music - words - SPARE;
        let room: f64 = rest.iter().map(|set| set.stretch).sum();
        let last = next == sets.len();
        let share = match share_before {
            // The last page keeps to the gaps of the page before it.
            Some(before) if last => share(free, room, true).min(before),
            _ => share(free, room, !last),
        };
        share_before = Some(share);
        for set in rest {
            plan.breaks[set.gap] = false;
            plan.gaps[set.gap] = set.natural + set.stretch * share;
        }
    }
}

/// How far gaps with so much room to grow are to grow: 0 not at all, 1 all.
fn share(free: f64, room: f64, broken: bool) -> f64 {
    if room <= 0.0 || free <= 0.0 {
        return 0.0;
    }
    let share = free / room;
    if !broken && share > LAST_PAGE {
        0.0
    } else if share <= 1.0 {
        share
    } else {
        // It cannot be filled. The more is missing, the more the page keeps to
        // the natural gaps of its neighbours.
        (1.0 - (share - 1.0) * 0.5).max(0.25)
    }
}

fn together(figures: &[Place]) -> Vec<bool> {
    let pairs = figures.iter().zip(figures.iter().skip(1));
    std::iter::once(false).chain(pairs.map(|(a, b)| a.page == b.page)).take(figures.len()).collect()
}

/// The lowest ink or edge of a plate in the type area of every page.
pub fn lowest(set: &PagedDocument, area: (f64, f64)) -> Vec<f64> {
    fn walk(frame: &Frame, origin: Point, (top, bottom): (f64, f64), low: &mut f64) {
        for (at, item) in frame.items() {
            let at = origin + *at;
            let end = match item {
                FrameItem::Group(group) => {
                    walk(&group.frame, at, (top, bottom), low);
                    // A plate takes its whole height, white or not. It is a
                    // group of its own that holds no other.
                    let plate = group.frame.kind().is_hard()
                        && !group.frame.items().any(|(_, i)| matches!(i, FrameItem::Group(_)));
                    if !plate {
                        continue;
                    }
                    at.y.to_pt() + group.frame.height().to_pt()
                }
                FrameItem::Text(_) => at.y.to_pt() + 3.0,
                FrameItem::Shape(shape, _) => at.y.to_pt() + shape.bbox(true).max.y.to_pt(),
                _ => continue,
            };
            if end > top && end <= bottom + 1.0 {
                *low = low.max(end);
            }
        }
    }
    let lowest = |frame: &Frame| {
        let mut low = area.0;
        walk(frame, Point::zero(), area, &mut low);
        low
    };
    set.pages().iter().map(|page| lowest(&page.frame)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

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
}
