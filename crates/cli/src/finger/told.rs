//! Other ways, reasons and ways out for people.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_fingering::{Fingering, Placement, Scope, Term};
use apoyando_hands::{Alike, Change, Difference};
use apoyando_music::{Score, ToneId};
use apoyando_workshop::piece::FingeredPart;

use super::answers::{Answers, NoteAnswer, OtherWay, difference_in_words};
use super::summary::{place, written};

/// So many other ways are listed; the rest are counted. House: more than these
/// nobody weighs.
const LISTED: usize = 8;

/// Appends what was asked about a part.
pub fn write(
    text: &mut String,
    score: &Score,
    part: &FingeredPart,
    fingering: &Fingering,
    answers: &Answers,
) {
    let tones = score.tones(part.part);
    let note = |tone: ToneId| {
        let tone = tones.get(tone);
        format!("{} {}", place(score, tone.onset), written(score, part, tone.pitch))
    };
    like_bars(text, score, part);
    ways_out(text, answers);
    if let Some(preparation) = &answers.preparation {
        text.push_str("\n  to prepare\n");
        for sentence in preparation {
            let _ = writeln!(text, "    {sentence}");
        }
        if preparation.is_empty() {
            text.push_str("    nothing\n");
        }
    }
    let reasons: Vec<(&NoteAnswer, &str)> = answers
        .notes
        .iter()
        .filter_map(|answer| Some((answer, &*answer.reason.as_ref()?.sentence)))
        .collect();
    if !reasons.is_empty() {
        text.push_str("\n  reasons\n");
    }
    for (answer, sentence) in reasons {
        let played = fingering.tone(answer.tone).left.map(placement_in_words).unwrap_or_default();
        let _ = writeln!(text, "    {:<10} {played:<18} {sentence}", note(answer.tone));
    }
    for answer in &answers.notes {
        let Some(others) = &answer.others else { continue };
        let played = fingering.tone(answer.tone).left;
        let played = played.map_or("left out".to_owned(), placement_in_words);
        let _ = writeln!(text, "\n  other ways for {}, now {played}", note(answer.tone));
        list(text, others.len(), |index| note_line(&others[index]));
    }
    for answer in &answers.passages {
        let bars = match answer.bars {
            Scope::Bars { first, last } if first == last => {
                format!("bar {}", score.bar(first).number)
            }
            Scope::Bars { first, last } => {
                format!("bars {}–{}", score.bar(first).number, score.bar(last).number)
            }
            Scope::Tone(tone) => note(tone),
        };
        let _ = writeln!(text, "\n  other ways for {bars}");
        list(text, answer.others.len(), |index| {
            let other = &answer.others[index];
            let changes = pays_and_saves(other.changes.iter().copied());
            format!("+{:<5} {:<18} {changes}", other.more, other.otherwise.in_words())
        });
    }
}

/// What was done so that like bars are alike; where they are not is a finding.
fn like_bars(text: &mut String, score: &Score, part: &FingeredPart) {
    let made = part.likenesses.iter().filter(|like| matches!(like.outcome, Alike::Made(_)));
    let plucked = part.plucked_alike.iter().map(|like| like.sentence(score));
    let sentences: Vec<String> = made.map(|like| like.sentence(score)).chain(plucked).collect();
    if !sentences.is_empty() {
        text.push_str("\n  like bars\n");
    }
    for sentence in sentences {
        let _ = writeln!(text, "    {sentence}");
    }
}

/// What could be changed where notes are left out or rules broken.
fn ways_out(text: &mut String, answers: &Answers) {
    for spot in &answers.ways_out.spots {
        let _ =
            writeln!(text, "\n  ways out at {}:{}, where {}", spot.bar, spot.beat, spot.sentence);
        for way in spot.ways.iter().take(LISTED) {
            let _ = writeln!(text, "    {}", way.sentence);
        }
        match spot.ways.len() {
            0 => text.push_str("    none that is one change\n"),
            count if count > LISTED => {
                let _ = writeln!(text, "    and {} dearer", count - LISTED);
            }
            _ => {}
        }
    }
    match answers.ways_out.more {
        0 => {}
        1 => text
            .push_str("\n  1 more place where something is left out or broken was not looked at\n"),
        more => {
            let _ = writeln!(
                text,
                "\n  {more} more places where something is left out or broken were not looked at"
            );
        }
    }
    if let Some(error) = &answers.no_ways_out {
        let _ = writeln!(text, "\n  no ways out: {error}");
    }
}

fn list(text: &mut String, count: usize, line: impl Fn(usize) -> String) {
    for index in 0..count.min(LISTED) {
        let _ = writeln!(text, "    {}", line(index).trim_end());
    }
    if count == 0 {
        text.push_str("    none that leaves out no more and breaks no more rules\n");
    } else if count > LISTED {
        let _ = writeln!(text, "    and {} dearer", count - LISTED);
    }
}

fn note_line(other: &OtherWay) -> String {
    let mut what = difference_in_words(other.alternative.difference);
    // What the difference leaves open is said besides.
    match (other.alternative.difference, other.placement) {
        (Difference::Place(_), Some(Placement { finger: Some(finger), .. })) => {
            let _ = write!(what, " finger {finger}");
        }
        (Difference::Position(_), Some(placement)) => {
            let _ = write!(what, ", {}", placement_in_words(placement));
        }
        _ => {}
    }
    if let (false, Some(position)) =
        (matches!(other.alternative.difference, Difference::Position(_)), other.position)
    {
        let _ = write!(what, " in {position}");
    }
    let changes = pays_and_saves(sums(&other.changes));
    format!("+{:<5} {what:<33} {changes}", other.alternative.more)
}

/// `⑤ fret 3 finger 2`, `open ③`.
fn placement_in_words(placement: Placement) -> String {
    match placement.finger {
        None => format!("open {}", placement.place.string),
        Some(finger) => {
            format!("{} fret {} finger {finger}", placement.place.string, placement.place.fret)
        }
    }
}

fn sums(changes: &[Change]) -> impl Iterator<Item = (Term, i64)> + use<> {
    let mut sums: BTreeMap<Term, i64> = BTreeMap::new();
    for change in changes {
        *sums.entry(change.term).or_default() += change.amount;
    }
    sums.into_iter().filter(|(_, amount)| *amount != 0)
}

/// `pays shift 16, travel 4; saves stop 2`, the largest first.
fn pays_and_saves(changes: impl Iterator<Item = (Term, i64)>) -> String {
    let mut changes: Vec<(Term, i64)> = changes.collect();
    changes.sort_by_key(|(term, amount)| (-amount.abs(), *term));
    let named = |sign: i64| {
        let of_sign = changes.iter().filter(|(_, amount)| amount.signum() == sign);
        let named: Vec<String> = of_sign
            .map(|(term, amount)| {
                // To pay more of a discount is to lose it.
                let lost = if *term == Term::Ease && sign > 0 { "lost " } else { "" };
                format!("{lost}{} {}", term.info().name.replace('_', " "), amount.abs())
            })
            .collect();
        named.join(", ")
    };
    match (named(1), named(-1)) {
        (pays, saves) if pays.is_empty() && saves.is_empty() => "costs the same".to_owned(),
        (pays, saves) if saves.is_empty() => format!("pays {pays}"),
        (pays, saves) if pays.is_empty() => format!("saves {saves}"),
        (pays, saves) => format!("pays {pays}; saves {saves}"),
    }
}
