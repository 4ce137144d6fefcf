//! Which fingers hold a shape: every way that the hand model allows, with its
//! effort.
//!
//! The rules are those of `docs/model.md` for one posture (P4 to P8, A2 to
//! A5); the effort is that of its terms on a posture.

use apoyando_fingering::{Barre, EffortTable, LeftFinger, Level, Position};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};

/// A shape under the fingers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Grip {
    /// Per string from ① on, the finger that stops it.
    pub(crate) fingers: Vec<Option<LeftFinger>>,
    /// Where the hand is; `None` if nothing is stopped.
    pub(crate) position: Option<Position>,
    pub(crate) barre: Option<Barre>,
    /// How many fingers leave their frets outwards.
    pub(crate) extended: usize,
    /// The posture's effort by the table, without its barre.
    pub(crate) effort: i32,
}

impl Grip {
    /// Whether a finger is used.
    pub(crate) fn uses(&self, finger: LeftFinger) -> bool {
        self.fingers.contains(&Some(finger))
    }

    /// How many fingers are down.
    pub(crate) fn count(&self) -> usize {
        LeftFinger::ALL.into_iter().filter(|finger| self.uses(*finger)).count()
    }

    /// By effort and the holding of the barre; then by digits and position.
    /// Laying the barre is left out: a shape is laid once and held long.
    pub(crate) fn order(
        &self,
        effort: &EffortTable,
    ) -> (i32, Vec<Option<LeftFinger>>, Option<Position>) {
        let barre = self.barre.map_or(0, |b| i32::from(b.width()) * effort.barre_hold);
        (self.effort + barre, self.fingers.clone(), self.position)
    }
}

/// What the hand is asked to hold and may do.
#[derive(Clone, Copy)]
pub(crate) struct Hand<'a> {
    pub(crate) instrument: &'a Instrument,
    pub(crate) level: &'a Level,
    pub(crate) effort: &'a EffortTable,
}

/// A finger with the places that it stops; several under a barre.
type Stop = (LeftFinger, Place);

impl Hand<'_> {
    /// All ways to hold a shape (per string from ① on its fret, `None` if it
    /// is not played), from every position, best first.
    pub(crate) fn grips(&self, frets: &[Option<Fret>]) -> Vec<Grip> {
        let stopped: Vec<Place> = places(frets).filter(|place| !place.fret.is_open()).collect();
        let opens = places(frets).any(|place| place.fret.is_open());
        let too_high = stopped.iter().any(|place| place.fret > self.level.highest_fret);
        if too_high || (opens && !self.level.fingers.contains(None)) {
            return Vec::new();
        }
        let mut grips = Vec::new();
        if stopped.is_empty() {
            grips.push(Grip {
                fingers: vec![None; frets.len()],
                position: None,
                barre: None,
                extended: 0,
                effort: 0,
            });
        }
        if (1..=4).contains(&stopped.len()) {
            self.assign(&stopped, &mut Vec::new(), &mut |stops| {
                self.settle(frets, stops, None, &mut grips);
            });
        }
        if let Some(barre) = self.barre(frets, &stopped) {
            let above: Vec<Place> =
                stopped.iter().copied().filter(|place| place.fret > barre.fret).collect();
            if above.len() <= 3 {
                let first = Place { string: barre.thick, fret: barre.fret };
                self.assign(&above, &mut vec![(LeftFinger::One, first)], &mut |stops| {
                    self.settle(frets, stops, Some(barre), &mut grips);
                });
            }
        }
        grips.sort_by_cached_key(|grip| grip.order(self.effort));
        grips
    }

    /// The barre at the lowest fret, if the level allows it and it stops no
    /// string that should sound below it.
    fn barre(&self, frets: &[Option<Fret>], stopped: &[Place]) -> Option<Barre> {
        let fret = stopped.iter().map(|place| place.fret).min()?;
        let mut lowest = stopped.iter().filter(|place| place.fret == fret);
        let thin = lowest.next()?.string;
        let thick = lowest.next_back()?.string;
        let barre = Barre { fret, thin, thick };
        let free = places(frets).all(|place| !barre.covers(place.string) || place.fret >= fret);
        let allowed = self.level.fingers.contains(Some(LeftFinger::One))
            && barre.width() <= self.level.barre.width();
        (free && allowed).then_some(barre)
    }

    /// Gives each place left a finger of its own; those in `stops` are taken.
    fn assign(&self, left: &[Place], stops: &mut Vec<Stop>, found: &mut dyn FnMut(&[Stop])) {
        let Some((place, rest)) = left.split_first() else {
            found(stops);
            return;
        };
        for finger in LeftFinger::ALL {
            let taken = stops.iter().any(|(other, _)| *other == finger);
            if taken || !self.level.fingers.contains(Some(finger)) {
                continue;
            }
            let ordered = stops.iter().all(|(other, there)| {
                if *other < finger { there.fret <= place.fret } else { place.fret <= there.fret }
            });
            if ordered {
                stops.push((finger, *place));
                self.assign(rest, stops, found);
                stops.pop();
            }
        }
    }

    /// Finds the positions from which the hand can hold the stops.
    fn settle(
        &self,
        frets: &[Option<Fret>],
        stops: &[Stop],
        barre: Option<Barre>,
        grips: &mut Vec<Grip>,
    ) {
        let under_barre = |finger| barre.is_some() && finger == LeftFinger::One;
        let ordered = barre.is_none_or(|barre| {
            stops.iter().all(|(f, place)| *f == LeftFinger::One || place.fret > barre.fret)
        });
        let mut pairs = stops
            .iter()
            .flat_map(|a| stops.iter().map(move |b| (*a, *b)))
            .filter(|(a, b)| a.0 < b.0);
        if !ordered || !pairs.all(|(a, b)| self.reaches(a, b, under_barre(a.0))) {
            return;
        }
        let mut fingers = vec![None; frets.len()];
        for place in places(frets).filter(|place| !place.fret.is_open()) {
            let own = stops.iter().find(|(_, there)| *there == place).map(|(finger, _)| *finger);
            let barred = barre.is_some_and(|b| b.covers(place.string) && b.fret == place.fret);
            fingers[place.string.index()] = if barred { Some(LeftFinger::One) } else { own };
        }
        let sounds = fingers.iter().flatten().count() as i32;
        // No finger is more than three frets from its own.
        let Some((finger, place)) = stops.first() else { return };
        let rest = place.fret.0.saturating_sub(finger.digit() - 1);
        let candidates = (rest.saturating_sub(3)..=rest + 3).filter_map(Position::new);
        for candidate in candidates.filter(|at| self.level.positions.contains(*at)) {
            let Some((extended, of_fingers)) = self.posture(stops, barre, candidate) else {
                continue;
            };
            let height = self.effort.height * (i32::from(candidate.get()) - 1);
            grips.push(Grip {
                fingers: fingers.clone(),
                position: Some(candidate),
                barre,
                extended,
                effort: of_fingers + sounds * (self.effort.stop + height),
            });
        }
    }

    /// Distance of two fingers along the neck, by how much the second is
    /// farther from the nut, in tenths of a millimetre (P6).
    fn spread(&self, a: Stop, b: Stop, barre: bool) -> i64 {
        let (pa, pb) = (self.instrument.point(a.1), self.instrument.point(b.1));
        let slant = if barre {
            0
        } else {
            20 * (i64::from(b.1.string.get()) - i64::from(a.1.string.get()))
        };
        i64::from((pb.along - pa.along).0) + slant
    }

    fn reaches(&self, a: Stop, b: Stop, barre: bool) -> bool {
        let (pa, pb) = (self.instrument.point(a.1), self.instrument.point(b.1));
        let dx = self.spread(a, b, barre);
        let dy = if barre { 0 } else { i64::from((pa.across - pb.across).0) };
        let reach = i64::from(self.level.reach.between(a.0, b.0).0);
        dx * dx + dy * dy <= reach * reach
    }

    /// How many fingers are extended in a position, and the effort of its
    /// fingers, stopping and height left out; `None` if a finger would be too
    /// far from its fret.
    fn posture(
        &self,
        stops: &[Stop],
        barre: Option<Barre>,
        position: Position,
    ) -> Option<(usize, i32)> {
        let table = self.effort;
        let mut extended = 0;
        let mut effort = 0;
        for (finger, place) in stops {
            let offset = position.offset(*finger, place.fret);
            let one = *finger == LeftFinger::One;
            let outwards = if one { -offset } else { offset };
            let inwards = if one { 1 } else { i32::from(finger.digit()) - 1 };
            if outwards > i32::from(self.level.extension.min(3)) || -outwards > inwards {
                return None;
            }
            extended += usize::from(outwards > 0);
            effort += table.extension * outwards.max(0) + table.contraction * (-outwards).max(0);
            effort += match finger {
                LeftFinger::Three => table.finger_3,
                LeftFinger::Four => table.finger_4,
                _ => 0,
            };
        }
        for a in stops {
            for b in stops.iter().filter(|b| a.0 < b.0) {
                let barred = barre.is_some() && a.0 == LeftFinger::One;
                let excess = self.spread(*a, *b, barred) - self.rest_spread(a.0, b.0, position);
                effort += table.stretch * i32::try_from(excess.max(0)).unwrap_or(i32::MAX) / 100;
                if a.1.fret == b.1.fret && a.1.string < b.1.string {
                    effort += table.crossed * i32::from(b.1.string.get() - a.1.string.get());
                }
            }
        }
        Some((extended, effort))
    }

    /// How far two fingers are apart at rest in a position.
    fn rest_spread(&self, a: LeftFinger, b: LeftFinger, position: Position) -> i64 {
        let along = |finger| {
            let place = Place { string: StringNumber::FIRST, fret: position.fret_of(finger) };
            i64::from(self.instrument.point(place).along.0)
        };
        along(b) - along(a)
    }
}

fn places(frets: &[Option<Fret>]) -> impl DoubleEndedIterator<Item = Place> + '_ {
    frets.iter().enumerate().filter_map(|(index, fret)| {
        Some(Place { string: StringNumber::new(index as u8 + 1)?, fret: (*fret)? })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use apoyando_fingering::Shape;

    fn best(shape: &str, level: &Level) -> Option<(String, Grip)> {
        let guitar = Instrument::guitar();
        let effort = crate::voicing::effort_of_shapes();
        let hand = Hand { instrument: &guitar, level, effort: &effort };
        let shape: Shape = shape.parse().unwrap();
        let frets: Vec<Option<Fret>> = shape.strings.iter().map(|s| s.fret()).collect();
        let grip = hand.grips(&frets).into_iter().next()?;
        let shown =
            grip.fingers.iter().rev().map(|f| f.map_or('·', |f| (b'0' + f.digit()) as char));
        Some((shown.collect(), grip))
    }

    /// Common practice, no source: usual fingerings of open chords.
    #[test]
    fn open_chords_are_held_as_players_hold_them() {
        for (shape, accepted) in [
            ("x32010", &["·32·1·"][..]),
            ("x02220", &["··123·", "··213·"]),
            ("320003", &["21···3", "32···4"]),
            ("022100", &["·231··"]),
            ("xx0232", &["···132"]),
            ("x02210", &["··231·"]),
            ("022000", &["·23···", "·12···"]),
            ("xx0231", &["···231", "···241"]),
            ("x21202", &["·213·4"]),
            ("320001", &["32···1"]),
            ("x32310", &["·3241·"]),
            ("xx4320", &["··321·"]),
            ("xx0432", &["···321"]),
            ("xx321x", &["··321·"]),
        ] {
            let (fingers, grip) = best(shape, &Level::first()).unwrap();
            assert!(accepted.contains(&fingers.as_str()), "{shape}: {fingers}");
            assert_eq!(grip.barre, None, "{shape}");
        }
    }

    /// Common practice, no source.
    #[test]
    fn barre_chords_need_a_level_that_allows_them() {
        for (shape, fingers) in
            [("133211", "134211"), ("xx3211", "··3211"), ("x24432", "·13421"), ("355333", "134111")]
        {
            let (found, grip) = best(shape, &Level::open()).unwrap();
            assert_eq!(found, fingers);
            assert!(grip.barre.is_some(), "{shape}");
            let without = best(shape, &Level::first());
            assert!(without.is_none_or(|(_, grip)| grip.barre.is_none()), "{shape}");
        }
    }

    #[test]
    fn a_hand_has_its_limits() {
        assert_eq!(best("1xxxx7", &Level::open()), None);
        assert_eq!(best("111222", &Level::first()), None);
        assert_eq!(best("000000", &Level::first()).unwrap().1.position, None);
    }
}
