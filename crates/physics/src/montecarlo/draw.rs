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

/// Fills `out` with the standard normal draws of one trial.
pub(super) fn normals(seed: u64, trial: u32, out: &mut [f64]) {
    let key = [seed as u32, (seed >> 32) as u32];
    for (block, four) in out.chunks_mut(4).enumerate() {
        let words = words([trial, block as u32, 0, 0], key);
        for (z, word) in four.iter_mut().zip(words) {
            *z = quantile((f64::from(word) + 0.5) / 4_294_967_296.0);
        }
    }
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
            normals(7, trial, &mut z);
            sum += z.iter().sum::<f64>();
            squares += z.iter().map(|z| z * z).sum::<f64>();
            products += z.windows(2).map(|w| w[0] * w[1]).sum::<f64>();
        }
        let n = f64::from(n);
        assert!((sum / n).abs() < 4.0 / n.sqrt() && (squares / n - 1.0).abs() < 4.0 * (2.0 / n).sqrt());
        assert!((products / (0.9 * n)).abs() < 4.0 / (0.9 * n).sqrt());
    }
}
