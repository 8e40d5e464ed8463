//! Processor seconds of this program and the load of the machine, as the kernel counts them.

use std::fs;

/// Ticks of the kernel in a second: `USER_HZ`, 100 on every Linux of today (proc(5), field `utime`).
const TICKS_PER_S: f64 = 100.0;

/// Nanoseconds in a second.
const NS_PER_S: f64 = 1e9;

/// Processor seconds spent so far by all threads of this program; 0 where the kernel does not report it.
///
/// The sum over all threads, those that ended included, is kept in ticks of 10 ms only; the thread that asks is known to
/// the nanosecond. The greater of the two is right to a tick with many threads and much closer with one.
pub fn processor_seconds() -> f64 {
    let all = fs::read_to_string("/proc/self/stat").ok().and_then(|text| parse_ticks(&text)).unwrap_or(0.0);
    let mine =
        fs::read_to_string("/proc/thread-self/schedstat").ok().and_then(|text| parse_first_number(&text));
    (all / TICKS_PER_S).max(mine.unwrap_or(0.0) / NS_PER_S)
}

/// Average number of programs that wanted a processor in the last minute.
pub fn machine_load() -> Option<f64> {
    fs::read_to_string("/proc/loadavg").ok().and_then(|text| parse_first_number(&text))
}

/// Processors of the machine that this program may use.
pub fn processor_count() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// User and system time of a line of `/proc/self/stat`: the 14th and 15th field; the second may hold blanks in brackets.
fn parse_ticks(text: &str) -> Option<f64> {
    let (_, rest) = text.rsplit_once(')')?;
    let mut fields = rest.split_whitespace().skip(11);
    let user: f64 = fields.next()?.parse().ok()?;
    let system: f64 = fields.next()?.parse().ok()?;
    Some(user + system)
}

fn parse_first_number(text: &str) -> Option<f64> {
    text.split_whitespace().next()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_blanks_and_brackets_does_not_shift_the_fields() {
        let line = "7 (a ) b) R 1 7 7 0 -1 4194304 98 0 0 0 120 30 0 0 20 0 1 0 99 3 4";
        assert_eq!(parse_ticks(line), Some(150.0));
        assert_eq!(parse_ticks("nonsense"), None);
    }

    #[test]
    fn work_is_counted() {
        let before = processor_seconds();
        let mut sum = 0_u64;
        while processor_seconds() - before < 0.02 && sum < u64::MAX {
            sum = std::hint::black_box(sum + 1);
        }
        assert!(processor_seconds() - before >= 0.02);
    }
}
