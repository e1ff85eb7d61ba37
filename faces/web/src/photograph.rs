//! Whether a file is a whole photograph, and its size: PNG (ISO/IEC 15948) and JPEG (ITU-T T.81) walked from part to part to their end.
//!
//! Nothing is decoded, so that nothing can swell; what lies within the parts is not looked at. A file cut off is told.

/// Largest side that a photograph has, pixels.
const LARGEST: u32 = 30_000;

/// Why a file is no photograph.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoPhotograph {
    /// Something else.
    #[error("this is no photograph that can be read")]
    Unknown,
    /// Its end is missing.
    #[error("this photograph is cut off: its end is missing")]
    CutOff,
    /// No pixels, or more than a camera takes.
    #[error("this photograph says it has {0} x {1} pixels")]
    Size(u32, u32),
}

/// Width and height of a whole photograph.
///
/// # Errors
/// [`NoPhotograph`].
pub fn size(bytes: &[u8]) -> Result<(u32, u32), NoPhotograph> {
    let (width, height) = match bytes {
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', rest @ ..] => png(rest)?,
        [0xff, 0xd8, rest @ ..] => jpeg(rest)?,
        _ => return Err(NoPhotograph::Unknown),
    };
    let fits = |side: u32| (1..=LARGEST).contains(&side);
    if fits(width) && fits(height) { Ok((width, height)) } else { Err(NoPhotograph::Size(width, height)) }
}

/// Chunks of a length, a name, so many bytes and a checksum, from IHDR to IEND.
fn png(mut rest: &[u8]) -> Result<(u32, u32), NoPhotograph> {
    let mut size = None;
    loop {
        let [a, b, c, d, name @ ..] = rest.get(..8).ok_or(NoPhotograph::CutOff)? else {
            return Err(NoPhotograph::CutOff);
        };
        let length = u32::from_be_bytes([*a, *b, *c, *d]) as usize;
        let held = rest.get(8..8 + length).ok_or(NoPhotograph::CutOff)?;
        // The checksum of the last chunk belongs to it.
        rest = rest.get(12 + length..).ok_or(NoPhotograph::CutOff)?;
        match (name, size, held) {
            (b"IHDR", None, [w0, w1, w2, w3, h0, h1, h2, h3, ..]) => {
                size = Some((u32::from_be_bytes([*w0, *w1, *w2, *w3]), u32::from_be_bytes([*h0, *h1, *h2, *h3])));
            }
            (_, None, _) => return Err(NoPhotograph::Unknown),
            (b"IEND", Some(size), _) => return Ok(size),
            _ => {}
        }
    }
}

/// Segments up to the start of a scan, then the marker that ends the picture.
fn jpeg(mut rest: &[u8]) -> Result<(u32, u32), NoPhotograph> {
    let mut size = None;
    loop {
        let (marker, after) = match rest {
            // Any number of fill bytes may stand before a marker.
            [0xff, 0xff, ..] => {
                rest = &rest[1..];
                continue;
            }
            [0xff, marker, after @ ..] => (*marker, after),
            [] | [0xff] => return Err(NoPhotograph::CutOff),
            _ => return Err(NoPhotograph::Unknown),
        };
        let [high, low, ..] = after else { return Err(NoPhotograph::CutOff) };
        let length = usize::from(u16::from_be_bytes([*high, *low]));
        let held = after.get(2..length.max(2)).ok_or(NoPhotograph::CutOff)?;
        // A frame's head (SOF) gives height and width; DHT, JPG and DAC share its range.
        let is_frame = (0xc0..=0xcf).contains(&marker) && ![0xc4, 0xc8, 0xcc].contains(&marker);
        if let ([_, h0, h1, w0, w1, ..], true) = (held, is_frame) {
            size = Some((u32::from(u16::from_be_bytes([*w0, *w1])), u32::from(u16::from_be_bytes([*h0, *h1]))));
        }
        rest = &after[length.max(2)..];
        if marker == 0xda {
            let size = size.ok_or(NoPhotograph::Unknown)?;
            // Within a scan a marker is never 0xd9 but at the end; cameras append previews behind it.
            let ends = rest.windows(2).any(|two| two == [0xff, 0xd9]);
            return if ends { Ok(size) } else { Err(NoPhotograph::CutOff) };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A grey picture of 640 x 480 in parts; what a chunk or scan holds is not looked at.
    fn a_png() -> Vec<u8> {
        let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x02\x80\0\0\x01\xe0\x08\0\0\0\0....".to_vec();
        bytes.extend(b"\0\0\0\x03IDATabc....\0\0\0\0IEND....");
        bytes
    }

    fn a_jpeg() -> Vec<u8> {
        let mut bytes =
            vec![0xff, 0xd8, 0xff, 0xe0, 0, 4, 1, 2, 0xff, 0xff, 0xc0, 0, 9, 8, 0x01, 0xe0, 0x02, 0x80, 1, 1];
        bytes.extend([0xff, 0xda, 0, 3, 1, 7, 7, 0xff, 0, 7, 0xff, 0xd9]);
        bytes
    }

    #[test]
    fn whole_pictures_have_their_size_and_every_cut_is_told() {
        for whole in [a_png(), a_jpeg()] {
            assert_eq!(size(&whole), Ok((640, 480)));
            for n in 0..whole.len() {
                assert!(size(&whole[..n]).is_err(), "{n} of {}", whole.len());
            }
        }
        assert_eq!(size(b"GIF89a"), Err(NoPhotograph::Unknown));
    }

    #[test]
    fn garbage_within_is_survived() {
        // Every byte of a good picture in turn put to its ends: an answer or a refusal, never a panic.
        for whole in [a_png(), a_jpeg()] {
            for n in 0..whole.len() {
                for value in [0x00, 0xff, 0xd9, 0x7f] {
                    let mut other = whole.clone();
                    other[n] = value;
                    let _ = size(&other);
                }
            }
        }
        let mut wide = a_png();
        wide[16..20].copy_from_slice(&[0xff; 4]);
        assert_eq!(size(&wide), Err(NoPhotograph::Size(u32::MAX, 480)));
    }
}
