//! Rows in order of a number, in linear time: counting for whole numbers of small range, radix passes otherwise.
//!
//! Least-significant-digit radix sort: Knuth 1998, The Art of Computer Programming, vol. 3, 2nd ed., section 5.2.5. Stable, so that equal
//! values keep the order of their rows and sums have one order only.

/// Greatest range of whole numbers that is counted, in multiples of the number of rows.
const RANGE: usize = 4;
/// Bits a radix pass sorts by.
const DIGIT: u32 = 11;

/// Smallest value and range of whole numbers few enough to count, if all are such.
pub(crate) fn whole_range(values: &[f64]) -> Option<(f64, usize)> {
    let (mut low, mut high, mut whole) = (f64::INFINITY, f64::NEG_INFINITY, true);
    for &v in values {
        low = low.min(v);
        high = high.max(v);
        // A number too great for this is not whole here: it would not be counted anyway.
        whole &= v as i64 as f64 == v;
    }
    let range = high - low;
    (whole && range <= (RANGE * values.len() + 65_536) as f64 && low.abs() < 1e15).then_some((low, range as usize + 1))
}

/// Row numbers in ascending order of value, equal values in order of row.
pub(crate) fn ascending(values: &[f64]) -> Vec<u32> {
    match whole_range(values) {
        Some((low, range)) => counted(values, low, range),
        None => radix(values),
    }
}

fn counted(values: &[f64], low: f64, range: usize) -> Vec<u32> {
    let mut place = vec![0u32; range + 1];
    for &v in values {
        place[(v - low) as usize + 1] += 1;
    }
    for i in 1..=range {
        place[i] += place[i - 1];
    }
    let mut order = vec![0u32; values.len()];
    for (row, &v) in values.iter().enumerate() {
        let p = &mut place[(v - low) as usize];
        order[*p as usize] = row as u32;
        *p += 1;
    }
    order
}

fn radix(values: &[f64]) -> Vec<u32> {
    let mut pairs: Vec<(u64, u32)> = values.iter().enumerate().map(|(row, &v)| (key(v), row as u32)).collect();
    let mut other = vec![(0u64, 0u32); pairs.len()];
    let differs = pairs.iter().fold(0, |bits, p| bits | (p.0 ^ pairs[0].0));
    for shift in (0..64).step_by(DIGIT as usize) {
        let digit = |k: u64| ((k >> shift) & ((1 << DIGIT) - 1)) as usize;
        if digit(differs) == 0 {
            continue;
        }
        let mut place = [0u32; (1 << DIGIT) + 1];
        for p in &pairs {
            place[digit(p.0) + 1] += 1;
        }
        for i in 1..place.len() {
            place[i] += place[i - 1];
        }
        for p in &pairs {
            let at = &mut place[digit(p.0)];
            other[*at as usize] = *p;
            *at += 1;
        }
        std::mem::swap(&mut pairs, &mut other);
    }
    pairs.into_iter().map(|p| p.1).collect()
}

/// Bits that order as the numbers do (-0 as 0).
fn key(value: f64) -> u64 {
    let bits = (value + 0.0).to_bits();
    if bits >> 63 == 1 { !bits } else { bits | (1 << 63) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn orders_as_a_stable_sort_does(values in proptest::collection::vec(-1e3f64..1e3, 1..200), whole: bool) {
            let values: Vec<f64> = if whole { values.iter().map(|v| (v / 50.0).round()).collect() } else { values };
            let mut expected: Vec<u32> = (0..values.len() as u32).collect();
            expected.sort_by(|&a, &b| values[a as usize].partial_cmp(&values[b as usize]).unwrap());
            prop_assert_eq!(&ascending(&values), &expected);
            prop_assert_eq!(radix(&values), expected);
        }
    }
}
