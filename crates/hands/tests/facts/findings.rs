//! What a teacher is told of a fingering, each with its place and a remedy.

use apoyando_fingering::{
    BarreLimit, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule, Position, PositionSet,
    Scope, Severity, StringSet,
};
use apoyando_fretboard::StringNumber;
use apoyando_hands::Solution;
use apoyando_music::{BarIndex, Draft, EventMark, Metre, Score, ToneId};

use crate::staff::{draft, score, solve};

const SLUR: EventMark = EventMark::SlurStart { technical: true };

/// A score marked before it is put together: voice, bar and event of each mark.
fn marked(voices: &[&str], marks: &[((usize, usize, usize), EventMark)]) -> Score {
    let mut draft = draft(Metre::COMMON, None, voices);
    for ((voice, bar, event), mark) in marks {
        draft.parts[0].voices[*voice][*bar][*event].marks.push(*mark);
    }
    Score::assemble(draft).unwrap()
}

fn pin(tone: u32, rule: PinRule) -> Pin {
    Pin { scope: Scope::Tone(ToneId(tone)), rule, author: PinAuthor::Author }
}

fn string(tone: u32, number: u8) -> Pin {
    let number = StringNumber::new(number).unwrap();
    pin(tone, PinRule::Strings(StringSet::NONE.with(number)))
}

fn finger(tone: u32, digit: u8) -> Pin {
    pin(tone, PinRule::LeftFingers(LeftFingerSet::NONE.with(LeftFinger::from_digit(digit))))
}

fn position(number: u8) -> PositionSet {
    PositionSet::only(Position::new(number).unwrap())
}

/// The only finding of a rule: its weight, place, and message.
fn only<'a>(solution: &'a Solution, rule: &str) -> (Severity, (u32, &'a str), &'a str) {
    let mut of_rule = solution.findings.iter().filter(|finding| finding.rule == rule);
    let (Some(finding), None) = (of_rule.next(), of_rule.next()) else {
        panic!("{:#?}", solution.findings)
    };
    let (bar, beat) = (finding.place.bar.unwrap(), finding.place.beat.as_deref().unwrap());
    (finding.severity, (bar, beat), &finding.message)
}

fn says(solution: &Solution, rule: &str, at: (u32, &str), message: &str) {
    let (_, place, said) = only(solution, rule);
    assert_eq!(place, at, "{said}");
    assert!(said.ends_with(message), "{said}");
}

/// Two quarters in the second half of a bar, under a slur or a glissando.
fn two(notes: &str, begins: EventMark, ends: EventMark) -> Score {
    marked(&[&format!("r/2 {notes}")], &[((0, 0, 1), begins), ((0, 0, 2), ends)])
}

#[test]
fn slurs_that_cannot_be_made_say_why() {
    let slur = |notes: &str, pins: &[Pin]| {
        solve(&two(notes, SLUR, EventMark::SlurEnd), &Level::open(), pins)
    };
    let made = slur("F4/4 G4/4", &[]);
    assert!(made.findings.is_empty() && made.fingering.tones[1].joined, "{:?}", made.findings);

    let apart = slur("F4/4 G4/4", &[string(0, 1), string(1, 2)]);
    says(&apart, "slur-not-made", (1, "4"), "is plucked: they lie on ① and ②");
    let (severity, _, said) = only(&apart, "slur-not-made");
    assert_eq!(severity, Severity::Warning);
    assert!(said.starts_with("the slur from F4 (written F5) to G4 (written G5) is not made"));

    let far = slur("F4/4 C5/4", &[string(0, 1), string(1, 1)]);
    let (_, _, said) = only(&far, "slur-not-made");
    assert!(said.contains("the hand shifts from ") && said.ends_with(" between them"), "{said}");

    let same = slur("F4/4 F#4/4", &[string(0, 1), string(1, 1), finger(0, 1), finger(1, 1)]);
    let (_, _, said) = only(&same, "slur-not-made");
    assert!(
        said.ends_with("finger 1 would have to stop both") || said.contains("shifts"),
        "{said}"
    );
}

/// A note is pulled off to a finger that is down before: finger 1 is on ② then.
#[test]
fn a_slur_downwards_waits_for_its_finger() {
    let voices = ["r/2 G4/4 F4/4", "r/2 C4/4 r/4"];
    let marks = [((0, 0, 1), SLUR), ((0, 0, 2), EventMark::SlurEnd)];
    let score = marked(&voices, &marks);
    let pins = [string(0, 1), string(1, 2), finger(1, 1), string(2, 1), finger(2, 1)];
    let level = Level { positions: position(1), ..Level::first() };
    let solution = solve(&score, &level, &pins);
    says(&solution, "slur-not-made", (1, "4"), "finger 1 is not down on ①1 in time");
}

#[test]
fn a_glissando_needs_one_finger() {
    let glide = |pins: &[Pin]| {
        let score = two("F4/4 A4/4", EventMark::GlideStart, EventMark::GlideEnd);
        solve(&score, &Level::open(), pins)
    };
    assert!(glide(&[]).findings.is_empty());
    let pins = [string(0, 1), string(1, 1), finger(0, 1), finger(1, 3)];
    says(
        &glide(&pins),
        "glissando-not-made",
        (1, "4"),
        "one finger has to glide, and they are stopped by 1 and 3",
    );
}

/// Common practice, no source: the full barre of F leaves no finger for a trill on
/// its highest note.
#[test]
fn an_ornament_without_fingers_is_named() {
    let trill = |notes: &str| {
        let score = marked(&[notes], &[((0, 0, 0), EventMark::Trill)]);
        solve(&score, &Level::open(), &[])
    };
    assert!(trill("F4/1").findings.is_empty());
    says(
        &trill("F2+C3+F3+A3+C4+F4/1"),
        "ornament-not-made",
        (1, "1"),
        "its other note lies on ①3, where no finger is put down",
    );
    says(&trill("B5/1"), "ornament-not-made", (1, "1"), "① does not have its other note");
    let harmonic = marked(
        &["E5/1"],
        &[((0, 0, 0), EventMark::NaturalHarmonic), ((0, 0, 0), EventMark::Trill)],
    );
    says(
        &solve(&harmonic, &Level::open(), &[]),
        "ornament-not-made",
        (1, "1"),
        "a harmonic bears none",
    );
}

/// Physics: an open string sounds in 2, 3, 4 and 5 parts; F4 is in no such part of a
/// string of the usual tuning, and no string stops an E2, which an artificial
/// harmonic E3 needs.
#[test]
fn harmonics_that_are_nowhere_are_named() {
    for (note, mark, message) in [
        ("F4/1", EventMark::NaturalHarmonic, "no open string has it among its natural harmonics"),
        ("E3/1", EventMark::ArtificialHarmonic, "no string stops the note an octave below it"),
    ] {
        let solution = solve(&marked(&[note], &[((0, 0, 0), mark)]), &Level::open(), &[]);
        let (severity, at, said) = only(&solution, "harmonic-nowhere");
        assert_eq!((severity, at), (Severity::Error, (1, "1")));
        assert!(said.contains(message), "{said}");
        assert_eq!(solution.fingering.price.escapes, 1);
    }
}

/// The level is asked where the hand is, also while it is away from its position.
#[test]
fn a_hop_to_a_position_that_is_not_allowed_is_named() {
    let score = score(Metre::COMMON, None, &["F4/4 G4/4 C5/4 G4/4"]);
    let level = Level { positions: position(1), ..Level::open() };
    let solution = solve(&score, &level, &[string(2, 1)]);
    assert_eq!(solution.fingering.price.broken, 1);
    let away = solution.fingering.postures[2].away.expect("a hop");
    let message =
        format!("the hand goes from I to {away} for a moment, where the level does not allow it");
    says(&solution, "position-not-allowed", (1, "3"), &message);
}

#[test]
fn a_reach_and_a_barre_that_are_not_allowed_are_named() {
    let chord = score(Metre::COMMON, None, &["G#4+A4/1"]);
    let level = Level { positions: position(5), extension: 0, ..Level::open() };
    says(
        &solve(&chord, &level, &[string(0, 2), string(1, 1)]),
        "extension-too-wide",
        (1, "1"),
        "finger 4 must reach 1 fret out of its own in V, to ②9; the level allows 0",
    );

    let chord = score(Metre::COMMON, None, &["F2+C3+F3+A3+C4+F4/1"]);
    let level = Level { barre: BarreLimit::Half, ..Level::open() };
    says(
        &solve(&chord, &level, &[]),
        "barre-not-allowed",
        (1, "1"),
        "a barre over 6 strings at fret 1 is needed; the level allows a barre over up to four strings",
    );
}

#[test]
fn repeats_that_contradict_are_named() {
    let mut draft: Draft = draft(Metre::COMMON, None, &["C4/1 | D4/1 | E4/1"]);
    draft.bars[0].repeat_start = true;
    draft.bars[1].repeat_start = true;
    draft.bars[2].repeat_end = Some(2);
    let solution = solve(&Score::assemble(draft).unwrap(), &Level::open(), &[]);
    let (severity, at, said) = only(&solution, "repeats-not-followed");
    assert_eq!((severity, at), (Severity::Warning, (2, "1")));
    assert!(said.contains("fingered as they are written") && said.contains("close the first"));
    assert!(solution.fingering.seams.is_empty());
}

/// The way back of a repeat is told where it hurries the hand, and only there.
#[test]
fn a_hurried_way_back_is_named() {
    let round = |text: &str, quarters| {
        let mut draft = draft(Metre::COMMON, Some(quarters), &[text]);
        draft.bars[0].repeat_start = true;
        draft.bars[1].repeat_end = Some(2);
        let over = |bar: u32, rule| Pin {
            scope: Scope::Bars { first: BarIndex(bar), last: BarIndex(bar) },
            rule,
            author: PinAuthor::Author,
        };
        let pins = [
            over(0, PinRule::Positions(position(1))),
            over(1, PinRule::Positions(position(7))),
            over(1, PinRule::Strings(StringSet::NONE.with(StringNumber::FIRST))),
        ];
        solve(&Score::assemble(draft).unwrap(), &Level::open(), &pins)
    };
    let stopped = "F4/2 r/2 | r/2 B4/4 C5/8 D5/8";
    let solution = round(stopped, 120);
    let (severity, at, said) = only(&solution, "repeat-shifts");
    assert_eq!((severity, at), (Severity::Advice, (2, "4½")));
    assert_eq!(
        said,
        "the way back to bar 1, beat 1, asks for a shift from VII to I within 0.2 of a second"
    );
    assert!(round(stopped, 40).findings.is_empty(), "750 ms are time enough");
    let open = round("F4/2 r/2 | r/2 B4/4 D5/8 E4/8", 120);
    assert!(open.findings.iter().all(|finding| finding.rule != "repeat-shifts"));
}
