//! Pictures as strangers may send them.

use image::{ExtendedColorType, ImageEncoder, Rgb, Rgba, RgbaImage};

use super::*;

/// Degrees, minutes and seconds that no picture's pixels happen to hold.
const LATITUDE: [u8; 24] = *b"\x00\x00\x00\x33\x00\x00\x00\x01\x00\x00\x00\x1C\x00\x00\x00\x01\x00\x01\xA5\xE7\x00\x00\x03\xE8";

/// An EXIF block, big-endian (Exif 2.32, 4.5): orientation 6 ("turn by 90° clockwise") and a GPS directory with a latitude.
fn exif() -> Vec<u8> {
    let mut tiff = b"MM\x00\x2A\x00\x00\x00\x08".to_vec();
    let entry = |tiff: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        tiff.extend(tag.to_be_bytes());
        tiff.extend(kind.to_be_bytes());
        tiff.extend(count.to_be_bytes());
        tiff.extend(value);
    };
    tiff.extend(2_u16.to_be_bytes());
    entry(&mut tiff, 0x0112, 3, 1, [0, 6, 0, 0]);
    let gps = 8 + 2 + 2 * 12 + 4;
    entry(&mut tiff, 0x8825, 4, 1, u32::to_be_bytes(gps));
    tiff.extend([0; 4]);
    tiff.extend(2_u16.to_be_bytes());
    entry(&mut tiff, 1, 2, 2, *b"N\0\0\0");
    entry(&mut tiff, 2, 5, 3, u32::to_be_bytes(gps + 2 + 2 * 12 + 4));
    tiff.extend([0; 4]);
    tiff.extend(LATITUDE);
    tiff
}

fn jpeg(width: u32, height: u32) -> Vec<u8> {
    let picture = RgbImage::from_fn(width, height, |x, y| {
        Rgb([(x * 7 % 256) as u8, (y * 5 % 256) as u8, 90])
    });
    as_jpeg(&picture, 90).unwrap()
}

/// A segment behind the start of image.
fn with_segment(jpeg: &[u8], marker: u8, content: &[u8]) -> Vec<u8> {
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xFF, marker]);
    bytes.extend(u16::try_from(content.len() + 2).unwrap().to_be_bytes());
    bytes.extend(content);
    bytes.extend(&jpeg[2..]);
    bytes
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|w| w == part)
}

#[test]
fn where_it_was_taken_is_gone_and_it_stands_upright() {
    let mut block = b"Exif\0\0".to_vec();
    block.extend(exif());
    let sent = with_segment(&jpeg(64, 48), 0xE1, &block);
    assert!(holds(&sent, &LATITUDE));
    // The library sees the block as a camera wrote it: orientation 6 is a quarter turn.
    let mut as_sent = JpegDecoder::new(Cursor::new(&sent)).unwrap();
    assert_eq!(as_sent.orientation().unwrap(), Orientation::Rotate90);

    let clean = taken_in(&sent).unwrap();
    assert_eq!((clean.width(), clean.height()), (48, 64));
    for kept in [clean.bytes.clone(), small(&sent).unwrap()] {
        assert!(!holds(&kept, &LATITUDE) && !holds(&kept, b"Exif"));
        let mut decoder = JpegDecoder::new(Cursor::new(&kept)).unwrap();
        assert_eq!(decoder.dimensions(), (48, 64));
        assert_eq!(decoder.exif_metadata().unwrap(), None);
        assert_eq!(decoder.xmp_metadata().unwrap(), None);
    }
}

#[test]
fn png_and_webp_lose_theirs_too() {
    let picture = RgbaImage::from_pixel(40, 30, Rgba([200, 10, 10, 0]));
    let kind = ExtendedColorType::Rgba8;
    let mut png = Vec::new();
    let mut encoder = image::codecs::png::PngEncoder::new(&mut png);
    encoder.set_exif_metadata(exif()).unwrap();
    encoder.write_image(&picture, 40, 30, kind).unwrap();
    let mut webp = Vec::new();
    let mut encoder = image::codecs::webp::WebPEncoder::new_lossless(&mut webp);
    encoder.set_exif_metadata(exif()).unwrap();
    encoder.write_image(&picture, 40, 30, kind).unwrap();
    for sent in [png, webp] {
        assert!(holds(&sent, &LATITUDE));
        let clean = taken_in(&sent).unwrap();
        assert_eq!((clean.width(), clean.height()), (30, 40));
        assert!(!holds(&clean.bytes, &LATITUDE));
        // What was transparent is white.
        let shown = image::load_from_memory(&clean.bytes).unwrap().to_rgb8();
        assert!(shown.pixels().all(|p| p.0.iter().all(|c| *c > 250)));
    }
}

/// A PNG that claims this size and holds next to nothing; its checksum is right (PNG, annex D).
fn png_claiming(width: u32, height: u32) -> Vec<u8> {
    let crc = |bytes: &[u8]| -> u32 {
        !bytes.iter().fold(u32::MAX, |mut crc, byte| {
            crc ^= u32::from(*byte);
            (0..8).for_each(|_| crc = (crc >> 1) ^ (0xEDB8_8320 & (crc & 1).wrapping_neg()));
            crc
        })
    };
    let mut png = b"\x89PNG\r\n\x1A\n".to_vec();
    let mut chunk = |name: &[u8], content: &[u8]| {
        let named = [name, content].concat();
        png.extend(u32::try_from(content.len()).unwrap().to_be_bytes());
        png.extend(&named);
        png.extend(crc(&named).to_be_bytes());
    };
    let header = [
        &width.to_be_bytes()[..],
        &height.to_be_bytes()[..],
        &[8, 6, 0, 0, 0],
    ]
    .concat();
    chunk(b"IHDR", &header);
    chunk(b"IDAT", b"\x78\x9C\x63\x00\x00\x00\x01\x00\x01");
    chunk(b"IEND", b"");
    png
}

#[test]
fn a_bomb_is_refused_by_what_it_claims() {
    for (width, height) in [
        (50_000, 50_000),
        (30_000, 10),
        (10, 30_000),
        (9000, 9000),
        (i32::MAX as u32, i32::MAX as u32),
    ] {
        let refused = taken_in(&png_claiming(width, height)).unwrap_err();
        assert!(
            matches!(
                refused,
                PictureError::TooManyPixels { .. } | PictureError::Broken(_)
            ),
            "{width} × {height}: {refused}"
        );
    }
    // A size that is taken, with nothing behind it.
    let refused = taken_in(&png_claiming(4000, 4000)).unwrap_err();
    assert!(matches!(refused, PictureError::Broken(_)), "{refused}");
    // A JPEG's size stands in its frame header (T.81, B.2.2): 65535 by 65535.
    let mut claimed = jpeg(8, 8);
    let frame = claimed
        .windows(2)
        .position(|w| w == [0xFF, 0xC0])
        .expect("a frame");
    claimed[frame + 5..frame + 9].fill(0xFF);
    assert!(matches!(
        taken_in(&claimed).unwrap_err(),
        PictureError::TooManyPixels { .. } | PictureError::Broken(_)
    ));
}

#[test]
fn what_is_picture_and_something_else_becomes_picture_alone() {
    let script: &[u8] = b"<html><script>alert(1)</script>";
    let archive: &[u8] = b"PK\x03\x04hidden";
    let mut sent = with_segment(&jpeg(32, 32), 0xFE, script);
    sent.extend(script);
    sent.extend(archive);
    let clean = taken_in(&sent).unwrap();
    for part in [script, archive, b"<script", b"PK\x03\x04"] {
        assert!(!holds(&clean.bytes, part) && !holds(&small(&sent).unwrap(), part));
    }
    assert!(clean.bytes.ends_with(&[0xFF, 0xD9]));
}

#[test]
fn names_and_words_do_not_make_a_picture() {
    let cases: [&[u8]; 6] = [
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"GIF89a\x01\x00\x01\x00",
        b"<!doctype html><script>alert(1)</script>\xFF\xD8\xFF",
        b"BM\x00\x00",
        b"%PDF-1.7",
        b"RIFF\x00\x00\x00\x00WAVE",
    ];
    for sent in cases {
        assert_eq!(taken_in(sent), Err(PictureError::NotAPicture));
    }
    assert_eq!(taken_in(b""), Err(PictureError::Empty));
    for cut in [
        b"\xFF\xD8\xFF".as_slice(),
        b"\x89PNG\r\n\x1A\n",
        b"RIFF\x04\0\0\0WEBP",
    ] {
        assert!(matches!(taken_in(cut), Err(PictureError::Broken(_))));
    }
    let large = [jpeg(8, 8), vec![0; LARGEST_FILE]].concat();
    assert_eq!(taken_in(&large), Err(PictureError::FileTooLarge));
}

#[test]
fn a_large_photo_is_brought_to_size() {
    let clean = taken_in(&jpeg(4000, 3000)).unwrap();
    assert_eq!((clean.width(), clean.height()), (2560, 1920));
    let small = image::load_from_memory(&small(&clean.bytes).unwrap()).unwrap();
    assert_eq!((small.width(), small.height()), (320, 240));
    assert_eq!(kind_of(&clean.bytes), Ok(Kind::Jpeg));
}

#[test]
fn no_damage_to_a_picture_brings_the_program_down() {
    let mut chance = fastrand::Rng::with_seed(3);
    let whole = [jpeg(24, 16), png_claiming(20, 20)];
    for _ in 0..400 {
        let mut bytes = whole[chance.usize(..whole.len())].clone();
        for _ in 0..chance.usize(1..6) {
            let place = chance.usize(..bytes.len());
            bytes[place] = chance.u8(..);
        }
        bytes.truncate(chance.usize(1..=bytes.len()));
        let _ = taken_in(&bytes);
    }
}

#[test]
fn what_came_out_of_a_book_goes_in_again_to_the_byte() {
    let clean = taken_in(&jpeg(64, 48)).unwrap();
    assert_eq!(taken_in(&clean.bytes), Ok(clean.clone()));
    let turned = taken_in(&jpeg(48, 64)).unwrap();
    assert_eq!(taken_in(&turned.bytes), Ok(turned));
    // Anything beside the pixels, and it is written anew.
    let script: &[u8] = b"<script>alert(1)</script>";
    let hidden = [
        with_segment(&clean.bytes, 0xFE, script),
        [&clean.bytes, script].concat(),
        // Behind an end of image, with another end behind it; T.81, B.1.1.3.
        [&clean.bytes, script, b"\xFF\xD9"].concat(),
    ];
    for sent in hidden {
        let again = taken_in(&sent).unwrap();
        assert!(!holds(&again.bytes, script));
    }
    // Of another quality it is another's.
    let finer = jpeg(64, 48);
    assert_ne!(taken_in(&finer).unwrap().bytes, finer);
}
