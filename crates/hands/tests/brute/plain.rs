//! The walk against something plainer still: all postures there are, whatever
//! came before, thrown out by the rules one by one, and every sequence of them,
//! priced as a whole. Nothing is remembered and nothing shared between ways.

use apoyando_fingering::Hinge;

use crate::dice::Dice;
use crate::grip::{
    Place, Posture, Spot, away_stands, barre_stands, fingers_stand, ornaments_stand,
    position_stands, sounds_stand, spot,
};
use crate::heard::Kind;
use crate::puzzle::{Puzzle, Size};
use crate::question::Question;
use crate::second;
use crate::stay::{staying_follows, staying_stands};
use crate::strings::Barre;
use crate::ties::rank;
use crate::walk::{NO_BOUND, Walk};
use crate::whole::{Cost, price};

/// P1 to P11.
pub fn stands(q: &Question<'_>, posture: &Posture) -> bool {
    sounds_stand(q, posture)
        && barre_stands(q, posture)
        && fingers_stand(q, posture)
        && position_stands(posture)
        && staying_stands(q, posture)
        && away_stands(posture)
        && ornaments_stand(q, posture)
}

/// M1 to M4, and where an idle hand stands.
pub fn follows(q: &Question<'_>, before: Option<&Posture>, n: &Posture) -> bool {
    if !staying_follows(q, before, n) {
        return false;
    }
    let Some(s) = before else {
        return n.kept.is_empty() && n.away == 0 && (!n.idle() || n.position.is_none());
    };
    let kept = n.kept.iter().all(|(sound, at)| {
        s.spot_of(q, *sound).is_some_and(|was| {
            let natural = q.sound(*sound).kind == Kind::Natural;
            let kept = if natural { spot(was.string, 0, 0) } else { was };
            second::follows(q, s, (*sound, kept, *at))
        })
    });
    let in_place = s.position.is_some() && s.position == n.position;
    let straight_back = (s.away == 0 && n.away == 0) || in_place;
    kept && second::changes_stand(q, s, n)
        && straight_back
        && (!n.idle() || n.position == s.position)
}

/// One of each.
fn products<T: Clone>(each: &[Vec<T>]) -> Vec<Vec<T>> {
    each.iter().fold(vec![Vec::new()], |all, next| {
        all.iter()
            .flat_map(|row| {
                next.iter().map(move |item| [&row[..], std::slice::from_ref(item)].concat())
            })
            .collect()
    })
}

/// Every posture of a layer.
pub fn all_postures(q: &Question<'_>, layer: usize) -> Vec<Posture> {
    let frets = q.problem.instrument.frets.0;
    let places: Vec<Place> =
        (1..=q.strings).flat_map(|string| (0..=frets).map(move |fret| (string, fret))).collect();
    let spots: Vec<Spot> = places
        .iter()
        .flat_map(|place| (0..=4).map(|finger| spot(place.0, place.1, finger)))
        .collect();
    let or_none = |spots: Vec<Spot>| -> Vec<Option<Spot>> {
        std::iter::once(None).chain(spots.into_iter().map(Some)).collect()
    };
    // Each sound by itself first, so that there is an end to it.
    let struck: Vec<Vec<Option<Spot>>> = q.struck[layer]
        .iter()
        .map(|sound| {
            let fits = |at: &&Spot| {
                q.places[*sound].contains(&at.place()) && (at.fret == 0) == (at.finger == 0)
            };
            or_none(spots.iter().filter(fits).copied().collect())
        })
        .collect();
    let mut wanted = q.wanted[layer].clone();
    wanted.sort_unstable();
    let kept: Vec<Vec<Option<Spot>>> = wanted
        .iter()
        .map(|sound| {
            let natural = q.sound(*sound).kind == Kind::Natural;
            let fits = |at: &&Spot| {
                let fret = |fret: u8| if natural { 0 } else { fret };
                q.places[*sound].iter().any(|p| (p.0, fret(p.1)) == at.place())
                    && (at.fret == 0) == (at.finger == 0)
            };
            let mut fitting: Vec<Spot> = spots.iter().filter(fits).copied().collect();
            if q.problem.level.substitution {
                let taken_over = |at: &Spot| Spot { changed: true, ..*at };
                let stopped: Vec<Spot> =
                    fitting.iter().filter(|at| at.finger > 0).map(taken_over).collect();
                fitting.extend(stopped);
            }
            or_none(fitting)
        })
        .collect();
    let needed: Vec<Option<Place>> = std::iter::once(None)
        .chain(
            places
                .iter()
                .copied()
                .filter(|(string, fret)| {
                    let gives = |key: &i16| q.place_on(*string, *key) == Some((*string, *fret));
                    let mut sounds = q.struck[layer].iter().map(|sound| q.sound(*sound));
                    *fret > 0 && sounds.any(|sound| sound.auxiliaries.iter().any(gives))
                })
                .map(Some),
        )
        .collect();
    let mut found = Vec::new();
    for struck in products(&struck) {
        for kept in products(&kept) {
            let kept: Vec<(usize, Spot)> =
                wanted.iter().zip(&kept).filter_map(|(s, at)| Some((*s, (*at)?))).collect();
            for bound in products(&[needed.clone(), needed.clone(), needed.clone(), needed.clone()])
            {
                let bound = [bound[0], bound[1], bound[2], bound[3]];
                if let Some(sounding) = Posture::of(q, layer, &struck, &kept, bound)
                    && sounds_stand(q, &sounding)
                {
                    hold(q, &sounding, &places, &mut found);
                }
            }
        }
    }
    found
}

/// Every barre, position, distance and way to stay of what sounds.
fn hold(q: &Question<'_>, sounding: &Posture, places: &[Place], found: &mut Vec<Posture>) {
    let mut barres = vec![None];
    for thin in 1..=q.strings {
        for thick in 1..=q.strings {
            let hinges = [None, Some(Hinge::Thin), Some(Hinge::Thick)];
            barres.extend(hinges.map(|hinge| Some(Barre { thin, thick, hinge })));
        }
    }
    for barre in barres {
        let laid = Posture { barre, ..sounding.clone() };
        if !barre_stands(q, &laid) || !ornaments_stand(q, &laid) || !fingers_stand(q, &laid) {
            continue;
        }
        for position in std::iter::once(None).chain((1..=24).map(Some)) {
            for away in 0..=5 {
                let standing = Posture { position, away, ..laid.clone() };
                if !position_stands(&standing) || !away_stands(&standing) {
                    continue;
                }
                let single =
                    (0..4usize).flat_map(|finger| places.iter().map(move |p| (finger, *p)));
                let alone = |finger: usize, place: Place| {
                    let mut with = standing.clone();
                    with.stays[finger] = Some(place);
                    with
                };
                let single: Vec<(usize, Place)> =
                    single.filter(|(f, p)| stands(q, &alone(*f, *p))).collect();
                found.push(standing.clone());
                for (finger, place) in &single {
                    let one = alone(*finger, *place);
                    for (other, at) in single.iter().filter(|(other, _)| other > finger) {
                        let mut both = one.clone();
                        both.stays[*other] = Some(*at);
                        if stands(q, &both) {
                            found.push(both);
                        }
                    }
                    found.push(one);
                }
            }
        }
    }
}

struct Plain<'a> {
    q: &'a Question<'a>,
    /// Of each layer, in the order of ties.
    postures: Vec<Vec<Posture>>,
    bound: Cost,
    first: Option<Vec<Posture>>,
}

impl Plain<'_> {
    fn follow(&mut self, way: &mut Vec<Posture>) {
        let spent = price(self.q, way);
        // Once one as cheap is found, only cheaper ones matter.
        if spent > self.bound || (self.first.is_some() && spent == self.bound) {
            return;
        }
        let layer = way.len();
        if layer == self.q.layers() {
            assert!(spent >= self.bound, "cheaper: {spent:?} with {way:#?}");
            self.first = Some(way.clone());
            return;
        }
        for index in 0..self.postures[layer].len() {
            let next = &self.postures[layer][index];
            let before = way.last().filter(|_| self.q.is_reached(layer));
            if follows(self.q, before, next) {
                way.push(next.clone());
                self.follow(way);
                way.pop();
            }
        }
    }
}

#[test]
fn the_walk_finds_what_all_sequences_give() {
    let (mut seams, mut seen) = (0, 0);
    for seed in 50_000..50_500 {
        let mut dice = Dice(seed);
        let frets = 2 + dice.below(3) as u8;
        let puzzle = Puzzle::of_size(
            &mut dice,
            Size { strings: 4, frets, onsets: if seed % 8 == 0 { 4 } else { 3 } },
        );
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let Some(best) = Walk::new(&q, NO_BOUND).best() else { continue };
        // What takes long takes too long.
        let postures: Vec<Vec<Posture>> =
            (0..q.layers()).map(|layer| all_postures(&q, layer)).collect();
        seams += q.played.seams.len();
        seen += 1;
        let mut plain = Plain { q: &q, postures, bound: best.price, first: None };
        for layer in &mut plain.postures {
            layer.sort_by_key(|posture| (rank(&q, posture), posture.bound));
        }
        plain.follow(&mut Vec::new());
        assert_eq!(plain.first.as_ref(), Some(&best.way), "seed {seed}, {:?}", best.price);
    }
    assert!(seen > 300 && seams > 100, "too few to prove anything: {seen}, {seams}");
}
