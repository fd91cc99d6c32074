//! What a form with a photo brought: its fields, and the file.

use axum::body::Bytes;
use axum::extract::Multipart;
use axum::extract::multipart::{MultipartError, MultipartRejection};

use crate::submitted::Submitted;

/// No form of ours has as many fields.
const MOST_FIELDS: usize = 40;

/// A form with a photo, as it came.
#[derive(Debug, Default)]
pub(crate) struct Sent {
    /// Its fields but the photo.
    pub(crate) fields: Submitted,
    /// The photo; empty where none was chosen.
    pub(crate) photo: Bytes,
    /// In words, that it is no such form, or did not come whole.
    pub(crate) wrong: Option<String>,
}

/// Reads the form. The guard has bounded it.
pub(crate) async fn read(form: Result<Multipart, MultipartRejection>) -> Sent {
    let mut sent = Sent::default();
    match form {
        Err(_) => sent.wrong = Some("this is no form with a photo; use the page's own".to_owned()),
        Ok(form) => {
            if sent.fill(form).await.is_err() {
                sent.wrong = Some("the form did not come whole; send the photo again".to_owned());
            }
        }
    }
    sent
}

impl Sent {
    async fn fill(&mut self, mut form: Multipart) -> Result<(), MultipartError> {
        while let Some(field) = form.next_field().await? {
            let name = field.name().unwrap_or_default().to_owned();
            if name == "photo" {
                let bytes = field.bytes().await?;
                // A form may offer the camera and the files: one of both is left empty.
                if self.photo.is_empty() {
                    self.photo = bytes;
                }
            } else if self.fields.0.len() < MOST_FIELDS {
                let text = field.text().await?;
                self.fields.0.push((name, text));
            }
        }
        Ok(())
    }
}
