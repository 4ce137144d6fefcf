//! Where the open book finds its systems: where the press has put them.

use apoyando_engrave::meter::pages::Content;
use apoyando_press::{Proofs, set};
use apoyando_workshop::Workshop;

use crate::demo::{demo, printed};

/// A tenth of a millimetre is not seen.
const SEEN: f64 = 0.1;

#[test]
fn systems_stand_where_the_pages_have_them() {
    let (book, workshop) = (demo(), Workshop::default());
    let main = book.main_edition();
    for edition in std::iter::once(&main).chain(&book.editions) {
        let document = printed(&workshop, &book, edition);
        let pages = set(&document).unwrap().placed();
        let systems: Vec<(usize, f64)> = pages
            .iter()
            .enumerate()
            .flat_map(|(number, page)| page.boxes.iter().map(move |placed| (number + 1, placed)))
            .filter(|(_, placed)| matches!(placed.content, Content::System { .. }))
            .map(|(page, placed)| (page, placed.top.0 + document.paper.top.0))
            .collect();
        let mut proofs = Proofs::default();
        proofs.set(document).unwrap();
        let standing = proofs.standing();
        assert_eq!(standing.len(), systems.len());
        for (own, (page, top)) in standing.iter().zip(systems) {
            assert_eq!(own.page, page, "{}", edition.name);
            assert!((own.top.0 - top).abs() < SEEN, "{}: {own:?}, {top}", edition.name);
        }
        assert!(standing.windows(2).all(|pair| pair[0].music <= pair[1].music));
        assert!(proofs.leaf(1).unwrap().svg().starts_with("<svg"));
        assert!(proofs.leaf(proofs.count() + 1).is_err());
    }
}
