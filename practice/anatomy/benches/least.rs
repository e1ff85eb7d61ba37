//! Time of the least preparation for all needs of a three-unit bridge, from forms and from scans of 300,000 facets.
//!
//! `cargo bench -p anatomy --bench least`. The bridge 45-47: 24 different needs (as many as builds and materials ask for in a full plan) on
//! two abutments, 256 draws, one common path. Inputs vary from run to run by their seed; every answer is checked inside the timed run.

// A bench prints, and stops at the first fault.
#![allow(clippy::expect_used, clippy::print_stdout)]

use anatomy::{
    Arch, FilledScan, LatticeBody, Needs, Seen, Shown, StandingTooth, ToothForm, ToothParts, common_path, fit_scan,
    is_mirrored,
};
use answer::World;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use rayon::prelude::*;
use shape::Surface;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Instant;

const REPEATS: u64 = 5;

fn main() {
    let catalogue = Catalogue::shipped().expect("facts");
    let tooth = |c: u8| Tooth::new(c).expect("a tooth");
    let forms: BTreeMap<Tooth, ToothForm> =
        (31..=38).chain(41..=48).map(|c| (tooth(c), ToothForm::of(&catalogue, tooth(c)).expect("form"))).collect();
    let arch = Arch::new(&forms, |t| if t.code() == 47 { 18.0 } else { 0.0 }).expect("arch");
    let needs: Vec<Needs> = (0..24)
        .map(|i| {
            let k = 0.6 + 0.05 * f64::from(i);
            Needs { occlusal: k, facial: k, lingual: 0.8 * k, proximal: 0.8 * k, margin: 0.5 * k }
        })
        .collect();
    let least = |teeth: &[StandingTooth]| {
        let pairs: Vec<_> = teeth.iter().map(|t| (t, arch.seat(t.tooth()).expect("seat"))).collect();
        let path = common_path(&pairs, &Needs::USUAL).unwrap_or_else(|none| none.best);
        let along: Vec<StandingTooth> = teeth.iter().zip(&path.costs).map(|(t, c)| t.along(c.tilt)).collect();
        let shares: Vec<f64> = needs
            .par_iter()
            .flat_map_iter(|n| along.iter().map(|t| t.reduction(n).volume_share.mean()).collect::<Vec<_>>())
            .collect();
        assert!(shares.chunks(2).collect::<Vec<_>>().windows(2).all(|w| w[1][0] >= w[0][0]), "more need, more removed");
    };
    let mut times: Vec<f64> = (0..REPEATS)
        .map(|seed| {
            let start = Instant::now();
            let world = World::with_draws(seed, 256);
            let codes = [45, 47];
            let teeth: Vec<StandingTooth> = codes
                .par_iter()
                .map(|c| StandingTooth::new(&world, &forms[&tooth(*c)], &Seen::default()).expect("tooth"))
                .collect();
            least(&teeth);
            start.elapsed().as_secs_f64()
        })
        .collect();
    report("from forms", &mut times);

    let scans: Vec<(Tooth, Surface)> =
        [(45u8, 0.042), (47, 0.05)].iter().map(|(c, cell)| (tooth(*c), scan(&forms[&tooth(*c)], *cell))).collect();
    println!("scans: {} and {} facets", scans[0].1.facets().len(), scans[1].1.facets().len());
    let mut times: Vec<f64> = (0..3)
        .map(|seed| {
            let start = Instant::now();
            let world = World::with_draws(seed, 256);
            let teeth: Vec<StandingTooth> =
                scans.par_iter().map(|(t, s)| from_scan(&catalogue, &world, *t, s)).collect();
            least(&teeth);
            start.elapsed().as_secs_f64()
        })
        .collect();
    report("from scans", &mut times);
}

fn report(what: &str, times: &mut [f64]) {
    times.sort_by(f64::total_cmp);
    println!(
        "{what}: median {:.3} s, least {:.3} s, most {:.3} s",
        times[times.len() / 2],
        times[0],
        times[times.len() - 1]
    );
}

/// A crown as the mouth has it, its facets as fine as the lattice.
fn scan(form: &ToothForm, cell: f64) -> Surface {
    let body = LatticeBody::of(form, 0.1).expect("body");
    let whole = Surface::of(&body, cell).expect("surface");
    let mirror = is_mirrored(form.tooth());
    let points = whole.points().iter().map(|[x, y, z]| if mirror { [-x, *y, *z] } else { [*x, *y, *z] });
    let facets = (0u32..).zip(whole.facets()).filter(|(f, _)| whole.middle(*f)[2] > 0.2);
    let facets = facets.map(|(_, [a, b, c])| if mirror { [*a, *c, *b] } else { [*a, *b, *c] });
    Surface::new(points.collect(), facets.collect()).expect("surface")
}

fn from_scan(catalogue: &Catalogue, world: &World, tooth: Tooth, scan: &Surface) -> StandingTooth {
    let fitted = fit_scan(catalogue, tooth, scan, None).expect("a scan that fits");
    let form = ToothForm::new(catalogue, tooth, &fitted.size).expect("form");
    let parts = ToothParts::new(&form, 40.0, 0.25).expect("parts");
    let filled = FilledScan::new(fitted.surface.clone(), parts.outer.clone());
    let present: anatomy::Part = Arc::new(LatticeBody::of(&filled, 0.25).expect("body"));
    let shown = Shown::scanned(present.clone(), present);
    StandingTooth::shown(world, &form, &Seen::default(), &shown).expect("tooth")
}
