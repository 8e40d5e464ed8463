//! A picture as shades of grey, checked once so that nothing later reads outside of it.

use crate::answers::CardFault;

/// Largest side of a picture, px; more is refused rather than waited for.
pub const MAX_SIDE_PX: usize = 12_000;
/// Smallest side in which a card could be read, px.
pub const MIN_SIDE_PX: usize = 120;

/// Shades of grey row by row, 0 black to 255 white. Pixel (0, 0) covers the square from (0, 0) to (1, 1).
#[derive(Debug, Clone, Copy)]
pub struct GreyPicture<'a> {
    shades: &'a [u8],
    width: usize,
    height: usize,
}

impl<'a> GreyPicture<'a> {
    /// Takes the shades of a picture.
    ///
    /// # Errors
    /// When a side is too small or too large, or the number of shades is not width times height.
    pub fn from_shades(shades: &'a [u8], width: usize, height: usize) -> Result<Self, CardFault> {
        let sides = MIN_SIDE_PX..=MAX_SIDE_PX;
        if !sides.contains(&width) || !sides.contains(&height) || shades.len() != width.saturating_mul(height)
        {
            return Err(CardFault::PictureUnusable { width, height, shades: shades.len() });
        }
        Ok(Self { shades, width, height })
    }

    /// Width, px.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Height, px.
    #[must_use]
    pub const fn height(&self) -> usize {
        self.height
    }

    /// Length of the diagonal, px.
    #[must_use]
    pub fn diagonal_px(&self) -> f64 {
        units::math::hypot(self.width as f64, self.height as f64)
    }

    /// The middle, px.
    #[must_use]
    pub fn centre_px(&self) -> (f64, f64) {
        (self.width as f64 / 2.0, self.height as f64 / 2.0)
    }

    /// Whether a point lies within; never for what is no number.
    #[must_use]
    pub fn holds(&self, at_px: (f64, f64)) -> bool {
        (0.0..=self.width as f64).contains(&at_px.0) && (0.0..=self.height as f64).contains(&at_px.1)
    }

    /// The shade at a place between four pixels, by bilinear interpolation; `None` outside.
    #[must_use]
    pub fn shade_at(&self, at_px: (f64, f64)) -> Option<f64> {
        let (x_px, y_px) = (at_px.0 - 0.5, at_px.1 - 0.5);
        let inside =
            x_px >= 0.0 && y_px >= 0.0 && x_px < (self.width - 1) as f64 && y_px < (self.height - 1) as f64;
        if !inside {
            return None;
        }
        let (column, row) = (x_px as usize, y_px as usize);
        let (right_share, down_share) = (x_px - column as f64, y_px - row as f64);
        let shade = |column: usize, row: usize| f64::from(self.shades[row * self.width + column]);
        let upper = shade(column, row) * (1.0 - right_share) + shade(column + 1, row) * right_share;
        let lower = shade(column, row + 1) * (1.0 - right_share) + shade(column + 1, row + 1) * right_share;
        Some(upper * (1.0 - down_share) + lower * down_share)
    }

    /// The picture shrunk by a whole factor, each pixel the mean of a square: shades, width, height.
    #[must_use]
    pub fn shrink_by(&self, factor: usize) -> (Vec<u8>, usize, usize) {
        let factor = factor.max(1);
        let (width, height) = (self.width / factor, self.height / factor);
        let mut small = Vec::with_capacity(width * height);
        for row in 0..height {
            for column in 0..width {
                let rows = (row * factor)..((row + 1) * factor);
                let sum: usize = rows
                    .map(|y| {
                        let from = y * self.width + column * factor;
                        self.shades[from..from + factor]
                            .iter()
                            .map(|shade| usize::from(*shade))
                            .sum::<usize>()
                    })
                    .sum();
                small.push((sum / (factor * factor)) as u8);
            }
        }
        (small, width, height)
    }
}
