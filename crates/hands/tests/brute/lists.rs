//! Every posture at a layer that keeps just these sounds, without fingers that
//! stay.

use crate::grip::{
    Place, Posture, Spot, Stands, away_stands, barre_stands, fingers_stand, ornaments_stand,
    position_stands, sounds_stand, spot,
};
use crate::question::Question;
use crate::strings::Barre;
use apoyando_fingering::Hinge;

pub fn postures(q: &Question<'_>, layer: usize, kept: &[(usize, Spot)]) -> Vec<Posture> {
    let mut found = Vec::new();
    place(q, layer, &mut Vec::new(), kept, &mut |struck| {
        let what = Sounding { layer, struck };
        bind(q, &what, 0, &mut [None; 4], &mut |bound| {
            if let Some(sounding) = Posture::of(q, layer, struck, kept, bound) {
                found.extend(with_barres(q, &sounding).into_iter().flat_map(with_positions));
            }
        });
    });
    found
}

/// Every placement of the sounds struck, each on a string of its own.
pub fn place(
    q: &Question<'_>,
    layer: usize,
    struck: &mut Vec<Option<Spot>>,
    kept: &[(usize, Spot)],
    each: &mut dyn FnMut(&[Option<Spot>]),
) {
    let Some(sound) = q.struck[layer].get(struck.len()) else {
        each(struck);
        return;
    };
    for (string, fret) in q.places[*sound].iter().copied() {
        let others = struck.iter().flatten().chain(kept.iter().map(|(_, spot)| spot));
        if others.clone().any(|at| at.string == string) {
            continue;
        }
        // A finger that is at another fret already cannot come.
        let elsewhere =
            |finger: u8| others.clone().any(|at| at.finger == finger && at.fret != fret);
        let fingers = if fret == 0 { 0..=0 } else { 1..=4 };
        for finger in fingers.filter(|finger| *finger == 0 || !elsewhere(*finger)) {
            let mut struck = struck.clone();
            struck.push(Some(spot(string, fret, finger)));
            place(q, layer, &mut struck, kept, each);
        }
    }
    struck.push(None);
    place(q, layer, struck, kept, each);
    struck.pop();
}

/// What sounds in a posture.
struct Sounding<'s> {
    layer: usize,
    struck: &'s [Option<Spot>],
}

/// Every way to bind fingers to the ornaments of the sounds from one on.
fn bind(
    q: &Question<'_>,
    what: &Sounding<'_>,
    from: usize,
    bound: &mut Stands,
    each: &mut dyn FnMut(Stands),
) {
    if from == what.struck.len() {
        each(*bound);
        return;
    }
    let keys = &q.sound(q.struck[what.layer][from]).auxiliaries;
    let on = |at: Spot| keys.iter().map(|key| q.place_on(at.string, *key)).collect();
    let places: Option<Vec<Place>> = what.struck[from].and_then(on);
    let needed: Vec<Place> = places.into_iter().flatten().filter(|(_, fret)| *fret > 0).collect();
    bind_each(q, what, (from, &needed), bound, each);
}

fn bind_each(
    q: &Question<'_>,
    what: &Sounding<'_>,
    (from, needed): (usize, &[Place]),
    bound: &mut Stands,
    each: &mut dyn FnMut(Stands),
) {
    let Some((first, rest)) = needed.split_first() else {
        bind(q, what, from + 1, bound, each);
        return;
    };
    // Unornamented, or left to a barre.
    bind_each(q, what, (from, rest), bound, each);
    for index in 0..4 {
        if bound[index].is_none() {
            bound[index] = Some(*first);
            bind_each(q, what, (from, rest), bound, each);
            bound[index] = None;
        }
    }
}

/// P1 to P6 and P11, without a barre and with every barre.
fn with_barres(q: &Question<'_>, sounding: &Posture) -> Vec<Posture> {
    if !sounds_stand(q, sounding) {
        return Vec::new();
    }
    let mut barres = vec![None];
    if sounding.finger(1).stops.any() {
        for thin in 1..q.strings {
            for thick in thin + 1..=q.strings {
                let hinges = [None, Some(Hinge::Thin), Some(Hinge::Thick)];
                barres.extend(hinges.map(|hinge| Some(Barre { thin, thick, hinge })));
            }
        }
    }
    let all = barres.into_iter().map(|barre| Posture { barre, ..sounding.clone() });
    let stands = |posture: &Posture| {
        barre_stands(q, posture) && ornaments_stand(q, posture) && fingers_stand(q, posture)
    };
    all.filter(stands).collect()
}

/// P7, P8 and P10: every position, at home and away.
fn with_positions(posture: Posture) -> Vec<Posture> {
    let mut found = Vec::new();
    let mut standing = posture;
    for position in std::iter::once(None).chain((1..=24).map(Some)) {
        for away in [0, 2, 3, 4] {
            (standing.position, standing.away) = (position, away);
            if position_stands(&standing) && away_stands(&standing) {
                found.push(standing.clone());
            }
        }
    }
    found
}
