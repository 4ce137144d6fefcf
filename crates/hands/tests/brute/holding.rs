//! Section 5 of the model, read plainly: sounds that the left hand joins, and
//! sounds that it lets go.

use apoyando_fingering::Term;
use apoyando_music::JoinKind;

use crate::grip::Posture;
use crate::heard::{Kind, Role};
use crate::price::Bill;
use crate::question::Question;

/// Whether a struck sound is played joined.
pub fn is_joined(q: &Question<'_>, s: &Posture, n: &Posture, index: usize) -> bool {
    let number = q.struck[n.layer][index];
    let Some((from, kind)) = q.sound(number).from else { return false };
    let (Some(a), Some(b)) = (s.spot_of(q, from), n.struck[index]) else { return false };
    let plain = |sound: usize| q.sound(sound).kind == Kind::Plain;
    if a.string != b.string || !plain(from) || !plain(number) {
        return false;
    }
    if kind == JoinKind::Glide {
        return a.finger > 0 && a.finger == b.finger;
    }
    let in_place = s.position.is_none() || s.position == n.position;
    if !in_place || s.away > 0 || n.away > 0 {
        return false;
    }
    if q.sound(number).key > q.sound(from).key {
        return b.finger > 0 && b.finger != a.finger;
    }
    let waits = || s.is_at(b.finger, b.place()) || (b.finger == 1 && s.lays_over(b.place()));
    b.finger == 0 || (b.finger != a.finger && waits())
}

pub fn of_joins(q: &Question<'_>, s: &Posture, n: &Posture, bill: Bill<'_>) {
    let next = q.heard.layers[n.layer];
    for (index, placed) in n.struck.iter().enumerate() {
        let (Some(at), Some((from, kind))) = (placed, q.sound(q.struck[n.layer][index]).from)
        else {
            continue;
        };
        if !is_joined(q, s, n, index) {
            if q.sound(from).written == next {
                bill(Term::Join, q.value(Term::Join));
            }
            continue;
        }
        let before = s.spot_of(q, from).map(|at| at.finger);
        let weak = matches!((before, at.finger), (Some(3), 4) | (Some(4), 3));
        if kind == JoinKind::Slur && weak {
            bill(Term::JoinWeak, q.value(Term::JoinWeak));
        }
    }
}

/// What sounds in a posture and is let go in the next.
pub fn let_go(q: &Question<'_>, s: &Posture, n: &Posture) -> Vec<usize> {
    let sounding = q.struck[s.layer].iter().chain(s.kept.iter().map(|(sound, _)| sound));
    let is_let_go = |sound: &&usize| {
        s.spot_of(q, **sound).is_some()
            && q.wanted[n.layer].contains(sound)
            && !n.kept.iter().any(|(kept, _)| kept == *sound)
    };
    sounding.filter(is_let_go).copied().collect()
}

pub fn of_letting_go(q: &Question<'_>, s: &Posture, n: &Posture, bill: Bill<'_>) {
    let next = q.heard.layers[n.layer];
    for number in let_go(q, s, n) {
        let sound = q.sound(number);
        let term = match sound.role {
            Role::Melody => Term::CutMelody,
            Role::Bass => Term::CutBass,
            Role::Inner => Term::CutInner,
        };
        if next < sound.written {
            let left = sound.written - next;
            let tail = left * 4 <= sound.written - sound.onset;
            let value = q.value(term);
            bill(term, if tail { value * q.value(Term::CutTail) / 100 } else { value });
        }
        if next < sound.wanted && sound.wanted > sound.written {
            bill(Term::Ring, q.value(Term::Ring));
        }
    }
}
