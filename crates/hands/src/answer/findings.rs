//! What a teacher should know about a fingering.

use std::mem::discriminant;

use apoyando_fingering::{
    Barre, BarreLimit, Finding, Fingering, LeftFinger, Pin, PinAuthor, PinRule, Placement,
    Position, Posture, Problem, RightFinger, Scope, Severity,
};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_music::{Moment, Pitch, Tone, Tones};

use super::damping;
use crate::hand::limits::{forbids, takes_in};
use crate::heard::{Music, Role};
use crate::when;

/// Everything needed to speak of a fingering.
pub(crate) struct Told<'a> {
    pub problem: &'a Problem<'a>,
    pub tones: &'a Tones,
    pub music: &'a Music,
    /// The pins that count.
    pub pins: &'a [Pin],
    pub fingering: &'a Fingering,
}

/// All findings in the order of the bars, those of the right hand last.
pub(crate) fn findings(told: &Told<'_>, right: Vec<Finding>) -> Vec<Finding> {
    let mut found: Vec<(Moment, Finding)> = Vec::new();
    told.contradictions(&mut found);
    told.left_out(&mut found);
    told.broken(&mut found);
    told.cut_short(&mut found);
    told.rings_on(&mut found);
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().map(|(_, finding)| finding).chain(right).collect()
}

type Found = Vec<(Moment, Finding)>;

impl Told<'_> {
    fn say(
        &self,
        found: &mut Found,
        at: Moment,
        (rule, severity): (&'static str, Severity),
        message: String,
        remedy: Option<String>,
    ) {
        let place = when::place(self.problem.score, self.problem.part, at);
        found.push((at, Finding { rule, severity, place, message, remedy }));
    }

    /// The pitch as it sounds and, where that differs, as it is written.
    fn name(&self, pitch: Pitch) -> String {
        let up = self.problem.score.part(self.problem.part).clef.octaves_up();
        if up == 0 {
            pitch.to_string()
        } else {
            format!("{pitch} (written {})", pitch.up_octaves(up))
        }
    }

    fn left_out(&self, found: &mut Found) {
        let instrument = self.problem.instrument;
        let strings = instrument.tuning.len();
        for sound in &self.music.sounds {
            let Some(tone) = sound.tones.first() else { continue };
            if self.fingering.tone(*tone).left.is_some() {
                continue;
            }
            let pitch = self.tones.get(*tone).pitch;
            let name = self.name(pitch);
            let last = apoyando_fretboard::Fret(instrument.frets.0 - instrument.capo.0);
            if instrument.places(pitch.key_number()).next().is_some() {
                let struck = self.music.layers[sound.layer].struck().len();
                let (why, remedy) = if struck > strings {
                    (
                        format!("{struck} notes are struck together on {strings} strings"),
                        "leave out a doubled note or break the chord",
                    )
                } else {
                    (
                        "no hand can stop it together with the others".to_owned(),
                        "move a note by an octave, leave one out or break the chord",
                    )
                };
                self.say(
                    found,
                    sound.onset,
                    ("note-left-out", Severity::Error),
                    format!("{name} is left out: {why}"),
                    Some(remedy.to_owned()),
                );
            } else if instrument.lowest().is_some_and(|low| {
                pitch.key_number().0 < low.key_number().0 + i16::from(instrument.capo.0)
            }) {
                self.say(
                    found,
                    sound.onset,
                    ("note-below-range", Severity::Error),
                    format!("{name} lies below the lowest string and is left out"),
                    Some("write it an octave higher or tune the lowest string down".to_owned()),
                );
            } else {
                self.say(
                    found,
                    sound.onset,
                    ("note-above-range", Severity::Error),
                    format!("{name} lies above fret {last}, the last one, and is left out"),
                    Some("write it an octave lower".to_owned()),
                );
            }
        }
    }

    fn broken(&self, found: &mut Found) {
        if self.fingering.price.broken == 0 {
            return;
        }
        for (posture, layer) in self.fingering.postures.iter().zip(&self.music.layers) {
            for sound in &self.music.sounds[layer.struck()] {
                let Some(tone) = sound.tones.first() else { continue };
                if let Some(left) = self.fingering.tone(*tone).left {
                    self.broken_placement(found, self.tones.get(*tone), &sound.tones, left);
                }
            }
            self.broken_posture(found, posture);
        }
    }

    fn broken_placement(
        &self,
        found: &mut Found,
        tone: &Tone,
        tones: &[apoyando_music::ToneId],
        left: Placement,
    ) {
        let level = self.problem.level;
        let name = self.name(tone.pitch);
        let at = tone.onset;
        let error = |rule| (rule, Severity::Error);
        if left.place.fret > level.highest_fret {
            self.say(
                found,
                at,
                error("fret-too-high"),
                format!(
                    "{name} needs fret {}, the level ends at {}",
                    left.place.fret, level.highest_fret
                ),
                Some("write it lower or raise the level's highest fret".to_owned()),
            );
        }
        if !level.fingers.contains(left.finger) {
            let what = left.finger.map_or("an open string".to_owned(), |f| format!("finger {f}"));
            self.say(
                found,
                at,
                error("finger-not-allowed"),
                format!("{name} needs {what}, which the level does not allow"),
                Some("change the note or allow it".to_owned()),
            );
        }
        let bar = self.problem.score.bar_at(at);
        for pin in self.pins {
            let concerns = match pin.scope {
                Scope::Tone(own) => tones.contains(&own),
                Scope::Bars { .. } => bar.is_some_and(|bar| takes_in(pin.scope, bar)),
            };
            let finger = left.finger.map_or(0, LeftFinger::digit);
            let string = left.place.string.index() as u8;
            if concerns && forbids(&pin.rule, string, left.place.fret.0, finger) {
                self.pin_broken(found, at, pin, &name);
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
        self.say(
            found,
            at,
            ("pin-not-kept", severity),
            format!("{what} cannot be played with {}, as {who}", in_words(&pin.rule)),
            Some("change the pin, or what stands in its way".to_owned()),
        );
    }

    fn broken_posture(&self, found: &mut Found, posture: &Posture) {
        let (Some(position), false) = (posture.position, posture.idle) else { return };
        let level = self.problem.level;
        let at = posture.at;
        let error = |rule| (rule, Severity::Error);
        if !level.positions.contains(position) {
            self.say(
                found,
                at,
                error("position-not-allowed"),
                format!("position {position} is needed, which the level does not allow"),
                Some("change the notes or allow the position".to_owned()),
            );
        }
        if let Some(barre) = posture.barre.filter(|b| b.width() > level.barre.width()) {
            self.say(
                found,
                at,
                error("barre-not-allowed"),
                format!(
                    "a barre over {} strings at fret {} is needed; the level allows {}",
                    barre.width(),
                    barre.fret,
                    limit_in_words(level.barre)
                ),
                Some("leave notes out, choose another chord shape or allow the barre".to_owned()),
            );
        }
        for finger in LeftFinger::ALL {
            let Some(placed) = posture.of_finger(finger).next() else { continue };
            let offset = position.offset(finger, placed.place.fret);
            let frets = if finger == LeftFinger::One { -offset } else { offset };
            if frets > i32::from(level.extension) {
                self.say(
                    found,
                    at,
                    error("extension-too-wide"),
                    format!(
                        "finger {finger} must reach {frets} frets out of its own in {position}; the level allows {}",
                        level.extension
                    ),
                    Some("change the notes or allow the extension".to_owned()),
                );
            }
        }
        self.broken_hand_pins(found, posture, position, posture.barre);
    }

    fn broken_hand_pins(
        &self,
        found: &mut Found,
        posture: &Posture,
        position: Position,
        barre: Option<Barre>,
    ) {
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
                PinRule::Barre(limit) => barre.is_some_and(|b| b.width() > limit.width()),
                _ => false,
            };
            if concerns && broken {
                self.pin_broken(found, posture.at, pin, "this place");
            }
        }
    }

    fn cut_short(&self, found: &mut Found) {
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
            let name = self.name(self.tones.get(*tone).pitch);
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

    fn rings_on(&self, found: &mut Found) {
        let (score, part) = (self.problem.score, self.problem.part);
        for ringing in damping::of_music(score, self.tones, self.music, self.fingering) {
            found.push((ringing.damp_at, ringing.told(score, part, self.tones)));
        }
    }

    /// Author's pins of one kind on one scope that leave nothing.
    fn contradictions(&self, found: &mut Found) {
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
                    let tone = self.tones.get(tone);
                    (tone.onset, format!("on {}", self.name(tone.pitch)))
                }
                Scope::Bars { first, .. } => {
                    let start =
                        self.problem.score.bars().get(first.0 as usize).map(|bar| bar.start);
                    (start.unwrap_or(Moment::START), "on these bars".to_owned())
                }
                Scope::Tone(_) => (Moment::START, "on a note that is not there".to_owned()),
            };
            self.say(
                found,
                at,
                ("pins-contradict", Severity::Error),
                format!(
                    "the pins “{}” and “{}” {what} exclude each other",
                    in_words(&other.rule),
                    in_words(&pin.rule)
                ),
                Some("remove one of them".to_owned()),
            );
        }
    }
}

fn exclude(a: &PinRule, b: &PinRule) -> bool {
    match (a, b) {
        (PinRule::Strings(a), PinRule::Strings(b)) => a.and(*b).is_empty(),
        (PinRule::Frets(a), PinRule::Frets(b)) => a.and(*b).is_empty(),
        (PinRule::LeftFingers(a), PinRule::LeftFingers(b)) => a.and(*b).is_empty(),
        (PinRule::RightFingers(a), PinRule::RightFingers(b)) => a.and(*b).is_empty(),
        (PinRule::Positions(a), PinRule::Positions(b)) => a.and(*b).is_empty(),
        _ => false,
    }
}

fn listed(what: &str, items: Vec<String>) -> String {
    if items.is_empty() { format!("no {what}") } else { format!("{what} {}", items.join(" or ")) }
}

const fn limit_in_words(limit: BarreLimit) -> &'static str {
    match limit {
        BarreLimit::None => "no barre",
        BarreLimit::Small => "a barre over two strings",
        BarreLimit::Half => "a barre over up to four strings",
        BarreLimit::Full => "any barre",
    }
}

/// A pin as the author would say it.
pub(crate) fn in_words(rule: &PinRule) -> String {
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
