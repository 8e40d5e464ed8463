//! Judges an answer to a published instance of the kind `sop` from the instance and the answer alone.
//!
//! The matrix is read as it is in the file: −1 in row `i`, column `j` says that `j` comes before `i`. An answer holds
//! when it names every node once, starts at the first and ends at the last, keeps every precedence that a −1 states, and
//! when the costs along it sum to what it claims.

/// What is wrong with an order and the value it claims; empty when the answer holds.
#[must_use]
pub fn judge_sop_answer(count: usize, matrix: &[i64], order: &[usize], claimed: i64) -> Vec<String> {
    if matrix.len() != count * count {
        return vec![format!("{} cells do not fill a square of {count} nodes", matrix.len())];
    }
    let (place, mut wrong) = places_in_order(count, order);
    if !wrong.is_empty() {
        return wrong;
    }
    if place.first() != Some(&0) || place.last() != Some(&(count - 1)) {
        wrong.push("the order does not run from the first node to the last".into());
    }
    for late in 0..count {
        let early = (0..count).filter(|early| *early != late && matrix[late * count + early] == -1);
        let torn = early.filter(|early| place[*early] > place[late]);
        wrong.extend(torn.map(|early| format!("node {early} comes after node {late}")));
    }
    let sum: i64 = order.windows(2).map(|pair| matrix[pair[0] * count + pair[1]]).sum();
    if sum != claimed {
        wrong.push(format!("the order costs {sum}, not {claimed}"));
    }
    wrong
}

/// The position of each node, and what keeps the order from naming each once.
fn places_in_order(count: usize, order: &[usize]) -> (Vec<usize>, Vec<String>) {
    let mut place = vec![usize::MAX; count];
    let mut wrong = Vec::new();
    for (at, node) in order.iter().enumerate() {
        match place.get_mut(*node) {
            None => wrong.push(format!("there is no node {node}")),
            Some(free) if *free == usize::MAX => *free = at,
            Some(_) => wrong.push(format!("node {node} is named twice")),
        }
    }
    let left = (0..count).filter(|node| place[*node] == usize::MAX);
    wrong.extend(left.map(|node| format!("node {node} is left out")));
    (place, wrong)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four nodes; node 2 comes before node 1. Only 0, 2, 1, 3 is right, and costs 5 + 7 + 2.
    const MATRIX: [i64; 16] = [0, 4, 5, 99, -1, 0, -1, 2, -1, 7, 0, 3, -1, -1, -1, 0];

    fn check(order: &[usize], claimed: i64, expected: &[&str]) {
        assert_eq!(judge_sop_answer(4, &MATRIX, order, claimed), expected, "{order:?}");
    }

    #[test]
    fn a_right_answer_holds() {
        check(&[0, 2, 1, 3], 14, &[]);
    }

    #[test]
    fn each_way_of_being_wrong_is_seen() {
        check(&[0, 2, 1, 3], 13, &["the order costs 14, not 13"]);
        check(&[0, 1, 2, 3], 6, &["node 2 comes after node 1"]);
        check(&[0, 2, 1], 12, &["node 3 is left out"]);
        check(&[0, 2, 2, 1, 4], 0, &["node 2 is named twice", "there is no node 4", "node 3 is left out"]);
        let ends = "the order does not run from the first node to the last";
        check(&[2, 0, 1, 3], 5, &[ends, "node 0 comes after node 2"]);
        assert_eq!(judge_sop_answer(4, &MATRIX[1..], &[0], 0), ["15 cells do not fill a square of 4 nodes"]);
    }
}
