//! `cargo xtask build`: the optimised page in `dist/`, ready for any static host.
//!
//! compile to wasm -> bindgen -> names with hashes -> page, worker -> checks.
//!
//! Names: what never changes under its name (`halfrow-<hash>.wasm`) may be cached for ever; the
//! page, the worker and the icon keep plain names. Every address is relative, so that the folder
//! works under any path.

use crate::failure::{Failure, Outcome, at};
use crate::squeeze;
use crate::tools::{heading, run, say};
use crate::wasm::{Route, cargo_home};
use crate::{house, licences, skeleton};
use halfrow_server::CONTENT_SECURITY_POLICY;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use wasm_bindgen_cli_support::Bindgen;

/// Files of `static/` that are filled in; all others are copied as they are.
const TEMPLATES: [&str; 5] = ["index.html", "boot.js", "still-page.js", "sw.js", "style.css"];

/// Which page is wanted in `dist/`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// The one for others.
    Optimised,
    /// Not optimised, within seconds: for whoever tries things out.
    Quick,
    /// The one that is there already.
    Kept,
}

/// Builds the page into `dist/` and reports its sizes.
pub fn build(wanted: Wanted) -> Outcome {
    let dist = house::dist();
    match wanted {
        Wanted::Kept => {}
        Wanted::Quick => {
            heading("build: quick, not optimised");
            build_into(&dist, "quick", &[])?;
            say("the page is in dist/, larger and slower than the one for others");
        }
        Wanted::Optimised => {
            heading("build");
            build_into(&dist, "release", &[])?;
            squeeze::report(&dist)?;
            say("the page is in dist/");
        }
    }
    Ok(())
}

/// Builds the page with its measuring functions, which no reader needs, into another folder.
pub fn build_measured() -> Outcome<PathBuf> {
    heading("build: with measuring functions");
    let folder = house::target().join("measured");
    build_into(&folder, "release", &["--features", "measure"])?;
    Ok(folder)
}

fn build_into(folder: &Path, profile: &str, features: &[&str]) -> Outcome {
    check_bindgen_version()?;
    let compiled = compile(profile, features)?;
    // Where time goes is told by the names of functions.
    Assembly::new(&compiled, !features.is_empty())?.write(folder)?;
    no_machine_paths(folder)
}

/// Sizes again for a page that is already built.
pub fn built() -> bool {
    house::dist().join("index.html").exists()
}

fn compile(profile: &str, features: &[&str]) -> Outcome<PathBuf> {
    let route = Route::choose()?;
    if profile == "release" {
        say("compiling the page, optimised: three to five minutes the first time, one after a change");
    }
    let words = ["--profile", profile, "--package", "halfrow-web", "--lib"];
    run(route.cargo("build")?.args(words).args(features))?;
    Ok(route.output().join(profile).join("halfrow_web.wasm"))
}

/// The version of wasm-bindgen in the lock file must be that of the bindgen library in here.
fn check_bindgen_version() -> Outcome {
    let lock_file = house::root().join("Cargo.lock");
    let lock = at(&lock_file, fs::read_to_string(&lock_file))?;
    let version_of = |package: &str| {
        let (_, rest) = lock.split_once(&format!("name = \"{package}\"\nversion = \""))?;
        rest.split('"').next().map(str::to_owned)
    };
    let (page, bindgen) = (version_of("wasm-bindgen"), version_of("wasm-bindgen-cli-support"));
    if page == bindgen {
        return Ok(());
    }
    Err(Failure::Check(format!(
        "Cargo.lock has wasm-bindgen {} but wasm-bindgen-cli-support {}: set the latter to the former in \
         crates/xtask/Cargo.toml and crates/wasmtest-runner/Cargo.toml",
        page.unwrap_or_default(),
        bindgen.unwrap_or_default(),
    )))
}

/// All files of the page by name.
struct Assembly {
    files: BTreeMap<String, Vec<u8>>,
}

impl Assembly {
    fn new(compiled: &Path, named: bool) -> Outcome<Self> {
        let source = house::root().join("static");
        let template = |name: &str| {
            let path = source.join(name);
            at(&path, fs::read_to_string(&path))
        };
        let mut page = Self { files: BTreeMap::new() };
        let (module, wasm) = page.add_module(compiled, named)?;
        let style = page.add_hashed("style", "css", template("style.css")?.into_bytes());
        let still = page.add_hashed("still-page", "js", template("still-page.js")?.into_bytes());
        let examples = page.add_hashed("examples", "txt", examples()?.into_bytes());
        let boot_text = fill(
            &template("boot.js")?,
            &[("module", &module), ("wasm", &wasm), ("examples", &examples)],
            "boot.js",
        )?;
        let boot = page.add_hashed("boot", "js", boot_text.into_bytes());
        let index = fill(
            &template("index.html")?.replace("<!--board-->", &skeleton::board_svg()),
            &[
                ("csp", CONTENT_SECURITY_POLICY),
                ("style", &style),
                ("module", &module),
                ("wasm", &wasm),
                ("boot", &boot),
                ("still", &still),
            ],
            "index.html",
        )?;
        page.files.insert("index.html".into(), index.into_bytes());
        page.add_plain_files(&source)?;
        page.add_worker(&template("sw.js")?, &boot)?;
        // For whoever asks; a visit does without it.
        page.files.insert(squeeze::LICENCES.into(), licences::notices()?.into_bytes());
        Ok(page)
    }

    /// The module and its loader; returns their names.
    fn add_module(&mut self, compiled: &Path, named: bool) -> Outcome<(String, String)> {
        let failed = |error: &dyn std::fmt::Display| Failure::Bindgen(format!("{error:#}"));
        let mut bindgen = Bindgen::new();
        // Names and producers left in would more than double the file.
        bindgen
            .input_path(compiled)
            .web(true)
            .map_err(|error| failed(&error))?
            .typescript(false)
            .omit_default_module_path(true)
            .remove_name_section(!named)
            .remove_producers_section(true);
        let scratch = house::target().join("bindgen");
        let _ = fs::remove_dir_all(&scratch);
        bindgen.generate(&scratch).map_err(|error| failed(&error))?;
        let read = |name: &str| {
            let path = scratch.join(name);
            at(&path, fs::read(&path))
        };
        if scratch.join("snippets").exists() {
            return Err(Failure::Check(
                "a crate brought JavaScript snippets along: the build has no place for them yet".into(),
            ));
        }
        let wasm = self.add_hashed("halfrow", "wasm", read("halfrow_web_bg.wasm")?);
        let module = self.add_hashed("halfrow", "js", read("halfrow_web.js")?);
        Ok((module, wasm))
    }

    fn add_hashed(&mut self, stem: &str, extension: &str, content: Vec<u8>) -> String {
        let name = format!("{stem}-{}.{extension}", short_hash(&content));
        self.files.insert(name.clone(), content);
        name
    }

    fn add_plain_files(&mut self, source: &Path) -> Outcome {
        for entry in at(source, fs::read_dir(source))?.flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            let path = entry.path();
            if path.is_file() && !name.starts_with('.') && !TEMPLATES.contains(&name.as_str()) {
                self.files.insert(name, at(&path, fs::read(&path))?);
            }
        }
        Ok(())
    }

    /// The service worker, told what to keep, under which name, and how to know it.
    fn add_worker(&mut self, template: &str, boot: &str) -> Outcome {
        let visited = self.files.iter().filter(|(name, _)| !squeeze::NOT_VISITED.contains(&name.as_str()));
        let hashes = visited.map(|(name, content)| (name.clone(), short_hash(content).into()));
        let assets = serde_json::Value::Object(hashes.collect());
        let mut all = Sha256::new();
        all.update(template);
        for (name, content) in &self.files {
            all.update(name);
            all.update(content);
        }
        let version = hex(&all.finalize());
        let worker = fill(
            template,
            &[("assets", &assets.to_string()), ("boot", boot), ("version", &version)],
            "sw.js",
        )?;
        self.files.insert("sw.js".into(), worker.into_bytes());
        Ok(())
    }

    /// Replaces the folder's content. What the page needs is written before what names it, so that
    /// a browser that loads meanwhile finds everything.
    fn write(&self, dist: &Path) -> Outcome {
        at(dist, fs::create_dir_all(dist))?;
        let last = |name: &str| matches!(name, "index.html" | "sw.js");
        let (late, early): (Vec<_>, Vec<_>) = self.files.iter().partition(|(name, _)| last(name));
        for (name, content) in early.into_iter().chain(late) {
            let path = dist.join(name);
            if fs::read(&path).ok().as_ref() != Some(content) {
                at(&path, fs::write(&path, content))?;
            }
        }
        for entry in at(dist, fs::read_dir(dist))?.flatten() {
            if !self.files.contains_key(entry.file_name().to_string_lossy().as_ref()) {
                at(&entry.path(), fs::remove_file(entry.path()))?;
            }
        }
        Ok(())
    }
}

/// The bench files of all examples as one: see `halfrow_file::examples::give`.
fn examples() -> Outcome<String> {
    let folder = house::root().join("crates/file/src/examples");
    let mut files: Vec<_> = at(&folder, fs::read_dir(&folder))?.flatten().map(|file| file.path()).collect();
    files.sort();
    let mut all = String::new();
    for file in files {
        let slug = file.file_stem().unwrap_or_default().to_string_lossy();
        all += &format!("\u{1e}{slug}\n{}", at(&file, fs::read_to_string(&file))?);
    }
    Ok(all)
}

/// Puts values in place of `{{name}}`; refuses a template that asks for more.
fn fill(template: &str, values: &[(&str, &str)], name: &str) -> Outcome<String> {
    let mut text = template.to_owned();
    for (key, value) in values {
        text = text.replace(&format!("{{{{{key}}}}}"), value);
    }
    match text.find("{{") {
        None => Ok(text),
        Some(place) => Err(Failure::Check(format!(
            "static/{name} asks for something that the build does not know: {}",
            text[place..].chars().take(30).collect::<String>()
        ))),
    }
}

/// Sixteen hexadecimal digits: two builds collide once in 2^32 versions, names stay readable.
fn short_hash(content: &[u8]) -> String {
    hex(&Sha256::digest(content))
}

fn hex(digest: &[u8]) -> String {
    digest.iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

/// No file of the page may tell where it was built.
fn no_machine_paths(dist: &Path) -> Outcome {
    let mut forbidden = vec![house::root(), cargo_home(), PathBuf::from("registry/src")];
    forbidden.extend(["HOME", "RUSTUP_HOME"].iter().filter_map(std::env::var_os).map(PathBuf::from));
    forbidden.extend(["/usr/src/", "/usr/lib/rustlib", "/home/"].map(PathBuf::from));
    // A home of `/` would be found in every file and mean nothing.
    forbidden.retain(|path| path.as_os_str().len() > 3);
    for entry in at(dist, fs::read_dir(dist))?.flatten() {
        let content = at(&entry.path(), fs::read(entry.path()))?;
        for path in &forbidden {
            let needle = path.as_os_str().as_encoded_bytes();
            if let Some(place) = content.windows(needle.len()).position(|window| window == needle) {
                let end = (place + 120).min(content.len());
                return Err(Failure::Check(format!(
                    "{} holds a path of this machine: {}",
                    entry.file_name().display(),
                    String::from_utf8_lossy(&content[place..end])
                )));
            }
        }
    }
    say("no path of this machine is in the page");
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_template_that_asks_for_too_much_is_refused() {
        assert_eq!(fill("a {{b}} c", &[("b", "x")], "t").unwrap(), "a x c");
        assert!(fill("a {{b}} {{d}}", &[("b", "x")], "t").is_err());
    }

    #[test]
    fn a_path_of_the_machine_in_the_page_is_found() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("page.wasm");
        fs::write(&file, b"\0asm halfrow/web/src/lib.rs").unwrap();
        no_machine_paths(folder.path()).unwrap();
        fs::write(&file, format!("\0asm {}/web/src/lib.rs", house::root().display())).unwrap();
        assert!(no_machine_paths(folder.path()).is_err());
    }
}
