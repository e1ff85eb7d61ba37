//! The tables compiled into the program, by file name.

macro_rules! files {
    ($($name:literal),+ $(,)?) => {
        /// Name and text of every shipped CSV table.
        pub(crate) const TABLES: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../../data/", $name)))),+];
    };
}

files![
    "class_values.csv",
    "connector_space.csv",
    "consent.csv",
    "consequences.csv",
    "design_rules.csv",
    "economics.csv",
    "enamel_dentine.csv",
    "grades.csv",
    "guidelines.csv",
    "hold_rules.csv",
    "interfaces.csv",
    "iso6872_classes.csv",
    "loads.csv",
    "material_classes.csv",
    "mechanical.csv",
    "media.csv",
    "needs.csv",
    "optics.csv",
    "outcome_criteria.csv",
    "own_colours.csv",
    "protocols.csv",
    "risk_factors.csv",
    "root_area_rule.csv",
    "sources.csv",
    "stops.csv",
    "studies.csv",
    "substrates.csv",
    "thresholds.csv",
    "tooth_colours.csv",
    "tooth_dimensions.csv",
    "tooth_forms.csv",
    "tooth_ridges.csv",
    "tooth_samples.csv",
    "verdicts.csv",
    "work_order.csv",
];

/// Text of the value scales and weights.
pub(crate) const VALUES: &str = include_str!("../../../data/values.toml");
