//! Pages as PDF: the same pages give the same bytes, letters are embedded, nothing is written that a page does not hold.

use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Size, Transform};
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

use crate::paper::PaperError;
use crate::paper::font::{FACES, Glyph, LetterFaces};
use crate::paper::ink::{INK, InkColour, InkItem, InkNib, InkSegment, PageInks, outline_extent};
use crate::paper::tags::PageTags;

/// Points in a millimetre: 72 to the inch.
const PT_PER_MM_RATIO: f64 = 72.0 / 25.4;

/// Where a heading of the outline leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfBookmark {
    /// Words.
    pub title: String,
    /// Page, from 0.
    pub page: usize,
}

/// Writes pages of one size.
pub fn write_pages(
    letters: &LetterFaces,
    (title, language): (&str, &str),
    size_mm: (f64, f64),
    pages: &[PageInks],
    marks: &[PdfBookmark],
) -> Result<Vec<u8>, PaperError> {
    let fonts = load_fonts()?;
    let settings = SerializeSettings { enable_tagging: true, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let mut tags = PageTags::new(language);
    for page in pages {
        let settings = PageSettings::from_wh(pt(size_mm.0), pt(size_mm.1))
            .ok_or_else(|| PaperError::Pdf { words: "a page has no size".into() })?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        let mut pen = PdfPen { surface: &mut surface, letters, fonts: &fonts };
        for item in &page.0 {
            let is_alone = tags.begin_item(pen.surface, item);
            pen.draw_item(item)?;
            if is_alone {
                PageTags::end_item(pen.surface);
            }
        }
        tags.end_page(pen.surface);
        surface.finish();
        sheet.finish();
    }
    let mut outline = Outline::new();
    for mark in marks {
        let to = XyzDestination::new(mark.page, Point::from_xy(0.0, 0.0));
        outline.push_child(OutlineNode::new(mark.title.clone(), to));
    }
    document.set_outline(outline);
    document.set_tag_tree(tags.into_tree());
    document.set_metadata(Metadata::new().title(title.into()).language(language.into()));
    document.finish().map_err(|error| PaperError::Pdf { words: format!("{error:?}") })
}

fn load_fonts() -> Result<Vec<Font>, PaperError> {
    let fonts: Option<Vec<Font>> = FACES.iter().map(|bytes| Font::new((*bytes).into(), 0)).collect();
    fonts.ok_or_else(|| PaperError::Pdf { words: "a typeface is damaged; reinstall the program".into() })
}

/// A length in points.
fn pt(length_mm: f64) -> f32 {
    (length_mm * PT_PER_MM_RATIO) as f32
}

struct PdfPen<'a, 's> {
    surface: &'a mut Surface<'s>,
    letters: &'a LetterFaces,
    fonts: &'a [Font],
}

impl PdfPen<'_, '_> {
    fn draw_item(&mut self, op: &InkItem) -> Result<(), PaperError> {
        match op {
            InkItem::Text { at_mm, shift_mm, turn_deg, size_mm, bold, colour, text } => {
                let glyphs = self.letters.glyphs(text, *bold);
                let (sin, cos) = (units::math::sin_deg(-turn_deg), units::math::cos_deg(-turn_deg));
                let (s, c) = (sin as f32, cos as f32);
                self.surface.push_transform(&Transform::from_row(c, s, -s, c, pt(at_mm.0), pt(at_mm.1)));
                self.set_paint(Some(*colour), None);
                self.draw_glyph_runs(&glyphs, *shift_mm, *size_mm);
                self.surface.pop();
            }
            InkItem::Path { segs, fill, nib } => {
                if let Some(path) = path_of_segments(segs) {
                    self.set_paint(*fill, nib.as_ref());
                    self.surface.draw_path(&path);
                }
            }
            InkItem::Hatch { segs, gap_mm } => self.draw_hatch(segs, *gap_mm),
            InkItem::Photo { jpeg, at_mm, size_mm } => {
                let image =
                    Image::from_jpeg(jpeg.clone().into(), true).map_err(|words| PaperError::Pdf { words })?;
                let size = Size::from_wh(pt(size_mm.0), pt(size_mm.1));
                let size = size.ok_or_else(|| PaperError::Pdf { words: "a picture has no size".into() })?;
                self.surface.push_transform(&Transform::from_translate(pt(at_mm.0), pt(at_mm.1)));
                self.surface.draw_image(image, size);
                self.surface.pop();
            }
            InkItem::Within(x, y, w, h) => {
                let corners =
                    [InkSegment::Move(*x, *y), InkSegment::Line(x + w, *y), InkSegment::Line(x + w, y + h)];
                let segs: Vec<InkSegment> =
                    corners.into_iter().chain([InkSegment::Line(*x, y + h), InkSegment::Close]).collect();
                let outline = path_of_segments(&segs)
                    .ok_or_else(|| PaperError::Pdf { words: "a drawing area is empty".into() })?;
                self.surface.push_clip_path(&outline, &FillRule::NonZero);
            }
            InkItem::Free => self.surface.pop(),
            InkItem::Role(_) | InkItem::RoleEnd => {}
        }
        Ok(())
    }

    /// Draws letters, one stretch for each face.
    fn draw_glyph_runs(&mut self, glyphs: &[Glyph], shift_mm: f64, size_mm: f64) {
        let mut x_mm = shift_mm;
        for run in glyphs.chunk_by(|a, b| a.face == b.face) {
            let Some(font) = run.first().and_then(|g| self.fonts.get(g.face)) else { continue };
            let mut text = String::new();
            let mut drawn = Vec::with_capacity(run.len());
            for glyph in run {
                let start = text.len();
                text.push(glyph.letter);
                let (id, advance) = (GlyphId::new(glyph.id), glyph.advance_ratio as f32);
                drawn.push(KrillaGlyph::new(id, advance, 0.0, 0.0, 0.0, start..text.len(), None));
            }
            let at = Point::from_xy(pt(x_mm), 0.0);
            self.surface.draw_glyphs(at, &drawn, font.clone(), &text, pt(size_mm), false);
            x_mm += run.iter().map(|g| g.advance_ratio).sum::<f64>() * size_mm;
        }
    }

    /// Lines at 45° within an outline.
    fn draw_hatch(&mut self, segs: &[InkSegment], gap_mm: f64) {
        let (Some(outline), Some((l, t, r, b))) = (path_of_segments(segs), outline_extent(segs)) else {
            return;
        };
        let step_mm = gap_mm.max(0.4) * core::f64::consts::SQRT_2;
        let mut lines = Vec::new();
        // Counted from the sheet's corner, so that the lines of fields side by side run on.
        let first = ((l + t) / step_mm).floor() as i64;
        let last = ((r + b) / step_mm).ceil() as i64;
        for k in first..=last.min(first + 4000) {
            let sum_mm = k as f64 * step_mm;
            lines.extend([InkSegment::Move(sum_mm - t, t), InkSegment::Line(sum_mm - b, b)]);
        }
        let Some(lines) = path_of_segments(&lines) else { return };
        self.surface.push_clip_path(&outline, &FillRule::NonZero);
        self.set_paint(None, Some(&InkNib { width_mm: 0.1, colour: (110, 110, 110), dash_mm: Vec::new() }));
        self.surface.draw_path(&lines);
        self.surface.pop();
    }

    fn set_paint(&mut self, fill: Option<InkColour>, nib: Option<&InkNib>) {
        // Without fill and line the surface fills in black, so one of them is always set.
        let fill = if fill.is_none() && nib.is_none() { Some(INK) } else { fill };
        self.surface.set_fill(fill.map(|c| Fill {
            paint: rgb_colour(c).into(),
            opacity: NormalizedF32::ONE,
            rule: FillRule::NonZero,
        }));
        self.surface.set_stroke(nib.map(|nib| {
            Stroke {
                paint: rgb_colour(nib.colour).into(),
                width: pt(nib.width_mm),
                dash: (!nib.dash_mm.is_empty())
                    .then(|| StrokeDash { array: nib.dash_mm.iter().map(|d| pt(*d)).collect(), offset: 0.0 }),
                ..Stroke::default()
            }
        }));
    }
}

fn rgb_colour((r, g, b): InkColour) -> rgb::Color {
    rgb::Color::new(r, g, b)
}

fn path_of_segments(segs: &[InkSegment]) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for seg in segs {
        match *seg {
            InkSegment::Move(x, y) => builder.move_to(pt(x), pt(y)),
            InkSegment::Line(x, y) => builder.line_to(pt(x), pt(y)),
            InkSegment::Curve([a, b, c, d, x, y]) => {
                builder.cubic_to(pt(a), pt(b), pt(c), pt(d), pt(x), pt(y))
            }
            InkSegment::Close => builder.close(),
        }
    }
    builder.finish()
}

/// Width and height of a photograph, in its own dots.
pub fn photo_size(jpeg: &[u8], caption: &str) -> Result<(f64, f64), PaperError> {
    let image = Image::from_jpeg(jpeg.to_vec().into(), true)
        .map_err(|_| PaperError::Photo { caption: caption.into() })?;
    let (w, h) = image.size();
    Ok((f64::from(w.max(1)), f64::from(h.max(1))))
}
