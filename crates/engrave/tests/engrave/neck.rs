//! Maps of the fingerboard.

use apoyando_engrave::{Drawing, Ink, Kind, Neck, Ring, RingLook, Stopping, Style, neck};
use apoyando_fretboard::{Fret, Place, StringNumber};

fn string(number: u8) -> StringNumber {
    StringNumber::new(number).expect("a string")
}

fn ring(number: u8, fret: u8, label: &str, look: RingLook) -> Ring {
    let place = Place { string: string(number), fret: Fret(fret) };
    Ring { place, label: label.to_owned(), look }
}

/// F major on the two thinnest strings, first position.
fn sample(first: u8, last: u8) -> Neck {
    let names = ["E", "B", "G", "D", "A", "E"];
    let strings = (1..).zip(names).map(|(n, name)| (string(n), name.to_owned())).collect();
    Neck {
        strings,
        frets: (Fret(first), Fret(last)),
        numbered: vec![Fret(first)],
        rings: vec![
            ring(1, 0, "0", RingLook::Thin),
            ring(1, first, "1", RingLook::Thick),
            ring(2, last, "4", RingLook::Thin),
        ],
        description: "F".to_owned(),
    }
}

fn rings(drawing: &Drawing) -> Vec<(f64, f64, f64)> {
    let inks = drawing.stains.iter().filter(|stain| stain.kind == Kind::Diagram);
    inks.filter_map(|stain| match stain.ink {
        Ink::Circle { centre, ring: Some(ring), .. } => Some((centre.x.0, centre.y.0, ring.0)),
        _ => None,
    })
    .collect()
}

/// x and thickness of the frets, from the left.
fn frets(drawing: &Drawing) -> Vec<(f64, f64)> {
    let lines = drawing.stains.iter().filter_map(|stain| match stain.ink {
        Ink::Line { from, to, thickness, .. } if from.x == to.x => Some((from.x.0, thickness.0)),
        _ => None,
    });
    let mut lines: Vec<(f64, f64)> = lines.collect();
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    lines
}

/// Common practice, no source: each fret is shorter than the one before by the
/// twelfth root of two; the thinnest string is the upper one, as in tablature, and the
/// open string's ring stands before the nut.
#[test]
fn frets_stand_as_on_the_instrument() {
    let drawing = neck(&sample(1, 4), &Style::default());
    let frets = frets(&drawing);
    assert_eq!(frets.len(), 5);
    assert!(frets[0].1 > 3.0 * frets[1].1, "the nut is thick: {frets:?}");
    let widths: Vec<f64> = frets.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
    for pair in widths.windows(2) {
        assert!((pair[0] / pair[1] - 2f64.powf(1.0 / 12.0)).abs() < 1e-9, "{widths:?}");
    }
    let [open, first, second] = rings(&drawing)[..] else { panic!() };
    assert!(open.0 < frets[0].0 && open.1 == first.1 && second.1 < first.1);
    assert!((first.0 - (frets[0].0 + frets[1].0) / 2.0).abs() < 1e-9);
    assert!(first.2 > 2.0 * second.2, "a tonic's ring is thick");
}

/// Common practice, no source: where frets are left out after the nut, the strings are broken.
#[test]
fn higher_up_strings_are_broken_after_the_nut() {
    let drawing = neck(&sample(5, 8), &Style::default());
    let frets = frets(&drawing);
    assert!(frets[0].1 > 3.0 * frets[1].1, "the nut is thick: {frets:?}");
    assert_eq!(frets.len(), 6);
    assert!(frets[1..].iter().all(|fret| fret.1 == frets[1].1), "{frets:?}");
    let strings = drawing.stains.iter().filter_map(|stain| match &stain.ink {
        Ink::Line { from, to, .. } if from.y == to.y => Some((from.x.0, to.x.0)),
        _ => None,
    });
    let strings: Vec<(f64, f64)> = strings.collect();
    let between = |line: &&(f64, f64)| line.1 < frets[1].0 - 0.3;
    assert_eq!(strings.len(), 2 * strings.iter().filter(between).count(), "{strings:?}");
    let texts = drawing.stains.iter().filter_map(|stain| match &stain.ink {
        Ink::Text { text, .. } => Some(text.as_str()),
        _ => None,
    });
    assert!(texts.into_iter().any(|text| text == "V"));
}

/// House: a note that is raised has its finger and white behind it, but no ring.
#[test]
fn a_bare_note_has_no_ring() {
    let mut sample = sample(1, 4);
    sample.rings.push(ring(3, 2, "2", RingLook::Bare));
    let drawing = neck(&sample, &Style::default());
    assert_eq!(rings(&drawing).len(), 3);
    let halos = drawing.stains.iter().filter(|stain| stain.kind == Kind::Halo).count();
    assert_eq!(halos, 4);
}

/// Common practice, no source: for those who stop with the right hand everything is
/// seen from the other side, strings in the same order.
#[test]
fn it_is_mirrored_from_left_to_right() {
    let style = Style { stopping: Stopping::RightHand, ..Style::default() };
    let (usual, mirrored) = (neck(&sample(1, 4), &Style::default()), neck(&sample(1, 4), &style));
    assert_eq!(usual.width, mirrored.width);
    for (a, b) in rings(&usual).iter().zip(rings(&mirrored)) {
        assert!((a.0 + b.0 - usual.width.0).abs() < 1e-9 && a.1 == b.1);
    }
}

/// No ink is outside the box that a page keeps for it, and no two rings touch.
#[test]
fn it_keeps_within_its_box() {
    for stopping in [Stopping::LeftHand, Stopping::RightHand] {
        let drawing = neck(&sample(1, 4), &Style { stopping, ..Style::default() });
        for stain in &drawing.stains {
            let bounds = apoyando_engrave::geometry::bounds(&stain.ink);
            assert!(bounds.left >= -1e-6 && bounds.right <= drawing.width.0 + 1e-6, "{stain:?}");
            assert!(bounds.high <= drawing.above.0 + 1e-6, "{stain:?}");
            assert!(bounds.low >= -drawing.below.0 - 0.2, "{stain:?}");
        }
    }
}
