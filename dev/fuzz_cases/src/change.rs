//! Seeded changes of a sound input, of the kinds that readers stumble over.

use rand::RngExt as _;
use rand_pcg::Pcg64Mcg;

/// Figures at and beyond the edges of what numbers hold.
const FIGURES: &[&str] = &[
    "-1",
    "0",
    "-0",
    "1e308",
    "-1e308",
    "1e400",
    "5e-324",
    "nan",
    "inf",
    "9007199254740993",
    "18446744073709551616",
    "-9223372036854775809",
    "0x7fffffffffffffff",
    "0.1000000000000000055511151231257827",
    "1_000",
    "1.",
    "١٢",
];

/// Pieces of text that mean something to a reader, or nothing at all.
const PIECES: &[&[u8]] = &[
    b"[[",
    b"]]",
    b"{",
    b"}",
    b"\"",
    b"\"\"\"",
    b"'",
    b"\\",
    b"\\u0000",
    b"\\ud800",
    b"\0",
    b"\xff\xfe",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\xef\xbb\xbf",
    b"\r",
    b"\r\n",
    b"\t",
    b"#",
    b"=",
    b",",
    b";",
    b"null",
    b"true",
    "\u{202e}".as_bytes(),
    "\u{301}".as_bytes(),
];

/// Deepest nesting that is put in.
const MAX_NESTING: usize = 3_000;

/// The input with one to four changes.
#[must_use]
pub fn change_bytes(sound: &[u8], dice: &mut Pcg64Mcg) -> Vec<u8> {
    let mut bytes = sound.to_vec();
    for _ in 0..dice.random_range(1..=4) {
        change_once(&mut bytes, dice);
    }
    bytes
}

fn change_once(bytes: &mut Vec<u8>, dice: &mut Pcg64Mcg) {
    let at = dice.random_range(0..=bytes.len());
    match dice.random_range(0..9) {
        0 => bytes.truncate(at),
        1 => flip_bit(bytes, dice),
        2 => {
            let length = dice.random_range(0..=(bytes.len() - at).min(64));
            bytes.drain(at..at + length);
        }
        3 => {
            let from = dice.random_range(0..=bytes.len());
            let length = dice.random_range(0..=(bytes.len() - from).min(256));
            let copied = bytes[from..from + length].to_vec();
            bytes.splice(at..at, copied);
        }
        4 => drop(bytes.splice(at..at, PIECES[dice.random_range(0..PIECES.len())].iter().copied())),
        5 => replace_figure(bytes, dice),
        6 => exchange_lines(bytes, dice),
        7 => nest_deeply(bytes, at, dice),
        _ => {
            let length = dice.random_range(0..16_usize).min(bytes.len() - at);
            bytes[at..at + length].iter_mut().for_each(|b| *b = dice.random());
        }
    }
}

fn flip_bit(bytes: &mut [u8], dice: &mut Pcg64Mcg) {
    if !bytes.is_empty() {
        let at = dice.random_range(0..bytes.len());
        bytes[at] ^= 1 << dice.random_range(0..8_u32);
    }
}

/// Puts one of the edge figures in the place of a run of digits.
fn replace_figure(bytes: &mut Vec<u8>, dice: &mut Pcg64Mcg) {
    let is_start = |i: &usize| bytes[*i].is_ascii_digit() && (*i == 0 || !bytes[*i - 1].is_ascii_digit());
    let starts: Vec<usize> = (0..bytes.len()).filter(is_start).collect();
    if starts.is_empty() {
        return;
    }
    let from = starts[dice.random_range(0..starts.len())];
    let length = bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let figure = FIGURES[dice.random_range(0..FIGURES.len())];
    bytes.splice(from..from + length, figure.bytes());
}

fn exchange_lines(bytes: &mut Vec<u8>, dice: &mut Pcg64Mcg) {
    let mut lines: Vec<Vec<u8>> = bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
    let (a, b) = (dice.random_range(0..lines.len()), dice.random_range(0..lines.len()));
    lines.swap(a, b);
    *bytes = lines.join(&b'\n');
}

fn nest_deeply(bytes: &mut Vec<u8>, at: usize, dice: &mut Pcg64Mcg) {
    let depth = dice.random_range(1..=MAX_NESTING);
    let open: &[u8] = [&b"["[..], b"{\"a\":", b"{a=", b"("][dice.random_range(0..4_usize)];
    bytes.splice(at..at, open.repeat(depth));
}
