//! What each stretch of a page is, for a reader that speaks: headings, paragraphs, tables and pictures in the order of reading.
//!
//! ISO 32000-1, section 14.8 (tagged PDF): content is marked on the page, and a tree of elements says what it is. Text that
//! nobody gave a role is a paragraph of its own; lines and fills without one are no content.

use core::num::NonZeroU16;

use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, SpanTag, TableHeaderScope, Tag, TagGroup, TagTree,
};

use crate::paper::ink::{InkItem, InkRole};

/// The tree as it grows with the pages.
pub struct PageTags {
    tree: TagTree,
    /// The last paragraph or heading, to which further lines belong.
    last: Option<TagGroup>,
    table: Option<TagGroup>,
    row: Option<(TagGroup, bool)>,
    /// Whether a stretch is open on the page.
    is_open: bool,
}

impl PageTags {
    /// A tree of a language.
    pub fn new(language: &str) -> Self {
        let tree = TagTree::new().with_lang(Some(language.to_owned()));
        Self { tree, last: None, table: None, row: None, is_open: false }
    }

    /// Opens and ends stretches as an item asks, before it is drawn; gives whether it has to be ended right after it.
    pub fn begin_item(&mut self, surface: &mut Surface<'_>, item: &InkItem) -> bool {
        match item {
            InkItem::Role(role) => {
                self.begin_role(surface, role);
                false
            }
            InkItem::RoleEnd => {
                self.end_role(surface);
                false
            }
            _ if self.is_open => false,
            InkItem::Text { .. } => {
                let id = surface.start_tagged(ContentTag::Span(SpanTag::empty()));
                self.start_group(Tag::P.into(), id);
                true
            }
            InkItem::Path { .. } | InkItem::Hatch { .. } | InkItem::Photo { .. } => {
                surface.start_tagged(ContentTag::Artifact(Artifact::new(ArtifactType::Layout, None)));
                true
            }
            InkItem::Within(..) | InkItem::Free => false,
        }
    }

    /// Ends what [`PageTags::begin_item`] opened for one item.
    pub fn end_item(surface: &mut Surface<'_>) {
        surface.end_tagged();
    }

    /// Ends what is open at the foot of a page.
    pub fn end_page(&mut self, surface: &mut Surface<'_>) {
        if core::mem::take(&mut self.is_open) {
            surface.end_tagged();
        }
    }

    fn begin_role(&mut self, surface: &mut Surface<'_>, role: &InkRole) {
        self.end_page(surface);
        let level = |level: u16| NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
        let tag = match role {
            InkRole::Row(is_heading) => {
                self.row = Some((TagGroup::new(Tag::TR), *is_heading));
                return;
            }
            InkRole::PageMark => {
                surface
                    .start_tagged(ContentTag::Artifact(Artifact::new(ArtifactType::PaginationOther, None)));
                self.is_open = true;
                return;
            }
            InkRole::Cell => {
                let id = self.open_stretch(surface);
                self.push_cell(id);
                return;
            }
            InkRole::Further => {
                let id = self.open_stretch(surface);
                match &mut self.last {
                    Some(last) => last.push(id),
                    None => self.start_group(Tag::P.into(), id),
                }
                return;
            }
            InkRole::Title => Tag::Hn(level(1), None).into(),
            InkRole::Heading => Tag::Hn(level(2), None).into(),
            InkRole::Paragraph => Tag::P.into(),
            InkRole::Figure(words) => Tag::Figure(Some(words.clone())).into(),
        };
        let id = self.open_stretch(surface);
        self.start_group(tag, id);
    }

    fn open_stretch(&mut self, surface: &mut Surface<'_>) -> Identifier {
        self.is_open = true;
        surface.start_tagged(ContentTag::Other)
    }

    fn push_cell(&mut self, id: Identifier) {
        match &mut self.row {
            Some((row, is_heading)) => {
                let mut cell = if *is_heading {
                    TagGroup::new(Tag::TH(TableHeaderScope::Column))
                } else {
                    TagGroup::new(Tag::TD)
                };
                cell.push(id);
                row.push(cell);
            }
            None => self.start_group(Tag::P.into(), id),
        }
    }

    fn end_role(&mut self, surface: &mut Surface<'_>) {
        if self.is_open {
            self.end_page(surface);
        } else if let Some((row, _)) = self.row.take() {
            self.push_last();
            self.table.get_or_insert_with(|| TagGroup::new(Tag::Table)).push(row);
        }
    }

    /// Begins a paragraph, heading or picture: what was before it is whole.
    fn start_group(&mut self, tag: krilla::tagging::TagKind, id: Identifier) {
        self.push_table();
        self.push_last();
        let mut group = TagGroup::new(tag);
        group.push(id);
        self.last = Some(group);
    }

    fn push_last(&mut self) {
        if let Some(last) = self.last.take() {
            self.tree.push(last);
        }
    }

    fn push_table(&mut self) {
        if let Some(table) = self.table.take() {
            self.tree.push(table);
        }
    }

    /// The whole tree.
    pub fn into_tree(mut self) -> TagTree {
        self.push_table();
        self.push_last();
        self.tree
    }
}
