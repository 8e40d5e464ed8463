//! Heads, keys, references, lists and prices: what can be checked before the whole book is known.
//!
//! Why: everything in a book refers to everything else by name. A name that leads nowhere, or to two things, would
//! silently drop work from a plan.

use super::rule;
use faults::{Fault, FaultRule, SourceSpan, Spanned};
use units::Money;

rule! { B101 "not this format",
why "A book of another format, or of a later version, would be misread where a word has changed its meaning.",
bad "format   = \"traywright-book/7\"",
help "write `format = \"traywright-book/2\"`, or use the version of the program that the book was written for." }
rule! { B102 "two heads",
why "Exactly one file of a book says what the book is; with two, nobody can say which currency or title holds.",
bad "# in another file of the folder\ntitle = \"another head\"",
help "keep the head in one file; check whether a file of another book is in this folder." }
rule! { B103 "key used twice",
why "Tasks, parts and journals refer to things by key; a key that two things share would point at the wrong one.",
bad "[[part]]\nkey        = \"cover\"",
help "give one of them another key, and update everything that refers to it." }
rule! { B104 "malformed key",
why "Keys appear in file names, on labels and in commands: lower-case letters and digits joined by hyphens work in all of them.",
bad "key        = \"Front_Cover\"",
help "write it in lower case, with hyphens: `front-cover`." }
rule! { B105 "unknown station",
why "A step without a working position cannot be ordered to keep changes of position few.",
bad "station    = \"frnt\"",
help "name one of the stations, or add the station." }
rule! { B106 "unknown condition",
why "A condition that cannot be made would be left out, and with it the draining, cooling or disconnecting.",
bad "station    = \"front\"\nconditions = [\"engine-cool\"]",
help "name one of the conditions, or add the condition." }
rule! { B107 "unknown part",
why "A part that has to come off first but is missing from the book would only be discovered at the bench.",
bad "off_first  = [\"cowling\"]",
help "name one of the parts, or add the part." }
rule! { B108 "unknown opening",
why "What drops into an opening that the book does not know cannot be kept out by a cap.",
bad "place_time = \"20 s\"\nuncovers   = [\"intake\"]",
help "name one of the openings, or add the opening." }
rule! { B109 "named twice in one list",
why "A name that appears twice in a list is most often a slip for another name that is now missing.",
bad "conditions = [\"engine-cold\", \"engine-cold\"]",
help "remove one, or replace it with the name that was meant." }
rule! { B110 "too many items",
why "A list this long is not written by hand; it would make the program slow without doing any work.",
bad "cautions = [] # and so on for 1,001 items",
help "check that it is the right file." }
rule! { B111 "not a currency code",
why "Sums of prices are shown with the book's currency, which is written as ISO 4217 does.",
bad "currency = \"euro\"",
help "write three capital letters: `EUR`." }
rule! { B112 "price below zero",
why "A price or a loss below zero would make buying look like a gain.",
bad "leaving    = \"-140.00\"",
help "remove the minus sign." }
rule! { B113 "price in another currency",
why "Prices are added up; amounts of two currencies cannot be.",
bad "leaving    = \"140.00 USD\"",
help "convert the price, or leave the currency out." }
rule! { B114 "unknown special tool",
why "A tool asked for by name has to be described once, so that it can be bought, borrowed or made.",
bad "special_tools = [\"crank-pn\"]",
help "name one of the special tools, or add it." }
rule! { B121 "unknown way",
why "An access limited to a way that does not exist would never be used.",
bad "corridor = [{ length = 40, clear = 22 }, { clear = 60 }]\n    way      = \"from-behind\"",
help "name one of the part's ways, or leave `way` out if the access applies to all of them." }
rule! { B122 "unknown hole",
why "An access for a hole that is not there leaves another hole without one.",
bad "corridor = [{ length = 40, clear = 22 }, { clear = 60 }]\n    holes    = [\"1\", \"9\"]",
help "name the fixing's own holes; labels count through all fixings of a part unless they are written." }
rule! { B124 "unknown column of a spreadsheet",
why "A column with a misspelt name would be ignored silently, with every figure in it.",
bad "part,count,driev\ntiming cover,10,hexagon 10 mm",
help "name the column like a key of the table `row` in docs/book-format.md." }
rule! { B125 "row that does not fit its header",
why "A shifted row puts every figure under the wrong name.",
bad "part,count,drive\ntiming cover,10",
help "leave empty fields between the separators; put a field with a separator in it in double quotes." }

rule! { B126 "limit without a unit",
why "A limit is read beside a gauge; without its unit nobody knows which.",
bad "[[measure]]\ntitle = \"end play\"\nhigh  = \"0.3\"",
help "write the figure with its unit: `0.30 mm`, `0.012 in`." }
rule! { B127 "unknown task",
why "A measurement of a task that does not exist would never be asked for.",
bad "[[measure]]\ntitle = \"end play\"\ntask  = \"meassure\"",
help "name one of the tasks, or leave `task` out." }

rule! { B129 "interval that is none",
why "A task whose interval cannot be read would never fall due, and nobody would miss it.",
bad "every      = \"120000\"",
help "write a figure with its unit: `120000 km`, `75000 mi`, `500 h`, `24 months`, `6 years`." }

rule! { B130 "unknown fixing",
why "An order of tightening that names what is not in the book would be dropped without a word.",
bad "tighten_after = [\"main-bolts\"]",
help "name one of the fixings by its key, or give that fixing a `key`." }

rule! { B131 "a rule about several parts at once",
why "A rule that one of several holds, or that some never hold together, says something else of one part than of all four that one description stands for.",
bad "never_together = [{ setting = \"lift\", is = [\"up\"] }, { part = \"cover\", is = [\"off\"] }]",
help "name one of them by its own key, with its label behind the hyphen, and write a rule for each." }

pub(super) const RULES: &[FaultRule] = &[
    B129, B130, B131, B124, B125, B126, B127, B101, B102, B103, B104, B105, B106, B107, B108, B109, B110,
    B111, B112, B113, B114, B121, B122,
];

/// Lower-case words and figures joined by single hyphens.
pub(crate) fn is_well_formed(key: &str) -> bool {
    let word = |w: &str| !w.is_empty() && w.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit());
    key.split('-').all(word)
}

pub(crate) fn b101_other_format(format: &Spanned<String>) -> Fault {
    let message = format!("format `{}` is not supported", format.value);
    super::rule_error(&B101, message, format.span, "not a known format")
}

pub(crate) fn b102_second_head(key: &str, span: SourceSpan) -> Fault {
    super::rule_error(
        &B102,
        format!("`{key}` belongs to the head, but is in a second file"),
        span,
        "the head is in another file",
    )
}

pub(crate) fn b131_several_parts(span: SourceSpan) -> Fault {
    super::rule_error(
        &B131,
        "the rule names a part that is there several times",
        span,
        "stands for several parts",
    )
}

pub(crate) fn b103_key_twice(what: &str, key: &Spanned<String>, first: Option<SourceSpan>) -> Fault {
    let fault = super::rule_error(
        &B103,
        format!("two {what}s have the key `{}`", key.value),
        key.span,
        "already in use",
    );
    match first {
        Some(first) => fault.note(first, "first given here"),
        None => fault,
    }
}

pub(crate) fn b104_form_of_key(key: &Spanned<String>) -> Fault {
    let message = format!("key `{}` is not made of lower-case words joined by hyphens", key.value);
    super::rule_error(&B104, message, key.span, "not a key")
}

pub(crate) fn b111_currency(currency: &Spanned<String>) -> Fault {
    let message = format!("`{}` is not a currency", currency.value);
    super::rule_error(&B111, message, currency.span, "expected three capital letters")
}

pub(crate) fn b126_measure_limit(limit: &Spanned<String>) -> Fault {
    let message = format!("`{}` is no limit with a unit", limit.value);
    super::rule_error(&B126, message, limit.span, "a figure with its unit is wanted")
}

pub(crate) fn b112_negative_price(price: Money, span: SourceSpan) -> Fault {
    super::rule_error(&B112, format!("a price of {price} is below zero"), span, "below zero")
}

pub(crate) fn b113_other_currency(other: &Spanned<String>, currency: &str) -> Fault {
    let message = format!("price in {}, while the book's currency is {currency}", other.value);
    super::rule_error(&B113, message, other.span, "another currency")
}
