//! Reasons in words. Every clause stands for a cause that the itemised
//! difference has, or for a rule that stands in the way.

use apoyando_fingering::{Position, Shift};
use apoyando_fretboard::Place;
use apoyando_music::{Moment, Score};

use super::alternatives::{Alternative, Difference};
use super::causes::{Cause, Weight};
use super::obstacle::Obstacle;
use crate::hand::Played;
use crate::when;

/// What the words are about.
pub(crate) struct Wording<'a> {
    pub score: &'a Score,
    /// The onset of the note.
    pub at: Moment,
    /// How the note is played.
    pub own: Played,
    /// The position of the hand there, in the best way and in the other.
    pub positions: (Option<Position>, Option<Position>),
    /// The shifts of the best way and of the other.
    pub best_shifts: Vec<Shift>,
    pub other_shifts: Vec<Shift>,
}

impl Wording<'_> {
    /// What the other way costs more, and what it would spare.
    pub fn weighed(&self, other: &Alternative, weights: &[Weight]) -> String {
        let there = match other.difference {
            Difference::Place(place) if place.fret.0 == 0 => {
                format!("on the open {}", place.string)
            }
            Difference::Place(place) => format!("on {}", place.string),
            Difference::Finger(finger) => format!("with finger {finger}"),
            Difference::Position(position) => format!("in {position}"),
        };
        if other.more == 0 {
            return format!("{there} it would be as easy; of equals the first is taken");
        }
        let losses: Vec<&Weight> = weights.iter().filter(|w| w.amount > 0).collect();
        let savings: Vec<&Weight> = weights.iter().rev().filter(|w| w.amount < 0).collect();
        let Some(main) = losses.first() else {
            return format!("{there} it costs {} more", other.more);
        };
        if let (Cause::Ease, Some(said)) = (main.cause, self.eased(main)) {
            return said;
        }
        let moved = losses.iter().any(|w| matches!(w.cause, Cause::Shift | Cause::Ease));
        let time = if moved { self.open_gives_time() } else { None };
        let time = time.map_or_else(String::new, |said| format!("{said}; "));
        // A second cause is worth saying if it weighs half as much.
        let clauses: Vec<String> = losses
            .iter()
            .take(2)
            .filter(|w| w.amount * 2 >= main.amount)
            .map(|w| self.would(w))
            .collect();
        let clauses = clauses.join(" and ");
        match savings.first().filter(|w| -w.amount * 2 >= main.amount) {
            Some(saving) => {
                format!("{time}{there} it would {}, but {clauses}", self.spare(saving))
            }
            None => format!("{time}{there} it would {clauses}"),
        }
    }

    /// Why no other string will do.
    pub fn only_here(&self, mut obstacles: Vec<(Obstacle, Place)>) -> String {
        if obstacles.is_empty() {
            return "no other string has this note".to_owned();
        }
        obstacles.sort();
        let clauses: Vec<String> = obstacles
            .chunk_by(|a, b| a.0 == b.0)
            .map(|same| {
                let strings: Vec<String> =
                    same.iter().map(|(_, place)| place.string.to_string()).collect();
                in_the_way(&same[0].0, &listed(&strings))
            })
            .collect();
        format!("only here: {}", clauses.join(", "))
    }

    /// Where an onset is, if it is not that of the note: ` on beat 3`.
    pub fn place(&self, at: Option<&Moment>) -> String {
        let Some(at) = at.filter(|at| **at != self.at) else { return String::new() };
        let bar = when::bar_number(self.score, *at);
        if bar == when::bar_number(self.score, self.at) {
            format!(" on beat {}", when::beat(self.score, *at))
        } else {
            format!(" in bar {bar}, beat {}", when::beat(self.score, *at))
        }
    }

    /// The shift that the hand makes while this open note sounds.
    fn open_gives_time(&self) -> Option<String> {
        let next = self.best_shifts.iter().find(|s| s.at > self.at)?;
        (next.over_open && self.own.finger == 0 && self.positions.0.is_none())
            .then(|| format!("the open string gives time for the shift to {}", next.to))
    }

    /// What helps a shift that both ways make.
    fn eased(&self, weight: &Weight) -> Option<String> {
        let shift = self.best_shifts.iter().find(|s| weight.more.contains(&s.at))?;
        let (to, place) = (shift.to, self.place(Some(&shift.at)));
        Some(if let Some((finger, string)) = shift.pivot {
            format!("finger {finger} stays on {string} while the hand shifts to {to}{place}")
        } else if let Some((finger, string)) = shift.guide {
            format!("finger {finger} guides the shift to {to}{place} along {string}")
        } else if let Some(said) = self.open_gives_time() {
            said
        } else if shift.over_open {
            format!("an open string gives time for the shift to {to}{place}")
        } else {
            return None;
        })
    }

    /// What a way would do that pays more for a cause.
    fn would(&self, weight: &Weight) -> String {
        let place = self.place(weight.more.first());
        let said = match weight.cause {
            Cause::Shift => return self.would_shift(weight),
            Cause::Way => "make a shift longer",
            Cause::Ease => "take away what eases the shift",
            Cause::Reach => "stretch the hand",
            Cause::Barre => "need a barre, or a wider one",
            Cause::Melody => "cut the melody short",
            Cause::Bass => "cut the bass short",
            Cause::Inner => "cut an inner note short",
            Cause::Ring => "break off the ringing chord",
            Cause::Jump => "make a finger jump strings",
            Cause::Slide => "make a finger slide to the next note",
            Cause::Replace => "put another finger where one could stay",
            Cause::Second => "need a change of finger on a note that sounds on",
            Cause::Crossed => "cross two fingers on one fret",
            Cause::Crowded => "crowd the fingers",
            Cause::WeakFinger => "need a weaker finger",
            Cause::WeakPair => "make 3 and 4 follow one another",
            Cause::Hop => "need a momentary reach up the neck",
            Cause::Land => "make a finger come down anew",
            Cause::Join => "break a slur, or give it to 3 and 4",
            Cause::Ornament => "leave the ornament without its fingers",
            Cause::Tone => "let an open string stand out",
            Cause::House => "go against the house style",
            Cause::Height => return self.would_climb(),
            Cause::Stop => {
                return if self.own.finger == 0 && weight.more.contains(&self.at) {
                    "have to be stopped".to_owned()
                } else {
                    format!("need a stopped note in place of an open string{place}")
                };
            }
        };
        format!("{said}{place}")
    }

    fn would_shift(&self, weight: &Weight) -> String {
        let extra: Vec<&Shift> =
            self.other_shifts.iter().filter(|s| weight.more.contains(&s.at)).collect();
        match extra[..] {
            [] => "leave less time to shift".to_owned(),
            _ if !weight.less.is_empty() => {
                let last = extra[extra.len() - 1];
                format!("put the shift to {}{}, a worse place", last.to, self.at_place(last.at))
            }
            [one] => format!("need a shift to {}{}", one.to, self.place(Some(&one.at))),
            [there, back] if there.from == back.to => {
                format!("need a shift to {} and back", there.to)
            }
            _ => format!("need {} more shifts", extra.len()),
        }
    }

    fn would_climb(&self) -> String {
        match self.positions {
            (best, Some(other)) if best.is_none_or(|best| best < other) => {
                format!("take the hand up to {other}")
            }
            _ => "keep the hand high on the neck for longer".to_owned(),
        }
    }

    fn at_place(&self, at: Moment) -> String {
        if at == self.at { " here".to_owned() } else { self.place(Some(&at)) }
    }

    /// What a way would spare that pays less for a cause.
    fn spare(&self, weight: &Weight) -> String {
        let place = self.place(weight.less.first());
        let said = match weight.cause {
            Cause::Shift => {
                let mut saved = self.best_shifts.iter().filter(|s| weight.less.contains(&s.at));
                return match (saved.next(), saved.next()) {
                    (Some(shift), None) => {
                        format!("spare the shift to {}{}", shift.to, self.place(Some(&shift.at)))
                    }
                    (Some(_), Some(_)) => "spare shifts".to_owned(),
                    _ => "give more time to shift".to_owned(),
                };
            }
            Cause::Way => "shorten a shift",
            Cause::Ease => "ease a shift",
            Cause::Reach => "spare a stretch",
            Cause::Barre => "spare a barre, or part of it",
            Cause::Melody => "let the melody last",
            Cause::Bass => "let the bass last",
            Cause::Inner => "let an inner note last",
            Cause::Ring => "let the chord ring on",
            Cause::Jump => "spare a finger's jump across strings",
            Cause::Slide => "spare a finger's slide",
            Cause::Replace => "spare a change of finger on one place",
            Cause::Second => "spare a change of finger on a note that sounds on",
            Cause::Crossed => "keep two fingers from crossing",
            Cause::Crowded => "give the fingers more room",
            Cause::WeakFinger => "spare a weaker finger",
            Cause::WeakPair => "keep 3 and 4 apart",
            Cause::Height => "keep the hand lower on the neck",
            Cause::Hop => "spare a momentary reach",
            Cause::Land => "let a finger stay down",
            Cause::Join => "make a slur easier",
            Cause::Ornament => "give the ornament its fingers",
            Cause::Tone => "keep an open string from standing out",
            Cause::House => "keep to the house style",
            Cause::Stop => "spare a stopped note",
        };
        format!("{said}{place}")
    }
}

/// `④, ⑤ and ⑥`.
fn listed(strings: &[String]) -> String {
    match strings {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => strings.concat(),
    }
}

fn in_the_way(obstacle: &Obstacle, strings: &str) -> String {
    match obstacle {
        Obstacle::TooHigh(fret) => {
            format!("on {strings} it lies above fret {fret}, where the level ends")
        }
        Obstacle::NoOpen => format!("the level does not allow {strings} open"),
        Obstacle::Pin(pin) => format!("{strings} would break the pin “{pin}”"),
        Obstacle::NoFinger => format!("the level and the pins leave no finger for it on {strings}"),
        Obstacle::Position => format!("{strings} would need a position that is not allowed"),
        Obstacle::Barre => format!("{strings} would need a barre that is not allowed"),
        Obstacle::Extension => {
            format!("{strings} would need a reach that the level does not allow")
        }
        Obstacle::Taken => format!("another note needs {strings}"),
        Obstacle::Hand => {
            format!("no hand could stop it on {strings} together with the other notes")
        }
    }
}
