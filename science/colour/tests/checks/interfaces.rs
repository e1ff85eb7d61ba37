//! Fresnel reflectance for diffuse light by numerical quadrature (4000-point Gauss-Legendre, independent program): 28 pairs of media.

use crate::tables::rows;
use colour::Interface;
use colour::interface::normal;

#[test]
fn all_pairs_of_media() {
    let rows = rows(include_str!("../reference/interface_reflectance.csv"));
    assert_eq!(rows.len(), 28);
    for row in rows {
        let v: Vec<f64> = [1, 3, 4, 5, 6].map(|i: usize| row[i].parse().unwrap()).to_vec();
        let boundary = Interface::between(v[0], v[1]);
        // Six printed decimals.
        assert!((normal(v[1] / v[0]) - v[2]).abs() < 6e-7, "{row:?}");
        assert!((boundary.from_above - v[3]).abs() < 6e-7, "{row:?}: {boundary:?}");
        assert!((boundary.from_below - v[4]).abs() < 6e-7, "{row:?}: {boundary:?}");
        let turned = Interface::between(v[1], v[0]);
        assert_eq!((turned.from_below, turned.from_above), (boundary.from_above, boundary.from_below));
    }
}
