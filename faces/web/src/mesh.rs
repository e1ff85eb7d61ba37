//! A surface as the page takes it: head (its length as four bytes, then JSON padded to four), points, facets, a value a point; all little-endian.

use serde_json::json;
use shape::Surface;

/// A value at every point of a surface.
pub struct Scalar<'a> {
    /// What it is.
    pub name: &'a str,
    /// Its unit.
    pub unit: &'a str,
    /// Point by point.
    pub values: Vec<f64>,
    /// Where the colours end, where that is below the greatest value: a few points would else take the whole scale.
    pub scale_ends: Option<f64>,
}

impl Scalar<'_> {
    fn range(&self) -> [f64; 2] {
        let low = self.values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = self.values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        [low, high].map(answer::six_figures)
    }

    /// What is seen, in words.
    fn told(&self) -> String {
        let ([low, high], Self { name, unit, .. }) = (self.range(), self);
        match self.scale_ends.map(answer::six_figures) {
            Some(ends) => format!("{name} {low} to {high} {unit}; colours end at {ends} {unit}"),
            None => format!("{name} {low} to {high} {unit}"),
        }
    }
}

/// A surface with its title and its text twin.
pub fn pack(surface: &Surface, scalar: Option<&Scalar<'_>>, title: &str, text: &str) -> Vec<u8> {
    let told = scalar.map(|s| {
        let [low, high] = s.range();
        json!({ "name": s.name, "unit": s.unit, "low": low, "high": s.scale_ends.map_or(high, answer::six_figures) })
    });
    let text = scalar.map_or_else(|| text.to_owned(), |s| format!("{text}; {}", s.told()));
    let head = json!({
        "vertices": surface.points().len(), "triangles": surface.facets().len(), "scalar": told, "title": title, "text": text,
    })
    .to_string();
    let mut out = Vec::new();
    out.extend((head.len() as u32).to_le_bytes());
    out.extend(head.as_bytes());
    out.resize(out.len().next_multiple_of(4), b' ');
    surface.points().iter().flatten().for_each(|c| out.extend((*c as f32).to_le_bytes()));
    surface.facets().iter().flatten().for_each(|i| out.extend(i.to_le_bytes()));
    scalar.iter().flat_map(|s| &s.values).for_each(|v| out.extend((*v as f32).to_le_bytes()));
    out
}
