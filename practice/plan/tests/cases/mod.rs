//! Cases that several tests make out of the examples.

const BRIDGE: &str = include_str!("../../../../examples/bridge-45-47.toml");

/// 45 alone carries, `missing` hang beyond it over `span` mm.
pub fn hanging(missing: &str, span: &str) -> String {
    let (before, other) = BRIDGE.split_once("[[abutment]]\ntooth = 47").unwrap();
    let (_, rest) = other.split_once("[space]").unwrap();
    let units = before.replace("teeth = [45, 46, 47]", &format!("teeth = [45, {missing}]"));
    let gap = units.replace("missing = [46]", &format!("missing = [{missing}]\ncantilever = true"));
    format!("{gap}[space]{}", rest.replace("span_mm = 10.0", &format!("span_mm = {span}")))
}
