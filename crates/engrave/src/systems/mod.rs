//! Staves put together to systems, and what stands outside the fingering:
//! dynamics, words, lyrics, rehearsal letters, endings, tempo marks, bar numbers, part names.

mod dashes;
mod dynamics;
mod expressions;
mod hairpins;
mod joints;
mod letters;
mod line;
mod lines;
mod lyrics;
mod names;
mod ossias;
mod outside;
mod rehearsal;
mod signs;
mod smaller;
mod words;

use std::sync::Arc;

use apoyando_fingering::{Finding, FindingPlace, Severity};
use apoyando_music::{PartIndex, Score};

use lines::Joined;

use crate::cast::{self, Casting, Cost, Line};
use crate::drawing::{Drawing, Ink, Outline, Point, StaffSpaces, Stain};
use crate::fingers;
use crate::geometry::{Rect, Stage, bounds};
use crate::notate::{Staff, notate};
use crate::place::Frame;
use crate::sheet::{Engraving, Offer, Sheet, System};
use crate::style::{Print, Style};
use crate::tablature::{self, Under};
use crate::{leisure, place, space};

/// Clear distance of the ink of two staves of a system.
const STAVES_CLEAR: f64 = 1.5;
/// The same in large print, where letters and digits stand high over their staff: they are
/// not to be read as those of the staff above.
const LARGE_STAVES_CLEAR: f64 = 2.75;

/// Engraves a sheet: one drawing for every line of music.
#[must_use]
pub fn engrave(sheet: &Sheet<'_>, style: &Style) -> Engraving {
    let best = |bars: &Joined, style: &Style, indents| {
        vec![cast::best(&bars.rooms, style, indents, &|_| false)]
    };
    let mut engraving = engraved(sheet, style, best);
    let best = engraving.offers.pop().map(|offer| offer.systems);
    engraving.systems = best.unwrap_or_default().into_iter().map(Arc::unwrap_or_clone).collect();
    engraving
}

/// Engraves a sheet with sets of lines to choose from where pages are to be
/// filled: the best, then the best with a line less and up to two more, so far
/// as no line of them is loose or cramped and the last has two bars. The bars
/// in `begins`, by their index, begin a line in all of them.
#[must_use]
pub fn engrave_for_pages(sheet: &Sheet<'_>, style: &Style, begins: &[u32]) -> Engraving {
    let offers = |bars: &Joined, style: &Style, indents| {
        let begins = |index| begins.contains(&(bars.bar(index) as u32));
        cast::offers(&bars.rooms, style, indents, &begins)
    };
    let mut engraving = engraved(sheet, style, offers);
    let best = engraving.offers.first();
    engraving.systems = best
        .map(|best| best.systems.iter().map(|system| System::clone(system)).collect())
        .unwrap_or_default();
    engraving
}

/// Every line that could stand anywhere, to see what could have been: all bars
/// that fit beside one another, filled, and single ones that do not fit, pressed
/// together. The last lines of all that may be ragged follow once more, as
/// narrow as they should be.
#[must_use]
pub fn every_line(sheet: &Sheet<'_>, style: &Style) -> Vec<System> {
    let every = |bars: &Joined, style: &Style, indents| {
        let casting = |line| Casting { lines: vec![line], cost: Cost::default() };
        cast::every(&bars.rooms, style, indents).into_iter().map(casting).collect()
    };
    let offers = engraved(sheet, style, every).offers.into_iter();
    offers.flat_map(|offer| offer.systems).map(Arc::unwrap_or_clone).collect()
}

/// The castings drawn, each line once; findings are about the first of them.
fn engraved(
    sheet: &Sheet<'_>,
    style: &Style,
    castings: impl Fn(&Joined, &Style, (f64, f64)) -> Vec<Casting>,
) -> Engraving {
    let score = sheet.score;
    if score.bars().is_empty() || score.parts().is_empty() {
        return Engraving::default();
    }
    let style = &style.sound();
    let wishes = fingers::request(sheet, style);
    let mut staves = notate(sheet, style, &wishes);
    tablature::request(sheet, style, &mut staves);
    let mut rooms = space::rooms(score, &staves, style);
    space::keep_apart(&mut rooms, score, wishes.apart());
    let free_beats = leisure::free_beats(sheet);
    let mut out = Engraving::default();
    let mut drawn: Vec<(Line, Arc<System>)> = Vec::new();
    let joined = Joined::of(&rooms);
    // Of several places for the names that of which the best lines cost less, or the first.
    let dearer = |(_, one): &(_, Vec<Casting>), (_, other): &(_, Vec<Casting>)| {
        let cost = |castings: &[Casting]| castings.first().map_or(Cost::NEVER, |it| it.cost);
        cost(one).order(&cost(other))
    };
    let offered = names::ways(score, style).iter().map(|named| {
        let indents = names::indents(*named, score, style);
        ((*named, indents), castings(&joined, style, indents))
    });
    let Some(((named, indents), castings)) = offered.min_by(dearer) else { return out };
    for (nth, casting) in castings.into_iter().enumerate() {
        let systems = casting.lines.into_iter().map(|line| {
            let line = joined.apart(line);
            if let Some((_, system)) = drawn.iter().find(|(other, _)| line.is_set_as(other)) {
                return Arc::clone(system);
            }
            let left = if line.bars.start == 0 { indents.0 } else { indents.1 };
            let frame = Frame { named, ..place::frame(score, &rooms, style, &line, left) };
            if frame.squeezed && nth == 0 {
                out.findings.push(squeezed(score, line.bars.start));
            }
            let system = Arc::new(System {
                drawing: draw(sheet, style, &frame, &staves),
                bars: line.bars.start as u32..line.bars.end as u32,
                stretch: line.shown,
                phrased: line.phrased,
                free_beats: free_beats[line.bars.end - 1],
            });
            drawn.push((line, Arc::clone(&system)));
            system
        });
        let systems = systems.collect();
        // What is noticed is the least in the best, the sum need not be.
        let least = out.offers.first().map_or(f64::MIN, |best| best.cost);
        out.offers.push(Offer { cost: casting.cost.sum().max(least), systems });
    }
    out
}

/// One line of music.
fn draw(sheet: &Sheet<'_>, style: &Style, frame: &Frame, staves: &[Staff]) -> Drawing {
    let score = sheet.score;
    let joined = staves.len() > 1;
    let rows = staves
        .iter()
        .enumerate()
        .flat_map(|(index, staff)| rows(sheet, style, frame, staff, (index == 0, joined)))
        .collect();
    assemble(score, style, frame, staves, rows)
}

fn squeezed(score: &Score, bar: usize) -> Finding {
    Finding {
        rule: "bar-too-wide",
        severity: Severity::Warning,
        place: FindingPlace { bar: Some(score.bars()[bar].number), ..FindingPlace::default() },
        message: "the bar is wider than the line and was pressed together".to_owned(),
        remedy: Some("use a smaller staff, a wider page, or split the bar".to_owned()),
        remedies: Vec::new(),
    }
}

/// A staff of a system: notation, or tablature under it or alone.
struct Row {
    stage: Stage,
    /// From its middle to the ends of its barlines.
    half: f64,
    /// The least clear distance from the staff above.
    gap: f64,
}

/// The staff of a part, the first of all or not, joined to others or not, with its
/// tablature. Tablature alone is as large as it is: its figures are to be read.
fn rows(
    sheet: &Sheet<'_>,
    style: &Style,
    frame: &Frame,
    staff: &Staff,
    first: (bool, bool),
) -> Vec<Row> {
    let size = style.size_of(staff.part);
    if size < 1.0 && staff.strings.is_none() {
        let large = smaller::enlarged(frame, size);
        let rows = usual_rows(sheet, &style.smaller(size), &large, staff, first);
        let fretting = sheet.fretting_of(staff.part);
        let small = |(nth, row): (usize, Row)| Row {
            stage: match fretting {
                Some(fretting) if nth > 0 => {
                    smaller::tablature(&row.stage, fretting.thickest, frame, (style, size))
                }
                _ => {
                    let here = (staff, frame);
                    smaller::notation(&row.stage, sheet.score, here, (style, size))
                }
            },
            half: row.half * size,
            gap: if nth == 0 { row.gap } else { row.gap * size },
        };
        return rows.into_iter().enumerate().map(small).collect();
    }
    usual_rows(sheet, style, frame, staff, first)
}

fn usual_rows(
    sheet: &Sheet<'_>,
    style: &Style,
    frame: &Frame,
    staff: &Staff,
    (first, joined): (bool, bool),
) -> Vec<Row> {
    let mut stage = tablature::stage(sheet, style, staff, frame);
    fingers::place(sheet, style, &mut stage);
    dynamics::draw(&mut stage, sheet, style, frame);
    expressions::draw(&mut stage, sheet, style, frame);
    lyrics::draw(&mut stage, sheet, style, frame, staff);
    ossias::draw(&mut stage, sheet, style, frame, staff);
    if joined {
        names::over(&mut stage, sheet.score, staff, frame);
    }
    if first {
        if let (Some(thickest), true) = (staff.strings, joined) {
            // What stands over five lines keeps clear of the bracket by its own height.
            let high = joints::bracket_high(tablature::barline_half(thickest));
            stage.above.add(Rect::new(0.0, 0.0, frame.left + joints::BRACKET_SERIF, high));
        }
        outside::draw(&mut stage, sheet.score, style, frame);
    }
    let under = tablature::under(sheet, style, staff, frame, &stage);
    let half = staff.strings.map_or(2.0, tablature::barline_half);
    let mut rows = vec![Row { stage, half, gap: style.staff_gap.0 }];
    rows.extend(under.map(|Under { stage, half }| Row { stage, half, gap: tablature::GAP }));
    rows
}

/// Moves the staves to their heights and draws what joins them.
fn assemble(
    score: &Score,
    style: &Style,
    frame: &Frame,
    staves: &[Staff],
    rows: Vec<Row>,
) -> Drawing {
    let mut heights = vec![0.0];
    let clear = match style.print {
        Print::Usual => STAVES_CLEAR,
        Print::Large => LARGE_STAVES_CLEAR,
    };
    for pair in rows.windows(2) {
        let least = pair[1].gap + (pair[0].half + pair[1].half);
        let needed = pair[0].stage.below.distance_to(&pair[1].stage.above, clear);
        let above = heights[heights.len() - 1];
        heights.push(above - least.max(needed));
    }
    let mut stains: Vec<Stain> = Vec::new();
    joints::draw(&mut stains, frame, &rows, &heights);
    if staves.len() > 1 {
        stains.extend(staves.iter().filter_map(|staff| {
            names::beside(score, staff, frame, middle(staff.part, &rows, &heights))
        }));
    }
    for (row, y) in rows.into_iter().zip(&heights) {
        stains.extend(row.stage.stains.into_iter().map(|stain| raised(stain, *y)));
    }
    let description = words::describe(score, frame);
    boxed(stains, style.line_width.0, description)
}

/// Middle of the staves of a part.
fn middle(part: PartIndex, rows: &[Row], heights: &[f64]) -> f64 {
    let own = || rows.iter().zip(heights).filter(|(row, _)| row.stage.part == part);
    let high = own().map(|(row, y)| y + row.half).fold(f64::MIN, f64::max);
    let low = own().map(|(row, y)| y - row.half).fold(f64::MAX, f64::min);
    f64::midpoint(low, high)
}

/// The drawing whose box holds all the ink.
fn boxed(mut stains: Vec<Stain>, line_width: f64, description: String) -> Drawing {
    let all = stains.iter().map(|stain| bounds(&stain.ink)).fold(Rect::EMPTY, Rect::join);
    // What leans out to the left moves everything to the right.
    if all.left < 0.0 && all.left > -line_width {
        for stain in &mut stains {
            *stain = moved(stain.clone(), -all.left, 0.0);
        }
    }
    let right = all.right - all.left.min(0.0);
    Drawing {
        stains,
        width: StaffSpaces(right.max(line_width)),
        above: StaffSpaces(all.high.max(2.065)),
        below: StaffSpaces((-all.low).max(2.065)),
        description,
    }
}

/// A stain on a staff whose middle line lies at `y`.
fn raised(stain: Stain, y: f64) -> Stain {
    if y == 0.0 { stain } else { moved(stain, 0.0, y) }
}

/// A stain moved.
fn moved(mut stain: Stain, x: f64, y: f64) -> Stain {
    let shift = |point: &mut Point| {
        point.x += StaffSpaces(x);
        point.y += StaffSpaces(y);
    };
    match &mut stain.ink {
        Ink::Glyph { at, .. } | Ink::Text { at, .. } => shift(at),
        Ink::Line { from, to, .. } => {
            shift(from);
            shift(to);
        }
        Ink::Shape(outline) => {
            for step in outline {
                match step {
                    Outline::Move(to) | Outline::Line(to) => shift(to),
                    Outline::Curve(one, two, end) => {
                        shift(one);
                        shift(two);
                        shift(end);
                    }
                    Outline::Close => {}
                }
            }
        }
        Ink::Circle { centre, .. } => shift(centre),
        Ink::Halo { low, high } => {
            shift(low);
            shift(high);
        }
    }
    stain
}
