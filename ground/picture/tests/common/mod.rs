//! One plain example of every form; all figures are invented.

#![allow(dead_code, clippy::expect_used)] // each test program uses a part of it

use picture::forms::*;
use picture::{Rgb, Scene, Undrawable};

fn scene(drawn: Result<Scene, Undrawable>) -> Scene {
    drawn.expect("an example can be drawn")
}

/// A spread of values without chance: a stretched ramp.
pub fn ramp(middle: f64, spread: f64) -> Vec<f64> {
    (0..200)
        .map(|i| (f64::from(i) + 0.5) / 200.0)
        .map(|p| middle * (spread * (p / (1.0 - p)).ln() / 1.7).exp())
        .collect()
}

pub fn gallery() -> Vec<(&'static str, Scene)> {
    vec![
        ("quantile_dots", scene(quantile_dots(&dots()))),
        ("icon_array", scene(icon_array(&icons()))),
        ("survival_fan", scene(survival_fan(&fan()))),
        ("forest", scene(forest(&studies()))),
        ("funnel", scene(funnel(&against_error()))),
        ("cumulative", scene(cumulative(&growing()))),
        ("map", scene(map(&known()))),
        ("swatches", scene(swatches(&colours()))),
        ("interval_table", scene(interval_table(&options()))),
        ("interval_cell", scene(interval_cell(&options().columns[0], &options().rows[0].cells[0], false))),
        ("change", scene(arrow_before_after(&changes()))),
        ("bars", scene(bars(&lengths()))),
        ("curves", scene(curves(&hiding()))),
        ("stack", scene(stack_section(&section()))),
    ]
}

pub fn dots() -> QuantileDots {
    QuantileDots {
        title: "About 12 of 100 are lost within 10 years; it may be 6 or 25.".into(),
        quantity: "lost within 10 years, of 100".into(),
        quantiles: picture::quantiles(&ramp(12.0, 0.5), 20),
        scale_end: 40.0,
        thresholds: vec![
            Threshold { at: 15.0, label: "with care".into() },
            Threshold { at: 25.0, label: "unsuitable".into() },
        ],
        decimals: 0,
    }
}

pub fn icons() -> IconArray {
    let group = |label: &str, filled| IconGroup {
        label: label.into(),
        filled,
        sentence: format!(
            "In {filled} of 100 people it has to be made again within 10 years; in {} it lasts.",
            100 - filled
        ),
    };
    IconArray {
        title: "More than twice as many of the second kind are made again.".into(),
        event: "made again within 10 years".into(),
        groups: vec![group("first kind", 12), group("second kind", 27)],
    }
}

pub fn fan() -> SurvivalFan {
    let years = (0..=15)
        .map(|y| {
            let t = f64::from(y);
            let s = |rate: f64| 100.0 * (-rate * t).exp();
            FanYear { year: t, low90: s(0.030), low50: s(0.018), median: s(0.0125), high50: s(0.009), high90: s(0.005) }
        })
        .collect();
    SurvivalFan {
        title: "About 88 of 100 are still there after 10 years.".into(),
        quantity: "still in place, of 100".into(),
        years,
        observed_to: Some(10.0),
        at_risk: vec![(0.0, 1240.0), (5.0, 610.0), (10.0, 84.0)],
        own: vec![(0.0, 100.0), (1.3, 98.0), (3.8, 96.0), (6.2, 93.0)],
        floor: 50.0,
    }
}

pub fn studies() -> Forest {
    let row = |label: &str, group: &str, value: f64, half: f64, weight| ForestRow {
        label: label.into(),
        group: group.into(),
        value,
        low: (value - half).max(0.0),
        high: value + half,
        weight,
    };
    Forest {
        title: "Studies agree on about one loss in a hundred a year.".into(),
        quantity: "losses per 100 years".into(),
        rows: vec![
            row("Study one 2008", "university", 0.8, 0.6, 30.0),
            row("Study two 2012", "university", 1.4, 0.9, 18.0),
            row("Study three 2015", "practice", 1.1, 0.4, 55.0),
            row("A study with a very long name indeed and then some 2019", "practice", 2.1, 1.3, 8.0),
        ],
        pooled: Some(Summary { value: 1.12, low: 0.8, high: 1.5 }),
        prediction: Some(Summary { value: 1.12, low: 0.4, high: 2.4 }),
        left_out: vec![("Study five 2020".into(), "counts without time".into())],
        scale: (0.0, 4.0),
        decimals: 1,
    }
}

pub fn against_error() -> Funnel {
    let point = |label: &str, effect: f64, error: f64| FunnelPoint { label: label.into(), effect, error };
    Funnel {
        title: "Small studies lie on both sides.".into(),
        quantity: "losses per 100 years (logarithmic)".into(),
        points: vec![
            point("one", 0.1, 0.12),
            point("two", -0.2, 0.2),
            point("three", 0.45, 0.41),
            point("four", 0.9, 0.5),
        ],
        filled: vec![point("for four", -0.8, 0.5)],
        centre: 0.05,
        ticks: [0.25, 0.5, 1.0, 2.0, 4.0].iter().map(|r: &f64| (r.ln(), format!("{r}"))).collect(),
    }
}

pub fn growing() -> Cumulative {
    let step = |label: &str, value: f64, half: f64| CumulativeStep {
        label: label.into(),
        pooled: Summary { value, low: value - half, high: value + half },
    };
    Cumulative {
        title: "Since 2012 the pooled value has hardly moved.".into(),
        quantity: "losses per 100 years".into(),
        steps: vec![step("One 2008", 0.8, 0.6), step("Two 2012", 1.1, 0.5), step("Three 2015", 1.12, 0.35)],
        scale: (0.0, 2.0),
        decimals: 1,
    }
}

pub fn known() -> Map {
    let cell = |row, column, rate: f64, observed, borrowed| MapCell {
        row,
        column,
        rate,
        low: 0.5 * rate,
        high: 2.0 * rate,
        observed,
        arms: 3,
        parts: vec![
            MapPart { label: "breaking".into(), rate: 0.6 * rate },
            MapPart { label: "decay".into(), rate: 0.4 * rate },
        ],
        borrowed,
    };
    let two = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    Map {
        title: "Half of the kinds have been watched for long.".into(),
        quantity: "losses per 100 years".into(),
        observation: "years observed and arms".into(),
        rows: vec![two("glass", "solid"), two("metal", ""), two("something of a long name", "layered")],
        columns: ["cups", "plates", "jugs", "bowls", "vases of a long name"].map(str::to_owned).to_vec(),
        cells: vec![
            cell(0, 0, 1.2, 4200.0, false),
            cell(0, 1, 3.4, 120.0, true),
            cell(1, 2, 0.4, 990.0, false),
            cell(1, 4, 12.0, 70.0, false),
        ],
    }
}

pub fn colours() -> Swatches {
    let draws = (0..25u16)
        .map(|i| Rgb((205 + (i * 7) % 11) as u8, (190 + (i * 5) % 13) as u8, (160 + (i * 11) % 17) as u8))
        .collect();
    Swatches {
        title: "The prediction is a little darker than the wish; side by side most would see it.".into(),
        wish: Rgb(222, 208, 178),
        wish_words: "L* 84 a* 0.5 b* 17".into(),
        draws,
        draws_words: "L* 79 (76 to 82) a* 0.9 b* 18".into(),
        notes: vec![
            "Difference 4.1 (2.2 to 6.3) by CIEDE2000.".into(),
            "Light D65, observer 10 degrees.".into(),
            "Screens differ: judge by the figures.".into(),
        ],
    }
}

pub fn options() -> IntervalTable {
    let column = |name: &str, end: f64, limit: f64| IntervalColumn {
        name: name.into(),
        scale: (0.0, end),
        thresholds: vec![Threshold { at: limit, label: "with care".into() }],
    };
    let cell = |low: f64, middle: f64, high: f64, unit: &str| IntervalCell {
        value: Some((low, middle, high)),
        words: format!("{middle:.0} {unit}"),
    };
    let unknown = || IntervalCell { value: None, words: "not known".into() };
    let row = |label: &str, k: f64, dimmed| IntervalRow {
        label: label.into(),
        cells: vec![
            cell(6.0 * k, 12.0 * k, 25.0 * k, "of 100"),
            cell(0.2 * k, 1.0 * k, 3.0 * k, "of 100"),
            cell(1.0, 2.0, 4.5, "dE00"),
            cell(18.0, 24.0, 30.0, "%"),
            unknown(),
            unknown(),
        ],
        dimmed,
    };
    IntervalTable {
        title: "The first option loses least; the third is worse in everything.".into(),
        columns: vec![
            column("Will it last?", 40.0, 15.0),
            column("Will it break?", 10.0, 2.0),
            column("Will it show?", 6.0, 2.7),
            column("What is lost?", 60.0, 40.0),
            column("Will it hold?", 20.0, 5.0),
            column("Cost", 20.0, 5.0),
        ],
        rows: vec![
            row("first option, in one piece", 1.0, false),
            row("second option", 1.4, false),
            row("third option", 2.0, true),
        ],
    }
}

pub fn changes() -> Change {
    let row = |label: &str, before, after| BeforeAfter { label: label.into(), before, after };
    Change {
        title: "Half a millimetre more height halves the risk.".into(),
        quantity: "fractures within 10 years, of 100".into(),
        rows: vec![
            row("height 4.0 to 4.5 mm", 8.0, 4.1),
            row("other class", 8.0, 2.0),
            row("guard worn", 8.0, 7.9),
            row("wider span", 8.0, 13.0),
        ],
        scale: (0.0, 15.0),
        thresholds: vec![Threshold { at: 5.0, label: "with care".into() }],
        decimals: 1,
    }
}

pub fn lengths() -> Bars {
    let bar = |label: &str, value: f64, interval, accent| Bar {
        label: label.into(),
        value,
        interval,
        words: format!("{value} mm"),
        accent,
    };
    Bars {
        title: "The upper surface needs most room.".into(),
        quantity: "depth, mm".into(),
        rows: vec![
            bar("upper", 1.7, Some((1.4, 2.1)), true),
            bar("outer", 1.2, Some((0.9, 1.6)), false),
            bar("inner", 0.8, None, false),
            bar("edge", 0.02, Some((0.0, 0.1)), false),
        ],
        scale_end: 2.5,
        thresholds: vec![Threshold { at: 2.0, label: "room at hand".into() }],
        decimals: 1,
    }
}

pub fn hiding() -> Curves {
    let line = |label: &str, start: f64| CurveLine {
        label: label.into(),
        points: (0..12)
            .map(|i| {
                let x = 0.4 + 0.15 * f64::from(i);
                let middle = start * (-1.3 * x).exp();
                CurvePoint { x, low: 0.7 * middle, middle, high: 1.4 * middle }
            })
            .collect(),
    };
    Curves {
        title: "The dense grade hides the dark core from 1.2 mm on.".into(),
        across: "thickness of the core, mm".into(),
        upright: "difference \u{394}E00 to the same over a light core".into(),
        lines: vec![line("dense", 12.0), line("middle", 17.0), line("clear", 24.0)],
        limits: vec![
            Threshold { at: 1.8, label: "half refuse".into() },
            Threshold { at: 0.8, label: "half see".into() },
        ],
        mark: Some(Threshold { at: 1.0, label: "room there is".into() }),
        decimals: [2, 1],
    }
}

pub fn section() -> StackSection {
    let layer = |label: &str, thickness, colour| StackLayer { label: label.into(), thickness, colour };
    StackSection {
        title: "Half a millimetre of core carries a millimetre of veneer.".into(),
        unit: "mm".into(),
        layers: vec![
            layer("veneer", 1.0, Rgb(222, 205, 170)),
            layer("core", 0.5, Rgb(235, 228, 210)),
            layer("cement", 0.05, Rgb(240, 236, 220)),
        ],
        backing: ("cast post".into(), Rgb(120, 118, 112)),
        decimals: 2,
    }
}
