//! The last step of a build: the app's parts, the page of notices, header files for static hosts, and the list of files in
//! the service worker.

use crate::Outcome;
use crate::notices;
use crate::parts;
use crate::say::about;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};

/// The page's security policy. `wasm-unsafe-eval` is what compiling WebAssembly needs; nothing inline, no other origin.
pub const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
    img-src 'self' blob: data:; media-src 'self' blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; \
    font-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Every header that the page is to be served with.
pub const HEADERS: [(&str, &str); 6] = [
    ("Content-Security-Policy", POLICY),
    ("Permissions-Policy", "camera=(self), microphone=(), geolocation=()"),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cache-Control", "no-cache"),
];

/// The one program that asks another server, the store that the keeper named; nobody knows beforehand which. A worker that comes
/// from a server has that server's policy for it, not the page's.
const SHARE_WORKER: &str = "share-worker_loader.js";

/// The headers that a file is to be served with.
pub fn headers(file: &str) -> impl Iterator<Item = (&'static str, String)> {
    let open = file == SHARE_WORKER;
    HEADERS.iter().map(move |(name, value)| match *name {
        "Content-Security-Policy" if open => (*name, share_policy()),
        _ => (*name, (*value).to_owned()),
    })
}

fn share_policy() -> String {
    POLICY.replace("connect-src 'self'", "connect-src 'self' https: http:")
}

const WORKER: &str = "sw.js";
/// The folder that Trunk builds in. One that was ended while it built leaves it behind in `dist/`.
const STAGE: &str = ".stage";
/// For the host, not for the page: never asked for by a browser.
const HOSTS: [&str; 2] = ["_headers", ".htaccess"];

/// Finishes what Trunk has staged, before it replaces the last `dist/`.
pub fn staged() -> Outcome {
    let dir = std::env::var_os("TRUNK_STAGING_DIR").ok_or("this is Trunk's last step; run `cargo xtask build`")?;
    let dir = Path::new(&dir);
    parts::cut(dir)?;
    let page = dir.join("index.html");
    let text = fs::read_to_string(&page).map_err(about("read", &page))?;
    let text = one_sheet(dir, &parts::loader_early(&text, dir)?)?;
    fs::write(&page, text).map_err(about("write", &page))?;
    for script in parts::files(dir, "js")?.into_iter().filter(|script| is_first(script)) {
        let text = fs::read_to_string(&script).map_err(about("read", &script))?;
        fs::write(&script, bare(&text)).map_err(about("write", &script))?;
    }
    notices::write(dir)?;
    folder(dir)
}

/// Joins the page's style sheets, in their order, into one file: each costs a slow phone a turn before the first drawing.
/// Gives the page's text with the one link.
fn one_sheet(dir: &Path, page: &str) -> Outcome<String> {
    let links: Vec<&str> = page.split_inclusive('>').filter_map(sheet).collect();
    let [first, rest @ ..] = links.as_slice() else { return Ok(page.to_owned()) };
    if rest.is_empty() {
        return Ok(page.to_owned());
    }
    let mut joined = String::new();
    let mut text = page.to_owned();
    for link in &links {
        let name = href(link).ok_or_else(|| format!("a style sheet's link without its file: {link}"))?;
        let file = dir.join(name);
        joined += &fs::read_to_string(&file).map_err(about("read", &file))?;
        fs::remove_file(&file).map_err(about("remove", &file))?;
        if link != first {
            text = text.replacen(link, "", 1);
        }
    }
    let digest: String = Sha256::digest(&joined).iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    let name = format!("style-{digest}.css");
    fs::write(dir.join(&name), joined).map_err(about("write in", dir))?;
    Ok(text.replacen(first, &format!("<link rel=\"stylesheet\" href=\"./{name}\">"), 1))
}

/// The link to a style sheet at the end of a piece of the page.
fn sheet(piece: &str) -> Option<&str> {
    let link = &piece[piece.rfind("<link")?..];
    (link.contains("rel=stylesheet") || link.contains("rel=\"stylesheet\"")).then_some(link)
}

/// The file a link names, beside the page.
fn href(link: &str) -> Option<&str> {
    let named = link.split_once("href=")?.1.trim_start_matches('"').trim_start_matches("./");
    named.split(['"', ' ', '>']).next().filter(|name| !name.is_empty())
}

/// Whether every start waits for this script.
fn is_first(script: &Path) -> bool {
    script.file_name().is_some_and(|name| name == "boot.js" || name.to_string_lossy().starts_with("web-"))
}

/// A script without the lines that are comments and nothing else, and without what its lines begin and end in. One that
/// may hold a text of several lines stays as it is.
fn bare(script: &str) -> String {
    if script.lines().any(|line| line.matches('`').count() % 2 == 1) {
        return script.to_owned();
    }
    let mut within = false;
    let mut out = String::new();
    for line in script.lines().map(str::trim) {
        let begins = line.starts_with("/**") && (line.ends_with("*/") || !line.contains("*/"));
        let comment = within || begins;
        within = comment && !line.ends_with("*/");
        if !comment && !line.is_empty() && !line.starts_with("//") {
            out += line;
            out.push('\n');
        }
    }
    out
}

/// Writes the header files and the service worker's list; doing so again changes nothing.
pub fn folder(dir: &Path) -> Outcome {
    fs::write(dir.join("_headers"), underscore_headers()).map_err(about("write in", dir))?;
    fs::write(dir.join(".htaccess"), htaccess()).map_err(about("write in", dir))?;
    let files = files(dir)?;
    let worker = dir.join(WORKER);
    let text = fs::read_to_string(&worker).map_err(about("read", &worker))?;
    fs::write(&worker, with_list(&text, &files)?).map_err(about("write", &worker))
}

/// Path (with `/`) and SHA-256 in Base64 of each file to keep offline, by path.
pub fn files(dir: &Path) -> Outcome<Vec<(String, String)>> {
    let mut found = Vec::new();
    walk(dir, &mut found)?;
    let mut files = Vec::new();
    for path in found {
        let name = path.strip_prefix(dir).map_err(|why| why.to_string())?;
        let name = name.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
        if name == WORKER || HOSTS.contains(&name.as_str()) {
            continue;
        }
        let bytes = fs::read(&path).map_err(about("read", &path))?;
        files.push((name, BASE64_STANDARD.encode(Sha256::digest(bytes))));
    }
    files.sort();
    Ok(files)
}

fn walk(dir: &Path, found: &mut Vec<PathBuf>) -> Outcome {
    for entry in fs::read_dir(dir).map_err(about("read", dir))? {
        let path = entry.map_err(about("read", dir))?.path();
        let stage = path.file_name().is_some_and(|name| name == STAGE);
        match path.is_dir() {
            true if stage => {}
            true => walk(&path, found)?,
            false => found.push(path),
        }
    }
    Ok(())
}

/// The worker's text with its two generated lines; the version names the files and the worker's own text.
fn with_list(worker: &str, files: &[(String, String)]) -> Outcome<String> {
    let list = serde_json::to_string(files).map_err(|why| why.to_string())?;
    let bare = replaced(&replaced(worker, "const FILES = ", "[];")?, "const VERSION = ", "'unbuilt';")?;
    let digest = Sha256::digest(format!("{bare}\n{list}"));
    let version: String = digest.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    replaced(&replaced(&bare, "const FILES = ", &format!("{list};"))?, "const VERSION = ", &format!("'{version}';"))
}

fn replaced(text: &str, start: &str, rest: &str) -> Outcome<String> {
    let mut times = 0;
    let lines: Vec<String> = text
        .lines()
        .map(|line| {
            if line.starts_with(start) {
                times += 1;
                format!("{start}{rest}")
            } else {
                line.to_owned()
            }
        })
        .collect();
    if times == 1 {
        Ok(lines.join("\n") + "\n")
    } else {
        Err(format!("public/{WORKER} must hold exactly one line that starts with {start:?}, and holds {times}"))
    }
}

/// The form that several hosts of static pages read; files whose names carry a hash may be kept for good.
fn underscore_headers() -> String {
    let lines: Vec<String> = HEADERS.iter().map(|(name, value)| format!("  {name}: {value}")).collect();
    // All rules that fit a file count: what the first one said of it is taken back before the second says it.
    format!(
        "/*\n{}\n/{SHARE_WORKER}\n  ! Content-Security-Policy\n  Content-Security-Policy: {}\n",
        lines.join("\n"),
        share_policy()
    )
}

/// The same for hosts that run Apache's server.
fn htaccess() -> String {
    let lines: Vec<String> =
        HEADERS.iter().map(|(name, value)| format!("  Header always set {name} \"{value}\"")).collect();
    format!(
        "AddType application/wasm .wasm\nAddType text/javascript .js .mjs\nAddType application/manifest+json .webmanifest\n\
         <IfModule mod_headers.c>\n{}\n  <Files \"{SHARE_WORKER}\">\n  Header always set Content-Security-Policy \"{}\"\n  \
         </Files>\n</IfModule>\n",
        lines.join("\n"),
        share_policy()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::say::root;

    #[test]
    fn the_page_carries_the_policy_of_the_headers() {
        let page = fs::read_to_string(root().join("app/web/index.html")).expect("the page");
        let own = POLICY.replace("; frame-ancestors 'none'", "");
        assert!(page.contains(&format!("content=\"{own}\"")), "app/web/index.html must hold the policy: {own}");
    }

    #[test]
    fn one_file_may_ask_other_servers() {
        let policy = |file: &str| headers(file).find(|(name, _)| *name == "Content-Security-Policy").expect("it").1;
        for file in ["index.html", "sw.js", "carry-worker_loader.js", "share-worker.js", "x/share-worker_loader.js"] {
            assert_eq!(policy(file), POLICY, "{file}");
        }
        assert_eq!(policy(SHARE_WORKER).matches("connect-src 'self' https: http:;").count(), 1);
        assert_eq!(underscore_headers().matches("https: http:").count(), 1);
        assert_eq!(htaccess().matches("https: http:").count(), 1);
    }

    /// Two things that share a class by accident take each other's shape: a class by itself is described once.
    #[test]
    fn a_class_alone_has_one_rule() {
        let mut rules: std::collections::BTreeMap<String, String> = std::collections::BTreeMap::new();
        for entry in fs::read_dir(root().join("style")).expect("style/") {
            let path = entry.expect("an entry").path();
            let text = fs::read_to_string(&path).expect("a style sheet");
            let alone = text.lines().filter_map(|line| line.strip_prefix('.')?.split_once(" {"));
            for (class, rule) in
                alone.filter(|(class, _)| class.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-'))
            {
                let before = rules.insert(class.to_owned(), rule.to_owned());
                assert_eq!(before, None, ".{class} in {}", path.display());
            }
        }
        assert!(rules.len() > 20, "{}", rules.len());
    }

    #[test]
    fn every_style_sheet_is_linked() {
        let page = fs::read_to_string(root().join("app/web/index.html")).expect("the page");
        let mut sheets = 0;
        for entry in fs::read_dir(root().join("style")).expect("style/") {
            let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
            sheets += 1;
            assert!(
                page.contains(&format!("href=\"../../style/{name}\"")),
                "app/web/index.html must link style/{name}"
            );
        }
        assert!(sheets > 0);
    }

    #[test]
    fn style_sheets_become_one_in_their_order() {
        let dir = std::env::temp_dir().join(format!("candlemark-sheets-{}", std::process::id()));
        fs::create_dir_all(&dir).expect("a folder");
        for (name, text) in [("a-1.css", "a{top:0}"), ("b-2.css", "b{top:1}")] {
            fs::write(dir.join(name), text).expect("a sheet");
        }
        let page = "<p>x<link href=./a-1.css rel=stylesheet><link rel=\"stylesheet\" href=\"./b-2.css\"><link rel=icon href=i>";
        let joined = one_sheet(&dir, page).expect("joined");
        let name = href(joined.split_inclusive('>').find_map(sheet).expect("one link")).expect("its file");
        assert_eq!(fs::read_to_string(dir.join(name)).expect("the sheet"), "a{top:0}b{top:1}");
        assert_eq!(joined, format!("<p>x<link rel=\"stylesheet\" href=\"./{name}\"><link rel=icon href=i>"));
        assert!(!dir.join("a-1.css").exists() && !dir.join("b-2.css").exists());
        assert_eq!(one_sheet(&dir, &joined).expect("joined again"), joined);
        fs::remove_dir_all(&dir).expect("tidied");
    }

    #[test]
    fn a_script_keeps_all_but_its_comments() {
        let script = "// What it is.\n\n/** One. */\n/** Three */ b();\nconst a = '//x';\n/** Two,\n *  lines. */\nf(a); // told\n  g('/**');\n";
        let kept = "/** Three */ b();\nconst a = '//x';\nf(a); // told\ng('/**');\n";
        assert_eq!(bare(script), kept);
        assert_eq!(bare(kept), kept);
        let several = "const a = `x\n  y`;\n// told\n";
        assert_eq!(bare(several), several);
    }

    #[test]
    fn the_manifest_and_the_icons_it_names_are_there() {
        let public = root().join("public");
        let text = fs::read_to_string(public.join("manifest.webmanifest")).expect("the manifest");
        let manifest: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        let icons = manifest["icons"].as_array().expect("icons");
        assert_eq!(icons.iter().filter(|icon| icon["purpose"] == "maskable").count(), 2);
        for icon in icons {
            let name = icon["src"].as_str().expect("a name");
            assert!(public.join(name).is_file(), "{name}");
        }
    }

    #[test]
    fn the_list_holds_every_file_and_names_the_version() {
        let dir = std::env::temp_dir().join(format!("candlemark-finish-{}", std::process::id()));
        fs::create_dir_all(dir.join("deep/er")).expect("a folder");
        let worker = fs::read_to_string(root().join("public/sw.js")).expect("the worker");
        // A build that was ended midway.
        fs::create_dir_all(dir.join(".stage/deep")).expect("a folder");
        for (name, text) in
            [("index.html", "page"), ("deep/er/a.wasm", "code"), (".stage/deep/b.wasm", "half"), ("sw.js", &worker)]
        {
            fs::write(dir.join(name), text).expect("a file");
        }
        let built = || fs::read_to_string(dir.join("sw.js")).expect("the worker");
        folder(&dir).expect("finished");
        let first = built();
        let listed = first.lines().find_map(|line| line.strip_prefix("const FILES = ")).expect("a list");
        let listed: Vec<(String, String)> = serde_json::from_str(listed.trim_end_matches(';')).expect("JSON");
        let hash = |text: &str| BASE64_STANDARD.encode(Sha256::digest(text));
        assert_eq!(listed, [("deep/er/a.wasm".to_owned(), hash("code")), ("index.html".to_owned(), hash("page"))]);
        folder(&dir).expect("finished again");
        assert_eq!(built(), first);
        fs::write(dir.join("index.html"), "another page").expect("a file");
        folder(&dir).expect("finished anew");
        let version = |text: &str| text.lines().find(|line| line.starts_with("const VERSION")).map(str::to_owned);
        assert_ne!(version(&built()), version(&first));
        fs::remove_dir_all(&dir).expect("tidied");
    }

    #[test]
    fn a_worker_without_its_line_is_refused() {
        let told = with_list("const VERSION = 'unbuilt';\n", &[]).expect_err("no list line");
        assert!(told.contains("const FILES"), "{told}");
    }
}
