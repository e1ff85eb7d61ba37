//! How often each option of a plan comes first, by its place in the list of computed ones.

/// Acceptabilities by the index of the option; stopped ones have none. Weights and ways are those of the last group ranked.
pub(crate) struct Shares {
    pub(crate) ranks: Vec<Vec<f64>>,
    pub(crate) dominated: Vec<Option<String>>,
    pub(crate) regret: Vec<Option<f64>>,
    pub(crate) mean_weights: [f64; 4],
    pub(crate) ways: usize,
}

impl Shares {
    pub(crate) fn none(count: usize) -> Self {
        Self {
            ranks: vec![Vec::new(); count],
            dominated: vec![None; count],
            regret: vec![None; count],
            mean_weights: [0.0; 4],
            ways: 0,
        }
    }

    pub(crate) fn first(&self, i: usize) -> f64 {
        self.ranks[i].first().copied().unwrap_or(0.0)
    }

    pub(crate) fn ranks(&self, i: usize) -> &[f64] {
        &self.ranks[i]
    }

    pub(crate) fn expected_rank(&self, i: usize) -> f64 {
        self.ranks[i].iter().enumerate().map(|(b, s)| b as f64 * s).sum()
    }
}
