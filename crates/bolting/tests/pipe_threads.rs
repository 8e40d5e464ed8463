//! Pipe threads against public tables, and threads in the spellings of manuals.

use bolting::pipe_thread::{PipeThread, PipeThreadForm};
use bolting::{FastenerThread, Thread, ThreadError};
use proptest::prelude::*;

fn pipe(text: &str) -> PipeThread {
    match PipeThread::parse(text) {
        Some(Ok(thread)) => thread,
        other => panic!("{text}: {other:?}"),
    }
}

fn canonical(text: &str) -> String {
    FastenerThread::parse(text).map_or_else(|e| format!("error: {e}"), |t| t.to_string())
}

/// ASME B1.20.1 as several public tables of fittings print it: size, outside diameter of the pipe (in), pitch (in, five digits), pitch (mm,
/// three digits). The tolerance is half of the last digit printed.
#[test]
fn american_sizes_are_those_of_the_public_tables() {
    for (size, d_in, pitch_in, pitch_mm) in [
        ("1/16", 0.3125, 0.03704, 0.941),
        ("1/8", 0.405, 0.03704, 0.941),
        ("1/4", 0.540, 0.05556, 1.411),
        ("3/8", 0.675, 0.05556, 1.411),
        ("1/2", 0.840, 0.07143, 1.814),
        ("3/4", 1.050, 0.07143, 1.814),
        ("1", 1.315, 0.08696, 2.209),
        ("1 1/4", 1.660, 0.08696, 2.209),
        ("1 1/2", 1.900, 0.08696, 2.209),
        ("2", 2.375, 0.08696, 2.209),
    ] {
        let thread = pipe(&format!("{size} NPT"));
        assert!((thread.d_mm() / 25.4 - d_in).abs() < 1e-9, "{thread}: {} mm", thread.d_mm());
        assert!((thread.pitch_mm() / 25.4 - pitch_in).abs() < 5.1e-6, "{thread}: {} mm", thread.pitch_mm());
        assert!((thread.pitch_mm() - pitch_mm).abs() < 5.1e-4, "{thread}: {} mm", thread.pitch_mm());
        assert!(thread.seals_in_its_thread());
    }
}

/// Parallel pipe threads, 1/8 and 1/4, as a public page prints an older national standard of the same thread (diameter in inches, rounded
/// anew: one micrometre apart from ISO 228-1), and as ISO 228-1 has them from memory.
#[test]
fn parallel_sizes_are_those_of_iso_228() {
    for (size, tpi, pitch_mm, d_mm) in
        [("1/8", 28.0, 0.907, 9.729), ("1/4", 19.0, 1.337, 13.158), ("1/2", 14.0, 1.814, 20.955)]
    {
        for letters in ["G", "R", "Rc", "Rp"] {
            let thread = pipe(&format!("{letters} {size}"));
            assert_eq!(thread.tpi(), tpi);
            assert!((thread.pitch_mm() - pitch_mm).abs() < 5.1e-4, "{thread}: {} mm", thread.pitch_mm());
            assert!((thread.d_mm() - d_mm).abs() < 1.1e-3, "{thread}: {} mm", thread.d_mm());
            assert_eq!(thread.seals_in_its_thread(), letters != "G");
        }
    }
}

#[test]
fn pipe_threads_are_read_in_many_spellings() {
    for (text, wanted) in [
        ("1/8-27 NPT", "1/8-27 NPT"),
        ("1/8\" NPT", "1/8-27 NPT"),
        ("NPT 1/8", "1/8-27 NPT"),
        ("1/8 - 27 NPTF", "1/8-27 NPTF"),
        ("\u{bc}-18 npt", "1/4-18 NPT"),
        ("1-1/4 NPT", "1 1/4-11.5 NPT"),
        ("1 1/4-11.5 NPT", "1 1/4-11.5 NPT"),
        ("1-1/4-11 1/2 NPT", "1 1/4-11.5 NPT"),
        ("G 1/4", "G 1/4"),
        ("G1/4\"", "G 1/4"),
        ("g 5/8 A", "G 5/8"),
        ("1/4 BSPP", "G 1/4"),
        ("1/4-19 BSPT", "R 1/4"),
        ("R1/8", "R 1/8"),
        ("Rc 3/8", "Rc 3/8"),
        ("RP 1/2", "Rp 1/2"),
    ] {
        assert_eq!(canonical(text), wanted, "{text}");
    }
    assert_eq!(pipe("1/8 NPTF").form(), PipeThreadForm::NptDrySeal);
    assert_eq!(pipe("1/4 NPT").size_name(), "1/4");
}

#[test]
fn threads_are_read_as_manuals_write_them() {
    for (text, wanted) in [
        ("3/8-16 UNC-2A", "3/8-16 UNC"),
        ("3/8\"-16 UNC", "3/8-16 UNC"),
        ("3/8\u{2033} \u{2013} 16 UNC", "3/8-16 UNC"),
        ("3/8 in.-16 UNC 2B", "3/8-16 UNC"),
        ("\u{215c}-16 UNC", "3/8-16 UNC"),
        ("7/16-20", "7/16-20 UNF"),
        ("1/4-20-2A", "1/4-20 UNC"),
        ("1/4-20-UNC-3A", "1/4-20 UNC"),
        ("No. 10-24", "#10-24 UNC"),
        ("no.10-32 UNF", "#10-32 UNF"),
        ("# 10-32", "#10-32 UNF"),
        ("#10-32 UNF", "#10-32 UNF"),
        ("10-32", "#10-32 UNF"),
        ("10-24 UNC-2A", "#10-24 UNC"),
        ("8-32", "#8-32 UNC"),
        ("1-1/8-7 UNC", "1 1/8-7 UNC"),
        ("1-8 UNC", "1-8 UNC"),
        ("M8 x 1.25", "M8"),
        ("M10x1.25-6g", "M10x1.25"),
        ("M10 X 1,25 - 6H", "M10x1.25"),
        ("M10-6H/6g", "M10"),
        ("M6-4g6g", "M6"),
    ] {
        assert_eq!(canonical(text), wanted, "{text}");
    }
}

#[test]
fn what_is_not_read_says_how_to_write_it() {
    for (text, wanted) in [
        ("1/4 BSP", "`1/4 BSP`: parallel or taper? write `G 1/4` (parallel) or `R 1/4` (taper)"),
        ("1/8-28 NPT", "`1/8-28 NPT`: 1/8 NPT has 27 threads per inch, not 28; write `1/8-27 NPT`"),
        (
            "R 5/8",
            "`R 5/8`: R has no size `5/8`; its sizes are 1/16, 1/8, 1/4, 3/8, 1/2, 3/4, 1, 1 1/4, 1 1/2, 2, as in `G 1/4`",
        ),
        ("M10x1.25 LH", "`M10x1.25 LH`: write the hand apart: `left_hand = true`, and the thread without it"),
        (
            "1/4 BSF",
            "`1/4 BSF`: BSF is not reckoned with; leave `thread` out and name it in `title`, its figures are then taken as told",
        ),
        ("3/8\"", "`3/8\"`: the threads per inch are missing; write `3/8-16 UNC` or `3/8-24 UNF`"),
    ] {
        assert_eq!(canonical(text), format!("error: {wanted}"), "{text}");
    }
}

/// Whatever works out a load takes a screw thread; a pipe thread is refused there with the reason.
#[test]
fn a_pipe_thread_is_no_bolt_thread() {
    for text in ["1/8-27 NPT", "G 1/4", "Rc 1/4"] {
        let refused = Thread::parse(text);
        assert!(matches!(refused, Err(ThreadError::NotRead { .. })), "{text}: {refused:?}");
        assert!(refused.is_err_and(|e| e.to_string().contains("no preload is worked out")));
        assert_eq!(FastenerThread::parse(text).ok().and_then(FastenerThread::screw), None);
    }
    // 27 and 28 threads to the inch, 10.3 and 9.7 mm: neither is the other, and neither is a unified size.
    assert_ne!(canonical("1/8 NPT"), canonical("R 1/8"));
    assert!(canonical("1/8-27").ends_with("; if a pipe thread is meant, write `1/8-27 NPT`"));
}

#[test]
fn the_band_of_torques_is_wide_and_grows_with_the_size() {
    let mut last_n_m = 0.0;
    for size in ["1/8", "1/4", "3/8", "1/2", "3/4", "1", "1 1/4", "1 1/2", "2"] {
        let band = pipe(&format!("{size} NPT")).torques_to_reckon_with();
        assert!(band.high().as_n_m() >= 8.0 * band.low().as_n_m() - 1e-9);
        assert!(band.high().as_n_m() > last_n_m, "{size}");
        last_n_m = band.high().as_n_m();
        assert!(pipe(&format!("{size} NPT")).usual_engagement().as_mm() > 5.0);
    }
}

proptest! {
    #[test]
    fn near_pipe_designations_are_read_or_refused(text in "(NPT|G|Rc|R)? ?[0-9/ -]{1,6}(-[0-9.]{1,4})? ?(NPTF?|BSPP?|A)?") {
        if let Ok(thread) = FastenerThread::parse(&text) {
            prop_assert_eq!(FastenerThread::parse(&thread.to_string()), Ok(thread));
            prop_assert!(thread.pitch_mm() > 0.0 && thread.pitch_mm() < thread.d_mm());
        }
    }
}
