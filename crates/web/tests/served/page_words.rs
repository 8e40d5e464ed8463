//! A page as a person reads it: its words line by line, buttons as `[Pause]`, links as `<Ledger>`, boxes as `____`.

/// Elements whose content nobody reads.
const UNREAD: &[&str] = &["head", "script", "style"];

/// Elements that go on in the line.
const INLINE: &[&str] =
    &["b", "strong", "code", "span", "a", "button", "wbr", "tspan", "em", "option", "time"];

/// What a tag puts before and after its words.
fn tag_marks(name: &str) -> Option<(&'static str, &'static str)> {
    match name {
        "button" => Some(("[", "]")),
        "a" => Some(("<", ">")),
        "option" => Some(("(", ")")),
        _ => None,
    }
}

/// The words of a page; a text without a tag is itself.
pub(crate) fn page_words(html: &str) -> String {
    let mut out = String::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        push_text(&mut out, &rest[..at]);
        let Some(end) = rest[at..].find('>') else { break };
        let tag = &rest[at + 1..at + end];
        rest = &rest[at + end + 1..];
        let name = tag_name(tag);
        if UNREAD.contains(&name) && !tag.starts_with('/') {
            let close = format!("</{name}>");
            rest = rest.split_once(close.as_str()).map_or("", |(_, after)| after);
        } else {
            push_tag(&mut out, tag, name);
        }
    }
    push_text(&mut out, rest);
    tidy_lines(&out)
}

fn tag_name(tag: &str) -> &str {
    let tag = tag.trim_start_matches('/');
    tag.split(|c: char| !c.is_ascii_alphanumeric()).next().unwrap_or_default()
}

fn push_text(out: &mut String, text: &str) {
    let plain = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    out.push_str(&plain.replace('\u{a0}', " "));
}

fn push_tag(out: &mut String, tag: &str, name: &str) {
    let is_end = tag.starts_with('/');
    match (tag_marks(name), is_end) {
        (Some((before, _)), false) => {
            out.push(' ');
            out.push_str(before);
            if tag.contains(" disabled") {
                out.push_str("not now: ");
            }
        }
        (Some((_, after)), true) => {
            out.push_str(after);
            out.push(' ');
        }
        (None, _) => {}
    }
    match name {
        "input" | "textarea" if !is_end => push_box(out, tag),
        "td" | "th" if is_end => out.push_str(" | "),
        "td" | "th" => {}
        "b" | "strong" | "span" => out.push(' '),
        _ if INLINE.contains(&name) => {}
        _ => out.push('\n'),
    }
}

fn push_box(out: &mut String, tag: &str) {
    let value = tag.split_once(" value=\"").and_then(|(_, after)| after.split('"').next());
    out.push_str(" ____");
    out.push_str(value.unwrap_or_default());
    out.push(' ');
}

/// One space between words, no empty lines.
fn tidy_lines(text: &str) -> String {
    let lines = text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "));
    let lines = lines.map(|line| line.trim_end_matches(" |").to_owned()).filter(|line| !line.is_empty());
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn words_buttons_links_and_boxes_are_told_apart() {
    let html = "<!DOCTYPE html><html><head><title>x</title></head><body><h1>A &amp; B</h1>\
                <p>one <b>two</b></p><a href=\"/\">Visits</a><button disabled>Done</button>\
                <label>Code<input name=\"code\" value=\"7\"></label><script>no()</script></body></html>";
    assert_eq!(page_words(html), "A & B\none two\n<Visits> [not now: Done]\nCode ____7");
    assert_eq!(page_words("plain"), "plain");
}
