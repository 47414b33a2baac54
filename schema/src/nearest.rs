//! Finds the known word that a misspelt one was probably meant to be.

/// How many letters of a word are compared.
const LETTERS: usize = 64;

/// The candidate closest to `word`, if it is close enough: at most a third of its letters differ.
pub fn nearest<'c>(word: &str, candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    let head = || word.chars().flat_map(char::to_lowercase).take(LETTERS);
    let plain: Vec<char> = head().map(|letter| if letter == ' ' || letter == '-' { '_' } else { letter }).collect();
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let most = candidate.chars().count().max(3) / 3;
        let most = best.map_or(most, |(least, _)| most.min(least.saturating_sub(1)));
        let nearer = best.is_none_or(|(least, _)| least > 0);
        if let Some(distance) = distance(&plain, candidate, most).filter(|_| nearer) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// The number of letters to add, drop, change or swap with their neighbour, if it is at most `most`.
fn distance(left: &[char], right: &str, most: usize) -> Option<usize> {
    // At least as many letters differ as the lengths do.
    if left.len().abs_diff(right.chars().count()) > most {
        return None;
    }
    let right: Vec<char> = right.chars().flat_map(char::to_lowercase).collect();
    let mut before: Vec<usize> = vec![0; right.len() + 1];
    let mut above: Vec<usize> = (0..=right.len()).collect();
    let mut row: Vec<usize> = above.clone();
    for (i, letter) in left.iter().enumerate() {
        row[0] = i + 1;
        for (j, other) in right.iter().enumerate() {
            let mut least = (above[j + 1] + 1).min(row[j] + 1).min(above[j] + usize::from(letter != other));
            if i > 0 && j > 0 && left[i - 1] == *other && *letter == right[j - 1] {
                least = least.min(before[j - 1] + 1);
            }
            row[j + 1] = least;
        }
        // A swap looks back two rows.
        if row.iter().chain(&above).all(|least| *least > most) {
            return None;
        }
        std::mem::swap(&mut before, &mut above);
        std::mem::swap(&mut above, &mut row);
    }
    Some(above[right.len()]).filter(|distance| *distance <= most)
}
