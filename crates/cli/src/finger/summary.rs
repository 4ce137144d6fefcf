//! What a fingering asks of the hand, in a few lines.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_fingering::{Barre, EffortItem, Fingering, Shift, Term};
use apoyando_music::{Moment, Pitch, Score, ToneId};
use apoyando_workshop::piece::FingeredPart;

/// Bar and beat: `3:2½`.
pub fn place(score: &Score, at: Moment) -> String {
    let (bar, beat) = score.bar_and_beat(at);
    format!("{bar}:{beat}")
}

/// Appends positions, shifts, reaches away from the position, shifts over a repeat,
/// barres, what is let go or left out, and the effort.
pub fn write(text: &mut String, score: &Score, part: &FingeredPart, fingering: &Fingering) {
    let list = |text: &mut String, name: &str, items: Vec<String>| {
        let said = if items.is_empty() { "none".to_owned() } else { items.join(", ") };
        let _ = writeln!(text, "  {name:<10} {said}");
    };
    let positions = fingering.positions.iter().map(|span| {
        format!("{} {}–{}", span.position, place(score, span.from), place(score, span.to))
    });
    list(text, "positions", positions.collect());
    let shifts = fingering
        .shifts
        .iter()
        .map(|shift| format!("{} {}", place(score, shift.at), shift_in_words(shift)));
    list(text, "shifts", shifts.collect());
    let listed = |text: &mut String, name: &str, items: Vec<String>| {
        if !items.is_empty() {
            list(text, name, items);
        }
    };
    let reaches = fingering.hops.iter().map(|span| {
        format!("{} {}–{}", span.position, place(score, span.from), place(score, span.to))
    });
    listed(text, "reaches", reaches.collect());
    let ways_back = fingering.seams.iter().filter_map(|seam| {
        let (from, to) = seam.shift?;
        Some(format!("{}→{} {from}→{to}", place(score, seam.from), place(score, seam.to)))
    });
    listed(text, "ways back", ways_back.collect());
    let barres = fingering.barres.iter().map(|span| {
        let (from, to) = (place(score, span.from), place(score, span.to));
        format!("{} {from}–{to}", barre_in_words(span.barre))
    });
    list(text, "barres", barres.collect());
    let tones = score.tones(part.part);
    let pitch = |tone: ToneId| written(score, part, tones.get(tone).pitch);
    let let_go = fingering.let_go.iter().map(|gone| {
        let what = if gone.written { "" } else { " (ringing)" };
        format!("{} at {}{what}", pitch(gone.tone), place(score, gone.at))
    });
    list(text, "let go", let_go.collect());
    let left_out = tones
        .as_slice()
        .iter()
        .zip(&fingering.tones)
        .filter(|(_, how)| how.left.is_none())
        .map(|(tone, _)| format!("{} at {}", pitch(tone.id), place(score, tone.onset)));
    let left_out: Vec<String> = left_out.collect();
    listed(text, "left out", left_out);
    let price = fingering.price;
    let _ = write!(text, "  {:<10} {}", "effort", price.effort);
    if price.broken > 0 {
        let rules = if price.broken == 1 { "rule" } else { "rules" };
        let _ = write!(text, ", {} {rules} broken", price.broken);
    }
    text.push('\n');
    for Sum { term, times, amount } in sums(&fingering.items) {
        let info = term.info();
        let name = info.name.replace('_', " ");
        // The first thought of the reason is enough for a line.
        let why = info.why.split([';', '.']).next().unwrap_or_default();
        let _ = writeln!(text, "{amount:>17}  {name:<12} {times:>3} ×  {why}");
    }
}

/// What a term comes to.
pub struct Sum {
    /// The term.
    pub term: Term,
    /// At how many places it is charged.
    pub times: usize,
    /// What it comes to; discounts are negative.
    pub amount: i64,
}

/// What the effort is made of, the dearest first.
pub fn sums(items: &[EffortItem]) -> Vec<Sum> {
    let mut sums: BTreeMap<Term, (usize, i64)> = BTreeMap::new();
    for item in items.iter().filter(|item| item.amount != 0) {
        let (times, amount) = sums.entry(item.term).or_default();
        *times += 1;
        *amount += item.amount;
    }
    let mut sums: Vec<Sum> =
        sums.into_iter().map(|(term, (times, amount))| Sum { term, times, amount }).collect();
    sums.sort_by_key(|sum| (-sum.amount.abs(), sum.term));
    sums
}

/// A pitch as players read it.
pub fn written(score: &Score, part: &FingeredPart, pitch: Pitch) -> Pitch {
    pitch.up_octaves(score.part(part.part).clef.octaves_up())
}

/// `I→IV (guide finger 1 on ②)`.
pub fn shift_in_words(shift: &Shift) -> String {
    let help = match (shift.guide, shift.pivot, shift.over_open) {
        (Some((finger, string)), ..) => format!(" (guide finger {finger} on {string})"),
        (_, Some((finger, string)), _) => format!(" (pivot finger {finger} on {string})"),
        (_, _, true) => " (over an open string)".to_owned(),
        _ => String::new(),
    };
    format!("{}→{}{help}", shift.from, shift.to)
}

/// `fret 1 ①–⑥`.
pub fn barre_in_words(barre: Barre) -> String {
    format!("fret {} {}–{}", barre.fret, barre.thin, barre.thick)
}
