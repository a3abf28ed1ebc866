//! An animated PNG, picture by picture. After the first picture only the pixels that changed are written, over the
//! clear rest.

use crate::DrawError;

/// An animated PNG under construction (PNG third edition, W3C 2025, chunks acTL, fcTL, fdAT).
pub struct Animation {
    writer: png::Writer<Shared>,
    bytes: Shared,
    left: usize,
    /// The picture before, RGB.
    before: Vec<u8>,
}

/// Bytes that the encoder writes and that are taken out at the end.
#[derive(Debug, Clone, Default)]
struct Shared(std::rc::Rc<std::cell::RefCell<Vec<u8>>>);

impl std::io::Write for Shared {
    fn write(&mut self, data: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(data);
        Ok(data.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn refused(e: &png::EncodingError) -> DrawError {
    DrawError::Painting {
        figure: "film".to_owned(),
        reason: e.to_string(),
    }
}

impl Animation {
    /// An empty one of `pictures` pictures of this size, px.
    ///
    /// # Errors
    /// A size or number that the format cannot hold.
    pub fn new(
        size: (u32, u32),
        pictures: usize,
        pictures_per_second: f64,
    ) -> Result<Self, DrawError> {
        let bytes = Shared::default();
        let mut encoder = png::Encoder::new(bytes.clone(), size.0, size.1);
        encoder.set_color(png::ColorType::Rgba);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::Default);
        encoder.set_filter(png::FilterType::NoFilter);
        let start = |encoder: &mut png::Encoder<Shared>| {
            encoder.set_animated(pictures as u32, 0)?;
            encoder.set_blend_op(png::BlendOp::Over)?;
            encoder.set_dispose_op(png::DisposeOp::None)?;
            let delay = (1000.0 / pictures_per_second).round().clamp(1.0, 65_535.0);
            encoder.set_frame_delay(delay as u16, 1000)
        };
        start(&mut encoder).map_err(|e| refused(&e))?;
        let writer = encoder.write_header().map_err(|e| refused(&e))?;
        Ok(Self {
            writer,
            bytes,
            left: pictures,
            before: Vec::new(),
        })
    }

    /// Adds the next picture: RGB, row by row.
    ///
    /// # Errors
    /// One picture too many, or one of another size.
    pub fn add(&mut self, pixels: &[u8]) -> Result<(), DrawError> {
        self.left = self.left.saturating_sub(1);
        let (now, _) = pixels.as_chunks::<3>();
        let (before, _) = self.before.as_chunks::<3>();
        // Clear where nothing changed.
        let mut changed = vec![0_u8; 4 * now.len()];
        let (over, _) = changed.as_chunks_mut::<4>();
        let known = before.len().min(now.len());
        for ((over, pixel), before) in over.iter_mut().zip(now).zip(before) {
            if before != pixel {
                *over = [pixel[0], pixel[1], pixel[2], 255];
            }
        }
        for (over, pixel) in over[known..].iter_mut().zip(&now[known..]) {
            *over = [pixel[0], pixel[1], pixel[2], 255];
        }
        self.before.clear();
        self.before.extend_from_slice(pixels);
        self.writer
            .write_image_data(&changed)
            .map_err(|e| refused(&e))
    }

    /// The file's content, once every picture has been added.
    ///
    /// # Errors
    /// A picture is missing.
    pub fn finish(self) -> Result<Vec<u8>, DrawError> {
        if self.left > 0 {
            return Err(DrawError::Painting {
                figure: "film".to_owned(),
                reason: format!("{} pictures are missing", self.left),
            });
        }
        self.writer.finish().map_err(|e| refused(&e))?;
        Ok(self.bytes.0.take())
    }
}
