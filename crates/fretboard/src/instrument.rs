//! An instrument with its lengths, and where pitches lie on it.

use apoyando_music::{KeyNumber, Pitch};

use crate::length::{Millimetres, TenthsOfMm};
use crate::place::{Fret, Place, StringNumber};
use crate::tuning::Tuning;

/// A point on the fingerboard, in tenths of a millimetre.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Point {
    /// From the nut along the neck.
    pub along: TenthsOfMm,
    /// From the middle line of the fingerboard, towards the thick strings.
    pub across: TenthsOfMm,
}

/// A fretted instrument.
#[derive(Clone, PartialEq, Debug)]
pub struct Instrument {
    /// The open strings.
    pub tuning: Tuning,
    /// Fret at which a capo lies; 0 for none. Frets are then counted from it.
    pub capo: Fret,
    /// Length of the open string from nut to bridge.
    pub scale_length: Millimetres,
    /// Distance of the outer strings at the nut.
    pub nut_spread: Millimetres,
    /// Distance of the outer strings at the bridge.
    pub bridge_spread: Millimetres,
    /// The last fret.
    pub frets: Fret,
}

impl Instrument {
    /// A concert guitar of 650 mm with 19 frets. Common practice, no source.
    pub fn guitar() -> Self {
        Self {
            tuning: Tuning::standard(),
            capo: Fret::OPEN,
            scale_length: Millimetres(650.0),
            nut_spread: Millimetres(42.5),
            bridge_spread: Millimetres(58.0),
            frets: Fret(19),
        }
    }

    /// Distance of a fret from the nut: L·(1 − 2^(−n/12)), the rule of twelfth
    /// roots. `fret` is counted from the nut, capo or not.
    pub fn fret_from_nut(&self, fret: Fret) -> Millimetres {
        Millimetres(self.scale_length.0 * (1.0 - (-f64::from(fret.0) / 12.0).exp2()))
    }

    /// Where a finger stands that stops `place`: at the fret wire along the
    /// neck and on the string across it. Fingers press at much the same
    /// distance behind their frets, so the wire serves for differences.
    pub fn point(&self, place: Place) -> Point {
        let fret = self.beyond_nut(place.fret);
        let along = self.fret_from_nut(fret);
        let share = along.0 / self.scale_length.0;
        let spread = self.nut_spread.0 + (self.bridge_spread.0 - self.nut_spread.0) * share;
        let gaps = self.tuning.len() as f64 - 1.0;
        let from_middle = (place.string.index() as f64 - gaps / 2.0) / gaps;
        Point { along: along.to_tenths(), across: Millimetres(spread * from_middle).to_tenths() }
    }

    /// A fret counted from the nut instead of the capo. What lies beyond all
    /// frets stays there.
    const fn beyond_nut(&self, fret: Fret) -> Fret {
        Fret(fret.0.saturating_add(self.capo.0))
    }

    /// What a place sounds, capo included; `None` off the instrument.
    pub fn sound(&self, place: Place) -> Option<KeyNumber> {
        let open = self.tuning.open(place.string)?;
        (self.beyond_nut(place.fret) <= self.frets).then(|| {
            KeyNumber(open.key_number().0 + i16::from(place.fret.0) + i16::from(self.capo.0))
        })
    }

    /// The places that sound a key, from ① on.
    pub fn places(&self, key: KeyNumber) -> impl Iterator<Item = Place> + use<'_> {
        self.tuning.strings().filter_map(move |string| self.place_on(string, key))
    }

    /// The place on a given string that sounds a key, if there is one.
    pub fn place_on(&self, string: StringNumber, key: KeyNumber) -> Option<Place> {
        let open = self.tuning.open(string)?.key_number().0 + i16::from(self.capo.0);
        let fret = u8::try_from(key.0 - open).ok()?;
        (self.beyond_nut(Fret(fret)) <= self.frets).then_some(Place { string, fret: Fret(fret) })
    }

    /// The lowest pitch that can be sounded.
    pub fn lowest(&self) -> Option<Pitch> {
        self.tuning.strings().filter_map(|string| self.tuning.open(string)).min()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(string: u8, fret: u8) -> Place {
        Place { string: StringNumber::new(string).unwrap(), fret: Fret(fret) }
    }

    /// Rule of twelfth roots: fret 12 halves the string, fret 7 leaves 2/3 of
    /// it but for the tempering, every fret is 2^(−1/12) of the one before.
    #[test]
    fn frets_follow_the_rule_of_twelfth_roots() {
        let guitar = Instrument::guitar();
        assert!((guitar.fret_from_nut(Fret(12)).0 - 325.0).abs() < 1e-9);
        let width =
            |fret: u8| guitar.fret_from_nut(Fret(fret)).0 - guitar.fret_from_nut(Fret(fret - 1)).0;
        assert!((width(1) - 36.482).abs() < 1e-3);
        for fret in 2..=19 {
            assert!((width(fret) / width(fret - 1) - 2f64.powf(-1.0 / 12.0)).abs() < 1e-12);
        }
    }

    /// Common practice, no source: the unisons players tune by.
    #[test]
    fn neighbouring_strings_meet_in_unison() {
        let guitar = Instrument::guitar();
        for (stopped, open) in [
            (place(6, 5), place(5, 0)),
            (place(5, 5), place(4, 0)),
            (place(4, 5), place(3, 0)),
            (place(3, 4), place(2, 0)),
            (place(2, 5), place(1, 0)),
        ] {
            assert_eq!(guitar.sound(stopped), guitar.sound(open));
        }
    }

    #[test]
    fn places_of_a_key_sound_it() {
        let guitar = Instrument::guitar();
        for key in (40..=83).map(KeyNumber) {
            let places: Vec<Place> = guitar.places(key).collect();
            assert!(!places.is_empty());
            assert!(places.iter().all(|p| guitar.sound(*p) == Some(key)));
        }
        assert_eq!(guitar.places(KeyNumber(39)).count(), 0);
        assert_eq!(guitar.places(KeyNumber(84)).count(), 0);
    }

    #[test]
    fn a_capo_raises_the_open_strings() {
        let capo = Instrument { capo: Fret(3), ..Instrument::guitar() };
        assert_eq!(capo.sound(place(6, 0)), Some(KeyNumber(43)));
        assert_eq!(capo.sound(place(6, 16)), Some(KeyNumber(59)));
        assert_eq!(capo.sound(place(6, 17)), None);
    }

    /// As many semitones above a string as eight bits hold, and a capo.
    #[test]
    fn what_lies_beyond_all_frets_is_nowhere() {
        let capo = Instrument { capo: Fret(12), ..Instrument::guitar() };
        for key in 290..320 {
            assert_eq!(capo.places(KeyNumber(key)).count(), 0, "{key}");
        }
        assert_eq!(capo.sound(place(1, 250)), None);
        let _ = capo.point(place(1, 250));
    }
}
