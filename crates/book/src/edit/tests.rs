use super::*;

const SECTION: &str = "\
title = \"A minor\" # the second key
key = \"A minor\"

[[items]]
kind = \"scale\"
# Not too fast.
goal = 88

[[items]]
kind = \"solo\"
file = \"bell.abc\"
no-barre = [\"1-4\"]
# The low G.
[[items.pins]]
bar = 2
voice = 2
finger = 3
[[items.pins]]
bar = 3
beat = 2.5
string = 2
finger = 4

[[items]]
kind = \"text\"
file = \"end.md\" # the last
";

fn note(bar: u32, beat: &str, voice: u8) -> NotePlace {
    NotePlace { part: 1, bar, beat: beat.to_owned(), voice, pitch: None }
}

fn at(item: usize) -> ItemPlace {
    ItemPlace { section: "a-minor".to_owned(), item }
}

fn folder() -> std::path::PathBuf {
    use std::sync::atomic::{AtomicU32, Ordering};
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let next = NEXT.fetch_add(1, Ordering::Relaxed);
    let folder = std::env::temp_dir().join(format!("apoyando-edit-{}-{next}", std::process::id()));
    std::fs::create_dir_all(folder.join("sections")).unwrap();
    std::fs::write(folder.join("sections/a-minor.toml"), SECTION).unwrap();
    folder
}

fn after(command: Command) -> Result<String, EditError> {
    let folder = folder();
    let change = apply(&folder, &Edit { base: Some(Revision::of(SECTION)), command });
    std::fs::remove_dir_all(folder).unwrap();
    change.map(|change| change.after)
}

/// The lines that are new, and those that are gone.
fn differences(after: &str) -> (Vec<&str>, Vec<&str>) {
    let (old, new): (Vec<&str>, Vec<&str>) = (SECTION.lines().collect(), after.lines().collect());
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let tail = old[head..].iter().rev().zip(new[head..].iter().rev()).take_while(|(a, b)| a == b);
    let tail = tail.count();
    (new[head..new.len() - tail].to_vec(), old[head..old.len() - tail].to_vec())
}

fn pin(item: usize, note: NotePlace, key: PinKey, value: i64) -> Command {
    Command::Pin { at: at(item), note, what: vec![(key, PinValue::Number(value))] }
}

#[test]
fn a_pin_is_put_into_its_item_and_no_other_byte_changes() {
    let text = after(pin(1, note(5, "2½", 1), PinKey::Finger, 2)).unwrap();
    let new = ["[[items.pins]]", "bar = 5", "beat = \"2½\"", "finger = 2"];
    let (came, went) = differences(&text);
    assert_eq!((came.join("\n").trim(), went.len()), (new.join("\n").as_str(), 0), "{text}");
    assert!(text.find("beat = \"2½\"").unwrap() < text.find("kind = \"text\"").unwrap());
    let text = after(pin(0, note(1, "1", 1), PinKey::String, 4)).unwrap();
    assert_eq!(differences(&text).1.len(), 0, "{text}");
    assert!(text.find("string = 4").unwrap() < text.find("kind = \"solo\"").unwrap(), "{text}");
}

#[test]
fn what_was_decided_about_the_same_is_replaced() {
    // The beat is written in another way.
    let text = after(pin(1, note(3, "2½", 1), PinKey::Finger, 1)).unwrap();
    assert_eq!(differences(&text), (vec!["finger = 1"], vec!["finger = 4"]));
    let text = after(pin(1, note(3, "2½", 1), PinKey::NotFinger, 1)).unwrap();
    assert_eq!(differences(&text), (vec!["not-finger = 1"], vec!["finger = 4"]));
}

#[test]
fn pins_are_taken_back() {
    let text = after(Command::Unpin { at: at(1), note: note(3, "2½", 1) }).unwrap();
    let gone = vec!["[[items.pins]]", "bar = 3", "beat = 2.5", "string = 2", "finger = 4"];
    assert_eq!(differences(&text), (vec![], gone));
    // The other voice has none.
    let none = after(Command::Unpin { at: at(1), note: note(2, "1", 1) });
    assert!(matches!(none, Err(EditError::Plan { .. })), "{none:?}");
}

#[test]
fn bars_are_given_positions_and_spared_barres() {
    let position = |bars: &str| Command::Position {
        at: at(1),
        part: 2,
        bars: bars.to_owned(),
        position: "II".to_owned(),
    };
    let text = after(position("5-8")).unwrap();
    assert!(text.contains("[[items.positions]]\npart = 2\nbars = \"5-8\"\nposition = \"II\"\n"));
    assert_eq!(differences(&text).1.len(), 0);
    assert!(matches!(after(position("8-5")), Err(EditError::Plan { .. })));
    let text = after(Command::NoBarre { at: at(1), bars: "7".to_owned() }).unwrap();
    assert_eq!(
        differences(&text),
        (vec!["no-barre = [\"1-4\", \"7\"]"], vec!["no-barre = [\"1-4\"]"])
    );
}

#[test]
fn an_edit_of_another_text_is_refused_with_what_stands_there() {
    let folder = folder();
    let command = pin(1, note(5, "1", 1), PinKey::Finger, 2);
    let edit = Edit { base: Some(Revision::of("other")), command };
    let refused = apply(&folder, &edit);
    std::fs::remove_dir_all(&folder).unwrap();
    let Err(EditError::Conflict { now, .. }) = refused else { panic!("{refused:?}") };
    assert_eq!(now, SECTION);
}

#[test]
fn only_files_of_the_book_are_written() {
    for file in ["book.toml", "sections/g.toml", "text/a b.md", "pieces/x.musicxml"] {
        assert!(is_of_the_book(file), "{file}");
    }
    for file in [
        "",
        "/etc/passwd",
        "../book.toml",
        "sections/../../x.toml",
        "sections/.x.toml",
        "out/x.pdf",
        "text/a/b.md",
        "text/x.sh",
        "pieces/..\\x",
        "sections",
        ".git/config",
        "./book.toml",
    ] {
        assert!(!is_of_the_book(file), "{file}");
    }
}

#[test]
fn an_edit_travels_as_json() {
    let edit = Edit {
        base: Some(Revision::of("x")),
        command: pin(1, note(5, "2½", 1), PinKey::Finger, 2),
    };
    let text = serde_json::to_string(&edit).unwrap();
    assert_eq!(serde_json::from_str::<Edit>(&text).unwrap(), edit, "{text}");
    assert!(text.contains("\"do\":\"pin\"") && text.contains("[\"finger\",2]"), "{text}");
}
