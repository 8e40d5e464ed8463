//! Invented pictures of a card on a flange, drawn by a camera of the tests' own: tilt, turn, bending of the lens, light, blur, noise.
#![expect(dead_code, reason = "each test takes what it wants of the renderer")]

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use scale_card::layout::{
    CARD_CENTRE_MM, CARD_HEIGHT_MM, CARD_WIDTH_MM, CODE_MODULES, CODE_SIDE_MM, CardCode, CardRect, MODULE_MM,
    list_card_rectangles,
};
use units::math;

pub fn uniform(random: &mut Pcg64Mcg, low: f64, high: f64) -> f64 {
    low + (high - low) * random.random::<f64>()
}

pub fn dice(seed: u64) -> Pcg64Mcg {
    Pcg64Mcg::seed_from_u64(seed)
}

/// A camera in the card's frame with z toward the viewer: where it is, its three axes in rows, and its lens.
pub struct TestCamera {
    pub eye: [f64; 3],
    pub axes: [[f64; 3]; 3],
    pub focal_px: f64,
    pub middle_px: (f64, f64),
    pub bending: f64,
    pub half_diagonal_px: f64,
}

fn unit(v: [f64; 3]) -> [f64; 3] {
    let length = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    v.map(|each| each / length)
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

impl TestCamera {
    /// Looks at a point of the card from a distance, leaning by `tilt_deg` toward `toward_deg`, turned about its axis by `roll_deg`.
    pub fn looking_at(
        at: (f64, f64),
        distance: f64,
        (tilt_deg, toward_deg, roll_deg): (f64, f64, f64),
        (width, height): (usize, usize),
        focal_ratio: f64,
    ) -> Self {
        let (tilt, toward) = (math::radians_from_deg(tilt_deg), math::radians_from_deg(toward_deg));
        let back =
            [math::sin(tilt) * math::cos(toward), math::sin(tilt) * math::sin(toward), math::cos(tilt)];
        let eye = [at.0 + distance * back[0], at.1 + distance * back[1], distance * back[2]];
        let ahead = back.map(|each| -each);
        let roll = math::radians_from_deg(roll_deg);
        let hint = [math::cos(roll), math::sin(roll), 0.0];
        let along: f64 = (0..3).map(|k| hint[k] * ahead[k]).sum();
        let right =
            unit([hint[0] - along * ahead[0], hint[1] - along * ahead[1], hint[2] - along * ahead[2]]);
        // The card's y runs downward and z toward the viewer, which makes this frame left-handed: the order of the product is the other way round.
        let down = cross(right, ahead);
        let diagonal = math::hypot(width as f64, height as f64);
        Self {
            eye,
            axes: [right, down, ahead],
            focal_px: focal_ratio * diagonal,
            middle_px: (width as f64 / 2.0, height as f64 / 2.0),
            bending: 0.0,
            half_diagonal_px: diagonal / 2.0,
        }
    }

    fn bend(&self, x: f64, y: f64) -> f64 {
        1.0 + self.bending * (x * x + y * y) / self.half_diagonal_px.powi(2)
    }

    /// Where a point is seen.
    pub fn picture_px(&self, point: [f64; 3]) -> (f64, f64) {
        let way: [f64; 3] = std::array::from_fn(|k| point[k] - self.eye[k]);
        let along = |axis: [f64; 3]| (0..3).map(|k| axis[k] * way[k]).sum::<f64>();
        let depth = along(self.axes[2]);
        let (x, y) =
            (self.focal_px * along(self.axes[0]) / depth, self.focal_px * along(self.axes[1]) / depth);
        let bent = self.bend(x, y);
        (self.middle_px.0 + bent * x, self.middle_px.1 + bent * y)
    }

    /// What point at a height is seen there.
    pub fn point_at(&self, px: (f64, f64), height: f64) -> (f64, f64) {
        let (u, v) = (px.0 - self.middle_px.0, px.1 - self.middle_px.1);
        let (mut x, mut y) = (u, v);
        if self.bending != 0.0 {
            for _ in 0..3 {
                let bent = self.bend(x, y);
                (x, y) = (u / bent, v / bent);
            }
        }
        let ray: [f64; 3] = std::array::from_fn(|k| {
            self.axes[0][k] * x + self.axes[1][k] * y + self.axes[2][k] * self.focal_px
        });
        let way = (height - self.eye[2]) / ray[2];
        (self.eye[0] + way * ray[0], self.eye[1] + way * ray[1])
    }
}

/// A round head: its middle, radius, height and shade.
#[derive(Clone, Copy)]
pub struct TestHead {
    pub at: (f64, f64),
    pub radius: f64,
    pub height: f64,
    pub shade: f64,
}

/// How a picture is spoiled.
#[derive(Clone, Copy)]
pub struct TestSpoil {
    pub blur_px: f64,
    pub noise_shades: f64,
    /// Shade lost from one side of the picture to the other, as a share.
    pub shadow: f64,
}

/// A drawn picture.
pub struct TestPicture {
    pub shades: Vec<u8>,
    pub width: usize,
    pub height: usize,
}

/// What is drawn of the card: the modules of its codes and the ticks.
pub struct TestCard {
    codes: Vec<((f64, f64), Vec<bool>)>,
    ticks: Vec<CardRect>,
    /// How high the middle of the sheet stands off the plane, mm: it is bent over its width.
    curl: f64,
}

impl TestCard {
    pub fn whole() -> Self {
        Self::with_codes(&CardCode::BOTH)
    }

    pub fn with_codes(codes: &[CardCode]) -> Self {
        let ticks = list_card_rectangles().into_iter().filter(|rect| rect.width_mm < 1.0).collect();
        Self {
            codes: codes.iter().map(|code| (code.origin_mm(), code.dark_modules())).collect(),
            ticks,
            curl: 0.0,
        }
    }

    /// The same with its right code moved, as on a sheet that was folded.
    pub fn folded(by: (f64, f64)) -> Self {
        let mut card = Self::whole();
        card.codes[1].0 = (card.codes[1].0.0 + by.0, card.codes[1].0.1 + by.1);
        card
    }

    /// The same on a sheet whose middle stands off the plane.
    pub fn curled(curl: f64) -> Self {
        Self { curl, ..Self::whole() }
    }

    /// What point of the sheet is seen there.
    fn point_seen(&self, camera: &TestCamera, px: (f64, f64)) -> (f64, f64) {
        let (mut x, mut y) = camera.point_at(px, 0.0);
        if self.curl != 0.0 {
            for _ in 0..3 {
                let off = ((x - CARD_CENTRE_MM.0) / (CARD_WIDTH_MM / 2.0)).powi(2).min(1.0);
                (x, y) = camera.point_at(px, self.curl * (1.0 - off));
            }
        }
        (x, y)
    }

    fn shade(&self, x: f64, y: f64) -> Option<f64> {
        if !(0.0..CARD_WIDTH_MM).contains(&x) || !(0.0..CARD_HEIGHT_MM).contains(&y) {
            return None;
        }
        for ((left, top), modules) in &self.codes {
            let (column, row) = (x - left, y - top);
            if (0.0..CODE_SIDE_MM).contains(&column) && (0.0..CODE_SIDE_MM).contains(&row) {
                let at = (row / MODULE_MM) as usize * CODE_MODULES + (column / MODULE_MM) as usize;
                return Some(if modules[at.min(modules.len() - 1)] { 35.0 } else { 215.0 });
            }
        }
        let is_tick = y > CARD_HEIGHT_MM - 12.5
            && self.ticks.iter().any(|t| (t.left_mm..t.left_mm + t.width_mm).contains(&x) && y >= t.top_mm);
        Some(if is_tick { 35.0 } else { 215.0 })
    }
}

/// Metal with blotches: shades that change every few millimetres.
fn metal_shade(x: f64, y: f64) -> f64 {
    let corner = |i: i64, j: i64| {
        let mixed = (i.wrapping_mul(73_856_093) ^ j.wrapping_mul(19_349_663)) as u64;
        (mixed.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40) as f64 / f64::from(1 << 24)
    };
    let (u, v) = (x / 5.0, y / 5.0);
    let (i, j) = (u.floor() as i64, v.floor() as i64);
    let (s, t) = (u - u.floor(), v - v.floor());
    let upper = corner(i, j) * (1.0 - s) + corner(i + 1, j) * s;
    let lower = corner(i, j + 1) * (1.0 - s) + corner(i + 1, j + 1) * s;
    85.0 + 70.0 * (upper * (1.0 - t) + lower * t)
}

/// Draws a card, heads and metal as the camera sees them.
pub fn draw_picture(
    camera: &TestCamera,
    (width, height): (usize, usize),
    card: &TestCard,
    heads: &[TestHead],
    spoil: TestSpoil,
    random: &mut Pcg64Mcg,
) -> TestPicture {
    let mut fine = vec![0.0_f32; width * height];
    let quarters = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)];
    for row in 0..height {
        let light = 1.0 - spoil.shadow * row as f64 / height as f64;
        for column in 0..width {
            let mut sum = 0.0;
            for (right, down) in quarters {
                let (x, y) = card.point_seen(camera, (column as f64 + right, row as f64 + down));
                sum += card.shade(x, y).unwrap_or_else(|| metal_shade(x, y));
            }
            fine[row * width + column] = (light * sum / 4.0) as f32;
        }
    }
    for head in heads {
        draw_head(camera, (width, height), head, &mut fine);
    }
    blur_rows(&mut fine, width, spoil.blur_px);
    let mut turned = turn_over(&fine, width, height);
    blur_rows(&mut turned, height, spoil.blur_px);
    let fine = turn_over(&turned, height, width);
    let shades = fine
        .iter()
        .map(|shade| {
            // Four uniform numbers are near enough to a normal one.
            let noise: f64 = (0..4).map(|_| random.random::<f64>() - 0.5).sum::<f64>() * 3_f64.sqrt();
            (f64::from(*shade) + spoil.noise_shades * noise).round().clamp(0.0, 255.0) as u8
        })
        .collect();
    TestPicture { shades, width, height }
}

fn draw_head(camera: &TestCamera, (width, height): (usize, usize), head: &TestHead, fine: &mut [f32]) {
    let middle = camera.picture_px([head.at.0, head.at.1, head.height]);
    let edge = camera.picture_px([head.at.0 + head.radius, head.at.1, head.height]);
    let reach = 2.0 * math::hypot(edge.0 - middle.0, edge.1 - middle.1);
    let span = |at: f64, end: usize| {
        let (low, high) = ((at - reach).max(0.0) as usize, (at + reach).max(0.0) as usize);
        low.min(end)..high.min(end)
    };
    for row in span(middle.1, height) {
        for column in span(middle.0, width) {
            let (x, y) = camera.point_at((column as f64 + 0.5, row as f64 + 0.5), head.height);
            let off = math::hypot(x - head.at.0, y - head.at.1) / head.radius;
            if off < 1.0 {
                fine[row * width + column] = if off > 0.85 { 30.0 } else { head.shade as f32 };
            }
        }
    }
}

fn blur_rows(fine: &mut [f32], width: usize, blur_px: f64) {
    let reach = (3.0 * blur_px).ceil() as usize;
    if reach == 0 {
        return;
    }
    let weight = |k: usize| math::exp(-0.5 * (k as f64 / blur_px).powi(2)) as f32;
    let weights: Vec<f32> = (0..=reach).map(weight).collect();
    let total: f32 = weights[0] + 2.0 * weights[1..].iter().sum::<f32>();
    let mut padded = vec![0.0_f32; width + 2 * reach];
    for row in fine.chunks_mut(width) {
        for (at, each) in padded.iter_mut().enumerate() {
            *each = row[at.saturating_sub(reach).min(width - 1)];
        }
        for (at, each) in row.iter_mut().enumerate() {
            let centre = at + reach;
            let sides: f32 =
                (1..=reach).map(|k| weights[k] * (padded[centre - k] + padded[centre + k])).sum();
            *each = (weights[0] * padded[centre] + sides) / total;
        }
    }
}

fn turn_over(fine: &[f32], width: usize, height: usize) -> Vec<f32> {
    let mut turned = vec![0.0; fine.len()];
    for row in 0..height {
        for column in 0..width {
            turned[column * height + row] = fine[row * width + column];
        }
    }
    turned
}

/// Size of the invented pictures, px.
pub const SIZE: (usize, usize) = (1600, 1200);

/// A camera above the card as a hand holds it: the sheet fills what it may, tilt to 15° in any direction.
pub fn hand_held(random: &mut Pcg64Mcg) -> TestCamera {
    let at =
        (CARD_CENTRE_MM.0 + uniform(random, -15.0, 15.0), CARD_CENTRE_MM.1 + uniform(random, -15.0, 15.0));
    let focal_ratio = uniform(random, 0.53, 0.65);
    // 300 mm across the shorter side, give or take.
    let distance = uniform(random, 290.0, 360.0) * focal_ratio * 2000.0 / SIZE.1 as f64;
    let lean = (uniform(random, 0.0, 15.0), uniform(random, 0.0, 360.0), uniform(random, 0.0, 360.0));
    let mut camera = TestCamera::looking_at(at, distance, lean, SIZE, focal_ratio);
    camera.middle_px.0 += uniform(random, -16.0, 16.0);
    camera.middle_px.1 += uniform(random, -16.0, 16.0);
    camera.bending = uniform(random, -0.004, 0.004);
    camera
}
