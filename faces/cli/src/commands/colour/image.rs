//! A PNG or JPEG file as red, green, blue between 0 and 1, and the statistics of a rectangle of it in linear light.

use crate::failure::Failure;
use ::colour::{Field, srgb};
use std::fs;
use std::io::Cursor;
use std::path::Path;

/// Largest picture read, pixels.
const MOST_PIXELS: usize = 200_000_000;

/// Pixels by row, coded as in the file.
pub struct Image {
    width: usize,
    height: usize,
    /// Red, green, blue of each pixel, 0..1.
    pixels: Vec<[f32; 3]>,
}

/// x, y, width, height in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rectangle {
    x: usize,
    y: usize,
    width: usize,
    height: usize,
}

impl Rectangle {
    /// From `x,y,w,h`.
    pub fn parse(option: &str, text: &str) -> Result<Self, Failure> {
        let numbers: Vec<usize> = text.split(',').filter_map(|c| c.trim().parse().ok()).collect();
        match (&numbers[..], text.split(',').count()) {
            (&[x, y, width, height], 4) if width > 0 && height > 0 => Ok(Self { x, y, width, height }),
            _ => Err(Failure::Usage(format!(
                "--{option} {text}: expected x,y,width,height in whole pixels, width and height above 0"
            ))),
        }
    }
}

impl Image {
    /// Reads a file, PNG or JPEG by its first bytes.
    pub fn read(path: &Path) -> Result<Self, Failure> {
        let bytes = fs::read(path).map_err(|source| Failure::Read { path: path.to_owned(), source })?;
        Self::decode(&bytes).map_err(|why| Failure::Usage(format!("{}: {why}", path.display())))
    }

    /// Reads bytes.
    pub fn decode(bytes: &[u8]) -> Result<Self, String> {
        if bytes.starts_with(&[0x89, b'P', b'N', b'G']) {
            decode_png(bytes)
        } else if bytes.starts_with(&[0xff, 0xd8]) {
            decode_jpeg(bytes)
        } else {
            Err("this is neither PNG nor JPEG; save the photograph as one of them, without filters".to_owned())
        }
    }

    /// Mean, scatter and clipping of a rectangle, in linear light.
    pub fn field(&self, option: &str, r: Rectangle, linear: bool) -> Result<Field, Failure> {
        let inside = r.x.checked_add(r.width).is_some_and(|x| x <= self.width)
            && r.y.checked_add(r.height).is_some_and(|y| y <= self.height);
        if !inside {
            return Err(Failure::Usage(format!(
                "--{option}: the rectangle leaves the picture of {} x {} pixels; expected x + width and y + height within it",
                self.width, self.height
            )));
        }
        let (mut sum, mut squares, mut clipped) = ([0.0f64; 3], [0.0f64; 3], 0usize);
        let n = (r.width * r.height) as f64;
        for y in r.y..r.y + r.height {
            for pixel in &self.pixels[y * self.width + r.x..y * self.width + r.x + r.width] {
                clipped += usize::from(pixel.iter().any(|v| *v >= 254.5 / 255.0 || *v <= 0.5 / 255.0));
                for c in 0..3 {
                    let v = f64::from(pixel[c]);
                    let v = if linear { v } else { srgb::decode(v) };
                    sum[c] += v;
                    squares[c] += v * v;
                }
            }
        }
        let mean = sum.map(|s| s / n);
        let sd = std::array::from_fn(|c| (squares[c] / n - mean[c] * mean[c]).max(0.0).sqrt());
        Ok(Field { mean, sd, clipped: clipped as f64 / n, pixels: r.width * r.height })
    }
}

fn decode_png(bytes: &[u8]) -> Result<Image, String> {
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().map_err(|e| format!("the PNG file is broken: {e}"))?;
    let (width, height) = (reader.info().width as usize, reader.info().height as usize);
    check_size(width, height)?;
    let size = reader.output_buffer_size().ok_or("the PNG file is too large")?;
    let mut buffer = vec![0; size];
    let frame = reader.next_frame(&mut buffer).map_err(|e| format!("the PNG file is broken: {e}"))?;
    let (colour, depth) = (frame.color_type, frame.bit_depth);
    let samples: Vec<f32> = match depth {
        png::BitDepth::Sixteen => {
            buffer.chunks_exact(2).map(|p| f32::from(u16::from_be_bytes([p[0], p[1]])) / 65535.0).collect()
        }
        _ => buffer.iter().map(|v| f32::from(*v) / 255.0).collect(),
    };
    let pixels = match colour {
        png::ColorType::Rgb => samples.chunks_exact(3).map(|p| [p[0], p[1], p[2]]).collect(),
        png::ColorType::Rgba => samples.chunks_exact(4).map(|p| [p[0], p[1], p[2]]).collect(),
        _ => return Err("the picture has no colours; expected red, green and blue".to_owned()),
    };
    whole(width, height, pixels)
}

fn decode_jpeg(bytes: &[u8]) -> Result<Image, String> {
    use zune_jpeg::JpegDecoder;
    use zune_jpeg::zune_core::bytestream::ZCursor;
    use zune_jpeg::zune_core::colorspace::ColorSpace;
    use zune_jpeg::zune_core::options::DecoderOptions;
    let options = DecoderOptions::default().jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let broken = |e: &dyn std::fmt::Debug| format!("the JPEG file is broken: {e:?}");
    decoder.decode_headers().map_err(|e| broken(&e))?;
    let (width, height) = decoder.dimensions().ok_or("the JPEG file has no size")?;
    check_size(width, height)?;
    let samples = decoder.decode().map_err(|e| broken(&e))?;
    whole(width, height, samples.chunks_exact(3).map(|p| [p[0], p[1], p[2]].map(|v| f32::from(v) / 255.0)).collect())
}

fn check_size(width: usize, height: usize) -> Result<(), String> {
    match width.checked_mul(height) {
        Some(n) if n > 0 && n <= MOST_PIXELS => Ok(()),
        _ => Err(format!("{width} x {height} pixels; expected at most {MOST_PIXELS} in all")),
    }
}

fn whole(width: usize, height: usize, pixels: Vec<[f32; 3]>) -> Result<Image, String> {
    if pixels.len() == width * height {
        Ok(Image { width, height, pixels })
    } else {
        Err("the file ends before the picture does".to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn decoding_survives_garbage(start in 0usize..3, mut bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let heads: [&[u8]; 3] = [&[0x89, b'P', b'N', b'G', 13, 10, 26, 10], &[0xff, 0xd8, 0xff], &[]];
            let mut all = heads[start].to_vec();
            all.append(&mut bytes);
            // Random bytes hold no whole picture.
            prop_assert!(Image::decode(&all).is_err());
        }

        #[test]
        fn rectangles_survive_garbage(text in ".{0,30}") {
            if let Ok(r) = Rectangle::parse("card", &text) {
                prop_assert!(r.width > 0 && r.height > 0);
            }
        }
    }
}
