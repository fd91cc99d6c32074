//! Pictures as a phone may send them, made here.
#![allow(dead_code, reason = "each test uses some of it")]

use std::io::Cursor;

use image::{ImageFormat, Rgb, RgbImage};

/// What stands in a picture that tells where it was taken; no picture's pixels happen to hold it.
pub(crate) const PLACE: &[u8] = b"GPS 51 28 1.0791 N nobody-else-may-read-this";

/// A JPEG of its own for every shade, with where it was taken beside the pixels.
pub(crate) fn taken(width: u32, height: u32, shade: u8) -> Vec<u8> {
    let pixels = RgbImage::from_fn(width, height, |x, y| {
        let light = |n: u32| u8::try_from(n % 256).unwrap_or(0);
        Rgb([light(x / 3), light(y / 2), shade])
    });
    let mut bytes = Cursor::new(Vec::new());
    pixels
        .write_to(&mut bytes, ImageFormat::Jpeg)
        .expect("a picture is made");
    let plain = bytes.into_inner();
    let block = [b"Exif\0\0", PLACE].concat();
    // A segment of application data behind the start of image (ITU-T T.81, B.2.4.6); its length counts itself.
    let length = u16::try_from(block.len() + 2).expect("a short block");
    let segment = [&[0xFF, 0xE1], length.to_be_bytes().as_slice(), &block].concat();
    [&plain[..2], &segment, &plain[2..]].concat()
}

/// Whether bytes hold others.
pub(crate) fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|w| w == part)
}
