//! A phone: parts come from a sheet, a finger does what the mouse does.

use halfrow_e2e::board::hole;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

fn take(page: &mut Page, kind: &str) -> Result {
    page.click(".head .narrow")?;
    page.wait_for("document.querySelector('.sheet .drawer')")?;
    page.evaluate(&format!(
        "void [...document.querySelectorAll('.sheet button.kind')].find((b) => b.innerText.startsWith('{kind}')).click()"
    ))?;
    page.wait_for("!document.querySelector('.sheet')")
}

fn tap(page: &mut Page, name: &str) -> Result {
    let (x, y) = hole(name)?;
    page.tap_in("svg.board", x, y)
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_light_is_built_with_a_finger_on_a_small_screen() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.resize(360, 740)?;
    for (kind, holes) in [
        ("Battery pack", ["L+1", "L-1"]),
        ("Resistor", ["L+5", "b7"]),
        ("LED", ["e7", "f7"]),
        ("Jumper wire", ["h7", "L-5"]),
    ] {
        take(page, kind)?;
        tap(page, holes[0])?;
        tap(page, holes[1])?;
    }
    let said = page.text(".said")?;
    assert!(said.contains("D1 lit"), "{said}");
    // Nothing on the page is wider than the screen.
    assert_eq!(page.evaluate("document.documentElement.scrollWidth")?, 360);
    page.keys("Escape")?;
    let [.., now] = page.reading("D1")?;
    assert_eq!(now, "lit");
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}
