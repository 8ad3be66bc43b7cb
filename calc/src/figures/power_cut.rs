//! The power cut on the sheet: its figures, tables, chart and the card of steps.

mod tables;

use uom::si::f64::{Time, Volume};

use super::ids::{oxygen as oxygen_id, power as power_id, power_cut as id, seawater, volume};
use crate::catalogue::Catalogue;
use crate::decide::plan;
use crate::decide::power_cut::{
    Backup, Brings, Chain, MINUTE, OnBattery, Pouring, Running, Situation, Which, act_before, candidates,
    feeding_pause, hands_by, is_enough, of_all, of_model, runs_at, steps, thriftiest,
};
use crate::error::Error;
use crate::figures::power::needed_table;
use crate::formulas::oxygen::{self, Case, Until};
use crate::formulas::power;
use crate::quantity::{Dimension, Rounding, TransferVelocity, show};
use crate::rules::oxygen::Limit;
use crate::rules::{Band, Rules, words};
use crate::sheet::{Id, Sheet, Value, figure, try_figure};
use crate::tank::{Battery, Chemistry, Output, Tank};
use crate::trace::Traced;
use tables::{backups_table, hours_table, left_chart, settings_table, steps_table, times_table};

/// The chain from the figures of the sheet.
///
/// # Errors
/// [`Error::NoAnswer`] where the sheet lacks one of them.
pub(super) fn chain<'a>(sheet: &Sheet, rules: &'a Rules) -> Result<Chain<'a>, Error> {
    let (water, density) = (sheet.get(volume::WATER)?, sheet.get(seawater::DENSITY)?);
    let temperature = sheet.get(seawater::TEMPERATURE)?;
    let demand = [oxygen_id::DEMAND_WORST, oxygen_id::DEMAND_LIKELY, oxygen_id::DEMAND_BEST];
    let [worst, likely, best] = demand.map(|demand| sheet.get(demand));
    Ok(Chain {
        rules,
        mass: Traced::new(|| *water * *density),
        water,
        surface: sheet.get(volume::DISPLAY_AREA)?,
        salinity: sheet.get(seawater::SALINITY)?,
        saturation: sheet.get(oxygen_id::SATURATION)?,
        start: sheet.get(oxygen_id::START)?,
        demand: [worst?, likely?, best?],
        still: Traced::ok(|| oxygen::still_transfer(*temperature, &rules.oxygen))?,
        temperature,
    })
}

/// Adds the figures of this topic: `power_cut.…`.
///
/// # Errors
/// As [`Chain::course`], [`power::battery_lasts`] and [`power::battery_needed`].
pub(crate) fn figures(
    sheet: &mut Sheet,
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
) -> Result<(), Error> {
    let (chain, words) = (chain(sheet, rules)?, &rules.words.power_cut);
    let output = tank.battery.map_or(Output::Direct, |battery| battery.output);
    let own = Traced::ok(|| candidates(tank, catalogue, output, rules))?;
    let backup = Traced::ok(|| Backup::of(&chain, tank, catalogue))?;
    let Has { running, pump } = put_backup(sheet, tank, &chain, &own, &backup)?;
    let nothing = Traced::given(Vec::new());
    let still = put_times(sheet, &chain, STILL, &nothing)?;
    let times = put_times(sheet, &chain, WITH_BACKUP, &running)?;
    let thrifty = Traced::ok(|| thriftiest(&chain, &own))?;
    put_enough(sheet, &chain, &times, &running, &thrifty)?;
    let hands = put_hands(sheet, tank, &chain, (&still, &times), &running)?;
    put_rest(sheet, tank, &chain)?;
    // Without pumps in its file, a tank is told what those of its plan would need.
    let planned = if tank.pumps.is_empty() {
        Traced::ok(|| of_the_plan(tank, catalogue, output, rules))?
    } else {
        Traced::given(Vec::new())
    };
    let thrifty =
        Traced::ok(|| if thrifty.is_none() { thriftiest(&chain, &planned) } else { Ok((*thrifty).clone()) })?;
    put_needed(sheet, &chain, tank, &[&own, &planned], &thrifty, output)?;
    let ways = Ways {
        still: (&nothing, &still),
        backup: (!running.peek().is_empty()).then_some((&running, &times)),
    };
    sheet.tabulate(|| Ok(times_table(&ways, words)))?;
    put_never(sheet, tank, &ways, words);
    sheet.tabulate(|| hours_table(&chain, &ways))?;
    let water_height = sheet.get(volume::WATER_HEIGHT)?;
    let stone = figure(id::EXAMPLE_DEPTH, || rules.oxygen.backup_depth.min(*water_height));
    let stone = sheet.put(stone.says("the depth of the example, at the most that of the water"));
    sheet.tabulate(|| backups_table(&chain, stone))?;
    sheet.plot(|| left_chart(&chain, &ways))?;
    let time = |until: Until| match until {
        Until::Reached(time) => Some(time),
        Until::Never(_) => None,
    };
    let by = |hands: &Hands| time(*hands.by).map(|by| (by, *hands.pouring));
    let still_hands =
        Hands { by: hands.by_still, pouring: Traced::ok(|| chain.pouring(&[]))?, ..hands.clone() };
    sheet.tabulate(|| {
        let situation = Situation {
            lid: tank.lid,
            idle_battery: tank.battery.is_some() && tank.pumps.is_empty() && pump.is_none(),
            fish: !tank.fish.is_empty(),
            return_line: tank.return_line.is_some(),
            residual_current: tank.home.residual_current,
            pump: pump.as_ref().map(|pump| pump.words(words)),
            inverter: output != Output::Direct,
            air: tank.air_pump.map(|pump| pump.lasts),
            jug: *hands.jug,
            aim: time(**times.worst(Limit::Aim)),
            danger: time(**times.worst(Limit::Danger)),
            hands: by(&hands),
            still_hands: by(&still_hands),
            danger_poured: time(chain.until(Limit::Danger, Case::Worst, &chain.poured_beside(&running))?),
        };
        Ok(steps_table(steps(&situation, rules), words))
    })
}

/// The ids of the times while nothing runs: those of [`Limit::ALL`], each in [`Case::ALL`].
const STILL: [[Id<Value>; 3]; 2] = [
    [id::STILL_AIM_WORST, id::STILL_AIM_LIKELY, id::STILL_AIM_BEST],
    [id::STILL_DANGER_WORST, id::STILL_DANGER_LIKELY, id::STILL_DANGER_BEST],
];

/// The same with all that the tank has for a power cut.
const WITH_BACKUP: [[Id<Value>; 3]; 2] =
    [[id::AIM_WORST, id::AIM_LIKELY, id::AIM_BEST], [id::DANGER_WORST, id::DANGER_LIKELY, id::DANGER_BEST]];

/// The formula behind every time of this topic.
const UNTIL: &str = "−ln(1 − a u) ÷ a in each stretch, a = exchange ÷ water, u = fall ÷ first rate of fall";

/// The times until each of [`Limit::ALL`] in each of [`Case::ALL`], each standing for its figure.
struct Times([[Traced<Until>; 3]; 2]);

impl Times {
    fn of(&self, limit: Limit) -> &[Traced<Until>; 3] {
        let [aim, danger] = &self.0;
        match limit {
            Limit::Aim => aim,
            Limit::Danger => danger,
        }
    }

    fn worst(&self, limit: Limit) -> &Traced<Until> {
        let [worst, ..] = self.of(limit);
        worst
    }
}

/// What runs, with its times: nothing, and what the tank has, if it has anything.
struct Ways<'t> {
    still: (&'t Traced<Vec<Running>>, &'t Times),
    backup: Option<(&'t Traced<Vec<Running>>, &'t Times)>,
}

impl<'t> Ways<'t> {
    /// Each of them, with one or the other of two names.
    fn named<N>(
        &self,
        still: N,
        backup: N,
    ) -> impl Iterator<Item = (N, &'t Traced<Vec<Running>>, &'t Times)> {
        let named = |name, (running, times): (&'t _, &'t _)| (name, running, times);
        [named(still, self.still)].into_iter().chain(self.backup.map(|way| named(backup, way)))
    }
}

/// A time, or "never".
fn time(until: Until, words: &words::PowerCut) -> Value {
    match until {
        Until::Reached(time) if time.si() < 1.0 => Value::from(words.at_once()),
        Until::Reached(time) => Value::from(time),
        Until::Never(_) => Value::from(words.never()),
    }
}

fn put_times(
    sheet: &mut Sheet,
    chain: &Chain<'_>,
    ids: [[Id<Value>; 3]; 2],
    running: &Traced<Vec<Running>>,
) -> Result<Times, Error> {
    let words = &chain.rules.words.power_cut;
    let mut put = |id: Id<Value>, limit: Limit, case: Case| {
        let until = Traced::ok(|| chain.until(limit, case, running))?;
        sheet.put(figure(id, || time(*until, words)).says(UNTIL).never_above());
        Ok::<_, Error>(Traced::figure(id.name(), *until.peek()))
    };
    let mut of = |[worst, likely, best]: [Id<Value>; 3], limit| {
        Ok::<_, Error>([
            put(worst, limit, Case::Worst)?,
            put(likely, limit, Case::Likely)?,
            put(best, limit, Case::Best)?,
        ])
    };
    let [aim, danger] = ids;
    Ok(Times([of(aim, Limit::Aim)?, of(danger, Limit::Danger)?]))
}

/// Whether that is enough, and why.
fn put_enough(
    sheet: &mut Sheet,
    chain: &Chain<'_>,
    times: &Times,
    running: &Traced<Vec<Running>>,
    thrifty: &Traced<Option<OnBattery>>,
) -> Result<(), Error> {
    let (danger, rules) = (times.worst(Limit::Danger), &chain.rules.power_cut);
    let enough = Traced::new(|| is_enough(**danger, rules));
    let told = figure(id::ENOUGH, || if *enough { "yes" } else { "no" }.to_owned());
    sheet.put(told.says("time until danger, at the worst, compared with the wanted time"));
    let because = || chain.because(**danger, running, thrifty.is_some()).map(str::to_owned);
    let because = sheet.put(try_figure(id::ENOUGH_BECAUSE, because)?);
    if !*enough.peek() {
        let wanted = show((*rules.wanted).into(), Rounding::Nearest);
        sheet.warn(chain.rules.words.power_cut.outlasts_the_oxygen(wanted, because.peek()));
    }
    Ok(())
}

/// What the tank has for a power cut.
struct Has {
    /// All that runs.
    running: Traced<Vec<Running>>,
    /// Which pump is on the battery.
    pump: Option<Traced<OnBattery>>,
}

/// What runs, and for how long.
fn put_backup(
    sheet: &mut Sheet,
    tank: &Tank,
    chain: &Chain<'_>,
    own: &Traced<Vec<OnBattery>>,
    backup: &Traced<Backup>,
) -> Result<Has, Error> {
    let words = &chain.rules.words.power_cut;
    sheet.put(figure(id::PUMP, || {
        let pump = backup.pump.as_ref().map(|(pump, _)| pump.words(words));
        let air = tank.air_pump.map(|air| show(air.lasts.into(), Rounding::Down));
        match (pump, air) {
            (None, None) => words.nothing_runs().to_owned(),
            (Some(pump), None) => pump,
            (None, Some(air)) => words.air_runs(air),
            (Some(pump), Some(air)) => words.both_run(pump, air),
        }
    }));
    let off = |transfer: TransferVelocity| {
        let off = *chain.rules.oxygen.transfer_off;
        let times = |factor: f64| TransferVelocity::from_si(transfer.si() * factor);
        Band { low: times(off.low.si()), high: times(off.high.si()) }
    };
    let still = figure(id::STILL_TRANSFER, || off(*chain.still));
    sheet.put(still.says("k600 × √(600 ÷ Schmidt number) × how far it can be off"));
    let pump = Traced::new(|| backup.pump.clone().map(|(pump, _)| pump)).transpose();
    let on_battery = match (pump, tank.battery) {
        (Some(pump), Some(battery)) => {
            let (pump, runs) = put_pump(sheet, chain, &pump, battery, off)?;
            let air = backup.peek().air;
            sheet.tabulate(|| settings_table(chain, battery, own, &pump, air))?;
            Some((pump, runs))
        }
        (_, battery) => {
            lack_pump(sheet, tank, battery, words);
            None
        }
    };
    let air = match tank.air_pump {
        None => {
            sheet.lack("power_cut.air", words.no_air_pump(&tank.name));
            None
        }
        Some(air) => {
            let flow = sheet.put(figure(id::AIR_FLOW, || air.air));
            let lasts = sheet.put(figure(id::AIR_LASTS, || air.lasts).never_above());
            let runs = || Running { lasts: *lasts, brings: Brings::Air { air: *flow, depth: air.depth } };
            Some(Traced::new(runs))
        }
    };
    let (pump, runs) = on_battery.unzip();
    let running = Traced::new(|| runs.iter().chain(&air).map(|running| **running).collect());
    Ok(Has { running, pump })
}

/// The pump on the battery; hands it back, standing for the figures that name it, and how it runs.
fn put_pump(
    sheet: &mut Sheet,
    chain: &Chain<'_>,
    pump: &Traced<OnBattery>,
    battery: Battery,
    off: impl Fn(TransferVelocity) -> Band<TransferVelocity>,
) -> Result<(Traced<OnBattery>, Traced<Running>), Error> {
    let words = &chain.rules.words.power_cut;
    let setting = figure(id::SETTING, || match pump.setting {
        Some(setting) => Value::from(setting),
        None => Value::from(words.only_setting()),
    });
    sheet.put(setting.says("the longest time until danger at the worst"));
    sheet.put(figure(id::ON_BATTERY, || pump.pump.words(words)));
    let pump = Traced::figure(id::SETTING.name(), pump.peek().clone());
    let draw = figure(id::DRAW, || *pump.draw).says(DRAW).never_below();
    let draw = sheet.put(draw);
    let energy = sheet.get(power_id::BATTERY)?;
    let lasts = || power::battery_lasts(Battery { energy: *energy, ..battery }, *draw, &chain.rules.power);
    let lasts = try_figure(id::BATTERY_LASTS, lasts)?.never_above();
    let lasts = sheet.put(lasts);
    let stirring = figure(id::JET_POWER, || *pump.stirring);
    let stirring = sheet.put(stirring.says("½ × density × flow × (flow ÷ outlet's area)²"));
    let stirred = try_figure(id::STIRRED_TRANSFER, || Ok(off(chain.transfer(*stirring)?)))?;
    sheet.put(stirred.says("c × (power ÷ mass × viscosity)^¼ ÷ √Schmidt number × how far it can be off"));
    let runs = Traced::new(|| Running { lasts: *lasts, brings: Brings::Stirring(*stirring) });
    Ok((pump, runs))
}

/// How the draw of a pump at a setting is reckoned.
const DRAW: &str = "full − least share of the saving × (full − draw at the setting)";

/// Why no pump runs.
fn lack_pump(sheet: &mut Sheet, tank: &Tank, battery: Option<Battery>, words: &words::PowerCut) {
    let name = &tank.name;
    let why = match battery {
        None => words.no_battery(name),
        Some(_) if tank.pumps.is_empty() => words.no_pump_yet(name),
        Some(Battery { output: Output::Direct, .. }) => words.no_socket(name),
        Some(_) => words.no_pump(name),
    };
    let parts = [
        id::SETTING.name(),
        id::ON_BATTERY.name(),
        id::DRAW.name(),
        id::BATTERY_LASTS.name(),
        id::JET_POWER.name(),
        id::STIRRED_TRANSFER.name(),
        tables::SETTINGS,
    ];
    for part in parts {
        sheet.lack(part, why.as_str());
    }
}

/// By when hands must move the water, and what they must do.
#[derive(Clone)]
struct Hands {
    by: Traced<Until>,
    /// The same where nothing runs.
    by_still: Traced<Until>,
    pouring: Traced<Pouring>,
    jug: Traced<Volume>,
}

/// What hands must do, and from when.
///
/// - `still`, `times`: the times while nothing runs, and while what the tank has does
fn put_hands(
    sheet: &mut Sheet,
    tank: &Tank,
    chain: &Chain<'_>,
    (still, times): (&Times, &Times),
    running: &Traced<Vec<Running>>,
) -> Result<Hands, Error> {
    let (rules, words) = (&chain.rules.power_cut, &chain.rules.words.power_cut);
    let by = |until: Until| match until {
        Until::Reached(time) if time.si() < MINUTE => Value::from(words.at_once()),
        Until::Reached(time) => Value::from(time),
        Until::Never(_) => Value::from(words.no_hurry()),
    };
    let mut put = |id: Id<Value>, until: &dyn Fn() -> Until| {
        let until = Traced::new(until);
        let figure = figure(id, || by(*until)).says("time until what you aim for, at the worst × share");
        sheet.put(figure.never_above());
        Traced::figure(id.name(), *until.peek())
    };
    let within = |times: &Times, runs: bool| {
        hands_by(times.worst(Limit::Aim), times.worst(Limit::Danger), runs, rules)
    };
    let runs = !running.peek().is_empty();
    let hands = put(id::ACT_BY, &|| within(times, runs));
    let by_still = put(id::ACT_BY_STILL, &|| within(still, false));
    put(id::WATCH_FROM, &|| act_before(**times.worst(Limit::Aim), rules));
    let pouring = Traced::ok(|| match *hands {
        Until::Reached(time) => chain.pouring(&runs_at(time, running)),
        Until::Never(_) => chain.pouring(&[]),
    })?;
    sheet.put(figure(id::POUR, || pouring.words(words).to_owned()).says(POURED));
    let jug = sheet.put(figure(id::JUG, || chain.jug()));
    let told = figure(id::HANDS, || told(*hands, *pouring, words));
    sheet.put(told.says(POURED));
    if let Pouring::Spells { .. } = pouring.peek() {
        let spell = |pour_or_every: fn(Time, Time) -> Time| match *pouring {
            Pouring::Spells { pour, every } => pour_or_every(pour, every),
            _ => Time::default(),
        };
        sheet.put(figure(id::POUR_FOR, || spell(|pour, _| pour)).says(POURED));
        sheet.put(figure(id::POUR_EVERY, || spell(|_, every| every)).says(POURED));
    } else {
        let (name, pours) = (&tank.name, *pouring.peek() != Pouring::NotNeeded);
        let why = if pours { words.no_pauses(name) } else { words.nobody_pours(name) };
        for part in [id::POUR_FOR, id::POUR_EVERY] {
            sheet.lack(part, why.as_str());
        }
    }
    Ok(Hands { by: hands, by_still, pouring, jug })
}

/// How it is reckoned in which part of the time hands must pour.
const POURED: &str = "(breathing ÷ what is missing at the limit − exchange without pouring) ÷ exchange by \
                      pouring";

/// What hands must do and from when, in words.
fn told(hands: Until, pouring: Pouring, words: &words::PowerCut) -> String {
    let from = match hands {
        Until::Reached(time) if time.si() < MINUTE => words.at_once().to_owned(),
        Until::Reached(time) => words.within(show(time.into(), Rounding::Down)),
        Until::Never(_) => return words.hands_never().to_owned(),
    };
    match pouring {
        Pouring::NotNeeded => words.hands_not_meanwhile().to_owned(),
        Pouring::Spells { pour, every } => {
            let time = |time: Time| show(time.into(), Rounding::Nearest);
            words.hands_in_spells(from, time(pour), time(every))
        }
        Pouring::WithoutBreak => words.hands_without_break(from),
        Pouring::NotEnough => words.hands_not_enough(from),
    }
}

/// How long the pumps may rest while somebody feeds or cleans.
fn put_rest(sheet: &mut Sheet, tank: &Tank, chain: &Chain<'_>) -> Result<(), Error> {
    let words = &chain.rules.words.power_cut;
    let mut rest = Traced::ok(|| chain.rest())?;
    match *rest.peek() {
        Until::Reached(time) if time.si() >= MINUTE => {
            let figure = figure(id::REST, || {
                rest.note();
                time
            });
            let words = "share × the lesser of the time until what you aim for by day and the time until \
                         danger, at the worst";
            sheet.put(figure.says(words).never_above());
            rest = Traced::figure(id::REST.name(), *rest.peek());
        }
        Until::Reached(_) => sheet.lack(id::REST, words.never_rest(&tank.name)),
        Until::Never(_) => sheet.lack(id::REST, words.rest_as_long_as_you_like(&tank.name)),
    }
    let pause = Traced::new(|| feeding_pause(*rest, chain.rules));
    match *pause.peek() {
        Some(time) => {
            let figure = figure(id::FEEDING_PAUSE, || {
                pause.note();
                time
            });
            sheet.put(
                figure
                    .says("the lesser of the usual pause and what the oxygen bears, in whole minutes")
                    .never_above(),
            );
        }
        None => sheet.lack(id::FEEDING_PAUSE, words.never_rest(&tank.name)),
    }
    let rests_all = tank
        .programme
        .feedings
        .iter()
        .filter(|feeding| tank.pumps.iter().all(|pump| feeding.pauses(&pump.name)));
    let longest = rests_all.map(|feeding| f64::from(feeding.pause) * MINUTE).fold(0.0, f64::max);
    if longest > pause.peek().map_or(0.0, |pause| pause.si()) {
        let warns = sheet.put(figure(id::WARNS, || match *pause {
            Some(pause) => words.feeding_too_long(show(pause.into(), Rounding::Down)),
            None => words.feeding_bears_none().to_owned(),
        }));
        sheet.warn(warns.peek());
    } else {
        sheet.lack(id::WARNS, words.feedings_fit(&tank.name));
    }
    Ok(())
}

/// The pumps of the tank's plan on a battery.
fn of_the_plan(
    tank: &Tank,
    catalogue: &Catalogue,
    output: Output,
    rules: &Rules,
) -> Result<Vec<OnBattery>, Error> {
    let (mut found, mut models) = (Vec::new(), Vec::new());
    for pump in plan::hung(rules, catalogue, tank)? {
        let Some(model) = catalogue.pump(&pump.model) else { continue };
        let one = Which::OfPlan(pump.model);
        if found.iter().all(|other: &OnBattery| other.pump != one) {
            found.extend(of_model(&one, model, tank, output, rules)?);
        }
        models.push(model);
    }
    if let Output::Inverter { .. } = output {
        found.extend(of_all(&Which::AllOfPlan, &models, tank, rules)?);
    }
    Ok(found)
}

/// The battery to look for.
///
/// - `on_offer`: every pump at every setting that there is to choose from
/// - `pump`: the thriftiest of them that holds at the worst
fn put_needed(
    sheet: &mut Sheet,
    chain: &Chain<'_>,
    tank: &Tank,
    on_offer: &[&Traced<Vec<OnBattery>>],
    pump: &Traced<Option<OnBattery>>,
    output: Output,
) -> Result<(), Error> {
    let (rules, words) = (chain.rules, &chain.rules.words.power_cut);
    let Some(pump) = pump.clone().transpose() else {
        let on_offer: Vec<_> = on_offer.iter().flat_map(|on_offer| on_offer.peek()).collect();
        let why = Traced::ok(|| why_none_is_needed(chain, tank, &on_offer))?;
        let parts = [
            id::LOAD.name(),
            id::LOAD_RUNS.name(),
            id::NEEDED_LEAD_ACID.name(),
            id::NEEDED_LITHIUM_IRON_PHOSPHATE.name(),
            tables::NEEDED,
        ];
        for part in parts {
            sheet.lack(part, why.peek().as_str());
        }
        return Ok(());
    };
    sheet.put(figure(id::LOAD_RUNS, || pump.words(words)));
    let pump = Traced::figure(id::LOAD_RUNS.name(), pump.peek().clone());
    let load = figure(id::LOAD, || *pump.draw).says(DRAW).never_below();
    let load = sheet.put(load);
    for chemistry in Chemistry::ALL {
        let id = match chemistry {
            Chemistry::LeadAcid => id::NEEDED_LEAD_ACID,
            Chemistry::LithiumIronPhosphate => id::NEEDED_LITHIUM_IRON_PHOSPHATE,
        };
        let wanted = || *rules.power_cut.wanted;
        let energy = || power::battery_needed(*load, wanted(), chemistry, output, &rules.power);
        sheet.put(try_figure(id, energy)?.says(NEEDED).never_below());
    }
    let caption = Traced::new(|| words.needed_caption(pump.words(words)));
    sheet.tabulate(|| {
        // There is a table only where something holds.
        pump.note();
        needed_table(tables::NEEDED, &caption, &load, &rules.power)
    })
}

/// How the energy of a battery to look for is reckoned.
const NEEDED: &str = "(draw ÷ least share passed + idle) × time ÷ least kept ÷ least depth";

/// Why no battery is told to be large enough.
fn why_none_is_needed(chain: &Chain<'_>, tank: &Tank, on_offer: &[&OnBattery]) -> Result<String, Error> {
    let (name, words) = (&tank.name, &chain.rules.words.power_cut);
    if on_offer.is_empty() {
        return Ok(words.no_sockets(name));
    }
    let lasts = *chain.rules.power_cut.wanted;
    let holds = |on: &&OnBattery| {
        let danger = chain.until(Limit::Danger, Case::Likely, &[on.running(lasts)])?;
        Ok::<_, Error>(is_enough(danger, &chain.rules.power_cut))
    };
    let one_is_likely_to = on_offer.iter().map(holds).collect::<Result<Vec<_>, _>>()?.contains(&true);
    let wanted = show(lasts.into(), Rounding::Nearest);
    let is_planned = tank.pumps.is_empty();
    let none = if is_planned { words.none_of_plan(name, wanted) } else { words.none_of_pumps(name, wanted) };
    Ok(if one_is_likely_to { words.one_is_likely_to(none) } else { words.none_is_likely_to(none) })
}

/// What "never" means, where a time of the table says so.
fn put_never(sheet: &mut Sheet, tank: &Tank, ways: &Ways<'_>, words: &words::PowerCut) {
    let times: Vec<_> = ways.named((), ()).flat_map(|(_, _, times)| times.0.iter().flatten()).collect();
    if times.iter().any(|until| matches!(until.peek(), Until::Never(_))) {
        sheet.put(figure(id::NEVER, || {
            times.iter().for_each(|until| until.note());
            words.never_means().to_owned()
        }));
    } else {
        sheet.lack(id::NEVER, words.no_never(&tank.name));
    }
}

#[cfg(test)]
mod tests;
