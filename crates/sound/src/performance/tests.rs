//! Small scores in ABC, and what is struck when.

use apoyando_fretboard::Instrument;
use apoyando_music::Score;

use super::*;

/// A piece of one part at 120 quarters a minute, sounding an octave lower than written.
fn score(body: &str) -> Score {
    let text = format!("X:1\nT:Try\nM:4/4\nL:1/4\nQ:1/4=120\nK:C clef=treble-8\n{body}\n");
    let reading = apoyando_formats::read("try.abc", text.as_bytes()).expect("ABC");
    reading.pieces.into_iter().next().expect("a piece").score
}

fn played(body: &str) -> Performance {
    perform(&score(body), &[None], &Instrument::guitar()).expect("playing order")
}

/// When strikes begin, in thousandths of a second.
fn onsets(body: &str) -> Vec<i64> {
    played(body).strikes.iter().map(|it| (it.at.0 * 1000.0).round() as i64).collect()
}

#[test]
fn notes_are_struck_when_they_are_written() {
    assert_eq!(onsets("CDEF|G2 z G|"), [0, 500, 1000, 1500, 2000, 3500]);
    // A new tempo holds from its bar on.
    assert_eq!(onsets("CDEF|[Q:1/4=60]CDEF|"), [0, 500, 1000, 1500, 2000, 3000, 4000, 5000]);
    // Triplets, and eighths as exact as any.
    assert_eq!(onsets("(3CDE F2|"), [0, 333, 667, 1000]);
}

#[test]
fn without_a_tempo_it_is_that_of_the_fingering() {
    let text = "X:1\nT:Try\nM:4/4\nL:1/4\nK:C clef=treble-8\nCDEF|\n";
    let reading = apoyando_formats::read("try.abc", text.as_bytes()).unwrap();
    let score = &reading.pieces[0].score;
    let played = perform(score, &[None], &Instrument::guitar()).unwrap();
    // docs/model.md: 72 quarters a minute.
    assert!((played.strikes[3].at.0 - 3.0 * 60.0 / 72.0).abs() < 1e-9);
}

#[test]
fn repeats_and_endings_are_played_out() {
    let twice = played("|: CDEF :|");
    assert_eq!(twice.strikes.len(), 8);
    assert!((twice.strikes[4].at.0 - 2.0).abs() < 1e-9);
    assert_eq!(twice.pace.bars().iter().map(|it| it.pass).collect::<Vec<_>>(), [1, 2]);
    let endings = played("|: CDEF |1 G4 :|2 A4 |]");
    let keys: Vec<i16> = endings.strikes.iter().map(|it| it.key.0).collect();
    assert_eq!(keys, [48, 50, 52, 53, 55, 48, 50, 52, 53, 57]);
}

/// Tied notes are one; but where a jump leads to the second of them it is struck.
#[test]
fn ties_sound_on_and_are_struck_after_a_jump() {
    assert_eq!(onsets("C4-|C2 D2|"), [0, 3000]);
    let played = played("C2 D2-|: D2 E2 :|");
    let at: Vec<f64> = played.strikes.iter().map(|it| it.at.0).collect();
    assert_eq!(at, [0.0, 1.0, 3.0, 4.0, 5.0]);
    assert!((played.strikes[1].until.0 - (3.0 - 0.0)).abs() < 0.01, "{:?}", played.strikes[1]);
}

#[test]
fn a_string_stops_before_it_is_struck_again() {
    let played = played("C C C2|");
    for pair in played.strikes.windows(2) {
        assert!(pair[0].until.0 < pair[1].at.0 && pair[0].until.0 > pair[1].at.0 - 0.01);
    }
}

#[test]
fn signs_of_length_are_heard() {
    let length = |body: &str| {
        let strike = played(body).strikes[0];
        strike.until.0 - strike.at.0
    };
    assert!((length("C E G2|") - 0.5).abs() < 1e-9);
    assert!((length(".C E G2|") - 0.25).abs() < 1e-9);
    // A fermata holds its own note and all that comes later.
    let held = played("C !fermata!E G2|");
    assert!((held.strikes[2].at.0 - (0.5 + 0.5 * 1.75)).abs() < 1e-9);
    assert!((held.pace.end().0 - (0.5 + 0.5 * 1.75 + 1.0)).abs() < 1e-9);
}

#[test]
fn dynamics_and_accents_are_heard() {
    let strengths = |body: &str| -> Vec<f64> {
        played(body).strikes.iter().map(|strike| strike.strength.0).collect()
    };
    let plain = strengths("C E G c|");
    let first = plain[0] - plain[1];
    assert!(first > 0.0, "the first beat is a little stronger");
    let loud = strengths("!f!C E G c|");
    let soft = strengths("!p!C E G c|");
    assert!((loud[1] - plain[1] - 4.0).abs() < 1e-9 && (plain[1] - soft[1] - 7.0).abs() < 1e-9);
    let accent = strengths("C !>!E G c|");
    assert!((accent[1] - plain[1] - 3.5).abs() < 1e-9);
    // From p to f through a crescendo, evenly.
    let grown = strengths("!p!!crescendo(!C E G c|!crescendo)!!f!C E G c|");
    assert!(grown.windows(2).take(4).all(|pair| pair[0] < pair[1] + 0.9), "{grown:?}");
    assert!((grown[2] - (-7.0 + 11.0 / 2.0)).abs() < 1.5, "{grown:?}");
}

/// Common practice, no source: a trill goes to and fro with the step above, a mordent to the
/// step below.
#[test]
fn ornaments_are_played_out() {
    let keys =
        |body: &str| -> Vec<i16> { played(body).strikes.iter().map(|it| it.key.0).collect() };
    let trill = keys("!trill!E4|");
    assert!(trill.len() >= 15 && trill.len() % 2 == 1, "{trill:?}");
    assert!(trill.iter().enumerate().all(|(at, key)| *key == if at % 2 == 0 { 52 } else { 53 }));
    assert_eq!(keys("!mordent!E4|"), [52, 50, 52]);
    assert_eq!(keys("{D}E4|"), [50, 52]);
    let strikes = played("{D}E4|").strikes;
    assert!(matches!(strikes[0].touch, Touch::Plucked { .. }));
    assert_eq!(strikes[1].touch, Touch::Joined);
    assert_eq!(strikes[0].place.string, strikes[1].place.string);
}

#[test]
fn spread_chords_begin_with_the_bass() {
    let spread = played("!arpeggio![CEGc]4|");
    let at: Vec<f64> = spread.strikes.iter().map(|it| it.at.0).collect();
    assert!(at.windows(2).all(|pair| pair[1] - pair[0] > 0.03), "{at:?}");
    assert!(spread.strikes.windows(2).all(|pair| pair[0].key < pair[1].key));
    let struck = played("[CEGc]4|");
    assert!(struck.strikes.iter().all(|it| it.at.0 == 0.0));
}

/// The fingering says the string, and until when it rings.
#[test]
fn the_fingering_is_heard() {
    let score = score("CEGc GEC2|");
    let guitar = Instrument::guitar();
    let level = apoyando_fingering::Level::open();
    let (pins, effort) =
        (apoyando_fingering::Pins::default(), apoyando_fingering::EffortTable::default());
    let problem = apoyando_fingering::Problem {
        score: &score,
        part: PartIndex(0),
        instrument: &guitar,
        level: &level,
        pins: &pins,
        effort: &effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    let solved = apoyando_hands::solve(&problem, &apoyando_hands::RightPlan::default())
        .expect("it can be played");
    let fingering = &solved.solution().fingering;
    let played = perform(&score, &[Some(fingering)], &guitar).unwrap();
    let tones = score.tones(PartIndex(0));
    for strike in &played.strikes {
        let tone = fingering.tone(tones.of_note(strike.note).unwrap());
        assert_eq!(Some(strike.place), tone.left.map(|it| it.place));
        let until = tone.sounds_until.since_start().whole_notes() * 2.0;
        assert!(strike.until.0 <= until + 1e-9);
    }
}
