//! `bisque colour photo`: the colour of a stump beside a grey card.

use super::image::{Image, Rectangle};
use super::{keep, lab_json, lab_words, usage};
use crate::args::PhotoArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use ::catalogue::{OwnColour, OwnKind};
use ::colour::{Grey, Spread, photographed};
use answer::six_figures;
use serde_json::json;
use std::path::Path;

/// Reads the stump's colour from a photograph.
pub fn run(args: &PhotoArgs, data: Option<&Path>) -> Result<(), Failure> {
    let Some(card) = &args.card else {
        return Err(Failure::Usage(
            "a photograph without a grey card tells no colour; expected --card x,y,width,height: photograph the stump again with \
             a grey card in the same plane and light"
                .to_owned(),
        ));
    };
    let card = Rectangle::parse("card", card)?;
    let stump = Rectangle::parse("stump", &args.stump)?;
    let second = args.second.as_deref().map(|s| Rectangle::parse("second", s)).transpose()?;
    let image = Image::read(&args.image)?;
    let grey = |option: &str, rectangle, reflectance| -> Result<Grey, Failure> {
        Ok(Grey { field: image.field(option, rectangle, args.linear)?, reflectance })
    };
    let card = grey("card", card, args.card_reflectance)?;
    let second = match (second, args.second_reflectance) {
        (Some(rectangle), Some(reflectance)) => Some(grey("second", rectangle, reflectance)?),
        _ => None,
    };
    let stump = image.field("stump", stump, args.linear)?;
    let spread =
        photographed(&stump, &card, second.as_ref()).map_err(|e| usage(format!("{}: {e}", args.image.display())))?;
    let (Spread::Normal { mean, sd } | Spread::Between { low: mean, high: sd }) = spread;
    let cast = card.field.mean.map(|v| six_figures(v / card.field.mean[1]));
    let proven = second.is_some();
    // The case file holds one spread: the distance of one standard deviation on each axis.
    let distance = six_figures((sd.l * sd.l + sd.a * sd.a + sd.b * sd.b).sqrt());
    let toml = format!(
        "stump = {{ L = {:.1}, a = {:.1}, b = {:.1}, spread = {distance:.1}, instrument = \"photograph with grey card\" }}",
        mean.l, mean.a, mean.b
    );
    if let Some(name) = &args.keep {
        let colour = OwnColour {
            kind: OwnKind::Stump,
            name: name.trim().to_owned(),
            lab: [mean.l, mean.a, mean.b],
            spread: Some(distance),
            instrument: Some("photograph with grey card".to_owned()),
            read_on: None,
        };
        keep::keep(&colour, keep::folder(data)?, false)?;
    }
    let defaults = [
        format!("reflectance of the card {}", args.card_reflectance),
        format!("curve of the file: {}", if args.linear { "linear" } else { "sRGB" }),
    ];
    if args.json {
        return print_json(&json!({
            "lab": lab_json(mean),
            "sd": lab_json(sd),
            "interval_90": {
                "low": lab_json(along(mean, sd, -1.645)),
                "high": lab_json(along(mean, sd, 1.645)),
            },
            "card": { "mean_linear": card.field.mean.map(six_figures), "cast": cast, "clipped": card.field.clipped },
            "stump_clipped": stump.clipped,
            "linearity_proven": proven,
            "taken_as_given": defaults,
            "case_line": toml,
        }));
    }
    say(&format!("{} (standard deviation {:.1}, {:.1}, {:.1})", lab_words(mean), sd.l, sd.a, sd.b));
    let (low, high) = (along(mean, sd, -1.645), along(mean, sd, 1.645));
    say(&format!(
        "90 in 100: L* {:.1} to {:.1}, a* {:.1} to {:.1}, b* {:.1} to {:.1}",
        low.l, high.l, low.a, high.a, low.b, high.b
    ));
    say(&format!(
        "card at {:.2} of full scale, red {:.2} and blue {:.2} of green",
        card.field.mean[1], cast[0], cast[2]
    ));
    if !proven {
        say("Linearity is not proven: show a second grey (--second) to narrow L*.");
    }
    say(&format!("Taken as given: {}.", defaults.join("; ")));
    say(&format!("For the case file: {toml}"));
    say("An instrument is better; gloss, shade and another plane falsify a photograph.");
    Ok(())
}

fn along(mean: ::colour::Lab, sd: ::colour::Lab, z: f64) -> ::colour::Lab {
    ::colour::Lab::new((mean.l + z * sd.l).clamp(0.0, 100.0), mean.a + z * sd.a, mean.b + z * sd.b)
}
