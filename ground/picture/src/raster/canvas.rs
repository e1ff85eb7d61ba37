//! Pixels in memory, and their PNG form.

use crate::palette::Rgb;

/// A picture of pixels with the words that stand for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<u8>,
    /// What the picture shows, in words.
    pub alternative: String,
}

impl Canvas {
    pub(super) fn new(width: usize, height: usize, ground: Rgb) -> Self {
        let pixels = (0..width * height).flat_map(|_| [ground.0, ground.1, ground.2]).collect();
        Self { width, height, pixels, alternative: String::new() }
    }

    /// Width and height, pixels.
    pub fn size(&self) -> [usize; 2] {
        [self.width, self.height]
    }

    /// A pixel; white outside.
    pub fn pixel(&self, x: usize, y: usize) -> Rgb {
        if x >= self.width || y >= self.height {
            return Rgb(255, 255, 255);
        }
        let at = 3 * (x + self.width * y);
        Rgb(self.pixels[at], self.pixels[at + 1], self.pixels[at + 2])
    }

    pub(super) fn set(&mut self, x: i64, y: i64, ink: Rgb) {
        if x >= 0 && y >= 0 && (x as usize) < self.width && (y as usize) < self.height {
            let at = 3 * (x as usize + self.width * y as usize);
            self.pixels[at..at + 3].copy_from_slice(&[ink.0, ink.1, ink.2]);
        }
    }

    pub(super) fn block(&mut self, at: [i64; 2], size: [i64; 2], ink: Rgb) {
        for y in at[1]..at[1] + size[1] {
            for x in at[0]..at[0] + size[0] {
                self.set(x, y, ink);
            }
        }
    }

    pub(super) fn ring(&mut self, centre: [f64; 2], inner: f64, outer: f64, ink: Rgb) {
        let reach = outer.ceil() as i64;
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                let d = (dx as f64).hypot(dy as f64);
                if (inner..=outer).contains(&d) {
                    self.set(centre[0].round() as i64 + dx, centre[1].round() as i64 + dy, ink);
                }
            }
        }
    }

    /// The picture as a PNG file (ISO/IEC 15948), its words as the `Description` text. Same pixels, same bytes.
    ///
    /// # Errors
    /// What the encoder says, which only happens for pictures beyond the format's limits.
    pub fn png(&self) -> Result<Vec<u8>, png::EncodingError> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, self.width as u32, self.height as u32);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::Balanced);
        encoder.add_itxt_chunk("Description".to_owned(), self.alternative.clone())?;
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&self.pixels)?;
        writer.finish()?;
        Ok(bytes)
    }
}
