//! Rust source with comments, strings or test modules blanked, so that a plain search finds only what is meant.

/// What stays readable besides the code itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeptText {
    /// Code alone.
    Code,
    /// Code and the text inside its string literals.
    Strings,
}

/// The source with comments (and strings, unless kept) turned into spaces; every line stays on its line.
#[must_use]
pub fn blank_out(source: &str, keep: KeptText) -> String {
    let mut rest = source;
    let mut out = String::with_capacity(source.len());
    while let Some(first) = rest.chars().next() {
        let (length, visible) = match span_at(rest, out.chars().next_back()) {
            Some(BlankedSpan::Comment(length)) => (length, false),
            Some(BlankedSpan::Text(length)) => (length, keep == KeptText::Strings),
            None => (first.len_utf8(), true),
        };
        let (piece, after) = rest.split_at(length);
        if visible {
            out.push_str(piece);
        } else {
            out.extend(piece.chars().map(|c| if c == '\n' { c } else { ' ' }));
        }
        rest = after;
    }
    out
}

enum BlankedSpan {
    Comment(usize),
    Text(usize),
}

/// The comment or literal that starts here, with its length in bytes.
fn span_at(text: &str, before: Option<char>) -> Option<BlankedSpan> {
    if text.starts_with("//") {
        return Some(BlankedSpan::Comment(text.find('\n').unwrap_or(text.len())));
    }
    if text.starts_with("/*") {
        return Some(BlankedSpan::Comment(block_comment_length(text)));
    }
    if text.starts_with('"') {
        return Some(BlankedSpan::Text(quoted_length(text)));
    }
    if text.starts_with('\'') {
        return char_literal_length(text).map(BlankedSpan::Text);
    }
    let inside_word = before.is_some_and(|c| c.is_alphanumeric() || c == '_');
    if inside_word { None } else { raw_string_length(text).map(BlankedSpan::Text) }
}

/// The length of a block comment, which may hold others.
fn block_comment_length(text: &str) -> usize {
    let (mut depth, mut at) = (0_usize, 0_usize);
    while at < text.len() {
        let here = &text.as_bytes()[at..];
        if here.starts_with(b"/*") {
            depth += 1;
            at += 2;
        } else if here.starts_with(b"*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += 1;
        }
    }
    text.len()
}

/// The length of a string with escapes, quotes included.
fn quoted_length(text: &str) -> usize {
    let mut escaped = false;
    for (i, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return i + 1,
            _ => {}
        }
    }
    text.len()
}

/// The length of a character literal; a lifetime is not one.
fn char_literal_length(text: &str) -> Option<usize> {
    let mut chars = text.char_indices().skip(1);
    let (_, first) = chars.next()?;
    if first == '\\' {
        // The escaped character itself may be a quote; the literal ends at the next one.
        chars.next();
        return chars.find(|(_, c)| *c == '\'').map(|(i, _)| i + 1);
    }
    let (end, second) = chars.next()?;
    (second == '\'').then_some(end + 1)
}

/// The length of a raw or byte string such as `r#"…"#` or `br"…"`.
fn raw_string_length(text: &str) -> Option<usize> {
    let after = text.strip_prefix("br").or_else(|| text.strip_prefix('r'))?;
    let hashes = after.chars().take_while(|c| *c == '#').count();
    let body = after[hashes..].strip_prefix('"')?;
    let close = format!("\"{}", "#".repeat(hashes));
    let head = text.len() - body.len();
    Some(body.find(&close).map_or(text.len(), |end| head + end + close.len()))
}

/// Code without what stands under `#[cfg(test)]`; takes code whose strings and comments are blank already.
#[must_use]
pub fn production_code(code: &str) -> String {
    const MARK: &str = "#[cfg(test)]";
    let mut out = String::with_capacity(code.len());
    let mut rest = code;
    while let Some(start) = rest.find(MARK) {
        let (before, from) = rest.split_at(start);
        let length = item_length(from);
        out.push_str(before);
        out.extend(from[..length].chars().filter(|c| *c == '\n'));
        rest = &from[length..];
    }
    out.push_str(rest);
    out
}

/// The length of one item: to its `;` when that comes first, else to the brace that closes it.
fn item_length(code: &str) -> usize {
    let mut depth = 0_usize;
    for (i, c) in code.char_indices() {
        match c {
            ';' if depth == 0 => return i + 1,
            '{' => depth += 1,
            '}' if depth <= 1 => return i + 1,
            '}' => depth -= 1,
            _ => {}
        }
    }
    code.len()
}

/// The words of a text: runs of letters, digits and underscores.
pub fn words_of(text: &str) -> impl DoubleEndedIterator<Item = &str> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_')).filter(|w| !w.is_empty())
}

/// Whether code names a crate: as the start of a path, as a macro, or behind `use`; takes code without comments and strings.
#[must_use]
pub fn names_crate(code: &str, name: &str) -> bool {
    let name = name.replace('-', "_");
    code.match_indices(name.as_str()).any(|(at, _)| {
        let (before, after) = (&code[..at], &code[at + name.len()..]);
        let is_word = |c: char| c.is_alphanumeric() || c == '_';
        // A path may start at the root of all crates: `::model::Book`, but not `app::model::Book`.
        let root = before.strip_suffix("::").filter(|rest| !rest.ends_with(is_word));
        let before = root.unwrap_or(before);
        let is_inside =
            before.ends_with(|c: char| is_word(c) || c == ':' || c == '.') || after.starts_with(is_word);
        let is_path = after.starts_with("::") || after.starts_with('!');
        let is_use = before.ends_with("use ") && after.starts_with([';', ' ']);
        !is_inside && (is_path || is_use)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(source: &str, code: &str, strings: &str) {
        assert_eq!(blank_out(source, KeptText::Code), code);
        assert_eq!(blank_out(source, KeptText::Strings), strings);
    }

    #[test]
    fn comments_go_and_strings_stay_when_asked() {
        check("a // b\nc", "a     \nc", "a     \nc");
        check("a /* b /* c */ d */ e", "a                   e", "a                   e");
        check(r#"f("x // y") // z"#, "f(        )     ", r#"f("x // y")     "#);
        check(r#""a\"b" c"#, "       c", r#""a\"b" c"#);
        check("r#\"a\"b\"# c", "         c", "r#\"a\"b\"# c");
        check("bar(\"{\")", "bar(   )", "bar(\"{\")");
    }

    #[test]
    fn a_quote_mark_is_a_character_and_a_tick_may_be_a_lifetime() {
        check("'\"' x", "    x", "'\"' x");
        check("'\\'' x", "     x", "'\\'' x");
        check("&'a str '{'", "&'a str    ", "&'a str '{'");
        check("b'\\\\' x", "b     x", "b'\\\\' x");
    }

    #[test]
    fn a_crate_is_named_by_a_path_a_macro_or_a_use() {
        for code in
            ["::plan::make()", "use plan::kit;", "plan::make()", "pub use plan;", "use plan as p;", "plan!{}"]
        {
            assert!(names_crate(code, "plan"), "{code}");
        }
        for code in
            ["let plan = 1;", "crate::plan::make()", "replan::make()", "plan_b::make()", "self.plan()"]
        {
            assert!(!names_crate(code, "plan"), "{code}");
        }
        assert!(names_crate("rand_pcg::Pcg32", "rand-pcg"));
    }

    #[test]
    fn test_modules_are_left_out_and_lines_keep_their_numbers() {
        let code = "fn a() {}\n#[cfg(test)]\nmod tests {\n fn b() { }\n}\nfn c() {}\n";
        assert_eq!(production_code(code), "fn a() {}\n\n\n\n\nfn c() {}\n");
        assert_eq!(production_code("#[cfg(test)]\nmod tests;\nfn c() {}"), "\n\nfn c() {}");
    }
}
