//! The least that the sounds struck in a layer cost by themselves, wherever the
//! hand is and whatever it holds: the bound of the walk.

use apoyando_fingering::{PinRule, Position, Scope, Term};
use apoyando_fretboard::Fret;

use crate::grip::{Posture, Spot, contraction, extension, fingers_stand, may_lean};
use crate::lists::place;
use crate::question::Question;
use crate::rules::allows;
use crate::whole::Cost;

/// For each layer the least of it and of all after it; 0 behind the last.
pub fn ahead(q: &Question<'_>) -> Vec<Cost> {
    let mut ahead = vec![Cost::default(); q.layers() + 1];
    for layer in (0..q.layers()).rev() {
        let mut least: Option<Cost> = None;
        place(q, layer, &mut Vec::new(), &[], &mut |struck| {
            let Some(posture) = Posture::of(q, layer, struck, &[], [None; 4]) else { return };
            // Whether under a barre is left open: it would turn the pairs with
            // finger 1, so they are asked as finger 1 alone stands.
            if fingers_stand(q, &posture) || posture.finger(1).down.any() {
                let cost = by_itself(q, &posture);
                least = Some(least.map_or(cost, |least: Cost| least.min(cost)));
            }
        });
        ahead[layer] = ahead[layer + 1] + least.expect("all may be left out");
    }
    ahead
}

/// What struck sounds cost that any posture with them pays.
fn by_itself(q: &Question<'_>, posture: &Posture) -> Cost {
    let level = q.level(posture.layer);
    let (mut broken, mut effort) = (0, 0);
    for (sound, placed) in q.struck[posture.layer].iter().zip(&posture.struck) {
        let Some(at) = placed else { continue };
        broken += i64::from(Fret(at.fret) > level.highest_fret);
        broken += i64::from(!allows(PinRule::LeftFingers(level.fingers), *at));
        broken += pins_against(q, posture.layer, *sound, *at);
        effort += match at.finger {
            0 => 0,
            3 => q.value(Term::Stop) + q.value(Term::Finger3),
            4 => q.value(Term::Stop) + q.value(Term::Finger4),
            _ => q.value(Term::Stop),
        };
    }
    let escapes = posture.struck.iter().filter(|spot| spot.is_none()).count() as i64;
    let fixed = Cost(escapes, broken, effort);
    let down: Vec<(u8, u8)> = (1..=4)
        .filter(|digit| posture.finger(*digit).struck.any())
        .map(|digit| (digit, posture.finger(digit).fret))
        .collect();
    if down.is_empty() {
        return fixed;
    }
    let hands = (1..=28).map(|hand| {
        let forbidden = Position::new(hand).is_none_or(|p| !level.positions.contains(p));
        let mut broken = i64::from(forbidden);
        let mut effort = q.value(Term::Height) * (2 * i64::from(hand) - 3).max(0);
        for (digit, fret) in &down {
            let out = extension(hand, *digit, *fret);
            broken += i64::from(out > i32::from(level.extension));
            // With a lower finger kept it would be opened, with nothing kept it may be.
            let opened = down.iter().any(|(other, _)| other < digit);
            let price = match may_lean(hand, *digit, *fret) && !opened {
                true => q.value(Term::Lean).min(q.value(Term::Extension)),
                false => q.value(Term::Extension),
            };
            effort += price * i64::from(out);
            let drawn_in = contraction(hand, *digit, *fret);
            effort += q.value(Term::Contraction) * i64::from(drawn_in);
        }
        Cost(0, broken, effort)
    });
    fixed + hands.min().unwrap()
}

/// Pins on strings, frets and fingers that a placement breaks.
fn pins_against(q: &Question<'_>, layer: usize, sound: usize, at: Spot) -> i64 {
    let bar = q.heard.bars[layer];
    let concerns = |scope: Scope| match scope {
        Scope::Tone(tone) => q.sound(sound).tones.contains(&tone),
        Scope::Bars { first, last } => first <= bar && bar <= last,
    };
    let broken = q.pins_at(layer).iter().filter(|pin| concerns(pin.scope) && !allows(pin.rule, at));
    broken.count() as i64
}
