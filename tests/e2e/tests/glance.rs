//! What is seen at a glance: lamps lit or dark, a whole phone for the board, words of twelve pixels.

use halfrow_e2e::board::{BOARD, hole};
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::watch::Look;
use halfrow_e2e::wire::Result;
use serde_json::json;

/// CIE 1976 lightness of a colour of the screen, 0 to 100.
fn lightness(colour: [f64; 3]) -> f64 {
    let linear = |value: f64| {
        let x = value / 255.0;
        if x <= 0.04045 { x / 12.92 } else { ((x + 0.055) / 1.055).powf(2.4) }
    };
    let [r, g, b] = colour.map(linear);
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    if y > 0.008856 { 116.0 * y.cbrt() - 16.0 } else { 903.3 * y }
}

/// Of the lamp that lies between e and f of a row: the mean lightness of its lens, and how many pixels beside
/// its rim are no bare board.
fn lamp(page: &mut Page, row: u32) -> Result<(f64, usize)> {
    let (_, y) = hole(&format!("e{row}"))?;
    // Across the legs, from the middle upwards; the flange's radius is 22 units.
    let (x, top) = page.point_in(BOARD, 110.0, y - 40.0)?;
    let (_, middle) = page.point_in(BOARD, 110.0, y)?;
    let scale = (middle - top) / 40.0;
    let rim = middle - 22.0 * scale;
    // Beside the lens' middle line, off the board's channel and the lamp's name.
    let lens = page.colours(&[[x - 3.0, middle, x - 3.0, middle + 15.0 * scale]])?.remove(0);
    let mean = lens.iter().map(|it| lightness(*it)).sum::<f64>() / lens.len() as f64;
    let below = middle + (middle - rim);
    let beside = page.colours(&[[x, below + 1.0, x, below + 9.0]])?.remove(0);
    let (bare_x, bare_y) = page.point_in(BOARD, 110.0, y + 70.0)?;
    let bare = page.colours(&[[bare_x, bare_y, bare_x, bare_y + 1.0]])?[0][0];
    let apart = |it: &&[f64; 3]| it.iter().zip(bare).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) > 24.0;
    Ok((mean, beside.iter().filter(apart).count()))
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn lit_lamps_glow_and_dark_ones_are_dark_by_the_pictures_pixels() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth-find-it")?;
    let page = &mut visit.page;
    page.keys("Escape")?;
    for (look, theme) in
        [(Look::Light, "light"), (Look::Dark, "dark"), (Look::Light, "contrast"), (Look::Forced, "light")]
    {
        page.look(look)?;
        page.evaluate(&format!("document.documentElement.dataset.theme = '{theme}'"))?;
        page.evaluate("void [...document.querySelectorAll('.zoom button')].at(-1).click()")?;
        for zoom in 0..3 {
            page.pictures(3)?;
            // Red and white are lit, green is dark.
            let dark = lamp(page, 24)?;
            for row in [6, 12, 18] {
                let lit = lamp(page, row)?;
                assert!(
                    lit.0 > dark.0 + 30.0,
                    "{theme}, {look:?}, zoom {zoom}, row {row}: {lit:?}, dark {dark:?}"
                );
                assert!(lit.1 >= 2, "{theme}, {look:?}, zoom {zoom}, row {row}: {lit:?}");
            }
            assert_eq!(dark.1, 0, "{theme}, {look:?}, zoom {zoom}");
            page.click(".zoom button:nth-child(2)")?;
        }
    }
    Ok(())
}

/// The mouth of the harbour with its mistake, as somebody's own bench: no task, so that everything is told.
fn own_bench() -> String {
    let example = halfrow_file::examples::find("harbour-mouth-find-it").expect("the example is there");
    let mut bench = halfrow_file::read(example.text()).expect("it can be read");
    bench.title = "Ours".to_owned();
    halfrow_file::link::encode(&bench)
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_phone_shows_the_board_at_full_width_and_the_first_remedy_at_once() -> Result {
    let mut visit = Visit::blank(Default::default())?;
    let address = visit.address(&own_bench());
    let page = &mut visit.page;
    page.resize(360, 740)?;
    page.touch_screen()?;
    page.open(&address)?;
    page.wait_until_live()?;
    page.wait_for("document.querySelector('.finding .remedy')")?;
    // From the first rail to the last.
    let (left, _) = hole("L+1").and_then(|(x, y)| page.point_in(BOARD, x, y))?;
    let (right, _) = hole("R-1").and_then(|(x, y)| page.point_in(BOARD, x, y))?;
    assert!(left > 0.0 && right < 360.0 && right - left > 300.0, "{left} to {right}");
    let [_, _, _, head] = page.place(".head")?;
    assert!(head < 64.0, "the tools take {head} pixels");
    // Its power in a line above it.
    assert!(page.text(".power")?.contains("BT1"), "{}", page.text(".power")?);
    let seen = "(box => box.top >= 0 && document.elementFromPoint(box.x + box.width / 2, box.bottom - 4)?.closest('.remedy') != null)(document.querySelector('.finding .remedy').getBoundingClientRect())";
    assert_eq!(page.evaluate(seen)?, true);
    // The sheet is pulled up and pushed down again.
    let [.., low] = page.place(".panel")?;
    page.tap_at(".grip", 180.0, 8.0)?;
    page.wait_for("document.querySelector('.grip').ariaExpanded === 'true'")?;
    let [.., high] = page.place(".panel")?;
    assert!(high > low + 150.0, "{low} {high}");
    let [x, y, ..] = page.place(".grip")?;
    page.touch_path(&[(x + 180.0, y + 8.0), (x + 180.0, y + 60.0), (x + 180.0, y + 120.0)])?;
    page.wait_for("document.querySelector('.grip').ariaExpanded === 'false'")?;
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_full_board_opens_legibly_and_its_letters_stay_in_sight() -> Result {
    let mut visit = Visit::at("?example=traffic-light")?;
    let page = &mut visit.page;
    for (width, height) in [(1366, 768), (1024, 500), (360, 740)] {
        page.resize(width, height)?;
        let rows = "[...document.querySelectorAll('svg.board text[text-anchor=end]')].filter((it) => /^[0-9]+$/.test(it.textContent)).length";
        assert_eq!(page.evaluate(rows)?, 63, "{width}x{height}");
        let values = "[...document.querySelectorAll('svg.board text')].filter((it) => it.textContent.startsWith('R1 ')).length";
        assert_eq!(page.evaluate(values)?, 1, "{width}x{height}");
        assert_eq!(page.count(".header text")?, 0, "{width}x{height}");
        let [x, y, wide, high] = page.place(BOARD)?;
        page.wheel((x + wide / 2.0, y + high / 2.0), (0.0, 200.0), 0)?;
        page.wait_for("document.querySelectorAll('.header text').length === 14")?;
        let top = page.evaluate("document.querySelector('.header text').getBoundingClientRect().top")?;
        assert!(top.as_f64().is_some_and(|top| top >= y - 1.0 && top < y + 30.0), "{top} {y}");
        page.wheel((x + wide / 2.0, y + high / 2.0), (0.0, -2000.0), 0)?;
        page.wait_for("document.querySelectorAll('.header text').length === 0")?;
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_is_half_in_stays_in_sight_and_its_own_hole_is_not_crossed_out() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.put_part("Battery pack", &["L+1", "L-1"])?;
    page.put_part("LED", &["e7"])?;
    page.wait_for("document.querySelector('.ghost')")?;
    assert_eq!(page.count(".refused")?, 0);
    // Over a hole that is taken it is told that it can't go there, and the part stays.
    let (x, y) = hole("L-1").and_then(|(x, y)| page.point_in(BOARD, x, y))?;
    page.hover(x, y)?;
    page.wait_for("document.querySelector('.refused') && document.querySelector('.ghost-lead')")?;
    assert_eq!(page.count(".ghost")?, 1);
    // Beside the board too.
    let [left, top, ..] = page.place(BOARD)?;
    page.hover(left + 20.0, top + 500.0)?;
    page.wait_for("!document.querySelector('.refused')")?;
    assert_eq!(page.count(".ghost")?, 1);
    page.click_hole("f7")?;
    page.wait_for("!document.querySelector('.ghost')")?;
    // What a first circuit still needs is its next step, no risk.
    page.wait_for("document.querySelector('.calm h3')?.innerText === 'Now close the path'")?;
    assert_eq!(page.count(".finding")?, 0);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_lamp_that_is_pointed_at_shows_what_it_is_joined_to() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let page = &mut visit.page;
    for (beside, hole) in [(-8.0, "e12"), (8.0, "f12")] {
        let (x, y) = page.point_in(BOARD, 110.0 + beside, 240.0)?;
        page.hover(x, y)?;
        page.wait_for(&format!("document.querySelector('.foot b').innerText === '{hole}'"))?;
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn text_twice_as_large_cuts_nothing_off() -> Result {
    let mut visit = Visit::at("?example=blinking-lighthouse")?;
    let page = &mut visit.page;
    for (width, height) in [(1366, 768), (1024, 500), (360, 740)] {
        page.resize(width, height)?;
        page.text_size(32)?;
        let size = page.evaluate("getComputedStyle(document.querySelector('.panel')).fontSize")?;
        assert_eq!(size, "28px", "{width}x{height}");
        assert_eq!(page.evaluate("document.documentElement.scrollWidth")?, json!(width), "{width}x{height}");
        for tab in ["Readings", "Wiring", "Chart", "Findings"] {
            page.open_tab(tab)?;
            let there = page.evaluate(&format!(
                "(box => box.left >= 0 && box.right <= innerWidth + 1 && box.bottom <= innerHeight + 1)(document.querySelector('#tab-{tab}').getBoundingClientRect())"
            ))?;
            assert_eq!(there, true, "{tab} at {width}x{height}");
        }
        let [_, _, wide, high] = page.place(BOARD)?;
        assert!(wide > 250.0 && high > 140.0, "{width}x{height}: the board has {wide} by {high}");
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn an_example_that_takes_time_has_its_traces_and_menus_offer_more() -> Result {
    let mut visit = Visit::at("?example=blinking-lighthouse")?;
    let page = &mut visit.page;
    page.open_tab("Chart")?;
    page.wait_for("document.querySelectorAll('.chart tbody tr').length >= 2")?;
    let names = page.text(".chart tbody")?;
    assert!(names.contains("C3") && names.contains("current into D1"), "{names}");
    // The list of parts shows what it lists, and a chip its pins once it is in hand.
    assert_eq!(
        page.evaluate(
            "[...document.querySelectorAll('.drawer .pictured')].every((it) => it.childElementCount > 0)"
        )?,
        true
    );
    page.open_tab("Findings")?;
    page.put_part("555 timer", &[])?;
    page.wait_for("document.querySelector('.pin-out')?.textContent.includes('TRIG')")?;
    Ok(())
}
