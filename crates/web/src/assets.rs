//! Style, script and letters of the pages, under a name that changes with their content, so that browsers may keep them.

use std::sync::LazyLock;

use app::workshop::content_name;
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};

use crate::pages::PageFailure;

/// Kept for a year; another content has another name.
const FOR_EVER: &str = "public, max-age=31536000, immutable";

/// Name, media type, content.
const FILES: &[(&str, &str, &[u8])] = &[
    ("asks.js", "text/javascript; charset=utf-8", include_bytes!("../assets/asks.js")),
    ("bench.js", "text/javascript; charset=utf-8", include_bytes!("../assets/bench.js")),
    ("carry.js", "text/javascript; charset=utf-8", include_bytes!("../assets/carry.js")),
    ("clock_words.js", "text/javascript; charset=utf-8", include_bytes!("../assets/clock_words.js")),
    ("clocks.js", "text/javascript; charset=utf-8", include_bytes!("../assets/clocks.js")),
    ("coming.js", "text/javascript; charset=utf-8", include_bytes!("../assets/coming.js")),
    ("drawer.js", "text/javascript; charset=utf-8", include_bytes!("../assets/drawer.js")),
    ("drawing.js", "text/javascript; charset=utf-8", include_bytes!("../assets/drawing.js")),
    ("feel.js", "text/javascript; charset=utf-8", include_bytes!("../assets/feel.js")),
    ("glass.js", "text/javascript; charset=utf-8", include_bytes!("../assets/glass.js")),
    ("holes.js", "text/javascript; charset=utf-8", include_bytes!("../assets/holes.js")),
    ("marks.js", "text/javascript; charset=utf-8", include_bytes!("../assets/marks.js")),
    ("next.js", "text/javascript; charset=utf-8", include_bytes!("../assets/next.js")),
    ("next_told.js", "text/javascript; charset=utf-8", include_bytes!("../assets/next_told.js")),
    ("outbox.js", "text/javascript; charset=utf-8", include_bytes!("../assets/outbox.js")),
    ("page.js", "text/javascript; charset=utf-8", include_bytes!("../assets/page.js")),
    ("patch.js", "text/javascript; charset=utf-8", include_bytes!("../assets/patch.js")),
    ("pictures.js", "text/javascript; charset=utf-8", include_bytes!("../assets/pictures.js")),
    ("record.js", "text/javascript; charset=utf-8", include_bytes!("../assets/record.js")),
    ("safe.js", "text/javascript; charset=utf-8", include_bytes!("../assets/safe.js")),
    ("said.js", "text/javascript; charset=utf-8", include_bytes!("../assets/said.js")),
    ("sheets.js", "text/javascript; charset=utf-8", include_bytes!("../assets/sheets.js")),
    ("waits.js", "text/javascript; charset=utf-8", include_bytes!("../assets/waits.js")),
    ("bench.css", "text/css; charset=utf-8", include_bytes!("../assets/bench.css")),
    ("letters-400.woff2", "font/woff2", include_bytes!("../assets/letters-400.woff2")),
    ("letters-700.woff2", "font/woff2", include_bytes!("../assets/letters-700.woff2")),
    ("letters-licence.txt", "text/plain; charset=utf-8", include_bytes!("../assets/letters-licence.txt")),
    ("icon.svg", "image/svg+xml", include_bytes!("../assets/icon.svg")),
];

/// The files as they are sent: scripts and style without what is written in them for their readers.
static SENT: LazyLock<Vec<(&'static str, &'static str, Vec<u8>)>> = LazyLock::new(|| {
    let sent = |(name, media, bytes): &(&'static str, &'static str, &[u8])| {
        let is_code = name.ends_with(".js") || name.ends_with(".css");
        let text = core::str::from_utf8(bytes).ok().filter(|_| is_code);
        (*name, *media, text.map_or_else(|| bytes.to_vec(), |text| without_remarks(text).into_bytes()))
    };
    FILES.iter().map(sent).collect()
});

/// A script or style without remarks that begin a line; one within a line stays.
fn without_remarks(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut is_in_remark = false;
    for line in text.lines() {
        let mut rest = line;
        loop {
            let bare = rest.trim_start();
            if !is_in_remark && !bare.starts_with("/*") {
                break;
            }
            match rest.split_once("*/") {
                Some((_, after)) => (is_in_remark, rest) = (false, after),
                None => (is_in_remark, rest) = (true, ""),
            }
            if rest.is_empty() {
                break;
            }
        }
        let bare = rest.trim_start();
        if !bare.is_empty() && !bare.starts_with("//") {
            out.push_str(rest);
            out.push('\n');
        }
    }
    out
}

/// The script that keeps pages for the time without a connection; it has to lie at the root.
const KEEPER: &str = include_str!("../assets/keeper.js");

/// The name of this edition of all files.
static EDITION: LazyLock<String> = LazyLock::new(|| {
    let mut all = Vec::new();
    SENT.iter().for_each(|(_, _, bytes)| all.extend_from_slice(bytes));
    all.extend_from_slice(KEEPER.as_bytes());
    content_name(&all).as_str()[..12].to_owned()
});

/// The address of a file.
pub(crate) fn asset_address(name: &str) -> String {
    format!("/a/{}/{name}", *EDITION)
}

/// A file; an older edition's address gives the newest, for pages that were kept.
pub(crate) async fn serve_asset(Path((_edition, name)): Path<(String, String)>) -> Response {
    match SENT.iter().find(|(known, _, _)| *known == name) {
        Some((_, media, bytes)) => {
            ([(header::CONTENT_TYPE, *media), (header::CACHE_CONTROL, FOR_EVER)], bytes.as_slice())
                .into_response()
        }
        None => PageFailure::NotFound.into_response(),
    }
}

/// The keeper, with the addresses of this edition.
pub(crate) async fn serve_keeper() -> Response {
    let addresses: Vec<String> =
        FILES.iter().map(|(name, _, _)| format!("\"{}\"", asset_address(name))).collect();
    let text = KEEPER
        .replace("/* edition */ \"\"", &format!("\"{}\"", *EDITION))
        .replace("/* files */ []", &format!("[{}]", addresses.join(", ")));
    let headers =
        [(header::CONTENT_TYPE, "text/javascript; charset=utf-8"), (header::CACHE_CONTROL, "no-cache")];
    (headers, text).into_response()
}

/// What a browser needs to install the pages.
pub(crate) async fn serve_manifest() -> Response {
    let text = format!(
        r##"{{"name": "Traywright bench", "short_name": "Bench", "start_url": "/", "display": "standalone",
"background_color": "#ffffff", "theme_color": "#ffffff",
"icons": [{{"src": "{}", "sizes": "any", "type": "image/svg+xml"}}]}}"##,
        asset_address("icon.svg")
    );
    ([(header::CONTENT_TYPE, "application/manifest+json")], text).into_response()
}

#[cfg(test)]
mod tests {
    use super::{FILES, without_remarks};

    #[test]
    fn remarks_go_and_code_stays() {
        let text = "// A file.\n\n/**\n * @type {X}\n */\nconst a = 1; // one\n  /** @type {Y} */ (b).c();\n/* whole */\nlet u = \"http://x\";\n";
        assert_eq!(without_remarks(text), "const a = 1; // one\n (b).c();\nlet u = \"http://x\";\n");
    }

    #[test]
    fn no_script_or_style_loses_a_line_of_code() {
        for (name, _, bytes) in
            FILES.iter().filter(|(name, _, _)| name.ends_with(".js") || name.ends_with(".css"))
        {
            let text = core::str::from_utf8(bytes).expect("text");
            let sent = without_remarks(text);
            for mark in ['{', '}', '(', ')'] {
                let of_code = |text: &str| {
                    let code = text.lines().filter(|line| {
                        let bare = line.trim_start();
                        !(bare.starts_with("//") || bare.starts_with('*') || bare.starts_with("/*"))
                    });
                    code.map(|line| line.matches(mark).count()).sum::<usize>()
                };
                let least = of_code(text);
                assert!(sent.matches(mark).count() >= least, "{name} loses a {mark}");
            }
            assert!(!sent.contains("\n//") && !sent.contains("\n * "), "{name} keeps a remark");
        }
    }
}
