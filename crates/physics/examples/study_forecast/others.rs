//! Other ways of forecasting, for comparison: (minutes, °C) readings in, minute of arrival out.

/// Straight line through the last half of the readings.
pub fn line(points: &[(f64, f64)], target: f64) -> Option<f64> {
    let half = &points[points.len() / 2..];
    let half = if half.len() < 2 { points } else { half };
    let n = half.len() as f64;
    let (mt, my) = (half.iter().map(|p| p.0).sum::<f64>() / n, half.iter().map(|p| p.1).sum::<f64>() / n);
    let sxy: f64 = half.iter().map(|p| (p.0 - mt) * (p.1 - my)).sum();
    let sxx: f64 = half.iter().map(|p| (p.0 - mt).powi(2)).sum();
    let slope = sxy / sxx;
    (slope > 0.0 && slope.is_finite()).then(|| mt + (target - my) / slope)
}

/// Plain least squares of T_end − (T_end − T_start)·e^(−t/τ): linear in two, a fine search in τ.
pub fn exponential(points: &[(f64, f64)], target: f64) -> Option<f64> {
    let mut best = (f64::INFINITY, 0.0, 0.0, 0.0);
    for k in 0..400 {
        let tau = 0.5 * (2000.0f64 / 0.5).powf(f64::from(k) / 399.0);
        let (mut s, mut sx, mut sxx, mut sy, mut sxy) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for &(t, y) in points {
            let x = 1.0 - (-(t - points[0].0) / tau).exp();
            (s, sx, sxx, sy, sxy) = (s + 1.0, sx + x, sxx + x * x, sy + y, sxy + x * y);
        }
        let det = s * sxx - sx * sx;
        let (start, span) = ((sxx * sy - sx * sxy) / det, (s * sxy - sx * sy) / det);
        let rss: f64 =
            points.iter().map(|&(t, y)| (y - start - span * (1.0 - (-(t - points[0].0) / tau).exp())).powi(2)).sum();
        if rss < best.0 {
            best = (rss, tau, start, span);
        }
    }
    let (_, tau, start, span) = best;
    let left = 1.0 - (target - start) / span;
    (span > 0.0 && left > 0.0 && left < 1.0).then(|| points[0].0 - tau * left.ln())
}

/// Kalman filter on temperature and rate, the rate a random walk; quantiles of arrival by growing variance.
pub fn kalman(points: &[(f64, f64)], target: f64, step: f64) -> Option<[f64; 3]> {
    const WALK: f64 = 0.15;
    let noise = 0.01 + step * step / 12.0;
    let (mut x, mut v) = (points[0].1, 1.5);
    let (mut pxx, mut pxv, mut pvv) = (noise, 0.0, 2.0);
    for w in points.windows(2) {
        let dt = w[1].0 - w[0].0;
        let q = WALK * WALK;
        x += v * dt;
        pxx += 2.0 * dt * pxv + dt * dt * pvv + q * dt.powi(3) / 3.0;
        pxv += dt * pvv + q * dt * dt / 2.0;
        pvv += q * dt;
        let s = pxx + noise;
        let (kx, kv, e) = (pxx / s, pxv / s, w[1].1 - x);
        x += kx * e;
        v += kv * e;
        pvv -= kv * pxv;
        pxv -= kx * pxv;
        pxx -= kx * pxx;
    }
    let now = points[points.len() - 1].0;
    let quantile = |z: f64| {
        (0..24_000).map(|i| f64::from(i) * 0.01).find(|&h| {
            let var = pxx + 2.0 * h * pxv + h * h * pvv + WALK * WALK * h.powi(3) / 3.0;
            x + v * h + z * var.sqrt() >= target
        })
    };
    Some([now + quantile(1.2816)?, now + quantile(0.0)?, now + quantile(-1.2816).unwrap_or(240.0)])
}
