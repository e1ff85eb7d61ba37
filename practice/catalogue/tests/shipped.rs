//! The shipped facts hold together, and a broken row says where it is broken.

use catalogue::Catalogue;
use catalogue::words::{Build, Construct, Material, Region, Tooth};

// A test that cannot read the facts has failed.
#[allow(clippy::unwrap_used)]
fn shipped() -> Catalogue {
    Catalogue::shipped().map_err(|issues| issues.iter().map(|i| format!("\n{i}")).collect::<String>()).unwrap()
}

#[test]
fn every_row_reads_and_every_source_resolves() {
    let catalogue = shipped();
    // Own media and colours are a practice's: shipped empty.
    assert!(
        catalogue.index().iter().all(|t| t.rows > 0 || ["media.csv", "own_colours.csv"].contains(&t.name.as_str()))
    );
    assert!(catalogue.studies().iter().filter(|s| s.usable.is_ok()).count() > 100);
}

#[test]
fn every_unusable_arm_says_why() {
    for study in shipped().studies() {
        if let Err(reason) = &study.usable {
            assert!(!reason.is_empty(), "{} gives no reason", study.id);
        }
    }
}

#[test]
fn every_tooth_has_dimensions() {
    let catalogue = shipped();
    assert!(Tooth::all().all(|t| catalogue.tooth(t).is_some_and(|d| d.crown_height_mm > 5.0)));
}

#[test]
fn monolithic_3y_needs_less_room_than_metal_ceramic() {
    // Common practice, no source: full-contour 3Y is chosen where room is short.
    let catalogue = shipped();
    let occlusal = |material, build| {
        let needs = catalogue.needs(Construct::Crown, material, build, Region::Posterior, 0);
        needs.iter().find(|n| n.dimension == "occlusal").map(|n| n.working).unwrap()
    };
    assert!(occlusal(Material::Zirconia3y, Build::Monolithic) < occlusal(Material::MetalCeramic, Build::Layered));
}

#[test]
fn working_dimensions_are_not_below_the_minimum() {
    let catalogue = shipped();
    for construct in Construct::ALL {
        for material in Material::ALL {
            for build in Build::ALL {
                for need in catalogue.needs(*construct, *material, *build, Region::Posterior, 1) {
                    let maximum = need.dimension.ends_with("_max");
                    assert!(maximum || need.working >= need.minimum.low - 1e-9, "{}", need.id);
                }
            }
        }
    }
}

#[test]
fn an_own_row_replaces_a_shipped_one() {
    let header =
        "id,condition,applies_to_construct,applies_to_material,applies_to_build,action,remedy,source,basis,date,note\n";
    let row = "allergy_not_asked,not asked,any,any,any,stop,ask,common_practice,own,2026-01-01,\n";
    let own = Catalogue::with_own(&[("stops.csv".to_owned(), format!("{header}{row}"))]).unwrap();
    let stop = own.stops().iter().find(|s| s.id == "allergy_not_asked").unwrap();
    assert_eq!(stop.action, catalogue::StopAction::Stop);
    assert_eq!(own.stops().len(), shipped().stops().len());
}

#[test]
fn a_broken_own_row_names_file_line_and_column() {
    let header =
        "id,condition,applies_to_construct,applies_to_material,applies_to_build,action,remedy,source,basis,date,note\n";
    let row = "x,y,any,zirkonia_3y,any,stop,z,common_practice,own,2026-01-01,\n";
    let issues = Catalogue::with_own(&[("stops.csv".to_owned(), format!("{header}{row}"))]).unwrap_err();
    assert_eq!(issues.len(), 1);
    assert!(issues[0].place.file.contains("stops.csv") && issues[0].place.line == Some(2));
    assert!(issues[0].remedy.contains("zirconia_3y"));
    let unknown = Catalogue::with_own(&[("stop.csv".to_owned(), String::new())]).unwrap_err();
    assert!(unknown[0].remedy.contains("stops.csv"));
}
