use super::super::fit::{Measured, fit};
use super::close;
use crate::units::Length;
use std::f64::consts::PI;

fn wraps(factor: f64, thickness: i64, errors: &[f64]) -> Vec<Measured> {
    let sizes = [33.4, 60.3, 88.9, 114.3, 168.3, 219.1, 323.9];
    let wrap = |(&under, &error): (&f64, &f64)| Measured {
        under: Length::from_mm_f64_nearest(under).unwrap(),
        thickness: Length::from_mm(thickness),
        length: Length::from_mm_f64_nearest(
            PI * (under + 2.0 * factor * f64::from(i32::try_from(thickness).unwrap())) + error,
        )
        .unwrap(),
    };
    sizes.iter().zip(errors).map(wrap).collect()
}

/// Construction: wraps made with a known factor give it back.
#[test]
fn a_known_factor_comes_back() {
    for (factor, thickness) in [(0.0, 5), (0.62, 10), (1.0, 10)] {
        let fitted = fit(&wraps(factor, thickness, &[0.0; 7]));
        assert_eq!(fitted.len(), 1);
        close(fitted[0].factor.f64(), factor, 2e-6);
        assert!(fitted[0].wraps.iter().all(|w| !w.outlier && w.residual.abs() < 1e-3));
    }
}

/// One wrap marked 30 mm off does not move the factor, and is named.
#[test]
fn an_outlier_is_named_and_left_out() {
    let errors = [0.5, -0.5, 1.0, -1.0, 30.0, 0.5, -0.5];
    let fitted = fit(&wraps(0.7, 10, &errors));
    let outliers: Vec<usize> =
        fitted[0].wraps.iter().filter(|w| w.outlier).map(|w| w.index).collect();
    assert_eq!(outliers, [4]);
    // The others' errors add up to nothing.
    close(fitted[0].factor.f64(), 0.7, 1e-6);
    close(fitted[0].wraps[4].residual, 30.0, 1e-3);
}

#[test]
fn thicknesses_are_fitted_apart() {
    let mut all = wraps(0.8, 5, &[0.0; 7]);
    all.extend(wraps(0.6, 10, &[0.0; 7]));
    let fitted = fit(&all);
    let factors: Vec<f64> = fitted.iter().map(|f| f.factor.f64()).collect();
    close(factors[0], 0.8, 2e-6);
    close(factors[1], 0.6, 2e-6);
    assert!(fit(&[]).is_empty());
}
