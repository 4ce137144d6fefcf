//! Section 5 of the model, read plainly: what a posture costs.

use apoyando_fingering::Term;

use crate::grip::{Posture, contraction, extension, offset, spread};
use crate::heard::{Kind, Role, milliseconds};
use crate::house::is_against;
use crate::question::Question;

/// Where charges go.
pub type Bill<'b> = &'b mut dyn FnMut(Term, i64);

impl Question<'_> {
    pub fn value(&self, term: Term) -> i64 {
        i64::from(self.problem.effort.value(term))
    }
}

pub fn of_posture(q: &Question<'_>, posture: &Posture, bill: Bill<'_>) {
    let of_sound = |index: usize| (q.struck[posture.layer][index], posture.struck[index]);
    for index in 0..posture.struck.len() {
        let (number, Some(at)) = of_sound(index) else { continue };
        let sound = q.sound(number);
        if at.finger > 0 {
            bill(Term::Stop, q.value(Term::Stop));
        }
        if at.finger == 3 {
            bill(Term::Finger3, q.value(Term::Finger3));
        }
        if at.finger == 4 {
            bill(Term::Finger4, q.value(Term::Finger4));
        }
        if sound.kind == Kind::Plain && sound.role == Role::Melody && at.fret == 0 {
            if posture.hand().is_some_and(|hand| hand > 3) {
                bill(Term::ToneHigh, q.value(Term::ToneHigh));
            }
            if milliseconds(q.problem, sound.onset, sound.written) >= 1000 {
                bill(Term::ToneLong, q.value(Term::ToneLong));
            }
        }
        if !sound.auxiliaries.is_empty() && !posture.is_ornamented(q, index) {
            bill(Term::Ornament, q.value(Term::Ornament));
        }
        if is_against(q, posture, index).is_some() {
            bill(Term::House, q.value(Term::House));
        }
    }
    if let Some(hand) = posture.hand().filter(|_| !posture.idle()) {
        of_fingers(q, posture, hand, bill);
    }
    if let Some(barre) = posture.barre {
        let laid = barre.laid(posture.finger(1).stops);
        bill(Term::BarreHold, q.value(Term::BarreHold) * i64::from(laid.count() - 1));
        // Laid from an empty hand.
        if !q.is_reached(posture.layer) {
            bill(Term::BarreLay, q.value(Term::BarreLay) * i64::from(barre.width() - 1));
        }
    }
}

/// What the fingers that are down cost, with the hand at a place.
fn of_fingers(q: &Question<'_>, posture: &Posture, hand: u8, bill: Bill<'_>) {
    if hand > 1 && (1..=4).any(|digit| posture.finger(digit).struck.any()) {
        bill(Term::Height, q.value(Term::Height) * (2 * i64::from(hand) - 3));
    }
    let down = || (1..=4u8).filter(|digit| posture.finger(*digit).down.any());
    for digit in down() {
        let finger = posture.finger(digit);
        let out = extension(hand, digit, finger.fret);
        bill(Term::Extension, q.value(Term::Extension) * i64::from(out));
        if finger.struck.any() {
            let drawn_in = contraction(hand, digit, finger.fret);
            bill(Term::Contraction, q.value(Term::Contraction) * i64::from(drawn_in));
        }
        if digit == 1 && finger.struck.any() && offset(hand, digit, finger.fret) == 1 {
            bill(Term::Lead, q.value(Term::Lead));
        }
    }
    let barre = posture.barre.is_some();
    for a in down() {
        for b in down().filter(|b| a < *b) {
            let (at, to) = (posture.place_of(a).unwrap(), posture.place_of(b).unwrap());
            let rest = q.x(hand + b - 1) - q.x(hand + a - 1);
            let ex = spread(q, (a, at), (b, to), barre) - rest;
            if ex > 0 {
                bill(Term::Stretch, q.value(Term::Stretch) * ex / 100);
            }
            let strikes = posture.finger(a).struck.any() || posture.finger(b).struck.any();
            if at.1 != to.1 || !strikes || (barre && a == 1) {
                continue;
            }
            if at.0 < to.0 {
                bill(Term::Crossed, q.value(Term::Crossed));
            }
            if at.0.abs_diff(to.0) == 1 {
                bill(Term::Crowd, q.value(Term::Crowd));
            }
        }
    }
}
