//! Sounds that the left hand makes from the sound before (section 5 of the
//! model).

use apoyando_fingering::LeftFinger;
use apoyando_music::JoinKind;

use crate::hand::{Hand, Sounding};
use crate::layers::Layers;
use crate::sounds::{Joined, Kind};

/// The sounds struck in a hand that are played joined from the hand before.
pub(crate) fn played_joined(
    all: &Layers<'_>,
    before: &Hand,
    after: &Hand,
) -> Vec<(usize, JoinKind)> {
    let kind = |to: Sounding| {
        let joined = all.sounds[to.sound].joined?;
        let from = before.sounding.iter().find(|from| from.sound == joined.from)?;
        plays(all, (before, after), (*from, to), joined).then_some((to.sound, joined.kind))
    };
    after.struck().filter_map(kind).collect()
}

fn plays(
    all: &Layers<'_>,
    (before, after): (&Hand, &Hand),
    (from, to): (Sounding, Sounding),
    joined: Joined,
) -> bool {
    let (a, b) = (&all.sounds[from.sound], &all.sounds[to.sound]);
    let plain = a.kind == Kind::Plain && b.kind == Kind::Plain;
    if !plain || from.placement.place.string != to.placement.place.string {
        return false;
    }
    let other_finger = to.stopped() && to.placement.finger != from.placement.finger;
    let at_rest = before.away.is_none()
        && after.away.is_none()
        && (before.position.is_none() || before.position == after.position);
    match joined.kind {
        JoinKind::Glide => {
            from.stopped() && to.stopped() && from.placement.finger == to.placement.finger
        }
        JoinKind::Slur if b.key > a.key => at_rest && other_finger,
        JoinKind::Slur => {
            let open = to.placement.place.fret.is_open();
            let waits = to.placement.finger.is_some_and(|finger| {
                let place = to.placement.place;
                before.all_places(finger).any(|at| at == place)
                    || (finger == LeftFinger::One && before.lays_over(place))
            });
            at_rest && (open || (other_finger && waits))
        }
    }
}
