//! `cargo xtask shots`: the page as PNG files in `shots/`, at the sizes and in the colours that it is
//! designed for.

use crate::build::Wanted;
use crate::failure::{Failure, Outcome, at};
use crate::test::need_chromium;
use crate::tools::{heading, say};
use crate::{build, house, serve};
use halfrow_browser::browser::Browser;
use halfrow_browser::watch::Look;
use halfrow_browser::wire::Trouble;
use std::fs;
use std::path::PathBuf;

/// A school laptop, the same scaled up, an embedded page, a phone.
const SIZES: [(u32, u32); 4] = [(1366, 768), (1024, 500), (640, 400), (360, 740)];
const LOOKS: [(&str, Look); 3] = [("light", Look::Light), ("dark", Look::Dark), ("forced", Look::Forced)];

/// What to take.
pub struct Wish {
    /// What stands behind the address: `?example=harbour-mouth`.
    pub suffix: String,
    /// Only shots whose name holds one of these, with commas between: `1366x768-light`.
    pub only: Option<String>,
    /// A script to run in the page before each shot.
    pub script: Option<PathBuf>,
    /// Of which page.
    pub page: Wanted,
}

/// Takes the shots.
pub fn shots(wish: &Wish) -> Outcome {
    build::build(wish.page)?;
    heading("shots");
    need_chromium()?;
    let script = match &wish.script {
        Some(path) => Some(at(path, fs::read_to_string(path))?),
        None => None,
    };
    let server = serve::open(0)?;
    let folder = house::root().join("shots");
    at(&folder, fs::create_dir_all(&folder))?;
    let wanted =
        |name: &str| wish.only.as_ref().is_none_or(|only| only.split(',').any(|part| name.contains(part)));
    let mut taken = 0;
    let mut browser = Browser::start().map_err(told)?;
    for (width, height) in SIZES {
        for (colours, look) in LOOKS {
            let name = format!("{width}x{height}-{colours}");
            if !wanted(&name) {
                continue;
            }
            let address = format!("{}{}", server.address(), wish.suffix);
            let picture =
                take(&mut browser, &address, (width, height), look, script.as_deref()).map_err(told)?;
            let path = folder.join(format!("{name}{}.png", tag(&wish.suffix)));
            at(&path, fs::write(&path, picture))?;
            say(&format!("shots/{}", path.file_name().unwrap_or_default().display()));
            taken += 1;
        }
    }
    if taken == 0 {
        return Err(Failure::Usage(
            "No shot has such a name. Names are like 1366x768-light, -dark, -forced.".into(),
        ));
    }
    Ok(())
}

fn take(
    browser: &mut Browser,
    address: &str,
    (width, height): (u32, u32),
    look: Look,
    script: Option<&str>,
) -> Result<Vec<u8>, Trouble> {
    let mut page = browser.page()?;
    page.resize(width, height)?;
    page.look(look)?;
    page.open(address)?;
    page.wait_until_live()?;
    if let Some(script) = script {
        page.evaluate(&format!("(async () => {{ {script}\n }})()"))?;
    }
    // Two frames on, what the script changed has been drawn.
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")?;
    for error in page.errors()? {
        say(&format!("the page says: {error}"));
    }
    let picture = page.screenshot()?;
    page.close()?;
    Ok(picture)
}

/// The suffix as part of a file's name.
fn tag(suffix: &str) -> String {
    let plain: String =
        suffix.chars().map(|sign| if sign.is_ascii_alphanumeric() { sign } else { '-' }).collect();
    let short: String = plain.trim_matches('-').chars().take(40).collect();
    if short.is_empty() { short } else { format!("-{short}") }
}

/// The harness's trouble in our words.
pub fn told(trouble: Trouble) -> Failure {
    Failure::Check(trouble.to_string())
}
