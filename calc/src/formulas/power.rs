//! Power: what a pump draws at a setting, what that costs in a year, and how long a battery runs it.
//!
//! A pump follows the affinity laws: with its speed, the flow grows in step, the head with the square and the
//! power with the cube. The laws hold for one pump that moves water against nothing but friction, as a pump
//! that hangs in the tank does. A return pump must lift its water too; for that one, see `return_line`.

use uom::si::f64::{Energy, Length, Power, Ratio, Time, VolumeRate};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Money, Share};
use crate::rules::Band;
use crate::rules::power::PowerRules;

/// A day has 24 hours.
const DAY: f64 = 24.0 * 3600.0;
/// A household's year of 365 days.
pub(crate) const DAYS_A_YEAR: f64 = 365.0;

/// A battery for power cuts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Battery {
    /// What is printed on it.
    pub energy: Energy,
    /// What it is made of.
    pub chemistry: Chemistry,
    /// How its power reaches a pump.
    pub output: Output,
}

/// How the power of a battery reaches a pump.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Output {
    /// As direct current, into the socket that the pump has for a battery.
    #[default]
    Direct,
    /// Through an inverter or an uninterruptible power supply, as mains power.
    Inverter {
        /// What the inverter takes for itself, where the reader knows better than the rule.
        idle: Option<Power>,
    },
}

/// What a battery is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chemistry {
    /// Lead and acid, sealed or not.
    LeadAcid,
    /// Lithium iron phosphate.
    LithiumIronPhosphate,
}

impl Chemistry {
    /// All of them.
    pub const ALL: [Chemistry; 2] = [Chemistry::LeadAcid, Chemistry::LithiumIronPhosphate];

    /// The end of a rule's key and of a figure's id.
    pub fn key(self) -> &'static str {
        match self {
            Chemistry::LeadAcid => "lead_acid",
            Chemistry::LithiumIronPhosphate => "lithium_iron_phosphate",
        }
    }
}

/// Flow at another speed: `Q₂ = Q₁ n₂/n₁`, the first affinity law.
///
/// - `flow`: the flow at the first speed, nothing or more
/// - `speed`: the first speed, as a share of full or in turns a minute, from a millionth to a million
/// - `new_speed`: in the same unit, up to twice the first
///
/// # Errors
/// [`Error::OutOfRange`] for another speed, [`Error::NoAnswer`] for another flow.
///
/// # Source
/// Crane TP-410M, example 7.33: 400 US gallons a minute at 3500 turns a minute make 194.29 at 1700.
/// ```
/// use reckoner_calc::{formulas::power, quantity::{Dimension, parse}};
/// let flow = power::affinity_flow(parse("400 US gal/min")?, 3500.0, 1700.0)?;
/// let printed: uom::si::f64::VolumeRate = parse("194.29 US gal/min")?;
/// assert!((flow.si() / printed.si() - 1.0).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("flow × new speed ÷ speed")]
pub fn affinity_flow(flow: VolumeRate, speed: f64, new_speed: f64) -> Result<VolumeRate, Error> {
    at_speed(flow, (speed, new_speed), 1)
}

/// Head at another speed: `H₂ = H₁ (n₂/n₁)²`, the second affinity law.
///
/// # Errors
/// As [`affinity_flow`].
///
/// # Source
/// Crane TP-410M, example 7.33: 126 feet at 3500 turns a minute make 29.73 at 1700.
/// ```
/// use reckoner_calc::{formulas::power, quantity::{Dimension, parse}};
/// let head = power::affinity_head(parse("126 ft")?, 3500.0, 1700.0)?;
/// let printed: uom::si::f64::Length = parse("29.73 ft")?;
/// assert!((head.si() / printed.si() - 1.0).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("head × (new speed ÷ speed)^2")]
pub fn affinity_head(head: Length, speed: f64, new_speed: f64) -> Result<Length, Error> {
    at_speed(head, (speed, new_speed), 2)
}

/// Power at another speed: `P₂ = P₁ (n₂/n₁)³`, the third affinity law.
///
/// # Errors
/// As [`affinity_flow`].
///
/// # Source
/// Crane TP-410M, example 7.33: 17.5 horsepower at 3500 turns a minute make 2.005 at 1700.
/// ```
/// use reckoner_calc::formulas::power;
/// use uom::si::{f64::Power, power::horsepower};
/// let power = power::affinity_power(Power::new::<horsepower>(17.5), 3500.0, 1700.0)?;
/// assert!((power.get::<horsepower>() / 2.005 - 1.0).abs() < 1e-3);
/// # Ok::<(), reckoner_calc::Error>(())
/// ```
#[formula("power × (new speed ÷ speed)^3")]
pub fn affinity_power(power: Power, speed: f64, new_speed: f64) -> Result<Power, Error> {
    at_speed(power, (speed, new_speed), 3)
}

/// - `(first, new)`: the speeds
fn at_speed<D: Dimension>(value: D, (first, new): (f64, f64), exponent: u8) -> Result<D, Error> {
    if !(value.si().is_finite() && value.si() >= 0.0) {
        let why = format!(
            "{} is not what a pump can do at the first speed; it must be nothing or more",
            value.si()
        );
        return Err(Error::NoAnswer { what: "the affinity laws", why });
    }
    let first = within("the first speed", Ratio::from_si(first), Ratio::from_si(1e-6)..=Ratio::from_si(1e6))?;
    let speed = Ratio::from_si(new) / first;
    let speed = within("the new speed over the first", speed, Ratio::from_si(0.0)..=Ratio::from_si(2.0))?;
    Ok(D::from_si(value.si() * libm::pow(speed.si(), f64::from(exponent))))
}

/// What a pump draws at a setting: `P = P₀ + (P₁ − P₀) s³`.
///
/// - `full_draw`: its draw at full, `P₁`, up to 5 kW
/// - `standing_draw`: what its controller draws at any setting, `P₀`, from nothing to `full_draw`
/// - `setting`: the speed as a share of full speed, `s`
///
/// Assumes that the dial sets the speed, and that the motor is as good at low speed as at full. It is not
/// quite: [`draw_range`] allows for that.
///
/// # Errors
/// [`Error::OutOfRange`] for a setting, draw or standing draw outside those ranges.
///
/// # Source
/// The third affinity law, as in [`affinity_power`].
#[formula("standing draw + (full draw − standing draw) × setting^3")]
pub fn draw(full_draw: Power, standing_draw: Power, setting: Share) -> Result<Power, Error> {
    let full = within("the draw at full", full_draw, Power::from_si(0.0)..=Power::from_si(5000.0))?;
    let standing = within("the standing draw", standing_draw, Power::from_si(0.0)..=full)?;
    let setting = within("the setting", setting, Share(0.0)..=Share(1.0))?;
    Ok(standing + affinity_power(full - standing, 1.0, setting.0)?)
}

/// What a pump draws at a setting when only a share of the saving that [`draw`] reckons is made.
///
/// # Errors
/// As [`draw`].
#[formula("full draw − saving made × (full draw − standing draw) × (1 − setting^3)")]
pub fn draw_saving(
    full_draw: Power,
    standing_draw: Power,
    setting: Share,
    saving_made: Share,
) -> Result<Power, Error> {
    let saving = full_draw - draw(full_draw, standing_draw, setting)?;
    Ok(full_draw - saving * saving_made.0)
}

/// The lowest and the highest that a meter should show at a setting: [`draw`], with only a share of its
/// saving made.
///
/// - `made`: share of the reckoned saving that is made, from rule `power.saving_made`
///
/// # Errors
/// As [`draw`].
pub fn draw_range(
    full: Power,
    standing: Power,
    setting: Share,
    made: Band<Share>,
) -> Result<Band<Power>, Error> {
    let drawn = |made| draw_saving(full, standing, setting, made);
    Ok(Band { low: drawn(made.high)?, high: drawn(made.low)? })
}

/// What a steady draw uses in a day of 24 hours.
#[formula("power × 24 hours")]
pub fn energy_per_day(power: Power) -> Energy {
    power * Time::from_si(DAY)
}

/// What a steady draw uses in a year of 365 days.
#[formula("power × 24 hours × 365")]
pub fn energy_per_year(power: Power) -> Energy {
    energy_per_day(power) * DAYS_A_YEAR
}

/// What energy costs: `energy × price`.
///
/// - `price_per_kwh`: price of a kilowatt hour, up to a thousand
///
/// # Errors
/// [`Error::OutOfRange`] for another price, or for an energy that is negative or above a gigawatt hour.
pub fn cost(energy: Energy, price_per_kwh: Money) -> Result<Money, Error> {
    Ok(Money { amount: paid(energy, price_per_kwh.amount)?, currency: price_per_kwh.currency })
}

/// The same in plain numbers of any money.
#[formula(words "energy × price")]
fn paid(energy: Energy, price_per_kwh: f64) -> Result<f64, Error> {
    let energy = within("the energy", energy, Energy::from_si(0.0)..=Energy::from_si(3.6e12))?;
    let price = Ratio::from_si(price_per_kwh);
    let price = within("the price of a kilowatt hour", price, Ratio::from_si(0.0)..=Ratio::from_si(1000.0))?;
    Ok(energy.si() / KILOWATT_HOUR * price.si())
}

/// A kilowatt hour in joules, exactly.
const KILOWATT_HOUR: f64 = 3.6e6;

/// Share of a battery's printed energy that reaches a pump: what age has left of it × how far it should be
/// emptied × what a converter passes.
#[formula("kept × depth × conversion")]
pub fn usable(kept: Share, depth: Share, conversion: Share) -> Share {
    Share(stored(kept, depth).0 * conversion.0)
}

/// Share of a battery's printed energy that may be taken out of it.
fn stored(kept: Share, depth: Share) -> Share {
    Share(kept.0 * depth.0)
}

/// Energy that a battery gives to pumps.
#[formula("printed energy × usable share")]
pub fn usable_energy(printed_energy: Energy, usable_share: Share) -> Energy {
    printed_energy * usable_share.0
}

/// How long a battery runs a load, to count on: its least stored energy over the most that the load takes out
/// of it.
///
/// # Errors
/// As [`run_time`].
pub fn battery_lasts(battery: Battery, draw: Power, rules: &PowerRules) -> Result<Time, Error> {
    let depth = rules.depth(battery.chemistry).low;
    lasts(
        battery.energy,
        rules.kept_capacity.low,
        depth,
        draw,
        rules.conversion.low,
        rules.idle(battery.output).high,
    )
}

/// How long a battery runs a load through a converter or an inverter.
///
/// - `idle`: what the inverter takes for itself; nothing on direct current
///
/// # Errors
/// As [`run_time`].
#[formula("printed energy × least kept × least depth ÷ (power ÷ least share passed + idle)")]
pub fn lasts(
    printed_energy: Energy,
    least_kept: Share,
    least_depth: Share,
    power: Power,
    least_share_passed: Share,
    idle: Power,
) -> Result<Time, Error> {
    run_time(printed_energy, stored(least_kept, least_depth), power / least_share_passed.0 + idle)
}

/// The energy to look for on a battery that runs a load for so long, counted on its least.
///
/// # Errors
/// As [`battery_for`].
pub fn battery_needed(
    draw: Power,
    time: Time,
    chemistry: Chemistry,
    output: Output,
    rules: &PowerRules,
) -> Result<Energy, Error> {
    let depth = rules.depth(chemistry).low;
    needed(draw, rules.conversion.low, rules.idle(output).high, time, rules.kept_capacity.low, depth)
}

/// The energy printed on a battery that runs a load through a converter or an inverter for so long: the
/// inverse of [`lasts`].
///
/// # Errors
/// As [`battery_for`].
#[formula("(load ÷ least share passed + idle) × time ÷ least kept ÷ least depth")]
pub fn needed(
    load: Power,
    least_share_passed: Share,
    idle: Power,
    time: Time,
    least_kept: Share,
    least_depth: Share,
) -> Result<Energy, Error> {
    battery_for(load / least_share_passed.0 + idle, time, stored(least_kept, least_depth))
}

/// How long a battery runs a load: `printed energy × usable share ÷ draw`.
///
/// - `printed`: the energy printed on it, from 1 Wh to 1 MWh
/// - `usable`: share of it that reaches the load, from 5 % up
/// - `draw`: the load, from 0.1 W to 5 kW
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges.
///
/// # Source
/// The definition of power. Half of 100 watt hours runs 10 watts for 5 hours:
/// ```
/// use reckoner_calc::{formulas::power, quantity::{Dimension, Share, parse}};
/// let time = power::run_time(parse("100 Wh")?, Share(0.5), parse("10 W")?)?;
/// assert!((time.si() / 3600.0 - 5.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[formula("printed × usable ÷ draw")]
pub fn run_time(printed: Energy, usable: Share, draw: Power) -> Result<Time, Error> {
    let printed =
        within("the energy of the battery", printed, Energy::from_si(3600.0)..=Energy::from_si(3.6e9))?;
    Ok(printed * usable_share(usable)?.0 / load(draw)?)
}

/// The battery that runs a load for so long: `draw × time ÷ usable share`, the inverse of [`run_time`].
///
/// - `time`: from a minute to a year
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside that range or those of [`run_time`].
#[formula("draw × time ÷ usable")]
pub fn battery_for(draw: Power, time: Time, usable: Share) -> Result<Energy, Error> {
    let time = within("the time on the battery", time, Time::from_si(60.0)..=Time::from_si(366.0 * DAY))?;
    Ok(load(draw)? * time / usable_share(usable)?.0)
}

fn usable_share(usable: Share) -> Result<Share, Error> {
    within("the usable share of a battery", usable, Share(0.05)..=Share(1.0))
}

fn load(draw: Power) -> Result<Power, Error> {
    within("the load on the battery", draw, Power::from_si(0.1)..=Power::from_si(5000.0))
}

impl PowerRules {
    /// How far a battery should be emptied.
    pub fn depth(&self, chemistry: Chemistry) -> Band<Share> {
        match chemistry {
            Chemistry::LeadAcid => *self.depth_lead_acid,
            Chemistry::LithiumIronPhosphate => *self.depth_lithium_iron_phosphate,
        }
    }

    /// Share of a battery's printed energy that may be taken out of it: what age has left × how far it should
    /// be emptied.
    pub fn stored(&self, chemistry: Chemistry) -> Band<Share> {
        let (kept, depth) = (*self.kept_capacity, self.depth(chemistry));
        Band { low: stored(kept.low, depth.low), high: stored(kept.high, depth.high) }
    }

    /// Share of a battery's printed energy that reaches a pump on direct current: [`stored`](Self::stored) ×
    /// what a converter passes.
    pub fn usable(&self, chemistry: Chemistry) -> Band<Share> {
        let (kept, depth, conversion) = (*self.kept_capacity, self.depth(chemistry), *self.conversion);
        Band {
            low: usable(kept.low, depth.low, conversion.low),
            high: usable(kept.high, depth.high, conversion.high),
        }
    }

    /// What an inverter takes for itself: what the reader says, or the rule; nothing on direct current.
    pub fn idle(&self, output: Output) -> Band<Power> {
        match output {
            Output::Direct => Band { low: Power::default(), high: Power::default() },
            Output::Inverter { idle: Some(idle) } => Band { low: idle, high: idle },
            Output::Inverter { idle: None } => *self.inverter_idle,
        }
    }
}

#[cfg(test)]
mod tests;
