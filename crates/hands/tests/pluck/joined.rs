//! Cases worked out by hand of what is not plucked (model §6): sounds left out
//! or played joined, and layers in which nothing is left.

use apoyando_fingering::{
    EffortTable, Fingering, Level, Pins, Placement, Price, Problem, RightFinger, RightPlan,
    ToneFingering,
};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftPart, Duration, KeySignature, Metre, Moment, NoteValue,
    PartIndex, Pitch, Score, Tempo,
};

use RightFinger::{A, I, M, P};

use crate::brute::{Brute, Hand};

/// Quarter notes at a tempo, one voice to a line, chords with `+`.
fn score(per_minute: u16, voices: &[&str]) -> Score {
    let event = |word: &str| {
        let pitches: Vec<Pitch> =
            word.split('+').filter(|name| *name != "r").map(|name| name.parse().unwrap()).collect();
        DraftEvent::notes(NoteValue::plain(Base::Quarter), &pitches)
    };
    let events = |line: &&str| line.split(' ').map(event).collect::<Vec<_>>();
    let mut part = DraftPart::guitar(String::new());
    part.voices = voices.iter().map(|line| vec![events(line)]).collect();
    let metre = Metre::new(part.voices[0][0].len() as u8, 4);
    let mut bar = DraftBar::new(1, metre, KeySignature::NONE);
    bar.tempo = Some(Tempo { value: NoteValue::plain(Base::Quarter), per_minute });
    Score::assemble(Draft { bars: vec![bar], parts: vec![part], ..Draft::default() }).unwrap()
}

/// Each tone with its string, in the order of their numbers; `j` joined, `-`
/// left out.
fn left(score: &Score, tones: &[&str]) -> Fingering {
    let tone = |word: &&str| {
        let string = word.trim_end_matches('j').parse().ok().and_then(StringNumber::new);
        let place = string.map(|string| Place { string, fret: Fret(0) });
        ToneFingering {
            second: None,
            left: place.map(|place| Placement { place, finger: None }),
            right: None,
            stroke: None,
            sounds_until: Moment::after_start(Duration::WHOLE),
            joined: word.ends_with('j'),
        }
    };
    Fingering {
        revision: score.revision(),
        part: PartIndex(0),
        tones: tones.iter().map(tone).collect(),
        postures: Vec::new(),
        positions: Vec::new(),
        hops: Vec::new(),
        barres: Vec::new(),
        shifts: Vec::new(),
        seams: Vec::new(),
        let_go: Vec::new(),
        price: Price::default(),
        items: Vec::new(),
    }
}

fn best(score: &Score, plan: &RightPlan, tones: &[&str]) -> (i32, Vec<Hand>) {
    let (instrument, level, pins) = (Instrument::guitar(), Level::open(), Pins::default());
    let problem = Problem {
        score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort: &EffortTable::default(),
        house: &apoyando_fingering::NO_HOUSE,
    };
    Brute::new(&problem, plan, &left(score, tones)).best()
}

/// E, the next tone not plucked, and G: i m, as if they followed one another.
#[test]
fn what_is_joined_or_left_out_is_passed_over() {
    let line = score(120, &["E4 F4 G4"]);
    let plan = RightPlan::default();
    assert_eq!(best(&line, &plan, &["1", "1", "1"]), (0, vec![vec![I], vec![M], vec![I]]));
    assert_eq!(best(&line, &plan, &["1", "1j", "1"]), (0, vec![vec![I], vec![M]]));
    assert_eq!(best(&line, &plan, &["1", "-", "1"]), (0, vec![vec![I], vec![M]]));
}

/// The first layer plucked is the first of the part: it begins with i.
#[test]
fn the_first_that_is_plucked_is_the_first() {
    let line = score(120, &["E4 F4 G4"]);
    let by_m = RightPlan::pattern(vec![M, I]);
    assert_eq!(best(&line, &by_m, &["1", "1", "1j"]), (12, vec![vec![M], vec![I]]));
    assert_eq!(best(&line, &by_m, &["-", "1", "1"]), (12, vec![vec![M], vec![I]]));
}

/// A pattern gives its fingers to what is plucked.
#[test]
fn a_pattern_passes_over() {
    let line = score(60, &["E3 C4 E4 C4"]);
    let plan = RightPlan::pattern(vec![P, I, M]);
    let hands = |tones: &[&str]| best(&line, &plan, tones).1;
    assert_eq!(hands(&["4", "2", "1", "2"]), [[P], [I], [M], [P]]);
    assert_eq!(hands(&["4", "2j", "1", "2"]), [[P], [I], [M]]);
}

/// Of a chord one sound is joined: the other is lone, and no chord at home.
#[test]
fn what_is_left_of_a_chord_is_lone() {
    let chords = score(120, &["E4 C4+E4"]);
    let plan = RightPlan::default();
    // i at home on ③ and not on ①, a on ①: i is two steps from home on ②.
    assert_eq!(best(&chords, &plan, &["1", "2j", "1"]).1, [[I], [M]]);
    assert_eq!(best(&chords, &plan, &["1", "2", "1"]).1, [vec![I], vec![M, A]]);
}

/// The thumb on basses 600 ms apart pays 12 a move, the hurry being 1; where they
/// are 1200 ms apart, as the one between is not plucked, it pays nothing.
#[test]
fn times_are_those_between_what_is_plucked() {
    let basses = score(100, &["E4 r r", "E2 F2 G2"]);
    let plan = RightPlan::default();
    assert_eq!(best(&basses, &plan, &["-", "6", "6", "6"]), (24, vec![vec![P], vec![P], vec![P]]));
    assert_eq!(best(&basses, &plan, &["-", "6", "6j", "6"]), (0, vec![vec![P], vec![P]]));
}
