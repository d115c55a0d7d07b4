//! A newer version of the page waits for the user's word, unless it is the one on the screen.

use halfrow_e2e::visit::{Visit, dist};
use halfrow_e2e::wire::Result;
use halfrow_server::Setup;
use std::fs;
use std::path::Path;

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
/// keeps it in a store of its own. The old script goes, as it does on a host.
fn publish_newer(folder: &Path) {
    let find = |start: &str| {
        let names = fs::read_dir(folder).expect("the folder").flatten();
        let mut names = names.map(|entry| entry.file_name().to_string_lossy().into_owned());
        names.find(|name| name.starts_with(start)).expect("the file")
    };
    let (old, new) = (find("boot-"), "boot-00000000000newer.js");
    let boot = fs::read_to_string(folder.join(&old)).expect("the start script");
    fs::write(folder.join(new), format!("{boot}\nwindow.newer = true;\n")).expect("a file");
    fs::remove_file(folder.join(&old)).expect("the old file");
    for name in ["index.html", "sw.js"] {
        let text = fs::read_to_string(folder.join(name)).expect("the file");
        let changed =
            text.replace(&old, new).replace("const STORE = `${FAMILY}", "const STORE = `${FAMILY}newer-");
        assert_ne!(text, changed, "{name} names what this test thinks");
        fs::write(folder.join(name), changed).expect("a file");
    }
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
