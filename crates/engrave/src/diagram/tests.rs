use apoyando_fingering::{Barre, LeftFinger, Shape, StringState};
use apoyando_fretboard::{Fret, Millimetres, StringNumber};

use super::*;
use crate::drawing::{Ink, Kind, StaffSpaces, Stain};
use crate::geometry::{Rect, bounds};
use crate::meter::listing;

const STAFF: Millimetres = Millimetres(7.2);

fn style() -> Style {
    Style { staff_height: STAFF, ..Style::default() }
}

/// A shape from its frets and fingers, thickest string first.
fn shape(name: &str, frets: &str, fingers: &str) -> Shape {
    let mut shape: Shape = frets.parse().unwrap();
    shape.name = name.to_owned();
    for (state, digit) in shape.strings.iter_mut().zip(fingers.chars().rev()) {
        if let StringState::Stopped { finger, .. } = state {
            *finger = digit.to_digit(10).and_then(|digit| LeftFinger::from_digit(digit as u8));
        }
    }
    shape
}

fn barre(mut shape: Shape, fret: u8, thin: u8, thick: u8) -> Shape {
    let string = |number| StringNumber::new(number).unwrap();
    shape.barre = Some(Barre { fret: Fret(fret), thin: string(thin), thick: string(thick) });
    shape
}

fn dots(drawing: &Drawing) -> Vec<(f64, f64)> {
    drawing
        .stains
        .iter()
        .filter_map(|stain| match stain.ink {
            Ink::Circle { centre, ring: None, .. } => Some((centre.x.0, centre.y.0)),
            _ => None,
        })
        .collect()
}

fn texts(drawing: &Drawing) -> Vec<&str> {
    drawing
        .stains
        .iter()
        .filter_map(|stain| match &stain.ink {
            Ink::Text { text, .. } => Some(text.as_str()),
            _ => None,
        })
        .collect()
}

fn ink_of(stain: &Stain) -> Rect {
    bounds(&stain.ink)
}

/// Common practice, no source: C is x32010 with fingers 3 2 1.
#[test]
fn an_open_chord_shows_nut_dots_markers_and_fingers() {
    let style = DiagramStyle::in_a_row(&style());
    let drawing = diagram(&shape("C", "x32010", "·32·1·"), &style);
    let g = style.gap.0;
    let dots = dots(&drawing);
    assert_eq!(dots.len(), 3);
    // ②1 by 1, ④2 by 2, ⑤3 by 3: each a string to the left and a fret down.
    assert!((dots[0].0 - dots[1].0 - 2.0 * g).abs() < 1e-9);
    assert!((dots[0].1 - dots[1].1 - 1.25 * g).abs() < 1e-9);
    assert!((dots[1].0 - dots[2].0 - g).abs() < 1e-9);
    assert_eq!(texts(&drawing), ["1", "2", "3", "C"]);
    let rings = drawing
        .stains
        .iter()
        .filter(|stain| matches!(stain.ink, Ink::Circle { ring: Some(_), .. }))
        .count();
    assert_eq!(rings, 2, "③ and ① are open");
    assert_eq!(drawing.description, "Chord diagram C: x32010, fingers ·32·1·");
    insta::assert_snapshot!(listing(&drawing));
}

#[test]
fn all_ink_lies_in_the_box() {
    for style in [
        DiagramStyle::in_a_row(&style()),
        DiagramStyle { mirrored: true, ..DiagramStyle::over_a_staff(&style()) },
    ] {
        for shape in [
            shape("C", "x32010", "·32·1·"),
            barre(shape("F♯m7(♭5)", "242222", "131111"), 2, 1, 6),
            shape("", "xxx787", "···132"),
            "79977x".parse().unwrap(),
        ] {
            let drawing = diagram(&shape, &style);
            for stain in &drawing.stains {
                let ink = ink_of(stain);
                assert!(ink.left > -1e-6 && ink.right < drawing.width.0 + 1e-6, "{stain:?}");
                assert!(
                    ink.high < drawing.above.0 + 1e-6 && -ink.low < drawing.below.0 + 0.05,
                    "{stain:?} in {} {}",
                    drawing.above.0,
                    drawing.below.0
                );
            }
        }
    }
}

#[test]
fn a_shape_up_the_neck_has_its_fret_beside_it_and_no_nut() {
    let style = DiagramStyle::in_a_row(&style());
    let high = diagram(&shape("A", "xx7655", "··3211"), &style);
    assert!(texts(&high).contains(&"V"));
    let low = diagram(&shape("D", "xx0232", "···132"), &style);
    let nut = |drawing: &Drawing| {
        let thick = 0.3 * style.gap.0;
        drawing
            .stains
            .iter()
            .any(|stain| matches!(stain.ink, Ink::Line { thickness, .. } if thickness.0 > thick))
    };
    assert!(nut(&low) && !nut(&high));
}

#[test]
fn the_nut_is_shown_up_to_fret_5_or_for_open_strings_alone() {
    let style = DiagramStyle::in_a_row(&style());
    let shown = |frets: &str, style: &DiagramStyle| {
        let shape = shape("", frets, "······");
        (numeral(&shape, style).map(|position| position.to_string()), frets_shown(&shape, style))
    };
    assert_eq!(shown("xx0535", &style), (None, 5));
    assert_eq!(shown("xx543x", &style), (None, 5));
    assert_eq!(shown("xx0535", &style.where_they_lie()), (None, 5));
    assert_eq!(shown("xx543x", &style.where_they_lie()), (Some("III".to_owned()), 4));
    assert_eq!(shown("133211", &style.where_they_lie()), (None, 4));
    assert_eq!(shown("x24432", &style.where_they_lie()), (Some("II".to_owned()), 4));
}

#[test]
fn a_left_handers_diagram_is_the_mirror_image() {
    let style = DiagramStyle::in_a_row(&style());
    let left = DiagramStyle { mirrored: true, ..style };
    let shape = shape("C", "x32010", "·32·1·");
    let (a, b) = (diagram(&shape, &style), diagram(&shape, &left));
    let middle = (middle(&shape, &style).0, super::middle(&shape, &left).0);
    for (one, other) in dots(&a).into_iter().zip(dots(&b)) {
        assert!((one.0 - middle.0 + other.0 - middle.1).abs() < 1e-9);
        assert_eq!(one.1, other.1);
    }
}

#[test]
fn in_a_row_nuts_are_aligned_and_every_grid_has_as_many_frets() {
    let style = DiagramStyle::in_a_row(&style());
    let shapes = [
        shape("Am", "x02210", "··231·"),
        shape("Dm", "xx0231", "···231"),
        barre(shape("F", "133211", "134211"), 1, 1, 6),
        shape("", "xx543x", "··321·"),
        barre(shape("Bm", "x24432", "·13421"), 2, 1, 5),
    ];
    let rows = row(&shapes, &style, StaffSpaces(60.0));
    assert_eq!(rows.len(), 1);
    let feet: Vec<f64> = rows[0]
        .stains
        .iter()
        .filter_map(|stain| match stain.ink {
            Ink::Line { from, to, .. } if from.x == to.x => Some(to.y.0),
            _ => None,
        })
        .collect();
    assert!(feet.iter().all(|foot| (foot - feet[0]).abs() < 1e-9));
    assert!(rows[0].stains.iter().all(|stain| bounds(&stain.ink).right < 60.0));
    insta::assert_snapshot!(listing(&rows[0]));
    assert_eq!(row(&shapes, &style, StaffSpaces(25.0)).len(), 3);
    assert!(rows[0].stains.iter().any(|stain| stain.kind == Kind::ChordName));
}

#[test]
fn diagrams_for_the_same_row_show_as_many_frets() {
    let low = shape("C", "x32010", "032010");
    let high = shape("C", "x35553", "013331");
    let style = DiagramStyle::over_a_staff(&style());
    let own = [&low, &high].map(|shape| diagram(shape, &style).below.0);
    assert!(own[1] > own[0] + 0.5, "the one with five frets is longer: {own:?}");
    let alike = style.for_all([&low, &high]);
    let alike = [&low, &high].map(|shape| diagram(shape, &alike).below.0);
    assert!((alike[0] - alike[1]).abs() < 1e-9 && (alike[1] - own[1]).abs() < 1e-9, "{alike:?}");
}
