//! Casting off: which bars stand on which line.
//!
//! All ways of breaking the score into lines are compared at once; the best
//! is the one whose lines are stretched least and most alike.

mod price;
#[cfg(test)]
mod tests;

use std::ops::{Range, RangeInclusive};

use crate::space::{BarRoom, NARROW};
use crate::style::Style;
pub use price::Cost;
use price::{CRAMPED, Caster, loosest, unlike};

/// A line: its bars and by how much its springs are stretched.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    pub bars: Range<usize>,
    pub stretch: f64,
    /// The stretch it shows, where ink keeps notes apart whatever the springs
    /// have.
    pub shown: f64,
    /// Whether it has whole phrases of four bars.
    pub phrased: bool,
    /// Where it ends before the right margin, the stretch that it would show
    /// if it did not.
    pub ragged: Option<f64>,
    /// Whether not even the least distances fit.
    pub overfull: bool,
}

impl Line {
    /// Whether both are drawn alike. A line that is full has the stretch that
    /// fills it.
    pub fn is_set_as(&self, other: &Self) -> bool {
        self.bars == other.bars
            && self.ragged.is_some() == other.ragged.is_some()
            && (self.ragged.is_none() || self.stretch.to_bits() == other.stretch.to_bits())
    }
}

/// Lines considered from one bar on.
const MOST_BARS: usize = 40;
/// Bars up to which other numbers of lines are offered.
const OFFERED: usize = 400;
/// Numbers of lines offered below the best and above it.
const FEWER: usize = 1;
const MORE: usize = 2;

/// A set of lines with what it costs.
#[derive(Clone, PartialEq, Debug)]
pub struct Casting {
    pub lines: Vec<Line>,
    pub cost: Cost,
}

/// A way to the end of a line, by its last line.
#[derive(Clone, Copy)]
struct Way {
    cost: Cost,
    /// Index of the way before among those that end where this line begins.
    before: usize,
}

/// All lines that could end before each bar, with their own costs.
struct Fitting<'a> {
    lines: Vec<Vec<(Line, Cost)>>,
    caster: &'a Caster<'a>,
}

impl<'a> Fitting<'a> {
    /// `begins` says of every bar whether it must begin a line.
    fn new(caster: &'a Caster<'a>, count: usize, begins: &dyn Fn(usize) -> bool) -> Self {
        let mut lines = vec![Vec::new()];
        for end in 1..=count {
            let mut here: Vec<(Line, Cost)> = Vec::new();
            for from in (end.saturating_sub(MOST_BARS)..end).rev() {
                let fitting = caster.lines(from, end);
                let overfull = fitting.iter().any(|(line, _)| line.overfull);
                if overfull && end - from > 1 {
                    break;
                }
                here.extend(fitting);
                if overfull || begins(from) {
                    break;
                }
            }
            lines.push(here);
        }
        Self { lines, caster }
    }

    /// The lines that are neither loose nor cramped.
    fn good(&self) -> Self {
        let good = |lines: &Vec<(Line, Cost)>| {
            lines.iter().filter(|(line, _)| is_good(line)).cloned().collect()
        };
        Self { lines: self.lines.iter().map(good).collect(), caster: self.caster }
    }

    /// The best ways to the end of every line that ends before bar `end`,
    /// given those before it.
    fn ways(&self, end: usize, before: &[Vec<Way>], opening: bool) -> Vec<Way> {
        let never = Way { cost: Cost::NEVER, before: 0 };
        let way = |(line, own): &(Line, Cost)| {
            let from = line.bars.start;
            if from == 0 {
                return if opening { Way { cost: *own, before: 0 } } else { never };
            }
            let last = self.lines[from].iter().zip(&before[from]).enumerate();
            last.filter(|(_, (_, way))| way.cost.is_finite())
                .map(|(index, ((last, _), way))| (index, way.cost + unlike(last, line)))
                .min_by(|a, b| a.1.order(&b.1))
                .map_or(never, |(before, cost)| Way { cost: cost + *own, before })
        };
        self.lines[end].iter().map(way).collect()
    }

    /// The best of the ways to the end, followed back; `layer` gives the ways
    /// so many lines before the last.
    fn trace<'b>(&self, layer: impl Fn(usize) -> &'b [Vec<Way>]) -> Option<Casting> {
        let mut at = self.lines.len() - 1;
        let best = layer(0)[at].iter().enumerate().min_by(|a, b| a.1.cost.order(&b.1.cost));
        let (mut index, Way { cost, .. }) = best.filter(|best| best.1.cost.is_finite())?;
        let (mut lines, cost) = (Vec::new(), *cost);
        while at > 0 {
            let line = &self.lines[at][index].0;
            index = layer(lines.len())[at][index].before;
            at = line.bars.start;
            lines.push(line.clone());
        }
        lines.reverse();
        if let Some((last, before)) = lines.split_last_mut()
            && last.ragged.is_some()
        {
            self.caster.set_ragged(before.last(), last);
        }
        Some(Casting { lines, cost })
    }

    fn best(&self) -> Option<Casting> {
        let mut ways: Vec<Vec<Way>> = vec![Vec::new()];
        for end in 1..self.lines.len() {
            ways.push(self.ways(end, &ways, true));
        }
        self.trace(|_| &ways)
    }

    /// The best castings with as many lines as asked for.
    fn counted(&self, counts: RangeInclusive<usize>) -> Vec<Casting> {
        let mut layers: Vec<Vec<Vec<Way>>> = Vec::new();
        for number in 1..=*counts.end() {
            let none = Vec::new();
            let before = layers.last().unwrap_or(&none);
            let layer = (0..self.lines.len())
                .map(|end| match (end, number) {
                    (0, _) => Vec::new(),
                    (_, 1) => self.opening(end),
                    _ => self.ways(end, before, false),
                })
                .collect();
            layers.push(layer);
        }
        counts
            .filter(|count| *count > 0)
            .filter_map(|count| self.trace(|back| &layers[count - 1 - back]))
            .collect()
    }

    /// The ways that are the first line of all.
    fn opening(&self, end: usize) -> Vec<Way> {
        let cost = |(line, own): &(Line, Cost)| {
            if line.bars.start == 0 { *own } else { Cost::NEVER }
        };
        self.lines[end].iter().map(|line| Way { cost: cost(line), before: 0 }).collect()
    }
}

/// Whether a line may stand in a casting that is offered beside the best: it is
/// neither loose nor cramped.
fn is_good(line: &Line) -> bool {
    !line.overfull && (line.ragged.is_some() || is_even(line))
}

/// Whether it is neither loose nor cramped.
fn is_even(line: &Line) -> bool {
    (CRAMPED..=loosest(line.phrased)).contains(&line.shown)
}

/// Whether a casting may be offered beside the best: none of its lines is
/// called loose or cramped, and the last has two bars.
fn offered(casting: &Casting) -> bool {
    let lone = |last: &Line| last.bars.len() < 2 && last.bars.start > 0;
    casting.lines.iter().all(|line| !line.overfull && is_even(line))
        && casting.lines.last().is_some_and(|last| !lone(last))
}

/// The best way to break a score into lines. `indents` are the widths left of
/// the staff on the first line and on later ones; bars of which `begins` is
/// true begin a line.
pub fn best(
    rooms: &[BarRoom],
    style: &Style,
    indents: (f64, f64),
    begins: &dyn Fn(usize) -> bool,
) -> Casting {
    let caster = Caster::new(rooms, style, indents);
    let none = Casting { lines: Vec::new(), cost: Cost::default() };
    Fitting::new(&caster, rooms.len(), begins).best().unwrap_or(none)
}

/// Every line that fits: filled, and those that may be ragged as narrow as they
/// should be.
pub fn every(rooms: &[BarRoom], style: &Style, indents: (f64, f64)) -> Vec<Line> {
    let caster = Caster::new(rooms, style, indents);
    let lines = Fitting::new(&caster, rooms.len(), &|_| false).lines;
    let narrow = |line: Line| match line.ragged {
        Some(_) => Line { stretch: NARROW, ..line },
        None => line,
    };
    lines.into_iter().flatten().map(|(line, _)| narrow(line)).collect()
}

/// The best way, then the best ways with other numbers of lines near its own,
/// so far as none of their lines is loose or cramped. Scores of very many bars
/// have but the best.
pub fn offers(
    rooms: &[BarRoom],
    style: &Style,
    indents: (f64, f64),
    begins: &dyn Fn(usize) -> bool,
) -> Vec<Casting> {
    let caster = Caster::new(rooms, style, indents);
    let fitting = Fitting::new(&caster, rooms.len(), begins);
    let Some(best) = fitting.best() else { return Vec::new() };
    let mut castings = Vec::new();
    let count = best.lines.len();
    if rooms.len() <= OFFERED {
        castings = fitting.good().counted(count.saturating_sub(FEWER)..=count + MORE);
        castings.retain(|casting| casting.lines.len() != count && offered(casting));
    }
    castings.insert(0, best);
    castings
}
