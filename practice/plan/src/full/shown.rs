//! How stress over a restoration's own form is shown.

/// Share of points whose stress the colours cover: beside a contact and at sharp edges single values grow without end.
const COVERED: f64 = 0.99;

/// Where the scale of colours ends; what is stressed more has the last colour. `None` without values.
pub fn colours_end(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get((COVERED * sorted.len() as f64) as usize).copied()
}

#[cfg(test)]
mod tests {
    use super::colours_end;

    #[test]
    fn a_few_points_do_not_stretch_the_scale() {
        let mut values: Vec<f64> = (0..1000).map(|n| f64::from(n % 100)).collect();
        values[3] = 1e6;
        let end = colours_end(&values);
        assert!(end.is_some_and(|end| (98.0..=99.0).contains(&end)), "{end:?}");
        assert_eq!(colours_end(&[]), None);
    }
}
