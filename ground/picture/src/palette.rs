//! Inks by their role, their colours on light and dark ground, and the contrast between two colours.
//!
//! One accent; all else is grey. A role means one thing and never stands alone (shape, place or word says it too). The blue of
//! the accent and the greys stay apart for readers with any colour-vision deficiency, since they differ in lightness; on a grey
//! print the accent stays the darkest mark.
//!
//! Contrast is the ratio of WCAG 2.2 (World Wide Web Consortium 2023, definitions "contrast ratio" and "relative luminance"):
//! `(L1 + 0.05) / (L2 + 0.05)` with `L = 0.2126 R + 0.7152 G + 0.0722 B` of linearised sRGB; 4.5 for text (1.4.3), 3 for marks
//! that carry meaning (1.4.11). The fills of bands and grid hairs fall below 3 and never stand without an edge that does not.

/// An sRGB colour, 8 bits a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rgb(pub u8, pub u8, pub u8);

/// The ground a picture stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    /// Dark ink on a light page; also for print.
    Light,
    /// Light ink on a dark page.
    Dark,
}

/// What a colour is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ink {
    /// The page itself.
    Ground,
    /// Text, and outlines of things.
    Text,
    /// Text of second rank.
    Quiet,
    /// Axes, thresholds and edges.
    Rule,
    /// Grid hairs: decoration only.
    Hair,
    /// Neutral marks.
    Mark,
    /// Neutral fills.
    Soft,
    /// What the picture is about.
    Accent,
    /// The likelier part of what it is about.
    AccentMid,
    /// The less likely part of what it is about.
    AccentFaint,
}

impl Ink {
    /// Every role.
    pub const ALL: [Self; 10] = [
        Self::Ground,
        Self::Text,
        Self::Quiet,
        Self::Rule,
        Self::Hair,
        Self::Mark,
        Self::Soft,
        Self::Accent,
        Self::AccentMid,
        Self::AccentFaint,
    ];

    /// Pairs of foreground and background in use, with the least contrast each must have.
    pub const PAIRS: [(Self, Self, f64); 15] = [
        (Self::Text, Self::Ground, 4.5),
        (Self::Text, Self::Soft, 4.5),
        (Self::Text, Self::AccentFaint, 4.5),
        (Self::Quiet, Self::Ground, 4.5),
        (Self::Quiet, Self::Soft, 4.5),
        (Self::Accent, Self::Ground, 4.5),
        (Self::Accent, Self::Soft, 4.5),
        (Self::Ground, Self::Accent, 4.5),
        (Self::Rule, Self::Ground, 3.0),
        (Self::Mark, Self::Ground, 3.0),
        (Self::Accent, Self::AccentFaint, 3.0),
        (Self::Accent, Self::AccentMid, 3.0),
        (Self::Text, Self::AccentMid, 3.0),
        (Self::Rule, Self::AccentFaint, 3.0),
        (Self::Mark, Self::Soft, 3.0),
    ];

    /// Name used as a class on the page, so that a page can change the ground.
    pub fn name(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::Text => "text",
            Self::Quiet => "quiet",
            Self::Rule => "rule",
            Self::Hair => "hair",
            Self::Mark => "mark",
            Self::Soft => "soft",
            Self::Accent => "accent",
            Self::AccentMid => "accent-mid",
            Self::AccentFaint => "accent-faint",
        }
    }

    /// The colour of the role on a ground.
    pub fn rgb(self, theme: Theme) -> Rgb {
        match (theme, self) {
            (Theme::Light, Self::Ground) => Rgb(0xff, 0xff, 0xff),
            (Theme::Light, Self::Text) => Rgb(0x1c, 0x1c, 0x1c),
            (Theme::Light, Self::Quiet) => Rgb(0x56, 0x56, 0x56),
            (Theme::Light, Self::Rule) => Rgb(0x70, 0x70, 0x70),
            (Theme::Light, Self::Hair) => Rgb(0xdd, 0xdd, 0xdd),
            (Theme::Light, Self::Mark) => Rgb(0x73, 0x73, 0x73),
            (Theme::Light, Self::Soft) => Rgb(0xef, 0xef, 0xef),
            (Theme::Light, Self::Accent) => Rgb(0x0b, 0x4f, 0x8a),
            (Theme::Light, Self::AccentMid) => Rgb(0x9c, 0xc2, 0xe3),
            (Theme::Light, Self::AccentFaint) => Rgb(0xdf, 0xec, 0xf7),
            (Theme::Dark, Self::Ground) => Rgb(0x15, 0x18, 0x1b),
            (Theme::Dark, Self::Text) => Rgb(0xee, 0xee, 0xee),
            (Theme::Dark, Self::Quiet) => Rgb(0xb4, 0xb8, 0xbc),
            (Theme::Dark, Self::Rule) => Rgb(0x91, 0x96, 0x9b),
            (Theme::Dark, Self::Hair) => Rgb(0x37, 0x3c, 0x41),
            (Theme::Dark, Self::Mark) => Rgb(0x93, 0x98, 0x9d),
            (Theme::Dark, Self::Soft) => Rgb(0x25, 0x2a, 0x2e),
            (Theme::Dark, Self::Accent) => Rgb(0x8c, 0xc8, 0xff),
            (Theme::Dark, Self::AccentMid) => Rgb(0x31, 0x5d, 0x86),
            (Theme::Dark, Self::AccentFaint) => Rgb(0x1f, 0x31, 0x44),
        }
    }
}

impl Rgb {
    /// `#rrggbb`.
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }

    /// Relative luminance, 0 to 1 (WCAG 2.2).
    pub fn luminance(self) -> f64 {
        let linear = |c: u8| {
            let s = f64::from(c) / 255.0;
            if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2)
    }

    /// Contrast ratio with another colour, 1 to 21 (WCAG 2.2).
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

/// Style rules by which a page that holds [`crate::svg_inline`] pictures puts them on a ground: one rule a role for fills and one
/// for strokes, each line starting with `prefix` (a selector, may be empty).
pub fn style_rules(theme: Theme, prefix: &str) -> String {
    Ink::ALL
        .iter()
        .map(|ink| {
            let (name, hex) = (ink.name(), ink.rgb(theme).hex());
            format!("{prefix} .fill-{name}{{fill:{hex}}}{prefix} .line-{name}{{stroke:{hex}}}\n")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_on_white_has_the_contrast_of_the_standard() {
        assert!((Rgb(0, 0, 0).contrast(Rgb(255, 255, 255)) - 21.0).abs() < 1e-12);
        // The standard's own borderline grey: #767676 on white is the lightest grey that passes 4.5.
        assert!(Rgb(0x76, 0x76, 0x76).contrast(Rgb(255, 255, 255)) >= 4.5);
        assert!(Rgb(0x77, 0x77, 0x77).contrast(Rgb(255, 255, 255)) < 4.5);
    }

    #[test]
    fn every_pair_in_use_has_its_contrast_on_both_grounds() {
        for theme in [Theme::Light, Theme::Dark] {
            for (front, back, least) in Ink::PAIRS {
                let ratio = front.rgb(theme).contrast(back.rgb(theme));
                assert!(ratio >= least, "{theme:?} {front:?} on {back:?}: {ratio:.2} < {least}");
            }
        }
    }

    #[test]
    fn accents_keep_their_order_in_a_grey_print() {
        for theme in [Theme::Light, Theme::Dark] {
            let steps = [Ink::Ground, Ink::AccentFaint, Ink::AccentMid, Ink::Accent].map(|i| i.rgb(theme));
            for pair in steps.windows(2) {
                assert!(pair[0].contrast(pair[1]) > 1.15, "{theme:?} {pair:?}");
            }
            let (accent, mark) = (Ink::Accent.rgb(theme), Ink::Mark.rgb(theme));
            assert!(accent.contrast(mark) > 1.5, "{theme:?}: accent and neutral marks look alike in grey");
        }
    }
}
