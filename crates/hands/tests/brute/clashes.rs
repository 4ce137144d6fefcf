//! Section 11 of the model, read plainly: which notes clash.

use apoyando_hands::{Clash, ClashRule};

use crate::grip::{Place, Posture};
use crate::lists::postures;
use crate::question::Question;

/// The sets of sounds, as bits, that some posture plays and some more.
fn playable(q: &Question<'_>, layer: usize) -> Vec<u32> {
    let set = |posture: &Posture| {
        let placed = posture.struck.iter().enumerate().filter(|(_, spot)| spot.is_some());
        placed.fold(0u32, |set, (index, _)| set | 1 << index)
    };
    postures(q, layer, &[]).iter().map(set).collect()
}

/// The rule by which sounds clash, read from the model.
fn rule(q: &Question<'_>, sounds: &[usize]) -> ClashRule {
    let mut ways: Vec<Vec<Place>> = vec![Vec::new()];
    for sound in sounds {
        let places = &q.places[*sound];
        ways = ways
            .iter()
            .flat_map(|way| places.iter().map(move |place| [&way[..], &[*place]].concat()))
            .filter(|way| (1..way.len()).all(|i| way[..i].iter().all(|p| p.0 != way[i].0)))
            .collect();
    }
    if ways.is_empty() {
        return ClashRule::Strings;
    }
    let touched = |index: usize| q.sound(sounds[index]).kind == crate::heard::Kind::Natural;
    let needed = |way: &Vec<Place>| {
        let down: Vec<usize> = (0..way.len()).filter(|i| way[*i].1 > 0).collect();
        let Some(lowest) = down.iter().map(|i| way[*i].1).min() else { return 0 };
        // Every pair of strings a barre may end on.
        let mut spared = 0;
        for thin in 1..=q.strings {
            for thick in thin..=q.strings {
                let inside: Vec<usize> =
                    (0..way.len()).filter(|i| (thin..=thick).contains(&way[*i].0)).collect();
                if inside.iter().all(|i| way[*i].1 > 0 && !touched(*i)) {
                    let under = inside.iter().filter(|i| way[**i].1 == lowest).count();
                    spared = spared.max(under.saturating_sub(1));
                }
            }
        }
        down.len() - spared
    };
    let fewest = ways.iter().map(needed).min().unwrap();
    if fewest > 4 { ClashRule::Fingers } else { ClashRule::Reach }
}

/// The clashes of a layer (model §11), given what is played there.
pub fn clashes(q: &Question<'_>, layer: usize, posture: &Posture) -> Vec<Clash> {
    let playable = playable(q, layer);
    let can = |set: u32| playable.iter().any(|other| other & set == set);
    let struck = &q.struck[layer];
    let (played, out): (Vec<usize>, Vec<usize>) =
        (0..struck.len()).partition(|index| posture.struck[*index].is_some());
    let mut found: Vec<Clash> = Vec::new();
    for index in out.into_iter().filter(|index| !q.places[struck[*index]].is_empty()) {
        let others = played.iter().fold(0u32, |set, other| set | 1 << other);
        let sets = (0..1u32 << struck.len()).filter(|set| set & !others == 0);
        let clash = sets.filter(|set| !can(set | 1 << index)).min_by_key(|s| (s.count_ones(), *s));
        let set = clash.expect("it could be played") | 1 << index;
        let sounds: Vec<usize> =
            (0..struck.len()).filter(|i| set & 1 << i != 0).map(|i| struck[i]).collect();
        let tones = sounds.iter().map(|sound| q.sound(*sound).tones[0]).collect();
        let clash = Clash { tones, rule: rule(q, &sounds) };
        if !found.contains(&clash) {
            found.push(clash);
        }
    }
    found
}
