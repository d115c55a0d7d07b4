//! Sizes as they travel: brotli at its highest quality, as static hosts send it.

use crate::failure::{Failure, Outcome, at};
use crate::house;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Write;
use std::path::{Path, PathBuf};

/// What the wasm may weigh: a little over two seconds on a shared school line of 2 Mbit/s. What binds is the
/// visit; this leaves the other files their room.
pub const WASM_LIMIT: usize = 575_000;
/// What a first visit may weigh, all files together.
pub const VISIT_LIMIT: usize = 600_000;
/// Where the licences stand.
pub const LICENCES: &str = "licences.txt";
/// What lies beside the page for whoever asks for it, and travels with no visit: no worker keeps it.
pub const NOT_VISITED: [&str; 3] = [LICENCES, "bench.schema.json", "actions.schema.json"];

/// One file of the page and its weight.
pub struct Weight {
    /// Its name in `dist/`.
    pub name: String,
    /// As it lies on the disk, in bytes.
    pub plain: usize,
    /// As it travels, in bytes.
    pub brotli: usize,
}

/// Weighs every file of the folder that a visit asks for, by name.
pub fn weigh(dist: &Path) -> Outcome<Vec<Weight>> {
    let mut weights = Vec::new();
    for entry in at(dist, fs::read_dir(dist))?.flatten() {
        if NOT_VISITED.iter().any(|name| entry.file_name() == *name) {
            continue;
        }
        let content = at(&entry.path(), fs::read(entry.path()))?;
        let brotli = compressed(&content)?.len();
        let name = entry.file_name().to_string_lossy().into_owned();
        weights.push(Weight { name, plain: content.len(), brotli });
    }
    weights.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(weights)
}

/// Prints the table of weights.
pub fn report(dist: &Path) -> Outcome {
    let weights = weigh(dist)?;
    println!("   {:>9} {:>9}", "bytes", "brotli");
    for file in &weights {
        println!("   {:>9} {:>9}  {}", file.plain, file.brotli, file.name);
    }
    let total = |of: fn(&Weight) -> usize| weights.iter().map(of).sum::<usize>();
    println!("   {:>9} {:>9}  first visit", total(|file| file.plain), total(|file| file.brotli));
    Ok(())
}

/// Holds the page against its size budget.
pub fn check(dist: &Path) -> Outcome {
    report(dist)?;
    let [wasm, visit] = sums(dist)?;
    if wasm == 0 {
        return Err(Failure::Check("there is no wasm in dist/".into()));
    }
    for (what, weight, limit) in [("the wasm", wasm, WASM_LIMIT), ("a first visit", visit, VISIT_LIMIT)] {
        if weight > limit {
            return Err(Failure::Check(format!(
                "{what} weighs {weight} bytes with brotli; the budget is {limit}"
            )));
        }
    }
    Ok(())
}

/// What the wasm and what all files weigh as they travel, in bytes.
pub fn sums(dist: &Path) -> Outcome<[usize; 2]> {
    let weights = weigh(dist)?;
    let wasm = weights.iter().filter(|file| file.name.ends_with(".wasm")).map(|file| file.brotli).sum();
    Ok([wasm, weights.iter().map(|file| file.brotli).sum()])
}

/// The content with brotli at quality 11, window of 22 bits; kept in the target folder, because the
/// wasm takes seconds.
pub fn compressed(content: &[u8]) -> Outcome<Vec<u8>> {
    let mut hasher = DefaultHasher::new();
    content.hash(&mut hasher);
    let folder = house::target().join("brotli");
    let kept: PathBuf = folder.join(format!("{:016x}-{}", hasher.finish(), content.len()));
    if let Ok(bytes) = fs::read(&kept) {
        return Ok(bytes);
    }
    let mut bytes = Vec::new();
    let mut writer = brotli::CompressorWriter::new(&mut bytes, 4096, 11, 22);
    at(&kept, writer.write_all(content).and_then(|()| writer.flush()))?;
    drop(writer);
    at(&folder, fs::create_dir_all(&folder))?;
    // Written aside and renamed, so that a build that is stopped leaves no half file.
    let aside = kept.with_extension(std::process::id().to_string());
    at(&aside, fs::write(&aside, &bytes))?;
    at(&kept, fs::rename(&aside, &kept))?;
    Ok(bytes)
}
