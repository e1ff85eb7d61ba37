//! Published masking experiments, predicted from class ranges alone and without fitting (`reference/masking_cases.csv`; authors,
//! years and journals in its columns). The priors below stand for what the abstracts do not give and were fixed before the
//! first run. Prints coverage, width, misses; fails only where physics decides, and when the scoring itself breaks.
//!
//! Left out, for want of an input no range can stand for: cement of unknown opacity as the thing studied (M067-M076), cores
//! with a layer of unstated thickness (M022-M029, M065, M066), in vivo rows, orderings.

use crate::tables::{header, rows};
use answer::{Draws, World};
use colour::{
    Backing, Coupling, Ensemble, Family, Ground, Instrument, Lab, LayerDraws, Metric, ModelError, Opacity, Optics,
    Readings, Spread, Viewing, backings, difference,
};
use std::sync::Arc;

/// A range of colours: (L*, a*, b*) low and high.
type Range = [[f64; 3]; 2];

const BLACK: Range = [[5.0, -1.0, -1.0], [28.0, 1.0, 1.0]];
const DARK_GREY: Range = [[25.0, -1.0, -2.0], [50.0, 1.0, 2.0]];
const LIGHT_GREY: Range = [[55.0, -1.0, -2.0], [78.0, 1.0, 2.0]];
const WHITE: Range = [[86.0, -2.0, -3.0], [97.0, 1.0, 4.0]];
const LIGHT_RESIN: Range = [[66.0, -1.0, 12.0], [80.0, 4.0, 22.0]];
const DARK_RESIN: Range = [[55.0, 3.0, 14.0], [70.0, 9.0, 28.0]];
const GREY_METAL: Range = [[40.0, -1.0, -1.0], [75.0, 2.0, 7.0]];
const GOLD: Range = [[55.0, 1.0, 12.0], [82.0, 10.0, 36.0]];
const COLOURED_TITANIUM: Range = [[40.0, -5.0, -5.0], [75.0, 20.0, 40.0]];
const WHITE_CERAMIC: Range = [[72.0, -2.0, 2.0], [90.0, 3.0, 20.0]];
/// A piece laid on nothing known.
const ANYTHING: Range = [[5.0, -1.0, -2.0], [95.0, 2.0, 6.0]];

/// Contrast ratio at 1.0 mm and refractive index.
struct Class {
    name: &'static str,
    ratio: (f64, f64),
    index: (f64, f64),
}

const COPING: Class = Class { name: "coping", ratio: (0.78, 0.95), index: (2.10, 2.20) };
const ZIRCONIA: Class = Class { name: "zirconia", ratio: (0.65, 0.92), index: (2.10, 2.20) };
const DISILICATE: Class = Class { name: "disilicate", ratio: (0.50, 0.88), index: (1.53, 1.57) };

/// Scattering of a cement: none, or its contrast ratio at 0.1 mm.
type Cement = Option<(f64, f64)>;
const TRANSLUCENT: Cement = Some((0.06, 0.20));
const UNIVERSAL: Cement = Some((0.10, 0.40));
const OPAQUE: Cement = Some((0.40, 0.90));

/// One experiment: rows, class, backing, reference backing, cement (none: laid on dry), and whether the reference is cemented too.
struct Setting {
    cases: &'static [&'static str],
    class: &'static Class,
    over: Range,
    reference: Range,
    cement: Cement,
    cement_mm: f64,
    reference_cemented: bool,
}

const fn dry(cases: &'static [&'static str], over: Range, reference: Range) -> Setting {
    Setting { cases, class: &COPING, over, reference, cement: None, cement_mm: 0.0, reference_cemented: false }
}

const fn luted(
    cases: &'static [&'static str],
    class: &'static Class,
    over: Range,
    reference: Range,
    cement: Cement,
) -> Setting {
    Setting { cases, class, over, reference, cement, cement_mm: 0.1, reference_cemented: true }
}

const fn on_titanium(cases: &'static [&'static str], over: Range, cement: Cement) -> Setting {
    Setting { reference_cemented: false, ..luted(cases, &ZIRCONIA, over, ANYTHING, cement) }
}

const SETTINGS: &[Setting] = &[
    dry(&["M010"], LIGHT_GREY, WHITE),
    dry(&["M011"], DARK_GREY, WHITE),
    dry(&["M012"], BLACK, WHITE),
    dry(&["M013"], LIGHT_RESIN, LIGHT_RESIN),
    dry(&["M014"], DARK_RESIN, LIGHT_RESIN),
    dry(&["M015"], WHITE_CERAMIC, LIGHT_RESIN),
    dry(&["M016"], GOLD, LIGHT_RESIN),
    dry(&["M017", "M018", "M019", "M020", "M021"], GREY_METAL, LIGHT_RESIN),
    luted(&["M039", "M040"], &DISILICATE, GREY_METAL, LIGHT_RESIN, UNIVERSAL),
    on_titanium(&["M049", "M050"], GREY_METAL, OPAQUE),
    on_titanium(&["M051", "M052"], GREY_METAL, TRANSLUCENT),
    on_titanium(&["M053", "M054", "M057", "M058", "M061", "M062"], COLOURED_TITANIUM, OPAQUE),
    on_titanium(&["M055", "M056", "M059", "M060", "M063", "M064"], COLOURED_TITANIUM, TRANSLUCENT),
    luted(&["M086", "M091", "M092", "M093", "M094"], &ZIRCONIA, GREY_METAL, LIGHT_RESIN, TRANSLUCENT),
    luted(&["M087", "M088", "M089", "M090"], &ZIRCONIA, COLOURED_TITANIUM, LIGHT_RESIN, TRANSLUCENT),
    luted(&["M095"], &DISILICATE, WHITE_CERAMIC, LIGHT_RESIN, TRANSLUCENT),
    luted(&["M096"], &DISILICATE, WHITE_CERAMIC, LIGHT_RESIN, UNIVERSAL),
    luted(&["M097"], &DISILICATE, WHITE_CERAMIC, LIGHT_RESIN, OPAQUE),
    luted(&["M098"], &DISILICATE, GOLD, LIGHT_RESIN, UNIVERSAL),
    luted(&["M099"], &DISILICATE, GOLD, LIGHT_RESIN, TRANSLUCENT),
    luted(&["M100"], &DISILICATE, GOLD, LIGHT_RESIN, OPAQUE),
    luted(&["M101"], &DISILICATE, GREY_METAL, LIGHT_RESIN, TRANSLUCENT),
    luted(&["M102"], &DISILICATE, GREY_METAL, LIGHT_RESIN, UNIVERSAL),
    luted(&["M103"], &DISILICATE, GREY_METAL, LIGHT_RESIN, OPAQUE),
];

/// Resins and ceramics scatter inside and have a boundary of their own; metals reflect less under what touches them.
fn kind(colour: Range) -> Ground {
    if [GREY_METAL, GOLD, COLOURED_TITANIUM].contains(&colour) {
        Ground::Metal
    } else if [LIGHT_RESIN, DARK_RESIN, WHITE_CERAMIC].contains(&colour) {
        Ground::Body(1.5)
    } else {
        Ground::Tile
    }
}

fn spread([low, high]: Range) -> Spread {
    let lab = |v: [f64; 3]| Lab::new(v[0], v[1], v[2]);
    Spread::Between { low: lab(low), high: lab(high) }
}

struct Laboratory {
    world: World,
    viewing: Viewing,
}

impl Laboratory {
    fn medium(&self, name: &str, (low, high): (f64, f64), index: (f64, f64), thickness_mm: f64) -> Arc<[Optics]> {
        let body = Spread::Between { low: Lab::new(62.0, -2.0, 6.0), high: Lab::new(82.0, 3.0, 24.0) };
        let opacity = Opacity::ContrastRatio { low, high, thickness_mm };
        let family = Family { name: name.into(), opacity, index, body, readings: Readings::default() };
        family.draw(&self.world, &self.viewing).unwrap().optics
    }

    fn ground(&self, colour: Range, name: &str) -> Arc<[Backing]> {
        backings(&spread(colour), kind(colour), Instrument::SPHERE_WITH_SPECULAR, &self.world, name, &self.viewing)
            .unwrap()
    }

    /// The stacks over the backing and over the reference, of a piece of any thickness.
    fn stacks(&self, setting: &Setting) -> [Ensemble; 2] {
        let n = self.world.draws();
        let class = setting.class;
        let piece = LayerDraws {
            optics: self.medium(class.name, class.ratio, class.index, 1.0),
            thickness_mm: Draws::constant(n, 1.0),
        };
        let cement = setting.cement.map(|ratio| LayerDraws {
            optics: self.medium("cement", ratio, (1.48, 1.54), 0.1),
            thickness_mm: Draws::constant(n, setting.cement_mm),
        });
        let stack = |colour: Range, name: &str, cemented: bool| {
            let layers: Vec<LayerDraws> =
                std::iter::once(piece.clone()).chain(cement.clone().filter(|_| cemented)).collect();
            Ensemble {
                coupling: if layers.len() > 1 { Coupling::Contact } else { Coupling::Dry },
                layers,
                backing: self.ground(colour, name),
                instrument: Instrument::SPHERE_WITH_SPECULAR,
                model_error: ModelError::USUAL,
            }
        };
        [stack(setting.over, "over", true), stack(setting.reference, "reference", setting.reference_cemented)]
    }

    /// Difference per draw between the two at one thickness.
    fn differences(&self, stacks: &mut [Ensemble; 2], mm: f64, metric: Metric) -> Draws {
        let [over, reference] = stacks.each_mut().map(|stack| {
            stack.layers[0].thickness_mm = Draws::constant(self.world.draws(), mm);
            stack.predict(&self.world, &self.viewing).unwrap()
        });
        difference(&over, &reference, metric)
    }
}

/// Mean and standard deviation a baseline foretells for one row from the others.
type Forecast = fn(&[Found], usize) -> Option<(f64, f64)>;

#[test]
fn published_masking_experiments_from_class_ranges_alone() {
    let table = include_str!("../reference/masking_cases.csv");
    let columns = header(table);
    let cases = rows(table);
    let laboratory = Laboratory { world: World::with_draws(2015, 512), viewing: Viewing::daylight().unwrap() };
    let (mut values, mut verdicts, mut found) = (Vec::new(), Vec::new(), Vec::new());
    for setting in SETTINGS {
        let mut stacks = laboratory.stacks(setting);
        for id in setting.cases {
            let row = cases.iter().find(|r| r[0] == *id).unwrap();
            let cell = |name: &str| row[columns.iter().position(|c| c == name).unwrap()].as_str();
            let metric = if cell("quantity") == "dE_00" { Metric::Ciede2000 } else { Metric::Cie76 };
            let value: f64 = cell("value").parse().unwrap();
            let mm: f64 = cell("total_ceramic_mm").parse().unwrap();
            let draws = laboratory.differences(&mut stacks, mm, metric);
            let interval = draws.interval();
            let study = match (cell("first_author"), cell("pmid")) {
                ("", "") => format!("{} {}", cell("journal"), cell("year")),
                ("", pmid) => format!("PMID {pmid}, {}", cell("year")),
                (author, _) => format!("{author} {}, {}", cell("year"), cell("journal")),
            };
            if cell("qualifier") == "=" {
                println!("{id} found {value} predicted {}", interval.in_words());
                values.push((value, interval));
                let group = cell("cement").to_owned();
                found.push(Found { study, class: setting.class.name, group, mm, value, interval });
            } else {
                let masked = !matches!(cell("qualifier"), ">" | "not shown <" | "not shown <=");
                let chance = draws.share(|d| d <= value);
                println!("{id} masked {masked} chance {chance:.2} predicted {}", interval.in_words());
                verdicts.push((masked, chance, study));
            }
        }
    }
    by_study(&found);
    verdicts_by_study(&verdicts);
    let n = values.len() as f64;
    let covered = values.iter().filter(|(v, i)| (i.low..=i.high).contains(v)).count();
    let width = values.iter().map(|(_, i)| i.width()).sum::<f64>() / n;
    let error = values.iter().map(|(v, i)| (i.median - v).abs()).sum::<f64>() / n;
    let mean = values.iter().map(|(v, _)| v).sum::<f64>() / n;
    // The plainest rival knows all other rows and nothing else.
    let rival = values.iter().map(|(v, _)| ((n * mean - v) / (n - 1.0) - v).abs()).sum::<f64>() / n;
    println!(
        "covered {covered} of {n}, mean width {width:.1}, mean error of the median {error:.2}, of the mean of the others {rival:.2}"
    );
    let right = |masked: bool| verdicts.iter().filter(|(m, c, _)| *m == masked && (*c > 0.5) == masked).count();
    let of = |masked: bool| verdicts.iter().filter(|(m, ..)| *m == masked).count();
    let brier =
        verdicts.iter().map(|(m, c, _)| (f64::from(u8::from(*m)) - c).powi(2)).sum::<f64>() / verdicts.len() as f64;
    let base = of(true) as f64 / verdicts.len() as f64;
    println!(
        "masked {} of {} right, not masked {} of {} right, Brier {brier:.3} against {:.3} of the base rate",
        right(true),
        of(true),
        right(false),
        of(false),
        base * (1.0 - base)
    );
    assert_eq!((values.len(), verdicts.len()), (21, 27));
    assert!(values.iter().all(|(_, i)| i.low >= 0.0 && i.high.is_finite()));
}

/// A measured value beside its prediction.
struct Found {
    study: String,
    class: &'static str,
    /// Cement: rows of one group form a series over thickness.
    group: String,
    mm: f64,
    value: f64,
    interval: answer::Interval,
}

/// Score of a 90 % interval: width, and 20 times what a value lies outside (Gneiting, Raftery 2007, J Am Stat Assoc 102:359-378, doi
/// 10.1198/016214506000001437). Less is better.
fn interval_score(low: f64, high: f64, value: f64) -> f64 {
    (high - low) + 20.0 * ((low - value).max(0.0) + (value - high).max(0.0))
}

/// Mean and standard deviation of the others of the class: knows every other row and no optics.
fn class_mean(rows: &[Found], i: usize) -> Option<(f64, f64)> {
    let others: Vec<f64> =
        (0..rows.len()).filter(|j| *j != i && rows[*j].class == rows[i].class).map(|j| rows[j].value).collect();
    let n = others.len() as f64;
    (n >= 3.0).then(|| {
        let mean = others.iter().sum::<f64>() / n;
        (mean, (others.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt())
    })
}

/// A straight line over thickness through the other rows of the same study and cement, with the scatter about it.
fn line_over_thickness(rows: &[Found], i: usize) -> Option<(f64, f64)> {
    let like = |j: &usize| *j != i && rows[*j].study == rows[i].study && rows[*j].group == rows[i].group;
    let others: Vec<&Found> = (0..rows.len()).filter(like).map(|j| &rows[j]).collect();
    let n = others.len() as f64;
    let x = others.iter().map(|r| r.mm).sum::<f64>() / n;
    let y = others.iter().map(|r| r.value).sum::<f64>() / n;
    let sxx: f64 = others.iter().map(|r| (r.mm - x).powi(2)).sum();
    if others.len() < 3 || sxx < 1e-9 {
        return None;
    }
    let slope = others.iter().map(|r| (r.mm - x) * (r.value - y)).sum::<f64>() / sxx;
    let at = |mm: f64| y + slope * (mm - x);
    let rest: f64 = others.iter().map(|r| (r.value - at(r.mm)).powi(2)).sum();
    Some((at(rows[i].mm), (rest / (n - 2.0)).sqrt()))
}

/// Coverage, width and score of each study, beside the two baselines where they can be made.
fn by_study(rows: &[Found]) {
    let mut studies: Vec<&str> = rows.iter().map(|r| r.study.as_str()).collect();
    studies.sort_unstable();
    studies.dedup();
    for study in studies {
        let own: Vec<usize> = (0..rows.len()).filter(|i| rows[*i].study == study).collect();
        let n = own.len() as f64;
        let covered = own
            .iter()
            .filter(|i| (rows[**i].interval.low..=rows[**i].interval.high).contains(&rows[**i].value))
            .count();
        let width = own.iter().map(|i| rows[*i].interval.width()).sum::<f64>() / n;
        let ours = own
            .iter()
            .map(|i| interval_score(rows[*i].interval.low, rows[*i].interval.high, rows[*i].value))
            .sum::<f64>()
            / n;
        let rival = |forecast: Forecast| -> Option<f64> {
            let scores: Option<Vec<f64>> = own
                .iter()
                .map(|i| {
                    forecast(rows, *i).map(|(m, sd)| interval_score(m - 1.645 * sd, m + 1.645 * sd, rows[*i].value))
                })
                .collect();
            scores.map(|s| s.iter().sum::<f64>() / n)
        };
        let words = |score: Option<f64>| score.map_or("not possible".to_owned(), |s| format!("{s:.1}"));
        let share = covered as f64 / n;
        println!(
            "validation | coverage of 90 % intervals, class ranges alone, {} values | {study} | 80 to 97 % | {covered} of {} ({:.0} %), mean width {width:.1} | {} | interval score {ours:.1}; class mean of the other rows {}; line over thickness {}",
            own.len(),
            own.len(),
            100.0 * share,
            if (0.8..=1.0).contains(&share) { "hit" } else { "miss" },
            words(rival(class_mean)),
            words(rival(line_over_thickness)),
        );
    }
}

/// Verdicts of each study: right ones, balanced accuracy, skill against the base rate of all verdicts.
fn verdicts_by_study(verdicts: &[(bool, f64, String)]) {
    let base = verdicts.iter().filter(|v| v.0).count() as f64 / verdicts.len() as f64;
    let mut studies: Vec<&str> = verdicts.iter().map(|v| v.2.as_str()).collect();
    studies.sort_unstable();
    studies.dedup();
    studies.push("all studies");
    for study in studies {
        let own: Vec<&(bool, f64, String)> =
            verdicts.iter().filter(|v| study == "all studies" || v.2 == study).collect();
        let rate = |masked: bool| {
            let of: Vec<_> = own.iter().filter(|v| v.0 == masked).collect();
            (of.iter().filter(|v| (v.1 > 0.5) == masked).count(), of.len())
        };
        let ((hit, masked), (refused, shown)) = (rate(true), rate(false));
        let brier = |p: &dyn Fn(&(bool, f64, String)) -> f64| {
            own.iter().map(|v| (f64::from(u8::from(v.0)) - p(v)).powi(2)).sum::<f64>() / own.len() as f64
        };
        let (ours, plain) = (brier(&|v| v.1), brier(&|_| base));
        let skill = 1.0 - ours / plain;
        let balanced = match (masked, shown) {
            (0, _) | (_, 0) => "one kind only".to_owned(),
            _ => format!("{:.0} %", 50.0 * (hit as f64 / masked as f64 + refused as f64 / shown as f64)),
        };
        println!(
            "validation | masking verdicts, class ranges alone, {} | {study} | skill above 0 | masked {hit} of {masked}, not masked {refused} of {shown}, balanced accuracy {balanced}, skill {skill:.2} | {} | Brier {ours:.2} against {plain:.2} of the base rate {base:.2}",
            own.len(),
            if skill > 0.0 { "hit" } else { "miss" },
        );
    }
}
