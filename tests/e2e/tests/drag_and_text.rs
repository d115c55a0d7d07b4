//! Changes by dragging, by the wiring list and by the clipboard.

use halfrow_e2e::board::{BOARD, hole};
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

/// A pier light, its wiring list, and the page at rest.
fn pier_light() -> Result<(Visit, String)> {
    let mut visit = Visit::start()?;
    visit.page.build_pier_light()?;
    visit.page.keys("Escape")?;
    let wiring = visit.page.wiring()?;
    Ok((visit, wiring))
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_dragged_leg_moves_alone() -> Result {
    let (mut visit, built) = pier_light()?;
    let page = &mut visit.page;
    assert!(built.contains("1=h7"), "{built}");
    page.drag_holes("h7", "j7")?;
    assert_eq!(page.wiring()?, built.replace("1=h7", "1=j7"));
    let [.., now] = page.reading("D1")?;
    assert_eq!(now, "lit", "j7 is the same strip");

    // On to a hole that is taken, it stays where it was and nothing is left in hand.
    page.drag_holes("j7", "f7")?;
    assert!(page.text(".said")?.contains("Put back") || page.text(".said")?.contains("taken"));
    assert_eq!(page.wiring()?, built.replace("1=h7", "1=j7"));
    // One step back for one drag.
    page.keys("Control+z")?;
    assert_eq!(page.wiring()?, built);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_drop_makes_only_what_it_changes() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let page = &mut visit.page;
    page.put_part("Resistor", &["a26", "a29"])?;
    page.keys("Escape")?;
    let all = page.evaluate("document.querySelectorAll('#all-on-board *').length")?.as_u64().unwrap_or(0);
    page.evaluate(
        "void (window.made = 0, new MutationObserver((all) => all.forEach((it) => it.addedNodes.forEach((node) => { \
           if (node.nodeType === 1) made += 1 + node.querySelectorAll('*').length; }))) \
         .observe(document.getElementById('all-on-board'), { subtree: true, childList: true }))",
    )?;
    page.drag_holes("a29", "c30")?;
    assert!(page.wiring()?.contains("=c30"), "{}", page.wiring()?);
    let made = page.evaluate("made")?.as_u64().unwrap_or(u64::MAX);
    assert!(made > 0 && made < all / 4, "{made} elements of {all} were made for one leg");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_dragged_body_takes_all_legs_along() -> Result {
    let (mut visit, built) = pier_light()?;
    let page = &mut visit.page;
    assert!(built.contains("A=e7") && built.contains("K=f7"), "{built}");
    // The LED's body stands between its legs, over the trench.
    page.drag_in("svg.board", (110.0, 140.0), (110.0, 340.0))?;
    assert_eq!(page.wiring()?, built.replace("A=e7", "A=e17").replace("K=f7", "K=f17"));
    let [.., now] = page.reading("D1")?;
    assert_eq!(now, "dark", "row 17 leads nowhere");
    page.keys("Control+z")?;
    assert_eq!(page.wiring()?, built);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_wire_is_drawn_from_hole_to_hole_and_a_part_dragged_out_of_the_list() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.put_part("Jumper wire", &[])?;
    page.drag_holes("a20", "a25")?;
    let wiring = page.wiring()?;
    assert!(wiring.contains("1=a20 2=a25"), "{wiring}");

    // Where the first hole is taken nothing is put down.
    page.put_part("Jumper wire", &[])?;
    page.drag_holes("a20", "c27")?;
    assert!(page.text(".said")?.contains("taken"));
    page.keys("Escape")?;
    assert_eq!(page.wiring()?, wiring);

    // Out of the list the first leg goes where the button is let go.
    let [x, y, wide, high] = page.place(".drawer button.kind:nth-of-type(6)")?;
    let to = hole("b3").and_then(|(x, y)| page.point_in(BOARD, x, y))?;
    page.drag_points((x + wide / 2.0, y + high / 2.0), to)?;
    page.click_hole("b9")?;
    let wiring = page.wiring()?;
    assert!(wiring.contains("1=b3 2=b9"), "{wiring}");
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_kind_that_is_dragged_out_of_the_list_stays_the_one_in_hand() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    // Aslant, so that the pointer crosses other kinds on its way.
    let to = hole("b28").and_then(|(x, y)| page.point_in(BOARD, x, y))?;
    for place in [2, 3, 5, 7] {
        let button = format!(".drawer button.kind:nth-of-type({place})");
        let [x, y, _, high] = page.place(&button)?;
        let (from, mut crossed) = ((x + 6.0, y + high / 2.0), 0);
        page.hold(from.0, from.1)?;
        for step in 1..=40 {
            let part = f64::from(step) / 40.0;
            let at = (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
            page.carry(at.0, at.1)?;
            let under = format!(
                "document.elementFromPoint({}, {}).closest('button.kind:not(:nth-of-type({place}))')",
                at.0, at.1
            );
            crossed += usize::from(page.evaluate(&format!("Boolean({under})"))? == true);
        }
        assert!(crossed > 0, "no other kind lies on the way");
        page.wait_for(&format!("document.querySelector(\"{button}\").ariaPressed === 'true'"))?;
        assert_eq!(page.count(".drawer button.kind.on")?, 1);
        // Let go of outside of the board's holes, it stays in hand.
        page.release(to.0, to.1)?;
        page.keys("Escape Control+z")?;
    }
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_knob_is_chosen_and_dragged_by_its_body_and_a_relay_chosen() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.put_part("Knob", &["e10"])?;
    page.put_part("Relay", &["e20"])?;
    page.keys("Escape")?;
    let chosen = |id: &str| format!("document.querySelector('.strip-head')?.innerText.includes('{id}')");
    // The middle of the knob lies two holes to the left of its pins and two rows below the first.
    let (x, y) = hole("c12")?;
    page.click_in(BOARD, x, y)?;
    page.wait_for(&chosen("RV1"))?;
    let (relay_x, relay_y) = hole("e22")?;
    page.click_in(BOARD, relay_x + 30.0, relay_y)?;
    page.wait_for(&chosen("K1"))?;
    let before = page.wiring()?;
    page.drag_in(BOARD, (x, y), (x, y - 100.0))?;
    assert_eq!(page.wiring()?, before.replace("e10", "e5"));
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_wiring_list_is_edited_and_built() -> Result {
    let (mut visit, built) = pier_light()?;
    let page = &mut visit.page;
    let changed = format!("{}D2 led colour=red A=e10 K=f10\n", built.replace("1=h7", "1=h8"));
    page.fill("#wiring-text", &changed)?;
    page.click(".wiring .row button:first-child")?;
    assert_eq!(page.wiring()?, changed);
    let [.., now] = page.reading("D1")?;
    assert_eq!(now, "dark");
    page.keys("Control+z")?;
    assert_eq!(page.wiring()?, built);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_wiring_list_is_edited_cell_by_cell_with_the_keys() -> Result {
    let (mut visit, built) = pier_light()?;
    let page = &mut visit.page;
    page.open_tab("Wiring")?;
    // Rows are battery, resistor, LED, wire; the wire's first end is the third cell of its row.
    let cell = "#cell-3-2";
    assert!(page.attribute(cell, "aria-label")?.is_some_and(|label| label.starts_with("W1 ")));
    page.on_cell(cell, "h8", "Enter")?;
    assert_eq!(page.wiring()?, built.replace("1=h7", "1=h8"));
    page.on_cell(cell, "h7", "Enter")?;
    assert_eq!(page.wiring()?, built);

    // What can't be is told beside the cell; the bench keeps what was there, the cell what was written.
    page.on_cell(cell, "e7", "Enter")?;
    page.wait_for("document.querySelector('#cell-3-2-why')")?;
    let why = page.text("#cell-3-2-why")?;
    assert!(why.contains("taken by D1") && why.contains("Still h7"), "{why}");
    assert_eq!(page.attribute(cell, "aria-invalid")?.as_deref(), Some("true"));
    assert_eq!(page.evaluate("document.querySelector('#wiring-text').value")?, built);
    // Neither that nor a text that is not built yet goes with a switch of tab.
    page.fill("#wiring-text", "R1 resist")?;
    page.open_tab("Readings")?;
    page.open_tab("Wiring")?;
    assert_eq!(page.evaluate("document.querySelector('#cell-3-2').value")?, "e7");
    assert_eq!(page.evaluate("document.querySelector('#wiring-text').value")?, "R1 resist");
    page.click(".wiring .row button:last-child")?;
    page.evaluate("document.querySelector('#cell-3-2').focus()")?;
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('#cell-3-2-why')")?;
    assert_eq!(page.evaluate("document.querySelector('#cell-3-2').value")?, "h7");
    // Arrow keys lead from row to row; the last row takes a new part.
    page.keys("ArrowDown")?;
    assert_eq!(page.evaluate("document.activeElement.ariaLabel")?, "Kind of a new part");
    page.type_text("led")?;
    page.keys("Enter")?;
    assert_eq!(page.wiring()?, format!("{built}D2 led colour=red A=- K=-\n"));
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_broken_line_is_named_and_the_bench_stays() -> Result {
    let (mut visit, built) = pier_light()?;
    let page = &mut visit.page;
    for (line, words) in [
        ("X9 teapot 1=a1", ["line 5", "teapot"]),
        // The two that want one hole are both told.
        ("R9 resistor 1=e7 2=b20", ["D1", "R9"]),
        ("R9 resistor 1=z99 2=b20", ["line 5", "z99"]),
        ("R9 resistor ohms=purple 1=a20 2=b20", ["line 5", "ohms"]),
    ] {
        page.open_tab("Wiring")?;
        page.fill("#wiring-text", &format!("{built}{line}\n"))?;
        page.click(".wiring .row button:first-child")?;
        page.wait_for("document.querySelector('.wiring [role=alert]')")?;
        let alert = page.text(".wiring [role=alert]")?;
        assert!(words.iter().all(|word| alert.contains(word)), "{line}: {alert}");
        let [.., now] = page.reading("D1")?;
        assert_eq!(now, "lit");
        // What was written outlives a look at another tab; forgotten, the list is the bench's again.
        assert_eq!(page.wiring()?, format!("{built}{line}\n"));
        page.click(".wiring .row button:last-child")?;
        assert_eq!(page.wiring()?, built);
    }
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_chosen_part_is_copied_pasted_cut_and_duplicated() -> Result {
    let (mut visit, built) = pier_light()?;
    let origin = visit.page.evaluate("location.origin")?;
    visit.browser.allow_clipboard(origin.as_str().unwrap_or_default())?;
    let page = &mut visit.page;
    // Chosen by a click on its body.
    page.click_in("svg.board", 110.0, 140.0)?;
    assert_eq!(page.count("svg.board g.chosen")?, 1);
    page.keys("Control+c Control+v")?;
    page.wait_for("document.querySelector('.said').innerText.includes('placed')")?;
    let pasted = page.wiring()?;
    assert_eq!(pasted.lines().count(), 5, "{pasted}");
    assert!(pasted.starts_with(&built) && pasted.contains("D2 led"), "{pasted}");

    // The copy is chosen now; cut, it is gone, and pasted again it is back.
    page.click_in("svg.board", 110.0, 140.0)?;
    page.keys("Control+x")?;
    page.wait_for("document.querySelector('.said').innerText.includes('removed')")?;
    let cut = page.wiring()?;
    assert!(!cut.contains("D1 "), "{cut}");
    page.click_hole("a25")?;
    page.keys("Control+v")?;
    page.wait_for("document.querySelector('.said').innerText.includes('placed')")?;
    assert_eq!(page.wiring()?.matches(" led ").count(), 2);

    // What is no part is refused with words.
    page.evaluate("navigator.clipboard.writeText('harbour')")?;
    page.click_hole("a25")?;
    page.keys("Control+v")?;
    page.wait_for("document.querySelector('.said').innerText.includes('copy a part')")?;
    Ok(())
}
