//! Zirconia luted on titanium, 16 measured rows (2024, PMID 39376679, PMC11458321, table 2: two thicknesses, four
//! surfaces of titanium, two cements; CIEDE2000 and CIELAB shifts against the zirconia alone). One pair - both thicknesses on the first
//! surface with the translucent cement - characterises what is not printed, and the other rows are predicted with an interval.
//!
//! Known from the table: the shift of each assembly. Not printed: the colour of the zirconia alone, its optics, the cements'. Draws of
//! class priors (contrast ratio 0.65-0.92 at 1.0 mm; body; cements; metal surfaces) that reproduce the pair within its own scatter and the
//! model's error are kept, the others dropped (weights by the likelihood of dL*, da*, db* of the pair). The other surfaces and the other
//! cement stay what they are: unknown, each with its range.

use crate::tables::{header, rows};
use answer::{Draws, World};
use colour::{
    Backing, Coupling, Ensemble, Family, Ground, Instrument, Lab, LayerDraws, ModelError, Opacity, Optics, Readings,
    Spread, Viewing, backings, ciede2000,
};
use std::sync::Arc;

const DRAWS: usize = 4096;
/// Scatter of the shift that the model is allowed on each axis: SD of the table (0.2 to 1.2) and the model's error together.
const SD: [f64; 3] = [1.2, 0.6, 1.3];

struct Row {
    id: String,
    mm: f64,
    opaque: bool,
    surface: String,
    shift: [f64; 3],
    found: f64,
}

fn table() -> Vec<Row> {
    let text = include_str!("../reference/masking_cases.csv");
    let columns = header(text);
    let at = |name: &str| columns.iter().position(|c| c == name).unwrap();
    let first = |cell: &str| -> f64 { cell.split(' ').next().unwrap().parse().unwrap() };
    rows(text)
        .iter()
        .filter(|r| r[at("pmid")] == "39376679")
        .map(|r| Row {
            id: r[0].clone(),
            mm: r[at("total_ceramic_mm")].parse().unwrap(),
            opaque: r[at("cement")].contains("opaque"),
            surface: r[at("substrate")].clone(),
            shift: [first(&r[at("dL")]), first(&r[at("da")]), first(&r[at("db")])],
            found: r[at("value")].parse().unwrap(),
        })
        .collect()
}

struct Bench {
    world: World,
    viewing: Viewing,
    zirconia: Arc<[Optics]>,
    cements: [Arc<[Optics]>; 2],
    alone: Arc<[Backing]>,
}

impl Bench {
    fn new() -> Self {
        let (world, viewing) = (World::with_draws(2024, DRAWS), Viewing::daylight().unwrap());
        let medium = |name: &str, (low, high): (f64, f64), index, mm: f64| {
            let body = Spread::Between { low: Lab::new(62.0, -2.0, 6.0), high: Lab::new(82.0, 3.0, 26.0) };
            let opacity = Opacity::ContrastRatio { low, high, thickness_mm: mm };
            let family = Family { name: name.into(), opacity, index, body, readings: Readings::default() };
            family.draw(&world, &viewing).unwrap().optics
        };
        let zirconia = medium("zirconia", (0.65, 0.92), (2.1, 2.2), 1.0);
        let cements =
            [medium("translucent", (0.06, 0.20), (1.48, 1.54), 0.1), medium("opaque", (0.40, 0.90), (1.48, 1.54), 0.1)];
        // The specimen alone lay on a backing that the paper does not state: anything from black to white.
        let anything = Spread::Between { low: Lab::new(5.0, -1.0, -2.0), high: Lab::new(95.0, 2.0, 6.0) };
        let alone =
            backings(&anything, Ground::Tile, Instrument::SPHERE_WITH_SPECULAR, &world, "alone", &viewing).unwrap();
        Self { world, viewing, zirconia, cements, alone }
    }

    fn predict(&self, layers: Vec<LayerDraws>, coupling: Coupling, backing: Arc<[Backing]>) -> Vec<Lab> {
        let instrument = Instrument::SPHERE_WITH_SPECULAR;
        Ensemble { layers, coupling, backing, instrument, model_error: ModelError::NONE }
            .predict(&self.world, &self.viewing)
            .unwrap()
    }

    fn metal(&self, surface: &str) -> Arc<[Backing]> {
        // Sandblasted grade 5: grey and dark; anodised: any of the colours an oxide gives.
        let range = if surface.contains("anodised") {
            Spread::Between { low: Lab::new(35.0, -6.0, -8.0), high: Lab::new(75.0, 20.0, 42.0) }
        } else {
            Spread::Between { low: Lab::new(35.0, -1.0, -1.0), high: Lab::new(75.0, 2.0, 7.0) }
        };
        backings(&range, Ground::Metal, Instrument::SPHERE_WITH_SPECULAR, &self.world, surface, &self.viewing).unwrap()
    }

    /// Colour alone and on titanium, per draw.
    fn both(&self, row: &Row) -> (Vec<Lab>, Vec<Lab>) {
        let layer = |optics: &Arc<[Optics]>, mm| LayerDraws {
            optics: optics.clone(),
            thickness_mm: Draws::constant(DRAWS, mm),
        };
        let piece = layer(&self.zirconia, row.mm);
        let cement = layer(&self.cements[usize::from(row.opaque)], 0.1);
        let alone = self.predict(vec![piece.clone()], Coupling::Dry, self.alone.clone());
        let on = self.predict(vec![piece, cement], Coupling::Contact, self.metal(&row.surface));
        (alone, on)
    }
}

/// Quantiles of weighted draws.
fn quantiles(values: &[f64], weights: &[f64], ps: [f64; 3]) -> [f64; 3] {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let total: f64 = weights.iter().sum();
    ps.map(|p| {
        let mut sum = 0.0;
        for i in &order {
            sum += weights[*i];
            if sum >= p * total {
                return values[*i];
            }
        }
        values[order[order.len() - 1]]
    })
}

#[test]
fn one_pair_of_zirconia_on_titanium_tells_the_other_rows() {
    let bench = Bench::new();
    let table = table();
    assert_eq!(table.len(), 16);
    let pair: Vec<usize> = (0..16).filter(|i| !table[*i].opaque && table[*i].surface == table[0].surface).collect();
    assert_eq!(pair.len(), 2, "both thicknesses on the first surface");
    let predicted: Vec<(Vec<Lab>, Vec<Lab>)> = table.iter().map(|r| bench.both(r)).collect();
    let weights: Vec<f64> = (0..DRAWS)
        .map(|k| {
            let miss: f64 = pair
                .iter()
                .map(|i| {
                    let (alone, on) = (predicted[*i].0[k], predicted[*i].1[k]);
                    let shift = [on.l - alone.l, on.a - alone.a, on.b - alone.b];
                    (0..3).map(|c| ((shift[c] - table[*i].shift[c]) / SD[c]).powi(2)).sum::<f64>()
                })
                .sum();
            (-0.5 * miss).exp()
        })
        .collect();
    let effective = weights.iter().sum::<f64>().powi(2) / weights.iter().map(|w| w * w).sum::<f64>();
    println!("effective draws {effective:.0} of {DRAWS}");
    let (mut covered, mut width, mut before, mut misses) = (0, 0.0, 0, Vec::new());
    for (i, row) in table.iter().enumerate().filter(|(i, _)| !pair.contains(i)) {
        let d: Vec<f64> = (0..DRAWS).map(|k| ciede2000(predicted[i].0[k], predicted[i].1[k])).collect();
        let [low, median, high] = quantiles(&d, &weights, [0.05, 0.5, 0.95]);
        let [plain_low, _, plain_high] = quantiles(&d, &vec![1.0; DRAWS], [0.05, 0.5, 0.95]);
        let hit = (low..=high).contains(&row.found);
        covered += usize::from(hit);
        before += usize::from((plain_low..=plain_high).contains(&row.found));
        width += (high - low) / 14.0;
        misses.push((median - row.found).abs());
        println!(
            "validation | zirconia {} mm on {}, {} cement, from one characterised pair | PMID 39376679, table 2 | {} | {median:.1} ({low:.1} to {high:.1}) | {} | {}",
            row.mm,
            row.surface.replace("titanium grade 5, ", ""),
            if row.opaque { "opaque" } else { "translucent" },
            row.found,
            if hit { "hit" } else { "miss" },
            row.id
        );
    }
    misses.sort_by(f64::total_cmp);
    println!(
        "covered {covered} of 14 (class ranges alone {before}), mean width {width:.1}, median miss of the median {:.1}",
        0.5 * (misses[6] + misses[7])
    );
    // Enough draws agree with the pair for the quantiles to mean something.
    assert!(effective > 30.0, "{effective}");
    assert!(misses.iter().all(|m| m.is_finite()));
    assert!(
        covered >= 11,
        "14 rows at 90 %: below 11 would happen once in fifty if the intervals were honest; {covered}"
    );
}
