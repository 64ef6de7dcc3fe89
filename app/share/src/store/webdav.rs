//! A web folder (WebDAV, RFC 4918): PUT, GET, DELETE, PROPFIND with a depth of 1, and MKCOL for folders that are not there.

use super::http::{Http, Method, shown};
use super::{Found, Secret, Verb};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use percent_encoding::percent_decode_str;
use roxmltree::{Document, Node, ParsingOptions};
use std::fmt;

/// The most elements of an answer that are read.
const MOST_NODES: u32 = 2_000_000;

/// Asked for by name: all properties would make some servers look into every file.
const ASKS: &str = r#"<?xml version="1.0" encoding="utf-8"?><d:propfind xmlns:d="DAV:"><d:prop><d:getetag/><d:resourcetype/></d:prop></d:propfind>"#;

/// A web folder and what opens it.
#[derive(Clone, PartialEq)]
pub struct WebFolder {
    base: String,
    /// The header `Authorization`; none where the folder is open to everybody who reaches it.
    access: Option<Secret>,
}

impl fmt::Debug for WebFolder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("WebFolder").field("base", &shown(&self.base)).field("access", &self.access).finish()
    }
}

impl WebFolder {
    /// `address` is the folder's, with or without a slash at its end.
    pub fn new(address: &str, user: &str, password: &Secret) -> WebFolder {
        let access = (!user.is_empty()).then(|| {
            let pair = format!("{user}:{}", password.reveal());
            Secret::new(format!("Basic {}", BASE64_STANDARD.encode(pair)))
        });
        WebFolder { base: address.trim_end_matches('/').to_owned(), access }
    }

    pub(super) fn request(&self, verb: &Verb) -> Http {
        match verb {
            Verb::Put { path, bytes } => Http {
                body: bytes.clone(),
                ..self.http(Method::Put, path, &[("Content-Type", "application/octet-stream")])
            },
            Verb::Get { path } => self.http(Method::Get, path, &[]),
            Verb::Delete { path } => self.http(Method::Delete, path, &[]),
            Verb::List { folder } => Http {
                body: ASKS.as_bytes().to_vec(),
                // Without the slash servers redirect, which browsers do not follow across origins with a login.
                ..self.http(
                    Method::Propfind,
                    &format!("{folder}/"),
                    &[("Depth", "1"), ("Content-Type", "application/xml; charset=utf-8")],
                )
            },
        }
    }

    /// `folder` is empty for the web folder itself.
    pub(super) fn make(&self, folder: &str) -> Http {
        let path = if folder.is_empty() { String::new() } else { format!("{folder}/") };
        self.http(Method::Mkcol, &path, &[])
    }

    fn http(&self, method: Method, path: &str, headers: &[(&'static str, &str)]) -> Http {
        let access = self.access.iter().map(|access| ("Authorization", access.reveal().to_owned()));
        let headers = headers.iter().map(|(name, value)| (*name, (*value).to_owned()));
        // Ours have letters, digits, dots and hyphens only: nothing to be escaped.
        Http {
            method,
            url: format!("{}/{path}", self.base),
            headers: access.chain(headers).collect(),
            body: Vec::new(),
        }
    }

    /// The objects in an answer of PROPFIND, none where it is no such answer. Servers differ in prefixes, in whole
    /// addresses or paths, in escapes, in weak tags, and in whether the folder itself is among them.
    pub(super) fn listed(&self, folder: &str, body: &[u8]) -> Option<Vec<Found>> {
        let text = std::str::from_utf8(body).ok()?.trim_start_matches('\u{feff}').trim_start();
        let options = ParsingOptions { nodes_limit: MOST_NODES, ..ParsingOptions::default() };
        let document = Document::parse_with_options(text, options).ok()?;
        let root = document.root_element();
        if root.tag_name().name() != "multistatus" {
            return None;
        }
        let parent = folder.rsplit('/').next().unwrap_or_default();
        let found = named(root, "response").filter_map(|response| {
            let href = named(response, "href").next()?.text()?.trim();
            let folder = response.descendants().any(|node| node.tag_name().name() == "collection");
            let path = href.split(['?', '#']).next().unwrap_or_default();
            let mut steps = path.trim_end_matches('/').rsplit('/').map(|step| percent_decode_str(step).decode_utf8());
            let name = steps.next()?.ok()?.into_owned();
            // Only what lies in this very folder: some servers ignore the depth.
            let here = steps.next().and_then(Result::ok).is_some_and(|step| step == parent);
            let tag =
                response.descendants().find(|node| node.tag_name().name() == "getetag").and_then(|tag| tag.text());
            let tag = tag.map(|tag| tag.trim().trim_start_matches("W/").trim_matches('"').to_owned());
            (here && !folder && !name.is_empty()).then_some(Found { name, tag: tag.filter(|tag| !tag.is_empty()) })
        });
        Some(found.collect())
    }
}

fn named<'a>(node: Node<'a, 'a>, name: &'static str) -> impl Iterator<Item = Node<'a, 'a>> {
    node.children().filter(move |child| child.tag_name().name() == name)
}
