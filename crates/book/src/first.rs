//! The first book of an engine that has none: little is wanted, and the rest stands ready as remarks.

/// The text of a book to begin with.
#[must_use]
pub fn first_book_text(title: &str) -> String {
    let title = toml_edit::Value::from(title).to_string();
    let title = title.trim();
    format!(
        r#"# Wanted: a title for the book, for each part and task, and how many fasteners hold the part.
# All else may be left out and be added later: what is left out is not known, and `[]` is none.
format = "{format}"
title  = {title}

[[part]]
title = "timing cover"
kind  = "cover"                 # mounting, connector, hose, pipe, belt, tensioner, wheel, drain, cover, loom ...
# off_first = ["undertray"]     # keys of parts that must be off before; a key is the title in small letters and hyphens

  [[part.fixing]]
  count = 10
  drive = "hexagon 10 mm"       # what the tool takes hold of: the first thing to look at
  # thread  = "M6"
  # room    = "open"            # open, arms-length, deep, beside-only, blind
  # tighten = "10 N·m"          # with its source, or it stays open
  # source  = "workshop manual p. 2-14 step 3"

[[task]]
title     = "look behind the timing cover"
off_first = ["timing-cover"]
"#,
        format = crate::tables::FORMAT
    )
}
