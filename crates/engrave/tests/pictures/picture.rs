//! Grey pictures of drawings, and whether a reader sees two of them differ.

use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::path::Path;

use apoyando_engrave::{Drawing, StaffSpaces, svg};
use resvg::{tiny_skia, usvg};

/// Pixels of a staff space: on a staff of 7.2 mm a pixel is .22 mm.
const PIXELS: f64 = 8.0;
/// How often a picture is blurred by one pixel to each side. Twice is a spread of 1.15
/// pixels, .26 mm: what an eye that resolves a minute of arc makes of .12 mm at 40 cm, and
/// about as much for the print.
const BLURS: usize = 2;
/// By how much of the 255 greys a blurred pixel may differ unseen: an eighth. The edge of a
/// staff line moved by a tenth of a space, .18 mm, changes by twice as much; one moved by
/// less than a fortieth, .05 mm, by less.
const SEEN: u8 = 32;

/// Luminance of pixels, row by row; 255 is white.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Picture {
    pub width: usize,
    pub height: usize,
    pub greys: Vec<u8>,
}

impl Picture {
    /// A white picture.
    pub fn white(width: usize, height: usize) -> Self {
        Self { width, height, greys: vec![255; width * height] }
    }

    /// Lines of music under one another. What is above and below a line is rounded to
    /// whole spaces, so that ink in the margin does not move everything by less.
    pub fn of(lines: &[Drawing]) -> Self {
        let mut out = Self::default();
        for line in lines {
            let whole = |reach: StaffSpaces| StaffSpaces(reach.0.ceil() + 1.0);
            let line =
                Drawing { above: whole(line.above), below: whole(line.below), ..line.clone() };
            out = out.over(&Self::of_line(&line));
        }
        out
    }

    fn of_line(line: &Drawing) -> Self {
        let tree = usvg::Tree::from_str(&svg(line), &usvg::Options::default()).expect("good SVG");
        let pixels = |length: f64| (length * PIXELS).ceil() as u32;
        let (width, height) = (pixels(line.width.0), pixels(line.height().0));
        let mut map = tiny_skia::Pixmap::new(width, height).expect("a size");
        map.fill(tiny_skia::Color::WHITE);
        let scale = (line.width.0 * PIXELS) as f32 / tree.size().width();
        let scaled = tiny_skia::Transform::from_scale(scale, scale);
        resvg::render(&tree, scaled, &mut map.as_mut());
        // All ink is black.
        let greys = map.pixels().iter().map(|pixel| pixel.red()).collect();
        Self { width: width as usize, height: height as usize, greys }
    }

    fn over(&self, below: &Self) -> Self {
        let mut out = Self::white(self.width.max(below.width), self.height + below.height);
        out.put(self, 0, 0);
        out.put(below, 0, self.height);
        out
    }

    /// Lays another picture on it.
    pub fn put(&mut self, other: &Self, x: usize, y: usize) {
        for row in 0..other.height {
            let from = &other.greys[row * other.width..][..other.width];
            self.greys[(y + row) * self.width + x..][..other.width].copy_from_slice(from);
        }
    }

    /// By how much two differ blurred, pixel by pixel; what only one of them has is white
    /// in the other.
    pub fn difference(&self, other: &Self) -> Self {
        let (width, height) = (self.width.max(other.width), self.height.max(other.height));
        let [one, other] = [self, other].map(|picture| {
            let mut whole = Self::white(width, height);
            whole.put(picture, 0, 0);
            (0..BLURS).fold(whole, |picture, _| picture.blurred())
        });
        let greys = one.greys.iter().zip(&other.greys).map(|(a, b)| a.abs_diff(*b)).collect();
        Self { width, height, greys }
    }

    /// Whether a reader sees a difference.
    pub fn differs(&self, other: &Self) -> bool {
        self.difference(other).greys.iter().any(|by| *by > SEEN)
    }

    /// The mean of every pixel with its eight neighbours.
    fn blurred(&self) -> Self {
        let rows = self.mean_of_three(1, |at| at % self.width, self.width);
        rows.mean_of_three(self.width, |at| at / self.width, self.height)
    }

    fn mean_of_three(&self, step: usize, place: impl Fn(usize) -> usize, places: usize) -> Self {
        let grey = |at: usize| u16::from(self.greys[at]);
        let mean = |at: usize| {
            let before = if place(at) > 0 { grey(at - step) } else { 255 };
            let after = if place(at) + 1 < places { grey(at + step) } else { 255 };
            ((before + grey(at) + after) / 3) as u8
        };
        Self { greys: (0..self.greys.len()).map(mean).collect(), ..self.clone() }
    }

    /// `None` where there is no such file.
    pub fn read(path: &Path) -> Option<Self> {
        let file = File::open(path).ok()?;
        let mut reader = png::Decoder::new(BufReader::new(file)).read_info().expect("a picture");
        let mut greys = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut greys).expect("a picture");
        assert_eq!(
            (info.color_type, info.bit_depth),
            (png::ColorType::Grayscale, png::BitDepth::Eight)
        );
        let (width, height) = (info.width as usize, info.height as usize);
        greys.truncate(width * height);
        Some(Self { width, height, greys })
    }

    pub fn write(&self, path: &Path) {
        let file = File::create(path).expect("a file can be written");
        let mut encoder =
            png::Encoder::new(BufWriter::new(file), self.width as u32, self.height as u32);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::High);
        let mut writer = encoder.write_header().expect("a picture");
        writer.write_image_data(&self.greys).expect("a picture");
    }
}
