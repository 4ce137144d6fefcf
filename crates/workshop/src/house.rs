//! Where a fingering goes against the house style, and what keeping it would cost.

use std::collections::BTreeMap;

use apoyando_fingering::{Finding, FindingPlace, Problem, Severity, Term};
use apoyando_hands::Solved;
use apoyando_music::Moment;

/// So many bars are named where the style is not kept; the rest are counted.
const NAMED: usize = 8;

/// What is to be said where the best fingering goes against the house style.
pub(crate) fn advice(problem: &Problem<'_>, solved: &Solved<'_>) -> Option<Finding> {
    let score = problem.score;
    let items = &solved.solution().fingering.items;
    let against = items.iter().filter(|item| item.term == Term::House);
    let mut bars: BTreeMap<u32, Vec<Moment>> = BTreeMap::new();
    for item in against {
        bars.entry(score.bar_and_beat(item.at).0).or_default().push(item.at);
    }
    let (first, onsets) = bars.first_key_value()?;
    let beat = onsets.first().map(|at| score.bar_and_beat(*at).1);
    let named = bars.iter().take(NAMED).map(|(bar, onsets)| {
        match onsets.iter().filter_map(|at| cost_of_keeping(problem, solved, *at)).min() {
            Some(cost) => format!("bar {bar}, where keeping it would cost {cost}"),
            None => format!("bar {bar}, where no other way for a note keeps it"),
        }
    });
    let mut named: Vec<String> = named.collect();
    match bars.len() - named.len() {
        0 => {}
        1 => named.push("one bar more".to_owned()),
        rest => named.push(format!("{rest} bars more")),
    }
    Some(Finding {
        rule: "house-style-not-kept",
        severity: Severity::Advice,
        place: FindingPlace { bar: Some(*first), beat, ..FindingPlace::default() },
        message: format!(
            "house style is not kept in {}; it is worth {} a note",
            named.join("; "),
            problem.effort.value(Term::House)
        ),
        remedy: Some("pin the notes, or raise “worth” in the house style".to_owned()),
        remedies: Vec::new(),
    })
}

/// The least effort, the house style aside, that another way costs for one of the
/// notes struck at an onset, if it is not against the style where the best
/// fingering is. `None` if every such way leaves out more or breaks more rules.
fn cost_of_keeping(problem: &Problem<'_>, solved: &Solved<'_>, at: Moment) -> Option<i64> {
    let tones = problem.score.tones(problem.part);
    let struck = tones.as_slice().iter().filter(|tone| tone.onset == at);
    let mut least: Option<i64> = None;
    for alternative in struck.flat_map(|tone| solved.alternatives(tone.id)) {
        // They come with their price; only a cheaper one is worth a look.
        let more = i64::try_from(alternative.more).unwrap_or(i64::MAX);
        if least.is_some_and(|least| more >= least) {
            continue;
        }
        let changes = solved.changes(&alternative);
        let house = || changes.iter().filter(|change| change.term == Term::House);
        let here: i64 = house().filter(|change| change.at == at).map(|change| change.amount).sum();
        let all: i64 = house().map(|change| change.amount).sum();
        if here < 0 && all < 0 {
            least = Some(least.map_or(more - all, |least| least.min(more - all)));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::{
        Descending, EffortTable, HouseStyle, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor,
        PinRule, Pins, Position, PositionSet, Price, Scope,
    };
    use apoyando_fretboard::Instrument;
    use apoyando_hands::RightPlan;
    use apoyando_music::{
        Base, Draft, DraftBar, DraftEvent, DraftPart, KeySignature, Metre, NoteValue, PartIndex,
        Score, ToneId,
    };

    use super::*;
    use crate::piece::{FingeredPart, PartRequest, finger};

    /// Quarters, a text to every bar.
    fn line(bars: &[&str]) -> Score {
        let event = |pitch: &str| {
            DraftEvent::notes(NoteValue::plain(Base::Quarter), &[pitch.parse().unwrap()])
        };
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(bars.iter().map(|bar| bar.split(' ').map(event).collect()).collect());
        let grid = (1..=bars.len() as u32)
            .map(|number| DraftBar::new(number, Metre::COMMON, KeySignature::NONE));
        Score::assemble(Draft { bars: grid.collect(), parts: vec![part], ..Draft::default() })
            .unwrap()
    }

    fn fingered(score: &Score, house: &HouseStyle, worth: i32, pins: &[Pin]) -> FingeredPart {
        let request = PartRequest {
            level: Level::first(),
            pins: Pins(pins.to_vec()),
            right: RightPlan::default(),
            house: house.clone(),
            like_bars: false,
        };
        let effort = EffortTable { house: worth, ..EffortTable::default() };
        let mut parts = finger(score, &Instrument::guitar(), &effort, vec![request]);
        parts.remove(0)
    }

    fn price(part: &FingeredPart) -> Price {
        part.fingering.as_ref().unwrap().price
    }

    fn said(part: &FingeredPart) -> Option<&Finding> {
        part.findings.iter().find(|finding| finding.rule == "house-style-not-kept")
    }

    const FALLING: [&str; 2] = ["G4 F4 E4 D4", "C4 B3 A3 G3"];

    /// The cost that is named is the least worth at which the style is kept: at one
    /// less it is not, at one more it is.
    #[test]
    fn what_keeping_the_style_would_cost_is_what_it_has_to_be_worth() {
        let score = line(&FALLING[..1]);
        let four = HouseStyle { third_fret: Some(LeftFinger::Four), ..HouseStyle::NONE };
        // One bar, one note at fret 3 on ① and one on ②: each is paid for alone.
        let part = fingered(&score, &four, 1, &[]);
        let message = &said(&part).expect("4 costs more than 1").message;
        let cost: i32 = message
            .strip_prefix("house style is not kept in bar 1, where keeping it would cost ")
            .and_then(|rest| rest.strip_suffix("; it is worth 1 a note"))
            .unwrap_or_else(|| panic!("{message}"))
            .parse()
            .unwrap();
        let house_paid = |worth: i32| -> i64 {
            let part = fingered(&score, &four, worth, &[]);
            let items = &part.fingering.as_ref().unwrap().items;
            items.iter().filter(|item| item.term == Term::House).map(|item| item.amount).sum()
        };
        assert_eq!(house_paid(cost - 1), 2 * i64::from(cost - 1));
        assert!(house_paid(cost + 1) < 2 * i64::from(cost + 1));
    }

    #[test]
    fn nothing_is_said_where_the_style_is_kept_or_worth_nothing() {
        let score = line(&FALLING);
        let four = HouseStyle { third_fret: Some(LeftFinger::Four), ..HouseStyle::NONE };
        assert_eq!(said(&fingered(&score, &HouseStyle::NONE, 12, &[])), None);
        assert_eq!(said(&fingered(&score, &four, 1000, &[])), None);
        let (plain, worthless) =
            (fingered(&score, &HouseStyle::NONE, 12, &[]), fingered(&score, &four, 0, &[]));
        assert_eq!(said(&worthless), None);
        assert_eq!(price(&plain), price(&worthless));
    }

    /// A pin outranks the style; no other way keeps both.
    #[test]
    fn what_a_pin_rules_out_is_named_without_a_cost() {
        let score = line(&["G4 F4 E4 D4", "C4 B3 A3 G3", "G4 F4 E4 D4"]);
        let four = HouseStyle { third_fret: Some(LeftFinger::Four), ..HouseStyle::NONE };
        let pin = |rule| Pin { scope: Scope::Tone(ToneId(8)), rule, author: PinAuthor::Author };
        let three = LeftFingerSet::NONE.with(Some(LeftFinger::Three));
        let pins = [
            pin(PinRule::LeftFingers(three)),
            pin(PinRule::Positions(PositionSet::only(Position::FIRST))),
        ];
        let part = fingered(&score, &four, 40, &pins);
        let finding = said(&part).unwrap();
        assert_eq!(
            finding.to_string(),
            "bar 3, beat 1: advice: house style is not kept in bar 3, where no other way for a \
             note keeps it; it is worth 40 a note (pin the notes, or raise “worth” in the house \
             style) [house-style-not-kept]"
        );
    }

    #[test]
    fn many_bars_are_counted() {
        let score = line(&[FALLING[0]; 10]);
        let stopped = HouseStyle { descending: Some(Descending::Stopped), ..HouseStyle::NONE };
        let part = fingered(&score, &stopped, 1, &[]);
        let message = &said(&part).unwrap().message;
        assert!(
            message.contains("bar 8, where no other way for a note keeps it; 2 bars more"),
            "{message}"
        );
        assert!(message.contains("; 2 bars more; it is worth 1 a note"), "{message}");
        assert!(!message.contains("bar 9"), "{message}");
        assert_eq!(score.tones(PartIndex(0)).len(), 40);
    }
}
