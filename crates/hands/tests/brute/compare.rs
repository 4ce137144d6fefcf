//! The answer of the search, and what the brute force has to say to it.

use std::collections::BTreeMap;

use apoyando_fingering::{Fingering, Shift, Term};
use apoyando_music::Moment;

use crate::grip::{Posture, Spot, spot};
use crate::listed;
use crate::question::Question;
use crate::strings::Barre;
use crate::told;
use crate::ways::Best;
use crate::whole::{Cost, Items, items, price};

/// The price of an answer.
pub fn price_of(answer: &Fingering) -> Cost {
    let price = answer.price;
    Cost(price.escapes.into(), price.broken.into(), price.effort as i64)
}

fn charged(answer: &Fingering) -> BTreeMap<(Moment, Term), i64> {
    let mut sums = BTreeMap::new();
    for item in &answer.items {
        *sums.entry((item.at, item.term)).or_default() += item.amount;
    }
    sums.retain(|_, amount| *amount != 0);
    sums
}

/// A shift without what may be told in several ways, but for whether it is told.
fn outline(shift: &Shift) -> Shift {
    let mut outline = *shift;
    outline.guide = None;
    outline.pivot = None;
    outline
}

/// In what an answer differs from the best sequence; nothing if in nothing.
pub fn differences(q: &Question<'_>, answer: &Fingering, best: &Best) -> Vec<String> {
    let own = listed::fingering(q, &best.way);
    let mut found = Vec::new();
    if own.price != answer.price {
        found.push(format!("price {:?} and not {:?}", answer.price, own.price));
    }
    if own.postures != answer.postures {
        let pairs = answer.postures.iter().zip(&own.postures).filter(|(a, b)| a != b);
        let shown = pairs
            .map(|(a, b)| format!("posture {}\nand not {}", told::posture(a), told::posture(b)));
        found.extend(shown);
        found.push(by_own_account(q, answer, best));
        found.push(told::question(q));
        return found;
    }
    let mut differ = |what: &str, differs: bool| {
        if differs {
            found.push(what.to_owned());
        }
    };
    for (index, (tone, wanted)) in answer.tones.iter().zip(&own.tones).enumerate() {
        let what = format!("tone {index}: {tone:?} and not {wanted:?}");
        let placed = wanted.left.is_some();
        differ(
            &what,
            (tone.left, tone.joined) != (wanted.left, wanted.joined)
                || (placed && tone.sounds_until != wanted.sounds_until),
        );
    }
    differ("positions", answer.positions != own.positions);
    differ("hops", answer.hops != own.hops);
    differ("barres", answer.barres != own.barres);
    let outlines = |shifts: &[Shift]| shifts.iter().map(outline).collect::<Vec<_>>();
    differ("shifts", outlines(&answer.shifts) != outlines(&own.shifts));
    for (shift, wanted) in answer.shifts.iter().zip(&own.shifts) {
        differ("guide", shift.guide.is_some() != wanted.guide.is_some());
        differ("pivot", shift.pivot.is_some() != wanted.pivot.is_some());
    }
    let seams = |fingering: &Fingering| {
        let mut seams = fingering.seams.clone();
        seams.sort_by_key(|seam| (seam.from, seam.to));
        seams
    };
    differ(&format!("seams {:?}", answer.seams), seams(answer) != seams(&own));
    let mut let_go = answer.let_go.clone();
    let_go.sort_by_key(|gone| (gone.at, gone.tone));
    differ(&format!("let go {let_go:?} and not {:?}", own.let_go), let_go != own.let_go);
    let (theirs, ours) = (charged(answer), charged(&own));
    for key in theirs.keys().chain(ours.keys()) {
        let pair = (theirs.get(key), ours.get(key));
        differ(&format!("{key:?}: {:?} and not {:?}", pair.0, pair.1), pair.0 != pair.1);
    }
    found
}

/// What an answer costs as the brute force reads it, beside its own best.
pub fn by_own_account(q: &Question<'_>, answer: &Fingering, best: &Best) -> String {
    let Some(way) = said(q, answer) else { return "a posture that is none".to_owned() };
    let shown = |items: &Items| -> String {
        let line = |((layer, term), amount): (&(usize, Term), &i64)| {
            format!("  layer {layer}: {} {amount}\n", term.info().name)
        };
        items.iter().map(line).collect()
    };
    format!(
        "read plainly the answer costs {:?}\n{}and the best {:?}\n{}",
        price(q, &way),
        shown(&items(q, &way)),
        best.price,
        shown(&items(q, &best.way)),
    )
}

/// An answer in the brute force's words; `None` if a finger is at two frets.
pub fn said(q: &Question<'_>, answer: &Fingering) -> Option<Vec<Posture>> {
    let of_layer = |(layer, posture): (usize, &apoyando_fingering::Posture)| {
        let own = |sound: usize| -> Option<Spot> {
            let tone = q.sound(sound).tones[0];
            let (_, at) = posture.sounding.iter().find(|(other, _)| *other == tone)?;
            let digit = at.finger.map_or(0, |finger| finger.digit());
            let struck = answer.tones[tone.0 as usize].left.and_then(|left| left.finger);
            let changed = digit > 0 && struck.is_some() && struck != at.finger;
            Some(Spot { changed, ..spot(at.place.string.get(), at.place.fret.0, digit) })
        };
        let struck: Vec<Option<Spot>> = q.struck[layer].iter().map(|sound| own(*sound)).collect();
        let mut kept: Vec<(usize, Spot)> =
            q.wanted[layer].iter().filter_map(|sound| Some((*sound, own(*sound)?))).collect();
        kept.sort_unstable();
        let stands = |fingers: &[(apoyando_fingering::LeftFinger, apoyando_fretboard::Place)]| {
            let mut stands = [None; 4];
            for (finger, place) in fingers {
                stands[finger.index()] = Some((place.string.get(), place.fret.0));
            }
            stands
        };
        let mut said = Posture::of(q, layer, &struck, &kept, stands(&posture.bound))?;
        said.position = posture.position.map(|position| position.get());
        let away = posture.away.zip(posture.position);
        said.away = away.map_or(0, |(hand, position)| hand.get().saturating_sub(position.get()));
        said.barre = posture.barre.map(|barre| Barre {
            thin: barre.thin.get(),
            thick: barre.thick.get(),
            hinge: posture.hinge,
        });
        said.stays = stands(&posture.staying);
        Some(said)
    };
    answer.postures.iter().enumerate().map(of_layer).collect()
}

/// A fingering written out is read as the sequence it came from; one that lists
/// something else is told apart.
#[test]
fn what_is_written_out_is_read_back() {
    let mut told_apart = 0;
    for seed in 400_000..400_400 {
        let puzzle = crate::puzzle::Puzzle::new(seed);
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let Some(best) = crate::best_by_itself(&q) else { continue };
        let fingering = listed::fingering(&q, &best.way);
        assert_eq!(said(&q, &fingering).as_ref(), Some(&best.way), "seed {seed}");
        assert_eq!(differences(&q, &fingering, &best), Vec::<String>::new(), "seed {seed}");
        let mut others = vec![fingering.clone(); 8];
        others[0].price.effort += 1;
        others[1].postures[0].idle ^= true;
        others[2].positions.clear();
        others[3].barres.clear();
        others[4].shifts.clear();
        others[5].seams.clear();
        others[6].let_go.clear();
        others[7].items.clear();
        for other in others.iter().filter(|other| **other != fingering) {
            assert!(!differences(&q, other, &best).is_empty(), "seed {seed}");
            told_apart += 1;
        }
    }
    assert!(told_apart > 1500, "too few to prove anything: {told_apart}");
}
