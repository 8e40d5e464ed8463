//! Hours as a person writes them: `Mon-Fri 08:00-12:00 12:30-16:30`.

use record::workshop::{DayOfWeek, OpenStretch};

use super::clock::{place_of_day, read_time};
use crate::ask::AskError;

/// Days with the words for them, Monday first.
const DAYS: [(DayOfWeek, &str); 7] = [
    (DayOfWeek::Monday, "Mon"),
    (DayOfWeek::Tuesday, "Tue"),
    (DayOfWeek::Wednesday, "Wed"),
    (DayOfWeek::Thursday, "Thu"),
    (DayOfWeek::Friday, "Fri"),
    (DayOfWeek::Saturday, "Sat"),
    (DayOfWeek::Sunday, "Sun"),
];

/// Stretches of work from lines such as `Mon-Fri 08:00-12:00 12:30-16:30` and `Sat 09:00-12:00`.
///
/// # Errors
/// [`AskError::Argument`] for what is neither days nor times, with a sample.
pub fn parse_stretches<'a>(lines: impl IntoIterator<Item = &'a str>) -> Result<Vec<OpenStretch>, AskError> {
    let mut stretches = Vec::new();
    for line in lines {
        let mut words = line.split_whitespace();
        let days = words.next().and_then(read_days).ok_or_else(|| wrong_line(line))?;
        let spans = words.map(|word| read_span(word, line)).collect::<Result<Vec<_>, _>>()?;
        if spans.is_empty() {
            return Err(wrong_line(line));
        }
        for day in days {
            stretches.extend(spans.iter().map(|(from_min, to_min)| OpenStretch {
                day,
                from_min: *from_min,
                to_min: *to_min,
            }));
        }
    }
    stretches.sort_unstable();
    stretches.dedup();
    Ok(stretches)
}

fn wrong_line(line: &str) -> AskError {
    let words = format!("`{line}` is not days with their hours; write \"Mon-Fri 08:00-12:00 12:30-16:30\"");
    AskError::argument_error(words)
}

/// `Mon`, `Mon-Fri`, `Mon,Wed`.
fn read_days(text: &str) -> Option<Vec<DayOfWeek>> {
    let mut days = Vec::new();
    for word in text.split(',') {
        let (first, last) = word.split_once('-').unwrap_or((word, word));
        let (first, last) = (place_of_word(first)?, place_of_word(last)?);
        let row = DAYS.get(first..=last).filter(|row| !row.is_empty())?;
        days.extend(row.iter().map(|(day, _)| *day));
    }
    Some(days)
}

fn place_of_word(word: &str) -> Option<usize> {
    DAYS.iter().position(|(_, name)| name.eq_ignore_ascii_case(word))
}

fn read_span(word: &str, line: &str) -> Result<(u16, u16), AskError> {
    let (from, to) = word.split_once('-').ok_or_else(|| wrong_line(line))?;
    let minutes =
        |text: &str| if text == "24:00" { Ok(1_440) } else { read_time(text).map(|time_s| time_s / 60) };
    let (from_min, to_min) = (minutes(from)?, minutes(to)?);
    if from_min >= to_min {
        let words = format!("`{word}` ends before it begins; write 08:00-16:00");
        return Err(AskError::argument_error(words));
    }
    Ok((from_min as u16, to_min as u16))
}

/// Hours as they are written: days that are alike stand together.
#[must_use]
pub fn stretch_words(stretches: &[OpenStretch]) -> Vec<String> {
    let mut of_day: [Vec<String>; 7] = Default::default();
    let mut sorted = stretches.to_vec();
    sorted.sort_unstable();
    for stretch in &sorted {
        let time = |minutes: u16| format!("{:02}:{:02}", minutes / 60, minutes % 60);
        of_day[place_of_day(stretch.day)].push(format!(
            "{}-{}",
            time(stretch.from_min),
            time(stretch.to_min)
        ));
    }
    let mut lines = Vec::new();
    let mut at = 0;
    while at < of_day.len() {
        let hours = &of_day[at];
        let alike = of_day[at..].iter().take_while(|other| *other == hours).count();
        if !hours.is_empty() {
            let (first, last) = (DAYS[at].1, DAYS[at + alike - 1].1);
            let days = if alike == 1 { first.to_owned() } else { format!("{first}-{last}") };
            lines.push(format!("{days} {}", hours.join(" ")));
        }
        at += alike;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::{parse_stretches, stretch_words};

    #[test]
    fn hours_are_read_and_written_the_same() {
        let lines = ["Mon-Fri 08:00-12:00 12:30-16:30", "Sat 09:00-12:00"];
        let stretches = parse_stretches(lines).expect("hours");
        assert_eq!(stretches.len(), 11);
        assert_eq!(stretch_words(&stretches), lines);
        let odd = parse_stretches(["sun,tue 22:00-24:00"]).expect("hours");
        assert_eq!(stretch_words(&odd), ["Tue 22:00-24:00", "Sun 22:00-24:00"]);
        assert!(stretch_words(&[]).is_empty());
    }

    #[test]
    fn what_is_no_hours_is_told() {
        for line in [
            "",
            "Mon",
            "Mon 8",
            "Noday 08:00-12:00",
            "Fri-Mon 08:00-12:00",
            "Mon 12:00-08:00",
            "Mon 08:00-25:00",
        ] {
            assert!(parse_stretches([line]).is_err(), "{line}");
        }
    }
}
