//! Reads published files word by word and says in which line something is amiss.

/// The words of a text, each with its line.
#[derive(Debug, Clone)]
pub struct FileWordReader<'t> {
    words: std::vec::IntoIter<(usize, &'t str)>,
    line: usize,
}

impl<'t> FileWordReader<'t> {
    /// The words of a text from its first line.
    pub fn new(text: &'t str) -> Self {
        Self::from_line(text, 0)
    }

    /// The words of a text after `skipped` header lines.
    pub fn from_line(text: &'t str, skipped: usize) -> Self {
        let lines = text.lines().enumerate().skip(skipped);
        let words: Vec<_> =
            lines.flat_map(|(at, line)| line.split_whitespace().map(move |w| (at + 1, w))).collect();
        Self { words: words.into_iter(), line: skipped.max(1) }
    }

    /// The line of the word read last.
    pub const fn line(&self) -> usize {
        self.line
    }

    /// Whether nothing is left.
    pub fn is_empty(&self) -> bool {
        self.words.as_slice().is_empty()
    }

    /// Words that are left.
    pub fn words_left(&self) -> usize {
        self.words.as_slice().len()
    }

    /// The next word.
    pub fn next_word(&mut self, what: &str) -> Result<&'t str, String> {
        let (line, word) =
            self.words.next().ok_or_else(|| self.fault_here(&format!("the file ends before {what}")))?;
        self.line = line;
        Ok(word)
    }

    /// The next word as a number of whichever type is wanted.
    pub fn next_number<T: std::str::FromStr>(&mut self, what: &str) -> Result<T, String> {
        let word = self.next_word(what)?;
        word.parse().map_err(|_| self.fault_here(&format!("expected {what}, found `{word}`")))
    }

    /// The next word as a number from `least` to `most`.
    pub fn next_within<T: std::str::FromStr + PartialOrd + std::fmt::Display>(
        &mut self,
        what: &str,
        least: T,
        most: T,
    ) -> Result<T, String> {
        let number: T = self.next_number(what)?;
        if number < least || number > most {
            return Err(self.fault_here(&format!("{what} is {number}, not from {least} to {most}")));
        }
        Ok(number)
    }

    /// Says that nothing may follow.
    pub fn expect_end(&mut self) -> Result<(), String> {
        match self.words.next() {
            None => Ok(()),
            Some((line, word)) => {
                self.line = line;
                Err(self.fault_here(&format!("expected the end of the file, found `{word}`")))
            }
        }
    }

    /// A message with the line of the word read last.
    pub fn fault_here(&self, text: &str) -> String {
        format!("line {}: {text}", self.line)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_name_their_line() {
        let mut words = FileWordReader::new("3 x\n\n 9 4");
        assert_eq!(words.next_number::<u32>("rows"), Ok(3));
        assert_eq!(words.next_number::<u32>("columns"), Err("line 1: expected columns, found `x`".into()));
        assert_eq!(words.next_within("tools", 1, 5), Err("line 3: tools is 9, not from 1 to 5".into()));
        let mut rest = words.clone();
        assert_eq!(rest.expect_end(), Err("line 3: expected the end of the file, found `4`".into()));
        assert_eq!(words.words_left(), 1);
        assert_eq!(words.next_number::<i64>("cost"), Ok(4));
        assert!(words.is_empty());
        assert_eq!(words.next_word("the costs"), Err("line 3: the file ends before the costs".into()));
        assert_eq!(words.expect_end(), Ok(()));
    }

    #[test]
    fn a_heading_is_skipped_and_counted() {
        assert_eq!(
            FileWordReader::from_line("a\nb\nc", 2).next_number::<u8>("x"),
            Err("line 3: expected x, found `c`".into())
        );
    }
}
