//! The page starts, keeps to itself and works without a network.

use halfrow_e2e::visit::{Visit, axe_script};
use halfrow_e2e::wire::Result;
use halfrow_server::{Policy, Setup};

const NONE: [String; 0] = [];

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_page_starts_without_errors_and_asks_no_other_host() -> Result {
    let mut visit = Visit::start()?;
    visit.wait_until_kept()?;
    assert_eq!(visit.page.errors()?, NONE);
    assert_eq!(visit.page.foreign_requests()?, NONE);
    assert!(visit.page.requests()?.iter().any(|url| url.ends_with(".wasm")), "the list of requests is real");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn after_one_visit_the_page_works_without_a_network() -> Result {
    let mut visit = Visit::start()?;
    visit.wait_until_kept()?;
    let address = visit.address("");
    visit.cut_network();
    visit.page.reload()?;
    visit.page.wait_until_live()?;
    visit.page.open(&format!("{address}?again"))?;
    visit.page.wait_until_live()
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_page_works_under_any_path_and_without_the_header() -> Result {
    let setup = Setup { under: "/harbour/halfrow/".into(), policy: Policy::Silent, ..Setup::default() };
    let mut visit = Visit::blank(setup)?;
    visit.page.open(&visit.address(""))?;
    visit.page.wait_until_live()?;
    assert_eq!(visit.page.errors()?, NONE);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn inline_scripts_and_calls_to_other_hosts_are_refused_by_the_page_itself() -> Result {
    let setup = Setup { policy: Policy::Silent, ..Setup::default() };
    let mut visit = Visit::blank(setup)?;
    visit.page.open(&visit.address(""))?;
    visit.page.wait_until_live()?;
    // Text becomes neither script nor markup, and an address no worker, but for the page's own.
    for attempt in [
        "const s = document.createElement('script'); s.textContent = 'window.inlined = 1'; document.body.append(s);",
        "const s = document.createElement('script'); s.append('window.inlined = 1'); document.body.append(s);",
        "document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"window.inlined = 1\">');",
        "new Worker(URL.createObjectURL(new Blob(['1'])));",
        // What gives a promise refuses by it.
        "await navigator.serviceWorker.register('sw.js');",
        "trustedTypes.createPolicy('halfrow', { createScriptURL: (it) => it });",
        "trustedTypes.createPolicy('other', { createScriptURL: (it) => it });",
    ] {
        let outcome = visit.page.evaluate(&format!(
            "(async () => {{ try {{ {attempt} }} catch {{ return 'refused' }} return 'silent' }})()"
        ))?;
        // A script that was put together in pieces is refused when it should run, without an exception.
        assert!(outcome == "refused" || attempt.contains("append('"), "{attempt}: {outcome}");
        assert_eq!(visit.page.evaluate("window.inlined ?? 0")?, 0, "{attempt}");
    }
    visit.wait_until_kept()?;
    // Nobody listens there either; that it was the policy that refused is told by its message below.
    let refused =
        visit.page.evaluate("fetch('http://127.0.0.1:9/').then(() => 'let through', () => 'refused')")?;
    assert_eq!(refused, "refused");
    let told = visit.page.errors()?;
    assert!(told.iter().any(|error| error.contains("Content Security Policy")), "{told:?}");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn where_wasm_is_forbidden_a_still_page_says_so() -> Result {
    let mut visit = Visit::blank(Setup::default())?;
    visit.page.before_each_page("delete globalThis.WebAssembly")?;
    visit.page.open(&visit.address(""))?;
    visit.page.wait_for("!document.getElementById('halt').hidden")?;
    assert!(visit.page.text("#halt")?.contains("WebAssembly"));
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_page_starts_in_a_sandbox_where_storage_is_forbidden() -> Result {
    let mut visit = Visit::blank(Setup { policy: Policy::Sandbox, ..Setup::default() })?;
    visit.page.open(&visit.address(""))?;
    visit.page.wait_until_live()?;
    let origin = visit
        .page
        .evaluate("[self.origin, (() => { try { return !!localStorage } catch { return 'thrown' } })()]")?;
    assert_eq!((&origin[0], &origin[1]), (&"null".into(), &"thrown".into()), "the sandbox is real");
    assert_eq!(visit.page.errors()?, NONE);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn when_the_module_traps_the_page_says_that_it_stands_still() -> Result {
    let mut visit = Visit::start()?;
    visit.page.evaluate(
        "dispatchEvent(new ErrorEvent('error', { error: new WebAssembly.RuntimeError('unreachable') }))",
    )?;
    visit.page.wait_for("!document.getElementById('halt').hidden")?;
    assert!(visit.page.text("#halt")?.contains("stopped"));
    Ok(())
}

#[test]
#[ignore = "needs the built page, Chromium and axe-core: cargo xtask test --only axe"]
fn axe_finds_nothing() -> Result {
    let mut visit = Visit::start()?;
    let violations = visit.page.axe(&axe_script())?;
    assert!(violations.is_empty(), "{violations:#?}");
    Ok(())
}
