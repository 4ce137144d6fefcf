//! Whole documents.

use apoyando_press::set;

use crate::sample;

#[test]
fn the_same_book_gives_the_same_bytes() {
    let first = apoyando_press::pdf(&sample::book()).unwrap();
    let second = apoyando_press::pdf(&sample::book()).unwrap();
    assert!(first.starts_with(b"%PDF-1.7"));
    assert!(first == second, "two PDFs of one document differ");
    if let Ok(folder) = std::env::var("PRESS_PROOFS") {
        let folder = std::path::Path::new(&folder);
        std::fs::write(folder.join("book.pdf"), &first).unwrap();
        let pages = set(&sample::book()).unwrap();
        for page in 1..=pages.count() {
            let png = pages.png(page, 80.0).unwrap();
            std::fs::write(folder.join(format!("page-{page:02}.png")), png).unwrap();
        }
    }
}
