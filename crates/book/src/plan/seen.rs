//! Remarks that the author has seen and lets stand.

/// A remark of the program that is not made again: it is meant so.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct SeenRemark {
    /// Its rule, as in `open-bass-rings-on`.
    pub remark: String,
    /// The part, by the name that the remark gives it.
    pub part: Option<String>,
    /// The bar it is made in.
    pub bar: Option<u32>,
    /// The beat, as it is counted: `2½`.
    pub beat: Option<String>,
}
