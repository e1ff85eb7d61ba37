//! CIELAB to the sRGB of a screen: CIE 15:2018 (section 8.2.1, inverse) with white D65 (X 95.047, Y 100, Z 108.883), then IEC
//! 61966-2-1:1999. What a screen cannot show is cut to its range; a picture says that screens differ.

use crate::palette::Rgb;

/// White of D65, 2 degree observer, Y = 100.
const WHITE: [f64; 3] = [95.047, 100.0, 108.883];

/// Nearest colour of the screen to a CIELAB colour (L*, a*, b*), channel by channel.
pub fn screen_colour([l, a, b]: [f64; 3]) -> Rgb {
    let fy = (l + 16.0) / 116.0;
    let cube = |f: f64| if f > 6.0 / 29.0 { f.powi(3) } else { 3.0 * (6.0f64 / 29.0).powi(2) * (f - 4.0 / 29.0) };
    let [x, y, z] =
        [cube(fy + a / 500.0) * WHITE[0] / 100.0, cube(fy) * WHITE[1] / 100.0, cube(fy - b / 200.0) * WHITE[2] / 100.0];
    let linear = [
        3.2404542 * x - 1.5371385 * y - 0.4985314 * z,
        -0.9692660 * x + 1.8760108 * y + 0.0415560 * z,
        0.0556434 * x - 0.2040259 * y + 1.0572252 * z,
    ];
    let [r, g, b] = linear.map(|c| {
        let c = c.clamp(0.0, 1.0);
        let s = if c <= 0.0031308 { 12.92 * c } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 };
        (255.0 * s).round() as u8
    });
    Rgb(r, g, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Corners of the sRGB cube in CIELAB, D65; computed from the two standards named above.
    #[test]
    fn corners_of_the_cube_return() {
        for (lab, corner) in [
            ([100.0, 0.0, 0.0], Rgb(255, 255, 255)),
            ([0.0, 0.0, 0.0], Rgb(0, 0, 0)),
            ([53.2408, 80.0925, 67.2032], Rgb(255, 0, 0)),
            ([87.7347, -86.1827, 83.1793], Rgb(0, 255, 0)),
            ([32.2970, 79.1875, -107.8602], Rgb(0, 0, 255)),
        ] {
            let Rgb(r, g, b) = screen_colour(lab);
            for (got, wanted) in [(r, corner.0), (g, corner.1), (b, corner.2)] {
                // Matrices are printed with seven decimals: one step of a channel.
                assert!(got.abs_diff(wanted) <= 1, "{lab:?}: {got} for {wanted}");
            }
        }
    }
}
