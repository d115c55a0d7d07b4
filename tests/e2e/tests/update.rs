//! A newer version of the page waits for the user's word.

use halfrow_e2e::server::Setup;
use halfrow_e2e::visit::{Visit, dist};
use halfrow_e2e::wire::Result;
use std::fs;
use std::path::Path;

/// A copy of the page that this test may change.
fn copy_of_the_page(folder: &Path) {
    for entry in fs::read_dir(dist()).expect("the built page: cargo xtask build").flatten() {
        fs::copy(entry.path(), folder.join(entry.file_name())).unwrap();
    }
}

/// Puts a newer version in place: another worker with another store.
fn publish_newer(folder: &Path) {
    let worker = folder.join("sw.js");
    let text = fs::read_to_string(&worker).unwrap();
    let newer = text.replace("const STORE = `${FAMILY}", "const STORE = `${FAMILY}newer-");
    assert_ne!(text, newer, "the worker names its store as this test thinks");
    fs::write(&worker, newer).unwrap();
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_newer_version_waits_until_it_is_told_to_take_over() -> Result {
    let folder = tempfile::tempdir().unwrap();
    copy_of_the_page(folder.path());
    let mut visit = Visit::of(folder.path(), Setup::default())?;
    visit.page.before_each_page("addEventListener('halfrow-update', () => { window.told = true; })")?;
    let address = visit.address("");
    visit.page.open(&address)?;
    visit.page.wait_until_live()?;
    visit.wait_until_kept()?;
    assert_eq!(visit.page.evaluate("window.told ?? false")?, false);

    publish_newer(folder.path());
    visit.page.reload()?;
    visit.page.wait_for("window.told")?;
    let stores = "caches.keys().then((names) => names.filter((name) => name.includes('newer-')).length)";
    assert_eq!(visit.page.evaluate(stores)?, 1, "the newer version is already here");
    assert_eq!(
        visit.page.evaluate("caches.keys().then((names) => names.length)")?,
        2,
        "and the older one too"
    );

    visit.page.evaluate("window.before = true; dispatchEvent(new Event('halfrow-take-over'))")?;
    visit.page.wait_for("window.before === undefined")?;
    visit.page.wait_until_live()?;
    assert_eq!(
        visit.page.evaluate("caches.keys().then((names) => names.length)")?,
        1,
        "the older one is gone"
    );
    assert_eq!(visit.page.evaluate(stores)?, 1);

    visit.cut_network();
    visit.page.reload()?;
    visit.page.wait_until_live()
}
