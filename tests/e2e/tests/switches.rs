//! Buttons are pressed as long as they are held, by mouse, finger and key.

use halfrow_e2e::board::BOARD;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

fn is_pressed(page: &mut Page, pressed: bool) -> Result {
    let word = if pressed { "pressed" } else { "open" };
    page.wait_for(&format!("document.querySelector('.said').innerText.includes('SB1: {word}.')"))
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_button_is_held_by_mouse_finger_and_key_and_nothing_moves() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.put_part("Push button", &["e10"])?;
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('.strip')")?;
    // The middle of the button, between columns e and f and rows 10 and 12.
    let middle = page.point_in(BOARD, 110.0, 220.0)?;
    page.hold(middle.0, middle.1)?;
    is_pressed(page, true)?;
    page.release(middle.0, middle.1)?;
    is_pressed(page, false)?;
    assert_eq!(page.count(".strip")?, 0);
    assert_eq!(page.point_in(BOARD, 110.0, 220.0)?, middle, "the board stands still");
    page.touch("touchStart", &[middle])?;
    is_pressed(page, true)?;
    page.touch("touchEnd", &[])?;
    is_pressed(page, false)?;
    // By keys a tap of the bar is a press too; the menu keeps it pressed.
    page.click_hole("a1")?;
    page.walk_to("e10")?;
    page.evaluate(
        "(window.heard = [], new MutationObserver(() => heard.push(document.querySelector('.said').innerText))\
         .observe(document.querySelector('.said'), { childList: true, subtree: true, characterData: true }), 0)",
    )?;
    page.keys("Space")?;
    page.wait_for(
        "heard.some((it) => it.includes('SB1: pressed.')) && heard.some((it) => it.includes('SB1: open.'))",
    )?;
    page.keys("Shift+F10")?;
    page.wait_for("document.querySelector('.menu')")?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('.said').innerText.includes('SB1: kept pressed.')")?;
    assert!(page.wiring()?.contains("pressed=true"));
    Ok(())
}
