//! Where the focus goes, and what a screen reader is told: for those who use the keys alone.

use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

fn focused(page: &mut Page) -> Result<String> {
    // The page gives the focus a moment after the key.
    page.pictures(2)?;
    let name = page.evaluate(
        "(it => it === document.body ? 'BODY' : it.closest('.grid') ? 'board' : it.id || it.innerText || it.ariaLabel)\
         (document.activeElement)",
    )?;
    Ok(name.as_str().unwrap_or_default().to_owned())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_focus_is_never_lost() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let page = &mut visit.page;
    // What had it is taken away with the part that it spoke of.
    page.click_hole("c12")?;
    page.keys("k Escape")?;
    page.evaluate("document.querySelector('.readings button, #tab-Readings').focus()")?;
    page.open_tab("Readings")?;
    page.evaluate("document.querySelector('.readings tbody button').click()")?;
    page.wait_for("document.querySelector('.strip')")?;
    page.evaluate(
        "[...document.querySelectorAll('.strip button')].find((b) => b.innerText === 'Remove').focus()",
    )?;
    page.keys("Enter")?;
    page.wait_for("!document.querySelector('.strip')")?;
    assert_eq!(focused(page)?, "board");
    // Undo that has nothing more to undo.
    page.evaluate("document.querySelector('[title^=\"Undo\"]').focus()")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('[title^=\"Undo\"]').disabled")?;
    assert_eq!(focused(page)?, "board");
    // A part taken from the list goes to the board.
    page.evaluate("document.querySelector('.drawer [type=search]').focus()")?;
    page.type_text("potentio")?;
    page.keys("Enter")?;
    assert_eq!(focused(page)?, "board");
    assert!(page.text(".said")?.contains("Potentiometer in hand"));
    page.keys("Escape")?;
    // The search leads to the page of the panel that it opens.
    page.keys("Control+k")?;
    page.wait_for("document.activeElement.matches('.find')")?;
    page.type_text("chart")?;
    page.keys("Enter")?;
    page.wait_for("document.activeElement.id === 'tab-Chart'")?;
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn lists_are_one_stop_of_the_tab_key_and_arrows_go_on_inside() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.keys("Tab")?;
    assert_eq!(focused(page)?, "To the board");
    page.keys("Enter")?;
    assert_eq!(focused(page)?, "board");
    assert_eq!(page.evaluate("location.hash")?, "", "the address is left alone");
    // Back over the list of parts: one stop, then the search.
    page.keys("Shift+Tab")?;
    assert!(page.evaluate("document.activeElement.matches('.kind')")? == true);
    page.keys("Shift+Tab")?;
    assert_eq!(page.evaluate("document.activeElement.type")?, "search");
    page.keys("Tab ArrowDown ArrowDown ArrowUp End Home ArrowDown")?;
    let second = page.text(".drawer .kind:nth-of-type(2) span")?;
    assert_eq!(page.evaluate("document.activeElement.querySelector('span').innerText")?, second);
    page.keys("Enter")?;
    assert_eq!(focused(page)?, "board");
    // The tabs of the panel.
    page.evaluate("document.querySelector('#tab-Findings').focus()")?;
    page.keys("ArrowRight")?;
    page.wait_for("document.querySelector('#tab-Meter').ariaSelected === 'true'")?;
    assert_eq!(focused(page)?, "tab-Meter");
    page.keys("ArrowLeft ArrowLeft")?;
    page.wait_for("document.querySelector('#tab-Chart').ariaSelected === 'true'")?;
    assert_eq!(page.count("[role=tab][tabindex=\"0\"]")?, 1);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_live_region_stays_and_a_field_keeps_what_it_refuses() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let page = &mut visit.page;
    page.evaluate("void (window.region = document.querySelector('.said'))")?;
    page.click_hole("c12")?;
    for _ in 0..3 {
        page.keys("ArrowDown l Escape")?;
    }
    assert_eq!(
        page.evaluate("region.isConnected && region === document.querySelector('[role=status].said')")?,
        true
    );
    // A value that can't be: it stays in the field, with the reason beside it.
    page.open_tab("Readings")?;
    page.evaluate("[...document.querySelectorAll('.readings tbody button')].find((b) => b.innerText.startsWith('R1')).click()")?;
    page.wait_for("document.querySelector('#value-R1-0')")?;
    page.on_cell("#value-R1-0", "abc", "Enter")?;
    page.wait_for("document.querySelector('#value-R1-0').ariaInvalid === 'true'")?;
    assert_eq!(page.evaluate("document.querySelector('#value-R1-0').value")?, "abc");
    assert!(page.text("#value-R1-0-why")?.contains("isn’t a number"));
    page.on_cell("#value-R1-0", "4k7", "Enter")?;
    page.wait_for("!document.querySelector('#value-R1-0-why')")?;
    assert_eq!(page.evaluate("document.querySelector('#value-R1-0').value")?, "4.7k");
    // A refused cell of the wiring list keeps the focus, and a new part is gone on with.
    page.open_tab("Wiring")?;
    page.on_cell("#cell-1-2", "zz9", "Enter")?;
    page.wait_for("document.querySelector('#cell-1-2').ariaInvalid === 'true'")?;
    assert_eq!(focused(page)?, "cell-1-2");
    page.keys("Escape")?;
    let last = page.evaluate("[...document.querySelectorAll('.cells input')].pop().id")?;
    page.on_cell(&format!("#{}", last.as_str().unwrap_or_default()), "LED", "Enter")?;
    page.wait_for("document.activeElement.classList.contains('pin')")?;
    page.type_text("E27")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('#wiring-text').value.includes('A=e27')")?;
    Ok(())
}
