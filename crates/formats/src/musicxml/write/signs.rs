//! Segno, coda, Fine and the jumps, as what is printed and what is played.

use apoyando_music::{Bar, Exit, JumpTo, Landmark, Score};

use super::xml::Xml;

/// Writes the sign at the beginning of a bar.
pub(super) fn at_start(xml: &mut Xml, score: &Score, index: usize) {
    let Some(landmark) = score.bars()[index].landmark else { return };
    let name = element(landmark);
    let label = label(score, landmark, index);
    direction(xml, |xml| xml.empty(name, &[]), (name, &label));
}

/// Writes the words at the end of a bar.
pub(super) fn at_end(xml: &mut Xml, score: &Score, index: usize) {
    let bar = &score.bars()[index];
    if let Some(exit) = bar.exit {
        let sound = match exit {
            Exit::Fine => ("fine", "yes".to_owned()),
            Exit::ToCoda => {
                let is_coda = |bar: &Bar| bar.landmark == Some(Landmark::Coda);
                let coda = (index + 1..score.bars().len()).find(|at| is_coda(&score.bars()[*at]));
                ("tocoda", label(score, Landmark::Coda, coda.unwrap_or(index)))
            }
        };
        words(xml, &exit.to_string(), (sound.0, &sound.1));
    }
    if let Some(jump) = bar.jump {
        let sound = match jump.to {
            JumpTo::Capo => ("dacapo", "yes".to_owned()),
            JumpTo::Segno => ("dalsegno", label(score, Landmark::Segno, index)),
        };
        words(xml, &jump.to_string(), (sound.0, &sound.1));
    }
}

const fn element(landmark: Landmark) -> &'static str {
    match landmark {
        Landmark::Segno => "segno",
        Landmark::Coda => "coda",
    }
}

/// The label of the last sign of a kind at or before a bar; they are counted.
fn label(score: &Score, landmark: Landmark, index: usize) -> String {
    let signs = score.bars()[..=index].iter().filter(|bar| bar.landmark == Some(landmark));
    signs.count().max(1).to_string()
}

fn words(xml: &mut Xml, text: &str, sound: (&str, &str)) {
    direction(xml, |xml| xml.text("words", &[], text), sound);
}

fn direction(xml: &mut Xml, shown: impl FnOnce(&mut Xml), sound: (&str, &str)) {
    xml.open("direction", &[("placement", "above")]);
    xml.open("direction-type", &[]);
    shown(xml);
    xml.close();
    xml.empty("sound", &[sound]);
    xml.close();
}
