//! Triads on three adjacent strings, in root position and both inversions.

use apoyando_fingering::{BarreLimit, EffortTable, LeftFinger, Level};
use apoyando_fretboard::{Fret, Instrument, StringNumber};
use apoyando_hands::RightPlan;
use apoyando_marks::CaptionText;
use apoyando_music::{Chord, Degree, Duration, Inversion};

use crate::bars::Bars;
use crate::error::MethodError;
use crate::grip::{Grip, Hand};
use crate::ladder::ground;
use crate::setting::Setting;
use crate::verdict::{crosses, extended, seen, two_on_a_fret, verdict_of};
use crate::voicing::{effort_of_shapes, shape, struck};
use crate::words::{both, count, sentence};
use crate::written::{ListedShape, Verdict, Written};

/// How many strings a triad lies on.
const STRINGS: usize = 3;

/// Writes the triad of a degree in close position on every three adjacent
/// strings, from the thin to the thick, in root position and both inversions:
/// those that lie in the position and that the level allows, each with a rest
/// after it; all of them are listed with a verdict and a reason.
///
/// # Errors
/// If the degree is a seventh chord or cannot be spelled, or nothing that the
/// level allows lies in the position.
pub fn write(setting: &Setting<'_>, degree: Degree) -> Result<Written, MethodError> {
    ground(setting)?;
    if degree.has_seventh() {
        return Err(MethodError::NotATriad { degree: degree.to_string() });
    }
    let chord = degree.in_key(setting.key)?.chord;
    let effort = effort_of_shapes();
    let judge = Judge { setting, chord, effort: &effort };
    let triads = judge.triads();
    if !triads.iter().any(|triad| triad.listed.printed) {
        return Err(MethodError::NoTriad {
            degree: degree.to_string(),
            position: setting.position,
        });
    }
    let title = format!("Triads of {chord} on three strings");
    let mut bars = Bars::new(setting, "triads", title)?;
    bars.stay_in(setting.position);
    for triad in triads.iter().filter(|triad| triad.listed.printed) {
        let Some(grip) = &triad.grip else { continue };
        let turned = degree.inverted(triad.listed.inversion).unwrap_or(degree);
        bars.caption(CaptionText::Diagram(triad.listed.shape.clone()));
        bars.caption(CaptionText::Degree(turned.to_string()));
        let whole = setting.metre.bar();
        let sounding = first_half(setting);
        bars.play(&struck(&triad.frets, grip, chord, setting.instrument), sounding)?;
        bars.rest(whole - sounding)?;
    }
    let mut written = bars.finish(RightPlan::default())?;
    written.listed = triads.into_iter().map(|triad| triad.listed).collect();
    Ok(written)
}

/// The larger half of a bar in whole beats; of a bar of one beat, half of it.
fn first_half(setting: &Setting<'_>) -> Duration {
    let (bar, beat) = (setting.metre.bar(), setting.metre.beat());
    let mut half = beat;
    while half + half < bar {
        half += beat;
    }
    if half < bar { half } else { Duration::new(1, i64::from(setting.metre.unit) * 2) }
}

struct Triad {
    frets: Vec<Option<Fret>>,
    grip: Option<Grip>,
    listed: ListedShape,
}

/// A shape in one place of the neck, with what is found about it.
struct Place {
    frets: Vec<Option<Fret>>,
    verdict: Verdict,
    /// As the level allows it in the position.
    allowed: Option<Grip>,
    /// As a hand without limits would hold it where it lies.
    best: Option<Grip>,
}

struct Judge<'a> {
    setting: &'a Setting<'a>,
    chord: Chord,
    effort: &'a EffortTable,
}

impl Judge<'_> {
    fn triads(&self) -> Vec<Triad> {
        let strings: Vec<StringNumber> = self.setting.instrument.tuning.strings().collect();
        strings
            .windows(STRINGS)
            .flat_map(|set| {
                [Inversion::ROOT, Inversion::FIRST, Inversion::SECOND]
                    .into_iter()
                    .filter_map(move |inversion| self.triad(set, inversion))
            })
            .collect()
    }

    /// The best place of an inversion on three strings, thin to thick; `None`
    /// if it lies nowhere on the neck.
    fn triad(&self, set: &[StringNumber], inversion: Inversion) -> Option<Triad> {
        let place = frets_of(self.setting.instrument, self.chord, set, inversion)
            .into_iter()
            .map(|frets| self.judge(frets))
            .min_by_key(|place| {
                let away = match place.verdict {
                    Verdict::Elsewhere(other) => other.get().abs_diff(self.setting.position.get()),
                    _ => 0,
                };
                let lowest = place.frets.iter().flatten().min().copied();
                (place.verdict.rank(), away, lowest)
            })?;
        let printed = place.allowed.is_some();
        let reason = self.reason(&place);
        let grip = place.allowed.or(place.best);
        let listed = ListedShape {
            strings: set.iter().rev().copied().collect(),
            shape: shape(&place.frets, grip.as_ref(), self.chord.to_string()),
            chord: self.chord,
            inversion,
            verdict: place.verdict,
            reason,
            printed,
        };
        Some(Triad { frets: place.frets, grip, listed })
    }

    fn hand<'b>(&'b self, level: &'b Level) -> Hand<'b> {
        Hand { instrument: self.setting.instrument, level, effort: self.effort }
    }

    fn judge(&self, frets: Vec<Option<Fret>>) -> Place {
        let position = self.setting.position;
        let free = Level {
            barre: BarreLimit::Small,
            extension: 1,
            reach: self.setting.level.reach,
            ..Level::open()
        };
        let judged = |level: &Level| -> Vec<(Verdict, Grip)> {
            let grips = self.hand(level).grips(&frets).into_iter();
            grips.filter_map(|grip| Some((verdict_of(&grip, &frets)?, grip))).collect()
        };
        // A shape of open strings alone has no position, and lies in every one.
        let at_home = |grip: &Grip| seen(grip, &frets).is_none_or(|at| at == position);
        let best_here = |judged: &[(Verdict, Grip)]| {
            let here = judged.iter().filter(|(_, grip)| at_home(grip));
            here.min_by_key(|(verdict, _)| verdict.rank()).cloned()
        };
        let anywhere = judged(&free);
        // What this hand would have to stretch for lies under the fingers of another.
        let eased = anywhere.iter().any(|(verdict, _)| *verdict < Verdict::Extension);
        let lies_here = |(verdict, _): &(Verdict, Grip)| *verdict != Verdict::Extension || !eased;
        if let Some((verdict, grip)) = best_here(&judged(self.setting.level)).filter(lies_here) {
            return Place { frets, verdict, allowed: Some(grip), best: None };
        }
        let here = best_here(&anywhere).filter(lies_here);
        if let Some((verdict, best)) = here {
            return Place { frets, verdict, allowed: None, best: Some(best) };
        }
        let elsewhere = anywhere
            .into_iter()
            .filter_map(|(verdict, grip)| Some((seen(&grip, &frets)?, verdict, grip)))
            // Finger 4 rather than fingers that cross; they come from the least effort on.
            .min_by_key(|(_, verdict, grip)| {
                let class = verdict.rank().max(Verdict::FingerFour.rank());
                (class, crosses(grip, &frets), verdict.rank())
            });
        let (verdict, best) = match elsewhere {
            Some((other, _, grip)) => (Verdict::Elsewhere(other), Some(grip)),
            None => (Verdict::OutOfReach, None),
        };
        Place { frets, verdict, allowed: None, best }
    }

    fn reason(&self, place: &Place) -> String {
        let position = self.setting.position;
        let Some(grip) = place.allowed.as_ref().or(place.best.as_ref()) else {
            return "No hand reaches all three notes at once.".to_owned();
        };
        let how = match place.verdict {
            Verdict::OwnFingers if grip.count() == 0 => "It lies on open strings".to_owned(),
            Verdict::OwnFingers => format!("It lies in {position} under {}", fingers(grip)),
            Verdict::FingerFour => {
                let frets = stopped_by(place, grip, LeftFinger::Four);
                format!("It lies in {position} with finger 4 on fret {frets}")
            }
            Verdict::Extension => {
                let finger = extended(grip, &place.frets).map_or(0, |finger| finger.digit());
                format!("In {position} finger {finger} leaves its fret")
            }
            Verdict::Barre => {
                let strings = grip.barre.map_or(0, |barre| usize::from(barre.width()));
                format!("In {position} finger 1 stops {} strings at once", count(strings))
            }
            Verdict::Elsewhere(_) => return format!("The exercise stays in {position}."),
            Verdict::OutOfReach => String::new(),
        };
        let crowded = match two_on_a_fret(grip, &place.frets) {
            Some(fret) => format!(", two fingers on fret {fret}"),
            None => String::new(),
        };
        let spared = if place.allowed.is_some() { "" } else { "; this level does not ask for it" };
        sentence(&format!("{how}{crowded}{spared}."))
    }
}

/// The shapes of an inversion on three strings, thin to thick, wherever they
/// lie on the neck.
fn frets_of(
    instrument: &Instrument,
    chord: Chord,
    set: &[StringNumber],
    inversion: Inversion,
) -> Vec<Vec<Option<Fret>>> {
    let Some(thick) = set.last().and_then(|string| instrument.tuning.open(*string)) else {
        return Vec::new();
    };
    let close = |octaves: i8| {
        let from = thick.up_octaves(octaves);
        let pitches = chord.close_position(inversion, from)?;
        let mut frets = vec![None; instrument.tuning.len()];
        for (string, pitch) in set.iter().rev().zip(pitches) {
            frets[string.index()] = Some(instrument.place_on(*string, pitch.key_number())?.fret);
        }
        Some(frets)
    };
    let mut found: Vec<Vec<Option<Fret>>> = (0..=1).filter_map(close).collect();
    found.dedup();
    found
}

fn fingers(grip: &Grip) -> String {
    let used: Vec<String> = LeftFinger::ALL
        .into_iter()
        .filter(|finger| grip.uses(*finger))
        .map(|finger| finger.to_string())
        .collect();
    match used.len() {
        1 => format!("finger {}", used[0]),
        _ => format!("fingers {}", both(&used)),
    }
}

fn stopped_by(place: &Place, grip: &Grip, finger: LeftFinger) -> String {
    let string = grip.fingers.iter().position(|f| *f == Some(finger));
    let fret = string.and_then(|string| place.frets[string]);
    fret.map_or_else(String::new, |fret| fret.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial;
    use apoyando_fingering::{Position, Shape};

    fn triads(key: &str, position: u8, level: &Level) -> Written {
        triads_of(key, "I", position, level)
    }

    fn triads_of(key: &str, degree: &str, position: u8, level: &Level) -> Written {
        let guitar = Instrument::guitar();
        write(&trial::setting(key, position, &guitar, level), degree.parse().unwrap()).unwrap()
    }

    fn find<'a>(written: &'a Written, frets: &str) -> &'a ListedShape {
        written.listed.iter().find(|listed| listed.shape.frets() == frets).unwrap()
    }

    /// Common practice, no source: the tonic triads of D major in II.
    #[test]
    fn triads_of_d_lie_in_the_second_position() {
        let written = triads("D major", 2, &Level::first());
        for (frets, inversion, verdict) in [
            ("xxx232", Inversion::SECOND, Verdict::OwnFingers),
            ("xx423x", Inversion::FIRST, Verdict::OwnFingers),
            ("x542xx", Inversion::ROOT, Verdict::FingerFour),
        ] {
            let listed = find(&written, frets);
            assert_eq!((listed.inversion, listed.verdict), (inversion, verdict), "{frets}");
            assert!(listed.printed);
        }
        let four = find(&written, "x542xx");
        assert_eq!(four.shape.fingers(), "·431··");
        assert_eq!(four.reason, "It lies in II with finger 4 on fret 5.");
        assert_eq!(find(&written, "xxx232").reason.matches("two fingers on fret 2").count(), 1);
        assert_eq!(written.listed.len(), 12);
    }

    /// The same where the level allows to stretch.
    #[test]
    fn what_lies_under_the_fingers_of_another_position_is_not_stretched_for() {
        let level = Level { extension: 1, ..Level::first() };
        let written = triads_of("A minor", "i", 1, &level);
        let low = find(&written, "532xxx");
        let second = Position::new(2).unwrap();
        assert_eq!((low.verdict, low.printed), (Verdict::Elsewhere(second), false));
    }

    /// Common practice, no source: under one finger to a fret in II, where a hand in I
    /// would have to leave its frets.
    #[test]
    fn what_would_be_stretched_for_here_lies_elsewhere() {
        let written = triads_of("A minor", "i", 1, &Level::first());
        let listed = find(&written, "532xxx");
        assert_eq!(listed.verdict, Verdict::Elsewhere(Position::new(2).unwrap()));
        assert_eq!((listed.shape.fingers().as_str(), listed.printed), ("421···", false));
    }

    /// Common practice, no source: triads of G major.
    #[test]
    fn triads_of_g_have_their_inversions() {
        let written = triads("G major", 2, &Level::open());
        for (frets, inversion) in [
            ("xxx433", Inversion::FIRST),
            ("xx543x", Inversion::ROOT),
            ("x554xx", Inversion::SECOND),
        ] {
            assert_eq!(find(&written, frets).inversion, inversion, "{frets}");
        }
    }

    /// Each triad is followed by a rest, in every metre.
    #[test]
    fn a_rest_follows_every_triad() {
        use apoyando_music::Metre;
        let (guitar, level) = (Instrument::guitar(), Level::open());
        for (beats, unit) in [(4, 4), (3, 4), (6, 8), (2, 4), (1, 4)] {
            let metre = Metre::new(beats, unit);
            let setting = Setting { metre, ..trial::setting("C major", 1, &guitar, &level) };
            let written = write(&setting, "I".parse().unwrap()).unwrap();
            let printed = written.listed.iter().filter(|listed| listed.printed).count();
            assert_eq!(written.score.bars().len(), printed);
            for events in &written.score.parts()[0].voices[0].bars {
                assert!(!events[0].is_rest());
                assert!(events.last().unwrap().is_rest(), "{beats}/{unit}");
            }
        }
    }

    /// Every listed shape sounds its chord in its inversion.
    #[test]
    fn every_triad_is_recognised() {
        let guitar = Instrument::guitar();
        for key in ["C major", "F# minor", "Bb major", "E minor"] {
            let degree = if key.ends_with("major") { "I" } else { "i" };
            let level = Level::open();
            let setting = trial::setting(key, 1, &guitar, &level);
            let written = write(&setting, degree.parse().unwrap()).unwrap();
            assert_eq!(written.listed.len(), 12, "{key}");
            for listed in &written.listed {
                let names: Vec<_> = frets(&listed.shape)
                    .into_iter()
                    .rev()
                    .filter_map(|place| {
                        let class = i32::from(guitar.sound(place)?.0) % 12;
                        listed.chord.note_of_class(class)
                    })
                    .collect();
                let found = Chord::recognise(&names);
                assert_eq!(found, Some((listed.chord, listed.inversion)), "{}", listed.shape);
            }
        }
    }

    /// The places of a shape from ① on.
    fn frets(shape: &Shape) -> Vec<apoyando_fretboard::Place> {
        let states = shape.strings.iter().enumerate();
        states
            .filter_map(|(index, state)| {
                let string = StringNumber::new(index as u8 + 1)?;
                Some(apoyando_fretboard::Place { string, fret: state.fret()? })
            })
            .collect()
    }

    #[test]
    fn sevenths_are_no_triads() {
        let (guitar, level) = (Instrument::guitar(), Level::open());
        let setting = trial::setting("C major", 1, &guitar, &level);
        let error = write(&setting, "V7".parse().unwrap()).unwrap_err();
        assert!(matches!(error, MethodError::NotATriad { .. }));
    }
}
