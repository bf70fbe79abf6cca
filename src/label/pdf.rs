//! Labels on PDF pages at true size: the bitmap's dots as they are, so that a label printer burns exactly these.

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref};

use crate::label::LabelError;
use crate::label::bitmap::Bitmap;
use crate::label::stock::{Paper, Stock};

/// How far a cut mark stays from the labels and how long it is, points.
const MARK_GAP: f32 = 2.0;
const MARK_LENGTH: f32 = 8.0;
/// Paper an office printer leaves white at each side, 5 mm, points.
const UNPRINTED: f32 = 14.0;
/// How far a label's picture stays inside its place, points. Some renderers take a picture that ends exactly between two
/// dots to touch the next one, and stretch it by a dot.
const INSET: f32 = 0.005;
/// zlib's own middle way between speed and size.
const COMPRESSION: u8 = 6;

/// Lays labels on as many pages as they take. A page as large as a label takes one, edge to edge; on larger paper they
/// stand in a block, edge to edge so that one cut parts two, with cut marks around it.
///
/// # Errors
/// [`LabelError::Paper`] when the paper is smaller than a label.
pub fn write(labels: &[Bitmap], stock: Stock, paper: Paper) -> Result<Vec<u8>, LabelError> {
    let grid = Grid::new(stock, paper).ok_or(LabelError::Paper)?;
    let mut next = 0;
    let mut id = || {
        next += 1;
        Ref::new(next)
    };
    let (catalog, tree) = (id(), id());
    let mut pdf = Pdf::new();
    let mut pages = Vec::new();
    for labels in labels.chunks(grid.columns * grid.rows) {
        let (page, content) = (id(), id());
        let images: Vec<Ref> = labels.iter().map(|_| id()).collect();
        pages.push(page);
        write_page(&mut pdf, &grid, tree, (page, content), &images);
        for (label, image) in labels.iter().zip(images) {
            write_image(&mut pdf, label, image);
        }
    }
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).count(pages.len() as i32).kids(pages);
    Ok(pdf.finish())
}

fn write_page(pdf: &mut Pdf, grid: &Grid, tree: Ref, (id, content): (Ref, Ref), images: &[Ref]) {
    let name = |index: usize| format!("L{index}");
    let mut page = pdf.page(id);
    page.parent(tree).media_box(Rect::new(0.0, 0.0, grid.paper.width, grid.paper.height)).contents(content);
    let mut resources = page.resources();
    let mut objects = resources.x_objects();
    for (index, image) in images.iter().enumerate() {
        objects.pair(Name(name(index).as_bytes()), *image);
    }
    objects.finish();
    resources.finish();
    page.finish();

    let mut drawing = Content::new();
    for index in 0..images.len() {
        let [x, y] = grid.corner(index).map(|at| at + INSET);
        let [width, height] = grid.label.map(|side| side - 2.0 * INSET);
        drawing.save_state();
        drawing.transform([width, 0.0, 0.0, height, x, y]);
        drawing.x_object(Name(name(index).as_bytes()));
        drawing.restore_state();
    }
    for [from, to] in grid.cut_marks() {
        drawing.move_to(from[0], from[1]).line_to(to[0], to[1]);
    }
    drawing.set_line_width(0.5).stroke();
    pdf.stream(content, &drawing.finish());
}

fn write_image(pdf: &mut Pdf, label: &Bitmap, id: Ref) {
    let data = compress_to_vec_zlib(&label.rows, COMPRESSION);
    let mut image = pdf.image_xobject(id, &data);
    image.filter(Filter::FlateDecode);
    image.width(label.width as i32).height(label.height as i32).bits_per_component(1).color_space().device_gray();
}

/// A block of labels in the middle of the paper. Points, y upward as PDF has it.
struct Grid {
    paper: Paper,
    label: [f32; 2],
    columns: usize,
    rows: usize,
    /// The block's lower left corner.
    origin: [f32; 2],
}

impl Grid {
    fn new(stock: Stock, paper: Paper) -> Option<Self> {
        let label = stock.points();
        // A hundredth of a point of doubt, or rounding would keep a label off its own page.
        let across = |paper: f32, label: f32| {
            let margin = if paper < label + 1.0 { -0.01 } else { UNPRINTED };
            ((paper - 2.0 * margin) / label) as usize
        };
        let (columns, rows) = (across(paper.width, label[0]), across(paper.height, label[1]));
        if columns == 0 || rows == 0 {
            return None;
        }
        let origin = [(paper.width - columns as f32 * label[0]) / 2.0, (paper.height - rows as f32 * label[1]) / 2.0];
        Some(Self { paper, label, columns, rows, origin })
    }

    /// The lower left corner of a page's label, counted along rows from the top.
    fn corner(&self, index: usize) -> [f32; 2] {
        let (column, row) = (index % self.columns, index / self.columns);
        [self.origin[0] + column as f32 * self.label[0], self.origin[1] + (self.rows - 1 - row) as f32 * self.label[1]]
    }

    /// Short lines outside the block, at both ends of every cut; none where the page is the label.
    fn cut_marks(&self) -> Vec<[[f32; 2]; 2]> {
        let [left, bottom] = self.origin;
        if left < MARK_GAP + MARK_LENGTH || bottom < MARK_GAP + MARK_LENGTH {
            return Vec::new();
        }
        let right = left + self.columns as f32 * self.label[0];
        let top = bottom + self.rows as f32 * self.label[1];
        let outward = |low: f32, high: f32| {
            [[low - MARK_GAP, low - MARK_GAP - MARK_LENGTH], [high + MARK_GAP, high + MARK_GAP + MARK_LENGTH]]
        };
        let columns = (0..=self.columns).map(|column| left + column as f32 * self.label[0]);
        let rows = (0..=self.rows).map(|row| bottom + row as f32 * self.label[1]);
        let across = columns.flat_map(|x| outward(bottom, top).map(|[from, to]| [[x, from], [x, to]]));
        let along = rows.flat_map(|y| outward(left, right).map(|[from, to]| [[from, y], [to, y]]));
        across.chain(along).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_hold_what_fits_at_true_size() {
        for (stock, paper, columns, rows) in [
            (Stock::INCH, Paper::LETTER, 2, 5),
            (Stock::METRIC, Paper::A4, 2, 5),
            (Stock::METRIC, Paper::LETTER, 2, 5),
            (Stock::INCH, Paper::A4, 1, 5),
        ] {
            let grid = Grid::new(stock, paper).unwrap();
            assert_eq!((grid.columns, grid.rows), (columns, rows));
            assert_eq!(grid.cut_marks().len(), 2 * (columns + 1) + 2 * (rows + 1));
        }
        assert_eq!(Stock::INCH.points(), [288.0, 144.0]);
        for stock in Stock::ALL {
            let [width, height] = stock.points();
            let grid = Grid::new(stock, Paper { width, height }).unwrap();
            assert_eq!((grid.columns, grid.rows, grid.cut_marks().len()), (1, 1, 0));
        }
        assert!(Grid::new(Stock::INCH, Paper { width: 200.0, height: 200.0 }).is_none());
    }
}
