//! Every kind of part: taken, put on the board, looked at and taken away, by keys and by mouse.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Card;
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts::CARDS;
use halfrow_e2e::page::Page;
use halfrow_e2e::visit::Visit;
use halfrow_e2e::wire::{Result, Trouble};
use serde_json::json;

/// Holes in the middle of an empty half board where a part of this kind has room: pin 1 of a stiff
/// one, each leg of another.
fn room_for(card: &'static Card) -> Vec<String> {
    let mut bench = Bench::new(BoardKind::Half);
    bench.parts.push(Part::new("it", card));
    let part = PartIx(0);
    if bench.part(part).is_rigid() {
        let mut places = ["e4", "f4", "b4", "g4"].into_iter();
        let place = places.find(|place| {
            let hole = Hole::parse(place).expect("a hole");
            bench.place_rigid(part, hole, Turn::None).is_ok()
        });
        return vec![place.unwrap_or_else(|| panic!("no room for {}", card.kind)).to_owned()];
    }
    let holes: Vec<String> = (0..card.pins.len()).map(|pin| format!("c{}", 4 + pin)).collect();
    for (pin, hole) in holes.iter().enumerate() {
        bench.put_leg(LegId { part, pin }, Hole::parse(hole)).expect("an empty board has room");
    }
    holes
}

/// The part is on the board and chosen, and the strip tells of it; then it is taken away.
fn look_and_take_away(page: &mut Page, card: &Card, holes: &[String]) -> Result {
    let wait = |page: &mut Page, condition: &str| -> Result {
        page.wait_for(condition).map_err(|error| Trouble(format!("{}: {error}", card.name)))
    };
    wait(
        page,
        &format!(
            "document.querySelector('.strip')?.ariaLabel.endsWith({})",
            json!(format!(", {}", card.name))
        ),
    )?;
    let fields = page.count(".strip .hole")?;
    assert_eq!(fields, card.pins.len(), "{}", card.name);
    let first = page.evaluate("document.querySelector('.strip .hole').value")?;
    assert_eq!(first.as_str(), Some(holes[0].as_str()), "{}", card.name);
    let settings = page.count(".strip [id^=value-]")?;
    assert_eq!(settings, card.params.len(), "{}", card.name);
    // The strip leaves its place to the board, and nothing is cut at its side.
    let inside = page
        .evaluate("((strip) => strip.scrollWidth <= strip.clientWidth)(document.querySelector('.strip'))")?;
    assert_eq!(inside, true, "the strip of {} is too wide", card.name);
    page.keys("Backspace")?;
    wait(page, "document.querySelector('.said').innerText.includes('removed')")?;
    assert_eq!(page.count(".strip")?, 0, "{}", card.name);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn every_kind_of_part_is_taken_put_in_and_taken_away_with_the_mouse() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.resize(1024, 500)?;
    for card in CARDS {
        let holes = room_for(card);
        page.put_part(card.name, &holes.iter().map(String::as_str).collect::<Vec<_>>())?;
        look_and_take_away(page, card, &holes)?;
    }
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}

#[test]
#[ignore = "needs the built page and Chromium: cargo xtask test --only e2e"]
fn every_kind_of_part_is_found_put_in_and_taken_away_by_keys() -> Result {
    let mut visit = Visit::start()?;
    let page = &mut visit.page;
    page.click_hole("c3")?;
    for card in CARDS {
        let holes = room_for(card);
        page.keys("Control+k")?;
        page.wait_for("document.activeElement.role === 'combobox'")?;
        page.type_text(card.name)?;
        let found = format!(
            "document.querySelector('.found .on')?.innerText.startsWith({})",
            json!(format!("{}\ntake", card.name))
        );
        for _ in 0..12 {
            if page.evaluate(&found)? == true {
                break;
            }
            page.keys("ArrowDown")?;
        }
        assert_eq!(page.evaluate(&found)?, true, "{} is not found by its name", card.name);
        page.keys("Enter")?;
        page.wait_for("document.activeElement.role === 'gridcell'")?;
        for hole in &holes {
            page.walk_to(hole)?;
            page.keys("Enter")?;
        }
        look_and_take_away(page, card, &holes)?;
    }
    assert_eq!(page.errors()?, [""; 0]);
    Ok(())
}
