//! A line of music, character by character.

/// Cursor over a line.
pub(super) struct Chars {
    chars: Vec<char>,
    at: usize,
}

impl Chars {
    pub(super) fn of(text: &str) -> Self {
        Self { chars: text.chars().collect(), at: 0 }
    }

    /// Column of the next character, from 1.
    pub(super) fn column(&self) -> u32 {
        self.at as u32 + 1
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.peek_at(0)
    }

    pub(super) fn peek_at(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    pub(super) fn next(&mut self) -> Option<char> {
        let next = self.peek()?;
        self.at += 1;
        Some(next)
    }

    /// Takes the next character if it is this one.
    pub(super) fn take(&mut self, wanted: char) -> bool {
        let found = self.peek() == Some(wanted);
        self.at += usize::from(found);
        found
    }

    /// Takes characters while they satisfy a condition.
    pub(super) fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> String {
        let start = self.at;
        while self.peek().is_some_and(&wanted) {
            self.at += 1;
        }
        self.chars[start..self.at].iter().collect()
    }

    /// Takes everything up to a character, and the character; `None`, with
    /// nothing taken, if the line does not have it.
    pub(super) fn take_until(&mut self, end: char) -> Option<String> {
        let length = self.chars[self.at..].iter().position(|c| *c == end)?;
        let text = self.chars[self.at..self.at + length].iter().collect();
        self.at += length + 1;
        Some(text)
    }

    /// A whole number, if digits stand here. `Err` if it is too large.
    pub(super) fn number(&mut self) -> Result<Option<u32>, ()> {
        let digits = self.take_while(|c| c.is_ascii_digit());
        if digits.is_empty() { Ok(None) } else { digits.parse().map(Some).map_err(|_| ()) }
    }
}
