//! Signs that an author wants elsewhere: `[[items.nudges]]`.

use crate::error::BookError;
use crate::node::{Fields, Node};
use crate::plan::{NudgedSign, PlannedNudge};
use crate::read::pins;

/// How far a sign can be moved, in staff spaces: farther off nobody would look for
/// it. A house value.
const FARTHEST: f64 = 4.0;

/// All nudges of an item.
pub(crate) fn read(item: &Fields<'_>) -> Vec<PlannedNudge> {
    let mut nudges = Vec::new();
    for fields in item.get("nudges").iter().flat_map(Node::tables) {
        let at = pins::note(&fields);
        let part = pins::part(&fields);
        let signs = [("digit", NudgedSign::Digit), ("letter", NudgedSign::Letter)];
        let given: Vec<(NudgedSign, Node<'_>)> =
            signs.into_iter().filter_map(|(key, sign)| Some((sign, fields.get(key)?))).collect();
        if given.is_empty() {
            fields.fault(BookError::Missing {
                place: fields.place().clone(),
                key: "digit".to_owned(),
                table: "[[nudges]]".to_owned(),
                example: "digit or letter, as in digit = [0.5, -1] for half a staff space to \
                          the right and one down"
                    .to_owned(),
            });
        }
        for (sign, node) in given {
            if let (Some(at), Some((right, up))) = (&at, by(&node)) {
                let place = node.place().clone();
                nudges.push(PlannedNudge { place, part, at: at.clone(), sign, right, up });
            }
        }
        fields.finish();
    }
    nudges
}

/// How far to the right and up, in hundredths of a staff space.
fn by(node: &Node<'_>) -> Option<(i16, i16)> {
    let each = node.each();
    let [right, up] = &each[..] else {
        node.bad_text("give two numbers: staff spaces to the right and staff spaces up");
        return None;
    };
    let hundredths = |node: &Node<'_>| {
        let spaces = node.number(-FARTHEST..=FARTHEST, " staff spaces")?;
        Some((spaces * 100.0).round() as i16)
    };
    Some((hundredths(right)?, hundredths(up)?))
}
