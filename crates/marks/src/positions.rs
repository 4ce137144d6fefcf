//! Position numerals.
//!
//! - A piece that never leaves the first position has none, nor has a stay in I of open
//!   shapes alone: whoever comes to an open shape is told enough by that. One that leaves it
//!   only under barres at II has none either. A stay in I to which
//!   the hand comes with open shapes has its numeral after them.
//! - Otherwise every stay of the hand has one, the first and those in I too. The
//!   first stands at the first sound, though that be an open string.
//! - A *momentary reach*, one or two onsets away and straight back to where the
//!   hand was, has none: its digits say enough, and the stays on both sides of
//!   it count as one. It is none if it fills a bar, as a chord does that is struck and held:
//!   the same chord broken is a stay.
//! - A numeral does not contradict the digits under it: where finger 1 stops another fret
//!   at the beginning of a stay above I, it stands at the first onset whose digits tell
//!   the position (see [`seen`](crate::seen)).
//! - Where a barre lies at the fret of the position, its mark says where the hand is: a stay
//!   has its numeral before the barre, unless the digits there tell the stay before as well,
//!   and, if it was not told yet or its line went on, after it. If the hand never leaves the
//!   position, a chord struck after the barre has none: its digits tell it.
//! - A dashed line shows the extent of a stay above I of two or more onsets
//!   where the piece has several numerals. It ends where a finger is last down.
//!   Elsewhere the numeral stands alone and holds until the next.

use apoyando_fingering::{BarreSpan, Fingering, Position, PositionSpan};
use apoyando_music::Moment;

use crate::broken;
use crate::marks::PositionMark;
use crate::seen::open::{self, Shapes};
use crate::seen::{self, Sight};
use crate::sounds::{Sound, layers};

/// Onsets that a momentary reach lasts at most.
const MOMENTARY_ONSETS: usize = 2;

/// Where a reader takes the hand to be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Hand {
    /// The stays, momentary reaches taken out.
    pub stays: Vec<PositionSpan>,
    /// The momentary reaches.
    pub momentary: Vec<PositionSpan>,
    /// Onsets of the first stopped sound of every span, momentary or not.
    pub arrivals: Vec<Moment>,
    /// What is seen of the fingers.
    sights: Vec<Sight>,
    /// Every onset, and whether a finger is down there.
    onsets: Vec<(Moment, bool)>,
    /// From where to before where a stay has not been told yet.
    early: Vec<(Moment, Moment)>,
    /// Where a broken chord begins with open strings: its first stopped onset and its first.
    put_down: Vec<(Moment, Moment)>,
}

impl Hand {
    /// The stays of a fingering.
    pub fn of(fingering: &Fingering, sounds: &[Sound]) -> Self {
        let sights = seen::sights(fingering, sounds);
        let spans = seen::spans(fingering, &sights);
        let onsets: Vec<(Moment, bool)> = layers(sounds)
            .map(|layer| (layer[0].onset, layer.iter().any(Sound::is_stopped)))
            .collect();
        let stopped = |span: &PositionSpan| {
            let within = |at: &Moment| (span.from..=span.to).contains(at);
            onsets.iter().filter(|(at, stopped)| *stopped && within(at)).count()
        };
        let mut hand = Self {
            stays: Vec::new(),
            momentary: Vec::new(),
            arrivals: Vec::new(),
            sights,
            onsets: fingering.postures.iter().map(|it| (it.at, !it.idle)).collect(),
            early: Vec::new(),
            put_down: put_down(sounds),
        };
        let fills_a_bar = |span: &PositionSpan| {
            let within = |sound: &Sound| (span.from..=span.to).contains(&sound.onset);
            sounds.chunk_by(|a, b| a.bar == b.bar).any(|bar| bar.iter().all(within))
        };
        for (index, span) in spans.iter().enumerate() {
            hand.arrivals.push(span.from);
            let back = spans.get(index + 1).map(|next| next.position);
            let here = hand.stays.last().map(|stay| stay.position);
            let reaches = here != Some(span.position)
                && here.is_some()
                && here == back
                && stopped(span) <= MOMENTARY_ONSETS
                && !fills_a_bar(span);
            match hand.stays.last_mut() {
                _ if reaches => hand.momentary.push(*span),
                Some(stay) if stay.position == span.position => stay.to = span.to,
                _ => hand.stays.push(*span),
            }
        }
        if let (Some(first), Some((begin, _))) = (hand.stays.first_mut(), onsets.first()) {
            first.from = *begin;
        }
        hand.early = hand
            .stays
            .iter()
            .map(|stay| (stay.from, hand.shown_from(stay)))
            .filter(|(from, shown)| from < shown)
            .collect();
        hand
    }

    /// The first onset of a stay whose digits tell its position, where finger 1 contradicts
    /// it at the first stopped one; otherwise its first.
    fn shown_from(&self, span: &PositionSpan) -> Moment {
        let mut seen = seen::within(&self.sights, span).iter();
        match seen.next() {
            Some(first) if first.contradicts(span.position) => {
                seen.find(|sight| sight.tells(span.position)).map_or(span.from, |sight| sight.at)
            }
            _ => span.from,
        }
    }

    /// Whether the hand has come to a stay whose numeral stands only later.
    pub fn is_early(&self, moment: Moment) -> bool {
        self.early.iter().any(|(from, shown)| (from..shown).contains(&&moment))
    }

    /// The stretches of a stay that no barre at its fret tells, from when its position is
    /// shown; each begins with something stopped if it comes after a barre.
    fn untold(&self, stay: &PositionSpan, barres: &[BarreSpan]) -> Vec<(Moment, Moment)> {
        let PositionSpan { position, to, .. } = *stay;
        let begin = self.shown_from(stay);
        let own = |span: &&BarreSpan| {
            span.barre.fret.0 == position.get() && span.from <= to && begin <= span.to
        };
        let own: Vec<&BarreSpan> = barres.iter().filter(own).collect();
        let told = |at: Moment| own.iter().any(|span| (span.from..=span.to).contains(&at));
        let stopped = |at| self.sights.binary_search_by_key(&at, |sight| sight.at).is_ok();
        let first = self.onsets.partition_point(|(at, _)| *at < begin);
        let mut stretches: Vec<(Moment, Moment)> = Vec::new();
        let mut under = false;
        for (at, down) in self.onsets[first..].iter().copied().take_while(|(at, _)| *at <= to) {
            if told(at) {
                under = true;
                continue;
            }
            match stretches.last_mut() {
                // Open strings at the end are of the next position as well.
                Some((_, last)) if !under => *last = if down { at } else { *last },
                _ if !under || stopped(at) => {
                    stretches.push((at, at));
                    under = false;
                }
                _ => {}
            }
        }
        stretches
    }

    /// Where the line of a stretch ends: at the last onset whose fingers show its position, if any
    /// does; what comes after it may lie lower.
    fn shown_until(&self, stay: &PositionSpan, from: Moment, to: Moment) -> Moment {
        let seen = seen::within(&self.sights, &PositionSpan { from, to, ..*stay });
        let first = Position::FIRST;
        let lower = |sight: &&Sight| !sight.shows(stay.position) && sight.shows(first);
        let last = seen.iter().rev().find(|sight| !lower(sight));
        let trailing = seen.last().is_some_and(|sight| lower(&sight));
        last.filter(|_| trailing).map_or(to, |sight| sight.at)
    }

    /// Whether a stretch of a stay is after a barre at its fret and begins with a chord struck.
    fn is_chord_after_barre(
        &self,
        from: Moment,
        stay: &PositionSpan,
        barres: &[BarreSpan],
    ) -> bool {
        let own = |it: &BarreSpan| {
            it.barre.fret.0 == stay.position.get() && stay.from <= it.from && it.to < from
        };
        let seen = self.sights.binary_search_by_key(&from, |sight| sight.at);
        seen.is_ok_and(|at| self.sights[at].is_struck()) && barres.iter().any(own)
    }

    /// Whether a stretch at the beginning of a stay is before a barre at its fret, and its digits
    /// tell the position of the stay before as well.
    fn is_barred_next(
        &self,
        (from, to): (Moment, Moment),
        last: Option<Position>,
        stay: &PositionSpan,
        barres: &[BarreSpan],
    ) -> bool {
        let Some(last) = last.filter(|_| from == stay.from) else { return false };
        let next = barres.iter().find(|it| to < it.from && it.from <= stay.to);
        let mut seen = seen::within(&self.sights, &PositionSpan { from, to, ..*stay }).iter();
        next.is_some_and(|it| it.barre.fret.0 == stay.position.get())
            && seen.all(|sight| sight.shows(last))
    }

    /// Index of the stay at a moment; before the first it is the first.
    pub fn stay_at(&self, moment: Moment) -> usize {
        self.stays.partition_point(|stay| stay.from <= moment).saturating_sub(1)
    }

    /// The position that a reader assumes at a moment; the first where no
    /// finger is ever down.
    pub fn position_at(&self, moment: Moment) -> Position {
        self.stays.get(self.stay_at(moment)).map_or(Position::FIRST, |stay| stay.position)
    }

    /// Whether the hand is away on a momentary reach.
    pub fn is_away(&self, moment: Moment) -> bool {
        self.momentary.iter().any(|span| (span.from..=span.to).contains(&moment))
    }
}

/// The broken chords that begin with open strings: their first stopped onset and their first.
fn put_down(sounds: &[Sound]) -> Vec<(Moment, Moment)> {
    let bars = sounds.chunk_by(|a, b| a.bar == b.bar).filter(|bar| broken::is_shape(bar));
    let begins = bars.filter_map(|bar| {
        Some((bar.iter().find(|sound| sound.is_stopped())?.onset, bar.first()?.onset))
    });
    begins.filter(|(stopped, first)| first < stopped).collect()
}

/// The numerals of a part, beside its barres as they lie.
pub(crate) fn numerals(
    hand: &Hand,
    barres: &[BarreSpan],
    fingering: &Fingering,
) -> Vec<PositionMark> {
    let first = |stay: &PositionSpan| stay.position == Position::FIRST;
    if hand.stays.iter().all(first) {
        return Vec::new();
    }
    let several = hand.stays.len() > 1;
    let mut marks = Vec::new();
    for (rank, stay) in hand.stays.iter().enumerate() {
        // Open shapes at the beginning of a stay in I tell it, not their numeral.
        let shapes =
            if first(stay) { open::shapes(fingering, stay, &hand.sights) } else { Shapes::None };
        let other = match shapes {
            Shapes::All => continue,
            Shapes::Until(other) => Some(other).filter(|other| rank > 0 && *other > stay.from),
            Shapes::None => None,
        };
        let position = stay.position;
        let last = rank.checked_sub(1).map(|it| hand.stays[it].position);
        let lined = several && position != Position::FIRST;
        // A numeral alone holds on after a barre.
        let stretches = hand.untold(stay, barres).into_iter();
        let told = stretches
            .filter(|it| !hand.is_barred_next(*it, last, stay, barres))
            .take_while(|(from, _)| several || !hand.is_chord_after_barre(*from, stay, barres))
            .take(if lined { usize::MAX } else { 1 });
        marks.extend(told.map(|(from, to)| {
            let from = other.map_or(from, |other| other.max(from));
            let to = if lined { to } else { stay.to };
            let chord = hand.put_down.iter().find(|(stopped, _)| *stopped == from);
            let from = chord.map_or(from, |(_, first)| *first);
            let to = if lined { hand.shown_until(stay, from, to) } else { to };
            PositionMark { position, from, to, line: lined && to > from }
        }));
    }
    // After a barre at II the hand is where it was but for a fret: I alone says nothing.
    let near = |span: &BarreSpan| span.barre.fret.0 <= 2;
    if marks.iter().all(|mark| mark.position == Position::FIRST) && barres.iter().all(near) {
        marks.clear();
    }
    marks
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::{Position, PositionSpan};

    use crate::trial::trial;

    fn shown(text: &str) -> Vec<String> {
        let trial = trial(text);
        trial
            .needed()
            .positions
            .iter()
            .map(|mark| {
                let line = if mark.line { "-" } else { "" };
                format!(
                    "{}{line} {}..{}",
                    mark.position,
                    mark.from.since_start(),
                    mark.to.since_start()
                )
            })
            .collect()
    }

    #[test]
    fn a_piece_in_the_first_position_has_no_numeral() {
        assert!(shown("4 @1 2.1.1 2.3.4 1.0.0 1.1.1").is_empty());
    }

    #[test]
    fn a_piece_in_one_higher_position_has_a_numeral_without_a_line() {
        assert_eq!(shown("4 @2 3.2.1 3.4.3 2.2.1 2.3.2"), ["II 0..3/4"]);
    }

    #[test]
    fn the_first_numeral_stands_at_the_first_sound() {
        assert_eq!(shown("4 @2 3.0.0 3.2.1 3.4.3 2.2.1"), ["II 0..3/4"]);
    }

    #[test]
    fn every_stay_has_a_numeral_once_the_hand_leaves_the_first_position() {
        assert_eq!(
            shown("8 @1 2.1.1 2.3.4 2.1.1 @5 1.5.1 1.7.3 1.8.4 @1 1.3.4 1.1.1"),
            ["I 0..1/4", "V- 3/8..5/8", "I 3/4..7/8"]
        );
    }

    #[test]
    fn a_numeral_stands_where_finger_1_does_not_contradict_it() {
        let triads = "4 @2 3.4.3+2.3.1+1.3.2 4.5.4+3.4.3+2.3.2 5.2.1 5.0.0";
        assert_eq!(shown(triads), ["II 1/4..3/4"]);
        // Finger 1 reaching back, too.
        let back = "8 @5 2.8.4 1.5.1 @2 3.1.1 3.2.1 2.3.2 3.2.1 2.5.4";
        assert_eq!(shown(back), ["V- 0..1/8", "II- 3/8..3/4"]);
        // Finger 4 drawn back contradicts nothing.
        let drawn = "8 @5 2.8.4 1.5.1 @2 3.4.4 3.2.1 2.3.2 3.2.1 2.5.4";
        assert_eq!(shown(drawn), ["V- 0..1/8", "II- 1/4..3/4"]);
    }

    #[test]
    fn a_line_ends_where_a_finger_is_last_down() {
        let text = "8 @5 1.5.1 1.7.3 1.8.4 1.0.0 2.0.0 @1 1.1.1 1.3.3 2.1.1";
        assert_eq!(shown(text), ["V- 0..1/4", "I 5/8..7/8"]);
        let text = "8 @5 1.5.1 1.0.0 1.8.4 1.0.0 2.0.0 @1 1.1.1 1.3.3 2.1.1";
        assert_eq!(shown(text), ["V- 0..1/4", "I 5/8..7/8"]);
    }

    /// B on ⑤ with 2 at the end of a stay in II.
    #[test]
    fn a_line_ends_before_what_is_played_as_in_i() {
        let text = "4 @1 2.1.1 1.3.3 1.1.1 1.0.0 | @2 1.2.1 1.3.2 2.3.2 2.4.3 | 2 5.2.2 5.2.2";
        assert_eq!(shown(text), ["I 0..3/4", "II- 1..7/4"]);
    }

    /// The hand is away and its position stays: there is no span for it.
    #[test]
    fn a_hand_away_for_a_moment_has_no_numeral() {
        let mut trial = trial("4 @2 3.2.1 3.4.3 1.7.4 2.3.2");
        let before = trial.needed();
        let away = &mut trial.fingering.postures[2];
        let at = away.at;
        away.away = Position::new(4);
        let position = Position::new(4).unwrap();
        trial.fingering.hops.push(PositionSpan { position, from: at, to: at });
        assert_eq!(trial.needed(), before);
        assert_eq!(before.positions.len(), 1);
    }

    #[test]
    fn a_momentary_reach_has_none_and_the_stay_goes_on() {
        let text = "8 @2 1.2.1 1.3.2 1.5.4 @4 1.7.4 @2 1.5.4 1.3.2 1.2.1 2.5.4";
        assert_eq!(shown(text), ["II 0..7/8"]);
    }

    /// E, B7 in II and E, struck.
    #[test]
    fn a_reach_that_fills_a_bar_is_a_stay() {
        let (first, second) = ("5.2.2+4.2.3+3.1.1", "5.2.1+3.4.3+2.4.4");
        let bars = |reach: &str| format!("1 @1 {first} | {reach} | 1 @1 {first}");
        assert_eq!(shown(&bars(&format!("@2 {second}"))), ["I 0..0", "II 1..1", "I 2..2"]);
        let both = format!("@2 {second} | {second}");
        assert_eq!(shown(&bars(&both)), ["I 0..0", "II- 1..2", "I 3..3"]);
        assert!(shown(&bars(&format!("2 @1 {first} @2 {second}"))).is_empty());
    }

    /// E, A with 1 2 3 in II and B under CII, struck.
    #[test]
    fn what_could_be_in_i_has_no_numeral_before_a_barre() {
        let barre = "[2:1-5 5.2.1+4.4.2+3.4.3+2.4.4+1.2.1 ]";
        let told =
            |chord: &str| shown(&format!("1 @1 5.2.2+3.1.1 | @2 {chord} | {barre} | @1 2.1.1"));
        assert!(told("4.2.1+3.2.2+2.2.3").is_empty());
        assert_eq!(told("4.2.1+3.4.3"), ["I 0..0", "II 1..1", "I 3..3"]);
    }

    /// F♯ and E in II, broken from the open ⑥ on after a bar in I; E broken after a bar in II.
    #[test]
    fn a_numeral_stands_where_a_broken_chord_begins() {
        let first = "8 @1 2.1.1 2.3.3 1.1.1 1.3.3 2.1.1 2.3.3 1.1.1 1.3.3";
        let after = |bar: &str| shown(&format!("{first} | @2 {bar}"));
        let numerals = after("6.0.0 3.4.3 2.5.4 1.0.0 6.0.0 3.4.3 2.5.4 1.0.0");
        assert_eq!(numerals, ["I 0..1", "II- 1..7/4"]);
        // A line is no chord.
        let numerals = after("6.0.0 3.4.3 3.2.1 1.0.0 6.0.0 3.4.3 2.5.4 1.0.0");
        assert_eq!(numerals, ["I 0..1", "II- 9/8..7/4"]);
        // An open shape tells I itself.
        let second = "8 @2 3.4.3 2.4.4 1.2.1 2.4.4 3.4.3 2.4.4 2.4.4 1.2.1";
        let e = "6.0.0 3.1.1 2.0.0 1.0.0 6.0.0 3.1.1 2.0.0 1.0.0";
        let numerals = shown(&format!("{second} | @1 {e} | 5.2.2 4.2.3 3.1.1"));
        assert_eq!(numerals, ["II- 0..7/8", "I 2..9/4"]);
    }

    #[test]
    fn three_onsets_away_are_a_stay() {
        let text = "8 @2 1.2.1 1.3.2 @5 1.5.1 1.7.3 1.8.4 @2 1.3.2 1.2.1 2.5.4";
        assert_eq!(shown(text), ["II- 0..1/8", "V- 1/4..1/2", "II- 5/8..7/8"]);
    }

    /// E minor, C under CIII, then E minor and C broken.
    #[test]
    fn open_shapes_with_a_barre_between_them_have_no_numerals() {
        let minor = "1 @1 5.2.1+4.2.2+3.0.0+2.0.0";
        let barred = "[3:1-5 5.3.1+4.5.2+3.5.3+2.5.4+1.3.1 ]";
        let broken = "4 5.3.3 4.2.2 3.0.0 2.1.1";
        let text = |last: &str| format!("{minor} | @3 {barred} | @1 {minor} | {last}");
        assert!(shown(&text(broken)).is_empty());
        // A line.
        assert_eq!(shown(&text("4 2.1.1 2.3.4 2.1.1 1.0.0")), ["I 3..15/4"]);
    }

    /// B7 in II, E struck, then a line in I.
    #[test]
    fn the_numeral_of_i_stands_after_the_open_shape_that_tells_it() {
        let (seventh, e) = ("5.2.1+3.4.3+2.4.4", "6.0.0+5.2.2+4.2.3+3.1.1");
        let text = format!("1 @2 {seventh} | @1 {e} | 4 2.1.1 2.3.3 2.1.1 1.3.3");
        assert_eq!(shown(&text), ["II 0..0", "I 2..11/4"]);
    }

    #[test]
    fn going_away_for_good_is_no_momentary_reach() {
        assert_eq!(shown("8 @2 1.2.1 1.3.2 1.5.4 @4 1.7.4"), ["II- 0..1/4", "IV 3/8..3/8"]);
    }

    #[test]
    fn a_stay_under_its_own_barre_is_told_by_the_barre_mark() {
        let text = "4 @1 2.1.1 2.3.3 @3 [3:1-6 6.3.1+4.5.4+1.3.1 2.3.1 ]";
        assert_eq!(shown(text), ["I 0..1/4"]);
    }

    #[test]
    fn a_stay_has_its_numeral_beside_its_barre_and_not_over_it() {
        let barre = "[3:1-6 6.3.1+4.5.3+1.3.1 2.3.1 ]";
        // It holds on after the barre, from what is next stopped.
        let text = format!("8 @1 2.1.1 @3 {barre} 1.0.0 2.4.2 2.6.4");
        assert_eq!(shown(&text), ["I 0..0", "III- 1/2..5/8"]);
        let text = format!("8 @1 2.1.1 @3 2.6.4 2.4.2 {barre}");
        assert_eq!(shown(&text), ["I 0..0", "III- 1/8..1/4"]);
        let text = format!("8 @1 2.1.1 @3 2.6.4 2.4.2 {barre} 2.4.2 2.6.4");
        assert_eq!(shown(&text), ["I 0..0", "III- 1/8..1/4", "III- 5/8..3/4"]);
        // Without lines it is not said again.
        let text = format!("8 @3 2.6.4 2.4.2 {barre} 2.4.2 2.6.4");
        assert_eq!(shown(&text), ["III 0..5/8"]);
        let text = format!("8 @3 {barre} 2.4.2 2.6.4");
        assert_eq!(shown(&text), ["III 1/4..3/8"]);
        // Nor at chords that are struck; but before the barre, too.
        let chord = "4.2.1+3.2.2+2.2.3";
        let barred = "[2:1-5 5.2.1+4.4.3+3.4.4+1.2.1 ]";
        let broken = "8 5.2.2 3.0.0 2.2.3 3.0.0 5.2.2 3.0.0 2.2.3 3.0.0";
        assert!(shown(&format!("1 @2 {barred} | {chord} | {barred} | {broken}")).is_empty());
        assert_eq!(shown(&format!("1 @2 {chord} | {barred} | {chord}")), ["II 0..2"]);
        // Nor in the gap of a hinge.
        let text = "8 @1 2.1.1 @3 [3:1-4 1.3.1+3.3.1 3.3.1+1.0.0 1.3.1 ]";
        assert_eq!(shown(text), ["I 0..0"]);
        // A barre at another fret says nothing of it.
        let text = "8 @1 2.1.1 @3 2.5.3 [4:1-2 2.4.1+1.4.1 ]";
        assert_eq!(shown(text), ["I 0..0", "III- 1/8..1/4"]);
    }
}
