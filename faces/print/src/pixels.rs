//! One picture from SVG to PNG, drawn with the fonts of this crate and nothing else: no file, no network, no font of the system.
//!
//! Same SVG, same bytes. Characters that no font here can show are left out by the drawing, not told by their number as in a PDF.

use crate::PrintError;
use crate::closed_world::OWN;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{ImageHrefResolver, Options, Tree, fontdb};
use std::sync::{Arc, OnceLock};

/// Pixels a px of the picture: a picture of 536 px is 1,608 wide, some 13.6 cm in print at 300 pixels an inch.
pub const SCALE: f32 = 3.0;

/// Family all pictures are drawn in.
const FAMILY: &str = "Source Sans Pro";

/// Most pixels on a side.
const MOST: u32 = 20_000;

/// Fonts of this crate, the family all pictures are drawn in first.
fn fonts() -> Arc<fontdb::Database> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    FONTS
        .get_or_init(|| {
            let mut fonts = fontdb::Database::new();
            OWN.iter().for_each(|font| fonts.load_font_data(font.to_vec()));
            // Signs that the family lacks come from the typesetter's own fonts.
            for font in typst_kit::fonts::embedded() {
                fonts.load_font_data(font.0.data().to_vec());
            }
            fonts.set_sans_serif_family(FAMILY);
            Arc::new(fonts)
        })
        .clone()
}

/// The picture as a PNG file.
///
/// # Errors
/// [`PrintError::Picture`] for what is no SVG or too large to draw.
pub fn png(svg: &str) -> Result<Vec<u8>, PrintError> {
    let no = |why: &dyn std::fmt::Display| PrintError::Picture(why.to_string());
    let options = Options {
        fontdb: fonts(),
        font_family: FAMILY.to_owned(),
        // Nothing beside the picture is opened.
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..Options::default()
    };
    let tree = Tree::from_str(svg, &options).map_err(|e| no(&e))?;
    let side = |px: f32| (px * SCALE).ceil() as u32;
    let [width, height] = [tree.size().width(), tree.size().height()].map(side);
    if width > MOST || height > MOST {
        return Err(no(&format!("{width} by {height} pixels are too many")));
    }
    let mut pixels = Pixmap::new(width, height).ok_or_else(|| no(&"it has no size"))?;
    resvg::render(&tree, Transform::from_scale(SCALE, SCALE), &mut pixels.as_mut());
    pixels.encode_png().map_err(|e| no(&e))
}
