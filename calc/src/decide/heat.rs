//! Through what a tank loses water and heat, at the least and at the most.

use uom::si::f64::{Area, Power, Time, Volume};

use crate::error::Error;
use crate::formulas::evaporation::{Air, in_wind, lost};
use crate::formulas::heat::{Outside, Surface, passes};
use crate::quantity::{Dimension, Share};
use crate::rules::{Band, Rules};
use crate::tank::{Material, Tank};

/// A day.
pub const DAY: f64 = 86_400.0;

/// The air of the tank's room.
pub fn air(tank: &Tank) -> Air {
    Air { room: *tank.home.temperature, humidity: *tank.home.humidity }
}

/// The tank's surface where least evaporates from it, and where most does.
///
/// # Errors
/// [`Error::OutOfRange`] for rules outside the ranges of their formulas.
pub fn surfaces(tank: &Tank, fan: bool, rules: &Rules) -> Result<[Surface; 2], Error> {
    let of = &rules.evaporation;
    let open = if tank.lid { *of.lid_passes } else { Band { low: Share(1.0), high: Share(1.0) } };
    let [calm, windy] =
        if fan { [in_wind(of.fan_speed.low, of)?, in_wind(of.fan_speed.high, of)?] } else { [1.0, 1.0] };
    let area = tank.glass.inside_area();
    Ok([
        Surface { area, stirred: false, open: open.low, wind: calm },
        Surface { area, stirred: true, open: open.high, wind: windy },
    ])
}

/// What evaporates in a day. At the most, the surface of the sump counts too.
///
/// # Errors
/// As [`surfaces`], and for a water or a room outside the ranges of the formulas.
pub fn evaporates(tank: &Tank, fan: bool, rules: &Rules) -> Result<Band<Volume>, Error> {
    let (water, air, day) = (*tank.temperature, air(tank), Time::from_si(DAY));
    let [least, most] = surfaces(tank, fan, rules)?;
    let from = |surface: Surface| -> Result<Volume, Error> {
        Ok(lost(surface.flux(water, air, rules)?, surface.area, day))
    };
    let mut a_day = Band { low: from(least)?, high: from(most)? };
    if tank.sump > Volume::default() {
        let sump = Surface { area: sump_surface(tank, rules), open: Share(1.0), wind: 1.0, ..most };
        a_day.high += from(sump)?;
    }
    Ok(a_day)
}

/// The surface of the sump, by the depth that water in sumps mostly has.
pub fn sump_surface(tank: &Tank, rules: &Rules) -> Area {
    tank.sump / *rules.evaporation.sump_depth
}

/// Through what the tank loses heat, at the least and at the most.
///
/// # Errors
/// As [`surfaces`], and as [`passes`].
pub fn outsides(tank: &Tank, fan: bool, rules: &Rules) -> Result<[Outside; 2], Error> {
    let conductivity = match tank.material {
        Material::Glass => *rules.heat.glass,
        Material::Acrylic => *rules.heat.acrylic,
    };
    let passes = passes(tank.glass.pane, conductivity.si(), 0.0, rules.heat.air_film[0])?;
    let panes = tank.glass.outline.perimeter() * tank.glass.water_height();
    Ok(surfaces(tank, fan, rules)?.map(|surface| Outside { panes, passes, surface }))
}

/// What a heater must give on average, so that with `power` of other things the tank stays as warm as it is.
pub fn heater(loses: Power, power: Power) -> Power {
    (loses - power).max(Power::default())
}
