//! What an idle hand remembers, numbered by stage.

use crate::hand::POSITIONS;
use crate::heard::clock::UNHURRIED;

use super::ground::Ground;
use super::stage::{Stage, Tag};

/// How many memories an idle hand has.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(crate) struct Tags {
    pub all: u16,
    /// So many of them, the first ones, of a hand that was not idle at the layer
    /// before.
    pub fresh: u16,
}

impl Stage {
    /// Numbers the memories an idle hand may bring here. Those whose hurry
    /// cannot differ any more are one. First come those of a hand that was not idle
    /// at the layer before.
    pub fn tag(&mut self, ground: &Ground, layer: usize, before: Option<&Self>) -> Tags {
        let here = ground.seam_end(layer);
        let fresh = Tag { position: 0, layer: Tag::LONG_AGO, open: here };
        let Some(before) = before else {
            self.tags.push(fresh);
            return Tags { all: 1, fresh: 0 };
        };
        let reached = ground.music.is_reached(layer);
        let last = ground.music.layers.len() - 1;
        // Most memories are of one layer, and time takes long to work out.
        let mut known: Option<(u32, bool)> = None;
        let mut is_over = |since: u32| match known {
            Some((layer, over)) if layer == since => over,
            _ => {
                let over = since == Tag::LONG_AGO
                    || layer == last
                    || ground.time(since as usize, layer + 1) >= UNHURRIED;
                known = Some((since, over));
                over
            }
        };
        let mut positions: u32 = 0;
        for stand in &before.stands {
            positions |= stand.positions();
        }
        // There are as many as positions, but for what an idle hand remembers.
        self.tags.reserve_exact(positions.count_ones() as usize);
        let mut number = |tag: Tag| {
            let open = tag.open.min(here);
            let over = is_over(tag.layer);
            let tag = match (reached, over) {
                (false, _) => Tag { open, ..fresh },
                (true, true) => Tag { layer: Tag::LONG_AGO, open, ..tag },
                (true, false) => Tag { open, ..tag },
            };
            self.tags.iter().position(|t| *t == tag).unwrap_or_else(|| {
                self.tags.push(tag);
                self.tags.len() - 1
            }) as u16
        };
        let mut fresh_ones = 0;
        for position in 1..POSITIONS {
            if positions & (1 << position) != 0 {
                let tag = number(Tag {
                    position: position as u8,
                    layer: layer as u32 - 1,
                    open: Tag::NO_SEAM,
                });
                self.tag_of_position[position] = tag;
                fresh_ones = fresh_ones.max(tag + 1);
            }
        }
        if before.may_be_idle() {
            self.tag_after = before.tags.iter().map(|tag| number(*tag)).collect();
        }
        // A stage without idle shapes still needs its numbers for none.
        if self.tags.is_empty() {
            self.tags.push(fresh);
        }
        Tags { all: self.tags.len() as u16, fresh: fresh_ones }
    }
}
