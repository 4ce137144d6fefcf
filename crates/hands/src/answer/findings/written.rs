//! What is written and not made: slurs, glissandi, ornaments.

use apoyando_fingering::{Barre, Hinge, LeftFinger, Placement, Posture, Severity};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::JoinKind;

use super::{Found, Told};
use crate::heard::{Kind, Sound};

impl Told<'_> {
    /// The postures at an onset and at the one before.
    fn around(&self, sound: &Sound) -> Option<(&Posture, &Posture)> {
        let postures = &self.fingering.postures;
        Some((postures.get(sound.layer.checked_sub(1)?)?, postures.get(sound.layer)?))
    }

    /// Slurs and glissandi that have to be plucked (term `join`).
    pub(super) fn joins_not_made(&self, found: &mut Found) {
        for sound in &self.music.sounds {
            let (Some(join), Some(tone)) = (sound.joined, sound.tones.first()) else { continue };
            let from = &self.music.sounds[join.from];
            let how = self.fingering.tone(*tone);
            let (Some(here), false, Some(first)) = (how.left, how.joined, from.tones.first())
            else {
                continue;
            };
            let Some((before, posture)) = self.around(sound) else { continue };
            let why = match self.fingering.tone(*first).left {
                None => "the first is left out".to_owned(),
                Some(_) if !before.sounding.iter().any(|(tone, _)| tone == first) => {
                    "the first no longer sounds".to_owned()
                }
                Some(there) => self.why_not_joined((from, there), (sound, here), (before, posture)),
            };
            let (rule, what, remedy) = match join.kind {
                JoinKind::Slur => (
                    "slur-not-made",
                    "slur",
                    "pin both notes to one string in one position, or take the slur out",
                ),
                JoinKind::Glide => (
                    "glissando-not-made",
                    "glissando",
                    "pin both notes to one string and one finger, or take the glissando out",
                ),
            };
            self.say(
                found,
                sound.onset,
                (rule, Severity::Warning),
                format!(
                    "the {what} from {} to {} is not made, the second is plucked: {why}",
                    self.name_of(*first),
                    self.name_of(*tone)
                ),
                Some(remedy.to_owned()),
            );
        }
    }

    /// What stands in the way of a join (model §5, *played joined*).
    fn why_not_joined(
        &self,
        (from, there): (&Sound, Placement),
        (to, here): (&Sound, Placement),
        (before, after): (&Posture, &Posture),
    ) -> String {
        if from.kind != Kind::Plain || to.kind != Kind::Plain {
            return "a harmonic is plucked".to_owned();
        }
        if there.place.string != here.place.string {
            return format!("they lie on {} and {}", there.place.string, here.place.string);
        }
        let glides = to.joined.is_some_and(|join| join.kind == JoinKind::Glide);
        if glides {
            return match (there.finger, here.finger) {
                (Some(one), Some(other)) => {
                    format!("one finger has to glide, and they are stopped by {one} and {other}")
                }
                _ => "a finger cannot glide from or to an open string".to_owned(),
            };
        }
        if let (Some(one), Some(other)) = (before.position, after.position)
            && one != other
        {
            return format!("the hand shifts from {one} to {other} between them");
        }
        if before.away.is_some() || after.away.is_some() {
            return "the hand is away for a moment at one of them".to_owned();
        }
        match (there.finger, here.finger) {
            (Some(one), Some(other)) if one == other => {
                format!("finger {one} would have to stop both")
            }
            (_, Some(finger)) => {
                format!("finger {finger} is not down on {} in time", here.place)
            }
            (_, None) => "the string is not pulled".to_owned(),
        }
    }

    /// Ornaments without their fingers (term `ornament`).
    pub(super) fn ornaments_not_made(&self, found: &mut Found) {
        for sound in self.music.sounds.iter().filter(|sound| !sound.auxiliaries.is_empty()) {
            let Some(tone) = sound.tones.first() else { continue };
            let Some(left) = self.fingering.tone(*tone).left else { continue };
            let Some(posture) = self.fingering.postures.get(sound.layer) else { continue };
            let name = self.name_of(*tone);
            let why = if sound.kind == Kind::Plain {
                let missing = sound
                    .auxiliaries
                    .iter()
                    .find_map(|key| self.auxiliary_missing(posture, left.place, *key));
                let Some(missing) = missing else { continue };
                missing
            } else {
                "a harmonic bears none".to_owned()
            };
            self.say(
                found,
                sound.onset,
                ("ornament-not-made", Severity::Warning),
                format!("the ornament on {name} is left without its fingers: {why}"),
                Some(
                    "pin the note where a finger is free for its neighbour, thin the chord, or take the ornament out"
                        .to_owned(),
                ),
            );
        }
    }

    /// What an ornament lacks for one of its keys; `None` if it has it (P11).
    fn auxiliary_missing(&self, posture: &Posture, on: Place, key: i16) -> Option<String> {
        let string = on.string;
        let Some(fret) = self.geometry.fret(string.index(), key) else {
            return Some(format!("{string} does not have its other note"));
        };
        let place = Place { string, fret: Fret(fret) };
        let given = fret == 0
            || posture.bound.iter().any(|(_, bound)| *bound == place)
            || posture
                .barre
                .is_some_and(|barre| barre.fret == place.fret && is_laid(posture, barre, string));
        (!given).then(|| format!("its other note lies on {place}, where no finger is put down"))
    }
}

/// Whether a string lies under the laid part of a barre (P4).
fn is_laid(posture: &Posture, barre: Barre, string: StringNumber) -> bool {
    let stopped = || posture.of_finger(LeftFinger::One).map(|placement| placement.place.string);
    let (thinnest, thickest) = (stopped().min(), stopped().max());
    barre.covers(string)
        && match posture.hinge {
            None => true,
            Some(Hinge::Thin) => thinnest.is_some_and(|thinnest| string >= thinnest),
            Some(Hinge::Thick) => thickest.is_some_and(|thickest| string <= thickest),
        }
}
