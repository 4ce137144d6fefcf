//! What stands before and after the lessons of the demo book.

use apoyando_press::{Block, NoticeKind, Opening, set};
use apoyando_workshop::Workshop;

use crate::demo::{demo, printed};

/// What is read runs on, on a page of its own before the lessons; a lesson begins on the right.
#[test]
fn words_before_the_lessons_run_on() {
    let book = demo();
    let document = printed(&Workshop::default(), &book, &book.main_edition());
    let told: Vec<_> = document.sections.iter().map(|it| (it.hung, it.opening)).collect();
    let read = (true, Opening::NextPage);
    let on = (true, Opening::RunOn);
    let lesson = (false, Opening::Recto);
    assert_eq!(told, [read, on, on, on, lesson, lesson, lesson, read]);
    let mut without = book;
    without.preface.clear();
    let document = printed(&Workshop::default(), &without, &without.main_edition());
    let told: Vec<_> = document.sections.iter().map(|it| (it.hung, it.opening)).collect();
    assert_eq!(told[..3], [read, on, lesson]);
}

/// The caution is framed with words around it.
#[test]
fn the_caution_stands_among_words() {
    let book = demo();
    let document = printed(&Workshop::default(), &book, &book.main_edition());
    let strain = document.sections.iter().find(|it| {
        it.blocks.iter().any(
            |block| matches!(block, Block::Notice(notice) if notice.kind == NoticeKind::Caution),
        )
    });
    let blocks = &strain.expect("a caution").blocks;
    assert!(matches!(blocks[..], [Block::Prose(_), Block::Notice(_), Block::Prose(_)]));
}

/// The back of the title page says of rights what the book does, as plain text and first; a
/// book that says nothing has no such line. Titles of one source are not divided.
#[test]
fn the_back_of_the_title_page_says_what_the_book_says() {
    let mut book = demo();
    let verso = |book: &_, edition| {
        let document = printed(&Workshop::default(), book, edition);
        document.title_page.expect("a title page")
    };
    let main = book.main_edition();
    let bare = verso(&book, &main);
    assert!(!format!("{:?}", bare.verso).contains('©'));
    book.rights = "© 2026 *Ines*".to_owned();
    let stated = verso(&book, &main);
    assert_eq!(stated.verso[1], Block::Prose("© 2026 \\*Ines\\*".to_owned()));
    assert_eq!(stated.verso.len(), bare.verso.len() + 1);
    let Some(Block::Credits(credits)) = bare.verso.get(1) else { panic!("{:?}", bare.verso) };
    let titles = credits.last().expect("the pieces");
    assert!(titles.what.contains("Two\u{a0}Lanterns, Morning\u{a0}Market"), "{}", titles.what);
    // An edition says which it is apart from the subtitle.
    assert_eq!((&bare.subtitle, &bare.edition), (&stated.subtitle, &None));
    let large = book.editions.iter().find(|edition| edition.large_print).expect("large print");
    let large = verso(&book, large);
    assert_eq!((large.subtitle, large.edition.as_deref()), (bare.subtitle, Some("large print")));
}

/// In no edition do the words before the lessons take more than the three pages between the
/// contents and the first lesson.
#[test]
fn words_before_the_lessons_take_three_pages_at_most() {
    let book = demo();
    let workshop = Workshop::default();
    for edition in std::iter::once(&book.main_edition()).chain(&book.editions) {
        let mut document = printed(&workshop, &book, edition);
        document.sections.retain(|section| section.opening != Opening::Recto);
        document.sections.truncate(4);
        let pages = set(&document).expect("pages").count();
        assert!(pages <= 6, "{}: {pages}", edition.name);
    }
}
