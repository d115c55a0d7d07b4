//! A circuit built with the mouse from nothing: it works, a mistake is found, undone and not lost.

use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

/// The LED is lit at a current of a pier light: 4 cells at 70 % charge, a red LED, 220 Ω make some
/// 15 mA by Ohm's law.
///
/// A machine undoes within a third of a second what it did. To the limit on flashes that is a lamp that
/// blinks, and it shows its mean until it has been steady for a moment.
fn assert_lit(page: &mut Page) -> Result {
    let [.., now] = page.reading("D1")?;
    assert_eq!(now, "lit");
    page.wait_for(
        "(amps => amps.endsWith(' mA') && parseFloat(amps) > 10 && parseFloat(amps) < 20)\
         ([...document.querySelectorAll('.readings tbody tr')].find((row) => row.cells[0].innerText.startsWith('D1 ')).cells[2].innerText)",
    )
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_light_built_with_the_mouse_is_lit_found_wrong_mended_and_kept() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    assert_eq!(page.text(".calm h3")?, "An empty board");
    page.build_pier_light()?;
    assert_lit(page)?;
    let built = page.wiring()?;
    assert_eq!(built.lines().count(), 4, "{built}");
    page.open_tab("Findings")?;
    assert_eq!(page.count(".finding.fault")?, 0);

    // One leg a row off: dark, and the first finding names the hole.
    page.click_hole("h7")?;
    page.click_hole("h8")?;
    let [_, current, _, now] = page.reading("D1")?;
    assert_eq!((now.as_str(), current.as_str()), ("dark", "0.00 mA"));
    let finding = page.first_finding()?;
    assert!(finding.contains("h8"), "{finding}");

    page.keys("Control+z")?;
    assert_eq!(page.wiring()?, built);
    assert_lit(page)?;
    page.wait_for("document.querySelector('.kept-state')?.innerText === 'saved on this device'")?;

    page.reload()?;
    page.wait_until_live()?;
    page.wait_for("!document.querySelector('.calm h3')?.innerText.includes('empty')")?;
    assert_eq!(page.wiring()?, built);
    assert_lit(page)?;
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_taken_hole_is_refused_with_words_and_the_part_stays_in_hand() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.build_pier_light()?;
    let built = page.wiring()?;
    page.put_part("Resistor", &["e7"])?;
    let said = page.text(".said")?;
    assert!(said.contains("taken"), "{said}");
    assert_eq!(page.count(".drawer button.kind[aria-pressed=true]")?, 1);
    page.keys("Escape")?;
    assert_eq!(page.wiring()?, built);
    Ok(())
}
