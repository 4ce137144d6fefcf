//! The meters of lines beside one another.

use apoyando_engrave::meter::{bettered_breaks, lone_last_bar, stretch, uneven_lines};
use apoyando_engrave::{
    Kind, Owner, Sheet, StaffSpaces, Style, System, engrave, engrave_for_pages, every_line,
};
use apoyando_music::{Metre, Score};

use crate::ink::areas;
use crate::scores::Sketch;

/// Sixteen bars of quarters and eighths.
fn piece() -> Score {
    let bar = "E4:q D4:8 E4:8 F4:q G4:q | ".repeat(16);
    Sketch::new(0, Metre::COMMON, &[bar.trim_end_matches(" | ")]).score()
}

fn lines(score: &Score) -> Vec<System> {
    let style = Style { line_width: StaffSpaces(80.0), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems
}

fn rules(score: &Score, lines: &[System]) -> Vec<(usize, &'static str)> {
    uneven_lines(lines, score).into_iter().map(|(line, fault)| (line, fault.rule)).collect()
}

/// A line whose heads stand so many times as far apart.
fn stretched(line: &System, by: f64) -> System {
    let mut line = line.clone();
    for stain in line.drawing.stains.iter_mut().filter(|stain| stain.kind == Kind::Head) {
        let apoyando_engrave::Ink::Glyph { at, .. } = &mut stain.ink else { continue };
        at.x = at.x * by;
    }
    line
}

#[test]
fn even_bars_make_lines_without_faults() {
    let score = piece();
    let lines = lines(&score);
    assert!(lines.len() > 3);
    assert_eq!(rules(&score, &lines), []);
    assert_eq!(lone_last_bar(&lines), None);
}

/// Quarters 3.5 spaces apart and eighths 2.5 are not stretched (Ross and Gould, from memory).
#[test]
fn the_stretch_is_that_of_the_distances() {
    let score = piece();
    let line = &lines(&score)[1];
    let heads = areas(&line.drawing.stains, Kind::Head);
    // From the third to the fifth note of a bar there is a quarter each.
    let wanted = (heads[4].left - heads[3].left) / 3.5;
    let own = stretch(line, &score).unwrap();
    assert!((own - wanted).abs() < 0.02, "{own} {wanted}");
    let more = stretch(&stretched(line, 1.5), &score).unwrap();
    assert!((more / own - 1.5).abs() < 1e-9, "{own} {more}");
}

/// Sharps in one bar of eighths: in a ragged line the other bar goes along.
#[test]
fn equal_times_of_a_ragged_line_are_alike() {
    let plain = "C4:8 E4:8 G4:8 E4:8 C4:8 E4:8 G4:8 E4:8";
    let sharp = "C4:8 D#4:8 F#4:8 D#4:8 C#4:8 D#4:8 F#4:8 D#4:8";
    let score = Sketch::new(0, Metre::COMMON, &[&format!("{plain} | {sharp}")]).score();
    for width in [100.0, 130.0] {
        let style = Style { line_width: StaffSpaces(width), ..Style::default() };
        let systems = engrave(&Sheet::bare(&score), &style).systems;
        assert_eq!(systems.len(), 1);
        let heads = areas(&systems[0].drawing.stains, Kind::Head);
        let bars = heads.chunks(8).map(|bar| bar.windows(2).map(|it| it[1].left - it[0].left));
        let distances: Vec<f64> = bars.flatten().collect();
        let widest = distances.iter().copied().fold(0.0, f64::max);
        let narrowest = distances.iter().copied().fold(f64::MAX, f64::min);
        assert_eq!(distances.len(), 14);
        assert!(narrowest / widest > 0.94, "{width}: {distances:?}");
    }
}

#[test]
fn a_loose_line_a_cramped_one_and_unlike_ones_are_found() {
    let score = piece();
    let mut lines = lines(&score);
    lines.truncate(2);
    let own = stretch(&lines[1], &score).unwrap();
    let planted = |to: f64| [lines[0].clone(), stretched(&lines[1], to / own)];
    // Of whole phrases, a line may be looser, and less like another.
    assert_eq!(lines[1].bars, 4..8);
    assert_eq!(rules(&score, &planted(2.7))[0], (1, "line-stretch"));
    assert_eq!(rules(&score, &planted(0.7))[0], (1, "line-stretch"));
    let first = |to: f64| stretched(&lines[0], to / stretch(&lines[0], &score).unwrap());
    let second = |to: f64| planted(to)[1].clone();
    assert_eq!(rules(&score, &[first(1.2), second(1.4)]), []);
    assert_eq!(rules(&score, &[first(0.9), second(1.25)]), [(1, "lines-unlike")]);
    // Of other bars it is called so sooner.
    let other = |to: f64| System { bars: 4..7, ..second(to) };
    assert_eq!(rules(&score, &[first(1.2), other(1.3)])[0], (1, "line-stretch"));
    assert_eq!(rules(&score, &[first(0.9), other(1.2)]), [(1, "lines-unlike")]);
}

#[test]
fn a_last_line_of_one_bar_is_found() {
    let score = piece();
    let mut lines = lines(&score);
    let last = lines.last_mut().unwrap();
    let bar = last.bars.end - 1;
    last.bars = bar..last.bars.end;
    let in_bar = |owner: Owner| match owner {
        Owner::Note(note) => score.note(note).bar.0 == bar,
        _ => true,
    };
    last.drawing.stains.retain(|stain| in_bar(stain.owner));
    let (line, fault) = lone_last_bar(&lines).unwrap();
    assert_eq!((line, fault.rule), (lines.len() - 1, "last-line-lone"));
    assert_eq!(lone_last_bar(&lines[lines.len() - 1..]), None, "the only line may be so");
}

#[test]
fn breaks_that_others_would_better_are_found_and_those_that_none_would_are_not() {
    let score = piece();
    let sheet = Sheet::bare(&score);
    let style = Style { line_width: StaffSpaces(80.0), ..Style::default() };
    let told = |lines: &[System]| bettered_breaks(lines, &score, || every_line(&sheet, &style));
    assert_eq!(told(&lines(&score)), []);
    // A line of one bar, which nobody needs.
    let forced = engrave_for_pages(&sheet, &style, &[5, 6]).systems;
    let rules: Vec<_> = told(&forced).iter().map(|(_, fault)| fault.rule).collect();
    assert!(rules.contains(&"line-stretch") && rules.contains(&"lines-unlike"), "{rules:?}");
    // Bars so full that every line has one, and the last one, too.
    let bar = "E4:16 ".repeat(16);
    let score = Sketch::new(0, Metre::COMMON, &[&format!("{bar}| {bar}| {bar}")]).score();
    let narrow = Style { line_width: StaffSpaces(42.0), ..Style::default() };
    let lines = engrave(&Sheet::bare(&score), &narrow).systems;
    assert!(lone_last_bar(&lines).is_some());
    let every = every_line(&Sheet::bare(&score), &narrow);
    assert!(every.iter().all(|line| line.bars.len() == 1), "{}", every.len());
    assert_eq!(bettered_breaks(&lines, &score, || every), []);
}
