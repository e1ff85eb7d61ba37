//! Surfaces from files: what is written is read again, liars are found out, garbage is refused.
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use shape::*;

fn ball() -> Surface {
    Surface::of(&Ball::new([0.0; 3], 1.0).unwrap(), 0.25).unwrap()
}

#[test]
fn a_surface_comes_back_from_its_file() {
    let s = ball();
    let back = Surface::from_stl(&s.to_stl()).unwrap();
    assert_eq!((back.facets().len(), back.points().len(), back.open_edges()), (s.facets().len(), s.points().len(), 0));
    assert!((back.volume() / s.volume() - 1.0).abs() < 1e-6);
}

#[test]
fn text_and_binary_are_told_apart_by_their_content() {
    let mut lying = ball().to_stl();
    lying[..6].copy_from_slice(b"solid ");
    assert!(Surface::from_stl(&lying).is_ok());
    let text = b"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1e0 0\nendloop\nendfacet\nendsolid a\n";
    assert!((Surface::from_stl(text).unwrap().area() - 0.5).abs() < 1e-12);
    assert!(Surface::from_stl(&lying[..lying.len() - 7]).is_err(), "a file cut short");
    assert!(Surface::from_stl(b"vertex 1 2 nan\nvertex 0 0 0\nvertex 1 1 1\n").is_err());
}

proptest! {
    #[test]
    fn reading_survives_garbage(bytes in prop::collection::vec(any::<u8>(), 0..400), flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..20)) {
        let _ = Surface::from_stl(&bytes);
        let mut mutated = ball().to_stl();
        for (at, value) in flips {
            let n = at.index(mutated.len());
            mutated[n] = value;
        }
        let _ = Surface::from_stl(&mutated);
    }
}
