//! The runs of a book put together.

use super::SPARE;
use super::measured::Measured;
use super::plan::{Break, Plan, share, spread};
use super::run::{Part, run};
use super::search::{Setting, Side, settings};
use crate::forme::{Begin, Choice, Figure, Forme};

/// What stands between two page breaks made on purpose.
struct Stretch {
    /// Its figures.
    figures: (usize, usize),
    /// Its music, if the breaks may be moved.
    parts: Option<Vec<Part>>,
    /// Pages it had when it was set first.
    pages: usize,
    /// The side it begins on, if that is settled whatever comes before.
    side: Option<Side>,
    /// Pages between the end of what is before and its own first figure.
    between: usize,
}

/// The best casting of every music, by its number in the document, and with it
/// the best breaks and the grown gaps. The plan holds if these castings are
/// those that were set; it is as [`spread`] where the breaks must stay.
pub fn cast(measured: &Measured, forme: &Forme) -> (Vec<usize>, Plan) {
    let Forme { gaps, figures, musics, .. } = forme;
    let mut plan = spread(measured, gaps, figures);
    let mut chosen: Vec<usize> = musics.iter().map(|choices| choices[0].casting).collect();
    if measured.figures.len() != figures.len() {
        return (chosen, plan);
    }
    let height = measured.area.1 - measured.area.0;
    let stretches = stretches(measured, forme);
    for (stretch, setting) in stretches.iter().zip(settled(&stretches, height)) {
        let (Some(parts), Some(setting)) = (&stretch.parts, setting) else { continue };
        for (part, choice) in parts.iter().zip(&setting.choices) {
            let Choice { casting, .. } = part.choices[*choice];
            chosen[part.music] = casting;
        }
        if setting.choices.iter().all(|choice| *choice == 0) {
            carry_out(&mut plan, parts, &setting, (stretch.figures, figures), height);
        }
    }
    (chosen, plan)
}

fn stretches(measured: &Measured, forme: &Forme) -> Vec<Stretch> {
    let figures = &forme.figures;
    let places = &measured.figures;
    let mut stretches = Vec::new();
    let mut start = 0;
    while start < figures.len() {
        let rest = &figures[start + 1..];
        let next = rest.iter().position(|figure| figure.begin != Begin::Below);
        let end = start + 1 + next.unwrap_or(rest.len());
        let page = places[start].page;
        // Pages are counted from 0 here, so the even ones lie on the right.
        let side = if page.is_multiple_of(2) { Side::Right } else { Side::Left };
        let settled = start == 0 || figures[start].begin == Begin::Recto;
        let before = start.checked_sub(1).map_or(0, |before| places[before].page + 1);
        stretches.push(Stretch {
            figures: (start, end),
            parts: run(measured, forme, (start, end)),
            pages: (places[end - 1].page + 1).saturating_sub(page),
            side: settled.then_some(side),
            between: page.saturating_sub(before),
        });
        start = end;
    }
    stretches
}

/// The settings of the stretches that make the cheapest book.
fn settled(stretches: &[Stretch], height: f64) -> Vec<Option<Setting>> {
    /// The cheapest way to the page after a stretch.
    #[derive(Clone)]
    struct Way {
        price: f64,
        /// The side of the page after the stretch before.
        from: Side,
        setting: Option<Setting>,
    }
    let mut ways: Vec<[Option<Way>; 2]> = Vec::new();
    for stretch in stretches {
        let mut here: [Option<Way>; 2] = [None, None];
        for from in Side::BOTH {
            let price = match ways.last() {
                Some(ways) => match &ways[from as usize] {
                    Some(way) => way.price,
                    None => continue,
                },
                None => 0.0,
            };
            let begin = stretch.side.unwrap_or(from.after(stretch.between));
            let ends = match &stretch.parts {
                Some(parts) => settings(parts, height, begin).map(|end| end.map(Some)),
                None => Side::BOTH.map(|end| (end == begin.after(stretch.pages)).then_some(None)),
            };
            for (end, setting) in here.iter_mut().zip(ends) {
                let Some(setting) = setting else { continue };
                let price = price + setting.as_ref().map_or(0.0, |setting| setting.price);
                if end.as_ref().is_none_or(|end| price < end.price) {
                    *end = Some(Way { price, from, setting });
                }
            }
        }
        ways.push(here);
    }
    let price = |side: Side| {
        ways.last().and_then(|way| way[side as usize].as_ref()).map_or(f64::INFINITY, |w| w.price)
    };
    let mut side = if price(Side::Right) < price(Side::Left) { Side::Right } else { Side::Left };
    let mut settings = Vec::new();
    for mut way in ways.into_iter().rev() {
        let way = way[side as usize].take();
        side = way.as_ref().map_or(side, |way| way.from);
        settings.push(way.and_then(|way| way.setting));
    }
    settings.reverse();
    settings
}

/// Puts a setting of the first choices into the plan.
fn carry_out(
    plan: &mut Plan,
    parts: &[Part],
    setting: &Setting,
    ((start, end), figures): ((usize, usize), &[Figure]),
    height: f64,
) {
    /// A system: its figure, and what is above and below it.
    struct Set {
        gap: (usize, f64),
        stretch: f64,
        before: f64,
        top: f64,
        height: f64,
        after: f64,
        leader: usize,
    }
    let sets = |part: &Part| -> Vec<Set> {
        let systems = &part.choices[0].systems;
        let set = |(index, system): (usize, &crate::forme::Size)| {
            let first = index == 0;
            let figure = part.figure + index;
            let own = (figures[figure].first_gap, system.gap.height);
            Set {
                gap: if first { part.gap } else { own },
                stretch: if first { part.stretch } else { system.gap.stretch },
                before: if first { part.before } else { system.gap.height },
                top: if first { part.top } else { 0.0 },
                height: system.height,
                after: if index + 1 == systems.len() { part.after } else { 0.0 },
                leader: if first { part.leader } else { figure },
            }
        };
        systems.iter().enumerate().map(set).collect()
    };
    // The number of every opener among the sets of the run.
    let all: Vec<Vec<Set>> = parts.iter().map(sets).collect();
    let number =
        |part: usize, index: usize| all[..part].iter().map(Vec::len).sum::<usize>() + index;
    let firsts: Vec<usize> =
        setting.openers.iter().map(|opener| number(opener.part, opener.index)).collect();
    let sets: Vec<&Set> = all.iter().flatten().collect();
    plan.together[start + 1..end].fill(true);
    let mut share_before = None;
    for (page, &first) in firsts.iter().enumerate() {
        let next = firsts.get(page + 1).copied().unwrap_or(sets.len());
        let (opener, rest) = (sets[first], &sets[first + 1..next]);
        plan.breaks[opener.gap.0] = match (first, setting.openers[page].notes) {
            (0, _) => Break::None,
            (_, true) => Break::Notes,
            (_, false) => Break::Page,
        };
        plan.gaps[opener.gap.0] = opener.gap.1;
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
            plan.breaks[set.gap.0] = Break::None;
            plan.gaps[set.gap.0] = set.gap.1 + set.stretch * share;
        }
    }
}
