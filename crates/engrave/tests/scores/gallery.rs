//! A gallery of what occurs.
#![allow(dead_code)]

use apoyando_music::rhythm::MetreSign;
use apoyando_music::{
    BarEnd, Base, Clef, Ending, Exit, Jump, JumpTo, KeySignature, Landmark, Metre, NoteValue,
    Score, Tempo, Until,
};

use super::scores::Sketch;

#[path = "signs.rs"]
mod signs;
pub use signs::{breaths, cues, dashes, ossias, strums, wavy};

/// Names and scores.
pub fn all() -> Vec<(&'static str, Score)> {
    vec![
        ("scale", scale()),
        ("chords", chords()),
        ("two_voices", two_voices()),
        ("three_voices", three_voices()),
        ("duet", duet()),
        ("compound", compound()),
        ("triplets", triplets()),
        ("accidentals", accidentals()),
        ("ties", ties()),
        ("sixteenths", sixteenths()),
        ("dotted", dotted()),
        ("repeats", repeats()),
        ("to_the_coda", to_the_coda()),
        ("changes", changes()),
        ("collisions", collisions()),
        ("marks", marks()),
        ("ornaments", ornaments()),
        ("harmonics", harmonics()),
        ("spread", spread()),
        ("strums", strums()),
        ("breaths", breaths()),
        ("cues", cues()),
        ("wavy", wavy()),
        ("ossias", ossias()),
        ("breaks", breaks()),
        ("study", study()),
        ("broken_chords", broken_chords()),
        ("waltz", waltz()),
        ("dynamics", dynamics()),
        ("dynamics_of_two", dynamics_of_two()),
        ("words", words()),
        ("words_of_two", words_of_two()),
        ("dashes", dashes()),
        ("rehearsals", rehearsals()),
        ("song", song()),
        ("song_of_two", song_of_two()),
        ("long_rests", long_rests()),
        ("bar_repeats", bar_repeats()),
        ("let_ring", let_ring()),
        ("graces", graces()),
        ("graces_of_two_voices", graces_of_two_voices()),
        ("glissandi", glissandi()),
        ("left_hand_slurs", left_hand_slurs()),
        ("long", long()),
    ]
}

/// Three voices: the inner one moves with the melody, with the bass, and by itself.
pub fn three_voices() -> Score {
    let upper = "E4:q F4:q G4:q E4:q | A4:h G4:h | C5:q. B4:8 A4:h | G4:q r:q E4:h | E4:w";
    let inner = "C4:q A3:q E4:q C4:q | C4:8 D4:8 E4:8 F4:8 D4:q B3:q | E4:8 F4:8 E4:8 D4:8 C4:h | B3:q r:q C4:h | C4:w";
    let lower = "C3:h C3:h | F3:q E3:q G2:h | A2:h F3:8 E3:8 D3:8 C3:8 | G2:h C3:q r:q | C3:w";
    Sketch::new(0, Metre::COMMON, &[upper, inner, lower]).bars(|b| b[4].end = BarEnd::Final).score()
}

/// A piece that goes back to the sign and on to the coda, and plays a part three times.
pub fn to_the_coda() -> Score {
    let voice = "E4:q G4:q C5:q B4:q | A4:q G4:q F4:q E4:q | D4:8 E4:8 F4:8 D4:8 B3:h | C4:q E4:q A4:q A5:q | G4:q F4:q E4:q D4:q | E4:q C4:q D4:q B3:q | C4:h. r:q | A4:q F4:q D4:q B3:q | C4:w";
    let mut sketch = Sketch::new(0, Metre::COMMON, &[voice]);
    sketch.bars(|bars| {
        bars[0].words = "Allegretto".to_owned();
        bars[1].landmark = Some(Landmark::Segno);
        bars[1].repeat_start = true;
        bars[2].repeat_end = Some(3);
        bars[3].exit = Some(Exit::ToCoda);
        bars[5].exit = Some(Exit::Fine);
        bars[6].jump = Some(Jump { to: JumpTo::Segno, until: Until::Coda });
        bars[6].end = BarEnd::Double;
        bars[7].landmark = Some(Landmark::Coda);
        bars[8].end = BarEnd::Final;
    });
    sketch.score()
}

/// A scale up and down in quarters and eighths.
pub fn scale() -> Score {
    let voice = "G3:q A3:q B3:q C4:q | D4:q E4:q F#4:q G4:q | A4:8 B4:8 A4:8 G4:8 F#4:8 E4:8 D4:8 C4:8 | B3:8 A3:8 G3:8 F#3:8 E3:8 D3:8 C3:8 B2:8 | G2:w";
    Sketch::new(1, Metre::COMMON, &[voice]).bars(|b| b[4].end = BarEnd::Final).score()
}

/// Dynamics close together and far apart, high and low, hairpins between them,
/// over barlines, after one another and around a dynamic, tenuto lines.
pub fn dynamics() -> Score {
    let voice = "C4:q D4:q- E4:8 F4:8 G4:q-' | E2:q G2:q A2:h | A4:8 G4:8 F4:8 E4:8 D4:q> C4:q- | E3:16 F3:16 G3:16 A3:16 B3:q G3:h | R | C4:q E4:q-> G4:q E4:q- | D4:8 B3:8 G3:8 D3:8 E3:h | G3+B3+E4:h- r:q E2:q | C4:w";
    let loud = "p@0 <2-4 mf@4 >6-8 pp@8 <8-10 >10-12 sf@12 fp@25/2 sfz@13 f@16 >18-20 mp@20 <20-24 ff@22 fff@24 >25-28 p@28 <30-32 ppp@32 >33-36";
    Sketch::new(0, Metre::COMMON, &[voice]).loud(0, loud).bars(|b| b[8].end = BarEnd::Final).score()
}

/// Two parts, each with its own; the upper one in two voices.
pub fn dynamics_of_two() -> Score {
    let upper = "E4:q. F4:8 E4:q | D4:q. E4:8 D4:q | C4:8 B3:8 A3:8 B3:8 C4:8 D4:8 | E4:h.";
    let lower = "A2:q C4+A3:q C4+A3:q | G2:q B3+G3:q B3+G3:q | F2:q A3:q F3:q | E3:q G#3:q E3:q";
    let second = "A3:h C4:q | B3:h. | A3:q F3:q E2:q | B3:h.";
    Sketch::new(0, Metre::new(3, 4), &[upper, lower])
        .part("Guitar 2", Clef::Guitar, &[second])
        .loud(0, "mf@0 <3-6 f@6 >7-9 p@9")
        .loud(1, "mp@0 <4-8 mf@8 >9-12")
        .bars(|b| b[3].end = BarEnd::Final)
        .score()
}

/// Words above and below, close together, over high notes and long ones, among
/// dynamics and hairpins, at the end of a line.
pub fn words() -> Score {
    let voice = "C4:q E4:q G4:q C5:q | B4:8 A4:8 G4:8 F4:8 E4:q D4:q | E2:q G2:q A2:h | A4:q A5:q G4:h! | C4:q( D4:q E4:q F4:q) | E4:h G4:q r:q | R | C4:w";
    let loud = "p@0 <2-4 f@4 mp@8 >10-12 pp@12 <18-20 ff@20 p@28";
    let said = "dolce@0 | metálico@4 | _cresc.@5 | _poco a poco@7 | pont.@8 | tasto@9 | vibr.@13 | _sempre@12 | rit.@14 | pizz.@16 | _dim. molto@21 | étouffé, muy seco@23 | a tempo@24 | _morendo@30";
    Sketch::new(0, Metre::COMMON, &[voice])
        .loud(0, loud)
        .said(0, said)
        .bars(|b| {
            b[0].words = "Andante".to_owned();
            b[7].end = BarEnd::Final;
        })
        .score()
}

/// Words of two parts; the upper one in two voices.
pub fn words_of_two() -> Score {
    let upper = "E4:q. F4:8 E4:q | D4:q. E4:8 D4:q | C4:8 B3:8 A3:8 B3:8 C4:8 D4:8 | E4:h.";
    let lower = "A2:q C4+A3:q C4+A3:q | G2:q B3+G3:q B3+G3:q | F2:q A3:q F3:q | E3:q G#3:q E3:q";
    let second = "A3:h C4:q | B3:h. | A3:q F3:q E2:q | B3:h.";
    Sketch::new(0, Metre::new(3, 4), &[upper, lower])
        .part("Guitar 2", Clef::Guitar, &[second])
        .loud(0, "mf@0 >7-9 p@9")
        .loud(1, "mp@0 <4-8 mf@8 >9-12")
        .said(0, "dolce@0 | _cresc. poco a poco@2 | rit.@10")
        .said(1, "pizzicato@2 | nat.@6 | _con molta espressione@9")
        .bars(|b| b[3].end = BarEnd::Final)
        .score()
}

/// Rehearsal letters at the beginnings of lines, at repeats, over high notes, under a
/// tempo, beside endings and signs.
pub fn rehearsals() -> Score {
    let voice = "C4:q E4:q G4:q C5:q | B4:8 A4:8 G4:8 F4:8 E4:q D4:q | A5:q G5:q E5:h | A4:q A5:q G4:h! | C4:q( D4:q E4:q F4:q) | E4:h G4:q r:q | R | C4:w";
    let mut sketch = Sketch::new(0, Metre::COMMON, &[voice]);
    sketch.said(0, "dolce@8").bars(|bars| {
        for (at, letter) in [(0, "A"), (2, "B"), (3, "12"), (4, "C"), (6, "Coda"), (7, "Q")] {
            bars[at].rehearsal = letter.to_owned();
        }
        bars[0].words = "Andante".to_owned();
        bars[3].words = "Più mosso".to_owned();
        bars[4].repeat_start = true;
        bars[4].landmark = Some(Landmark::Segno);
        bars[5].ending = Some(Ending { passes: vec![1], first: true, last: true });
        bars[5].repeat_end = Some(2);
        bars[6].ending = Some(Ending { passes: vec![2], first: true, last: true });
        bars[7].end = BarEnd::Final;
    });
    sketch.score()
}

/// Three verses over basses: long and short syllables, words held over several notes
/// and over line breaks, low notes and dynamics above them.
pub fn song() -> Score {
    let upper = "C4:q D4:q E4:q | F4:8 E4:8 D4:8 C4:8 B3:q | C4:h D4:q | E4:h. | G4:q F4:8 E4:8 D4:q | C4:q( D4:q E4:q | F4:q E4:q D4:q | C4:h) r:q | E4:q D4:q C4:q | B3:q C4:q D4:q | C4:h. | C4:h r:q";
    let lower = "C3:h. | G2:h. | E2:h G2:q | C3:h. | E2:q G2:q B2:q | A2:h. | F2:h G2:q | C3:h. | A2:h. | G2:h. | C3:h. | C3:h.";
    let first = "Glo- ri- a in ex- cel- _ sis De- o et in ter- ra pax ho- _ _ _ _ _ mi- ni- bus bo- nae vo- lun- ta- tis.";
    let second = "When the night comes down and _ all is still the wind- ing streams go by _ _ _ _ _ _ and through the thought- ful mea- dow";
    let third = "La la la la la la la la la la la la la la ah _ _ _ _ _ _ * * * strength strengths";
    Sketch::new(0, Metre::new(3, 4), &[upper, lower])
        .loud(0, "p@0 <6-9 f@9")
        .sung((0, 0), 1, first)
        .sung((0, 0), 2, second)
        .sung((0, 0), 3, third)
        .bars(|b| b[11].end = BarEnd::Final)
        .score()
}

/// A voice that sings and a guitar that plays, words over joined barlines.
pub fn song_of_two() -> Score {
    let voice = "E4:q G4:q C5:q | B4:q A4:h | G4:8 F4:8 E4:8 D4:8 E4:q | C4:h.";
    let guitar = "C3:8 E3:8 G3:8 C4:8 G3:8 E3:8 | F2:8 C3:8 F3:8 A3:8 F3:8 C3:8 | G2:8 D3:8 G3:8 B3:8 G3:8 D3:8 | C3:h.";
    Sketch::new(0, Metre::new(3, 4), &[voice])
        .named("Voice")
        .part("Guitar", Clef::Guitar, &[guitar])
        .loud(0, "mf@0")
        .loud(1, "p@0")
        .said(0, "dolce@1")
        .sung((0, 0), 1, "Through the wood- lands far‿and wan- _ der- ing a- way.")
        .bars(|b| b[3].end = BarEnd::Final)
        .score()
}

/// Long rests, alone on their lines and beside music, cut where something stands at a
/// barline, and bars of rest that nobody asked to join.
pub fn long_rests() -> Score {
    let mut bars = vec!["C4:q E4:q G4:q C5:q"; 3];
    bars.extend(["R"; 12]);
    bars.extend(["B4:8 A4:8 G4:8 F4:8 E4:q D4:q", "R", "R", "C4:h D4:h"]);
    bars.extend(["R"; 5]);
    bars.push("C4:w");
    let voice = bars.join(" | ");
    let mut sketch = Sketch::new(0, Metre::COMMON, &[&voice]);
    sketch.loud(0, "p@0 mf@60 pp@76 f@96").bars(|bars| {
        bars[3].long_rest = Some(12);
        bars[19].long_rest = Some(5);
        bars[22].rehearsal = "B".to_owned();
        bars[24].end = BarEnd::Final;
    });
    sketch.score()
}

/// Bars that are printed as a sign for the one before, under dynamics and words, and one
/// that is not the same and is printed.
pub fn bar_repeats() -> Score {
    let upper = "r:8 G3:8 B3:8 E4:8 B3:8 G3:8 | r:8 G3:8 B3:8 E4:8 B3:8 G3:8 | r:8 G3:8 B3:8 E4:8 B3:8 G3:8 | r:8 A3:8 C#4:8 E4:8 C#4:8 A3:8 | r:8 A3:8 C#4:8 E4:8 C#4:8 A3:8 | r:8 A3:8 C4:8 E4:8 C4:8 A3:8 | r:8 A3:8 C4:8 E4:8 C4:8 A3:8 | G3+B3+E4:h.";
    let lower = "E2:h. | E2:h. | E2:h. | A2:h. | A2:h. | A2:h. | A2:h. | E2:h.";
    Sketch::new(1, Metre::new(3, 4), &[upper, lower])
        .again(0, &[1, 2, 4, 5, 6])
        .loud(0, "p@0 <3-9 f@9 p@15")
        .said(0, "dolce@3")
        .bars(|b| b[7].end = BarEnd::Final)
        .score()
}

/// Notes that ring on: alone, dotted, in chords, in two voices, before a barline.
pub fn let_ring() -> Score {
    let upper = "E4:q; C4:8; A3:8; G3+B3+E4:h; | E4:q.; D#4:8; F4+G4:q; C4:q | A4:h;- E3+A3+C4+E4:h;? | E4:q; D4:q; C4:h;";
    let lower = "x:w | x:w | x:w | E2:q; G2:q; C3:h;";
    Sketch::new(0, Metre::COMMON, &[upper, lower]).score()
}

/// Grace notes alone and in groups, with and without signs, before notes high
/// and low, under beams and before a chord.
pub fn graces() -> Score {
    let voice = "{/B3}C4:q {D4}C4:q {C4,D4}E4:q {/D#4}E4:q | {F#4}G4:8 {/A4}G4:8 {E4}D4:8 {/D4}C4:8 {B3,C4,D4}C4:h | {/G#2}A2:q {A5}G5:q {/F2}E2:q {D5,E5}F5:q | {/A4}A2+E3+A3+C#4:q {F4}F#4:q {G4,A4}B4:16 A4:16 {/G4}F#4:16 E4:16 {Bb3,C4}D4:q | {/B3}C4:h {/F4}A2+E3+A3+E4:h? | E3:8 {/G3}F3:8 {A3}G3:8 E3:8 G4:q.( {A4}G4:8) | C4:w";
    Sketch::new(1, Metre::COMMON, &[voice]).bars(|b| b[6].end = BarEnd::Final).score()
}

/// Grace notes of two voices, which keep their stems on their own sides.
pub fn graces_of_two_voices() -> Score {
    let upper = "{/F4}E4:q {D4,E4}F4:q G4:q | {A4}B4:h {/E4}D4:q | {F#4}G4:q {/G#4}A4:8 G4:8 E4:q | {/F4}E4:q r:q D4:q";
    let lower = "C3:q {/B2}C3:q {D3,E3}F3:q | {/F#3}G3:h. | {D3}E3:h {/F2}E2:q | {/D4}C4:q {F3}G3:8 B3:8 {/F3}E3:q";
    Sketch::new(0, Metre::new(3, 4), &[upper, lower]).score()
}

/// Glissandi up and down, level, between chords, over barlines and to grace
/// notes.
pub fn glissandi() -> Score {
    let voice = "C4:q/ G4:q\\ A4:q/ B3:q\\ | E4:q./ E4:8\\ D4:q/ D4:q\\ | E3+G3+C4:q/ G3+B3+E4:q\\ E3:8/ F#3:8 G#3:8 A3:8\\ | B4:h/ D4:h\\ | G3:h/ {/B3}C#4:q\\ r:q | A3:h D4:h/ | B4:w\\";
    Sketch::new(0, Metre::COMMON, &[voice]).bars(|b| b[6].end = BarEnd::Final).score()
}

/// Slurs that the left hand plays: in pairs, in runs, in chords, in two voices and
/// from string to string; one of three tones from a figure another ends at.
pub fn left_hand_slurs() -> Score {
    let upper = "E4:8< F4:8) G4:8< F4:8) E4:16< F4:16)< G4:16) E4:16 D4:8< C4:8) | G3+E4:q< G3+F4:q) A4:8< G4:8 F4:8 E4:8) | C4:8< D4:8) B3:8< D4:8) E4:h< | G4:h) E4+G4:q< E4+F4:q)";
    let lower = "C3:h E3:8< F3:8) E3:q | R | G2:8< A2:8) B2:8< C3:8) D3:h | C3:w";
    Sketch::new(0, Metre::COMMON, &[upper, lower]).bars(|b| b[3].end = BarEnd::Final).score()
}

/// Chords with seconds and without.
pub fn chords() -> Score {
    let voice = "E2+B2+E3+G3+B3+E4:h C3+E3+G3+C4+E4:h | A2+E3+A3+C4+E4:q D3+A3+D4+F4:q G3+A3+B3:q C4+D4+F4+G4:q | G3+A3+B3+C4:h. r:q | F3+G3:w";
    Sketch::new(0, Metre::COMMON, &[voice]).score()
}

/// A melody with basses.
pub fn two_voices() -> Score {
    let upper = "B3:q C4:q D4:q | E4:h D4:q | C4:8 B3:8 A3:q r:q | G3:h. | r:q B3:q D4:q | G4:q F#4:8 E4:8 D4:q | R | G3:h.";
    let lower = "G2:h. | C3:h B2:q | A2:h D3:q | G2:q B2:q G2:q | G2:h. | C3:q r:q D3:q | D3:q C3:q A2:q | G2:h.";
    Sketch::new(1, Metre::new(3, 4), &[upper, lower]).bars(|b| b[7].end = BarEnd::Final).score()
}

/// Two guitars.
pub fn duet() -> Score {
    let upper = "E4:q. D4:8 C4:q B3:q | A3:8 B3:8 C4:8 D4:8 E4:h | F4:q E4:8 D4:8 C4:q B3:q | A3:w | C4:8 D4:8 E4:8 F4:8 G4:q E4:q | A4:h G#4:h | A4:q E4:q C4:q B3:q | A3:w";
    let lower = "A2:8 E3:8 A3:8 E3:8 A2:8 E3:8 A3:8 E3:8 | F2:q C3:q G2:q G3:q | D3:8 A3:8 D3:8 A3:8 E3:8 G#3:8 E3:8 G#3:8 | A2:h E3:h | C3:q E3:q C3:q E3:q | D3:q F3:q E3:8 E3:8 D3:8 B2:8 | C3:q. B2:8 A2:q E2:q | A2:w";
    let mut sketch = Sketch::new(0, Metre::COMMON, &[upper]);
    sketch.named("Pupil").part("Teacher", Clef::Guitar, &[lower]);
    sketch.bars(|b| b[7].end = BarEnd::Final).score()
}

/// Six and nine eighths.
pub fn compound() -> Score {
    let voice = "E3:8 G3:8 B3:8 E4:8 B3:8 G3:8 | A2:8 E3:8 A3:8 C4:q. | D3:q A3:8 D4:q F4:8 | r:8 B3:8 A3:8 G3:8. A3:16 B3:8 | E3:16 F3:16 G3:16 A3:16 B3:16 C4:16 D4:q. | E3:h.";
    Sketch::new(1, Metre::new(6, 8), &[voice]).score()
}

/// Triplets with and without beams.
pub fn triplets() -> Score {
    let voice = "3[ C4:8 D4:8 E4:8 ] F4:q 3[ G4:8 F4:8 E4:8 ] D4:q | 3[ C4:q D4:q E4:q ] G4:h | 3[ C4:q D4:8 ] 3[ r:8 E3:8 G3:8 ] 3[ C3:8 E3:8 G3:8 ] C4:q";
    Sketch::new(0, Metre::COMMON, &[voice]).score()
}

/// Accidentals alone, in chords, and taken back.
pub fn accidentals() -> Score {
    let voice = "C#4:q D4:q Eb4:q E4:q | C4:q F#4:8 F4:8 G#4:q Ab4:q | F#3+C#4+D#4+A#4:h Eb3+Bb3+Db4+Gb4:h | Bb3+Eb4+Ab4:q B3+E4+G#4:q F##4:q Bbb3:q | G#3+A3+B#3:h E3+F#3+G#3+A#3:h";
    Sketch::new(0, Metre::COMMON, &[voice]).score()
}

/// Ties within bars, over barlines, in chords.
pub fn ties() -> Score {
    let voice = "C4:h~ C4:8 D4:8 E4:q~ | E4:q F4:8~ F4:8 G4:h~ | G4:w | A3+C4+E4:h~ A3+C4+E4:q G3+B3:q~ | G3+B3:h. E4:8~ E4:8 | D4:q.~ D4:8~ D4:h | G2:w~ | G2:h. r:q";
    Sketch::new(0, Metre::COMMON, &[voice]).score()
}

/// Sixteenths and shorter.
pub fn sixteenths() -> Score {
    let voice = "E3:16 G3:16 B3:16 E4:16 G4:16 E4:16 B3:16 G3:16 | A3:8 B3:16 C4:16 D4:16 C4:16 B3:8 | E4:16 F#4:8 G4:16 A4:8. G4:16 | E3:32 F#3:32 G3:32 A3:32 B3:32 A3:32 G3:32 F#3:32 E3:8 r:16 E3:16 | B4:16 G4:16 E4:16 B3:16 E3:q";
    Sketch::new(1, Metre::new(2, 4), &[voice]).score()
}

/// Dotted rhythms.
pub fn dotted() -> Score {
    let voice = "F3:q. G3:8 A3:q. Bb3:8 | C4:8. D4:16 E4:8. F4:16 G4:h | A4:h.. r:8 | r:q. C4:8 F4:8. r:16 F3+A3+C4:q. r:8 | F3:h. r:q";
    let mut sketch = Sketch::new(-1, Metre::COMMON, &[voice]);
    sketch.bars(|b| b[3].length = Some(apoyando_music::Duration::new(10, 8))).score()
}

/// Repeats, endings, a pickup, a tempo.
pub fn repeats() -> Score {
    let voice = "E4:q | A4:q G4:q F4:q E4:q | D4:q C4:q B3:q A3:q | B3:q D4:q G4:q F4:q | E4:h. E4:q | E4:w | C4:q D4:q E4:q F4:q | G4:w | A3:w";
    let mut sketch = Sketch::new(0, Metre::COMMON, &[voice]);
    sketch.bars(|bars| {
        bars[0].length = Some(apoyando_music::Duration::QUARTER);
        for (number, bar) in bars.iter_mut().enumerate() {
            bar.number = number as u32;
        }
        bars[0].words = "Andante".to_owned();
        bars[0].tempo = Some(Tempo { value: NoteValue::plain(Base::Quarter), per_minute: 72 });
        bars[1].repeat_start = true;
        bars[4].ending = Some(Ending { passes: vec![1], first: true, last: true });
        bars[4].repeat_end = Some(2);
        bars[5].ending = Some(Ending { passes: vec![2], first: true, last: true });
        bars[6].repeat_start = true;
        bars[7].repeat_end = Some(2);
        bars[8].end = BarEnd::Final;
        for bar in bars.iter_mut() {
            bar.metre.sign = MetreSign::Common;
        }
    });
    sketch.score()
}

/// Changes of key and metre.
pub fn changes() -> Score {
    let voice = "G3:q B3:q D4:q | G4:h. | A3:q C#4:q E4:q | A4:h. | F3:q A3:q | C4:q F4:q | A4:h | E4:q. D4:q. | C4:h.";
    let mut sketch = Sketch::new(1, Metre::new(3, 4), &[voice]);
    sketch.bars(|bars| {
        for bar in &mut bars[2..4] {
            bar.signature = KeySignature::new(3).unwrap();
        }
        for bar in &mut bars[4..7] {
            bar.signature = KeySignature::new(-1).unwrap();
            bar.metre = Metre::new(2, 4);
        }
        for bar in &mut bars[7..] {
            bar.signature = KeySignature::NONE;
            bar.metre = Metre::new(6, 8);
        }
        bars[3].end = BarEnd::Double;
    });
    sketch.score()
}

/// Voices that meet and cross.
pub fn collisions() -> Score {
    let upper = "C4:q D4:q E4:q F4:q | C4:h D4:q E4:q | B3:q. C4:8 D4:8 E4:8 F4:q | r:q G4:q r:8 A4:8 E4:q | C4+E4:h D4+F4:h | E4:q G3:q E4:w";
    let lower = "B3:q C4:q E4:q F4:h | C4:q D4:h F4:q | B3:h B3:8 C4:8 D4:q | E4:q r:q D4:q r:q | B3:h D4:q E4:q | F4:q C4:q F4:w";
    let lower = lower.replace("E4:q F4:h |", "E4:q F4:q |");
    let mut sketch = Sketch::new(0, Metre::COMMON, &[upper, &lower]);
    sketch.bars(|b| b[5].length = Some(apoyando_music::Duration::new(3, 2))).score()
}

/// Slurs, fermatas, articulations.
pub fn marks() -> Score {
    let voice = "C4:8( D4:8 E4:8 F4:8) G4:q' A4:q'> | E3:q( F3:q G3:q A3:q | B3:h) r:q C4:q! | E4:8( C4:8) D4:8( B3:8) C4:h! | G3:8( C4:8 E4:8 G4:8 E4:8 C4:8 G3:8 E3:8) | E2+B2+E3+G#3+B3+E4:h?! C3+C#3+A3:h?";
    Sketch::new(0, Metre::COMMON, &[voice]).score()
}

/// Ornaments over stems, beams, slurs and tuplets, close together, in two voices.
pub fn ornaments() -> Score {
    let upper = "C4:q% E4:q_ A4:q^ C5:q& | A3:8_ B3:8^ C4:8& D4:8$ E4:8^( F4:8_ G4:8) A4:8% | E5:q%! G4:q>_ 3[ A3:8^ B3:8 C4:8 ] F#4+A4:q& | E3:16^ F3:16 G3:16^ A3:16 G3:8 F3:8 C4:h% | C4:q_ D4:8^ E4:8 B3:h%";
    let lower = "x:w | x:w | x:w | x:w | A2:q^ E2:8_ G2:8 A3:h&!";
    Sketch::new(0, Metre::COMMON, &[upper, lower]).score()
}

/// Harmonics alone, in a run, in chords, in two voices.
pub fn harmonics() -> Score {
    let upper = "E3:q* A3:q* D4:q@ G4:q@ | B4:8@ E5:8@ G4:8* B4:8* E3+B3+E4:h* | A3:q@ E4:q@! C4:h*% | E4:q* B4:q@ E5:h*";
    let lower = "x:w | x:w | x:w | A2:q* E3:q@ E2:h*";
    Sketch::new(0, Metre::COMMON, &[upper, lower]).score()
}

/// Spread chords after short notes, with accidentals, dots, seconds, in one
/// of two voices, after a barline.
pub fn spread() -> Score {
    let upper = "E2+B2+E3+G#3+B3+E4:q? C3+E3+G3+C4:8? G3:8 C#4+D4+F#4:q.? A4:8 | A2+E3+A3+C4+E4:h.?% F3+G3:q? | E3+G3+C4:q? D4:q E3+G3+B3:h?";
    let lower = "x:w | x:w | C3:q G2:q A2+C3:h";
    Sketch::new(0, Metre::COMMON, &[upper, lower]).score()
}

/// Ties, slurs, signatures, repeats and endings over line breaks.
pub fn breaks() -> Score {
    let upper: Vec<&str> = (0..15)
        .map(|bar| match bar % 3 {
            0 => "E4:q( F4:q G4:q E4:q~",
            1 => "E4:h) C4+E4:h~",
            _ => "C4+E4:q D4:8 B3:8 C4:q E4:q",
        })
        .collect();
    let lower = ["C3:h G3:h~", "G3:h A3:h~", "A3:q F3:q G3:h"];
    let lower: Vec<&str> = (0..15).map(|bar| lower[bar % 3]).collect();
    let (upper, lower) = (upper.join("|"), lower.join("|"));
    let mut sketch = Sketch::new(0, Metre::COMMON, &[&upper, &lower.replace("G3:h |", "G3:h|")]);
    sketch.bars(|bars| {
        for bar in &mut bars[5..] {
            bar.signature = KeySignature::new(2).unwrap();
        }
        bars[10].repeat_start = true;
        for bar in &mut bars[10..] {
            bar.signature = KeySignature::new(-3).unwrap();
        }
        for (at, passes, first, last) in [
            (12, vec![1, 3], true, false),
            (13, vec![1, 3], false, true),
            (14, vec![2], true, true),
        ] {
            bars[at].ending = Some(Ending { passes, first, last });
        }
        bars[13].repeat_end = Some(3);
        bars[14].end = BarEnd::Final;
    });
    sketch.score()
}

/// A study in sixteenths over basses that share their heads.
pub fn study() -> Score {
    let upper = "A2:16 E3:16 A3:16 C4:16 E4:16 C4:16 A3:16 E3:16 | D3:16 A3:16 D4:16 F4:16 A4:16 F4:16 D4:16 A3:16 | E3:16 G#3:16 B3:16 E4:16 G#4:16 E4:16 B3:16 G#3:16 | A2:8 E3+A3+C4:8 E3+A3+C4:q";
    let lower = "A2:q A2:q | D3:q D3:q | E3:q E2:q | A2:q A2:q";
    let lower = lower
        .replace("A2:q A2:q | D3:q D3:q", "A2:q x:q | D3:q x:q")
        .replace("E3:q E2:q", "E3:q x:q");
    Sketch::new(0, Metre::new(2, 4), &[upper, &lower]).score()
}

/// Broken chords after a bass.
pub fn broken_chords() -> Score {
    let upper = "r:8 G3:8 B3:8 E4:8 B3:8 G3:8 | r:8 A3:8 C4:8 E4:8 C4:8 A3:8 | r:8 A3:8 B3:8 D#4:8 B3:8 A3:8 | r:8 G3:8 B3:8 E4:q. | r:8 G3:8 C4:8 G4:8 F#4:8 E4:8 | r:8 B3+D#4:8 B3+D#4:q r:q | G3+B3+E4:h.";
    let lower = "E2:h. | A2:h. | B2:h. | E2:h. | C3:h A2:q | B2:h B2:8 A2:8 | E2:h.";
    Sketch::new(1, Metre::new(3, 4), &[upper, lower]).bars(|b| b[6].end = BarEnd::Final).score()
}

/// A tune with basses and after-beats, close voices, dotted values in both.
pub fn waltz() -> Score {
    let upper = "E4:q. F4:8 E4:q | D4:q. E4:8 D4:q | C4:8 B3:8 A3:8 B3:8 C4:8 D4:8 | E4:h. | A4:q. G4:16 F4:16 E4:q | F4:q E4:q. D4:8 | C4:q B3:8. C4:16 B3:q | A3:h.";
    let lower = "A2:q C4+A3:q C4+A3:q | G2:q B3+G3:q B3+G3:q | F2:q A3:q F3:q | E3:q G#3:q E3:q | D3:q. A3:8 F3:q | D3:q A3:q F3:q | E3:h E3:q | A2:h.";
    Sketch::new(0, Metre::new(3, 4), &[upper, lower]).bars(|b| b[7].end = BarEnd::Final).score()
}

/// Long enough for several lines.
pub fn long() -> Score {
    two_voiced(32)
}

/// Long enough for a hundred lines.
pub fn very_long() -> Score {
    two_voiced(512)
}

fn two_voiced(bars: usize) -> Score {
    let upper: Vec<&str> = (0..bars)
        .map(|bar| match bar % 4 {
            0 => "E4:8 D4:8 C4:8 B3:8 A3:q B3:q",
            1 => "C4:q E4:q A4:h",
            2 => "G4:8 F4:8 E4:8 D4:8 C4:8 B3:8 A3:8 G#3:8",
            _ => "A3:h. r:q",
        })
        .collect();
    let lower: Vec<&str> = (0..bars)
        .map(|bar| match bar % 4 {
            0 => "A2:h C3:h",
            1 => "A2:q C3:q F3:q E3:q",
            2 => "D3:h E3:h",
            _ => "A2:q E2:q A2:q r:q",
        })
        .collect();
    let (upper, lower) = (upper.join("|"), lower.join("|"));
    Sketch::new(0, Metre::COMMON, &[&upper, &lower])
        .bars(|b| b[bars - 1].end = BarEnd::Final)
        .score()
}
