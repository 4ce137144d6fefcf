//! Whatever goes in: pages, a fault or an error; never a panic.

use apoyando_engrave::{Kind, StaffSpaces};
use apoyando_press::{
    Block, Document, Fault, Millimetres, Music, Opening, Paper, PressError, Section, pdf, png, set,
};

use crate::sample;

#[test]
fn an_empty_document_is_one_white_page() {
    let pages = set(&Document::new("", Paper::A4)).unwrap();
    assert_eq!(pages.count(), 1);
    assert!(pages.pdf().unwrap().starts_with(b"%PDF"));
}

#[test]
fn a_system_taller_than_the_page_is_made_smaller_and_reported() {
    let mut system = sample::system(97.2, 0);
    system.above = StaffSpaces(100.0);
    system.below = StaffSpaces(100.0);
    let music = Music::of(vec![system]);
    let pages = set(&sample::sheet(music)).unwrap();
    let [Fault::Scaled { place, index: 1, by }] = pages.faults() else {
        panic!("{:?}", pages.faults())
    };
    assert_eq!(place, "exercise 1");
    // 200 staff spaces of 1.8 mm in a type area of 263 mm.
    assert!((by - 263.0 / 360.0).abs() < 1e-9, "{by}");
    assert!(pages.count() <= 2);
}

#[test]
fn a_system_wider_than_the_type_area_is_made_smaller_and_reported() {
    let music = Music::of(vec![sample::system(120.0, 0)]);
    let pages = set(&sample::sheet(music)).unwrap();
    let said = pages.faults().iter().map(ToString::to_string).collect::<Vec<_>>();
    assert_eq!(
        said,
        ["exercise 1: system or diagram 1 does not fit the page and was printed at 81 % of its \
          size; choose a smaller staff or larger paper"]
    );
}

#[test]
fn lengths_that_are_not_numbers_are_refused() {
    let mut system = sample::system(97.2, 0);
    system.stains.push(sample::stain(Kind::Head, sample::glyph('\u{E0A4}', 1.0, f64::NAN, 0.0)));
    let music = Music::of(vec![sample::system(97.2, 0), system]);
    assert_eq!(
        pdf(&sample::sheet(music)),
        Err(PressError::Drawing { place: "exercise 1".to_owned(), index: 2 })
    );
}

#[test]
fn absurd_staves_papers_pages_and_resolutions_are_refused() {
    for staff in [0.0, -7.0, f64::NAN, f64::INFINITY, 500.0] {
        let music = Music { staff: Millimetres(staff), ..sample::music(1) };
        let refused = pdf(&sample::sheet(music));
        assert!(matches!(refused, Err(PressError::Staff { .. })), "{staff}");
    }
    for width in [0.0, 40.0, f64::NAN, f64::INFINITY, 1e12] {
        let paper = Paper { width: Millimetres(width), ..Paper::A4 };
        let refused = pdf(&Document::new("Narrow", paper));
        assert!(matches!(refused, Err(PressError::Paper { .. })), "{width}");
    }
    let white = Document::new("White", Paper::A4);
    for page in [0, 2, usize::MAX] {
        assert_eq!(png(&white, page, 72.0), Err(PressError::NoSuchPage { page, pages: 1 }));
    }
    for dpi in [0.0, -1.0, 1e9, f64::NAN] {
        assert!(matches!(png(&white, 1, dpi), Err(PressError::Resolution { .. })), "{dpi}");
    }
}

#[test]
fn prose_is_never_read_as_markup_of_the_typesetter() {
    // Everything here means something to the typesetter, nothing to CommonMark.
    let text = "#panic(\"out\") $x^2$ @label <label> #import \"x\" ~ // #let = 1 \\u{41} ]]";
    let mut document = sample::sheet(sample::music(1));
    document.title = text.to_owned();
    document.author = Some(text.to_owned());
    document.title_page = Some(apoyando_press::TitlePage {
        subtitle: Some(text.to_owned()),
        edition: Some(text.to_owned()),
        imprint: Some(text.to_owned()),
        verso: vec![Block::Heading(text.to_owned()), Block::Prose(text.to_owned())],
    });
    document.contents = Some(text.to_owned());
    document.sections.push(Section {
        heading: Some(text.to_owned()),
        line: Some(text.to_owned()),
        advice: text.to_owned(),
        blocks: vec![Block::Prose(text.to_owned()), Block::Heading(text.to_owned())],
        ..Section::default()
    });
    let pages = set(&document).unwrap();
    assert_eq!(pages.faults(), []);
    pages.pdf().unwrap();
}

#[test]
fn other_scripts_are_printed_as_boxes_and_reported() {
    let mut document = sample::sheet(sample::music(1));
    document.title = "Ёлка, Ωδή, 练习曲".to_owned();
    document.sections[0].advice = "A hand: 🤚, and the strings ① to ⑥ in F♯ minor.".to_owned();
    let pages = set(&document).unwrap();
    let said = pages.faults().iter().map(ToString::to_string).collect::<Vec<_>>();
    assert_eq!(
        said,
        [
            "title: the typeface has no “练” (U+7EC3), “习” (U+4E60), “曲” (U+66F2); a box is \
             printed instead, write it in other letters",
            "section without a heading: the typeface has no “🤚” (U+1F91A); a box is printed \
             instead, write it in other letters",
        ]
    );
    pages.pdf().unwrap();
}

#[test]
fn what_has_no_title_is_untitled() {
    let mut document = sample::book();
    for section in &mut document.sections {
        for block in &mut section.blocks {
            match block {
                Block::Exercise(exercise) => exercise.title.clear(),
                Block::Piece(piece) => piece.title = "  ".to_owned(),
                _ => {}
            }
        }
    }
    pdf(&document).unwrap();
}

#[test]
fn very_long_titles_are_broken_into_lines() {
    let long = "a study in slurs and shifts ".repeat(11);
    let mut document = sample::book();
    document.title = long.clone();
    for section in &mut document.sections {
        section.heading = Some(long.clone());
        for block in &mut section.blocks {
            match block {
                Block::Exercise(exercise) => exercise.title = long.clone(),
                Block::Piece(piece) => {
                    piece.title = long.clone();
                    piece.composer = Some(long.clone());
                    piece.tuning = Some(long.clone());
                }
                _ => {}
            }
        }
    }
    let pages = set(&document).unwrap();
    pages.pdf().unwrap();
    // One word longer than a line has nowhere to break; it must not stop us.
    let mut document = sample::sheet(sample::music(1));
    document.title = "m".repeat(300);
    document.sections[0].heading = Some("m".repeat(300));
    document.sections[0].opening = Opening::Recto;
    pdf(&document).unwrap();
}

#[test]
fn prose_of_any_shape_is_set() {
    let deep = format!("{}deep", "> - ".repeat(200));
    let shapes = [
        "### third first\n\n# then first\n\n###### sixth",
        "- a\n- b\n\n  more\n  - c\n    1. d\n       > e\n",
        "`code` and\n\n    a block of code\n\n<b>html</b>\n\n***\n\n![a picture](no-such-file.png)",
        "[nowhere]() [there](#anchor) <https://example.org> [odd](\u{7}%zz)",
        "a  \nb\\\nc\n\n&amp; &copy; \u{0} \u{202e}drow\u{202c} e\u{301}",
        deep.as_str(),
    ];
    for source in shapes {
        let mut document = sample::sheet(sample::music(1));
        document.sections[0].advice = source.to_owned();
        document.sections[0].blocks.push(Block::Prose(source.to_owned()));
        let written = pdf(&document);
        assert!(written.is_ok(), "{source:?}: {:?}", written.err());
    }
}
