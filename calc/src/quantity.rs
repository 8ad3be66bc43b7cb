//! Quantities: what a person writes (`"50 US gal"`), what `calc` reckons with (a `uom` type) and what a
//! person reads back (`189 L (50 US gal)`).
//!
//! Formulas take and return `uom` types, so that a length can not be passed for a volume. Figures, rules and
//! tank files hold a [`Quantity`]: the same value with its [`Kind`] known at run time. [`Dimension`] is the
//! bridge between the two.

mod parse;
mod show;
mod units;

pub use parse::{ParseError, last_part, parse, parse_as, parse_number};
pub use show::{
    Reading, Rounding, Shown, System, minus, show, show_finer, show_like, show_outside, show_range,
    shown_number,
};
pub(crate) use show::{finer_number, is_told_apart, shown_step};
pub(crate) use units::YEAR;
pub use units::{UNITS, Unit, unit};

use uom::si::f64 as si;

/// What sort of thing a number measures: it decides which units are accepted, which are printed, and to which
/// step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A distance, m.
    Length,
    /// The thickness of a pane, m; printed in mm as panes are sold.
    Thickness,
    /// A surface, m².
    Area,
    /// A volume of water or goods, m³.
    Volume,
    /// A mass, kg.
    Mass,
    /// A time span, s.
    Time,
    /// A water speed, m/s.
    Speed,
    /// A gas transfer velocity (piston velocity), m/s; printed in cm/h as its literature does.
    TransferVelocity,
    /// A volume per time, m³/s.
    Flow,
    /// How often per time, 1/s: turnover and other rates.
    Rate,
    /// A temperature, K.
    Temperature,
    /// A mass per volume, kg/m³.
    Density,
    /// A kinematic viscosity, m²/s.
    KinematicViscosity,
    /// A dynamic viscosity, Pa s.
    DynamicViscosity,
    /// A stress or pressure, Pa.
    Stress,
    /// A mass per floor area, kg/m².
    FloorLoad,
    /// A power, W.
    Power,
    /// An energy, J.
    Energy,
    /// A voltage, V.
    Voltage,
    /// A current, A.
    Current,
    /// A dissolved mass per volume, kg/m³; printed in mg/L.
    Concentration,
    /// A mass per time, kg/s; printed in mg/h.
    MassRate,
    /// A mass per area and time, kg/(m² s): what a floor breathes; printed in mg/(m² h).
    UptakeByArea,
    /// A molar mass, kg/mol.
    MolarMass,
    /// A sound pressure level, dB.
    SoundLevel,
    /// Practical salinity: by definition without a unit.
    Salinity,
    /// A specific gravity: a density over that of pure water, printed to the third decimal as hydrometers are
    /// read.
    SpecificGravity,
    /// A share of a whole, printed in per cent.
    Share,
    /// A true ratio, printed as a bare number.
    Ratio,
    /// How many.
    Count,
    /// An amount of money in one currency.
    Money(Currency),
}

impl Kind {
    /// The kind in words, as an error message needs it: "a length".
    pub fn name(self) -> &'static str {
        match self {
            Kind::Length => "a length",
            Kind::Thickness => "a thickness",
            Kind::Area => "an area",
            Kind::Volume => "a volume",
            Kind::Mass => "a mass",
            Kind::Time => "a time",
            Kind::Speed => "a speed",
            Kind::TransferVelocity => "a gas transfer velocity",
            Kind::Flow => "a flow",
            Kind::Rate => "a rate",
            Kind::Temperature => "a temperature",
            Kind::Density => "a density",
            Kind::KinematicViscosity => "a kinematic viscosity",
            Kind::DynamicViscosity => "a dynamic viscosity",
            Kind::Stress => "a stress",
            Kind::FloorLoad => "a floor load",
            Kind::Power => "a power",
            Kind::Energy => "an energy",
            Kind::Voltage => "a voltage",
            Kind::Current => "a current",
            Kind::Concentration => "a concentration",
            Kind::MassRate => "a mass per time",
            Kind::UptakeByArea => "an uptake by area",
            Kind::MolarMass => "a molar mass",
            Kind::SoundLevel => "a sound level",
            Kind::Salinity => "a salinity",
            Kind::SpecificGravity => "a specific gravity",
            Kind::Share => "a share",
            Kind::Ratio => "a plain number",
            Kind::Count => "a count",
            Kind::Money(_) => "an amount of money",
        }
    }

    /// What a correct entry looks like, as an error message shows it.
    pub fn example(self) -> &'static str {
        match self {
            Kind::Length => "\"90 cm\", \"36 in\" or \"2 ft 6 in\"",
            Kind::Thickness => "\"8 mm\" or \"3/8 in\"",
            Kind::Area => "\"0.5 m2\"",
            Kind::Volume => "\"190 L\", \"50 US gal\" or \"42 imp gal\"",
            Kind::Mass => "\"12 kg\" or \"26 lb\"",
            Kind::Time => "\"10 min\", \"3 h\" or \"6 months\"",
            Kind::Speed => "\"15 cm/s\" or \"6 in/s\"",
            Kind::TransferVelocity => "\"2.4 cm/h\"",
            Kind::Flow => "\"2000 L/h\" or \"530 US gal/h\"",
            Kind::Rate => "\"10 per hour\"",
            Kind::Temperature => "\"25 °C\" or \"77 °F\"",
            Kind::Density => "\"1023 kg/m3\"",
            Kind::KinematicViscosity => "\"0.94 mm2/s\"",
            Kind::DynamicViscosity => "\"0.96 mPa s\"",
            Kind::Stress => "\"0.2 Pa\"",
            Kind::FloorLoad => "\"400 kg/m2\"",
            Kind::Power => "\"20 W\"",
            Kind::Energy => "\"60 Wh\" or \"0.2 kWh\"",
            Kind::Voltage => "\"230 V\"",
            Kind::Current => "\"16 A\"",
            Kind::Concentration => "\"6.8 mg/L\"",
            Kind::MassRate => "\"10 mg/h\"",
            Kind::UptakeByArea => "\"20 mg/m2/h\" or \"0.6 mmol/m2/h\"",
            Kind::MolarMass => "\"100.09 g/mol\"",
            Kind::SoundLevel => "\"32 dB\"",
            Kind::Salinity => "35",
            Kind::SpecificGravity => "1.026",
            Kind::Share => "\"20 %\"",
            Kind::Ratio => "0.4",
            Kind::Count => "2",
            Kind::Money(_) => "\"120 USD\"",
        }
    }

    /// The unit in which [`Quantity::si`] holds the value, as the `<data>` element and the ledger name it.
    pub fn si_unit(self) -> &'static str {
        match self {
            Kind::Length | Kind::Thickness => "m",
            Kind::Area => "m2",
            Kind::Volume => "m3",
            Kind::Mass => "kg",
            Kind::Time => "s",
            Kind::Speed | Kind::TransferVelocity => "m/s",
            Kind::Flow => "m3/s",
            Kind::Rate => "1/s",
            Kind::Temperature => "K",
            Kind::Density | Kind::Concentration => "kg/m3",
            Kind::KinematicViscosity => "m2/s",
            Kind::DynamicViscosity => "Pa s",
            Kind::Stress => "Pa",
            Kind::FloorLoad => "kg/m2",
            Kind::Power => "W",
            Kind::Energy => "J",
            Kind::Voltage => "V",
            Kind::Current => "A",
            Kind::MassRate => "kg/s",
            Kind::UptakeByArea => "kg/(m2 s)",
            Kind::MolarMass => "kg/mol",
            Kind::SoundLevel => "dB",
            Kind::Salinity | Kind::SpecificGravity | Kind::Share | Kind::Ratio | Kind::Count => "1",
            Kind::Money(currency) => currency.code(),
        }
    }

    /// Whether a bare TOML number, without a unit, is a complete entry.
    pub fn is_bare(self) -> bool {
        matches!(self, Kind::Salinity | Kind::SpecificGravity | Kind::Ratio | Kind::Count)
    }
}

/// A currency by its ISO 4217 code: its place in [`CURRENCIES`], so that a quantity stays small.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency(u8);

/// The currencies that a tank file or catalogue may name; to add one is to add its code.
pub const CURRENCIES: [&str; 32] = [
    "AED", "ARS", "AUD", "BGN", "BRL", "CAD", "CHF", "CLP", "CNY", "COP", "CZK", "DKK", "EUR", "GBP", "HKD",
    "HUF", "IDR", "ILS", "INR", "JPY", "KRW", "MXN", "MYR", "NOK", "NZD", "PHP", "PLN", "SEK", "SGD", "THB",
    "USD", "ZAR",
];

impl Currency {
    /// US dollars.
    pub const USD: Currency = Currency(30);

    /// One of [`CURRENCIES`] by its three capital letters.
    pub fn new(code: &str) -> Option<Self> {
        CURRENCIES.iter().position(|known| *known == code).map(|at| Currency(at as u8))
    }

    /// The one whose code an amount of money ends with: `0.30 USD`.
    pub fn of_amount(text: &str) -> Option<Self> {
        Currency::new(text.trim().rsplit([' ', '\u{a0}']).next().unwrap_or_default())
    }

    /// The code, for instance `USD`.
    pub fn code(self) -> &'static str {
        CURRENCIES[usize::from(self.0)]
    }
}

/// An amount of money in one currency; the unit table of `uom` knows no money.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Money {
    /// How much, in the currency's main unit.
    pub amount: f64,
    /// Of which currency.
    pub currency: Currency,
}

impl From<Money> for Quantity {
    fn from(money: Money) -> Self {
        Quantity { kind: Kind::Money(money.currency), si: money.amount }
    }
}

/// A value with its kind known at run time, held in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// What sort of thing it measures.
    pub kind: Kind,
    /// The value in [`Kind::si_unit`].
    pub si: f64,
}

impl Quantity {
    /// A quantity of the given kind from its SI value.
    pub fn new(kind: Kind, si: f64) -> Self {
        Quantity { kind, si }
    }

    /// The same value as a `uom` type.
    ///
    /// # Errors
    /// [`ParseError::WrongKind`] when the kinds differ.
    pub fn get<D: Dimension>(self) -> Result<D, ParseError> {
        if self.kind == D::KIND {
            Ok(D::from_si(self.si))
        } else {
            Err(ParseError::WrongKind {
                found: self.kind,
                wanted: D::KIND,
                text: show(self, Rounding::Nearest).to_string(),
            })
        }
    }
}

impl<D: Dimension> From<D> for Quantity {
    fn from(value: D) -> Self {
        Quantity { kind: D::KIND, si: value.si() }
    }
}

/// A type that measures one [`Kind`]: the bridge between `uom` types and run-time [`Quantity`] values.
pub trait Dimension: Copy {
    /// The kind this type measures.
    const KIND: Kind;
    /// From the SI value.
    fn from_si(si: f64) -> Self;
    /// The SI value.
    fn si(self) -> f64;
}

macro_rules! dimensions {
    ($($quantity:ident => $kind:ident),* $(,)?) => {$(
        impl Dimension for si::$quantity {
            const KIND: Kind = Kind::$kind;
            fn from_si(si: f64) -> Self {
                Self { dimension: std::marker::PhantomData, units: std::marker::PhantomData, value: si }
            }
            fn si(self) -> f64 {
                self.value
            }
        }
    )*};
}

dimensions! {
    Length => Length,
    Area => Area,
    Volume => Volume,
    Mass => Mass,
    Time => Time,
    Velocity => Speed,
    VolumeRate => Flow,
    Frequency => Rate,
    ThermodynamicTemperature => Temperature,
    MassDensity => Density,
    KinematicViscosity => KinematicViscosity,
    DynamicViscosity => DynamicViscosity,
    Pressure => Stress,
    ArealMassDensity => FloorLoad,
    Power => Power,
    Energy => Energy,
    ElectricPotential => Voltage,
    ElectricCurrent => Current,
    MassConcentration => Concentration,
    MassRate => MassRate,
    MassFlux => UptakeByArea,
    MolarMass => MolarMass,
    Ratio => Ratio,
}

/// The thickness of a pane: a length in its own type, since panes are sold by the millimetre.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Thickness(pub si::Length);

impl Dimension for Thickness {
    const KIND: Kind = Kind::Thickness;
    fn from_si(si: f64) -> Self {
        Thickness(si::Length::from_si(si))
    }
    fn si(self) -> f64 {
        self.0.si()
    }
}

/// A gas transfer velocity: a speed in its own type, since it is printed in cm/h and no stream runs at it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct TransferVelocity(pub si::Velocity);

impl Dimension for TransferVelocity {
    const KIND: Kind = Kind::TransferVelocity;
    fn from_si(si: f64) -> Self {
        TransferVelocity(si::Velocity::from_si(si))
    }
    fn si(self) -> f64 {
        self.0.si()
    }
}

macro_rules! plain_dimensions {
    ($($(#[$doc:meta])* $name:ident => $kind:expr),* $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl Dimension for $name {
            const KIND: Kind = $kind;
            fn from_si(si: f64) -> Self {
                $name(si)
            }
            fn si(self) -> f64 {
                self.0
            }
        }
    )*};
}

plain_dimensions! {
    /// A sound pressure level in dB; `uom` has no logarithmic quantities.
    SoundLevel => Kind::SoundLevel,
    /// Practical salinity (PSS-78), by definition without a unit.
    Salinity => Kind::Salinity,
    /// A specific gravity: the density of a sample over that of pure water, each at a stated temperature.
    SpecificGravity => Kind::SpecificGravity,
    /// A share of a whole, from 0 to 1; printed in per cent.
    Share => Kind::Share,
    /// An amount of US dollars, the money in which the rules give the trade's prices.
    UsDollars => Kind::Money(Currency::USD),
}

#[cfg(test)]
mod tests;
