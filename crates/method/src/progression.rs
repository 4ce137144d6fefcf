//! Chords in degrees, to strum and to arpeggiate.
//!
//! Among the shapes of each chord the row is chosen that costs least: the
//! shapes themselves (see `voicing`) and the ways between them. All costs are
//! whole numbers, house values; the search is exact over the shapes tried.

use apoyando_fingering::{
    Allowance, BarreLimit, EffortTable, Finding, FindingPlace, LeftFinger, Remedy, RightFinger,
    Severity,
};
use apoyando_fretboard::{Fret, Instrument};
use apoyando_hands::RightPlan;
use apoyando_marks::CaptionText;
use apoyando_music::{Degree, DegreeChord};

use crate::bars::{Bars, Struck};
use crate::broken::Breaking;
use crate::error::MethodError;
use crate::ladder::ground;
use crate::setting::Setting;
use crate::voicing::{Search, Voicing, effort_of_shapes, sounded};
use crate::words::{allowed, both, or_allow};
use crate::written::Written;

/// How many shapes of each chord are tried, best first.
const TRIED: usize = 32;
/// What may let a chord have a shape, tried one by one.
const FOR_A_SHAPE: [Allowance; 3] = [
    Allowance::Barre(BarreLimit::Full),
    Allowance::Finger(Some(LeftFinger::Four)),
    Allowance::HighestFret(Fret(4)),
];
/// How often a shape's own cost counts: what is easy to hold and sounds full
/// comes before what is near.
const SHAPE: i32 = 2;
/// A finger put down, or brought to another place.
const PLACED: i32 = 1;
/// A place that stays stopped, by another finger.
const REPLACED: i32 = 3;
/// A fret that the hand moves.
const SHIFTED: i32 = 2;
/// Semitones that the three highest voices move together at the cost of one.
const VOICES: i32 = 4;

/// Writes chords with diagrams and degrees: each struck for a bar, then each
/// broken over a bar by a right-hand pattern, with the last one struck at the
/// end. Without a pattern p i m a m i, p i m a or p i m is taken, whichever
/// fills the bar.
///
/// # Errors
/// If there are no degrees, one cannot be spelled or has no shape within the
/// level, the value does not go into the bar, or the pattern is empty.
pub fn write(
    setting: &Setting<'_>,
    degrees: &[Degree],
    pattern: Option<&[RightFinger]>,
) -> Result<Written, MethodError> {
    ground(setting)?;
    let effort = effort_of_shapes();
    let row = shapes(setting, &effort, degrees)?;
    let breaking = Breaking::new(setting, pattern)?;
    let chords: Vec<Vec<Struck>> =
        row.iter().map(|(found, v)| v.struck(found.chord, setting.instrument)).collect();
    let named: Vec<String> = degrees.iter().map(Degree::to_string).collect();
    let title = format!("{} in {}", named.join(" "), setting.key);
    let mut bars = Bars::new(setting, "progression", title)?;
    for ((degree, (found, voicing)), chord) in named.iter().zip(&row).zip(&chords) {
        bars.caption(CaptionText::Diagram(voicing.shape(found.to_string())));
        bars.caption(CaptionText::Degree(degree.clone()));
        let whole = bars.room();
        bars.play(chord, whole)?;
    }
    bars.double_bar();
    let mut right = RightPlan::default();
    for ((degree, (found, _)), chord) in named.iter().zip(&row).zip(&chords) {
        bars.caption(CaptionText::ChordName(found.to_string()));
        bars.caption(CaptionText::Degree(degree.clone()));
        right.patterns.extend(breaking.play(&mut bars, (found.chord, chord), 0)?);
    }
    if let Some(last) = chords.last() {
        let whole = bars.room();
        bars.play(last, whole)?;
    }
    let mut written = bars.finish(right)?;
    written.advice = common_fingers(&row);
    let mut seen = Vec::new();
    for (degree, (found, voicing)) in degrees.iter().zip(&row) {
        if !seen.contains(degree) {
            seen.push(*degree);
            written.findings.extend(inverted_finding(setting, *degree, *found, voicing));
        }
    }
    Ok(written)
}

/// The shapes of a row of degrees, chosen together.
pub(crate) fn shapes(
    setting: &Setting<'_>,
    effort: &EffortTable,
    degrees: &[Degree],
) -> Result<Vec<(DegreeChord, Voicing)>, MethodError> {
    let search = search(setting, effort);
    let mut columns = Vec::with_capacity(degrees.len());
    for degree in degrees {
        let found = degree.in_key(setting.key)?;
        let mut voicings = search.voicings(found.chord, found.inversion);
        voicings.truncate(TRIED);
        if voicings.is_empty() {
            return Err(MethodError::NoShape {
                degree: degree.to_string(),
                chord: found.to_string(),
                highest_fret: search.highest_fret(),
                helps: helps(&search, found, |_| true),
            });
        }
        columns.push((found, voicings));
    }
    if columns.is_empty() {
        return Err(MethodError::NoDegrees);
    }
    let chosen = cheapest_row(&columns, setting.instrument);
    Ok(columns
        .into_iter()
        .zip(chosen)
        .map(|((found, mut voicings), index)| (found, voicings.swap_remove(index)))
        .collect())
}

/// What would make the best shape of a chord such a one, each by itself.
fn helps(
    search: &Search<'_>,
    found: DegreeChord,
    is_such: impl Fn(&Voicing) -> bool,
) -> Vec<Allowance> {
    let own = search.level;
    let helps = |more: &Allowance| {
        let level = &more.beside(own);
        let search = Search { level, ..*search };
        level != own && search.voicings(found.chord, found.inversion).first().is_some_and(&is_such)
    };
    FOR_A_SHAPE.into_iter().filter(helps).collect()
}

type Column = (DegreeChord, Vec<Voicing>);

/// The index of the shape taken in every column; of equal rows the one with
/// the better shapes at its end.
fn cheapest_row(columns: &[Column], instrument: &Instrument) -> Vec<usize> {
    let mut costs: Vec<i32> = columns[0].1.iter().map(|voicing| SHAPE * voicing.cost).collect();
    let mut from: Vec<Vec<usize>> = Vec::with_capacity(columns.len());
    for pair in columns.windows(2) {
        let before: Vec<(&Voicing, Vec<i32>)> = upper_voices(&pair[0], instrument);
        let after: Vec<(&Voicing, Vec<i32>)> = upper_voices(&pair[1], instrument);
        let best: Vec<(i32, usize)> = after
            .iter()
            .map(|next| {
                let ways = before.iter().zip(&costs).enumerate();
                ways.map(|(index, (last, cost))| (cost + way(last, next), index))
                    .min()
                    .unwrap_or((0, 0))
            })
            .collect();
        costs = best.iter().zip(&after).map(|((cost, _), (v, _))| cost + SHAPE * v.cost).collect();
        from.push(best.into_iter().map(|(_, index)| index).collect());
    }
    let last = (0..costs.len()).min_by_key(|index| costs[*index]).unwrap_or(0);
    let mut chosen = vec![last];
    for back in from.iter().rev() {
        let next = chosen[chosen.len() - 1];
        chosen.push(back[next]);
    }
    chosen.reverse();
    chosen
}

/// Every shape of a column with its three highest keys, from the top.
fn upper_voices<'a>(column: &'a Column, instrument: &Instrument) -> Vec<(&'a Voicing, Vec<i32>)> {
    let highest = |voicing: &Voicing| {
        let mut keys: Vec<i32> = sounded(&voicing.frets, column.0.chord, instrument)
            .iter()
            .map(|(pitch, _)| i32::from(pitch.key_number().0))
            .collect();
        keys.sort_by(|a, b| b.cmp(a));
        keys.truncate(3);
        keys
    };
    column.1.iter().map(|voicing| (voicing, highest(voicing))).collect()
}

/// What it costs to go from one shape to the next.
fn way(from: &(&Voicing, Vec<i32>), to: &(&Voicing, Vec<i32>)) -> i32 {
    let mut cost = 0;
    for finger in LeftFinger::ALL {
        let (before, after) = (stops(from.0, finger), stops(to.0, finger));
        if after.is_empty() {
            continue;
        }
        let stays = before.iter().any(|stop| after.contains(stop));
        cost += if stays { 0 } else { PLACED };
    }
    for (string, fret) in from.0.frets.iter().enumerate() {
        let stays = fret.is_some_and(|fret| !fret.is_open()) && to.0.frets[string] == *fret;
        if stays && from.0.grip.fingers[string] != to.0.grip.fingers[string] {
            cost += REPLACED;
        }
    }
    if let (Some(before), Some(after)) = (from.0.grip.position, to.0.grip.position) {
        cost += SHIFTED * i32::from(before.get().abs_diff(after.get()));
    }
    cost + from.1.iter().zip(&to.1).map(|(a, b)| (a - b).abs()).sum::<i32>() / VOICES
}

/// Strings and frets that a finger stops.
fn stops(voicing: &Voicing, finger: LeftFinger) -> Vec<(usize, Option<Fret>)> {
    let fingers = voicing.grip.fingers.iter().enumerate();
    fingers.filter(|(_, f)| **f == Some(finger)).map(|(s, _)| (s, voicing.frets[s])).collect()
}

/// Strings of a barre that is lifted before one of them alone is stopped; on two, finger 1
/// turns like a hinge. Common practice, no source.
const LIFTED: usize = 3;

/// Whether a finger can lie on through a change: it stops a string in both chords, and none
/// of those under it sounds lower in the next one, as a barre would have to be lifted for.
fn stays(before: &Voicing, after: &Voicing, finger: LeftFinger) -> bool {
    let (now, next) = (stops(before, finger), stops(after, finger));
    let strings = || now.iter().map(|(string, _)| *string);
    let (Some(thin), Some(thick)) = (strings().min(), strings().max()) else { return false };
    let sounding = after.frets[thin..=thick].iter().flatten();
    let lifted = now.len() >= LIFTED && next.len() == 1;
    !lifted
        && now.iter().any(|stop| next.contains(stop))
        && sounding.into_iter().all(|next| now.iter().all(|(_, fret)| Some(*next) >= *fret))
}

/// A sentence for every change in which fingers can stay.
fn common_fingers(row: &[(DegreeChord, Voicing)]) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for pair in row.windows(2) {
        let [(from, before), (to, after)] = pair else { continue };
        if from == to && before == after {
            continue;
        }
        let staying: Vec<String> = LeftFinger::ALL
            .into_iter()
            .filter(|finger| stays(before, after, *finger))
            .map(|finger| finger.to_string())
            .collect();
        let noun = if staying.len() == 1 { "finger" } else { "fingers" };
        let sentence = format!("From {from} to {to} leave {noun} {} down.", both(&staying));
        if !staying.is_empty() && !said.contains(&sentence) {
            said.push(sentence);
        }
    }
    said
}

/// What the author should know of a chord that is not in the position of its
/// notes that the degree asks for.
pub(crate) fn inverted_finding(
    setting: &Setting<'_>,
    degree: Degree,
    found: DegreeChord,
    voicing: &Voicing,
) -> Option<Finding> {
    if voicing.inversion == found.inversion {
        return None;
    }
    let effort = effort_of_shapes();
    let search = search(setting, &effort);
    let helps = helps(&search, found, |best| best.inversion == found.inversion);
    let why = match helps[..] {
        [] => "no shape in root position is as easy".to_owned(),
        _ => format!("in root position it needs {}", allowed(&helps)),
    };
    Some(Finding {
        rule: "chord-inverted",
        severity: Severity::Advice,
        place: FindingPlace::default(),
        message: format!(
            "{degree} ({}) stands in {} as {}; {why}.",
            found.chord,
            voicing.inversion,
            voicing.shape(String::new()).frets()
        ),
        remedy: Some(format!("{}choose another chord", or_allow(&helps))),
        remedies: helps.into_iter().map(Remedy::Allow).collect(),
    })
}

/// The shapes that are looked for in an exercise.
const fn search<'a>(setting: &Setting<'a>, effort: &'a EffortTable) -> Search<'a> {
    Search {
        instrument: setting.instrument,
        level: setting.level,
        effort,
        home: setting.position,
        at_home_only: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial;
    use apoyando_fingering::Level;
    use apoyando_marks::Caption;

    fn degrees(text: &str) -> Vec<Degree> {
        text.split(' ').map(|degree| degree.parse().unwrap()).collect()
    }

    fn frets(key: &str, position: u8, text: &str, level: &Level) -> Vec<String> {
        let guitar = Instrument::guitar();
        let setting = trial::setting(key, position, &guitar, level);
        let written = write(&setting, &degrees(text), None).unwrap();
        let diagram = |caption: &Caption| match &caption.text {
            CaptionText::Diagram(shape) => Some(shape.to_string()),
            _ => None,
        };
        written.captions.iter().filter_map(diagram).collect()
    }

    /// Common practice, no source: open chords come out for the main chords
    /// of the friendly keys, F without its barre.
    #[test]
    fn main_chords_are_open_chords() {
        for (key, position, text, shapes) in [
            ("C major", 1, "I IV V7 I", ["x32010", "xx321x", "320001", "x32010"]),
            ("G major", 1, "I IV V7 I", ["320003", "x32010", "xx0212", "320003"]),
            ("D major", 2, "I IV V7 I", ["xx0232", "320003", "x02020", "xx0232"]),
            ("A major", 1, "I IV V7 I", ["x02220", "xx0232", "020100", "x02220"]),
            ("E major", 1, "I IV V7 I", ["022100", "x02220", "x21202", "022100"]),
            ("A minor", 1, "i iv V7 i", ["x02210", "xx0231", "020100", "x02210"]),
            ("E minor", 1, "i iv V7 i", ["022000", "x02210", "x21202", "022000"]),
            ("B minor", 2, "i iv V7 i", ["xx0432", "022000", "xx4320", "xx0432"]),
        ] {
            let found = frets(key, position, text, &Level::first());
            let bare: Vec<&str> = found.iter().filter_map(|s| s.split(' ').next()).collect();
            assert_eq!(bare, shapes, "{key}: {found:?}");
        }
    }

    /// Common practice, no source: a chord of the seventh is not broken without it. i m
    /// of p i m i go to the thinner strings of 320001, i m a of p i m a to the thicker of
    /// 020100; that of 320001 has it where it is.
    #[test]
    fn a_seventh_is_played() {
        use RightFinger::{A, I, M, P};
        for (key, text, pattern, notes) in [
            ("C major", "I V7", [P, I, M, I], "G3 B4 F5 B4"),
            ("C major", "I V7", [P, I, M, A], "G3 G4 B4 F5"),
            ("A minor", "i V7", [P, I, M, A], "E3 D4 G♯4 B4"),
            ("A minor", "i V", [P, I, M, A], "E3 G♯4 B4 E5"),
        ] {
            let (guitar, level) = (Instrument::guitar(), Level::first());
            let setting = trial::setting(key, 1, &guitar, &level);
            let written = write(&setting, &degrees(text), Some(&pattern)).unwrap();
            let shown = trial::shown(&written);
            assert!(shown.contains(notes), "{key} {text}: {shown}");
        }
    }

    /// Common practice, no source: from B7 to E finger 2 stays on ⑤ 2, from C
    /// to Am fingers 1 and 2 stay.
    #[test]
    fn common_fingers_stay() {
        let (guitar, level) = (Instrument::guitar(), Level::first());
        let setting = trial::setting("E major", 1, &guitar, &level);
        let written = write(&setting, &degrees("V7 I"), None).unwrap();
        assert_eq!(written.advice, ["From B7 to E leave finger 2 down."]);
        let setting = trial::setting("C major", 1, &guitar, &level);
        let written = write(&setting, &degrees("I vi"), None).unwrap();
        assert_eq!(written.advice, ["From C to Am leave fingers 1 and 2 down."]);
    }

    /// Common practice, no source: a barre is lifted before open strings, though its tip
    /// would be on its place in the next chord.
    #[test]
    fn a_barre_does_not_stay_where_one_string_of_it_is_wanted() {
        let guitar = Instrument::guitar();
        let level = Level { barre: BarreLimit::Full, ..Level::first() };
        let setting = trial::setting("B minor", 2, &guitar, &level);
        let written = write(&setting, &degrees("i VI i"), None).unwrap();
        let shown = trial::shown(&written);
        assert!(shown.contains("B3 F♯4 B4 D5 F♯5"), "x24432: {shown}");
        let from_bm = written.advice.iter().filter(|said| said.starts_with("From Bm"));
        assert!(from_bm.clone().all(|said| !said.contains('1')), "{:?}", written.advice);
    }

    #[test]
    fn substitutes_are_named() {
        let (guitar, level) = (Instrument::guitar(), Level::first());
        let setting = trial::setting("B minor", 2, &guitar, &level);
        let written = write(&setting, &degrees("i V7 i"), None).unwrap();
        assert_eq!(written.findings.len(), 1);
        assert!(written.findings[0].message.contains("xx0432"), "{}", written.findings[0]);
    }

    #[test]
    fn what_cannot_be_held_is_refused() {
        use apoyando_fingering::LeftFingerSet;
        let guitar = Instrument::guitar();
        let none = Level { fingers: LeftFingerSet::NONE, ..Level::first() };
        let setting = trial::setting("C major", 1, &guitar, &none);
        let error = write(&setting, &degrees("I"), None).unwrap_err();
        assert!(matches!(error, MethodError::NoShape { .. }), "{error}");
        assert_eq!(error.remedies(), [], "not one finger is enough");
        assert_eq!(write(&setting, &[], None), Err(MethodError::NoDegrees));
    }

    /// For B♭ without finger 4 a barre would not help: it is not offered.
    #[test]
    fn what_is_offered_lets_the_chord_be_held() {
        use apoyando_fingering::LeftFingerSet;
        let guitar = Instrument::guitar();
        let fingers = LeftFingerSet::ALL.without(Some(LeftFinger::Four));
        let level = Level { fingers, ..Level::first() };
        let setting = trial::setting("Bb major", 1, &guitar, &level);
        let error = write(&setting, &degrees("I"), None).unwrap_err();
        let four = Allowance::Finger(Some(LeftFinger::Four));
        assert_eq!(error.remedies(), [Remedy::Allow(four)], "{error}");
        let wider = four.beside(&level);
        let setting = trial::setting("Bb major", 1, &guitar, &wider);
        assert!(write(&setting, &degrees("I"), None).is_ok());
    }

    /// A level that allows a barre has what one without it has: C♯ xx312x without finger 4.
    #[test]
    fn what_is_allowed_besides_takes_no_shape_away() {
        use apoyando_fingering::LeftFingerSet;
        let guitar = Instrument::guitar();
        let fingers = LeftFingerSet::ALL.without(Some(LeftFinger::Four));
        for barre in [BarreLimit::None, BarreLimit::Full] {
            let level = Level { fingers, barre, ..Level::first() };
            let setting = trial::setting("C# major", 1, &guitar, &level);
            let written = write(&setting, &degrees("I"), None).unwrap();
            let said = &written.findings[0];
            assert!(said.message.contains("xx312x"), "{said}");
            // A barre would not help, and is there.
            let full = Remedy::Allow(Allowance::Barre(BarreLimit::Full));
            assert!(!said.remedies.contains(&full), "{said}");
        }
    }
}
