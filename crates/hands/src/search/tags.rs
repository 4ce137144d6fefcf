//! What an idle hand remembers, numbered by stage.

use crate::hand::POSITIONS;
use crate::heard::clock::UNHURRIED;

use super::ground::Ground;
use super::stage::{Stage, Stand, Tag};

impl Stage {
    /// Numbers the memories an idle hand may bring here. Those whose hurry
    /// cannot differ any more are one.
    pub fn tag(&mut self, ground: &Ground, layer: usize, before: Option<&Self>) {
        let here = ground.seam_end(layer);
        let fresh = Tag { position: 0, layer: Tag::LONG_AGO, open: here };
        let Some(before) = before else {
            self.tags.push(fresh);
            return;
        };
        let reached = ground.music.is_reached(layer);
        let last = ground.music.layers.len() - 1;
        let mut number = |tag: Tag| {
            let open = tag.open.min(here);
            let over = tag.layer == Tag::LONG_AGO
                || layer == last
                || ground.time(tag.layer as usize, layer + 1) >= UNHURRIED;
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
        let mut positions: u32 = 0;
        for stand in &before.stands {
            positions |= stand.positions();
        }
        for position in 1..POSITIONS {
            if positions & (1 << position) != 0 {
                self.tag_of_position[position] = number(Tag {
                    position: position as u8,
                    layer: layer as u32 - 1,
                    open: Tag::NO_SEAM,
                });
            }
        }
        if before.stands.iter().any(Stand::is_idle) {
            self.tag_after = before.tags.iter().map(|tag| number(*tag)).collect();
        }
        // A stage without idle shapes still needs its numbers for none.
        if self.tags.is_empty() {
            self.tags.push(fresh);
        }
    }
}
