//! A photo as it is taken in: made harmless before anything else sees it.
//!
//! What came is told by its first bytes, never by its name or what the browser called it. Its size is read and refused before a pixel is
//! decoded (a small file may claim a huge picture). It is turned upright as its camera noted, then written anew as JPEG: what stood beside
//! the pixels (where the photo was taken, with what, a script behind the last byte) is not carried over, since nothing but pixels is.
//! Colour profiles are lost with the rest; a wire's colour stays recognisable.
//!
//! A [`Clean`] picture is made by [`taken_in`] alone, and a book stores nothing else: whichever way a picture comes, by a form or beside an
//! imported sheet, there is no way around. One that came out of a book is known by its form and stays as it is, to the byte.
//! ```
//! assert_eq!(picture::taken_in(b"<svg/>"), Err(picture::PictureError::NotAPicture));
//! ```
//! What a picture shows is not looked at, and nothing here knows where it comes from or goes to.

mod own;

use std::io::Cursor;
use std::sync::{Mutex, PoisonError};

use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::PngDecoder;
use image::codecs::webp::WebPDecoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageResult, Limits, RgbImage};

/// Largest file taken in: a phone's photo at its finest has 5 to 15 MiB.
pub const LARGEST_FILE: usize = 25 << 20;
/// Longest side of a picture that is decoded at all.
const LONGEST_SIDE: u32 = 16_384;
/// Most pixels decoded: a phone's 50 megapixels and some room; three bytes each are 192 MB.
const MOST_PIXELS: u64 = 64_000_000;
/// Most memory one decoder may ask for.
const MOST_MEMORY: u64 = 384 << 20;
/// Longest side kept: the figures of a plate that fills the picture are still read easily.
const KEPT_SIDE: u32 = 2560;
/// Longest side of the small picture in lists.
const SMALL_SIDE: u32 = 320;
/// JPEG quality of the picture kept: its blocks are not seen at full size.
const QUALITY: u8 = 85;
/// JPEG quality of the small one.
const SMALL_QUALITY: u8 = 75;

/// Decoding takes hundreds of megabytes for a moment, so uploads wait for one another.
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

/// A photo made harmless: a JPEG with its longest side at most 2560, upright, pixels and nothing else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clean {
    bytes: Vec<u8>,
    width: u32,
    height: u32,
}

impl Clean {
    /// What every clean picture is.
    pub const MIME: &'static str = "image/jpeg";

    /// The file.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Width in pixels.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Height in pixels.
    pub fn height(&self) -> u32 {
        self.height
    }
}

/// Why a photo is not taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PictureError {
    /// No bytes came.
    Empty,
    /// The file is larger than [`LARGEST_FILE`].
    FileTooLarge,
    /// Neither JPEG, PNG nor WebP, whatever its name says.
    NotAPicture,
    /// It claims more pixels than are decoded.
    TooManyPixels {
        /// Claimed width.
        width: u32,
        /// Claimed height.
        height: u32,
    },
    /// Its content cannot be decoded, or only with more memory than one picture is given.
    Broken(String),
}

impl std::fmt::Display for PictureError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Empty => f.write_str("no picture came; choose one, or take it again"),
            Self::FileTooLarge => write!(
                f,
                "the picture is larger than {} MiB; take it with fewer pixels",
                LARGEST_FILE >> 20
            ),
            Self::NotAPicture => f.write_str(
                "this is no JPEG, PNG or WebP picture, whatever its name says; let the phone save photos as JPEG",
            ),
            Self::TooManyPixels { width, height } => write!(
                f,
                "the picture claims {width} × {height} pixels; at most {} million are taken, none of its sides over {LONGEST_SIDE}",
                MOST_PIXELS / 1_000_000
            ),
            Self::Broken(why) => write!(
                f,
                "the picture cannot be read ({why}); take it again, or save it anew as JPEG"
            ),
        }
    }
}

impl std::error::Error for PictureError {}

/// The picture in `bytes`, made harmless: see the crate's words. Takes about a second for a phone's photo and is to be run apart
/// from a thread that answers requests; several at once wait for one another.
/// # Errors
/// [`PictureError`], in words a person with a phone can act on.
pub fn taken_in(bytes: &[u8]) -> Result<Clean, PictureError> {
    let mut picture = upright(bytes)?;
    let (width, height) = (picture.width(), picture.height());
    if width.max(height) <= KEPT_SIDE && own::is_own(bytes, width, height)? {
        let bytes = bytes.to_vec();
        return Ok(Clean {
            bytes,
            width,
            height,
        });
    }
    if width.max(height) > KEPT_SIDE {
        picture = picture.resize(KEPT_SIDE, KEPT_SIDE, FilterType::Triangle);
    }
    let kept = on_white(&picture);
    let (width, height) = kept.dimensions();
    Ok(Clean {
        bytes: as_jpeg(&kept, QUALITY)?,
        width,
        height,
    })
}

/// The same picture with its longest side at most 320, for lists.
/// # Errors
/// As [`taken_in`].
pub fn small(bytes: &[u8]) -> Result<Vec<u8>, PictureError> {
    let mut picture = upright(bytes)?;
    if picture.width().max(picture.height()) > SMALL_SIDE {
        // Quick rather than fine: a list asks for many.
        picture = picture.thumbnail(SMALL_SIDE, SMALL_SIDE);
    }
    as_jpeg(&on_white(&picture), SMALL_QUALITY)
}

/// The picture decoded within the limits, as it is to be looked at.
fn upright(bytes: &[u8]) -> Result<DynamicImage, PictureError> {
    let kind = kind_of(bytes)?;
    let _one = ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner);
    match kind {
        Kind::Jpeg => decoded(JpegDecoder::new(Cursor::new(bytes))),
        Kind::Png => decoded(PngDecoder::with_limits(Cursor::new(bytes), limits())),
        Kind::WebP => decoded(WebPDecoder::new(Cursor::new(bytes))),
    }
}

/// The formats taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Jpeg,
    Png,
    WebP,
}

/// What a file is by its first bytes (ITU-T T.81 start of image; PNG, clause 5.2; RFC 9649, section 2.3).
fn kind_of(bytes: &[u8]) -> Result<Kind, PictureError> {
    match bytes {
        [] => Err(PictureError::Empty),
        _ if bytes.len() > LARGEST_FILE => Err(PictureError::FileTooLarge),
        [0xFF, 0xD8, 0xFF, ..] => Ok(Kind::Jpeg),
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Ok(Kind::Png),
        [
            b'R',
            b'I',
            b'F',
            b'F',
            _,
            _,
            _,
            _,
            b'W',
            b'E',
            b'B',
            b'P',
            ..,
        ] => Ok(Kind::WebP),
        _ => Err(PictureError::NotAPicture),
    }
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_MEMORY);
    limits
}

/// Looks at the claimed size, then decodes within the limits and turns the picture upright.
fn decoded<D: ImageDecoder>(decoder: ImageResult<D>) -> Result<DynamicImage, PictureError> {
    let mut decoder = decoder.map_err(broken)?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if width.max(height) > LONGEST_SIDE || pixels > MOST_PIXELS || pixels == 0 {
        return Err(PictureError::TooManyPixels { width, height });
    }
    decoder.set_limits(limits()).map_err(broken)?;
    // A turn that cannot be read leaves the picture as it lies: it is still a picture.
    let turn = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
    picture.apply_orientation(turn);
    Ok(picture)
}

fn broken(why: image::ImageError) -> PictureError {
    PictureError::Broken(why.to_string())
}

/// JPEG knows no transparency: what is transparent becomes paper.
fn on_white(picture: &DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.to_rgb8();
    }
    let mut flat = RgbImage::new(picture.width(), picture.height());
    for (to, from) in flat.pixels_mut().zip(picture.to_rgba8().pixels()) {
        let alpha = u32::from(from.0[3]);
        for (to, from) in to.0.iter_mut().zip(from.0) {
            let mixed = (u32::from(from) * alpha + 255 * (255 - alpha)) / 255;
            *to = u8::try_from(mixed).unwrap_or(u8::MAX);
        }
    }
    flat
}

fn as_jpeg(picture: &RgbImage, quality: u8) -> Result<Vec<u8>, PictureError> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, quality)
        .encode_image(picture)
        .map_err(broken)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests;
