use super::*;

fn folder() -> PathBuf {
    use std::sync::atomic::{AtomicU32, Ordering};
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let next = NEXT.fetch_add(1, Ordering::Relaxed);
    let name = format!("apoyando-journal-{}-{next}", std::process::id());
    let folder = std::env::temp_dir().join(name);
    fs::create_dir_all(folder.join("text")).unwrap();
    fs::write(folder.join("text/a.md"), "ein Lied für zwei\n").unwrap();
    folder
}

fn text(folder: &Path) -> Option<String> {
    text_of(folder, "text/a.md").unwrap()
}

fn change(folder: &Path, after: &str) -> Change {
    Change { file: "text/a.md".to_owned(), before: text(folder), after: after.to_owned() }
}

#[test]
fn edits_are_undone_and_made_again_without_limit_and_after_a_restart() {
    let folder = folder();
    let mut journal = Journal::open(&folder).unwrap();
    let states: Vec<String> = (0..60).map(|at| format!("ein Lied für {at}: ä{at}ö\n")).collect();
    for state in &states {
        journal.make(&change(&folder, state), "change").unwrap();
    }
    for state in states.iter().rev().skip(1) {
        journal.undo().unwrap();
        assert_eq!(text(&folder).as_ref(), Some(state));
    }
    journal.undo().unwrap();
    assert_eq!(text(&folder).as_deref(), Some("ein Lied für zwei\n"));
    assert!(matches!(journal.undo(), Err(JournalError::Nothing(_))));
    let mut journal = Journal::open(&folder).unwrap();
    for state in &states[..30] {
        assert_eq!(journal.redo().unwrap(), "change");
        assert_eq!(text(&folder).as_ref(), Some(state));
    }
    // Another edit takes the place of what was undone.
    journal.make(&change(&folder, "kurz"), "cut").unwrap();
    assert_eq!(journal.next(), (Some("cut".to_owned()), None));
    let mut journal = Journal::open(&folder).unwrap();
    assert_eq!(journal.next(), (Some("cut".to_owned()), None));
    journal.undo().unwrap();
    assert_eq!(text(&folder).as_ref(), Some(&states[29]));
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_new_file_is_gone_when_it_is_undone() {
    let folder = folder();
    let mut journal = Journal::open(&folder).unwrap();
    let file = "text/b.md".to_owned();
    journal.make(&Change { file, before: None, after: "x".to_owned() }, "new").unwrap();
    assert!(folder.join("text/b.md").exists());
    journal.undo().unwrap();
    assert!(!folder.join("text/b.md").exists());
    journal.redo().unwrap();
    assert_eq!(fs::read_to_string(folder.join("text/b.md")).unwrap(), "x");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn what_someone_else_wrote_is_never_lost() {
    let folder = folder();
    let mut journal = Journal::open(&folder).unwrap();
    let stale = change(&folder, "other");
    journal.make(&change(&folder, "mine"), "mine").unwrap();
    assert!(matches!(journal.make(&stale, "stale"), Err(JournalError::Edit(_))));
    fs::write(folder.join("text/a.md"), "theirs").unwrap();
    let Err(JournalError::Edit(EditError::Conflict { now, .. })) = journal.undo() else { panic!() };
    assert_eq!((now.as_str(), text(&folder).as_deref()), ("theirs", Some("theirs")));
    // It can still be undone when theirs is gone again.
    fs::write(folder.join("text/a.md"), "mine").unwrap();
    journal.undo().unwrap();
    assert_eq!(text(&folder).as_deref(), Some("ein Lied für zwei\n"));
    fs::remove_dir_all(folder).unwrap();
}

/// Broken off at every byte of the journal, and between the journal and the file.
#[test]
fn broken_off_anywhere_the_book_and_its_journal_agree() {
    let first = folder();
    let mut journal = Journal::open(&first).unwrap();
    journal.make(&change(&first, "eins"), "one").unwrap();
    let before = fs::read(first.join(JOURNAL)).unwrap();
    journal.make(&change(&first, "zwei"), "two").unwrap();
    let after = fs::read(first.join(JOURNAL)).unwrap();
    for cut in before.len()..=after.len() {
        for (written, state) in [(false, "eins"), (true, "zwei")] {
            // The file is written only after the whole line.
            if written && cut < after.len() {
                continue;
            }
            fs::write(first.join(JOURNAL), &after[..cut]).unwrap();
            fs::write(first.join("text/a.md"), state).unwrap();
            let mut journal = Journal::open(&first).unwrap();
            let last = if written { "two" } else { "one" };
            assert_eq!(journal.next(), (Some(last.to_owned()), None), "{cut}");
            journal.undo().unwrap();
            assert_eq!(Journal::open(&first).unwrap().next().1.as_deref(), Some(last), "{cut}");
        }
    }
    fs::remove_dir_all(first).unwrap();
}

/// Two files that are changed in one step, as when an item goes from one section to another.
#[test]
fn edits_that_belong_together_are_one_step() {
    let folder = folder();
    let mut journal = Journal::open(&folder).unwrap();
    let other = |after: &str| Change {
        file: "text/b.md".to_owned(),
        before: None,
        after: after.to_owned(),
    };
    journal.make(&change(&folder, "first"), "first").unwrap();
    journal.make(&change(&folder, "moved"), "moved").unwrap();
    journal.make_with(&other("here"), "moved").unwrap();
    let mut journal = Journal::open(&folder).unwrap();
    assert_eq!(journal.undo().unwrap(), "moved");
    assert_eq!(text(&folder).as_deref(), Some("first"));
    assert!(!folder.join("text/b.md").exists());
    assert_eq!(journal.next(), (Some("first".to_owned()), Some("moved".to_owned())));
    let mut journal = Journal::open(&folder).unwrap();
    assert_eq!(journal.redo().unwrap(), "moved");
    assert_eq!(text(&folder).as_deref(), Some("moved"));
    assert_eq!(fs::read_to_string(folder.join("text/b.md")).unwrap(), "here");
    // What was undone by half, the program being broken off, is undone with the next step.
    journal.step(Entry::Undone).unwrap();
    let mut journal = Journal::open(&folder).unwrap();
    assert_eq!(journal.undo().unwrap(), "moved");
    assert_eq!(text(&folder).as_deref(), Some("first"));
    journal.redo().unwrap();
    assert_eq!(fs::read_to_string(folder.join("text/b.md")).unwrap(), "here");
    fs::remove_dir_all(folder).unwrap();
}
