//! What will come out of the printer, before it is written.

use print::FACE_LICENCES;
use print::paper::{LaidPack, PaperSize};

use super::table::{PageWidth, bullet, count_with_noun};

/// "18 pages on A4: Kit sheet 2, Work list 8, …": sheets of one kind together.
#[must_use]
pub fn format_pages(laid: &LaidPack, size: PaperSize, width: PageWidth) -> String {
    let paper = match size {
        PaperSize::A4 => "A4",
        PaperSize::Letter => "letter paper",
    };
    let pages = count_with_noun(laid.page_count(), "page");
    let mut kinds: Vec<(String, usize)> = Vec::new();
    for (title, count) in laid.sheet_pages() {
        // "Hole card: sump" and "Hole card: pump" are one line.
        let kind = title.split_once(": ").map_or(title.as_str(), |(kind, _)| kind).to_owned();
        match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, known)) => *known += count,
            None => kinds.push((kind, *count)),
        }
    }
    if kinds.len() < 2 {
        return format!("{pages} on {paper}\n");
    }
    let told: Vec<String> = kinds.iter().map(|(kind, count)| format!("{kind} {count}")).collect();
    bullet(width, "", &format!("{pages} on {paper}: {}", told.join(", ")))
}

/// The licences of the program and of the faces that it carries, in full.
#[must_use]
pub fn format_licences() -> String {
    let mut out = String::from(
        "The program is free to use, change and pass on under the MIT licence or the Apache Licence 2.0, as you choose.\n\
         It carries these typefaces, each with its own licence:\n\n",
    );
    for face in &FACE_LICENCES {
        out.push_str(&format!("  {}: {}; {}\n", face.name, face.licence, face.used_for));
    }
    for face in &FACE_LICENCES {
        out.push_str(&format!("\n{}: {}\n\n{}\n", face.name, face.licence, face.text.trim_end()));
    }
    out
}
