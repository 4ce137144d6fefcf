//! Notes that end before they should, or ring on after it.

use apoyando_fingering::Severity;

use super::{Found, Told};
use crate::answer::damping;
use crate::heard::Role;
use crate::when;

impl Told<'_> {
    pub(super) fn cut_short(&self, found: &mut Found) {
        for sound in &self.music.sounds {
            let Some(tone) = sound.tones.first() else { continue };
            let played = self.fingering.tone(*tone);
            if played.left.is_none() || played.sounds_until >= sound.written_end {
                continue;
            }
            let voice = match sound.role {
                Role::Melody => "melody",
                Role::Bass => "bass",
                Role::Inner => continue,
            };
            let left = sound.written_end - played.sounds_until;
            let severity = if left * 4 <= sound.written_end - sound.onset {
                Severity::Advice
            } else {
                Severity::Warning
            };
            let name = self.name_of(*tone);
            let score = self.problem.score;
            let rule =
                if sound.role == Role::Melody { "melody-cut-short" } else { "bass-cut-short" };
            self.say(
                found,
                sound.onset,
                (rule, severity),
                format!(
                    "the {voice} note {name} is let go at bar {}, beat {}, before its value is over",
                    when::bar_number(score, played.sounds_until),
                    when::beat(score, played.sounds_until)
                ),
                Some("write it shorter, or change what is struck there".to_owned()),
            );
        }
    }

    pub(super) fn rings_on(&self, found: &mut Found) {
        let (score, part) = (self.problem.score, self.problem.part);
        for ringing in damping::of_music(score, self.tones, self.music, self.fingering) {
            found.push((ringing.damp_at, ringing.told(score, part, self.tones)));
        }
    }
}
