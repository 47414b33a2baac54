//! Finds the known word that a misspelt one was probably meant to be.

/// How many letters of a word are compared.
const LETTERS: usize = 64;

/// The candidate closest to `word`, if it is close enough: at most a third of its letters differ.
pub fn nearest<'c>(word: &str, candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    let head = || word.chars().flat_map(char::to_lowercase).take(LETTERS);
    let plain: String = head().map(|letter| if letter == ' ' || letter == '-' { '_' } else { letter }).collect();
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

/// ` (did you mean …?)`, when there is a word that was probably meant.
pub fn did_you_mean(near: Option<&str>) -> String {
    near.map_or_else(String::new, |near| format!(" (did you mean {near}?)"))
}

/// The number of letters to add, drop, change or swap with their neighbour, if it is at most `most`.
fn distance(left: &str, right: &str, most: usize) -> Option<usize> {
    // As many letters as the lengths are apart differ at least; a long name is not compared with any.
    if left.chars().count().abs_diff(right.chars().count()) > most {
        return None;
    }
    Some(strsim::osa_distance(left, &right.to_lowercase())).filter(|distance| *distance <= most)
}
