//! What is kept on the device: nothing that was built is lost by a reload or by opening something else.

use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

fn wait_until_saved(page: &mut Page) -> Result {
    page.wait_for("document.querySelector('.kept-state')?.innerText === 'saved on this device'")
}

fn reload(page: &mut Page) -> Result {
    page.reload()?;
    page.wait_until_live()
}

fn title_is(page: &mut Page, title: &str) -> Result {
    page.wait_for(&format!("document.querySelector('input.title').value === '{title}'"))
}

/// The titles of the snapshots, newest first.
fn snapshots(page: &mut Page) -> Result<Vec<String>> {
    page.evaluate(
        "void [...document.querySelectorAll('.head button')].find((b) => b.innerText === 'More').click()",
    )?;
    page.wait_for("document.querySelector('.sheet')")?;
    page.wait_for("document.querySelector('.kept button')")?;
    let titles = page
        .evaluate("[...document.querySelectorAll('.kept button')].map((b) => b.innerText.split(',')[0])")?;
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('.sheet')")?;
    let titles = titles.as_array().into_iter().flatten().filter_map(|it| it.as_str());
    Ok(titles.map(str::to_owned).collect())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_was_changed_on_a_bench_from_the_address_is_there_after_a_reload() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let page = &mut visit.page;
    page.put_part("Jumper wire", &["a27", "j27"])?;
    wait_until_saved(page)?;
    reload(page)?;
    title_is(page, "Harbour mouth")?;
    assert!(page.wiring()?.contains("1=a27 2=j27"));
    assert_eq!(page.evaluate("location.search")?, "");
    // What comes back is no change: there is nothing to undo.
    assert_eq!(page.evaluate("document.querySelector('[title^=\"Undo\"]').disabled")?, true);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_former_bench_is_among_the_snapshots_and_no_two_are_the_same() -> Result {
    let mut visit = Visit::start()?;
    page_with_title(&mut visit.page, "Six parts")?;
    for hole in [3, 6, 9] {
        visit.page.put_part("Resistor", &[&format!("a{hole}"), &format!("d{hole}")])?;
    }
    wait_until_saved(&mut visit.page)?;
    for _ in 0..3 {
        reload(&mut visit.page)?;
        title_is(&mut visit.page, "Six parts")?;
    }
    // Opened over it by the address, and changed there.
    let address = visit.address("?example=lighthouse");
    let page = &mut visit.page;
    page.open(&address)?;
    page.wait_until_live()?;
    page.put_part("Jumper wire", &["a27", "j27"])?;
    wait_until_saved(page)?;
    let kept = snapshots(page)?;
    let count = kept.iter().filter(|it| *it == "Six parts").count();
    assert_eq!(count, 1, "however often it was loaded: {kept:?}");
    // Damaged, the address leaves the kept one open and says so.
    let address = visit.address("#1.AAAABBBB");
    let page = &mut visit.page;
    page.open(&address)?;
    page.wait_for("document.querySelector('.said').innerText.includes('could not be opened')")?;
    reload(page)?;
    title_is(page, "Lighthouse")?;
    let said = page.text(".said")?;
    assert!(said.contains("could not be opened"), "{said}");
    Ok(())
}

fn page_with_title(page: &mut Page, title: &str) -> Result {
    page.fill("input.title", title)
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_title_alone_comes_back() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page_with_title(page, "Class 7b plan")?;
    wait_until_saved(page)?;
    reload(page)?;
    title_is(page, "Class 7b plan")
}
