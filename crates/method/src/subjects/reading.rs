//! Subjects of a fingered part.

use apoyando_fingering::{BarreSpan, Fingering, LeftFinger};
use apoyando_music::{Event, EventMark, Exit, JumpTo, Landmark, Score, WavyKind};

use super::{Movement, Sign, Subject, Subjects};

/// What a part asks its player to know. A metre signed C is four quarters.
#[must_use]
pub fn subjects(score: &Score, fingering: &Fingering) -> Subjects {
    let mut found = Subjects::new();
    bars(score, &mut found);
    let part = score.part(fingering.part);
    if part.voices.len() > 1 {
        found.insert(Subject::Voices(part.voices.len()));
    }
    for voice in &part.voices {
        for event in voice.bars.iter().flatten() {
            written(event, &mut found);
        }
        let lines = score.wavy_lines(voice);
        if lines.iter().any(|line| line.kind == WavyKind::Vibrato) {
            found.insert(Subject::Movement(Movement::Vibrato));
        }
    }
    if !part.dynamics.is_empty() {
        found.insert(Subject::Sign(Sign::Dynamics));
    }
    if !part.hairpins.is_empty() {
        found.insert(Subject::Sign(Sign::Hairpins));
    }
    played(score, fingering, &mut found);
    found
}

fn bars(score: &Score, found: &mut Subjects) {
    let signs = |sign| Subject::Sign(sign);
    for bar in score.bars() {
        found.insert(Subject::Signature(bar.signature.fifths()));
        found.insert(Subject::Metre(bar.metre.count, bar.metre.unit));
        found.extend((bar.repeat_start || bar.repeat_end.is_some()).then(|| signs(Sign::Repeats)));
        found.extend(bar.ending.is_some().then(|| signs(Sign::Endings)));
        found.extend(bar.jump.map(|jump| match jump.to {
            JumpTo::Capo => signs(Sign::DaCapo),
            JumpTo::Segno => signs(Sign::DalSegno),
        }));
        let coda = bar.landmark == Some(Landmark::Coda) || bar.exit == Some(Exit::ToCoda);
        found.extend(coda.then(|| signs(Sign::Coda)));
    }
    if score.bars().first().is_some_and(|bar| bar.length < bar.metre.bar()) {
        found.insert(signs(Sign::Pickups));
    }
}

fn written(event: &Event, found: &mut Subjects) {
    if event.is_rest() {
        return;
    }
    found.insert(Subject::Value(event.value.base, event.value.dots));
    found.extend(event.tuplet.map(|tuplet| Subject::Tuplet(tuplet.actual, tuplet.normal)));
    if !event.graces.is_empty() {
        found.insert(Subject::Movement(Movement::GraceNotes));
    }
    let movement = |it| Some(Subject::Movement(it));
    let sign = |it| Some(Subject::Sign(it));
    found.extend(event.marks.iter().filter_map(|mark| match mark {
        EventMark::SlurStart { technical: true } => movement(Movement::Slurs),
        EventMark::Trill => movement(Movement::Trills),
        EventMark::Mordent | EventMark::InvertedMordent => movement(Movement::Mordents),
        EventMark::Turn | EventMark::InvertedTurn => movement(Movement::Turns),
        EventMark::GlideStart => movement(Movement::Glissandi),
        EventMark::NaturalHarmonic => movement(Movement::NaturalHarmonics),
        EventMark::ArtificialHarmonic => movement(Movement::ArtificialHarmonics),
        EventMark::Arpeggio(_) => movement(Movement::SpreadChords),
        EventMark::Strum(_) => movement(Movement::Strums),
        EventMark::LetRing => movement(Movement::LettingRing),
        EventMark::Breath => sign(Sign::BreathMarks),
        EventMark::Caesura => sign(Sign::Caesuras),
        EventMark::Staccato => sign(Sign::Staccato),
        EventMark::Tenuto => sign(Sign::Tenuto),
        EventMark::Accent => sign(Sign::Accents),
        EventMark::Fermata => sign(Sign::Fermatas),
        EventMark::SlurStart { technical: false }
        | EventMark::SlurEnd
        | EventMark::GlideEnd
        | EventMark::Together
        // Which are vibrato, only the voice tells.
        | EventMark::WavyLine => None,
    }));
}

fn played(score: &Score, fingering: &Fingering, found: &mut Subjects) {
    let tones = score.tones(fingering.part);
    let mut together = 0;
    for (index, tone) in tones.as_slice().iter().enumerate() {
        let before = index.checked_sub(1).map(|before| &tones.as_slice()[before]);
        together = if before.is_some_and(|it| it.onset == tone.onset) { together + 1 } else { 1 };
        if together > 1 {
            found.insert(Subject::Together(together));
        }
        if tone.notes.len() > 1 {
            found.insert(Subject::Ties);
        }
        let Some(played) = fingering.tones.get(index) else { continue };
        if let Some(left) = played.left {
            found.insert(Subject::Note {
                key: tone.pitch.key_number(),
                name: tone.pitch.up_octaves(1).to_string(),
                string: left.place.string,
                fret: left.place.fret,
            });
            found.extend(left.finger.map(Subject::Finger));
            if let Some(second) = played.second {
                found.insert(Subject::Finger(second.finger));
                found.insert(Subject::Movement(Movement::Substitution));
            }
        }
        found.extend(played.right.map(Subject::Plucking));
    }
    found.extend(fingering.positions.iter().map(|span| Subject::Position(span.position)));
    found.extend(
        fingering.barres.iter().filter_map(|span| pressed(fingering, span)).map(Subject::Barre),
    );
    if !fingering.shifts.is_empty() {
        found.insert(Subject::Shifts);
    }
}

/// Over how many strings a barre presses: where it stops one string only, the finger just lies
/// flat, as on its way to the next chord.
fn pressed(fingering: &Fingering, span: &BarreSpan) -> Option<u8> {
    let within = fingering.postures.iter().filter(|it| (span.from..=span.to).contains(&it.at));
    let over = within.filter_map(|posture| {
        let strings = || posture.of_finger(LeftFinger::One).map(|it| it.place.string.index());
        let over = strings().max()? - strings().min()? + 1;
        (over > 1).then_some(over)
    });
    over.max().and_then(|over| u8::try_from(over).ok())
}
