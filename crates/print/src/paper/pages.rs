//! A pack as pages: sheets laid out one after the other, the list of contents before them, the title block at each foot.

use crate::paper::block::{
    HoleCard, Pack, PaperBlock, PaperError, PaperSheet, PaperSize, PaperStep, PartBox, SheetBody,
};
use crate::paper::flow::BlockLayout;
use crate::paper::font::LetterFaces;
use crate::paper::frame::{
    EDGE_MM, FURTHER_HEAD_MM, TitleBlock, draw_first_head, draw_further_head, first_head_mm, inner_mm,
    lay_out_title_block, page_number_words,
};
use crate::paper::hole_card::{self, RULER_MM, card_field, tile_field};
use crate::paper::ink::PageInks;
use crate::paper::label;
use crate::paper::pdf::{self, PdfBookmark};
use crate::paper::piece::{paginate_columns, paginate_pieces, stacked_height_mm};

/// Most rounds in which the list of contents finds its own length.
const MAX_CONTENTS_ROUNDS: usize = 5;
/// Free space between two columns.
const BETWEEN_COLUMNS_MM: f64 = 5.0;

/// A sheet's pages before their numbers are known.
struct LaidSheet {
    pages: Vec<PageInks>,
    /// Missing on labels, which have no place for it.
    foot: Option<TitleBlock>,
}

/// A pack on its pages.
#[derive(Debug)]
pub struct LaidPack {
    title: String,
    language: String,
    size: PaperSize,
    pages: Vec<PageInks>,
    marks: Vec<PdfBookmark>,
    /// Title and number of pages of each sheet, in order.
    sheets: Vec<(String, usize)>,
}

impl LaidPack {
    pub(super) fn lay_out(pack: &Pack) -> Result<Self, PaperError> {
        if pack.sheets.is_empty() {
            return Err(PaperError::Empty);
        }
        let letters = LetterFaces::shared().ok_or_else(damaged_faces)?;
        let press = PackPress { letters, size: pack.size, date: &pack.date };
        let sheets = sheets_with_contents(pack);
        let laid = press.lay_out_sheets(&sheets)?;
        let count = laid.iter().map(|l| l.pages.len()).sum();
        let mut pages: Vec<PageInks> = Vec::with_capacity(count);
        let (mut marks, mut counted) = (Vec::new(), Vec::new());
        for (sheet, of) in sheets.iter().zip(laid) {
            marks.push(PdfBookmark { title: sheet.title.clone(), page: pages.len() });
            counted.push((sheet.title.clone(), of.pages.len()));
            for mut page in of.pages {
                if let Some(foot) = &of.foot {
                    foot.draw(&mut page, letters, pack.size, &page_number_words(pages.len() + 1, count));
                }
                pages.push(page);
            }
        }
        let (title, language) = (pack.title.clone(), pack.language.clone());
        Ok(Self { title, language, size: pack.size, pages, marks, sheets: counted })
    }

    /// Number of pages.
    #[must_use]
    pub fn page_count(&self) -> usize {
        self.pages.len()
    }

    /// Title and number of pages of each sheet, in order.
    #[must_use]
    pub fn sheet_pages(&self) -> &[(String, usize)] {
        &self.sheets
    }

    /// The pages as a PDF file.
    ///
    /// # Errors
    /// What the writing library refuses.
    pub fn write_pdf(&self) -> Result<Vec<u8>, PaperError> {
        let letters = LetterFaces::shared().ok_or_else(damaged_faces)?;
        let names = (self.title.as_str(), self.language.as_str());
        pdf::write_pages(letters, names, self.size.size_mm(), &self.pages, &self.marks)
    }
}

fn damaged_faces() -> PaperError {
    PaperError::Pdf { words: "a typeface is damaged; reinstall the program".into() }
}

/// The sheets of a pack; the list of contents before them where the pack asks for one.
fn sheets_with_contents(pack: &Pack) -> Vec<PaperSheet> {
    let mut sheets = pack.sheets.clone();
    if pack.contents {
        let own = PaperSheet {
            title: pack.title.clone(),
            subtitle: pack.about.clone(),
            foot: vec![("sheet".into(), "contents".into())],
            body: SheetBody::Flow(vec![PaperBlock::Contents]),
        };
        sheets.insert(0, own);
    }
    sheets
}

/// Blocks with the list of contents in its place.
fn fill_in_contents(blocks: &[PaperBlock], line: &PaperBlock) -> Vec<PaperBlock> {
    let filled = |block: &PaperBlock| match block {
        PaperBlock::Contents => line.clone(),
        PaperBlock::Together(within) => PaperBlock::Together(fill_in_contents(within, line)),
        PaperBlock::Columns(columns) => {
            PaperBlock::Columns(columns.iter().map(|within| fill_in_contents(within, line)).collect())
        }
        other => other.clone(),
    };
    blocks.iter().map(filled).collect()
}

/// "Kit sheet 2; Shopping sheet 3": the sheets with the page on which each begins; several of a kind follow its word.
fn contents_line(sheets: &[PaperSheet], pages: &[usize], own: usize) -> PaperBlock {
    let mut page = 1;
    let mut told: Vec<String> = Vec::new();
    let mut kind = "";
    for (at, (sheet, count)) in sheets.iter().zip(pages).enumerate() {
        let (word, rest) = sheet.title.split_once(": ").unwrap_or((&sheet.title, ""));
        // The list does not name its own sheet.
        if at != own {
            match told.last_mut().filter(|_| word == kind && !rest.is_empty()) {
                Some(last) => last.push_str(&format!(", {rest}\u{a0}{page}")),
                None => told.push(format!("{}\u{a0}{page}", sheet.title)),
            }
        }
        kind = word;
        page += count;
    }
    PaperBlock::Text(format!("Pages: {}.", told.join("; ")))
}

struct PackPress<'a> {
    letters: &'a LetterFaces,
    size: PaperSize,
    date: &'a str,
}

impl PackPress<'_> {
    /// All sheets; the list of contents moves the numbers in it, so it is laid out until they hold.
    fn lay_out_sheets(&self, sheets: &[PaperSheet]) -> Result<Vec<LaidSheet>, PaperError> {
        let mut laid = sheets.iter().map(|s| self.lay_out_sheet(s)).collect::<Result<Vec<_>, _>>()?;
        let has_contents = |sheet: &PaperSheet| match &sheet.body {
            SheetBody::Flow(blocks) | SheetBody::TwoColumns(blocks) => {
                fill_in_contents(blocks, &PaperBlock::NewPage) != *blocks
            }
            SheetBody::Labels(_) | SheetBody::HoleCard(_) => false,
        };
        let Some(at) = sheets.iter().position(has_contents) else { return Ok(laid) };
        // Numbers only grow by a digit now and then: a few rounds settle them.
        for _ in 0..MAX_CONTENTS_ROUNDS {
            let pages: Vec<usize> = laid.iter().map(|l| l.pages.len()).collect();
            let line = contents_line(sheets, &pages, at);
            let mut sheet = sheets[at].clone();
            if let SheetBody::Flow(blocks) | SheetBody::TwoColumns(blocks) = &mut sheet.body {
                *blocks = fill_in_contents(blocks, &line);
            }
            laid[at] = self.lay_out_sheet(&sheet)?;
            if laid[at].pages.len() == pages[at] {
                break;
            }
        }
        Ok(laid)
    }

    fn lay_out_sheet(&self, sheet: &PaperSheet) -> Result<LaidSheet, PaperError> {
        match &sheet.body {
            SheetBody::Flow(blocks) => self.lay_out_flow(sheet, blocks, 1),
            SheetBody::TwoColumns(blocks) => self.lay_out_flow(sheet, blocks, 2),
            SheetBody::Labels(labels) => {
                Ok(LaidSheet { pages: label::label_pages(self.letters, labels, self.size)?, foot: None })
            }
            SheetBody::HoleCard(card) => self.lay_out_hole_card(sheet, card),
        }
    }

    /// Height between the upper edge and the title block.
    fn room_mm(&self, foot: &TitleBlock) -> f64 {
        // A title block that leaves no room for the sheet is drawn over its lower part; a third at least stays.
        let whole_mm = self.size.size_mm().1 - 2.0 * EDGE_MM;
        (whole_mm - foot.height_mm).max(whole_mm / 3.0)
    }

    /// Blocks from top to bottom, in so many columns to a page.
    fn lay_out_flow(
        &self,
        sheet: &PaperSheet,
        blocks: &[PaperBlock],
        columns: usize,
    ) -> Result<LaidSheet, PaperError> {
        let width_mm = inner_mm(self.size);
        let foot = lay_out_title_block(self.letters, &sheet.foot, self.date, width_mm);
        let room_mm = self.room_mm(&foot);
        let head_mm = first_head_mm(self.letters, sheet, width_mm).min(room_mm / 2.0);
        let (first_mm, further_mm) = (room_mm - head_mm, room_mm - FURTHER_HEAD_MM);
        let layout = BlockLayout { letters: self.letters, page_mm: first_mm.min(further_mm) };
        let column_mm = (width_mm - BETWEEN_COLUMNS_MM * (columns - 1) as f64) / columns as f64;
        let pieces = layout.pieces_of_blocks(blocks, column_mm)?;
        let fields = paginate_columns(pieces, columns, first_mm, further_mm);
        let mut pages = Vec::new();
        for (i, fields) in fields.chunks(columns).enumerate() {
            let mut page = PageInks::default();
            let top_mm = if i == 0 {
                draw_first_head(&mut page, self.letters, sheet, width_mm);
                head_mm
            } else {
                draw_further_head(&mut page, self.letters, sheet, "continued", width_mm);
                FURTHER_HEAD_MM
            };
            for (column, field) in fields.iter().enumerate() {
                let left_mm = EDGE_MM + (column_mm + BETWEEN_COLUMNS_MM) * column as f64;
                page.take_inks(field.clone(), (left_mm, EDGE_MM + top_mm));
            }
            pages.push(page);
        }
        Ok(LaidSheet { pages, foot: Some(foot) })
    }

    /// Words above, the pattern in true size below; on pages of its own where it does not fit there.
    fn lay_out_hole_card(&self, sheet: &PaperSheet, card: &HoleCard) -> Result<LaidSheet, PaperError> {
        let width_mm = inner_mm(self.size);
        let foot = lay_out_title_block(self.letters, &sheet.foot, self.date, width_mm);
        let room_mm = self.room_mm(&foot);
        let head_mm = first_head_mm(self.letters, sheet, width_mm).min(room_mm / 2.0);
        let layout = BlockLayout { letters: self.letters, page_mm: room_mm - head_mm };
        let field = card_field(card);
        let mut words = layout.pieces_of_blocks(&card_words(card, &card.warnings), width_mm)?;
        let whole_mm = room_mm - head_mm - RULER_MM - 3.0;
        // One sheet a card: warnings that would take the pattern's room stand elsewhere, and the card says where.
        if stacked_height_mm(&words) + field.3 - field.1 > whole_mm && !card.short_warning.is_empty() {
            let short = format!("{} {}", letters_words(card), card.short_warning);
            words = layout.pieces_of_blocks(&[PaperBlock::Small(short.trim().to_owned())], width_mm)?;
        }
        let words_mm = stacked_height_mm(&words) + 3.0;
        let beside_mm = room_mm - head_mm - words_mm - RULER_MM;
        let too_large = || PaperError::Pattern {
            title: sheet.title.clone(),
            words: format!("{:.0} mm by {:.0} mm", field.2 - field.0, field.3 - field.1),
        };
        let fits = field.2 - field.0 <= width_mm && field.3 - field.1 <= beside_mm;
        let mut pages = paginate_pieces(words, room_mm - head_mm, room_mm - FURTHER_HEAD_MM);
        for (i, page) in pages.iter_mut().enumerate() {
            let mut whole = PageInks::default();
            if i == 0 {
                draw_first_head(&mut whole, self.letters, sheet, width_mm);
            } else {
                draw_further_head(&mut whole, self.letters, sheet, "continued", width_mm);
            }
            let top_mm = if i == 0 { head_mm } else { FURTHER_HEAD_MM };
            whole.take_inks(core::mem::take(page), (EDGE_MM, EDGE_MM + top_mm));
            *page = whole;
        }
        let ruler_at = (EDGE_MM, EDGE_MM + room_mm - RULER_MM + 4.0);
        if fits {
            let tiling = tile_field(field, (width_mm, beside_mm)).ok_or_else(too_large)?;
            if let (Some(page), Some(tile)) = (pages.first_mut(), tiling.tiles.first()) {
                let at_mm = (EDGE_MM, EDGE_MM + head_mm + words_mm);
                hole_card::draw_tile(page, self.letters, card, &tiling, tile, at_mm);
                hole_card::draw_ruler(page, self.letters, ruler_at, width_mm);
            }
            return Ok(LaidSheet { pages, foot: Some(foot) });
        }
        let own_mm = (width_mm, room_mm - FURTHER_HEAD_MM - RULER_MM);
        let fits_alone = field.2 - field.0 <= own_mm.0 && field.3 - field.1 <= own_mm.1;
        if !card.is_tiled && !fits_alone {
            let below_mm = head_mm + words_mm;
            self.draw_smaller(&mut pages, sheet, card, (below_mm, beside_mm.max(0.0)), room_mm);
            return Ok(LaidSheet { pages, foot: Some(foot) });
        }
        let tiling = tile_field(field, own_mm).ok_or_else(too_large)?;
        if tiling.tiles.len() > 1 {
            self.lay_out_map(&mut pages, card, &tiling, (head_mm + words_mm, room_mm));
        }
        for tile in tiling.tiles.iter().filter(|tile| hole_card::has_holes(card, tile)) {
            let mut page = PageInks::default();
            let note =
                if tile.name.is_empty() { String::from("true size") } else { format!("tile {}", tile.name) };
            draw_further_head(&mut page, self.letters, sheet, &note, width_mm);
            let at_mm = (EDGE_MM, EDGE_MM + FURTHER_HEAD_MM);
            hole_card::draw_tile(&mut page, self.letters, card, &tiling, tile, at_mm);
            hole_card::draw_ruler(&mut page, self.letters, ruler_at, width_mm);
            pages.push(page);
        }
        Ok(LaidSheet { pages, foot: Some(foot) })
    }

    /// The pattern made smaller below its words, or on a page of its own where they leave less than half a page.
    fn draw_smaller(
        &self,
        pages: &mut Vec<PageInks>,
        sheet: &PaperSheet,
        card: &HoleCard,
        (mut top_mm, mut high_mm): (f64, f64),
        room_mm: f64,
    ) {
        let width_mm = inner_mm(self.size);
        if pages.len() > 1 || high_mm < room_mm / 2.0 {
            let mut page = PageInks::default();
            draw_further_head(&mut page, self.letters, sheet, "continued", width_mm);
            pages.push(page);
            (top_mm, high_mm) = (FURTHER_HEAD_MM, room_mm - FURTHER_HEAD_MM - RULER_MM);
        }
        if let Some(page) = pages.last_mut() {
            let at_mm = (EDGE_MM, EDGE_MM + top_mm);
            hole_card::draw_smaller(page, self.letters, card, (at_mm, (width_mm, high_mm)));
        }
    }

    /// The map of the tiles below the words, if they leave room, else on a page of its own.
    fn lay_out_map(
        &self,
        pages: &mut Vec<PageInks>,
        card: &HoleCard,
        tiling: &hole_card::CardTiling,
        (below_mm, room_mm): (f64, f64),
    ) {
        let high_mm = 12.0 + 7.0 * tiling.rows as f64;
        let mut top_mm = below_mm;
        if pages.len() != 1 || below_mm + high_mm > room_mm {
            pages.push(PageInks::default());
            top_mm = 0.0;
        }
        let Some(page) = pages.last_mut() else { return };
        let words = format!(
            "The pattern takes {} pages: cut each along its frame, line up the crosses and tape the pages together.",
            tiling.tiles.iter().filter(|tile| hole_card::has_holes(card, tile)).count()
        );
        page.text((EDGE_MM, EDGE_MM + top_mm + 5.0), 3.53, false, &words);
        let at_mm = (EDGE_MM, EDGE_MM + top_mm + 9.0);
        hole_card::draw_tile_map(page, self.letters, card, tiling, at_mm);
    }
}

/// What each letter stands for; one length for all has no letter.
fn letters_words(card: &HoleCard) -> String {
    match card.classes.as_slice() {
        [] => String::new(),
        [(class, words)] if class.is_empty() => format!("All: {words}."),
        classes => {
            let told: Vec<String> =
                classes.iter().map(|(class, words)| format!("{class} = {words}")).collect();
            format!("Letters: {}.", told.join("; "))
        }
    }
}

/// What a hole card says above its pattern.
fn card_words(card: &HoleCard, warnings: &[(model::SignalWord, String)]) -> Vec<PaperBlock> {
    let warned = |(signal, text): &(model::SignalWord, String)| PaperStep {
        cautions: vec![(*signal, text.clone())],
        ..PaperStep::default()
    };
    let mut blocks = Vec::new();
    if !warnings.is_empty() {
        let lines = warnings.iter().map(warned).collect();
        blocks.push(PaperBlock::PartBox(PartBox { lines, ..PartBox::default() }));
    }
    let letters = letters_words(card);
    if !letters.is_empty() {
        blocks.push(PaperBlock::Text(letters));
    }
    let mut how = String::from("Each hole is where it is on the part, seen from the side you work on.");
    if card.holes.iter().any(|h| h.turn.is_some()) {
        how.push_str(" The number in a square is the hole's place in the tightening order.");
    }
    if card.outline_mm.len() < 2 {
        how.push_str(" The part's outline is not in the book.");
    }
    blocks.push(PaperBlock::Small(how));
    blocks
}
