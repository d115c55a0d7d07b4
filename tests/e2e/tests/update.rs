//! A newer version of the page waits for the user's word, unless it is the one on the screen.

use halfrow_e2e::visit::{Visit, dist};
use halfrow_e2e::wire::Result;
use halfrow_server::Setup;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};

/// The page in a folder that this test may change, open and kept for use without a network.
fn kept() -> Result<(tempfile::TempDir, Visit)> {
    let folder = tempfile::tempdir().expect("a folder");
    for entry in fs::read_dir(dist()).expect("the built page: cargo xtask build").flatten() {
        fs::copy(entry.path(), folder.path().join(entry.file_name())).expect("a copy");
    }
    let mut visit = Visit::of(folder.path(), Setup::default())?;
    visit.page.before_each_page("addEventListener('halfrow-update', () => { window.told = true; })")?;
    visit.page.open(&visit.address(""))?;
    visit.page.wait_until_live()?;
    visit.wait_until_kept()?;
    Ok((folder, visit))
}

/// Puts a newer version in place: a start script of another content and name, and a worker that
/// keeps it in a store of its own. The old script goes, as it does on a host. Gives the new script.
fn publish_newer(folder: &Path) -> PathBuf {
    let find = |start: &str| {
        let names = fs::read_dir(folder).expect("the folder").flatten();
        let mut names = names.map(|entry| entry.file_name().to_string_lossy().into_owned());
        names.find(|name| name.starts_with(start)).expect("the file")
    };
    let old = find("boot-");
    let boot = fs::read_to_string(folder.join(&old)).expect("the start script") + "\nwindow.newer = true;\n";
    let hash: String = Sha256::digest(&boot).iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    let new = format!("boot-{hash}.js");
    fs::write(folder.join(&new), boot).expect("a file");
    fs::remove_file(folder.join(&old)).expect("the old file");
    for name in ["index.html", "sw.js"] {
        let text = fs::read_to_string(folder.join(name)).expect("the file");
        let changed = text
            .replace(&old, &new)
            .replace(&old["boot-".len()..][..16], &hash)
            .replace("const STORE = `${FAMILY}", "const STORE = `${FAMILY}newer-");
        assert_ne!(text, changed, "{name} names what this test thinks");
        fs::write(folder.join(name), changed).expect("a file");
    }
    folder.join(new)
}

/// How many stores there are, and how many of them are of the newer version.
fn stores(visit: &mut Visit) -> Result<(u64, u64)> {
    let counts = visit.page.evaluate(
        "caches.keys().then((names) => [names.length, names.filter((name) => name.includes('newer-')).length])",
    )?;
    Ok((counts[0].as_u64().unwrap_or(99), counts[1].as_u64().unwrap_or(99)))
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_newer_version_waits_until_it_is_told_to_take_over() -> Result {
    let (folder, mut visit) = kept()?;
    assert_eq!(visit.page.evaluate("window.told ?? false")?, false);

    publish_newer(folder.path());
    // The browser looks for a newer worker by itself now and then, while the page stays open.
    visit.page.evaluate("navigator.serviceWorker.ready.then((it) => it.update()).then(() => 0)")?;
    visit.page.wait_for("window.told")?;
    assert_eq!(stores(&mut visit)?, (2, 1), "both versions are here");
    assert_eq!(visit.page.evaluate("window.newer ?? false")?, false, "and the page is left as it was");

    visit.page.evaluate("window.before = true; dispatchEvent(new Event('halfrow-take-over'))")?;
    visit.page.wait_for("window.before === undefined")?;
    visit.page.wait_until_live()?;
    assert_eq!(visit.page.evaluate("window.newer")?, true);
    assert_eq!(stores(&mut visit)?, (1, 1), "the older one is gone");

    visit.cut_network();
    visit.page.reload()?;
    visit.page.wait_until_live()?;
    assert_eq!(visit.page.evaluate("window.newer")?, true);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_newer_version_that_is_on_the_screen_already_asks_nobody() -> Result {
    let (folder, mut visit) = kept()?;
    publish_newer(folder.path());
    visit.page.reload()?;
    visit.page.wait_until_live()?;
    assert_eq!(visit.page.evaluate("window.newer")?, true, "the page comes from the network first");
    visit
        .page
        .wait_for("caches.keys().then((names) => names.length === 1 && names[0].includes('newer-'))")?;
    assert_eq!(visit.page.evaluate("[window.told ?? false, window.newer]")?.to_string(), "[false,true]");

    visit.cut_network();
    visit.page.reload()?;
    visit.page.wait_until_live()?;
    assert_eq!(visit.page.evaluate("window.newer")?, true);
    Ok(())
}

/// What many hosts answer where a file is missing: a page, and that all is well.
const NOT_THERE: &str = "<!doctype html><title>Nothing here</title><p>Nothing here.</p>";

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_release_that_is_half_uploaded_is_kept_only_when_it_is_whole() -> Result {
    let (folder, mut visit) = kept()?;
    let script = publish_newer(folder.path());
    let whole = fs::read(&script).expect("the script");
    fs::write(&script, NOT_THERE).expect("a file");
    let looked = visit.page.evaluate(
        "navigator.serviceWorker.ready.then((it) => new Promise((done) => {
            it.addEventListener('updatefound', () => {
                const coming = it.installing;
                coming.addEventListener('statechange', () => done(coming.state));
            });
            it.update();
        }))",
    )?;
    assert_eq!(looked, "redundant", "a worker that cannot have its files does not come");
    assert_eq!(stores(&mut visit)?, (1, 0), "and keeps nothing");

    // The page from the network cannot begin: it says so, and blames nobody.
    visit.page.reload()?;
    visit.page.wait_for("!document.getElementById('halt').hidden")?;
    let says = visit.page.text("#halt")?;
    assert!(says.contains("didn’t arrive") && !says.contains("WebAssembly"), "{says}");
    fs::write(&script, &whole).expect("a file");
    visit.page.click("#halt-again")?;
    visit.page.wait_for("window.newer")?;
    visit.page.wait_until_live()?;
    visit
        .page
        .wait_for("caches.keys().then((names) => names.length === 1 && names[0].includes('newer-'))")?;
    visit.cut_network();
    visit.page.reload()?;
    visit.page.wait_until_live()?;
    assert_eq!(visit.page.evaluate("window.newer")?, true);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_module_that_did_not_arrive_is_asked_for_again_and_webassembly_is_not_blamed() -> Result {
    for start in ["halfrow-", "boot-"] {
        for ending in [".wasm", ".js"] {
            let folder = tempfile::tempdir().expect("a folder");
            for entry in fs::read_dir(dist()).expect("the built page: cargo xtask build").flatten() {
                fs::copy(entry.path(), folder.path().join(entry.file_name())).expect("a copy");
            }
            let names = fs::read_dir(folder.path()).expect("the folder").flatten().map(|it| it.path());
            let fits = |path: &PathBuf| {
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                name.starts_with(start) && name.ends_with(ending)
            };
            let Some(file) = names.into_iter().find(fits) else { continue };
            let whole = fs::read(&file).expect("the file");
            fs::write(&file, NOT_THERE).expect("a file");
            let mut visit = Visit::of(folder.path(), Setup::default())?;
            let address = visit.address("");
            let page = &mut visit.page;
            page.open(&address)?;
            page.wait_for("!document.getElementById('halt').hidden")?;
            let says = page.text("#halt")?;
            assert!(
                says.contains("didn’t arrive") && !says.contains("WebAssembly"),
                "{start}{ending}: {says}"
            );
            fs::write(&file, &whole).expect("a file");
            page.click("#halt-again")?;
            page.wait_until_live()?;
        }
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn where_the_host_refuses_the_page_the_kept_one_opens() -> Result {
    let (folder, mut visit) = kept()?;
    fs::remove_file(folder.path().join("index.html")).expect("the page");
    visit.page.reload()?;
    visit.page.wait_until_live()
}
