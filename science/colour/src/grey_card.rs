//! The colour of a field in a photograph that also shows a grey card of known reflectance.
//!
//! Linear light of each channel is scaled so that the card takes its known reflectance: white balance and exposure in one. The colour
//! then follows by the primaries of sRGB. What this cannot repair goes into the interval: a camera's channels are not those of an
//! observer (SD 2.0, 2.0, 3.0 in L*, a*, b*: common practice, no source), uneven light (from the scatter on the card), and an
//! unproven response curve unless a second grey is shown (a further SD of 3 in L*).
//!
//! Refused: clipped fields, a card too dark or too bright, a strong cast, uneven light, a response that two greys prove unlinear.
//! Limits: no gloss, same light on card and field, same plane; an instrument is better.

use crate::spread::Spread;
use crate::{Lab, srgb};
use thiserror::Error;

/// A rectangle of a photograph in linear light, 0..1 of full scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// Mean of red, green, blue.
    pub mean: [f64; 3],
    /// Standard deviation within the rectangle.
    pub sd: [f64; 3],
    /// Share of pixels at either end of the scale, 0..1.
    pub clipped: f64,
    /// Number of pixels.
    pub pixels: usize,
}

/// A grey of known luminous reflectance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grey {
    /// Its rectangle.
    pub field: Field,
    /// Its reflectance, 0..1.
    pub reflectance: f64,
}

/// Why a photograph is refused.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PhotoError {
    /// Numbers that are no picture.
    #[error("{0}: means must be numbers between 0 and 1, at least 100 pixels; choose a larger rectangle")]
    Field(&'static str),
    /// Reflectance of a card impossible.
    #[error("a card of reflectance {0}; expected 0.02 to 0.95")]
    Card(f64),
    /// Clipped.
    #[error("{what}: {percent:.1} % of the pixels are clipped; expected less than 0.5 %: expose less and avoid gloss")]
    Clipped {
        /// Which rectangle.
        what: &'static str,
        /// Share, per cent.
        percent: f64,
    },
    /// Card too dark or too bright.
    #[error("the card reads {0:.3} of full scale; expected 0.02 to 0.9: expose again")]
    Exposure(f64),
    /// Strong cast.
    #[error("one channel of the card is {0:.1} times another; expected less than 3: use a light nearer to daylight")]
    Cast(f64),
    /// Uneven.
    #[error("light varies by {0:.0} % over the card; expected less than 15 %: light it evenly and keep it flat")]
    Uneven(f64),
    /// Two greys disagree.
    #[error(
        "the second grey reads {found:.3} where its reflectance asks for {expected:.3}; expected within a fifth: the file is not \
         linear (a processed picture), or the greys are lit differently"
    )]
    Unlinear {
        /// Reflectance found.
        found: f64,
        /// Reflectance known.
        expected: f64,
    },
}

/// The colour of `field` with its interval, from a photograph with `card` and, if shown, a second grey.
pub fn photographed(field: &Field, card: &Grey, second: Option<&Grey>) -> Result<Spread, PhotoError> {
    check_field("the field", field)?;
    check_card(card)?;
    let scale: [f64; 3] = std::array::from_fn(|c| card.reflectance / card.field.mean[c]);
    if let Some(second) = second {
        check_field("the second grey", &second.field)?;
        if !(0.02..=0.95).contains(&second.reflectance) {
            return Err(PhotoError::Card(second.reflectance));
        }
        let found = second.field.mean[1] * scale[1];
        if (found / second.reflectance).ln().abs() > 1.2f64.ln() {
            return Err(PhotoError::Unlinear { found, expected: second.reflectance });
        }
    }
    let mean = srgb::lab_from_linear(std::array::from_fn(|c| field.mean[c] * scale[c]));
    // dL* of a relative error e in Y: 116/3 Y^(1/3) e = (L* + 16)/3 e.
    let uneven = (mean.l + 16.0) / 3.0 * card.field.sd[1] / card.field.mean[1];
    let curve = if second.is_some() { 0.0 } else { 3.0 };
    let sd = Lab::new((2.0f64.powi(2) + uneven * uneven + curve * curve).sqrt(), 2.0, 3.0);
    Ok(Spread::Normal { mean, sd })
}

fn check_field(what: &'static str, field: &Field) -> Result<(), PhotoError> {
    let numbers =
        field.mean.iter().all(|v| *v > 0.0 && *v <= 1.0) && field.sd.iter().all(|v| *v >= 0.0 && v.is_finite());
    if !numbers || field.pixels < 100 {
        return Err(PhotoError::Field(what));
    }
    // Also refuses what is not a number.
    if (0.0..0.005).contains(&field.clipped) {
        Ok(())
    } else {
        Err(PhotoError::Clipped { what, percent: 100.0 * field.clipped })
    }
}

fn check_card(card: &Grey) -> Result<(), PhotoError> {
    check_field("the card", &card.field)?;
    if !(0.02..=0.95).contains(&card.reflectance) {
        return Err(PhotoError::Card(card.reflectance));
    }
    let mean = card.field.mean;
    let (least, most) = mean.iter().fold((f64::MAX, 0.0f64), |(l, m), v| (l.min(*v), m.max(*v)));
    if least < 0.02 || most > 0.9 {
        return Err(PhotoError::Exposure(if least < 0.02 { least } else { most }));
    }
    if most / least > 3.0 {
        return Err(PhotoError::Cast(most / least));
    }
    let scatter = card.field.sd[1] / mean[1];
    if scatter > 0.15 { Err(PhotoError::Uneven(100.0 * scatter)) } else { Ok(()) }
}
