//! Tiny scores, stain by stain.

use apoyando_engrave::meter::listing;
use apoyando_engrave::{Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{BarEnd, Clef, Ending, Metre, Score};

use crate::scores::Sketch;

fn listed(score: &Score) -> String {
    let style = Style { line_width: StaffSpaces(50.0), ..Style::default() };
    let engraving = engrave(&Sheet::bare(score), &style);
    let lines: Vec<String> = engraving.systems.iter().map(|s| listing(&s.drawing)).collect();
    // The five lines of every staff say nothing.
    let text = lines.join("\n");
    let told = text.lines().filter(|line| !line.starts_with("StaffLine"));
    told.collect::<Vec<_>>().join("\n")
}

fn one(fifths: i32, metre: Metre, voices: &[&str]) -> String {
    listed(&Sketch::new(fifths, metre, voices).score())
}

macro_rules! tiny {
    ($($name:ident: $fifths:expr, $count:expr, $unit:expr, $voices:expr;)*) => {
        $(#[test]
        fn $name() {
            insta::assert_snapshot!(one($fifths, Metre::new($count, $unit), $voices));
        })*
    };
}

tiny! {
    quarters: 0, 4, 4, &["C4:q A3:q B4:q r:q"];
    eighths_in_halves: 1, 4, 4, &["G3:8 A3:8 B3:8 C4:8 D4:8 E4:8 F#4:8 G4:8"];
    dotted_in_compound: -1, 6, 8, &["F3:q. A3:8. Bb3:16 C4:8"];
    triplet: 0, 2, 4, &["3[ C4:8 D4:8 E4:8 ] 3[ r:8 E3:8 G3:8 ]"];
    chord_with_second: 0, 2, 4, &["G3+A3+C4+D4:q A2+E3+A3:q"];
    ornaments: 0, 4, 4, &["C4:q% E3:q_ A4:8^ B4:8& C4:q$!"];
    ornaments_of_two_voices: 0, 2, 4, &["C4:q_ E4:q^", "A2:q% E3:q&"];
    harmonics: 0, 2, 4, &["E4:q* A3:q@"];
    spread_chord: 0, 2, 4, &["G3:q E3+G#3+C4:q?"];
    tenuto_and_ringing: 0, 2, 4, &["C4:q-' E3+G3+C4:q;"];
    stacked_accidentals: 0, 2, 4, &["F#3+A#3+C#4+F#4:q F3+A3+C4+F4:q"];
    voices_a_second_apart: 0, 3, 4, &["C4:h. | E4:q r:q E4:q", "B3:h. | E4:h D4:q"];
    tie_over_the_bar: 0, 2, 4, &["E4:h~ | E4:q. D4:8"];
    slur_and_fermata: 0, 2, 4, &["C4:8( D4:8 E4:8 F4:8) | G4:h!"];
    bar_of_rest: 0, 3, 4, &["R | C4:h."];
    grace_notes: -1, 2, 4, &["{/B3}C4:q {F4,G4}A4:q"];
    grace_notes_of_two_voices: 0, 2, 4, &["{/F#4}G4:h", "{/D3}E3:h"];
    glissando_over_the_bar: 0, 2, 4, &["C4:h/ | G4:h\\"];
    sixteenths_with_stub: 0, 2, 4, &["A3:8. B3:16 C4:16 D4:8 E4:16"];
}

#[test]
fn repeat_with_endings() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["C4:h | D4:h | E4:h"]);
    sketch.bars(|bars| {
        bars[0].repeat_start = true;
        bars[1].ending = Some(Ending { passes: vec![1], first: true, last: true });
        bars[1].repeat_end = Some(2);
        bars[2].ending = Some(Ending { passes: vec![2], first: true, last: true });
        bars[2].end = BarEnd::Final;
    });
    insta::assert_snapshot!(listed(&sketch.score()));
}

#[test]
fn dynamics() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["C4:q E2:q | G3:h"]);
    sketch.loud(0, "mp@0 <0-2 ff@2 >5/2-4");
    insta::assert_snapshot!(listed(&sketch.score()));
}

#[test]
fn words_above_and_below() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["C4:q E4:q | G3:h"]);
    sketch.loud(0, "mp@0 <2-4").said(0, "dolce@0 | _cresc.@1 | pizz.@2");
    insta::assert_snapshot!(listed(&sketch.score()));
}

#[test]
fn lyrics() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["C4:q E4:q | G3:q F3:q"]);
    sketch.sung((0, 0), 1, "Glo- ri- a _").sung((0, 0), 2, "ah _ _ oh");
    insta::assert_snapshot!(listed(&sketch.score()));
}

#[test]
fn duet() {
    let mut sketch = Sketch::new(0, Metre::new(2, 4), &["E4:q C4:q"]);
    sketch.named("First").part("Second", Clef::Guitar, &["C3:8 G3:8 E3:8 G3:8"]);
    insta::assert_snapshot!(listed(&sketch.score()));
}
