//! Which ways of making it are worth asking about: constructs that fit the teeth of the case, in the materials and builds for
//! which a need is known; and the alternatives a careful colleague would name.

use case::words::{Moment, Pulp};
use case::{ArchUnit, Case, Role};
use catalogue::Catalogue;
use catalogue::words::{Build, Construct, Material, Region, Tooth};

/// One way of making it, before any question is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// Construct.
    pub construct: Construct,
    /// Material.
    pub material: Material,
    /// Build.
    pub build: Build,
    /// Teeth that are prepared or bonded to for it (one wing takes one abutment, an implant none).
    pub abutments: Vec<Tooth>,
}

impl Candidate {
    /// Key, e.g. `bridge.zirconia_3y.monolithic`.
    pub fn id(&self) -> String {
        format!("{}.{}.{}", self.construct.word(), self.material.word(), self.build.word())
    }

    /// In words, e.g. `bridge, zirconia 3Y, monolithic`; a build that a class always has is not said.
    pub fn title(&self) -> String {
        match self.material {
            Material::Metal | Material::MetalCeramic => format!("{}, {}", self.construct, self.material),
            _ => format!("{}, {}, {}", self.construct, self.material, self.build),
        }
    }
}

/// Constructs of the case that are asked all six questions.
pub fn constructs(case: &Case) -> Vec<Construct> {
    if case.is_gap() { gap_constructs(case) } else { tooth_constructs(case) }
}

fn tooth_constructs(case: &Case) -> Vec<Construct> {
    let Some(tooth) = case.main_tooth() else { return Vec::new() };
    let mut list = vec![Construct::Crown];
    if prepared_before(case, tooth) {
        // A tooth prepared all round has no enamel left to face or to cover in part.
        return list;
    }
    if tooth.region() == Region::Anterior {
        list.push(Construct::Veneer);
    } else {
        list.push(Construct::PartialCrown);
        if case.abutment(tooth).and_then(|a| a.pulp) == Some(Pulp::RootFilled) {
            list.push(Construct::Endocrown);
        }
    }
    list
}

/// A tooth prepared already, by its own mark or because a crown or bridge stood on it.
pub fn prepared_before(case: &Case, tooth: Tooth) -> bool {
    let crowned = matches!(
        case.old.as_ref().and_then(|o| o.construct),
        Some(Construct::Crown | Construct::Bridge | Construct::CantileverBridge)
    );
    case.abutment(tooth).and_then(|a| a.prepared).unwrap_or(false) || crowned
}

/// A tooth that carries its preparation: prepared before, or now that the stump is looked at (an unprepared tooth at the stump is refused when the case is read).
pub fn carries_preparation(case: &Case, tooth: Tooth) -> bool {
    case.moment == Moment::Stump || prepared_before(case, tooth)
}

fn gap_constructs(case: &Case) -> Vec<Construct> {
    let units = case.units();
    let missing = case.missing();
    let standing = case.standing();
    let first = units.first().map(|u| u.role);
    let last = units.last().map(|u| u.role);
    let between = first == Some(Role::Retainer) && last == Some(Role::Retainer);
    let lower_incisors = missing.iter().all(|t| t.jaw() == catalogue::words::Jaw::Lower && t.number() <= 2);
    let mut list = Vec::new();
    if between {
        list.push(Construct::Bridge);
        if missing.len() == 1 || (missing.len() <= 4 && lower_incisors) {
            list.push(Construct::TwoWings);
        }
    }
    if missing.len() == 1 && !standing.is_empty() {
        list.push(Construct::OneWing);
        if !between || case.restoration.cantilever == Some(true) {
            list.push(Construct::CantileverBridge);
        }
    }
    if missing.len() == 2 && hang_on_one_side(&units) {
        list.push(Construct::CantileverBridge);
    }
    if missing.len() == 1 {
        list.push(Construct::ImplantCrown);
    }
    list
}

/// True where all pontics stand beyond the same end of the teeth that carry them.
fn hang_on_one_side(units: &[ArchUnit]) -> bool {
    let hangs = |unit: &ArchUnit| unit.role == Role::Pontic;
    units.windows(2).filter(|pair| hangs(&pair[0]) != hangs(&pair[1])).count() == 1
}

/// Teeth a construct of this case is carried by.
fn abutments(case: &Case, construct: Construct) -> Vec<Tooth> {
    let standing = case.standing();
    match construct {
        Construct::ImplantCrown => Vec::new(),
        Construct::OneWing => best_single_abutment(case).into_iter().collect(),
        _ => standing,
    }
}

/// The neighbour of the gap that carries a single wing: the one with more enamel to bond to, then the less mobile, then the
/// one with the larger root, which the number from the midline stands for (canine over incisor, molar over premolar).
fn best_single_abutment(case: &Case) -> Option<Tooth> {
    case.standing().into_iter().max_by(|&a, &b| {
        let enamel = |t| case.abutment(t).and_then(|x| x.enamel_share).unwrap_or(0.5);
        let mobility = |t| case.abutment(t).and_then(|x| x.mobility).unwrap_or(0);
        enamel(a)
            .total_cmp(&enamel(b))
            .then(mobility(b).cmp(&mobility(a)))
            .then(a.number().cmp(&b.number()))
            .then(b.code().cmp(&a.code()))
    })
}

/// All candidates of a case, construct by construct in the order of the trade's words.
pub fn candidates(case: &Case, catalogue: &Catalogue) -> Vec<Candidate> {
    let region = case.region();
    let mut list = Vec::new();
    for construct in constructs(case) {
        for &material in Material::ALL {
            for &build in Build::ALL {
                if catalogue.offers(construct, material, build, region) {
                    list.push(Candidate { construct, material, build, abutments: abutments(case, construct) });
                }
            }
        }
    }
    list
}

/// Alternatives that stand in the list with what is known of them; a bridge or wing that is there already may be mended.
pub fn alternatives(case: &Case) -> &'static [Construct] {
    if !case.is_gap() {
        return &[Construct::LeaveAndWatch, Construct::PolishOrRepair, Construct::DirectBuildUp];
    }
    if spans_the_gap(case) {
        return &[Construct::PolishOrRepair, Construct::LeaveGap, Construct::CloseGap, Construct::Removable];
    }
    &[Construct::LeaveGap, Construct::CloseGap, Construct::Removable]
}

/// True where something that can be mended stands in the gap already.
fn spans_the_gap(case: &Case) -> bool {
    let old = case.old.as_ref().and_then(|old| old.construct);
    old.is_some_and(|construct| construct.has_pontic() || construct == Construct::ImplantCrown)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[allow(clippy::unwrap_used)]
    fn offered(name: &str, text: &str) -> &'static [Construct] {
        alternatives(&Case::parse(name, text).unwrap().0)
    }

    #[test]
    #[allow(clippy::unwrap_used)]
    fn two_pontics_hang_on_one_side_or_not_at_all() {
        let hang = |teeth: &str, missing: &str| {
            let text = format!(
                "schema = 1\nmoment = \"plan\"\n[restoration]\nteeth = [{teeth}]\nmissing = [{missing}]\ncantilever = true\n"
            );
            constructs(&Case::parse("hanging", &text).unwrap().0).contains(&Construct::CantileverBridge)
        };
        assert!(hang("45, 46", "46") && hang("45, 46, 47", "46, 47") && hang("44, 45, 46, 47", "44, 45"));
        assert!(!hang("44, 45, 46", "44, 46") && !hang("44, 45, 46, 47", "45, 47"));
        assert!(!hang("44, 45, 46, 47", "45, 46, 47"));
    }

    #[test]
    fn a_bridge_that_is_there_may_be_mended_and_an_empty_gap_may_not() {
        let chipped = offered("chipped", include_str!("../../../examples/chipped-bridge.toml"));
        assert_eq!(chipped.first(), Some(&Construct::PolishOrRepair));
        let empty = offered("empty", include_str!("../../../examples/bridge-45-47.toml"));
        assert!(!empty.contains(&Construct::PolishOrRepair) && empty.contains(&Construct::LeaveGap));
    }
}
