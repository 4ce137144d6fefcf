//! Signs of the guitar and of expression, for the gallery.

use apoyando_music::{BarEnd, Clef, Metre, PartIndex, Score};

use super::super::scores::Sketch;

/// Strums up and down, rasgueado in eighths, chords spread one way or not at all, with
/// accidentals, beside short notes and in two voices.
pub fn strums() -> Score {
    let upper = "E2+B2+E3+G#3+B3+E4:q↑ E2+B2+E3+G#3+B3+E4:8↑ E3+G#3+B3+E4:8↓ A2+E3+A3+C4+E4:q↑> G3+C4:q↓ | E2+B2+E3+G#3+B3+E4:8↑ E2+B2+E3+G#3+B3+E4:8↓ E2+B2+E3+G#3+B3+E4:8↑ E2+B2+E3+G#3+B3+E4:8↓ 3[ A2+E3+A3+C#4+E4:8↑ A2+E3+A3+C#4+E4:8↑ A2+E3+A3+C#4+E4:8↓ ] A2+E3+A3+C#4+E4:q↑! | C3+E3+G3+C4+E4:h⇑ G2+D3+G3+B3+G4:q⇓ C4+E4:q⇑ | F#3+A#3+C#4+F#4:q= D3+A3+D4+F4:8= E4:8 C4+D4:q= E4:q | C4+E4:q↓ B3+D4:q↑ E3+G3+C4:h=";
    let lower = "x:w | x:w | x:w | x:w | A2:q G2:q C3:h";
    Sketch::new(0, Metre::COMMON, &[upper, lower])
        .said(0, "rasg.@4")
        .bars(|b| b[4].end = BarEnd::Final)
        .score()
}

/// Breath marks and caesuras between notes high and low, under slurs, at barlines, before
/// accidentals, in two voices and after rests.
pub fn breaths() -> Score {
    let upper = "C4:q D4:q, E4:q F4:q, | G4:8 A4:8‖ B4:8 A4:8, G4:q r:q‖ | C5:q, E5:q‖ F#5:q A5:q, | C4:8( D4:8, E4:8 F4:8) G4:q!‖ F#4:q‖ | E4:q, D4:q C4:q‖ B3:q | C4:w‖";
    let lower = "x:w | x:w | x:w | x:w | C3:8 E3:8 G3:8 E3:8 A2:h‖ | C3:h, G2:h";
    Sketch::new(0, Metre::COMMON, &[upper, lower]).bars(|b| b[5].end = BarEnd::Final).score()
}

/// A part alone with cues before it enters: eighths and sixteenths, chords with accidentals
/// and dots, ties, low notes, rests, triplets, a dotted half.
pub fn cues() -> Score {
    let own = [
        "C4:q E4:q G4:h",
        "R",
        "R",
        "R",
        "C5:w",
        "R",
        "R",
        "R",
        "E4:h D4:h",
        "R",
        "R",
        "R",
        "C4:h C4:h",
        "R",
        "R",
        "R",
        "B3:w",
        "R",
        "R",
        "R",
        "C4:w",
        "R",
        "R",
        "R",
        "C4:w",
    ];
    let own = own.join(" | ");
    let other = [
        "C3:w",
        "C3:w",
        "C3:w",
        "C4:8 D4:8 E4:8 F4:8 G4:16 F4:16 E4:16 D4:16 C4:q",
        "C3:w",
        "C3:w",
        "C3:w",
        "F#3+A#3+C#4+F#4:q. G3:8 A3+B3:q~ A3+B3:8 G#3:8",
        "C3:w",
        "C3:w",
        "C3:w",
        "E2:8 F2:8 r:q G2:q. A2:16 B2:16",
        "C3:w",
        "C3:w",
        "C3:w",
        "3[ E4:8 F4:8 G4:8 ] A4:q 3[ r:q A5:8 ] E5:q",
        "C3:w",
        "C3:w",
        "C3:w",
        "C3:h. r:8 D5:8",
        "C3:w",
        "C3:w",
        "C3:w",
        "G4:h F4:h",
        "C3:w",
    ];
    let other = other.join(" | ");
    let mut sketch = Sketch::new(0, Metre::COMMON, &[&own]);
    sketch.named("Pupil").part("Teacher", Clef::Guitar, &[&other]);
    sketch.bars(|b| b[24].end = BarEnd::Final);
    sketch.score().part_alone(PartIndex(0))
}

/// Vibrato over notes long and short, high and low, over ties and a line break, in two
/// voices, and trills with their lines.
pub fn wavy() -> Score {
    let upper = "C4:h≈ E4:h≈ | A5:q≈ C4:8≈ D4:8≈ F4:h≈~ | F4:w≈ | E4:h%≈ B3:q≈ r:q | A4:h%≈~ A4:q≈ G4:q≈* | C4:q( E4:q≈ G4:q) A4:q≈! | E4:h≈ D4:h%≈ | C4:w≈~ | C4:w≈~ | C4:w≈";
    let lower = "x:w | x:w | x:w | x:w | x:w | x:w | C3:q≈ E3:q B2:h%≈ | C3:w | x:w | x:w";
    Sketch::new(0, Metre::COMMON, &[upper, lower]).bars(|b| b[9].end = BarEnd::Final).score()
}

/// Dashes after words above and below: to the next words, among dynamics and hairpins, to
/// a barline, over line breaks, too short to be seen, two at a time.
pub fn dashes() -> Score {
    let voice = "C4:q E4:q G4:q C5:q | B4:8 A4:8 G4:8 F4:8 E4:q D4:q | E2:q G2:q A2:h | A4:q A5:q G4:h | C4:q( D4:q E4:q F4:q) | E4:h G4:q F4:q | E4:8 D4:8 C4:8 B3:8 C4:q D4:q | C4:q E4:q D4:q B3:q | A3:q C4:q B3:q G#3:q | A3:w";
    let loud = "p@0 mf@4 f@8 <13-14 >34-36 pp@36";
    let said = "_cresc.@1-8 | rit.@5-8 | a tempo@8 | _dim. poco a poco@9-22 | rall.@14-27 | molto espr.@18 | _cresc.@23-24 | tempo I@28 | accel.@30-34 | _dim.@29-34 | rit.@38-40";
    Sketch::new(0, Metre::COMMON, &[voice])
        .loud(0, loud)
        .said(0, said)
        .bars(|b| b[9].end = BarEnd::Final)
        .score()
}

/// Ossias over single bars and two in a row, faster and slower than what they stand for, in
/// two voices, with accidentals, ties, slurs and signs, over high notes and words.
pub fn ossias() -> Score {
    let upper = "C4:q E4:q G4:q E4:q | D4:8 E4:8 F4:8 G4:8 A4:h | A5:q G5:q E5:h | C4:q D4:q E4:q F4:q | G4:h E4:h | F4:16 E4:16 D4:16 C4:16 B3:q C4:h | C4:w";
    let lower = "C3:h G2:h | D3:w | C3:w | A2:h F2:h | C3:h C3:h | G2:h C3:h | C3:w";
    let ossia = " | D4:q F#4:q A4:h~ | A4:h G4:8( F4:8 E4:q) | | 3[ G4:8 A4:8 B4:8 ] C5:q% E4:8. F4:16 E4:q! | F4:q. D4:8 C4:h |";
    let below = " | | | | C3:w | G2+B2:h C3:h |";
    Sketch::new(0, Metre::COMMON, &[upper, lower])
        .ossia(0, &[ossia, below])
        .said(0, "dolce@4 | rit.@20-24")
        .bars(|b| b[6].end = BarEnd::Final)
        .score()
}
