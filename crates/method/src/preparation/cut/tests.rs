//! What a cut keeps of grace notes and marks. The fingering leaves all places
//! open: only the notes matter here.

use EventMark::{Accent, Fermata, GlideEnd, GlideStart, NaturalHarmonic, SlurEnd, Trill};
use apoyando_fingering::{EffortTable, Fingering, Level, NO_HOUSE, Price, Problem, ToneFingering};
use apoyando_fretboard::Instrument;
use apoyando_music::{Base, Grace, KeySignature, Metre, PartIndex};

use super::*;

const SLUR: EventMark = EventMark::SlurStart { technical: true };

/// Bars of four quarters, changed before they are put together.
fn score(bars: &[[&str; 4]], change: impl FnOnce(&mut [Vec<DraftEvent>])) -> Score {
    let event = |pitch: &&str| {
        DraftEvent::notes(NoteValue::plain(Base::Quarter), &[pitch.parse().unwrap()])
    };
    let mut voice: Vec<Vec<DraftEvent>> =
        bars.iter().map(|bar| bar.iter().map(event).collect()).collect();
    change(&mut voice);
    let grid = (1..=bars.len() as u32)
        .map(|number| DraftBar::new(number, Metre::COMMON, KeySignature::NONE));
    let mut part = DraftPart::guitar(String::new());
    part.voices.push(voice);
    Score::assemble(Draft { bars: grid.collect(), parts: vec![part], ..Draft::default() }).unwrap()
}

/// What is cut out; tones let go at `silent` sound no longer than that.
fn cut_out(score: &Score, measures: &[Measure], silent: Moment) -> Score {
    let part = PartIndex(0);
    let tones = score.tones(part);
    let played = tones.as_slice().iter().map(|tone| ToneFingering {
        second: None,
        left: None,
        right: None,
        stroke: None,
        sounds_until: if tone.onset < silent { tone.end.min(silent) } else { tone.end },
        joined: false,
    });
    let fingering = Fingering {
        revision: score.revision(),
        part,
        tones: played.collect(),
        postures: Vec::new(),
        positions: Vec::new(),
        hops: Vec::new(),
        barres: Vec::new(),
        shifts: Vec::new(),
        seams: Vec::new(),
        let_go: Vec::new(),
        price: Price::default(),
        items: Vec::new(),
    };
    let (instrument, effort) = (Instrument::guitar(), EffortTable::default());
    let (level, pins) = (Level::open(), Pins::default());
    let problem = Problem {
        score,
        part,
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort: &effort,
        house: &NO_HOUSE,
    };
    let reading = Reading::of(&problem, &fingering).unwrap();
    cut(&reading, measures, true).unwrap().score
}

fn grace(pitch: &str) -> Grace {
    Grace { pitch: pitch.parse().unwrap(), slashed: true }
}

fn marks(score: &Score, bar: usize) -> Vec<&[EventMark]> {
    score.parts()[0].voices[0].bars[bar].iter().map(|event| &event.marks[..]).collect()
}

const BAR: Measure = Measure { bar: BarIndex(1), landing: false };
const LANDING: Measure = Measure { bar: BarIndex(2), landing: true };

/// What lies over the edge of a cut is left out, a glissando like a slur; what
/// belongs to a note goes with it.
#[test]
fn a_cut_keeps_grace_notes_and_whole_spans() {
    let score = score(&[["F4", "G4", "F4", "G4"], ["G4", "A4", "C5", "D5"], ["E5"; 4]], |bars| {
        bars[0][3].marks = vec![GlideStart];
        bars[1][0].marks = vec![GlideEnd, Trill, GlideStart];
        bars[1][0].graces = vec![grace("F4"), grace("A4")];
        bars[1][1].marks = vec![SLUR, GlideEnd];
        bars[1][2].marks = vec![SlurEnd, NaturalHarmonic];
        bars[1][3].marks = vec![GlideStart, SLUR, Accent];
        bars[2][0].marks = vec![Fermata, GlideEnd, NaturalHarmonic, SlurEnd, Trill];
        bars[2][0].graces = vec![grace("D5")];
    });
    let cut = cut_out(&score, &[BAR, LANDING], Moment::START);
    let kept: [&[EventMark]; 4] =
        [&[Trill, GlideStart], &[SLUR, GlideEnd], &[SlurEnd, NaturalHarmonic], &[Accent]];
    assert_eq!(marks(&cut, 0), kept);
    // Of the landing, what is played at its onset.
    assert_eq!(marks(&cut, 1)[0], [NaturalHarmonic, Trill]);
    let graces = |bar: usize| &cut.parts()[0].voices[0].bars[bar][0].graces;
    assert_eq!(*graces(0), [grace("F4"), grace("A4")]);
    assert_eq!(*graces(1), [grace("D5")]);
}

/// A note tied into the cut and let go before it is silent there: it takes its
/// marks and grace notes with it, and what ends or begins at it.
#[test]
fn what_is_silent_in_a_cut_has_no_marks() {
    let score = score(&[["F4", "G4", "A4", "G4"], ["G4", "A4", "C5", "D5"]], |bars| {
        bars[0][3].notes[0].tied = true;
        bars[1][0].marks = vec![GlideStart, Trill];
        bars[1][0].graces = vec![grace("F4")];
        bars[1][1].marks = vec![GlideEnd, GlideStart];
        bars[1][2].marks = vec![GlideEnd];
    });
    let start = score.bars()[1].start;
    let cut = cut_out(&score, &[BAR], start);
    let kept: [&[EventMark]; 4] = [&[], &[GlideStart], &[GlideEnd], &[]];
    assert_eq!(marks(&cut, 0), kept);
    assert!(cut.parts()[0].voices[0].bars[0][0].graces.is_empty());
    // Heard, it keeps them.
    let cut = cut_out(&score, &[BAR], Moment::START);
    assert_eq!(marks(&cut, 0)[0], [GlideStart, Trill]);
}
