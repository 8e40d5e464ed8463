//! Functions and their lengths, counted as lines of code between the braces.

/// One function with a body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeasuredFunction {
    /// Its name.
    pub name: String,
    /// The line of `fn`, counted from 0.
    pub line: usize,
    /// Lines of its body that hold code.
    pub length: usize,
}

/// Every function in code whose comments and strings are blank already.
#[must_use]
pub fn find_functions(code: &str) -> Vec<MeasuredFunction> {
    let starts = code.match_indices("fn ").filter(|(at, _)| starts_word(code, *at));
    starts.filter_map(|(at, _)| function_at(code, at)).collect()
}

fn starts_word(code: &str, at: usize) -> bool {
    !code[..at].chars().next_back().is_some_and(|c| c.is_alphanumeric() || c == '_')
}

/// The function that starts at a byte, unless it is only a declaration or a function type.
fn function_at(code: &str, at: usize) -> Option<MeasuredFunction> {
    let name: String = code[at + 3..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
    if name.is_empty() {
        return None;
    }
    let open = at + body_start(&code[at..])?;
    let inside = &code[open + 1..open + closing_brace(&code[open..])];
    let length = inside.lines().filter(|l| !l.trim().is_empty()).count();
    Some(MeasuredFunction { name, line: code[..at].matches('\n').count(), length })
}

/// Where the body opens; none when a `;` ends the signature first.
fn body_start(code: &str) -> Option<usize> {
    let mut depth = 0_usize;
    for (i, c) in code.char_indices() {
        match c {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            '{' if depth == 0 => return Some(i),
            ';' if depth == 0 => return None,
            _ => {}
        }
    }
    None
}

/// Where the brace closes that the code starts with.
fn closing_brace(code: &str) -> usize {
    let mut depth = 0_usize;
    for (i, c) in code.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 1 => return i,
            '}' => depth -= 1,
            _ => {}
        }
    }
    code.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_count_lines_with_code_in_the_body() {
        let code = "fn one() -> u8 { 1 }\ntrait T { fn none(&self); }\nfn three(a: [u8; 2]) {\n  a;\n\n  b;\n  c;\n}\n";
        let found: Vec<(String, usize, usize)> =
            find_functions(code).into_iter().map(|f| (f.name, f.line, f.length)).collect();
        assert_eq!(found, [("one".into(), 0, 1), ("three".into(), 2, 3)]);
    }

    #[test]
    fn function_types_are_no_functions() {
        assert_eq!(find_functions("struct S { f: fn(u8) -> u8 }\nlet cofn = 1;"), []);
    }
}
