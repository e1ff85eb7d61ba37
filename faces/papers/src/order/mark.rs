//! A short mark of an order's contents: the same order has the same mark, a changed one another.
//!
//! FNV-1a over 64 bits (Fowler, Noll and Vo; draft-eastlake-fnv), folded to 32 and written as eight hexadecimal digits. It tells
//! orders of one case apart; it is no seal: two orders share a mark by chance once in 4 billion.

/// The mark of some texts.
pub(super) fn mark<'a>(texts: impl IntoIterator<Item = &'a str>) -> String {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    for text in texts {
        // The end of a text counts, so that words cannot move from one to the next unseen.
        for byte in text.bytes().chain([0xff]) {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
    let folded = (hash >> 32) ^ (hash & 0xffff_ffff);
    format!("{:04x}-{:04x}", folded >> 16, folded & 0xffff)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_move_between_texts_change_the_mark() {
        assert_eq!(mark(["a", "b"]), mark(["a", "b"]));
        assert_ne!(mark(["ab", ""]), mark(["a", "b"]));
        assert_ne!(mark(["a"]), mark(["a", ""]));
    }
}
