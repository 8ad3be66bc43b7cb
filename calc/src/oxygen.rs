//! Oxygen: how much the water holds, how much the stock breathes, what comes in through the surface, and how long it lasts when
//! the pumps stop.
//!
//! The model of a power cut is one well-mixed body of water with an open surface. What the stock breathes stays the same, and what
//! comes in grows with what is missing. Its inputs are uncertain by factors, so every answer has a worst and a best case. Pressure
//! is one atmosphere: a kilometre up, the water holds a good tenth less.

use std::f64::consts::PI;

use uom::si::f64::{Area, Length, Mass, MassConcentration, MassRate, Molality, MolarMass, Power, Ratio, ThermodynamicTemperature};
use uom::si::f64::{Time, Velocity, Volume, VolumeRate};
use uom::si::molality::mole_per_kilogram;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Rounding, Share, System, TransferVelocity, shown_number};
use crate::rules::{Band, Rules, Topic};
use crate::seawater::{self, celsius, polynomial};
use crate::sheet::{Axis, Cell, Chart, Figure, Item, Op, Row, Sheet, Sum, Table, Value, Working};
use crate::tank::{Tank, Water};

/// The rules of this topic, `calc/rules/oxygen.toml`.
#[derive(Debug, Clone)]
pub struct OxygenRules {
    /// Oxygen in saturated water: A0 to A5.
    pub saturation_temperature: [f64; 6],
    /// Oxygen in saturated water: B0 to B3.
    pub saturation_salinity: [f64; 4],
    /// Oxygen in saturated water: C0.
    pub saturation_salinity_squared: [f64; 1],
    /// Mass of a mole of oxygen.
    pub molar_mass: MolarMass,
    /// Breathing of a resting fish of 50 g: a and b of ln(mmol/h) = a + b × 1000 ÷ T.
    pub respiration_temperature: [f64; 2],
    /// How breathing grows with a fish's mass: the exponent.
    pub respiration_exponent: [f64; 1],
    /// What fish breathe, awake and fed, over what they breathe at rest.
    pub activity: Band<Ratio>,
    /// What everything else breathes, as a share of what the fish breathe.
    pub others: Band<Share>,
    /// Schmidt number of oxygen in seawater: coefficients of t⁰ to t⁴.
    pub schmidt: [f64; 5],
    /// Gas transfer through a surface in still air, at a Schmidt number of 600.
    pub still_surface: TransferVelocity,
    /// Gas transfer through a stirred surface: the constant.
    pub renewal: [f64; 1],
    /// How far the gas transfer of a tank can be off the reckoned one, as a factor.
    pub transfer_off: Band<Ratio>,
    /// Oxygen when the power fails, as a share of saturation.
    pub start: Band<Share>,
    /// Oxygen below which fish grow less, if it lasts.
    pub growth_limit: MassConcentration,
    /// Oxygen below which fish begin to die.
    pub survival_limit: MassConcentration,
    /// Flow of a small pump on a battery.
    pub backup_flow: VolumeRate,
    /// Outlet of a small pump on a battery.
    pub backup_outlet: Length,
    /// Temperatures in the table.
    pub table_temperatures: Vec<ThermodynamicTemperature>,
}

impl OxygenRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let saturation_temperature = topic.coefficients("saturation_temperature");
        let saturation_salinity = topic.coefficients("saturation_salinity");
        let saturation_salinity_squared = topic.coefficients("saturation_salinity_squared");
        let molar_mass = topic.one("molar_mass", "31.9 g/mol"..="32.1 g/mol");
        let respiration_temperature = topic.coefficients("respiration_temperature");
        let respiration_exponent = topic.coefficients("respiration_exponent");
        let (activity, others) = (topic.band("activity", "0.5"..="30"), topic.band("others", "0 %"..="1000 %"));
        let (schmidt, still_surface) = (topic.coefficients("schmidt"), topic.one("still_surface", "0.1 cm/h"..="50 cm/h"));
        let (renewal, transfer_off) = (topic.coefficients("renewal"), topic.band("transfer_off", "0.01"..="100"));
        let start = topic.band("start", "20 %"..="150 %");
        let (growth_limit, survival_limit) =
            (topic.one("growth_limit", "0.5 mg/L"..="10 mg/L"), topic.one("survival_limit", "0.5 mg/L"..="10 mg/L"));
        let backup_flow = topic.one("backup_flow", "10 L/h"..="20000 L/h");
        let backup_outlet = topic.one("backup_outlet", "3 mm"..="15 cm");
        let table_temperatures = topic.list("table_temperatures", "0 °C"..="40 °C");
        Some(OxygenRules {
            saturation_temperature: saturation_temperature?,
            saturation_salinity: saturation_salinity?,
            saturation_salinity_squared: saturation_salinity_squared?,
            molar_mass: molar_mass?,
            respiration_temperature: respiration_temperature?,
            respiration_exponent: respiration_exponent?,
            activity: activity?,
            others: others?,
            schmidt: schmidt?,
            still_surface: still_surface?,
            renewal: renewal?,
            transfer_off: transfer_off?,
            start: start?,
            growth_limit: growth_limit?,
            survival_limit: survival_limit?,
            backup_flow: backup_flow?,
            backup_outlet: backup_outlet?,
            table_temperatures: table_temperatures?,
        })
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
    let logarithm = polynomial(&rules.saturation_temperature, scaled)
        + s * polynomial(&rules.saturation_salinity, scaled)
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
    let [a, b] = rules.respiration_temperature;
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
    Ok(polynomial(&rules.schmidt, temperature.get::<degree_celsius>()))
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

/// Power of a stream where it leaves its outlet: `½ ρ Q U²` with `U = Q ÷ (π d² ÷ 4)`. In the end all of it stirs the water.
///
/// - `flow`: from nothing to 200,000 L/h
/// - `outlet`: inside diameter of the outlet, from 2 mm to 50 cm
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Mechanics: the kinetic energy that passes the outlet each second.
pub fn jet_power(flow: VolumeRate, outlet: Length, water: Water, rules: &Rules) -> Result<Power, Error> {
    let flow = within("the flow", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(200.0 / 3600.0))?;
    let outlet = within("the outlet", outlet, Length::from_si(2e-3)..=Length::from_si(0.5))?;
    let density = seawater::density(water.salinity, water.temperature, &rules.seawater)?;
    let speed: Velocity = flow / (outlet * outlet * (PI / 4.0));
    Ok(0.5 * density * flow * speed * speed)
}

/// A tank whose pumps have stopped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerCut {
    /// The water that the stock can reach.
    pub water: Volume,
    /// Its open surface.
    pub surface: Area,
    /// Oxygen that the water would hold in balance with the air.
    pub saturation: MassConcentration,
    /// Oxygen when the pumps stop.
    pub start: MassConcentration,
    /// What the stock breathes.
    pub demand: MassRate,
    /// How fast oxygen passes the surface.
    pub transfer: TransferVelocity,
}

/// When the oxygen reaches a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Until {
    /// After this time.
    Reached(Time),
    /// Never: the surface lets in as much as the stock breathes, at this concentration.
    Never(MassConcentration),
}

impl PowerCut {
    /// When the oxygen has fallen to a limit.
    ///
    /// The balance is `dC/dt = k A (Cs − C) ÷ V − R ÷ V`. With `a = k A ÷ V` it settles at `C∞ = Cs − R ÷ (a V)`, and reaches a limit
    /// `L` above that after `t = −ln(1 − a u) ÷ a`, where `u` is the time that the first fall would take if it went on unchanged.
    ///
    /// - `limit`: from nothing to 20 mg/L; one above the start is reached at once
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a limit or a part of the tank that is none: more than 100 m³ of water, 1000 m² of surface,
    /// 20 mg/L of oxygen, 1 kg/h of breathing, 1000 cm/h of transfer.
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

    /// `k A ÷ V` in 1/s and `R ÷ V` in kg/(m³ s), from parts that are in range.
    fn rates(&self) -> Result<(f64, f64), Error> {
        let water = within("the volume of water", self.water, Volume::from_si(1e-3)..=Volume::from_si(100.0))?;
        let surface = within("the surface of the water", self.surface, Area::from_si(0.0)..=Area::from_si(1000.0))?;
        within("the oxygen in saturated water", self.saturation, mg_per_litre(0.0)..=mg_per_litre(20.0))?;
        within("the oxygen at the start", self.start, mg_per_litre(0.0)..=mg_per_litre(20.0))?;
        let demand = within("what the stock breathes", self.demand, MassRate::from_si(0.0)..=MassRate::from_si(1.0 / 3600.0))?;
        let fastest = TransferVelocity::from_si(10.0 / 3600.0);
        let transfer = within("the gas transfer", self.transfer, TransferVelocity::from_si(0.0)..=fastest)?;
        Ok((transfer.si() * surface.si() / water.si(), demand.si() / water.si()))
    }
}

/// Adds the figures of this topic: `oxygen.…`. All but the saturation need fish.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let held = saturation(tank.water, rules)?;
    sheet.put(
        Figure::new("oxygen.saturation", "Oxygen that the water holds in balance with the air", held)
            .from("solubility × molar mass × density", &["seawater.temperature", "seawater.salinity", "seawater.density"])
            .rule("oxygen.saturation_temperature")
            .rule("oxygen.saturation_salinity")
            .rule("oxygen.saturation_salinity_squared")
            .rule("oxygen.molar_mass"),
    );
    sheet.tables.insert("oxygen_saturation", saturation_table(rules, tank)?);
    let mut rest = MassRate::from_si(0.0);
    for fish in &tank.fish {
        rest += respiration(fish.mass, tank.water.temperature, &rules.oxygen)? * f64::from(fish.count);
    }
    if rest > MassRate::from_si(0.0) { power_cut_figures(sheet, rules, tank, held, rest) } else { Ok(()) }
}

/// A power cut's worst and best case.
#[derive(Clone, Copy)]
enum Case {
    Worst,
    Best,
}

impl Case {
    /// What a figure's id and title say.
    fn words(self) -> (&'static str, &'static str) {
        match self {
            Case::Worst => ("worst", "at the worst"),
            Case::Best => ("best", "at the best"),
        }
    }
}

/// Oxygen against time after the pumps stop, with the two limits.
fn left_chart(curves: [(&str, PowerCut); 3], rules: &OxygenRules) -> Result<Chart, Error> {
    let hours = Time::from_si(12.0 * 3600.0);
    let top = curves.iter().fold(0.0_f64, |most, (_, cut)| most.max(cut.start.si()));
    let mut chart = Chart::new(
        "oxygen_left",
        "Oxygen in the water after the pumps stop",
        "Three curves: still water and stirred water at the worst, and still water at the best. Two levels across: the limit for growth and, below it, the limit for survival.",
        Axis::new("Time since the power failed", Kind::Time, 0.0, hours.si()),
        Axis::new("Oxygen in the water", Kind::Concentration, 0.0, top * 1.1),
    );
    for (name, cut) in curves {
        let at = |step: u32| {
            let time = hours * (f64::from(step) / 48.0);
            Ok((time.si(), cut.after(time)?.si()))
        };
        chart = chart.line(name, (0..=48).map(at).collect::<Result<Vec<_>, Error>>()?);
    }
    Ok(chart.level("Limit for growth", rules.growth_limit).level("Limit for survival", rules.survival_limit))
}

fn power_cut_figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank, held: MassConcentration, rest: MassRate) -> Result<(), Error> {
    let all = rules;
    let rules = &all.oxygen;
    let water = crate::volume::Contents::of(tank, &all.volume).net;
    let mass = water * seawater::density(tank.water.salinity, tank.water.temperature, &all.seawater)?;
    sheet.put(
        Figure::new("oxygen.rest", "Oxygen that the fish breathe at rest", rest)
            .from("Σ count × e^(a + b × 1000 ÷ T) × (mass ÷ 50 g)^exponent", &["seawater.temperature"])
            .rule("oxygen.respiration_temperature")
            .rule("oxygen.respiration_exponent")
            .rule("oxygen.molar_mass")
            .never_below(),
    );
    let demand = Band {
        low: rest * rules.activity.low * (1.0 + rules.others.low.0),
        high: rest * rules.activity.high * (1.0 + rules.others.high.0),
    };
    let demand_formula = "at rest × activity × (1 + share of all others)";
    sheet.put(
        Figure::new("oxygen.demand", "Oxygen that all life in the tank breathes in the dark", demand)
            .from(demand_formula, &["oxygen.rest"])
            .rule("oxygen.activity")
            .rule("oxygen.others")
            .never_below(),
    );
    sheet.put(
        Figure::new("oxygen.demand_worst", "Oxygen that all life in the tank breathes in the dark, at the worst", demand.high)
            .from(demand_formula, &["oxygen.rest"])
            .rule("oxygen.activity")
            .rule("oxygen.others")
            .never_below(),
    );

    let still = still_transfer(tank.water.temperature, rules)?;
    // A pump adds to what happens without one; it does not take away.
    let jet = jet_power(rules.backup_flow, rules.backup_outlet, tank.water, all)?;
    let stirred = stirred_transfer(jet, mass, tank.water, all)?;
    let stirred = if stirred > still { stirred } else { still };
    let off = |transfer: TransferVelocity| Band {
        low: TransferVelocity::from_si(transfer.si() * rules.transfer_off.low.si()),
        high: TransferVelocity::from_si(transfer.si() * rules.transfer_off.high.si()),
    };
    sheet.put(
        Figure::new("oxygen.still_transfer", "How fast oxygen passes a still surface", off(still))
            .from("k600 × √(600 ÷ Schmidt number) × how far it can be off", &["seawater.temperature"])
            .rule("oxygen.still_surface")
            .rule("oxygen.schmidt")
            .rule("oxygen.transfer_off"),
    );
    sheet.put(
        Figure::new("oxygen.jet_power", "Power of the stream of a small pump on a battery", jet)
            .from("½ × density × flow × (flow ÷ outlet's area)²", &["seawater.density"])
            .rule("oxygen.backup_flow")
            .rule("oxygen.backup_outlet"),
    );
    sheet.put(
        Figure::new("oxygen.stirred_transfer", "How fast oxygen passes a surface that a small pump stirs", off(stirred))
            .from(
                "c × (power ÷ mass × viscosity)^¼ ÷ √Schmidt number × how far it can be off",
                &["oxygen.jet_power", "tank.water", "seawater.density", "seawater.viscosity"],
            )
            .rule("oxygen.renewal")
            .rule("oxygen.schmidt")
            .rule("oxygen.transfer_off"),
    );

    let start = Band { low: held * rules.start.low.0, high: held * rules.start.high.0 };
    let surface = tank.glass.inside_area();
    let cut = |transfer: TransferVelocity, case| {
        let (start, demand, transfer) = match case {
            Case::Worst => (start.low, demand.high, off(transfer).low),
            Case::Best => (start.high, demand.low, off(transfer).high),
        };
        PowerCut { water, surface, saturation: held, start, demand, transfer }
    };
    let curves = [
        ("Still, at the worst", cut(still, Case::Worst)),
        ("Stirred, at the worst", cut(stirred, Case::Worst)),
        ("Still, at the best", cut(still, Case::Best)),
    ];
    sheet.charts.insert("oxygen_left", left_chart(curves, rules)?);
    let mut rows = Vec::new();
    let limits = [("growth", rules.growth_limit), ("survival", rules.survival_limit)];
    let surfaces = [("still", "nothing stirs the water", still), ("stirred", "a small pump stirs the water", stirred)];
    for (surface_key, surface_words, transfer) in surfaces {
        for (limit_key, limit) in limits {
            let mut cells = Vec::new();
            for case in [Case::Worst, Case::Best] {
                let (case_key, case_words) = case.words();
                let value = match cut(transfer, case).until(limit)? {
                    Until::Reached(time) => Value::from(time),
                    Until::Never(_) => Value::from("never"),
                };
                let id = format!("oxygen.{surface_key}_{limit_key}_{case_key}");
                let title = format!("Time until the oxygen is down to the limit for {limit_key} while {surface_words}, {case_words}");
                let transfer_id = format!("oxygen.{surface_key}_transfer");
                let figure = Figure::new(id, title, value)
                    .from(
                        "−ln(1 − a u) ÷ a, a = transfer × surface ÷ water, u = fall ÷ first rate of fall",
                        &["oxygen.saturation", "oxygen.demand", transfer_id.as_str(), "tank.inside_area", "tank.water"],
                    )
                    .rule("oxygen.start")
                    .rule(&format!("oxygen.{limit_key}_limit"))
                    .never_above();
                sheet.put(figure.clone());
                cells.push(Cell::Figure(Figure { id: format!("oxygen_power_cut.{surface_key}_{limit_key}_{case_key}"), ..figure }));
            }
            rows.push(Row { head: Cell::Words(format!("Down to the limit for {limit_key}, while {surface_words}")), cells });
        }
    }
    sheet.tables.insert(
        "oxygen_power_cut",
        Table {
            id: "oxygen_power_cut",
            caption: "How long the oxygen lasts when the power fails".to_owned(),
            heads: ["What happens", "At the worst", "At the best"].map(str::to_owned).to_vec(),
            rows,
        },
    );
    store_figures(sheet, water, start.low, demand.high, rules);
    Ok(())
}

/// The sum a reader can check by hand: the oxygen above the limit, over what the stock breathes, as if nothing came in.
fn store_figures(sheet: &mut Sheet, water: Volume, start: MassConcentration, demand: MassRate, rules: &OxygenRules) {
    let spare = MassConcentration::from_si((start - rules.growth_limit).si().max(0.0));
    let lasts = Time::from_si(spare.si() * water.si() / demand.si());
    sheet.put(
        Figure::new("oxygen.spare", "Oxygen above the limit for growth when the power fails, at the worst", spare)
            .from("saturation × share − limit", &["oxygen.saturation"])
            .rule("oxygen.start")
            .rule("oxygen.growth_limit")
            .never_above(),
    );
    sheet.put(
        Figure::new("oxygen.store", "Time that the oxygen in the water lasts if none comes in, at the worst", lasts)
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
        _ => return,
    }
    sheet.workings.insert(
        "oxygen_store",
        Working {
            id: "oxygen_store",
            title: "How long the oxygen in the water lasts by itself",
            given: vec!["oxygen.spare", "tank.water", "oxygen.demand_worst"],
            formula: "spare oxygen × water ÷ what all life breathes",
            sums: vec![Sum::work(System::Metric, terms, unit)],
            answer: "oxygen.store",
            tell: "Shorter than the time in the table at the worst, which counts what comes in through the surface.",
        },
    );
}

/// Temperature → saturation, at the tank's salinity.
fn saturation_table(rules: &Rules, tank: &Tank) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for temperature in &rules.oxygen.table_temperatures {
        let id = format!("oxygen_saturation.{}", rows.len() + 1);
        let held = saturation(Water { temperature: *temperature, ..tank.water }, rules)?;
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
    })
}

fn mg_per_litre(value: f64) -> MassConcentration {
    MassConcentration::from_si(value * 1e-3)
}

#[cfg(test)]
mod tests;
