//! Keeping labels apart along one axis.

/// Places labels as near as possible to where they want to be, in the given order, none overlapping, all between `low` and
/// `high`. `wanted` are centres, sorted; `extents` their sizes. `None` if they cannot all fit.
///
/// Neighbours that collide are joined into one block that sits at the mean of what its members want; blocks that collide
/// are joined again. This is the least-squares answer, and each label is moved no further than it must be.
pub(crate) fn spread(wanted: &[f64], extents: &[f64], low: f64, high: f64) -> Option<Vec<f64>> {
    struct Block {
        start: f64,
        extent: f64,
        want_sum: f64,
        members: usize,
    }
    let total: f64 = extents.iter().sum();
    if total > high - low {
        return None;
    }
    let mut blocks: Vec<Block> = Vec::new();
    let settle = |b: &mut Block| {
        b.start = (b.want_sum / b.members as f64).clamp(low, (high - b.extent).max(low));
    };
    for (&centre, &extent) in wanted.iter().zip(extents) {
        let mut block = Block { start: 0.0, extent, want_sum: centre - extent / 2.0, members: 1 };
        settle(&mut block);
        while let Some(before) = blocks.pop_if(|b| b.start + b.extent > block.start) {
            // Each member of the later block wants its own start less all that lies before it.
            block = Block {
                start: 0.0,
                extent: before.extent + block.extent,
                want_sum: before.want_sum + block.want_sum - before.extent * block.members as f64,
                members: before.members + block.members,
            };
            settle(&mut block);
        }
        blocks.push(block);
    }
    let mut centres = Vec::with_capacity(extents.len());
    let mut sizes = extents.iter();
    for block in &blocks {
        let mut at = block.start;
        for &extent in sizes.by_ref().take(block.members) {
            centres.push(at + extent / 2.0);
            at += extent;
        }
    }
    Some(centres)
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn hand_two_colliding_labels_share_the_move() {
        // Both want 50 and are 10 tall: 45 and 55.
        assert_eq!(spread(&[50.0, 50.0], &[10.0, 10.0], 0.0, 100.0), Some(vec![45.0, 55.0]));
    }

    #[test]
    fn hand_edges_hold() {
        // Wants 2 and 4 in 0..100 with size 10: pressed to the edge, 5 and 15.
        assert_eq!(spread(&[2.0, 4.0], &[10.0, 10.0], 0.0, 100.0), Some(vec![5.0, 15.0]));
        assert_eq!(spread(&[1.0; 4], &[30.0; 4], 0.0, 100.0), None);
    }

    #[test]
    fn law_never_overlapping_and_inside() {
        let mut seed = 7u64;
        for n in 0..200usize {
            let count = n % 9;
            let mut wanted: Vec<f64> = (0..count)
                .map(|_| {
                    seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                    (seed >> 33) as f64 / (1u64 << 31) as f64 * 140.0 - 20.0
                })
                .collect();
            wanted.sort_by(f64::total_cmp);
            let extents: Vec<f64> = (0..count).map(|i| 6.0 + i as f64).collect();
            let placed = spread(&wanted, &extents, 0.0, 110.0).expect("8 labels of at most 13 fit");
            let mut edge = 0.0;
            for (centre, extent) in placed.iter().zip(&extents) {
                assert!(centre - extent / 2.0 >= edge - 1e-9, "{placed:?}");
                edge = centre + extent / 2.0;
            }
            assert!(edge <= 110.0 + 1e-9);
        }
    }
}
