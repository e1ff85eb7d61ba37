//! Effective areas and volumes, moments and estimation (rows W; Weibull 1951). Six digits in the rows unless said.
#![allow(clippy::unwrap_used, clippy::panic)]

mod rows;
use rows::{close, output};
use strength::disk::{Disk, Load};
use strength::{Specimen, weibull};

const SIX: f64 = 1e-5;

fn bar(width: f64, height: f64, outer: f64, inner: f64) -> Specimen {
    Specimen::Bar { width, height, outer, inner }
}

#[test]
fn effective_volumes_of_bars() {
    for (m, three, four) in [(5.0, "W01", "W04"), (10.0, "W02", "W05"), (15.0, "W03", "W06")] {
        close(bar(1.0, 1.0, 1.0, 0.0).effective_volume(m), output(three), SIX);
        close(bar(1.0, 1.0, 1.0, 0.5).effective_volume(m), output(four), SIX);
    }
    close(bar(1.0, 1.0, 1.0, 1.0 / 3.0).effective_volume(10.0), output("W07"), SIX);
}

#[test]
fn effective_areas_of_bars() {
    close(bar(4.0, 1.2, 14.0, 0.0).effective_area(10.0), output("W08"), SIX);
    close(bar(4.0, 1.2, 20.0, 10.0).effective_area(10.0), output("W09"), SIX);
}

#[test]
fn effective_areas_of_rings_on_disks_by_independent_action() {
    // Figures of the notes of W10-W12: 58.74495, 49.03679, 45.82740 mm2; the spectrum's bins cost up to 1e-3.
    let disk = Disk { support: 5.0, radius: 6.0, thickness: 1.2, poisson: 0.25, load: Load::Ring(2.5) };
    let specimen = Specimen::Disk(disk);
    let table = specimen.table().unwrap();
    for (m, area) in [(5.0, 58.74495), (10.0, 49.03679), (15.0, 45.82740)] {
        close(specimen.effective_area(m), area, SIX);
        close(table.ln_integral(m).exp(), area, 2e-3);
    }
}

#[test]
fn larger_principal_stress_alone_gives_the_other_convention() {
    for (m, row) in [(5.0, "W10"), (10.0, "W11"), (15.0, "W12")] {
        let disk = Disk { support: 5.0, radius: 6.0, thickness: 1.2, poisson: 0.25, load: Load::Ring(2.5) };
        let larger: f64 = disk
            .samples()
            .chunks(2)
            .map(|pair| pair[0].1 * (pair[0].0.max(pair[1].0) / disk.centre()).max(0.0).powf(m))
            .sum();
        close(larger, output(row), SIX);
        if m == 10.0 {
            close(larger * 1.2 / (2.0 * (m + 1.0)), output("W13"), SIX);
        }
    }
}

#[test]
fn scaling_probability_and_moments() {
    close(weibull::rescaled(400.0, 10.0, 0.4 / 4.0), output("W14"), SIX);
    close(weibull::failure(250.0, 400.0, 10.0), output("W15"), SIX);
    close(weibull::mean(400.0, 10.0), output("W16"), SIX);
    close(weibull::mean(400.0, 10.0) * weibull::variation(10.0), 45.7829, SIX);
    close(weibull::modulus_of_variation(0.10).unwrap(), output("W17"), SIX);
}

#[test]
fn maximum_likelihood_of_fifteen_strengths() {
    let s = [312., 335., 348., 356., 365., 371., 380., 386., 391., 399., 405., 414., 423., 436., 455.];
    let (m, s0) = weibull::fit(&s).unwrap();
    close(m, output("W19"), SIX);
    close(s0, 402.0648, SIX);
    assert!(weibull::fit(&[400.0; 5]).is_err());
    assert!(weibull::fit(&[1.0, 2.0]).is_err());
}

#[test]
fn a_bars_strength_and_its_unit_area_fail_alike() {
    let b = bar(4.0, 1.2, 14.0, 0.0);
    for m in [5.0, 12.0] {
        let s0 = b.strength_of_unit_area(400.0, m);
        close(b.effective_area(m) * (400.0 / s0).powf(m), 1.0, 1e-12);
        close(b.table().unwrap().ln_integral(m).exp(), b.effective_area(m), 1e-6);
    }
}
