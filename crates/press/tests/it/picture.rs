//! Pictures of pages, read back.

use apoyando_press::Pages;

/// By how many levels of grey two PNG differ where they differ most; `None` if
/// they are not of one size.
pub fn greatest_difference(one: &[u8], other: &[u8]) -> Option<u8> {
    let (one, other) = (Picture::read(one), Picture::read(other));
    let pairs = one.grey.iter().zip(&other.grey);
    ((one.width, one.height) == (other.width, other.height))
        .then(|| pairs.map(|(a, b)| a.abs_diff(*b)).max().unwrap_or(0))
}

/// A page in grey.
pub struct Picture {
    pub width: usize,
    pub height: usize,
    grey: Vec<u8>,
}

impl Picture {
    /// The page at so many pixels to the millimetre.
    pub fn of(pages: &Pages, page: usize, pixels: f64) -> Self {
        Self::read(&pages.png(page, 25.4 * pixels).unwrap())
    }

    fn read(png: &[u8]) -> Self {
        let mut reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
        let mut grey = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut grey).unwrap();
        // What is printed is black on white.
        assert_eq!(info.color_type, png::ColorType::Grayscale);
        let (width, height) = (info.width as usize, info.height as usize);
        Self { width, height, grey }
    }

    pub fn black(&self, x: usize, y: usize) -> bool {
        self.grey[y * self.width + x] < 128
    }

    /// Left, top, right and bottom of the ink in this part of the page, ends
    /// not included.
    pub fn ink(&self, top: usize, bottom: usize) -> Option<(usize, usize, usize, usize)> {
        let mut found: Option<(usize, usize, usize, usize)> = None;
        for y in top..bottom.min(self.height) {
            for x in 0..self.width {
                if self.black(x, y) {
                    let (l, t, r, b) = found.unwrap_or((x, y, x, y));
                    found = Some((l.min(x), t, r.max(x + 1), b.max(y + 1)));
                }
            }
        }
        found
    }

    /// Rows that are black over more than half of the page, as ranges.
    pub fn long_lines(&self) -> Vec<(usize, usize)> {
        let mut lines: Vec<(usize, usize)> = Vec::new();
        for y in 0..self.height {
            let black = (0..self.width).filter(|&x| self.black(x, y)).count();
            if 2 * black > self.width {
                match lines.last_mut() {
                    Some((_, end)) if *end == y => *end = y + 1,
                    _ => lines.push((y, y + 1)),
                }
            }
        }
        lines
    }
}
