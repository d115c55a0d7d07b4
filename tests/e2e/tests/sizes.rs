//! Windows of all sizes: nothing is cut, and what a small one has no room for is still within reach.

use halfrow_core::sample::blinker;
use halfrow_e2e::board::{BOARD, hole};
use halfrow_e2e::page::Page;
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
        page.pictures(2)?;
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

/// Takes a part by the search.
fn take(page: &mut Page, kind: &str) -> Result {
    page.keys("Escape Control+k")?;
    page.wait_for("document.activeElement.role === 'combobox'")?;
    page.type_text(kind)?;
    page.keys("Enter")?;
    page.wait_for("document.querySelector('.said').innerText.includes('in hand')")
}

/// Where three holes are on the screen.
fn places(page: &mut Page) -> Result<Vec<(f64, f64)>> {
    ["a1", "e5", "j9"]
        .into_iter()
        .map(|name| hole(name).and_then(|(x, y)| page.point_in(BOARD, x, y)))
        .collect()
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn no_hole_moves_while_a_bench_is_built() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    for (width, height) in SIZES {
        page.resize(width, height)?;
        page.pictures(2)?;
        let before = places(page)?;
        for (kind, holes) in [("battery pack", ["L+1", "L-1"]), ("resistor", ["a5", "b9"])] {
            take(page, kind)?;
            assert_eq!(places(page)?, before, "{kind} taken, {width}x{height}");
            for name in holes {
                page.click_hole(name)?;
                assert_eq!(places(page)?, before, "{kind} in {name}, {width}x{height}");
            }
            page.wait_for("document.querySelector('.strip')")?;
            assert_eq!(places(page)?, before, "{kind} chosen, {width}x{height}");
        }
        page.keys("Control+a Backspace")?;
        assert_eq!(places(page)?, before, "all gone, {width}x{height}");
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_is_said_can_be_read_to_its_end_at_any_size() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    for (width, height) in SIZES.into_iter().chain([(320, 256)]) {
        page.resize(width, height)?;
        take(page, "battery pack")?;
        let read = page.evaluate(
            "((said) => { const box = said.getBoundingClientRect(), there = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2); \
             return said.scrollWidth <= said.clientWidth + 1 && box.left >= 0 && box.right <= innerWidth && box.bottom <= innerHeight && there.closest('.foot') !== null; \
             })(document.querySelector('.said'))",
        )?;
        assert_eq!(read, true, "{width}x{height}");
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_page_magnified_four_times_scrolls_to_all_of_it() -> Result {
    let mut visit = Visit::at("?example=blinking-lighthouse")?;
    let page = &mut visit.page;
    for (width, height) in [(320, 256), (341, 192)] {
        page.resize(width, height)?;
        let [_, _, wide, high] = page.place(BOARD)?;
        assert!(wide > 300.0 && high >= 150.0, "{width}x{height}: {wide} by {high}");
        assert_eq!(page.evaluate("document.documentElement.scrollWidth")?, width);
        // The focus brings the zoom buttons and the clock's into sight, covered by nothing.
        for button in [".zoom button:first-child", ".zoom button:last-child", ".clock button"] {
            let there = page.evaluate(&format!(
                "((button) => {{ button.focus(); const box = button.getBoundingClientRect(); \
                 return document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2)?.closest('button') === button; }})(document.querySelector('{button}'))"
            ))?;
            assert_eq!(there, true, "{button} at {width}x{height}");
        }
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn tables_and_holes_are_in_sight_at_every_size() -> Result {
    let mut visit = Visit::at("?example=blinking-lighthouse")?;
    let page = &mut visit.page;
    page.wait_for("document.querySelector('.clock')")?;
    for (width, height) in SIZES {
        page.resize(width, height)?;
        page.pictures(2)?;
        let rails = ["L+", "L-", "R+", "R-"].map(|rail| (rail, 25));
        let columns = [("a", 30), ("e", 30), ("f", 30), ("j", 30)].into_iter().chain(rails);
        let mut left: Vec<String> =
            columns.flat_map(|(column, rows)| (1..=rows).map(move |row| format!("{column}{row}"))).collect();
        // What isn't in sight at once comes into sight with the wheel.
        let [board_x, board_y, wide, high] = page.place(BOARD)?;
        page.wheel((board_x + wide / 2.0, board_y + high / 2.0), (0.0, -3000.0), 0)?;
        page.pictures(2)?;
        for _ in 0..8 {
            let mut hidden = Vec::new();
            for name in left {
                let (x, y) = hole(&name)?;
                let there = page.evaluate(&format!(
                    "(p => document.elementFromPoint(p.x, p.y)?.closest('svg.board') != null)(new DOMPoint({x}, {y}).matrixTransform(document.querySelector('svg.board').getScreenCTM()))"
                ))?;
                if there != true {
                    hidden.push(name);
                }
            }
            left = hidden;
            if left.is_empty() {
                break;
            }
            page.wheel((board_x + wide / 2.0, board_y + high / 2.0), (0.0, 0.4 * high), 0)?;
            page.pictures(2)?;
        }
        assert_eq!(left, [""; 0], "{width}x{height}");
        page.open_tab("Readings")?;
        let wide = "(page => page.scrollWidth <= page.clientWidth)(document.querySelector('.tab-page'))";
        assert_eq!(page.evaluate(wide)?, true, "readings at {width}x{height}");
        page.open_tab("Wiring")?;
        assert_eq!(page.evaluate(wide)?, true, "wiring at {width}x{height}");
        let cut = "[...document.querySelectorAll('.cells input')].filter((it) => it.scrollWidth > it.clientWidth).map((it) => it.value)";
        assert_eq!(page.evaluate(cut)?, serde_json::json!([]), "{width}x{height}");
    }
    let kinds =
        page.evaluate("[...document.querySelectorAll('.cells .what')].map((it) => it.value).join()")?;
    assert!(kinds.as_str().unwrap_or_default().contains("resistor ohms=47k"), "{kinds}");
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn what_is_written_on_the_board_is_large_enough() -> Result {
    let mut visit = Visit::start()?;
    for example in ["blinking-lighthouse", "dice"] {
        let address = visit.address(&format!("?example={example}"));
        let page = &mut visit.page;
        page.open(&address)?;
        page.wait_until_live()?;
        for (width, height) in SIZES.into_iter().chain([(1366, 620)]) {
            page.resize(width, height)?;
            page.pictures(2)?;
            let small = page.evaluate(
                "[...document.querySelectorAll('svg.board text')].filter((it) => it.getAttribute('font-size') * Math.hypot(it.getScreenCTM().a, it.getScreenCTM().b) < 11.9).map((it) => it.textContent)",
            )?;
            assert_eq!(small, serde_json::json!([]), "{example} at {width}x{height}");
            let rows = page.count("svg.board text[text-anchor=end]")?;
            assert!(rows >= 30, "{rows} row numbers, {example} at {width}x{height}");
        }
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
