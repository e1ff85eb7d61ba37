//! Who orders, who makes, and the statement of a custom-made device that the laboratory fills in.

use super::line::Line;
use crate::Known;
use crate::blocks::Words;

/// Identity: by hand, since no name is stored.
pub(super) fn identity(known: &Known<'_>, mark: &str) -> Vec<Line> {
    let number = known.case.order.number.as_ref().map_or_else(|| "____".to_owned(), Clone::clone);
    let patient = known.case.pseudonym.as_ref().map_or_else(|| known.report.case.clone(), Clone::clone);
    vec![
        Line::open(
            &["data_that_identify_the_device_order_number"],
            "Order number, mark",
            Some(Words::from(format!("{number}, mark {mark}"))),
        ),
        Line::open(&["date_of_issue"], "Date of issue", Some(known.date.into())),
        Line::open(
            &["exclusive_use_by_one_patient_named_by_name", "patient_name_or_number"],
            "Made for one patient only",
            Some(Words::from(format!("code {patient}"))),
        ),
        Line::by_hand(&["laboratory_name_and_address"], "Laboratory, address", "____"),
        Line::by_hand(
            &["name_of_the_authorised_prescriber_and_health", "dentist_signature_and_licence_number"],
            "Prescriber, practice, licence number",
            "____",
        ),
        Line::by_hand(
            &["contact_for_questions_and_agreed_rule_when_t"],
            "Questions to",
            "____ (where anything is missing or unclear: ask before beginning)",
        ),
        Line::by_hand(&["dentist_signature_and_licence_number"], "Signature, day", "____"),
    ]
}

/// What the maker states (EU 2017/745 Annex XIII; Great Britain after its own rules).
pub(super) fn maker() -> Vec<Line> {
    let line = |items, name| Line::by_hand(items, name, "____");
    vec![
        line(&["manufacturer_name_and_address_and_every_man"], "Maker, address, every site of making"),
        line(&["authorised_representative_if_any"], "Authorised representative, if any"),
        line(
            &["conformity_with_general_safety_and_performan"],
            "Conforms with the general safety and performance requirements; exceptions, with grounds",
        ),
        line(&["medicinal_substance_or_human_animal_tissue_c"], "Medicinal substance, human or animal tissue"),
        line(&["type_and_in_maine_quality_of_materials"], "Products and lots used, per layer"),
        line(
            &["subcontracting_needs_its_own_written_order"],
            "Made in part by others (each with its own written order)",
        ),
        line(&["statement_made_available_to_the_patient"], "Statement handed on for the patient"),
    ]
}

/// Rows of the list that bind maker or practice and are no line of their own; printed as one reminder.
pub(super) const DUTIES: [&str; 6] = [
    "keep_the_statement_at_least_10_years_15_if",
    "documentation_of_design_manufacture_expect",
    "report_serious_incidents_and_corrective_acti",
    "great_britain_follows_uk_mdr_2002_directive",
    "one_order_per_patient_in_duplicate_kept_2",
    "written_prescription_by_an_authorised_person",
];
