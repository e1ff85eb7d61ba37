//! From described rows to a stack of draws: layers from own media, classes or contrast ratios; backings read or named.

use super::stack_cells::{class_of, colour_of, coupling, ground_of, index_of, no_colour};
use super::stack_rows::StackRow;
use ::catalogue::words::{Grade, Material};
use ::catalogue::{Catalogue, Range};
use ::colour::{
    Backing, Coupling, Family, Instrument, Lab, LayerDraws, Opacity, Optics, Readings, Spread, Viewing, backings,
};
use ::plan::own_medium;
use answer::{Draws, Issue, World};
use std::sync::Arc;

/// A stack ready to be predicted.
pub struct Described {
    /// Layers, top first.
    pub layers: Vec<LayerDraws>,
    /// Label and mean thickness of each layer.
    pub names: Vec<(String, f64)>,
    /// What lies beneath.
    pub backing: Arc<[Backing]>,
    /// Its label.
    pub beneath: String,
    /// Between lowest layer and backing.
    pub coupling: Coupling,
    /// Backing to be like.
    pub reference: Option<Arc<[Backing]>>,
    /// Colour to be like.
    pub wish: Option<Spread>,
    /// Everything filled in because it was not given.
    pub defaults: Vec<String>,
    /// The backing was named, not read.
    pub measure: bool,
    /// Share of draws whose opacity no layer reaches, per layer with any.
    pub out_of_reach: Vec<(String, f64)>,
}

/// What a stack is built with.
pub struct Workshop<'a> {
    /// Draws.
    pub world: &'a World,
    /// Light under which given colours were read (D65, 2 degrees).
    pub read_under: &'a Viewing,
    /// Facts.
    pub catalogue: &'a Catalogue,
}

/// Media that the data know by a contrast ratio and that are no class of their own.
pub const HELPERS: [&str; 3] = ["opaque_cement", "block_out_resin", "veneer"];

impl Workshop<'_> {
    /// Builds a stack, or says which row is wrong.
    pub fn build(&self, rows: &[StackRow]) -> Result<Described, Vec<Issue>> {
        let mut issues = Vec::new();
        let mut defaults = Vec::new();
        let (mut layers, mut names, mut out_of_reach) = (Vec::new(), Vec::new(), Vec::new());
        let (mut backing, mut reference, mut wish) = (None, None, None);
        let named: Vec<StackRow> = match rows.iter().map(|row| self.named(row)).collect() {
            Ok(rows) => rows,
            Err(issue) => return Err(vec![issue]),
        };
        let rows = named.as_slice();
        let wished = rows.iter().find(|r| r.kind == "wish").and_then(|r| colour_of(r).ok().flatten());
        for row in rows {
            match row.kind.as_str() {
                "layer" => match self.layer(row, wished, &mut defaults) {
                    Ok((layer, mm, missed)) => {
                        if missed > 0.0 {
                            out_of_reach.push((row.label(), missed));
                        }
                        layers.push(layer);
                        names.push((row.label(), mm));
                    }
                    Err(issue) => issues.push(*issue),
                },
                "backing" | "reference" => match self.backing(row, &mut defaults) {
                    Ok(found) if row.kind == "backing" => {
                        backing = Some((found, row.label(), coupling(row, &mut defaults, &mut issues)));
                    }
                    Ok(found) => reference = Some(found.0),
                    Err(issue) => issues.push(*issue),
                },
                "wish" => match colour_of(row) {
                    Ok(Some(spread)) => wish = Some(spread),
                    Ok(None) => issues.push(no_colour(row)),
                    Err(issue) => issues.push(*issue),
                },
                other => issues.push(row.complain(
                    "kind",
                    format!("`{other}` is no kind of row"),
                    "layer, backing, reference or wish",
                    "correct the word",
                )),
            }
        }
        if issues.is_empty() && (backing.is_none() || layers.is_empty()) {
            let place = answer::Place::file(rows.first().map_or("stack", |r| r.place.file.as_str()));
            issues.push(Issue::error(
                place,
                format!("{} layers and {} backing", layers.len(), u8::from(backing.is_some())),
                "at least one row `layer` and one row `backing`",
                "add the missing row (bisque colour predict --help)",
            ));
        }
        let (Some(((ground, measure), beneath, coupling)), true) = (backing, issues.is_empty()) else {
            return Err(issues);
        };
        let backing = ground;
        Ok(Described { layers, names, backing, beneath, coupling, reference, wish, defaults, measure, out_of_reach })
    }

    /// The row with the colour its name stands for.
    fn named(&self, row: &StackRow) -> Result<StackRow, Issue> {
        let Some(name) = &row.own else { return Ok(row.clone()) };
        if row.l.is_some() || row.a.is_some() || row.b.is_some() || row.substrate.is_some() || row.kind == "layer" {
            let expected = "own alone, on a backing, reference or wish";
            return Err(row.complain(
                "own",
                format!("`{name}` beside another colour, or for a layer"),
                expected,
                "keep one of the two",
            ));
        }
        let Some(found) = self.catalogue.own_colour(name) else {
            let known: Vec<&str> = self.catalogue.own_colours().iter().map(|c| c.name.as_str()).collect();
            let list = if known.is_empty() {
                "none is kept (--data FOLDER with own_colours.csv)".to_owned()
            } else {
                known.join(", ")
            };
            let near = answer::nearest_name(name, known.iter().copied());
            let remedy = near.map_or("measure it once and keep it with `bisque colour keep`".to_owned(), |n| {
                format!("did you mean `{n}`?")
            });
            return Err(row.complain(
                "own",
                format!("no own colour is named `{name}`"),
                &format!("one of your own: {list}"),
                &remedy,
            ));
        };
        let [l, a, b] = found.lab;
        Ok(StackRow { l: Some(l), a: Some(a), b: Some(b), spread: row.spread.or(found.spread), ..row.clone() })
    }

    fn layer(
        &self,
        row: &StackRow,
        wish: Option<Spread>,
        defaults: &mut Vec<String>,
    ) -> Result<(LayerDraws, f64, f64), Box<Issue>> {
        let mm = match row.thickness_mm {
            Some(mm) if mm > 0.0 && mm <= 20.0 => mm,
            found => {
                let found = found.map_or("no thickness".to_owned(), |mm| format!("{mm} mm"));
                return Err(Box::new(row.complain("thickness_mm", found, "above 0 and at most 20 mm", "correct it")));
            }
        };
        let sd = row.thickness_sd_mm.unwrap_or_else(|| {
            defaults.push(format!("{}: thickness spread 5 % (common practice, no source)", row.label()));
            0.05 * mm
        });
        if !(0.0..=mm).contains(&sd) {
            return Err(Box::new(row.complain(
                "thickness_sd_mm",
                format!("{sd} mm"),
                "0 up to the thickness",
                "correct it",
            )));
        }
        let (optics, missed) = self.medium(row, wish, defaults)?;
        let field = format!("colour/{}/thickness", row.label());
        let thickness_mm: Draws = self.world.log_normal(&field, mm, sd / mm);
        Ok((LayerDraws { optics, thickness_mm }, mm, missed))
    }

    fn medium(
        &self,
        row: &StackRow,
        wish: Option<Spread>,
        defaults: &mut Vec<String>,
    ) -> Result<(Arc<[Optics]>, f64), Box<Issue>> {
        // A medium of one's own comes before a helper of the same name.
        let helper = row.medium.as_deref().filter(|n| HELPERS.contains(n) && self.catalogue.medium(n).is_empty());
        if let Some(name) = row.medium.as_ref().filter(|_| helper.is_none()) {
            let bands = self.catalogue.medium(name);
            if bands.is_empty() {
                let known = self.catalogue.media().join(", ");
                let known = if known.is_empty() { "none is in the data".to_owned() } else { known };
                return Err(Box::new(row.complain(
                    "medium",
                    format!("no own medium is named `{name}`"),
                    &format!("an own medium ({known})"),
                    "write one with `bisque colour characterise DISCS.csv --out FOLDER` and give --data FOLDER",
                )));
            }
            let draws = own_medium(&bands).and_then(|m| m.draws(self.world, name).map_err(|e| e.to_string()));
            return draws.map(|d| (d, 0.0)).map_err(|e| {
                Box::new(row.complain("medium", e, "a file of `bisque colour characterise`", "write it anew"))
            });
        }
        let (material, grade) = class_of(row)?;
        if let (Some(material), Some(grade)) = (material, grade) {
            let bands = self.catalogue.medium_for(material, grade);
            if let (Some(first), Ok(own)) = (bands.first(), own_medium(&bands))
                && let Ok(draws) = own.draws(self.world, &first.medium)
            {
                defaults.push(format!("{}: own medium {}", row.label(), first.medium));
                return Ok((draws, 0.0));
            }
        }
        let (ratio, at) = self.ratio(row, material, grade, defaults)?;
        let index = index_of(row)?.unwrap_or_else(|| {
            let range = if material.is_some_and(Material::is_zirconia) { (2.1, 2.2) } else { (1.5, 1.55) };
            defaults.push(format!("{}: refractive index {} to {}", row.label(), range.0, range.1));
            range
        });
        let own = colour_of(row)?;
        let body = own.or(wish).unwrap_or_else(|| {
            defaults.push(format!("{}: body colour L* 62 to 82, a* -2 to 3, b* 6 to 24", row.label()));
            Spread::Between { low: Lab::new(62.0, -2.0, 6.0), high: Lab::new(82.0, 3.0, 24.0) }
        });
        if own.is_none() && wish.is_some() {
            defaults.push(format!("{}: body colour as the wish", row.label()));
        }
        let opacity = Opacity::ContrastRatio { low: ratio.low, high: ratio.high, thickness_mm: at };
        let family = Family { name: row.label(), opacity, index, body, readings: Readings::default() };
        let members = family
            .draw(self.world, self.read_under)
            .map_err(|e| Box::new(row.complain("", e.to_string(), "a medium that can be", "correct the row")))?;
        Ok((members.optics, members.out_of_reach))
    }

    fn ratio(
        &self,
        row: &StackRow,
        material: Option<Material>,
        grade: Option<Grade>,
        defaults: &mut Vec<String>,
    ) -> Result<(Range, f64), Box<Issue>> {
        if let (Some(low), high) = (row.contrast_low, row.contrast_high) {
            let high = high.unwrap_or(low);
            let at = row.at_mm.unwrap_or_else(|| {
                defaults.push(format!("{}: contrast ratio taken at 1.0 mm", row.label()));
                1.0
            });
            return Ok((Range { best: None, low, high }, at));
        }
        if let Some((range, at)) = row.medium.as_deref().and_then(|name| self.helper(name)) {
            defaults.push(format!("{}: contrast ratio {} to {} at {at} mm", row.label(), range.low, range.high));
            return Ok((range, at));
        }
        let Some(material) = material else {
            return Err(Box::new(row.complain(
                "medium",
                "nothing says what this layer is",
                "a medium, a material, or contrast_low and contrast_high",
                "fill in one of them; own discs tell most",
            )));
        };
        let grades = self.catalogue.grades(material);
        let row_of = |g: Grade| grades.iter().find(|r| r.grade == g);
        let found = match grade {
            Some(grade) => row_of(grade).map(|r| (r.fact.figure, r.thickness_mm)),
            None => {
                let all = grades.iter().map(|r| r.fact.figure);
                let range = all.reduce(|a, b| Range { best: None, low: a.low.min(b.low), high: a.high.max(b.high) });
                defaults.push(format!("{}: grade not given, all of them possible", row.label()));
                range.map(|r| (r, grades[0].thickness_mm))
            }
        };
        let known: Vec<&str> = grades.iter().map(|r| r.grade.word()).collect();
        found.map(|(r, at)| (Range { best: None, low: r.low, high: r.high.min(0.995) }, at)).ok_or_else(|| {
            Box::new(row.complain(
                "grade",
                format!("{} has no such grade", material.word()),
                &format!("one of: {}", known.join(", ")),
                "take a grade of the catalogue, or give contrast_low and contrast_high",
            ))
        })
    }

    /// Contrast ratio of a helper, and the thickness (mm) it holds at and is laid in.
    pub fn helper(&self, name: &str) -> Option<(Range, f64)> {
        let rows = self.catalogue.optics(name, "contrast_ratio");
        let row = rows.first().filter(|_| HELPERS.contains(&name))?;
        let figure = row.fact.figure;
        Some((Range { high: figure.high.min(0.995), ..figure }, row.thickness_mm.map_or(1.0, Range::middle)))
    }

    fn backing(&self, row: &StackRow, defaults: &mut Vec<String>) -> Result<(Arc<[Backing]>, bool), Box<Issue>> {
        let (spread, measured) = match (colour_of(row)?, &row.substrate) {
            (Some(spread), _) => (spread, true),
            (None, Some(word)) => {
                let Some(found) = self.catalogue.substrate(word) else {
                    return Err(Box::new(row.complain(
                        "substrate",
                        format!("`{word}` is no substrate of the catalogue"),
                        "dentine, cast_post, unknown ... (bisque catalogue show substrates)",
                        "correct the word, or give L, a and b as read",
                    )));
                };
                let corner = |f: fn(&Range) -> f64| Lab::new(f(&found.lab[0]), f(&found.lab[1]), f(&found.lab[2]));
                if !found.measured {
                    defaults.push(format!("{}: not read, the whole range of `{word}`", row.label()));
                }
                (Spread::Between { low: corner(|r| r.low), high: corner(|r| r.high) }, found.measured)
            }
            _ => return Err(Box::new(no_colour(row))),
        };
        let ground = ground_of(row, defaults)?;
        let field = format!("colour/{}/{}", row.kind, row.label());
        backings(&spread, ground, Instrument::BEAM, self.world, &field, self.read_under)
            .map(|b| (b, !measured))
            .map_err(|e| Box::new(row.complain("L", e.to_string(), "the colour of a body", "read it again")))
    }
}
