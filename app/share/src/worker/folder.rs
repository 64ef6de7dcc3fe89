//! A folder on this computer, which the browser lets the app use.

use js_sys::{Array, ArrayBuffer, AsyncIterator, IteratorNext, Reflect, Uint8Array};
use share::store::{Act, Done, Found};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    File, FileSystemDirectoryHandle, FileSystemFileHandle, FileSystemGetDirectoryOptions, FileSystemGetFileOptions,
    FileSystemWritableFileStream,
};

pub async fn does(root: &FileSystemDirectoryHandle, act: Act) -> Done {
    done(root, act).await.unwrap_or_else(|why| refusal(&why))
}

/// The names of the browser's errors (File System Standard).
fn refusal(why: &JsValue) -> Done {
    let name = Reflect::get(why, &"name".into()).ok().and_then(|name| name.as_string()).unwrap_or_default();
    match name.as_str() {
        "NotFoundError" | "TypeMismatchError" => Done::Absent,
        "NotAllowedError" | "SecurityError" | "NoModificationAllowedError" => Done::Forbidden,
        "QuotaExceededError" => Done::Full,
        _ => Done::Away,
    }
}

async fn done(root: &FileSystemDirectoryHandle, act: Act) -> Result<Done, JsValue> {
    match act {
        Act::Write { steps, bytes } => {
            let (name, folders) = steps.split_last().ok_or(JsValue::NULL)?;
            let folder = walk(root, folders, true).await?;
            let options = FileSystemGetFileOptions::new();
            options.set_create(true);
            let file = folder.get_file_handle_with_options(name, &options);
            let file: FileSystemFileHandle = JsFuture::from(file).await?.dyn_into()?;
            // What is written counts once it is closed; until then the file is as it was.
            let stream: FileSystemWritableFileStream = JsFuture::from(file.create_writable()).await?.dyn_into()?;
            JsFuture::from(stream.write_with_buffer_source(&Uint8Array::from(bytes.as_slice()))?).await?;
            JsFuture::from(stream.close()).await?;
            Ok(Done::Written)
        }
        Act::Read { steps } => {
            let file = file(root, &steps).await?;
            let bytes: ArrayBuffer = JsFuture::from(file.array_buffer()).await?.dyn_into()?;
            Ok(Done::Read(Uint8Array::new(&bytes).to_vec()))
        }
        Act::Remove { steps } => {
            let (name, folders) = steps.split_last().ok_or(JsValue::NULL)?;
            let folder = walk(root, folders, false).await?;
            JsFuture::from(folder.remove_entry(name)).await?;
            Ok(Done::Written)
        }
        Act::Names { steps } => names(&walk(root, &steps, false).await?).await.map(Done::Names),
    }
}

async fn walk(
    root: &FileSystemDirectoryHandle,
    steps: &[String],
    make: bool,
) -> Result<FileSystemDirectoryHandle, JsValue> {
    let options = FileSystemGetDirectoryOptions::new();
    options.set_create(make);
    let mut folder = root.clone();
    for step in steps {
        folder = JsFuture::from(folder.get_directory_handle_with_options(step, &options)).await?.dyn_into()?;
    }
    Ok(folder)
}

async fn file(root: &FileSystemDirectoryHandle, steps: &[String]) -> Result<File, JsValue> {
    let (name, folders) = steps.split_last().ok_or(JsValue::NULL)?;
    let folder = walk(root, folders, false).await?;
    let handle: FileSystemFileHandle = JsFuture::from(folder.get_file_handle(name)).await?.dyn_into()?;
    JsFuture::from(handle.get_file()).await?.dyn_into()
}

async fn names(folder: &FileSystemDirectoryHandle) -> Result<Vec<Found>, JsValue> {
    let entries: AsyncIterator = folder.entries();
    let mut found = Vec::new();
    loop {
        let next: IteratorNext = JsFuture::from(entries.next()?).await?.unchecked_into();
        if next.done() {
            return Ok(found);
        }
        let entry: Array = next.value().dyn_into()?;
        let (Some(name), Ok(handle)) = (entry.get(0).as_string(), entry.get(1).dyn_into::<FileSystemFileHandle>())
        else {
            continue;
        };
        // Gone meanwhile, it is no longer here.
        let Ok(file) = JsFuture::from(handle.get_file()).await else { continue };
        let file: File = file.dyn_into()?;
        found.push(Found { name, tag: Some(format!("{} {}", file.last_modified(), file.size())) });
    }
}
