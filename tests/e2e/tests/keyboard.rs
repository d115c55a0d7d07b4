//! The board without a mouse: the same light, built, found backwards, mended and taken apart by keys.

use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

/// Presses keys one by one; after each the focus must be in the cell of the cursor.
fn keys(page: &mut Page, names: &str) -> Result {
    for name in names.split_whitespace() {
        page.keys(name)?;
        let role = page.evaluate("document.activeElement.role")?;
        assert_eq!(role, "gridcell", "after {name} in {names}");
    }
    Ok(())
}

/// Tab by Tab to the board.
fn to_board(page: &mut Page) -> Result {
    for _ in 0..20 {
        page.keys("Tab")?;
        if page.evaluate("document.activeElement.role")? == "gridcell" {
            return Ok(());
        }
    }
    panic!("twenty Tabs do not lead to the board");
}

/// From a1: battery at L+1 and L-1, resistor from L+5 to b7, LED in e7 and f7, wire from h7 to L-5.
fn build_pier_light(page: &mut Page) -> Result {
    to_board(page)?;
    assert_eq!(page.hole_in_focus()?, "a1");
    keys(page, "b Home Enter ArrowRight Enter")?;
    keys(page, "r Home ArrowDown ArrowDown ArrowDown ArrowDown")?;
    assert_eq!(page.hole_in_focus()?, "L+5");
    keys(page, "Enter")?;
    page.walk_to("b7")?;
    keys(page, "Enter l ArrowRight ArrowRight ArrowRight Enter ArrowRight Enter")?;
    assert_eq!(page.hole_in_focus()?, "f7");
    keys(page, "w ArrowRight ArrowRight Enter")?;
    page.walk_to("L-5")?;
    keys(page, "Enter")
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_light_built_by_keys_is_lit_and_the_same_as_by_mouse() -> Result {
    let mut visit = Visit::start()?;
    build_pier_light(&mut visit.page)?;
    let by_keys = visit.page.wiring()?;
    let [.., now] = visit.page.reading("D1")?;
    assert_eq!(now, "lit");
    assert_eq!(visit.page.errors()?, [""; 0]);
    let mut visit = Visit::start()?;
    visit.page.build_pier_light()?;
    assert_eq!(visit.page.wiring()?, by_keys);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn turned_taken_away_and_let_go_by_keys() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    build_pier_light(page)?;
    let built = page.evaluate("document.querySelector('.said').innerText")?;
    assert!(built.as_str().is_some_and(|said| said.contains("lit")), "{built}");

    // To the LED and turned: backwards, and the first finding says so.
    keys(page, "Escape Escape")?;
    page.walk_to("e7")?;
    keys(page, "t")?;
    let finding = page.text(".finding")?.to_lowercase();
    assert!(finding.contains("backwards"), "{finding}");
    let label = page.evaluate("document.activeElement.ariaLabel")?;
    assert!(label.as_str().is_some_and(|label| label.contains("short leg")), "{label}");
    keys(page, "t")?;
    assert_eq!(page.count(".finding.fault")?, 0);

    // Taken in hand and put back; taken away and got back.
    keys(page, "Enter")?;
    assert!(page.text(".said")?.contains("out"));
    keys(page, "Escape")?;
    assert_eq!(page.text(".said")?, "Put back.");
    keys(page, "Backspace")?;
    assert!(page.text(".said")?.contains("D1 removed"));
    keys(page, "Control+z")?;
    assert!(page.evaluate("document.activeElement.ariaLabel")?.as_str().is_some_and(|it| it.contains("D1")));

    // A sheet opened over the board gives the focus back when it closes.
    page.keys("?")?;
    page.wait_for("document.activeElement.id === 'sheet-title'")?;
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('.sheet')")?;
    page.wait_for("document.activeElement.role === 'gridcell'")?;

    // One Tab leaves the board.
    page.keys("Tab")?;
    assert_ne!(page.evaluate("document.activeElement.role")?, "gridcell");
    page.keys("Shift+Tab")?;
    assert_eq!(page.hole_in_focus()?, "e7", "and comes back to where it was");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn tab_goes_round_inside_a_sheet_and_tapping_the_board_gives_it_the_keys() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    // A click on the board is enough for the keys to work there.
    page.click_hole("c12")?;
    assert_eq!(page.hole_in_focus()?, "c12");
    keys(page, "l Enter ArrowDown Enter")?;
    assert!(page.text(".said")?.contains("D1 is in"));
    page.keys("?")?;
    page.wait_for("document.activeElement.id === 'sheet-title'")?;
    // What lies beneath is out of reach; before the first stop comes the last, behind that the first again.
    assert_eq!(page.evaluate("document.querySelector('.sheet').matches('dialog:modal')")?, true);
    page.evaluate("document.querySelector('.head .title').focus()")?;
    assert_eq!(page.evaluate("document.activeElement.id")?, "sheet-title");
    for (key, stop) in [("Shift+Tab", "sheet-body"), ("Tab", "Close"), ("Shift+Tab", "sheet-body")] {
        page.keys(key)?;
        let here = "(document.activeElement.className || document.activeElement.innerText)";
        assert_eq!(page.evaluate(here)?, stop, "{key}");
    }
    for (key, times) in [("Tab", 8), ("Shift+Tab", 8)] {
        for _ in 0..times {
            page.keys(key)?;
            assert_eq!(page.evaluate("!!document.activeElement.closest('.sheet')")?, true, "{key}");
        }
    }
    // Opened again by its button in the head, the focus goes back there.
    page.keys("Escape")?;
    page.wait_for("document.activeElement.role === 'gridcell'")?;
    page.evaluate(
        "[...document.querySelectorAll('.head button')].find((b) => b.innerText === 'Share').focus()",
    )?;
    page.keys("Enter")?;
    page.wait_for("document.activeElement.id === 'sheet-title'")?;
    page.keys("Escape")?;
    page.wait_for("document.activeElement.innerText === 'Share'")?;
    // Hovering while the keys are used takes no focus away, whichever row the pointer comes to.
    page.click_hole("c12")?;
    let (x, y) = page.point_in("svg.board", 20.0, 400.0)?;
    page.hover(x, y)?;
    keys(page, "ArrowDown")?;
    assert_eq!(page.hole_in_focus()?, "b21");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_view_follows_the_cursor_of_the_keys() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    for _ in 0..6 {
        page.click(".zoom button:first-child")?;
    }
    page.evaluate("document.querySelector('.grid [tabindex=\"0\"]').focus()")?;
    for key in ["ArrowDown", "ArrowRight", "ArrowUp", "ArrowLeft"] {
        for _ in 0..20 {
            page.keys(key)?;
            let inside = page.evaluate(
                "new Promise((done) => requestAnimationFrame(() => setTimeout(() => { \
                 const [cursor, board] = ['.board .cursor', '.board'].map((it) => document.querySelector(it).getBoundingClientRect()); \
                 done(cursor.top >= board.top && cursor.bottom <= board.bottom && cursor.left >= board.left && cursor.right <= board.right); })))",
            )?;
            assert_eq!(inside, true, "{key}: {}", page.hole_in_focus()?);
        }
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_switch_is_added_to_what_is_chosen_and_not_worked() -> Result {
    let mut visit = Visit::at("?example=stair-light")?;
    let page = &mut visit.page;
    let before = page.wiring()?;
    page.click_hole("a1")?;
    page.walk_to("c12")?;
    keys(page, "Space")?;
    page.walk_to("b4")?;
    keys(page, "Shift+Space")?;
    assert_eq!(page.text(".strip b")?, "2 parts chosen");
    assert_eq!(page.wiring()?, before);
    Ok(())
}
