//! Whatever the data, a form either says why it cannot be drawn or keeps inside its view box, writes no broken number and lets no
//! text through as markup.

#![allow(clippy::expect_used, clippy::unwrap_used)]

mod common;

use picture::forms::*;
use picture::{Charset, Rgb, Scene, Theme, Undrawable, svg, svg_inline, text_lines};
use proptest::prelude::*;

/// Text as an enemy would write it.
fn hostile() -> Vec<String> {
    vec![
        "</text></svg><script>alert(1)</script>".into(),
        "\" onload=\"alert(1)\" x='".into(),
        "]]><!-- & &amp; &#0; \u{0}\u{1b}[2J\u{7}".into(),
        "\u{202e}gnirts desrever\u{202c} \u{2067}x".into(),
        "\u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{645}\u{631}\u{62d}\u{628}\u{627}".into(),
        "\u{1f9b7}\u{1f468}\u{200d}\u{1f469}\u{200d}\u{1f467} \u{6f22}\u{5b57}".into(),
        "w".repeat(10_000),
        "word ".repeat(2_000),
        "e\u{301}\u{301}\u{301}".repeat(500),
        String::new(),
    ]
}

fn sound(name: &str, drawn: Result<Scene, Undrawable>) -> Result<(), TestCaseError> {
    let Ok(scene) = drawn else { return Ok(()) };
    prop_assert!(scene.outside().is_empty(), "{name}: outside {:?}", scene.outside().first());
    for text in [svg(&scene, Theme::Light), svg_inline(&scene, "x\" onload=\"y")] {
        let tags = text.matches('<').count();
        let own = [
            "<svg",
            "</svg",
            "<title",
            "</title",
            "<desc",
            "</desc",
            "<g ",
            "</g>",
            "<text",
            "</text",
            "<rect",
            "<circle",
            "<polyline",
            "<polygon",
            "<path",
        ];
        let known: usize = own.iter().map(|t| text.matches(t).count()).sum();
        prop_assert_eq!(tags, known, "{}: a tag that is not ours", name);
        prop_assert!(
            !text.contains("=\"NaN") && !text.contains("NaN,") && !text.contains(",NaN") && !text.contains("=\"inf"),
            "{name}"
        );
        prop_assert!(!text.contains("onload=\""), "{name}");
        prop_assert!(text.chars().all(|c| c == '\n' || !c.is_control()), "{name}");
    }
    for charset in [Charset::Unicode, Charset::Ascii] {
        let lines = text_lines(&scene, charset);
        prop_assert!(
            lines.iter().all(|l| l.chars().all(|c| !c.is_control() && !('\u{202a}'..='\u{202e}').contains(&c))),
            "{name}"
        );
    }
    Ok(())
}

#[test]
fn hostile_text_is_harmless_everywhere() {
    for t in hostile() {
        let limit = |at| vec![Threshold { at, label: t.clone() }, Threshold { at: at * 1.01, label: t.clone() }];
        let results = [
            quantile_dots(&QuantileDots {
                title: t.clone(),
                quantity: t.clone(),
                thresholds: limit(39.0),
                ..common::dots()
            }),
            icon_array(&IconArray {
                title: t.clone(),
                event: t.clone(),
                groups: vec![IconGroup { label: t.clone(), filled: 100, sentence: t.clone() }; 5],
            }),
            survival_fan(&SurvivalFan { title: t.clone(), quantity: t.clone(), ..common::fan() }),
            forest(&Forest {
                title: t.clone(),
                quantity: t.clone(),
                rows: vec![ForestRow {
                    label: t.clone(),
                    group: t.clone(),
                    value: 1.0,
                    low: 0.0,
                    high: 9.0,
                    weight: 0.0,
                }],
                left_out: vec![(t.clone(), t.clone())],
                ..common::studies()
            }),
            swatches(&Swatches {
                title: t.clone(),
                wish_words: t.clone(),
                draws_words: t.clone(),
                notes: vec![t.clone(); 3],
                ..common::colours()
            }),
            {
                let mut data = common::options();
                data.columns.iter_mut().for_each(|c| c.name = t.clone());
                data.rows.iter_mut().for_each(|r| {
                    r.label = t.clone();
                    r.cells.iter_mut().for_each(|c| c.words = t.clone());
                });
                interval_table(&data)
            },
            arrow_before_after(&Change {
                title: t.clone(),
                quantity: t.clone(),
                rows: vec![BeforeAfter { label: t.clone(), before: 1.0, after: 2.0 }],
                thresholds: limit(0.0),
                ..common::changes()
            }),
            bars(&Bars {
                title: t.clone(),
                quantity: t.clone(),
                rows: vec![Bar { label: t.clone(), value: 1.0, interval: None, words: t.clone(), accent: true }],
                thresholds: limit(2.4),
                ..common::lengths()
            }),
        ];
        for (i, drawn) in results.into_iter().enumerate() {
            assert!(drawn.is_ok(), "form {i}: {drawn:?}");
            sound(&format!("form {i}, text {:?}", t.chars().take(12).collect::<String>()), drawn).unwrap();
        }
    }
}

#[test]
fn figures_that_are_no_numbers_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(
            quantile_dots(&QuantileDots { quantiles: [vec![1.0; 19], vec![bad]].concat(), ..common::dots() }).is_err()
        );
        assert!(quantile_dots(&QuantileDots { scale_end: bad, ..common::dots() }).is_err());
        assert!(bars(&Bars { scale_end: bad, ..common::lengths() }).is_err());
        assert!(survival_fan(&SurvivalFan { own: vec![(bad, 1.0)], ..common::fan() }).is_err());
        assert!(arrow_before_after(&Change { scale: (0.0, bad), ..common::changes() }).is_err());
        assert!(forest(&Forest { scale: (bad, 1.0), ..common::studies() }).is_err());
    }
    assert!(
        icon_array(&IconArray {
            groups: vec![IconGroup { label: "a".into(), filled: 101, sentence: "b".into() }],
            ..common::icons()
        })
        .is_err()
    );
    assert!(swatches(&Swatches { draws: vec![Rgb(0, 0, 0)], ..common::colours() }).is_err());
}

fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![-1e13f64..1e13, 0.0f64..100.0, -1.0f64..1.0, Just(0.0), Just(f64::MAX), Just(f64::MIN_POSITIVE)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn dots_keep_inside(quantiles in prop::collection::vec(figure(), 20), end in figure(), at in figure(), decimals in 0usize..7) {
        let thresholds = vec![Threshold { at, label: "limit".into() }, Threshold { at: at * 1.1, label: "another limit".into() }];
        let drawn = quantile_dots(&QuantileDots { quantiles, scale_end: end, thresholds, decimals, ..common::dots() });
        if let Ok(scene) = &drawn {
            let dots = svg(scene, Theme::Light).matches("<circle").count() + svg(scene, Theme::Light).matches("<polygon").count();
            prop_assert_eq!(dots, 20);
        }
        sound("dots", drawn)?;
    }

    #[test]
    fn figures_are_filled_by_count(filled in 0u32..=100) {
        let scene = icon_array(&IconArray { groups: vec![IconGroup { label: "a".into(), filled, sentence: "b".into() }], ..common::icons() }).unwrap();
        let terminal = text_lines(&scene, Charset::Unicode).join("");
        prop_assert_eq!(terminal.matches('\u{25cf}').count(), filled as usize);
        prop_assert_eq!(terminal.matches('\u{25cb}').count(), 100 - filled as usize);
        sound("icons", Ok(scene))?;
    }

    #[test]
    fn fans_keep_inside(mut q in prop::collection::vec(0.0f64..=100.0, 10), end in 0.01f64..60.0, observed in figure(), floor in 0.0f64..99.0, own in figure()) {
        q[..5].sort_by(f64::total_cmp);
        q[5..].sort_by(f64::total_cmp);
        let year = |year, q: &[f64]| FanYear { year, low90: q[0], low50: q[1], median: q[2], high50: q[3], high90: q[4] };
        let years = vec![year(0.0, &q[..5]), year(end, &q[5..])];
        sound("fan", survival_fan(&SurvivalFan { years, observed_to: Some(observed), floor, own: vec![(0.0, 100.0), (end, own)], at_risk: vec![(own, own)], ..common::fan() }))?;
    }

    #[test]
    fn forests_keep_inside(rows in prop::collection::vec((figure(), figure(), figure(), 0.0f64..10.0), 0..12), from in figure(), to in figure()) {
        let rows = rows.into_iter().map(|(value, a, b, weight)| ForestRow { label: "study".into(), group: String::new(), value, low: a.min(b), high: a.max(b), weight }).collect();
        sound("forest", forest(&Forest { rows, scale: (from, to), ..common::studies() }))?;
    }

    #[test]
    fn bars_and_arrows_keep_inside(rows in prop::collection::vec((0.0f64..1e13, figure(), figure()), 1..12), end in figure(), decimals in 0usize..7) {
        let lengths = rows.iter().map(|(value, a, b)| Bar { label: "one".into(), value: *value, interval: Some((a.min(*b), a.max(*b))), words: "x".into(), accent: false }).collect();
        sound("bars", bars(&Bars { rows: lengths, scale_end: end, decimals, ..common::lengths() }))?;
        let arrows = rows.iter().map(|(_, before, after)| BeforeAfter { label: "one".into(), before: *before, after: *after }).collect();
        sound("arrows", arrow_before_after(&Change { rows: arrows, scale: (-end, end), decimals, ..common::changes() }))?;
    }

    #[test]
    fn cells_keep_inside(a in figure(), b in figure(), c in figure(), from in figure(), to in figure()) {
        let mut v = [a, b, c];
        v.sort_by(f64::total_cmp);
        let column = IntervalColumn { name: "column".into(), scale: (from, to), thresholds: vec![Threshold { at: a, label: "limit".into() }] };
        sound("cell", interval_cell(&column, &IntervalCell { value: Some((v[0], v[1], v[2])), words: "x".into() }, true))?;
    }

    #[test]
    fn any_text_is_harmless(text in "\\PC{0,200}") {
        sound("dots", quantile_dots(&QuantileDots { title: text.clone(), quantity: text.clone(), ..common::dots() }))?;
        sound("bars", bars(&Bars { rows: vec![Bar { label: text.clone(), value: 1.0, interval: None, words: text.clone(), accent: true }], ..common::lengths() }))?;
    }
}
