//! What is reported and offered where pages are to be filled.

use std::sync::Arc;

use apoyando_engrave::{Sheet, StaffSpaces, Style, engrave, engrave_for_pages};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Clef, Metre, PartIndex, Score};

use crate::fretted;
use crate::gallery;
use crate::scores::Sketch;

/// Free beats after the first bar of a score that has two on a line each.
fn free_after_the_first(score: &Score) -> f64 {
    let frettings = fretted::all(score);
    let sheet = Sheet { frettings: &frettings, ..Sheet::bare(score) };
    let engraving = engrave_for_pages(&sheet, &Style::default(), &[1]);
    let system = &engraving.systems[0];
    assert_eq!(system.bars, 0..1);
    system.free_beats
}

fn one_voice(voice: &str) -> f64 {
    free_after_the_first(&Sketch::new(0, Metre::COMMON, &[voice]).score())
}

/// E2, A2, D3, G3, B3 and E4 are the open strings of a guitar in common tuning.
#[test]
fn a_page_can_be_turned_in_a_rest_or_while_open_strings_ring() {
    assert_eq!(one_voice("C4:q D4:q r:h | C4:w"), 2.0);
    assert_eq!(one_voice("C4:h. r:q | r:q C4:h."), 2.0, "over the barline");
    assert_eq!(one_voice("C4:h. r:q | C4:w"), 1.0);
    assert_eq!(one_voice("C4:w | C4:w"), 0.0);
    assert_eq!(one_voice("C4:q C4:q E4:h | C4:w"), 2.0, "the open ①");
    assert_eq!(one_voice("C4:q C4:q F4:h | C4:w"), 0.0, "F is stopped");
    assert_eq!(one_voice("C4:w | E4:h. C4:q"), 3.0, "an open string begins the next bar");
    assert_eq!(one_voice("C4:w | F4:h. C4:q"), 0.0);
    assert_eq!(one_voice("C4:q C4:q E4:h~ | E4:q C4:h."), 3.0, "tied over the barline");
    assert_eq!(one_voice("E4:q E4:q E4:q E4:q | C4:w"), 1.0, "the right hand plays");
}

#[test]
fn beats_are_those_of_the_metre() {
    let score = Sketch::new(0, Metre::new(6, 8), &["C4:q. r:q. | r:q. C4:q."]).score();
    assert_eq!(free_after_the_first(&score), 2.0);
}

#[test]
fn every_voice_and_every_part_must_be_free() {
    let voices = ["C4:h r:h | C4:w", "C3:w | C3:w"];
    assert_eq!(free_after_the_first(&Sketch::new(0, Metre::COMMON, &voices).score()), 0.0);
    let voices = ["C4:h r:h | C4:w", "E2:w | C3:w"];
    assert_eq!(free_after_the_first(&Sketch::new(0, Metre::COMMON, &voices).score()), 2.0);
    let score = Sketch::new(0, Metre::COMMON, &["C4:h r:h | C4:w"])
        .part("Guitar 2", Clef::Guitar, &["C3:w | C3:w"])
        .score();
    assert_eq!(free_after_the_first(&score), 0.0);
}

#[test]
fn without_a_fingering_no_string_is_known_to_be_open() {
    let score = Sketch::new(0, Metre::COMMON, &["C4:q C4:q E4:h | C4:w"]).score();
    let free =
        |sheet: &Sheet<'_>| engrave_for_pages(sheet, &Style::default(), &[1]).systems[0].free_beats;
    assert_eq!(free(&Sheet::bare(&score)), 0.0);
    // The same note on the fifth fret of ②.
    let mut frettings = vec![fretted::lowest(&score, PartIndex(0))];
    frettings[0].places[2] = Some(Place { string: StringNumber::new(2).unwrap(), fret: Fret(5) });
    assert_eq!(free(&Sheet { frettings: &frettings, ..Sheet::bare(&score) }), 0.0);
}

/// Bars of different widths, in lines that could have three or four of them.
fn many_bars() -> Score {
    let bars = [
        "C4:q D4:q E4:q F4:q",
        "C4:8 D4:8 E4:8 F4:8 G4:q E4:q",
        "C4:h E4:h",
        "G4:8 F4:8 E4:8 D4:8 C4:8 D4:8 E4:8 F4:8",
        "G4:h. E4:q",
        "C4:w",
    ];
    let voice: Vec<&str> = (0..BARS).map(|bar| bars[bar * bar % 7 % 6]).collect();
    Sketch::new(0, Metre::COMMON, &[&voice.join(" | ")]).score()
}

const BARS: usize = 40;

#[test]
fn offers_begin_with_what_is_best_by_itself_and_share_their_lines() {
    let score = many_bars();
    let sheet = Sheet::bare(&score);
    let mut shared = 0;
    let mut several = 0;
    for width in (50..140).step_by(3) {
        let style = Style { line_width: StaffSpaces(f64::from(width)), ..Style::default() };
        let alone = engrave(&sheet, &style);
        let engraving = engrave_for_pages(&sheet, &style, &[]);
        assert_eq!(engraving.systems, alone.systems);
        assert!(alone.offers.is_empty());
        let offers = &engraving.offers;
        let own: Vec<_> = offers[0].systems.iter().map(|system| (**system).clone()).collect();
        assert_eq!(own, alone.systems);
        for (nth, offer) in offers.iter().enumerate() {
            assert!(offer.cost >= offers[0].cost);
            let mut next = 0;
            for system in &offer.systems {
                assert_eq!(system.bars.start, next);
                next = system.bars.end;
                let before = offers[..nth].iter().flat_map(|offer| &offer.systems);
                shared += before.filter(|other| Arc::ptr_eq(system, other)).count();
                if nth > 0 {
                    // Whole phrases of four bars may be looser.
                    let ends = [system.bars.start, system.bars.end];
                    let phrases = ends.iter().all(|bar| bar.is_multiple_of(4));
                    let loosest = if phrases { 1.0 / 0.4 } else { 1.25 };
                    assert!(system.stretch > 0.85 - 1e-9 && system.stretch < loosest + 1e-9);
                }
            }
            assert_eq!(next as usize, BARS);
            let counts: Vec<_> = offers.iter().map(|offer| offer.systems.len()).collect();
            assert!(counts.iter().filter(|count| **count == counts[nth]).count() == 1);
        }
        several += usize::from(offers.len() > 1);
    }
    assert!(several > 5 && shared > 5, "{several} {shared}");
}

#[test]
fn the_bars_asked_for_begin_lines_in_every_offer() {
    let score = many_bars();
    for width in (50..140).step_by(9) {
        let style = Style { line_width: StaffSpaces(f64::from(width)), ..Style::default() };
        for offer in &engrave_for_pages(&Sheet::bare(&score), &style, &[5, 11]).offers {
            let begins: Vec<u32> = offer.systems.iter().map(|system| system.bars.start).collect();
            assert!(begins.contains(&5) && begins.contains(&11), "{begins:?}");
        }
    }
}

#[test]
fn every_score_of_the_gallery_is_offered_whole() {
    for (name, score) in gallery::all() {
        let engraving = engrave_for_pages(&Sheet::bare(&score), &Style::default(), &[]);
        for offer in &engraving.offers {
            let bars: u32 = offer.systems.iter().map(|system| system.bars.len() as u32).sum();
            assert_eq!(bars as usize, score.bars().len(), "{name}");
        }
    }
}
