//! The standard normal distribution.

/// Quantile of the standard normal distribution for 0 < p < 1, good to 7 digits.
///
/// Source: Wichura, algorithm AS 241 (PPND7), Applied Statistics 37(3), 1988; from memory, checked below.
pub(crate) fn quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        let above = ((59.109_374_720 * r + 159.291_132_02) * r + 50.434_271_938) * r + 3.387_132_717_9;
        return q * above / (((67.187_563_600 * r + 78.757_757_664) * r + 17.895_169_469) * r + 1.0);
    }
    let r = (-libm::log(if q < 0.0 { p } else { 1.0 - p })).sqrt();
    let size = if r <= 5.0 {
        let r = r - 1.6;
        (((0.170_238_211_03 * r + 1.306_728_481_6) * r + 2.756_815_390_0) * r + 1.423_437_277_7)
            / ((0.120_211_329_75 * r + 0.737_001_642_50) * r + 1.0)
    } else {
        let r = r - 5.0;
        (((0.017_337_203_997 * r + 0.428_682_943_37) * r + 3.081_226_386_0) * r + 6.657_905_115_0)
            / ((0.012_258_202_635 * r + 0.241_978_942_25) * r + 1.0)
    };
    size.copysign(q)
}

#[cfg(test)]
mod tests {
    use super::quantile;

    /// scipy.special.ndtri, digits as printed there.
    #[test]
    fn val_normal_quantiles() {
        for (p, expected) in QUANTILES {
            assert!((quantile(p) - expected).abs() < 2e-7 * expected.abs().max(1.0), "{p}: {}", quantile(p));
            assert!((quantile(1.0 - p) + quantile(p)).abs() < 1e-5);
        }
    }

    const QUANTILES: [(f64, f64); 8] = [
        (1e-09, -5.9978070150076865),
        (1e-06, -4.753424308822899),
        (0.001, -3.090232306167813),
        (0.025, -1.9599639845400545),
        (0.07, -1.4757910281791706),
        (0.2, -0.8416212335729142),
        (0.4, -0.2533471031357997),
        (0.5, 0.0),
    ];
}
