//! All facts, read and checked.

use crate::colours::{GradeRow, SubstrateRow, Threshold, ToothColour};
use crate::design_rules::DesignRule;
use crate::economics::EconomicFact;
use crate::failures::{ConsequenceRow, HoldRule, RiskFactor};
use crate::forms::{CrownForm, Ridge};
use crate::guidelines::Guideline;
use crate::iso_classes::IsoClass;
use crate::limits::{StopRow, VerdictRow};
use crate::materials::{ClassValue, Load, MaterialClass};
use crate::mechanical::MechanicalRow;
use crate::media::MediumRow;
use crate::needs::Need;
use crate::optics::OpticalRow;
use crate::order_items::OrderItem;
use crate::own_colours::OwnColour;
use crate::protocols::ProtocolStep;
use crate::shipped;
use crate::studies::Study;
use crate::teeth::ToothDimensions;
use crate::values::Values;
use answer::{Issue, Place, Source};
use std::collections::BTreeMap;
use table::{Origin, Row, Table, overlay};

/// Every table of facts, typed where an engine uses it and as rows throughout.
#[derive(Debug, Clone)]
pub struct Catalogue {
    pub(crate) rows: BTreeMap<String, Vec<(Row, Origin)>>,
    pub(crate) sources: BTreeMap<String, Source>,
    pub(crate) class_values: Vec<ClassValue>,
    pub(crate) consequences: Vec<ConsequenceRow>,
    pub(crate) crown_forms: Vec<CrownForm>,
    pub(crate) design_rules: Vec<DesignRule>,
    pub(crate) economics: Vec<EconomicFact>,
    pub(crate) grades: Vec<GradeRow>,
    pub(crate) guidelines: Vec<Guideline>,
    pub(crate) hold_rules: Vec<HoldRule>,
    pub(crate) iso_classes: Vec<IsoClass>,
    pub(crate) loads: Vec<Load>,
    pub(crate) materials: Vec<MaterialClass>,
    pub(crate) mechanical: Vec<MechanicalRow>,
    pub(crate) media: Vec<MediumRow>,
    pub(crate) needs: Vec<Need>,
    pub(crate) optics: Vec<OpticalRow>,
    pub(crate) order_items: Vec<OrderItem>,
    pub(crate) own_colours: Vec<OwnColour>,
    pub(crate) protocols: Vec<ProtocolStep>,
    pub(crate) ridges: Vec<Ridge>,
    pub(crate) risk_factors: Vec<RiskFactor>,
    pub(crate) stops: Vec<StopRow>,
    pub(crate) studies: Vec<Study>,
    pub(crate) substrates: Vec<SubstrateRow>,
    pub(crate) teeth: Vec<ToothDimensions>,
    pub(crate) thresholds: Vec<Threshold>,
    pub(crate) tooth_colours: Vec<ToothColour>,
    pub(crate) values: Values,
    pub(crate) verdicts: Vec<VerdictRow>,
}

impl Catalogue {
    /// The facts as shipped.
    ///
    /// # Errors
    /// Every broken row, with file, line and column.
    pub fn shipped() -> Result<Self, Vec<Issue>> {
        Self::with_own(&[])
    }

    /// The shipped facts with a practice's own tables (file name, text) laid over them: rows of the same id are replaced, others
    /// added; `values.toml` replaces the shipped one as a whole.
    ///
    /// # Errors
    /// Every broken row; a file whose name is no shipped table's.
    pub fn with_own(own: &[(String, String)]) -> Result<Self, Vec<Issue>> {
        let mut issues = unknown_files(own);
        let mut rows = BTreeMap::new();
        for (name, text) in shipped::TABLES {
            match overlaid(name, text, own) {
                Ok(list) => drop(rows.insert((*name).to_owned(), list)),
                Err(more) => issues.extend(more),
            }
        }
        let own_values = own.iter().find(|(name, _)| name == "values.toml").map(|(_, text)| text.as_str());
        let values = Values::read("values.toml", own_values.unwrap_or(shipped::VALUES));
        if !issues.is_empty() {
            return Err(issues);
        }
        let mut reader = Reader { rows: &rows, issues };
        let mut catalogue = Self {
            sources: reader.read("sources.csv", crate::sources::read).into_iter().map(|s| (s.id.clone(), s)).collect(),
            class_values: reader.read("class_values.csv", ClassValue::read),
            consequences: reader.read("consequences.csv", ConsequenceRow::read),
            crown_forms: reader.read("tooth_forms.csv", CrownForm::read),
            design_rules: reader.read("design_rules.csv", DesignRule::read),
            economics: reader.read("economics.csv", EconomicFact::read).into_iter().flatten().collect(),
            grades: reader.read("grades.csv", GradeRow::read),
            guidelines: reader.read("guidelines.csv", Guideline::read),
            hold_rules: reader.read("hold_rules.csv", HoldRule::read).into_iter().flatten().collect(),
            iso_classes: reader.read("iso6872_classes.csv", IsoClass::read),
            loads: reader.read("loads.csv", Load::read).into_iter().flatten().collect(),
            materials: reader.read("material_classes.csv", MaterialClass::read),
            mechanical: reader.read("mechanical.csv", MechanicalRow::read),
            media: reader.read("media.csv", MediumRow::read),
            needs: reader.read("needs.csv", Need::read).into_iter().flatten().collect(),
            optics: reader.read("optics.csv", OpticalRow::read),
            order_items: reader.read("work_order.csv", OrderItem::read),
            own_colours: reader.read("own_colours.csv", OwnColour::read),
            protocols: reader.read("protocols.csv", ProtocolStep::read),
            ridges: reader.read("tooth_ridges.csv", Ridge::read),
            risk_factors: reader.read("risk_factors.csv", RiskFactor::read).into_iter().flatten().collect(),
            stops: reader.read("stops.csv", StopRow::read),
            studies: reader.read("studies.csv", Study::read),
            substrates: reader.read("substrates.csv", SubstrateRow::read),
            teeth: reader.read("tooth_dimensions.csv", ToothDimensions::read),
            thresholds: reader.read("thresholds.csv", Threshold::read).into_iter().flatten().collect(),
            tooth_colours: reader.read("tooth_colours.csv", ToothColour::read).into_iter().flatten().collect(),
            verdicts: reader.read("verdicts.csv", VerdictRow::read),
            values: match values {
                Ok(values) => values,
                Err(more) => {
                    reader.issues.extend(more);
                    return Err(reader.issues);
                }
            },
            rows: BTreeMap::new(),
        };
        let mut issues = reader.issues;
        issues.extend(crate::sources::unresolved(&rows, &catalogue.sources));
        let own: Vec<&Row> = rows.get("own_colours.csv").into_iter().flatten().map(|(row, _)| row).collect();
        issues.extend(OwnColour::twice(&own));
        catalogue.rows = rows;
        if issues.is_empty() { Ok(catalogue) } else { Err(issues) }
    }

    /// Value scales, weights and visibility.
    pub fn values(&self) -> &Values {
        &self.values
    }
}

fn unknown_files(own: &[(String, String)]) -> Vec<Issue> {
    let known = || shipped::TABLES.iter().map(|(name, _)| *name).chain(["values.toml"]);
    own.iter()
        .filter(|(name, _)| !known().any(|k| k == name))
        .map(|(name, _)| {
            let near = answer::nearest_name(name, known());
            Issue::error(
                Place::file(name),
                "no shipped table has this name",
                "the name of a shipped table (bisque catalogue list)",
                near.map_or("rename it or take it out of the folder".to_owned(), |n| format!("did you mean {n}?")),
            )
        })
        .collect()
}

fn overlaid(name: &str, text: &str, own: &[(String, String)]) -> Result<Vec<(Row, Origin)>, Vec<Issue>> {
    let shipped = Table::parse(name, text)?;
    match own.iter().find(|(own_name, _)| own_name == name) {
        Some((_, own_text)) => overlay(&shipped, &Table::parse(&format!("own {name}"), own_text)?, "id"),
        None => {
            shipped.unique("id")?;
            Ok(shipped.into_rows().into_iter().map(|row| (row, Origin::Shipped)).collect())
        }
    }
}

struct Reader<'a> {
    rows: &'a BTreeMap<String, Vec<(Row, Origin)>>,
    issues: Vec<Issue>,
}

impl Reader<'_> {
    /// Typed rows of a table; what cannot be read becomes an issue.
    fn read<T>(&mut self, table: &str, read: impl Fn(&Row) -> Result<T, Issue>) -> Vec<T> {
        let mut list = Vec::new();
        for (row, _) in self.rows.get(table).into_iter().flatten() {
            match read(row) {
                Ok(value) => list.push(value),
                Err(issue) => self.issues.push(issue),
            }
        }
        list
    }
}
