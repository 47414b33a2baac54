//! The frames of many inputs, one after the other.

use std::io::{self, Read};

use super::frames::{Frame, Frames, Next};
use super::inputs::Input;
use super::stream;

/// A frame, and which input it is of.
#[derive(Debug, Default)]
pub(crate) struct Piece {
    /// The place of the input among all.
    pub(crate) input: usize,
    largest: usize,
    frame: Frame,
}

impl Piece {
    /// Gives each record to `one`, with the line of the input on which it begins. Gives back how many records were left out
    /// because they are too large: lines of one block lie together, whatever their size.
    pub(crate) fn each(&self, mut one: impl FnMut(&[u8], u64)) -> u64 {
        let mut too_large = 0;
        for (line, text) in self.frame.records() {
            if text.len() > self.largest {
                too_large += 1;
            } else {
                one(text, line);
            }
        }
        too_large
    }
}

/// Cuts the inputs into pieces, opening one after the other.
pub(crate) struct Pieces<'a> {
    inputs: &'a [Input],
    largest: usize,
    missed: &'a mut dyn FnMut(&Input, &io::Error),
    /// The input that is open or comes next.
    at: usize,
    frames: Option<Frames<Box<dyn Read>>>,
    /// Records that are in no piece because they are too large.
    pub(crate) too_large: u64,
}

impl<'a> Pieces<'a> {
    /// The pieces of the inputs, without records of more than `largest` bytes; `missed` gets each input that cannot be
    /// read, or not to its end.
    pub(crate) fn new(inputs: &'a [Input], largest: usize, missed: &'a mut dyn FnMut(&Input, &io::Error)) -> Self {
        Self { inputs, largest, missed, at: 0, frames: None, too_large: 0 }
    }

    /// Puts the next piece into `piece`; false when all is read.
    pub(crate) fn fill(&mut self, piece: &mut Piece) -> bool {
        while let Some(input) = self.inputs.get(self.at) {
            match self.take(input, piece) {
                Ok(true) => return true,
                Ok(false) => {}
                Err(error) => (self.missed)(input, &error),
            }
            self.at += 1;
        }
        false
    }

    /// Takes the next piece of the input, which is opened if it is not open; false when it has no other.
    fn take(&mut self, input: &Input, piece: &mut Piece) -> io::Result<bool> {
        let mut frames = match self.frames.take() {
            Some(frames) => frames,
            None => Frames::new(stream::open(input)?, input.says_lines(), self.largest),
        };
        loop {
            match frames.next(&mut piece.frame)? {
                Next::Frame => break,
                Next::TooLarge(_) => self.too_large += 1,
                Next::End if frames.broke_off() => return Err(io::Error::other("it breaks off in the middle")),
                Next::End => return Ok(false),
            }
        }
        (piece.input, piece.largest) = (self.at, self.largest);
        self.frames = Some(frames);
        Ok(true)
    }
}
