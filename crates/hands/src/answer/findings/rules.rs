//! What the level does not allow (model §3, A1 to A5).

use apoyando_fingering::{
    Allowance, Barre, BarreLimit, LeftFinger, Placement, Position, Posture, Remedy, Severity,
};
use apoyando_fretboard::Place;
use apoyando_music::{Moment, Tone};

use super::{Found, Told};

const fn error(rule: &'static str) -> (&'static str, Severity) {
    (rule, Severity::Error)
}

fn allow(allowance: Allowance) -> Vec<Remedy> {
    vec![Remedy::Allow(allowance)]
}

/// The narrowest limit that allows a barre.
fn narrowest(barre: Barre) -> BarreLimit {
    let limits = [BarreLimit::Small, BarreLimit::Half, BarreLimit::Full];
    limits.into_iter().find(|limit| barre.width() <= limit.width()).unwrap_or(BarreLimit::Full)
}

impl Told<'_> {
    pub(super) fn broken(&self, found: &mut Found) {
        if self.fingering.price.broken == 0 {
            return;
        }
        for (posture, layer) in self.fingering.postures.iter().zip(&self.music.layers) {
            for sound in &self.music.sounds[layer.struck()] {
                let Some(tone) = sound.tones.first() else { continue };
                if let Some(left) = self.fingering.tone(*tone).left {
                    let tone = self.tones.get(*tone);
                    self.broken_placement(found, tone, left);
                    self.pins_on_placement(found, tone, &sound.tones, left);
                }
            }
            for (finger, place) in &posture.bound {
                self.finger_not_bound(found, posture.at, *finger, *place);
            }
            if !posture.idle
                && let Some(hand) = posture.away.or(posture.position)
            {
                self.broken_posture(found, posture, hand);
                self.pins_on_posture(found, posture, hand);
            }
        }
    }

    /// A1, A2.
    fn broken_placement(&self, found: &mut Found, tone: &Tone, left: Placement) {
        let level = self.problem.level;
        let name = self.name(tone.pitch);
        if left.place.fret > level.highest_fret {
            self.offer(
                found,
                tone.onset,
                error("fret-too-high"),
                format!(
                    "{name} needs fret {}, the level ends at {}",
                    left.place.fret, level.highest_fret
                ),
                (
                    Some("write it lower or raise the level's highest fret".to_owned()),
                    allow(Allowance::HighestFret(left.place.fret)),
                ),
            );
        }
        if !level.fingers.contains(left.finger) {
            let what = left.finger.map_or("an open string".to_owned(), |f| format!("finger {f}"));
            self.offer(
                found,
                tone.onset,
                error("finger-not-allowed"),
                format!("{name} needs {what}, which the level does not allow"),
                (
                    Some("change the note or allow it".to_owned()),
                    allow(Allowance::Finger(left.finger)),
                ),
            );
        }
    }

    /// A2 for a finger that an ornament needs.
    fn finger_not_bound(&self, found: &mut Found, at: Moment, finger: LeftFinger, place: Place) {
        if !self.problem.level.fingers.contains(Some(finger)) {
            self.offer(
                found,
                at,
                error("finger-not-allowed"),
                format!(
                    "an ornament needs finger {finger} on {place}, which the level does not allow"
                ),
                (
                    Some("take the ornament out or allow the finger".to_owned()),
                    allow(Allowance::Finger(Some(finger))),
                ),
            );
        }
    }

    /// A3 to A5, by the place of the hand.
    fn broken_posture(&self, found: &mut Found, posture: &Posture, hand: Position) {
        let level = self.problem.level;
        if !level.positions.contains(hand) {
            let message = match posture.away.and(posture.position) {
                Some(from) => format!(
                    "the hand goes from {from} to {hand} for a moment, where the level does not allow it"
                ),
                None => format!("position {hand} is needed, which the level does not allow"),
            };
            self.offer(
                found,
                posture.at,
                error("position-not-allowed"),
                message,
                (
                    Some("change the notes or allow the position".to_owned()),
                    allow(Allowance::Position(hand)),
                ),
            );
        }
        if let Some(barre) = posture.barre.filter(|b| b.width() > level.barre.width()) {
            self.offer(
                found,
                posture.at,
                error("barre-not-allowed"),
                format!(
                    "{} is needed; the level allows {}",
                    barre_in_words(barre, posture.hinge.is_some()),
                    limit_in_words(level.barre)
                ),
                (
                    Some(
                        "leave notes out, choose another chord shape or allow the barre".to_owned(),
                    ),
                    allow(Allowance::Barre(narrowest(barre))),
                ),
            );
        }
        for finger in LeftFinger::ALL {
            let sounding = posture.of_finger(finger).map(|placement| placement.place).next();
            let bound =
                || posture.bound.iter().find(|(f, _)| *f == finger).map(|(_, place)| *place);
            let Some(place) = sounding.or_else(bound) else { continue };
            let offset = hand.offset(finger, place.fret);
            let frets = if finger == LeftFinger::One { -offset } else { offset };
            if frets > i32::from(level.extension) {
                self.offer(
                    found,
                    posture.at,
                    error("extension-too-wide"),
                    format!(
                        "finger {finger} must reach {frets} {} out of its own in {hand}, to {place}; the level allows {}",
                        if frets == 1 { "fret" } else { "frets" },
                        level.extension
                    ),
                    (
                        Some("change the notes or allow the extension".to_owned()),
                        allow(Allowance::Extension(frets.clamp(0, 3) as u8)),
                    ),
                );
            }
        }
    }
}

fn barre_in_words(barre: Barre, hinge: bool) -> String {
    let lifted = if hinge { ", partly lifted," } else { "" };
    format!("a barre over {} strings at fret {}{lifted}", barre.width(), barre.fret)
}

pub(super) const fn limit_in_words(limit: BarreLimit) -> &'static str {
    match limit {
        BarreLimit::None => "no barre",
        BarreLimit::Small => "a barre over two strings",
        BarreLimit::Half => "a barre over up to four strings",
        BarreLimit::Full => "any barre",
    }
}

#[cfg(test)]
mod tests {
    use apoyando_fretboard::{Fret, StringNumber};

    use super::*;

    #[test]
    fn a_hinge_is_said_to_be_partly_lifted() {
        let string = |number| StringNumber::new(number).expect("a string");
        let barre = Barre { fret: Fret(2), thin: string(1), thick: string(4) };
        assert_eq!(barre_in_words(barre, false), "a barre over 4 strings at fret 2");
        let words = "a barre over 4 strings at fret 2, partly lifted,";
        assert_eq!(barre_in_words(barre, true), words);
    }
}
