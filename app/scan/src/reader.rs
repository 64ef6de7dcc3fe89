//! The cascade: cheap looks first, each next one only when nothing was read before.

use crate::Read;
use crate::correct::Field;
use crate::finder::{self, Finder, Triple};
use crate::grey::{Plane, Threshold, View};
use crate::modules::{self, Modules};
use crate::pose::{Budget, Eye, Fitter, Pose};
use crate::symbol::Layout;
use crate::wanted::Wanted;
use std::cell::Cell;

/// Sides of an image that is looked at, in pixels.
const SIDES: std::ops::RangeInclusive<usize> = 21..=8192;
/// Candidate codes looked at closely in one frame.
const MOST_FITS: usize = 32;
/// Candidate codes looked at closely after one step.
const FITS: usize = 8;
/// Candidates moved into place flat, and bent, in one frame: the dearest work.
const MOST_REFINED: usize = 10;
const MOST_BENT: usize = 5;
/// Candidate codes glanced at after one step.
const TRIPLES: usize = 60;
/// Fit of the fixed modules below which a candidate is no code: on the first look, after moving it into place, and
/// after moving it but still flat where it may be bent.
const COARSE: f32 = 0.22;
const FINE: f32 = 0.34;
const BENDABLE: f32 = 0.25;
/// Fit at a first look from which a candidate is surely a code.
const STRONG: f32 = 0.6;
/// Fit as found from which a candidate needs no search for its fourth corner.
const CLEAR: f32 = 0.5;
/// Likeness of the data in two frames from which they are taken for the same label's. Labels of one keeper share
/// their first codewords, the address, so any two are somewhat alike.
const ALIKE: f32 = 0.5;
/// Frames after which a faint code is forgotten.
const MEMORY: u32 = 8;

/// Where finders are looked for, and what is made of them, one after another until something is read.
#[derive(Clone, Copy)]
enum Look {
    Half,
    Whole,
    /// With the finders so far, guessing what dirt hides.
    Pairs,
    Quarter,
    Sharp,
}

const LOOKS: [Look; 6] = [Look::Half, Look::Whole, Look::Pairs, Look::Quarter, Look::Sharp, Look::Pairs];

/// What reading one module costs, as looks at one of the fixed ones.
const LOOKED: usize = 6;

/// Reads frames one after another with the same buffers.
pub struct Reader {
    wanted: Wanted,
    half: Plane,
    quarter: Plane,
    sharp: Plane,
    threshold: Threshold,
    layouts: Vec<Layout>,
    field: Field,
    finders: Vec<Finder>,
    faint: Option<Faint>,
    /// Of the screen's code read last.
    slant: Cell<(f32, f32)>,
    fits: usize,
    refined: usize,
    bent: usize,
}

/// A code that was seen but not read, summed over frames.
struct Faint {
    modules: Modules,
    middle: (f32, f32),
    age: u32,
}

impl Default for Reader {
    fn default() -> Reader {
        Reader::of(Wanted::Labels)
    }
}

impl Reader {
    fn of(wanted: Wanted) -> Reader {
        Reader {
            wanted,
            half: Plane::default(),
            quarter: Plane::default(),
            sharp: Plane::default(),
            threshold: Threshold::default(),
            layouts: wanted.versions().into_iter().map(Layout::new).collect(),
            field: Field::default(),
            finders: vec![],
            faint: None,
            slant: Cell::default(),
            fits: 0,
            refined: 0,
            bent: 0,
        }
    }
}

/// A candidate with the version that fits it best.
struct Candidate {
    triple: Triple,
    /// Its place among the reader's layouts.
    layout: usize,
    pose: Pose,
}

/// The pictures a code may be looked at in.
#[derive(Clone, Copy)]
struct Eyes<'a> {
    whole: Eye<'a>,
    half: Eye<'a>,
    quarter: Eye<'a>,
    budget: &'a Budget,
}

impl<'a> Eyes<'a> {
    /// The smallest picture in which a module is still about three pixels: less noise, less work.
    fn for_module(&self, module: f32) -> Eye<'a> {
        if module >= 12.0 {
            self.quarter
        } else if module >= 6.0 {
            self.half
        } else {
            self.whole
        }
    }
}

impl Reader {
    /// A reader of labels without memory of earlier frames.
    pub fn new() -> Reader {
        Reader::default()
    }

    /// A reader of what another device's screen shows.
    pub fn of_screens() -> Reader {
        Reader::of(Wanted::Screens)
    }

    /// The code nearest the middle of the image, if one can be read. `grey` holds `width × height` bytes row by row,
    /// 0 = black; a buffer of any other length, or a side under 21 or over 8192 pixels, reads as nothing.
    pub fn read(&mut self, grey: &[u8], width: usize, height: usize) -> Option<Read> {
        if !SIDES.contains(&width) || !SIDES.contains(&height) || grey.len() != width * height {
            return None;
        }
        (self.fits, self.refined, self.bent) = (0, 0, 0);
        if let Some(faint) = &mut self.faint {
            faint.age += 1;
            if faint.age > MEMORY {
                self.faint = None;
            }
        }
        let mut seen = vec![];
        let read = self.cascade(View { px: grey, w: width, h: height }, &mut seen);
        match read {
            Some(_) => self.faint = None,
            None if self.wanted == Wanted::Labels => return self.recall(seen),
            // The next frame holds another code: nothing adds up.
            None => self.slant.set((0.0, 0.0)),
        }
        read
    }

    /// Forgets the frames so far: for another camera or a still picture.
    pub fn forget(&mut self) {
        self.faint = None;
        self.slant.set((0.0, 0.0));
    }

    /// How many candidate codes were looked at closely in the last frame; never over 32.
    pub fn fits(&self) -> usize {
        self.fits
    }

    fn cascade(&mut self, whole: View<'_>, seen: &mut Vec<(Pose, Modules)>) -> Option<Read> {
        let mut half = std::mem::take(&mut self.half);
        let mut quarter = std::mem::take(&mut self.quarter);
        let mut sharp = std::mem::take(&mut self.sharp);
        half.halve(whole);
        quarter.halve(half.view());
        let budget = Budget::new(self.wanted.work());
        let eyes = Eyes {
            whole: Eye { view: whole, shrink: 1.0 },
            half: Eye { view: half.view(), shrink: 0.5 },
            quarter: Eye { view: quarter.view(), shrink: 0.25 },
            budget: &budget,
        };
        self.finders.clear();
        let mut tried = vec![];
        let mut read = None;
        for look in LOOKS {
            if read.is_some() || budget.is_spent() {
                break;
            }
            let (view, scale, reach, every) = match look {
                Look::Half => (half.view(), 2.0, 2, 1),
                Look::Whole => (whole, 1.0, 2, 2),
                Look::Quarter => (quarter.view(), 4.0, 2, 1),
                Look::Sharp => {
                    sharp.sharpen(half.view());
                    (sharp.view(), 2.0, 1, 1)
                }
                Look::Pairs if self.wanted == Wanted::Screens => continue,
                Look::Pairs => {
                    let pairs = finder::pairs(whole, &self.finders);
                    read = self.attempt(eyes, pairs, &mut tried, seen);
                    continue;
                }
            };
            if view.w < 21 || view.h < 21 {
                continue;
            }
            self.threshold.apply(view, reach, every);
            let before = self.finders.len();
            finder::find(&self.threshold.black, view.w, view.h, scale, every, whole, &mut self.finders);
            if self.finders.len() > before {
                let triples = finder::triples(whole, &self.finders, TRIPLES, self.wanted.span());
                read = self.attempt(eyes, triples, &mut tried, seen);
            }
        }
        (self.half, self.quarter, self.sharp) = (half, quarter, sharp);
        read
    }

    /// Glances at all, looks closely at the best, reads the one nearest the middle that can be read.
    fn attempt(
        &mut self,
        eyes: Eyes<'_>,
        triples: Vec<Triple>,
        tried: &mut Vec<[(f32, f32); 3]>,
        seen: &mut Vec<(Pose, Modules)>,
    ) -> Option<Read> {
        let whole = eyes.whole.view;
        let mut candidates = vec![];
        for triple in triples {
            let key = [triple.top_left, triple.top_right, triple.bottom_left].map(|f| (f.x, f.y));
            if !tried.contains(&key) {
                tried.push(key);
                candidates.extend(self.glance(eyes, triple));
            }
        }
        candidates.sort_by(|a, b| b.pose.score.total_cmp(&a.pose.score));
        candidates.truncate(FITS.min(MOST_FITS.saturating_sub(self.fits)));
        self.fits += candidates.len();
        let middle = (whole.w as f32 / 2.0, whole.h as f32 / 2.0);
        let far = |c: &Candidate| c.triple.distance(middle.0, middle.1);
        // Most frames hold one code that fits as found: then only what lies nearer the middle is looked at as well.
        let clear = candidates.iter().filter(|c| c.pose.score > CLEAR).map(far).reduce(f32::min);
        let (first, later): (Vec<_>, Vec<_>) =
            candidates.into_iter().partition(|c| clear.is_none_or(|clear| far(c) <= clear));
        let mut flats = vec![];
        let read = [first, later].into_iter().find_map(|mut some| {
            // One that fits as found may need no search for its fourth corner, unless another one is nearer the middle.
            let straight = some.iter().filter(|c| c.pose.score > CLEAR).min_by(|a, b| far(a).total_cmp(&far(b)));
            let straight = straight.filter(|s| some.iter().all(|c| far(c) + s.pose.extent().1 / 2.0 > far(s)));
            if let Some(read) = straight.and_then(|c| self.read_flat(eyes, c, c.pose, seen).1) {
                return Some(read);
            }
            for c in &mut some {
                c.pose = self.fitter(eyes, c).coarse(c.triple.guessed, self.wanted == Wanted::Screens);
            }
            some.retain(|c| c.pose.score > COARSE);
            // Those that are codes beyond doubt from the middle outwards, then the others by how well they fit.
            let rank = |c: &Candidate| if c.pose.score > STRONG { far(c) - 1e6 } else { -c.pose.score };
            some.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
            some.into_iter().find_map(|c| self.decode(eyes, c, &mut flats, seen))
        });
        read.or_else(|| self.decode_bent(eyes, flats, seen))
    }

    /// The candidates of a triple that are worth a closer look: one a version.
    fn glance(&self, eyes: Eyes<'_>, triple: Triple) -> impl Iterator<Item = Candidate> {
        let (low, high) = ((triple.modules.0 - 17.0) / 4.0, (triple.modules.1 - 17.0) / 4.0);
        let likely = move |layout: &Layout| (low - 0.8..high + 1.3).contains(&(layout.version as f32));
        let likely = self.layouts.iter().enumerate().filter(move |(_, layout)| likely(layout));
        likely
            // Blur makes finders look larger and so the code smaller.
            .filter_map(move |(at, layout)| {
                let pose =
                    Fitter::new(eyes.for_module(triple.module()), eyes.budget, layout, &triple, self.slant.get())
                        .first(self.wanted.glance())?;
                Some(Candidate { triple, layout: at, pose })
            })
    }

    fn fitter<'a>(&'a self, eyes: Eyes<'a>, c: &Candidate) -> Fitter<'a> {
        Fitter::new(
            eyes.for_module(c.triple.module()),
            eyes.budget,
            &self.layouts[c.layout],
            &c.triple,
            self.slant.get(),
        )
    }

    /// Moves a candidate into place as a flat label and reads it; what cannot be read is kept for bending.
    fn decode(
        &mut self,
        eyes: Eyes<'_>,
        mut c: Candidate,
        flats: &mut Vec<Candidate>,
        seen: &mut Vec<(Pose, Modules)>,
    ) -> Option<Read> {
        if self.refined >= MOST_REFINED || eyes.budget.is_spent() {
            return None;
        }
        self.refined += 1;
        let (pose, read) = self.read_flat(eyes, &c, c.pose, seen);
        c.pose = pose;
        if read.is_none() && pose.score > BENDABLE {
            flats.push(c);
        }
        read
    }

    fn read_flat(
        &self,
        eyes: Eyes<'_>,
        c: &Candidate,
        from: Pose,
        seen: &mut Vec<(Pose, Modules)>,
    ) -> (Pose, Option<Read>) {
        let pose = self.fitter(eyes, c).refine(from, 0.5, 30);
        let read = self.said(eyes, c, &pose, seen);
        (pose, read)
    }

    /// Reads one of the candidates that could not be read flat as a label wound round a tub, the best fitting first.
    fn decode_bent(
        &mut self,
        eyes: Eyes<'_>,
        mut flats: Vec<Candidate>,
        seen: &mut Vec<(Pose, Modules)>,
    ) -> Option<Read> {
        flats.sort_by(|a, b| b.pose.score.total_cmp(&a.pose.score));
        flats.truncate(MOST_BENT.saturating_sub(self.bent));
        self.bent += flats.len();
        flats.iter().find_map(|c| {
            let fitter = self.fitter(eyes, c);
            if eyes.budget.is_spent() {
                return None;
            }
            let better = |pose: &Pose| pose.score > c.pose.score + 0.02;
            fitter.bent(c.pose).into_iter().find_map(|start| {
                let begun = fitter.refine(start, 0.5, 8);
                let pose = if better(&begun) { fitter.refine(begun, 0.25, 32) } else { begun };
                better(&pose).then(|| self.said(eyes, c, &pose, seen)).flatten()
            })
        })
    }

    fn said(&self, eyes: Eyes<'_>, c: &Candidate, pose: &Pose, seen: &mut Vec<(Pose, Modules)>) -> Option<Read> {
        if pose.score < FINE {
            return None;
        }
        let layout = &self.layouts[c.layout];
        eyes.budget.spend(LOOKED * layout.n * layout.n);
        let eye = eyes.for_module(c.triple.module());
        let plain = Modules::look(eye, &pose.map(), layout, c.triple.top_left.dark);
        let once = plain.sharpened(layout, None);
        let say = |m: &Modules| modules::said(m, layout, &self.field);
        let said = say(&plain).or_else(|| say(&once)).or_else(|| say(&once.sharpened(layout, Some(0.5))));
        if said.is_none() {
            seen.push((*pose, once));
        }
        if let (Some(_), Wanted::Screens) = (&said, self.wanted) {
            self.slant.set(pose.slant());
        }
        said.map(|bytes| Read { bytes, corners: pose.corners() })
    }

    /// Adds the best code seen but not read to what earlier frames saw of it, and reads the sum.
    fn recall(&mut self, seen: Vec<(Pose, Modules)>) -> Option<Read> {
        let (pose, modules) = seen.into_iter().max_by(|a, b| a.0.score.total_cmp(&b.0.score))?;
        let layout = self.layouts.iter().find(|l| l.n == modules.n)?;
        // Another label that the hand has moved on to must not be mixed with this one, nor this one's text given for it.
        let (middle, width) = pose.extent();
        let same = |f: &&mut Faint| {
            f.modules.n == modules.n
                && (f.middle.0 - middle.0).hypot(f.middle.1 - middle.1) < width
                && f.modules.likeness(&modules, layout) > ALIKE
        };
        let Some(faint) = self.faint.as_mut().filter(same) else {
            self.faint = Some(Faint { modules, middle, age: 0 });
            return None;
        };
        for (sum, new) in faint.modules.dark.iter_mut().zip(&modules.dark) {
            *sum = 0.6 * *sum + 0.6 * new;
        }
        (faint.age, faint.middle) = (0, middle);
        let bytes = modules::said(&faint.modules, layout, &self.field)?;
        self.faint = None;
        Some(Read { bytes, corners: pose.corners() })
    }
}
