use super::*;

fn asked(door: &Door, method: Method, headers: &[(&'static str, &'static str)]) -> bool {
    let mut map = HeaderMap::new();
    for (name, value) in headers {
        map.append(*name, HeaderValue::from_static(value));
    }
    door.admit(&method, &Uri::from_static("/"), &map).is_ok()
}

fn own() -> Door {
    Door::loopback(4000)
}

#[test]
fn only_its_own_name_is_answered() {
    let get = |headers: &[_]| asked(&own(), Method::GET, headers);
    assert!(get(&[("host", "127.0.0.1:4000")]));
    assert!(get(&[("host", "localhost:4000")]));
    assert!(get(&[("host", "LocalHost:4000")]));
    assert!(!get(&[("host", "example.org:4000")]));
    assert!(!get(&[("host", "127.0.0.1:4001")]));
    assert!(!get(&[("host", "127.0.0.1:4000.example.org")]));
    assert!(!get(&[("host", "127.0.0.1:4000"), ("host", "example.org")]));
    assert!(!get(&[]));
    let absolute = Uri::from_static("http://example.org/");
    let mut map = HeaderMap::new();
    map.append("host", HeaderValue::from_static("127.0.0.1:4000"));
    assert!(own().admit(&Method::GET, &absolute, &map).is_err());
}

#[test]
fn a_usual_port_may_be_left_out() {
    let door = Door::new("https", &["10.0.0.5".to_owned()], 443);
    assert!(asked(&door, Method::GET, &[("host", "10.0.0.5")]));
    let door = Door::new("http", &["10.0.0.5".to_owned()], 443);
    assert!(!asked(&door, Method::GET, &[("host", "10.0.0.5")]));
}

#[test]
fn a_form_of_another_site_is_refused() {
    let host = ("host", "127.0.0.1:4000");
    let post = |header| asked(&own(), Method::POST, &[host, header]);
    assert!(post(("origin", "http://127.0.0.1:4000")));
    assert!(asked(&own(), Method::POST, &[host]));
    assert!(post(("sec-fetch-site", "same-origin")));
    assert!(!post(("origin", "http://example.org")));
    assert!(!post(("origin", "null")));
    assert!(!post(("origin", "https://127.0.0.1:4000")));
    assert!(!post(("origin", "http://127.0.0.1:4001")));
    assert!(!post(("sec-fetch-site", "cross-site")));
    assert!(!post(("sec-fetch-site", "same-site")));
    assert!(!asked(&own(), Method::DELETE, &[host]));
    let twice = [
        host,
        ("origin", "http://127.0.0.1:4000"),
        ("origin", "http://example.org"),
    ];
    assert!(!asked(&own(), Method::POST, &twice));
}

#[test]
fn photos_have_one_place() {
    assert!(is_upload("/find/creamery/photo"));
    assert!(is_upload("/find/creamery/bench/photo"));
    assert!(!is_upload("/find/creamery/edit/lead/photo"));
    assert!(!is_upload("/find/creamery/reading"));
    assert!(!is_upload("/photo"));
}

#[test]
fn a_cookie_is_found_among_others() {
    let mut map = HeaderMap::new();
    map.append("cookie", HeaderValue::from_static("a=b; windfall=word"));
    assert_eq!(own().word(&map), Some("word"));
    map.insert("cookie", HeaderValue::from_static("notwindfall=word"));
    assert_eq!(own().word(&map), None);
}
