//! Whether what a fingering says beside its postures follows from them.

use apoyando_fingering::{BarreSpan, Fingering, LetGo, PositionSpan, Shift};
use apoyando_music::{Moment, ToneId};

use crate::author::width;
use crate::hand::Hand;
use crate::layers::Layers;
use crate::pricing::{Shifting, shifting};
use crate::violation::{Fault, Violation};

pub(crate) fn check(
    all: &Layers<'_>,
    hands: &[Hand],
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    tones(all, hands, fingering, found);
    positions(all, hands, &fingering.positions, found);
    barres(all, hands, &fingering.barres, found);
    shifts(all, hands, &fingering.shifts, found);
    let_go(all, hands, &fingering.let_go, found);
}

/// The layer at which each sound is gone, if before its wanted end.
fn gone(all: &Layers<'_>, hands: &[Hand]) -> Vec<Option<usize>> {
    let mut gone = vec![None; all.sounds.len()];
    for (layer, hand) in hands.iter().enumerate() {
        for sound in &hand.let_go {
            gone[*sound].get_or_insert(layer);
        }
    }
    gone
}

fn tones(all: &Layers<'_>, hands: &[Hand], fingering: &Fingering, found: &mut Vec<Violation>) {
    let gone = gone(all, hands);
    for (index, (tone, sound)) in fingering.tones.iter().zip(&all.of_tone).enumerate() {
        let id = ToneId(index as u32);
        let layer = all.sounds[*sound].layer;
        let placed = hands[layer].struck().find(|s| s.sound == *sound).map(|s| s.placement);
        let mut report = |fault: Fault| found.push(Violation::at(all.spot(layer), fault));
        if tone.left != placed {
            report(Fault::TonePlacement { tone: id, found: tone.left, wanted: placed });
        }
        let wanted = gone[*sound].map_or(all.sounds[*sound].wanted_end, |at| all.layers[at].at);
        if placed.is_some() && tone.sounds_until != wanted {
            report(Fault::SoundsUntil { tone: id, found: tone.sounds_until, wanted });
        }
    }
}

/// Runs of layers in one position, those in the air with it.
fn positions(all: &Layers<'_>, hands: &[Hand], said: &[PositionSpan], found: &mut Vec<Violation>) {
    let mut wanted: Vec<PositionSpan> = Vec::new();
    for (layer, hand) in all.layers.iter().zip(hands) {
        let Some(position) = hand.position else { continue };
        match wanted.last_mut() {
            Some(span) if span.position == position => span.to = layer.at,
            _ => wanted.push(PositionSpan { position, from: layer.at, to: layer.at }),
        }
    }
    if wanted != said {
        let different = |index: &usize| wanted.get(*index) != said.get(*index);
        let index = (0..wanted.len().max(said.len())).find(different).unwrap_or(0);
        let (found_here, wanted) = (said.get(index).copied(), wanted.get(index).copied());
        found.push(spotted(
            all,
            wanted.or(found_here).map(|span| span.from),
            Fault::PositionSpan { found: found_here, wanted },
        ));
    }
}

/// Runs of layers with a barre at one fret.
fn barres(all: &Layers<'_>, hands: &[Hand], said: &[BarreSpan], found: &mut Vec<Violation>) {
    struct Run {
        widest: BarreSpan,
        last: usize,
    }
    let mut runs: Vec<Run> = Vec::new();
    for (layer, hand) in hands.iter().enumerate() {
        let (Some(barre), at) = (hand.barre, all.layers[layer].at) else { continue };
        match runs.last_mut() {
            Some(run) if run.last + 1 == layer && run.widest.barre.fret == barre.fret => {
                run.last = layer;
                run.widest.to = at;
                if width(barre) > width(run.widest.barre) {
                    run.widest.barre = barre;
                }
            }
            _ => runs.push(Run { widest: BarreSpan { barre, from: at, to: at }, last: layer }),
        }
    }
    for index in 0..runs.len().max(said.len()) {
        let (found_here, wanted) =
            (said.get(index).copied(), runs.get(index).map(|run| run.widest));
        if found_here != wanted {
            found.push(spotted(
                all,
                wanted.or(found_here).map(|span| span.from),
                Fault::BarreSpan { found: found_here, wanted },
            ));
            return;
        }
    }
}

fn shifts(all: &Layers<'_>, hands: &[Hand], said: &[Shift], found: &mut Vec<Violation>) {
    let mut wanted = Vec::new();
    for (index, pair) in hands.windows(2).enumerate() {
        if let Some(shift) = shifting(&pair[0], &pair[1]) {
            wanted.push((all.layers[index + 1].at, shift));
        }
    }
    for index in 0..said.len().max(wanted.len()) {
        let (found_here, wanted) = (said.get(index), wanted.get(index));
        let agree = match (found_here, wanted) {
            (Some(found), Some((at, wanted))) => found.at == *at && agrees(found, wanted),
            _ => false,
        };
        if !agree {
            let at = wanted.map(|(at, _)| *at).or(found_here.map(|shift| shift.at));
            found.push(spotted(all, at, Fault::Shift { found: found_here.copied() }));
            return;
        }
    }
}

fn agrees(said: &Shift, wanted: &Shifting) -> bool {
    let names = |said: Option<_>, wanted: &[_]| {
        said.map_or(wanted.is_empty(), |finger| wanted.contains(&finger))
    };
    said.from == wanted.from
        && said.to == wanted.to
        && said.over_open == wanted.over_open
        && names(said.guide, &wanted.guides)
        && names(said.pivot, &wanted.pivots)
}

fn let_go(all: &Layers<'_>, hands: &[Hand], said: &[LetGo], found: &mut Vec<Violation>) {
    let mut wanted = Vec::new();
    for (sound, layer) in gone(all, hands).into_iter().enumerate() {
        let Some(layer) = layer else { continue };
        let (at, sound) = (all.layers[layer].at, &all.sounds[sound]);
        let written = at < sound.written_end;
        wanted.extend(sound.tones.iter().map(|tone| LetGo { tone: *tone, at, written }));
    }
    let mut said = said.to_vec();
    for list in [&mut said, &mut wanted] {
        list.sort_by_key(|entry| (entry.tone, entry.at));
    }
    for entry in said.iter().filter(|entry| !names(&wanted, entry)) {
        found.push(spotted(all, Some(entry.at), Fault::LetGoInvented(*entry)));
    }
    for entry in wanted.iter().filter(|entry| !names(&said, entry)) {
        found.push(spotted(all, Some(entry.at), Fault::LetGoUnsaid(*entry)));
    }
}

/// Whether an entry is in a list ordered by tone and onset.
fn names(list: &[LetGo], entry: &LetGo) -> bool {
    let first = list.partition_point(|other| (other.tone, other.at) < (entry.tone, entry.at));
    let same =
        list[first..].iter().take_while(|other| (other.tone, other.at) == (entry.tone, entry.at));
    same.into_iter().any(|other| other == entry)
}

fn spotted(all: &Layers<'_>, at: Option<Moment>, fault: Fault) -> Violation {
    let layer = at.and_then(|at| all.layers.binary_search_by_key(&at, |layer| layer.at).ok());
    match layer {
        Some(layer) => Violation::at(all.spot(layer), fault),
        None => Violation::whole(fault),
    }
}
