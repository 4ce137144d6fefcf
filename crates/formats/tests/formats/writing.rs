//! The fingering in what is written.

use apoyando_fingering::{
    Barre, Fingering, LeftFinger, Pin, PinRule, Placement, Position, Price, RightFinger, Scope,
    SecondFinger, ToneFingering,
};
use apoyando_formats::musicxml::{Layer, write};
use apoyando_formats::read;
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber, Tuning};
use apoyando_marks::{BarreMark, HoldMark, LeftMark, Marks, PositionMark, StringMark};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftPart, EventMark, Exit, Grace, Heading, Jump, JumpTo,
    KeySignature, Landmark, Metre, Moment, NoteId, NoteValue, PartIndex, Score, Until,
};

use super::dump;

/// C4 E4 | A3 tied over, F3+C4 under a barre.
fn score() -> Score {
    let quarter = NoteValue::plain(Base::Quarter);
    let notes = |pitches: &[&str]| {
        let pitches: Vec<_> = pitches.iter().map(|pitch| pitch.parse().unwrap()).collect();
        DraftEvent::notes(quarter, &pitches)
    };
    let mut first = notes(&["C4"]);
    first.marks.push(EventMark::SlurStart { technical: true });
    let mut second = notes(&["E4"]);
    second.marks.push(EventMark::SlurEnd);
    let mut tied = notes(&["A3"]);
    tied.notes[0].tied = true;
    let mut part = DraftPart::guitar("Guitar".to_owned());
    part.voices.push(vec![
        vec![first, second],
        vec![tied, notes(&["A3"])],
        vec![notes(&["F3", "C4"]), notes(&["F#3"])],
    ]);
    let bars =
        (1..=3).map(|number| DraftBar::new(number, Metre::new(2, 4), KeySignature::NONE)).collect();
    Score::assemble(Draft { heading: Heading::default(), bars, parts: vec![part] }).unwrap()
}

fn fingering(score: &Score) -> Fingering {
    use LeftFinger::{One, Three, Two};
    // String, fret, left finger, right finger of every tone.
    let tones = [
        (2, 1, Some(One), RightFinger::I),
        (1, 0, None, RightFinger::M),
        (3, 2, Some(Two), RightFinger::I),
        (4, 3, Some(Three), RightFinger::P),
        (2, 1, Some(One), RightFinger::M),
        (4, 4, Some(Three), RightFinger::P),
    ];
    let end = score.end();
    let tones = tones
        .into_iter()
        .map(|(string, fret, finger, right)| ToneFingering {
            second: None,
            left: Some(Placement {
                place: Place { string: StringNumber::new(string).unwrap(), fret: Fret(fret) },
                finger,
            }),
            right: Some(right),
            stroke: None,
            sounds_until: end,
            joined: false,
        })
        .collect();
    Fingering {
        revision: score.revision(),
        part: PartIndex(0),
        tones,
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

/// A digit and a letter at the first note, ② at the first, the position, and
/// a half barre over the last bar.
fn marks(score: &Score) -> Marks {
    let mut marks = Marks::none(PartIndex(0), score.notes().len());
    marks.left[0] = Some(LeftMark::plain(Some(LeftFinger::One)));
    marks.left[1] = Some(LeftMark::plain(None));
    marks.left[6] = Some(LeftMark { guide: true, ..LeftMark::plain(Some(LeftFinger::Three)) });
    marks.right[0] = Some(RightFinger::I);
    let string = StringNumber::new(2).unwrap();
    marks.strings.push(StringMark { string, from: NoteId(0), to: NoteId(0) });
    let bar = |index: usize| score.bars()[index].start;
    marks.positions.push(PositionMark {
        position: Position::FIRST,
        from: Moment::START,
        to: bar(1),
        line: true,
    });
    let barre =
        Barre { fret: Fret(1), thin: StringNumber::FIRST, thick: StringNumber::new(3).unwrap() };
    let to = bar(2) + apoyando_music::Duration::QUARTER;
    marks.barres.push(BarreMark { barre, full: false, from: bar(2), to });
    let finger = LeftFinger::One;
    marks.holds.push(HoldMark { finger, from: NoteId(0), to: NoteId(2) });
    marks
}

fn written(instrument: &Instrument) -> String {
    let score = score();
    let (fingering, marks) = (fingering(&score), marks(&score));
    let layer = Layer { part: PartIndex(0), instrument, fingering: &fingering, marks: &marks };
    write(&score, &[layer])
}

#[test]
fn a_fingered_score() {
    insta::assert_snapshot!(written(&Instrument::guitar()));
}

#[test]
fn the_fingering_comes_back_as_pins() {
    let reading = read("again.musicxml", written(&Instrument::guitar()).as_bytes()).unwrap();
    insta::assert_snapshot!(dump::reading(&reading));
}

/// MusicXML 4.0, `fingering`: printed at the first note, kept unprinted at the third.
#[test]
fn a_finger_that_takes_over_comes_back_as_a_pin() {
    let score = score();
    let (mut fingering, mut marks) = (fingering(&score), marks(&score));
    let takes_over = |finger| Some(SecondFinger { finger, from: score.end() });
    fingering.tones[0].second = takes_over(LeftFinger::Three);
    fingering.tones[2].second = takes_over(LeftFinger::Four);
    marks.left[0] = Some(LeftMark {
        second: Some(LeftFinger::Three),
        ..LeftMark::plain(Some(LeftFinger::One))
    });
    let instrument = Instrument::guitar();
    let layer =
        Layer { part: PartIndex(0), instrument: &instrument, fingering: &fingering, marks: &marks };
    let text = write(&score, &[layer]);
    let both = "<fingering>1</fingering>";
    let at = text.find(both).expect("the first finger");
    let after = text[at + both.len()..].trim_start();
    assert!(after.starts_with("<fingering substitution=\"yes\">3</fingering>"), "{text}");
    let reading = read("again.musicxml", text.as_bytes()).unwrap();
    assert!(reading.findings.is_empty(), "{:?}", reading.findings);
    let second = |pin: &Pin| match (pin.scope, pin.rule) {
        (Scope::Tone(tone), PinRule::SecondFingers(set)) => {
            let only = LeftFinger::ALL.into_iter().filter(|finger| set.contains(Some(*finger)));
            Some((tone.0, only.map(LeftFinger::digit).collect::<Vec<_>>()))
        }
        _ => None,
    };
    let pins = &reading.pieces[0].pins[0].0;
    let seconds: Vec<_> = pins.iter().filter_map(second).collect();
    assert_eq!(seconds, [(0, vec![3]), (2, vec![4])]);
    let first = pins.iter().filter(|pin| matches!(pin.rule, PinRule::LeftFingers(_))).count();
    assert_eq!(first, 6, "each has the finger it is struck with");
}

#[test]
fn tuning_and_capo_are_stated_from_the_lowest_line_up() {
    let tuning: Tuning = "D2 A2 D3 G3 Bb3 E4".parse().unwrap();
    let text = written(&Instrument { tuning, capo: Fret(3), ..Instrument::guitar() });
    let lowest =
        "<staff-tuning line=\"1\">\n      <tuning-step>D</tuning-step>\n      <tuning-octave>2<";
    assert!(text.contains(lowest), "{text}");
    let fifth =
        "<staff-tuning line=\"5\">\n      <tuning-step>B</tuning-step>\n      <tuning-alter>-1<";
    assert!(text.contains(fifth), "{text}");
    assert!(text.contains("<capo>3</capo>"));
}

#[test]
fn a_layer_of_another_revision_is_left_out() {
    let score = score();
    let mut fingering = fingering(&score);
    fingering.revision = apoyando_music::Revision(1);
    let marks = marks(&score);
    let instrument = Instrument::guitar();
    let layer =
        Layer { part: PartIndex(0), instrument: &instrument, fingering: &fingering, marks: &marks };
    assert_eq!(write(&score, &[layer]), write(&score, &[]));
}

/// What a slur or a glissando makes sound is not plucked, whatever is printed.
#[test]
fn a_joined_note_is_not_plucked() {
    let score = score();
    let (mut fingering, marks) = (fingering(&score), marks(&score));
    let instrument = Instrument::guitar();
    let plucks = |fingering: &Fingering| {
        let layer = Layer { part: PartIndex(0), instrument: &instrument, fingering, marks: &marks };
        write(&score, &[layer]).matches("<pluck>").count()
    };
    assert_eq!(plucks(&fingering), 6);
    fingering.tones[1].joined = true;
    assert_eq!(plucks(&fingering), 5);
}

/// MusicXML 4.0: the order of elements in a note and in its notations, and what
/// each mark is called; ./test holds it against the schema.
#[test]
fn grace_notes_marks_and_signs() {
    let notes = |pitches: &[&str], marks: &[EventMark]| {
        let pitches: Vec<_> = pitches.iter().map(|pitch| pitch.parse().unwrap()).collect();
        let mut event = DraftEvent::notes(NoteValue::plain(Base::Quarter), &pitches);
        event.marks = marks.to_vec();
        event
    };
    let grace = |pitch: &str, slashed| Grace { pitch: pitch.parse().unwrap(), slashed };
    let mut first = notes(&["C4"], &[EventMark::Mordent, EventMark::Staccato]);
    first.graces = vec![grace("C#4", true)];
    let mut second = notes(&["C4", "E4"], &[EventMark::InvertedMordent, EventMark::GlideStart]);
    second.graces = vec![grace("D4", false), grace("Eb4", false)];
    let mut part = DraftPart::guitar(String::new());
    part.voices.push(vec![
        vec![first, second],
        vec![
            notes(&["D4", "F4"], &[EventMark::GlideEnd]),
            notes(&["E4", "B4"], &[EventMark::NaturalHarmonic]),
        ],
    ]);
    let bar = |number| DraftBar::new(number, Metre::new(2, 4), KeySignature::NONE);
    let mut bars = vec![bar(1), bar(2)];
    bars[0].landmark = Some(Landmark::Segno);
    bars[0].exit = Some(Exit::Fine);
    bars[1].jump = Some(Jump { to: JumpTo::Segno, until: Until::Fine });
    let score = Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap();
    insta::assert_snapshot!(write(&score, &[]));
}

#[test]
fn every_file_we_can_read_is_written_and_read_again() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/files");
    let mut written = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let Ok(reading) = read(&name, &std::fs::read(&path).unwrap()) else { continue };
        for piece in &reading.pieces {
            let text = write(&piece.score, &[]);
            let again = read("again.musicxml", text.as_bytes()).unwrap();
            let pitches = |score: &Score| {
                score
                    .notes()
                    .iter()
                    .map(|note| (note.part, note.onset, note.pitch, note.duration, note.tied_to))
                    .collect::<Vec<_>>()
            };
            assert_eq!(pitches(&piece.score), pitches(&again.pieces[0].score), "{name}");
            assert_eq!(piece.score.bars(), again.pieces[0].score.bars(), "{name}");
            written += 1;
        }
    }
    assert!(written > 50);
}
