//! Drawing, and nothing else: what labels say goes in, files and pictures come out. The only place of the app that
//! draws labels, so that the drawing can live elsewhere than in the app's own code.

use labels::commands::Language;
use labels::drawing::Drawing;
use labels::pdf::Document;
use labels::png::Bitmap;
use labels::stock::{Calibration, Dpi, Size, Stock};
use labels::text::{Face, LabelText, Lack, Part};
use labels::{Alike, pages};

/// Labels to be drawn, in order.
#[derive(Clone)]
pub struct Job {
    pub title: String,
    pub texts: Vec<LabelText>,
    /// Some of those that are printed together: all are arranged as suits these.
    pub some: Vec<LabelText>,
    pub stock: Stock,
    /// The first free position of a sheet, counted from 1.
    pub first: usize,
}

/// One label as a picture, and what had no room on it.
#[derive(Clone, PartialEq)]
pub struct Shown {
    pub svg: String,
    pub lacks: Vec<(Part, Lack)>,
    pub face: Face,
}

/// How far the work is, and whether it is still wanted.
pub trait Watch {
    /// After so many labels. `false` ends the work; the page has had time to draw itself meanwhile.
    async fn go_on(&self, done: usize) -> bool;
}

/// Labels drawn between two looks up from the work: about as long as a page may be still.
const AT_ONCE: usize = 6;

/// One label as it is printed among others; `some` as in [`Job`].
///
/// # Errors
/// A sentence: the stock cannot be printed on.
pub async fn show(text: LabelText, some: &[LabelText], stock: &Stock) -> Result<Shown, String> {
    let alike = Alike::of(some, stock).map_err(|bad| bad.to_string())?;
    let drawing = alike.layout(&text);
    Ok(Shown { svg: labels::svg::label(&drawing), lacks: drawing.lacks, face: text.face })
}

async fn drawings(job: &Job, watch: &impl Watch) -> Result<Option<Vec<Drawing>>, String> {
    // Where a position is wrong, it is said before the work, not after it.
    pages::pages(&[], &job.stock, job.first).map_err(|bad| bad.to_string())?;
    let alike = Alike::of(&job.some, &job.stock).map_err(|bad| bad.to_string())?;
    let mut out = Vec::with_capacity(job.texts.len());
    for text in &job.texts {
        if out.len() % AT_ONCE == 0 && !watch.go_on(out.len()).await {
            return Ok(None);
        }
        out.push(alike.layout(text));
    }
    Ok(Some(out))
}

/// A PDF; `None` when it was no longer wanted.
///
/// # Errors
/// A sentence: the stock cannot be printed on, or the correction is out of range.
pub async fn pdf(job: &Job, calibration: &Calibration, watch: &impl Watch) -> Result<Option<Vec<u8>>, String> {
    let mut document = Document::new(&job.title, calibration).map_err(|bad| bad.to_string())?;
    let Some(drawings) = drawings(job, watch).await? else { return Ok(None) };
    let mut done = 0;
    for page in pages::pages(&drawings, &job.stock, job.first).map_err(|bad| bad.to_string())? {
        document.add(&page);
        done += page.placed.len();
        if !watch.go_on(done).await {
            return Ok(None);
        }
    }
    Ok(Some(document.finish()))
}

/// A bitmap of each label for a label printer's own app, in its dots.
///
/// # Errors
/// As [`pdf`].
pub async fn bitmaps(job: &Job, dpi: Dpi, watch: &impl Watch) -> Result<Option<Vec<Vec<u8>>>, String> {
    dotted(job, dpi, watch, |bitmap| bitmap.png(dpi)).await
}

/// Each label as a printer's own commands.
///
/// # Errors
/// As [`pdf`].
pub async fn commands(
    job: &Job,
    dpi: Dpi,
    language: Language,
    watch: &impl Watch,
) -> Result<Option<Vec<Vec<u8>>>, String> {
    let label = job.stock.label();
    dotted(job, dpi, watch, |bitmap| labels::commands::commands(language, bitmap, label)).await
}

async fn dotted(
    job: &Job,
    dpi: Dpi,
    watch: &impl Watch,
    made: impl Fn(&Bitmap) -> Vec<u8>,
) -> Result<Option<Vec<Vec<u8>>>, String> {
    let stock = Stock::Roll { label: job.stock.label(), dots: Some(dpi) };
    let job = Job { stock, first: 1, ..job.clone() };
    let Some(drawings) = drawings(&job, watch).await? else { return Ok(None) };
    let mut out = Vec::with_capacity(drawings.len());
    for drawing in &drawings {
        if out.len() % AT_ONCE == 0 && !watch.go_on(out.len()).await {
            return Ok(None);
        }
        out.push(made(&labels::png::bitmap(drawing, dpi)));
    }
    Ok(Some(out))
}

/// Each page as a picture, for the browser's own print.
///
/// # Errors
/// As [`pdf`].
pub async fn pictures(job: &Job, watch: &impl Watch) -> Result<Option<Vec<String>>, String> {
    let Some(drawings) = drawings(job, watch).await? else { return Ok(None) };
    let mut out = Vec::new();
    for page in pages::pages(&drawings, &job.stock, job.first).map_err(|bad| bad.to_string())? {
        if !watch.go_on(out.len()).await {
            return Ok(None);
        }
        out.push(labels::svg::page(&page));
    }
    Ok(Some(out))
}

/// Several files as one archive.
pub fn packed(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    labels::zip::stored(files)
}

/// The ruler page of a size, as a PDF without any correction.
///
/// # Errors
/// A sentence.
pub fn ruler(title: &str, page: Size) -> Result<Vec<u8>, String> {
    let mut document = Document::new(title, &Calibration::default()).map_err(|bad| bad.to_string())?;
    document.add(&pages::ruler(page));
    Ok(document.finish())
}
