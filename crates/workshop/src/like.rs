//! Like bars: what is decided about a note in one of them may be meant in all.

use std::collections::BTreeMap;

use apoyando_fingering::{
    Finding, FindingPlace, Fingering, Pin, PinAuthor, PinRule, Problem, Remedy, Scope, Severity,
    ToneFingering,
};
use apoyando_music::anchor::BarDigest;
use apoyando_music::{BarIndex, Duration, Memory, Pitch, Tone, ToneId, Tones, VoiceNumber};

/// Where a tone stands in its bar.
type Spot = (VoiceNumber, Duration, Pitch);

/// A pin on a note, and the like notes of like bars that it is the nearest
/// example for.
struct Echo {
    pin: Pin,
    tone: ToneId,
    likes: Vec<ToneId>,
}

/// The author's pins on notes, once more for the like notes of like bars: bars
/// of the same notes in the same rhythm. A note with a pin of the same kind
/// keeps its own; of several examples the last before it holds, else the first.
pub(crate) fn spread(problem: &Problem<'_>) -> Vec<Pin> {
    let tones = problem.score.tones(problem.part);
    let again = |echo: Echo| {
        echo.likes.into_iter().map(move |tone| Pin { scope: Scope::Tone(tone), ..echo.pin })
    };
    echoes(problem, &tones).into_iter().flat_map(again).collect()
}

/// Advice for every pin that a like note of a like bar is played against.
pub(crate) fn offer(problem: &Problem<'_>, fingering: &Fingering) -> Vec<Finding> {
    let score = problem.score;
    let tones = score.tones(problem.part);
    let mut findings = Vec::new();
    for echo in echoes(problem, &tones) {
        let against: Vec<ToneId> = echo
            .likes
            .iter()
            .copied()
            .filter(|tone| forbids(&echo.pin.rule, fingering.tone(*tone)))
            .collect();
        let bars: Vec<String> = against
            .iter()
            .map(|tone| score.bar_and_beat(tones.get(*tone).onset).0.to_string())
            .collect();
        if bars.is_empty() {
            continue;
        }
        let pinned = tones.get(echo.tone);
        let (bar, beat) = score.bar_and_beat(pinned.onset);
        let pitch = pinned.pitch.up_octaves(score.part(problem.part).clef.octaves_up());
        let (are, bars) = match &bars[..] {
            [bar] => ("is", format!("bar {bar}")),
            bars => ("are", format!("bars {}", bars.join(", "))),
        };
        findings.push(Finding {
            rule: "like-bar-unlike",
            severity: Severity::Advice,
            place: FindingPlace { bar: Some(bar), beat: Some(beat), ..FindingPlace::default() },
            message: format!(
                "{pitch} is pinned here, and played otherwise in {bars}, which {are} like this"
            ),
            remedy: Some("pin it there too, or let pins hold in all like bars".to_owned()),
            remedies: vec![Remedy::PinLike { tone: echo.tone, likes: against }, Remedy::LikeBars],
        });
    }
    findings
}

fn echoes(problem: &Problem<'_>, tones: &Tones) -> Vec<Echo> {
    let pins = problem.pins.0.iter().filter(|pin| pin.author == PinAuthor::Author);
    let on_notes: Vec<(ToneId, &Pin)> = pins
        .filter_map(|pin| match pin.scope {
            Scope::Tone(tone) if (tone.0 as usize) < tones.len() => Some((tone, pin)),
            _ => None,
        })
        .collect();
    let memory = match on_notes[..] {
        [] => return Vec::new(),
        _ => Memory::of(problem.score),
    };
    let Some(bars) = memory.parts.get(usize::from(problem.part.0)) else { return Vec::new() };
    let like = LikeNotes::of(problem, tones, bars);
    // The pinned notes of each kind of pin among like notes, in their order.
    let mut examples: BTreeMap<(ToneId, usize), Vec<ToneId>> = BTreeMap::new();
    for (tone, pin) in &on_notes {
        let key = (like.first(*tone), kind(&pin.rule));
        let of_kind = examples.entry(key).or_default();
        if !of_kind.contains(tone) {
            of_kind.push(*tone);
        }
    }
    examples.values_mut().for_each(|tones| tones.sort_unstable());
    on_notes
        .iter()
        .map(|(tone, pin)| {
            let first = like.first(*tone);
            let pinned = &examples[&(first, kind(&pin.rule))];
            let holds = |other: &ToneId| {
                let before = pinned.partition_point(|example| example < other);
                let example = before.saturating_sub(1);
                !pinned.contains(other) && pinned[example] == *tone
            };
            let likes = like.notes[&first].iter().copied().filter(holds).collect();
            Echo { pin: **pin, tone: *tone, likes }
        })
        .collect()
}

/// Kinds of pins, of which one outranks another's example.
const fn kind(rule: &PinRule) -> usize {
    match rule {
        PinRule::Strings(_) => 0,
        PinRule::Frets(_) => 1,
        PinRule::LeftFingers(_) => 2,
        PinRule::RightFingers(_) => 3,
        PinRule::Positions(_) => 4,
        PinRule::Barre(_) => 5,
        PinRule::SecondFingers(_) => 6,
    }
}

/// Notes at the same spot of like bars.
struct LikeNotes {
    /// By tone, the first that is like it.
    first: Vec<ToneId>,
    /// By the first, all that are like it, in their order.
    notes: BTreeMap<ToneId, Vec<ToneId>>,
}

impl LikeNotes {
    fn of(problem: &Problem<'_>, tones: &Tones, bars: &[BarDigest]) -> Self {
        let mut seen: BTreeMap<(u64, Spot), ToneId> = BTreeMap::new();
        let mut like = Self { first: Vec::with_capacity(tones.len()), notes: BTreeMap::new() };
        for tone in tones.as_slice() {
            let (bar, spot) = spot(problem, tone);
            let digest = bars.get(bar).map_or(u64::MAX, |bar| bar.exact);
            let first = *seen.entry((digest, spot)).or_insert(tone.id);
            like.first.push(first);
            like.notes.entry(first).or_default().push(tone.id);
        }
        like
    }

    fn first(&self, tone: ToneId) -> ToneId {
        self.first[tone.0 as usize]
    }
}

/// The index of a tone's bar, and where it stands in it.
fn spot(problem: &Problem<'_>, tone: &Tone) -> (usize, Spot) {
    let score = problem.score;
    let bar = score.bar_at(tone.onset).unwrap_or(BarIndex(0));
    (bar.0 as usize, (tone.voice, tone.onset - score.bar(bar).start, tone.pitch))
}

/// Whether a rule forbids how a note is played. What is about the hand rather
/// than the note is left to whoever asks for it.
fn forbids(rule: &PinRule, how: &ToneFingering) -> bool {
    let left = how.left;
    match rule {
        PinRule::Strings(set) => left.is_some_and(|left| !set.contains(left.place.string)),
        PinRule::Frets(set) => left.is_some_and(|left| !set.contains(left.place.fret)),
        PinRule::LeftFingers(set) => left.is_some_and(|left| !set.contains(left.finger)),
        PinRule::RightFingers(set) => how.right.is_some_and(|finger| !set.contains(finger)),
        PinRule::SecondFingers(set) => {
            left.is_some() && how.second.is_none_or(|second| !set.contains(Some(second.finger)))
        }
        PinRule::Positions(_) | PinRule::Barre(_) => false,
    }
}
