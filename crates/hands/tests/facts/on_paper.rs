//! A table of effort for cases that stand on its values.

use apoyando_fingering::EffortTable;

/// The values with which such cases were worked out; the table's own are tuned
/// from time to time.
pub fn on_paper() -> EffortTable {
    EffortTable {
        finger_3: 2,
        finger_4: 6,
        lead: 4,
        lead_stay: 10,
        jump_bass: 5,
        crossed: 8,
        barre_hold: 4,
        shift: 32,
        travel: 2,
        lean: 10,
        twice: 8,
        replace: 12,
        alike: 6,
        ..EffortTable::default()
    }
}
