//! Notes and photos.

pub const TEXT: &str = "Note";
pub const ADD_PHOTO: &str = "Add a photo";
pub const SAVED: &str = "Note saved.";
pub const PHOTO_SAVED: &str = "Photo saved.";
pub const PHOTO: &str = "Photo";
pub const PHOTO_ELSEWHERE: &str = "This photo is on another device.";
pub const PHOTOS: &str = "Photos";
pub const NO_PHOTOS: &str = "No photo yet. The newest shows beside the name in lists and goes on the papers.";
pub const PHOTO_MORE: &str = "On another day, or with a note";
pub const PHOTO_HINT: &str = "It is made smaller, and what the camera wrote into it, the place too, is left out.";
pub const FACE: &str = "Show this one in lists";
pub const FACE_NEWEST: &str = "Show the newest in lists";
pub const FACE_SAVED: &str = "Lists and papers show this one.";
pub const FACE_NEWEST_SAVED: &str = "Lists and papers show the newest.";
pub const FACE_CHOSEN: &str = "Shown in lists and on papers";
pub const FACE_IS_NEWEST: &str = "Shown in lists and on papers, as the newest";
pub const NOTHING_YET: &str = "Write something or add a photo first.";
pub const NOT_A_PICTURE: &str = "This file is not a picture this phone can open. Nothing was saved; choose another.";

/// `Photos of Hazel`
pub fn photos_of(name: &str) -> String {
    format!("Photos of {name}")
}

/// `Photos of Hazel: 3`
pub fn photos_counted(name: &str, n: usize) -> String {
    format!("Photos of {name}: {n}")
}

/// What a screen reader says of one: `Photo of Hazel, Tue 9 Jun`.
pub fn photo_of(name: &str, when: &str) -> String {
    if when.is_empty() { format!("Photo of {name}") } else { format!("Photo of {name}, {when}") }
}

/// `Show this one in lists: Tue 9 Jun`
pub fn face_of(when: &str) -> String {
    format!("{FACE}: {when}")
}
