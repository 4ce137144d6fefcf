use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use super::counter::{CounterError, KEPT, KEPT_BYTES, MOST};
use super::order::{OrderError, Work};
use super::work::{Stage, WorkError, made};
use super::*;
use crate::bench::Bench;
use std::ops::ControlFlow;

fn demo() -> AtHand {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
    Bench::open(&folder).unwrap().at_hand().unwrap()
}

fn edition(name: &str) -> Order {
    Order::Edition { edition: name.to_owned() }
}

fn commission(order: Order, at_hand: &AtHand) -> Commission {
    Commission::of(&order, at_hand).unwrap()
}

#[test]
fn what_the_book_has_not_is_refused_in_words() {
    let demo = demo();
    let refused = |order: Order| Commission::of(&order, &demo).unwrap_err();
    let unknown = refused(edition("gold")).to_string();
    assert!(unknown.contains("“gold”") && unknown.contains("main, tablature, large-print"));
    assert_eq!(refused(Order::Score { item: 999 }), OrderError::Item);
    let film = Order::Recording { item: 0, ending: "mp4".to_owned() };
    assert_eq!(refused(film), OrderError::Format("mp4".to_owned()));
}

/// It is broken off at each kind of step, and no step is begun afterwards.
#[test]
fn what_is_not_wanted_any_more_is_made_no_further() {
    let demo = demo();
    let orders = [
        (edition("student"), vec!["Engraving", "Measuring", "Setting", "Writing"]),
        (Order::Scores, vec!["Writing"]),
        (Order::PracticeSet { item: 0 }, vec!["Recording"]),
    ];
    for (order, words) in orders {
        let Commission { work, .. } = commission(order, &demo);
        for word in words {
            let (stopped, later) = (AtomicBool::new(false), AtomicUsize::new(0));
            let watch = |stage: Stage| {
                if stopped.load(Ordering::SeqCst) {
                    // Steps side by side may have been on their way already.
                    later.fetch_add(usize::from(!stage.said.starts_with(word)), Ordering::SeqCst);
                }
                if stage.said.starts_with(word) {
                    stopped.store(true, Ordering::SeqCst);
                    return ControlFlow::Break(());
                }
                ControlFlow::Continue(())
            };
            let done = made(&work, &demo, &watch);
            assert!(matches!(done, Err(WorkError::Stopped)), "{word}");
            assert_eq!(later.load(Ordering::SeqCst), 0, "{word}");
        }
    }
}

/// Steps are told in their order, and each that is counted comes to its end.
#[test]
fn every_step_of_an_edition_is_told() {
    let demo = demo();
    let told = std::sync::Mutex::new(Vec::new());
    let watch = |stage: Stage| {
        told.lock().unwrap().push(stage);
        ControlFlow::Continue(())
    };
    let Commission { work, .. } = commission(edition("tablature"), &demo);
    let pdf = made(&work, &demo, &watch).unwrap();
    assert!(pdf.starts_with(b"%PDF"));
    let told = told.into_inner().unwrap();
    let items: usize = demo.book.sections.iter().map(|section| section.items.len()).sum();
    let counted = |said: &str| {
        let own = told.iter().filter(|stage| stage.said.starts_with(said));
        let mut done: Vec<usize> = own.clone().map(|stage| stage.done).collect();
        done.sort_unstable();
        let of = own.map(|stage| stage.of).max().unwrap_or_default();
        assert_eq!(done, (1..=of).collect::<Vec<_>>(), "{said}");
        of
    };
    assert_eq!(counted("Engraving"), items);
    assert!(counted("Measuring") > 3);
    let mut words: Vec<&str> = told.iter().map(|stage| stage.said).collect();
    words.dedup();
    assert_eq!(words.first(), Some(&"Engraving"));
    assert_eq!(words.last(), Some(&"Writing the file"));
    // The bench is as it was: its own pages are those of the book as the plan has it.
    assert_eq!(pdf, made(&work, &demo, &|_| ControlFlow::Continue(())).unwrap());
}

#[test]
fn the_counter_is_never_overfull() {
    let demo = demo();
    let counter = Arc::new(Counter::default());
    let score = |item| commission(Order::Score { item }, &demo);
    for item in 0..MOST {
        let (told, new) = counter.enter(&score(item)).unwrap();
        assert!(new && told.state == "waiting");
        assert!(!counter.enter(&score(item)).unwrap().1, "the same is made once");
    }
    assert_eq!(counter.enter(&score(MOST)), Err(CounterError::Full));
    // What waits can be cancelled, and nothing of it is left.
    let first = counter.told()[0].id;
    assert!(matches!(counter.fetch(first), Err(CounterError::NotYet)));
    counter.clear(first).unwrap();
    counter.make(first, &score(0).work, &demo);
    assert!(matches!(counter.fetch(first), Err(CounterError::Gone)));
    assert_eq!(counter.clear(first), Err(CounterError::Gone));
    assert_eq!(counter.told().len(), MOST - 1);
    // Of what is finished the newest are kept.
    for told in counter.told() {
        counter.clear(told.id).unwrap();
    }
    for item in 0..KEPT + 3 {
        let (told, _) = counter.enter(&score(item)).unwrap();
        counter.make(told.id, &score(item).work, &demo);
    }
    let kept = counter.told();
    assert_eq!(kept.len(), KEPT);
    assert!(kept.iter().all(|told| told.state == "ready" && told.bytes > 0));
    assert_eq!(kept[KEPT - 1].file, score(KEPT + 2).file);
}

#[test]
fn room_is_made_for_what_is_large_and_what_is_too_large_is_not_kept() {
    let demo = demo();
    let counter = Counter::default();
    let put = |item: usize, bytes: usize| {
        let (told, _) = counter.enter(&commission(Order::Score { item }, &demo)).unwrap();
        counter.lay(told.id, vec![0; bytes]);
        told.id
    };
    let first = put(0, KEPT_BYTES / 2);
    let second = put(1, KEPT_BYTES / 2);
    assert!(counter.fetch(first).is_ok() && counter.fetch(second).is_ok());
    let third = put(2, 1);
    assert!(matches!(counter.fetch(first), Err(CounterError::Gone)));
    assert!(counter.fetch(second).is_ok() && counter.fetch(third).is_ok());
    let fourth = put(3, KEPT_BYTES + 1);
    let Err(CounterError::Failed(said)) = counter.fetch(fourth) else { panic!("it is kept") };
    assert!(said.contains("65 MB") && said.contains("over 64 MB"), "{said}");
    assert!(counter.fetch(second).is_ok(), "nothing else makes room for it");
}

#[test]
fn of_one_thing_the_newest_is_kept() {
    let demo = demo();
    let counter = Counter::default();
    let old = commission(Order::Scores, &demo);
    let new = commission(Order::Scores, &AtHand { turn: demo.turn + 1, ..demo.clone() });
    let (first, _) = counter.enter(&old).unwrap();
    counter.make(first.id, &old.work, &demo);
    let (second, made_again) = counter.enter(&new).unwrap();
    assert!(made_again, "the book was changed since");
    assert!(counter.fetch(first.id).is_ok(), "until the other is there");
    counter.make(second.id, &Work::Scores, &demo);
    assert!(matches!(counter.fetch(first.id), Err(CounterError::Gone)));
    assert!(counter.fetch(second.id).is_ok());
}
