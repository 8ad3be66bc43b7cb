//! Oxygen: how much the water holds, how much all life in it breathes in the dark, what comes in, and how long it lasts when the pumps
//! stop.
//!
//! The model of a power cut is one well-mixed body of water. What lives in it breathes the same all the time, and what comes in grows
//! with what is missing. Inputs are uncertain by factors, so every answer has a worst, a likely and a best case. Pressure is one
//! atmosphere: a kilometre up, the water holds a good tenth less. [`power_cut`](crate::decide::power_cut) makes a plan of it.

use uom::si::acceleration::standard_gravity;
use uom::si::f64::{Acceleration, Area, Length, Mass, MassConcentration, MassFlux, MassRate, Molality, Power, Ratio};
use uom::si::f64::{ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate};
use uom::si::molality::mole_per_kilogram;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::error::{Error, within};
use crate::quantity::{Dimension, Rounding, Salinity, Share, System, TransferVelocity, shown_number};
use crate::rules::livestock::{Livestock, Stock};
use crate::rules::oxygen::OxygenRules;
use crate::rules::{Band, Rules};
use crate::seawater::{self, celsius, polynomial};
use crate::sheet::{Cell, Figure, Item, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::{Rock, Tank, Water};
use crate::volume::Contents;
use crate::words::sentence_case;

/// The key of the rule for what the floor under a kind of livestock takes up.
fn reef_key(livestock: Livestock) -> &'static str {
    match livestock {
        Livestock::FishOnly => "reef_fish_only",
        Livestock::Soft => "reef_soft",
        Livestock::LargePolyp => "reef_large_polyp",
        Livestock::SmallPolyp => "reef_small_polyp",
        Livestock::SmallPolypStrong => "reef_small_polyp_strong",
    }
}

/// How the doubts of a model are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Case {
    /// Every doubt against the animals.
    Worst,
    /// Each doubt in its middle.
    Likely,
    /// Every doubt for them.
    Best,
}

impl Case {
    /// All cases, the worst first.
    pub const ALL: [Case; 3] = [Case::Worst, Case::Likely, Case::Best];

    /// What an id says.
    pub fn key(self) -> &'static str {
        match self {
            Case::Worst => "worst",
            Case::Likely => "likely",
            Case::Best => "best",
        }
    }

    /// What a title says.
    pub fn words(self) -> &'static str {
        match self {
            Case::Worst => "at the worst",
            Case::Likely => "as is likely",
            Case::Best => "at the best",
        }
    }

    /// Of a band whose high end is bad for the animals. The middle of a doubt that is a factor is the geometric one.
    fn demand<D: Dimension>(self, band: Band<D>) -> D {
        match self {
            Case::Worst => band.high,
            Case::Likely => D::from_si((band.low.si() * band.high.si()).sqrt()),
            Case::Best => band.low,
        }
    }

    /// Of a band whose high end is good for them.
    pub(crate) fn supply<D: Dimension>(self, band: Band<D>) -> D {
        match self {
            Case::Worst => band.low,
            Case::Likely => D::from_si((band.low.si() * band.high.si()).sqrt()),
            Case::Best => band.high,
        }
    }
}

/// Oxygen in seawater that is in balance with moist air at one atmosphere, for each kilogram of water.
///
/// `ln C = A0 + … + A5 Ts⁵ + S (B0 + … + B3 Ts³) + C0 S²` with `Ts = ln((298.15 − t) ÷ (273.15 + t))`, C in µmol/kg, t in °C.
///
/// - `water`: salinity from 0 to 42, temperature from −2 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Garcia & Gordon (1992), eq. 8 without the stray term it was printed with, fitted to the data of Benson and Krause. Their check
/// value at 10 °C and salinity 35 is 274.610 µmol/kg:
/// ```
/// use reckoner_calc::{Rules, oxygen, quantity::{Salinity, parse}, tank::Water};
/// use uom::si::molality::mole_per_kilogram;
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").oxygen;
/// let water = Water { temperature: parse("10 °C")?, salinity: Salinity(35.0) };
/// let oxygen = oxygen::solubility(water, &rules)?.get::<mole_per_kilogram>() * 1e6;
/// assert!((oxygen - 274.610).abs() < 5e-4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn solubility(water: Water, rules: &OxygenRules) -> Result<Molality, Error> {
    let s = within("the salinity", water.salinity, seawater::SALINITIES)?.0;
    let t = within("the temperature of the water", water.temperature, celsius(-2.0)..=celsius(40.0))?.get::<degree_celsius>();
    let scaled = libm::log((298.15 - t) / (273.15 + t));
    let logarithm = polynomial(&*rules.saturation_temperature, scaled)
        + s * polynomial(&*rules.saturation_salinity, scaled)
        + rules.saturation_salinity_squared[0] * s * s;
    Ok(Molality::new::<mole_per_kilogram>(libm::exp(logarithm) * 1e-6))
}

/// The same for each litre: [`solubility`] times the molar mass of oxygen and the density of the water.
///
/// # Errors
/// As [`solubility`].
pub fn saturation(water: Water, rules: &Rules) -> Result<MassConcentration, Error> {
    let moles = solubility(water, &rules.oxygen)?.get::<mole_per_kilogram>();
    let density = seawater::density(water.salinity, water.temperature, &rules.seawater)?;
    Ok(MassConcentration::from_si(moles * rules.oxygen.molar_mass.si() * density.si()))
}

/// Oxygen that one resting fish breathes: `R = e^(a + b × 1000 ÷ T) × (M ÷ 50 g)^0.80`, in mmol/h.
///
/// - `mass`: of the fish, from 0.1 g to 20 kg
/// - `temperature`: from 0 °C to 35 °C; the species behind the relation live over a span of some 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Clarke & Johnston (1999) give the line with temperature for a fish of 50 g, and the exponent 0.80 for all sizes. Putting the two
/// together is our own step: an estimate for fish of other sizes. The paper's own summary is that a fish at 30 °C needs about six
/// times what one at 0 °C does:
/// ```
/// use reckoner_calc::{Rules, oxygen, quantity::{Dimension, parse}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").oxygen;
/// let at = |temperature| Ok::<_, Box<dyn std::error::Error>>(oxygen::respiration(parse("50 g")?, parse(temperature)?, &rules)?.si());
/// assert!((at("30 °C")? / at("0 °C")? - 6.0).abs() < 0.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn respiration(mass: Mass, temperature: ThermodynamicTemperature, rules: &OxygenRules) -> Result<MassRate, Error> {
    let mass = within("the mass of a fish", mass, Mass::from_si(1e-4)..=Mass::from_si(20.0))?;
    let temperature = within("the temperature of the water", temperature, celsius(0.0)..=celsius(35.0))?;
    let [a, b] = *rules.respiration_temperature;
    let millimoles_an_hour = libm::exp(a + b * 1000.0 / temperature.si()) * libm::pow(mass.si() / 0.050, rules.respiration_exponent[0]);
    Ok(MassRate::from_si(millimoles_an_hour * 1e-3 / 3600.0 * rules.molar_mass.si()))
}

/// Schmidt number of oxygen in seawater of salinity 35: the water's viscosity over the diffusivity of the gas. A polynomial in °C.
///
/// - `temperature`: from −2 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Wanninkhof (2014).
pub fn schmidt(temperature: ThermodynamicTemperature, rules: &OxygenRules) -> Result<f64, Error> {
    let temperature = within("the temperature of the water", temperature, celsius(-2.0)..=celsius(40.0))?;
    Ok(polynomial(&*rules.schmidt, temperature.get::<degree_celsius>()))
}

/// How fast oxygen passes a surface that nothing stirs, in still air: `k = k600 (Sc ÷ 600)^−½`.
///
/// # Errors
/// As [`schmidt`].
///
/// # Source
/// Cole & Caraco (1998), their relation with wind speed at no wind; the conversion from one gas to another is standard.
pub fn still_transfer(temperature: ThermodynamicTemperature, rules: &OxygenRules) -> Result<TransferVelocity, Error> {
    let schmidt = schmidt(temperature, rules)?;
    Ok(TransferVelocity::from_si(rules.still_surface.si() / (schmidt / 600.0).sqrt()))
}

/// How fast oxygen passes a surface that is stirred from below: `k = c (ε ν)^¼ Sc^−½`, with `ε` the stirring power over the mass of
/// the water. All of the power counts as if it reached the surface: an upper bound.
///
/// - `stirring`: power of the streams in the water, from nothing to 1 kW; see [`jet_power`]
/// - `mass`: of the water, from 1 g to 100 t
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Zappa et al. (2007), the constant c = 0.29 as Read et al. (2012) use it.
pub fn stirred_transfer(stirring: Power, mass: Mass, water: Water, rules: &Rules) -> Result<TransferVelocity, Error> {
    let stirring = within("the stirring power", stirring, Power::from_si(0.0)..=Power::from_si(1000.0))?;
    let mass = within("the mass of the water", mass, Mass::from_si(1e-3)..=Mass::from_si(1e5))?;
    let dissipation = stirring.si() / mass.si();
    let viscosity = seawater::kinematic_viscosity(water.salinity, water.temperature, &rules.seawater)?;
    let schmidt = schmidt(water.temperature, &rules.oxygen)?;
    let fourth_root = (dissipation * viscosity.si()).sqrt().sqrt();
    Ok(TransferVelocity::from_si(rules.oxygen.renewal[0] * fourth_root / schmidt.sqrt()))
}

/// Power of a stream where it leaves its outlet: `½ ρ Q U²` with `U = Q ÷ A`. In the end all of it stirs the water.
///
/// - `flow`: from nothing to 200,000 L/h
/// - `outlet`: area of the outlet, from 3 mm² to 0.2 m²
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Mechanics: the kinetic energy that passes the outlet each second.
pub fn jet_power(flow: VolumeRate, outlet: Area, water: Water, rules: &Rules) -> Result<Power, Error> {
    let flow = within("the flow", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(200.0 / 3600.0))?;
    let outlet = within("the outlet", outlet, Area::from_si(3e-6)..=Area::from_si(0.2))?;
    let density = seawater::density(water.salinity, water.temperature, &rules.seawater)?;
    let speed: Velocity = flow / outlet;
    Ok(0.5 * density * flow * speed * speed)
}

/// What passes the surface, as the flow of water in balance with the air that would bring as much: `k A`.
pub fn through_surface(transfer: TransferVelocity, surface: Area) -> VolumeRate {
    transfer.0 * surface
}

/// What bubbles bring, as the flow of water in balance with the air that would bring as much:
/// `air × oxygen in air × share per metre × depth × 1.024^(t − 20) ÷ Cs₂₀`, with the oxygen that fresh water holds at 20 °C.
///
/// - `air`: from nothing to 5000 L/h
/// - `depth`: at which the bubbles leave, up to 3 m; a bubble gives no more than all it has
/// - `share`: of the oxygen in a bubble that goes into the water for each metre, from rule `oxygen.bubbles`
/// - `temperature`: of the water, from 0 °C to 40 °C
///
/// The stirring of the surface by the plume comes on top; it is not counted.
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The standard transfer of aeration practice, from memory; the factor with temperature is common practice.
pub fn bubbles(
    air: VolumeRate,
    depth: Length,
    share: Share,
    temperature: ThermodynamicTemperature,
    rules: &Rules,
) -> Result<VolumeRate, Error> {
    let air = within("the air", air, VolumeRate::from_si(0.0)..=VolumeRate::from_si(5.0 / 3600.0))?;
    let depth = within("the depth of the bubbles", depth, Length::from_si(0.0)..=Length::from_si(3.0))?;
    let degrees = within("the temperature of the water", temperature, celsius(0.0)..=celsius(40.0))?.get::<degree_celsius>();
    let given = within("the share that bubbles give away", share, Share(0.0)..=Share(1.0))?.0 * depth.si();
    let fresh = saturation(Water { temperature: celsius(20.0), salinity: Salinity(0.0) }, rules)?;
    let faster = libm::pow(rules.oxygen.bubble_temperature.si(), degrees - 20.0);
    Ok(air * (*rules.oxygen.air_oxygen / fresh) * given.min(1.0) * faster)
}

/// The share of what is missing that falling water takes up: `1 − 1 ÷ r`, `r = 1 + c a b h (1 − d h) (1 + e t)`, t in °C.
///
/// - `height`: of the fall `h`, up to 3 m
/// - `temperature`: of the water `t`, from 0 °C to 40 °C
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The form for weirs of Gameson and of the Water Research Laboratory, from memory. Tested on rivers: for a jug, an order of magnitude.
pub fn taken_up_in_a_fall(height: Length, temperature: ThermodynamicTemperature, rules: &OxygenRules) -> Result<Share, Error> {
    let height = within("the height of the fall", height, Length::from_si(0.0)..=Length::from_si(3.0))?.si();
    let degrees = within("the temperature of the water", temperature, celsius(0.0)..=celsius(40.0))?.get::<degree_celsius>();
    let ([c, d, e], [a, b]) = (*rules.fall, *rules.fall_quality);
    Ok(Share(1.0 - 1.0 / (1.0 + c * a * b * height * (1.0 - d * height) * (1.0 + e * degrees))))
}

/// Power of water that is poured from a height: `ρ g h Q`.
///
/// - `flow`: what is poured, up to 10,000 L/h
/// - `height`: up to 3 m
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Mechanics.
pub fn pouring_power(flow: VolumeRate, height: Length, water: Water, rules: &Rules) -> Result<Power, Error> {
    let flow = within("what is poured", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(10.0 / 3600.0))?;
    let height = within("the height of the fall", height, Length::from_si(0.0)..=Length::from_si(3.0))?;
    let density = seawater::density(water.salinity, water.temperature, &rules.seawater)?;
    Ok(density * flow * Acceleration::new::<standard_gravity>(1.0) * height)
}

/// How many times more corals, sand and rock breathe at a temperature than where it was measured: `Q₁₀^((t − t₀) ÷ 10)`.
///
/// # Errors
/// [`Error::OutOfRange`] for a temperature outside 0 °C to 40 °C.
pub fn warmth(temperature: ThermodynamicTemperature, rules: &OxygenRules) -> Result<Ratio, Error> {
    let temperature = within("the temperature of the water", temperature, celsius(0.0)..=celsius(40.0))?;
    Ok(Ratio::from_si(libm::pow(rules.night_q10.si(), (temperature.si() - rules.night_temperature.si()) / 10.0)))
}

/// What a living reef slope takes up in the dark: `area × rate × warmth`.
///
/// - `floor`: seen from above, up to 1000 m²
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Long et al. (2013): 590 mmol a square metre and day. Half a square metre of such a reef takes up 590 ÷ 24 × 31.9988 ÷ 2 = 393.32 mg an hour:
/// ```
/// use reckoner_calc::{Rules, oxygen, quantity::{Dimension, parse}};
/// use uom::si::f64::{Area, MassRate};
/// let rules = Rules::compiled_in().map_err(|_| "rules")?.oxygen;
/// let taken = oxygen::reef(Area::from_si(0.5), rules.night_temperature, &rules)?;
/// assert!((taken.si() / parse::<MassRate>("393.32 mg/h")?.si() - 1.0).abs() < 2e-5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn reef(floor: Area, temperature: ThermodynamicTemperature, rules: &OxygenRules) -> Result<MassRate, Error> {
    let floor = within("the floor", floor, Area::from_si(0.0)..=Area::from_si(1000.0))?;
    Ok(*rules.reef_night * floor * warmth(temperature, rules)?)
}

/// What the floor of a tank takes up in the dark with all that stands on it: [`reef`] × its share.
///
/// - `stock`: what lives there; the kind that takes up the most counts
///
/// # Errors
/// As [`reef`].
pub fn reef_breathing(
    floor: Area,
    stock: Stock,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<Band<MassRate>, Error> {
    let whole = reef(floor, temperature, rules)?;
    let share = rules.reef_share(stock);
    Ok(Band { low: whole * share.low.0, high: whole * share.high.0 })
}

/// What a bed of sand and overgrown rock take up in the dark.
///
/// - `sand`: area of the bed, up to 1000 m²
/// - `rock`: its dry mass, up to 100 t
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// The data of Silbiger et al. (2018): reef sand and rubble.
pub fn sand_and_rock_breathing(
    sand: Area,
    rock: Mass,
    temperature: ThermodynamicTemperature,
    rules: &OxygenRules,
) -> Result<Band<MassRate>, Error> {
    let sand = within("the area of the sand", sand, Area::from_si(0.0)..=Area::from_si(1000.0))?;
    let rock = within("the mass of the rock", rock, Mass::from_si(0.0)..=Mass::from_si(1e5))?;
    let warmth = warmth(temperature, rules)?;
    let kilograms = (rock / Mass::from_si(1.0)).si();
    let at = |of_sand: MassFlux, of_rock: MassFlux, surface: Area| (of_sand * sand + of_rock * surface * kilograms) * warmth;
    Ok(Band {
        low: at(rules.sand_night.low, rules.rock_night.low, rules.rock_surface.low),
        high: at(rules.sand_night.high, rules.rock_night.high, rules.rock_surface.high),
    })
}

/// What breathes in a tank in the dark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Life {
    /// The fish, at rest.
    pub rest: MassRate,
    /// The fish, from asleep to frightened.
    pub fish: Band<MassRate>,
    /// All else at the least, as its share of what the fish breathe.
    pub share: Band<MassRate>,
    /// All else, as a reef of the floor's size.
    pub floor: Band<MassRate>,
    /// All else, as its sand and rock.
    pub sand_and_rock: Band<MassRate>,
}

impl Life {
    /// All life in a tank. Corals count by what lives there now.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a fish, a floor or a temperature outside the ranges of their formulas.
    pub fn of(tank: &Tank, rules: &Rules) -> Result<Self, Error> {
        let all = rules;
        let (rules, temperature) = (&all.oxygen, *tank.temperature);
        let mut rest = MassRate::from_si(0.0);
        for fish in &tank.fish {
            rest += respiration(fish.mass, temperature, rules)? * f64::from(fish.count);
        }
        let fish = Band { low: rest * rules.activity.low, high: rest * rules.activity.high };
        let floor = tank.display_area();
        let sand = if tank.sand.is_some_and(|bed| bed.depth > Length::default()) { floor } else { Area::default() };
        Ok(Life {
            rest,
            fish,
            share: Band { low: fish.low * rules.others.low.0, high: fish.high * rules.others.high.0 },
            floor: reef_breathing(floor, tank.now, temperature, rules)?,
            sand_and_rock: sand_and_rock_breathing(sand, rock_mass(tank, all), temperature, rules)?,
        })
    }

    /// What all of it breathes: the fish, and of the three ways to reckon all else the one that takes the most.
    pub fn demand(&self, case: Case) -> MassRate {
        let most = |one: MassRate, other: MassRate| if other > one { other } else { one };
        let others = [self.floor, self.sand_and_rock].into_iter().fold(case.demand(self.share), |all, one| most(all, case.demand(one)));
        case.demand(self.fish) + others
    }
}

/// Dry mass of the rock; of rock that was judged by eye, by what it pushes aside.
fn rock_mass(tank: &Tank, rules: &Rules) -> Mass {
    match tank.rock {
        None => Mass::default(),
        Some(Rock::Weighed { mass, .. }) => mass,
        Some(Rock::Judged(_)) => Contents::of(tank, &rules.volume).rock.dry,
    }
}

/// Oxygen in a tank when the power fails, as a share of saturation: lower where neither sump nor skimmer adds to it.
pub fn start_share(tank: &Tank, rules: &OxygenRules) -> Band<Share> {
    if has_sump_or_skimmer(tank) { *rules.start } else { *rules.start_plain }
}

/// The rule behind [`start_share`].
pub(crate) fn start_rule(tank: &Tank) -> &'static str {
    if has_sump_or_skimmer(tank) { "oxygen.start" } else { "oxygen.start_plain" }
}

fn has_sump_or_skimmer(tank: &Tank) -> bool {
    tank.sump > Volume::default() || tank.skimmer.is_some()
}

/// A tank whose pumps have stopped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerCut {
    /// The water that all life can reach.
    pub water: Volume,
    /// Oxygen that the water would hold in balance with the air.
    pub saturation: MassConcentration,
    /// Oxygen when the pumps stop.
    pub start: MassConcentration,
    /// What all life breathes.
    pub demand: MassRate,
    /// What comes in, as the flow of water in balance with the air that would bring as much; see [`through_surface`], [`bubbles`].
    pub exchange: VolumeRate,
}

/// When the oxygen reaches a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Until {
    /// After this time.
    Reached(Time),
    /// Never: as much comes in as is breathed, at this concentration.
    Never(MassConcentration),
}

impl Until {
    /// The time in seconds, endless where there is none: for comparing.
    pub(crate) fn seconds(self) -> f64 {
        match self {
            Until::Reached(time) => time.si(),
            Until::Never(_) => f64::INFINITY,
        }
    }
}

impl PowerCut {
    /// When the oxygen has fallen to a limit.
    ///
    /// The balance is `dC/dt = G (Cs − C) ÷ V − R ÷ V`, G the exchange. With `a = G ÷ V` it settles at `C∞ = Cs − R ÷ (a V)`, and reaches a limit
    /// `L` above that after `t = −ln(1 − a u) ÷ a`, where `u` is the time that the first fall would take if it went on unchanged.
    ///
    /// - `limit`: from nothing to 20 mg/L; one above the start is reached at once
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a limit or a part of the tank that is none: more than 100 m³ of water, 20 mg/L of oxygen, 1 kg/h of
    /// breathing, 10,000 m³/h of exchange.
    pub fn until(&self, limit: MassConcentration) -> Result<Until, Error> {
        let limit = within("the limit of oxygen", limit, mg_per_litre(0.0)..=mg_per_litre(20.0))?.si();
        let (exchange, breathing) = self.rates()?;
        let (start, saturation) = (self.start.si(), self.saturation.si());
        if start <= limit {
            return Ok(Until::Reached(Time::from_si(0.0)));
        }
        let first_fall = breathing - exchange * (saturation - start);
        let unchanged = (start - limit) / first_fall;
        if first_fall <= 0.0 || exchange * unchanged >= 1.0 {
            // Without any exchange the start itself stays.
            let settles = if exchange > 0.0 { saturation - breathing / exchange } else { start };
            return Ok(Until::Never(MassConcentration::from_si(settles)));
        }
        let seconds = if exchange > 0.0 { -libm::log1p(-exchange * unchanged) / exchange } else { unchanged };
        // A fall so slow that it takes longer than a life is none.
        Ok(if seconds.is_finite() { Until::Reached(Time::from_si(seconds)) } else { Until::Never(self.start) })
    }

    /// Oxygen some time after the pumps stopped; not below nothing.
    ///
    /// - `time`: from nothing to a good year
    ///
    /// # Errors
    /// As [`PowerCut::until`].
    pub fn after(&self, time: Time) -> Result<MassConcentration, Error> {
        let time = within("the time", time, Time::from_si(0.0)..=Time::from_si(3.2e7))?.si();
        let (exchange, breathing) = self.rates()?;
        let first_fall = breathing - exchange * (self.saturation.si() - self.start.si());
        // What the first fall comes to while it slows down; without exchange it does not.
        let lasting = if exchange > 0.0 { -libm::expm1(-exchange * time) / exchange } else { time };
        Ok(MassConcentration::from_si((self.start.si() - first_fall * lasting).max(0.0)))
    }

    /// `G ÷ V` in 1/s and `R ÷ V` in kg/(m³ s), from parts that are in range.
    fn rates(&self) -> Result<(f64, f64), Error> {
        let water = within("the volume of water", self.water, Volume::from_si(1e-3)..=Volume::from_si(100.0))?;
        within("the oxygen in saturated water", self.saturation, mg_per_litre(0.0)..=mg_per_litre(20.0))?;
        within("the oxygen at the start", self.start, mg_per_litre(0.0)..=mg_per_litre(20.0))?;
        let demand = within("what all life breathes", self.demand, MassRate::from_si(0.0)..=MassRate::from_si(1.0 / 3600.0))?;
        let most = VolumeRate::from_si(1e4 / 3600.0);
        let exchange = within("the exchange of oxygen", self.exchange, VolumeRate::from_si(0.0)..=most)?;
        Ok((exchange.si() / water.si(), demand.si() / water.si()))
    }
}

/// A stretch of a power cut in which as much comes in throughout.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Until so long after the power failed.
    pub until: Time,
    /// What comes in.
    pub exchange: VolumeRate,
}

/// A power cut in stretches: a battery runs for some hours, an air pump for others, and then nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// The tank; its own exchange is that after the last stretch.
    pub cut: PowerCut,
    /// The stretches, by time.
    pub stretches: Vec<Stretch>,
}

impl Course {
    /// When the oxygen has first fallen to a limit.
    ///
    /// # Errors
    /// As [`PowerCut::until`].
    pub fn until(&self, limit: MassConcentration) -> Result<Until, Error> {
        let (mut cut, mut passed) = (self.cut, Time::default());
        for stretch in self.stretches.iter().filter(|stretch| stretch.until > Time::default()) {
            cut.exchange = stretch.exchange;
            let lasts = stretch.until - passed;
            if let Until::Reached(time) = cut.until(limit)?
                && time <= lasts
            {
                return Ok(Until::Reached(passed + time));
            }
            cut.start = cut.after(lasts)?;
            passed = stretch.until;
        }
        cut.exchange = self.cut.exchange;
        Ok(match cut.until(limit)? {
            Until::Reached(time) => Until::Reached(passed + time),
            never => never,
        })
    }

    /// Oxygen some time after the power failed; not below nothing.
    ///
    /// # Errors
    /// As [`PowerCut::after`].
    pub fn after(&self, time: Time) -> Result<MassConcentration, Error> {
        let (mut cut, mut passed) = (self.cut, Time::default());
        for stretch in self.stretches.iter().filter(|stretch| stretch.until > Time::default()) {
            cut.exchange = stretch.exchange;
            if time <= stretch.until {
                return cut.after(time - passed);
            }
            cut.start = cut.after(stretch.until - passed)?;
            passed = stretch.until;
        }
        cut.exchange = self.cut.exchange;
        cut.after(time - passed)
    }
}

/// Adds the figures of this topic: `oxygen.…`, what the water holds and what all life in it breathes.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let held = saturation(tank.water(), rules)?;
    sheet.put(
        Figure::new("oxygen.saturation", "Oxygen that the water holds in balance with the air", held)
            .from("solubility × molar mass × density", &["seawater.temperature", "seawater.salinity", "seawater.density"])
            .rule("oxygen.saturation_temperature")
            .rule("oxygen.saturation_salinity")
            .rule("oxygen.saturation_salinity_squared")
            .rule("oxygen.molar_mass")
            .never_above(),
    );
    sheet.put_table(saturation_table(rules, tank)?);
    let share = start_share(tank, &rules.oxygen);
    let start = Band { low: held * share.low.0, high: held * share.high.0 };
    sheet.put(
        Figure::new("oxygen.start", "Oxygen in the water when the power fails", start)
            .from("saturation × share", &["oxygen.saturation"])
            .rule(start_rule(tank))
            .never_above(),
    );
    sheet.put(Figure::new("oxygen.start_share", "The same as a share of what the water could hold", share).rule(start_rule(tank)));
    let life = Life::of(tank, rules)?;
    put_life(sheet, &life, tank);
    sheet.put_table(reef_table(rules, tank)?);
    put_store(sheet, rules, tank, start.low, life.demand(Case::Worst));
    Ok(())
}

/// What each part of the life in a tank breathes, and all of it.
fn put_life(sheet: &mut Sheet, life: &Life, tank: &Tank) {
    let floor_rule = format!("oxygen.{}", reef_key(tank.now.most()));
    if tank.fish.is_empty() {
        let why = format!("The file of {} lists no fish, so what they breathe is not counted. Add them as [[fish]].", tank.name);
        for part in ["oxygen.rest", "oxygen.fish"] {
            sheet.lack(part, why.as_str());
        }
    } else {
        sheet.put(
            Figure::new("oxygen.rest", "Oxygen that the fish breathe at rest", life.rest)
                .from("Σ count × e^(a + b × 1000 ÷ T) × (mass ÷ 50 g)^exponent", &["seawater.temperature"])
                .rule("oxygen.respiration_temperature")
                .rule("oxygen.respiration_exponent")
                .rule("oxygen.molar_mass")
                .never_below(),
        );
        sheet.put(
            Figure::new("oxygen.fish", "Oxygen that the fish breathe, from asleep to frightened", life.fish)
                .from("at rest × activity", &["oxygen.rest"])
                .rule("oxygen.activity")
                .never_below(),
        );
    }
    sheet.put(
        Figure::new("oxygen.floor", "Oxygen that a reef of this floor's size and livestock breathes in the dark", life.floor)
            .from("floor × rate of a reef slope × share × warmth", &["tank.display_area", "seawater.temperature"])
            .rule("oxygen.reef_night")
            .rule(&floor_rule)
            .rule("oxygen.night_q10")
            .rule("oxygen.night_temperature")
            .never_below(),
    );
    sheet.put(
        Figure::new("oxygen.sand_and_rock", "Oxygen that the floor and all that is overgrown breathe in the dark", life.sand_and_rock)
            .from(
                "(area × rate of sand + mass × surface × rate of rock) × warmth",
                &["tank.display_area", "mass.rock", "seawater.temperature"],
            )
            .rule("oxygen.sand_night")
            .rule("oxygen.rock_night")
            .rule("oxygen.rock_surface")
            .rule("oxygen.night_q10")
            .rule("oxygen.night_temperature")
            .never_below(),
    );
    let all = Band { low: life.demand(Case::Best), high: life.demand(Case::Worst) };
    let mut inputs = vec!["oxygen.floor", "oxygen.sand_and_rock"];
    if !tank.fish.is_empty() {
        inputs.push("oxygen.fish");
    }
    let formula = "fish + the most of: share of the fish, floor, sand and rock";
    let figure = |id: &str, title: &str, value: crate::sheet::Value| {
        Figure::new(id, title, value).from(formula, &inputs).rule("oxygen.others").never_below()
    };
    sheet.put(figure("oxygen.demand", "Oxygen that all life in the tank breathes in the dark", all.into()));
    for case in Case::ALL {
        let id = format!("oxygen.demand_{}", case.key());
        let title = format!("Oxygen that all life in the tank breathes in the dark, {}", case.words());
        sheet.put(figure(&id, &title, life.demand(case).into()));
    }
}

/// Livestock → share of what a living reef takes up, and what that is over this tank's floor.
fn reef_table(rules: &Rules, tank: &Tank) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for kind in Livestock::ALL {
        let rule = format!("oxygen.{}", reef_key(kind));
        let id = format!("oxygen_reef.{}", kind.key());
        let share =
            Figure::new(id.clone(), format!("Share of what a reef slope breathes: {}", kind.words()), rules.oxygen.reef_share(kind.into()));
        let taken = reef_breathing(tank.display_area(), kind.into(), *tank.temperature, &rules.oxygen)?;
        let taken = Figure::new(format!("{id}.taken"), format!("Oxygen that this floor breathes in the dark: {}", kind.words()), taken)
            .from("floor × rate of a reef slope × share × warmth", &[id.as_str(), "tank.display_area", "seawater.temperature"])
            .rule("oxygen.reef_night")
            .rule("oxygen.night_q10")
            .rule("oxygen.night_temperature")
            .never_below();
        let cells = vec![Cell::Figure(share.rule(&rule)), Cell::Figure(taken)];
        rows.push(Row { head: Cell::Words(sentence_case(kind.words())), cells });
    }
    Ok(Table {
        id: "oxygen_reef",
        caption: "What corals, sand and rock of a floor like this breathe in the dark".to_owned(),
        heads: ["What lives there", "Share of what a reef slope breathes", "On this floor"].map(str::to_owned).to_vec(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// The sum a reader can check by hand: the oxygen above the limit, over what all life breathes, as if nothing came in.
fn put_store(sheet: &mut Sheet, rules: &Rules, tank: &Tank, start: MassConcentration, demand: MassRate) {
    let water = Contents::of(tank, &rules.volume).net;
    let spare = MassConcentration::from_si((start - *rules.oxygen.aim_limit).si().max(0.0));
    let lasts = Time::from_si(spare.si() * water.si() / demand.si());
    sheet.put(
        Figure::new("oxygen.spare", "Oxygen above what you aim for when the power fails, at the worst", spare)
            .from("least oxygen at the start − limit", &["oxygen.start"])
            .rule("oxygen.aim_limit")
            .never_above(),
    );
    sheet.put(
        Figure::new("oxygen.store", "Time that the spare oxygen in the water lasts if none comes in, at the worst", lasts)
            .from("spare oxygen × water ÷ breathing", &["oxygen.spare", "tank.water", "oxygen.demand_worst"])
            .never_above(),
    );
    let mut terms = vec![
        (Op::First, Item::rounded(spare, System::Metric, Rounding::Down)),
        (Op::Times, Item::of(water, System::Metric)),
        (Op::Over, Item::rounded(demand, System::Metric, Rounding::Up)),
    ];
    let unit = shown_number(lasts.into(), System::Metric, Rounding::Down).1;
    match unit {
        "h" => {}
        "min" => terms.push((Op::Times, Item::constant(60.0, 0, "min/h"))),
        "days" => terms.push((Op::Over, Item::constant(24.0, 0, "h/day"))),
        // Seconds or months: no sum to show a beginner.
        _ => {
            let why = if spare > MassConcentration::default() {
                format!("The spare oxygen of {} lasts for too short or too long a time to make a sum of it.", tank.name)
            } else {
                format!(
                    "At the worst the water of {} holds no spare oxygen at all when the power fails, so there is no sum to do: move it at once.",
                    tank.name
                )
            };
            sheet.lack("oxygen_store", why);
            return;
        }
    }
    sheet.workings.insert(
        "oxygen_store",
        Working {
            id: "oxygen_store",
            title: "How long the spare oxygen in the water lasts by itself",
            given: ["oxygen.spare", "tank.water", "oxygen.demand_worst"].map(str::to_owned).into(),
            formula: "spare oxygen × water ÷ what all life breathes",
            sums: vec![Sum::work(System::Metric, terms, unit)],
            answer: "oxygen.store",
            tell: "The table at the worst gives as much or more: it also counts what comes in through the surface.",
        },
    );
}

/// Temperature → saturation, at the tank's salinity.
fn saturation_table(rules: &Rules, tank: &Tank) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for temperature in &*rules.oxygen.table_temperatures {
        let id = format!("oxygen_saturation.{}", rows.len() + 1);
        let held = saturation(Water { temperature: *temperature, ..tank.water() }, rules)?;
        let cell = Figure::new(format!("{id}.held"), "Oxygen that the water holds", held)
            .from("solubility × molar mass × density", &[id.as_str(), "seawater.salinity"])
            .rule("oxygen.saturation_temperature")
            .rule("oxygen.saturation_salinity")
            .rule("oxygen.saturation_salinity_squared")
            .never_above();
        let head = Figure::new(id, "Temperature of the water", *temperature).rule("oxygen.table_temperatures");
        rows.push(Row { head: Cell::Figure(head), cells: vec![Cell::Figure(cell)] });
    }
    Ok(Table {
        id: "oxygen_saturation",
        caption: "Warm water holds less oxygen".to_owned(),
        heads: ["Temperature", "Oxygen it holds"].map(str::to_owned).to_vec(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

fn mg_per_litre(value: f64) -> MassConcentration {
    MassConcentration::from_si(value * 1e-3)
}

#[cfg(test)]
mod tests;
