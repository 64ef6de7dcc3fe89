//! Objects in a bucket of any store that speaks S3's protocol. Addresses are signed (AWS Signature Version 4, by
//! `rusty-s3`), so that a browser needs no header of its own and the secret key is never sent.

use super::http::{Http, Method};
use super::{Found, Secret, Verb};
use jiff::Timestamp;
use percent_encoding::percent_decode_str;
use roxmltree::{Document, Node, ParsingOptions};
use rusty_s3::actions::{DeleteObject, GetObject, PutObject, S3Action};
use rusty_s3::{Credentials, UrlStyle};
use std::fmt;
use std::time::Duration;
use url::Url;

/// How long a signed address is good for.
const GOOD_FOR: Duration = Duration::from_secs(15 * 60);
/// The most elements of an answer that are read.
const MOST_NODES: u32 = 200_000;

/// A bucket and what opens it.
#[derive(Clone)]
pub struct Bucket {
    bucket: rusty_s3::Bucket,
    credentials: Credentials,
}

impl PartialEq for Bucket {
    fn eq(&self, other: &Bucket) -> bool {
        let parts = |it: &Bucket| (it.bucket.base_url().clone(), it.credentials.key().to_owned());
        parts(self) == parts(other) && self.credentials.secret() == other.credentials.secret()
    }
}

/// Where it is, and nothing that gives access.
impl fmt::Debug for Bucket {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let url = self.bucket.base_url();
        write!(f, "Bucket({}{})", url.host_str().unwrap_or_default(), url.path())
    }
}

impl Bucket {
    /// `address` is the server's, without the bucket. The bucket's name is part of the path, as every store but the
    /// largest wants it. None where they make no address.
    pub fn new(address: &str, region: &str, name: &str, key: &str, secret: &Secret) -> Option<Bucket> {
        let address = Url::parse(address).ok()?;
        let bucket = rusty_s3::Bucket::new(address, UrlStyle::Path, name.to_owned(), region.to_owned()).ok()?;
        Some(Bucket { bucket, credentials: Credentials::new(key, secret.reveal()) })
    }

    pub(super) fn request(&self, verb: &Verb, next: Option<&str>, now_ms: u64) -> Http {
        let access = Some(&self.credentials);
        // Beyond what a time can hold the store will call the clock wrong, which it is.
        let now = i64::try_from(now_ms).ok().and_then(|ms| Timestamp::from_millisecond(ms).ok()).unwrap_or_default();
        let http =
            |method, url: Url, body: &[u8]| Http { method, url: url.into(), headers: Vec::new(), body: body.to_vec() };
        match verb {
            Verb::Put { path, bytes } => {
                let url = PutObject::new(&self.bucket, access, path).sign_with_time(GOOD_FOR, &now);
                http(Method::Put, url, bytes)
            }
            Verb::Get { path } => {
                let url = GetObject::new(&self.bucket, access, path).sign_with_time(GOOD_FOR, &now);
                http(Method::Get, url, &[])
            }
            Verb::Delete { path } => {
                let url = DeleteObject::new(&self.bucket, access, path).sign_with_time(GOOD_FOR, &now);
                http(Method::Delete, url, &[])
            }
            Verb::List { folder } => {
                // The bucket itself is the object without a name. What `rusty-s3` has for lists brings an XML reader of its own.
                let mut list = GetObject::new(&self.bucket, access, "");
                let asks = list.query_mut();
                asks.insert("list-type", "2");
                asks.insert("encoding-type", "url");
                asks.insert("prefix", format!("{folder}/"));
                asks.insert("delimiter", "/");
                if let Some(next) = next {
                    asks.insert("continuation-token", next.to_owned());
                }
                http(Method::Get, list.sign_with_time(GOOD_FOR, &now), &[])
            }
        }
    }

    /// A part of a list, and what asks for the next one.
    pub(super) fn listed(&self, folder: &str, body: &[u8]) -> Option<(Vec<Found>, Option<String>)> {
        let text = std::str::from_utf8(body).ok()?.trim_start();
        let options = ParsingOptions { nodes_limit: MOST_NODES, ..ParsingOptions::default() };
        let document = Document::parse_with_options(text, options).ok()?;
        let root = document.root_element();
        if root.tag_name().name() != "ListBucketResult" {
            return None;
        }
        let escaped = child(root, "EncodingType").as_deref() == Some("url");
        let found = root.children().filter(|node| node.tag_name().name() == "Contents").filter_map(|object| {
            let key = child(object, "Key")?;
            let key = match escaped {
                true => percent_decode_str(&key).decode_utf8().ok()?.into_owned(),
                false => key,
            };
            let name = key.strip_prefix(folder)?.strip_prefix('/')?.to_owned();
            let tag = child(object, "ETag").map(|tag| tag.trim_matches('"').to_owned());
            (!name.is_empty() && !name.contains('/')).then_some(Found { name, tag })
        });
        let next = child(root, "NextContinuationToken").filter(|next| !next.is_empty());
        Some((found.collect(), next))
    }

    /// Whether an answer says that the request was signed at another time than now.
    pub(super) fn clock_is_off(&self, body: &[u8]) -> bool {
        let Some(text) = std::str::from_utf8(body).ok().filter(|text| text.len() < 64 << 10) else { return false };
        let Ok(document) = Document::parse(text.trim_start()) else { return false };
        let code = child(document.root_element(), "Code");
        matches!(code.as_deref(), Some("RequestTimeTooSkewed" | "RequestExpired"))
    }
}

fn child(node: Node<'_, '_>, name: &str) -> Option<String> {
    let child = node.children().find(|child| child.tag_name().name() == name)?;
    child.text().map(|text| text.trim().to_owned())
}
