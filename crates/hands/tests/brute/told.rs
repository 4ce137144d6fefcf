//! Postures and puzzles in few words, for whoever reads why a test failed.

use std::fmt::Write;

use apoyando_fingering::Posture;
use apoyando_music::{Duration, Moment};

use crate::question::Question;

fn at(moment: Moment) -> String {
    (moment - Moment::after_start(Duration::ZERO)).ratio().to_string()
}

/// A posture on a line.
pub fn posture(posture: &Posture) -> String {
    let mut told = format!("{}:", at(posture.at));
    if let Some(position) = posture.position {
        let _ = write!(told, " in {}", position.get());
    }
    if let Some(away) = posture.away {
        let _ = write!(told, " away at {}", away.get());
    }
    if posture.idle {
        told.push_str(" idle");
    }
    for (tone, at) in &posture.sounding {
        let finger = at.finger.map_or(0, |finger| finger.digit());
        let _ = write!(told, ", t{} {} by {finger}", tone.0, at.place);
    }
    if let Some(barre) = posture.barre {
        let _ = write!(told, ", {barre:?} {:?}", posture.hinge);
    }
    for (what, fingers) in [("stays", &posture.staying), ("bound", &posture.bound)] {
        for (finger, place) in fingers {
            let _ = write!(told, ", {} {what} at {place}", finger.digit());
        }
    }
    told
}

/// What is asked: sounds, the order of layers, pins.
pub fn question(q: &Question<'_>) -> String {
    let mut told = String::new();
    for (index, sound) in q.heard.sounds.iter().enumerate() {
        let tones: Vec<_> = sound.tones.iter().map(|tone| tone.0).collect();
        let _ = writeln!(
            told,
            "sound {index} {tones:?}: key {} {:?} {:?} from {} to {} wanted {} joined {:?} with {:?}",
            sound.key,
            sound.kind,
            sound.role,
            at(sound.onset),
            at(sound.written),
            at(sound.wanted),
            sound.from,
            sound.auxiliaries,
        );
    }
    let _ = writeln!(told, "{:?}", q.played);
    for pin in &q.pins {
        let _ = writeln!(told, "{pin:?}");
    }
    let _ = writeln!(told, "{:?}", q.problem.level);
    let _ = writeln!(told, "{:?}", q.problem.house);
    told
}
