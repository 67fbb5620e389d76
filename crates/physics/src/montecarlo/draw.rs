//! Normal draws by number: which draw of which trial alone decides what comes out, so any machine gets the same.

use crate::normal::quantile;

/// Four words from a counter and a key: Philox 4×32 with ten rounds.
///
/// Source: Salmon, Moraes, Dror, Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC'11; from memory, checked with its
/// published answers below.
fn words(counter: [u32; 4], key: [u32; 2]) -> [u32; 4] {
    let product = |factor: u32, word: u32| {
        let both = u64::from(factor) * u64::from(word);
        ((both >> 32) as u32, both as u32)
    };
    let ([mut a, mut b, mut c, mut d], [mut k0, mut k1]) = (counter, key);
    for _ in 0..10 {
        let ((high_a, low_a), (high_c, low_c)) = (product(0xD251_1F53, a), product(0xCD9E_8D57, c));
        (a, b, c, d) = (high_c ^ b ^ k0, low_c, high_a ^ d ^ k1, low_a);
        (k0, k1) = (k0.wrapping_add(0x9E37_79B9), k1.wrapping_add(0xBB67_AE85));
    }
    [a, b, c, d]
}

/// Fills `out` with the standard draws of one trial: normal where the degrees of freedom are infinite, else Student's t.
///
/// Source for t: Bailey, "Polar generation of random variates with the t-distribution", Mathematics of Computation 62 (1994):
/// √(ν (U^(−2/ν) − 1)) cos(2πV) of two even draws; from memory, checked with scipy below.
pub(super) fn standard(seed: u64, trial: u32, freedoms: &[f64], out: &mut [f64]) {
    let key = [seed as u32, (seed >> 32) as u32];
    let even = |word: u32| (f64::from(word) + 0.5) / 4_294_967_296.0;
    for (block, (four, freedoms)) in out.chunks_mut(4).zip(freedoms.chunks(4)).enumerate() {
        let drawn = words([trial, block as u32, 0, 0], key);
        // A second set of words, for the angles, so that the first stays what it is without any t.
        let angles =
            if freedoms.iter().all(|nu| nu.is_infinite()) { [0; 4] } else { words([trial, block as u32, 1, 0], key) };
        for (((z, nu), word), angle) in four.iter_mut().zip(freedoms).zip(drawn).zip(angles) {
            *z = if nu.is_infinite() { quantile(even(word)) } else { student(*nu, even(word), even(angle)) };
        }
    }
}

fn student(nu: f64, radius: f64, angle: f64) -> f64 {
    (nu * libm::expm1(-2.0 / nu * libm::log(radius))).sqrt() * libm::cos(std::f64::consts::TAU * angle)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Known answers published with the reference implementation (file kat_vectors), philox4x32 with 10 rounds.
    #[test]
    fn val_known_answers() {
        let cases = [
            ([0; 4], [0; 2], [0x6627_e8d5, 0xe169_c58d, 0xbc57_ac4c, 0x9b00_dbd8]),
            ([u32::MAX; 4], [u32::MAX; 2], [0x408f_276d, 0x41c8_3b0e, 0xa20b_c7c6, 0x6d54_51fd]),
            (
                [0x243f_6a88, 0x85a3_08d3, 0x1319_8a2e, 0x0370_7344],
                [0xa409_3822, 0x299f_31d0],
                [0xd16c_fe09, 0x94fd_cceb, 0x5001_e420, 0x2412_6ea1],
            ),
        ];
        for (counter, key, expected) in cases {
            assert_eq!(words(counter, key), expected);
        }
    }

    /// Mean 0 and variance 1 within four standard errors (1/√n and √(2/n)), and all draws of a trial their own.
    #[test]
    fn law_draws_are_standard_normal() {
        let (mut sum, mut squares, mut products) = (0.0, 0.0, 0.0);
        let n = 100_000;
        let mut z = [0.0; 10];
        for trial in 0..n / 10 {
            standard(7, trial, &[f64::INFINITY; 10], &mut z);
            sum += z.iter().sum::<f64>();
            squares += z.iter().map(|z| z * z).sum::<f64>();
            products += z.windows(2).map(|w| w[0] * w[1]).sum::<f64>();
        }
        let n = f64::from(n);
        assert!((sum / n).abs() < 4.0 / n.sqrt() && (squares / n - 1.0).abs() < 4.0 * (2.0 / n).sqrt());
        assert!((products / (0.9 * n)).abs() < 4.0 / (0.9 * n).sqrt());
    }

    /// Quantiles of Student's distribution by scipy 1.17.1, four decimals, for the shares 1, 10, 25, 75, 90, 97.5 and 99.5 %; the
    /// share of the draws below each within four standard errors.
    #[test]
    fn val_student_quantiles() {
        const SHARES: [f64; 7] = [0.01, 0.1, 0.25, 0.75, 0.9, 0.975, 0.995];
        let freedoms = [1.0, 2.0, 5.0, 18.0];
        let quantiles = [
            [-31.8205, -3.0777, -1.0, 1.0, 3.0777, 12.7062, 63.6567],
            [-6.9646, -1.8856, -0.8165, 0.8165, 1.8856, 4.3027, 9.9248],
            [-3.3649, -1.4759, -0.7267, 0.7267, 1.4759, 2.5706, 4.0321],
            [-2.5524, -1.3304, -0.6884, 0.6884, 1.3304, 2.1009, 2.8784],
        ];
        let (n, mut below, mut t) = (200_000, [[0u32; 7]; 4], [0.0; 4]);
        for trial in 0..n {
            standard(5, trial, &freedoms, &mut t);
            for ((counts, quantiles), t) in below.iter_mut().zip(quantiles).zip(t) {
                counts.iter_mut().zip(quantiles).for_each(|(count, q)| *count += u32::from(t < q));
            }
        }
        for (counts, nu) in below.iter().zip(freedoms) {
            for (count, share) in counts.iter().zip(SHARES) {
                let error = (share * (1.0 - share) / f64::from(n)).sqrt();
                let found = f64::from(*count) / f64::from(n);
                assert!((found - share).abs() < 4.0 * error, "ν {nu}: {found} instead of {share}");
            }
        }
    }

    /// The gauge block of JCGM 101:2008, 9.5: model of equation 59 and the distributions of table 10 from memory; result as
    /// another implementation prints it too: 838 nm, u 36 nm, shortest 99 % interval 745 to 932 nm. Linear (9.5.4): 32 nm.
    /// Tolerance 0.5 nm, the last digit, and for the ends two more that 400 000 trials scatter.
    #[test]
    fn val_gauge_block() {
        let freedoms = [18.0, 24.0, 5.0, 8.0, f64::INFINITY];
        let even = |word: u32| (f64::from(word) + 0.5) / 4_294_967_296.0;
        // A rectangle of middle 0 whose half width is known to ± `doubt`.
        let trapezoid =
            |half: f64, doubt: f64, a: u32, b: u32| (half - doubt + 2.0 * doubt * even(a)) * (2.0 * even(b) - 1.0);
        let n = 400_000;
        let mut z = [0.0; 5];
        let mut lengths: Vec<f64> = Vec::new();
        for trial in 0..n {
            standard(9, trial, &freedoms, &mut z);
            let [a, b, c, d] = words([trial, 0, 2, 0], [9, 0]);
            let [e, f, ..] = words([trial, 1, 2, 0], [9, 0]);
            let master = 623.0 + 25.0 * z[0];
            let difference = 215.0 + 6.0 * z[1] + 4.0 * z[2] + 7.0 * z[3];
            let warmth = -0.1 + 0.2 * z[4] + 0.5 * libm::cos(std::f64::consts::TAU * even(e));
            let expands = 9.5e-6 + 4e-6 * even(f);
            let (apart, warmer) = (trapezoid(1e-6, 0.1e-6, a, b), trapezoid(0.05, 0.025, c, d));
            lengths.push(master + difference - (5e7 + master) * (apart * warmth + expands * warmer));
        }
        let mean = lengths.iter().sum::<f64>() / f64::from(n);
        let variance = lengths.iter().map(|y| (y - mean) * (y - mean)).sum::<f64>() / f64::from(n - 1);
        lengths.sort_by(f64::total_cmp);
        let inside = lengths.len() * 99 / 100;
        let width = |i: &usize| lengths[i + inside] - lengths[*i];
        let from = (0..lengths.len() - inside).min_by(|i, j| width(i).total_cmp(&width(j))).unwrap();
        let (low, high) = (lengths[from], lengths[from + inside]);
        assert!((mean - 838.0).abs() < 0.5 && (variance.sqrt() - 36.0).abs() < 0.5, "{mean} {}", variance.sqrt());
        assert!((low - 745.0).abs() < 2.5 && (high - 932.0).abs() < 2.5, "{low} {high}");
    }
}
