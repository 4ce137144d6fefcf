//! The tonic arpeggio with its shape.

use apoyando_fingering::{EffortTable, RightFinger};
use apoyando_hands::RightPlan;
use apoyando_marks::CaptionText;
use apoyando_music::{Degree, Mode};

use crate::bars::Bars;
use crate::broken::Breaking;
use crate::error::MethodError;
use crate::grip::{Grip, Hand};
use crate::ladder::ground;
use crate::progression::{inverted_finding, shapes};
use crate::setting::Setting;
use crate::voicing::{Voicing, effort_of_shapes};
use crate::written::Written;

/// How often the chord is broken before it is struck.
const TIMES: usize = 3;

/// Writes the tonic chord in the shape that lies best near the position,
/// broken over three bars by a right-hand pattern and struck at the end.
/// Without a pattern p i m a m i, p i m a or p i m is taken, whichever fills
/// the bar. The thumb takes the bass strings of the shape in turn.
///
/// # Errors
/// If the level allows no shape of the chord, the value does not go into the
/// bar, or the pattern is empty.
pub fn write(
    setting: &Setting<'_>,
    pattern: Option<&[RightFinger]>,
) -> Result<Written, MethodError> {
    ground(setting)?;
    let degree = tonic(setting.key.mode());
    let effort = effort_of_shapes();
    let (found, voicing) = shapes(setting, &effort, &[degree])?.remove(0);
    let breaking = Breaking::new(setting, pattern)?;
    let chord = voicing.struck(found.chord, setting.instrument);
    let shape = voicing.shape(found.chord.to_string());
    let mut bars = Bars::new(setting, "arpeggio", format!("Arpeggio of {}", setting.key))?;
    bars.caption(CaptionText::Diagram(shape.clone()));
    bars.caption(CaptionText::Degree(degree.to_string()));
    // The hand is where the lesson is, if the shape lies there.
    if lies_in_position(setting, &effort, &voicing) {
        bars.stay_in(setting.position);
    }
    let mut right = RightPlan::default();
    for turn in 0..TIMES {
        right.patterns.extend(breaking.play(&mut bars, (found.chord, &chord), turn)?);
    }
    let whole = bars.room();
    bars.play(&chord, whole)?;
    let mut written = bars.finish(right)?;
    written.advice.push(format!(
        "Put down the whole shape of {}, {}, before the first note, and leave it down until the last.",
        found.chord,
        shape.frets()
    ));
    written.findings.extend(inverted_finding(setting, degree, found, &voicing));
    Ok(written)
}

/// Whether a shape can be held as it is by a hand in the position of the exercise.
fn lies_in_position(setting: &Setting<'_>, effort: &EffortTable, voicing: &Voicing) -> bool {
    let hand = Hand { instrument: setting.instrument, level: setting.level, effort };
    let same = |grip: &Grip| {
        (grip.position, grip.barre) == (Some(setting.position), None)
            && grip.fingers == voicing.grip.fingers
    };
    voicing.grip.barre.is_none() && hand.grips(&voicing.frets).iter().any(same)
}

fn tonic(mode: Mode) -> Degree {
    match mode {
        Mode::Major => Degree::TONIC_MAJOR,
        Mode::Minor => Degree::TONIC_MINOR,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::{self, shown};
    use apoyando_fingering::{Level, PinRule, Position, PositionSet};
    use apoyando_fretboard::Instrument;
    use apoyando_music::{Base, Metre, NoteValue};

    /// Common practice, no source: D ④ ③ ② ① broken by p i m a.
    #[test]
    fn the_shape_is_broken_by_the_pattern() {
        let (guitar, level) = (Instrument::guitar(), Level::first());
        let written = write(&trial::setting("D major", 2, &guitar, &level), None).unwrap();
        assert!(shown(&written).starts_with("D4 A4 D5 F♯5 D4 A4 D5 F♯5"), "{}", shown(&written));
        assert_eq!(written.score.bars().len(), 4);
        assert_eq!(written.right.patterns.len(), 3);
    }

    /// Em 022000 in the first position, as a book has it: finger 1 is on fret 2, but the hand
    /// is where it was. The shape of F minor has a barre, and is where that is.
    #[test]
    fn the_hand_is_where_the_lesson_is() {
        let guitar = Instrument::guitar();
        let position = |key: &str, at: u8, level: &Level| {
            let written = write(&trial::setting(key, at, &guitar, level), None).unwrap();
            let positions = written.pins[0].0.iter().filter_map(|pin| match pin.rule {
                PinRule::Positions(set) => Some(set),
                _ => None,
            });
            positions.collect::<Vec<_>>()
        };
        let only = |at: u8| vec![PositionSet::NONE.with(Position::new(at).unwrap())];
        assert_eq!(position("E minor", 1, &Level::first()), only(1));
        assert_eq!(position("E minor", 2, &Level::first()), only(2));
        assert_eq!(position("F minor", 1, &Level::open()), []);
    }

    /// The thumb goes from bass to bass: C x32010 on ⑤, then ④.
    #[test]
    fn the_thumb_takes_the_basses_in_turn() {
        let (guitar, level) = (Instrument::guitar(), Level::first());
        let setting = Setting {
            metre: Metre::new(3, 4),
            value: NoteValue::plain(Base::Eighth),
            ..trial::setting("C major", 1, &guitar, &level)
        };
        let written = write(&setting, None).unwrap();
        assert!(
            shown(&written).starts_with("C4 G4 C5 E5 C5 G4 E4 G4 C5 E5 C5 G4 C4 G4"),
            "{}",
            shown(&written)
        );
    }

    #[test]
    fn a_pattern_that_cannot_be_played_is_refused() {
        let (guitar, level) = (Instrument::guitar(), Level::first());
        let setting = trial::setting("C major", 1, &guitar, &level);
        assert_eq!(write(&setting, Some(&[])), Err(MethodError::EmptyPattern));
        let setting = Setting { value: NoteValue::dotted(Base::Half), ..setting };
        assert!(matches!(write(&setting, None), Err(MethodError::ValueInMetre { .. })));
    }
}
