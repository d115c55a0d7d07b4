use halfrow_core::sample::sixty_parts;

use super::*;
use crate::symptom;

fn heard(mail: &str) -> Vec<String> {
    let plan = sixty_parts();
    let heard = read(&plan, mail);
    heard
        .symptoms
        .iter()
        .map(|it| said(&plan, it))
        .chain(heard.unclear.iter().map(|it| format!("? {it}")))
        .collect()
}

fn said(plan: &Bench, symptom: &Symptom) -> String {
    let id = |part: PartIx| plan.part(part).id.as_str();
    match *symptom {
        Symptom::Seen { part, sight } => format!("{}={}", id(part), sight.word()),
        Symptom::Read(Reading { probe, value, .. }) => match probe {
            Probe::Volts { red, black } => {
                format!("{}:{}={value}V", symptom::spot_word(plan, red), symptom::spot_word(plan, black))
            }
            Probe::Across(part) => format!("{}={value}V", id(part)),
            Probe::Amps(part) => format!("{}={value}A", id(part)),
            Probe::Ohms(part) => format!("{}={value}Ω", id(part)),
        },
        Symptom::Look { part, found } => format!("{} {found:?}", id(part)),
        Symptom::Tried { part, what } => format!("{} {what:?}", id(part)),
    }
}

#[test]
fn mails_are_understood() {
    for (mail, symptoms) in [
        ("D2 stays dark, and I read 3.4 V across R2.", &["D2=dark", "R2=3.4V"][..]),
        ("D2 stays dark. I measured 3,4 volts on R2", &["D2=dark", "R2=3.4V"]),
        ("D1, D3 and D4 are lit but D2 is dim!", &["D1=lit", "D3=lit", "D4=lit", "D2=dim"]),
        ("D2 doesn’t light up; R2 gets hot", &["D2=dark", "R2=hot"]),
        ("D3 blinks too fast and D4 does not work", &["D3=blinks-fast", "D4=dark"]),
        ("R2 is smoking", &["R2=smokes"]),
        ("There are 12 mA through R3.", &["R3=0.012A"]),
        ("From c16 to g16 I get 0.2 V.", &["c16:g16=0.2V"]),
        ("R2.2 to L-3 reads 5.1V", &["R2.2:L-3=5.1V"]),
        ("D2 is not hot", &["D2=cool"]),
        ("I changed D2, it is still dark", &["D2 Exchanged", "D2=dark"]),
        ("R4 measures 1.5 kΩ", &["R4=1500Ω"]),
        ("D2 is backwards", &["D2 Turned"]),
        ("d2 is off", &["D2=dark"]),
        ("Hello, thanks for the plan.", &[]),
    ] {
        assert_eq!(heard(mail), symptoms, "{mail}");
    }
}

#[test]
fn what_is_not_understood_is_handed_back() {
    assert_eq!(heard("D2 looks sad."), ["? D2 looks sad"]);
    assert_eq!(heard("I measured 3.4 V."), ["? I measured 3.4 V"]);
}

#[test]
fn no_text_is_too_strange() {
    for mail in [
        "",
        "....",
        "D2",
        ",,, and and but",
        "3.4",
        "V",
        "D2 3.4 V D2 D2 3.4 V across",
        "\u{2126}\u{1}\u{2}",
        "'s 's",
    ] {
        heard(mail);
    }
}
