//! Book folders on disk: what is read, and what is said of what is not.

use std::fs;
use std::path::{Path, PathBuf};

use apoyando_book::{
    Book, BookError, Edition, ItemKind, Paper, PlannedRule, PlannedScope, PositionChoice,
    PrintedParts, Tablature, new_book, save,
};
use apoyando_fingering::{BarreLimit, LeftFinger, Position};

/// A folder of its own for every test, taken away at the end.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("book-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn with(self, files: &[(&str, &str)]) -> Self {
        for (file, text) in files {
            let path = self.0.join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        self
    }

    fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn faults(files: &[(&str, &str)], name: &str) -> Vec<String> {
    let scratch = Scratch::new(name).with(files);
    match Book::open(scratch.path()) {
        Ok(_) => Vec::new(),
        Err(faults) => faults.iter().map(ToString::to_string).collect(),
    }
}

const BOOK: &str = "title = \"T\"\nsections = [\"g\"]\n";

/// What a book says of its rights is what its author wrote, and nothing where nothing is.
#[test]
fn rights_are_those_that_the_author_states() {
    let rights = |line: &str| {
        let book = format!("title = \"T\"\n{line}sections = [\"g\"]\n");
        let files = [("book.toml", &*book), ("sections/g.toml", "title = \"G\"\n")];
        let scratch = Scratch::new(&format!("rights-{}", line.len())).with(&files);
        Book::open(scratch.path()).unwrap().rights
    };
    assert_eq!(rights("rights = \"© 2026 A. Teacher\"\n"), "© 2026 A. Teacher");
    assert_eq!(rights(""), "");
}

#[test]
fn a_new_book_opens() {
    let scratch = Scratch::new("new");
    let folder = scratch.path().join("lessons");
    new_book(&folder).unwrap();
    let book = Book::open(&folder).unwrap();
    assert_eq!(book.title, "First Lessons");
    assert_eq!(book.sections.len(), 1);
    let words: Vec<&str> = book.sections[0].items.iter().map(|item| item.kind.word()).collect();
    assert_eq!(words, ["scale", "position-scale", "arpeggio", "triads", "progression", "solo"]);
    assert_eq!(book.level.level.barre, BarreLimit::None);
    assert_eq!(book.sections[0].position, PositionChoice::Auto);
    assert!(book.pieces.contains_key("morning-walk.abc"));
    let again = new_book(&folder).unwrap_err().to_string();
    assert!(again.contains("is there already"), "{again}");
}

#[test]
fn every_fault_is_named_with_file_line_and_what_is_allowed() {
    let found = faults(
        &[
            (
                "book.toml",
                "titel = \"T\"\npaper = \"a5\"\nsections = [\"g\"]\n[level]\nhighest_fret = 5\nbarre = true\n",
            ),
            (
                "sections/g.toml",
                "title = \"G\"\nkey = \"G\"\n[[items]]\nkind = \"scales\"\n[[items]]\nkind = \"text\"\nfile = \"gone.md\"\ncolour = 3\n",
            ),
        ],
        "faults",
    );
    let wanted = [
        "book.toml:1:1: book.toml has no “title”",
        "book.toml:2:9: “paper” cannot be “a5”; did you mean “a4”? allowed: “a4”, “letter” or “9x12”",
        "book.toml:6:9: “barre” is true; write “none”, “small”, “half” or “full”",
        "book.toml:5:1: unknown key “highest_fret” in [level]; did you mean “highest-fret”?",
        "sections/g.toml:2:7: “key”: “G” is not a key",
        "sections/g.toml:4:8: “kind” cannot be “scales”; did you mean “scale”?",
        "sections/g.toml:7:8: there is no file text/gone.md",
        "sections/g.toml:8:1: unknown key “colour” in [[items]]; allowed:",
        "book.toml:1:1: unknown key “titel” in book.toml; did you mean “title”?",
    ];
    assert_eq!(found.len(), wanted.len(), "{found:#?}");
    for wanted in wanted {
        assert!(found.iter().any(|fault| fault.starts_with(wanted)), "{wanted}\n{found:#?}");
    }
}

#[test]
fn broken_toml_is_named_with_its_line() {
    let found = faults(&[("book.toml", "title = \"T\"\nsections = [\n")], "syntax");
    assert_eq!(found.len(), 1);
    assert!(found[0].starts_with("book.toml:"), "{found:?}");
    assert!(found[0].contains("not valid TOML"), "{found:?}");
}

#[test]
fn a_folder_without_a_plan_is_no_book() {
    let scratch = Scratch::new("empty");
    let faults = Book::open(scratch.path()).unwrap_err();
    assert!(matches!(&faults[..], [BookError::NoBook { .. }]));
    let faults = Book::open(&scratch.path().join("nowhere")).unwrap_err();
    assert!(faults[0].to_string().contains("no such folder"));
}

#[test]
fn files_outside_the_folder_are_refused() {
    for file in ["../../etc/passwd", "/etc/passwd"] {
        let section = format!("title = \"G\"\n[[items]]\nkind = \"solo\"\nfile = \"{file}\"\n");
        let found = faults(&[("book.toml", BOOK), ("sections/g.toml", &section)], "outside");
        assert!(found[0].contains("sections/g.toml:4:8"), "{found:?}");
    }
}

#[test]
fn a_level_may_be_narrowed_and_not_widened() {
    let book = "title = \"T\"\nsections = [\"g\"]\n[level]\nbarre = \"small\"\nhighest-fret = 7\n";
    let section = |level: &str| format!("title = \"G\"\nkey = \"G major\"\n[level]\n{level}\n");
    let narrower = section("barre = \"none\"");
    assert!(faults(&[("book.toml", book), ("sections/g.toml", &narrower)], "narrow").is_empty());
    let wider = section("highest-fret = 9");
    let found = faults(&[("book.toml", book), ("sections/g.toml", &wider)], "wide");
    assert!(found[0].contains("allows more") && found[0].contains("highest-fret"), "{found:?}");
}

/// What is asked once may be more than the level; the lesson around it stays as narrow.
#[test]
fn an_item_may_allow_more_on_purpose() {
    let book = "title = \"T\"\nsections = [\"g\"]\n[level]\nbarre = \"none\"\npositions = [\"I\"]\nhighest-fret = 4\n";
    let section = "title = \"G\"\n\n[[items]]\nkind = \"duet\"\nfile = \"a.abc\"\n\
         allow = { barre = \"small\", positions = [\"III\"] }\n[items.teacher]\n\
         allow = { highest-fret = 9, barre = \"none\" }\n\n\
         [[items]]\nkind = \"solo\"\nfile = \"a.abc\"\n";
    let scratch = Scratch::new("allow").with(&[
        ("book.toml", book),
        ("sections/g.toml", section),
        ("pieces/a.abc", "X:1\n"),
    ]);
    let book = Book::open(scratch.path()).unwrap();
    let items = &book.sections[0].items;
    let third = Position::new(3).unwrap();
    let ItemKind::Duet(_, parts) = &items[0].kind else { panic!() };
    for level in [&items[0].level, &parts[0].level, &parts[1].level] {
        assert_eq!(level.barre, BarreLimit::Small, "what is allowed is not taken back");
        assert!(level.positions.contains(third) && level.positions.contains(Position::FIRST));
    }
    assert_eq!((parts[0].level.highest_fret.0, parts[1].level.highest_fret.0), (4, 9));
    assert_eq!(items[1].level.barre, BarreLimit::None);
    assert!(!items[1].level.positions.contains(third));
    let wrong = section.replace("barre = \"small\"", "bare = \"small\"");
    let found = faults(
        &[("book.toml", BOOK), ("sections/g.toml", &wrong), ("pieces/a.abc", "X:1\n")],
        "allow-wrong",
    );
    assert!(found[0].contains("unknown key “bare”"), "{found:?}");
}

#[test]
fn remarks_that_are_seen_are_read() {
    let section = "title = \"G\"\nkey = \"G major\"\n[[items]]\nkind = \"scale\"\n\
         [[items.seen]]\nremark = \"slur-not-made\"\nbar = 3\nbeat = 2.5\n";
    let files = [("book.toml", BOOK), ("sections/g.toml", section)];
    let scratch = Scratch::new("seen").with(&files);
    let book = Book::open(scratch.path()).unwrap();
    let seen = &book.sections[0].items[0].seen[0];
    assert_eq!((seen.remark.as_str(), seen.bar), ("slur-not-made", Some(3)));
    assert_eq!((seen.beat.as_deref(), seen.part.as_deref()), (Some("2½"), None));
    let wrong = section.replace("remark =", "rule =");
    let found = faults(&[("book.toml", BOOK), ("sections/g.toml", &wrong)], "seen-wrong");
    assert!(found.iter().any(|fault| fault.contains("has no “remark”")), "{found:?}");
}

#[test]
fn minor_scales_belong_to_minor_keys() {
    let section =
        "title = \"G\"\nkey = \"G major\"\n[[items]]\nkind = \"scale\"\nminor = \"harmonic\"\n";
    let found = faults(&[("book.toml", BOOK), ("sections/g.toml", section)], "minor");
    assert!(found[0].contains("no meaning in G major"), "{found:?}");
}

/// A second finger is of one note and is 1 to 4; a section may not allow what the book
/// does not.
#[test]
fn second_fingers_are_read() {
    let section = |pin: &str, level: &str| {
        format!(
            "title = \"G\"\n{level}\n[[items]]\nkind = \"solo\"\nfile = \"a.abc\"\n[[items.pins]]\n{pin}\n"
        )
    };
    let open = |name: &str, pin: &str, level: &str| {
        let section = section(pin, level);
        let scratch = Scratch::new(name).with(&[
            ("book.toml", BOOK),
            ("sections/g.toml", &section),
            ("pieces/a.abc", "X:1\n"),
        ]);
        Book::open(scratch.path())
            .map_err(|faults| faults.iter().map(ToString::to_string).collect::<Vec<String>>())
    };
    let book = open("second", "bar = 3\nbeat = 2\nsecond-finger = [3, 4]", "").unwrap();
    assert!(!book.level.level.substitution, "off unless it is said");
    let PlannedRule::SecondFingers(set) = book.sections[0].items[0].pins[0].rule else { panic!() };
    let finger = LeftFinger::from_digit;
    assert!(set.contains(finger(3)) && set.contains(finger(4)) && !set.contains(finger(1)));
    for (name, pin, level, says) in [
        ("second-bars", "bars = \"5-8\"\nsecond-finger = 3", "", "a second finger is of one note"),
        ("second-open", "bar = 3\nsecond-finger = 0", "", "from 1 to 4"),
        (
            "second-wider",
            "bar = 3\nfinger = 1",
            "level = { substitution = true }",
            "allows more than the level around it in “substitution”",
        ),
    ] {
        let faults = open(name, pin, level).unwrap_err();
        assert!(faults.iter().any(|fault| fault.contains(says)), "{faults:?}");
    }
}

#[test]
fn pins_are_read_in_order() {
    let section = r#"
title = "G"
[[items]]
kind = "solo"
file = "a.abc"
no-barre = ["5-8", 12]
[[items.pins]]
bar = 3
beat = 2.5
voice = 2
finger = 4
not-string = [1, 2]
[[items.positions]]
bars = "5-8"
position = ["II", "III"]
"#;
    let scratch = Scratch::new("pins").with(&[
        ("book.toml", BOOK),
        ("sections/g.toml", section),
        ("pieces/a.abc", "X:1\n"),
    ]);
    let book = Book::open(scratch.path()).unwrap();
    let item = &book.sections[0].items[0];
    assert!(matches!(&item.kind, ItemKind::Solo(piece) if piece.file == "a.abc"));
    let scopes: Vec<String> = item.pins.iter().map(|pin| pin.scope.to_string()).collect();
    assert_eq!(
        scopes,
        ["bar 3, beat 2½, voice 2", "bar 3, beat 2½, voice 2", "bars 5-8", "bars 5-8", "bars 12"]
    );
    let PlannedRule::Positions(positions) = item.pins[2].rule else { panic!() };
    assert!(positions.contains(Position::new(3).unwrap()));
    assert!(!positions.contains(Position::FIRST));
    assert!(matches!(item.pins[3].scope, PlannedScope::Bars(_)));
    assert_eq!(item.pins[0].place.line, 7);
}

#[test]
fn editions_are_read_and_their_faults_named() {
    let plan = "title = \"T\"\nsections = []\n[house]\nstaff-height = 7.0\n[[editions]]\nname = \"large\"\nlarge-print = true\ntablature = \"alone\"\npaper = \"letter\"\n[[editions]]\nname = \"pupil\"\nparts = \"student\"\ntablature = true\n";
    let scratch = Scratch::new("editions").with(&[("book.toml", plan)]);
    let book = Book::open(scratch.path()).expect("a book");
    let [large, pupil] = &book.editions[..] else { panic!("{:?}", book.editions) };
    assert_eq!((large.staff_height.0, large.paper), (10.5, Paper::Letter));
    assert_eq!((pupil.staff_height.0, pupil.paper), (7.0, Paper::A4));
    assert_eq!((pupil.parts, pupil.tablature), (PrintedParts::Student, Tablature::Under));
    assert_eq!(large.tablature, Tablature::Alone);
    assert_eq!([large, pupil].map(Edition::file_stem), ["book-large", "book-pupil"]);
    assert_eq!(book.main_edition().file_stem(), "book");

    let wrong = "title = \"T\"\nsections = []\n[[editions]]\nname = \"A/b\"\n[[editions]]\nname = \"x\"\n[[editions]]\nname = \"x\"\n[[editions]]\nname = \"main\"\n[[editions]]\nparts = \"both\"\n";
    let found = faults(&[("book.toml", wrong)], "bad-editions");
    for said in ["small letters", "its own", "as the plan has it", "“student”"] {
        assert!(found.iter().any(|fault| fault.contains(said)), "{said}: {found:#?}");
    }
    assert!(found[0].contains("book.toml:4"), "{found:#?}");
}

#[test]
fn preparation_is_printed_only_where_it_is_asked_for() {
    let section = "title = \"G\"\nkey = \"G major\"\n\
        [[items]]\nkind = \"scale\"\nprepare = true\n[[items]]\nkind = \"scale\"\n";
    let scratch =
        Scratch::new("prepare").with(&[("book.toml", BOOK), ("sections/g.toml", section)]);
    let book = Book::open(scratch.path()).unwrap();
    let asked: Vec<bool> = book.sections[0].items.iter().map(|item| item.prepare).collect();
    assert_eq!(asked, [true, false]);
    let section = section.replace("true", "\"yes\"");
    let found = faults(&[("book.toml", BOOK), ("sections/g.toml", &section)], "prepare-word");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("sections/g.toml:5"), "{found:?}");
}

#[test]
fn effort_is_overridden_by_name() {
    let book = "title = \"T\"\nsections = []\n[effort]\nfinger-4 = 9\n";
    let scratch = Scratch::new("effort").with(&[("book.toml", book)]);
    assert_eq!(Book::open(scratch.path()).unwrap().effort.finger_4, 9);
    let found = faults(&[("book.toml", &book.replace("finger-4", "finger-5"))], "effort-bad");
    assert!(found[0].contains("unknown key “finger-5” in [effort]; did you mean"), "{found:?}");
}

#[test]
fn saving_replaces_a_file_whole_and_leaves_nothing_beside_it() {
    let scratch = Scratch::new("save");
    let path = scratch.path().join("out/a.txt");
    save(&path, b"one").unwrap();
    save(&path, b"two").unwrap();
    assert_eq!(fs::read(&path).unwrap(), b"two");
    assert_eq!(fs::read_dir(scratch.path().join("out")).unwrap().count(), 1);
    // A folder of that name cannot be replaced by a file.
    fs::create_dir(scratch.path().join("out/b")).unwrap();
    fs::write(scratch.path().join("out/b/kept"), b"").unwrap();
    let error = save(&scratch.path().join("out/b"), b"x").unwrap_err();
    assert!(error.to_string().contains("cannot be written"));
    assert_eq!(fs::read_dir(scratch.path().join("out")).unwrap().count(), 2);
}

const SCALES: &str = "title = \"G\"\nkey = \"G major\"\n[[items]]\nkind = \"scale\"\n";

#[test]
fn breaks_are_read_with_their_places() {
    let section = format!(
        "{SCALES}line-breaks = [5,\n 9]\npage-breaks = 17\nnew-page = true\nlarge-line-breaks = [4, 7]\n"
    );
    let scratch =
        Scratch::new("breaks").with(&[("book.toml", BOOK), ("sections/g.toml", &section)]);
    let book = Book::open(scratch.path()).unwrap();
    let breaks = &book.sections[0].items[0].breaks;
    let lines: Vec<(u32, u32)> =
        breaks.lines.iter().map(|bar| (bar.number, bar.place.line)).collect();
    assert_eq!(lines, [(5, 5), (9, 6)]);
    assert_eq!(breaks.pages[0].number, 17);
    assert!(breaks.new_page);
    let large = breaks.in_large_print();
    let numbers: Vec<u32> = large.lines.iter().map(|bar| bar.number).collect();
    assert_eq!((numbers, large.pages.len(), large.new_page), (vec![4, 7], 0, true));
}

#[test]
fn breaks_that_are_no_bars_are_faults() {
    let section = format!("{SCALES}line-breaks = [\"five\"]\npage-breaks = [0]\n");
    let found = faults(&[("book.toml", BOOK), ("sections/g.toml", &section)], "no-bars");
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().any(|fault| fault.starts_with("sections/g.toml:5:")), "{found:?}");
    assert!(found.iter().any(|fault| fault.starts_with("sections/g.toml:6:")), "{found:?}");
}

#[test]
fn nudges_are_read_in_hundredths_of_a_staff_space() {
    let section = format!(
        "{SCALES}[[items.nudges]]\nbar = 3\nbeat = 2.5\ndigit = [0.5, -1]\nletter = [0, 0.25]\n"
    );
    let scratch =
        Scratch::new("nudges").with(&[("book.toml", BOOK), ("sections/g.toml", &section)]);
    let book = Book::open(scratch.path()).unwrap();
    let nudges = &book.sections[0].items[0].nudges;
    let by: Vec<(i16, i16, u32)> =
        nudges.iter().map(|nudge| (nudge.right, nudge.up, nudge.place.line)).collect();
    assert_eq!(by, [(50, -100, 8), (0, 25, 9)]);
    assert_eq!(nudges[0].at.to_string(), "bar 3, beat 2½");
}

#[test]
fn nudges_that_move_nothing_or_too_far_are_faults() {
    let section = format!(
        "{SCALES}[[items.nudges]]\nbar = 3\n[[items.nudges]]\nbar = 3\ndigit = [0.5]\n\
         [[items.nudges]]\nbar = 3\nletter = [0, 12]\n"
    );
    let found = faults(&[("book.toml", BOOK), ("sections/g.toml", &section)], "nudges-wrong");
    let lines: Vec<bool> = [5, 9, 12]
        .iter()
        .map(|line| found.iter().any(|it| it.starts_with(&format!("sections/g.toml:{line}:"))))
        .collect();
    assert_eq!((found.len(), lines), (3, vec![true; 3]), "{found:?}");
}
