//! The cheapest lines and pages of a run, by dynamic programming over what
//! opens a page and the side the page is on.
//!
//! The price of a page depends on sums over all that stands on it, so that
//! what is chosen for music that begins on a page is tried in every
//! combination; what is chosen for music that goes on on another page is kept
//! in what opens that page. So the search is exact.

use super::SPARE;
use super::prices::{Tear, early, filled, last_page, lines, notes, shrunk, torn, turn, white};
use super::run::Part;
use crate::forme::Choice;

/// A side of the book.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    /// An even page, which faces the next.
    Left,
    /// An odd page, which is turned over.
    Right,
}

impl Side {
    /// Both, in the order of the tables.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// The other one.
    pub const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }

    /// The side so many pages on.
    pub const fn after(self, pages: usize) -> Self {
        if pages.is_multiple_of(2) { self } else { self.other() }
    }
}

/// What opens a page.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Opener {
    /// Index of the music in the run.
    pub part: usize,
    /// Index of its system.
    pub index: usize,
    /// Whether a page of blank staves comes first.
    pub notes: bool,
}

/// The lines and pages of a run.
#[derive(Clone, PartialEq, Debug)]
pub struct Setting {
    /// What they cost.
    pub price: f64,
    /// For each music, which of its choices.
    pub choices: Vec<usize>,
    /// What opens each page.
    pub openers: Vec<Opener>,
}

/// The cheapest way to come to the beginning of a page.
#[derive(Clone, Debug)]
struct Arrival {
    price: f64,
    /// The beginning of the page before it.
    from: (usize, Side),
    /// What was chosen for the music that begins on that page.
    chosen: Vec<usize>,
}

/// The beginnings of pages, numbered so that pages lead to greater numbers.
struct Nodes {
    /// Per part its first number, and per choice the number of its second
    /// system.
    parts: Vec<(usize, Vec<usize>)>,
    all: Vec<Node>,
}

#[derive(Clone, Copy, Debug)]
struct Node {
    part: usize,
    /// Meaningless at the first system.
    choice: usize,
    index: usize,
}

impl Nodes {
    fn new(parts: &[Part]) -> Self {
        let mut all = Vec::new();
        let mut numbers = Vec::new();
        for (part, Part { choices, .. }) in parts.iter().enumerate() {
            let first = all.len();
            all.push(Node { part, choice: 0, index: 0 });
            let mut seconds = Vec::new();
            for (choice, Choice { systems, .. }) in choices.iter().enumerate() {
                seconds.push(all.len());
                all.extend((1..systems.len()).map(|index| Node { part, choice, index }));
            }
            numbers.push((first, seconds));
        }
        Self { parts: numbers, all }
    }

    /// The number of a beginning; behind the last music, one past all.
    fn number(&self, node: Node) -> usize {
        match self.parts.get(node.part) {
            None => self.all.len(),
            Some((first, _)) if node.index == 0 => *first,
            Some((_, seconds)) => seconds[node.choice] + node.index - 1,
        }
    }
}

struct Search<'a> {
    parts: &'a [Part],
    height: f64,
    nodes: Nodes,
    /// Per beginning and side, before a page of blank staves is put there.
    arrivals: Vec<[Option<Arrival>; 2]>,
}

/// A page on its way down.
#[derive(Clone)]
struct Page {
    /// The beginning it has.
    opener: usize,
    systems: usize,
    used: f64,
    room: f64,
    give: f64,
    /// What has been paid for the lines chosen on it.
    lines: f64,
    chosen: Vec<usize>,
}

/// The cheapest settings of a run that begins on a side, by the side of the
/// page after its last. `height` is that of the type area.
pub fn settings(parts: &[Part], height: f64, begin: Side) -> [Option<Setting>; 2] {
    let nodes = Nodes::new(parts);
    let arrivals = vec![[None, None]; nodes.all.len() + 1];
    let mut search = Search { parts, height, nodes, arrivals };
    search.arrivals[0][begin as usize] =
        Some(Arrival { price: 0.0, from: (0, begin), chosen: Vec::new() });
    for number in 0..search.nodes.all.len() {
        search.pages_from(number);
    }
    Side::BOTH.map(|side| search.trace(side))
}

impl Search<'_> {
    /// The cheapest way to begin here on a side, and whether a page of blank
    /// staves comes first.
    fn begin(&self, number: usize, side: Side) -> Option<(f64, bool)> {
        let price = |side: Side| self.arrivals[number][side as usize].as_ref().map(|a| a.price);
        let plain = price(side).map(|price| (price, false));
        let node = self.nodes.all.get(number);
        if !node.is_some_and(|node| node.index == 0 && self.parts[node.part].notes) {
            return plain;
        }
        let noted = price(side.other()).map(|price| (price + notes(), true));
        match (plain, noted) {
            (Some(plain), Some(noted)) if noted.0 < plain.0 => Some(noted),
            (None, noted) => noted,
            (plain, _) => plain,
        }
    }

    /// All pages that begin here.
    fn pages_from(&mut self, number: usize) {
        let Node { part, choice, index } = self.nodes.all[number];
        let parts = self.parts;
        let page = Page {
            opener: number,
            systems: 1,
            used: 0.0,
            room: 0.0,
            give: 0.0,
            lines: 0.0,
            chosen: Vec::new(),
        };
        if index > 0 {
            let used = parts[part].choices[choice].systems[index].height;
            self.go_on(Page { used, ..page }, part, choice, index + 1);
            return;
        }
        let Part { top, choices, .. } = &parts[part];
        for (choice, Choice { cost, systems, .. }) in choices.iter().enumerate() {
            let used = top + systems[0].height;
            let chosen = vec![choice];
            let lines = lines(*cost, choices[0].cost);
            self.go_on(Page { used, lines, chosen, ..page.clone() }, part, choice, 1);
        }
    }

    /// Ends the page before the system of this index, or goes on with it on
    /// the same page.
    fn go_on(&mut self, page: Page, part: usize, choice: usize, index: usize) {
        let Part { choices, after, piece, .. } = &self.parts[part];
        let systems = &choices[choice].systems;
        let Some(system) = systems.get(index) else {
            let used = page.used + after;
            if page.systems == 1 || self.fits(used - page.give) {
                self.below(&Page { used, ..page }, part + 1);
            }
            return;
        };
        let (torn, turn) = if system.gap.new_page {
            (0.0, 0.0)
        } else {
            let whole = self.parts[part].top + self.parts[part].height(&choices[choice]);
            let tear = Tear {
                index,
                count: systems.len(),
                held_whole: self.fits(whole),
                has_room: self.fits(page.used + system.gap.height + system.height),
                piece: *piece,
            };
            (torn(tear), turn(systems[index - 1].free_beats, *piece))
        };
        let to = self.nodes.number(Node { part, choice, index });
        self.arrive(&page, to, self.white(&page) + torn, turn);
        let used = page.used + system.gap.height + system.height;
        let give = page.give + system.gap.shrink;
        if !system.gap.new_page && self.fits(used - give) {
            let (room, systems) = (page.room + system.gap.stretch, page.systems + 1);
            self.go_on(Page { used, room, give, systems, ..page }, part, choice, index + 1);
        }
    }

    /// Ends the page before this music, or goes on with it on the same page.
    fn below(&mut self, page: &Page, part: usize) {
        let to = self.nodes.number(Node { part, choice: 0, index: 0 });
        let Some(next) = self.parts.get(part) else {
            let price = self.shrunk(page).unwrap_or(last_page(page.used, self.height));
            return self.arrive(page, to, price, 0.0);
        };
        let Part { before, stretch, shrink, choices, .. } = next;
        let whole = !next.divided() && self.fits(page.used + before + next.least());
        let white = if next.fills { self.filled(page, next.piece) } else { self.white(page) };
        let early = if whole { early(next.fills && next.piece) } else { 0.0 };
        self.arrive(page, to, white + early, 0.0);
        for (choice, Choice { cost, systems, .. }) in choices.iter().enumerate() {
            let used = page.used + before + systems[0].height;
            let give = page.give + shrink;
            if self.fits(used - give) {
                let lines = page.lines + lines(*cost, choices[0].cost);
                let room = page.room + stretch;
                let mut chosen = page.chosen.clone();
                chosen.push(choice);
                let systems = page.systems + 1;
                let page = Page { used, room, give, lines, chosen, systems, ..*page };
                self.go_on(page, part, choice, 1);
            }
        }
    }

    fn fits(&self, used: f64) -> bool {
        used <= self.height - SPARE
    }

    /// The price of a page whose gaps must shrink, if it is one.
    fn shrunk(&self, page: &Page) -> Option<f64> {
        let over = page.used - (self.height - SPARE);
        (over > 0.0 && page.give > 0.0).then(|| shrunk(over, page.give))
    }

    fn white(&self, page: &Page) -> f64 {
        let white = || white((self.height - page.used).max(0.0), page.room, self.height);
        self.shrunk(page).unwrap_or_else(white)
    }

    fn filled(&self, page: &Page, piece: bool) -> f64 {
        let Node { part, index, .. } = self.nodes.all[page.opener];
        let goes_on = index > 0 && self.parts[part].piece;
        let free = (self.height - page.used).max(0.0);
        let filled = || filled(free, page.room, self.height, goes_on, piece);
        self.shrunk(page).unwrap_or_else(filled)
    }

    /// Puts down that a page comes to a beginning at a price, and what is paid
    /// besides if it must be turned over.
    fn arrive(&mut self, page: &Page, to: usize, price: f64, turn: f64) {
        for side in Side::BOTH {
            let Some((before, _)) = self.begin(page.opener, side) else { continue };
            let turn = if side == Side::Right { turn } else { 0.0 };
            let price = before + page.lines + price + turn;
            let there = &mut self.arrivals[to][side.other() as usize];
            if there.as_ref().is_none_or(|there| price < there.price) {
                let (from, chosen) = ((page.opener, side), page.chosen.clone());
                *there = Some(Arrival { price, from, chosen });
            }
        }
    }

    /// The cheapest setting after which a page of this side comes.
    fn trace(&self, side: Side) -> Option<Setting> {
        let end = self.nodes.all.len();
        let price = self.arrivals[end][side as usize].as_ref()?.price;
        let mut choices = vec![0; self.parts.len()];
        let mut openers = Vec::new();
        let (mut at, mut side) = (end, side);
        while at > 0 {
            let Arrival { from, chosen, .. } = self.arrivals[at][side as usize].as_ref()?;
            (at, side) = *from;
            let Node { part, index, .. } = self.nodes.all[at];
            // What began on that page: the music that opens it, if that
            // begins there, and what is below.
            let first = part + usize::from(index > 0);
            choices[first..first + chosen.len()].copy_from_slice(chosen);
            let (_, notes) = self.begin(at, side)?;
            openers.push(Opener { part, index, notes });
            if notes {
                side = side.other();
            }
        }
        openers.reverse();
        Some(Setting { price, choices, openers })
    }
}
