//! A label printer at this device's cable: by Web Serial or WebUSB (W3C community drafts; Chrome and Edge have them), whose names
//! these are. Elsewhere nothing is offered.

use crate::clock;
use crate::prefs::folder;
use crate::words::printers as said;
use gloo_storage::{LocalStorage, Storage};
use js_sys::{Array, JsString, Object, Promise, Reflect, Uint8Array};
use labels::commands::Language;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, future_to_promise};
use web_sys::DomException;

#[wasm_bindgen]
extern "C" {
    /// `navigator.serial` or `navigator.usb`.
    type Ports;
    #[wasm_bindgen(method, catch, js_name = getPorts)]
    fn known_ports(this: &Ports) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch, js_name = requestPort)]
    fn ask_port(this: &Ports) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch, js_name = getDevices)]
    fn known_devices(this: &Ports) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch, js_name = requestDevice)]
    fn ask_device(this: &Ports, options: &JsValue) -> Result<Promise, JsValue>;

    /// A `SerialPort` or a `USBDevice`.
    type Port;
    #[wasm_bindgen(method, catch)]
    fn open(this: &Port, options: &JsValue) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn close(this: &Port) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, getter)]
    fn writable(this: &Port) -> Stream;
    #[wasm_bindgen(method, getter)]
    fn configuration(this: &Port) -> JsValue;
    #[wasm_bindgen(method, catch, js_name = selectConfiguration)]
    fn select_configuration(this: &Port, number: u32) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch, js_name = claimInterface)]
    fn claim_interface(this: &Port, number: u32) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch, js_name = transferOut)]
    fn transfer_out(this: &Port, endpoint: u32, data: &Uint8Array) -> Result<Promise, JsValue>;

    /// A `WritableStream`, and its writer.
    type Stream;
    #[wasm_bindgen(method, catch, js_name = getWriter)]
    fn writer(this: &Stream) -> Result<Writer, JsValue>;
    type Writer;
    #[wasm_bindgen(method, catch)]
    fn write(this: &Writer, data: &Uint8Array) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn abort(this: &Writer) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, js_name = releaseLock)]
    fn release(this: &Writer);
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Via {
    Usb,
    Serial,
}

impl Via {
    /// Those the browser has.
    pub fn here() -> Vec<Via> {
        [Via::Usb, Via::Serial].into_iter().filter(|via| via.ports().is_some()).collect()
    }

    fn ports(self) -> Option<Ports> {
        let navigator: JsValue = web_sys::window()?.navigator().into();
        let name = match self {
            Via::Usb => "usb",
            Via::Serial => "serial",
        };
        let ports = Reflect::get(&navigator, &name.into()).ok()?;
        ports.is_object().then(|| ports.unchecked_into())
    }
}

/// What the printer at this device understands: chosen once.
pub fn language() -> Language {
    let kept: Option<String> = LocalStorage::get(key()).ok();
    Language::ALL.into_iter().find(|language| kept.as_deref() == Some(language.word())).unwrap_or(Language::ALL[0])
}

pub fn keep_language(language: Language) {
    // Full or switched-off local storage loses a convenience, never a record.
    let _ = LocalStorage::set(key(), language.word());
}

fn key() -> String {
    format!("candlemark:{}printer", folder())
}

/// Bits a second; what goes over USB under the name of a serial port does not heed it.
const BAUD: u32 = 9600;
/// A USB device's class for printers (USB-IF, Universal Serial Bus Device Class Definition for Printing Devices).
const PRINTER: u32 = 7;
/// So much is handed over at a time, bytes.
const PIECE: usize = 4096;
/// A printer that takes nothing for so long is out of paper, open, or off, ms.
const STALLED_MS: i32 = 20_000;

/// A printer that was opened. It is let go of by [`Printer::close`].
pub struct Printer {
    port: Port,
    to: To,
}

enum To {
    Writer(Writer),
    Endpoint(u32),
}

impl Printer {
    /// The one this page was allowed to use before, else the one the person chooses now: call it from a tap.
    ///
    /// # Errors
    /// What to do, in words; none where the person chose nothing.
    pub async fn open(via: Via) -> Result<Printer, Option<&'static str>> {
        let port = port(via).await.map_err(|why| told(&why))?;
        let opened = match via {
            Via::Serial => serial(&port).await,
            Via::Usb => usb(&port).await,
        };
        match opened {
            Ok(to) => Ok(Printer { port, to }),
            Err(why) => {
                end(port.close()).await;
                Err(told(&why).or(Some(said::NOT_OPENED)))
            }
        }
    }

    /// # Errors
    /// What to do, in words.
    pub async fn send(&self, bytes: &[u8]) -> Result<(), &'static str> {
        for piece in bytes.chunks(PIECE) {
            let data = Uint8Array::from(piece);
            let sent = match &self.to {
                To::Writer(writer) => writer.write(&data),
                To::Endpoint(number) => self.port.transfer_out(*number, &data),
            };
            let sent = sent.map_err(|_| said::GONE)?;
            let late = future_to_promise(async {
                clock::pause(STALLED_MS).await;
                Err(JsString::from(LATE).into())
            });
            match JsFuture::from(Promise::race(&Array::of2(&sent, &late))).await {
                Ok(answer) if is_taken(&answer) => {}
                Err(why) if why.as_string().as_deref() != Some(LATE) => return Err(said::GONE),
                _ => return Err(said::STALLED),
            }
        }
        Ok(())
    }

    pub async fn close(self) {
        if let To::Writer(writer) = &self.to {
            writer.release();
        }
        end(self.port.close()).await;
    }

    /// Lets go of a printer that takes nothing any more: what still waits is thrown away.
    pub async fn give_up(self) {
        if let To::Writer(writer) = &self.to {
            end(writer.abort()).await;
        }
        self.close().await;
    }
}

const LATE: &str = "late";

/// A `USBOutTransferResult` says how it went; a stream's write says nothing.
fn is_taken(answer: &JsValue) -> bool {
    !answer.is_object() || text(answer, "status").as_deref() == Some("ok")
}

async fn port(via: Via) -> Result<Port, JsValue> {
    let ports = via.ports().ok_or(JsValue::NULL)?;
    let known = match via {
        Via::Serial => ports.known_ports()?,
        Via::Usb => ports.known_devices()?,
    };
    let known: Array = JsFuture::from(known).await?.unchecked_into();
    if known.length() == 1 {
        return Ok(known.get(0).unchecked_into());
    }
    let asked = match via {
        Via::Serial => ports.ask_port()?,
        Via::Usb => {
            let filter = with(&[("classCode", PRINTER.into())])?;
            ports.ask_device(&with(&[("filters", Array::of1(&filter).into())])?)?
        }
    };
    Ok(JsFuture::from(asked).await?.unchecked_into())
}

async fn serial(port: &Port) -> Result<To, JsValue> {
    JsFuture::from(port.open(&with(&[("baudRate", BAUD.into())])?)?).await?;
    Ok(To::Writer(port.writable().writer()?))
}

async fn usb(port: &Port) -> Result<To, JsValue> {
    JsFuture::from(port.open(&JsValue::UNDEFINED)?).await?;
    if port.configuration().is_falsy() {
        JsFuture::from(port.select_configuration(1)?).await?;
    }
    for interface in list(&port.configuration(), "interfaces") {
        let alternate = Reflect::get(&interface, &"alternate".into())?;
        if number(&alternate, "interfaceClass") != Some(PRINTER) {
            continue;
        }
        let out = |end: &JsValue| {
            text(end, "direction").as_deref() == Some("out") && text(end, "type").as_deref() == Some("bulk")
        };
        let end = list(&alternate, "endpoints").into_iter().find(out);
        if let Some(endpoint) = end.and_then(|end| number(&end, "endpointNumber")) {
            let claimed = number(&interface, "interfaceNumber").ok_or(JsValue::NULL)?;
            JsFuture::from(port.claim_interface(claimed)?).await?;
            return Ok(To::Endpoint(endpoint));
        }
    }
    Err(JsValue::NULL)
}

fn with(fields: &[(&str, JsValue)]) -> Result<JsValue, JsValue> {
    let out = Object::new();
    for (name, value) in fields {
        Reflect::set(&out, &(*name).into(), value)?;
    }
    Ok(out.into())
}

fn list(of: &JsValue, name: &str) -> Vec<JsValue> {
    let found = Reflect::get(of, &name.into()).unwrap_or(JsValue::UNDEFINED);
    if Array::is_array(&found) { found.unchecked_into::<Array>().to_vec() } else { Vec::new() }
}

fn number(of: &JsValue, name: &str) -> Option<u32> {
    Reflect::get(of, &name.into()).ok()?.as_f64().map(|number| number as u32)
}

fn text(of: &JsValue, name: &str) -> Option<String> {
    Reflect::get(of, &name.into()).ok()?.as_string()
}

/// Nothing can be done about a port that does not close.
async fn end(closing: Result<Promise, JsValue>) {
    if let Ok(closing) = closing {
        let _ = JsFuture::from(closing).await;
    }
}

fn told(why: &JsValue) -> Option<&'static str> {
    let name = why.dyn_ref::<DomException>().map(DomException::name).unwrap_or_default();
    match name.as_str() {
        // The person closed the choice.
        "NotFoundError" => None,
        "SecurityError" | "NotAllowedError" => Some(said::REFUSED),
        _ => Some(said::NOT_OPENED),
    }
}
