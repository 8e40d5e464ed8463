//! Judges an answer to a published instance of the kind `closure` from the instance and the answer alone.
//!
//! An answer is a set of blocks. It holds when every block exists and is named once, when each block's predecessors are in the
//! set, and when the values of the blocks sum to what the answer claims.

// symbol: value = what a block is worth, in the unit of the file
// symbol: values = what each block is worth, in the unit of the file
// symbol: claimed = what the answer says the set is worth, in the unit of the file

/// A mine as its files give it.
#[derive(Debug, Clone, Copy)]
pub struct JudgedMine<'m> {
    /// Value of each block.
    pub values: &'m [f64],
    /// For each block the blocks that must be taken with it.
    pub needs: &'m [Vec<u32>],
}

/// Values are sums of some thousand decimal fractions; rounding is far below this share of them.
const SAME_SHARE: f64 = 1.0e-9;

/// Everything that is wrong with a set of blocks and its claimed value; nothing if it holds.
#[must_use]
pub fn judge_closure_answer(mine: &JudgedMine, chosen: &[u32], claimed: f64) -> Vec<String> {
    let count = mine.values.len();
    let mut faults = Vec::new();
    let mut inside = vec![false; count];
    for block in chosen {
        match inside.get_mut(*block as usize) {
            None => faults.push(format!("block {block} does not exist")),
            Some(seen) if *seen => faults.push(format!("block {block} is named twice")),
            Some(seen) => *seen = true,
        }
    }
    for block in (0..count).filter(|b| inside[*b]) {
        let needs = mine.needs.get(block).map_or(&[][..], |n| n);
        let missing = needs.iter().filter(|n| !inside.get(**n as usize).is_some_and(|i| *i));
        faults.extend(missing.map(|n| format!("block {block} is taken without block {n}")));
    }
    let taken = (0..count).filter(|b| inside[*b]).map(|b| mine.values[b]);
    let (sum, size) = taken.fold((0.0, 1.0_f64), |(sum, size), v| (sum + v, size + v.abs()));
    if (sum - claimed).abs() > SAME_SHARE * size {
        faults.push(format!("the blocks are worth {sum}, not {claimed}"));
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_of_being_wrong_is_seen() {
        let needs = [vec![], vec![0], vec![0, 1]];
        let mine = JudgedMine { values: &[-1.0, 2.5, 4.0], needs: &needs };
        let check = |chosen: &[u32], claimed: f64, expected: &[&str]| {
            assert_eq!(judge_closure_answer(&mine, chosen, claimed), expected, "{chosen:?}");
        };
        check(&[0, 1, 2], 5.5, &[]);
        check(&[], 0.0, &[]);
        check(&[0, 1], 1.6, &["the blocks are worth 1.5, not 1.6"]);
        check(&[1], 2.5, &["block 1 is taken without block 0"]);
        check(&[0, 0], -1.0, &["block 0 is named twice"]);
        check(&[7], 0.0, &["block 7 does not exist"]);
    }
}
