//! The same blocks as a page that prints: no script, escaped words, one page of paper after the other.

use core::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::drawing::{Drawing, DrawingPen, INK, TextAnchor};
use crate::face::{FACE_FAMILY, face_rules};
use crate::paper::block::{
    HoleCard, LabelSheet, Pack, PaperAlign, PaperBlock, PaperCell, PaperColumn, PaperLabel, PaperRow,
    PaperSheet, PaperSize, PaperStep, PartBox, SheetBody,
};
use crate::paper::qr::LinkCode;
use crate::svg::{escape_text, svg_number, write_svg};
use crate::svg_page::PageDrawings;
use model::SignalWord;

/// The pack as one page.
#[must_use]
pub fn write_html(pack: &Pack) -> String {
    let mut out = format!(
        "<!doctype html>\n<html lang=\"{}\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{}</title>\n<style>{}</style></head>\n<body><main>\n",
        escape_text(&pack.language),
        escape_text(&pack.title),
        page_style(pack.size)
    );
    let contents = contents_list(pack);
    if pack.contents {
        let (title, about) = (escape_text(&pack.title), escape_text(&pack.about));
        let _ = writeln!(out, "<section><h1>{title}</h1><p>{about}</p>{contents}</section>");
    }
    for (i, sheet) in pack.sheets.iter().enumerate() {
        let _ = writeln!(out, "<section id=\"sheet-{}\">", i + 1);
        write_sheet(&mut out, sheet, &pack.date, i + 1, &contents);
        out.push_str("</section>\n");
    }
    out.push_str("</main></body></html>\n");
    out
}

fn page_style(size: PaperSize) -> String {
    let paper = match size {
        PaperSize::A4 => "A4",
        PaperSize::Letter => "letter",
    };
    format!(
        "{}@page{{size:{paper};margin:12mm}}\
         body{{font:10pt/1.35 {FACE_FAMILY};color:{INK};background:#fff;\
         max-width:186mm;margin:0 auto;padding:4mm}}\
         section{{break-after:page;margin-bottom:14mm}}section:last-of-type{{break-after:auto}}\
         h1{{font-size:18pt;line-height:1.15;margin:0}}h2{{font-size:13pt;margin:5mm 0 1mm;break-after:avoid}}\
         p{{margin:0 0 2mm}}.small{{font-size:8pt}}.large{{font-size:28pt;font-weight:700;line-height:1.15}}\
         table{{border-collapse:collapse;width:100%;margin:2mm 0;overflow-wrap:anywhere}}thead{{display:table-header-group}}\
         th,td{{text-align:left;vertical-align:top;padding:1mm;border-bottom:.3pt solid #888}}\
         thead :is(th,td){{border-top:1pt solid {INK};border-bottom:1pt solid {INK}}}thead th,.right{{overflow-wrap:normal}}.right{{text-align:right}}\
         tr,li,figure,.together,.caution{{break-inside:avoid}}.box{{display:inline-block;width:4.6mm;height:4.6mm;\
         border:1pt solid {INK};vertical-align:-1mm;margin-right:2mm}}\
         .caution{{display:flex;border:1.4pt solid {INK};margin:2mm 0}}.caution b{{padding:1mm 3mm}}\
         .caution span{{padding:1mm 2mm}}.danger b{{background:#c8102e;color:#fff}}.warning b{{background:#ff8200}}\
         .caution.mild b{{background:#ffd100}}.notice b{{background:#004b87;color:#fff}}\
         ol{{list-style:none;padding:0;margin:0}}li{{border-top:.3pt solid #999;padding:1mm 0}}\
         .step{{display:flex;gap:2mm}}.step div{{flex:1}}.step .end{{flex:0 1 30%;text-align:right;font-weight:700}}\
         figure{{margin:2mm 0}}figure svg,figure img{{max-width:100%;max-height:inherit;height:auto}}\
         .columns{{display:flex;gap:6mm}}.columns>div{{flex:1;min-width:0}}.line{{border-bottom:.4pt solid #777;height:8mm}}\
         .newpage{{break-before:page}}.labels{{display:grid;grid-template-columns:1fr 1fr;gap:0}}\
         .label{{border:.3pt dashed #888;padding:2mm;min-height:36mm;break-inside:avoid;overflow-wrap:anywhere}}\
         .label b.code{{font-size:40pt;line-height:1}}.label svg{{width:24mm;height:24mm;float:right}}.foot{{display:flex;flex-wrap:wrap;border-top:1.4pt solid {INK};\
         margin-top:4mm}}.foot div{{padding:1mm 4mm 1mm 0;flex:1 0 auto;max-width:100%}}\
         .foot small{{display:block;font-size:8pt}}.true{{max-width:none}}\
         .two{{columns:2;column-gap:6mm}}.band{{background:{INK};color:#fff;padding:.5mm 1.5mm;font-size:11pt}}\
         .part{{border-top:1.4pt solid {INK};margin-top:2mm}}h3{{font-size:10.5pt;margin:.5mm 0}}h3 span{{float:right;font-weight:400;font-size:8pt}}\
         .set{{font-size:14pt}}.verdict{{display:flex;gap:8mm;align-items:center;border:2pt solid {INK};padding:2mm 4mm;margin:2mm 0}}.verdict b{{font-size:34pt;line-height:1.1}}.stop{{background:{INK};color:#fff;font-weight:700;padding:1mm 2mm}}.code svg{{width:24mm;height:24mm;float:left}}.code{{overflow:hidden}}\
         @media screen{{.scroll{{overflow-x:auto}}}}@media screen and (max-width:600px){{.labels{{grid-template-columns:1fr}}.two{{columns:1}}}}",
        face_rules()
    )
}

/// The list of the sheets, each with a link.
fn contents_list(pack: &Pack) -> String {
    let mut out = String::from("<ol>");
    for (i, sheet) in pack.sheets.iter().enumerate() {
        let (title, about) = (escape_text(&sheet.title), escape_text(&sheet.subtitle));
        let _ = writeln!(out, "<li><a href=\"#sheet-{}\">{title}</a> {about}</li>", i + 1);
    }
    out.push_str("</ol>");
    out
}

fn write_sheet(out: &mut String, sheet: &PaperSheet, date: &str, of: usize, contents: &str) {
    let mut names = DrawingNames { sheet: of, count: 0, contents, shared: None };
    let (title, about) = (escape_text(&sheet.title), escape_text(&sheet.subtitle));
    let _ = writeln!(out, "<h1>{title}</h1><p>{about}</p>");
    match &sheet.body {
        SheetBody::Flow(list) => write_blocks(out, list, &mut names),
        SheetBody::TwoColumns(list) => {
            out.push_str("<div class=\"two\">");
            write_blocks(out, list, &mut names);
            out.push_str("</div>");
        }
        SheetBody::Labels(sheet) => write_labels(out, sheet),
        SheetBody::HoleCard(card) => write_hole_card(out, card, of),
    }
    out.push_str("<div class=\"foot\">");
    let date = [(String::from("date"), String::from(date))];
    for (name, value) in sheet.foot.iter().chain(&date) {
        let _ = write!(out, "<div><small>{}</small><b>{}</b></div>", escape_text(name), escape_text(value));
    }
    out.push_str("</div>\n");
}

/// Blocks as HTML, for a page that has its own head and style; drawings take their styles from those of the page.
#[must_use]
pub fn write_blocks_html(blocks: &[PaperBlock], drawings: &mut PageDrawings) -> String {
    let mut out = String::new();
    let mut names = DrawingNames { sheet: 0, count: 0, contents: "", shared: Some(drawings) };
    write_blocks(&mut out, blocks, &mut names);
    out
}

/// Names for drawings, so that two of them in one page do not share their patterns.
struct DrawingNames<'c> {
    sheet: usize,
    count: usize,
    /// The list of the sheets.
    contents: &'c str,
    /// The styles of a page that all its drawings share.
    shared: Option<&'c mut PageDrawings>,
}

impl DrawingNames<'_> {
    fn named_svg(&mut self, drawing: &Drawing) -> String {
        if let Some(shared) = &mut self.shared {
            return shared.write(drawing);
        }
        self.count += 1;
        let mut own = drawing.clone();
        own.id = format!("s{}-d{}", self.sheet, self.count);
        write_svg(&own)
    }
}

fn write_blocks(out: &mut String, list: &[PaperBlock], names: &mut DrawingNames<'_>) {
    for block in list {
        write_block(out, block, names);
    }
}

fn write_block(out: &mut String, block: &PaperBlock, names: &mut DrawingNames<'_>) {
    let _ = match block {
        PaperBlock::Heading(text) => writeln!(out, "<h2>{}</h2>", escape_text(text)),
        PaperBlock::Text(text) => writeln!(out, "<p>{}</p>", escape_text(text)),
        PaperBlock::Small(text) => writeln!(out, "<p class=\"small\">{}</p>", escape_text(text)),
        PaperBlock::Large(text) => writeln!(out, "<p class=\"large\">{}</p>", escape_text(text)),
        PaperBlock::Caution { signal, text } => writeln!(out, "{}", caution_html(*signal, text)),
        PaperBlock::Table { columns, rows } => {
            write_html_table(out, columns, rows);
            Ok(())
        }
        PaperBlock::Picture { drawing, height_mm } => {
            let (drawn, high) = (names.named_svg(drawing), svg_number(height_mm.clamp(5.0, 260.0)));
            let ratio = drawing.width_px / drawing.height_px.max(1.0);
            let wide = svg_number(height_mm.clamp(5.0, 260.0) * ratio);
            writeln!(out, "<figure style=\"max-height:{high}mm;max-width:{wide}mm\">{drawn}</figure>")
        }
        PaperBlock::Photo { jpeg, caption, height_mm } => {
            let (data, caption) = (encode_base64(jpeg), escape_text(caption));
            let high = svg_number(height_mm.clamp(5.0, 260.0));
            writeln!(
                out,
                "<figure><img style=\"max-height:{high}mm\" alt=\"{caption}\" \
                 src=\"data:image/jpeg;base64,{data}\"><figcaption class=\"small\">{caption}</figcaption></figure>"
            )
        }
        PaperBlock::Steps(lines) => {
            write_steps(out, lines);
            Ok(())
        }
        PaperBlock::Verdict { word, text, is_stop } => {
            writeln!(out, "{}", verdict_html(word, text, *is_stop))
        }
        PaperBlock::Contents => writeln!(out, "{}", names.contents),
        PaperBlock::Band(text) => writeln!(out, "<h2 class=\"band\">{}</h2>", escape_text(text)),
        PaperBlock::PartBox(part) => {
            write_part_box(out, part);
            Ok(())
        }
        PaperBlock::Tag(label) => {
            write_label_grid(out, core::slice::from_ref(label));
            Ok(())
        }
        PaperBlock::Code { link, words } => writeln!(out, "{}", code_html(link, words)),
        PaperBlock::Blanks { label, lines } => {
            let space = "<div class=\"line\"></div>".repeat((*lines).min(200) as usize);
            writeln!(out, "<p>{}</p>{space}", escape_text(label))
        }
        PaperBlock::Together(list) => {
            out.push_str("<div class=\"together\">");
            write_blocks(out, list, names);
            writeln!(out, "</div>")
        }
        PaperBlock::Columns(columns) => {
            out.push_str("<div class=\"columns\">");
            for list in columns {
                out.push_str("<div>");
                write_blocks(out, list, names);
                out.push_str("</div>");
            }
            writeln!(out, "</div>")
        }
        PaperBlock::NewPage => writeln!(out, "<div class=\"newpage\"></div>"),
    };
}

fn verdict_html(word: &str, text: &str, is_stop: bool) -> String {
    let class = if is_stop { "verdict stop" } else { "verdict" };
    format!("<div class=\"{class}\"><b>{}</b><span>{}</span></div>", escape_text(word), escape_text(text))
}

fn write_part_box(out: &mut String, part: &PartBox) {
    let (title, beside) = (escape_text(&part.title), escape_text(&part.beside));
    out.push_str("<div class=\"part\">");
    if !title.is_empty() || !beside.is_empty() {
        let _ = write!(out, "<h3><span>{beside}</span>{title}</h3>");
    }
    write_steps(out, &part.lines);
    out.push_str("</div>\n");
}

fn code_html(link: &str, words: &str) -> String {
    let code = LinkCode::of_link(link).map_or_else(String::new, |code| code.svg_text());
    format!("<div class=\"code\">{code}<p class=\"small\">{}</p></div>", escape_text(words))
}

fn caution_html(signal: SignalWord, text: &str) -> String {
    let class = match signal {
        SignalWord::Danger => "danger",
        SignalWord::Warning => "warning",
        SignalWord::Caution => "mild",
        SignalWord::Notice => "notice",
    };
    format!(
        "<div class=\"caution {class}\"><b>{}{}</b><span>{}</span></div>",
        if signal == SignalWord::Notice { "" } else { "\u{26a0}\u{a0}" },
        signal.file_word(),
        escape_text(text)
    )
}

fn write_html_table(out: &mut String, columns: &[PaperColumn], rows: &[PaperRow]) {
    let class = |c: Option<&PaperColumn>| match c.map(|c| c.align) {
        Some(PaperAlign::Right) => " class=\"right\"",
        _ => "",
    };
    out.push_str("<table><thead><tr>");
    for column in columns {
        let title = escape_text(&column.title);
        // A column of boxes to tick has no heading, and an empty one would be read aloud as one.
        let _ = match title.as_str() {
            "" => write!(out, "<td{}></td>", class(Some(column))),
            title => write!(out, "<th scope=\"col\"{}>{title}</th>", class(Some(column))),
        };
    }
    out.push_str("</tr></thead><tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        if row.is_heading {
            let words: Vec<String> = row.cells.iter().map(cell_html).collect();
            let _ = write!(out, "<th colspan=\"{}\">{}</th>", columns.len().max(1), words.join(" "));
        } else {
            for (i, of) in row.cells.iter().enumerate().take(columns.len()) {
                let _ = write!(out, "<td{}>{}</td>", class(columns.get(i)), cell_html(of));
            }
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody></table>\n");
}

fn cell_html(of: &PaperCell) -> String {
    match of {
        PaperCell::Words(text) => escape_text(text),
        PaperCell::Bold(text) => format!("<b>{}</b>", escape_text(text)),
        PaperCell::Tick(text) => format!("<span class=\"box\"></span>{}", escape_text(text)),
        PaperCell::Blank => String::from("<div class=\"line\"></div>"),
    }
}

fn write_steps(out: &mut String, lines: &[PaperStep]) {
    out.push_str("<ol>\n");
    for line in lines {
        match line.anchor.as_str() {
            "" => out.push_str("<li>"),
            anchor => _ = write!(out, "<li id=\"{}\">", escape_text(anchor)),
        }
        for (signal, text) in &line.cautions {
            out.push_str(&caution_html(*signal, text));
        }
        if line.number.is_empty() && line.words.is_empty() && line.stop.is_empty() {
            out.push_str("</li>");
            continue;
        }
        let details: String =
            line.details.iter().map(|d| format!("<div class=\"small\">{}</div>", escape_text(d))).collect();
        let (number, words) = (escape_text(&line.number), escape_text(&line.words));
        let end = end_html(line);
        let (tick, stop) = if line.stop.is_empty() {
            ("<span class=\"box\"></span>", String::new())
        } else {
            ("", format!("<div class=\"stop\">NO-GO  {}</div>", escape_text(&line.stop)))
        };
        let _ = writeln!(
            out,
            "<div class=\"step\">{tick}<b>{number}</b><div>{words}{details}{stop}</div>{end}</div></li>"
        );
    }
    out.push_str("</ol>\n");
}

/// What is set, large, then what is said beside it and the slot, each on its line.
fn end_html(line: &PaperStep) -> String {
    let figure = match line.figure.as_str() {
        "" => String::new(),
        figure => format!("<span class=\"set\">{}</span>", escape_text(figure)),
    };
    let told = [figure, escape_text(&line.beside), escape_text(&line.slot)];
    let told: Vec<String> = told.into_iter().filter(|words| !words.is_empty()).collect();
    if told.is_empty() { String::new() } else { format!("<div class=\"end\">{}</div>", told.join("<br>")) }
}

fn write_labels(out: &mut String, sheet: &LabelSheet) {
    write_label_grid(out, &sheet.labels);
}

fn write_label_grid(out: &mut String, labels: &[PaperLabel]) {
    out.push_str("<div class=\"labels\">");
    for PaperLabel { code, lines, vehicle, link } in labels {
        let words: String = lines.iter().map(|l| format!("<div>{}</div>", escape_text(l))).collect();
        let opens = LinkCode::of_link(link).map_or_else(String::new, |code| code.svg_text());
        let link = escape_text(link);
        let _ = writeln!(
            out,
            "<div class=\"label\">{opens}<b class=\"code\">{}</b>{words}<div><b>{}</b></div><div class=\"small\">{link}</div></div>",
            escape_text(code),
            escape_text(vehicle)
        );
    }
    out.push_str("</div>\n");
}

/// The pattern in true size; a browser rounds it to its dots, so the words say that the PDF is the true one.
fn write_hole_card(out: &mut String, card: &HoleCard, of: usize) {
    for (signal, warning) in &card.warnings {
        out.push_str(&caution_html(*signal, warning));
    }
    for (class, words) in &card.classes {
        let _ = writeln!(out, "<p><b>{}</b> {}</p>", escape_text(class), escape_text(words));
    }
    out.push_str("<p class=\"small\">To punch holes, print the PDF at 100 %; a browser rounds sizes.</p>\n");
    // The label is to the right of its hole, which may be the outermost.
    let (left, bottom, right, top) = crate::paper::hole_card::card_field(card);
    let right = right + 12.0;
    let mut drawing = Drawing::new(&format!("s{of}-card"), "holes", right - left, top - bottom);
    let place = |p: (f64, f64)| (p.0 - left, top - p.1);
    let thin = DrawingPen { width_px: 0.35, ..DrawingPen::THIN };
    if card.outline_mm.len() > 1 {
        let points: Vec<_> = card.outline_mm.iter().map(|p| place(*p)).collect();
        drawing.path(&points, true, "none", Some(thin));
    }
    for hole in &card.holes {
        let at = place(hole.at_mm);
        let radius_mm = (hole.diameter_mm / 2.0).max(0.5);
        drawing.circle(at, radius_mm, "none", Some(thin));
        let turn = hole.turn.map_or_else(String::new, |t| format!(" ({t})"));
        let class = if hole.class.is_empty() { String::new() } else { format!(" {}", hole.class) };
        let words = format!("{}{class}{turn}", hole.label);
        drawing.text((at.0 + radius_mm + 0.6, at.1 - 0.8), 3.8, TextAnchor::Start, true, INK, &words);
    }
    let (wide, high) = (svg_number(right - left), svg_number(top - bottom));
    let _ = writeln!(
        out,
        "<div class=\"scroll\"><figure class=\"true\" style=\"width:{wide}mm;height:{high}mm\">{}</figure></div>",
        write_svg(&drawing)
    );
}

/// Bytes as base64 (RFC 4648, section 4).
fn encode_base64(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

#[cfg(test)]
mod tests {
    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg==")]
        {
            assert_eq!(super::encode_base64(plain.as_bytes()), coded);
        }
    }
}
