//! What one way of forecasting said of many cases, and the cell of the table made of it.

use physics::warmup::Interval;

/// Relative errors of the median, and whether the interval held.
#[derive(Default)]
pub struct Score {
    errors: Vec<f64>,
    signed: Vec<f64>,
    held: usize,
    intervals: usize,
}

/// More than one case in ten had no answer.
fn percent(share: f64) -> String {
    if share.is_finite() { format!("{:.0}", 100.0 * share) } else { "none".to_owned() }
}

impl Score {
    /// What was said of one case; `scale` is the time still to go.
    pub fn add(&mut self, said: Option<Interval>, has_interval: bool, truth: f64, scale: f64) {
        let Some(i) = said else {
            self.errors.push(f64::INFINITY);
            return;
        };
        self.errors.push((i.p50 - truth).abs() / scale);
        self.signed.push((i.p50 - truth) / scale);
        if has_interval {
            self.intervals += 1;
            self.held += usize::from(i.p10 <= truth && truth <= i.p90);
        }
    }

    /// One cell: median / 90th percentile of the error, how often the interval held, bias of the median.
    pub fn cell(&mut self) -> String {
        let middle = |v: &mut Vec<f64>, share: f64| {
            v.sort_by(f64::total_cmp);
            v.get((share * v.len() as f64) as usize).copied().unwrap_or(f64::NAN)
        };
        let (m, p90) = (percent(middle(&mut self.errors, 0.5)), percent(middle(&mut self.errors, 0.9)));
        let bias = 100.0 * middle(&mut self.signed, 0.5);
        let holds = if self.intervals == 0 {
            String::new()
        } else {
            format!("; {}", percent(self.held as f64 / self.intervals as f64))
        };
        format!("{m} / {p90}{holds} ({bias:+.0})")
    }
}
