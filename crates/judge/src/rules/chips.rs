//! Chips: which way they stand and what feeds them.

use halfrow_core::amount;
use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::card::{Card, Duty};
use halfrow_core::part::Part;

use crate::finding::{Code, Finding, Severity, tells, tells_of};
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{holes, list};

pub(crate) static CHIP_TURNED: Rule = Rule {
    code: Code::ChipTurned,
    severity: Severity::Fault,
    what: on_paper("A chip stands the wrong way round: its notch points to the other end."),
    run: |judged, findings| judged.take(&judged.walks.power, power, CHIP_TURNED.code, findings, is_explained),
};

pub(crate) static CHIP_REVERSED: Rule = Rule {
    code: Code::ChipReversed,
    severity: Severity::Fault,
    what: on_paper("A chip’s power pins are joined the wrong way round."),
    run: |judged, findings| {
        judged.take(&judged.walks.power, power, CHIP_REVERSED.code, findings, is_explained)
    },
};

pub(crate) static CHIP_UNPOWERED: Rule = Rule {
    code: Code::ChipUnpowered,
    severity: Severity::Fault,
    what: on_paper("A chip’s power pin doesn’t reach the supply."),
    run: |judged, findings| {
        judged.take(&judged.walks.power, power, CHIP_UNPOWERED.code, findings, is_explained)
    },
};

pub(crate) static CHIP_SUPPLY: Rule = Rule {
    code: Code::ChipSupply,
    severity: Severity::Fault,
    what: on_paper("A chip’s supply voltage is more or less than it works with."),
    run: |judged, findings| judged.take(&judged.walks.power, power, CHIP_SUPPLY.code, findings, is_explained),
};

pub(crate) static NO_DECOUPLING: Rule = Rule {
    code: Code::NoDecoupling,
    severity: Severity::Habit,
    what: on_paper("No capacitor stands between a chip’s power pins."),
    run: decoupling,
};

fn pin_with(card: &Card, duty: Duty) -> Option<usize> {
    (0..card.pins.len()).find(|&pin| card.duty(pin) == duty)
}

/// Whether nothing but wires and capacitors is joined to one of a chip's power pins. Through its inputs
/// it may still get enough to look alive.
fn starved(judged: &Judged<'_>, part: PartIx, pins: [usize; 2]) -> bool {
    let bench = judged.bench;
    pins.into_iter().any(|pin| {
        let own = judged.metal_at(part, pin);
        !bench.legs().any(|(leg, at)| {
            let card = bench.part(leg.part).card;
            let feeds = !card.is_wire() && !card.decouples;
            leg.part != part && at.hole.is_some() && feeds && judged.metal_at(leg.part, leg.pin) == own
        })
    })
}

/// Whether what is said of a chip's power follows from a finding made before.
fn is_explained(_: &Judged<'_>, before: &[Finding], it: &Finding) -> bool {
    let told = [Code::NotStraddling, Code::LegOut, Code::LegInAir];
    tells(before, &[Code::SupplyBackwards]) || tells_of(before, &told, it.parts[0])
}

/// A chip with its two power pins, and what they get.
struct Fed<'a, 'b> {
    judged: &'a Judged<'b>,
    part: PartIx,
    it: &'a Part,
    power: usize,
    ground: usize,
    /// Volts between its power pins.
    volts: f64,
    /// The volts that it works with.
    least: f64,
    most: f64,
}

impl Fed<'_, '_> {
    /// Whether metal and contacts join a pin to a supply's + (or its −).
    fn at(&self, pin: usize, plus: bool) -> bool {
        // A switch that is open is no mistake. One that changes over between + and − joins neither to
        // the other.
        self.judged.fed()[usize::from(!plus)][self.judged.graph.at(LegId { part: self.part, pin })]
    }

    fn by_switch(&self) -> bool {
        self.at(self.power, true) && self.at(self.ground, false)
    }

    fn by_metal(&self) -> bool {
        let own = |pin| self.judged.graph.at(LegId { part: self.part, pin });
        self.judged.pole(own(self.power)).0 && self.judged.pole(own(self.ground)).1
    }

    fn pin(&self, pin: usize) -> &'static str {
        self.it.card.pins[pin].says
    }

    fn finding(&self, rule: &Rule, pins: &[usize], words: [String; 3], why: &str) -> Finding {
        let [symptom, says, remedy] = words;
        Finding {
            code: rule.code,
            severity: rule.severity,
            parts: vec![self.part],
            holes: self.judged.holes_of(self.part, pins),
            symptom,
            says,
            why: why.to_owned(),
            remedy,
        }
    }

    /// What is wrong with its power, if anything.
    fn wrong(&self) -> Option<Finding> {
        let Fed { judged, part, power, ground, volts, least, .. } = *self;
        let by_switch = self.by_switch();
        if let Some(turned) = self.turned() {
            return Some(turned);
        }
        if self.at(power, false) && self.at(ground, true) || volts < -0.5 {
            return Some(self.reversed());
        }
        if by_switch && !self.by_metal() && volts < least {
            return None; // Switched off.
        }
        if !by_switch && judged.is_brought_to_life(part) {
            return None; // What keeps its power away is told.
        }
        if !by_switch && (volts < 0.9 * least || starved(judged, part, [power, ground])) {
            return Some(self.unpowered());
        }
        self.too_many_or_few()
    }

    fn turned(&self) -> Option<Finding> {
        let Fed { judged, part, it, power, ground, .. } = *self;
        let count = it.legs.len();
        let opposite = |pin: usize| (pin + count / 2) % count;
        if self.by_switch() {
            return None;
        }
        if it.card.chip && self.at(opposite(power), true) && self.at(opposite(ground), false) {
            let up = it.turn.degrees() == 180;
            let words = [
                format!("{} does nothing and may get hot.", it.id),
                format!(
                    "{} is turned round: + and − lie where {} and {} would be the other way, but {} and {} are there.",
                    it.id,
                    self.pin(power),
                    self.pin(ground),
                    self.pin(opposite(power)),
                    self.pin(opposite(ground))
                ),
                format!(
                    "Disconnect the power and turn {} by half a turn: its notch points {} then.",
                    it.id,
                    if up { "up" } else { "down" }
                ),
            ];
            let why = "Pin 1 is left of the notch. Turned round, a chip gets its power through the wrong pins, and that can destroy it at once.";
            return Some(self.finding(&CHIP_TURNED, &[power, ground], words, why));
        }
        let out =
            pin_with(it.card, Duty::Feed).filter(|&out| self.at(ground, false) && self.at(out, true))?;
        let words = [
            format!("{} gives next to nothing.", it.id),
            format!(
                "{} is turned round: + is at {}, and nothing feeds {}.",
                it.id,
                judged.its_pin(part, out),
                judged.its_pin(part, power)
            ),
            format!("Disconnect the power and turn {} round: {} to +.", it.id, self.pin(power)),
        ];
        let why = "A regulator takes its power at one end and gives it at the other. The wrong way round it can be destroyed.";
        Some(self.finding(&CHIP_TURNED, &[power, out], words, why))
    }

    fn reversed(&self) -> Finding {
        let Fed { judged, part, it, power, ground, .. } = *self;
        let words = [
            format!("{} does nothing and gets hot.", it.id),
            format!(
                "{} gets its power the wrong way round: {} is at −, {} at +.",
                it.id,
                judged.its_pin(part, power),
                judged.its_pin(part, ground)
            ),
            format!(
                "Disconnect the power at once; join {} to + and {} to −.",
                self.pin(power),
                self.pin(ground)
            ),
        ];
        let why = "A chip with its power reversed conducts like a diode and is destroyed within seconds.";
        self.finding(&CHIP_REVERSED, &[power, ground], words, why)
    }

    fn unpowered(&self) -> Finding {
        let Fed { judged, part, it, power, ground, .. } = *self;
        let pins = [(power, true), (ground, false)];
        let lacks: Vec<usize> =
            pins.into_iter().filter(|&(pin, plus)| !self.at(pin, plus)).map(|(pin, _)| pin).collect();
        let named: Vec<String> = lacks.iter().map(|&pin| judged.its_pin(part, pin)).collect();
        let to = if lacks == [ground] { "−" } else { "+" };
        let fails = if lacks.len() == 2 {
            "reach neither + nor −".to_owned()
        } else {
            format!("doesn’t reach {to}")
        };
        let words = [
            format!("{} does nothing.", it.id),
            format!("{} has no power: {} {fails}.", it.id, list(&named)),
            format!("Join {} to the + rail and {} to the − rail.", self.pin(power), self.pin(ground)),
        ];
        let why = "Every chip needs its two power pins, even where a drawing leaves them out.";
        self.finding(&CHIP_UNPOWERED, &lacks, words, why)
    }

    fn too_many_or_few(&self) -> Option<Finding> {
        let Fed { it, volts, least, most, .. } = *self;
        let has = amount::volts(volts);
        let (words, why) = if volts > most {
            let words = [
                format!("{} gets hot and may be destroyed.", it.id),
                format!("{} has {has} between its power pins; it takes {most} V at most.", it.id),
                format!("Give {} {least} to {most} V: fewer cells, or a regulator.", it.id),
            ];
            (words, "More than a chip’s highest supply voltage breaks through its insulation.")
        } else if self.by_metal() && volts < least - 0.05 {
            let words = [
                format!("{} does not work as it should.", it.id),
                format!("{} has only {has} between its power pins; it needs {least} V.", it.id),
                format!("Give {} {least} to {most} V: more cells, or fresh ones.", it.id),
            ];
            (words, "Below its lowest supply voltage a chip does anything or nothing.")
        } else {
            return None;
        };
        Some(self.finding(&CHIP_SUPPLY, &[self.power, self.ground], words, why))
    }
}

/// What is wrong with the power of each chip.
fn power(judged: &Judged<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let bench = judged.bench;
    let poles = judged.graph.poles();
    if poles.is_empty() || poles.iter().any(|it| judged.metal[it.plus] == judged.metal[it.minus]) {
        // With + and − one piece of metal, what a chip gets can't be told.
        return findings;
    }
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let (Some(power), Some(ground)) = (pin_with(it.card, Duty::Power), pin_with(it.card, Duty::Ground))
        else {
            continue;
        };
        if it.legs.iter().all(|leg| leg.hole.is_none()) {
            continue;
        }
        let volts = judged.point.part(part).volts_across(power, ground).unwrap_or(0.0);
        let (least, most) = it.card.supply_volts.unwrap_or((0.0, f64::INFINITY));
        findings.extend(Fed { judged, part, it, power, ground, volts, least, most }.wrong());
    }
    // A chip that is turned round pulls the supply down for all of them.
    if tells(&findings, &[CHIP_TURNED.code, CHIP_REVERSED.code]) {
        findings.retain(|it| it.code != CHIP_SUPPLY.code);
    }
    findings
}

fn decoupling(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    // As it is meant: a rail that nothing feeds yet is told.
    let meant = judged.meant();
    let places = meant.metal();
    let metal = |part, pin| places[meant.at(LegId { part, pin })];
    let mut bare: Vec<PartIx> = Vec::new();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let (Some(power), Some(ground), true) =
            (pin_with(it.card, Duty::Power), pin_with(it.card, Duty::Ground), it.card.chip)
        else {
            continue;
        };
        let told = [
            CHIP_TURNED.code,
            CHIP_REVERSED.code,
            CHIP_UNPOWERED.code,
            CHIP_SUPPLY.code,
            Code::NotStraddling,
        ];
        if tells_of(findings, &told, part) || judged.is_brought_to_life(part) {
            continue;
        }
        let (plus, minus) = (metal(part, power), metal(part, ground));
        let has_one = bench.parts.iter().enumerate().any(|(other, it)| {
            let ends =
                [0, 1].map(|pin| if it.legs.len() == 2 { metal(PartIx(other), pin) } else { usize::MAX });
            it.card.decouples && (ends == [plus, minus] || ends == [minus, plus])
        });
        if !has_one {
            bare.push(part);
        }
    }
    let Some(&first) = bare.first() else { return };
    let names = crate::words::names(bench, &bare);
    findings.push(Finding {
        code: NO_DECOUPLING.code,
        severity: NO_DECOUPLING.severity,
        holes: holes(judged.bench, first).into_iter().take(1).collect(),
        symptom: "On a long lead the chip may act up now and then.".to_owned(),
        says: format!("No capacitor stands between + and − of {names}."),
        why: "When outputs switch they take current in pulses. A capacitor close by gives it at once, before the supply at the end of its leads can.".to_owned(),
        remedy: format!("Put 100 nF between the power pins of {names}, as near as there is room."),
        parts: bare,
    });
}
