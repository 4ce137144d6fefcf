//! Fingers that stay and stop nothing: P9 and M3 of the model.

use apoyando_music::JoinKind;

use crate::grip::{Place, Posture, Stands, extension, fingers_stand, position_stands};
use crate::question::Question;

/// What a finger stays at a place for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Purpose {
    pub common: bool,
    pub guide: bool,
    pub prepared: bool,
}

pub fn purpose(q: &Question<'_>, posture: &Posture, place: Place) -> Purpose {
    let layer = posture.layer;
    let next_two = (layer + 1..=layer + 2).filter(|next| *next < q.layers());
    let struck_soon = |key: i16| {
        next_two.clone().flat_map(|next| &q.struck[next]).any(|s| q.sound(*s).key == key)
    };
    let before_one = posture.sounding().any(|at| {
        at.string == place.0 && at.finger > 0 && !posture.is_touched(at) && at.fret > place.1
    });
    Purpose {
        common: q.key_at(place).is_some_and(struck_soon),
        guide: layer + 1 < q.layers() && (posture.idle() || before_one),
        prepared: is_prepared(q, posture, place),
    }
}

/// Whether a slur leads from a sound stopped on the string to a lower one at
/// the place.
pub fn is_prepared(q: &Question<'_>, posture: &Posture, place: Place) -> bool {
    (0..q.heard.sounds.len()).any(|lower| {
        let Some((upper, JoinKind::Slur)) = q.sound(lower).from else { return false };
        q.sound(lower).key < q.sound(upper).key
            && q.places[lower].contains(&place)
            && posture
                .spot_of(q, upper)
                .is_some_and(|at| at.string == place.0 && at.finger > 0 && !posture.is_touched(at))
    })
}

/// P9 of one finger at a place.
fn may_stay(q: &Question<'_>, posture: &Posture, digit: u8, place: Place) -> bool {
    let Some(hand) = posture.position.filter(|_| posture.away == 0) else { return false };
    let covered = posture
        .sounding()
        .filter(|at| at.string == place.0)
        .all(|at| at.finger > 0 && !posture.is_touched(at) && at.fret > place.1);
    let purpose = purpose(q, posture, place);
    place.1 >= 1
        && !posture.finger(digit).down.any()
        && covered
        && extension(hand, digit, place.1) == 0
        && (purpose.common || purpose.guide || purpose.prepared)
}

/// P9 of all that stay.
pub fn staying_stands(q: &Question<'_>, posture: &Posture) -> bool {
    posture.stays.iter().flatten().count() <= 2
        && (1..=4u8).all(|digit| {
            posture.stays[usize::from(digit) - 1]
                .is_none_or(|place| may_stay(q, posture, digit, place))
        })
}

/// Whether a finger was at a place, down or staying, and did not touch there.
pub fn was_at(before: &Posture, digit: u8, place: Place) -> bool {
    before.is_at(digit, place) && !before.finger(digit).touches
}

/// M3; with no posture before where the hand begins anew.
pub fn staying_follows(q: &Question<'_>, before: Option<&Posture>, posture: &Posture) -> bool {
    (1..=4u8).all(|digit| {
        posture.stays[usize::from(digit) - 1].is_none_or(|place| {
            before.is_some_and(|before| was_at(before, digit, place))
                || is_prepared(q, posture, place)
        })
    })
}

/// For each finger that is not down, the places where it alone may stay, and
/// whether it is prepared there.
pub fn stands(q: &Question<'_>, posture: &Posture) -> [Vec<(Place, bool)>; 4] {
    let frets = q.problem.instrument.frets.0;
    let alone = |digit: u8| {
        let all = (1..=q.strings).flat_map(|string| (1..=frets).map(move |fret| (string, fret)));
        let may = |place: &Place| {
            may_stay(q, posture, digit, *place) && {
                let mut with = posture.clone();
                with.stays[usize::from(digit) - 1] = Some(*place);
                fingers_stand(q, &with) && position_stands(&with)
            }
        };
        all.filter(may).map(|place| (place, is_prepared(q, posture, place))).collect()
    };
    [alone(1), alone(2), alone(3), alone(4)]
}

/// Every way for fingers to stay in a posture that has none, the first none.
pub fn ways_to_stay(
    q: &Question<'_>,
    before: Option<&Posture>,
    posture: &Posture,
    stands: &[Vec<(Place, bool)>; 4],
) -> Vec<Stands> {
    let mut single: Vec<(usize, Place)> = Vec::new();
    for (index, places) in stands.iter().enumerate() {
        let follows = |(place, prepared): &&(Place, bool)| {
            *prepared || before.is_some_and(|before| was_at(before, index as u8 + 1, *place))
        };
        single.extend(places.iter().filter(follows).map(|(place, _)| (index, *place)));
    }
    let mut ways = vec![[None; 4]];
    for (number, (finger, place)) in single.iter().enumerate() {
        let mut way = [None; 4];
        way[*finger] = Some(*place);
        ways.push(way);
        for (other, at) in single[number + 1..].iter().filter(|(other, _)| other != finger) {
            let mut both = posture.clone();
            both.stays = way;
            both.stays[*other] = Some(*at);
            if fingers_stand(q, &both) {
                ways.push(both.stays);
            }
        }
    }
    ways
}
