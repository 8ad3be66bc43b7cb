//! How the oxygen falls when the pumps stop.

use uom::si::f64::{MassConcentration, MassRate, Time, Volume, VolumeRate};

use crate::error::{Error, within};
use crate::quantity::Dimension;

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
    /// What comes in, as the flow of water in balance with the air that would bring as much: see
    /// [`through_surface`](super::through_surface), [`bubbles`](super::bubbles).
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
    /// The balance is `dC/dt = G (Cs − C) ÷ V − R ÷ V`, G the exchange. With `a = G ÷ V` it settles at
    /// `C∞ = Cs − R ÷ (a V)`, and reaches a limit `L` above that after `t = −ln(1 − a u) ÷ a`, where `u` is
    /// the time that the first fall would take if it went on unchanged.
    ///
    /// - `limit`: from nothing to 20 mg/L; one above the start is reached at once
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a limit or a part of the tank that is none: more than 100 m³ of water, 20
    /// mg/L of oxygen, 1 kg/h of breathing, 10,000 m³/h of exchange.
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
        Ok(if seconds.is_finite() {
            Until::Reached(Time::from_si(seconds))
        } else {
            Until::Never(self.start)
        })
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
        let water =
            within("the volume of water", self.water, Volume::from_si(1e-3)..=Volume::from_si(100.0))?;
        within("the oxygen in saturated water", self.saturation, mg_per_litre(0.0)..=mg_per_litre(20.0))?;
        within("the oxygen at the start", self.start, mg_per_litre(0.0)..=mg_per_litre(20.0))?;
        let demand = within(
            "what all life breathes",
            self.demand,
            MassRate::from_si(0.0)..=MassRate::from_si(1.0 / 3600.0),
        )?;
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

pub(super) fn mg_per_litre(value: f64) -> MassConcentration {
    MassConcentration::from_si(value * 1e-3)
}
