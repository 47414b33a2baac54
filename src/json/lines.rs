//! Lines and columns of a text, looked up in a time that does not depend on how long the text or a line of it is.

/// The bytes between two places at which characters are counted beforehand.
const STEP: usize = 256;

/// Where the lines of a text begin.
pub(crate) struct Lines<'t> {
    text: &'t [u8],
    starts: Vec<u32>,
    /// How many characters begin before each [`STEP`] bytes, so that a long line is counted once.
    letters: Vec<u32>,
}

impl<'t> Lines<'t> {
    pub(crate) fn of(text: &'t [u8]) -> Self {
        let starts = std::iter::once(0).chain(memchr::memchr_iter(b'\n', text).map(|at| at as u32 + 1)).collect();
        let count = |counted: &mut u32, step: &[u8]| {
            let before = *counted;
            *counted += letters(step);
            Some(before)
        };
        let letters = text.chunks(STEP).scan(0, count).collect();
        Self { text, starts, letters }
    }

    /// The line of a byte and its column in code points, both from 1; of a byte after the end, those of the end.
    pub(crate) fn position(&self, at: usize) -> (u64, u64) {
        let index = self.line(at);
        let column = self.letters_before(at) - self.letters_before(self.starts[index] as usize);
        (index as u64 + 1, u64::from(column) + 1)
    }

    /// The bytes of the line that holds a byte, without its end.
    pub(crate) fn around(&self, at: usize) -> (usize, usize) {
        let index = self.line(at);
        let end = self.starts.get(index + 1).map_or(self.text.len(), |next| *next as usize - 1);
        (self.starts[index] as usize, end)
    }

    fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start as usize <= at) - 1
    }

    fn letters_before(&self, at: usize) -> u32 {
        let at = at.min(self.text.len());
        let step = (at / STEP).min(self.letters.len().saturating_sub(1));
        self.letters.get(step).copied().unwrap_or_default() + letters(&self.text[step * STEP..at])
    }
}

/// How many characters begin in some bytes.
fn letters(bytes: &[u8]) -> u32 {
    // So few are added up that a byte holds the sum, which lets the compiler take many at once.
    let few = |bytes: &[u8]| bytes.iter().fold(0u8, |sum, byte| sum + u8::from(*byte & 0xc0 != 0x80));
    bytes.chunks(128).map(|bytes| u32::from(few(bytes))).sum()
}

#[cfg(test)]
mod tests {
    use super::Lines;
    use crate::json::line_and_column;

    #[test]
    fn every_byte_has_the_place_that_counting_gives() {
        let text = format!("{}\n{}\n\né𝄞{}", "a".repeat(700), "é".repeat(300), "x\n".repeat(9));
        let lines = Lines::of(text.as_bytes());
        for at in 0..=text.len() {
            let (line, column) = line_and_column(text.as_bytes(), at);
            assert_eq!(lines.position(at), (line as u64, column as u64), "byte {at}");
        }
        assert_eq!(Lines::of(b"").position(9), (1, 1));
        assert_eq!((lines.around(0), lines.around(702)), ((0, 700), (701, 1301)));
    }
}
