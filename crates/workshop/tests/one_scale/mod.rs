//! A book of one scale.

use apoyando_book::Book;
use apoyando_fretboard::Millimetres;
use apoyando_workshop::{Built, Printing, Workshop};

const BOOK: &str = "title = \"One scale\"\nsections = [\"c\"]\n[level]\nhighest-fret = 3\n";

/// A book of one scale through the position, with these words in its item, which begin
/// on line 6 of `sections/c.toml`. `name` tells its folder from others.
pub fn built(name: &str, words: &str) -> Built {
    let folder = std::env::temp_dir().join(format!("apoyando-{name}-{}", std::process::id()));
    let section = format!(
        "title = \"C\"\nkey = \"C major\"\nposition = \"I\"\n[[items]]\n\
         kind = \"position-scale\"\n{words}\n"
    );
    std::fs::create_dir_all(folder.join("sections")).unwrap();
    std::fs::write(folder.join("book.toml"), BOOK).unwrap();
    std::fs::write(folder.join("sections/c.toml"), section).unwrap();
    let book = Book::open(&folder);
    std::fs::remove_dir_all(&folder).unwrap();
    let book = &book.unwrap();
    let edition = &book.main_edition();
    Workshop::default().build(&Printing { book, edition, line: Millimetres(180.0) }, &|_| ())
}
