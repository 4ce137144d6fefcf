//! Fingering marks of a file as imported pins.

use std::collections::BTreeMap;

use apoyando_fingering::{
    FretSet, LeftFingerSet, Pin, PinAuthor, PinRule, Pins, RightFingerSet, Scope, Severity,
    StringSet,
};
use apoyando_music::{Score, ToneId};

use super::HandBars;
use crate::report::Report;
use crate::rough::HandMarks;

/// One list of pins per part; `hands` are per part and voice.
pub(super) fn import(score: &Score, hands: &[Vec<HandBars>], report: &mut Report) -> Vec<Pins> {
    score
        .part_indices()
        .zip(hands)
        .map(|(part, voices)| {
            let tones = score.tones(part);
            let mut marks: BTreeMap<ToneId, HandMarks> = BTreeMap::new();
            for (voice, bars) in score.part(part).voices.iter().zip(voices) {
                for (index, (bar, hands)) in voice.bars.iter().zip(bars).enumerate() {
                    report.bar = Some(index);
                    let pairs = bar.iter().zip(hands);
                    for (event, (pitch, hand)) in
                        pairs.flat_map(|(event, hands)| hands.iter().map(move |h| (event, h)))
                    {
                        let note = event.notes().iter().find(|id| score.note(**id).pitch == *pitch);
                        if let Some(tone) = note.and_then(|note| tones.of_note(*note)) {
                            join(marks.entry(tone).or_default(), hand, report);
                        }
                    }
                }
            }
            for (tone, hand) in &mut marks {
                let open = hand.left == Some(None);
                let contradicts = match hand.fret {
                    Some(fret) => hand.left.is_some() && open != fret.is_open(),
                    None => false,
                };
                if contradicts {
                    hand.left = None;
                    report.bar = Some(score.note(tones.get(*tone).head()).bar.0 as usize);
                    report.line = None;
                    report.add(
                        Severity::Warning,
                        "fingering-contradicts",
                        "the finger of a note does not go with its fret; the fret is read"
                            .to_owned(),
                        None,
                    );
                }
            }
            Pins(marks.into_iter().flat_map(|(tone, hand)| pins_of(tone, hand)).collect())
        })
        .collect()
}

/// Marks on the notes of one tone: the first one holds.
fn join(marks: &mut HandMarks, other: &HandMarks, report: &mut Report) {
    let before = *marks;
    marks.string = marks.string.or(other.string);
    marks.fret = marks.fret.or(other.fret);
    marks.left = marks.left.or(other.left);
    marks.second = marks.second.or(other.second);
    marks.right = marks.right.or(other.right);
    let differs = other.string.is_some_and(|string| before.string.is_some_and(|b| b != string))
        || other.fret.is_some_and(|fret| before.fret.is_some_and(|b| b != fret))
        || other.left.is_some_and(|left| before.left.is_some_and(|b| b != left))
        || other.second.is_some_and(|second| before.second.is_some_and(|b| b != second))
        || other.right.is_some_and(|right| before.right.is_some_and(|b| b != right));
    if differs {
        report.line = None;
        report.add(
            Severity::Warning,
            "fingering-contradicts",
            "tied notes carry different fingering marks; the first one is read".to_owned(),
            None,
        );
    }
}

fn pins_of(tone: ToneId, hand: HandMarks) -> impl Iterator<Item = Pin> {
    let string = hand.string.map(|string| PinRule::Strings(StringSet::NONE.with(string)));
    let fret = hand.fret.map(|fret| PinRule::Frets(FretSet::NONE.with(fret)));
    let left = hand.left.map(|left| PinRule::LeftFingers(LeftFingerSet::NONE.with(left)));
    let second = hand.second.map(|second| LeftFingerSet::NONE.with(Some(second)));
    let second = second.map(PinRule::SecondFingers);
    let right = hand.right.map(|right| PinRule::RightFingers(RightFingerSet::NONE.with(right)));
    [string, fret, left, second, right].into_iter().flatten().map(move |rule| Pin {
        scope: Scope::Tone(tone),
        rule,
        author: PinAuthor::Import,
    })
}
