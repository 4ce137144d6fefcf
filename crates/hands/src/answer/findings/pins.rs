//! Pins that are not kept, or exclude each other (model §3, A6).

use std::mem::discriminant;

use apoyando_fingering::{
    LeftFinger, Pin, PinAuthor, PinRule, Placement, Position, Posture, RightFinger, Scope, Severity,
};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_music::{Moment, Tone};

use super::rules::limit_in_words;
use super::{Found, Told, releases};
use crate::hand::limits::{forbids, takes_in};

impl Told<'_> {
    /// Pins on a sound that its placement does not keep.
    pub(super) fn pins_on_placement(
        &self,
        found: &mut Found,
        tone: &Tone,
        tones: &[apoyando_music::ToneId],
        left: Placement,
    ) {
        let bar = self.problem.score.bar_at(tone.onset);
        for pin in self.pins {
            let concerns = match pin.scope {
                Scope::Tone(own) => tones.contains(&own),
                Scope::Bars { .. } => bar.is_some_and(|bar| takes_in(pin.scope, bar)),
            };
            let finger = left.finger.map_or(0, LeftFinger::digit);
            let string = left.place.string.index() as u8;
            if concerns && forbids(&pin.rule, string, left.place.fret.0, finger) {
                self.pin_broken(found, tone.onset, pin, &self.name(tone.pitch));
            }
        }
    }

    /// Pins on positions and barres that a posture does not keep; the position
    /// is the place of the hand.
    pub(super) fn pins_on_posture(&self, found: &mut Found, posture: &Posture, position: Position) {
        let bar = self.problem.score.bar_at(posture.at);
        for pin in self.pins {
            let concerns = match pin.scope {
                Scope::Tone(tone) => {
                    (tone.0 as usize) < self.tones.len() && self.tones.get(tone).onset == posture.at
                }
                Scope::Bars { .. } => bar.is_some_and(|bar| takes_in(pin.scope, bar)),
            };
            let broken = match pin.rule {
                PinRule::Positions(set) => !set.contains(position),
                PinRule::Barre(limit) => posture.barre.is_some_and(|b| b.width() > limit.width()),
                _ => false,
            };
            if concerns && broken {
                self.pin_broken(found, posture.at, pin, "this place");
            }
        }
    }

    fn pin_broken(&self, found: &mut Found, at: Moment, pin: &Pin, what: &str) {
        let severity = match pin.author {
            PinAuthor::Author => Severity::Error,
            PinAuthor::Import => Severity::Warning,
        };
        let who = match pin.author {
            PinAuthor::Author => "pinned",
            PinAuthor::Import => "in the file",
        };
        let remedy = Some("change the pin, or what stands in its way".to_owned());
        self.offer(
            found,
            at,
            ("pin-not-kept", severity),
            format!("{what} cannot be played with {}, as {who}", in_words(&pin.rule)),
            (remedy, releases([pin])),
        );
    }

    /// Author's pins of one kind on one scope that leave nothing.
    pub(super) fn contradictions(&self, found: &mut Found) {
        let authors: Vec<&Pin> =
            self.pins.iter().filter(|p| p.author == PinAuthor::Author).collect();
        for (index, pin) in authors.iter().enumerate() {
            let same = |other: &&&Pin| {
                other.scope == pin.scope && discriminant(&other.rule) == discriminant(&pin.rule)
            };
            let Some(other) =
                authors[..index].iter().filter(same).find(|o| exclude(&o.rule, &pin.rule))
            else {
                continue;
            };
            let (at, what) = match pin.scope {
                Scope::Tone(tone) if (tone.0 as usize) < self.tones.len() => {
                    (self.tones.get(tone).onset, format!("on {}", self.name_of(tone)))
                }
                Scope::Bars { first, .. } => {
                    let start =
                        self.problem.score.bars().get(first.0 as usize).map(|bar| bar.start);
                    (start.unwrap_or(Moment::START), "on these bars".to_owned())
                }
                Scope::Tone(_) => (Moment::START, "on a note that is not there".to_owned()),
            };
            self.offer(
                found,
                at,
                ("pins-contradict", Severity::Error),
                format!(
                    "the pins “{}” and “{}” {what} exclude each other",
                    in_words(&other.rule),
                    in_words(&pin.rule)
                ),
                (Some("remove one of them".to_owned()), releases([*other, *pin])),
            );
        }
    }
}

fn exclude(a: &PinRule, b: &PinRule) -> bool {
    match (a, b) {
        (PinRule::Strings(a), PinRule::Strings(b)) => a.and(*b).is_empty(),
        (PinRule::Frets(a), PinRule::Frets(b)) => a.and(*b).is_empty(),
        (PinRule::LeftFingers(a), PinRule::LeftFingers(b)) => a.and(*b).is_empty(),
        (PinRule::SecondFingers(a), PinRule::SecondFingers(b)) => a.and(*b).is_empty(),
        (PinRule::RightFingers(a), PinRule::RightFingers(b)) => a.and(*b).is_empty(),
        (PinRule::Positions(a), PinRule::Positions(b)) => a.and(*b).is_empty(),
        _ => false,
    }
}

fn listed(what: &str, items: Vec<String>) -> String {
    if items.is_empty() { format!("no {what}") } else { format!("{what} {}", items.join(" or ")) }
}

/// A pin as the author would say it.
#[must_use]
pub fn in_words(rule: &PinRule) -> String {
    match rule {
        PinRule::Strings(set) => {
            let strings = (1..=StringNumber::MOST).filter_map(StringNumber::new);
            listed("string", strings.filter(|s| set.contains(*s)).map(|s| s.to_string()).collect())
        }
        PinRule::Frets(set) => {
            let frets = (0..=Fret::MOST.0).map(Fret);
            listed("fret", frets.filter(|f| set.contains(*f)).map(|f| f.to_string()).collect())
        }
        PinRule::LeftFingers(set) => {
            let fingers = (0..=4).map(|digit| (digit, LeftFinger::from_digit(digit)));
            listed(
                "finger",
                fingers.filter(|(_, f)| set.contains(*f)).map(|(d, _)| d.to_string()).collect(),
            )
        }
        PinRule::SecondFingers(set) => {
            let fingers = LeftFinger::ALL.into_iter().filter(|f| set.contains(Some(*f)));
            listed("second finger", fingers.map(|f| f.to_string()).collect())
        }
        PinRule::RightFingers(set) => {
            let fingers = RightFinger::ALL.into_iter().filter(|f| set.contains(*f));
            listed("right finger", fingers.map(|f| f.to_string()).collect())
        }
        PinRule::Positions(set) => {
            let positions = (1..=Position::MOST).filter_map(Position::new);
            listed(
                "position",
                positions.filter(|p| set.contains(*p)).map(|p| p.to_string()).collect(),
            )
        }
        PinRule::Barre(limit) => limit_in_words(*limit).to_owned(),
    }
}
