//! A photo as it is kept: upright, no larger than it need be, and with nothing in it but the picture.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, imageops::FilterType};

use crate::error::AppError;

/// Most bytes that are looked at.
pub const LARGEST_UPLOAD: usize = 24 << 20;
/// Longest side that is kept, in pixels.
pub const LONG_SIDE: u32 = 1600;
/// Most bytes that are kept.
pub const LARGEST_KEPT: usize = 400_000;

/// A file of a few kilobytes can claim to be larger than any memory; no camera in a telephone makes more than this.
const LONGEST_SIDE: u32 = 20_000;
const MOST_PIXELS: u64 = 60_000_000;
/// For the picture while it is read: four bytes a pixel, whatever its depth.
const MOST_MEMORY: u64 = 4 * MOST_PIXELS;

/// Tried in turn until the picture is small enough.
const QUALITIES: [u8; 5] = [85, 75, 65, 50, 35];

/// A photo ready to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// JPEG without any segment but those of the picture itself.
    pub jpeg: Vec<u8>,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// Reads a JPEG or PNG file, turns it upright as its camera noted, shrinks it to [`LONG_SIDE`] and writes it anew as a JPEG of at
/// most [`LARGEST_KEPT`] bytes. Place, time and camera, which a telephone writes into every photo, are left behind.
///
/// # Errors
/// [`AppError::Input`] when it is no such file, too large, cut short or damaged: what, and what to do.
pub fn picture(file: &[u8]) -> Result<Picture, AppError> {
    let format = format_of(file)?;
    let mut reader = ImageReader::with_format(Cursor::new(file), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|why| damaged(&why))?;
    let (width, height) = decoder.dimensions();
    if width.max(height) > LONGEST_SIDE || u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(wrong(
            format!("the photo is {width} × {height} pixels; up to {LONGEST_SIDE} a side and 60 megapixels are read"),
            "Take it with the camera's usual setting.",
        ));
    }
    // Judged by its header: what it says of itself is more than it may take.
    if decoder.total_bytes() > MOST_MEMORY {
        return Err(wrong(
            format!(
                "the photo would take {} MB while it is read; up to {} MB are given",
                decoder.total_bytes() >> 20,
                MOST_MEMORY >> 20
            ),
            "Take it with the camera's usual setting.",
        ));
    }
    let orientation = decoder.orientation().map_err(|why| damaged(&why))?;
    let mut image = DynamicImage::from_decoder(decoder).map_err(|why| damaged(&why))?;
    if image.width().max(image.height()) > LONG_SIDE {
        image = image.thumbnail(LONG_SIDE, LONG_SIDE);
    }
    image.apply_orientation(orientation);
    small_enough(image)
}

fn format_of(file: &[u8]) -> Result<ImageFormat, AppError> {
    const CURE: &str = "Send a JPEG or a PNG file; the camera's usual setting makes JPEG.";
    if file.is_empty() {
        return Err(wrong("no photo was chosen".to_owned(), "Take or choose a photo first."));
    }
    if file.len() > LARGEST_UPLOAD {
        let what = format!("the file has {} MB; up to {} MB are read", file.len() >> 20, LARGEST_UPLOAD >> 20);
        return Err(wrong(what, "Take it with the camera's usual setting."));
    }
    match image::guess_format(file) {
        Ok(ImageFormat::Png) => Ok(ImageFormat::Png),
        Ok(ImageFormat::Jpeg) if ends_whole(file) => Ok(ImageFormat::Jpeg),
        Ok(ImageFormat::Jpeg) => Err(wrong(
            "the photo is cut short: its end is missing".to_owned(),
            "Send it again; the line may have broken.",
        )),
        Ok(other) => {
            let name = other.extensions_str().first().copied().unwrap_or("other").to_uppercase();
            Err(wrong(format!("a {name} file is not read"), CURE))
        }
        Err(_) => Err(wrong("the file is no photo".to_owned(), CURE)),
    }
}

/// Whether a JPEG reaches its end-of-image marker. A decoder shows what there is of a photo that was cut short, the rest grey; such a
/// photo proves nothing. ITU-T T.81, annex B: segments carry their length, and within a scan FF is followed by 00 or a restart.
fn ends_whole(file: &[u8]) -> bool {
    let mut at = 2;
    while let (Some(&lead), Some(&marker)) = (file.get(at), file.get(at + 1)) {
        at += match (lead, marker) {
            (0xFF, 0xD9) => return true,
            // Within a scan, or filling between segments.
            (0xFF, 0x00 | 0x01 | 0xD0..=0xD8) => 2,
            (0xFF, 0xFF) | (0..=0xFE, _) => 1,
            (0xFF, _) => {
                let length = file.get(at + 2..at + 4).map_or(2, |two| usize::from(two[0]) << 8 | usize::from(two[1]));
                2 + length.max(2)
            }
        };
    }
    false
}

/// The best quality that fits; a picture that fits at none is made smaller.
fn small_enough(mut image: DynamicImage) -> Result<Picture, AppError> {
    image = DynamicImage::ImageRgb8(flat(&image));
    loop {
        for quality in QUALITIES {
            let mut jpeg = Vec::new();
            JpegEncoder::new_with_quality(&mut jpeg, quality).encode_image(&image).map_err(|why| damaged(&why))?;
            if jpeg.len() <= LARGEST_KEPT {
                return Ok(Picture { jpeg, width: image.width(), height: image.height() });
            }
        }
        image = image.resize(image.width() * 3 / 4, image.height() * 3 / 4, FilterType::Triangle);
    }
}

/// Without transparency: what shines through is white, as paper.
fn flat(image: &DynamicImage) -> image::RgbImage {
    if !image.color().has_alpha() {
        return image.to_rgb8();
    }
    let over = |part: u8, alpha: u8| {
        let (part, alpha) = (u32::from(part), u32::from(alpha));
        ((part * alpha + 255 * (255 - alpha)) / 255) as u8
    };
    let from = image.to_rgba8();
    image::RgbImage::from_fn(from.width(), from.height(), |x, y| {
        let [r, g, b, alpha] = from.get_pixel(x, y).0;
        image::Rgb([over(r, alpha), over(g, alpha), over(b, alpha)])
    })
}

fn damaged(why: &image::ImageError) -> AppError {
    let (what, hint) = match why {
        image::ImageError::Limits(_) => {
            ("the photo is too large to be read".to_owned(), "Take it with the camera's usual setting.")
        }
        _ => (format!("the photo cannot be read: {why}"), "Send it again, or take it again: the file is damaged."),
    };
    wrong(what, hint)
}

fn wrong(what: String, hint: &str) -> AppError {
    AppError::Input { what, hint: hint.to_owned() }
}
