//! Pictures of surfaces: what is seen, legend, contour, marks, words, and the same bytes each time.
#![allow(clippy::unwrap_used)]

use picture::*;
use proptest::prelude::*;

/// A square of two facets in z = 0, and a smaller one over its middle.
fn squares() -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
    let square = |r: f64, z: f64| [[-r, -r, z], [r, -r, z], [r, r, z], [-r, r, z]];
    let points = square(2.0, 0.0).into_iter().chain(square(0.7, 1.0)).collect();
    (points, vec![[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]])
}

fn how() -> SurfacePicture {
    SurfacePicture {
        size: [480, 300],
        view: View { from: [0.0, 0.0, 1.0], up: [0.0, 1.0, 0.0] },
        map: ColourMap::OneWay,
        steps: None,
        quantity: "thickness".to_owned(),
        unit: "mm".to_owned(),
        spots: vec![],
    }
}

#[test]
fn the_nearer_facet_hides_the_farther_and_the_ground_shows_beside_both() {
    let (points, facets) = squares();
    let values = [Some(1.0), Some(1.0), Some(2.0), Some(2.0)];
    let p = surface_picture(&points, &facets, SurfaceValues::AtFacets(&values), &how()).unwrap();
    assert_eq!(p.size(), [480, 300]);
    let (middle, rim, ground) = (p.pixel(152, 150), p.pixel(60, 150), p.pixel(2, 2));
    assert!(middle != rim && ground == Rgb(255, 255, 255), "{middle:?} {rim:?} {ground:?}");
    assert!(middle.luminance() > rim.luminance(), "more is lighter");
    let from_behind = SurfacePicture { view: View { from: [0.0, 0.0, -1.0], up: [0.0, 1.0, 0.0] }, ..how() };
    let q = surface_picture(&points, &facets, SurfaceValues::AtFacets(&values), &from_behind).unwrap();
    assert_eq!(q.pixel(152, 150), Rgb(0x8c, 0x8c, 0x8c), "an inside is grey, whatever its value");
}

#[test]
fn a_line_runs_where_one_step_meets_the_next_and_unknown_is_grey() {
    let (points, facets) = squares();
    let values: Vec<Option<f64>> = points.iter().map(|p| Some(p[0])).collect();
    let p = surface_picture(&points, &facets[..2], SurfaceValues::AtPoints(&values), &how()).unwrap();
    let light = |x: usize| p.pixel(x, 40).luminance();
    let dark = (22..280).filter(|x| light(*x) < 0.7 * light(x - 2).min(light(x + 2))).count();
    assert!((4..40).contains(&dark), "{dark} lines along a row");
    let unknown = surface_picture(&points, &facets[..2], SurfaceValues::AtPoints(&[None; 8]), &how()).unwrap();
    assert_eq!(unknown.pixel(240, 150), Rgb(0xc8, 0xc8, 0xc8));
}

#[test]
fn words_tell_range_steps_unknowns_and_marks() {
    let (points, facets) = squares();
    let values = [Some(0.5), None, Some(2.0), Some(1.0)];
    let spots = vec![MarkedSpot { place: [0.0, 0.0, 1.0], label: "0.50 mm".to_owned() }];
    let p = surface_picture(&points, &facets, SurfaceValues::AtFacets(&values), &SurfacePicture { spots, ..how() })
        .unwrap();
    for part in
        ["thickness in mm", "from 0.5 to 2.0", "steps of 0.2", "Unknown at 1 of 4", "0.50 mm at (0.00, 0.00, 1.00)"]
    {
        assert!(p.alternative.contains(part), "{part} is not in: {}", p.alternative);
    }
}

#[test]
fn the_same_data_give_the_same_png() {
    let (points, facets) = squares();
    let values = [Some(0.5), None, Some(2.0), Some(1.0)];
    let make = || surface_picture(&points, &facets, SurfaceValues::AtFacets(&values), &how()).unwrap().png().unwrap();
    let bytes = make();
    assert_eq!(bytes, make());
    assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    assert_eq!(&bytes[16..24], [480u32.to_be_bytes(), 300u32.to_be_bytes()].concat());
    assert!(bytes.windows(11).any(|w| w == b"Description"));
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    let (points, facets) = squares();
    let draw = |facets: &[[u32; 3]], values: SurfaceValues, how: &SurfacePicture| {
        surface_picture(&points, facets, values, how).err()
    };
    assert!(matches!(draw(&[], SurfaceValues::Plain, &how()), Some(Undrawable::Empty { .. })));
    assert!(matches!(draw(&[[0, 1, 9]], SurfaceValues::Plain, &how()), Some(Undrawable::Mismatch { .. })));
    assert!(matches!(draw(&facets, SurfaceValues::AtFacets(&[None]), &how()), Some(Undrawable::Mismatch { .. })));
    assert!(matches!(
        draw(&facets, SurfaceValues::AtFacets(&[Some(f64::NAN); 4]), &how()),
        Some(Undrawable::NotFinite { .. })
    ));
    let along = SurfacePicture { view: View { from: [0.0, 1.0, 0.0], up: [0.0, 1.0, 0.0] }, ..how() };
    assert!(matches!(draw(&facets, SurfaceValues::Plain, &along), Some(Undrawable::Mismatch { .. })));
    assert!(matches!(
        draw(&facets, SurfaceValues::Plain, &SurfacePicture { size: [10, 10], ..how() }),
        Some(Undrawable::Mismatch { .. })
    ));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn any_facets_are_drawn_or_refused(
        points in prop::collection::vec(prop::array::uniform3(-1e6f64..1e6), 1..12),
        facets in prop::collection::vec(prop::array::uniform3(0u32..12), 1..12),
        from in prop::array::uniform3(-1.0f64..1.0), values in prop::collection::vec(prop::option::of(-1e11f64..1e11), 12),
    ) {
        let how = SurfacePicture { size: [240, 160], view: View { from, up: [0.0, 0.3, 1.0] }, ..how() };
        let _ = surface_picture(&points, &facets, SurfaceValues::AtPoints(&values[..points.len()]), &how);
        let _ = surface_picture(&points, &facets, SurfaceValues::AtFacets(&values[..facets.len()]), &how);
    }
}
