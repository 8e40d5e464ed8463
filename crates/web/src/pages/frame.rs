//! What every page has around it: head, the way to the other sheets, the title block at the foot.

use app::text::table::count_with_noun;
use app::workshop::{Device, LiveVisit};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::assets::asset_address;

/// Sheets of a visit: last part of the address, and name.
const SHEETS: &[(&str, &str)] = &[
    ("ready", "Before you start"),
    ("bench", "Bench"),
    ("next", "Comes off next"),
    ("questions", "Open questions"),
    ("trays", "Trays"),
    ("readings", "Readings"),
    ("tell", "Report"),
    ("pause", "Pause"),
    ("ledger", "Ledger"),
    ("paper", "Paper"),
];

/// Whose page it is, for the script.
#[derive(Debug, Clone)]
pub(crate) struct PageContext {
    device: String,
    visit: String,
    /// Who answers for what the device writes.
    person: Option<String>,
    seen: u64,
    vehicle: String,
    name: String,
    /// Fasteners that two devices disagree about.
    conflicts: usize,
}

impl PageContext {
    pub(crate) fn for_device(live: &LiveVisit, device: &Device) -> Self {
        let next = live.history().next_order(&device.id);
        let opened = live.state().opened.as_ref();
        Self {
            device: device.id.to_string(),
            visit: live.id().to_string(),
            person: device.person.as_ref().map(ToString::to_string),
            seen: next.round.saturating_sub(1),
            vehicle: opened.map_or_else(String::new, |o| o.letter.clone()),
            name: opened.map_or_else(String::new, |o| o.name.clone()),
            conflicts: live.state().open_conflicts().count(),
        }
    }

    /// A notice that two devices disagree, with a link to the decision; empty where they agree.
    pub(crate) fn conflict_notice(&self) -> Markup {
        html! {
            @if self.conflicts > 0 {
                p.refusal { a href=(self.sheet_address("ledger#differ")) { "Two devices disagree about " (count_with_noun(self.conflicts, "fastener")) ": look and decide" } }
            }
        }
    }

    /// The address of a step on the bench, by its lasting name.
    pub(crate) fn step_address(&self, name: &str) -> String {
        // Names are of keys and dots; whatever else a book puts in is written as it is in addresses.
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_' | '~' | ':');
        let escaped: String = name
            .chars()
            .map(|c| {
                if plain(c) {
                    c.to_string()
                } else {
                    c.to_string().bytes().map(|b| format!("%{b:02X}")).collect()
                }
            })
            .collect();
        format!("{}?step={escaped}", self.sheet_address("bench"))
    }

    /// An address of this visit.
    pub(crate) fn sheet_address(&self, sheet: &str) -> String {
        format!("/v/{}/{sheet}", self.visit)
    }
}

/// What the visit has not or what of it cannot be read, with what to do; nothing where all is there.
pub(crate) fn missing_notice(live: &LiveVisit) -> Markup {
    let missing = live.missing_words();
    html! {
        @for why in live.unreadable_texts() { p.refusal { (app::bench::capitalise_first(why)) "." } }
        @if !missing.is_empty() { p.refusal { (app::bench::capitalise_first(&missing)) "." } }
    }
}

fn page_head(title: &str) -> Markup {
    html! {
        meta charset="utf-8";
        meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover";
        title { (title) }
        link rel="stylesheet" href=(asset_address("bench.css"));
        link rel="icon" href=(asset_address("icon.svg")) type="image/svg+xml";
        link rel="manifest" href="/bench.webmanifest";
    }
}

/// A page without a visit and without script.
pub(crate) fn bare_page(title: &str, body: &Markup) -> Markup {
    html! { (DOCTYPE) html lang="en" { head { (page_head(title)) } body { (body) } } }
}

/// The same with the script, so that it says what waits on the device to be sent.
pub(crate) fn scripted_page(title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" { head { (page_head(title)) script type="module" src=(asset_address("bench.js")) {} } body { (body) } }
    }
}

/// A page that may be read and scrolled.
pub(crate) fn scrolling_page(title: &str, stage: Option<&PageContext>, here: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head { (page_head(title)) script type="module" src=(asset_address("bench.js")) {} }
            body data-device=[stage.map(|s| &s.device)] data-visit=[stage.map(|s| &s.visit)] data-seen=[stage.map(|s| s.seen)] data-person=[stage.and_then(|s| s.person.as_ref())] {
                main.plain {
                    (sheet_links(stage, here))
                    @if let Some(stage) = stage.filter(|_| here != "ledger") { (stage.conflict_notice()) }
                    (body)
                }
                (title_block(stage, &[("sheet", title.to_owned())]))
            }
        }
    }
}

/// The plan that a bench page is of.
pub(crate) struct PlanInHand {
    /// Its digest.
    pub(crate) digest: String,
    /// What it changed against the plan before it, in words.
    pub(crate) change: Option<String>,
}

/// A page that fills the screen and does not scroll.
pub(crate) fn full_page(title: &str, stage: &PageContext, plan: &PlanInHand, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head { (page_head(title)) script type="module" src=(asset_address("bench.js")) {} }
            body.bench data-device=(stage.device) data-visit=(stage.visit) data-seen=(stage.seen) data-person=[stage.person.as_ref()]
                data-plan=(plan.digest) data-plan-change=[plan.change.as_ref()] { (body) }
        }
    }
}

/// The way to the other sheets.
pub(crate) fn sheet_links(stage: Option<&PageContext>, here: &str) -> Markup {
    html! {
        nav.sheets aria-label="sheets" {
            a href="/" { "Visits" }
            @if let Some(stage) = stage {
                @for (sheet, name) in SHEETS {
                    a href=(stage.sheet_address(sheet)) aria-current=[(*sheet == here).then_some("page")] { (name) }
                }
            }
            @if stage.is_none() {
                a href="/begin" aria-current=[(here == "begin").then_some("page")] { "New visit" }
                a href="/calendar" aria-current=[(here == "calendar").then_some("page")] { "Calendar" }
                a href="/vehicles" aria-current=[(here == "vehicles").then_some("page")] { "Vehicles" }
                a href="/workshop" aria-current=[(here == "workshop").then_some("page")] { "Workshop" }
                a href="/figures" aria-current=[(here == "figures").then_some("page")] { "Figures" }
                a href="/devices" aria-current=[(here == "devices").then_some("page")] { "Devices" }
            }
        }
    }
}

/// The title block at the foot: always in the same place, always the same fields first.
pub(crate) fn title_block(stage: Option<&PageContext>, fields: &[(&str, String)]) -> Markup {
    html! {
        footer.title {
            @if let Some(stage) = stage {
                span.letter { (stage.vehicle) }
                span data-cell="vehicle" { b { "vehicle" } (stage.name) }
            }
            @for (name, value) in fields { span data-cell=(name) { b { (name) } (value) } }
            span #waiting aria-live="polite" { b { "to send" } span #waiting-count { "0" } }
        }
    }
}

/// Words in which no line ends between a figure and its unit.
pub(crate) fn keep_units_together(words: &str) -> String {
    const UNITS: [&str; 6] = ["N·m", "mm", "kg", "kN", "min", "pcs"];
    let mut out = String::with_capacity(words.len());
    for word in words.split_inclusive(' ') {
        let bare = word.trim_end().trim_end_matches(['.', ',', ';', ':', ')']);
        if UNITS.contains(&bare)
            && out.ends_with(' ')
            && out.trim_end().ends_with(|c: char| c.is_ascii_digit())
        {
            out.pop();
            out.push('\u{a0}');
        }
        out.push_str(word);
    }
    out
}

/// The text of something as JSON, for an attribute.
pub(crate) fn json_attribute(value: &impl serde::Serialize) -> String {
    serde_json::to_string(value).expect("events are plain data")
}

/// A drawing of ours as it is; `print` has escaped every text in it.
pub(crate) fn drawing_markup(svg: &str) -> Markup {
    PreEscaped(svg.to_owned())
}

/// Fixings that the book has no figure for: what was said of each and what seems odd, with the two ways to close it.
pub(crate) fn missing_figures_markup(figures: &[app::bench::MissingFigure]) -> Markup {
    html! {
        @for figure in figures {
            @match &figure.word {
                Some(word) => { p { strong { (figure.title) ": " } (keep_units_together(word)) } },
                None => {
                    p.refusal { (figure.title) ": the tightening figure is missing in the book. Run in is not tight." }
                    div.pair {
                        button type="button" data-ask="figure" data-fixing=(figure.fixing) { "Give the figure" }
                        button type="button" data-ask="no-figure" data-fixing=(figure.fixing) { "Answer for it" }
                    }
                },
            }
            @if let Some(remark) = &figure.remark {
                p.refusal { (keep_units_together(remark)) }
                div.one { button type="button" data-ask="figure" data-fixing=(figure.fixing) { "Give another figure" } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_figure_and_its_unit_stay_on_one_line() {
        for (plain, kept) in [
            ("tighten to 8 N·m.", "tighten to 8\u{a0}N·m."),
            ("the cover (0.4 kg)", "the cover (0.4\u{a0}kg)"),
            ("4 × bolts, torque wrench 4 to 20 N·m", "4 × bolts, torque wrench 4 to 20\u{a0}N·m"),
            ("in N·m or mm", "in N·m or mm"),
            ("", ""),
        ] {
            assert_eq!(super::keep_units_together(plain), kept);
        }
    }
}
