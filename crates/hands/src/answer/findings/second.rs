//! Second fingers that were asked for and do not come (term `unchanged`).

use apoyando_fingering::{Allowance, Pin, PinAuthor, PinRule, Remedy, Scope, Severity};

use super::{Found, Told, in_words, releases};
use crate::heard::{Kind, Sound};

impl Told<'_> {
    /// Pins on second fingers that are not kept.
    pub(super) fn not_taken_over(&self, found: &mut Found) {
        for pin in self.pins {
            let (Scope::Tone(tone), PinRule::SecondFingers(set)) = (pin.scope, pin.rule) else {
                continue;
            };
            let sound = self.music.sounds.iter().find(|sound| sound.tones.contains(&tone));
            let Some(sound) = sound else { continue };
            let how = self.fingering.tone(tone);
            let kept = how.second.is_some_and(|second| set.contains(Some(second.finger)));
            if how.left.is_none() || kept {
                continue;
            }
            let severity = match pin.author {
                PinAuthor::Author => Severity::Error,
                PinAuthor::Import => Severity::Warning,
            };
            let (rule, why, remedy) = self.why_not(sound, pin);
            let mut remedies = releases([pin]);
            if !self.problem.level.substitution {
                remedies.insert(0, Remedy::Allow(Allowance::Substitution));
            }
            self.offer(
                found,
                sound.onset,
                (rule, severity),
                format!(
                    "{} is not taken over while it sounds ({} is {}): {why}",
                    self.name_of(tone),
                    in_words(&pin.rule),
                    match pin.author {
                        PinAuthor::Author => "pinned",
                        PinAuthor::Import => "in the file",
                    }
                ),
                (Some(remedy.to_owned()), remedies),
            );
        }
    }

    fn why_not(&self, sound: &Sound, pin: &Pin) -> (&'static str, String, &'static str) {
        let not_kept = "substitution-not-made";
        let take_away = "take the pin away";
        if !self.problem.level.substitution {
            return (
                "substitution-not-taught",
                "the level has not taught it".to_owned(),
                "say substitution = true in the level, or take the pin away",
            );
        }
        let first = sound.tones.first().and_then(|tone| self.fingering.tone(*tone).left);
        let finger = first.and_then(|first| first.finger);
        let allows =
            |finger| matches!(pin.rule, PinRule::SecondFingers(set) if set.contains(finger));
        let why = if sound.kind != Kind::Plain {
            "it is a harmonic"
        } else if !sound.auxiliaries.is_empty() {
            "it has an ornament"
        } else if finger.is_none() {
            "it is an open string"
        } else if sound.wanted_until <= sound.layer + 1 {
            "nothing else is struck while it sounds"
        } else if !apoyando_fingering::LeftFinger::ALL
            .into_iter()
            .any(|other| Some(other) != finger && allows(Some(other)))
        {
            "it is struck with that finger"
        } else {
            return (
                not_kept,
                "what the change would cost is more than it is worth".to_owned(),
                "pin the fingers around it as well, or take the pin away",
            );
        };
        (not_kept, why.to_owned(), take_away)
    }
}
