//! How strongly things are played.

use apoyando_music::{Dynamic, EventMark, HairpinKind, Moment, Part};

use crate::units::Decibels;

/// How much a dynamic is louder than *mf*. House: a step is about four decibels, as
/// players of the guitar, whose range is small, can make it.
const fn level(dynamic: Dynamic) -> f64 {
    match dynamic {
        Dynamic::Pppp => -18.0,
        Dynamic::Ppp => -15.0,
        Dynamic::Pp => -11.0,
        Dynamic::P => -7.0,
        Dynamic::Mp => -3.0,
        Dynamic::Mf => 0.0,
        Dynamic::F | Dynamic::Sf | Dynamic::Rf | Dynamic::Fp => 4.0,
        Dynamic::Ff | Dynamic::Sfz | Dynamic::Rfz => 7.0,
        Dynamic::Fff => 9.0,
        Dynamic::Ffff => 11.0,
    }
}

/// What follows a dynamic of one moment: *sf* in *p* goes on in *p*.
const fn lasting(dynamic: Dynamic) -> Option<f64> {
    match dynamic {
        Dynamic::Sf | Dynamic::Sfz | Dynamic::Rf | Dynamic::Rfz => None,
        Dynamic::Fp => Some(level(Dynamic::P)),
        other => Some(level(other)),
    }
}

/// How far a hairpin goes that leads to no dynamic. House.
const HAIRPIN: f64 = 4.0;
/// An accent. House.
const ACCENT: f64 = 3.5;
/// The lowest sound that p plucks. House: basses carry the music.
pub(super) const BASS: Decibels = Decibels(1.5);
/// The first beat of a bar. House.
pub(super) const FIRST_BEAT: Decibels = Decibels(0.8);
/// What the left hand makes sound. House.
pub(super) const JOINED: Decibels = Decibels(-3.0);

/// The loudness of a part at a moment, against *mf*.
pub(super) fn at(part: &Part, moment: Moment) -> Decibels {
    let marks = &part.dynamics;
    let here = marks.iter().find(|mark| mark.at == moment).map(|mark| level(mark.dynamic));
    here.map_or_else(|| lasting_at(part, moment), Decibels)
}

/// The loudness without dynamics of one moment.
fn lasting_at(part: &Part, moment: Moment) -> Decibels {
    let before = part.dynamics.iter().filter(|mark| mark.at <= moment);
    let mark = before.filter_map(|mark| Some((mark.at, lasting(mark.dynamic)?))).next_back();
    let base = mark.map_or(0.0, |(_, level)| level);
    let since = mark.map_or(Moment::START, |(at, _)| at);
    // Hairpins since then, each whole but the one that is open.
    let hairpins = part.hairpins.iter().filter(|it| it.from >= since && it.from < moment);
    let grown = hairpins.map(|hairpin| {
        let goal = part.dynamics.iter().find(|mark| mark.at >= hairpin.until);
        let goal = goal.filter(|mark| {
            part.hairpins.iter().all(|other| other.from < hairpin.until || other.from >= mark.at)
        });
        let sign = match hairpin.kind {
            HairpinKind::Grows => 1.0,
            HairpinKind::Fades => -1.0,
        };
        let far = goal.map_or(HAIRPIN, |mark| (level(mark.dynamic) - base) * sign);
        let far = if far > 0.0 { far } else { HAIRPIN };
        let length = (hairpin.until - hairpin.from).whole_notes();
        let share = ((moment - hairpin.from).whole_notes() / length).min(1.0);
        sign * far * share
    });
    Decibels(base + grown.sum::<f64>())
}

/// What the signs of an event add.
pub(super) fn of_marks(marks: &[EventMark]) -> Decibels {
    Decibels(if marks.contains(&EventMark::Accent) { ACCENT } else { 0.0 })
}
