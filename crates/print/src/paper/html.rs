//! The same blocks as a page that prints: no script, escaped words, one page of paper after the other.

use core::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::drawing::{Anchor, Drawing, INK, Pen};
use crate::paper::block::{
    Align, Block, Body, Cell, Column, HoleCard, Label, LabelSheet, Pack, PaperSize, Row, Sheet, Signal,
    StepLine,
};
use crate::paper::qr::Code;
use crate::svg::{escape, number, svg};

/// The pack as one page.
#[must_use]
pub fn html(pack: &Pack) -> String {
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{}</title>\n<style>{}</style></head>\n<body>\n",
        escape(&pack.title),
        style(pack.size)
    );
    if pack.contents {
        contents(&mut out, pack);
    }
    for (i, sheet) in pack.sheets.iter().enumerate() {
        let _ = writeln!(out, "<section id=\"sheet-{}\">", i + 1);
        whole(&mut out, sheet, &pack.date, i + 1);
        out.push_str("</section>\n");
    }
    out.push_str("</body></html>\n");
    out
}

fn style(size: PaperSize) -> String {
    let paper = match size {
        PaperSize::A4 => "A4",
        PaperSize::Letter => "letter",
    };
    format!(
        "@page{{size:{paper};margin:12mm}}\
         body{{font:10pt/1.35 'Atkinson Hyperlegible',Verdana,sans-serif;color:{INK};background:#fff;\
         max-width:186mm;margin:0 auto;padding:4mm}}\
         section{{break-after:page;margin-bottom:14mm}}section:last-of-type{{break-after:auto}}\
         h1{{font-size:18pt;line-height:1.15;margin:0}}h2{{font-size:13pt;margin:5mm 0 1mm;break-after:avoid}}\
         p{{margin:0 0 2mm}}.small{{font-size:8pt}}.large{{font-size:28pt;font-weight:700;line-height:1.15}}\
         table{{border-collapse:collapse;width:100%;margin:2mm 0;overflow-wrap:anywhere}}thead{{display:table-header-group}}\
         th,td{{text-align:left;vertical-align:top;padding:1mm;border-bottom:.3pt solid #888}}\
         thead th{{border-top:1pt solid {INK};border-bottom:1pt solid {INK}}}thead th,.right{{overflow-wrap:normal}}.right{{text-align:right}}\
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
         @media screen{{.scroll{{overflow-x:auto}}}}@media screen and (max-width:600px){{.labels{{grid-template-columns:1fr}}}}"
    )
}

fn contents(out: &mut String, pack: &Pack) {
    let (title, about) = (escape(&pack.title), escape(&pack.about));
    let _ = writeln!(out, "<section><h1>{title}</h1><p>{about}</p><ol>");
    for (i, sheet) in pack.sheets.iter().enumerate() {
        let (title, about) = (escape(&sheet.title), escape(&sheet.subtitle));
        let _ = writeln!(out, "<li><a href=\"#sheet-{}\">{title}</a> {about}</li>", i + 1);
    }
    out.push_str("</ol></section>\n");
}

fn whole(out: &mut String, sheet: &Sheet, date: &str, of: usize) {
    let (title, about) = (escape(&sheet.title), escape(&sheet.subtitle));
    let _ = writeln!(out, "<h1>{title}</h1><p>{about}</p>");
    match &sheet.body {
        Body::Flow(list) => blocks(out, list, &mut Names { sheet: of, count: 0 }),
        Body::Labels(sheet) => labels(out, sheet),
        Body::HoleCard(card) => hole_card(out, card, of),
    }
    out.push_str("<div class=\"foot\">");
    let date = [(String::from("date"), String::from(date))];
    for (name, value) in sheet.foot.iter().chain(&date) {
        let _ = write!(out, "<div><small>{}</small><b>{}</b></div>", escape(name), escape(value));
    }
    out.push_str("</div>\n");
}

/// Names for drawings, so that two of them in one page do not share their patterns.
struct Names {
    sheet: usize,
    count: usize,
}

impl Names {
    fn drawn(&mut self, drawing: &Drawing) -> String {
        self.count += 1;
        let mut own = drawing.clone();
        own.id = format!("s{}-d{}", self.sheet, self.count);
        svg(&own)
    }
}

fn blocks(out: &mut String, list: &[Block], names: &mut Names) {
    for block in list {
        one(out, block, names);
    }
}

fn one(out: &mut String, block: &Block, names: &mut Names) {
    let _ = match block {
        Block::Heading(text) => writeln!(out, "<h2>{}</h2>", escape(text)),
        Block::Text(text) => writeln!(out, "<p>{}</p>", escape(text)),
        Block::Small(text) => writeln!(out, "<p class=\"small\">{}</p>", escape(text)),
        Block::Large(text) => writeln!(out, "<p class=\"large\">{}</p>", escape(text)),
        Block::Caution { signal, text } => writeln!(out, "{}", caution(*signal, text)),
        Block::Table { columns, rows } => {
            table(out, columns, rows);
            Ok(())
        }
        Block::Picture { drawing, height_mm } => {
            let (drawn, high) = (names.drawn(drawing), number(height_mm.clamp(5.0, 260.0)));
            let ratio = drawing.width_px / drawing.height_px.max(1.0);
            let wide = number(height_mm.clamp(5.0, 260.0) * ratio);
            writeln!(out, "<figure style=\"max-height:{high}mm;max-width:{wide}mm\">{drawn}</figure>")
        }
        Block::Photo { jpeg, caption, height_mm } => {
            let (data, caption) = (base64(jpeg), escape(caption));
            let high = number(height_mm.clamp(5.0, 260.0));
            writeln!(
                out,
                "<figure><img style=\"max-height:{high}mm\" alt=\"{caption}\" \
                 src=\"data:image/jpeg;base64,{data}\"><figcaption class=\"small\">{caption}</figcaption></figure>"
            )
        }
        Block::Steps(lines) => {
            steps(out, lines);
            Ok(())
        }
        Block::Blanks { label, lines } => {
            let space = "<div class=\"line\"></div>".repeat((*lines).min(200) as usize);
            writeln!(out, "<p>{}</p>{space}", escape(label))
        }
        Block::Together(list) => {
            out.push_str("<div class=\"together\">");
            blocks(out, list, names);
            writeln!(out, "</div>")
        }
        Block::Columns(columns) => {
            out.push_str("<div class=\"columns\">");
            for list in columns {
                out.push_str("<div>");
                blocks(out, list, names);
                out.push_str("</div>");
            }
            writeln!(out, "</div>")
        }
        Block::NewPage => writeln!(out, "<div class=\"newpage\"></div>"),
    };
}

fn caution(signal: Signal, text: &str) -> String {
    let class = match signal {
        Signal::Danger => "danger",
        Signal::Warning => "warning",
        Signal::Caution => "mild",
        Signal::Notice => "notice",
    };
    format!("<div class=\"caution {class}\"><b>{}</b><span>{}</span></div>", signal.word(), escape(text))
}

fn table(out: &mut String, columns: &[Column], rows: &[Row]) {
    let class = |c: Option<&Column>| match c.map(|c| c.align) {
        Some(Align::Right) => " class=\"right\"",
        _ => "",
    };
    out.push_str("<table><thead><tr>");
    for column in columns {
        let _ = write!(out, "<th scope=\"col\"{}>{}</th>", class(Some(column)), escape(&column.title));
    }
    out.push_str("</tr></thead><tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        if row.is_heading {
            let words: Vec<String> = row.cells.iter().map(cell).collect();
            let _ = write!(out, "<th colspan=\"{}\">{}</th>", columns.len().max(1), words.join(" "));
        } else {
            for (i, of) in row.cells.iter().enumerate().take(columns.len()) {
                let _ = write!(out, "<td{}>{}</td>", class(columns.get(i)), cell(of));
            }
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody></table>\n");
}

fn cell(of: &Cell) -> String {
    match of {
        Cell::Words(text) => escape(text),
        Cell::Bold(text) => format!("<b>{}</b>", escape(text)),
        Cell::Tick(text) => format!("<span class=\"box\"></span>{}", escape(text)),
        Cell::Blank => String::from("<div class=\"line\"></div>"),
    }
}

fn steps(out: &mut String, lines: &[StepLine]) {
    out.push_str("<ol>\n");
    for line in lines {
        out.push_str("<li>");
        for (signal, text) in &line.cautions {
            out.push_str(&caution(*signal, text));
        }
        let details: String =
            line.details.iter().map(|d| format!("<div class=\"small\">{}</div>", escape(d))).collect();
        let (number, words) = (escape(&line.number), escape(&line.words));
        let (figure, slot) = (escape(&line.figure), escape(&line.slot));
        let _ = writeln!(
            out,
            "<div class=\"step\"><span class=\"box\"></span><b>{number}</b><div>{words}{details}</div>\
             <div class=\"end\">{figure}<br>{slot}</div></div></li>"
        );
    }
    out.push_str("</ol>\n");
}

fn labels(out: &mut String, sheet: &LabelSheet) {
    out.push_str("<div class=\"labels\">");
    for Label { code, lines, vehicle, link } in &sheet.labels {
        let words: String = lines.iter().map(|l| format!("<div>{}</div>", escape(l))).collect();
        let opens = Code::of(link).map_or_else(String::new, |code| code.svg());
        let link = escape(link);
        let _ = writeln!(
            out,
            "<div class=\"label\">{opens}<b class=\"code\">{}</b>{words}<div><b>{}</b></div><div class=\"small\">{link}</div></div>",
            escape(code),
            escape(vehicle)
        );
    }
    out.push_str("</div>\n");
}

/// The pattern in true size; a browser rounds it to its dots, so the words say that the PDF is the true one.
fn hole_card(out: &mut String, card: &HoleCard, of: usize) {
    for warning in &card.warnings {
        out.push_str(&caution(Signal::Notice, warning));
    }
    for (class, words) in &card.classes {
        let _ = writeln!(out, "<p><b>{}</b> {}</p>", escape(class), escape(words));
    }
    out.push_str("<p class=\"small\">To punch holes, print the PDF at 100 %: a browser rounds sizes.</p>\n");
    // The words stand at the right of their hole, which may be the outermost.
    let (left, bottom, right, top) = crate::paper::hole_card::field(card);
    let right = right + 12.0;
    let mut drawing = Drawing::new(&format!("s{of}-card"), "holes", right - left, top - bottom);
    let place = |p: (f64, f64)| (p.0 - left, top - p.1);
    let thin = Pen { width_px: 0.35, ..Pen::THIN };
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
        drawing.text((at.0 + radius_mm + 0.6, at.1 - 0.8), 3.8, Anchor::Start, true, INK, &words);
    }
    let (wide, high) = (number(right - left), number(top - bottom));
    let _ = writeln!(
        out,
        "<div class=\"scroll\"><figure class=\"true\" style=\"width:{wide}mm;height:{high}mm\">{}</figure></div>",
        svg(&drawing)
    );
}

/// Bytes as base64 (RFC 4648, section 4).
fn base64(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

#[cfg(test)]
mod tests {
    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg==")]
        {
            assert_eq!(super::base64(plain.as_bytes()), coded);
        }
    }
}
