//! The surfaces shipped with the program: s_W over dimensions, fitted to designs that finite elements solved (`data/surfaces.csv`, made by `cargo xtask surfaces`).
//!
//! The file holds the designs as solved, one surface group a row, so that it can be judged and added to; the surfaces are fitted when they are read (a few ms).
//! `span` is the neck of a unit over one gap, `arm` that of one or two units on one side, `cap` the chewing wall of a crown, `layers` that of a core
//! under a veneer, `lid` that of what covers a tooth without walls around it, `pair` and `tripod` what two or three contacts make of a wall's stress ([`strength::designs`] tells the bodies). Rows solved with finer cells are for checks and are left out of the fit.

use strength::designs::{Family, MODULI};
use strength::surface::{ResponseSurface, Sample};
use thiserror::Error;

/// The designs shipped.
const SHIPPED: &str = include_str!("../../../data/surfaces.csv");
/// Columns of the file.
pub const COLUMNS: &str =
    "family,number,finer,group,b0,b1,b2,b3,b4,b5,s3,s5,s7,s10,s14,s20,s30,s45,peak,area,unknowns,iterations";
/// Stiffness of the springs that stand for a root in its ligament around a stub of 7 x 7 x 2 mm, N/mm3, in studies and case alike. 17.3 N (standard deviation 6.0; 10 persons, upper teeth, within
/// 0.1 s; Keilig 2020, BMC Oral Health 20, doi 10.1186/s12903-020-01097-4, abstract and table read) push a crown aside by 0.2 mm (from memory), 86 N/mm; the stub tips under 8.2 N/mm for each N/mm3 at 6 mm over its
/// springs: 10.5. Back teeth give about half as much (from memory), and ligaments stiffen under a bite, by how much is not known: taken as twice that. Between 10 and 60 stress differs by 15 %.
pub const SPRINGS: f64 = 20.0;
/// Thickness of the cement, mm (common practice, no source).
pub const CEMENT: f64 = 0.08;

/// Number from which designs are kept out of the fit, to check it.
pub const FRESH: usize = 1000;

/// A solved design as the file has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Family.
    pub family: Family,
    /// Number of the design.
    pub number: usize,
    /// Cells are divided by it.
    pub finer: f64,
    /// Variables as built and ln s_W.
    pub sample: Sample,
}

/// Why the file cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("surfaces.csv, line {line}: expected {expected}; make it anew with `cargo xtask surfaces`")]
pub struct BrokenSurfaces {
    /// Line, from 1.
    pub line: usize,
    /// What should have stood there.
    pub expected: &'static str,
}

/// The surfaces, one a family that has designs enough.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Surfaces(Vec<(Family, ResponseSurface)>);

impl Surfaces {
    /// Those shipped; a family with too few designs has none.
    pub fn shipped() -> Self {
        Self::of(&solved(SHIPPED).unwrap_or_default())
    }

    /// Of a family.
    pub fn of_family(&self, family: Family) -> Option<&ResponseSurface> {
        self.0.iter().find(|(f, _)| *f == family).map(|(_, surface)| surface)
    }

    /// Fitted to designs.
    pub fn of(designs: &[Solved]) -> Self {
        let fit = |family: Family| {
            let fitted = designs.iter().filter(|d| d.family == family && d.finer == 1.0 && d.number < FRESH);
            let samples: Vec<Sample> = fitted.map(|d| d.sample.clone()).collect();
            ResponseSurface::fit(family.variables(), &samples).ok().map(|surface| (family, surface))
        };
        Self(Family::ALL.into_iter().filter_map(fit).collect())
    }
}

/// The designs of a file; those that failed are skipped.
///
/// # Errors
/// [`BrokenSurfaces`] names the first line that is none.
pub fn solved(text: &str) -> Result<Vec<Solved>, BrokenSurfaces> {
    let mut out = Vec::new();
    for (i, row) in text.lines().enumerate() {
        let wrong = |expected| BrokenSurfaces { line: i + 1, expected };
        if i == 0 {
            if row != COLUMNS {
                return Err(wrong("the columns of a file of designs"));
            }
            continue;
        }
        let cells: Vec<&str> = row.split(',').collect();
        if cells.get(3) == Some(&"failed") || row.is_empty() {
            continue;
        }
        let family = Family::ALL.into_iter().find(|f| cells.first() == Some(&f.word())).ok_or(wrong("a family"))?;
        let numbers: Vec<f64> = cells
            .iter()
            .skip(4)
            .map(|c| c.parse().ok().filter(|x: &f64| x.is_finite()))
            .collect::<Option<_>>()
            .ok_or(wrong("numbers"))?;
        let variables = family.variables().len();
        if numbers.len() < variables + MODULI.len() {
            return Err(wrong("a value for each column"));
        }
        let number = cells[1].parse().map_err(|_| wrong("the number of a design"))?;
        let finer = cells[2].parse().map_err(|_| wrong("how much finer its cells were"))?;
        let ln_s = std::array::from_fn(|m| numbers[variables + m]);
        out.push(Solved { family, number, finer, sample: Sample { point: numbers[..variables].to_vec(), ln_s } });
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_shipped_file_can_be_read_and_has_a_surface_for_every_family() {
        assert!(solved(SHIPPED).is_ok());
        let shipped = Surfaces::shipped();
        assert!(Family::ALL.iter().all(|family| shipped.of_family(*family).is_some()));
    }

    /// A neck bears its moment: towards a beam's, twice the lever, twice the stress.
    #[test]
    fn a_long_arm_bears_nearly_as_its_lever() {
        let shipped = Surfaces::shipped();
        let at = |block: f64| shipped.of_family(Family::Arm).unwrap().ln_s(&[2.5, 3.0, 0.5, block, 6.0]).unwrap()[3];
        let (short, long) = ((at(14.0) - at(7.0)).exp(), (at(34.0) - at(17.0)).exp());
        assert!(short < long && (1.8..2.1).contains(&long), "{short} {long}");
    }

    /// Superposition: stress under n equal contacts is at most that of all the load on one of them (a norm of a mean), and at least an n-th of it.
    #[test]
    fn several_contacts_bear_at_least_what_one_of_them_bears_and_at_most_n_times_that() {
        let shipped = Surfaces::shipped();
        let cap = shipped.of_family(Family::Cap).unwrap();
        for (family, n) in [(Family::Pair, 2.0f64), (Family::Tripod, 3.0)] {
            let several = shipped.of_family(family).unwrap();
            for (thickness, ratio, apart) in [(0.6, 4.0, 1.6), (1.0, 8.0, 1.2), (1.5, 4.0, 1.8), (2.0, 11.0, 1.4)] {
                let contact = 1.1;
                let one = |contact: f64| cap.ln_s(&[thickness, 1.0, ratio, contact, 10.0, 0.6 / ratio]).unwrap()[3];
                let point = [thickness, ratio, contact, 10.0, apart];
                let found = several.ln_s(&point).unwrap()[3];
                let most = one(contact / n.sqrt()) - one(contact);
                let room = 1.645
                    * (several.error(&point, 10.0)
                        + 2.0 * cap.error(&[thickness, 1.0, ratio, contact, 10.0, 0.1], 10.0));
                assert!(
                    found <= most + room && found >= most - n.ln() - room,
                    "{n} at {point:?}: {found} of {most}, {room}"
                );
            }
        }
    }

    proptest! {
        #[test]
        fn a_file_of_designs_survives_garbage(cut in 0usize..2000, noise in "[ -~\\n]{0,60}") {
            let text: String = SHIPPED.chars().take(cut).collect::<String>() + &noise;
            let _ = solved(&text);
        }
    }
}
