//! Writes a sample pack with every kind of page, for looking at it: `pack FILE.pdf [letter]`.
#![expect(clippy::print_stdout, reason = "an example talks to its caller")]

#[path = "../tests/sample/mod.rs"]
mod sample;

use print::paper::{PaperSize, write_html, write_pdf};

fn main() {
    let mut words = std::env::args().skip(1);
    let path = words.next().unwrap_or_else(|| String::from("pack.pdf"));
    let size = if words.next().as_deref() == Some("letter") { PaperSize::Letter } else { PaperSize::A4 };
    let pack = sample::pack(size);
    match write_pdf(&pack).map(|bytes| std::fs::write(&path, bytes)) {
        Ok(Ok(())) => {}
        Ok(Err(error)) => println!("{path}: {error}"),
        Err(error) => println!("{error}"),
    }
    if let Err(error) = std::fs::write(format!("{path}.html"), write_html(&pack)) {
        println!("{path}.html: {error}");
    }
}
