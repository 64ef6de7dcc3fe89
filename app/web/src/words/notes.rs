//! Notes and photos.

pub const TEXT: &str = "Note";
pub const ADD_PHOTO: &str = "Add a photo";
pub const SAVED: &str = "Note saved.";
pub const PHOTO_SAVED: &str = "Photo saved.";
pub const PHOTO: &str = "Photo";
pub const PHOTO_ELSEWHERE: &str = "This photo is on another device.";
pub const NOTHING_YET: &str = "Write something or add a photo first.";
pub const NOT_A_PICTURE: &str = "This file is not a picture this phone can open. Nothing was saved; choose another.";
