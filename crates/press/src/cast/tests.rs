//! The search against trying all.

use super::SPARE;
use super::prices::{
    Tear, early, facing, filled, last_page, lines, notes, shrunk, torn, turn, white,
};
use super::run::Part;
use super::search::{Opener, Setting, Side, settings};
use crate::forme::{Choice, Gap, Size};

/// Numbers that look as if they came from dice, from a seed.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }

    fn length(&mut self, least: u64, most: u64) -> f64 {
        least as f64 + self.below((most - least) * 8) as f64 / 8.0
    }

    fn one_in(&mut self, sides: u64) -> bool {
        self.below(sides) == 0
    }
}

const HEIGHT: f64 = 400.0;

fn choice(dice: &mut Dice, casting: usize, count: u64) -> Choice {
    let systems = (0..count).map(|_| Size {
        gap: Gap {
            height: dice.length(10, 40),
            stretch: dice.length(0, 15),
            shrink: dice.length(0, 8),
            new_page: dice.one_in(12),
        },
        height: dice.length(40, 110),
        free_beats: dice.below(4) as f64,
    });
    let systems = systems.collect();
    Choice {
        casting,
        cost: if casting == 0 { 0.1 } else { 0.1 + dice.length(0, 2) / 4.0 },
        systems,
    }
}

/// A run of a few pieces and exercises, with up to three choices each.
fn dealt(dice: &mut Dice) -> Vec<Part> {
    let count = 2 + dice.below(3) as usize;
    let part = |music: usize, dice: &mut Dice| {
        let piece = dice.one_in(2);
        let top = dice.length(0, 60);
        let systems = 1 + dice.below(4);
        let choices = 1 + dice.below(3);
        Part {
            music,
            piece,
            notes: piece && music > 0 && dice.one_in(2),
            fills: dice.one_in(2),
            before: top + dice.length(10, 40),
            top,
            stretch: dice.length(0, 15),
            shrink: dice.length(0, 8),
            after: if dice.one_in(3) { dice.length(0, 80) } else { 0.0 },
            choices: (0..choices).map(|nth| choice(dice, nth as usize, systems + nth)).collect(),
        }
    };
    (0..count).map(|music| part(music, dice)).collect()
}

/// The price of a setting reckoned page by page, with the side of the page
/// after its last; `None` where a page does not hold what it should.
fn reckoned(
    parts: &[Part],
    begin: Side,
    choices: &[usize],
    openers: &[Opener],
) -> Option<(f64, Side)> {
    let systems: Vec<(usize, usize)> = parts
        .iter()
        .zip(choices)
        .enumerate()
        .flat_map(|(part, (p, choice))| {
            (0..p.choices[*choice].systems.len()).map(move |index| (part, index))
        })
        .collect();
    let size = |(part, index): (usize, usize)| parts[part].choices[choices[part]].systems[index];
    let count = |part: usize| parts[part].choices[choices[part]].systems.len();
    let mut price: f64 = parts
        .iter()
        .zip(choices)
        .map(|(part, choice)| lines(part.choices[*choice].cost, part.choices[0].cost))
        .sum();
    let begins: Vec<usize> = openers
        .iter()
        .map(|opener| systems.iter().position(|s| *s == (opener.part, opener.index)).unwrap())
        .collect();
    let mut side = begin;
    for (page, &first) in begins.iter().enumerate() {
        if openers[page].notes {
            price += notes();
            side = side.other();
        }
        let next = begins.get(page + 1).copied().unwrap_or(systems.len());
        let (mut used, mut room, mut give) = (0.0, 0.0, 0.0);
        for (nth, &(part, index)) in systems[first..next].iter().enumerate() {
            let size = size((part, index));
            if nth > 0 && index > 0 && size.gap.new_page {
                return None;
            }
            used += size.height;
            used += match (nth, index) {
                (0, 0) => parts[part].top,
                (0, _) => 0.0,
                (_, 0) => parts[part].before,
                _ => size.gap.height,
            };
            room += match (nth, index) {
                (0, _) => 0.0,
                (_, 0) => parts[part].stretch,
                _ => size.gap.stretch,
            };
            give += match (nth, index) {
                (0, _) => 0.0,
                (_, 0) => parts[part].shrink,
                _ => size.gap.shrink,
            };
            if index + 1 == count(part) {
                used += parts[part].after;
            }
        }
        if next - first > 1 && used - give > HEIGHT - SPARE {
            return None;
        }
        let over = used - (HEIGHT - SPARE);
        let (opener, index) = systems[first];
        let goes_on = index > 0 && parts[opener].piece;
        price += match systems.get(next) {
            _ if over > 0.0 && give > 0.0 => shrunk(over, give),
            None => last_page(used, HEIGHT),
            Some((part, 0)) if parts[*part].fills => {
                filled((HEIGHT - used).max(0.0), room, HEIGHT, goes_on, parts[*part].piece)
            }
            Some(_) => white((HEIGHT - used).max(0.0), room, HEIGHT),
        };
        if let Some(&(part, 0)) = systems.get(next) {
            let next = &parts[part];
            let begins = |choice: &Choice| choice.systems[1..].iter().any(|s| s.gap.new_page);
            let whole = |choice: &Choice| {
                let gaps: f64 = choice.systems[1..].iter().map(|s| s.gap.height).sum();
                gaps + choice.systems.iter().map(|s| s.height).sum::<f64>() + next.after
            };
            let least = next.choices.iter().map(whole).fold(f64::INFINITY, f64::min);
            let fits = used + next.before + least <= HEIGHT - SPARE;
            if fits && !next.choices.iter().any(begins) {
                price += early(next.fills && next.piece);
            }
        }
        if let Some(&(part, index)) = systems.get(next)
            && index > 0
            && !size((part, index)).gap.new_page
        {
            let own = &parts[part].choices[choices[part]].systems;
            let gaps: f64 = own[1..].iter().map(|s| s.gap.height).sum();
            let own = own.iter().map(|s| s.height).sum::<f64>() + gaps + parts[part].after;
            let next = size((part, index));
            price += torn(Tear {
                index,
                count: count(part),
                held_whole: parts[part].top + own <= HEIGHT - SPARE,
                has_room: used + next.gap.height + next.height <= HEIGHT - SPARE,
                piece: parts[part].piece,
            });
            if side == Side::Right {
                price += turn(size((part, index - 1)).free_beats, parts[part].piece);
            }
        }
        side = side.other();
    }
    Some((price, side))
}

/// All ways to choose one of so many, for each.
fn combinations(of: &[usize]) -> Vec<Vec<usize>> {
    of.iter().fold(vec![Vec::new()], |before, &of| {
        let longer = before
            .iter()
            .flat_map(|chosen| (0..of).map(move |one| [chosen.as_slice(), &[one]].concat()));
        longer.collect()
    })
}

/// The cheapest setting for each side of the page after it, by trying all
/// choices, all page breaks and all pages of blank staves.
fn brute(parts: &[Part], begin: Side) -> [f64; 2] {
    let mut best = [f64::INFINITY; 2];
    let counts: Vec<usize> = parts.iter().map(|part| part.choices.len()).collect();
    for choices in combinations(&counts) {
        // What may come before each system but the first: nothing, a page
        // break, or a page of blank staves too.
        let systems: Vec<(usize, usize)> = (0..parts.len())
            .flat_map(|part| {
                let count = parts[part].choices[choices[part]].systems.len();
                (0..count).map(move |index| (part, index))
            })
            .collect();
        let ways = systems[1..].iter().map(
            |&(part, index)| {
                if index == 0 && parts[part].notes { 3 } else { 2 }
            },
        );
        for breaks in combinations(&ways.collect::<Vec<_>>()) {
            let mut openers = vec![Opener { part: 0, index: 0, notes: false }];
            let broken = systems[1..].iter().zip(&breaks).filter(|(_, way)| **way > 0);
            openers.extend(broken.map(|(&(part, index), way)| Opener {
                part,
                index,
                notes: *way == 2,
            }));
            if let Some((price, side)) = reckoned(parts, begin, &choices, &openers) {
                best[side as usize] = best[side as usize].min(price);
            }
        }
    }
    best
}

#[test]
fn lines_and_pages_are_the_cheapest_of_all() {
    let (mut others, mut noted, mut forced, mut books) = (0, 0, 0, 0);
    for seed in 0..400 {
        let mut dice = Dice(seed);
        let parts = dealt(&mut dice);
        let systems: usize =
            parts.iter().map(|part| part.choices.last().unwrap().systems.len()).sum();
        if systems > 11 {
            continue;
        }
        books += 1;
        let begin = Side::BOTH[dice.below(2) as usize];
        let least = brute(&parts, begin);
        for (end, found) in Side::BOTH.into_iter().zip(settings(&parts, HEIGHT, begin)) {
            let Some(Setting { price, choices, openers }) = found else {
                assert!(least[end as usize].is_infinite(), "seed {seed}: {end:?} can be reached");
                continue;
            };
            let least = least[end as usize];
            assert!((price - least).abs() < 1e-9, "seed {seed}: {price}, not {least}");
            let (again, side) = reckoned(&parts, begin, &choices, &openers).unwrap();
            assert!((price - again).abs() < 1e-9 && side == end, "seed {seed}: {again}");
            others += usize::from(choices.iter().any(|choice| *choice > 0));
            noted += usize::from(openers.iter().any(|opener| opener.notes));
            forced += parts
                .iter()
                .zip(&choices)
                .filter(|(part, choice)| {
                    part.choices[**choice].systems[1..].iter().any(|s| s.gap.new_page)
                })
                .count();
        }
    }
    // The dice must have dealt what is to be tested.
    assert!(books > 150 && others > 30 && noted > 10 && forced > 10);
}

/// Systems of so many, each as high as told, without a choice.
fn plain(piece: bool, notes: bool, heights: &[f64], free_beats: f64) -> Part {
    let systems = heights.iter().map(|height| Size {
        gap: Gap { height: 20.0, stretch: 8.0, ..Gap::default() },
        height: *height,
        free_beats,
    });
    Part {
        music: 0,
        piece,
        notes,
        fills: false,
        before: 60.0,
        top: 40.0,
        stretch: 4.0,
        shrink: 0.0,
        after: 0.0,
        choices: vec![Choice { casting: 0, cost: 0.0, systems: systems.collect() }],
    }
}

fn cheapest(parts: &[Part], begin: Side) -> Setting {
    let settings = settings(parts, HEIGHT, begin).into_iter().flatten();
    settings.min_by(|a, b| a.price.total_cmp(&b.price)).unwrap()
}

#[test]
fn a_piece_of_two_pages_stands_on_an_opening_where_a_page_of_staves_is_dearer_than_none() {
    let full = [85.0; 3];
    let two_pages = [70.0; 7];
    // A full page on the left, so that the piece would begin on the right.
    let parts = |free| [plain(false, false, &full, 0.0), plain(true, true, &two_pages, free)];
    let noted = |setting: &Setting| setting.openers.iter().any(|opener| opener.notes);
    assert!(noted(&cheapest(&parts(0.0), Side::Left)), "it would be turned over");
    assert!(!noted(&cheapest(&parts(2.0), Side::Left)), "there is time to turn");
    assert!(!noted(&cheapest(&parts(0.0), Side::Right)), "it is on an opening as it is");
}

#[test]
fn a_page_is_turned_where_there_is_time() {
    // Room for four systems or five; only after the fourth there is time.
    let mut part = plain(true, false, &[55.0; 9], 0.0);
    part.choices[0].systems[3].free_beats = 2.0;
    let setting = cheapest(&[part], Side::Right);
    let breaks: Vec<usize> = setting.openers.iter().map(|opener| opener.index).collect();
    assert_eq!(breaks, [0, 4]);
}

#[test]
fn a_line_less_is_chosen_where_a_page_would_hold_it_all() {
    let mut part = plain(true, false, &[75.0; 4], 0.0);
    let mut fewer = part.choices[0].clone();
    (fewer.casting, fewer.cost) = (1, 0.2);
    fewer.systems.pop();
    part.choices.push(fewer);
    let setting = cheapest(&[part], Side::Left);
    assert_eq!((setting.choices, setting.openers.len()), (vec![1], 1));
}

#[test]
fn a_piece_has_a_page_of_its_own_rather_than_a_blank_page_after_both() {
    let before = plain(true, false, &[80.0; 2], 0.0);
    let both = |fills| [before.clone(), Part { fills, ..plain(true, false, &[60.0; 1], 0.0) }];
    let end = |parts: &[Part]| {
        let on = |side: Side| {
            let setting = settings(parts, HEIGHT, Side::Right)[side as usize].clone();
            setting.map_or(f64::INFINITY, |setting| setting.price)
        };
        // The next lesson begins on the right.
        if on(Side::Left) + facing() < on(Side::Right) { 1 } else { 2 }
    };
    assert_eq!((end(&both(true)), end(&both(false))), (2, 1));
}

#[test]
fn an_exercise_is_kept_whole_where_blank_staves_fill_the_page_before() {
    let pages = |fills| {
        let parts = [
            plain(false, false, &[60.0], 0.0),
            Part { fills, ..plain(false, false, &[85.0; 3], 0.0) },
        ];
        let openers = cheapest(&parts, Side::Left).openers;
        openers.iter().map(|opener| (opener.part, opener.index)).collect::<Vec<_>>()
    };
    assert_eq!((pages(true), pages(false).last()), (vec![(0, 0), (1, 0)], Some(&(1, 2))));
}

#[test]
fn gaps_shrink_where_a_system_would_just_miss_the_page() {
    let pages = |shrink| {
        let mut part = plain(true, false, &[80.0; 4], 0.0);
        for system in &mut part.choices[0].systems {
            system.gap.shrink = shrink;
        }
        cheapest(&[part], Side::Left).openers.len()
    };
    // 420 are wanted, and 400 are there, less what is kept free.
    assert_eq!((pages(0.0), pages(6.0), pages(7.0)), (2, 2, 1));
}
