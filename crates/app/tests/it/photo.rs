//! Photos: upright, small, bare, and refused when they are none. Files are made here, byte by byte where it matters.

use std::io::Cursor;

use app::{LARGEST_KEPT, LONG_SIDE, picture};
use image::{ImageFormat, Rgb, RgbImage};

/// A picture whose left half is dark and whose right half is light, as a file of that kind.
fn halves(width: u32, height: u32, format: ImageFormat) -> Vec<u8> {
    let image = RgbImage::from_fn(width, height, |x, _| Rgb(if x < width / 2 { [10; 3] } else { [240; 3] }));
    let mut file = Cursor::new(Vec::new());
    image.write_to(&mut file, format).expect("a file");
    file.into_inner()
}

/// An APP1 segment with the Exif orientation (tag 0x0112) behind the start of a JPEG, and a place name that must not survive.
/// Layout: Exif 2.3 (JEITA CP-3451C), section 4.5 and 4.6.
fn with_exif(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    exif.extend(b"Secret Lane 7");
    let length = u16::try_from(exif.len() + 2).expect("short").to_be_bytes();
    [&jpeg[..2], &[0xFF, 0xE1], &length, &exif, &jpeg[2..]].concat()
}

fn brightness(jpeg: &[u8], x: u32, y: u32) -> u8 {
    image::load_from_memory(jpeg).expect("a picture").to_luma8().get_pixel(x, y).0[0]
}

#[test]
fn val_orientation_is_applied_as_the_standard_numbers_it() {
    // Exif 2.3, table of the orientation tag: 1 row 0 is the top, column 0 the left; 3 upside down; 6 column 0 is the top, row 0
    // the right side; 8 column 0 is the bottom, row 0 the left side. Dark is stored at the left.
    let jpeg = halves(80, 40, ImageFormat::Jpeg);
    for (orientation, size, dark, light) in [
        (1, (80, 40), (5, 20), (75, 20)),
        (3, (80, 40), (75, 20), (5, 20)),
        (6, (40, 80), (20, 5), (20, 75)),
        (8, (40, 80), (20, 75), (20, 5)),
    ] {
        let kept = picture(&with_exif(&jpeg, orientation)).expect("a photo");
        assert_eq!((kept.width, kept.height), size, "{orientation}");
        assert!(brightness(&kept.jpeg, dark.0, dark.1) < 60, "{orientation}");
        assert!(brightness(&kept.jpeg, light.0, light.1) > 190, "{orientation}");
    }
}

#[test]
fn law_nothing_but_the_picture_is_kept() {
    let jpeg = with_exif(&halves(80, 40, ImageFormat::Jpeg), 1);
    let found = |file: &[u8], what: &[u8]| file.windows(what.len()).any(|part| part == what);
    assert!(found(&jpeg, b"Secret Lane") && found(&jpeg, b"Exif"));
    let kept = picture(&jpeg).expect("a photo").jpeg;
    assert!(!found(&kept, b"Secret Lane") && !found(&kept, b"Exif") && !found(&kept, &[0xFF, 0xE1]));
}

#[test]
fn law_what_is_kept_is_small() {
    // Noise cannot be compressed: the worst there is.
    let mut seed = 1_u32;
    let noise = RgbImage::from_fn(2400, 1800, |_, _| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        Rgb([(seed >> 24) as u8, (seed >> 16) as u8, (seed >> 8) as u8])
    });
    let mut file = Cursor::new(Vec::new());
    noise.write_to(&mut file, ImageFormat::Png).expect("a file");
    let noise = picture(&file.into_inner()).expect("a photo");
    assert!(noise.jpeg.len() <= LARGEST_KEPT, "{}", noise.jpeg.len());
    let plain = picture(&halves(3200, 1000, ImageFormat::Jpeg)).expect("a photo");
    assert_eq!((plain.width, plain.height), (LONG_SIDE, 500));
    let long = picture(&halves(9000, 1, ImageFormat::Png)).expect("a photo");
    assert_eq!((long.width, long.height), (LONG_SIDE, 1));
}

#[test]
fn fault_what_is_no_photo_is_refused_with_a_cure() {
    let jpeg = halves(200, 100, ImageFormat::Jpeg);
    let png = halves(200, 100, ImageFormat::Png);
    // A PNG that claims 60 000 × 60 000 pixels: 10 GB from 60 bytes. The checksum is that of the claim (W3C PNG, 5.5).
    let mut bomb = png.clone();
    bomb[16..24].copy_from_slice(&[0, 0, 0xEA, 0x60, 0, 0, 0xEA, 0x60]);
    let crc = crc(&bomb[12..29]).to_be_bytes();
    bomb[29..33].copy_from_slice(&crc);
    let cases: [(&str, &[u8], &str); 8] = [
        ("empty", b"", "no photo was chosen"),
        ("text", b"hello, I am no photo", "no photo"),
        ("gif", b"GIF89a\x01\0\x01\0\0\0\0;", "GIF"),
        ("svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no photo"),
        ("half a JPEG", &jpeg[..jpeg.len() / 2], "cut short"),
        ("a JPEG without its end", &jpeg[..jpeg.len() - 2], "cut short"),
        ("half a PNG", &png[..png.len() / 2], "cannot be read"),
        ("bomb", &bomb, "too large"),
    ];
    for (name, file, says) in cases {
        let why = picture(file).expect_err(name);
        assert!(
            why.to_string().contains(says) || (name == "bomb" && why.to_string().contains("60000")),
            "{name}: {why}"
        );
        assert!(why.is_input() && !why.hint().is_empty(), "{name}");
    }
    // Many lengths and many changed bytes: an answer, never a panic.
    for end in (0..jpeg.len()).step_by(5) {
        let _ = picture(&jpeg[..end]);
    }
    for at in (0..png.len().min(400)).step_by(3) {
        let mut broken = png.clone();
        broken[at] ^= 0x5A;
        let _ = picture(&broken);
    }
    for at in (0..jpeg.len()).step_by(5) {
        let mut broken = jpeg.clone();
        broken[at] ^= 0xA5;
        let _ = picture(&broken);
    }
}

/// CRC-32 as W3C PNG, annex D, defines it.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| if crc & 1 == 1 { (crc >> 1) ^ 0xEDB8_8320 } else { crc >> 1 })
    })
}
