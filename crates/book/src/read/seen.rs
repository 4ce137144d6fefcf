//! Remarks that an author lets stand: `[[items.seen]]`.

use crate::node::Fields;
use crate::plan::{Beat, SeenRemark};

/// All that an author has seen of an item.
pub(crate) fn read(item: &Fields<'_>) -> Vec<SeenRemark> {
    let mut seen = Vec::new();
    for fields in item.get("seen").iter().flat_map(crate::node::Node::tables) {
        let remark =
            fields.need("remark", "remark = \"slur-not-made\"").and_then(|node| node.text());
        let part = fields.get("part").and_then(|node| node.text());
        let bar = fields.get("bar").and_then(|node| node.whole(0..=9999)).map(|bar| bar as u32);
        let beat =
            fields.get("beat").and_then(|node| match node.written_number()?.parse::<Beat>() {
                Ok(beat) => Some(beat.to_string()),
                Err(error) => {
                    node.bad_text(error.to_string());
                    None
                }
            });
        fields.finish();
        seen.extend(remark.map(|remark| SeenRemark { remark, part, bar, beat }));
    }
    seen
}
