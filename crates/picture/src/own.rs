//! Whether a JPEG is one that was written here: its head byte for byte, then one scan, then nothing.
//!
//! Such a picture was made harmless when it came in. Written anew at every export and import it would lose sharpness each time, and its
//! digest, which is its name in a book.

use image::RgbImage;

use crate::{PictureError, QUALITY, as_jpeg};

/// Whether `bytes` are a picture of this size as [`crate::taken_in`] writes them. That they can be decoded is not looked at here.
pub(crate) fn is_own(bytes: &[u8], width: u32, height: u32) -> Result<bool, PictureError> {
    let Some(head) = head(width, height)? else {
        return Ok(false);
    };
    Ok(bytes.strip_prefix(head.as_slice()).is_some_and(only_a_scan))
}

/// What stands before the pixels of a picture of this size: all that does not depend on what it shows.
fn head(width: u32, height: u32) -> Result<Option<Vec<u8>>, PictureError> {
    let (Ok(width), Ok(height)) = (u16::try_from(width), u16::try_from(height)) else {
        return Ok(None);
    };
    let mut head = as_jpeg(&RgbImage::new(1, 1), QUALITY)?;
    // Segments one after the other (T.81, B.1.1.4): a marker, then a length that counts itself.
    let mut at = 2;
    while let [0xFF, marker, high, low, ..] = head[at..] {
        let next = at + 2 + usize::from(u16::from_be_bytes([high, low]));
        if next > head.len() {
            break;
        }
        match marker {
            // The frame's head (B.2.2): behind length and precision the height, then the width.
            0xC0 => {
                head[at + 5..at + 7].copy_from_slice(&height.to_be_bytes());
                head[at + 7..at + 9].copy_from_slice(&width.to_be_bytes());
            }
            // The scan's head: pixels follow.
            0xDA => {
                head.truncate(next);
                return Ok(Some(head));
            }
            _ => {}
        }
        at = next;
    }
    Ok(None)
}

/// Whether there is one end of image, at the very end, and no other marker; a byte FF of the pixels has a 00 behind it (B.1.1.5).
fn only_a_scan(rest: &[u8]) -> bool {
    let Some(scan) = rest.strip_suffix(&[0xFF, 0xD9]) else {
        return false;
    };
    scan.last() != Some(&0xFF) && !scan.windows(2).any(|w| w[0] == 0xFF && w[1] != 0)
}
