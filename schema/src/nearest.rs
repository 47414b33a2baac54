//! The known word that a misspelt one was probably meant to be.

/// The candidate nearest to `word`, if it is near enough to be meant: at most a third of its letters differ.
pub fn nearest<'c>(word: &str, candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    let plain = word.to_lowercase().replace([' ', '-'], "_");
    candidates
        .map(|candidate| (distance(&plain, &candidate.to_lowercase()), candidate))
        .filter(|(distance, candidate)| *distance * 3 <= candidate.chars().count().max(3))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Letters to add, drop, change or swap with their neighbour.
fn distance(left: &str, right: &str) -> usize {
    let (left, right): (Vec<char>, Vec<char>) = (left.chars().take(64).collect(), right.chars().collect());
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=right.len()).collect();
    for (i, letter) in left.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, other) in right.iter().enumerate() {
            let mut least = (above[j + 1] + 1).min(row[j] + 1).min(above[j] + usize::from(letter != other));
            if i > 0 && j > 0 && left[i - 1] == *other && *letter == right[j - 1] {
                least = least.min(before[j - 1] + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut above, row);
    }
    above[right.len()]
}
