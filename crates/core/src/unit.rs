//! The units that numbers of parts are given in.

/// The unit that a number of a part is given in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Ω
    Ohm,
    /// V
    Volt,
    /// A
    Amp,
    /// lx
    Lux,
    /// °C
    Celsius,
    /// mm
    Millimetre,
    /// %
    Percent,
    /// A share from 0 to 1, shown as per cent.
    Share,
    /// F
    Farad,
    /// H
    Henry,
    /// Hz
    Hertz,
    /// s
    Second,
}

impl Unit {
    /// The symbol to print after a number.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Ohm => "Ω",
            Unit::Volt => "V",
            Unit::Amp => "A",
            Unit::Lux => "lx",
            Unit::Celsius => "°C",
            Unit::Millimetre => "mm",
            Unit::Percent | Unit::Share => "%",
            Unit::Farad => "F",
            Unit::Henry => "H",
            Unit::Hertz => "Hz",
            Unit::Second => "s",
        }
    }
}
