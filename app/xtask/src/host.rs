//! A small server of static files for this machine, with the headers that a real host should send.

use crate::Outcome;
use crate::finish;
use sha2::{Digest, Sha256};
use std::fs;
use std::io::{self, BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// Longest head of a request that is read; a browser's is under 2 kB.
const LONGEST_HEAD: usize = 16 * 1024;

/// Where a folder is served.
#[derive(Debug, PartialEq)]
pub struct Site {
    /// 0 lets the system choose.
    port: u16,
    /// Path with a `/` at both ends.
    folder: String,
}

impl Site {
    /// Reads `--port N` and `--folder NAME`.
    pub fn read(words: &[&str], port: u16) -> Outcome<Self> {
        let mut site = Self { port, folder: "/".to_owned() };
        let mut rest = words;
        while let [name, value, after @ ..] = rest {
            match *name {
                "--port" => {
                    site.port =
                        value.parse().map_err(|_| format!("--port takes a number from 0 to 65535, not {value:?}"))?
                }
                "--folder" if value.trim_matches('/').is_empty() => site.folder = "/".to_owned(),
                "--folder" => site.folder = format!("/{}/", value.trim_matches('/')),
                _ => break,
            }
            rest = after;
        }
        if rest.is_empty() {
            Ok(site)
        } else {
            Err(format!("not understood: {:?}; known are --port N and --folder NAME", rest.join(" ")))
        }
    }
}

/// Serves until it is stopped. Its one line on standard output is the address.
pub fn serve(dir: &Path, site: &Site) -> Outcome {
    let index = dir.join("index.html");
    if !index.is_file() {
        return Err(format!("{} is not there; run `cargo xtask build` first", index.display()));
    }
    let listener = TcpListener::bind(("127.0.0.1", site.port))
        .map_err(|why| format!("port {} cannot be had ({why}); another one: --port N", site.port))?;
    let port = listener.local_addr().map_or(site.port, |address| address.port());
    println!("http://localhost:{port}{}", site.folder);
    let (dir, folder): (Arc<Path>, Arc<str>) = (dir.into(), site.folder.as_str().into());
    loop {
        let Ok((stream, _)) = listener.accept() else {
            continue;
        };
        let (dir, folder) = (dir.clone(), folder.clone());
        // A thread a connection: a browser opens several, leaves some idle, and goes away without a word.
        std::thread::spawn(move || talk(&stream, &dir, &folder).ok());
    }
}

/// Answers one request after another until the other side is done.
fn talk(stream: &TcpStream, dir: &Path, folder: &str) -> io::Result<()> {
    stream.set_nodelay(true)?;
    stream.set_read_timeout(Some(Duration::from_secs(300)))?;
    let mut from = BufReader::new(stream);
    let mut to = stream;
    loop {
        let mut head = Vec::new();
        while !head.ends_with(b"\r\n\r\n") {
            let before = head.len();
            from.read_until(b'\n', &mut head)?;
            if head.len() == before {
                return Ok(());
            }
            if head.len() > LONGEST_HEAD {
                return to.write_all(&Answer::plain(431, "Request too long.\n").bytes(false));
            }
        }
        let (bytes, close) = reply(&head, dir, folder);
        to.write_all(&bytes)?;
        if close {
            return Ok(());
        }
    }
}

/// The answer to a request's head, and whether the connection ends with it.
fn reply(head: &[u8], dir: &Path, folder: &str) -> (Vec<u8>, bool) {
    let mut space = [httparse::EMPTY_HEADER; 64];
    let mut request = httparse::Request::new(&mut space);
    let whole = request.parse(head).is_ok_and(|status| status.is_complete());
    let (true, Some(method), Some(asked)) = (whole, request.method, request.path) else {
        return (Answer::plain(400, "Not understood.\n").bytes(false), true);
    };
    let value = |name: &str| {
        let found = request.headers.iter().find(|header| header.name.eq_ignore_ascii_case(name));
        found.map(|header| String::from_utf8_lossy(header.value).into_owned())
    };
    // What follows the head of any other method is not read, so nothing after it could be understood.
    if !matches!(method, "GET" | "HEAD") {
        return (Answer::plain(405, "Only GET and HEAD.\n").bytes(false), true);
    }
    let close = value("connection").is_some_and(|word| word.eq_ignore_ascii_case("close"));
    let asked = asked.split(['?', '#']).next().unwrap_or_default();
    (give(asked, value("if-none-match").as_deref(), dir, folder).bytes(method == "HEAD"), close)
}

struct Answer {
    status: u16,
    headers: Vec<(&'static str, String)>,
    body: Vec<u8>,
}

impl Answer {
    fn plain(status: u16, text: &str) -> Self {
        let headers = vec![("Content-Type", "text/plain; charset=utf-8".to_owned())];
        Self { status, headers, body: text.as_bytes().to_vec() }
    }

    fn bytes(&self, head_only: bool) -> Vec<u8> {
        let headers: String = self.headers.iter().map(|(name, value)| format!("{name}: {value}\r\n")).collect();
        let mut bytes = format!("HTTP/1.1 {} \r\n{headers}", self.status).into_bytes();
        // An answer "not modified" must not tell the length of a body that it does not bring.
        if self.status != 304 {
            bytes.extend(format!("Content-Length: {}\r\n", self.body.len()).bytes());
        }
        bytes.extend(b"\r\n");
        if !head_only {
            bytes.extend(&self.body);
        }
        bytes
    }
}

fn give(asked: &str, known: Option<&str>, dir: &Path, folder: &str) -> Answer {
    if format!("{asked}/") == folder {
        return Answer { status: 301, headers: vec![("Location", folder.to_owned())], body: Vec::new() };
    }
    let Some(path) = asked.strip_prefix(folder).and_then(|rest| inside(dir, rest)) else {
        return Answer::plain(404, "Not here.\n");
    };
    let Ok(body) = fs::read(&path) else {
        return Answer::plain(500, "The file cannot be read.\n");
    };
    let tag =
        format!("\"{}\"", Sha256::digest(&body).iter().take(12).map(|byte| format!("{byte:02x}")).collect::<String>());
    let file = path.strip_prefix(dir).unwrap_or(&path).to_string_lossy();
    let mut headers: Vec<_> = finish::headers(&file).collect();
    headers.push(("Content-Type", kind(&path).to_owned()));
    let same = known == Some(tag.as_str());
    headers.push(("ETag", tag));
    if same { Answer { status: 304, headers, body: Vec::new() } } else { Answer { status: 200, headers, body } }
}

/// The file that `rest` of an address means, if it is one inside `dir`.
fn inside(dir: &Path, rest: &str) -> Option<PathBuf> {
    let rest = if rest.is_empty() || rest.ends_with('/') { format!("{rest}index.html") } else { rest.to_owned() };
    // A dot at a name's start also bars `..` and the host's own `.htaccess`; names of built files need no escapes.
    let fair = |part: &str| !part.is_empty() && !part.starts_with('.') && !part.contains(['\\', '%', ':']);
    let path = dir.join(&rest);
    (rest.split('/').all(fair) && path.is_file()).then_some(path)
}

/// The media type by a name's ending.
fn kind(path: &Path) -> &'static str {
    match path.extension().and_then(|ending| ending.to_str()).unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "wasm" => "application/wasm",
        "webmanifest" => "application/manifest+json",
        "json" => "application/json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" => "image/jpeg",
        "txt" | "md" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read() {
        let site = |port, folder: &str| Some(Site { port, folder: folder.to_owned() });
        for (words, expected) in [
            (&[][..], site(8080, "/")),
            (&["--port", "0"], site(0, "/")),
            (&["--folder", "barn/eggs/"], site(8080, "/barn/eggs/")),
            (&["--folder", "/", "--port", "9"], site(9, "/")),
            (&["--port"], None),
            (&["--port", "70000"], None),
            (&["--colour", "red"], None),
        ] {
            assert_eq!(Site::read(words, 8080).ok(), expected, "{words:?}");
        }
    }

    #[test]
    fn requests_are_answered() {
        let dir = Path::new(env!("CARGO_MANIFEST_DIR"));
        let whole = fs::read_to_string(dir.join("Cargo.toml")).expect("a file");
        for (request, status, closes) in [
            ("GET /a/Cargo.toml HTTP/1.1\r\nHost: x\r\n\r\n", 200, false),
            ("GET /a/Cargo.toml?q=1 HTTP/1.1\r\nConnection: close\r\n\r\n", 200, true),
            ("GET /a HTTP/1.1\r\n\r\n", 301, false),
            ("GET /Cargo.toml HTTP/1.1\r\n\r\n", 404, false),
            ("GET /a/../Cargo.toml HTTP/1.1\r\n\r\n", 404, false),
            ("POST /a/Cargo.toml HTTP/1.1\r\n\r\n", 405, true),
            ("nonsense\r\n\r\n", 400, true),
        ] {
            let (bytes, closed) = reply(request.as_bytes(), dir, "/a/");
            let text = String::from_utf8_lossy(&bytes);
            assert!(text.starts_with(&format!("HTTP/1.1 {status} ")), "{request} gave {text}");
            assert_eq!(closed, closes, "{request}");
            assert_eq!(text.ends_with(&format!("\r\n\r\n{whole}")), status == 200, "{request}");
        }
        let (head, _) = reply(b"HEAD /a/Cargo.toml HTTP/1.1\r\n\r\n", dir, "/a/");
        assert!(String::from_utf8_lossy(&head).ends_with("\r\n\r\n"));
    }

    #[test]
    fn only_files_inside_are_given() {
        let dir = Path::new(env!("CARGO_MANIFEST_DIR"));
        for (rest, given) in [
            ("Cargo.toml", true),
            ("src/main.rs", true),
            ("src/", false),
            ("", false),
            ("../web/Cargo.toml", false),
            ("src/../Cargo.toml", false),
            ("%2e%2e/web/Cargo.toml", false),
            ("/etc/passwd", false),
            ("src//main.rs", false),
        ] {
            assert_eq!(inside(dir, rest).is_some(), given, "{rest}");
        }
    }
}
