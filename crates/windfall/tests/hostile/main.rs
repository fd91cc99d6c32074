//! Hostile requests against the real program over bare sockets: each is refused or rendered harmless, and the program goes on answering.

#![expect(
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on stops where it stands"
)]

mod door;
mod passphrases;
mod photos;
#[path = "../pictures/mod.rs"]
mod pictures;
mod scripts;
mod wire;

use door::{Door, Site};

/// What a stranger would like to read.
const SECRET: &str = "nobody-else-may-read-this";

#[test]
fn no_path_of_a_request_reaches_a_file() {
    let site = Site::open(&["creamery.toml"]);
    std::fs::write(site.folder().join("secret.toml"), SECRET).unwrap();
    std::fs::write(site.folder().join("secret.txt"), SECRET).unwrap();
    std::fs::write(site.folder().join("../secret-beside.toml"), SECRET).unwrap();
    let forms = [
        "/../secret-beside.toml",
        "/..%2fsecret-beside.toml",
        "/%2e%2e/secret-beside.toml",
        "/%2e%2e%2fsecret-beside.toml",
        "/..%5csecret-beside.toml",
        "/..%c0%afsecret-beside.toml",
        "/%252e%252e%252fsecret-beside.toml",
        "/....//secret-beside.toml",
        "//etc/passwd",
        "/etc/passwd",
        "/secret.toml",
        "/secret.txt",
        "/find/secret",
        "/find/secret.toml/sheet",
        "/find/..%2fsecret-beside/sheet",
        "/find/%2e%2e%2fsecret-beside/sheet",
        "/find/..%2f..%2f..%2f..%2fetc%2fpasswd/sheet",
        "/find/%2fetc%2fpasswd/sheet",
        "/find/creamery%00.toml/sheet",
        "/find/creamery/../../secret.toml",
        "/find/creamery.toml/sheet",
        "/find/C:%5cWindows%5cwin.ini/sheet",
        "/find/file:%2f%2f%2fetc%2fpasswd/sheet",
        "/.windfall-gate/passphrase",
        "/find/.windfall-gate%2fpassphrase/sheet",
        "/help/..%2f..%2fCargo.toml",
        "/help/../../Cargo",
    ];
    for path in forms {
        let answer = site.own().get(path);
        assert!(
            matches!(answer.status, 400 | 404 | 303 | 308),
            "{path}: {}",
            answer.status
        );
        for telling in [SECRET, "root:", "[workspace", "$argon2"] {
            assert!(!answer.text.contains(telling), "{path} tells {telling}");
        }
    }
    let _ = std::fs::remove_file(site.folder().join("../secret-beside.toml"));
    assert_eq!(site.own().get("/find/creamery").status, 200);
}

#[test]
fn what_is_no_request_is_refused_and_the_next_is_answered() {
    let site = Site::open(&[]);
    let host = site.own().host();
    let cases: Vec<(&str, Vec<u8>)> = vec![
        ("noise", b"\x16\x03\x01\x00\xff\xff\xff\r\n\r\n".to_vec()),
        ("no version", format!("GET /\r\nHost: {host}\r\n\r\n").into()),
        ("no such version", format!("GET / HTTP/9.9\r\nHost: {host}\r\n\r\n").into()),
        ("no host", b"GET / HTTP/1.1\r\n\r\n".to_vec()),
        ("two hosts", format!("GET / HTTP/1.1\r\nHost: {host}\r\nHost: {host}\r\n\r\n").into()),
        ("a space in a name", format!("GET / HTTP/1.1\r\nHost: {host}\r\nX : y\r\n\r\n").into()),
        ("a zero in a value", format!("GET / HTTP/1.1\r\nHost: {host}\r\nX: \0\r\n\r\n").into()),
        ("a line alone", format!("GET / HTTP/1.1\nHost: {host}\n X: folded\n\n").into()),
        (
            "two lengths",
            format!("POST /plate HTTP/1.1\r\nHost: {host}\r\nContent-Length: 3\r\nContent-Length: 4\r\n\r\ntext").into(),
        ),
        (
            "a length below nothing",
            format!("POST /plate HTTP/1.1\r\nHost: {host}\r\nContent-Length: -1\r\n\r\n").into(),
        ),
        (
            "length and chunks",
            format!("POST /plate HTTP/1.1\r\nHost: {host}\r\nContent-Length: 4\r\nTransfer-Encoding: chunked\r\nTransfer-Encoding: x\r\n\r\n0\r\n\r\n").into(),
        ),
        (
            "a chunk beyond count",
            format!("POST /plate HTTP/1.1\r\nHost: {host}\r\nTransfer-Encoding: chunked\r\n\r\nffffffffffffffffff\r\n").into(),
        ),
        ("another address asked", format!("GET http://example.org/ HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").into()),
        ("no form", format!("POST /start HTTP/1.1\r\nHost: {host}\r\nContent-Type: text/html\r\nContent-Length: 4\r\nConnection: close\r\n\r\ntext").into()),
        ("a broken escape in a path", format!("GET /find/%zz HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").into()),
        ("letters that are none in a path", format!("GET /find/%ff%fe HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").into()),
    ];
    for (what, bytes) in cases {
        let status = site.own().raw(&bytes).map_or(0, |answer| answer.status);
        assert!(
            status == 0 || (400..500).contains(&status),
            "{what}: {status}"
        );
        assert_eq!(site.own().get("/").status, 200, "after {what}");
    }
}

#[test]
fn only_get_and_post_are_known() {
    let site = Site::open(&[]);
    for method in [
        "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "PROPFIND",
    ] {
        let answer = site.own().send(method, "/", &[], "");
        assert!(
            matches!(answer.status, 400 | 403 | 405),
            "{method}: {}",
            answer.status
        );
    }
}

#[test]
fn too_much_is_refused() {
    let site = Site::open(&["creamery.toml"]);
    let own = site.own();
    let host = own.host();
    let large = "x".repeat(2 << 20);
    let head = |length: &str| {
        format!(
            "POST /find/creamery/reading HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/x-www-form-urlencoded\r\nConnection: close\r\n{length}\r\n\r\n"
        )
    };
    // Said beforehand: refused before a byte of it is read.
    let said = own
        .raw(head("Content-Length: 99999999999").as_bytes())
        .unwrap();
    assert_eq!(said.status, 413);
    let chunks = format!(
        "{}{:x}\r\n{large}\r\n0\r\n\r\n",
        head("Transfer-Encoding: chunked"),
        large.len()
    );
    let status = own.raw(chunks.as_bytes()).map_or(0, |answer| answer.status);
    assert!(matches!(status, 0 | 413), "{status}");
    // A photo has more room, and a bound as well.
    let photo = format!(
        "POST /find/creamery/photo HTTP/1.1\r\nHost: {host}\r\nContent-Length: {}\r\n\r\n",
        30 << 20
    );
    assert_eq!(own.raw(photo.as_bytes()).unwrap().status, 413);
    let long = own.raw(
        format!(
            "GET /{} HTTP/1.1\r\nHost: {host}\r\n\r\n",
            "a".repeat(100_000)
        )
        .as_bytes(),
    );
    assert!(long.is_none_or(|answer| matches!(answer.status, 414 | 431)));
    let many: String = (0..500).map(|n| format!("X-{n}: y\r\n")).collect();
    let many = own.raw(format!("GET / HTTP/1.1\r\nHost: {host}\r\n{many}\r\n").as_bytes());
    assert!(many.is_none_or(|answer| answer.status == 431));
    assert_eq!(own.get("/").status, 200);
}

/// Another site's page in the owner's browser: by its own name, by a name that points here, by its forms.
#[test]
fn another_site_gets_nothing_through_the_owners_browser() {
    let site = Site::open(&["creamery.toml"]);
    let own = site.own();
    let before = std::fs::read_to_string(site.folder().join("creamery.toml")).unwrap();
    let port = own.port();
    for host in [
        "example.org".to_owned(),
        format!("example.org:{port}"),
        format!("127.0.0.1.example.org:{port}"),
        format!("127.0.0.1:{port}@example.org"),
        format!("[::1]:{port}"),
        format!("0.0.0.0:{port}"),
        format!("127.1:{port}"),
        "127.0.0.1".to_owned(),
        format!("localhost.:{port}"),
    ] {
        let asked = format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        let status = own.raw(asked.as_bytes()).map_or(0, |answer| answer.status);
        assert!(matches!(status, 0 | 400 | 403), "{host}: {status}");
    }
    let form = "number=1&reason=theirs";
    for header in [
        "Origin: http://example.org",
        "Origin: null",
        "Origin: https://127.0.0.1",
        "Origin: http://127.0.0.1:1",
        "Origin: file://",
        "Sec-Fetch-Site: cross-site",
        "Sec-Fetch-Site: same-site",
    ] {
        let answer = own.send("POST", "/find/creamery/strike", &[header], form);
        assert_eq!(answer.status, 403, "{header}");
    }
    let after = std::fs::read_to_string(site.folder().join("creamery.toml")).unwrap();
    assert!(before == after, "nothing was written");
}

#[test]
fn every_answer_forbids_what_is_not_its_own() {
    let site = Site::open(&["creamery.toml"]);
    for path in ["/", "/find/creamery", "/nowhere", "/look.css", "/trust"] {
        let answer = site.own().get(path);
        let policy = answer.header("content-security-policy").unwrap();
        for part in [
            "default-src 'none'",
            "script-src 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        ] {
            assert!(policy.contains(part), "{path}: {policy}");
        }
        assert!(!policy.contains("unsafe-eval") && !policy.contains("script-src 'unsafe"));
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
    }
}

/// The door to the network knows nobody until the passphrase came, then knows that device, and no other site through it.
#[test]
fn the_network_gets_in_by_the_passphrase_alone() {
    let site = Site::open_to_lan(&["creamery.toml"], &["--no-tls"]);
    let lan = site.lan();
    for path in [
        "/",
        "/find/creamery",
        "/find/creamery/sheet",
        "/find/creamery/report",
        "/nowhere",
        "/logout",
    ] {
        let answer = lan.get(path);
        assert_eq!(answer.status, 303, "{path}");
        assert!(
            answer.header("location").unwrap().starts_with("/login?to="),
            "{path}"
        );
        assert!(!answer.text.contains("creamery find"));
    }
    let answer = lan.send(
        "POST",
        "/find/creamery/strike",
        &[&lan.origin()],
        "number=1&reason=x",
    );
    assert_eq!(answer.status, 401);
    let behind = lan.send("GET", "/find/creamery/live", &["Sec-Fetch-Mode: cors"], "");
    assert_eq!(behind.status, 401, "a script is told, not led on");
    // The network's door answers to the network's names only, and this machine's door never to those.
    let own_name = format!(
        "GET /login HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
        site.own().host()
    );
    assert_eq!(lan.raw(own_name.as_bytes()).unwrap().status, 403);
    let lan_name = format!(
        "GET / HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
        lan.host()
    );
    assert_eq!(site.own().raw(lan_name.as_bytes()).unwrap().status, 403);

    // A session somebody else made up is not taken over: the word given out is new.
    let theirs = "0".repeat(64);
    let fixed = format!("Cookie: windfall={theirs}");
    let answer = lan.send(
        "POST",
        "/login",
        &[&lan.origin(), &fixed],
        &format!("passphrase={}&to=/find/creamery", door::PASSPHRASE),
    );
    assert_eq!(
        (answer.status, answer.header("location")),
        (303, Some("/find/creamery"))
    );
    let set = answer.header("set-cookie").unwrap().to_owned();
    assert!(
        set.contains("HttpOnly") && set.contains("SameSite=Strict") && set.contains("Max-Age="),
        "{set}"
    );
    let cookie = format!("Cookie: {}", set.split(';').next().unwrap());
    assert!(!cookie.contains(&theirs));
    assert_eq!(lan.send("GET", "/", &[&fixed], "").status, 303);
    assert_eq!(
        lan.send("GET", "/find/creamery", &[&cookie], "").status,
        200
    );

    // The cookie in another site's hands: without our origin it writes nothing.
    for header in [
        "Origin: http://example.org",
        "Origin: null",
        "Sec-Fetch-Site: cross-site",
        "X-None: 1",
    ] {
        let answer = lan.send(
            "POST",
            "/find/creamery/strike",
            &[&cookie, header],
            "number=1&reason=x",
        );
        assert_eq!(answer.status, 403, "{header}");
    }
    let answer = lan.send(
        "POST",
        "/login",
        &["Origin: http://example.org"],
        &format!("passphrase={}", door::PASSPHRASE),
    );
    assert_eq!(answer.status, 403, "nobody is logged in by another site");

    let answer = lan.send("POST", "/logout", &[&cookie, &lan.origin()], "");
    assert!(answer.header("set-cookie").unwrap().contains("Max-Age=0"));
    assert_eq!(
        lan.send("GET", "/find/creamery", &[&cookie], "").status,
        303
    );
}

#[test]
fn login_leads_nowhere_else() {
    let site = Site::open_to_lan(&[], &["--no-tls"]);
    let lan = site.lan();
    for to in [
        "https://example.org/",
        "//example.org",
        "/%5Cexample.org",
        "/%0d%0aSet-Cookie:+a=b",
        "javascript:alert(1)",
    ] {
        let form = format!("passphrase={}&to={to}", door::PASSPHRASE);
        let answer = lan.send("POST", "/login", &[&lan.origin()], &form);
        assert_eq!(
            (answer.status, answer.header("location")),
            (303, Some("/")),
            "{to}"
        );
    }
    let shown = lan.get("/login?to=%22%3E%3Cscript%3Ealert(1)%3C/script%3E");
    assert!(!shown.text.contains("<script>alert"));
}

/// Without TLS on a TLS port there is the way to trust, and not a word of the book.
#[test]
fn a_tls_port_tells_nothing_without_tls() {
    let site = Site::open_to_lan(&["creamery.toml"], &[]);
    let lan: Door = site.lan();
    for path in ["/", "/find/creamery", "/login"] {
        let answer = lan.get(path);
        assert_eq!(
            (answer.status, answer.header("location")),
            (303, Some("/trust")),
            "{path}"
        );
    }
    let trust = lan.get("/trust");
    assert_eq!(trust.status, 200);
    let fingerprint = site.fingerprint();
    assert!(trust.text.contains(&fingerprint), "{fingerprint}");
    assert!(
        lan.get("/trust/authority.pem")
            .text
            .contains("BEGIN CERTIFICATE")
    );
    let posted = lan.send(
        "POST",
        "/login",
        &[&lan.origin()],
        &format!("passphrase={}", door::PASSPHRASE),
    );
    assert!(
        posted.header("set-cookie").is_none(),
        "the passphrase is not taken in the clear"
    );
    let kept = site.folder().join(".windfall-gate");
    for file in ["authority.key", "authority.crt", "passphrase"] {
        assert!(kept.join(file).exists(), "{file}");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = kept.join(file).metadata().unwrap().permissions().mode();
            assert_eq!(mode & 0o077, 0, "{file} is its owner's alone");
        }
    }
}
