//! Section 5 of the model, read plainly: what a posture costs.

use apoyando_fingering::Term;

use crate::grip::{Finger, Posture, contraction, extension, may_lean, offset, spread};
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
    if !q.is_reached(posture.layer) {
        of_one_fret(q, None, posture, bill);
    }
    if let Some(barre) = posture.barre {
        if lies_idle(q, posture) {
            bill(Term::BarreIdle, q.value(Term::BarreIdle));
        }
        // Laid from an empty hand.
        if !q.is_reached(posture.layer) {
            let laid = barre.laid(posture.finger(1).stops);
            bill(Term::BarreHold, q.value(Term::BarreHold) * i64::from(laid.count() - 1));
            bill(Term::BarreLay, q.value(Term::BarreLay) * i64::from(barre.width() - 1));
        }
    }
}

/// Whether the barre of a chord stops one string of it and serves nothing later in the bar.
pub fn lies_idle(q: &Question<'_>, posture: &Posture) -> bool {
    let (finger, layer) = (posture.finger(1), posture.layer);
    let Some(barre) = posture.barre else { return false };
    let last = q.heard.layers.len();
    let later: Vec<i16> = (layer + 1..last)
        .filter(|l| q.heard.bars[*l] == q.heard.bars[layer])
        .flat_map(|l| q.struck[l].iter().map(|sound| q.sound(*sound).key))
        .collect();
    let serves = |string: u8| {
        !finger.stops.each().any(|own| own == string)
            && q.key_at((string, finger.fret)).is_some_and(|key| later.contains(&key))
    };
    q.struck[layer].len() >= 3
        && finger.stops.count() == 1
        && !(barre.thin..=barre.thick).any(serves)
}

/// Fingers that come to one fret, from a posture or from the air.
pub fn of_one_fret(q: &Question<'_>, s: Option<&Posture>, n: &Posture, bill: Bill<'_>) {
    // Under a barre there is no other finger on its fret.
    let new = |digit: u8, was: &dyn Fn(&Posture, (u8, u8)) -> bool| {
        let Finger { struck, fret, .. } = *n.finger(digit);
        struck.each().any(|string| !s.is_some_and(|s| was(s, (string, fret))))
    };
    let comes = |digit: u8| new(digit, &|s, place| s.is_at(digit, place));
    let sounds_there_first = |digit: u8| new(digit, &|s, place| s.is_down_at(digit, place));
    for b in 2..=4u8 {
        for a in 1..b {
            let (low, high) = (n.finger(a), n.finger(b));
            if !low.down.any() || !high.down.any() || low.fret != high.fret {
                continue;
            }
            let (at, to) = (n.place_of(a).unwrap().0, n.place_of(b).unwrap().0);
            if to > at && (sounds_there_first(a) || sounds_there_first(b)) {
                bill(Term::Crossed, q.value(Term::Crossed) * i64::from(to - at));
            }
            if (to == at + 1 || at == to + 1) && (comes(a) || comes(b)) {
                bill(Term::Crowd, q.value(Term::Crowd));
            }
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
        let others = posture.sounding().count() > 1;
        if others && may_lean(hand, digit, finger.fret) && down().all(|other| other >= digit) {
            if finger.struck.any() {
                let each = q.value(Term::Lean).min(q.value(Term::Extension));
                bill(Term::Lean, each * i64::from(out));
            }
        } else {
            bill(Term::Extension, q.value(Term::Extension) * i64::from(out));
        }
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
        }
    }
}
