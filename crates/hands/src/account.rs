//! The chosen way written out as a fingering, with its bill.

use apoyando_fingering::{
    Barre, BarreSpan, EffortItem, Fingering, LeftFinger, LetGo, Placement, Position, PositionSpan,
    Posture, Price, Problem, Shift, Term, ToneFingering,
};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Moment, Tones};

use crate::clock::hurry;
use crate::ground::Ground;
use crate::music::Role;
use crate::postures::{Faults, Played};
use crate::state::{State, Step};
use crate::walk::Chosen;

fn string_number(index: usize) -> StringNumber {
    StringNumber::new(index as u8 + 1).unwrap_or(StringNumber::FIRST)
}

fn placement(ground: &Ground, sound: usize, played: Played) -> Option<Placement> {
    let string = usize::from(played.string);
    if played == Played::OUT {
        return None;
    }
    let fret = ground.costs.geometry.fret(string, ground.music.sounds[sound].key)?;
    Some(Placement {
        place: Place { string: string_number(string), fret: Fret(fret) },
        finger: LeftFinger::from_digit(played.finger),
    })
}

/// The barre of a state.
pub(crate) fn barre_of(state: &State) -> Option<Barre> {
    Some(Barre {
        fret: Fret(state.fret[0]),
        thin: StringNumber::new(state.thin)?,
        thick: StringNumber::new(state.thick)?,
    })
}

/// Writes out a whole fingering; the right hand is still to come.
pub(crate) fn fingering(
    problem: &Problem<'_>,
    tones: &Tones,
    ground: &Ground,
    way: &[Chosen],
    faults: &[Faults],
) -> Fingering {
    let (items, effort) = bill(ground, way);
    let price = Price {
        escapes: faults.iter().map(|f| u32::from(f.0)).sum(),
        broken: faults.iter().map(|f| u32::from(f.1)).sum(),
        effort: u64::try_from(effort).unwrap_or(0),
    };
    let (tone_fingerings, let_go) = sounding_lengths(tones, ground, way);
    Fingering {
        revision: problem.score.revision(),
        part: problem.part,
        tones: tone_fingerings,
        postures: postures(ground, way),
        positions: positions(ground, way),
        hops: Vec::new(),
        barres: barres(ground, way),
        shifts: shifts(ground, way),
        seams: Vec::new(),
        let_go,
        price,
        items,
    }
}

fn onset(ground: &Ground, layer: usize) -> Moment {
    ground.music.layers[layer].onset
}

/// Every item of the effort and its sum.
pub(crate) fn bill(ground: &Ground, way: &[Chosen]) -> (Vec<EffortItem>, i64) {
    let mut items: Vec<EffortItem> = Vec::new();
    let mut sum = 0;
    let mut last_stopped = None;
    for (layer, here) in way.iter().enumerate() {
        let at = onset(ground, layer);
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
        ground.costs.posture(&here.state, &mut add);
        if layer > 0 {
            let mut step = ground.steps[layer - 1];
            if let Some(last) = last_stopped {
                step.since_stopped = hurry(ground.time(last, layer));
            }
            let before = &way[layer - 1];
            shift_items(ground, &before.state, &here.state, step, &mut add);
            ground.costs.fingers(&before.state, &here.state, step.hurry, &mut add);
            for sound in gone(ground, before, here, layer) {
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
        if !here.state.idle() {
            last_stopped = Some(layer);
        }
    }
    (items, sum)
}

fn shift_items(ground: &Ground, s: &State, n: &State, step: Step, add: &mut impl FnMut(Term, i64)) {
    if n.idle() || s.position == 0 || s.position == n.position {
        return;
    }
    let table = &ground.costs.table;
    let whole =
        ground.costs.shift[usize::from(s.position)][usize::from(n.position)] * step.since_stopped;
    let shift = i64::from(table.shift) * step.since_stopped;
    add(Term::Shift, shift);
    add(Term::Travel, whole - shift);
    add(Term::Ease, -(whole * ground.costs.ease_percent(s, n, step.rest) / 100));
}

/// What a posture sounds: sound and how it is played, held ones first.
fn sounding<'a>(
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
fn gone(ground: &Ground, before: &Chosen, here: &Chosen, layer: usize) -> Vec<usize> {
    let kept: Vec<usize> = here
        .held
        .iter()
        .map(|(slot, _)| ground.music.layers[layer].held[usize::from(*slot)])
        .collect();
    sounding(ground, before, layer - 1)
        .map(|(sound, _)| sound)
        .filter(|s| ground.music.sounds[*s].wanted_until > layer && !kept.contains(s))
        .collect()
}

fn sounding_lengths(
    tones: &Tones,
    ground: &Ground,
    way: &[Chosen],
) -> (Vec<ToneFingering>, Vec<LetGo>) {
    let silent = |at| ToneFingering {
        left: None,
        right: None,
        stroke: None,
        sounds_until: at,
        joined: false,
    };
    let mut all: Vec<ToneFingering> = tones.as_slice().iter().map(|t| silent(t.onset)).collect();
    let mut let_go = Vec::new();
    for (layer, chosen) in way.iter().enumerate() {
        let at = onset(ground, layer);
        for (sound, played) in ground.music.layers[layer].struck().zip(&chosen.played) {
            let left = placement(ground, sound, *played);
            let whole = &ground.music.sounds[sound];
            let until = if left.is_some() { whole.wanted_end } else { at };
            for tone in &whole.tones {
                all[tone.0 as usize] = ToneFingering {
                    left,
                    right: None,
                    stroke: None,
                    sounds_until: until,
                    joined: false,
                };
            }
        }
        if layer == 0 {
            continue;
        }
        for sound in gone(ground, &way[layer - 1], chosen, layer) {
            let whole = &ground.music.sounds[sound];
            for tone in &whole.tones {
                all[tone.0 as usize].sounds_until = at;
                let_go.push(LetGo { tone: *tone, at, written: layer < whole.written_until });
            }
        }
    }
    (all, let_go)
}

fn postures(ground: &Ground, way: &[Chosen]) -> Vec<Posture> {
    way.iter()
        .enumerate()
        .map(|(layer, chosen)| {
            let mut all = Vec::new();
            for (sound, played) in sounding(ground, chosen, layer) {
                if let Some(placement) = placement(ground, sound, played) {
                    let tones = &ground.music.sounds[sound].tones;
                    all.extend(tones.iter().map(|tone| (*tone, placement)));
                }
            }
            all.sort_unstable_by_key(|(tone, _)| *tone);
            Posture {
                at: onset(ground, layer),
                position: Position::new(chosen.state.position),
                idle: chosen.state.idle(),
                sounding: all,
                barre: barre_of(&chosen.state),
                away: None,
                hinge: None,
                staying: Vec::new(),
                bound: Vec::new(),
            }
        })
        .collect()
}

/// The layers with something stopped.
fn stopped(way: &[Chosen]) -> impl Iterator<Item = (usize, &Chosen)> {
    way.iter().enumerate().filter(|(_, c)| !c.state.idle())
}

fn positions(ground: &Ground, way: &[Chosen]) -> Vec<PositionSpan> {
    let mut spans: Vec<PositionSpan> = Vec::new();
    for (layer, chosen) in stopped(way) {
        let Some(position) = Position::new(chosen.state.position) else { continue };
        if spans.last().is_some_and(|span| span.position == position) {
            continue;
        }
        if let Some(last) = spans.last_mut() {
            last.to = onset(ground, layer - 1);
        }
        let at = onset(ground, layer);
        spans.push(PositionSpan { position, from: at, to: at });
    }
    if let (Some(span), Some(layer)) = (spans.last_mut(), way.len().checked_sub(1)) {
        span.to = onset(ground, layer);
    }
    spans
}

fn barres(ground: &Ground, way: &[Chosen]) -> Vec<BarreSpan> {
    let mut spans: Vec<BarreSpan> = Vec::new();
    let mut before: Option<Barre> = None;
    for (layer, chosen) in way.iter().enumerate() {
        let barre = barre_of(&chosen.state);
        if let Some(barre) = barre {
            let at = onset(ground, layer);
            let goes_on = before.is_some_and(|old| old.fret == barre.fret);
            match spans.last_mut().filter(|_| goes_on) {
                Some(span) => {
                    span.to = at;
                    if barre.width() > span.barre.width() {
                        span.barre = barre;
                    }
                }
                None => spans.push(BarreSpan { barre, from: at, to: at }),
            }
        }
        before = barre;
    }
    spans
}

pub(crate) fn shifts(ground: &Ground, way: &[Chosen]) -> Vec<Shift> {
    let mut shifts = Vec::new();
    let mut last: Option<Position> = None;
    for (layer, here) in stopped(way) {
        let Some(to) = Position::new(here.state.position) else { continue };
        if let Some(from) = last.filter(|from| *from != to) {
            let before = &way[layer - 1].state;
            let meets = |same_place: bool| {
                LeftFinger::ALL.into_iter().find_map(|finger| {
                    let f = finger.index();
                    let common = before.down[f] & here.state.down[f];
                    let fits = (before.fret[f] == here.state.fret[f]) == same_place;
                    (common != 0 && fits)
                        .then(|| (finger, string_number(common.trailing_zeros() as usize)))
                })
            };
            shifts.push(Shift {
                at: onset(ground, layer),
                from,
                to,
                guide: meets(false),
                pivot: meets(true),
                over_open: before.idle(),
            });
        }
        last = Some(to);
    }
    shifts
}
