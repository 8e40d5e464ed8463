//! Settings, needs and rules as they are written: every need names one thing and its values, every rule one form.
//!
//! Why: a need that cannot be read would be left out, and a plan without it would work under a lowered vehicle.

use super::rule;
use faults::{Fault, FaultRule, SourceSpan, Spanned};

rule! { B501 "need of no thing, or of two",
why "A need asks for values of one thing; without its name nobody knows what has to stand how.",
bad "place_time = \"20 s\"\ntaking_off = { needs = [{ is = [\"up\"] }] }",
help "name a `setting` or a `part`, one of the two; a second need goes in braces of its own." }
rule! { B502 "unknown value",
why "A value that the setting does not have would never hold, and what needs it would never be done.",
bad "place_time = \"20 s\"\ntaking_off = { needs = [{ setting = \"lift\", is = [\"uup\"] }] }",
help "name one of the values of the setting; a part is `held`, `loose` or `off`." }
rule! { B503 "values that cannot be kept apart",
why "A setting has at least two values, or nothing could change; each stands once, and more than 16 are not kept.",
bad "values = [\"ground\", \"up\", \"up\"]",
help "write each value once, 2 to 16 of them." }
rule! { B506 "rule of no form, or of several",
why "A rule says one thing, so that a plan can name the rule that stands in its way.",
bad "[[rule]]\ntitle = \"the lift stays where it is\"",
help "write one of `at_least_one`, `never_together` and `stays_still`; a second one is a rule of its own." }
rule! { B510 "start or end that is no value",
why "The world begins at the start value and has to come back to an end value; both must be values of the setting.",
bad "start  = \"down\"",
help "write one of the setting's own values." }
rule! { B511 "empty list of values",
why "Where no value will do, the step can never begin and the plan can never end.",
bad "place_time = \"20 s\"\ntaking_off = { needs = [{ setting = \"lift\", is = [] }] }",
help "name the values that do, or leave the whole need out." }
rule! { B513 "unknown setting",
why "A need of a setting that does not exist would be left out, and with it what keeps the work safe.",
bad "place_time = \"20 s\"\ntaking_off = { needs = [{ setting = \"lfit\", is = [\"up\"] }] }",
help "name one of the settings, or add the setting." }

pub(super) const RULES: &[FaultRule] = &[B501, B502, B503, B506, B510, B511, B513];

pub(crate) fn b501_one_thing(names_both: bool, need: SourceSpan) -> Fault {
    let message = if names_both {
        "a need names a setting and a part"
    } else {
        "a need names neither a setting nor a part"
    };
    super::rule_error(&B501, message, need, "expected one of `setting` and `part`")
}

pub(crate) fn b502_unknown_value(
    thing: &str,
    value: &Spanned<String>,
    hint: &str,
    help: Option<String>,
) -> Fault {
    Fault::error(B502.code, format!("`{thing}` has no value `{}`{hint}", value.value))
        .at(value.span, "not one of its values")
        .help(help.unwrap_or_else(|| B502.help.to_owned()))
}

pub(crate) fn b503_number_of_values(setting: &str, count: usize, span: SourceSpan) -> Fault {
    let message = format!("`{setting}` has {count} values");
    super::rule_error(&B503, message, span, format!("expected 2 to {}", model::MAX_SETTING_VALUES))
}

pub(crate) fn b503_value_twice(setting: &str, value: &str, again: SourceSpan, first: SourceSpan) -> Fault {
    let message = format!("`{setting}` has the value `{value}` twice");
    super::rule_error(&B503, message, again, "again").note(first, "first here")
}

pub(crate) fn b506_one_form(title: &str, told: &[&str], span: SourceSpan) -> Fault {
    let message = if told.is_empty() {
        format!("the rule `{title}` does not say what must hold")
    } else {
        format!("the rule `{title}` has several forms: {}", told.join(", "))
    };
    super::rule_error(&B506, message, span, "expected one form")
}

pub(crate) fn b510_not_a_value(
    setting: &str,
    what: &str,
    value: &Spanned<String>,
    known: &[String],
) -> Fault {
    let message = format!("`{}` is no value of `{setting}`", value.value);
    let help = format!("its values are {}", known.join(", "));
    Fault::error(B510.code, message).at(value.span, format!("for `{what}`")).help(help)
}

pub(crate) fn b511_no_value(thing: &str, span: SourceSpan) -> Fault {
    super::rule_error(&B511, format!("no value of `{thing}` will do"), span, "an empty list")
}
