//! Windows of all sizes: nothing is cut, and what a small one has no room for is still within reach.

use halfrow_core::sample::blinker;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

/// A school laptop, the same scaled up, a phone on its side, a phone.
const SIZES: [(u32, u32); 4] = [(1366, 768), (1024, 500), (640, 400), (360, 740)];

/// Buttons that stick out of what holds them, or whose words do not fit in.
const CUT: &str = "[...document.querySelectorAll('.tabs button, .strip button, .clock button, .zoom button')].filter((button) => { \
    const holder = button.closest('.tabs, .strip, .clock, .zoom').getBoundingClientRect(), own = button.getBoundingClientRect(); \
    return own.left < holder.left - 1 || own.right > holder.right + 1 || own.right > innerWidth || button.scrollWidth > button.clientWidth \
        || own.height > 46; }).map((button) => button.innerText)";

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn no_button_is_cut_at_any_size() -> Result {
    let mut visit = Visit::at(&halfrow_file::link::encode(&blinker(1.0)))?;
    let page = &mut visit.page;
    for (width, height) in SIZES {
        page.resize(width, height)?;
        page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")?;
        assert_eq!(page.evaluate(CUT)?, serde_json::json!([]), "{width}x{height}");
        // With the chip chosen, whose eight legs fold out.
        page.keys("Escape Control+k")?;
        page.wait_for("document.activeElement.role === 'combobox'")?;
        page.type_text("U1")?;
        page.keys("Enter")?;
        page.wait_for("document.querySelector('.strip summary')?.innerText === '8 legs'")?;
        assert_eq!(page.evaluate(CUT)?, serde_json::json!([]), "{width}x{height}, chip");
        page.evaluate("document.querySelector('.strip summary').focus()")?;
        page.keys("Enter")?;
        page.wait_for("document.querySelector('.strip details').open")?;
        let fields =
            "[...document.querySelectorAll('.legs .field')].map((field) => field.getBoundingClientRect())";
        // In rows of columns: no two lie on each other, none beyond the strip.
        let apart = page.evaluate(&format!(
            "(all => all.every((a, i) => a.right <= document.querySelector('.strip').getBoundingClientRect().right && \
             all.every((b, j) => i === j || a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top)))({fields})"
        ))?;
        assert_eq!(apart, true, "{width}x{height}, legs");
        page.keys("Escape Escape")?;
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_phone_finds_actions_and_parts_by_its_sheet() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.resize(360, 740)?;
    page.evaluate(
        "[...document.querySelectorAll('.head button')].find((b) => b.innerText === 'More').click()",
    )?;
    page.wait_for("document.activeElement.id === 'sheet-title'")?;
    page.evaluate(
        "[...document.querySelectorAll('.sheet button')].find((b) => b.innerText.startsWith('Find')).click()",
    )?;
    page.wait_for("document.activeElement.role === 'combobox'")?;
    page.type_text("potentio")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('.foot').innerText.toLowerCase().includes('pin 1')")?;
    // The drawer finds a chip by what it does.
    page.keys("Escape")?;
    page.evaluate(
        "[...document.querySelectorAll('.head button')].find((b) => b.innerText === 'Parts').click()",
    )?;
    page.wait_for("document.activeElement.id === 'sheet-title'")?;
    page.evaluate("document.querySelector('.sheet .drawer input').focus()")?;
    page.type_text("nand")?;
    // The list gets shorter letter by letter; the field keeps the focus.
    assert_eq!(page.evaluate("document.activeElement.value")?, "nand");
    page.wait_for("document.querySelectorAll('.sheet .kind').length < 4")?;
    assert!(page.text(".sheet .kind")?.contains("74HC00"));
    Ok(())
}
