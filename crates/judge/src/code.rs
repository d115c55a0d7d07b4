//! The kinds of findings, by name, so that one rule can refer to what another found.

use std::fmt;

macro_rules! codes {
    ($($name:ident $word:literal $what:literal)*) => {
        /// What kind of finding: the name of its rule or of a variety of it.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Code {
            $(#[doc = $what] $name,)*
        }

        impl Code {
            /// Every kind.
            pub const ALL: &[Code] = &[$(Code::$name),*];

            /// The word in files and on the screen.
            pub fn word(self) -> &'static str {
                match self {
                    $(Code::$name => $word,)*
                }
            }
        }
    };
}

codes! {
    AlwaysOn "always-on" "A button or switch is joined across."
    Backwards "backwards" "A part that minds is in backwards."
    BaseNoResistor "base-no-resistor" "Nothing limits the current into a base."
    BurntOut "burnt-out" "A part has burnt out."
    Bypassed "bypassed" "Metal carries the current around a part."
    ChipReversed "chip-reversed" "A chip’s power is the wrong way round."
    ChipSupply "chip-supply" "A chip gets too many or too few volts."
    ChipTurned "chip-turned" "A chip is turned round."
    ChipUnpowered "chip-unpowered" "A chip gets no power."
    ClockStopped "clock-stopped" "The clock can’t go on."
    EndsSwapped "ends-swapped" "Two ends have changed places."
    FlybackBackwards "flyback-backwards" "A flyback diode is in backwards."
    IdleSwitch "idle-switch" "A switch lies between equals."
    IdleWire "idle-wire" "A wire carries nothing."
    InputFloating "input-floating" "Nothing tells an input what to be."
    InputLetGo "input-let-go" "Nothing holds an input while a switch is open."
    InputUnused "input-unused" "A spare gate’s input is open."
    LeadSign "lead-sign" "A supply’s lead is in a rail of the other sign."
    LedNoResistor "led-no-resistor" "Nothing limits the current through an LED."
    LegAlone "leg-alone" "A leg is alone beside the row it was meant for."
    LegBarely "leg-barely" "A leg is barely in."
    LegInAir "leg-in-air" "A leg is in the air."
    LegOut "leg-out" "A leg is not pushed in."
    LooseEnd "loose-end" "A wire’s end is alone."
    NoDecoupling "no-decoupling" "A chip has no capacitor beside it."
    NoFlyback "no-flyback" "Nothing catches a coil’s kick."
    NoPath "no-path" "Parts have no path to both sides of a supply."
    NoPullUp "no-pull-up" "Nothing pulls an open output up."
    NoSupply "no-supply" "There is no supply yet."
    NotSettled "not-settled" "The voltages could not be worked out."
    NotStraddling "not-straddling" "A chip doesn’t straddle the channel."
    OpenEnd "open-end" "A leg is alone and something is missing."
    OutputIdle "output-idle" "What an output should drive is at an input."
    OutputShorted "output-shorted" "An output is joined to + or −."
    OutputsFight "outputs-fight" "Two outputs drive one net."
    PackEmpty "pack-empty" "A pack is all but empty."
    PartMissing "part-missing" "Many ends wait for a part."
    PartOff "part-off" "A whole part is some rows off."
    RailSplit "rail-split" "A split rail is not bridged."
    RailUnpowered "rail-unpowered" "A rail gets no power."
    ShortCircuit "short-circuit" "A supply is shorted."
    ShortWhenSwitched "short-when-switched" "A switch can short a supply."
    SourceOverloaded "source-overloaded" "A supply gives more than it should."
    SuppliesFight "supplies-fight" "Supplies push against each other."
    SupplyBackwards "supply-backwards" "A supply feeds the rails backwards."
    SupplyTooLow "supply-too-low" "A lamp needs more volts than there are."
    TooLittleCurrent "too-little-current" "A lamp gets too little to see."
    TooMuchCurrent "too-much-current" "A part gets too much current."
    TooMuchPower "too-much-power" "A part gets too hot."
    TooMuchReverse "too-much-reverse" "A part blocks more than it can."
    TooMuchVoltage "too-much-voltage" "A part has too many volts across it."
    TooMuchWhenWorked "too-much-when-worked" "In another position a lamp gets too much."
    TransistorLegs "transistor-legs" "A transistor’s legs are in the wrong order."
    TransistorSort "transistor-sort" "A transistor is of the wrong sort."
    WireColour "wire-colour" "A wire’s colour says the opposite."
    WrongCommon "wrong-common" "A common leg is at the wrong side."
    WrongRail "wrong-rail" "A leg is in the wrong rail of a pair."
    WrongValue "wrong-value" "A resistor is of another decade."
    WrongRow "wrong-row" "A leg is among the wrong company."
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
