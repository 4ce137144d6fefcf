//! Documents and drawings made up for the tests. The music says nothing; it is
//! as dense as real music.

use apoyando_engrave::{Drawing, Face, Ink, Kind, Outline, Owner, Point, StaffSpaces, Stain};
use apoyando_press::{
    Block, CaptionedDiagram, Credit, DiagramRow, Document, Exercise, Millimetres, Music, Notice,
    NoticeKind, Opening, Paper, Piece, Practice, Section, TEXT_SIZE, TitlePage,
};

pub fn stain(kind: Kind, ink: Ink) -> Stain {
    Stain { ink, kind, owner: Owner::System }
}

pub fn line(from: (f64, f64), to: (f64, f64), thickness: f64) -> Ink {
    Ink::Line {
        from: Point::new(from.0, from.1),
        to: Point::new(to.0, to.1),
        thickness: StaffSpaces(thickness),
        dash: None,
    }
}

pub fn glyph(glyph: char, scale: f64, x: f64, y: f64) -> Ink {
    Ink::Glyph { glyph, scale, at: Point::new(x, y) }
}

pub fn text(text: &str, face: Face, size: f64, x: f64, y: f64) -> Ink {
    Ink::Text {
        text: text.to_owned(),
        face,
        size: StaffSpaces(size),
        at: Point::new(x, y),
        width: StaffSpaces(0.0),
    }
}

/// A system of four bars of eighths, beamed in fours, every note with a digit.
pub fn system(width: f64, number: usize) -> Drawing {
    let mut stains = Vec::new();
    for i in -2..=2 {
        let y = f64::from(i);
        stains.push(stain(Kind::StaffLine, line((0.0, y), (width, y), 0.13)));
    }
    stains.push(stain(Kind::Clef, glyph('\u{E050}', 1.0, 0.6, -1.0)));
    stains.push(stain(Kind::Clef, text("8", Face::Regular, 1.6, 1.7, -4.6)));
    stains.push(stain(Kind::KeySignature, glyph('\u{E262}', 1.0, 4.2, 2.0)));
    stains.push(stain(
        Kind::BarNumber,
        text(&(number * 4 + 1).to_string(), Face::Italic, 1.7, 0.0, 4.4),
    ));
    let (start, bars) = (7.0, 4);
    let bar = (width - start) / f64::from(bars);
    for b in 0..bars {
        let left = start + f64::from(b) * bar;
        let end = left + bar;
        stains.push(stain(Kind::BarLine, line((end - 0.08, 2.065), (end - 0.08, -2.065), 0.16)));
        let step = (bar - 1.5) / 8.0;
        for group in 0..2 {
            let mut tops = Vec::new();
            for n in 0..4 {
                let i = group * 4 + n;
                let x = left + 1.2 + f64::from(i) * step;
                let y = f64::from((i * 3 + b + number as i32) % 7) * 0.5 - 2.5;
                stains.push(stain(Kind::Head, glyph('\u{E0A4}', 1.0, x, y)));
                tops.push((x + 1.18 - 0.06, y));
            }
            let beam = tops.iter().map(|top| top.1).fold(-9.0, f64::max) + 3.5;
            for (x, y) in &tops {
                stains.push(stain(Kind::Stem, line((*x, y + 0.168), (*x, beam), 0.12)));
            }
            let (a, z) = (tops[0].0 - 0.06, tops[3].0 + 0.06);
            stains.push(stain(
                Kind::Beam,
                Ink::Shape(vec![
                    Outline::Move(Point::new(a, beam)),
                    Outline::Line(Point::new(z, beam)),
                    Outline::Line(Point::new(z, beam - 0.5)),
                    Outline::Line(Point::new(a, beam - 0.5)),
                    Outline::Close,
                ]),
            ));
            for (n, (x, y)) in tops.iter().enumerate() {
                let (left, low) = (x - 2.0, y - 0.55);
                stains.push(stain(
                    Kind::Halo,
                    Ink::Halo {
                        low: Point::new(left - 0.1, low - 0.1),
                        high: Point::new(left + 0.7, low + 1.2),
                    },
                ));
                let digit = ["1", "4", "2", "3"][n];
                stains.push(stain(Kind::LeftDigit, text(digit, Face::Regular, 1.55, left, low)));
            }
        }
    }
    stains.push(stain(Kind::PositionMark, text("II", Face::Regular, 1.9, start + 1.0, 5.4)));
    stains.push(stain(
        Kind::PositionMark,
        Ink::Line {
            from: Point::new(start + 3.0, 6.0),
            to: Point::new(start + 2.0 * bar, 6.0),
            thickness: StaffSpaces(0.16),
            dash: Some((StaffSpaces(0.5), StaffSpaces(0.35))),
        },
    ));
    stains.push(stain(
        Kind::StringCircle,
        Ink::Circle {
            centre: Point::new(start + 1.5, -6.0),
            radius: StaffSpaces(0.85),
            ring: Some(StaffSpaces(0.12)),
        },
    ));
    stains.push(stain(Kind::StringCircle, text("6", Face::Regular, 1.3, start + 1.2, -6.43)));
    stains.push(stain(
        Kind::Slur,
        Ink::Shape(vec![
            Outline::Move(Point::new(start + 2.0 * bar + 2.0, -3.6)),
            Outline::Curve(
                Point::new(start + 2.0 * bar + 4.0, -5.2),
                Point::new(start + 3.0 * bar - 4.0, -5.2),
                Point::new(start + 3.0 * bar - 2.0, -3.6),
            ),
            Outline::Curve(
                Point::new(start + 3.0 * bar - 4.0, -4.98),
                Point::new(start + 2.0 * bar + 4.0, -4.98),
                Point::new(start + 2.0 * bar + 2.0, -3.6),
            ),
            Outline::Close,
        ]),
    ));
    Drawing {
        stains,
        width: StaffSpaces(width),
        above: StaffSpaces(7.2),
        below: StaffSpaces(7.0),
        description: format!("Bars {} to {}, eighths.", number * 4 + 1, number * 4 + 4),
    }
}

/// A chord diagram: five strings and frets of nothing in particular.
pub fn diagram(dots: &[(f64, f64)]) -> Drawing {
    let mut stains = Vec::new();
    for i in 0..6 {
        let x = f64::from(i);
        stains.push(stain(Kind::Diagram, line((x, 0.0), (x, -5.0), 0.06)));
    }
    for i in 0..5 {
        let y = -1.25 * f64::from(i);
        let thickness = if i == 0 { 0.4 } else { 0.06 };
        stains.push(stain(Kind::Diagram, line((0.0, y), (5.0, y), thickness)));
    }
    for (string, fret) in dots {
        stains.push(stain(
            Kind::Diagram,
            Ink::Circle {
                centre: Point::new(*string, 0.625 - 1.25 * fret),
                radius: StaffSpaces(0.39),
                ring: None,
            },
        ));
    }
    Drawing {
        stains,
        width: StaffSpaces(5.0),
        above: StaffSpaces(1.2),
        below: StaffSpaces(5.2),
        description: "A chord diagram.".to_owned(),
    }
}

pub fn music(systems: usize) -> Music {
    Music::of((0..systems).map(|i| system(97.2, i)).collect())
}

pub fn row() -> DiagramRow {
    let chords = [
        ("G", &[(0.0, 3.0), (1.0, 2.0), (5.0, 3.0)][..]),
        ("Em", &[(1.0, 2.0), (2.0, 2.0)]),
        ("C", &[(1.0, 3.0), (2.0, 2.0), (4.0, 1.0)]),
        ("A7", &[(2.0, 2.0), (4.0, 2.0)]),
        ("F♯m", &[(3.0, 2.0), (4.0, 2.0), (5.0, 2.0)]),
    ];
    DiagramRow {
        diagrams: chords
            .into_iter()
            .map(|(name, dots)| CaptionedDiagram {
                drawing: diagram(dots),
                middle: StaffSpaces(diagram(dots).width.0 / 2.0),
                caption: name.to_owned(),
            })
            .collect(),
        staff_space: Millimetres(2.8),
    }
}

const PROSE: &str = "\
Sit so that the *left* foot, or whatever you use in its place, carries the \
instrument; the neck rises a little. The thumb of the left hand stays behind \
the neck, opposite the \"second\" finger, and **never** presses harder than the \
note needs.\n\n\
- A digit stands beside its note: 1 to 4 are the fingers, 0 is an open string.\n\
- A numeral such as V names the position, and lasts as far as its line.\n\
- A circled number, ① to ⑥, names the string.\n\n\
1. Play slowly.\n2. Listen.\n3. Play again.\n\n\
# When it hurts\n\n\
Stop, let the arm hang, and begin again with less force. See the [house rules](https://example.org/rules) of your teacher.\n\n\
> What is easy today was hard a month ago.\n";

/// A small book with one of everything.
pub fn book() -> Document {
    let exercise = |number: &str, title: &str, systems: usize| Exercise {
        number: number.to_owned(),
        title: title.to_owned(),
        practice: Practice::default(),
        instruction: "Evenly, with *i* and *m* in turn. Say the name of every note, then its \
                      string; only then play faster."
            .to_owned(),
        diagrams: None,
        music: music(systems),
        after: Vec::new(),
    };
    let mut progression = exercise("4", "I – IV – V7 – I", 3);
    progression.diagrams = Some(row());
    let triads = exercise("3", "Triads on three strings", 2);
    Document {
        title: "First Steps in Every Key".to_owned(),
        author: Some("Ada Example".to_owned()),
        language: "en".to_owned(),
        paper: Paper::A4,
        text_size: TEXT_SIZE,
        title_page: Some(TitlePage {
            subtitle: Some("Scales, chords and pieces for the first two years".to_owned()),
            edition: None,
            imprint: Some("Made up for a test, 2026".to_owned()),
            verso: Vec::new(),
        }),
        contents: Some("Contents".to_owned()),
        notes: None,
        sections: vec![
            Section {
                heading: Some("How to read the signs".to_owned()),
                blocks: vec![
                    Block::Prose(PROSE.to_owned()),
                    Block::Notice(Notice {
                        kind: NoticeKind::Tip,
                        title: "Tip".to_owned(),
                        text: "Five minutes a day are better than an hour on Sunday.".to_owned(),
                    }),
                    Block::Notice(Notice {
                        kind: NoticeKind::Caution,
                        title: "Caution".to_owned(),
                        text: "Pain is a sign to stop. A program cannot see your hand; a teacher \
                               can."
                            .to_owned(),
                    }),
                ],
                ..Section::default()
            },
            Section {
                heading: Some("G major".to_owned()),
                line: Some("One sharp · first position".to_owned()),
                advice: "The hand stays over the first four frets: finger 1 on fret 1, finger 2 \
                         on fret 2. Open strings are free, so the thumb can rest."
                    .to_owned(),
                blocks: vec![
                    Block::Exercise(exercise("1", "Scale in one octave", 1)),
                    Block::Exercise(exercise("2", "Scale through the whole position", 6)),
                    Block::Exercise(triads),
                    Block::Exercise(progression),
                    Block::Exercise(exercise("5", "Arpeggio", 9)),
                ],
                ..Section::default()
            },
            Section {
                heading: Some("Pieces".to_owned()),
                opening: Opening::NextPage,
                blocks: vec![Block::Piece(Piece {
                    title: "The Ferry at Dusk".to_owned(),
                    composer: Some("Ada Example".to_owned()),
                    source: Some("From a notebook, made up".to_owned()),
                    tuning: Some("⑥ = D".to_owned()),
                    practice: Practice::default(),
                    instruction: String::new(),
                    music: music(7),
                })],
                ..Section::default()
            },
            Section {
                heading: Some("Credits".to_owned()),
                opening: Opening::NextPage,
                blocks: vec![Block::Credits(vec![Credit {
                    what: "The Ferry at Dusk".to_owned(),
                    who: "Ada Example, made up for a test".to_owned(),
                }])],
                ..Section::default()
            },
        ],
    }
}

/// One exercise with this music and nothing else.
pub fn sheet(music: Music) -> Document {
    let mut document = Document::new("A sheet", Paper::A4);
    document.sections.push(Section {
        opening: Opening::RunOn,
        blocks: vec![Block::Exercise(Exercise {
            number: "1".to_owned(),
            title: "An exercise".to_owned(),
            music,
            ..Exercise::default()
        })],
        ..Section::default()
    });
    document
}

/// A thick book: so many systems in exercises of six, thirty to a section.
#[allow(dead_code)] // for the benchmark
pub fn thick_book(systems: usize) -> Document {
    let mut document = book();
    let number = std::cell::Cell::new(0);
    document.sections = (0..systems.div_ceil(30))
        .map(|key| Section {
            heading: Some(format!("Key {}", key + 1)),
            line: Some("First position".to_owned()),
            advice: PROSE.to_owned(),
            blocks: (0..5)
                .map(|_| {
                    number.set(number.get() + 1);
                    Block::Exercise(Exercise {
                        number: number.get().to_string(),
                        title: "Scale through the whole position".to_owned(),
                        instruction: "Evenly, with *i* and *m* in turn.".to_owned(),
                        music: music(6),
                        ..Exercise::default()
                    })
                })
                .collect(),
            ..Section::default()
        })
        .collect();
    document
}

/// Music without a head, alone on the first page, 2 mm to a staff space.
pub fn bare(systems: Vec<Drawing>) -> Document {
    let mut document = Document::new("Bare", Paper::A4);
    let music = Music { staff: Millimetres(8.0), ..Music::of(systems) };
    document.sections.push(Section {
        opening: Opening::RunOn,
        blocks: vec![Block::Music(music)],
        ..Section::default()
    });
    document
}

/// A drawing of these inks, ten staff spaces square.
pub fn drawing(inks: Vec<Ink>) -> Drawing {
    Drawing {
        stains: inks.into_iter().map(|ink| stain(Kind::Words, ink)).collect(),
        width: StaffSpaces(10.0),
        above: StaffSpaces(5.0),
        below: StaffSpaces(5.0),
        description: "A few strokes.".to_owned(),
    }
}
