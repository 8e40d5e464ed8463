//! Pictures by the name of their content, without what a camera writes beside the picture: where it was taken, when, by which device.
//!
//! The original lies in the journal as it came; what is given out to devices is its points alone. A JPEG is a row of segments up to the
//! picture's own data (ISO/IEC 10918-1, annex B); a PNG a row of chunks (ISO/IEC 15948, 5.3).

use app::record::ContentDigest;
use app::workshop::EventArchive;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::PageFailure;
use crate::bench_state::SharedBench;

/// A picture; nothing else that the archive holds is given out here.
pub(crate) async fn serve_picture(
    State(bench): State<SharedBench>,
    Path(name): Path<String>,
) -> Result<Response, PageFailure> {
    let name = ContentDigest::new(&name).ok_or(PageFailure::NotFound)?;
    let found = bench.with_workshop(move |workshop| workshop.archive().find_document(&name)).await?;
    let document = found.filter(|d| d.media.starts_with("image/")).ok_or(PageFailure::NotFound)?;
    let kept = "private, max-age=31536000, immutable";
    let bytes = points_alone(document.bytes);
    Ok(([(header::CONTENT_TYPE, document.media), (header::CACHE_CONTROL, kept.into())], bytes)
        .into_response())
}

/// The picture without what is written beside it; empty where it is no picture that can be read so far.
fn points_alone(bytes: Vec<u8>) -> Vec<u8> {
    if bytes.starts_with(&PNG_BEGINS) {
        png_points(&bytes)
    } else if bytes.starts_with(&[0xff, JPEG_BEGINS]) {
        jpeg_points(&bytes)
    } else {
        Vec::new()
    }
}

const JPEG_BEGINS: u8 = 0xd8;
const JPEG_DATA_BEGIN: u8 = 0xda;

/// Segments of a JPEG that programs fill with words of their own: all of them but those that say how colours are meant.
const fn is_beside_jpeg(marker: u8) -> bool {
    matches!(marker, 0xe1 | 0xe3..=0xed | 0xef | 0xfe)
}

fn jpeg_points(bytes: &[u8]) -> Vec<u8> {
    let mut out = bytes[..2].to_vec();
    let mut rest = &bytes[2..];
    loop {
        let [0xff, marker, high, low, ..] = *rest else { return out };
        if marker == JPEG_DATA_BEGIN {
            out.extend_from_slice(rest);
            return out;
        }
        let length = 2 + usize::from(u16::from_be_bytes([high, low]));
        let Some((segment, after)) = rest.split_at_checked(length) else { return out };
        if !is_beside_jpeg(marker) {
            out.extend_from_slice(segment);
        }
        rest = after;
    }
}

const PNG_BEGINS: [u8; 8] = [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a];

/// Chunks of a PNG without which it is another picture, or has other colours.
const PNG_POINTS: [&[u8; 4]; 12] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"pHYs",
    b"cICP",
];

fn png_points(bytes: &[u8]) -> Vec<u8> {
    let mut out = PNG_BEGINS.to_vec();
    let mut rest = &bytes[PNG_BEGINS.len()..];
    while let Some((head, _)) = rest.split_first_chunk::<8>() {
        let [a, b, c, d, name @ ..] = *head;
        // Length, name and checksum stand round what a chunk holds.
        let length =
            usize::try_from(u32::from_be_bytes([a, b, c, d])).unwrap_or(usize::MAX).saturating_add(12);
        let Some((chunk, after)) = rest.split_at_checked(length) else { return out };
        if PNG_POINTS.contains(&&name) {
            out.extend_from_slice(chunk);
        }
        rest = after;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(marker: u8, holds: &[u8]) -> Vec<u8> {
        let length = u16::try_from(holds.len() + 2).expect("short").to_be_bytes();
        [&[0xff, marker], length.as_slice(), holds].concat()
    }

    #[test]
    fn a_jpeg_is_given_out_without_the_place_where_it_was_taken() {
        let (table, data) = (segment(0xdb, b"table"), b"\xff\xda\x00\x04ab-points-\xff\xd9".to_vec());
        let colours = segment(0xe2, b"ICC_PROFILE");
        let taken = [
            vec![0xff, 0xd8],
            segment(0xe0, b"JFIF"),
            segment(0xe1, b"Exif\0\0 48.1 N 11.5 E"),
            colours.clone(),
            segment(0xfe, b"of N. N."),
            table.clone(),
            data.clone(),
        ];
        let given = points_alone(taken.concat());
        assert_eq!(given, [vec![0xff, 0xd8], segment(0xe0, b"JFIF"), colours, table, data].concat());
    }

    #[test]
    fn a_png_is_given_out_without_its_words() {
        let chunk = |name: &[u8; 4], holds: &[u8]| {
            let length = u32::try_from(holds.len()).expect("short").to_be_bytes();
            [length.as_slice(), name, holds, b"crc!"].concat()
        };
        let (head, end) = (chunk(b"IHDR", b"size"), chunk(b"IEND", b""));
        let taken = [
            PNG_BEGINS.to_vec(),
            head.clone(),
            chunk(b"eXIf", b"48.1 N"),
            chunk(b"tEXt", b"N. N."),
            end.clone(),
        ]
        .concat();
        assert_eq!(points_alone(taken), [PNG_BEGINS.to_vec(), head, end].concat());
    }

    #[test]
    fn what_is_cut_off_or_no_picture_gives_nothing_that_was_not_looked_at() {
        for torn in
            [&b"\xff\xd8\xff\xe1\xff\xffExif"[..], b"\xff\xd8", b"\xff\xd8\xff", b"GIF89a", b"", &PNG_BEGINS]
        {
            let given = points_alone(torn.to_vec());
            assert!(given.len() <= 8 && !given.windows(4).any(|part| part == b"Exif"), "{torn:?}");
        }
    }
}
