//! Pages as another program reads them: dots by pdftoppm, words by pdftotext (both of poppler-utils).

use std::path::{Path, PathBuf};
use std::process::Command;

/// A word where it stands, in points from the top left.
#[derive(Debug, Clone)]
pub struct Word {
    pub page: usize,
    pub left_pt: f64,
    pub top_pt: f64,
    pub right_pt: f64,
    pub bottom_pt: f64,
    pub text: String,
}

/// A page in grey dots.
pub struct Page {
    wide: usize,
    high: usize,
    dots: Vec<u8>,
    mm_per_dot: f64,
}

/// The box round dots that hang together.
#[derive(Debug, Clone, Copy)]
pub struct Spot {
    pub left_mm: f64,
    pub top_mm: f64,
    pub width_mm: f64,
    pub height_mm: f64,
}

fn run(program: &str, arguments: &[&str], folder: &Path) {
    let done = Command::new(program).args(arguments).current_dir(folder).output();
    let done = done.unwrap_or_else(|e| panic!("`{program}` of poppler-utils is needed for this test: {e}"));
    assert!(done.status.success(), "{program}: {}", String::from_utf8_lossy(&done.stderr));
}

fn folder_with(bytes: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder for a while");
    std::fs::write(folder.path().join("a.pdf"), bytes).expect("the folder takes a file");
    folder
}

/// Words of all pages.
pub fn words(bytes: &[u8]) -> Vec<Word> {
    let folder = folder_with(bytes);
    run("pdftotext", &["-bbox", "a.pdf", "a.html"], folder.path());
    let text = std::fs::read_to_string(folder.path().join("a.html")).expect("pdftotext wrote its file");
    let mut page = 0;
    let mut out = Vec::new();
    for line in text.lines().map(str::trim) {
        if line.starts_with("<page ") {
            page += 1;
        }
        let Some(rest) = line.strip_prefix("<word ") else { continue };
        let of = |key: &str| {
            let start = rest.find(&format!("{key}=\"")).expect("a box has four sides") + key.len() + 2;
            let number = rest[start..].split('"').next().expect("a number ends");
            number.parse::<f64>().expect("a side is a number")
        };
        let text = rest.split_once('>').map_or("", |(_, t)| t).trim_end_matches("</word>").into();
        let (left_pt, top_pt, right_pt, bottom_pt) = (of("xMin"), of("yMin"), of("xMax"), of("yMax"));
        out.push(Word { page, left_pt, top_pt, right_pt, bottom_pt, text });
    }
    out
}

/// Pages in dots.
pub fn pages(bytes: &[u8], dots_per_inch: u32) -> Vec<Page> {
    let folder = folder_with(bytes);
    run("pdftoppm", &["-gray", "-r", &dots_per_inch.to_string(), "a.pdf", "p"], folder.path());
    let files = std::fs::read_dir(folder.path()).expect("the folder is there").flatten();
    let mut paths: Vec<PathBuf> = files.map(|f| f.path()).collect();
    paths.retain(|p| p.extension().is_some_and(|e| e == "pgm"));
    paths.sort();
    paths.iter().map(|path| read(path, 25.4 / f64::from(dots_per_inch))).collect()
}

/// Reads a binary PGM: "P5", width, height, 255, dots.
fn read(path: &Path, mm_per_dot: f64) -> Page {
    let bytes = std::fs::read(path).expect("pdftoppm wrote it");
    let mut at = 0;
    let mut word = || {
        let end = at + bytes[at..].iter().position(u8::is_ascii_whitespace).expect("a head of four words");
        let word = String::from_utf8_lossy(&bytes[at..end]).into_owned();
        at = end + 1;
        word
    };
    assert_eq!(word(), "P5");
    let (wide, high) = (word().parse().expect("width"), word().parse().expect("height"));
    assert_eq!(word(), "255");
    Page { wide, high, dots: bytes[at..].to_vec(), mm_per_dot }
}

impl Page {
    /// What the codes in a field of the page say.
    pub fn codes(&self, (left_mm, top_mm): (f64, f64), (width_mm, height_mm): (f64, f64)) -> Vec<String> {
        let dots = |mm: f64| (mm / self.mm_per_dot).round().max(0.0) as usize;
        let (left, top) = (dots(left_mm), dots(top_mm));
        let (wide, high) = (dots(width_mm).min(self.wide - left), dots(height_mm).min(self.high - top));
        let dot = |x: usize, y: usize| self.dots[(top + y) * self.wide + left + x];
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(wide, high, dot);
        image.detect_grids().iter().filter_map(|g| g.decode().ok()).map(|(_, text)| text).collect()
    }

    /// Boxes round all dark dots that hang together.
    pub fn spots(&self) -> Vec<Spot> {
        let mut seen: Vec<bool> = self.dots.iter().map(|d| *d > 200).collect();
        let mut out = Vec::new();
        for start in 0..seen.len() {
            if seen[start] {
                continue;
            }
            seen[start] = true;
            let (mut l, mut t, mut r, mut b) = (self.wide, self.high, 0, 0);
            let mut open = vec![start];
            while let Some(at) = open.pop() {
                let (x, y) = (at % self.wide, at / self.wide);
                (l, t, r, b) = (l.min(x), t.min(y), r.max(x), b.max(y));
                for ny in y.saturating_sub(1)..=(y + 1).min(self.high - 1) {
                    for nx in x.saturating_sub(1)..=(x + 1).min(self.wide - 1) {
                        let next = ny * self.wide + nx;
                        if !core::mem::replace(&mut seen[next], true) {
                            open.push(next);
                        }
                    }
                }
            }
            let mm = |dots: usize| dots as f64 * self.mm_per_dot;
            let (left_mm, top_mm) = (mm(l), mm(t));
            out.push(Spot { left_mm, top_mm, width_mm: mm(r - l + 1), height_mm: mm(b - t + 1) });
        }
        out
    }
}
