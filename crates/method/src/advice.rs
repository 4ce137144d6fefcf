//! Where on the neck a key lies best, and why.
//!
//! The questions, in order: is there a tonic octave; how many extensions over
//! the whole position; has finger 1 work; do the open strings belong to the
//! key; do I, IV and V go without barre. Positions are compared by the first
//! question on which they differ; where all are answered alike the lower one
//! is taken. The range that a position gains is told but does not decide, for
//! what is gained above is lost below. Common practice, no source.

use std::cmp::Reverse;

use apoyando_fingering::{BarreLimit, Level, Position, Shape};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{Degree, Direction, Key, Mode, NoteName, Pitch, Scale, ScaleKind};

use crate::ground::{Ground, Rung, octaves};
use crate::reasons;
use crate::voicing::{Search, Voicing, effort_of_shapes};

/// A scale note that a position reaches only with a finger outside its fret.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ExtensionNote {
    /// The sounding pitch.
    pub pitch: Pitch,
    /// Where it is reached.
    pub place: Place,
}

/// A key in one position. Minor keys are asked with their natural scale.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PositionReport {
    /// The position.
    pub position: Position,
    /// The lower tonics of the octaves that lie in it, sounding.
    pub octaves: Vec<Pitch>,
    /// Scale notes between the lowest and the highest that need an extension.
    pub extensions: Vec<ExtensionNote>,
    /// Scale notes under finger 1.
    pub finger_one: Vec<Place>,
    /// Open strings of the key that the position's scale uses.
    pub open_strings: Vec<StringNumber>,
    /// Lowest and highest note of the scale, sounding.
    pub range: Option<(Pitch, Pitch)>,
    /// I, IV and V (i, iv and V) with the shape that holds them in this
    /// position without a barre, if there is one.
    pub primary: Vec<(Degree, Option<Shape>)>,
    /// The answers to the ordered questions, in sentences.
    pub reasons: Vec<String>,
    /// Which of the reasons is about the primary chords.
    chords: Option<usize>,
}

impl PositionReport {
    /// The reasons for the readers of a section that prints shapes of some degrees: where it
    /// prints a primary chord, that shape is told, with a barre or without, and not the one
    /// that could be held there besides. Of several shapes of a degree the first is told.
    pub fn reasons_beside(&self, printed: &[(String, Shape)]) -> Vec<String> {
        let chords: Vec<(Degree, Option<Shape>)> = self
            .primary
            .iter()
            .map(|(degree, shape)| {
                let own = printed.iter().find(|(other, _)| *other == degree.to_string());
                (*degree, own.map(|(_, shape)| shape.clone()).or_else(|| shape.clone()))
            })
            .collect();
        let mut reasons = self.reasons.clone();
        if let (Some(at), Some(said)) = (self.chords, reasons::chords(&chords)) {
            reasons[at] = said;
        }
        reasons
    }

    /// The answers as numbers in the order of the questions; smaller is
    /// better.
    pub(crate) fn answers(&self) -> [Reverse<usize>; 5] {
        let with_shape = self.primary.iter().filter(|(_, shape)| shape.is_some()).count();
        [
            Reverse(usize::from(!self.octaves.is_empty())),
            Reverse(usize::MAX - self.extensions.len()),
            Reverse(usize::from(!self.finger_one.is_empty())),
            Reverse(self.open_strings.len()),
            Reverse(with_shape),
        ]
    }
}

/// All positions of a level up to XII, best first.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PositionAdvice {
    /// The key.
    pub key: Key,
    /// The positions, best first.
    pub ranked: Vec<PositionReport>,
}

impl PositionAdvice {
    /// The best position, if the level has one with a tonic octave.
    pub fn best(&self) -> Option<&PositionReport> {
        self.ranked.first().filter(|report| !report.octaves.is_empty())
    }

    /// What was found about one position.
    pub fn report(&self, position: Position) -> Option<&PositionReport> {
        self.ranked.iter().find(|report| report.position == position)
    }

    /// Why this position, in sentences a teacher would print: the answers to
    /// the questions, why the next lower position was passed over, and which
    /// one comes before it if it is not the best. Empty for a position that
    /// was not asked about.
    pub fn why(&self, position: Position) -> Vec<String> {
        let Some(report) = self.report(position) else { return Vec::new() };
        let mut said = vec![format!("{} lies in {position}.", self.key)];
        said.extend(report.reasons.iter().cloned());
        let lower = self.ranked.iter().filter(|other| other.position < position);
        if let Some(passed) = lower.max_by_key(|other| other.position) {
            said.extend(reasons::passed_over(passed, report));
        }
        if let Some(best) = self.best().filter(|best| best.position != position) {
            said.extend(reasons::comes_first(best, report));
        }
        said
    }
}

/// The highest position asked about.
const HIGHEST: u8 = 12;

/// Asks the ordered questions of every position of a level up to XII.
pub fn advise(key: Key, instrument: &Instrument, level: &Level) -> PositionAdvice {
    let mut ranked: Vec<PositionReport> = Ground::all(instrument, level)
        .filter(|ground| ground.position.get() <= HIGHEST)
        .map(|ground| report(key, &ground))
        .collect();
    ranked.sort_by_key(|report| (report.answers(), report.position));
    PositionAdvice { key, ranked }
}

/// The positions of a level up to XII, in order, that answer a question
/// about their scale.
pub(crate) fn positions_where(
    ground: &Ground<'_>,
    names: &[NoteName; 7],
    answer: impl Fn(&[Rung]) -> bool,
) -> Vec<Position> {
    Ground::all(ground.instrument, ground.level)
        .filter(|other| other.position.get() <= HIGHEST && answer(&other.rungs(names)))
        .map(|other| other.position)
        .collect()
}

fn report(key: Key, ground: &Ground<'_>) -> PositionReport {
    let names = Scale::of_key(key).notes(Direction::Up);
    let rungs = ground.rungs(&names);
    let extensions = rungs
        .iter()
        .filter_map(|rung| Some(ExtensionNote { pitch: rung.pitch, place: rung.extension? }))
        .collect();
    let mut report = PositionReport {
        position: ground.position,
        octaves: octaves(&rungs, key.tonic()),
        extensions,
        finger_one: finger_one(ground, &names),
        open_strings: open_strings(ground, &rungs),
        range: rungs.first().zip(rungs.last()).map(|(low, high)| (low.pitch, high.pitch)),
        primary: primary(key, ground),
        reasons: Vec::new(),
        chords: None,
    };
    report.reasons = reasons::answers(&report, ground, &names, key.mode());
    if let Some(chords) = reasons::chords(&report.primary) {
        report.chords = Some(report.reasons.len());
        report.reasons.push(chords);
    }
    if let Some(harmonic) = Scale::new(key, ScaleKind::HarmonicMinor) {
        let seventh = harmonic.notes(Direction::Up)[6];
        let rungs = ground.rungs(&harmonic.notes(Direction::Up));
        let sevenths: Vec<Rung> = rungs.into_iter().filter(|r| r.pitch.name() == seventh).collect();
        report.reasons.extend(reasons::leading_note(&sevenths, ground));
    }
    report
}

/// The scale notes on the fret of finger 1, from ① on.
fn finger_one(ground: &Ground<'_>, names: &[NoteName; 7]) -> Vec<Place> {
    let fret = Fret(ground.position.get());
    let in_scale = |place: &Place| {
        ground
            .instrument
            .sound(*place)
            .is_some_and(|key| names.iter().any(|n| n.pitch_class() == i32::from(key.0) % 12))
    };
    ground
        .instrument
        .tuning
        .strings()
        .map(|string| Place { string, fret })
        .filter(|place| ground.covers(*place) && in_scale(place))
        .collect()
}

fn open_strings(ground: &Ground<'_>, rungs: &[Rung]) -> Vec<StringNumber> {
    let sounds = |string: &StringNumber| {
        let open = Place { string: *string, fret: Fret::OPEN };
        let key = ground.instrument.sound(open).filter(|_| ground.covers(open));
        key.is_some_and(|key| rungs.iter().any(|rung| rung.pitch.key_number() == key))
    };
    ground.instrument.tuning.strings().filter(sounds).collect()
}

/// The degrees of the three primary chords.
pub(crate) const fn primary_degrees(mode: Mode) -> [&'static str; 3] {
    match mode {
        Mode::Major => ["I", "IV", "V"],
        Mode::Minor => ["i", "iv", "V"],
    }
}

fn primary(key: Key, ground: &Ground<'_>) -> Vec<(Degree, Option<Shape>)> {
    let level = Level { barre: BarreLimit::None, ..ground.level.clone() };
    let effort = effort_of_shapes();
    let search = Search {
        instrument: ground.instrument,
        level: &level,
        effort: &effort,
        home: ground.position,
        at_home_only: true,
    };
    let degrees = primary_degrees(key.mode()).into_iter().filter_map(|text| text.parse().ok());
    degrees
        .map(|degree: Degree| {
            let shape = degree.in_key(key).ok().and_then(|found| {
                let mut voicings = search.voicings(found.chord, found.inversion).into_iter();
                let best = voicings.find(Voicing::has_bass).filter(Voicing::is_presentable)?;
                Some(best.shape(found.chord.to_string()))
            });
            (degree, shape)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn best(key: &str) -> String {
        let advice = advise(key.parse().unwrap(), &Instrument::guitar(), &Level::open());
        advice.best().unwrap().position.to_string()
    }

    /// The raised seventh may lie above the highest note of the natural scale.
    #[test]
    fn in_minor_it_is_the_natural_scale_whose_range_is_told() {
        let told = |key: &str| {
            let advice = advise(key.parse().unwrap(), &Instrument::guitar(), &Level::first());
            advice.best().unwrap().reasons.join(" ")
        };
        assert!(
            told("A minor").contains("The natural scale reaches from written E3 to written G5.")
        );
        assert!(told("C major").contains("The scale reaches from written E3 to written G5."));
    }

    /// Common practice, no source: C, G, F major, A, E, D minor are at home in
    /// I; D major and B minor in II.
    #[test]
    fn keys_are_at_home_where_methods_teach_them() {
        for key in ["C major", "G major", "F major", "A minor", "E minor", "D minor"] {
            assert_eq!(best(key), "I", "{key}");
        }
        assert_eq!(best("D major"), "II");
        assert_eq!(best("B minor"), "II");
        assert!(["I", "II"].contains(&best("A major").as_str()));
    }

    /// Common practice, no source: with two sharps no scale note lies on
    /// fret 1, so in I finger 1 would be idle.
    #[test]
    fn two_sharps_leave_finger_one_idle_in_first_position() {
        let first = Position::FIRST;
        for key in Key::all() {
            let advice = advise(key, &Instrument::guitar(), &Level::open());
            let idle = advice.report(first).unwrap().finger_one.is_empty();
            assert_eq!(idle, key.signature().fifths() == 2, "{key}");
        }
    }

    /// Common practice, no source: A major in II has finger 1 reach back for
    /// G♯ on ③ 1.
    #[test]
    fn reasons_are_sentences_of_a_teacher() {
        let advice = advise("A major".parse().unwrap(), &Instrument::guitar(), &Level::open());
        let said = advice.why(Position::new(2).unwrap()).join("\n");
        assert!(said.contains("finger 1 reaches back to ③1 for G♯"), "{said}");
        let advice = advise("D major".parse().unwrap(), &Instrument::guitar(), &Level::first());
        let said = advice.why(Position::new(2).unwrap()).join("\n");
        assert!(said.contains("Not in I: finger 1 would be idle there"), "{said}");
        assert!(said.contains("written A5"), "{said}");
        assert!(said.contains("D xx0232, G 320003 and A x02220"), "{said}");
    }

    /// A book with barres prints F with one.
    #[test]
    fn the_chords_of_a_section_are_told_as_its_exercises_print_them() {
        let told = |key: &str, degrees: &[&str]| {
            let (guitar, level) = (Instrument::guitar(), Level::open());
            let advice = advise(key.parse().unwrap(), &guitar, &level);
            let setting = crate::trial::setting(key, 1, &guitar, &level);
            let row: Vec<Degree> = degrees.iter().map(|it| it.parse().unwrap()).collect();
            let written = crate::progression::write(&setting, &row, None).unwrap();
            let printed = crate::written::shapes_of_degrees(&written.captions);
            let report = advice.report(Position::FIRST).unwrap();
            (report.reasons.join(" "), report.reasons_beside(&printed).join(" "))
        };
        let (alone, beside) = told("C major", &["I", "IV", "V7", "I"]);
        assert!(alone.contains("Without a barre you can hold I, IV and V: C x32010, F xx321x"));
        let own = "Without a barre you can hold I and V: C x32010 and G 320003; IV is held with one: \
                   F xx3211.";
        assert!(beside.contains(own), "{beside}");
        assert!(!beside.contains("F xx321x"), "{beside}");
        // E flat is printed without one.
        let (_, beside) = told("Bb major", &["I", "IV", "V", "I"]);
        let own = "Without a barre you can hold IV: E♭ xx1343; I and V are held with one: \
                   B♭ x13331 and F xx3211.";
        assert!(beside.contains(own), "{beside}");
        // Nothing is printed.
        let (alone, beside) = told("C major", &["ii", "vi"]);
        assert_eq!(alone, beside);
    }

    #[test]
    fn a_level_without_positions_has_no_best() {
        use apoyando_fingering::PositionSet;
        let none = Level { positions: PositionSet::NONE, ..Level::open() };
        let advice = advise("C major".parse().unwrap(), &Instrument::guitar(), &none);
        assert!(advice.best().is_none());
        assert!(advice.why(Position::FIRST).is_empty());
    }
}
