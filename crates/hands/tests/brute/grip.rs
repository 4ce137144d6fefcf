//! Section 3 of the model, read plainly: what a posture is, and the rules of
//! physics. Where fingers stay is in `stay`, the author's rules in `rules`.

use apoyando_fingering::LeftFinger;

use crate::heard::Kind;
use crate::question::Question;
use crate::strings::{Barre, Strings};

/// String from 1, and fret.
pub type Place = (u8, u8);

/// Where each finger from 1 to 4 stands.
pub type Stands = [Option<Place>; 4];

/// String from 1, fret, and finger digit (0 for open).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Spot {
    pub string: u8,
    pub fret: u8,
    pub finger: u8,
    /// Whether this finger has taken it over.
    pub changed: bool,
}

pub const fn spot(string: u8, fret: u8, finger: u8) -> Spot {
    Spot { string, fret, finger, changed: false }
}

impl Spot {
    pub const fn place(self) -> Place {
        (self.string, self.fret)
    }
}

/// What a finger does in a posture; on no string if it is not down.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Finger {
    /// Its fret if it is down.
    pub fret: u8,
    /// Strings on which it is down.
    pub down: Strings,
    /// Those on which it stops a sound, struck or kept.
    pub stops: Strings,
    /// Those of its struck sounds.
    pub struck: Strings,
    /// Whether it touches a harmonic.
    pub touches: bool,
    /// Whether an ornament needs it.
    pub bound: bool,
}

impl Finger {
    /// P4: at one place, several strings aside. False if it cannot be there.
    fn put(&mut self, place: Place) -> bool {
        let fits = !self.down.any() || self.fret == place.1;
        self.fret = place.1;
        self.down = self.down.with(place.0);
        fits
    }
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Posture {
    pub layer: usize,
    /// Per struck sound; `None` left out.
    pub struck: Vec<Option<Spot>>,
    /// Kept sounds with their spots, in the order of the sounds.
    pub kept: Vec<(usize, Spot)>,
    /// The position; that of the last posture if this one is idle.
    pub position: Option<u8>,
    /// How many frets the hand is away from it.
    pub away: u8,
    pub barre: Option<Barre>,
    pub stays: Stands,
    pub bound: Stands,
    /// What follows for each finger from what sounds and what is bound.
    pub fingers: [Finger; 4],
}

impl Posture {
    /// What sounds and what an ornament binds; no barre, no position, nothing
    /// that stays. `None` if a finger would be at two frets.
    pub fn of(
        q: &Question<'_>,
        layer: usize,
        struck: &[Option<Spot>],
        kept: &[(usize, Spot)],
        bound: Stands,
    ) -> Option<Self> {
        let mut fingers = [Finger::default(); 4];
        let mut fits = true;
        let sounding = q.struck[layer].iter().copied().zip(struck.iter().copied());
        let struck_here = sounding.filter_map(|(sound, spot)| Some((sound, spot?, true)));
        for (sound, at, is_struck) in struck_here.chain(kept.iter().map(|(s, p)| (*s, *p, false))) {
            if at.finger == 0 {
                continue;
            }
            let finger = &mut fingers[usize::from(at.finger) - 1];
            fits &= finger.put(at.place());
            if is_struck {
                finger.struck = finger.struck.with(at.string);
            }
            if q.sound(sound).kind == Kind::Natural {
                finger.touches = true;
            } else {
                finger.stops = finger.stops.with(at.string);
            }
        }
        for (finger, place) in fingers.iter_mut().zip(bound) {
            if let Some(place) = place {
                fits &= finger.put(place);
                finger.bound = true;
            }
        }
        fits.then(|| Self {
            layer,
            struck: struck.to_vec(),
            kept: kept.to_vec(),
            position: None,
            away: 0,
            barre: None,
            stays: [None; 4],
            bound,
            fingers,
        })
    }

    /// No finger is down.
    pub fn idle(&self) -> bool {
        self.fingers.iter().all(|finger| !finger.down.any())
    }

    /// The place of the hand.
    pub fn hand(&self) -> Option<u8> {
        self.position.map(|position| position + self.away)
    }

    pub const fn finger(&self, digit: u8) -> &Finger {
        &self.fingers[digit as usize - 1]
    }

    /// What sounds, struck and kept.
    pub fn sounding(&self) -> impl Iterator<Item = Spot> {
        self.struck.iter().flatten().copied().chain(self.kept.iter().map(|(_, spot)| *spot))
    }

    /// Where a finger is down or stays: under a barre, at one of its places.
    pub fn place_of(&self, digit: u8) -> Option<Place> {
        let finger = self.finger(digit);
        let down = finger.down.each().next().map(|string| (string, finger.fret));
        down.or(self.stays[usize::from(digit) - 1])
    }

    /// The strings on which a finger is down or stays.
    pub fn strings_of(&self, digit: u8) -> Strings {
        let stays = self.stays[usize::from(digit) - 1];
        stays.map_or(self.finger(digit).down, |(string, _)| Strings::one(string))
    }

    /// Whether a finger is down at a place.
    pub fn is_down_at(&self, digit: u8, place: Place) -> bool {
        let finger = self.finger(digit);
        finger.down.has(place.0) && finger.fret == place.1
    }

    /// Whether a finger is down or stays at a place.
    pub fn is_at(&self, digit: u8, place: Place) -> bool {
        self.is_down_at(digit, place) || self.stays[usize::from(digit) - 1] == Some(place)
    }

    /// The spot of a sound that sounds here.
    pub fn spot_of(&self, q: &Question<'_>, sound: usize) -> Option<Spot> {
        let struck = q.struck[self.layer].iter().position(|s| *s == sound);
        let kept = self.kept.iter().find(|(s, _)| *s == sound).map(|(_, spot)| *spot);
        struck.map_or(kept, |index| self.struck[index])
    }

    /// Whether the sound at a spot is a touched harmonic.
    pub const fn is_touched(&self, at: Spot) -> bool {
        at.finger > 0 && self.finger(at.finger).touches
    }

    /// Strings on which finger 1 lies as a barre.
    pub fn lying(&self) -> Strings {
        self.barre.map_or_else(Strings::default, |barre| barre.laid(self.finger(1).stops))
    }

    /// Whether the laid part of a barre covers a place.
    pub fn lays_over(&self, place: Place) -> bool {
        self.lying().has(place.0) && self.finger(1).fret == place.1
    }

    /// Whether a struck sound is ornamented (P11).
    pub fn is_ornamented(&self, q: &Question<'_>, index: usize) -> bool {
        let sound = q.sound(q.struck[self.layer][index]);
        let Some(at) = self.struck[index].filter(|_| sound.kind == Kind::Plain) else {
            return false;
        };
        let played = |key: &i16| {
            let place = q.place_on(at.string, *key);
            place.is_some_and(|place| {
                place.1 == 0 || self.lays_over(place) || self.bound.contains(&Some(place))
            })
        };
        !sound.auxiliaries.is_empty() && sound.auxiliaries.iter().all(played)
    }
}

/// dx + slant of two fingers.
pub fn spread(q: &Question<'_>, (a, at): (u8, Place), (_, to): (u8, Place), barre: bool) -> i64 {
    let dx = q.x(to.1) - q.x(at.1);
    if barre && a == 1 { dx } else { dx + 20 * (i64::from(to.0) - i64::from(at.0)) }
}

/// How far a finger is above its own fret.
pub fn offset(hand: u8, digit: u8, fret: u8) -> i32 {
    i32::from(fret) - (i32::from(hand) + i32::from(digit) - 1)
}

pub fn extension(hand: u8, digit: u8, fret: u8) -> i32 {
    let offset = offset(hand, digit, fret);
    if digit == 1 { (-offset).max(0) } else { offset.max(0) }
}

/// Whether fingers 2 and 3 lean where no lower finger is down and something else sounds:
/// higher than their own frets, but not above that of finger 4.
pub fn may_lean(hand: u8, digit: u8, fret: u8) -> bool {
    extension(hand, digit, fret) > 0 && digit > 1 && offset(hand, 4, fret) <= 0
}

pub fn contraction(hand: u8, digit: u8, fret: u8) -> i32 {
    let offset = offset(hand, digit, fret);
    if digit == 1 { offset.max(0) } else { (-offset).max(0) }
}

/// P1 to P3: places that give the keys, strings of their own, fingers where
/// they belong.
pub fn sounds_stand(q: &Question<'_>, posture: &Posture) -> bool {
    let struck = q.struck[posture.layer].iter().copied().zip(posture.struck.iter().copied());
    let struck = struck.filter_map(|(sound, spot)| Some((sound, spot?)));
    let struck_stand = struck.into_iter().all(|(sound, at)| {
        q.places[sound].contains(&at.place()) && (at.fret == 0) == (at.finger == 0)
    });
    let kept_stand = posture.kept.iter().all(|(sound, at)| {
        // A harmonic is kept as the open string that was touched.
        let natural = q.sound(*sound).kind == Kind::Natural;
        let given = q.places[*sound].iter().any(|(string, fret)| {
            *string == at.string && at.fret == if natural { 0 } else { *fret }
        });
        given && (at.fret == 0) == (at.finger == 0)
    });
    let strings: Vec<u8> = posture.sounding().map(|at| at.string).collect();
    let twice = (0..strings.len()).any(|i| strings[..i].contains(&strings[i]));
    struck_stand && kept_stand && !twice
}

/// P4.
pub fn barre_stands(q: &Question<'_>, posture: &Posture) -> bool {
    if (2..=4).any(|digit| posture.finger(digit).down.count() > 1) {
        return false;
    }
    let one = posture.finger(1);
    let Some(barre) = posture.barre else { return one.down.count() <= 1 };
    let all = Barre { thin: 1, thick: q.strings, hinge: None };
    if barre.thin >= barre.thick || !all.spans(barre.thin) || !all.spans(barre.thick) {
        return false;
    }
    // A finger that touches, or is bound, is at one place and does not stop.
    if !one.stops.any() || one.stops != one.down || one.stops.and(barre.span()) != one.stops {
        return false;
    }
    let meant = |string: u8| {
        q.key_at((string, one.fret)).is_some_and(|key| {
            q.meant[posture.layer].contains(&key)
                || posture.kept.iter().any(|(sound, _)| q.sound(*sound).key == key)
        })
    };
    if !meant(barre.thin) || !meant(barre.thick) {
        return false;
    }
    let laid = barre.laid(one.stops);
    if laid.count() < 2 {
        return false;
    }
    let mut opened = false;
    for at in posture.sounding().filter(|at| barre.spans(at.string)) {
        let above = at.fret > one.fret;
        if laid.has(at.string) {
            if !((above && !posture.is_touched(at)) || at.finger == 1) {
                return false;
            }
        } else if at.fret == 0 {
            opened = true;
        } else if !above {
            return false;
        }
    }
    barre.hinge.is_none() || opened
}

/// P5 and P6, of all fingers down or staying.
pub fn fingers_stand(q: &Question<'_>, posture: &Posture) -> bool {
    let barre = posture.barre.is_some();
    for a in 1..=4 {
        let Some(at) = posture.place_of(a) else { continue };
        for b in a + 1..=4 {
            let Some(to) = posture.place_of(b) else { continue };
            let under = barre && a == 1;
            if at.1 > to.1 || (under && at.1 == to.1) || at == to {
                return false;
            }
            if !reaches(q, (a, at), (b, to), under) {
                return false;
            }
        }
    }
    true
}

fn reaches(q: &Question<'_>, a: (u8, Place), b: (u8, Place), barre: bool) -> bool {
    let along = spread(q, a, b, barre);
    let across = if barre { 0 } else { q.y(a.1) - q.y(b.1) };
    let finger = |digit| LeftFinger::from_digit(digit).unwrap();
    let reach = i64::from(q.problem.level.reach.between(finger(a.0), finger(b.0)).0);
    along * along + across * across <= reach * reach
}

/// P7 and P8: the position, and what it leaves each finger.
pub fn position_stands(posture: &Posture) -> bool {
    let Some(hand) = posture.hand() else {
        // Only an idle hand may be nowhere.
        return posture.idle() && posture.stays == [None; 4];
    };
    (1..=24).contains(&posture.position.unwrap())
        && (1..=4).all(|digit| {
            posture.place_of(digit).is_none_or(|(_, fret)| {
                let (least, most) = if digit == 1 { (-3, 1) } else { (1 - i32::from(digit), 3) };
                (least..=most).contains(&offset(hand, digit, fret))
            })
        })
}

/// P10.
pub fn away_stands(posture: &Posture) -> bool {
    let Some(hand) = posture.hand().filter(|_| posture.away > 0) else { return posture.away == 0 };
    let down = || (1..=4u8).filter(|digit| posture.finger(*digit).down.any());
    (2..=4).contains(&posture.away)
        && !posture.idle()
        && down().all(|digit| {
            let finger = posture.finger(digit);
            finger.struck.any() && !finger.bound
        })
        && posture.stays == [None; 4]
        && posture.barre.is_none()
        && down().all(|digit| extension(hand, digit, posture.finger(digit).fret) == 0)
        && down().any(|digit| offset(hand, digit, posture.finger(digit).fret) == 0)
}

/// P11: each bound finger is where an ornamented sound needs it.
pub fn ornaments_stand(q: &Question<'_>, posture: &Posture) -> bool {
    posture.bound.iter().enumerate().all(|(index, bound)| {
        let Some(place) = bound else { return true };
        let finger = &posture.fingers[index];
        let needed = (0..posture.struck.len()).any(|index| {
            let sound = q.sound(q.struck[posture.layer][index]);
            posture.struck[index].is_some_and(|at| at.string == place.0)
                && posture.is_ornamented(q, index)
                && sound.auxiliaries.iter().any(|key| q.place_on(place.0, *key) == Some(*place))
        });
        let once = posture.bound.iter().filter(|other| *other == bound).count() == 1;
        // One for each, and not its sound's; nor can it be at another place.
        needed && place.1 > 0 && once && !finger.stops.any() && !finger.touches
    })
}
