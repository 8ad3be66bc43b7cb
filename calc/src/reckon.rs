//! Reckoning a sheet: the list of topics, in the order in which they build on each other.

use crate::catalogue::Catalogue;
use crate::error::Error;
use crate::figures::{
    assumed, atlas, circuit, cost, evaporation, fit, glass, growth, heat, measured, mixing, oxygen, paper,
    plan, power, power_cut, programme, return_line, sand, seawater, settling, sound, speed_map, speeds,
    stream, team, turnover, upgrade, upkeep, volume, waves, weir,
};
use crate::rules::Rules;
use crate::rules::livestock::Lives;
use crate::sheet::{Atlas, Sheet};
use crate::tank::Tank;

impl Sheet {
    /// Reckons everything. A catalogue without pumps leaves out the plan.
    ///
    /// # Errors
    /// [`Error::NoAnswer`] where the tank was read with other rules, of which these lack a kind of livestock;
    /// the first formula that has no answer for this tank, with the reason.
    pub fn reckon(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Self, Error> {
        Sheet::reckon_with(rules, catalogue, tank, true)
    }

    /// Reckons everything but the maps of speeds, which take longer than all the rest.
    ///
    /// # Errors
    /// Those of [`Sheet::reckon`].
    pub fn reckon_without_maps(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Self, Error> {
        Sheet::reckon_with(rules, catalogue, tank, false)
    }

    /// Whether a part is there only once the maps are reckoned.
    ///
    /// - `id`: of a figure, table or map, or what a figure's id begins with
    pub fn is_of_maps(id: &str) -> bool {
        let topic = id.split_once('.').map_or(id, |(topic, _)| topic);
        speed_map::PARTS.contains(&topic)
    }

    fn reckon_with(rules: &Rules, catalogue: &Catalogue, tank: &Tank, maps: bool) -> Result<Self, Error> {
        let mut kinds = tank.now.kinds().iter().chain(tank.later.kinds());
        if let Some(stranger) = kinds.find(|kind| !rules.livestock.contains(kind)) {
            let why = format!(
                "these rules know no {}; read the tank with the rules that it is reckoned with",
                stranger.key()
            );
            return Err(Error::NoAnswer { what: "the livestock of this tank", why });
        }
        let catalogue = &catalogue.with(&tank.models);
        let mut sheet = Sheet::empty(rules, tank);
        sheet.put_rules(rules);
        sheet.topic(|sheet| {
            assumed::figures(sheet, rules, tank);
            Ok(())
        })?;
        sheet.topic(|sheet| measured::figures(sheet, tank))?;
        sheet.topic(|sheet| seawater::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| volume::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| glass::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| turnover::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| mixing::figures(sheet, rules))?;
        sheet.topic(|sheet| oxygen::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| upkeep::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| power::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| return_line::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| sound::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| stream::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| sand::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| settling::figures(sheet, rules))?;
        sheet.topic(|sheet| speeds::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| waves::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| plan::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| {
            upkeep::several(sheet, rules, tank);
            Ok(())
        })?;
        sheet.topic(|sheet| circuit::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| evaporation::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| heat::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| weir::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| cost::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| fit::figures(sheet, rules, catalogue, tank))?;
        if maps {
            sheet.topic(|sheet| speed_map::figures(sheet, rules, catalogue, tank))?;
        }
        sheet.topic(|sheet| growth::figures(sheet, rules, tank))?;
        sheet.topic(|sheet| upgrade::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| team::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| programme::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| power_cut::figures(sheet, rules, catalogue, tank))?;
        sheet.topic(|sheet| paper::figures(sheet, rules, catalogue))?;
        sheet.topic(|sheet| measured::beside(sheet, rules, catalogue, tank))?;
        sheet.finish(rules)
    }
}

impl Atlas {
    /// Reckons the atlas of shapes and rock, which takes longer than a tank: it is for whoever shows it.
    ///
    /// # Errors
    /// Rules by which a tank of the atlas can not be, or has no answer.
    pub fn reckon(rules: &Rules) -> Result<Self, Error> {
        let mut sheet = Sheet::named(rules, rules.words.atlas.name(), "");
        let mut shapes = Vec::new();
        sheet.topic(|sheet| {
            shapes = atlas::figures(sheet, rules)?;
            Ok(())
        })?;
        Ok(Atlas { title: rules.words.atlas.caption().to_owned(), sheet: sheet.finish(rules)?, shapes })
    }
}
