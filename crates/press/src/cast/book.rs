//! The takes of a book put together.

use std::sync::Arc;

use super::SPARE;
use super::galley::Galley;
use super::plan::{Break, Foot, Plan, spread};
use super::prices::facing;
use super::run::{Part, Spot, run, spots};
use super::search::{Setting, Side, settings};
use crate::forme::{Begin, Choice, Figure, Forme, Gap, Role};

/// What stands between two page breaks made on purpose.
struct Stretch {
    /// Its music, if the breaks may be moved.
    parts: Option<Vec<Part>>,
    /// Pages it had when it was measured, from its first system to its last figure.
    pages: usize,
    /// The side it begins on, if that is settled whatever comes before.
    side: Option<Side>,
    /// Pages between the end of what is before and its own first system.
    between: usize,
}

/// The lines and pages chosen for a take.
#[derive(Clone, PartialEq, Debug)]
pub struct Chosen {
    /// The casting of every music, by its number in the document.
    pub castings: Vec<usize>,
    /// What becomes of its stretches.
    stretches: Vec<Fate>,
}

/// What becomes of a stretch.
#[derive(Clone, PartialEq, Debug)]
enum Fate {
    /// Its breaks are left where they are, and its gaps grow by so much.
    Left { growths: Vec<f64>, together: Vec<bool> },
    /// It is set in this way. What stands before its first system, as the map of an
    /// opener, stays where it was measured: the last of `lead` says whether that system
    /// is on the page of what is before it, and so on back to its second figure.
    Cast { parts: Vec<Part>, setting: Setting, lead: Vec<bool> },
}

impl Chosen {
    /// How many pages a take will have, if what is before its music and after it stands as it
    /// was measured.
    pub fn pages(&self, galley: &Galley) -> usize {
        let ranges = between_breaks(&galley.forme.figures);
        self.stretches.iter().zip(ranges).fold(galley.pages, |pages, (fate, range)| match fate {
            Fate::Left { .. } => pages,
            Fate::Cast { setting, .. } => {
                let blank = setting.openers.iter().filter(|opener| opener.notes).count();
                (pages + setting.openers.len() + blank)
                    .saturating_sub(measured_pages(galley, range))
            }
        })
    }
}

/// The lines and pages of the cheapest book, take by take.
pub fn cast(galleys: &[Arc<Galley>]) -> Vec<Chosen> {
    let mut stretches = Vec::new();
    let mut between = 0;
    for galley in galleys {
        between = fall_in(galley, between, &mut stretches);
    }
    let height = galleys.first().map_or(0.0, |galley| galley.height());
    let mut settings = stretches.iter().zip(settled(&stretches, height));
    let mut chosen = left(galleys);
    for (galley, chosen) in galleys.iter().zip(&mut chosen) {
        if chosen.stretches.is_empty() {
            // Its pages count in the book all the same.
            settings.next();
        }
        let ranges = between_breaks(&galley.forme.figures);
        let fates = chosen.stretches.iter_mut().zip(ranges);
        for ((fate, range), (stretch, setting)) in fates.zip(&mut settings) {
            let (Some(parts), Some(setting)) = (&stretch.parts, setting) else { continue };
            for (part, choice) in parts.iter().zip(&setting.choices) {
                let Choice { casting, .. } = galley.forme.musics[part.music][*choice];
                chosen.castings[part.music] = casting;
            }
            *fate = Fate::Cast { parts: parts.clone(), setting, lead: lead(galley, range) };
        }
    }
    chosen
}

/// The lines that are best by themselves and the breaks where they are.
pub fn left(galleys: &[Arc<Galley>]) -> Vec<Chosen> {
    let of = |galley: &Arc<Galley>| {
        let Galley { forme, measured, .. } = &**galley;
        let fate = |(start, end): (usize, usize)| {
            let on = measured.figures[start..end].iter().map(|place| place.page);
            let before = measured.figures[start..end].iter().skip(1).map(|place| place.page);
            let together = on.zip(before).map(|(a, b)| a == b);
            Fate::Left {
                growths: spread(measured, &forme.gaps, (&forme.figures, (start, end))),
                together: std::iter::once(false).chain(together).collect(),
            }
        };
        Chosen {
            castings: forme.musics.iter().map(|choices| choices[0].casting).collect(),
            stretches: between_breaks(&forme.figures).into_iter().map(fate).collect(),
        }
    };
    galleys.iter().map(of).collect()
}

/// The figures between page breaks made on purpose.
fn between_breaks(figures: &[Figure]) -> Vec<(usize, usize)> {
    let begins = (0..figures.len()).filter(|i| *i == 0 || figures[*i].begin != Begin::Below);
    let begins: Vec<usize> = begins.chain([figures.len()]).collect();
    begins.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

/// The first system among these figures, or the first of them where there is none.
fn first_system(figures: &[Figure], (start, end): (usize, usize)) -> usize {
    let is_system = |i: &usize| matches!(figures[*i].role, Role::System { .. });
    (start..end).find(is_system).unwrap_or(start)
}

/// How many pages were measured from the first system among these figures, or the first of
/// them where there is none, to the last.
fn measured_pages(galley: &Galley, range: (usize, usize)) -> usize {
    let places = &galley.measured.figures;
    let first = first_system(&galley.forme.figures, range);
    (places[range.1 - 1].page + 1).saturating_sub(places[first].page)
}

/// Whether each figure after the first, up to the first system, was measured on the page
/// of the one before.
fn lead(galley: &Galley, range: (usize, usize)) -> Vec<bool> {
    let places = &galley.measured.figures;
    let first = first_system(&galley.forme.figures, range);
    (range.0 + 1..=first).map(|i| places[i].page == places[i - 1].page).collect()
}

/// Adds the stretches of a take, which come so many pages after the last
/// figure; so many pages come after its own last.
fn fall_in(galley: &Galley, before: usize, stretches: &mut Vec<Stretch>) -> usize {
    let Galley { forme, measured, recto, pages, .. } = galley;
    let places = &measured.figures;
    // Counted from 0, the first page of a take that was measured is a right one.
    let side = |page: usize| Side::Right.after(page);
    let mut end_before = None;
    for (start, end) in between_breaks(&forme.figures) {
        // An opener may leave no room for music on its page: the pages that are chosen
        // begin with the first system's.
        let page = places[first_system(&forme.figures, (start, end))].page;
        let settled = match end_before {
            None => *recto,
            Some(_) => forme.figures[start].begin == Begin::Recto,
        };
        let last = places[end - 1].page;
        stretches.push(Stretch {
            parts: run(measured, forme, (start, end)),
            pages: measured_pages(galley, (start, end)),
            side: settled.then(|| side(page)),
            between: match end_before {
                None => before + page,
                Some(before) => page.saturating_sub(before),
            },
        });
        end_before = Some(last + 1);
    }
    match end_before {
        Some(end) => pages.saturating_sub(end),
        None => {
            let side = recto.then(|| side(0));
            stretches.push(Stretch { parts: None, pages: *pages, side, between: before });
            0
        }
    }
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
            let comes = from.after(stretch.between);
            let begin = stretch.side.unwrap_or(comes);
            // What is left white before a right-hand page is a page of blank staves.
            let price = if begin == comes || ways.is_empty() { price } else { price + facing() };
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

impl Plan {
    /// The plan for a forme of one take or of several, which is made with the
    /// castings chosen for them.
    pub fn of(chosen: &[Chosen], forme: &Forme, height: f64) -> Self {
        let mut plan = Self::natural(&forme.gaps);
        plan.together = vec![false; forme.figures.len()];
        let fates = chosen.iter().flat_map(|chosen| &chosen.stretches);
        for ((start, end), fate) in between_breaks(&forme.figures).into_iter().zip(fates) {
            match fate {
                Fate::Left { growths, together } => {
                    let grown = plan.gaps.iter_mut().skip(forme.figures[start].first_gap);
                    grown.zip(growths).for_each(|(gap, growth)| *gap += growth);
                    plan.together[start..end].copy_from_slice(together);
                }
                Fate::Cast { parts, setting, lead } => {
                    let spots = spots(&forme.figures, (start, end));
                    plan.together[start + 1..end].fill(true);
                    plan.together[start + 1..=start + lead.len()].copy_from_slice(lead);
                    carry_out(
                        &mut plan,
                        parts,
                        setting,
                        (&forme.gaps, &forme.figures, &spots),
                        height,
                    );
                }
            }
        }
        plan
    }
}

/// Puts a setting into the plan.
fn carry_out(
    plan: &mut Plan,
    parts: &[Part],
    setting: &Setting,
    (gaps, figures, spots): (&[Gap], &[Figure], &[Spot]),
    height: f64,
) {
    /// A system: its figure, and what is above and below it.
    struct Set {
        gap: (usize, f64),
        stretch: f64,
        shrink: f64,
        before: f64,
        top: f64,
        height: f64,
        after: f64,
        leader: usize,
    }
    let sets = |((part, choice), spot): ((&Part, &usize), &Spot)| -> Vec<Set> {
        let systems = &part.choices[*choice].systems;
        let set = |(index, system): (usize, &crate::forme::Size)| {
            let first = index == 0;
            let figure = spot.figure + index;
            let own = (figures[figure].first_gap, system.gap.height);
            Set {
                gap: if first { (spot.gap, gaps[spot.gap].height) } else { own },
                stretch: if first { part.stretch } else { system.gap.stretch },
                shrink: if first { part.shrink } else { system.gap.shrink },
                before: if first { part.before } else { system.gap.height },
                top: if first { part.top } else { 0.0 },
                height: system.height,
                after: if index + 1 == systems.len() { part.after } else { 0.0 },
                leader: if first { spot.leader } else { figure },
            }
        };
        systems.iter().enumerate().map(set).collect()
    };
    // The number of every opener among the sets of the run.
    let all: Vec<Vec<Set>> = parts.iter().zip(&setting.choices).zip(spots).map(sets).collect();
    let number =
        |part: usize, index: usize| all[..part].iter().map(Vec::len).sum::<usize>() + index;
    let firsts: Vec<usize> =
        setting.openers.iter().map(|opener| number(opener.part, opener.index)).collect();
    let sets: Vec<&Set> = all.iter().flatten().collect();
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
        let give: f64 = rest.iter().map(|set| set.shrink).sum();
        let (this, next) = (&setting.openers[page], setting.openers.get(page + 1));
        let foot = match next {
            Some(next) if next.index > 0 => Foot::GoesOn,
            Some(next) if this.index > 0 && next.part == this.part + 1 => Foot::CameOver,
            Some(_) => Foot::Broken,
            None => Foot::Last,
        };
        let share = if free < 0.0 && give > 0.0 {
            (free / give).max(-1.0)
        } else {
            foot.share(free, room, share_before)
        };
        share_before = Some(share);
        for set in rest {
            plan.breaks[set.gap.0] = Break::None;
            let can = if share < 0.0 { set.shrink } else { set.stretch };
            plan.gaps[set.gap.0] = set.gap.1 + can * share;
        }
    }
}
