//! A pack as pages: sheets laid out one after the other, the list of contents before them, the title block at each foot.

use crate::paper::block::{Block, Body, Cell, Column, HoleCard, Pack, PaperError, PaperSize, Row, Sheet};
use crate::paper::flow::Layout;
use crate::paper::font::Letters;
use crate::paper::frame::{
    EDGE_MM, FURTHER_HEAD_MM, TitleBlock, further_head, head, head_mm, inner_mm, page_of, title_block,
};
use crate::paper::hole_card::{self, RULER_MM, field, tiling};
use crate::paper::ink::Inks;
use crate::paper::label;
use crate::paper::pdf::{self, Mark};
use crate::paper::piece::{paginate, stacked_height};

/// A sheet's pages before their numbers are known.
struct Laid {
    pages: Vec<Inks>,
    /// Missing on labels, which have no place for it.
    foot: Option<TitleBlock>,
}

/// The pack as a PDF file.
pub fn write(pack: &Pack) -> Result<Vec<u8>, PaperError> {
    if pack.sheets.is_empty() {
        return Err(PaperError::Empty);
    }
    let letters = Letters::new().ok_or_else(|| PaperError::Pdf { words: "a face is damaged".into() })?;
    let press = Press { letters: &letters, size: pack.size, date: &pack.date };
    let mut laid: Vec<Laid> = Vec::with_capacity(pack.sheets.len() + 1);
    for sheet in &pack.sheets {
        laid.push(press.sheet(sheet)?);
    }
    let mut marks = Vec::new();
    if pack.contents {
        let own = press.contents(pack, &laid)?;
        laid.insert(0, own);
        marks.push(Mark { title: "Contents".into(), page: 0 });
    }
    let first_sheet = laid.len() - pack.sheets.len();
    let count = laid.iter().map(|l| l.pages.len()).sum();
    let mut pages: Vec<Inks> = Vec::with_capacity(count);
    for (i, of) in laid.into_iter().enumerate() {
        if let Some(sheet) = i.checked_sub(first_sheet).and_then(|i| pack.sheets.get(i)) {
            marks.push(Mark { title: sheet.title.clone(), page: pages.len() });
        }
        for mut page in of.pages {
            if let Some(foot) = &of.foot {
                foot.draw(&mut page, &letters, pack.size, &page_of(pages.len() + 1, count));
            }
            pages.push(page);
        }
    }
    pdf::write(&letters, &pack.title, pack.size.size_mm(), &pages, &marks)
}

struct Press<'a> {
    letters: &'a Letters,
    size: PaperSize,
    date: &'a str,
}

impl Press<'_> {
    fn sheet(&self, sheet: &Sheet) -> Result<Laid, PaperError> {
        match &sheet.body {
            Body::Flow(blocks) => self.flow(sheet, blocks),
            Body::Labels(labels) => {
                Ok(Laid { pages: label::pages(self.letters, labels, self.size)?, foot: None })
            }
            Body::HoleCard(card) => self.hole_card(sheet, card),
        }
    }

    /// Height between the upper edge and the title block.
    fn room_mm(&self, foot: &TitleBlock) -> f64 {
        // A title block that leaves no room for the sheet is drawn over its lower part; a third at least stays.
        let whole_mm = self.size.size_mm().1 - 2.0 * EDGE_MM;
        (whole_mm - foot.height_mm).max(whole_mm / 3.0)
    }

    fn flow(&self, sheet: &Sheet, blocks: &[Block]) -> Result<Laid, PaperError> {
        let width_mm = inner_mm(self.size);
        let foot = title_block(self.letters, &sheet.foot, self.date, width_mm);
        let room_mm = self.room_mm(&foot);
        let head_mm = head_mm(self.letters, sheet, width_mm).min(room_mm / 2.0);
        let (first_mm, further_mm) = (room_mm - head_mm, room_mm - FURTHER_HEAD_MM);
        let layout = Layout { letters: self.letters, page_mm: first_mm.min(further_mm) };
        let pieces = layout.pieces(blocks, width_mm)?;
        let mut pages = Vec::new();
        for (i, field) in paginate(pieces, first_mm, further_mm).into_iter().enumerate() {
            let mut page = Inks::default();
            let top_mm = if i == 0 {
                head(&mut page, self.letters, sheet, width_mm);
                head_mm
            } else {
                further_head(&mut page, self.letters, sheet, "continued", width_mm);
                FURTHER_HEAD_MM
            };
            page.take(field, (EDGE_MM, EDGE_MM + top_mm));
            pages.push(page);
        }
        Ok(Laid { pages, foot: Some(foot) })
    }

    /// Words above, the pattern in true size below; on pages of its own where it does not fit there.
    fn hole_card(&self, sheet: &Sheet, card: &HoleCard) -> Result<Laid, PaperError> {
        let width_mm = inner_mm(self.size);
        let foot = title_block(self.letters, &sheet.foot, self.date, width_mm);
        let room_mm = self.room_mm(&foot);
        let head_mm = head_mm(self.letters, sheet, width_mm).min(room_mm / 2.0);
        let layout = Layout { letters: self.letters, page_mm: room_mm - head_mm };
        let words = layout.pieces(&card_words(card), width_mm)?;
        let words_mm = stacked_height(&words) + 3.0;
        let field = field(card);
        let beside_mm = room_mm - head_mm - words_mm - RULER_MM;
        let too_large = || PaperError::Pattern {
            title: sheet.title.clone(),
            words: format!("{:.0} mm by {:.0} mm", field.2 - field.0, field.3 - field.1),
        };
        let fits = field.2 - field.0 <= width_mm && field.3 - field.1 <= beside_mm;
        let mut pages = paginate(words, room_mm - head_mm, room_mm - FURTHER_HEAD_MM);
        for (i, page) in pages.iter_mut().enumerate() {
            let mut whole = Inks::default();
            if i == 0 {
                head(&mut whole, self.letters, sheet, width_mm);
            } else {
                further_head(&mut whole, self.letters, sheet, "continued", width_mm);
            }
            let top_mm = if i == 0 { head_mm } else { FURTHER_HEAD_MM };
            whole.take(core::mem::take(page), (EDGE_MM, EDGE_MM + top_mm));
            *page = whole;
        }
        let ruler_at = (EDGE_MM, EDGE_MM + room_mm - RULER_MM + 4.0);
        if fits {
            let tiling = tiling(field, (width_mm, beside_mm)).ok_or_else(too_large)?;
            if let (Some(page), Some(tile)) = (pages.first_mut(), tiling.tiles.first()) {
                let at_mm = (EDGE_MM, EDGE_MM + head_mm + words_mm);
                hole_card::draw(page, self.letters, card, &tiling, tile, at_mm);
                hole_card::ruler(page, self.letters, ruler_at, width_mm);
            }
            return Ok(Laid { pages, foot: Some(foot) });
        }
        let tile_mm = (width_mm, room_mm - FURTHER_HEAD_MM - RULER_MM);
        let tiling = tiling(field, tile_mm).ok_or_else(too_large)?;
        if tiling.tiles.len() > 1 {
            self.map_page(&mut pages, &tiling, (head_mm + words_mm, room_mm));
        }
        for tile in &tiling.tiles {
            let mut page = Inks::default();
            let note =
                if tile.name.is_empty() { String::from("true size") } else { format!("tile {}", tile.name) };
            further_head(&mut page, self.letters, sheet, &note, width_mm);
            let at_mm = (EDGE_MM, EDGE_MM + FURTHER_HEAD_MM);
            hole_card::draw(&mut page, self.letters, card, &tiling, tile, at_mm);
            hole_card::ruler(&mut page, self.letters, ruler_at, width_mm);
            pages.push(page);
        }
        Ok(Laid { pages, foot: Some(foot) })
    }

    /// The map of the tiles below the words, if they leave room, else on a page of its own.
    fn map_page(&self, pages: &mut Vec<Inks>, tiling: &hole_card::Tiling, (below_mm, room_mm): (f64, f64)) {
        let high_mm = 12.0 + 7.0 * tiling.rows as f64;
        let mut top_mm = below_mm;
        if pages.len() != 1 || below_mm + high_mm > room_mm {
            pages.push(Inks::default());
            top_mm = 0.0;
        }
        let Some(page) = pages.last_mut() else { return };
        let words = format!(
            "The pattern takes {} pages: cut each along its frame, lay cross on cross, and tape them.",
            tiling.tiles.len()
        );
        page.text((EDGE_MM, EDGE_MM + top_mm + 5.0), 3.53, false, &words);
        hole_card::map(page, self.letters, tiling, (EDGE_MM, EDGE_MM + top_mm + 9.0), None);
    }

    /// The list of the sheets; its own length moves the numbers, so it is laid out until they hold.
    fn contents(&self, pack: &Pack, laid: &[Laid]) -> Result<Laid, PaperError> {
        let mut own_pages = 1;
        loop {
            let mut page = own_pages + 1;
            let rows = pack.sheets.iter().zip(laid).map(|(sheet, of)| {
                let row = Row {
                    cells: vec![
                        Cell::Bold(sheet.title.clone()),
                        Cell::Words(sheet.subtitle.clone()),
                        Cell::Words(page.to_string()),
                    ],
                    is_heading: false,
                };
                page += of.pages.len();
                row
            });
            let columns =
                vec![Column::words("sheet", 4.0), Column::words("about", 5.0), Column::figures("page", 1.0)];
            let rows = rows.collect();
            let sheet = Sheet {
                title: pack.title.clone(),
                subtitle: pack.about.clone(),
                foot: vec![("sheet".into(), "contents".into())],
                body: Body::Flow(vec![Block::Table { columns, rows }]),
            };
            let of = self.sheet(&sheet)?;
            if of.pages.len() <= own_pages {
                return Ok(of);
            }
            own_pages = of.pages.len();
        }
    }
}

/// What a hole card says above its pattern.
fn card_words(card: &HoleCard) -> Vec<Block> {
    let mut blocks: Vec<Block> = card
        .warnings
        .iter()
        .map(|text| Block::Caution { signal: crate::paper::Signal::Notice, text: text.clone() })
        .collect();
    // One length for all has no letter.
    if let [(class, words)] = card.classes.as_slice()
        && class.is_empty()
    {
        blocks.push(Block::Text(format!("All: {words}.")));
    } else if !card.classes.is_empty() {
        let classes: Vec<String> = card.classes.iter().map(|(c, words)| format!("{c} = {words}")).collect();
        blocks.push(Block::Text(format!("Letters: {}.", classes.join("; "))));
    }
    let mut how = String::from(
        "Each hole stands where the part has it, seen as the part is seen when it is worked on.",
    );
    if card.holes.iter().any(|h| h.turn.is_some()) {
        how.push_str(" The number in a square is the place in the order of tightening.");
    }
    if card.outline_mm.len() < 2 {
        how.push_str(" The part's outline is not in the book.");
    }
    blocks.push(Block::Small(how));
    blocks
}
