//! Colours: dark and light enough to stay apart in grey, and apart for the common colour deficiencies.
//!
//! Hue never carries meaning alone: every series also has its own dash, marker and direct label.

/// Red, green, blue, 0 to 255.
pub type Colour = (u8, u8, u8);

/// Text and axes.
pub const INK: Colour = (0x1f, 0x26, 0x2d);
/// Secondary text.
pub const SLATE: Colour = (0x5d, 0x68, 0x73);
/// Grid lines.
pub const GRID: Colour = (0xe3, 0xe6, 0xe9);
/// Paper.
pub const PAPER: Colour = (0xff, 0xff, 0xff);
/// First series: deep navy.
pub const NAVY: Colour = (0x14, 0x32, 0x5c);
/// Second series: burnt orange.
pub const RUST: Colour = (0xd0, 0x5a, 0x0c);
/// Third series: sea green.
pub const SEA: Colour = (0x3c, 0xab, 0x94);
/// Fourth series: plum.
pub const PLUM: Colour = (0xa2, 0x42, 0x80);
/// Fifth series: straw.
pub const STRAW: Colour = (0xe6, 0xbc, 0x3c);
/// Sixth series: pale sky.
pub const SKY: Colour = (0x9c, 0xc9, 0xec);
/// Seventh series: warm grey.
pub const STONE: Colour = (0xc8, 0xc1, 0xb6);
/// Limits.
pub const LIMIT: Colour = (0xa8, 0x1e, 0x1e);
/// Ground.
pub const EARTH: Colour = (0xd9, 0xd2, 0xc5);
/// Grout; always hatched.
pub const GROUT: Colour = (0xe9, 0xdc, 0xbf);
/// Body of the vehicle.
pub const BODY: Colour = (0x9f, 0xbd, 0xd6);
/// Windows of the vehicle.
pub const GLASS: Colour = (0xe2, 0xee, 0xf7);
/// Tyres.
pub const RUBBER: Colour = (0x33, 0x38, 0x3e);
/// Steel of pole and plates.
pub const STEEL: Colour = (0x4a, 0x55, 0x60);

/// One way to draw a series: colour, dash pattern (empty = solid), marker.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Colour.
    pub colour: Colour,
    /// Lengths of ink and gap in turn, px; empty for a solid line.
    pub dash: &'static [f64],
    /// Marker.
    pub marker: Marker,
}

/// Markers of series.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marker {
    /// Filled circle.
    Disc,
    /// Filled square.
    Square,
    /// Filled triangle, point up.
    Triangle,
    /// Filled diamond.
    Diamond,
}

/// Pens for up to four bolts or other like series.
pub const PENS: [Pen; 4] = [
    Pen {
        colour: NAVY,
        dash: &[],
        marker: Marker::Disc,
    },
    Pen {
        colour: RUST,
        dash: &[14.0, 5.0],
        marker: Marker::Square,
    },
    Pen {
        colour: SEA,
        dash: &[5.0, 4.0],
        marker: Marker::Triangle,
    },
    Pen {
        colour: PLUM,
        dash: &[14.0, 4.0, 3.0, 4.0],
        marker: Marker::Diamond,
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    // Linear-light channel of sRGB (IEC 61966-2-1).
    fn linear(v: u8) -> f64 {
        let c = f64::from(v) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            libm::pow((c + 0.055) / 1.055, 2.4)
        }
    }

    // Lightness L* of CIE 1976 from relative luminance.
    fn lightness(rgb: [f64; 3]) -> f64 {
        let y = 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
        if y > 0.008856 {
            116.0 * libm::cbrt(y) - 16.0
        } else {
            903.3 * y
        }
    }

    // Full deuteranopia and protanopia in linear RGB (Machado, Oliveira and Fernandes, 2009) [recalled].
    const DEUTAN: [[f64; 3]; 3] = [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ];
    const PROTAN: [[f64; 3]; 3] = [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ];

    fn seen(m: &[[f64; 3]; 3], c: Colour) -> [f64; 3] {
        let v = [linear(c.0), linear(c.1), linear(c.2)];
        let mut out = [0.0; 3];
        for (o, row) in out.iter_mut().zip(m) {
            *o = (row[0] * v[0] + row[1] * v[1] + row[2] * v[2]).clamp(0.0, 1.0);
        }
        out
    }

    #[test]
    fn the_stack_of_energies_stays_apart_in_grey() {
        let order = [NAVY, SKY, RUST, STRAW, PLUM, STONE, SEA];
        for pair in order.windows(2) {
            let l = |c: Colour| lightness([linear(c.0), linear(c.1), linear(c.2)]);
            let gap = (l(pair[0]) - l(pair[1])).abs();
            assert!(gap > 11.0, "{pair:?} differ by L* {gap:.1} only");
        }
    }

    #[test]
    fn pens_stay_apart_for_red_green_deficiency() {
        for m in [DEUTAN, PROTAN] {
            for (i, a) in PENS.iter().enumerate() {
                for b in &PENS[i + 1..] {
                    let (p, q) = (seen(&m, a.colour), seen(&m, b.colour));
                    let lightness_gap = (lightness(p) - lightness(q)).abs();
                    let blue_gap = (libm::cbrt(p[2]) - libm::cbrt(q[2])).abs() * 100.0;
                    assert!(
                        lightness_gap.max(blue_gap) > 15.0,
                        "{:?} and {:?}: L* {lightness_gap:.1}, blue {blue_gap:.1}",
                        a.colour,
                        b.colour
                    );
                    assert_ne!(a.dash, b.dash);
                    assert_ne!(a.marker, b.marker);
                }
            }
        }
    }
}
