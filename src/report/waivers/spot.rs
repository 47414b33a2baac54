//! Locations in a record as a waiver names them: a JSON Pointer in which `*` matches any text within a step, and `**` as the
//! last step matches the location before it and everything below.

use crate::read::names::matches;

/// A pattern of pointers.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct PointerPattern {
    steps: Vec<String>,
    /// Whether it matches locations below.
    below: bool,
}

impl PointerPattern {
    /// Reads a pattern, or returns what is wrong with it.
    pub(super) fn parse(text: &str) -> Result<Self, String> {
        let Some(rest) = text.strip_prefix('/') else {
            return match text {
                "" => Ok(Self { steps: Vec::new(), below: false }),
                _ => {
                    Err("at does not begin with /: write a JSON Pointer, as in /wear_periods/*/to; /** is every place"
                        .to_owned())
                }
            };
        };
        let mut steps: Vec<String> = rest.split('/').map(str::to_owned).collect();
        let below = steps.pop_if(|last| last == "**").is_some();
        if steps.iter().any(|step| step.contains("**")) {
            return Err("** is in the middle of at: it can only be the last step".to_owned());
        }
        Ok(Self { steps, below })
    }

    /// The only pointer that it matches; none when it matches several.
    pub(super) fn whole(&self) -> Option<String> {
        let one = !self.below && self.steps.iter().all(|step| !step.contains('*'));
        one.then(|| self.steps.iter().fold(String::new(), |pointer, step| pointer + "/" + step))
    }

    /// Whether it matches a pointer.
    pub(super) fn fits(&self, pointer: &str) -> bool {
        let mut steps = pointer.split('/').skip(1);
        let along = self.steps.iter().all(|pattern| steps.next().is_some_and(|step| matches(pattern, step)));
        along && (self.below || steps.next().is_none())
    }
}

#[cfg(test)]
mod tests {
    use super::PointerPattern;

    #[test]
    fn a_star_stays_within_its_step_and_two_at_the_end_go_below() {
        let fits = |pattern: &str, pointer: &str| PointerPattern::parse(pattern).unwrap().fits(pointer);
        for (pattern, pointer) in [
            ("/wear_periods/*/to", "/wear_periods/12/to"),
            ("/wear_periods/1/to", "/wear_periods/1/to"),
            ("/**", ""),
            ("/**", "/wear_periods/1/to"),
            ("/wear_periods/**", "/wear_periods"),
            ("/wear_periods/**", "/wear_periods/1/to"),
            ("", ""),
            ("/a~1b/*", "/a~1b/0"),
            ("/series/0/*_on", "/series/0/scanned_on"),
        ] {
            assert!(fits(pattern, pointer), "{pattern} {pointer}");
        }
        for (pattern, pointer) in [
            ("/wear_periods/*/to", "/wear_periods/1/x/to"),
            ("/wear_periods/*", "/wear_periods/1/to"),
            ("/wear_periods/*/to", "/wear_periods/1"),
            ("", "/wear_periods"),
            ("/wear_periods/**", "/wear_log/1"),
            ("/wear_periods/1", "/wear_periods/11"),
        ] {
            assert!(!fits(pattern, pointer), "{pattern} {pointer}");
        }
    }
}
