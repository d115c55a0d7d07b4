//! Packing a bench into a link, by the browser's own deflate.

use halfrow_core::bench::Bench;
use halfrow_file::link;
use js_sys::{Array, Function, Reflect, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, Response};

/// The part of a link that begins with `#`. Where the browser packs nothing (before 2023 not all did) the
/// link holds the bench unpacked: longer, and it opens just as well.
pub async fn encode(bench: &Bench) -> String {
    let text = link::text(bench);
    let packed = deflate(text.as_bytes()).await.unwrap_or_else(|_| link::stored(text.as_bytes()));
    link::of_packed(&packed)
}

async fn deflate(bytes: &[u8]) -> Result<Vec<u8>, JsValue> {
    let stream = Blob::new_with_u8_array_sequence(&Array::of1(&Uint8Array::from(bytes)))?.stream();
    let packer = Reflect::get(&js_sys::global(), &"CompressionStream".into())?;
    let make: &Function = packer.dyn_ref().ok_or("not here")?;
    let packer = Reflect::construct(make, &Array::of1(&"deflate-raw".into()))?;
    let packed = stream.pipe_through(packer.unchecked_ref());
    let answer = Response::new_with_opt_readable_stream(Some(&packed))?;
    Ok(Uint8Array::new(&JsFuture::from(answer.array_buffer()?).await?).to_vec())
}
