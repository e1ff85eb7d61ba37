//! A figure as a picture of its own: finding above, sources beneath, on a white ground.

use super::Figure;
use picture::measure::wrap;
use picture::{Group, Ink, Mark, Scene, Text, Theme, svg};

/// Height of a line of caption or sources, px.
const LINE: f64 = 16.0;
/// Size of the words of a picture, px, as the pictures themselves use.
const SIZE: f64 = 12.0;

/// The figure as an SVG file that needs nothing beside it.
pub fn standalone(figure: &Figure) -> String {
    let scene = &figure.scene;
    let room = scene.width;
    let caption = wrap(&scene.title, SIZE, true, room, 4);
    let sources = wrap(&figure.sources, SIZE, false, room, 8);
    let down = LINE * caption.len() as f64 + 8.0;
    let mut whole = Scene { height: 0.0, marks: Vec::new(), ..scene.clone() };
    for (i, line) in caption.iter().enumerate() {
        whole.write(Text::new([0.0, 12.0 + LINE * i as f64], line, room).bold(room));
    }
    whole.add(Mark::Group(Group { at: [0.0, down], marks: scene.marks.clone() }));
    let foot = down + scene.height + 12.0;
    for (i, line) in sources.iter().enumerate() {
        whole.write(Text::new([0.0, foot + LINE * (i as f64 + 0.5)], line, room).ink(Ink::Quiet));
    }
    whole.height = foot + LINE * (sources.len() as f64 + 0.5);
    svg(&whole, Theme::Light)
}
