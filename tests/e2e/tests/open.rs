//! Benches that come from outside: examples, links good and bad, titles full of markup.

use halfrow_core::bench::Bench;
use halfrow_core::board::BoardKind;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::Result;
use halfrow_file::{examples, link};

/// A title that would be heard and seen if any of it became an element.
const MARKUP: &str =
    "<img src=x onerror=window.heard=1><b id=bold>&lt;i&gt;</b><script>window.heard=1</script>";

fn title(page: &mut Page) -> Result<String> {
    let title = page.evaluate("document.querySelector('input.title').value")?;
    Ok(title.as_str().unwrap_or_default().to_owned())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn every_example_opens_without_errors_and_the_right_ones_without_faults() -> Result {
    let mut visit = Visit::start()?;
    for example in &examples::ALL {
        let address = visit.address(&format!("?example={}", example.slug));
        let page = &mut visit.page;
        page.open(&address)?;
        page.wait_until_live()?;
        assert_eq!(title(page)?, example.title);
        if example.twin.is_some() {
            // It is not given away; the teacher can have it told.
            assert_eq!(page.count(".finding .remedy")?, 0, "{}", example.slug);
            page.evaluate(
                "(it => { it.selectedIndex = 3; it.dispatchEvent(new Event('change', { bubbles: true })); })\
                 (document.querySelector('.say-how-much select'))",
            )?;
            page.wait_for("document.querySelector('.finding .remedy')")?;
        }
        let found = page.count(".finding.fault, .finding.risk")?;
        match example.twin {
            None => assert_eq!(found, 0, "{}: {}", example.slug, page.text(".findings")?),
            Some(_) => {
                // A wire that keeps an input from its level is told by the chip's input.
                let mistake = match example.slug {
                    "tide-gauge-find-it" | "dice-find-it" => "U1",
                    _ => example.mistake.unwrap_or_default(),
                };
                assert!(page.count(".finding")? > 0, "{}", example.slug);
                let told = page.text(".findings")?;
                assert!(told.contains(mistake), "{}: {mistake} is not in {told}", example.slug);
            }
        }
        let bench = halfrow_file::read(example.text()).expect("an example is a bench");
        assert_eq!(page.wiring()?, halfrow_file::wiring::to_text(&bench), "{}", example.slug);
        assert_eq!(page.errors()?, [""; 0], "{}", example.slug);
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_link_builds_the_bench_that_it_holds() -> Result {
    let example = examples::find("lighthouse").expect("an example");
    let bench = halfrow_file::read(example.text()).expect("a bench");
    let mut visit = Visit::at(&link::encode(&bench))?;
    let page = &mut visit.page;
    assert_eq!(title(page)?, example.title);
    assert_eq!(page.wiring()?, halfrow_file::wiring::to_text(&bench));

    // Pasted into the address of an open page, another link replaces the bench, and undo brings the
    // first one back.
    let other = halfrow_file::read(examples::find("fog-lamp").expect("an example").text()).expect("a bench");
    page.evaluate(&format!("void (location.hash = {:?})", link::encode(&other)))?;
    page.wait_for("document.querySelector('input.title').value === 'Fog lamp'")?;
    page.click_hole("a30")?;
    page.keys("Control+z")?;
    assert_eq!(title(page)?, example.title);
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn the_shared_link_leads_to_the_same_bench() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let wiring = visit.page.wiring()?;
    visit.page.evaluate(
        "void [...document.querySelectorAll('.head button')].find((b) => b.innerText === 'Share').click()",
    )?;
    visit.page.wait_for("document.querySelector('textarea.link')")?;
    let address = visit.page.evaluate("document.querySelector('textarea.link').value")?;
    let address = address.as_str().unwrap_or_default().to_owned();
    assert!(address.starts_with(&visit.address("")) && address.contains("#1."), "{address}");
    let mut second = visit.browser.page()?;
    second.resize(1366, 768)?;
    second.open(&address)?;
    second.wait_until_live()?;
    assert_eq!(second.wiring()?, wiring);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn spoilt_links_are_refused_with_words_and_the_page_lives_on() -> Result {
    let bench = halfrow_file::read(examples::ALL[0].text()).expect("a bench");
    let good = link::encode(&bench);
    let cut = good[..good.len() / 2].to_owned();
    let flipped = good.replacen(&good[20..24], "AAAA", 1);
    let mut visit = Visit::start()?;
    for spoilt in
        ["#1.", "#1.!!!!", "#1.%00%ff", "#1.<script>alert(1)</script>", "#2.abc", "#tab-page", &cut, &flipped]
    {
        let address = visit.address("?spoilt");
        let page = &mut visit.page;
        // From another page, so that the link is read at the start rather than as a changed hash.
        page.open("about:blank")?;
        page.open(&format!("{address}{spoilt}"))?;
        page.wait_until_live()?;
        if spoilt != "#tab-page" {
            let said = page.text(".said")?;
            assert!(said.contains("couldn’t be opened"), "{spoilt}: {said}");
            assert_eq!(said.contains("newer Halfrow"), spoilt == "#2.abc", "{spoilt}: {said}");
        }
        assert_eq!(page.text(".calm h3")?, "An empty board", "{spoilt}");
        page.evaluate(&format!("void (location.hash = {spoilt:?} + 'x')"))?;
        page.put_part("LED", &["e7", "f7"])?;
        assert!(page.wiring()?.contains("D1 led colour=red A=e7 K=f7"), "{spoilt}");
        // Kept on this device it would be there at the next start.
        page.keys("Control+z")?;
        page.wait_for("document.querySelector('.kept-state')?.innerText === 'saved on this device'")?;
        assert_eq!(page.errors()?, [""; 0], "{spoilt}");
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn a_link_that_cant_be_opened_takes_nothing_away() -> Result {
    let mut visit = Visit::start()?;
    let address = visit.address("?again");
    let page = &mut visit.page;
    page.put_part("LED", &["e7", "f7"])?;
    page.wait_for("document.querySelector('.kept-state')?.innerText === 'saved on this device'")?;
    page.open(&format!("{address}#2.abc"))?;
    page.wait_until_live()?;
    page.wait_for("document.querySelector('.said')?.innerText.includes('as you left it')")?;
    assert!(page.text(".said")?.contains("newer Halfrow"));
    assert!(page.wiring()?.contains("D1 led colour=red A=e7 K=f7"));
    // A changed hash of another version is told of too.
    page.evaluate("void (location.hash = '#3.abc')")?;
    page.wait_for("document.querySelector('.said')?.innerText.includes('version 3')")?;
    assert!(page.wiring()?.contains("D1 led colour=red A=e7 K=f7"));
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn markup_in_a_title_stays_text() -> Result {
    let bench = Bench { title: MARKUP.chars().take(100).collect(), ..Bench::new(BoardKind::Half) };
    let mut visit = Visit::at(&link::encode(&bench))?;
    let page = &mut visit.page;
    assert_eq!(title(page)?, bench.title);
    // Typed too, since that goes another way.
    page.fill("input.title", MARKUP)?;
    page.put_part("LED", &["e7", "f7"])?;
    for tab in ["Readings", "Wiring", "Nets", "Findings"] {
        page.open_tab(tab)?;
    }
    for sheet in ["Examples", "Share", "Keys", "More"] {
        page.evaluate(&format!(
            "void [...document.querySelectorAll('.head button')].find((b) => b.innerText === '{sheet}').click()"
        ))?;
        page.wait_for("document.querySelector('.sheet')")?;
        assert_eq!(page.count("#bold, img, .page script")?, 0, "{sheet}");
        page.keys("Escape")?;
        page.wait_for("!document.querySelector('.sheet')")?;
    }
    page.evaluate("void dispatchEvent(new Event('beforeprint'))")?;
    page.wait_for("document.querySelector('.printed h2')")?;
    assert_eq!(page.count("#bold, img, .page script")?, 0);
    assert!(title(page)?.contains("<b id=bold>"), "the title is in the page, as text");
    assert_eq!(page.evaluate("window.heard ?? 0")?, 0);
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}
