//! The effort of a way, item by item (model §5).

use apoyando_fingering::{EffortItem, Term};

use crate::hand::holding::Posed;
use crate::hand::moving::{self, Joined};
use crate::hand::shifting::{Shifting, hopping, shifting};
use crate::hand::{Hold, Played};
use crate::heard::{Role, SeamAt, hurry};
use crate::search::ground::{Ground, Recalls};
use crate::search::pair::{Joins, led};
use crate::search::seams::{self, Begins};
use crate::search::walk::Chosen;

/// Every item from one layer to another, the second not among them, and their
/// sum. Seams are billed where the hand begins again.
pub(crate) fn bill(
    ground: &Ground,
    way: &[Chosen],
    layers: std::ops::Range<usize>,
) -> (Vec<EffortItem>, i64) {
    let mut items: Vec<EffortItem> = Vec::new();
    let mut sum = 0;
    let mut last_stopped = (0..layers.start).rev().find(|layer| !way[*layer].shape.is_idle());
    if let Some(last) = last_stopped
        && (last + 1..=layers.start).any(|layer| !ground.music.is_reached(layer))
    {
        last_stopped = None;
    }
    for layer in layers {
        let at = ground.music.layers[layer].onset;
        let first = items.len();
        let mut add = |term: Term, amount: i64| {
            if amount == 0 {
                return;
            }
            sum += amount;
            match items[first..].iter_mut().find(|i| i.term == term) {
                Some(item) => item.amount += amount,
                None => items.push(EffortItem { term, at, amount }),
            }
        };
        posture(ground, &way[layer], layer, &mut add);
        if ground.music.is_reached(layer) {
            step(ground, way, layer, last_stopped, &mut add);
        } else {
            last_stopped = None;
        }
        for (_, shifting) in seams_closed_at(ground, way, layer) {
            shift_items(shifting, &mut add);
        }
        if !way[layer].shape.is_idle() {
            last_stopped = Some(layer);
        }
    }
    items.retain(|item| item.amount != 0);
    (items, sum)
}

fn posture(ground: &Ground, here: &Chosen, layer: usize, add: &mut impl FnMut(Term, i64)) {
    let posed = Posed {
        shape: &here.shape,
        strings: &here.strings,
        rules: ground.rules_on(layer),
        played: &here.played,
    };
    ground.pricing().posture(&posed, here.hand(), add);
}

fn shift_items(shifting: Shifting, add: &mut impl FnMut(Term, i64)) {
    add(Term::Shift, shifting.shift);
    add(Term::Travel, shifting.travel);
    add(Term::Ease, -shifting.ease);
}

/// The move into a layer.
fn step(
    ground: &Ground,
    way: &[Chosen],
    layer: usize,
    last_stopped: Option<usize>,
    add: &mut impl FnMut(Term, i64),
) {
    let (s, n) = (&way[layer - 1], &way[layer]);
    let step = &ground.steps[layer - 1];
    let hold = s.shape.hold().staying(s.stays);
    let from = joined_from(ground, way, layer);
    let joins = Joins { joins: ground.joins_into(layer), from: &from };
    let gliding = joins.gliding(&n.played);
    let meeting = moving::fingers(&ground.table, &hold, (&n.shape, gliding), step.pace, add);
    if s.position == n.position && s.away == n.away {
        add(Term::Slide, meeting.slide);
        add(Term::Crossed, meeting.crossed);
        add(Term::Exchange, meeting.exchange);
        if n.shape.led_from() == Some(n.hand()) {
            add(Term::LeadStay, i64::from(ground.table.lead_stay));
        }
    }
    if s.position != 0 && s.position != n.position && !n.shape.is_idle() {
        let idle = s.shape.is_idle();
        let open = if idle { i64::from(ground.table.ease_open) } else { 0 };
        let ease = step.ease + open + led(ground, meeting).ease(ground);
        let since = last_stopped.unwrap_or(layer - 1);
        let kit = (&ground.geometry, &ground.table);
        let way = (s.position, n.position);
        shift_items(shifting(kit, way, hurry(ground.time(since, layer)), ease), add);
    }
    if let Some(hand) = n.away {
        if s.away == n.away {
            add(Term::HopStay, i64::from(ground.table.hop_stay));
        } else {
            let kit = (&ground.geometry, &ground.table);
            add(Term::Hop, hopping(kit, (n.position, hand), step.pace.hurry));
        }
    }
    if moving::leaps(lifted(ground, way, layer), &n.shape) {
        add(Term::Leap, step.leap * i64::from(ground.table.leap));
    }
    if moving::exchanges(recalled(ground, way, layer), &s.shape.down, &n.shape) {
        add(Term::Exchange, i64::from(ground.table.exchange));
    }
    for (_, _, how) in joined(ground, way, layer, &hold, &from) {
        match how {
            Joined::Not => add(Term::Join, i64::from(ground.table.join)),
            Joined::Slurred { weak: true } => {
                add(Term::JoinWeak, i64::from(ground.table.join_weak));
            }
            _ => {}
        }
    }
    for _ in second_fingers(ground, way, layer) {
        add(Term::Substitute, ground.substitute(layer));
    }
    add(Term::Unchanged, unchanged(ground, way, layer));
    for sound in gone(ground, way, layer) {
        let ((role, cut), ring) = ground.let_go_terms(sound, layer);
        let term = match role {
            Role::Melody => Term::CutMelody,
            Role::Bass => Term::CutBass,
            Role::Inner => Term::CutInner,
        };
        add(term, cut);
        add(Term::Ring, ring);
    }
}

/// The finger and string of a lone sound two layers before, if `leap` counts it
/// and the finger has left it.
fn lifted(ground: &Ground, way: &[Chosen], layer: usize) -> Option<(u8, u8)> {
    if ground.steps[layer - 1].leap == 0 {
        return None;
    }
    let (before, s) = (&way[layer - 2].shape, &way[layer - 1].shape);
    (before.alone > 0 && !s.is_down(usize::from(before.alone) - 1))
        .then(|| (before.alone - 1, before.alone_on))
}

/// The finger and string with which a note was struck that comes again at a layer, if
/// that finger has been nowhere else since.
fn recalled(ground: &Ground, way: &[Chosen], layer: usize) -> Option<(u8, u8)> {
    let first = layer - Some(ground.steps[layer - 1].again).filter(|back| *back > 0)?;
    let (Recalls::Struck(frets) | Recalls::Earlier(frets)) = &ground.steps[first].recalls else {
        return None;
    };
    let place = way[first].shape.sung.get()?;
    let mut between = way[first + 1..layer].iter();
    between.all(|chosen| moving::is_free(place, &chosen.shape, frets)).then_some(place)
}

/// How the sounds are played at the layer before that others are to be joined
/// from.
fn joined_from(ground: &Ground, way: &[Chosen], layer: usize) -> Vec<Option<Played>> {
    let joins = ground.joins_into(layer);
    joins
        .iter()
        .map(|join| {
            let mut sounding = sounding(ground, &way[layer - 1], layer - 1);
            sounding.find(|(sound, _)| *sound == join.from).map(|(_, played)| played)
        })
        .collect()
}

/// Sounds of a layer that are to be joined, and whether they are, the places of
/// the hand taken into account.
fn joined(
    ground: &Ground,
    way: &[Chosen],
    layer: usize,
    hold: &Hold,
    from: &[Option<Played>],
) -> Vec<(usize, Played, Joined)> {
    let (s, n) = (&way[layer - 1], &way[layer]);
    let in_place =
        s.away.is_none() && n.away.is_none() && (s.position == 0 || s.position == n.position);
    let joins = Joins { joins: ground.joins_into(layer), from };
    joins
        .played(ground, hold, &n.played)
        .map(|(join, to, how)| match how {
            Joined::Slurred { .. } if !in_place => (join.index, to, Joined::Not),
            how => (join.index, to, how),
        })
        .collect()
}

/// Which of the sounds struck at a layer are played joined.
pub(crate) fn joined_at(ground: &Ground, way: &[Chosen], layer: usize) -> Vec<usize> {
    if layer == 0 || ground.joins_into(layer).is_empty() {
        return Vec::new();
    }
    let s = &way[layer - 1];
    let hold = s.shape.hold().staying(s.stays);
    let from = joined_from(ground, way, layer);
    joined(ground, way, layer, &hold, &from)
        .into_iter()
        .filter(|(_, _, how)| *how != Joined::Not)
        .map(|(index, ..)| index)
        .collect()
}

/// What a posture sounds: sound and how it is played, held ones first.
pub(crate) fn sounding<'a>(
    ground: &'a Ground,
    chosen: &'a Chosen,
    layer: usize,
) -> impl Iterator<Item = (usize, Played)> + 'a {
    let here = &ground.music.layers[layer];
    let held = chosen.held.iter().map(|(slot, played)| (here.held[usize::from(*slot)], *played));
    let struck = here.struck().zip(chosen.played.iter().copied());
    held.chain(struck.filter(|(_, played)| *played != Played::OUT))
}

/// Sounds of the layer before that are let go at a layer although they are
/// still wanted.
pub(crate) fn gone(ground: &Ground, way: &[Chosen], layer: usize) -> Vec<usize> {
    let here = &way[layer];
    let kept: Vec<usize> = here
        .held
        .iter()
        .map(|(slot, _)| ground.music.layers[layer].held[usize::from(*slot)])
        .collect();
    sounding(ground, &way[layer - 1], layer - 1)
        .map(|(sound, _)| sound)
        .filter(|s| ground.music.sounds[*s].wanted_until > layer && !kept.contains(s))
        .collect()
}

/// Sounds that a finger takes over on the move into a layer, and that finger.
pub(crate) fn second_fingers(ground: &Ground, way: &[Chosen], layer: usize) -> Vec<(usize, u8)> {
    if !ground.seconds.are_taught() || !ground.music.is_reached(layer) {
        return Vec::new();
    }
    let held = &ground.music.layers[layer].held;
    let before: Vec<(usize, Played)> = sounding(ground, &way[layer - 1], layer - 1).collect();
    let kept = way[layer].held.iter().map(|(slot, played)| (held[usize::from(*slot)], *played));
    kept.filter(|(sound, is)| {
        let was = before.iter().find(|(other, _)| other == sound);
        was.is_some_and(|(_, was)| is.finger > 0 && was.finger != is.finger)
    })
    .map(|(sound, is)| (sound, is.finger))
    .collect()
}

/// What is charged at a layer for sounds that were asked to change their finger and do
/// not any more.
fn unchanged(ground: &Ground, way: &[Chosen], layer: usize) -> i64 {
    if ground.seconds.count_asked() == 0 {
        return 0;
    }
    let held = &ground.music.layers[layer].held;
    let kept: Vec<usize> =
        way[layer].held.iter().map(|(slot, _)| held[usize::from(*slot)]).collect();
    let changes_by = |sound: usize| {
        let from = ground.music.sounds[sound].layer + 1;
        (from..=layer).any(|layer| {
            second_fingers(ground, way, layer).iter().any(|(other, _)| *other == sound)
        })
    };
    sounding(ground, &way[layer - 1], layer - 1)
        .map(|(sound, _)| sound)
        .filter(|sound| ground.music.sounds[*sound].wanted_until > layer && !changes_by(*sound))
        .map(|sound| {
            let second = ground.second(sound, layer);
            if kept.contains(&sound) { second.kept } else { second.let_go }
        })
        .sum()
}

/// How the hand of a way begins at a layer.
pub(crate) fn begins(way: &[Chosen], layer: usize) -> (Begins, Option<usize>) {
    let stopped = (layer..way.len()).find(|layer| !way[*layer].shape.is_idle());
    let position = stopped.map_or(0, |layer| way[layer].position);
    (Begins { position, idle: way[layer].shape.is_idle() }, stopped)
}

/// What a seam of a way pays.
pub(crate) fn seam_shift(ground: &Ground, way: &[Chosen], seam: &SeamAt) -> Option<Shifting> {
    let before = &way[seam.from];
    let (begins, _) = begins(way, seam.to);
    seams::shift(ground, seam, (before.position, before.shape.is_idle()), begins)
}

/// Seams that are paid at a layer: the hand is not idle there for the first time
/// since their end.
fn seams_closed_at<'a>(
    ground: &'a Ground,
    way: &'a [Chosen],
    layer: usize,
) -> impl Iterator<Item = (&'a SeamAt, Shifting)> {
    let seams = ground.music.order.seams.iter();
    seams
        .filter(move |seam| seam.to <= layer && begins(way, seam.to).1 == Some(layer))
        .filter_map(move |seam| Some((seam, seam_shift(ground, way, seam)?)))
}
