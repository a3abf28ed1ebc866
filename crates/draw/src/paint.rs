//! Painting of a finished figure, the only place that knows plotters.
//!
//! SVG is painted on a grid eight times finer than the page, so that rounding to whole numbers cannot be
//! seen. PNG is painted twice as large and averaged, which smooths edges. The fonts are shipped with the
//! program, because a machine may have none; the SVG asks the viewer for a generic sans-serif.

use std::fmt::Display;

use giveway_units::System;
use plotters::backend::{BitMapBackend, SVGBackend};
use plotters::prelude::DrawingBackend;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontTransform, IntoTextStyle, RGBAColor, RGBColor, TextStyle};

use crate::DrawError;
use crate::figure::{Anchor, Figure, Mark, TextLook};
use crate::lettering::{SIZE_OVER_EM, font, text_width};
use crate::palette::{Colour, PAPER};
use crate::raster::{fill_spans, stroke_contours};
use crate::reader::for_reader;

// Baseline of a line below its middle (half the height of capitals), in em.
const BASELINE: f64 = 0.36;
const SVG_GRID: f64 = 8.0;
const SUPERSAMPLING: usize = 2;
// Rows of the page that are painted at a time.
const BAND: usize = 128;

fn rgba(colour: Colour, alpha: f64) -> RGBAColor {
    RGBColor(colour.0, colour.1, colour.2).mix(alpha)
}

fn style(look: &TextLook, scale: f64, vertical: VPos) -> TextStyle<'static> {
    let h = match look.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let turn = if look.upright {
        FontTransform::Rotate270
    } else {
        FontTransform::None
    };
    font(look.size * scale, look.bold)
        .color(&rgba(look.colour, 1.0))
        .into_text_style(&(1, 1))
        .pos(Pos::new(h, vertical))
        .transform(turn)
}

fn failed(figure: &Figure) -> impl Fn(&dyn Display) -> DrawError + '_ {
    |e| DrawError::Painting {
        figure: figure.name().to_owned(),
        reason: e.to_string(),
    }
}

/// The figure as SVG, with title and description inside.
pub fn svg(figure: &Figure) -> Result<String, DrawError> {
    let figure = &*for_reader(figure);
    let fail = failed(figure);
    let k = SVG_GRID;
    let (w, h) = figure.size();
    let size = ((w * k) as u32, (h * k) as u32);
    let on_grid = |p: &(f64, f64)| ((p.0 * k).round() as i32, (p.1 * k).round() as i32);
    let mut body = String::new();
    {
        let mut back = SVGBackend::with_string(&mut body, size);
        for mark in figure.marks() {
            match mark {
                Mark::Stroke {
                    points,
                    width,
                    colour,
                } => {
                    let shape = rgba(*colour, 1.0).stroke_width((width * k).round() as u32);
                    back.draw_path(points.iter().map(on_grid), &shape)
                }
                Mark::Fill {
                    points,
                    colour,
                    alpha,
                } => back.fill_polygon(points.iter().map(on_grid), &rgba(*colour, *alpha)),
                Mark::Text { at, text, look } => {
                    // "Centre" puts the baseline half an ex (0.27 em) below the point.
                    let drop = (BASELINE - 0.27) * look.size;
                    let at = on_grid(&shifted(*at, drop, look.upright));
                    back.draw_text(text, &style(look, k, VPos::Center), at)
                }
            }
            .map_err(|e| fail(&e))?;
        }
        back.present().map_err(|e| fail(&e))?;
    }
    // The first line is the root element on the fine grid; give the page its size, a title and words.
    let rest = body.split_once('\n').map_or("", |(_, rest)| rest);
    let id = figure.name();
    let whole = |v: f64| (v * k).round() as i32;
    let clocks: Vec<String> = (figure.clocks().iter())
        .map(|c| {
            let w = c.area;
            format!(
                "{} {} {} {} {} {}",
                whole(w.left),
                whole(w.top),
                whole(w.right),
                whole(w.bottom),
                c.span_s.0,
                c.span_s.1
            )
        })
        .collect();
    // Where the time runs, for a page that moves a cursor there.
    let clocks = match clocks.as_slice() {
        [] => String::new(),
        some => format!(" data-clocks=\"{}\"", some.join(",")),
    };
    // Data and pictures of one folder may be painted again: in the same units.
    let units = match figure.system() {
        System::Si => "",
        System::Us => " data-units=\"us\"",
    };
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {} {}\" \
         role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" stroke-linejoin=\"round\"{clocks}{units}>\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n{rest}",
        size.0,
        size.1,
        escaped(figure.title()),
        escaped(figure.alt_text()),
    ))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

fn shifted(at: (f64, f64), drop: f64, upright: bool) -> (f64, f64) {
    if upright {
        (at.0 + drop, at.1)
    } else {
        (at.0, at.1 + drop)
    }
}

/// The figure as PNG (8 bit RGB), one pixel of the page to one of the image.
pub fn png(figure: &Figure) -> Result<Vec<u8>, DrawError> {
    Ok(both(figure)?.1)
}

/// The figure's pixels (RGB, row by row), and the same as PNG: painted once.
pub fn both(figure: &Figure) -> Result<(Vec<u8>, Vec<u8>), DrawError> {
    let figure = &*for_reader(figure);
    let fail = failed(figure);
    let image = image(figure, BAND).map_err(|e| fail(&e))?;
    let (w, h) = figure.size();
    let (w, h) = (w as usize, h as usize);
    let mut out = Vec::with_capacity(w * h / 4);
    let mut encoder = png::Encoder::new(&mut out, w as u32, h as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    encoder.set_filter(png::FilterType::Up);
    let mut writer = encoder.write_header().map_err(|e| fail(&e))?;
    writer.write_image_data(&image).map_err(|e| fail(&e))?;
    writer.finish().map_err(|e| fail(&e))?;
    Ok((image, out))
}

// The pixels, row by row. One band after the other is painted: the enlarged page never stands in memory as a
// whole.
fn image(figure: &Figure, band: usize) -> Result<Vec<u8>, String> {
    let (w, h) = figure.size();
    let (w, h) = (w as usize, h as usize);
    let reach: Vec<(f64, f64)> = figure.marks().map(reach).collect();
    let mut image = Vec::with_capacity(3 * w * h);
    for top in (0..h).step_by(band) {
        let rows = band.min(h - top);
        let size = (w * SUPERSAMPLING, rows * SUPERSAMPLING);
        let mut canvas = [PAPER.0, PAPER.1, PAPER.2].repeat(size.0 * size.1);
        let (from, to) = (top as f64, (top + rows) as f64);
        let marks = figure
            .marks()
            .zip(&reach)
            .filter(|(_, r)| r.0 < to && r.1 > from)
            .map(|(mark, _)| mark);
        let first_row = (top * SUPERSAMPLING) as i32;
        rasterise(
            marks,
            first_row,
            &mut canvas,
            (size.0 as u32, size.1 as u32),
        )?;
        average(&canvas, w, rows, &mut image);
    }
    Ok(image)
}

// Uppermost and lowest row that a mark can touch.
fn reach(mark: &Mark) -> (f64, f64) {
    let (points, margin) = match mark {
        Mark::Stroke { points, width, .. } => (points.as_slice(), *width),
        Mark::Fill { points, .. } => (points.as_slice(), 1.0),
        Mark::Text { at, text, look } => {
            let along = if look.upright {
                text_width(text, look.size, look.bold)
            } else {
                0.0
            };
            (std::slice::from_ref(at), 1.5 * look.size + along)
        }
    };
    let (low, high) = points
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |r, p| {
            (r.0.min(p.1), r.1.max(p.1))
        });
    (low - margin, high + margin)
}

fn rasterise<'a>(
    marks: impl Iterator<Item = &'a Mark>,
    first_row: i32,
    canvas: &mut [u8],
    size: (u32, u32),
) -> Result<(), String> {
    let k = SUPERSAMPLING as f64;
    let scaled = |p: &(f64, f64)| (p.0 * k, p.1 * k);
    let (w, h) = (size.0 as i32, size.1 as i32);
    let mut back = BitMapBackend::with_buffer(canvas, size);
    for mark in marks {
        let mut failure = None;
        let mut paint = |contours: &[Vec<(f64, f64)>], colour: RGBAColor| {
            let colour = colour.to_backend_color();
            fill_spans(contours, w, first_row..first_row + h, |row, from, to| {
                let row = row - first_row;
                if let Err(e) = back.draw_line((from, row), (to, row), &colour) {
                    failure = Some(e.to_string());
                }
            });
        };
        match mark {
            Mark::Stroke {
                points,
                width,
                colour,
            } => {
                let points: Vec<_> = points.iter().map(scaled).collect();
                paint(&stroke_contours(&points, width * k), rgba(*colour, 1.0));
            }
            Mark::Fill {
                points,
                colour,
                alpha,
            } => paint(
                &[points.iter().map(scaled).collect()],
                rgba(*colour, *alpha),
            ),
            Mark::Text { at, text, look } => {
                // "Top" puts the baseline half a text size below the point.
                let drop = (BASELINE - 0.5 * SIZE_OVER_EM) * look.size;
                let at = scaled(&shifted(*at, drop, look.upright));
                let at = (at.0.round() as i32, at.1.round() as i32 - first_row);
                if let Err(e) = back.draw_text(text, &style(look, k, VPos::Top), at) {
                    failure = Some(e.to_string());
                }
            }
        }
        if let Some(reason) = failure {
            return Err(reason);
        }
    }
    back.present().map_err(|e| e.to_string())
}

// Mean of each block of 2 x 2 pixels.
fn average(canvas: &[u8], w: usize, rows: usize, out: &mut Vec<u8>) {
    let stride = 3 * w * SUPERSAMPLING;
    let from = out.len();
    out.resize(from + 3 * w * rows, 0);
    let mean = |a: u8, b: u8, c: u8, d: u8| {
        ((u16::from(a) + u16::from(b) + u16::from(c) + u16::from(d) + 2) / 4) as u8
    };
    let lines = out[from..].chunks_exact_mut(3 * w);
    for (line, pair) in lines.zip(canvas.chunks_exact(2 * stride)) {
        let (upper, _) = pair[..stride].as_chunks::<6>();
        let (lower, _) = pair[stride..].as_chunks::<6>();
        let (pixels, _) = line.as_chunks_mut::<3>();
        for ((pixel, a), b) in pixels.iter_mut().zip(upper).zip(lower) {
            *pixel = [
                mean(a[0], a[3], b[0], b[3]),
                mean(a[1], a[4], b[1], b[4]),
                mean(a[2], a[5], b[2], b[5]),
            ];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::look;
    use crate::palette::{INK, RUST};

    #[test]
    fn bands_leave_no_seam() {
        // A tall shape, a thick slanting line and a text across the border between two bands.
        let (w, h) = (80.0, 2.0 * BAND as f64);
        let border = BAND as f64;
        let mut f = Figure::new("seam", "seam", w, h);
        f.rect(((5.0, 10.0), (15.0, h - 10.0)), RUST, 1.0);
        f.line([(20.0, border - 30.0), (40.0, border + 30.0)], 9.0, INK);
        f.text((45.0, border), "HHH", look(20.0, INK).bold());
        f.text((75.0, border + 20.0), "HHH", look(20.0, INK).upright());
        let f = f.finish().unwrap();
        let different = image(&f, BAND)
            .unwrap()
            .iter()
            .zip(image(&f, 10_000).unwrap())
            .filter(|(a, b)| **a != *b)
            .count();
        assert_eq!(different, 0);
    }

    #[test]
    fn both_painters_show_every_mark() {
        let mut f = Figure::new("trial", "A < B & C", 120.0, 60.0);
        f.set_alt_text("Rust-coloured square < text".into());
        f.rect(((10.0, 10.0), (50.0, 50.0)), RUST, 1.0);
        f.line([(60.0, 10.0), (110.0, 50.0)], 2.0, INK);
        f.text((60.0, 30.0), "a<b", look(12.0, INK));
        let f = f.finish().unwrap();
        let s = svg(&f).unwrap();
        assert!(s.contains("<title id=\"trial-title\">A &lt; B &amp; C</title>"));
        assert!(s.contains("Rust-coloured square &lt; text"));
        assert_eq!(s.matches("<polygon").count(), 1);
        assert_eq!(s.matches("<polyline").count(), 1);
        assert!(s.contains("a&lt;b"));
        assert!(s.trim_end().ends_with("</svg>"));
        let bytes = png(&f).unwrap();
        let mut reader = png::Decoder::new(bytes.as_slice()).read_info().unwrap();
        let mut image = vec![0; reader.output_buffer_size()];
        reader.next_frame(&mut image).unwrap();
        let pixel = |x: usize, y: usize| &image[3 * (y * 120 + x)..3 * (y * 120 + x) + 3];
        assert_eq!(pixel(30, 30), [RUST.0, RUST.1, RUST.2]);
        assert_eq!(pixel(5, 5), [255, 255, 255]);
        // Same figure, same bytes.
        assert_eq!(bytes, png(&f).unwrap());
    }
}
