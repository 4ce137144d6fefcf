//! Lyrics under a staff, outside of everything else: a row for every verse, hyphens
//! between syllables and lines after words that are held.
//!
//! Hyphens and lines go on over line breaks.

use apoyando_music::Sung;

use super::line::Line;
use crate::Sheet;
use crate::drawing::{Face, Kind, Stain};
use crate::font;
use crate::geometry::Stage;
use crate::notate::Staff;
use crate::notate::loudness::HALF_HEAD;
use crate::notate::lyrics::{Item, Row, SIZE};
use crate::place::{Frame, ink};
use crate::style::Style;

/// Clear space to the ink above. House.
const CLEAR: f64 = 0.6;
/// Nearest baseline of the first row, below the middle line. House.
const NEAREST: f64 = 5.0;
/// Distance of the baselines, to the em. House.
const LEADING: f64 = 1.2;
/// Where the letters of the face rise highest, to the em.
const RISE: f64 = 0.75;
/// Hyphens of a long gap stand about so far apart. House.
const HYPHENS: f64 = 11.0;
/// Clear space beside hyphens and lines. House.
const BESIDE: f64 = 0.25;
/// The line of a held word: its thickness, and what is shorter is left out. House.
const STROKE: f64 = 0.13;
const SHORTEST: f64 = 0.8;
/// How far before the music of a line hyphens and lines that go on begin. House.
const BEFORE: f64 = 1.5;

/// Letters and strokes of a row on a line, about its baseline.
#[derive(Default)]
struct Written {
    stains: Vec<Stain>,
    /// Left, right and upper sides of its letters and strokes.
    sides: Vec<(f64, f64, f64)>,
}

/// Draws the lyrics of a staff.
pub fn draw(stage: &mut Stage, sheet: &Sheet<'_>, style: &Style, frame: &Frame, staff: &Staff) {
    if staff.lyrics.is_empty() {
        return;
    }
    let line = Line::of(sheet, style, frame);
    let em = style.em(SIZE);
    let rows: Vec<Written> = staff.lyrics.iter().map(|row| write(row, &line, em)).collect();
    // All rows keep their distance; none touches what is above.
    let nearest = rows.iter().zip(0u8..).flat_map(|(row, number)| {
        let down = f64::from(number) * LEADING * em;
        let stage = &*stage;
        row.sides.iter().map(move |(left, right, high)| {
            stage.below.reach(left - CLEAR, right + CLEAR) + CLEAR + high - down
        })
    });
    let first = nearest.fold(NEAREST, f64::max);
    for (row, number) in rows.into_iter().zip(0u8..) {
        let baseline = -first - f64::from(number) * LEADING * em;
        for stain in row.stains {
            stage.add(stain.moved(0.0, baseline));
        }
    }
}

/// A syllable or the end of what is held, on its line.
struct Spot<'a> {
    item: &'a Item,
    left: f64,
    right: f64,
}

/// A row on a line.
fn write(row: &Row, line: &Line<'_>, em: f64) -> Written {
    let from = row.0.partition_point(|item| item.at < line.from);
    let until = row.0.partition_point(|item| item.at < line.until);
    let spots: Vec<Spot<'_>> = row.0[from..until].iter().map(|i| spot(i, line, em)).collect();
    let mut out = Written::default();
    for spot in &spots {
        if let Sung::Syllable { text, .. } = &spot.item.sung {
            let at = (spot.left, 0.0);
            let owner = line.owner(spot.item.at);
            out.stains.push(ink::text(text, Face::Regular, em, at, Kind::Lyric, owner));
            out.sides.push((spot.left, spot.right, RISE * em));
        }
    }
    // The syllable that sounds when the line begins.
    let is_syllable = |item: &&Item| matches!(item.sung, Sung::Syllable { .. });
    let mut sounding = row.0[..from].iter().rfind(is_syllable);
    let start = line.frame.music - BEFORE;
    let mut end = start.max(line.frame.left);
    // Where the last note ends that it is held over.
    let mut held_to = None;
    for spot in &spots {
        match spot.item.sung {
            Sung::Held => held_to = Some(spot.right),
            Sung::Syllable { .. } => {
                if let Some(item) = sounding {
                    join(&mut out, item, (end, spot.left), held_to, line, em);
                }
                (sounding, end, held_to) = (Some(spot.item), spot.right, None);
            }
        }
    }
    if let Some(item) = sounding {
        let goes_on = matches!(item.sung, Sung::Syllable { goes_on: true, .. });
        let next = row.0.get(until);
        let over = next.is_some_and(|next| next.sung == Sung::Held);
        let right = line.right();
        if goes_on && next.is_some() {
            join(&mut out, item, (end, right), held_to, line, em);
        } else if !goes_on {
            let to = if over { Some(right) } else { held_to };
            join(&mut out, item, (end, right + BESIDE), to, line, em);
        }
    }
    out
}

fn spot<'a>(item: &'a Item, line: &Line<'_>, em: f64) -> Spot<'a> {
    let x = line.x(item.at);
    match item.syllable(em) {
        Some(syllable) => {
            // In a line pressed together nothing leans out.
            let most = (line.frame.right - syllable.width).max(line.frame.left);
            let left = (x + syllable.left).clamp(line.frame.left, most);
            Spot { item, left, right: left + syllable.width }
        }
        None => Spot { item, left: x, right: x + 2.0 * HALF_HEAD },
    }
}

/// What stands between a syllable and the next: hyphens within a word, or a line to
/// where it is held.
fn join(
    out: &mut Written,
    item: &Item,
    (left, right): (f64, f64),
    held_to: Option<f64>,
    line: &Line<'_>,
    em: f64,
) {
    let owner = line.owner(item.at.max(line.from));
    if matches!(item.sung, Sung::Syllable { goes_on: true, .. }) {
        let width = font::text_width(Face::Regular, em, "-");
        let gap = right - left;
        if gap < width {
            return;
        }
        let count = ((gap / HYPHENS).round().clamp(1.0, 100.0)) as u32;
        for number in 0..count {
            let middle = left + gap * (f64::from(number) + 0.5) / f64::from(count);
            let at = (middle - width / 2.0, 0.0);
            out.stains.push(ink::text("-", Face::Regular, em, at, Kind::Lyric, owner));
            out.sides.push((at.0, at.0 + width, 0.7 * em));
        }
    } else if let Some(to) = held_to {
        let (from, to) = (left + BESIDE, to.min(right - BESIDE));
        if to - from >= SHORTEST {
            let y = STROKE / 2.0;
            out.stains.push(ink::line((from, y), (to, y), STROKE, Kind::LyricLine, owner));
            out.sides.push((from, to, STROKE));
        }
    }
}
