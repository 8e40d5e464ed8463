//! A pack as pages: sheets laid out one after the other, the list of contents before them, the title block at each foot.

use crate::paper::block::{
    HoleCard, Pack, PaperBlock, PaperCell, PaperColumn, PaperError, PaperRow, PaperSheet, PaperSize,
    SheetBody,
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
use crate::paper::piece::{paginate_pieces, stacked_height_mm};

/// A sheet's pages before their numbers are known.
struct LaidSheet {
    pages: Vec<PageInks>,
    /// Missing on labels, which have no place for it.
    foot: Option<TitleBlock>,
}

/// The pack as a PDF file.
pub fn write_pack_pdf(pack: &Pack) -> Result<Vec<u8>, PaperError> {
    if pack.sheets.is_empty() {
        return Err(PaperError::Empty);
    }
    let letters = LetterFaces::new()
        .ok_or_else(|| PaperError::Pdf { words: "a typeface is damaged; reinstall the program".into() })?;
    let press = PackPress { letters: &letters, size: pack.size, date: &pack.date };
    let mut laid: Vec<LaidSheet> = Vec::with_capacity(pack.sheets.len() + 1);
    for sheet in &pack.sheets {
        laid.push(press.lay_out_sheet(sheet)?);
    }
    let mut marks = Vec::new();
    if pack.contents {
        let own = press.lay_out_contents(pack, &laid)?;
        laid.insert(0, own);
        marks.push(PdfBookmark { title: "Contents".into(), page: 0 });
    }
    let first_sheet = laid.len() - pack.sheets.len();
    let count = laid.iter().map(|l| l.pages.len()).sum();
    let mut pages: Vec<PageInks> = Vec::with_capacity(count);
    for (i, of) in laid.into_iter().enumerate() {
        if let Some(sheet) = i.checked_sub(first_sheet).and_then(|i| pack.sheets.get(i)) {
            marks.push(PdfBookmark { title: sheet.title.clone(), page: pages.len() });
        }
        for mut page in of.pages {
            if let Some(foot) = &of.foot {
                foot.draw(&mut page, &letters, pack.size, &page_number_words(pages.len() + 1, count));
            }
            pages.push(page);
        }
    }
    pdf::write_pages(&letters, &pack.title, pack.size.size_mm(), &pages, &marks)
}

struct PackPress<'a> {
    letters: &'a LetterFaces,
    size: PaperSize,
    date: &'a str,
}

impl PackPress<'_> {
    fn lay_out_sheet(&self, sheet: &PaperSheet) -> Result<LaidSheet, PaperError> {
        match &sheet.body {
            SheetBody::Flow(blocks) => self.lay_out_flow(sheet, blocks),
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

    fn lay_out_flow(&self, sheet: &PaperSheet, blocks: &[PaperBlock]) -> Result<LaidSheet, PaperError> {
        let width_mm = inner_mm(self.size);
        let foot = lay_out_title_block(self.letters, &sheet.foot, self.date, width_mm);
        let room_mm = self.room_mm(&foot);
        let head_mm = first_head_mm(self.letters, sheet, width_mm).min(room_mm / 2.0);
        let (first_mm, further_mm) = (room_mm - head_mm, room_mm - FURTHER_HEAD_MM);
        let layout = BlockLayout { letters: self.letters, page_mm: first_mm.min(further_mm) };
        let pieces = layout.pieces_of_blocks(blocks, width_mm)?;
        let mut pages = Vec::new();
        for (i, field) in paginate_pieces(pieces, first_mm, further_mm).into_iter().enumerate() {
            let mut page = PageInks::default();
            let top_mm = if i == 0 {
                draw_first_head(&mut page, self.letters, sheet, width_mm);
                head_mm
            } else {
                draw_further_head(&mut page, self.letters, sheet, "continued", width_mm);
                FURTHER_HEAD_MM
            };
            page.take_inks(field, (EDGE_MM, EDGE_MM + top_mm));
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
        let words = layout.pieces_of_blocks(&card_words(card), width_mm)?;
        let words_mm = stacked_height_mm(&words) + 3.0;
        let field = card_field(card);
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
        let tile_mm = (width_mm, room_mm - FURTHER_HEAD_MM - RULER_MM);
        let tiling = tile_field(field, tile_mm).ok_or_else(too_large)?;
        if tiling.tiles.len() > 1 {
            self.lay_out_map(&mut pages, &tiling, (head_mm + words_mm, room_mm));
        }
        for tile in &tiling.tiles {
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

    /// The map of the tiles below the words, if they leave room, else on a page of its own.
    fn lay_out_map(
        &self,
        pages: &mut Vec<PageInks>,
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
            tiling.tiles.len()
        );
        page.text((EDGE_MM, EDGE_MM + top_mm + 5.0), 3.53, false, &words);
        hole_card::draw_tile_map(page, self.letters, tiling, (EDGE_MM, EDGE_MM + top_mm + 9.0), None);
    }

    /// The list of the sheets; its own length moves the numbers, so it is laid out until they hold.
    fn lay_out_contents(&self, pack: &Pack, laid: &[LaidSheet]) -> Result<LaidSheet, PaperError> {
        let mut own_pages = 1;
        loop {
            let mut page = own_pages + 1;
            let rows = pack.sheets.iter().zip(laid).map(|(sheet, of)| {
                let row = PaperRow {
                    cells: vec![
                        PaperCell::Bold(sheet.title.clone()),
                        PaperCell::Words(sheet.subtitle.clone()),
                        PaperCell::Words(page.to_string()),
                    ],
                    is_heading: false,
                };
                page += of.pages.len();
                row
            });
            let columns = vec![
                PaperColumn::of_words("sheet", 4.0),
                PaperColumn::of_words("about", 5.0),
                PaperColumn::of_figures("page", 1.0),
            ];
            let rows = rows.collect();
            let sheet = PaperSheet {
                title: pack.title.clone(),
                subtitle: pack.about.clone(),
                foot: vec![("sheet".into(), "contents".into())],
                body: SheetBody::Flow(vec![PaperBlock::Table { columns, rows }]),
            };
            let of = self.lay_out_sheet(&sheet)?;
            if of.pages.len() <= own_pages {
                return Ok(of);
            }
            own_pages = of.pages.len();
        }
    }
}

/// What a hole card says above its pattern.
fn card_words(card: &HoleCard) -> Vec<PaperBlock> {
    let mut blocks: Vec<PaperBlock> = card
        .warnings
        .iter()
        .map(|text| PaperBlock::Caution { signal: model::SignalWord::Notice, text: text.clone() })
        .collect();
    // One length for all has no letter.
    if let [(class, words)] = card.classes.as_slice()
        && class.is_empty()
    {
        blocks.push(PaperBlock::Text(format!("All: {words}.")));
    } else if !card.classes.is_empty() {
        let classes: Vec<String> = card.classes.iter().map(|(c, words)| format!("{c} = {words}")).collect();
        blocks.push(PaperBlock::Text(format!("Letters: {}.", classes.join("; "))));
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
