//! Pixels as a PNG file: in greys where nothing is coloured, as ink on paper is, which makes
//! files a third as large and quickly written; with the resolution, so that a picture has its
//! size in millimetres wherever it is placed.

use png::{BitDepth, ColorType, Compression, Encoder, PixelDimensions, Unit};

use crate::error::PressError;

/// Channels of a pixel as it was drawn: red, green, blue, each times the fourth, how much it
/// covers.
const DRAWN: usize = 4;
/// Channels of a pixel that is written in colour.
const COLOURED: usize = 3;
/// Metres in an inch.
const INCH: f64 = 0.0254;

/// Drawn pixels over white as a PNG file of a resolution in dots per inch.
///
/// # Errors
/// If there are no pixels.
pub fn png(drawn: &[u8], (width, height): (u32, u32), dpi: f64) -> Result<Vec<u8>, PressError> {
    let over_white = || {
        drawn.chunks_exact(DRAWN).map(|pixel| {
            let [red, green, blue, cover] = [pixel[0], pixel[1], pixel[2], pixel[3]];
            [red, green, blue].map(|channel| channel.saturating_add(u8::MAX - cover))
        })
    };
    let is_grey = over_white().all(|[red, green, blue]| red == green && green == blue);
    let (colours, pixels): (ColorType, Vec<u8>) = if is_grey {
        (ColorType::Grayscale, over_white().map(|[grey, ..]| grey).collect())
    } else {
        let mut pixels = Vec::with_capacity(drawn.len() / DRAWN * COLOURED);
        over_white().for_each(|pixel| pixels.extend(pixel));
        (ColorType::Rgb, pixels)
    };
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, width, height);
    encoder.set_color(colours);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    let per_metre = (dpi / INCH).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: Unit::Meter,
    }));
    let written = encoder.write_header().and_then(|mut writer| {
        writer.write_image_data(&pixels)?;
        writer.finish()
    });
    written.map_err(|error| PressError::Picture(error.to_string()))?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::png;

    /// A file read again by the library that wrote it.
    fn read(file: &[u8]) -> (png::ColorType, Vec<u8>, Option<png::PixelDimensions>) {
        let mut reader = png::Decoder::new(std::io::Cursor::new(file)).read_info().expect("a file");
        let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
        let frame = reader.next_frame(&mut pixels).expect("pixels");
        pixels.truncate(frame.buffer_size());
        (frame.color_type, pixels, reader.info().pixel_dims)
    }

    #[test]
    fn ink_on_paper_is_grey_and_has_its_size() {
        // White, black, half covered by black, nothing.
        let drawn = [[255, 255, 255, 255], [0, 0, 0, 255], [0, 0, 0, 128], [0, 0, 0, 0]].concat();
        let (colours, pixels, size) = read(&png(&drawn, (2, 2), 254.0).expect("a file"));
        assert_eq!((colours, pixels), (png::ColorType::Grayscale, vec![255, 0, 127, 255]));
        assert_eq!(size.map(|it| (it.xppu, it.unit)), Some((10_000, png::Unit::Meter)));
    }

    #[test]
    fn colours_stay_colours() {
        let drawn = [[200, 0, 0, 255], [255, 255, 255, 255]].concat();
        let (colours, pixels, _) = read(&png(&drawn, (2, 1), 72.0).expect("a file"));
        assert_eq!((colours, pixels), (png::ColorType::Rgb, vec![200, 0, 0, 255, 255, 255]));
    }

    #[test]
    fn a_picture_without_pixels_is_an_error() {
        assert!(png(&[], (0, 0), 72.0).is_err());
    }
}
