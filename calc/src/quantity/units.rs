//! The units people write and read, with their exact size in SI units.

use super::Kind;

/// One unit: how it is printed, how large it is, and the ways people write it.
#[derive(Debug, Clone, Copy)]
pub struct Unit {
    /// What it measures.
    pub kind: Kind,
    /// The symbol that is printed.
    pub symbol: &'static str,
    /// One unit in SI units.
    pub si: f64,
    /// What is added to the value before it is scaled: only temperatures have one.
    pub offset: f64,
    /// How people write it, in lower case, one space between words.
    pub names: &'static [&'static str],
}

const fn unit_of(kind: Kind, symbol: &'static str, si: f64, names: &'static [&'static str]) -> Unit {
    Unit { kind, symbol, si, offset: 0.0, names }
}

/// The inch: 25.4 mm exactly (NIST SP 811, appendix B).
const INCH: f64 = 0.0254;
/// The US gallon: 231 cubic inches, 3.785 411 784 L exactly (NIST Handbook 44, appendix C).
const US_GALLON: f64 = 231.0 * INCH * INCH * INCH;
/// The imperial gallon: 4.546 09 L exactly (NIST SP 811, appendix B.8).
const IMPERIAL_GALLON: f64 = 4.546_09e-3;
/// The pound: 0.453 592 37 kg exactly (NIST SP 811).
const POUND: f64 = 0.453_592_37;
/// A thousandth of a mole of oxygen, in kilograms: 31.9988 mg (IUPAC atomic weights).
const MILLIMOLE_OF_OXYGEN: f64 = 31.9988e-6;
const HOUR: f64 = 3600.0;
const DAY: f64 = 24.0 * HOUR;
/// The mean Gregorian year, of which a month is a twelfth.
/// A mean year of the calendar, in seconds.
pub(crate) const YEAR: f64 = 365.2425 * DAY;

/// Every unit that can be written or printed. Within a kind, no two units share a written name.
pub const UNITS: &[Unit] = &[
    unit_of(Kind::Length, "mm", 1e-3, &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    unit_of(Kind::Length, "cm", 1e-2, &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    unit_of(Kind::Length, "m", 1.0, &["m", "metre", "metres", "meter", "meters"]),
    unit_of(Kind::Length, "in", INCH, &["in", "inch", "inches", "\"", "″"]),
    unit_of(Kind::Thickness, "mm", 1e-3, &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    unit_of(Kind::Thickness, "cm", 1e-2, &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    unit_of(Kind::Thickness, "in", INCH, &["in", "inch", "inches", "\"", "″"]),
    unit_of(Kind::Length, "ft", 12.0 * INCH, &["ft", "foot", "feet", "'", "′"]),
    unit_of(Kind::Area, "cm²", 1e-4, &["cm2", "cm²"]),
    unit_of(Kind::Area, "m²", 1.0, &["m2", "m²"]),
    unit_of(Kind::Area, "sq in", INCH * INCH, &["sq in", "in2", "in²"]),
    unit_of(Kind::Area, "sq ft", 144.0 * INCH * INCH, &["sq ft", "ft2", "ft²"]),
    unit_of(Kind::Volume, "mL", 1e-6, &["ml", "millilitre", "millilitres", "milliliter", "milliliters"]),
    unit_of(Kind::Volume, "L", 1e-3, &["l", "litre", "litres", "liter", "liters"]),
    unit_of(
        Kind::Volume,
        "m³",
        1.0,
        &["m3", "m³", "cubic metre", "cubic metres", "cubic meter", "cubic meters"],
    ),
    unit_of(Kind::Volume, "US fl oz", US_GALLON / 128.0, &["us fl oz"]),
    unit_of(
        Kind::Volume,
        "US gal",
        US_GALLON,
        &["us gal", "us gallon", "us gallons", "gal us", "gal (us)", "gallons (us)"],
    ),
    unit_of(
        Kind::Volume,
        "imp gal",
        IMPERIAL_GALLON,
        &[
            "imp gal",
            "imperial gal",
            "imperial gallon",
            "imperial gallons",
            "uk gal",
            "uk gallon",
            "uk gallons",
            "gal (imp)",
        ],
    ),
    unit_of(Kind::Mass, "g", 1e-3, &["g", "gram", "grams", "gramme", "grammes"]),
    unit_of(Kind::Mass, "mg", 1e-6, &["mg", "milligram", "milligrams"]),
    unit_of(Kind::Mass, "kg", 1.0, &["kg", "kilogram", "kilograms"]),
    unit_of(Kind::Mass, "oz", POUND / 16.0, &["oz", "ounce", "ounces"]),
    unit_of(Kind::Mass, "lb", POUND, &["lb", "lbs", "pound", "pounds"]),
    unit_of(Kind::Time, "ms", 1e-3, &["ms", "millisecond", "milliseconds"]),
    unit_of(Kind::Time, "s", 1.0, &["s", "sec", "second", "seconds"]),
    unit_of(Kind::Time, "min", 60.0, &["min", "minute", "minutes"]),
    unit_of(Kind::Time, "h", HOUR, &["h", "hr", "hour", "hours"]),
    unit_of(Kind::Time, "days", DAY, &["d", "day", "days"]),
    unit_of(Kind::Time, "weeks", 7.0 * DAY, &["week", "weeks"]),
    unit_of(Kind::Time, "months", YEAR / 12.0, &["month", "months"]),
    unit_of(Kind::Time, "years", YEAR, &["year", "years"]),
    unit_of(Kind::Speed, "mm/s", 1e-3, &["mm/s"]),
    unit_of(Kind::Speed, "cm/s", 1e-2, &["cm/s"]),
    unit_of(Kind::Speed, "m/s", 1.0, &["m/s"]),
    unit_of(Kind::Speed, "in/s", INCH, &["in/s"]),
    unit_of(Kind::Speed, "ft/s", 12.0 * INCH, &["ft/s"]),
    unit_of(Kind::TransferVelocity, "cm/h", 1e-2 / HOUR, &["cm/h"]),
    unit_of(Kind::Flow, "mL/min", 1e-6 / 60.0, &["ml/min"]),
    unit_of(Kind::Flow, "L/min", 1e-3 / 60.0, &["l/min"]),
    unit_of(
        Kind::Flow,
        "L/h",
        1e-3 / HOUR,
        &["l/h", "l/hr", "litres per hour", "litres an hour", "liters per hour", "liters an hour"],
    ),
    unit_of(Kind::Flow, "m³/h", 1.0 / HOUR, &["m3/h", "m³/h"]),
    unit_of(
        Kind::Flow,
        "US gal/h",
        US_GALLON / HOUR,
        &["us gal/h", "us gal/hr", "us gallons per hour", "us gallons an hour"],
    ),
    unit_of(Kind::Flow, "US gal/min", US_GALLON / 60.0, &["us gal/min"]),
    unit_of(Kind::Flow, "imp gal/h", IMPERIAL_GALLON / HOUR, &["imp gal/h", "uk gal/h"]),
    unit_of(
        Kind::Rate,
        "times an hour",
        1.0 / HOUR,
        &["/h", "per hour", "an hour", "times an hour", "time an hour", "times per hour"],
    ),
    unit_of(Kind::Rate, "times a day", 1.0 / DAY, &["/d", "per day", "a day", "times a day", "time a day"]),
    Unit {
        kind: Kind::Temperature,
        symbol: "°C",
        si: 1.0,
        offset: 273.15,
        names: &["°c", "c", "degc", "degrees celsius"],
    },
    Unit {
        kind: Kind::Temperature,
        symbol: "°F",
        si: 5.0 / 9.0,
        offset: 459.67,
        names: &["°f", "f", "degf", "degrees fahrenheit"],
    },
    unit_of(Kind::Density, "kg/m³", 1.0, &["kg/m3", "kg/m³"]),
    unit_of(Kind::Density, "g/cm³", 1e3, &["g/cm3", "g/cm³"]),
    unit_of(Kind::KinematicViscosity, "mm²/s", 1e-6, &["mm2/s", "mm²/s"]),
    unit_of(Kind::KinematicViscosity, "m²/s", 1.0, &["m2/s", "m²/s"]),
    unit_of(Kind::DynamicViscosity, "mPa s", 1e-3, &["mpa s"]),
    unit_of(Kind::Stress, "Pa", 1.0, &["pa"]),
    unit_of(Kind::Stress, "kPa", 1e3, &["kpa"]),
    unit_of(Kind::Stress, "MPa", 1e6, &["mpa"]),
    unit_of(Kind::FloorLoad, "kg/m²", 1.0, &["kg/m2", "kg/m²"]),
    unit_of(Kind::FloorLoad, "lb/sq ft", POUND / (144.0 * INCH * INCH), &["lb/sq ft", "lb/ft2", "lb/ft²"]),
    unit_of(Kind::Power, "W", 1.0, &["w", "watt", "watts"]),
    unit_of(Kind::Power, "kW", 1e3, &["kw"]),
    unit_of(Kind::Energy, "J", 1.0, &["j"]),
    unit_of(Kind::Energy, "Wh", HOUR, &["wh"]),
    unit_of(Kind::Energy, "kWh", 1e3 * HOUR, &["kwh"]),
    unit_of(Kind::Voltage, "V", 1.0, &["v", "volt", "volts"]),
    unit_of(Kind::Current, "mA", 1e-3, &["ma"]),
    unit_of(Kind::Current, "A", 1.0, &["a", "amp", "amps", "ampere", "amperes"]),
    unit_of(Kind::Concentration, "mg/L", 1e-3, &["mg/l"]),
    unit_of(Kind::Concentration, "g/L", 1.0, &["g/l"]),
    unit_of(Kind::MassRate, "mg/h", 1e-6 / HOUR, &["mg/h"]),
    unit_of(Kind::UptakeByArea, "mg/(m² h)", 1e-6 / HOUR, &["mg/(m² h)", "mg/m²/h", "mg/m2/h"]),
    unit_of(
        Kind::UptakeByArea,
        "mmol/(m² h)",
        MILLIMOLE_OF_OXYGEN / HOUR,
        &["mmol/(m² h)", "mmol/m²/h", "mmol/m2/h"],
    ),
    unit_of(
        Kind::UptakeByArea,
        "mmol/(m² d)",
        MILLIMOLE_OF_OXYGEN / DAY,
        &["mmol/(m² d)", "mmol/m²/d", "mmol/m2/d"],
    ),
    unit_of(Kind::MolarMass, "g/mol", 1e-3, &["g/mol"]),
    unit_of(Kind::SoundLevel, "dB", 1.0, &["db", "db(a)"]),
    unit_of(Kind::Salinity, "", 1.0, &[""]),
    unit_of(Kind::SpecificGravity, "", 1.0, &[""]),
    unit_of(Kind::Share, "%", 1e-2, &["%", "percent", "per cent"]),
    unit_of(Kind::Ratio, "", 1.0, &[""]),
    unit_of(Kind::Count, "", 1.0, &[""]),
];

/// The unit of a kind that is printed with the given symbol.
pub fn unit(kind: Kind, symbol: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|unit| unit.kind == kind && unit.symbol == symbol)
}
