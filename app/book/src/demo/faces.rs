//! Photos of some animals of Alder Lane. Their pictures are drawn, by `tests/browser/faces.mjs`.

use super::Who::{Ines, Tobin};
use super::{Ago, Plan, Who};
use crate::acts::{FaceChosen, PhotoTaken};
use crate::views::face_of;

/// The pictures' files in `public/demo`, and the SHA-256 of each.
pub const PICTURES: &[(&str, &str)] = &[
    ("marigold.jpg", "1fc7f19acb89ffdbe898cd085aec3b23227ecd203aa61af6079b3f8da82545bf"),
    ("hazel-dull.jpg", "da17979c4a70c191f42c0843ebc710d9e3a1f720a2fcb27c0c98be1420cd06f9"),
    ("hazel.jpg", "1849cff31d3411b35d361d4e5e9f4b057d6a47e9c2de28fd888a2c5392cef00e"),
    ("bel.jpg", "93fa75b41f7220697ce37406f8ad304d14058f8f1bbc7a9b000978c298b18807"),
    ("larkspur.jpg", "5a785164f5e1f20d76152b1f856141ce655e0ba8d24b2631e608b917f0d49999"),
    ("cricket.jpg", "eeb47c5034a9930a03a60e749b234b5073287039ecf12f8ed235c4a85718c830"),
];

const WIDTH: u32 = 480;
const HEIGHT: u32 = 360;

/// Which picture, of whom, by whom, when, and what is said of it.
const TAKEN: &[(&str, &str, Who, Ago, &str)] = &[
    ("hazel.jpg", "Hazel", Ines, Ago(52, 17, 10), ""),
    ("marigold.jpg", "Marigold", Tobin, Ago(33, 20, 5), ""),
    ("bel.jpg", "Bel", Ines, Ago(26, 18, 15), ""),
    ("hazel-dull.jpg", "Hazel", Ines, Ago(19, 17, 20), "Dull, some days before she shed."),
    ("larkspur.jpg", "Larkspur", Tobin, Ago(12, 21, 30), ""),
    ("cricket.jpg", "Cricket", Ines, Ago(2, 19, 35), "Thin behind the head."),
];

/// Stays what she is known by, though a newer one follows.
const CHOSEN: &str = "hazel.jpg";

pub(super) fn plan(plan: &mut Plan) {
    for &(file, name, who, ago, note) in TAKEN {
        plan.add(who, ago, move |season| {
            let (_, sha256) = PICTURES.iter().find(|(picture, _)| *picture == file).ok_or("no such picture")?;
            let act = PhotoTaken {
                about: season.animal(name)?.thing(),
                when: season.when(),
                sha256: (*sha256).to_owned(),
                // Salted with nothing: what is drawn is no secret.
                digest: (*sha256).to_owned(),
                width: WIDTH,
                height: HEIGHT,
                note: note.to_owned(),
            };
            season.write(&act)?;
            if file == CHOSEN {
                let animal = season.animal(name)?;
                let photo = face_of(season.book(), &animal).map(|face| face.photo);
                season.write(&FaceChosen { animal, photo })?;
            }
            Ok(())
        });
    }
}
