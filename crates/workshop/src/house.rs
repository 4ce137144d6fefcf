//! What the house prefers, as pins that are kept where they cost little.
//!
//! The hands are asked first without preferences. Where the answer goes against
//! one, its pins are tried: a preference is kept if the best fingering that
//! keeps it costs at most its worth more, leaves out no more and breaks no more
//! rules. Several are tried together and, if that is too dear, in halves.

use apoyando_book::Preferences;
use apoyando_fingering::{
    Descending, Finding, FindingPlace, Fingering, LeftFinger, LeftFingerSet, Pin, PinAuthor,
    PinRule, Pins, Placement, Position, Posture, Price, Problem, Scope, Severity, Shape, StringSet,
    StringState,
};
use apoyando_fretboard::{Fret, Place};
use apoyando_hands::{Difference, RightPlan, Solved, solve};
use apoyando_music::{Moment, Tone, ToneId, Tones};

/// So often are preferences sought anew after others were kept.
const ROUNDS: usize = 3;
/// So many preferences are tried one by one; in music where more than these
/// are too dear together, the rest are left. Bounds the work.
const SINGLES: usize = 64;

/// So many bars are named where preferences are not kept; the rest are counted.
const NAMED: usize = 8;

/// A preference that a fingering goes against.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Wish {
    at: Moment,
    tone: ToneId,
    pins: Vec<Pin>,
    /// The difference that keeping it makes at its note.
    difference: Difference,
}

/// The pins of all preferences that are worth it, and what is to be said of
/// those that are not.
pub(crate) fn settle(
    problem: &Problem<'_>,
    right: &RightPlan,
    preferences: &Preferences,
) -> (Vec<Pin>, Option<Finding>) {
    if preferences.is_empty() {
        return (Vec::new(), None);
    }
    let mut seeker = Seeker {
        problem,
        right,
        worth: u64::from(preferences.worth),
        kept: Vec::new(),
        left: Vec::new(),
        singles: 0,
    };
    for _ in 0..ROUNDS {
        let pins = seeker.with(&[]);
        let Ok(solved) = solve(&Problem { pins: &pins, ..*problem }, right) else { break };
        let mut wishes = wishes(problem, &solved.solution().fingering, preferences);
        wishes.retain(|wish| !seeker.left.contains(wish));
        let (worth, dear): (Vec<Wish>, Vec<Wish>) =
            wishes.into_iter().partition(|wish| seeker.is_worth(&solved, wish));
        seeker.left.extend(dear);
        if worth.is_empty() {
            break;
        }
        seeker.keep(&worth, solved.solution().fingering.price);
    }
    let said = seeker.said();
    (seeker.kept, said)
}

struct Seeker<'a> {
    problem: &'a Problem<'a>,
    right: &'a RightPlan,
    worth: u64,
    kept: Vec<Pin>,
    left: Vec<Wish>,
    singles: usize,
}

impl Seeker<'_> {
    fn with(&self, wishes: &[Wish]) -> Pins {
        let wished = wishes.iter().flat_map(|wish| &wish.pins);
        Pins(self.problem.pins.0.iter().chain(&self.kept).chain(wished).copied().collect())
    }

    /// Whether the note alone could be played as is preferred for the worth.
    fn is_worth(&self, solved: &Solved<'_>, wish: &Wish) -> bool {
        let ways = solved.alternatives(wish.tone);
        ways.iter().any(|way| way.difference == wish.difference && way.more <= self.worth)
    }

    /// Keeps as many wishes as are worth it; gives the price then.
    fn keep(&mut self, wishes: &[Wish], now: Price) -> Price {
        let pins = self.with(wishes);
        let problem = Problem { pins: &pins, ..*self.problem };
        let price = apoyando_hands::finger(&problem, self.right).map(|s| s.fingering.price);
        let most = Price { effort: now.effort + self.worth * wishes.len() as u64, ..now };
        if let Ok(price) = price
            && (price.escapes, price.broken) == (now.escapes, now.broken)
            && price <= most
        {
            self.kept.extend(wishes.iter().flat_map(|wish| wish.pins.iter().copied()));
            return price;
        }
        if wishes.len() == 1 || self.singles >= SINGLES {
            self.singles += 1;
            self.left.extend_from_slice(wishes);
            return now;
        }
        let (first, second) = wishes.split_at(wishes.len() / 2);
        let now = self.keep(first, now);
        self.keep(second, now)
    }

    fn said(&self) -> Option<Finding> {
        let score = self.problem.score;
        let mut bars: Vec<u32> =
            self.left.iter().map(|wish| score.bar_and_beat(wish.at).0).collect();
        bars.sort_unstable();
        bars.dedup();
        let first = *bars.first()?;
        let named: Vec<String> = bars.iter().take(NAMED).map(ToString::to_string).collect();
        let rest = match bars.len().saturating_sub(NAMED) {
            0 => String::new(),
            rest => format!(" and {rest} more"),
        };
        let many = bars.len() > 1;
        Some(Finding {
            rule: "house-style-too-dear",
            severity: Severity::Advice,
            place: FindingPlace { bar: Some(first), ..FindingPlace::default() },
            message: format!(
                "house style is not kept in bar{} {}{rest}: it cannot be, or would cost more than {} there",
                if many { "s" } else { "" },
                named.join(", "),
                self.worth
            ),
            remedy: Some("pin the notes, or raise “worth” in the house style".to_owned()),
        })
    }
}

/// Every preference that a fingering goes against, in the order of the onsets.
fn wishes(problem: &Problem<'_>, fingering: &Fingering, preferences: &Preferences) -> Vec<Wish> {
    let tones = problem.score.tones(problem.part);
    let posture_at = |at: Moment| {
        let index = fingering.postures.partition_point(|posture| posture.at < at);
        fingering.postures.get(index).filter(|posture| posture.at == at)
    };
    let mut wishes: Vec<Wish> = Vec::new();
    let mut add = |tone: &Tone, pins: Vec<PinRule>, difference: Difference| {
        let pin = |rule| Pin { scope: Scope::Tone(tone.id), rule, author: PinAuthor::Author };
        let pins = pins.into_iter().map(pin).collect();
        wishes.push(Wish { at: tone.onset, tone: tone.id, pins, difference });
    };
    for tone in tones.as_slice() {
        let Some(left) = fingering.tone(tone.id).left else { continue };
        let Some(posture) = posture_at(tone.onset) else { continue };
        if let Some(wanted) =
            shaped(preferences, posture, left).or_else(|| third_fret(preferences, posture, left))
        {
            if left.finger != Some(wanted) {
                add(tone, stopped_by(left.place, wanted), Difference::Finger(wanted));
            }
        } else if let Some((place, open)) = descending(problem, preferences, &tones, tone, left) {
            let fingers = if open { LeftFingerSet::OPEN } else { LeftFingerSet::STOPPED };
            let string = PinRule::Strings(StringSet::NONE.with(place.string));
            add(tone, vec![PinRule::LeftFingers(fingers), string], Difference::Place(place));
        }
    }
    wishes.sort_by_key(|wish| wish.at);
    wishes
}

fn stopped_by(place: Place, finger: LeftFinger) -> Vec<PinRule> {
    vec![
        PinRule::LeftFingers(LeftFingerSet::NONE.with(Some(finger))),
        PinRule::Strings(StringSet::NONE.with(place.string)),
    ]
}

/// The finger on fret 3 in the first position, where 3 or 4 takes it.
fn third_fret(preferences: &Preferences, posture: &Posture, left: Placement) -> Option<LeftFinger> {
    let wanted = preferences.third_fret?;
    let either = matches!(left.finger, Some(LeftFinger::Three | LeftFinger::Four));
    let first = posture.position == Some(Position::FIRST);
    // Where the other of the two is down as well, both have their work.
    let other = posture
        .sounding
        .iter()
        .any(|(_, placement)| placement.finger == Some(wanted) && *placement != left);
    (either && first && left.place.fret == Fret(3) && !other).then_some(wanted)
}

/// The finger that a preferred shape has for a note, where the hand holds just
/// this shape.
fn shaped(preferences: &Preferences, posture: &Posture, left: Placement) -> Option<LeftFinger> {
    let shape = preferences.shapes.iter().find(|shape| holds(posture, shape))?;
    match shape.strings.get(left.place.string.index())? {
        StringState::Stopped { finger, .. } => *finger,
        _ => None,
    }
}

/// Whether what sounds is the shape: all its stopped strings at their frets,
/// and of its open strings any.
fn holds(posture: &Posture, shape: &Shape) -> bool {
    let fret = |index: usize| {
        let on = |placement: &&Placement| placement.place.string.index() == index;
        posture.sounding.iter().map(|(_, placement)| placement).find(on).map(|p| p.place.fret)
    };
    let known = |placement: &Placement| placement.place.string.index() < shape.strings.len();
    posture.sounding.iter().all(|(_, placement)| known(placement))
        && shape.strings.iter().enumerate().all(|(index, state)| match state {
            StringState::Stopped { fret: wanted, .. } => fret(index) == Some(*wanted),
            StringState::Open => fret(index).is_none_or(Fret::is_open),
            StringState::Unplayed => fret(index).is_none(),
        })
}

/// Where a note that a line reaches by step from above is rather played, and
/// whether that is open; `None` if it is played so, or there is no choice.
fn descending(
    problem: &Problem<'_>,
    preferences: &Preferences,
    tones: &Tones,
    tone: &Tone,
    left: Placement,
) -> Option<(Place, bool)> {
    let wanted = preferences.descending?;
    if !comes_from_above(tones, tone) || left.place.fret.is_open() == (wanted == Descending::Open) {
        return None;
    }
    let mut places = problem.instrument.places(tone.pitch.key_number());
    match wanted {
        Descending::Open => places.find(|place| place.fret.is_open()).map(|place| (place, true)),
        // The next thicker string has it nearest.
        Descending::Stopped => places
            .filter(|place| place.string > left.place.string && !place.fret.is_open())
            .min_by_key(|place| place.fret)
            .map(|place| (place, false)),
    }
}

/// Whether a note stands alone and follows another that stands alone a step
/// above it.
fn comes_from_above(tones: &Tones, tone: &Tone) -> bool {
    let all = tones.as_slice();
    let alone = |index: usize| {
        let at = all[index].onset;
        let beside = |other: Option<&Tone>| other.is_some_and(|other| other.onset == at);
        !beside(all.get(index + 1)) && !beside(index.checked_sub(1).and_then(|i| all.get(i)))
    };
    let here = all.partition_point(|other| other.onset < tone.onset);
    let Some(before) = here.checked_sub(1) else { return false };
    let down = all[before].pitch.key_number().0 - tone.pitch.key_number().0;
    alone(here) && alone(before) && (1..=2).contains(&down)
}
