//! Chances in words and as counts with one denominator.
//!
//! Words are bound to ranges so that one word means one thing on every paper; the count always stands beside the word, since
//! words alone are read differently by different people. The ranges are our own convention, no source.

/// A chance as a count of 100: `12 of 100`, `fewer than 1 of 100` below one half, `more than 99 of 100` above 99.5.
pub fn of_hundred(share: f64) -> String {
    let count = 100.0 * share;
    if count > 0.0 && count < 0.5 {
        "fewer than 1 of 100".to_owned()
    } else if count > 99.5 && count < 100.0 {
        "more than 99 of 100".to_owned()
    } else {
        format!("{:.0} of 100", count)
    }
}

/// Word for a chance.
pub fn word(share: f64) -> &'static str {
    match share {
        s if s < 0.01 => "very rare",
        s if s < 0.05 => "rare",
        s if s < 0.15 => "uncommon",
        s if s < 0.35 => "not uncommon",
        s if s < 0.65 => "about even",
        s if s < 0.85 => "likely",
        _ => "very likely",
    }
}

/// Count with the range beside it: `about 12 of 100 (5 to 24)`.
pub fn range_of_hundred(middle: f64, low: f64, high: f64) -> String {
    let [a, b] = [low, high].map(|s| format!("{:.0}", 100.0 * s));
    let middle = of_hundred(middle);
    if a == b { format!("about {middle}") } else { format!("about {middle} ({a} to {b})") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_have_one_denominator_and_small_ones_are_not_nought() {
        assert_eq!(of_hundred(0.1234), "12 of 100");
        assert_eq!(of_hundred(0.002), "fewer than 1 of 100");
        assert_eq!(of_hundred(0.0), "0 of 100");
        assert_eq!(of_hundred(0.999), "more than 99 of 100");
        assert_eq!(range_of_hundred(0.12, 0.05, 0.24), "about 12 of 100 (5 to 24)");
    }

    #[test]
    fn words_rise_with_the_chance() {
        let words: Vec<&str> = [0.001, 0.02, 0.1, 0.2, 0.5, 0.7, 0.9].map(word).to_vec();
        let mut seen = words.clone();
        seen.dedup();
        assert_eq!(seen.len(), 7);
    }
}
