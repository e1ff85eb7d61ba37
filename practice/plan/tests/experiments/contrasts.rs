//! Two loads of one study against each other.

use crate::DRAWS;
use crate::bench::{Bench, Embrasure, bench};
use crate::cases::measured;
use crate::walls::{FRONT, MOLAR, MOLAR_OF_RESIN, PREMOLAR_OF_RESIN};
use answer::Draws;

/// A ratio of loads within one study: ids, ratio measured, ln ratio predicted; whether the paper found a difference.
struct Contrast {
    what: &'static str,
    source: &'static str,
    measured: f64,
    predicted: Draws,
}

fn contrasts(b: &Bench) -> Vec<Contrast> {
    let ratio = |one: &str, other: &str| measured(one) / measured(other);
    let less = |a: &Draws, b: &Draws| a.zip(b, |a, b| a - b);
    let (ld, z3, fs) = ("lithium_disilicate", "zirconia_3y", "feldspathic");
    let mut out = Vec::new();
    let mut add = |what, source, measured, predicted| out.push(Contrast { what, source, measured, predicted });
    let (sharp, rounded) = (b.bridge(z3, 9.0, Embrasure::Sharp, true), b.bridge(z3, 12.0, Embrasure::Rounded, true));
    add("connector 12 mm2 rounded over 9 mm2 sharp", "V02/V01", ratio("V02", "V01"), less(&rounded, &sharp));
    let junker = |area| b.bridge(ld, area, Embrasure::Unreported, false);
    add("connector 16 over 9 mm2", "V03/V05", ratio("V03", "V05"), less(&junker(16.0), &junker(9.0)));
    add("connector 12 over 9 mm2", "V04/V05", ratio("V04", "V05"), less(&junker(12.0), &junker(9.0)));
    let of = |m| b.bridge(m, 14.0, Embrasure::Unreported, true);
    add("3Y zirconia over lithium disilicate, one shape", "V09/V10", ratio("V09", "V10"), less(&of(z3), &of(ld)));
    let arm = |a| b.cantilever_of(z3, a);
    add("cantilever 9 over 12 mm", "V28/V30", ratio("V28", "V30"), less(&arm(9.0), &arm(12.0)));
    add("cantilever 9 over 12 mm, reinforced", "V29/V31", ratio("V29", "V31"), less(&arm(9.0), &arm(12.0)));
    let (unit, far) = (b.of("bridge", "unit_mm"), b.of("bridge", "neck_to_load_over_unit"));
    let (two, central) = (b.between_implants(z3), b.cantilever(z3, &unit.zip(&far, |unit, far| unit * far)));
    add("two end supports over a central one", "V47/V48", ratio("V47", "V48"), less(&two, &central));
    // No cement told: the first crack.
    let (thick, thin) = (b.constant_wall(ld, 2.0, MOLAR), b.constant_wall(ld, 1.0, MOLAR));
    let (old_thick, old_thin) = (b.cycled(ld, &thick), b.cycled(ld, &thin));
    add("crown 2.0 over 1.0 mm", "V14/V16", ratio("V14", "V16"), less(&thick, &thin));
    let aged = less(&thick.plus(&old_thick), &thin.plus(&old_thin));
    add("crown 2.0 over 1.0 mm, aged", "V15/V17", ratio("V15", "V17"), aged);
    add("crown 2.0 mm aged over new", "V15/V14", ratio("V15", "V14"), old_thick);
    add("crown 1.0 mm aged over new", "V17/V16", ratio("V17", "V16"), old_thin);
    let yu = |t| b.crown_arm(ld, t, MOLAR_OF_RESIN).cemented().load();
    add("crown 1.5 over 0.5 mm on a resin die", "V19/V18", ratio("V19", "V18"), less(&yu(1.5), &yu(0.5)));
    add("the same of an experimental glass-ceramic", "V85/V84", ratio("V85", "V84"), less(&yu(1.5), &yu(0.5)));
    let wall = b.of("crown", "occlusal_unreported_mm");
    let cement = |t| b.crown_of(fs, &wall, MOLAR_OF_RESIN, &Draws::constant(DRAWS, t)).cemented().load();
    add(
        "cement 30 over 90 um (no difference found)",
        "V25/V27",
        ratio("V25", "V27"),
        less(&cement(0.03), &cement(0.09)),
    );
    let nakamura = |m, t| b.constant_wall(m, t, MOLAR);
    let against = less(&nakamura(z3, 0.5), &nakamura(ld, 1.5));
    add("3Y 0.5 mm over lithium disilicate 1.5 mm", "V60/V61", ratio("V60", "V61"), against);
    let montaser = |t| b.constant_wall(z3, t, PREMOLAR_OF_RESIN);
    add(
        "3Y coping 1.0 over 0.5 mm on a resin die",
        "V74/V73",
        ratio("V74", "V73"),
        less(&montaser(1.0), &montaser(0.5)),
    );
    let left = |new: &Draws| b.after(z3, new, 80.0, 2.5e6);
    let one = b.crown_arm(z3, 1.5, FRONT).cemented();
    let one = one.clone().aged(b, left(&one.first)).load();
    let two = left(&b.layered(z3, 0.8, 0.7));
    add("3Y crown of 1.5 mm over 0.8 mm and a veneer of 0.7 mm", "V76/V78", ratio("V76", "V78"), less(&one, &two));
    let prott = |t| {
        let new = b.cover_arm(ld, t).cemented();
        new.clone().aged(b, b.after(ld, &new.first, 49.0, 1.2e6)).load()
    };
    add("occlusal veneer 1.5 over 0.5 mm", "V81/V79", ratio("V81", "V79"), less(&prott(1.5), &prott(0.5)));
    let oh = |r| b.bridge_with(ld, 16.0, &Draws::constant(DRAWS, r), false);
    add("embrasure radius 0.90 over 0.25 mm (memory)", "V62", measured("V62"), less(&oh(0.9), &oh(0.25)));
    out
}

#[test]
fn contrasts_within_studies() {
    let b = bench();
    let (mut signs, mut offs) = (0, Vec::new());
    let all = contrasts(&b);
    for c in &all {
        let predicted = c.predicted.mean().exp();
        let off = (predicted / c.measured).ln().abs();
        // A prediction of no difference has no sign; where the paper found none, one within a tenth of none is right.
        let predicts = c.predicted.mean();
        let right = (predicts > 1e-3 && c.measured > 1.0)
            || (predicts < -1e-3 && c.measured < 1.0)
            || (c.what.contains("no difference") && predicts.abs() < 0.1);
        signs += usize::from(right);
        offs.push(off);
        let hit = if right && off <= 0.25 { "hit" } else { "miss" };
        println!(
            "validation | {} | {}, validation_cases.csv | {:.3} | {predicted:.3} | {hit} | ratio of loads, sign {}, |ln ratio of ratios| {off:.2}",
            c.what,
            c.source,
            c.measured,
            if right { "right" } else { "wrong" }
        );
    }
    offs.sort_by(f64::total_cmp);
    let n = all.len();
    let median = 0.5 * (offs[(n - 1) / 2] + offs[n / 2]);
    let hit = |b: bool| if b { "hit" } else { "miss" };
    println!(
        "validation | contrasts within studies with the right sign | validation_cases.csv | 85 % or more | {signs} of {n} | {} | no tuning",
        hit(100 * signs >= 85 * n)
    );
    println!(
        "validation | median of |ln (ratio predicted / ratio measured)| | validation_cases.csv | 0.25 or less | {median:.2} | {} | no tuning",
        hit(median <= 0.25)
    );
    // What mechanics cannot get wrong: more section, more wall, a shorter arm and a stronger material carry more, a wetted one less. A rounder embrasure is a wider gap as well.
    let open = ["cement", "0.5 mm over lithium", "embrasure"];
    let mechanical: Vec<_> = all.iter().filter(|c| !open.iter().any(|o| c.what.contains(o))).collect();
    assert!(mechanical.len() >= 12);
    assert!(mechanical.iter().all(|c| (c.predicted.mean() > 0.0) != c.what.contains("aged over new")));
}
