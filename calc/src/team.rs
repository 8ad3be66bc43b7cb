//! Teams: what several pumps do together, by how their pulses keep time.
//!
//! Two pumps with the same pulse can be high together, high by turns, or one some time after the other. Which of these it is decides
//! what a coral midway between them feels, how even the flow of both together is, and whether their pushes add up to one that rocks
//! the tank.
//!
//! Streams that meet add their pushes, which go with the square of their speeds: two like streams side by side are √2 times as fast as
//! one. Streams that face each other meet where both are as fast; there they turn aside, and the place wanders, so that the water near it
//! comes now from one side, now from the other. What is told there is a band, not a line.
//!
//! Taken for granted throughout: speed follows the setting at once; really a change takes a second or two to arrive. How high the water
//! climbs when a team rocks it is not reckoned: raise a wave slowly, watch it, and stop well below the rim.

use std::f64::consts::PI;

use uom::si::f64::{Ratio, Time, Velocity, VolumeRate};

use crate::catalogue::{Catalogue, Outlet, PumpModel};
use crate::decide::plan;
use crate::error::{Error, within};
use crate::fit::running;
use crate::formulas::turnover;
use crate::quantity::{Dimension, Rounding, Share, show};
use crate::rules::team::TeamRules;
use crate::rules::waves::WavesRules;
use crate::rules::{Band, Rules};
use crate::sheet::{Cell, Figure, Row, Sheet, Table, Value};
use crate::stream::{self, Laws, Stream};
use crate::tank::Tank;
use crate::waves;

/// How a follower keeps time with its lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    /// Both high at once.
    InStep,
    /// The follower is high while the lead is low.
    Opposed,
    /// The follower does what its lead did a quarter of a period before.
    LeadAndFollow,
    /// As opposed, but each is high for minutes or hours.
    Turns,
}

impl Mode {
    /// All of them.
    pub const ALL: [Mode; 4] = [Mode::InStep, Mode::Opposed, Mode::LeadAndFollow, Mode::Turns];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Mode::InStep => "in step",
            Mode::Opposed => "opposed",
            Mode::LeadAndFollow => "lead and follower",
            Mode::Turns => "by turns of minutes or hours",
        }
    }

    /// The end of a figure's id.
    pub fn key(self) -> &'static str {
        match self {
            Mode::InStep => "in_step",
            Mode::Opposed => "opposed",
            Mode::LeadAndFollow => "lead_and_follow",
            Mode::Turns => "turns",
        }
    }

    /// Share of a period by which the follower is late.
    fn lag(self) -> f64 {
        match self {
            Mode::InStep => 0.0,
            Mode::LeadAndFollow => 0.25,
            Mode::Opposed | Mode::Turns => 0.5,
        }
    }
}

/// How the two streams point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Aims {
    /// At each other, from opposite ends.
    Facing,
    /// The same way, side by side.
    SameWay,
}

/// Two pumps with one pulse, high for the first half of the lead's period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Team {
    /// How they keep time.
    pub mode: Mode,
    /// How they point.
    pub aims: Aims,
    /// The low setting, from 1 %.
    pub low: Share,
    /// The high setting, up to 100 %.
    pub high: Share,
}

impl Team {
    /// A team.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for settings below 1 %, above 100 %, or the low one above the high one.
    pub fn new(mode: Mode, aims: Aims, low: Share, high: Share) -> Result<Self, Error> {
        let high = within("the high setting", high, Share(0.01)..=Share(1.0))?;
        let low = within("the low setting", low, Share(0.01)..=high)?;
        Ok(Team { mode, aims, low, high })
    }

    /// The settings of lead and follower at a time, as a share of the period: any number, whole periods make no difference.
    pub fn settings(&self, phase: f64) -> [Share; 2] {
        let setting = |phase: f64| if phase - libm::floor(phase) < 0.5 { self.high } else { self.low };
        [setting(phase), setting(phase - self.mode.lag())]
    }

    /// Speed of the water midway between the pumps, along the lead's stream; negative against it. One speed, or a band where it swings.
    ///
    /// - side by side: `(u₁² s₁² + u₂² s₂²)^½`, see [`stream::together`]
    /// - facing each other: `±|u₁² s₁² − u₂² s₂²|^½`, the sign of the stronger; where the streams meet here, to within the rule's
    ///   [`meeting`](TeamRules::meeting), anything between the one stream and the other
    ///
    /// - `full`: the speeds that lead and follower alone would make there at full, as [`Stream::speed_at`] gives them
    pub fn speed(&self, full: [Velocity; 2], phase: f64, rules: &TeamRules) -> Band<Velocity> {
        let settings = self.settings(phase);
        let (lead, follower) = (full[0] * settings[0].0, full[1] * settings[1].0);
        let one = |speed: Velocity| Band { low: speed, high: speed };
        if self.aims == Aims::SameWay {
            return one(stream::together([lead, follower]));
        }
        let (lead, follower) = (lead.si(), follower.si());
        // A stream slows about as its way grows, so that from midway they meet as much nearer to one as that one is weaker.
        let (weaker, stronger) = (lead.min(follower), lead.max(follower));
        if weaker * (1.0 + rules.meeting.0) >= stronger {
            return Band { low: Velocity::from_si(-follower), high: Velocity::from_si(lead) };
        }
        let left = (stronger * stronger - weaker * weaker).sqrt();
        one(Velocity::from_si(if lead > follower { left } else { -left }))
    }

    /// The lowest and the highest of [`speed`](Self::speed) over a period.
    pub fn speeds(&self, full: [Velocity; 2], rules: &TeamRules) -> Band<Velocity> {
        let bands = PHASES.map(|phase| self.speed(full, phase, rules));
        Band { low: band(bands.map(|band| band.low)).low, high: band(bands.map(|band| band.high)).high }
    }

    /// The lowest and the highest flow of both together over a period: `Q = Q₁ s₁ + Q₂ s₂`.
    pub fn flows(&self, full: [VolumeRate; 2]) -> Band<VolumeRate> {
        band(PHASES.map(|phase| {
            let [lead, follower] = self.settings(phase);
            full[0] * lead.0 + full[1] * follower.0
        }))
    }

    /// How hard the team's pulses push the water to and fro along the tank, against one such pump alone: 0 where the two pulses
    /// cancel, 2 where they add up. For two like pumps.
    ///
    /// A pump's push goes with the square of its setting, so it is a square wave too. Its part that keeps time with the pulse is an
    /// arrow of fixed length that turns once a period; the follower's is turned by the lag, and points the other way where the pumps
    /// face each other: `|1 ± e^(−2πi lag)|`. Pulses that are high together and face each other heap water up in the middle instead,
    /// which can rock it in its second swing. Turns are far too slow to rock anything.
    pub fn push(&self) -> Ratio {
        if self.mode == Mode::Turns {
            return Ratio::from_si(0.0);
        }
        let turned = 2.0 * PI * self.mode.lag();
        let (along, across) = (1.0 + self.sign() * libm::cos(turned), self.sign() * libm::sin(turned));
        let push = (along * along + across * across).sqrt();
        // What only the last bit of a cosine leaves is nothing.
        Ratio::from_si(if push < 1e-9 { 0.0 } else { push })
    }

    /// Whether the team rocks the tank, and on which swing of the water it pushes: `None` where it does not.
    ///
    /// - `pulse`: from push to push
    /// - `slosh`: time of one swing along the way the pumps point, see [`waves::slosh_period`]
    pub fn rocks(&self, pulse: Time, slosh: Time, rules: &WavesRules) -> Option<u32> {
        waves::meets_swing(pulse, slosh, rules).filter(|_| self.push().si() > 0.0)
    }

    fn sign(&self) -> f64 {
        match self.aims {
            Aims::Facing => -1.0,
            Aims::SameWay => 1.0,
        }
    }

    /// What it does, in words.
    fn says(&self) -> &'static str {
        match (self.aims, self.mode) {
            (Aims::Facing, Mode::InStep) => {
                "the streams meet about midway, sway to and fro there, and turn up and aside; nothing rocks from end to end"
            }
            (Aims::Facing, Mode::Opposed) => "the water goes to and fro; rocks the tank if the pulse keeps time with its swing",
            (Aims::SameWay, Mode::InStep) => "one strong stream that comes and goes; rocks the tank if the pulse keeps time with its swing",
            (Aims::SameWay, Mode::Opposed) => {
                "a stream that wanders from one pump's side to the other's, as strong all the time; rocks nothing"
            }
            (Aims::Facing, Mode::LeadAndFollow) => "to and fro with pauses; can rock the tank, less than opposed",
            (Aims::SameWay, Mode::LeadAndFollow) => "a stream that swells and ebbs in steps; can rock the tank, less than in step",
            (Aims::Facing, Mode::Turns) => "long tides, first from one side, then from the other; rocks nothing",
            (Aims::SameWay, Mode::Turns) => "an even flow whose stronger side changes; rocks nothing",
        }
    }
}

/// Nothing changes within a quarter of a period: its middle stands for it.
const PHASES: [f64; 4] = [0.125, 0.375, 0.625, 0.875];

fn band<D: Dimension>(values: [D; 4]) -> Band<D> {
    let values = values.map(Dimension::si);
    Band {
        low: D::from_si(values.into_iter().fold(f64::INFINITY, f64::min)),
        high: D::from_si(values.into_iter().fold(f64::NEG_INFINITY, f64::max)),
    }
}

/// Adds the figures of this topic: `team.…`, for the first two pumps of the tank, or of its plan, that work in a team, two like the only
/// one that does, or two of the catalogue. Each is reckoned at its setting; the table's pulses are shares of that.
///
/// # Errors
/// As [`Stream::new`].
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<(), Error> {
    let Pair { sent: outlets, words, least, is_alone } = pair(rules, catalogue, tank)?;
    sheet.put(Figure::new("team.pumps", "The two pumps of the table of teams", Value::Words(words)));
    if is_alone {
        let whose = if tank.pumps.is_empty() { format!("The plan for {}", tank.name) } else { tank.name.clone() };
        sheet.put(Figure::new("team.alone", "Whether there is a team", Value::Words(format!("{whose} has a single pump"))));
    } else {
        sheet.lack("team.alone", format!("In {} it is not a single pump that moves the water.", tank.name));
    }
    // No pulse goes below what its pump can run at.
    let (wished, high) = (*rules.team.example_low, *rules.team.example_high);
    let low = Share(least.0.max(wished.0).min(high.0));
    sheet.put(
        Figure::new("team.low", "How low the pulses of the table go, of what each pump is set to", low)
            .from("low of the example, or lowest setting ÷ setting", &[])
            .rule("team.example_low"),
    );
    let midway = stream::run(tank) / 2.0;
    sheet.put(Figure::new("team.way", "From either end of the tank to the point midway", midway).from("inside length ÷ 2", &[]));
    let alone = |(outlet, flow): (Outlet, VolumeRate)| Stream::new(outlet, flow, Laws::of(&rules.stream))?.speed_at(midway);
    let (speeds, flows) = ([alone(outlets[0])?, alone(outlets[1])?], outlets.map(|(_, flow)| flow));
    for (key, words, speed) in [("lead", "lead", speeds[0]), ("follower", "follower", speeds[1])] {
        sheet.put(
            Figure::new(format!("team.{key}"), format!("Speed midway of the {words} alone, at its setting"), speed)
                .from("exit speed at its setting × what is left at that distance", &["team.way"])
                .rule("stream.round_decay")
                .never_below(),
        );
    }
    sheet.put(
        Figure::new("team.together", "Speed midway of both side by side, at their settings", stream::together(speeds))
            .from("√(lead's speed² + follower's speed²)", &["team.lead", "team.follower"])
            .rule("stream.round_decay")
            .never_below(),
    );
    let mut rows = Vec::new();
    for aims in [Aims::Facing, Aims::SameWay] {
        for mode in Mode::ALL {
            rows.push(row(Team::new(mode, aims, low, high)?, speeds, flows, &rules.team));
        }
    }
    sheet.put_table(Table {
        id: "team_modes",
        caption: "What two pumps do together; how high the water climbs is not reckoned".to_owned(),
        heads: [
            "How they run",
            "Speed midway, along the lead's stream",
            "Flow of both together",
            "Push to and fro, in pushes of one pump",
            "What it does",
        ]
        .map(str::to_owned)
        .into(),
        rows,
        origin: crate::sheet::Origin::default(),
    });
    Ok(())
}

fn row(team: Team, speeds: [Velocity; 2], flows: [VolumeRate; 2], rules: &TeamRules) -> Row {
    let (aims_key, aims) = match team.aims {
        Aims::Facing => ("facing", "Facing each other"),
        Aims::SameWay => ("same_way", "Side by side"),
    };
    let id = |name: &str| format!("team_modes.{aims_key}_{}.{name}", team.mode.key());
    let settings = |figure: Figure| figure.rule("team.example_low").rule("team.example_high");
    let cells = vec![
        Cell::Figure({
            let figure = Figure::new(id("speed"), "Speed midway, from the lowest to the highest", team.speeds(speeds, rules));
            let formula = match team.aims {
                Aims::SameWay => "√((lead's speed × its setting)² + (follower's speed × its setting)²)",
                Aims::Facing => "√|(lead's speed × its setting)² − (follower's speed × its setting)²|, or both where they meet",
            };
            let figure = settings(figure.from(formula, &["team.lead", "team.follower"]));
            if team.aims == Aims::Facing { figure.rule("team.meeting") } else { figure }
        }),
        Cell::Figure(settings(
            Figure::new(id("flow"), "Flow of both together, from the lowest to the highest", team.flows(flows))
                .from("Σ rated flow × its setting × low or high of the pulse", &[]),
        )),
        Cell::Figure(Figure::new(id("push"), "Push to and fro, in pushes of one pump", team.push()).from("|1 ± e^(−2πi × lag)|", &[])),
        Cell::Words(team.says().to_owned()),
    ];
    Row { head: Cell::Words(format!("{aims}, {}", team.mode.words())), cells }
}

/// The two pumps of the table.
struct Pair {
    /// Outlet and flow of lead and follower at their settings.
    sent: [(Outlet, VolumeRate); 2],
    /// Which they are.
    words: String,
    /// The lowest pulse that both can run at, of what they are set to.
    least: Share,
    /// Whether the tank, or its plan, has but one pump.
    is_alone: bool,
}

/// Outlet and flow of lead and follower at their settings, and in words which pumps they are: those of the tank, those of its plan where it
/// has none, and two of the catalogue where none of them can work in a team.
fn pair(rules: &Rules, catalogue: &Catalogue, tank: &Tank) -> Result<Pair, Error> {
    let own = !tank.pumps.is_empty();
    let pumps = if own { tank.pumps.clone() } else { plan::hung(rules, catalogue, tank)? };
    let hung = pumps.iter().filter_map(|pump| Some((pump, catalogue.pump(&pump.model)?)));
    let at = |setting: Share| show(setting.into(), Rounding::Nearest);
    let able: Vec<_> =
        hung.filter(|(_, model)| model.works_in_a_team).take(2).map(|(pump, model)| (pump, model, running(pump, model))).collect();
    let sent = |model: &PumpModel, setting: Share| (model.outlet, model.rated_flow * setting.0);
    let least = |model: &PumpModel, setting: Share| model.lowest_setting.0 / setting.0.max(0.01);
    let (sent, words, least) = match able[..] {
        [(lead, one, lead_at), (follower, two, follower_at)] => (
            [sent(one, lead_at), sent(two, follower_at)],
            if own {
                format!("{} at {} leads, {} at {} follows", lead.name, at(lead_at), follower.name, at(follower_at))
            } else {
                format!("{} at {} and {} at {}, as the plan sets them", one.model, at(lead_at), two.model, at(follower_at))
            },
            least(one, lead_at).max(least(two, follower_at)),
        ),
        [(only, model, setting)] => {
            let name = if own { &only.name } else { &model.model };
            ([sent(model, setting); 2], format!("two pumps like {name}, each at {}", at(setting)), least(model, setting))
        }
        _ => match smallest_able(rules, catalogue, tank)? {
            Some((model, setting)) => {
                let words = format!("two {} of the catalogue, each at {}", model.model, at(setting));
                ([sent(model, setting); 2], words, least(model, setting))
            }
            None => ([stream::example_round(&rules.stream); 2], "two example pumps, at full".to_owned(), 0.0),
        },
    };
    Ok(Pair { sent, words, least: Share(least), is_alone: pumps.len() == 1 })
}

/// The smallest model that works in a team and of which two can give the flow to aim for now, with the setting that gives it; where none
/// is strong enough the strongest at full. It is set so high that it can go as low as the table's pulses do.
fn smallest_able<'c>(rules: &Rules, catalogue: &'c Catalogue, tank: &Tank) -> Result<Option<(&'c PumpModel, Share)>, Error> {
    let each = turnover::flow(plan::counted(tank, rules), rules.turnover.aimed_at(tank.now))? / 2.0;
    let mut able: Vec<_> = catalogue.pumps.iter().filter(|pump| pump.works_in_a_team).collect();
    able.sort_by(|one, other| one.rated_flow.si().total_cmp(&other.rated_flow.si()));
    let model = able.iter().find(|pump| pump.rated_flow >= each).or(able.last()).copied();
    Ok(model.map(|model| (model, Share((each / model.rated_flow).si().max(model.lowest_setting.0 / rules.team.example_low.0).min(1.0)))))
}

#[cfg(test)]
mod tests;
