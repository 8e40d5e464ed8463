//! Pictures: a downscaled copy the right way up, without the place where it was taken; the original beside it.

use std::io::Cursor;

use archive::{ArchivedDocument, EventArchive};
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits, imageops::FilterType};
use record::{ContentDigest, VisitId};
use serde::Serialize;

use super::{Workshop, WorkshopError};

/// Longest side of the copy, pixels.
const MAX_COPY_SIDE_PX: u32 = 1_600;

/// Quality of the copy, of 100.
const COPY_QUALITY: u8 = 82;

/// Largest side that is decoded, pixels; a small file can claim to be a huge picture.
const MAX_SIDE_PX: u32 = 12_000;

/// Maximum memory for opening one, bytes.
const MAX_MEMORY_BYTES: u64 = 256 * 1024 * 1024;

/// Names of a kept picture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeptPicture {
    /// The copy.
    pub picture: ContentDigest,
    /// The original.
    pub original: ContentDigest,
}

impl Workshop {
    /// Keeps a picture for a visit: the original as it came, and a copy to show.
    ///
    /// # Errors
    /// [`WorkshopError::Picture`] when it is not one that this program can read, [`WorkshopError::Store`] when the disk
    /// refuses, [`WorkshopError::NoVisit`].
    pub fn put_picture(&mut self, visit: &VisitId, bytes: &[u8]) -> Result<KeptPicture, WorkshopError> {
        self.visit(visit)?;
        let (copy, media) = copy_picture(bytes).map_err(WorkshopError::Picture)?;
        let picture = ArchivedDocument { media: "image/jpeg".into(), bytes: copy };
        let original = ArchivedDocument { media: media.into(), bytes: bytes.to_vec() };
        Ok(KeptPicture {
            picture: self.archive.put_document(&picture)?,
            original: self.archive.put_document(&original)?,
        })
    }
}

/// The copy, written anew from the picture's points alone, so that nothing else of the file comes along.
fn copy_picture(bytes: &[u8]) -> Result<(Vec<u8>, &'static str), String> {
    let (mut image, media) = decode_upright(bytes)?;
    if image.width().max(image.height()) > MAX_COPY_SIDE_PX {
        image = image.resize(MAX_COPY_SIDE_PX, MAX_COPY_SIDE_PX, FilterType::Triangle);
    }
    let mut out = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut out, COPY_QUALITY);
    image.to_rgb8().write_with_encoder(encoder).map_err(|error| unreadable_picture(&error))?;
    Ok((out, media))
}

/// What to do about a picture that cannot be read.
const TAKE_ANOTHER: &str = "take it as JPEG or PNG; most phones offer this in the camera's format settings";

fn unreadable_picture(error: &image::ImageError) -> String {
    format!("the picture cannot be read: {error}; {TAKE_ANOTHER}")
}

/// The points of a picture the right way up, and its media type.
pub(super) fn decode_upright(bytes: &[u8]) -> Result<(DynamicImage, &'static str), String> {
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|error| format!("the picture cannot be read: {error}"))?;
    let media = match reader.format() {
        Some(image::ImageFormat::Jpeg) => "image/jpeg",
        Some(image::ImageFormat::Png) => "image/png",
        _ => return Err(format!("this kind of picture cannot be read; {TAKE_ANOTHER}")),
    };
    let mut limits = Limits::default();
    limits.max_image_width = Some(MAX_SIDE_PX);
    limits.max_image_height = Some(MAX_SIDE_PX);
    limits.max_alloc = Some(MAX_MEMORY_BYTES);
    reader.limits(limits);
    let told = |error: image::ImageError| unreadable_picture(&error);
    let mut decoder = reader.into_decoder().map_err(told)?;
    let turned = decoder.orientation().map_err(told)?;
    let mut image = DynamicImage::from_decoder(decoder).map_err(told)?;
    image.apply_orientation(turned);
    Ok((image, media))
}
