//! Parts of a package (ISO/IEC 21320-1, a subset of the ZIP file format): stored or deflated, found by the directory at the end.
//!
//! A part is refused before it is unpacked when it claims to grow beyond the limits, and unpacking stops where the claim ends; its checksum is compared.
//! Bytes stay in memory: nothing is written, and names of parts are never used as paths.

use super::error::{at_byte, whole};
use super::{Format, ReadError, ReadLimits};

const FORMAT: Format = Format::ThreeMf;
/// Parts below this size may grow by any ratio that the format allows.
const HARMLESS: usize = 1 << 20;
const MOST_PARTS: usize = 10_000;

/// A part as the directory tells it.
pub(super) struct Part<'a> {
    pub(super) name: String,
    flags: u16,
    method: u16,
    checksum: u32,
    packed: u64,
    unpacked: u64,
    offset: u64,
    bytes: &'a [u8],
}

fn number(bytes: &[u8], at: usize, size: usize) -> Option<u64> {
    let part = bytes.get(at..at.checked_add(size)?)?;
    Some(part.iter().rev().fold(0, |n, b| n << 8 | u64::from(*b)))
}

/// The parts of a package.
pub(super) fn parts(bytes: &[u8]) -> Result<Vec<Part<'_>>, ReadError> {
    let cut = || {
        whole(FORMAT, "the package has no directory at its end", "a whole package: the file is cut short or damaged")
    };
    let from = bytes.len().saturating_sub(65_557);
    let end = bytes[from..].windows(4).rposition(|w| w == b"PK\x05\x06").map(|at| at + from).ok_or_else(cut)?;
    let (count, start) = (number(bytes, end + 10, 2).ok_or_else(cut)?, number(bytes, end + 16, 4).ok_or_else(cut)?);
    if start == 0xFFFF_FFFF || count == 0xFFFF {
        return Err(whole(FORMAT, "a package of more than 4 GB or 65,534 parts", "a smaller one"));
    }
    if count as usize > MOST_PARTS {
        return Err(ReadError::TooMuch { what: "parts of the package", found: count as usize, most: MOST_PARTS });
    }
    let mut parts = Vec::new();
    let mut at = start as usize;
    for _ in 0..count {
        let part = entry(bytes, &mut at)
            .ok_or_else(|| at_byte(FORMAT, at, "no entry of the directory", "as many entries as it names"))?;
        parts.push(part);
    }
    Ok(parts)
}

fn entry<'a>(bytes: &'a [u8], at: &mut usize) -> Option<Part<'a>> {
    let here = *at;
    let field = |offset: usize, size: usize| number(bytes, here.checked_add(offset)?, size);
    if field(0, 4)? != 0x0201_4B50 {
        return None;
    }
    let (name, extra, comment) = (field(28, 2)? as usize, field(30, 2)? as usize, field(32, 2)? as usize);
    let text = bytes.get(here + 46..here + 46 + name)?;
    let mut part = Part {
        name: String::from_utf8_lossy(text).trim_start_matches('/').to_owned(),
        flags: field(8, 2)? as u16,
        method: field(10, 2)? as u16,
        checksum: field(16, 4)? as u32,
        packed: field(20, 4)?,
        unpacked: field(24, 4)?,
        offset: field(42, 4)?,
        bytes,
    };
    // Fields too small for a value stand in an extra one, in this order.
    let mut extras = bytes.get(here + 46 + name..here + 46 + name + extra)?;
    while let (Some(id), Some(size)) = (number(extras, 0, 2), number(extras, 2, 2)) {
        let size = size as usize;
        if id == 1 {
            let mut place = 4;
            for value in [&mut part.unpacked, &mut part.packed, &mut part.offset] {
                if *value == 0xFFFF_FFFF && place + 8 <= 4 + size {
                    *value = number(extras, place, 8)?;
                    place += 8;
                }
            }
        }
        extras = extras.get(4 + size..).unwrap_or(&[]);
    }
    *at = here + 46 + name + extra + comment;
    Some(part)
}

impl Part<'_> {
    /// The part's content.
    pub(super) fn unpack(&self, limits: &ReadLimits) -> Result<Vec<u8>, ReadError> {
        let bad = |found: &str| {
            whole(FORMAT, format!("part {}: {found}", self.name), "a whole package: the file is cut short or damaged")
        };
        if self.flags & 1 != 0 {
            return Err(whole(FORMAT, format!("part {} is encrypted", self.name), "a package that is not"));
        }
        let unpacked = usize::try_from(self.unpacked).unwrap_or(usize::MAX);
        if unpacked > limits.unpacked {
            return Err(ReadError::TooMuch { what: "bytes of a packed part", found: unpacked, most: limits.unpacked });
        }
        if unpacked > HARMLESS && self.unpacked as f64 > limits.ratio * self.packed as f64 {
            let found = (self.unpacked as f64 / self.packed.max(1) as f64).min(1e15) as usize;
            return Err(ReadError::TooMuch {
                what: "times that a packed part grows",
                found,
                most: limits.ratio as usize,
            });
        }
        let data = self.data().ok_or_else(|| bad("its bytes are not there"))?;
        let content = match self.method {
            0 => data.to_vec(),
            8 => miniz_oxide::inflate::decompress_to_vec_with_limit(data, unpacked)
                .map_err(|_| bad("it does not unpack to the size it claims"))?,
            other => {
                return Err(whole(
                    FORMAT,
                    format!("part {} is packed by method {other}", self.name),
                    "stored or deflated parts",
                ));
            }
        };
        if content.len() != unpacked || crc32fast::hash(&content) != self.checksum {
            return Err(bad("size or checksum differ from what it claims"));
        }
        Ok(content)
    }

    fn data(&self) -> Option<&[u8]> {
        let at = usize::try_from(self.offset).ok()?;
        if number(self.bytes, at, 4)? != 0x0403_4B50 {
            return None;
        }
        let skip = 30
            + number(self.bytes, at.checked_add(26)?, 2)? as usize
            + number(self.bytes, at.checked_add(28)?, 2)? as usize;
        let start = at.checked_add(skip)?;
        self.bytes.get(start..start.checked_add(usize::try_from(self.packed).ok()?)?)
    }
}

/// A package of deflated parts.
pub(super) fn pack(parts: &[(&str, Vec<u8>)]) -> Vec<u8> {
    let (mut out, mut directory) = (Vec::new(), Vec::new());
    for (name, content) in parts {
        let packed = miniz_oxide::deflate::compress_to_vec(content, 6);
        let offset = out.len() as u32;
        let mut common = Vec::new();
        // Version 2.0, no flags, deflated, 1980-01-01: the same bytes every time.
        for field in [20u16, 0, 8, 0, 0x21] {
            common.extend(field.to_le_bytes());
        }
        for field in [crc32fast::hash(content), packed.len() as u32, content.len() as u32] {
            common.extend(field.to_le_bytes());
        }
        common.extend((name.len() as u16).to_le_bytes());
        common.extend(0u16.to_le_bytes());
        out.extend(b"PK\x03\x04");
        out.extend(&common);
        out.extend(name.as_bytes());
        out.extend(&packed);
        directory.extend(b"PK\x01\x02");
        directory.extend(20u16.to_le_bytes());
        directory.extend(&common);
        directory.extend([0; 10]);
        directory.extend(offset.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let start = out.len() as u32;
    let count = (parts.len() as u16).to_le_bytes();
    out.extend(&directory);
    out.extend(b"PK\x05\x06\0\0\0\0");
    out.extend(count);
    out.extend(count);
    out.extend((directory.len() as u32).to_le_bytes());
    out.extend(start.to_le_bytes());
    out.extend([0, 0]);
    out
}
