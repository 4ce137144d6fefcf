//! Signs of the playing order, from where they are noted to the bars they
//! belong to.
//!
//! Segno and coda belong to the beginning of a bar, Fine, *To Coda*, *D.C.* and
//! *D.S.* to the end of the bar they stand in. Files note them at some moment of
//! a bar; where that is not quite there, it is a finding.

use apoyando_fingering::Severity;
use apoyando_music::{Exit, Jump, Landmark, Until};

use super::Lane;
use crate::report::Report;
use crate::rough::{RoughBar, RoughSign};
use crate::sign::Sign;
use crate::time::{Time, zero};

/// The signs of a bar of the score.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Signs {
    pub landmark: Option<Landmark>,
    pub exit: Option<Exit>,
    pub jump: Option<Jump>,
}

/// Gives every bar its signs.
pub(super) fn settle(
    bars: &[RoughBar],
    parts: &[Vec<Lane>],
    lengths: &[Time],
    report: &mut Report,
) -> Vec<Signs> {
    let mut settled = vec![Signs::default(); bars.len()];
    for (index, noted, meaning) in told_apart(bars) {
        report.bar = Some(index);
        report.line = Some(noted.line);
        report.onset = noted.at;
        // Behind everything in its bar it stands at the line.
        let at = noted.at.filter(|at| *at < lengths[index]);
        match meaning {
            Meaning::Landmark(landmark) => {
                let bar = index + usize::from(at.is_none());
                let name = if landmark == Landmark::Segno { "segno" } else { "coda sign" };
                if at.is_some_and(|at| at > zero()) {
                    misplaced(name, "beginning", report);
                }
                match settled.get_mut(bar) {
                    Some(signs) => put(&mut signs.landmark, landmark, name, report),
                    None => report.not_read(&format!("{name} at the end of the piece")),
                }
            }
            Meaning::Exit(exit) => {
                end_of_bar(&exit.to_string(), at, parts, index, report);
                put(&mut settled[index].exit, exit, &exit.to_string(), report);
            }
            Meaning::Jump(jump) => {
                end_of_bar(&jump.to_string(), at, parts, index, report);
                match &mut settled[index].jump {
                    // The same jump, noted as a word and once more for playing.
                    Some(known) if known.to == jump.to && known.until == Until::End => {
                        known.until = jump.until;
                    }
                    Some(known) if known.to == jump.to && jump.until == Until::End => {}
                    place => put(place, jump, &jump.to_string(), report),
                }
            }
        }
    }
    report.bar = None;
    report.line = None;
    report.onset = None;
    settled
}

/// What a sign means in its bar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Meaning {
    Landmark(Landmark),
    Exit(Exit),
    Jump(Jump),
}

/// The signs with their bars. A coda sign is the way out where a coda follows
/// that nothing leads to yet, and else the beginning of the coda. In the bar of
/// words that say which, it belongs to them.
fn told_apart(bars: &[RoughBar]) -> Vec<(usize, RoughSign, Meaning)> {
    let to_coda = Sign::Exit(Exit::ToCoda);
    let mut noted: Vec<(usize, RoughSign)> = Vec::new();
    for (index, bar) in bars.iter().enumerate() {
        let says = |sign: Sign| bar.signs.iter().any(|noted| noted.sign == sign);
        let own = bar.signs.iter().filter(|noted| {
            noted.sign != Sign::RingAndCross || !(says(Sign::Coda) || says(to_coda))
        });
        noted.extend(own.map(|noted| (index, *noted)));
    }
    let mut told = Vec::with_capacity(noted.len());
    let mut led_to = false;
    for (at, (index, sign)) in noted.iter().enumerate() {
        let later = || noted[at + 1..].iter().map(|(_, later)| later.sign);
        let meaning = match sign.sign {
            Sign::Segno => Meaning::Landmark(Landmark::Segno),
            Sign::Coda => Meaning::Landmark(Landmark::Coda),
            Sign::Exit(exit) => Meaning::Exit(exit),
            Sign::Jump(jump) => Meaning::Jump(jump),
            Sign::RingAndCross => {
                // The next coda sign is that of this way out, unless words are.
                let next = later().find(|sign| {
                    matches!(sign, Sign::Coda | Sign::RingAndCross) || *sign == to_coda
                });
                match next {
                    Some(Sign::Coda | Sign::RingAndCross) if !led_to => Meaning::Exit(Exit::ToCoda),
                    _ => Meaning::Landmark(Landmark::Coda),
                }
            }
        };
        match meaning {
            Meaning::Exit(Exit::ToCoda) => led_to = true,
            Meaning::Landmark(Landmark::Coda) => led_to = false,
            _ => {}
        }
        told.push((*index, *sign, meaning));
    }
    told
}

/// Says so if a word stands before the last onset of its bar.
fn end_of_bar(name: &str, at: Option<Time>, parts: &[Vec<Lane>], bar: usize, report: &mut Report) {
    let events = parts.iter().flatten().filter_map(|lane| lane.get(bar)).flatten();
    let last = events.map(|placed| placed.onset).max();
    if at.is_some_and(|at| last.is_some_and(|last| at < last)) {
        misplaced(name, "end", report);
    }
}

fn misplaced(name: &str, edge: &str, report: &mut Report) {
    report.add(
        Severity::Advice,
        "sign-in-bar",
        format!("{name} stands within the bar; it is read at the bar's {edge}"),
        None,
    );
}

/// Sets what is free; whatever else stands there already remains.
fn put<T: PartialEq>(place: &mut Option<T>, value: T, name: &str, report: &mut Report) {
    match place {
        Some(known) if *known != value => {
            report.not_read(&format!("{name} beside another sign of its kind"));
        }
        _ => *place = Some(value),
    }
}
