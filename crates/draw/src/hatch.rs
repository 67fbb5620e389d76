//! Hatching as plain lines, the same on page and paper, and cutting outlines along a line.

/// One stroke of hatching, from end to end.
pub type Stroke = ((f64, f64), (f64, f64));

/// More strokes than this are a tone, not hatching.
const MOST_STROKES: f64 = 2_000.0;

/// The strokes of parallel hatching inside a closed outline. The hatching is fixed to the origin of the picture, so areas
/// that touch carry on each other's lines. Empty for a spacing that is not positive or an outline of no size.
pub fn hatch_strokes(outline: &[(f64, f64)], angle_deg: f64, spacing: f64) -> Vec<Stroke> {
    let (sin, cos) = (-angle_deg.to_radians()).sin_cos();
    if spacing.is_nan() || spacing <= 0.0 || !sin.is_finite() {
        return Vec::new();
    }
    // u runs along the strokes, v across them.
    let turned: Vec<(f64, f64)> = outline.iter().map(|&(x, y)| (x * cos + y * sin, y * cos - x * sin)).collect();
    let low = turned.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = turned.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let (first, last) = ((low / spacing).floor(), (high / spacing).ceil());
    let count = last - first;
    if count.is_nan() || count > MOST_STROKES {
        return Vec::new();
    }
    let mut strokes = Vec::new();
    let mut k = first;
    while k <= last {
        let v = (k + 0.5) * spacing;
        let mut crossings: Vec<f64> = Vec::new();
        for (i, &(u0, v0)) in turned.iter().enumerate() {
            let (u1, v1) = turned[(i + 1) % turned.len()];
            if (v0 <= v) != (v1 <= v) {
                crossings.push(u0 + (v - v0) / (v1 - v0) * (u1 - u0));
            }
        }
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let back = |u: f64| (u * cos - v * sin, u * sin + v * cos);
            strokes.push((back(pair[0]), back(pair[1])));
        }
        k += 1.0;
    }
    strokes
}

/// The part of a closed outline where `keep` is not negative; `keep` must be linear in the point.
pub(crate) fn cut(outline: &[(f64, f64)], keep: impl Fn((f64, f64)) -> f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::new();
    for (i, &p) in outline.iter().enumerate() {
        let q = outline[(i + 1) % outline.len()];
        let (kp, kq) = (keep(p), keep(q));
        if kp >= 0.0 {
            kept.push(p);
        }
        if (kp >= 0.0) != (kq >= 0.0) {
            let f = kp / (kp - kq);
            kept.push((p.0 + f * (q.0 - p.0), p.1 + f * (q.1 - p.1)));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hand_level_hatching_of_a_square() {
        // A 10 × 10 square hatched level every 2.5: strokes at 1.25, 3.75, 6.25, 8.75, each 10 long.
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let strokes = hatch_strokes(&square, 0.0, 2.5);
        let heights: Vec<f64> = strokes.iter().map(|s| s.0.1).collect();
        assert_eq!(heights, [1.25, 3.75, 6.25, 8.75]);
        assert!(strokes.iter().all(|s| (s.1.0 - s.0.0 - 10.0).abs() < 1e-9));
    }

    #[test]
    fn law_hatching_covers_the_area() {
        // Total length times spacing tends to the area, whatever the angle: a triangle of 50 × 80 / 2 = 2000.
        let triangle = [(0.0, 0.0), (50.0, 0.0), (10.0, 80.0)];
        for angle in [0.0, 30.0, 45.0, 90.0, 135.0] {
            let length: f64 = hatch_strokes(&triangle, angle, 0.5)
                .iter()
                .map(|(a, b)| ((b.0 - a.0).powi(2) + (b.1 - a.1).powi(2)).sqrt())
                .sum();
            assert!((length * 0.5 - 2000.0).abs() < 10.0, "{angle}: {length}");
        }
    }

    #[test]
    fn hand_cut_keeps_the_lower_half() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let half = cut(&square, |p| p.1 - 5.0);
        assert_eq!(half, [(10.0, 5.0), (10.0, 10.0), (0.0, 10.0), (0.0, 5.0)]);
        assert!(cut(&square, |_| -1.0).is_empty());
    }
}
