//! Colours as a screen shows them under a chosen light.
//!
//! A colour given in daylight (CIELAB, D65, 2 degree observer) is taken for a smooth reflectance (`colour::smooth_reflectance`) and
//! looked at under the light, against that light's own white, as an eye used to it does. What a screen cannot show is mapped into
//! its range, and told.

use crate::api::{Api, Operation};
use crate::fields::ChoiceForm;
use crate::problem::{Problem, away};
use axum::Json;
use axum::extract::Query;
use axum::routing::get;
use colour::{Illuminant, Lab, Observer, Viewing, Weighting, smooth_reflectance, srgb};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Most colours at once.
const MOST: usize = 256;

/// The route.
pub fn routes(api: Api) -> Api {
    api.with(
        Operation::new("get", "/api/colour/swatches", "CIELAB colours as a screen shows them under a light")
            .query("lab", "colours in daylight, `L,a,b` parted by `;`")
            .query("light", "one of the lights (default: daylight)")
            .answers::<Swatches>(),
        get(swatches),
    )
}

/// Colours on a screen.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Swatches {
    /// Lights there are.
    pub lights: Vec<String>,
    /// The light taken.
    pub light: String,
    /// Screen colours, `#rrggbb`.
    pub rgb: Vec<String>,
    /// The colours under the light, CIELAB against its white.
    pub lab: Vec<[f64; 3]>,
    /// True where the screen cannot show it.
    pub clipped: Vec<bool>,
}

#[derive(Debug, Deserialize)]
struct Asked {
    lab: Option<String>,
    light: Option<String>,
}

/// Lights as they are named in the tables, daylight and lamps.
pub fn lights() -> Vec<ChoiceForm> {
    let label = |name: &str| match name {
        "D65" => "daylight (D65)".to_owned(),
        "D50" => "daylight at noon (D50)".to_owned(),
        "A" => "incandescent lamp (A)".to_owned(),
        name if name.starts_with('F') => format!("fluorescent lamp ({name})"),
        name if name.starts_with("LED") => format!("LED lamp ({name})"),
        name => name.to_owned(),
    };
    let mut names: Vec<&str> = Illuminant::names().collect();
    names.sort_by_key(|n| *n != DAYLIGHT);
    names.into_iter().map(|n| ChoiceForm { value: n.to_owned(), label: label(n) }).collect()
}

const DAYLIGHT: &str = "D65";

async fn swatches(Query(asked): Query<Asked>) -> Result<Json<Swatches>, Problem> {
    away(move || {
        let labs = parse(asked.lab.as_deref().unwrap_or_default())?;
        let light = asked.light.unwrap_or_else(|| DAYLIGHT.to_owned());
        let no_light =
            || Problem::wrong("light", "there is no such light", "one of the lights", "take one of the list");
        let illuminant = Illuminant::named(&light).map_err(|_| no_light())?;
        let lamp = Viewing::new(&illuminant, Observer::TwoDegrees, Weighting::Interpolated).map_err(|_| no_light())?;
        let daylight = Viewing::daylight().map_err(|_| no_light())?;
        let under = |lab: Lab| match smooth_reflectance(lab, [0.0; 2], &daylight) {
            Ok(spectrum) if light != DAYLIGHT => lamp.lab(&spectrum),
            // A colour no smooth body can have keeps its coordinates.
            _ => lab,
        };
        let seen: Vec<Lab> = labs.into_iter().map(under).collect();
        let screens: Vec<([u8; 3], bool)> = seen.iter().map(|lab| srgb::screen(*lab)).collect();
        Ok(Json(Swatches {
            lights: Illuminant::names().map(str::to_owned).collect(),
            light,
            rgb: screens.iter().map(|([r, g, b], _)| format!("#{r:02x}{g:02x}{b:02x}")).collect(),
            lab: seen.iter().map(|lab| [lab.l, lab.a, lab.b].map(answer::six_figures)).collect(),
            clipped: screens.iter().map(|s| s.1).collect(),
        }))
    })
    .await
}

fn parse(text: &str) -> Result<Vec<Lab>, Problem> {
    let wrong =
        || Problem::wrong("lab", "a colour cannot be read", "`L,a,b` parted by `;`, at most 256", "write 62,3,16");
    let one = |part: &str| -> Option<Lab> {
        let figures: Vec<f64> = part.split(',').map(|f| f.trim().parse().ok()).collect::<Option<_>>()?;
        let &[l, a, b] = figures.as_slice() else { return None };
        let within = (0.0..=100.0).contains(&l) && [a, b].iter().all(|c| (-128.0..=127.0).contains(c));
        within.then(|| Lab::new(l, a, b))
    };
    let parts: Vec<&str> = text.split(';').filter(|p| !p.trim().is_empty()).collect();
    if parts.len() > MOST {
        return Err(wrong());
    }
    parts.into_iter().map(|p| one(p).ok_or_else(wrong)).collect()
}
