//! A phone: parts come from a sheet, a finger does what the mouse does.

use halfrow_e2e::board::hole;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;

fn take(page: &mut Page, kind: &str) -> Result {
    page.click(".head .narrow")?;
    page.wait_for("document.querySelector('.sheet .drawer')")?;
    page.evaluate(&format!(
        "void [...document.querySelectorAll('.sheet button.kind')].find((b) => b.innerText.startsWith('{kind}')).click()"
    ))?;
    page.wait_for("!document.querySelector('.sheet')")
}

fn tap(page: &mut Page, name: &str) -> Result {
    let (x, y) = hole(name)?;
    page.tap_in("svg.board", x, y)
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_light_is_built_with_a_finger_on_a_small_screen() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.resize(360, 740)?;
    page.touch_screen()?;
    for (kind, holes) in [
        ("Battery pack", ["L+1", "L-1"]),
        ("Resistor", ["L+5", "b7"]),
        ("LED", ["e7", "f7"]),
        ("Jumper wire", ["h7", "L-5"]),
    ] {
        take(page, kind)?;
        tap(page, holes[0])?;
        tap(page, holes[1])?;
    }
    page.wait_for("document.querySelector('.said').innerText.includes('D1 lit')")?;
    // Nothing on the page is wider than the screen.
    assert_eq!(page.evaluate("document.documentElement.scrollWidth")?, 360);
    page.keys("Escape")?;
    let [.., now] = page.reading("D1")?;
    assert_eq!(now, "lit");
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn two_fingers_zoom_about_what_is_between_them_and_one_pans() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.resize(360, 740)?;
    page.touch_screen()?;
    let (x, y) = hole("c12")?;
    let (cx, cy) = page.point_in("svg.board", x, y)?;
    let once = page.point_in("svg.board", x + 20.0, y)?.0 - cx;
    page.touch("touchStart", &[(cx - 30.0, cy)])?;
    page.touch("touchStart", &[(cx - 30.0, cy), (cx + 30.0, cy)])?;
    for apart in [40.0, 50.0, 60.0] {
        page.touch("touchMove", &[(cx - apart, cy), (cx + apart, cy)])?;
    }
    page.touch("touchEnd", &[])?;
    let near = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs() < 2.0 && (a.1 - b.1).abs() < 2.0;
    let now = page.point_in("svg.board", x, y)?;
    assert!(near(now, (cx, cy)), "{now:?} for {:?}", (cx, cy));
    let (right, _) = page.point_in("svg.board", x + 20.0, y)?;
    let twice = right - cx;
    assert!((twice / once - 2.0).abs() < 0.1, "{twice} {once}");

    page.evaluate("void [...document.querySelectorAll('.zoom button')].at(-1).click()")?;
    page.pictures(2)?;
    let (cx, cy) = page.point_in("svg.board", x, y)?;
    // One finger on an empty part of the board takes it along, and chooses or builds nothing.
    page.touch_path(&[(cx, cy), (cx + 20.0, cy + 10.0), (cx + 40.0, cy + 25.0)])?;
    let now = page.point_in("svg.board", x, y)?;
    assert!(near(now, (cx + 40.0, cy + 25.0)), "{now:?} for {:?}", (cx, cy));
    assert_eq!(page.count("svg.board .marquee")?, 0);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_finger_that_places_aims_above_itself_under_a_magnifier() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.resize(360, 740)?;
    page.touch_screen()?;
    take(page, "Jumper wire")?;
    tap(page, "b5")?;
    let (x, y) = hole("b10")?;
    let (cx, cy) = page.point_in("svg.board", x, y)?;
    // Comes from afar: the cursor then stands 44 pixels above the finger.
    page.touch("touchStart", &[(cx + 80.0, cy + 44.0)])?;
    for right in [60.0, 30.0, 0.0] {
        page.touch("touchMove", &[(cx + right, cy + 44.0)])?;
    }
    page.wait_for("document.querySelector('svg.board .lens use')")?;
    page.touch("touchEnd", &[])?;
    page.wait_for("!document.querySelector('svg.board .lens')")?;
    page.keys("Escape")?;
    let wiring = page.wiring()?;
    assert!(wiring.contains("1=b5") && wiring.contains("2=b10"), "{wiring}");
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_finger_draws_a_wire_and_brings_a_part_out_of_the_list() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.resize(1024, 500)?;
    page.touch_screen()?;
    let at = |page: &mut Page, name: &str| hole(name).and_then(|(x, y)| page.point_in("svg.board", x, y));
    page.put_part("Jumper wire", &[])?;
    // Once on its way, the cursor stands 44 pixels above the finger.
    let (from, to) = (at(page, "b5")?, at(page, "i20")?);
    page.touch_path(&[from, (from.0 + 30.0, from.1 + 60.0), (to.0, to.1 + 20.0), (to.0, to.1 + 44.0)])?;
    let wiring = page.wiring()?;
    assert!(wiring.contains("1=b5 2=i20"), "{wiring}");

    let [x, y, wide, high] = page.place(".drawer button.kind:nth-of-type(6)")?;
    let (start, to) = ((x + wide / 2.0, y + high / 2.0), at(page, "c9")?);
    page.touch_path(&[
        start,
        (start.0 + 60.0, start.1),
        (start.0 + 160.0, start.1),
        (to.0 - 60.0, to.1 + 44.0),
        (to.0, to.1 + 44.0),
    ])?;
    let (x, y) = at(page, "c14")?;
    page.touch_path(&[(x, y)])?;
    let wiring = page.wiring()?;
    assert!(wiring.contains("1=c9 2=c14"), "{wiring}");
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}
