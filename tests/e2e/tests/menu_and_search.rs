//! The menu on the board and the search for actions, by mouse, finger and keys.

use halfrow_e2e::board::hole;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

fn pier_light() -> Result<Visit> {
    let mut visit = Visit::start()?;
    visit.page.build_pier_light()?;
    visit.page.keys("Escape Escape")?;
    Ok(visit)
}

/// The names in the open menu.
fn items(page: &mut Page) -> Result<String> {
    page.wait_for("document.activeElement.role === 'menuitem'")?;
    let names = page.evaluate(
        "[...document.querySelectorAll('[role=menu] [role=menuitem] span')].map((it) => it.innerText).join(', ')",
    )?;
    Ok(names.as_str().unwrap_or_default().to_owned())
}

fn right_click_led(page: &mut Page) -> Result {
    // The LED's body, between its legs; the strip of properties may have moved the board.
    let (x, y) = page.point_in("svg.board", 110.0, 140.0)?;
    page.right_click_point(x, y)
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_right_click_on_a_part_offers_what_can_be_done_with_it() -> Result {
    let mut visit = pier_light()?;
    let page = &mut visit.page;
    right_click_led(page)?;
    let names = items(page)?;
    for name in ["Turn", "Cut", "Copy", "Paste", "Duplicate", "Remove", "Trace this net", "Read this hole"] {
        assert!(names.split(", ").any(|it| it == name), "{name} in {names}");
    }
    assert!(!names.contains("Switch it"), "an LED is no switch");
    page.keys("ArrowDown ArrowUp ArrowUp")?;
    assert!(
        page.evaluate("document.activeElement.innerText")?
            .as_str()
            .is_some_and(|it| it.contains("Choose all"))
    );
    page.keys("Home")?;
    page.evaluate("void [...document.querySelectorAll('[role=menuitem]')].find((it) => it.innerText.startsWith('Turn')).focus()")?;
    page.keys("Enter")?;
    page.wait_for("!document.querySelector('[role=menu]')")?;
    assert!(page.first_finding()?.to_lowercase().contains("backwards"), "turned by the menu");

    // Copied and pasted by the menu of this page alone.
    right_click_led(page)?;
    items(page)?;
    page.evaluate("void [...document.querySelectorAll('[role=menuitem]')].find((it) => it.innerText.startsWith('Copy')).click()")?;
    page.wait_for("document.querySelector('.said').innerText === 'Copied.'")?;
    right_click_led(page)?;
    items(page)?;
    page.evaluate("void [...document.querySelectorAll('[role=menuitem]')].find((it) => it.innerText.startsWith('Paste')).click()")?;
    page.wait_for("document.querySelector('.said').innerText.includes('placed')")?;
    assert_eq!(page.wiring()?.matches(" led ").count(), 2);
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_menu_opens_by_keys_and_button_and_gives_the_focus_back() -> Result {
    let mut visit = pier_light()?;
    let page = &mut visit.page;
    page.click_hole("c12")?;
    page.keys("Shift+F10")?;
    let names = items(page)?;
    assert!(names.contains("Paste") && !names.contains("Turn"), "an empty hole: {names}");
    assert_eq!(page.evaluate("!!document.activeElement.closest('dialog:modal')")?, true);
    page.keys("Escape")?;
    page.wait_for("document.activeElement.role === 'gridcell'")?;
    // On a leg it is the part's.
    page.keys("ArrowUp ArrowUp ArrowUp ArrowUp ArrowUp ArrowRight ArrowRight Shift+F10")?;
    assert!(items(page)?.contains("Turn"), "e7 is the LED's");
    page.keys("Tab")?;
    page.wait_for("document.activeElement.role === 'gridcell'")?;
    page.evaluate(
        "void [...document.querySelectorAll('.strip button')].find((it) => it.innerText === 'More').focus()",
    )?;
    page.keys("Enter")?;
    assert!(items(page)?.contains("Remove"));
    page.keys("Escape")?;
    page.wait_for("document.activeElement.innerText === 'More'")?;
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_search_finds_actions_and_parts() -> Result {
    let mut visit = pier_light()?;
    let page = &mut visit.page;
    let search = |page: &mut Page, wanted: &str| -> Result {
        page.keys("Control+k")?;
        page.wait_for("document.activeElement.role === 'combobox'")?;
        page.type_text(wanted)
    };
    page.click_hole("a25")?;
    search(page, "volts")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('.legend')")?;
    // Second of what is found, by an arrow key.
    search(page, "net")?;
    page.wait_for(
        "((it) => it.length > 1 && [...it].every((one) => one.innerText.toLowerCase().includes('net')))\
         (document.querySelectorAll('.found li'))",
    )?;
    let second = page.text(".found li:nth-child(2) span")?;
    page.keys("ArrowDown")?;
    assert_eq!(page.text(".found .on span")?, second);
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('.sheet')")?;
    // A part on the board is chosen; one from the drawer is in hand, and the keys are on the board.
    search(page, "r1")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('.strip')?.ariaLabel.startsWith('R1')")?;
    search(page, "potentiometer")?;
    page.keys("Enter")?;
    page.wait_for("document.activeElement.role === 'gridcell'")?;
    assert!(page.text(".said")?.contains("in hand"));
    page.keys("Escape")?;
    search(page, "teapot")?;
    page.wait_for("document.querySelector('.sheet').innerText.includes('Nothing by that name')")?;
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_finger_that_stays_opens_the_menu() -> Result {
    let mut visit = pier_light()?;
    let page = &mut visit.page;
    let (x, y) = hole("c20")?;
    let point = page.point_in("svg.board", x, y)?;
    page.touch("touchStart", &[point])?;
    page.wait_for("document.querySelector('[role=menu]')")?;
    page.touch("touchEnd", &[])?;
    assert!(items(page)?.contains("Paste"), "it stays when the finger goes");
    Ok(())
}
