//! A model file as the solver's model; every fault names the part and its line.

use super::parts::{BodyPart, File, GroupPart, InterfacePart, LoadPart, SupportPart};
use crate::commands::shape::model::{Body as Part, Fault};
use crate::failure::Failure;
use crate::files;
use ::shape::Solid;
use ::strength::solve::{
    Body, Bond, Everywhere, Given, Group, Interface, Load, LoadCase, Material, Model, Push, Support, Zoom,
};
use answer::{Issue, Place};
use std::path::Path;
use std::sync::Arc;

/// A model with what is asked of it.
pub struct Asked {
    pub model: Model,
    pub groups: Vec<Group>,
    pub moduli: Vec<f64>,
    pub zooms: Vec<Zoom>,
    /// Boxes that give back to the whole, each within the one before.
    pub insets: Vec<Zoom>,
    /// What was not given and is assumed, in words.
    pub assumed: Vec<String>,
}

/// Cell where the file gives none, mm.
const CELL: f64 = 0.3;

/// Reads a model.
pub fn read(path: &Path, cell: Option<f64>) -> Result<Asked, Failure> {
    let text = files::read(path)?;
    let reader = Reader { text: &text, path };
    let file: File = toml::from_str(&text).map_err(|e| {
        let line = e.span().map_or(1, |s| text[..s.start.min(text.len())].matches('\n').count() + 1);
        reader.fault(Some(line), "", e.message().to_owned(), "a model as in docs/strength-model.md")
    })?;
    reader.model(file, cell)
}

struct Reader<'a> {
    text: &'a str,
    path: &'a Path,
}

impl Reader<'_> {
    fn fault(&self, line: Option<usize>, part: &str, found: String, expected: &str) -> Failure {
        let file = self.path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let place = Place { line, field: part.to_owned(), ..Place::file(file) };
        let issue = Issue::error(place, found, expected, "see `bisque strength solve --help`");
        Failure::Input { issues: vec![issue], text: Some(self.text.to_owned()) }
    }

    /// A fault in a named part, at the line that names it.
    fn in_part(&self, name: &str, found: String, expected: &str) -> Failure {
        let named = |l: &str| l.contains("name") && l.contains(&format!("\"{name}\""));
        self.fault(self.text.lines().position(named).map(|n| n + 1), name, found, expected)
    }

    fn model(&self, file: File, cell: Option<f64>) -> Result<Asked, Failure> {
        if file.schema.is_some_and(|s| s != 1) {
            return Err(self.fault(None, "schema", "another schema than 1".into(), "schema = 1: use a newer program"));
        }
        let mut assumed = vec![];
        let cell = cell.or(file.cell).unwrap_or_else(|| {
            assumed.push(format!("cell {CELL} mm"));
            CELL
        });
        let moduli = file.moduli.clone().unwrap_or_else(|| {
            assumed.push("Weibull modulus 10".into());
            vec![10.0]
        });
        if let Some(m) = moduli.iter().find(|m| !(1.0..=80.0).contains(*m)) {
            return Err(self.fault(None, "moduli", format!("modulus {m}"), "1 to 80"));
        }
        let mut names: Vec<&str> = file.body.iter().map(|b| b.name.as_str()).collect();
        names.sort_unstable();
        if let Some(twice) = names.windows(2).find(|w| w[0] == w[1]) {
            return Err(self.in_part(twice[0], "two bodies of this name".into(), "a name of its own for each body"));
        }
        let bodies = file.body.iter().map(|b| self.body(b, &file)).collect::<Result<Vec<_>, _>>()?;
        let index = |part: &str, name: &str| {
            let known = || file.body.iter().map(|b| b.name.as_str()).collect::<Vec<_>>().join(", ");
            file.body.iter().position(|b| b.name == name).ok_or_else(|| {
                self.in_part(part, format!("body `{name}`, which there is not"), &format!("one of: {}", known()))
            })
        };
        let supports = file.support.iter().map(|s| self.support(s, index(&s.name, &s.body)?));
        let interfaces = file
            .interface
            .iter()
            .map(|i| self.interface(i, [index(&i.name, &i.bodies[0])?, index(&i.name, &i.bodies[1])?]));
        let groups = file.group.iter().map(|g| self.group(g, index(&g.name, &g.body)?));
        let mut cases: Vec<LoadCase> = vec![];
        for l in &file.load {
            let name = l.case.clone().unwrap_or_else(|| "all".into());
            let load = self.load(l, index(&l.name, &l.body)?)?;
            match cases.iter_mut().find(|c| c.name == name) {
                Some(case) => case.loads.push(load),
                None => cases.push(LoadCase { name, loads: vec![load], given: 1.0 }),
            }
        }
        if cases.is_empty() {
            cases.push(LoadCase { name: "given".into(), loads: vec![], given: 1.0 });
        }
        let zoom =
            |z: &super::parts::ZoomPart| Zoom { name: z.name.clone(), centre: z.centre, size: z.size, cell: z.cell };
        Ok(Asked {
            groups: groups.collect::<Result<_, _>>()?,
            moduli,
            assumed,
            zooms: file.zoom.iter().map(zoom).collect(),
            insets: file.inset.iter().map(zoom).collect(),
            model: Model {
                cell,
                origin: file.origin.unwrap_or([0.0; 3]),
                interfaces: interfaces.collect::<Result<_, _>>()?,
                supports: supports.collect::<Result<_, _>>()?,
                bodies,
                cases,
            },
        })
    }

    fn body(&self, b: &BodyPart, file: &File) -> Result<Body, Failure> {
        let material = file.material.get(&b.material).ok_or_else(|| {
            let known = file.material.keys().cloned().collect::<Vec<_>>().join(", ");
            self.in_part(&b.name, format!("material `{}`, which there is not", b.material), &format!("one of: {known}"))
        })?;
        let solid = self.solid(&b.name, &b.parts)?;
        let initial_strain = match (material.expansion, b.temperature) {
            (_, 0.0) => 0.0,
            (Some(alpha), t) => alpha * t,
            (None, _) => {
                return Err(self.in_part(
                    &b.name,
                    "a temperature, but its material has no `expansion`".into(),
                    "`expansion` in 1/K",
                ));
            }
        };
        let material = Material { young: material.young, poisson: material.poisson };
        Ok(Body { name: b.name.clone(), solid, material, initial_strain })
    }

    fn solid(&self, name: &str, parts: &[Part]) -> Result<Arc<dyn Solid>, Failure> {
        let folder = self.path.parent().unwrap_or(Path::new(""));
        let mut whole: Option<Arc<dyn Solid>> = None;
        for (n, part) in parts.iter().enumerate() {
            let wrong = |f: Fault| {
                let found = match f {
                    Fault::File(failure) => return failure,
                    Fault::Missing(field) => format!("part {} has no `{field}`", n + 1),
                    Fault::Unknown(word) => format!("part {} has {word}", n + 1),
                    Fault::Shape(e) => format!("part {}: {e}", n + 1),
                };
                self.in_part(name, found, "a part as in `bisque shape mesh --help`")
            };
            let solid = part.solid(folder).map_err(wrong)?;
            whole = Some(match whole {
                None => solid,
                Some(before) => part.join(before, solid).map_err(wrong)?,
            });
        }
        whole.ok_or_else(|| self.in_part(name, "no parts".into(), "one part or more"))
    }

    /// The region of a part; everywhere where none is given.
    fn region(&self, name: &str, parts: Option<&[Part]>) -> Result<Arc<dyn Solid>, Failure> {
        match parts {
            Some(parts) => self.solid(name, parts),
            None => Ok(Arc::new(Everywhere)),
        }
    }

    fn support(&self, s: &SupportPart, body: usize) -> Result<Support, Failure> {
        let region = self.region(&s.name, s.region.as_deref())?;
        let given = match (s.clamp, s.displacement, s.gradient, s.normal.or(s.tangential)) {
            (true, None, None, None) => Given::Displacement { offset: [0.0; 3], gradient: [[0.0; 3]; 3] },
            (false, None, None, Some(_)) => {
                Given::Foundation { normal: s.normal.unwrap_or(0.0), tangential: s.tangential.unwrap_or(0.0) }
            }
            (false, offset, gradient, None) if offset.is_some() || gradient.is_some() => {
                Given::Displacement { offset: offset.unwrap_or([0.0; 3]), gradient: gradient.unwrap_or([[0.0; 3]; 3]) }
            }
            _ => {
                let expected = "one of `clamp = true`, `displacement` (with `gradient`), `normal` and `tangential`";
                return Err(self.in_part(&s.name, "no single way of holding".into(), expected));
            }
        };
        Ok(Support { name: s.name.clone(), body, region, given })
    }

    fn load(&self, l: &LoadPart, body: usize) -> Result<Load, Failure> {
        let region = self.region(&l.name, l.region.as_deref())?;
        let push = match (l.force, l.pressure, l.per_volume, &l.contact) {
            (Some(f), None, None, None) => Push::Force(f),
            (Some(force), None, None, Some(c)) => Push::Contact { force, centre: c.centre, radius: c.radius },
            (None, Some(p), None, None) => Push::Pressure(p),
            (None, None, Some(f), None) => Push::PerVolume(f),
            _ => {
                let expected = "one of `force` (with `contact`), `pressure`, `per_volume`";
                return Err(self.in_part(&l.name, "no single way of loading".into(), expected));
            }
        };
        Ok(Load { name: l.name.clone(), body, region, push })
    }

    fn interface(&self, i: &InterfacePart, bodies: [usize; 2]) -> Result<Interface, Failure> {
        let bond = match (i.bonded, i.young, i.poisson, i.thickness, i.normal, i.tangential) {
            (true, None, None, None, None, None) => Bond::Firm,
            (false, Some(e), Some(nu), Some(t), None, None) => {
                let positive = e > 0.0 && t > 0.0 && (0.0..0.5).contains(&nu);
                if !positive {
                    let found = format!("young {e}, poisson {nu}, thickness {t}");
                    return Err(self.in_part(&i.name, found, "young and thickness above 0, poisson 0 to below 0.5"));
                }
                Bond::Layer { normal: e / t, tangential: 0.5 * e / (1.0 + nu) / t }
            }
            (false, None, None, None, Some(normal), Some(tangential)) => Bond::Layer { normal, tangential },
            _ => {
                let expected =
                    "one of `bonded = true`, `young` with `poisson` and `thickness`, or `normal` with `tangential`";
                return Err(self.in_part(&i.name, "no single way of joining".into(), expected));
            }
        };
        Ok(Interface { name: i.name.clone(), bodies, bond, reach: i.reach })
    }

    fn group(&self, g: &GroupPart, body: usize) -> Result<Group, Failure> {
        Ok(Group {
            name: g.name.clone(),
            body,
            region: self.region(&g.name, g.region.as_deref())?,
            excluded: g.exclude.as_deref().map(|e| self.solid(&g.name, e)).transpose()?,
            margin: g.margin,
        })
    }
}
