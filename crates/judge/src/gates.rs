//! Which pins of a chip belong together.

use halfrow_core::card::{Card, Duty};

/// The pins that belong together: gates, amplifiers, or the whole chip.
pub(crate) fn gates(card: &Card) -> Vec<Vec<usize>> {
    let pins: Vec<usize> = (0..card.pins.len()).collect();
    let with = |duties: &[Duty]| -> Vec<usize> {
        pins.iter().copied().filter(|&pin| duties.contains(&card.duty(pin))).collect()
    };
    if let Some(logic) = card.logic {
        let (ins, outs) = (logic.inputs.len(), logic.outputs.len());
        if outs >= 4 && (ins == outs || ins == 2 * outs) {
            let each = ins / outs;
            return (0..outs)
                .map(|gate| {
                    let inputs = &logic.inputs[gate * each..(gate + 1) * each];
                    inputs.iter().chain([&logic.outputs[gate]]).map(|&pin| usize::from(pin)).collect()
                })
                .collect();
        }
    }
    let half = card.pins.len() / 2;
    let all = with(&[Duty::Input, Duty::Resting, Duty::Output, Duty::OpenOutput]);
    if all.len() == 6 && with(&[Duty::Input]).len() == 4 {
        return vec![
            all.iter().copied().filter(|&pin| pin < half).collect(),
            all.iter().copied().filter(|&pin| pin >= half).collect(),
        ];
    }
    vec![all]
}
