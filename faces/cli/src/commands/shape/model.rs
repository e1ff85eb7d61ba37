//! Bodies described in a file.

use super::{name, read_surface};
use crate::failure::Failure;
use crate::files;
use ::shape::{
    Ball, Block, Capsule, Cylinder, Difference, Ellipsoid, Frustum, Intersection, MeshSolid, Motion, Placed,
    ShapeError, Solid, Torus, Union,
};
use answer::{Issue, Place};
use serde::Deserialize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Model {
    body: Vec<Body>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::commands) struct Body {
    shape: String,
    file: Option<PathBuf>,
    how: Option<String>,
    #[serde(default)]
    fillet: f64,
    turn: Option<[f64; 4]>,
    shift: Option<[f64; 3]>,
    centre: Option<[f64; 3]>,
    size: Option<[f64; 3]>,
    semi: Option<[f64; 3]>,
    from: Option<[f64; 3]>,
    to: Option<[f64; 3]>,
    radius: Option<f64>,
    height: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    ring: Option<f64>,
    tube: Option<f64>,
    #[serde(default)]
    edge: f64,
}

/// Reads a model as one solid.
pub fn read(path: &Path) -> Result<Arc<dyn Solid>, Failure> {
    let text = files::read(path)?;
    let file = name(path);
    let fail = |place: Place, found: String, expected: &str, remedy: &str| Failure::Input {
        issues: vec![Issue::error(place, found, expected, remedy)],
        text: Some(text.clone()),
    };
    let model: Model = toml::from_str(&text).map_err(|e| {
        let line = e.span().map_or(1, |s| text[..s.start.min(text.len())].matches('\n').count() + 1);
        fail(
            Place::new(&file, line, 1, "body"),
            e.message().to_owned(),
            "a list of [[body]]",
            "see `bisque shape mesh --help`",
        )
    })?;
    let mut whole: Option<Arc<dyn Solid>> = None;
    for (n, body) in model.body.iter().enumerate() {
        let place = || Place { field: format!("body {} ({})", n + 1, body.shape), ..Place::file(&file) };
        let wrong = |e: Fault| match e {
            Fault::Missing(field) => {
                fail(place(), format!("no `{field}`"), "all measures of the shape", "see `bisque shape mesh --help`")
            }
            Fault::Unknown(word) => {
                fail(place(), word, "a shape or way of joining that there is", "see `bisque shape mesh --help`")
            }
            Fault::File(failure) => failure,
            Fault::Shape(e) => fail(place(), e.to_string(), "a body that can be", "correct the measure"),
        };
        let solid = body.solid(path.parent().unwrap_or(Path::new(""))).map_err(wrong)?;
        whole = Some(match whole {
            None => solid,
            Some(before) => body.join(before, solid).map_err(wrong)?,
        });
    }
    whole.ok_or_else(|| fail(Place::file(&file), "no body".to_owned(), "one [[body]] or more", "add a body"))
}

pub(in crate::commands) enum Fault {
    Missing(&'static str),
    Unknown(String),
    Shape(ShapeError),
    File(Failure),
}

impl From<ShapeError> for Fault {
    fn from(e: ShapeError) -> Self {
        Self::Shape(e)
    }
}

impl Body {
    /// The body; files stand in `folder`.
    pub(in crate::commands) fn solid(&self, folder: &Path) -> Result<Arc<dyn Solid>, Fault> {
        let centre = self.centre.unwrap_or([0.0; 3]);
        let need = |x: Option<f64>, name: &'static str| x.ok_or(Fault::Missing(name));
        let need3 = |x: Option<[f64; 3]>, name: &'static str| x.ok_or(Fault::Missing(name));
        let radius = || need(self.radius, "radius");
        let height = || need(self.height, "height");
        let plain: Arc<dyn Solid> = match self.shape.as_str() {
            "ball" => Arc::new(Ball::new(centre, radius()?)?),
            "block" => Arc::new(Block::new(centre, need3(self.size, "size")?, self.edge)?),
            "ellipsoid" => Arc::new(Ellipsoid::new(centre, need3(self.semi, "semi")?)?),
            "cylinder" => Arc::new(Cylinder::new(centre, radius()?, height()?, self.edge)?),
            "frustum" => Arc::new(Frustum::new(centre, need(self.low, "low")?, need(self.high, "high")?, height()?)?),
            "capsule" => Arc::new(Capsule::new(need3(self.from, "from")?, need3(self.to, "to")?, radius()?)?),
            "torus" => Arc::new(Torus::new(centre, need(self.ring, "ring")?, need(self.tube, "tube")?)?),
            "mesh" => {
                let file = self.file.as_ref().ok_or(Fault::Missing("file"))?;
                Arc::new(MeshSolid::new(read_surface(&folder.join(file)).map_err(Fault::File)?)?)
            }
            other => return Err(Fault::Unknown(format!("shape `{other}`"))),
        };
        let shift = self.shift.unwrap_or([0.0; 3]);
        Ok(match self.turn {
            Some([x, y, z, degrees]) => {
                Arc::new(Placed::new(plain, Motion::turn([x, y, z], degrees.to_radians(), shift)?))
            }
            None if self.shift.is_some() => Arc::new(Placed::new(plain, Motion::shift(shift)?)),
            None => plain,
        })
    }

    pub(in crate::commands) fn join(
        &self,
        before: Arc<dyn Solid>,
        solid: Arc<dyn Solid>,
    ) -> Result<Arc<dyn Solid>, Fault> {
        Ok(match self.how.as_deref().unwrap_or("add") {
            "add" => Arc::new(Union::new(before, solid, self.fillet)?),
            "cut" => Arc::new(Difference::rounded(before, solid, self.fillet)?),
            "keep" => Arc::new(Intersection::rounded(before, solid, self.fillet)?),
            other => return Err(Fault::Unknown(format!("how `{other}`"))),
        })
    }
}
