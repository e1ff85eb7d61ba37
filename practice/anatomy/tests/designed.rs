//! A restoration's design against closed forms: a cup of known walls, three blocks on a bar.

#![allow(clippy::unwrap_used)] // helpers of tests

use anatomy::{DesignNeeds, Needs, connectors, crown_thickness, unit_thickness};
use catalogue::words::Surface as Zone;
use shape::{Block, Difference, Surface, Union};

fn all(mm: f64) -> Needs {
    Needs { occlusal: mm, facial: mm, lingual: mm, proximal: mm, margin: mm }
}

/// A cup upside down: outside 8 x 8 x 6 mm, walls of 1.0 mm, roof of 1.5 mm.
fn cup() -> Surface {
    let outside = Block::new([0.0, 0.0, 3.0], [8.0, 8.0, 6.0], 0.0).unwrap();
    let inside = Block::new([0.0, 0.0, 1.75], [6.0, 6.0, 5.5], 0.0).unwrap();
    Surface::of(&Difference::new(outside, inside), 0.25).unwrap()
}

#[test]
fn walls_and_roof_of_a_cup_are_as_thick_as_they_were_made() {
    let needs = DesignNeeds { working: all(1.2), tested: all(0.9) };
    let found = crown_thickness(&cup(), &needs);
    let of = |zone: Zone| found.iter().find(|z| z.zone == Some(zone)).unwrap();
    let roof = of(Zone::Occlusal);
    // A ball in the middle of the roof measures it; the outer edges' small balls do not count.
    assert!((roof.usual - 1.5).abs() < 0.02, "{roof:?}");
    assert!(roof.below_tested.is_empty(), "{roof:?}");
    for zone in [Zone::Facial, Zone::Lingual, Zone::Proximal] {
        let wall = of(zone);
        assert!((wall.usual - 1.0).abs() < 0.02, "{wall:?}");
        // Thinner than 1.2 nearly everywhere, nowhere thinner than 0.9.
        let thin: f64 = wall.below_working.iter().map(|s| s.area).sum();
        assert!(thin > 0.8 * wall.area && wall.below_tested.is_empty(), "{wall:?}");
    }
}

#[test]
fn without_a_tooth_the_walls_are_one_zone() {
    let found = unit_thickness(&cup(), &DesignNeeds { working: all(1.2), tested: all(0.9) });
    assert_eq!(found.len(), 2);
    let walls = found.iter().find(|z| z.zone.is_none()).unwrap();
    // Four walls of 6 mm, 4.5 mm high less the millimetre of the rim.
    assert!((walls.usual - 1.0).abs() < 0.02 && (walls.area / 84.0 - 1.0).abs() < 0.02, "{walls:?}");
}

#[test]
fn connectors_are_the_waists_between_the_teeth() {
    let tooth = |x: f64| Block::new([x, 0.0, 0.0], [7.0, 8.0, 7.0], 0.0).unwrap();
    let bar = |x: f64, height: f64| Block::new([x, 0.0, 0.5], [3.0, 3.0, height], 0.0).unwrap();
    let ends = Union::new(tooth(-9.0), tooth(9.0), 0.0).unwrap();
    let bars = Union::new(bar(-4.5, 3.0), bar(4.5, 4.0), 0.0).unwrap();
    let whole = Union::new(Union::new(ends, tooth(0.0), 0.0).unwrap(), bars, 0.0).unwrap();
    let found = connectors(&Surface::of(&whole, 0.25).unwrap(), 3).unwrap();
    assert_eq!(found.len(), 2);
    let mut areas: Vec<f64> = found.iter().map(|s| s.area).collect();
    areas.sort_by(f64::total_cmp);
    assert!((areas[0] - 9.0).abs() < 0.1 && (areas[1] - 12.0).abs() < 0.1, "{areas:?}");
    assert!(found.iter().all(|s| (s.width - 3.0).abs() < 0.05), "{found:?}");
    // One tooth has no connector.
    assert!(connectors(&cup(), 1).unwrap().is_empty());
}
