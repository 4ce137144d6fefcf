//! Remarks that the author lets stand.

mod one_scale;

use one_scale::built;

const NUDGES: &str = "density = \"none\"\n[[items.nudges]]\nbar = 99\ndigit = [0, 1]\n\
                      [[items.nudges]]\nbar = 1\ndigit = [0, 1]\n";

fn rules(name: &str, more: &str) -> Vec<&'static str> {
    let built = built(name, &format!("{NUDGES}{more}"));
    let rules = built.findings.iter().map(|finding| finding.rule);
    rules.filter(|rule| rule.starts_with("nudge")).collect()
}

#[test]
fn what_is_seen_is_not_said_again_and_an_error_always_is() {
    let seen = |rule: &str, bar: u32| {
        format!("[[items.seen]]\nremark = \"{rule}\"\nbar = {bar}\nbeat = 1\n")
    };
    assert_eq!(rules("seen-none", ""), ["nudge-lost", "nudge-idle"]);
    assert_eq!(rules("seen-one", &seen("nudge-idle", 1)), ["nudge-lost"]);
    // Elsewhere it is another remark.
    assert_eq!(rules("seen-other", &seen("nudge-idle", 2)), ["nudge-lost", "nudge-idle"]);
    assert_eq!(rules("seen-error", &seen("nudge-lost", 99)), ["nudge-lost", "nudge-idle"]);
}
