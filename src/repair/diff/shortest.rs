//! A short edit path from one list of lines to another (Myers, An O(ND) difference algorithm and its variations, Algorithmica 1,
//! 1986, 251–266).

/// One step of the path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// The old line at this index stays.
    Same(usize),
    /// The old line at this index is removed.
    Gone(usize),
    /// The new line at this index is added.
    New(usize),
}

/// Paths with more changes are not searched: all lines between the first and the last change are replaced.
const MOST_CHANGES: usize = 1000;

/// The steps from `old` to `new`.
pub(super) fn steps(old: &[Vec<u8>], new: &[Vec<u8>]) -> Vec<Step> {
    let head = old.iter().zip(new).take_while(|(one, other)| one == other).count();
    let (old_rest, new_rest) = (&old[head..], &new[head..]);
    let tail = old_rest.iter().rev().zip(new_rest.iter().rev()).take_while(|(one, other)| one == other).count();
    let (old_end, new_end) = (old.len() - tail, new.len() - tail);
    let mut steps: Vec<Step> = (0..head).map(Step::Same).collect();
    let middle = shortest(&old[head..old_end], &new[head..new_end]).unwrap_or_else(|| {
        let gone = (0..old_end - head).map(Step::Gone);
        gone.chain((0..new_end - head).map(Step::New)).collect()
    });
    steps.extend(middle.into_iter().map(|step| step.later(head)));
    steps.extend((old_end..old.len()).map(Step::Same));
    for changes in steps.chunk_by_mut(|one, next| one.is_change() == next.is_change()) {
        // Removed lines precede the added lines that replace them; both keep their own order.
        changes.sort_by_key(|step| matches!(step, Step::New(_)));
    }
    steps
}

impl Step {
    fn is_change(self) -> bool {
        !matches!(self, Self::Same(_))
    }

    fn later(self, by: usize) -> Self {
        match self {
            Self::Same(at) => Self::Same(at + by),
            Self::Gone(at) => Self::Gone(at + by),
            Self::New(at) => Self::New(at + by),
        }
    }
}

/// The shortest path, unless it has too many changes. For each count of changes and each diagonal (old index minus new index)
/// the furthest old index is kept; tracing back through them gives the path.
fn shortest(old: &[Vec<u8>], new: &[Vec<u8>]) -> Option<Vec<Step>> {
    let (rows, columns) = (old.len() as isize, new.len() as isize);
    let mut rounds: Vec<Vec<isize>> = Vec::new();
    for changes in 0..=MOST_CHANGES as isize {
        let mut furthest = Vec::with_capacity(2 * changes as usize + 1);
        for diagonal in (-changes..=changes).step_by(2) {
            let mut row = start(rounds.last(), changes, diagonal);
            while row < rows
                && row - diagonal < columns
                && row - diagonal >= 0
                && old[row as usize] == new[(row - diagonal) as usize]
            {
                row += 1;
            }
            furthest.push(row);
            if row >= rows && row - diagonal >= columns {
                rounds.push(furthest);
                return Some(way(&rounds, rows, columns));
            }
        }
        rounds.push(furthest);
    }
    None
}

/// The old index at which a diagonal begins after one more change.
fn start(before: Option<&Vec<isize>>, changes: isize, diagonal: isize) -> isize {
    let Some(before) = before else { return 0 };
    // The indices of round d are on the diagonals -d, -d + 2, … d.
    let at = |diagonal: isize| before.get(((diagonal + changes - 1) / 2) as usize).copied();
    let down = if diagonal < changes { at(diagonal + 1) } else { None };
    let right = if diagonal > -changes { at(diagonal - 1).map(|row| row + 1) } else { None };
    match (down, right) {
        (Some(down), Some(right)) => down.max(right),
        (one, other) => one.or(other).unwrap_or_default(),
    }
}

fn way(rounds: &[Vec<isize>], rows: isize, columns: isize) -> Vec<Step> {
    let (mut row, mut column) = (rows, columns);
    let mut steps = Vec::new();
    for changes in (0..rounds.len() as isize).rev() {
        let diagonal = row - column;
        let begin = start(changes.checked_sub(1).and_then(|before| rounds.get(before as usize)), changes, diagonal);
        while row > begin {
            (row, column) = (row - 1, column - 1);
            steps.push(Step::Same(row as usize));
        }
        if changes > 0 {
            let before = &rounds[changes as usize - 1];
            let at = |diagonal: isize| before.get(((diagonal + changes - 1) / 2) as usize).copied();
            let from_left = diagonal > -changes && at(diagonal - 1).map(|place| place + 1) == Some(row);
            if from_left {
                row -= 1;
                steps.push(Step::Gone(row as usize));
            } else {
                column -= 1;
                steps.push(Step::New(column as usize));
            }
        }
    }
    steps.reverse();
    steps
}

#[cfg(test)]
mod tests {
    use super::{Step, steps};

    fn lines(text: &str) -> Vec<Vec<u8>> {
        text.chars().map(|letter| letter.to_string().into_bytes()).collect()
    }

    /// Follows the steps; how many of them are changes.
    fn followed(old: &str, new: &str) -> usize {
        let (old, new) = (lines(old), lines(new));
        let (mut left, mut built, mut changes) = (0, Vec::new(), 0);
        for step in steps(&old, &new) {
            match step {
                Step::Same(at) | Step::Gone(at) => {
                    assert_eq!(at, left);
                    left += 1;
                }
                Step::New(at) => assert_eq!(at, built.len()),
            }
            match step {
                Step::Same(at) => built.push(old[at].clone()),
                Step::New(at) => built.push(new[at].clone()),
                Step::Gone(_) => {}
            }
            changes += usize::from(!matches!(step, Step::Same(_)));
        }
        assert_eq!((left, built), (old.len(), new));
        changes
    }

    #[test]
    fn the_way_leads_from_one_text_to_the_other_and_is_short() {
        // The example of the article: five changes.
        assert_eq!(followed("ABCABBA", "CBABAC"), 5);
        assert_eq!(followed("", ""), 0);
        assert_eq!(followed("", "abc"), 3);
        assert_eq!(followed("abc", ""), 3);
        assert_eq!(followed("abcdef", "abXdef"), 2);
        assert_eq!(followed("xaby", "xbay"), 2);
    }

    #[test]
    fn every_pair_of_short_texts_is_led_from_one_to_the_other() {
        let texts: Vec<String> =
            (0..3usize.pow(5)).map(|n| (0..5).map(|d| ['a', 'b', 'c'][n / 3usize.pow(d) % 3]).collect()).collect();
        for (n, old) in texts.iter().enumerate().step_by(7) {
            for new in texts.iter().skip(n % 5).step_by(5) {
                assert!(followed(old, new) <= 10);
            }
        }
    }

    #[test]
    fn too_many_changes_replace_everything_between() {
        let (old, new) = ("ab".repeat(700), "cd".repeat(700));
        assert_eq!(followed(&old, &new), 2800);
    }
}
