//! Web folders: lists as servers write them, and folders that are not there yet.

use crate::{comes_to, heard, list, put, web_folder};
use share::store::{Answer, Found, Method, No, Step, Talk};

fn listed(body: &str) -> Step {
    comes_to(&web_folder(), list(), Some(&heard(207, body)))
}

fn response(href: &str, props: &str) -> String {
    format!("<D:response><D:href>{href}</D:href><D:propstat><D:prop>{props}</D:prop></D:propstat></D:response>")
}

fn multistatus(responses: &str) -> String {
    format!("<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<D:multistatus xmlns:D=\"DAV:\">{responses}</D:multistatus>")
}

const FOLDER: &str = "<D:resourcetype><D:collection/></D:resourcetype>";

#[test]
fn lists_are_read_as_servers_write_them() {
    let own = response("/dav/a/heads/", FOLDER);
    let etag = |tag: &str| format!("<D:resourcetype/><D:getetag>{tag}</D:getetag>");
    // Shapes allowed by RFC 4918 (sections 8.3, 9.1 and 14), from memory of what servers make of them.
    let bodies = [
        multistatus(&format!("{own}{}", response("/dav/a/heads/X.age", &etag("\"5e-64\"")))),
        // Whole addresses, escapes, a weak tag.
        multistatus(&format!("{own}{}", response("https://barn.example/dav/a/heads/%58.age", &etag("W/\"5e-64\"")))),
        // Another prefix, or none.
        multistatus(&format!("{own}{}", response("/dav/a/heads/X.age", &etag("\"5e-64\""))))
            .replace("D:", "lp1:")
            .replace(":D=", ":lp1="),
        multistatus(&format!("{own}{}", response("/dav/a/heads/X.age", &etag("\"5e-64\""))))
            .replace("D:", "")
            .replace(":D=", "="),
        // A tag without its quotes, escaped ones, and a byte order mark.
        format!(
            "\u{feff}{}",
            multistatus(&format!("{own}{}", response("/dav/a/heads/X.age", &etag("&quot;5e-64&quot;"))))
        ),
        // Everything below is told, as if no depth had been asked for.
        multistatus(&format!(
            "{own}{}{}{}",
            response("/dav/a/heads/X.age", &etag("5e-64")),
            response("/dav/a/heads/old/", FOLDER),
            response("/dav/a/heads/old/Y.age", &etag("\"1\""))
        )),
    ];
    for body in bodies {
        let found = vec![Found { name: "X.age".to_owned(), tag: Some("5e-64".to_owned()) }];
        assert_eq!(listed(&body), Step::Done(Answer::Listed(found)), "{body}");
    }
    let untold = multistatus(&response("/dav/a/heads/X.age", "<D:resourcetype/>"));
    assert_eq!(listed(&untold), Step::Done(Answer::Listed(vec![Found { name: "X.age".to_owned(), tag: None }])));
    assert_eq!(listed(&multistatus("")), Step::Done(Answer::Listed(Vec::new())));
    let none = comes_to(&web_folder(), list(), Some(&heard(404, "<html>not here</html>")));
    assert_eq!(none, Step::Done(Answer::Listed(Vec::new())));
}

#[test]
fn what_is_no_list_is_none() {
    // A page of a hotel's network, half an answer, and entities that would grow beyond all bounds.
    let bomb = "<!DOCTYPE m [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\">]><D:multistatus xmlns:D=\"DAV:\">&b;</D:multistatus>";
    let whole = multistatus(&response("/dav/a/heads/X.age", ""));
    for body in ["", "<html><body>Log in</body></html>", bomb, &whole[..whole.len() / 2]] {
        assert_eq!(listed(body), Step::Done(Answer::No(No::Odd(0))), "{body}");
    }
}

#[test]
fn folders_are_made_where_they_are_missing() {
    let shop = web_folder();
    for missing in [403, 404, 409, 500] {
        let mut talk = Talk::new(put());
        let first = talk.begin(&shop, 0);
        assert_eq!((first.method, first.url.as_str()), (Method::Put, "https://barn.example/dav/a/b.age"));
        let Step::Send(own) = talk.hear(&shop, Some(&heard(missing, "")), 0) else { panic!("it goes on") };
        // The web folder itself may not be there yet; a server may not want to be asked for it.
        assert_eq!((own.method, own.url.as_str()), (Method::Mkcol, "https://barn.example/dav/"));
        let say = [201, 403, 405, 409][missing as usize % 4];
        let Step::Send(make) = talk.hear(&shop, Some(&heard(say, "")), 0) else { panic!("it goes on") };
        assert_eq!((make.method, make.url.as_str()), (Method::Mkcol, "https://barn.example/dav/a/"));
        // Made, or there already: somebody else was quicker.
        for made in [201, 405] {
            let mut talk = talk.clone();
            assert_eq!(talk.hear(&shop, Some(&heard(made, "")), 0), Step::Send(first.clone()));
            // Now it means what it says, and nothing goes round in circles.
            let end = talk.hear(&shop, Some(&heard(missing, "")), 0);
            assert!(matches!(end, Step::Done(Answer::There | Answer::No(_))), "{end:?}");
        }
        for nowhere in [404, 409] {
            let end = talk.clone().hear(&shop, Some(&heard(nowhere, "")), 0);
            assert_eq!(end, Step::Done(Answer::No(No::NoFolder)), "what it would lie in is not there either");
        }
        assert_eq!(talk.clone().hear(&shop, Some(&heard(507, "")), 0), Step::Done(Answer::No(No::Full)));
        assert_eq!(talk.hear(&shop, Some(&heard(401, "")), 0), Step::Done(Answer::No(No::Access)));
    }
}
