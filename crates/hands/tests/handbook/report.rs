//! The verdicts as a page to read.

use std::fmt::Write as _;

use apoyando_fingering::Term;
use apoyando_hands::Solution;
use apoyando_music::PartIndex;

use crate::judge::Verdict;
use crate::table::{Half, Row};

/// What the search writes for a row, voice by voice.
pub fn shown(row: &Row, verdict: &Verdict) -> String {
    let tones = row.score.tones(PartIndex(0));
    let mut text = String::new();
    for voice in 1..=2 {
        let mut before = None;
        for tone in tones.as_slice().iter().filter(|t| t.voice.0 == voice) {
            let played = verdict.best.fingering.tone(tone.id);
            if before.is_none() && voice == 2 {
                text += " //";
            }
            text.push(if before == Some(tone.onset) { '+' } else { ' ' });
            before = Some(tone.onset);
            match played.left {
                None => text.push('—'),
                Some(left) => {
                    let _ = write!(text, "{}", left.place);
                    if let Some(finger) = left.finger {
                        let _ = write!(text, "/{finger}");
                    }
                }
            }
            if !row.plucked.is_empty() {
                text.push(played.right.map_or('—', |right| right.letter()));
            }
        }
    }
    text.trim_start().to_owned()
}

/// By which terms the best accepted way is dearer than what is written, and by
/// which cheaper.
fn dearer(verdict: &Verdict) -> String {
    let Some(inside) = verdict.inside.iter().flatten().min_by_key(|inside| inside.fingering.price)
    else {
        return "the model forbids it".to_owned();
    };
    let mut words = Vec::new();
    for info in Term::ALL {
        let sum = |solution: &Solution| -> i64 {
            let own = solution.fingering.items.iter().filter(|item| item.term == info.term);
            own.map(|item| item.amount).sum()
        };
        let more = sum(inside) - sum(&verdict.best);
        if more != 0 {
            words.push(format!("{} {more:+}", info.name));
        }
    }
    words.join(", ")
}

/// How many of a half pass, and how many there are.
pub fn passed(rows: &[Row], verdicts: &[Verdict], half: Half) -> (usize, usize) {
    let own = rows.iter().zip(verdicts).filter(|(row, _)| row.half() == half);
    (own.clone().filter(|(_, verdict)| verdict.passes).count(), own.count())
}

/// Every row with its verdict, what is written where it fails, and how many of
/// each half pass. The margin is by how much the best accepted way is cheaper
/// than the best other one.
pub fn page(rows: &[Row], verdicts: &[Verdict]) -> String {
    let mut page = String::from(" row  half    verdict  margin  what\n");
    for (row, verdict) in rows.iter().zip(verdicts) {
        let word = if verdict.passes { "passes" } else { "FAILS" };
        let margin = match verdict.margin() {
            Some(margin) => margin.to_string(),
            None if verdict.inside.iter().flatten().next().is_some() => "alone".to_owned(),
            None if row.accepted.is_empty() => "–".to_owned(),
            None => "never".to_owned(),
        };
        let half = row.half().name();
        let _ =
            writeln!(page, "{:>4}  {half:<6}  {word:<7}  {margin:>6}  {}", row.number, row.name);
        if !verdict.passes {
            let _ = writeln!(page, "      written: {}", shown(row, verdict));
            let _ = writeln!(page, "      dearer:  {}", dearer(verdict));
            let _ = writeln!(page, "      because: {}", row.fails.as_deref().unwrap_or("?"));
        }
    }
    for half in [Half::Tune, Half::Report] {
        let (passed, all) = passed(rows, verdicts, half);
        let _ = writeln!(page, "{}: {passed} of {all} pass", half.name());
    }
    page
}
