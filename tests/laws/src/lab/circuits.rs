//! Circuits that labs build, as lists of parts and joints, without a place for anything.
//!
//! A line is `NAME kind key=value … PIN:net …`; `{a|b|c}` is one of several. The nets `+` and `-` are a
//! supply's, `v-` is the other side of a dual supply. Values are those of textbooks and data sheets
//! (common practice, no source).

/// A family of circuits and one of its members.
#[derive(Clone, Copy, Debug)]
pub struct Plan {
    /// What it is, for tables.
    pub family: &'static str,
    /// Its parts and joints.
    pub parts: &'static str,
}

const fn plan(family: &'static str, parts: &'static str) -> Plan {
    Plan { family, parts }
}

/// A pack or a bench supply of some 5 V.
macro_rules! five {
    ($rest:literal) => {
        concat!("{BT1 battery cells=4|BT1 battery cells=4|PS1 supply volts=5|US1 usb} +:+ -:-\n", $rest)
    };
}

/// A 9 V block.
macro_rules! nine {
    ($rest:literal) => {
        concat!("{BT1 battery cell=9v-block cells=1|PS1 supply volts=9} +:+ -:-\n", $rest)
    };
}

/// What chips of the 74HC family need: a supply with its capacitor.
macro_rules! logic {
    ($rest:literal) => {
        concat!("{PS1 supply volts=5|US1 usb} +:+ -:-\nC9 capacitor farads=1e-7 1:+ 2:-\n", $rest)
    };
}

/// Two 9 V blocks in series, the middle of which is ground.
macro_rules! dual {
    ($rest:literal) => {
        concat!(
            "BT1 battery cell=9v-block cells=1 +:+ -:-\nBT2 battery cell=9v-block cells=1 +:- -:v-\nC8 capacitor farads=1e-7 1:+ 2:-\nC9 capacitor farads=1e-7 1:- 2:v-\n",
            $rest
        )
    };
}

/// Circuits that the findings may be tuned on.
pub const PLANS: &[Plan] = &[
    plan("lamps", five!("R1 resistor ohms={220|330|470} 1:+ 2:a\nD1 led colour={red|green|yellow} A:a K:-")),
    plan("lamps", five!("D1 led colour={red|green|yellow} A:+ K:a\nR1 resistor ohms={220|330|470} 1:a 2:-")),
    plan(
        "lamps",
        five!(
            "R1 resistor ohms=220 1:+ 2:a\nD1 led A:a K:-\nR2 resistor ohms=330 1:+ 2:b\nD2 led colour=green A:b K:-\nR3 resistor ohms=470 1:+ 2:c\nD3 led colour=yellow A:c K:-"
        ),
    ),
    plan(
        "lamps",
        nine!("R1 resistor ohms={220|330} 1:+ 2:a\nD1 led A:a K:b\nD2 led colour={red|yellow} A:b K:-"),
    ),
    plan(
        "lamps",
        nine!(
            "R1 resistor ohms=470 1:+ 2:a\nD1 led A:a K:b\nD2 led A:b K:-\nR2 resistor ohms=680 1:+ 2:c\nD3 led colour=green A:c K:-"
        ),
    ),
    plan("switches", five!("SB1 push-button 1:+ 3:a\nR1 resistor ohms={220|330} 1:a 2:b\nD1 led A:b K:-")),
    plan(
        "switches",
        five!("S1 slide-switch 2:+ 3:a\nR1 resistor ohms={220|330|470} 1:a 2:b\nD1 led colour=green A:b K:-"),
    ),
    plan(
        "switches",
        five!(
            "S1 slide-switch 2:+ 1:x 3:y\nS2 slide-switch 1:x 3:y 2:a\nR1 resistor ohms=330 1:a 2:b\nD1 led A:b K:-"
        ),
    ),
    plan(
        "switches",
        five!(
            "SB1 push-button 1:+ 3:a\nSB2 push-button 1:+ 3:a\nR1 resistor ohms=220 1:a 2:b\nD1 led A:b K:-"
        ),
    ),
    plan(
        "dividers",
        five!("RV1 potentiometer ohms=1000 1:+ 2:a 3:-\nR1 resistor ohms=220 1:a 2:b\nD1 led A:b K:-"),
    ),
    plan(
        "dividers",
        nine!(
            "R1 resistor ohms=1000 1:+ 2:m\nR2 resistor ohms=1000 1:m 2:-\nR3 resistor ohms=330 1:m 2:b\nD1 led A:b K:-"
        ),
    ),
    plan(
        "dividers",
        nine!(
            "R1 resistor ohms=330 1:+ 2:z\nD2 zener volts=5.1 K:z A:-\nR2 resistor ohms=470 1:z 2:b\nD1 led A:b K:-"
        ),
    ),
    plan(
        "transistors",
        five!(
            "SB1 push-button 1:+ 3:p\nR1 resistor ohms={1000|4700} 1:p 2:b\nR3 resistor ohms=10000 1:b 2:-\nQ1 transistor E:- B:b C:c\nR2 resistor ohms=220 1:+ 2:d\nD1 led A:d K:c"
        ),
    ),
    plan(
        "transistors",
        five!(
            "SB1 push-button 1:p 3:-\nR1 resistor ohms=4700 1:b 2:p\nR3 resistor ohms=10000 1:+ 2:b\nQ1 transistor type=2n3906 E:+ B:b C:c\nR2 resistor ohms=220 1:c 2:d\nD1 led A:d K:-"
        ),
    ),
    plan(
        "transistors",
        five!(
            "LDR1 photoresistor lux=20 1:b 2:-\nR1 resistor ohms=22000 1:+ 2:b\nQ1 transistor-cbe C:c B:b E:-\nR2 resistor ohms=330 1:+ 2:d\nD1 led A:d K:c"
        ),
    ),
    plan(
        "transistors",
        five!(
            "SB1 push-button 1:+ 3:p\nR1 resistor ohms=1000 1:p 2:b\nQ1 transistor E:- B:b C:c\nBZ1 buzzer +:+ -:c"
        ),
    ),
    plan(
        "mosfets",
        five!(
            "SB1 push-button 1:+ 3:p\nR1 resistor ohms=100 1:p 2:g\nR2 resistor ohms=10000 1:g 2:-\nQ1 power-mosfet G:g D:d S:-\nM1 motor +:+ -:d\nD1 diode type=1n4001 A:d K:+"
        ),
    ),
    plan(
        "mosfets",
        five!(
            "SB1 push-button 1:+ 3:g\nR2 resistor ohms=10000 1:g 2:-\nQ1 mosfet S:- G:g D:d\nR1 resistor ohms=220 1:+ 2:a\nD1 led A:a K:d"
        ),
    ),
    plan(
        "relays",
        five!(
            "SB1 push-button 1:+ 3:p\nR1 resistor ohms=1000 1:p 2:b\nQ1 transistor E:- B:b C:c\nK1 relay 1:+ 5:c 2:+ 3:n\nD2 diode type=1n4001 A:c K:+\nR2 resistor ohms=220 1:n 2:d\nD1 led A:d K:-"
        ),
    ),
    plan(
        "relays",
        five!(
            "S1 slide-switch 2:+ 3:p\nR1 resistor ohms=1000 1:p 2:b\nQ1 transistor E:- B:b C:c\nK1 relay 1:+ 5:c 2:+ 3:n 4:m\nD2 diode type=1n4001 A:c K:+\nR2 resistor ohms=220 1:n 2:d\nD1 led A:d K:-\nR3 resistor ohms=220 1:m 2:e\nD3 led colour=green A:e K:-"
        ),
    ),
    plan(
        "bridges",
        five!(
            "Q1 power-mosfet type=p G:x D:m S:+\nQ2 power-mosfet G:x D:m S:-\nQ3 power-mosfet type=p G:y D:n S:+\nQ4 power-mosfet G:y D:n S:-\nS1 slide-switch 1:+ 2:x 3:-\nS2 slide-switch to=3 1:+ 2:y 3:-\nM1 motor +:m -:n\nD1 diode type=1n4001 A:m K:+\nD2 diode type=1n4001 A:- K:m\nD3 diode type=1n4001 A:n K:+\nD4 diode type=1n4001 A:- K:n"
        ),
    ),
    plan(
        "timers",
        five!(
            "U1 555 1:- 2:t 3:o 4:+ 6:t 7:d 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nR1 resistor ohms=10000 1:+ 2:d\nR2 resistor ohms=100000 1:d 2:t\nC1 electrolytic farads={1e-6|4.7e-6} +:t -:-\nC2 capacitor farads=1e-8 1:v 2:-\nU1! 5:v\nR3 resistor ohms=330 1:o 2:a\nD1 led A:a K:-"
        ),
    ),
    plan(
        "timers",
        five!(
            "U1 555 1:- 2:t 3:o 4:+ 5:v 6:d 7:d 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nR1 resistor ohms=100000 1:+ 2:d\nC1 electrolytic farads=1e-5 +:d -:-\nC2 capacitor farads=1e-8 1:v 2:-\nR2 resistor ohms=10000 1:+ 2:t\nSB1 push-button 1:t 3:-\nR3 resistor ohms=330 1:o 2:a\nD1 led A:a K:-"
        ),
    ),
    plan(
        "comparators",
        five!(
            "U1 comparator 1:o 2:r 3:s 4:- 5:- 6:+ 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nLDR1 photoresistor lux=50 1:s 2:-\nR1 resistor ohms=10000 1:+ 2:s\nR4 resistor ohms=10000 1:+ 2:r\nR5 resistor ohms=10000 1:r 2:-\nR2 resistor ohms=330 1:+ 2:a\nD1 led A:a K:o"
        ),
    ),
    plan(
        "comparators",
        five!(
            "U1 comparator 1:o 2:s 3:r 4:- 5:- 6:+ 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nRT1 thermistor celsius=20 1:+ 2:s\nR1 resistor ohms=10000 1:s 2:-\nRV1 potentiometer ohms=10000 1:+ 2:r 3:-\nR2 resistor ohms=330 1:+ 2:a\nD1 led A:a K:o"
        ),
    ),
    plan(
        "op-amps",
        "BT1 battery cell=9v-block cells=1 +:+ -:-\nBT2 battery cell=9v-block cells=1 +:- -:v-\nU1 op-amp 1:o 2:n 3:p 4:v- 5:- 6:q 7:q 8:+\nC8 capacitor farads=1e-7 1:+ 2:-\nC9 capacitor farads=1e-7 1:- 2:v-\nRV1 potentiometer ohms=10000 position=0.3 1:+ 2:p 3:v-\nR1 resistor ohms=10000 1:n 2:-\nR2 resistor ohms=10000 1:o 2:n\nR3 resistor ohms=1000 1:o 2:a\nD1 led A:a K:-\nD2 led colour=green A:- K:a",
    ),
    plan(
        "op-amps",
        five!(
            "U1 op-amp type=rail-to-rail 1:o 2:o 3:p 4:- 5:- 6:q 7:q 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nRV1 potentiometer ohms=10000 1:+ 2:p 3:-\nR3 resistor ohms=330 1:o 2:a\nD1 led A:a K:-"
        ),
    ),
    plan(
        "gates",
        logic!(
            "U1 74hc08 1:a 2:b 3:y 4:- 5:- 9:- 10:- 12:- 13:- 7:- 14:+\nSB1 push-button 1:+ 3:a\nSB2 push-button 1:+ 3:b\nR1 resistor ohms=10000 1:a 2:-\nR2 resistor ohms=10000 1:b 2:-\nR3 resistor ohms=470 1:y 2:d\nD1 led A:d K:-"
        ),
    ),
    plan(
        "gates",
        logic!(
            "U1 74hc00 1:s 2:q 3:p 4:p 5:r 6:q 9:- 10:- 12:- 13:- 7:- 14:+\nSB1 push-button 1:s 3:-\nSB2 push-button 1:r 3:-\nR1 resistor ohms=10000 1:+ 2:s\nR2 resistor ohms=10000 1:+ 2:r\nR3 resistor ohms=470 1:p 2:d\nD1 led A:d K:-\nR4 resistor ohms=470 1:q 2:e\nD2 led colour=green A:e K:-"
        ),
    ),
    plan(
        "gates",
        logic!(
            "U1 74hc04 1:a 2:y 3:- 5:- 9:- 11:- 13:- 7:- 14:+\nS1 slide-switch 1:+ 2:a 3:-\nR3 resistor ohms=470 1:y 2:d\nD1 led A:d K:-"
        ),
    ),
    plan(
        "counters",
        logic!(
            "U1 555 1:- 2:t 3:o 4:+ 6:t 7:d 8:+\nR1 resistor ohms=10000 1:+ 2:d\nR2 resistor ohms=47000 1:d 2:t\nC1 electrolytic farads=1e-6 +:t -:-\nU2 74hc4017 14:o 13:- 15:h 8:- 16:+ 3:q0 2:q1 4:q2 7:h\nC8 capacitor farads=1e-7 1:+ 2:-\nR3 resistor ohms=470 1:q0 2:d0\nD1 led A:d0 K:-\nR4 resistor ohms=470 1:q1 2:d1\nD2 led A:d1 K:-\nR5 resistor ohms=470 1:q2 2:d2\nD3 led A:d2 K:-"
        ),
    ),
    plan(
        "counters",
        logic!(
            "U1 74hc4511 7:a0 1:a1 2:- 6:- 3:+ 4:+ 5:- 8:- 16:+ 13:sa 12:sb 11:sc 10:sd 9:se 15:sf 14:sg\nS1 slide-switch 1:+ 2:a0 3:-\nS2 slide-switch 1:+ 2:a1 3:-\nDS1 seven-segment 1:ta 13:tb 10:tc 8:td 7:te 2:tf 11:tg 3:-\nR1 resistor ohms=470 1:sa 2:ta\nR2 resistor ohms=470 1:sb 2:tb\nR3 resistor ohms=470 1:sc 2:tc\nR4 resistor ohms=470 1:sd 2:td\nR5 resistor ohms=470 1:se 2:te\nR6 resistor ohms=470 1:sf 2:tf\nR7 resistor ohms=470 1:sg 2:tg"
        ),
    ),
    plan(
        "rectifiers",
        "SG1 signal shape=sine hertz=50 amplitude_volts=9 +:x -:y\nD1 diode type=1n4001 A:x K:p\nD2 diode type=1n4001 A:y K:p\nD3 diode type=1n4001 A:n K:x\nD4 diode type=1n4001 A:n K:y\nC1 electrolytic farads=1e-4 +:p -:n\nR1 resistor ohms=1000 1:p 2:a\nD5 led A:a K:n",
    ),
    plan(
        "regulators",
        nine!(
            "U1 regulator type=7805 IN:+ GND:- OUT:v\nC1 capacitor farads=3.3e-7 1:+ 2:-\nC2 electrolytic farads=1e-5 +:v -:-\nR1 resistor ohms=330 1:v 2:a\nD1 led A:a K:-\nR2 resistor ohms=470 1:v 2:b\nD2 led colour=green A:b K:-"
        ),
    ),
    plan(
        "motors",
        five!("F1 fuse 1:+ 2:f\nS1 slide-switch 2:f 3:m\nM1 motor +:m -:-\nD1 diode type=1n4001 A:- K:m"),
    ),
    plan(
        "blinkers",
        five!(
            "R1 resistor ohms=220 1:+ 2:a\nD1 led A:a K:c1\nR2 resistor ohms=47000 1:+ 2:b1\nR3 resistor ohms=47000 1:+ 2:b2\nR4 resistor ohms=220 1:+ 2:d\nD2 led A:d K:c2\nQ1 transistor E:- B:b1 C:c1\nQ2 transistor E:- B:b2 C:c2\nC1 electrolytic farads=1e-5 +:c1 -:b2\nC2 electrolytic farads=1e-5 +:c2 -:b1"
        ),
    ),
    plan(
        "colour lamps",
        five!(
            "D1 rgb-led common=cathode R:r COM:- G:g B:b\nR1 resistor ohms=330 1:p 2:r\nR2 resistor ohms=220 1:q 2:g\nR3 resistor ohms=220 1:s 2:b\nSB1 push-button 1:+ 3:p\nSB2 push-button 1:+ 3:q\nSB3 push-button 1:+ 3:s"
        ),
    ),
    plan(
        "op-amps",
        dual!(
            "RV1 potentiometer ohms=10000 position=0.3 1:+ 2:p 3:v-\nR1 resistor ohms={4700|10000} 1:p 2:n\nR2 resistor ohms=22000 1:o 2:n\nU1 op-amp 1:o 2:n 3:- 4:v- 5:- 6:q 7:q 8:+\nR3 resistor ohms=1000 1:o 2:a\nD1 led A:a K:-\nD2 led colour=green A:- K:a"
        ),
    ),
    plan(
        "op-amps",
        dual!(
            "S1 slide-switch 1:+ 2:x 3:-\nS2 slide-switch 1:+ 2:y 3:-\nR1 resistor ohms=22000 1:x 2:n\nR2 resistor ohms=47000 1:y 2:n\nR4 resistor ohms=10000 1:o 2:n\nU1 op-amp 1:o 2:n 3:- 4:v- 5:- 6:q 7:q 8:+\nR3 resistor ohms=1000 1:o 2:a\nD1 led A:a K:-\nD2 led colour=green A:- K:a"
        ),
    ),
    plan(
        "comparators",
        nine!(
            "U1 op-amp 1:o 2:s 3:p 4:- 5:- 6:q 7:q 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nLDR1 photoresistor lux=50 1:+ 2:s\nR1 resistor ohms=10000 1:s 2:-\nR2 resistor ohms=10000 1:+ 2:p\nR3 resistor ohms=10000 1:p 2:-\nR4 resistor ohms=100000 1:o 2:p\nR5 resistor ohms={680|1000} 1:o 2:a\nD1 led A:a K:-"
        ),
    ),
    plan(
        "transistors",
        five!(
            "SB1 push-button 1:+ 3:p\nR1 resistor ohms=1000000 1:p 2:b\nQ1 transistor C:c B:b E:e\nQ2 transistor C:c B:e E:-\nR2 resistor ohms={150|220} 1:+ 2:d\nD1 led A:d K:c"
        ),
    ),
    plan(
        "regulators",
        nine!(
            "R1 resistor ohms={470|680} 1:+ 2:z\nD1 zener volts=5.6 K:z A:-\nQ1 transistor C:+ B:z E:o\nC1 electrolytic farads=1e-5 +:o -:-\nR2 resistor ohms=330 1:o 2:a\nD2 led colour={red|green} A:a K:-"
        ),
    ),
    plan(
        "timing",
        five!(
            "SB1 push-button 1:+ 3:g\nC1 electrolytic farads={1e-5|4.7e-5} +:g -:-\nR1 resistor ohms=100000 1:g 2:-\nQ1 mosfet G:g D:d S:-\nR2 resistor ohms=220 1:+ 2:a\nD1 led A:a K:d"
        ),
    ),
    plan(
        "timers",
        five!(
            "U1 555 1:- 2:t 3:o 4:+ 5:v 6:t 7:d 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nC2 capacitor farads=1e-8 1:v 2:-\nR1 resistor ohms=1000 1:+ 2:d\nRV1 potentiometer ohms=100000 position=0.5 1:d 2:w\nR2 resistor ohms=4700 1:w 2:t\nC1 capacitor farads=1e-7 1:t 2:-\nR3 resistor ohms=100 1:o 2:s\nPZ1 piezo 1:s 2:-"
        ),
    ),
    plan(
        "mosfets",
        five!(
            "R1 resistor ohms=47000 1:+ 2:g\nLDR1 photoresistor lux=10 1:g 2:-\nQ1 power-mosfet G:g D:d S:-\nR2 resistor ohms=220 1:+ 2:a\nD1 led colour=white A:a K:d\nR3 resistor ohms=220 1:+ 2:b\nD2 led colour=white A:b K:d"
        ),
    ),
    plan(
        "registers",
        logic!(
            "U1 74hc595 14:s 11:c 12:l 10:+ 13:- 8:- 16:+ 15:q0 1:q1 2:q2\nS1 slide-switch 1:+ 2:s 3:-\nSB1 push-button 1:+ 3:c\nR1 resistor ohms=10000 1:c 2:-\nSB2 push-button 1:+ 3:l\nR2 resistor ohms=10000 1:l 2:-\nR3 resistor ohms=470 1:q0 2:a\nD1 led A:a K:-\nR4 resistor ohms=470 1:q1 2:b\nD2 led A:b K:-\nR5 resistor ohms=470 1:q2 2:d\nD3 led A:d K:-"
        ),
    ),
    plan(
        "gates",
        logic!(
            "U1 74hc32 1:a 2:b 3:m 4:- 5:- 9:- 10:- 12:- 13:- 7:- 14:+\nU2 74hc08 1:m 2:c 3:y 4:- 5:- 9:- 10:- 12:- 13:- 7:- 14:+\nC8 capacitor farads=1e-7 1:+ 2:-\nSB1 push-button 1:+ 3:a\nSB2 push-button 1:+ 3:b\nS1 slide-switch 1:+ 2:c 3:-\nR1 resistor ohms=10000 1:a 2:-\nR2 resistor ohms=10000 1:b 2:-\nR3 resistor ohms=470 1:y 2:d\nD1 led colour=green A:d K:-"
        ),
    ),
    plan(
        "counters",
        logic!(
            "U1 74hc14 1:p 2:k 3:- 5:- 9:- 11:- 13:- 7:- 14:+\nSB1 push-button 1:p 3:-\nR1 resistor ohms=10000 1:+ 2:p\nC1 capacitor farads=1e-7 1:p 2:-\nU2 74hc163 2:k 1:+ 3:- 4:- 5:- 6:- 7:+ 9:+ 10:+ 8:- 16:+ 14:qa 13:qb\nC8 capacitor farads=1e-7 1:+ 2:-\nR3 resistor ohms=470 1:qa 2:a\nD1 led A:a K:-\nR4 resistor ohms=470 1:qb 2:b\nD2 led A:b K:-"
        ),
    ),
    plan(
        "rectifiers",
        "SG1 signal shape=sine hertz=50 amplitude_volts=9 +:x -:-\nD1 diode type=1n4001 A:x K:p\nC1 electrolytic farads={4.7e-5|1e-4} +:p -:-\nR1 resistor ohms=1000 1:p 2:a\nD2 led A:a K:-",
    ),
];

/// Circuits that no mechanism of the findings is tuned on: the figures on them are what is to be expected of
/// a stranger's bench.
pub const HELD_BACK: &[Plan] = &[
    plan(
        "op-amps",
        five!(
            "U1 op-amp type=rail-to-rail 1:o 2:n 3:p 4:- 5:- 6:q 7:q 8:+\nC9 capacitor farads=1e-7 1:+ 2:-\nR4 resistor ohms=22000 1:+ 2:h\nRV1 potentiometer ohms=10000 position=0.4 1:h 2:p 3:-\nR1 resistor ohms=10000 1:n 2:-\nR2 resistor ohms={22000|33000} 1:o 2:n\nR3 resistor ohms=330 1:o 2:a\nD1 led A:a K:-"
        ),
    ),
    plan(
        "flip-flops",
        logic!(
            "U1 555 1:- 2:t 3:o 4:+ 6:t 7:d 8:+\nR1 resistor ohms=10000 1:+ 2:d\nR2 resistor ohms=68000 1:d 2:t\nC1 electrolytic farads=4.7e-6 +:t -:-\nU2 74hc74 1:+ 2:n 3:o 4:+ 5:q 6:n 7:- 14:+ 10:+ 11:- 12:- 13:+\nC8 capacitor farads=1e-7 1:+ 2:-\nR3 resistor ohms=470 1:q 2:a\nD1 led A:a K:-\nR4 resistor ohms=470 1:o 2:b\nD2 led colour=green A:b K:-"
        ),
    ),
    plan(
        "relays",
        five!(
            "SB1 push-button 1:+ 3:g\nR1 resistor ohms=10000 1:g 2:-\nQ1 mosfet G:g D:c S:-\nK1 relay 1:+ 5:c 2:+ 3:n\nD1 diode type=1n4001 A:c K:+\nM1 motor +:n -:-\nD2 diode type=1n4001 A:- K:n"
        ),
    ),
    plan(
        "gates",
        logic!(
            "U1 74hc02 2:r 3:p 1:q 5:q 6:s 4:p 8:- 9:- 11:- 12:- 7:- 14:+\nSB1 push-button 1:+ 3:s\nSB2 push-button 1:+ 3:r\nR1 resistor ohms=10000 1:s 2:-\nR2 resistor ohms=10000 1:r 2:-\nR3 resistor ohms=470 1:p 2:d\nD1 led A:d K:-\nR4 resistor ohms=470 1:q 2:e\nD2 led colour=green A:e K:-"
        ),
    ),
    plan(
        "rectifiers",
        "SG1 signal shape=sine hertz=50 amplitude_volts=10 +:x -:y\nD1 diode type=1n4001 A:x K:p\nD2 diode type=1n4001 A:y K:p\nD3 diode type=1n4001 A:n K:x\nD4 diode type=1n4001 A:n K:y\nC1 electrolytic farads=1e-4 +:p -:n\nR1 resistor ohms=470 1:p 2:z\nD5 zener volts=5.1 K:z A:n\nR2 resistor ohms=1000 1:z 2:a\nD6 led A:a K:n",
    ),
    plan(
        "gates",
        logic!(
            "U1 74hc86 1:a 2:b 3:s 4:- 5:- 9:- 10:- 12:- 13:- 7:- 14:+\nU2 74hc08 1:a 2:b 3:c 4:- 5:- 9:- 10:- 12:- 13:- 7:- 14:+\nC8 capacitor farads=1e-7 1:+ 2:-\nS1 slide-switch 1:+ 2:a 3:-\nS2 slide-switch 1:+ 2:b 3:-\nR3 resistor ohms=470 1:s 2:d\nD1 led A:d K:-\nR4 resistor ohms=470 1:c 2:e\nD2 led colour=green A:e K:-"
        ),
    ),
    plan(
        "transistors",
        nine!(
            "RV1 potentiometer ohms=10000 1:+ 2:b 3:-\nQ1 transistor C:+ B:b E:e\nR1 resistor ohms={470|680} 1:e 2:a\nD1 led A:a K:-\nR2 resistor ohms=680 1:e 2:d\nD2 led colour=green A:d K:-"
        ),
    ),
    plan(
        "dual supplies",
        dual!(
            "S1 slide-switch 1:+ 2:m 3:v-\nR1 resistor ohms={680|1000} 1:m 2:a\nD1 led A:a K:-\nD2 led colour=green A:- K:a"
        ),
    ),
];
