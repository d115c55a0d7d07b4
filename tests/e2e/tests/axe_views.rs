//! axe-core on every view of the page, beyond the empty one.

use halfrow_e2e::page::Page;
use halfrow_e2e::visit::{Visit, axe_script};
use halfrow_e2e::watch::Look;
use halfrow_e2e::wire::Result;

/// Collects what axe-core finds in a view, so that one run tells all.
#[derive(Default)]
struct Found(Vec<String>);

impl Found {
    fn look(&mut self, page: &mut Page, view: &str) -> Result {
        for violation in page.axe(&axe_script())? {
            self.0.push(format!("{view}: {} ({}) {:?}", violation.rule, violation.help, violation.places));
        }
        Ok(())
    }

    fn assert_nothing(&self) {
        assert!(self.0.is_empty(), "{:#?}", self.0);
    }
}

fn open_sheet(page: &mut Page, name: &str) -> Result {
    page.evaluate(&format!(
        "void [...document.querySelectorAll('.head button')].find((b) => b.innerText === '{name}').click()"
    ))?;
    page.wait_for("document.activeElement.id === 'sheet-title'")
}

fn close_sheet(page: &mut Page) -> Result {
    page.keys("Escape")?;
    page.wait_for("!document.querySelector('.sheet')")
}

/// All tabs, overlays, sheets and a chosen part.
fn look_everywhere(page: &mut Page, found: &mut Found, look: &str, sheets: &[&str]) -> Result {
    for tab in ["Findings", "Meter", "Readings", "Plan", "Wiring", "Nets"] {
        page.open_tab(tab)?;
        found.look(page, &format!("{look}, {tab}"))?;
    }
    page.open_tab("Findings")?;
    for sheet in sheets {
        open_sheet(page, sheet)?;
        found.look(page, &format!("{look}, {sheet}"))?;
        close_sheet(page)?;
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page, Chromium and axe-core: cargo xtask test --only axe"]
fn axe_finds_nothing_on_the_empty_page() -> Result {
    let mut visit = Visit::start()?;
    let mut found = Found::default();
    found.look(&mut visit.page, "empty")?;
    visit.page.look(Look::Dark)?;
    found.look(&mut visit.page, "empty, dark")?;
    found.assert_nothing();
    Ok(())
}

#[test]
#[ignore = "needs the built page, Chromium and axe-core: cargo xtask test --only axe"]
fn axe_finds_nothing_in_any_tab_or_sheet() -> Result {
    for look in [Look::Light, Look::Dark] {
        let mut visit = Visit::at("?example=harbour-mouth-find-it")?;
        let mut found = Found::default();
        let page = &mut visit.page;
        page.look(look)?;
        look_everywhere(page, &mut found, &format!("{look:?}"), &["Examples", "Share", "Keys", "More"])?;
        // A chosen part with its strip of properties, shaded nets and currents.
        page.open_tab("Readings")?;
        page.click(".readings tbody button")?;
        for overlay in ["Volts", "Currents"] {
            page.evaluate(&format!(
                "void [...document.querySelectorAll('.head .overlay')].find((b) => b.innerText === '{overlay}').click()"
            ))?;
        }
        page.wait_for("document.querySelector('.legend')")?;
        found.look(page, &format!("{look:?}, chosen, overlays"))?;
        page.evaluate("void [...document.querySelectorAll('.strip button')].find((b) => b.innerText === 'More').click()")?;
        page.wait_for("document.activeElement.role === 'menuitem'")?;
        found.look(page, &format!("{look:?}, menu"))?;
        page.keys("Escape Control+k")?;
        page.wait_for("document.activeElement.role === 'combobox'")?;
        page.type_text("re")?;
        found.look(page, &format!("{look:?}, search"))?;
        page.keys("Escape")?;
        // A cell of the wiring list that was refused.
        page.open_tab("Wiring")?;
        page.on_cell("#cell-1-2", "z99", "Enter")?;
        page.wait_for("document.querySelector('#cell-1-2-why')")?;
        found.look(page, &format!("{look:?}, refused cell"))?;
        found.assert_nothing();
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page, Chromium and axe-core: cargo xtask test --only axe"]
fn axe_finds_nothing_about_the_meter() -> Result {
    for (look, width, height) in [(Look::Light, 1366, 768), (Look::Dark, 1366, 768), (Look::Light, 360, 740)]
    {
        let mut visit = Visit::at("?example=blown-fuse")?;
        let mut found = Found::default();
        let page = &mut visit.page;
        page.look(look)?;
        page.resize(width, height)?;
        page.open_tab("Meter")?;
        page.wait_for("document.querySelector('.panel .finding') && document.querySelector('.questions')")?;
        page.evaluate(
            "for (const it of document.querySelectorAll('.panel details')) it.open = true;
             for (const name of ['Predict first', 'Write it down'])
               [...document.querySelectorAll('.panel button')].find((it) => it.innerText === name).click();",
        )?;
        page.wait_for("document.querySelector('#guess')")?;
        found.look(page, &format!("{look:?}, {width} px, meter"))?;
        open_sheet(page, "Share")?;
        page.wait_for("document.querySelector('.lesson')")?;
        found.look(page, &format!("{look:?}, {width} px, lesson"))?;
        found.assert_nothing();
    }
    Ok(())
}

#[test]
#[ignore = "needs the built page, Chromium and axe-core: cargo xtask test --only axe"]
fn axe_finds_nothing_in_the_look_of_high_contrast() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth-find-it")?;
    let mut found = Found::default();
    let page = &mut visit.page;
    open_sheet(page, "More")?;
    page.evaluate(
        "void [...document.querySelectorAll('.sheet button')].find((b) => b.innerText === 'High contrast').click()",
    )?;
    found.look(page, "high contrast, More")?;
    close_sheet(page)?;
    look_everywhere(page, &mut found, "high contrast", &["Examples", "Share", "Keys"])?;
    found.assert_nothing();
    Ok(())
}

#[test]
#[ignore = "needs the built page, Chromium and axe-core: cargo xtask test --only axe"]
fn axe_finds_nothing_on_a_phone() -> Result {
    let mut visit = Visit::at("?example=harbour-mouth")?;
    let mut found = Found::default();
    let page = &mut visit.page;
    page.resize(360, 740)?;
    look_everywhere(page, &mut found, "phone", &["Parts", "Examples", "Share", "More"])?;
    found.assert_nothing();
    Ok(())
}
