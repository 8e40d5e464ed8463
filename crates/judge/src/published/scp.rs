//! Judges an answer to a published instance of the kind `scp` from the instance and the answer alone.
//!
//! Every column named exists and is named once, every row has one of its columns among them, and the value stated is the sum of
//! their costs.

// symbol: value = a cost in the instance's unit

/// A set cover as its file gives it, columns counted from 0.
#[derive(Debug, Clone, Copy)]
pub struct JudgedSetCover<'a> {
    /// Cost of each column.
    pub costs: &'a [u64],
    /// Columns that cover each row.
    pub rows: &'a [Vec<u32>],
}

/// What is wrong with the columns and with the value stated; empty when nothing is.
#[must_use]
pub fn judge_scp_answer(problem: &JudgedSetCover, columns: &[u32], value: f64) -> Vec<String> {
    let mut faults = Vec::new();
    let mut chosen = vec![false; problem.costs.len()];
    let mut cost = 0;
    for column in columns {
        let at = *column as usize;
        match chosen.get_mut(at) {
            None => faults.push(format!("there is no column {}", at + 1)),
            Some(true) => faults.push(format!("column {} is named twice", at + 1)),
            Some(seen) => {
                *seen = true;
                cost += problem.costs[at];
            }
        }
    }
    for (row, columns) in problem.rows.iter().enumerate() {
        if !columns.iter().any(|j| chosen.get(*j as usize) == Some(&true)) {
            faults.push(format!("row {} is not covered", row + 1));
        }
    }
    if value != cost as f64 {
        faults.push(format!("the columns cost {cost}, the answer says {value}"));
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_of_being_wrong_is_seen() {
        let rows = [vec![0, 1], vec![1, 2], vec![2]];
        let problem = JudgedSetCover { costs: &[3, 4, 5], rows: &rows };
        let check = |columns: &[u32], value: f64, expected: &[&str]| {
            assert_eq!(judge_scp_answer(&problem, columns, value), expected, "{columns:?}");
        };
        check(&[0, 2], 8.0, &[]);
        check(&[1, 2], 9.0, &[]);
        check(&[0, 1], 7.0, &["row 3 is not covered"]);
        check(&[0, 2], 7.0, &["the columns cost 8, the answer says 7"]);
        check(&[0, 2, 2], 8.0, &["column 3 is named twice"]);
        check(&[0, 2, 3], 8.0, &["there is no column 4"]);
    }
}
