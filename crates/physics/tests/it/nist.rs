//! The certified regressions of NIST StRD: files, models as the files state them, slopes derived by hand.

pub type Curve = fn(f64, &[f64], &mut [f64]) -> f64;

/// Each set with its model as the file states it; slopes derived by hand.
pub const SETS: [(&str, &str, Curve); 10] = [
    ("Misra1a", include_str!("../data/nist/Misra1a.dat"), exponential_rise),
    ("Misra1b", include_str!("../data/nist/Misra1b.dat"), hyperbolic_rise),
    ("BoxBOD", include_str!("../data/nist/BoxBOD.dat"), exponential_rise),
    ("Chwirut2", include_str!("../data/nist/Chwirut2.dat"), decay_over_line),
    ("Thurber", include_str!("../data/nist/Thurber.dat"), cubic_over_cubic),
    ("MGH09", include_str!("../data/nist/MGH09.dat"), quadratic_over_quadratic),
    ("Hahn1", include_str!("../data/nist/Hahn1.dat"), cubic_over_cubic),
    ("Rat42", include_str!("../data/nist/Rat42.dat"), logistic),
    ("Rat43", include_str!("../data/nist/Rat43.dat"), skewed_logistic),
    ("Eckerle4", include_str!("../data/nist/Eckerle4.dat"), bell),
];

pub fn exponential_rise(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    slopes[0] = -(-b[1] * x).exp_m1();
    slopes[1] = b[0] * x * (-b[1] * x).exp();
    b[0] * slopes[0]
}

fn hyperbolic_rise(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let base = 1.0 + b[1] * x / 2.0;
    slopes[0] = 1.0 - base.powi(-2);
    slopes[1] = b[0] * x * base.powi(-3);
    b[0] * slopes[0]
}

fn decay_over_line(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let line = b[1] + b[2] * x;
    let y = (-b[0] * x).exp() / line;
    slopes.copy_from_slice(&[-x * y, -y / line, -x * y / line]);
    y
}

fn cubic_over_cubic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let powers = [1.0, x, x * x, x * x * x];
    let below = 1.0 + (1..4).map(|i| b[3 + i] * powers[i]).sum::<f64>();
    let y = (0..4).map(|i| b[i] * powers[i]).sum::<f64>() / below;
    (0..4).for_each(|i| slopes[i] = powers[i] / below);
    (1..4).for_each(|i| slopes[3 + i] = -y * powers[i] / below);
    y
}

fn quadratic_over_quadratic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let (above, below) = (x * x + x * b[1], x * x + x * b[2] + b[3]);
    let y = b[0] * above / below;
    slopes.copy_from_slice(&[above / below, b[0] * x / below, -y * x / below, -y / below]);
    y
}

fn logistic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (b[1] - b[2] * x).exp();
    let y = b[0] / (1.0 + e);
    slopes.copy_from_slice(&[1.0 / (1.0 + e), -y * e / (1.0 + e), y * x * e / (1.0 + e)]);
    y
}

fn skewed_logistic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (b[1] - b[2] * x).exp();
    let share = (1.0 + e).powf(-1.0 / b[3]);
    let y = b[0] * share;
    let by_exponent = -y / b[3] * e / (1.0 + e);
    slopes.copy_from_slice(&[share, by_exponent, -x * by_exponent, y * e.ln_1p() / (b[3] * b[3])]);
    y
}

fn bell(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let z = (x - b[2]) / b[1];
    let shape = (-0.5 * z * z).exp() / b[1];
    let y = b[0] * shape;
    slopes.copy_from_slice(&[shape, y * (z * z - 1.0) / b[1], y * z / b[1]]);
    y
}

/// What a file of the collection holds: lines from 41 are `b1 = start1 start2 certified deviation`, from 61 points.
pub struct Certified {
    pub starts: [Vec<f64>; 2],
    pub parameters: Vec<f64>,
    pub deviations: Vec<f64>,
    pub residual_sum: f64,
    pub x: Vec<f64>,
    pub y: Vec<f64>,
}

pub fn read(text: &str) -> Certified {
    let numbers = |line: &str| -> Vec<f64> { line.split_whitespace().filter_map(|w| w.parse().ok()).collect() };
    let rows: Vec<_> = text.lines().skip(40).take_while(|l| l.contains('=')).map(numbers).collect();
    let column = |rows: &[Vec<f64>], i: usize| rows.iter().map(|r| r[i]).collect::<Vec<_>>();
    let points: Vec<_> = text.lines().skip(60).map(numbers).filter(|r| r.len() == 2).collect();
    let sum = text.lines().find(|l| l.starts_with("Residual Sum of Squares")).expect("a certified sum");
    Certified {
        starts: [column(&rows, 0), column(&rows, 1)],
        parameters: column(&rows, 2),
        deviations: column(&rows, 3),
        residual_sum: numbers(sum)[0],
        x: column(&points, 1),
        y: column(&points, 0),
    }
}
