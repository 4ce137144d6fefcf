//! Lines and pages that the author decides about.

mod one_scale;

use apoyando_book::{Book, Edition};
use apoyando_fretboard::Millimetres;
use apoyando_workshop::plan::Block;
use apoyando_workshop::{Built, Printing, Workshop};
use one_scale::built;

fn begins(built: &Built) -> Vec<Vec<u32>> {
    let offers = built.items[0].engraving.offers.iter();
    offers.map(|offer| offer.systems.iter().map(|system| system.bars.start).collect()).collect()
}

/// What is said of breaks: rule, line in the section's file, sentence.
fn said(built: &Built) -> Vec<(&'static str, Option<u32>, String)> {
    let about = |rule: &str| ["break-lost", "strained-line"].contains(&rule);
    let findings = built.findings.iter().filter(|finding| about(finding.rule));
    findings
        .map(|found| {
            assert_eq!(found.place.file.as_deref(), Some("sections/c.toml"));
            (found.rule, found.place.line, found.message.clone())
        })
        .collect()
}

#[test]
fn bars_that_the_author_names_begin_lines_and_pages_in_every_offer() {
    let free = built("free", "");
    assert!(begins(&free).iter().all(|begins| !begins.contains(&2)), "{:?}", begins(&free));
    let built = built("lines", "line-breaks = [3]\npage-breaks = [5]");
    assert!(!begins(&built).is_empty());
    for begins in begins(&built) {
        assert!(begins.contains(&2) && begins.contains(&4), "{begins:?}");
    }
    assert_eq!(built.items[0].page_breaks, [4]);
}

#[test]
fn a_bar_that_does_not_exist_is_an_error_with_its_line() {
    let built = built("lost", "line-breaks = [3,\n 99]\npage-breaks = [1]");
    let said = said(&built);
    let lost: Vec<_> = said.iter().filter(|said| said.0 == "break-lost").collect();
    assert_eq!(*lost[0], ("break-lost", Some(7), "there is no bar 99".to_owned()));
    assert_eq!((lost[1].0, lost[1].1), ("break-lost", Some(8)));
    assert_eq!(lost.len(), 2);
}

#[test]
fn a_line_that_a_break_stretches_is_reported() {
    let built = built("strained", "line-breaks = [2]");
    let said = said(&built);
    assert_eq!((said[0].0, said[0].1), ("strained-line", Some(6)));
    assert!(said[0].2.starts_with("bar 1 alone is on the line before it"), "{said:?}");
}

#[test]
fn an_item_begins_a_page_where_the_author_wants_it() {
    let breaks = |built: &Built| {
        let blocks = built.plan.sections.iter().flat_map(|section| &section.blocks);
        blocks.filter(|block| **block == Block::NewPage).count()
    };
    assert_eq!(breaks(&built("page", "new-page = true")), 1);
    assert_eq!(breaks(&built("no-page", "")), 0);
}

/// The demo's Mill Wheel is broken by its author in large print alone.
#[test]
fn large_print_has_breaks_of_its_own() {
    let folder =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    let book = Book::open(&folder).unwrap();
    let begins = |edition: &Edition| -> Vec<u32> {
        let line = Millimetres(175.0);
        let built = Workshop::default().build(&Printing { book: &book, edition, line }, &|_| {});
        let item = built.items.iter().find(|item| item.title == "The Mill Wheel").unwrap();
        item.engraving.offers[0].systems.iter().map(|system| system.bars.start).collect()
    };
    let large = book.editions.iter().find(|edition| edition.large_print).unwrap();
    assert_eq!(begins(large), [0, 2, 5, 8, 11, 14]);
    assert!(!begins(&book.main_edition()).contains(&2));
}
