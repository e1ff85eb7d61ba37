//! What a chain learns while warming up: its step size (dual averaging, Hoffman, Gelman 2014, section 3.2) and the variances of its
//! coordinates (windows that double, as is usual; shrunk towards 1e-3 by five pseudo-observations).

/// Mean acceptance aimed at.
const AIM: f64 = 0.85;

/// Dual averaging of ln step.
pub(crate) struct StepSize {
    anchor: f64,
    count: f64,
    error: f64,
    log_step: f64,
    log_mean: f64,
}

impl StepSize {
    pub(crate) fn new(start: f64) -> Self {
        Self { anchor: (10.0 * start).ln(), count: 0.0, error: 0.0, log_step: start.ln(), log_mean: start.ln() }
    }

    pub(crate) fn learn(&mut self, accept: f64) {
        self.count += 1.0;
        let weight = 1.0 / (self.count + 10.0);
        self.error = (1.0 - weight) * self.error + weight * (AIM - accept);
        self.log_step = self.anchor - self.count.sqrt() / 0.05 * self.error;
        let forget = self.count.powf(-0.75);
        self.log_mean = forget * self.log_step + (1.0 - forget) * self.log_mean;
    }

    pub(crate) fn current(&self) -> f64 {
        self.log_step.exp()
    }

    pub(crate) fn settled(&self) -> f64 {
        self.log_mean.exp()
    }
}

/// Running variances over windows.
pub(crate) struct Variances {
    first: usize,
    last: usize,
    window: usize,
    ends: usize,
    count: f64,
    mean: Vec<f64>,
    squares: Vec<f64>,
}

impl Variances {
    pub(crate) fn new(n: usize, warm_up: usize) -> Self {
        let first = warm_up * 3 / 20;
        let window = (warm_up / 20).max(10);
        Self {
            first,
            last: warm_up - warm_up / 10,
            window,
            ends: first + window,
            count: 0.0,
            mean: vec![0.0; n],
            squares: vec![0.0; n],
        }
    }

    /// Takes a draw; at the end of a window gives the new variances.
    pub(crate) fn learn(&mut self, iteration: usize, q: &[f64]) -> Option<Vec<f64>> {
        if iteration < self.first || iteration >= self.last {
            return None;
        }
        self.count += 1.0;
        for ((x, mean), squares) in q.iter().zip(&mut self.mean).zip(&mut self.squares) {
            let step = x - *mean;
            *mean += step / self.count;
            *squares += step * (x - *mean);
        }
        if iteration + 1 < self.ends {
            return None;
        }
        let n = self.count;
        let variances =
            self.squares.iter().map(|s| (n / (n + 5.0)) * s / (n - 1.0).max(1.0) + 1e-3 * 5.0 / (n + 5.0)).collect();
        self.window *= 2;
        self.ends += self.window;
        // A last window too short to stand alone joins the one before it.
        if self.ends + self.window > self.last {
            self.ends = self.last;
        }
        self.count = 0.0;
        self.mean.fill(0.0);
        self.squares.fill(0.0);
        Some(variances)
    }
}
