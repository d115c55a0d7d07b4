//! The page on paper: the whole board large enough to read, and what its marks mean.

use halfrow_e2e::board::BOARD;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;
use serde_json::json;

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn paper_shows_the_whole_board_without_a_cursor_and_explains_its_marks() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth-find-it")?;
    let page = &mut visit.page;
    page.click(".zoom button:first-child")?;
    page.hover(600.0, 400.0)?;
    page.wait_for("document.querySelector('.board .cursor')")?;
    page.wait_for("document.querySelector('.finding')")?;
    let findings = page.count(".finding")?;
    let marks = "[...document.querySelectorAll('.board text')].filter((it) => it.getAttribute('fill') === '#ffffff' && /^[0-9]+$/.test(it.textContent)).length";
    for (help, listed, marked) in [("the remedy", findings, findings), ("nothing", 0, 0)] {
        page.evaluate(&format!(
            "(field => {{ field.selectedIndex = [...field.options].findIndex((it) => it.text === {}); field.dispatchEvent(new Event('change', {{ bubbles: true }})); }})(document.querySelector('.say-how-much select'))",
            json!(help)
        ))?;
        page.evaluate("void dispatchEvent(new Event('beforeprint'))")?;
        page.wait_for("document.querySelector('.printed table')")?;
        assert_eq!(page.count(".board .cursor")?, 0);
        assert_eq!(page.count(".printed li")?, listed, "{help}");
        assert_eq!(page.evaluate(marks)?, json!(marked), "{help}");
        // All of it, whatever is in sight on the screen.
        let view = page.attribute(BOARD, "viewBox")?.unwrap_or_default();
        let width: f64 = view.split(' ').nth(2).and_then(|it| it.parse().ok()).unwrap_or(0.0);
        assert!(width > 600.0, "{view}");
        page.evaluate("void dispatchEvent(new Event('afterprint'))")?;
        page.wait_for("!document.querySelector('.printed')")?;
    }
    Ok(())
}
