//! A scene: marks on a plane of px, origin at the upper left, y downwards; with the sentence that states its finding, its
//! description and its data.

use crate::measure;
use crate::{Ink, Rgb, Table};

/// A place on the plane, `[x, y]` in px.
pub type Spot = [f64; 2];

/// How a line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    Solid,
    /// Broken: not observed but carried on.
    Dashed,
    /// Dotted: a limit or an edge of second rank.
    Dotted,
}

/// Ink, width in px and dash of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Role of its colour.
    pub ink: Ink,
    /// Width, px.
    pub width: f64,
    /// How it runs.
    pub dash: Dash,
}

impl Pen {
    /// An unbroken line.
    pub fn solid(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: Dash::Solid }
    }

    /// A broken line.
    pub fn dashed(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: Dash::Dashed }
    }

    /// A dotted line.
    pub fn dotted(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: Dash::Dotted }
    }
}

/// What fills a shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// Nothing: the ground shows.
    Hollow,
    /// A role.
    Ink(Ink),
    /// A colour that is itself the data; the same on every ground.
    Own(Rgb),
}

/// Form of a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Filled circle.
    Disc,
    /// Circle filled with the ground.
    Ring,
    /// Filled square.
    Square,
    /// Filled square on its corner.
    Diamond,
    /// Head of an arrow to the left.
    Left,
    /// Head of an arrow to the right.
    Right,
    /// A person, filled.
    Person,
    /// A person in outline.
    PersonHollow,
}

/// Which end of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its start.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A line of text; `at` lies on its baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Place of the anchor on the baseline.
    pub at: Spot,
    /// The words, already cleaned.
    pub words: String,
    /// Type size, px.
    pub size: f64,
    /// Bold or not.
    pub bold: bool,
    /// Role of its colour.
    pub ink: Ink,
    /// Which end stands at `at`.
    pub anchor: Anchor,
}

/// Standard type size, px.
pub(crate) const TYPE: f64 = 12.0;

impl Text {
    /// Words cleaned and shortened to `limit` px, at the standard size.
    pub fn new(at: Spot, words: &str, limit: f64) -> Self {
        let words = measure::shorten(&measure::clean(words), TYPE, false, limit.max(0.0));
        Self { at, words, size: TYPE, bold: false, ink: Ink::Text, anchor: Anchor::Start }
    }

    /// In bold, shortened again to `limit` px.
    #[must_use]
    pub fn bold(mut self, limit: f64) -> Self {
        self.bold = true;
        self.words = measure::shorten(&self.words, self.size, true, limit);
        self
    }

    /// With its middle or end at the place.
    #[must_use]
    pub fn anchored(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    /// In another ink.
    #[must_use]
    pub fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }

    /// Left and right end, px.
    pub fn extent(&self) -> (f64, f64) {
        let w = measure::width(&self.words, self.size, self.bold);
        let left = match self.anchor {
            Anchor::Start => self.at[0],
            Anchor::Middle => self.at[0] - w / 2.0,
            Anchor::End => self.at[0] - w,
        };
        (left, left + w)
    }
}

/// Marks that belong together, moved as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// How far the group is moved, px.
    pub at: Spot,
    /// The marks.
    pub marks: Vec<Mark>,
}

/// What can be drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// An open line through places.
    Polyline {
        /// Corners.
        points: Vec<Spot>,
        /// Its pen.
        pen: Pen,
    },
    /// A closed shape.
    Polygon {
        /// Corners.
        points: Vec<Spot>,
        /// What fills it.
        fill: Fill,
        /// Its edge.
        edge: Option<Pen>,
    },
    /// A shape closed by a smooth curve through places (Catmull-Rom, drawn as cubic pieces).
    Outline {
        /// Places the curve runs through.
        points: Vec<Spot>,
        /// What fills it.
        fill: Fill,
        /// Its edge.
        edge: Option<Pen>,
    },
    /// A rectangle: bar, tile or frame.
    Rect {
        /// Upper left corner.
        at: Spot,
        /// Width and height.
        size: [f64; 2],
        /// What fills it.
        fill: Fill,
        /// Its edge.
        edge: Option<Pen>,
    },
    /// A point.
    Point {
        /// Its middle.
        at: Spot,
        /// Half its width.
        radius: f64,
        /// Its form.
        shape: Shape,
        /// Role of its colour.
        ink: Ink,
    },
    /// A line of text.
    Text(Text),
    /// Marks moved together.
    Group(Group),
}

impl Mark {
    /// A straight line.
    pub fn line(from: Spot, to: Spot, pen: Pen) -> Self {
        Self::Polyline { points: vec![from, to], pen }
    }

    /// A line that keeps its height until the next place, then jumps.
    pub fn steps(points: &[Spot], pen: Pen) -> Self {
        let mut corners = Vec::with_capacity(2 * points.len());
        for (i, p) in points.iter().enumerate() {
            if i > 0 {
                corners.push([p[0], points[i - 1][1]]);
            }
            corners.push(*p);
        }
        Self::Polyline { points: corners, pen }
    }

    /// The area between an upper and a lower line of equal length.
    pub fn band(upper: &[Spot], lower: &[Spot], ink: Ink) -> Self {
        Self::Polygon {
            points: upper.iter().chain(lower.iter().rev()).copied().collect(),
            fill: Fill::Ink(ink),
            edge: None,
        }
    }

    /// A filled rectangle without edge.
    pub fn bar(at: Spot, size: [f64; 2], ink: Ink) -> Self {
        Self::Rect { at, size, fill: Fill::Ink(ink), edge: None }
    }

    /// Least and greatest place, px; `None` for an empty group.
    pub fn bounds(&self) -> Option<(Spot, Spot)> {
        match self {
            Self::Polyline { points, .. } | Self::Polygon { points, .. } => around(points.iter().copied()),
            Self::Outline { points, .. } => around(crate::curve::flattened(points)),
            Self::Rect { at, size, .. } => around([*at, [at[0] + size[0], at[1] + size[1]]]),
            Self::Point { at, radius, .. } => {
                around([[at[0] - radius, at[1] - radius], [at[0] + radius, at[1] + radius]])
            }
            Self::Text(t) => {
                let (left, right) = t.extent();
                around([[left, t.at[1] - 0.8 * t.size], [right, t.at[1] + 0.22 * t.size]])
            }
            Self::Group(g) => {
                let corners = g.marks.iter().filter_map(Self::bounds).flat_map(|(a, b)| [a, b]);
                around(corners.map(|p| [p[0] + g.at[0], p[1] + g.at[1]]))
            }
        }
    }
}

fn around(points: impl IntoIterator<Item = Spot>) -> Option<(Spot, Spot)> {
    points.into_iter().fold(None, |box_, p| match box_ {
        None => Some((p, p)),
        Some((a, b)) => Some(([a[0].min(p[0]), a[1].min(p[1])], [b[0].max(p[0]), b[1].max(p[1])])),
    })
}

/// A picture: marks, the sentence that states its finding, its description and its data.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Width, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
    /// The finding, as a sentence.
    pub title: String,
    /// What is to be seen, for those who cannot see it.
    pub description: String,
    /// The marks, hindmost first.
    pub marks: Vec<Mark>,
    /// The data.
    pub table: Table,
}

/// Standard width, px: 80 columns of a terminal.
pub const WIDTH: f64 = 520.0;

impl Scene {
    /// An empty scene of the standard width.
    pub fn new(title: &str, description: &str, table: Table) -> Self {
        Self {
            width: WIDTH,
            height: 0.0,
            title: measure::clean(title),
            description: measure::clean(description),
            marks: Vec::new(),
            table,
        }
    }

    /// Adds a mark in front.
    pub fn add(&mut self, mark: Mark) {
        self.marks.push(mark);
    }

    /// Adds a line of text in front.
    pub fn write(&mut self, text: Text) {
        self.marks.push(Mark::Text(text));
    }

    /// Sets the height so that everything lies inside, with a small margin beneath.
    #[must_use]
    pub fn closed(mut self) -> Self {
        let lowest = self.marks.iter().filter_map(Mark::bounds).map(|(_, b)| b[1]).fold(0.0, f64::max);
        self.height = lowest.ceil() + 4.0;
        self
    }

    /// Marks that stick out of the view box by more than half a px, or lie at no place at all.
    pub fn outside(&self) -> Vec<&Mark> {
        self.marks
            .iter()
            .filter(|m| {
                m.bounds().is_some_and(|(a, b)| {
                    !(a[0] >= -0.5 && a[1] >= -0.5 && b[0] <= self.width + 0.5 && b[1] <= self.height + 0.5)
                })
            })
            .collect()
    }
}
