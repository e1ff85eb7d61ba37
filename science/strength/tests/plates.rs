//! Disks, rings and plates on a base against closed forms (rows D, S08) and against their own equilibrium.
#![allow(clippy::unwrap_used, clippy::panic)]

mod rows;
use rows::{close, output, second};
use strength::disk::{Disk, Load};
use strength::plate::{self, Base, Plate, plate_spectrum};
use strength::{Rim, rim, rim_spectrum};

fn disk(load: Load) -> Disk {
    Disk { support: 5.0, radius: 6.0, thickness: 1.2, poisson: 0.25, load }
}

#[test]
fn disks_on_a_ring() {
    // The row's formula rounds 3/(4 pi) to 0.2387; its second column does not.
    close(500.0 * disk(Load::Patch(0.7)).centre(), second("D01"), 1e-5);
    close(500.0 * disk(Load::Patch(0.7)).centre(), output("D01"), 2e-4);
    close(500.0 * disk(Load::Ring(2.5)).centre(), output("D02"), 1e-5);
}

#[test]
fn the_disk_field_is_continuous_and_free_at_its_edge() {
    for load in [Load::Patch(0.7), Load::Ring(2.5)] {
        let d = disk(load);
        let (Load::Patch(c) | Load::Ring(c)) = load;
        for r in [c, d.support] {
            let (below, above) = (d.stress(r - 1e-9).0, d.stress(r + 1e-9).0);
            assert!((below - above).abs() < 1e-6 * d.centre());
        }
        assert!(d.stress(d.radius).0.abs() < 1e-12 * d.centre());
    }
}

#[test]
fn the_disk_field_balances_the_load() {
    // Equilibrium of a sector: d(r M_r)/dr - M_t = -r Q, Q = P/(2 pi r) outside the load.
    let d = disk(Load::Patch(0.7));
    let moment = d.thickness.powi(2) / 6.0;
    let (r, e) = (2.0, 1e-5);
    let slope = ((r + e) * d.stress(r + e).0 - (r - e) * d.stress(r - e).0) / (2.0 * e);
    close((d.stress(r).1 - slope) * moment, 1.0 / (2.0 * std::f64::consts::PI), 1e-6);
}

#[test]
fn a_plate_on_springs_has_the_closed_centre_stress() {
    // Westergaard's formula drops terms of order (b/l)^4: for b/l under 0.2 that is 1e-3, the tapered transform adds as much.
    let p = Plate { thickness: 1.0, modulus: 95_000.0, poisson: 0.25, patch: 0.5 };
    for k in [50.0, 500.0] {
        let spectrum = plate_spectrum(&p, &Base::Springs(k)).unwrap();
        close(spectrum.peak(), plate::westergaard_centre(&p, k), 5e-3);
    }
}

#[test]
fn a_half_space_has_the_same_leading_term_in_its_own_length() {
    // Both kernels integrate to ln of the upper limit, so (ln(2l/b) + 1/2 - Euler) holds with l = (2D(1-nu_b^2)/E_b)^(1/3); the next term is
    // 0.15 (b/l)^2, 0.6 % at b/l = 0.33.
    let p = Plate { thickness: 1.0, modulus: 95_000.0, poisson: 0.25, patch: 0.3 };
    let (e, nu) = (5_000.0, 0.3);
    let length = (2.0 * p.stiffness() * (1.0 - nu * nu) / e).cbrt();
    let leading =
        3.0 * 1.25 / (2.0 * std::f64::consts::PI) * ((2.0 * length / p.thin_patch()).ln() + 0.5 - 0.5772156649);
    let found = plate_spectrum(&p, &Base::HalfSpace { modulus: e, poisson: nu }).unwrap().peak();
    close(found, leading, 1e-2);
}

#[test]
fn a_stiffer_base_and_a_thicker_plate_lower_the_stress() {
    let on = |thickness: f64, modulus: f64| {
        let p = Plate { thickness, modulus: 95_000.0, poisson: 0.25, patch: 0.5 };
        plate_spectrum(&p, &Base::HalfSpace { modulus, poisson: 0.3 }).unwrap().equivalent_stress(10.0)
    };
    assert!(on(1.0, 80_000.0) < on(1.0, 18_000.0));
    assert!(on(1.5, 18_000.0) < on(1.0, 18_000.0));
}

#[test]
fn a_thick_ring_under_pressure() {
    close(10.0 * rim::ring_stress(2.0, 4.0).0, output("S08"), 1e-5);
    let r = Rim { inner_radius: 3.0, thickness: 1.0, height: 2.0, half_angle: 0.1, friction: 0.1, share: 0.5 };
    let thinner = Rim { thickness: 0.5, ..r };
    assert!(
        rim_spectrum(&thinner).unwrap().equivalent_stress(10.0) > rim_spectrum(&r).unwrap().equivalent_stress(10.0)
    );
}
