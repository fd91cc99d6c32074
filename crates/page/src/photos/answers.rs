//! The addresses of photos: the page of all, one sent, a picture, what is said of it, taking it out.

use std::sync::Arc;

use axum::Router;
use axum::extract::multipart::MultipartRejection;
use axum::extract::{Form, Multipart, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use book::{Kind, PhotoOf};

use super::{LONGEST, Sent, about, list, read, subjects};
use crate::bound::Put;
use crate::opened::Opened;
use crate::routes::{apart, missing, on_find, see_other, shown};
use crate::store::Store;
use crate::submitted::{Errors, Submitted};
use crate::{PageError, bound::Bound};

type Finds = State<Arc<Store>>;
type Typed = Vec<(String, String)>;

/// The addresses.
pub(crate) fn addresses() -> Router<Arc<Store>> {
    Router::new()
        .route("/find/{slug}/photos", get(all))
        .route("/find/{slug}/photo", post(add))
        .route("/find/{slug}/photo/{digest}", get(whole))
        .route("/find/{slug}/photo/{digest}/small", get(small))
        .route(
            "/find/{slug}/photo/{digest}/about",
            get(show_about).post(say),
        )
        .route("/find/{slug}/photo/{digest}/out", post(take_out))
}

async fn all(
    State(store): Finds,
    Path(slug): Path<String>,
    Query(query): Query<Typed>,
) -> Response {
    on_find(store, slug, move |slug, opened| {
        shown(list::page(
            slug,
            opened,
            &Submitted(query),
            &Errors::default(),
        ))
    })
    .await
}

async fn add(
    State(store): Finds,
    Path(slug): Path<String>,
    form: Result<Multipart, MultipartRejection>,
) -> Response {
    let sent = read(form).await;
    apart(move || match take_in(&store, &slug, &sent)? {
        None => Ok(missing()),
        Some(Ok(digest)) => Ok(see_other(&format!("/find/{slug}/photo/{digest}/about"))),
        Some(Err(errors)) => Ok(match store.open(&slug)? {
            Some(opened) => {
                let page = list::page(&slug, &opened, &sent.fields, &errors);
                (StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response()
            }
            None => missing(),
        }),
    })
    .await
}

/// Takes a photo in, of what its form names; gives its digest, or what speaks against it by field. `None` where there is no such find.
pub(crate) fn take_in(
    store: &Store,
    slug: &str,
    sent: &Sent,
) -> Result<Option<Result<String, Errors>>, PageError> {
    let Some(opened) = store.open(slug)? else {
        return Ok(None);
    };
    let mut errors = Errors::default();
    let Some(bound) = store.bound() else {
        errors.add(
            "photo",
            "a folder of sheets keeps no photos; a book does: windfall book import SHEET, then windfall serve --book",
        );
        return Ok(Some(Err(errors)));
    };
    if let Some(why) = &sent.wrong {
        errors.add("photo", why.as_str());
        return Ok(Some(Err(errors)));
    }
    let put = said(&opened, &sent.fields, &mut errors);
    let picture = errors.keep("photo", picture::taken_in(&sent.photo));
    match (picture, put) {
        (Some(picture), Some(put)) => match bound.put_photo(slug, &picture, put) {
            Err(PageError::Book(why)) if why.kind == Kind::Refused => {
                errors.add("photo", why.to_string());
                Ok(Some(Err(errors)))
            }
            done => Ok(done?.map(Ok)),
        },
        _ => Ok(Some(Err(errors))),
    }
}

/// What a form says of the photo it brings.
fn said(opened: &Opened, came: &Submitted, errors: &mut Errors) -> Option<Put> {
    let find = opened.find.as_ref().ok()?;
    let caption = within("caption", came.get("caption"), errors);
    let mut of = Vec::new();
    for word in came.each("of") {
        of.extend(errors.keep("of", subjects::read(word, find, None)));
    }
    errors.is_empty().then(|| Put {
        key: came.given("key").map(str::to_owned),
        caption,
        of,
    })
}

/// A field's words, if they are not too many.
pub(super) fn within(field: &str, words: &str, errors: &mut Errors) -> String {
    if words.len() > LONGEST {
        errors.add(
            field,
            format!("at most {LONGEST} letters; write a note for more"),
        );
    }
    words.to_owned()
}

/// A picture never changes: its address is its content's digest. It stays with the browser it was shown to.
fn as_picture(mime: &'static str, bytes: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, mime),
        (
            header::CACHE_CONTROL,
            "private, max-age=31536000, immutable",
        ),
    ];
    (headers, bytes).into_response()
}

async fn whole(State(store): Finds, Path((slug, digest)): Path<(String, String)>) -> Response {
    picture_of(store, slug, digest, |photo| {
        // A book laid down elsewhere may say anything; what is no picture is not shown.
        let known = ["image/jpeg", "image/png", "image/webp"];
        let mime = known.into_iter().find(|known| *known == photo.mime)?;
        Some(as_picture(mime, photo.bytes))
    })
    .await
}

async fn small(State(store): Finds, Path((slug, digest)): Path<(String, String)>) -> Response {
    picture_of(store, slug, digest, |photo| {
        let small = picture::small(&photo.bytes).ok()?;
        Some(as_picture(picture::Clean::MIME, small))
    })
    .await
}

/// Shows a picture, if it is one of this find's.
async fn picture_of(
    store: Arc<Store>,
    slug: String,
    digest: String,
    show: impl FnOnce(book::Photo) -> Option<Response> + Send + 'static,
) -> Response {
    on_book(store, move |bound| {
        let picture = bound.picture(&slug, &digest)?;
        Ok(picture.and_then(show))
    })
    .await
}

/// Works on the book, off the request thread; a folder of sheets has no photos.
async fn on_book(
    store: Arc<Store>,
    work: impl FnOnce(&Bound) -> Result<Option<Response>, PageError> + Send + 'static,
) -> Response {
    apart(move || {
        let answer = store.bound().map(work).transpose()?;
        Ok(answer.flatten().unwrap_or_else(missing))
    })
    .await
}

async fn show_about(State(store): Finds, Path((slug, digest)): Path<(String, String)>) -> Response {
    on_book(store, move |bound| {
        about_page(bound, &slug, &digest, None, &Errors::default())
    })
    .await
}

/// The page of a photo; of one that was taken out there is none, but its picture stays in the history.
fn about_page(
    bound: &Bound,
    slug: &str,
    digest: &str,
    came: Option<&Submitted>,
    errors: &Errors,
) -> Result<Option<Response>, PageError> {
    let Some(opened) = bound.open_find(slug)? else {
        return Ok(None);
    };
    let (Some(photo), Ok(find)) = (photo_in(&opened, digest), &opened.find) else {
        return Ok(None);
    };
    let Some(picture) = bound.picture(slug, digest)? else {
        return Ok(None);
    };
    let size = (picture.width, picture.height);
    Ok(Some(shown(about::page(
        slug, find, photo, size, came, errors,
    ))))
}

fn refused(page: Response) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

fn photo_in<'a>(opened: &'a Opened, digest: &str) -> Option<&'a PhotoOf> {
    let photos = opened.photos().unwrap_or_default();
    photos.iter().find(|p| p.digest == digest)
}

async fn say(
    State(store): Finds,
    Path((slug, digest)): Path<(String, String)>,
    Form(form): Form<Typed>,
) -> Response {
    on_book(store, move |bound| {
        let came = Submitted(form);
        let done = bound.change_photo(&slug, &digest, |find, photo| {
            about::take(find, photo, &came)
        })?;
        match done {
            None => Ok(None),
            Some(Ok(())) => Ok(Some(see_other(&format!(
                "/find/{slug}/photo/{digest}/about"
            )))),
            Some(Err(errors)) => {
                let page = about_page(bound, &slug, &digest, Some(&came), &errors)?;
                Ok(page.map(refused))
            }
        }
    })
    .await
}

async fn take_out(
    State(store): Finds,
    Path((slug, digest)): Path<(String, String)>,
    Form(form): Form<Typed>,
) -> Response {
    on_book(store, move |bound| {
        let came = Submitted(form);
        let mut errors = Errors::default();
        let reason = within("reason", came.get("reason"), &mut errors);
        if !errors.is_empty() {
            let page = about_page(bound, &slug, &digest, None, &errors)?;
            return Ok(page.map(refused));
        }
        let reason = Some(reason).filter(|reason| !reason.is_empty());
        let done = bound.take_out_photo(&slug, &digest, reason)?;
        Ok(done.map(|()| see_other(&format!("/find/{slug}/photos"))))
    })
    .await
}
