//! Thickness against an independent library: trimesh, double-precision rays, on a bumpy hollow body; values stored with the script that made
//! them (`tests/reference/thickness.py`). Tolerance: 1 micrometre for 99.9 % of facets, the aim; rays that graze an edge may differ.
#![allow(clippy::unwrap_used)]

use shape::*;

fn rows<T: std::str::FromStr>(text: &str) -> Vec<[T; 3]>
where
    T::Err: std::fmt::Debug,
{
    let row = |line: &str| line.split(',').map(|w| w.parse().unwrap()).collect::<Vec<T>>().try_into().ok().unwrap();
    text.lines().skip(1).map(row).collect()
}

#[test]
fn ray_thickness_area_and_volume_agree_with_the_reference_library() {
    let points = rows::<f64>(include_str!("reference/thickness_points.csv"));
    let facets = rows::<u32>(include_str!("reference/thickness_facets.csv"));
    let text = include_str!("reference/thickness_values.csv");
    let expected: Vec<f64> = text.lines().filter(|l| !l.starts_with('#')).map(|l| l.parse().unwrap()).collect();
    let head = |name: &str| -> f64 {
        let part = text.lines().next().unwrap().split("; ").find_map(|p| p.strip_prefix(name)).unwrap();
        part.trim().parse().unwrap()
    };
    let s = Surface::new(points, facets).unwrap();
    let found = thickness_at_facets(&s);
    assert_eq!(found.len(), expected.len());
    let same = found.iter().zip(&expected).filter(|(f, e)| (f.ray.unwrap() - **e).abs() <= 1e-3).count();
    let share = same as f64 / expected.len() as f64;
    println!(
        "validation | ray thickness within 1 micrometre | trimesh, stored values | 99.9 % | {:.2} % of {} | {} | bumpy hollow body",
        100.0 * share,
        expected.len(),
        if share >= 0.999 { "hit" } else { "miss" }
    );
    assert!(share >= 0.999, "{same} of {}", expected.len());
    assert!((s.area() / head("area ") - 1.0).abs() < 1e-9 && (s.volume() / head("volume ") - 1.0).abs() < 1e-9);
    assert!(found.iter().all(|t| t.ball <= t.ray.unwrap() * (1.0 + 1e-9)));
}
