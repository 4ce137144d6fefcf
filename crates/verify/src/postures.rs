//! Reads the postures of a fingering against the layers of its score.

use std::collections::BTreeMap;

use apoyando_fingering::{Fingering, LeftFinger, Placement, Posture};
use apoyando_fretboard::Place;

use crate::hand::{Hand, Sounding};
use crate::joined::played_joined;
use crate::layers::Layers;
use crate::sounds::Kind;
use crate::violation::{Fault, Violation};

/// The hand at every layer. What does not agree within the fingering goes to
/// `found`.
///
/// # Errors
/// If there is not one posture for each layer and one entry for each tone.
pub(crate) fn read(
    all: &Layers<'_>,
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) -> Result<Vec<Hand>, Vec<Violation>> {
    if fingering.tones.len() != all.of_tone.len() {
        return Err(vec![Violation::whole(Fault::ToneCount {
            found: fingering.tones.len(),
            wanted: all.of_tone.len(),
        })]);
    }
    if fingering.postures.len() != all.layers.len() {
        return Err(vec![Violation::whole(Fault::PostureCount {
            found: fingering.postures.len(),
            wanted: all.layers.len(),
        })]);
    }
    let mut hands: Vec<Hand> = Vec::with_capacity(all.layers.len());
    for (layer, posture) in fingering.postures.iter().enumerate() {
        let mut reader = Reader { all, layer, posture, found };
        let hand = reader.hand(hands.last());
        hands.push(hand);
    }
    Ok(hands)
}

struct Reader<'a, 'b> {
    all: &'a Layers<'b>,
    layer: usize,
    posture: &'a Posture,
    found: &'a mut Vec<Violation>,
}

impl Reader<'_, '_> {
    fn report(&mut self, fault: Fault) {
        self.found.push(Violation::at(self.all.spot(self.layer), fault));
    }

    fn hand(&mut self, before: Option<&Hand>) -> Hand {
        let layer = &self.all.layers[self.layer];
        if self.posture.at != layer.at {
            self.report(Fault::PostureOnset { found: self.posture.at, wanted: layer.at });
        }
        let placements = self.placements();
        self.order(&self.posture.staying);
        self.order(&self.posture.bound);
        let mut hand = Hand {
            position: self.posture.position,
            away: self.posture.away,
            barre: self.posture.barre,
            hinge: self.posture.hinge,
            sounding: Vec::with_capacity(placements.len()),
            staying: self.posture.staying.clone(),
            bound: self.posture.bound.clone(),
            left_out: Vec::new(),
            let_go: Vec::new(),
            joined: Vec::new(),
        };
        for (sound, placement) in &placements {
            let struck = layer.struck.contains(sound);
            let natural = self.all.sounds[*sound].kind == Kind::Natural;
            hand.sounding.push(Sounding {
                sound: *sound,
                placement: *placement,
                struck,
                touched: struck && natural,
            });
        }
        hand.left_out = layer.struck.clone().filter(|s| !placements.contains_key(s)).collect();
        if let Some(before) = before {
            let gone = |sound: &usize| {
                !placements.contains_key(sound) && self.all.sounds[*sound].wanted_end > layer.at
            };
            hand.let_go = before.sounding.iter().map(|s| s.sound).filter(gone).collect();
        }
        // What lies before a cut leads to nothing.
        let before = before.filter(|_| layer.reached);
        if let Some(before) = before {
            hand.joined = played_joined(self.all, before, &hand);
        }
        self.idle(&hand, before);
        hand
    }

    /// Fingers are listed once each, from 1 to 4.
    fn order(&mut self, fingers: &[(LeftFinger, Place)]) {
        for pair in fingers.windows(2) {
            if pair[0].0 >= pair[1].0 {
                self.report(Fault::FingerOrder(pair[1].0));
            }
        }
    }

    /// The placement of every sound listed.
    fn placements(&mut self) -> BTreeMap<usize, Placement> {
        let layer = &self.all.layers[self.layer];
        let mut placements: BTreeMap<usize, (Placement, usize)> = BTreeMap::new();
        let mut last = None;
        for (tone, placement) in self.posture.sounding.iter().copied() {
            let Some(sound) = self.all.of_tone.get(tone.0 as usize).copied() else {
                self.report(Fault::UnknownTone(tone));
                continue;
            };
            if last.is_some_and(|last| last >= tone) {
                self.report(Fault::ToneOrder(tone));
                if last == Some(tone) {
                    continue;
                }
            }
            last = Some(tone);
            if !layer.struck.contains(&sound) && !layer.held.contains(&sound) {
                self.report(Fault::NotSounding(tone));
                continue;
            }
            match placements.get_mut(&sound) {
                None => {
                    placements.insert(sound, (placement, 1));
                }
                Some((other, tones)) if *other == placement => *tones += 1,
                Some((other, tones)) => {
                    *tones += 1;
                    let other = *other;
                    self.report(Fault::SoundInTwoPlaces { tone, one: other, other: placement });
                }
            }
        }
        for (sound, (_, tones)) in &placements {
            let wanted = &self.all.sounds[*sound].tones;
            if *tones < wanted.len() {
                self.report(Fault::SoundSplit(wanted[0]));
            }
        }
        placements.into_iter().map(|(sound, (placement, _))| (sound, placement)).collect()
    }

    /// Idle exactly when no finger is down, and then where it was.
    fn idle(&mut self, hand: &Hand, before: Option<&Hand>) {
        let idle = hand.idle();
        if self.posture.idle != idle {
            self.report(Fault::IdleFlag { found: self.posture.idle });
        }
        let last = before.and_then(|before| before.position);
        if idle && hand.position != last {
            self.report(Fault::IdlePosition { found: hand.position, wanted: last });
        }
    }
}
