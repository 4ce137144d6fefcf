//! Right-hand patterns as they are typed.

use std::str::FromStr;

use apoyando_book::{BarRange, RightPattern};

use super::place::part_and_bars;

/// `[[PART/]BARS=]PATTERN`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PatternFlag {
    /// The part and its bars; `None` for every part as a whole.
    pub bars: Option<(u16, BarRange)>,
    /// The fingers.
    pub pattern: RightPattern,
}

impl FromStr for PatternFlag {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (bars, pattern) = match text.split_once('=') {
            Some((bars, pattern)) => (Some(part_and_bars(bars)?), pattern),
            None => (None, text),
        };
        let pattern =
            pattern.parse().map_err(|error: <RightPattern as FromStr>::Err| error.to_string())?;
        Ok(Self { bars, pattern })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_are_read_as_typed() {
        let flag: PatternFlag = "2/5-8=p-i-m-a".parse().unwrap();
        assert_eq!(flag.bars, Some((2, BarRange { first: 5, last: 8 })));
        assert_eq!(flag.pattern.to_string(), "p i m a");
        assert_eq!("p i".parse::<PatternFlag>().unwrap().bars, None);
        for bad in ["", "x", "5-8=", "8-5=p i", "3:2=p i"] {
            assert!(bad.parse::<PatternFlag>().is_err(), "{bad}");
        }
    }
}
