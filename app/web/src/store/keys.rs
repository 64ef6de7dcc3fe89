//! The key this device signs with: made by the browser where it can, so that no page, not even this one, reads its
//! secret; else 32 bytes beside the records. Either signs here, and no worker ever has it.

use super::{Barn, Trouble};
use journal::bundle::Signed;
use journal::{Keypair, PublicKey, Signature};
use js_sys::{Array, ArrayBuffer, Reflect, Uint8Array};
use leptos::prelude::*;
use std::rc::Rc;
use storage::{DeviceKey, Everything, Signer, Unsigned, Value};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{CryptoKey, SubtleCrypto};

const ED25519: &str = "Ed25519";

/// Browsers have it on pages of https and of this machine only.
fn subtle() -> Option<SubtleCrypto> {
    let subtle = window().crypto().ok()?.subtle();
    (!subtle.is_undefined()).then_some(subtle)
}

async fn bytes<const N: usize>(asked: Result<js_sys::Promise, JsValue>) -> Option<[u8; N]> {
    let bytes: ArrayBuffer = JsFuture::from(asked.ok()?).await.ok()?.dyn_into().ok()?;
    Uint8Array::new(&bytes).to_vec().try_into().ok()
}

/// A fresh key pair; none where the browser has no such keys.
pub async fn make() -> Option<DeviceKey> {
    let subtle = subtle()?;
    let uses = Array::of2(&"sign".into(), &"verify".into());
    let made = JsFuture::from(subtle.generate_key_with_str(ED25519, false, &uses).ok()?).await.ok()?;
    let half = |name: &str| Reflect::get(&made, &name.into()).ok()?.dyn_into::<CryptoKey>().ok();
    let (public, private) = (half("publicKey")?, half("privateKey")?);
    let public = PublicKey(bytes(subtle.export_key("raw", &public)).await?);
    Some(DeviceKey { public, private: Value::Other(Rc::new(JsValue::from(private))) })
}

/// Signs a text for this device; none where the browser does not.
pub(super) async fn sign_text(signer: &Signer, text: &str) -> Option<Signature> {
    match signer {
        Signer::Secret(secret) => Some(Keypair::from_secret(secret).sign_text(text)),
        Signer::Kept(Value::Other(key)) => {
            let key: CryptoKey = key.downcast_ref::<JsValue>()?.clone().dyn_into().ok()?;
            let message = Uint8Array::from(text.as_bytes());
            Some(Signature(bytes(subtle()?.sign_with_str_and_buffer_source(ED25519, &key, &message)).await?))
        }
        Signer::Kept(Value::Text(_)) => None,
    }
}

/// Signs the end of this device's chain; none where the browser does not.
async fn sign(unsigned: Unsigned) -> Option<Signed> {
    let Unsigned { head, signer } = unsigned;
    let signature = sign_text(&signer, &head.message()).await?;
    Some(Signed { count: head.seq, head: head.hash, signature })
}

impl Barn {
    /// What is stored at one moment, and the end of this device's own chain in it, signed.
    pub(super) async fn everything_signed(&self) -> Result<(Everything, Option<Signed>), Trouble> {
        let (all, unsigned) = self.tab().everything_to_sign().await?;
        Ok(match unsigned {
            Some(unsigned) => (all, sign(unsigned).await),
            None => (all, None),
        })
    }
}
