use super::*;

#[test]
fn a_limited_source_is_a_source_until_its_limit() {
    let law = Law::LimitedSource { volts: 5.0, ohms: 0.1, limit_amps: 0.5 };
    assert!((law.flow(5.0).amps).abs() < 1e-6);
    assert!((law.flow(4.99).amps + 0.1).abs() < 1e-3);
    // At 5 V beyond its drop it gives a twentieth of a per cent more than its limit.
    assert!((law.flow(0.0).amps + 0.5).abs() < 5e-4);
    assert!(law.flow(9.0).amps > 0.0 && law.flow(9.0).amps < 3e-3);
}

#[test]
fn a_limited_source_keeps_its_limit_to_a_quarter_of_a_per_cent() {
    for limit_amps in [0.001, 0.02, 3.0] {
        let law = Law::LimitedSource { volts: 24.0, ohms: 0.05, limit_amps };
        for volts in [-5.0, 0.0, 2.0, 20.0] {
            let given = -law.flow(volts).amps;
            assert!((given / limit_amps - 1.0).abs() < 0.003, "{limit_amps} {volts}: {given}");
        }
    }
}

#[test]
fn slopes_agree_with_differences() {
    let junction = Junction { saturation_amps: 1e-15, emission_volts: 0.05, series_ohms: 5.0 };
    let laws = [
        Law::Junction(junction),
        Law::LimitedSource { volts: 5.0, ohms: 0.1, limit_amps: 0.5 },
        Law::Source { volts: 3.0, ohms: 2.0 },
    ];
    // At 5 V itself the limited source's corner is half a microvolt wide, too narrow for `h`.
    for law in laws {
        for volts in [-6.0, -0.3, 0.0, 1.2, 1.7, 2.4, 4.94, 4.95, 4.96, 4.999, 5.001, 7.0] {
            let h = 1e-7;
            let slope = (law.flow(volts + h).amps - law.flow(volts - h).amps) / (2.0 * h);
            let told = law.flow(volts).siemens;
            assert!((slope - told).abs() <= 1e-9 + 1e-4 * told, "{law:?} at {volts}: {slope} {told}");
        }
    }
}

const TRANSPORT: Transport = Transport {
    saturation_amps: 1e-14,
    emission_volts: 0.02585,
    knee_amps: f64::INFINITY,
    early_volts: f64::INFINITY,
    pnp: false,
};

#[test]
fn at_its_knee_a_transistor_gives_half_and_at_its_early_voltage_twice() {
    let knee = Transport { knee_amps: 0.05, ..TRANSPORT };
    let early = Transport { early_volts: 80.0, ..TRANSPORT };
    for forward in [0.4, 0.6, 0.75] {
        let plain = TRANSPORT.pull_at(forward, 0.0).amps;
        let bent = knee.pull_at(forward, 0.0).amps;
        // A base current in proportion to `plain` carries less and less: by 1 + I / knee.
        assert!((plain / bent - (1.0 + bent / 0.05)).abs() < 1e-9, "{forward}: {plain} {bent}");
        let at = |reverse| early.pull_at(forward, reverse).amps;
        assert!((at(-80.0) / at(-1e-9) - 2.0).abs() < 1e-3, "{forward}");
    }
}

const STEERED: [Law; 12] = [
    Law::Transport(TRANSPORT),
    Law::Transport(Transport { pnp: true, ..TRANSPORT }),
    Law::Transport(Transport { knee_amps: 0.01, early_volts: 30.0, ..TRANSPORT }),
    Law::Transport(Transport { knee_amps: 0.01, early_volts: 30.0, pnp: true, ..TRANSPORT }),
    Law::Channel(Channel { threshold_volts: 2.1, amps_per_volt2: 0.1, slope_volts: 0.05, p: false }),
    Law::Channel(Channel { threshold_volts: 1.0, amps_per_volt2: 0.3, slope_volts: 0.05, p: true }),
    Law::Gain { siemens: 1e-3, limit_amps: 2e-5 },
    Law::Pair(Pair { siemens: 1e-3, half_amps: 2e-5, headroom_volts: 0.5 }),
    Law::Tail { amps: 1e-5 },
    Law::Drive(Drive {
        offset_volts: 0.0,
        ohms: 50.0,
        drop_volts: 1.3,
        drop_ohms: 40.0,
        limit_amps: 0.03,
        sinks: false,
        reach_volts: 0.0,
    }),
    Law::Drive(Drive {
        offset_volts: 0.0,
        ohms: 50.0,
        drop_volts: 0.01,
        drop_ohms: 40.0,
        limit_amps: 0.02,
        sinks: true,
        reach_volts: 1.2,
    }),
    Law::Capacitance { farads: 1e-6, ohms: 1.0 },
];

#[test]
fn slopes_of_steered_laws_agree_with_differences_and_add_up_to_zero() {
    let volts = [-1.0, 0.0, 0.3, 0.55, 0.62, 2.0, 5.0];
    for law in STEERED {
        for i in 0..volts.len().pow(3) {
            let at = [volts[i % 7], volts[i / 7 % 7], volts[i / 49], 0.1];
            // A junction driven by volts gives a number that means nothing.
            if matches!(law, Law::Transport(it) if it.junction_volts(at).iter().any(|v| *v > 0.7)) {
                continue;
            }
            let pull = law.pull(at);
            let scale: f64 = pull.siemens.iter().map(|g| g.abs()).sum();
            assert!(pull.siemens.iter().sum::<f64>().abs() <= 1e-12 * scale, "{law:?} {at:?}");
            for end in 0..4 {
                let h = 1e-6;
                let (mut up, mut down) = (at, at);
                up[end] += h;
                down[end] -= h;
                let slope = (law.pull(up).amps - law.pull(down).amps) / (2.0 * h);
                let told = pull.siemens[end];
                let off = (slope - told).abs();
                // A difference is off by the square of its reach over the bend's width: at the corner
                // of an output stage, 0.15 mV wide, by 4e-5.
                assert!(off <= 1e-9 + 1e-4 * scale, "{law:?} at {at:?}, {end}: {slope} {told}");
            }
        }
    }
}

#[test]
fn a_junction_behind_a_resistance_meets_its_own_equation() {
    for series_ohms in [1e-6, 0.04, 5.0, 1e4] {
        let junction = Junction { saturation_amps: 1e-18, emission_volts: 0.05, series_ohms };
        for volts in [-1000.0, -5.0, -1e-3, 0.0, 1e-3, 0.5, 2.0, 5.0, 1000.0] {
            let (outer, _) = junction.at(junction.inner_volts(volts));
            assert!((outer - volts).abs() <= 1e-11 * (1.0 + volts.abs()), "{series_ohms} {volts} {outer}");
        }
    }
}

#[test]
fn a_first_stage_and_its_balance_never_give_power() {
    let volts = [-2.0, -0.6, -0.01, 0.0, 0.004, 0.05, 0.7, 5.0];
    for headroom_volts in [-0.3, 1.5] {
        let pair = Law::Pair(Pair { siemens: 2e-4, half_amps: 3e-5, headroom_volts });
        for (a, b) in volts.iter().flat_map(|a| volts.map(|b| (*a, b))) {
            for (c, d) in [(0.0, 0.0), (5.0, 0.0), (0.0, 5.0), (0.01, 0.0)] {
                assert!(pair.pull([a, b, c, d]).amps * (a - b) >= 0.0, "{a} {b} {c} {d}");
            }
            assert!(Law::Tail { amps: 3e-5 }.flow(a - b).amps * (a - b) >= 0.0);
        }
    }
}
