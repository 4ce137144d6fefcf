//! What the fingering of an item asks to be prepared, as it is printed.

use apoyando_fingering::{EffortTable, Problem};
use apoyando_fretboard::Instrument;
use apoyando_method::prepare;
use apoyando_music::Score;

use crate::piece::{FingeredPart, part_name};

/// A paragraph for every part that has anything to prepare; in scores of
/// several parts it begins with the name of the part.
pub fn in_brief(
    score: &Score,
    instrument: &Instrument,
    effort: &EffortTable,
    parts: &[FingeredPart],
) -> Vec<String> {
    let mut paragraphs = Vec::new();
    for fingered in parts {
        let Some(fingering) = &fingered.fingering else { continue };
        let (part, request) = (fingered.part, &fingered.request);
        let problem = Problem {
            score,
            part,
            instrument,
            level: &request.level,
            pins: &request.pins,
            effort,
            house: &request.house,
        };
        let Ok(preparation) = prepare(&problem, &request.right, fingering) else { continue };
        let said = preparation.in_brief();
        if said.is_empty() {
            continue;
        }
        let whose = match score.parts().len() {
            0 | 1 => String::new(),
            _ => format!("{}: ", part_name(score, part)),
        };
        paragraphs.push(format!("{whose}{}", said.join(" ")));
    }
    paragraphs
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::{HouseStyle, Level, Pins};
    use apoyando_hands::RightPlan;
    use apoyando_music::{
        Base, Draft, DraftBar, DraftEvent, DraftPart, KeySignature, Metre, NoteValue, Pitch,
    };

    use super::*;
    use crate::piece::{PartRequest, finger};

    /// Two bars of chords for each name; the second is F with its barre.
    fn chords(names: &[&str]) -> Score {
        let event = |chord: &str| {
            let pitches: Vec<Pitch> = chord.split(' ').map(|p| p.parse().unwrap()).collect();
            vec![DraftEvent::notes(NoteValue::plain(Base::Whole), &pitches)]
        };
        let bars = (1..=2).map(|n| DraftBar::new(n, Metre::COMMON, KeySignature::NONE)).collect();
        let parts = names
            .iter()
            .map(|name| {
                let mut part = DraftPart::guitar((*name).to_owned());
                part.voices.push(vec![event("C3 E3 G3 C4 E4"), event("F2 C3 F3 A3 C4 F4")]);
                part
            })
            .collect();
        Score::assemble(Draft { bars, parts, ..Draft::default() }).unwrap()
    }

    fn said(names: &[&str]) -> Vec<String> {
        let (score, instrument) = (chords(names), Instrument::guitar());
        let effort = EffortTable::default();
        let request = PartRequest {
            level: Level::open(),
            pins: Pins::default(),
            right: RightPlan::default(),
            house: HouseStyle::NONE,
            like_bars: false,
        };
        let parts = finger(&score, &instrument, &effort, vec![request; names.len()]);
        in_brief(&score, &instrument, &effort, &parts)
    }

    /// Common practice, no source: what is hard in C and F is the full barre.
    #[test]
    fn a_solo_is_told_without_a_name_and_a_duet_with_names() {
        let solo = said(&[""]);
        let [solo] = &solo[..] else { panic!("{solo:?}") };
        assert!(solo.starts_with("Bar 2 is the hardest: it asks for a barre"), "{solo}");
        assert!(solo.ends_with("a full barre at fret 1 over ⑥ to ①."), "{solo}");
        assert_eq!(said(&["", "Teacher"]), [format!("part 1: {solo}"), format!("Teacher: {solo}")]);
    }
}
