//! Householder triangle of a tall matrix: the only linear algebra that a small fit needs.

/// R of a matrix with scaled columns, its right-hand side rotated along with it.
pub(super) struct Triangle {
    p: usize,
    /// Row by row, p × p; below the diagonal zero.
    r: Vec<f64>,
    /// The first p numbers of the rotated right-hand side.
    head: Vec<f64>,
    /// Sum of squares of its other numbers: what no step can take away.
    pub rest: f64,
}

/// Euclidean length without overflow in between.
pub(super) fn length(of: &[f64]) -> f64 {
    let largest = of.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
    if largest == 0.0 || !largest.is_finite() {
        return largest;
    }
    largest * of.iter().map(|x| (x / largest) * (x / largest)).sum::<f64>().sqrt()
}

impl Triangle {
    /// Reduces `columns` (each as long as `rhs`, no shorter than there are columns) by reflections.
    pub fn of(mut columns: Vec<Vec<f64>>, mut rhs: Vec<f64>) -> Self {
        let p = columns.len();
        let mut r = vec![0.0; p * p];
        for j in 0..p {
            let (done, open) = columns.split_at_mut(j + 1);
            let mirror = &mut done[j][j..];
            let size = length(mirror);
            if size > 0.0 {
                // The sign that adds: no digits are lost in the first number of the mirror.
                let diagonal = if mirror[0] > 0.0 { -size } else { size };
                mirror[0] -= diagonal;
                let half_square = -diagonal * mirror[0];
                for column in open.iter_mut().chain([&mut rhs]) {
                    let part = &mut column[j..];
                    let dot: f64 = mirror.iter().zip(part.iter()).map(|(a, b)| a * b).sum();
                    part.iter_mut().zip(mirror.iter()).for_each(|(b, a)| *b -= dot / half_square * a);
                }
                r[j * p + j] = diagonal;
            }
            for (k, column) in open.iter().enumerate() {
                r[j * p + j + 1 + k] = column[j];
            }
        }
        let rest = rhs[p..].iter().map(|x| x * x).sum();
        rhs.truncate(p);
        Self { p, r, head: rhs, rest }
    }

    /// The best step no longer than `reach` (a tenth more is let through), damped as far as that takes.
    pub fn step_within(&self, reach: f64) -> Option<Vec<f64>> {
        let full = self.step(0.0).filter(|step| length(step) <= 1.1 * reach);
        if full.is_some() {
            return full;
        }
        // The damped step shrinks steadily; |head|/reach is damping enough for columns of any length.
        let mut high = libm::log(self.reach().sqrt() / reach).max(-60.0);
        let mut low = high - 80.0;
        let mut best = self.step(libm::exp(high))?;
        for _ in 0..60 {
            let size = length(&best);
            if size >= 0.9 * reach && size <= 1.1 * reach {
                break;
            }
            let middle = 0.5 * (low + high);
            let tried = self.step(libm::exp(middle)).filter(|step| length(step) <= 1.1 * reach);
            match tried {
                Some(step) => (high, best) = (middle, step),
                None => low = middle,
            }
        }
        Some(best)
    }

    /// The least-squares step with each number held back by `damping`; `None` when the columns do not fix it.
    pub fn step(&self, damping: f64) -> Option<Vec<f64>> {
        if damping == 0.0 {
            return self.solved();
        }
        let p = self.p;
        let column = |j: usize| {
            let mut column = vec![0.0; 2 * p];
            (0..=j).for_each(|i| column[i] = self.r[i * p + j]);
            column[p + j] = damping.sqrt();
            column
        };
        let mut rhs = self.head.clone();
        rhs.resize(2 * p, 0.0);
        Self::of((0..p).map(column).collect(), rhs).solved()
    }

    fn solved(&self) -> Option<Vec<f64>> {
        let p = self.p;
        let mut x = vec![0.0; p];
        for i in (0..p).rev() {
            let known: f64 = (i + 1..p).map(|j| self.r[i * p + j] * x[j]).sum();
            x[i] = (self.head[i] - known) / self.r[i * p + i];
        }
        x.iter().all(|v| v.is_finite()).then_some(x)
    }

    /// By how much the linear model says a step lowers the sum of squares.
    pub fn gain(&self, step: &[f64]) -> f64 {
        let p = self.p;
        let left = (0..p).map(|i| self.head[i] - (i..p).map(|j| self.r[i * p + j] * step[j]).sum::<f64>());
        self.reach() - left.map(|x| x * x).sum::<f64>()
    }

    /// All that steps can take away from the sum of squares.
    pub fn reach(&self) -> f64 {
        self.head.iter().map(|x| x * x).sum()
    }

    /// The first column that the columns before it explain up to `share` of its length (columns of length 1).
    pub fn dependent(&self, share: f64) -> Option<usize> {
        (0..self.p).find(|j| self.r[j * self.p + j].is_nan() || self.r[j * self.p + j].abs() <= share)
    }

    /// (RᵀR)⁻¹ row by row, from R⁻¹; the squares of R never enter.
    pub fn covariance(&self) -> Vec<f64> {
        let p = self.p;
        let mut inverse = vec![0.0; p * p];
        for j in 0..p {
            for i in (0..=j).rev() {
                let known: f64 = (i + 1..=j).map(|k| self.r[i * p + k] * inverse[k * p + j]).sum();
                inverse[i * p + j] = (f64::from(u8::from(i == j)) - known) / self.r[i * p + i];
            }
        }
        let entry = |at: usize| {
            let (a, b) = (at / p, at % p);
            (a.max(b)..p).map(|k| inverse[a * p + k] * inverse[b * p + k]).sum()
        };
        (0..p * p).map(entry).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Line through (0, 1), (1, 3), (2, 4): normal equations 3a + 3b = 8, 3a + 5b = 11 give b = 1.5, a = 7/6;
    /// residuals −1/6, 1/3, −1/6, squares 1/6; inverse of [[3, 3], [3, 5]] is [[5, −3], [−3, 3]]/6.
    #[test]
    fn hand_line_through_three_points() {
        let triangle = Triangle::of(vec![vec![1.0; 3], vec![0.0, 1.0, 2.0]], vec![1.0, 3.0, 4.0]);
        let step = triangle.step(0.0).unwrap();
        let expected = [7.0 / 6.0, 1.5, 1.0 / 6.0, 5.0 / 6.0, -0.5, -0.5, 0.5];
        let got = [&step[..], &[triangle.rest], &triangle.covariance()].concat();
        assert!(got.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-14), "{got:?}");
        assert!((triangle.gain(&step) - triangle.reach()).abs() < 1e-13);
    }

    /// Damping 1 adds 1 to each diagonal of the normal equations: 4a + 3b = 8, 3a + 6b = 11: a = 1, b = 4/3.
    #[test]
    fn hand_damped_step() {
        let triangle = Triangle::of(vec![vec![1.0; 3], vec![0.0, 1.0, 2.0]], vec![1.0, 3.0, 4.0]);
        let step = triangle.step(1.0).unwrap();
        assert!((step[0] - 1.0).abs() < 1e-14 && (step[1] - 4.0 / 3.0).abs() < 1e-14, "{step:?}");
    }

    #[test]
    fn law_dependent_columns_are_found() {
        let twice = Triangle::of(vec![vec![0.6, 0.8, 0.0], vec![0.6, 0.8, 0.0]], vec![1.0, 2.0, 3.0]);
        assert_eq!(twice.dependent(1e-12), Some(1));
        assert_eq!(Triangle::of(vec![vec![0.0; 3]], vec![1.0; 3]).dependent(1e-12), Some(0));
        assert!((length(&[3e200, 4e200]) / 5e200 - 1.0).abs() < 1e-15);
    }
}
