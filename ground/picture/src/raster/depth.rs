//! Facets on a depth buffer: parallel projection, one sample a pixel at twice the size of the picture.

use super::{SurfaceValues, View};
use crate::Undrawable;

/// Nearest facet seen in a sample.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub(super) depth: f64,
    /// Value there; `None` where unknown.
    pub(super) value: Option<f64>,
    /// How squarely it faces the eye, 0 to 1.
    pub(super) facing: f64,
    /// Whether its outside is seen.
    pub(super) outside: bool,
}

/// The view's frame and scale.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    right: [f64; 3],
    up: [f64; 3],
    eye: [f64; 3],
    centre: [f64; 2],
    scale: f64,
    middle: [f64; 2],
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(a: [f64; 3]) -> Option<[f64; 3]> {
    let n = dot(a, a).sqrt();
    (n > 1e-12 && n.is_finite()).then(|| a.map(|x| x / n))
}

impl Frame {
    /// Fits all places into a window of samples.
    pub(super) fn fit(points: &[[f64; 3]], view: &View, window: [usize; 2]) -> Result<Self, Undrawable> {
        let wrong = || Undrawable::Mismatch {
            what: "view".to_owned(),
            expected: "a direction to look from and an up that is not along it".to_owned(),
        };
        let eye = unit(view.from).ok_or_else(wrong)?;
        let right = unit(cross(view.up, eye)).ok_or_else(wrong)?;
        let up = cross(eye, right);
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for p in points {
            for (i, x) in [dot(*p, right), dot(*p, up)].into_iter().enumerate() {
                (low[i], high[i]) = (low[i].min(x), high[i].max(x));
            }
        }
        let room: [f64; 2] = std::array::from_fn(|i| 0.92 * window[i] as f64 / (high[i] - low[i]).max(1e-9));
        Ok(Self {
            right,
            up,
            eye,
            centre: std::array::from_fn(|i| 0.5 * (low[i] + high[i])),
            scale: room[0].min(room[1]),
            middle: window.map(|w| 0.5 * w as f64),
        })
    }

    /// Sample and depth (greater is nearer) of a place.
    pub(super) fn project(&self, p: [f64; 3]) -> [f64; 3] {
        [
            self.middle[0] + self.scale * (dot(p, self.right) - self.centre[0]),
            self.middle[1] - self.scale * (dot(p, self.up) - self.centre[1]),
            dot(p, self.eye),
        ]
    }

    /// Samples a unit of length.
    pub(super) fn scale(&self) -> f64 {
        self.scale
    }
}

/// What is seen in every sample of a window.
pub(super) fn seen(
    points: &[[f64; 3]],
    facets: &[[u32; 3]],
    values: &SurfaceValues,
    frame: &Frame,
    window: [usize; 2],
) -> Vec<Option<Seen>> {
    let mut buffer: Vec<Option<Seen>> = vec![None; window[0] * window[1]];
    let placed: Vec<[f64; 3]> = points.iter().map(|p| frame.project(*p)).collect();
    for (f, corners) in facets.iter().enumerate() {
        let [a, b, c] = corners.map(|v| placed[v as usize]);
        let double = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        if double == 0.0 {
            continue;
        }
        let [p, q, r] = corners.map(|v| points[v as usize]);
        let normal = unit(cross(std::array::from_fn(|i| q[i] - p[i]), std::array::from_fn(|i| r[i] - p[i])));
        let facing = normal.map_or(0.0, |n| dot(n, frame.eye));
        let span = |axis: usize| {
            let (low, high) = (a[axis].min(b[axis]).min(c[axis]), a[axis].max(b[axis]).max(c[axis]));
            let last = window[axis] as f64 - 1.0;
            ((low - 0.5).ceil().clamp(0.0, last) as usize, (high - 0.5).floor().clamp(0.0, last) as usize)
        };
        let ((x0, x1), (y0, y1)) = (span(0), span(1));
        for y in y0..=y1 {
            for x in x0..=x1 {
                let (sx, sy) = (x as f64 + 0.5, y as f64 + 0.5);
                let w0 = ((b[0] - sx) * (c[1] - sy) - (b[1] - sy) * (c[0] - sx)) / double;
                let w1 = ((c[0] - sx) * (a[1] - sy) - (c[1] - sy) * (a[0] - sx)) / double;
                let w2 = 1.0 - w0 - w1;
                if w0 < 0.0 || w1 < 0.0 || w2 < 0.0 {
                    continue;
                }
                let depth = w0 * a[2] + w1 * b[2] + w2 * c[2];
                let slot = &mut buffer[x + window[0] * y];
                if slot.is_some_and(|s| s.depth >= depth) {
                    continue;
                }
                let value = match values {
                    SurfaceValues::Plain => None,
                    SurfaceValues::AtFacets(v) => v[f],
                    SurfaceValues::AtPoints(v) => match corners.map(|k| v[k as usize]) {
                        [Some(a), Some(b), Some(c)] => Some(w0 * a + w1 * b + w2 * c),
                        _ => None,
                    },
                };
                *slot = Some(Seen { depth, value, facing: facing.abs().min(1.0), outside: facing >= 0.0 });
            }
        }
    }
    buffer
}
