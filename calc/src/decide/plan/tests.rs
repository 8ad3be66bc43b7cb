use proptest::prelude::*;
use uom::si::f64::{Power, Velocity, VolumeRate};

use super::*;
use crate::cases::costly;
use crate::catalogue::{Outlet, Shaft};
use crate::formulas::stream::{Laws, Stream};
use crate::formulas::turnover;
use crate::quantity::parse;

fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

/// A box of glass with a little sand.
fn tank(length: f64, now: &str, later: &str) -> Tank {
    let (width, height) = (0.5 * length, 0.45 * length.min(1.2));
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"{length} m\"\nwidth = \"{width} m\"\nheight = \"{height} m\"\npane = \"6 mm\"\nfill_line = \"2 cm\"\n[sand]\ndepth = \"2 cm\"\ngrain = \"1 mm\"\n[livestock]\nnow = [\"{now}\"]\nlater = [\"{later}\"]\n"
    );
    Tank::read("t.toml", &text, &Rules::compiled_in().unwrap()).unwrap()
}

fn pump(
    at: usize,
    litres: f64,
    lowest: f64,
    exit: f64,
    price: f64,
    watts_per_thousand: f64,
    sound: f64,
) -> PumpModel {
    let flow = litres * 1e-3 / 3600.0;
    // The round outlet that the water leaves at the given speed.
    let diameter = Length::from_si((4.0 / std::f64::consts::PI * flow / exit).sqrt());
    let is_fixed = lowest >= 1.0;
    PumpModel {
        model: format!("Model {at}"),
        kind: if is_fixed { PumpKind::RoundFixed } else { PumpKind::RoundControllable },
        rated_flow: VolumeRate::from_si(flow),
        lowest_setting: Share(lowest.min(1.0)),
        outlet: Outlet::Round { diameter },
        power: Power::from_si(watts_per_thousand * litres / 1000.0),
        standing_draw: Power::from_si(if is_fixed {
            0.0
        } else {
            (watts_per_thousand * litres / 1000.0).min(0.8)
        }),
        sound: SoundLevel(sound),
        price: libm::rint(price),
        wet_end_price: libm::rint(price / 4.0),
        stated_tank: None,
        largest_pane: None,
        shaft: Shaft::Ceramic,
        battery_socket: false,
        works_in_a_team: false,
    }
}

fn catalogue(pumps: Vec<PumpModel>) -> Catalogue {
    Catalogue { currency: Currency::USD, pumps }
}

/// Every set of up to `most` pumps out of `models`, written out without any thought.
fn every_set(models: &[usize], most: usize) -> Vec<Vec<usize>> {
    let mut sets = vec![Vec::new()];
    let mut last = sets.clone();
    for _ in 0..most {
        last = last
            .iter()
            .flat_map(|set: &Vec<usize>| {
                let from = set.last().copied().unwrap_or(0);
                models
                    .iter()
                    .filter(move |model| **model >= from)
                    .map(move |model| [set.as_slice(), &[*model]].concat())
            })
            .collect();
        sets.extend(last.iter().cloned());
    }
    sets
}

/// What a set comes to by the public formulas of the other topics alone: the plan's own sums are not asked.
struct ByHand {
    first: f64,
    spare: bool,
    cost: f64,
    price: f64,
}

/// Sum of the flows at a common setting.
fn together(pumps: &[&PumpModel], highest: &[f64], setting: f64) -> f64 {
    pumps
        .iter()
        .zip(highest)
        .map(|(pump, highest)| pump.rated_flow.si() * setting.clamp(pump.lowest_setting.0, *highest))
        .sum()
}

/// Reckons a set from the definitions: `None` where it breaks one of them.
fn by_hand(
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    set: &[usize],
    wishes: &Wishes,
) -> Option<ByHand> {
    let pumps: Vec<_> = set.iter().map(|at| &catalogue.pumps[*at]).collect();
    let stony = |stock: &Stock| stock.kinds().iter().any(|kind| !["fish_only", "soft"].contains(&kind.key()));
    let is_long = tank.glass.outline.length() > *rules.plan.one_pump_up_to;
    let needed = if is_long || stony(&tank.now) || stony(&tank.later) { 2 } else { 1 };
    // A pump for each 30 cm, and two in the shortest tank.
    let room_for = (tank.glass.outline.length().si() / rules.plan.length_per_pump.si() + 1e-12)
        .floor()
        .max(2.0) as usize;
    if pumps.len() < needed || pumps.len() > rules.plan.most_pumps.min(room_for) {
        return None;
    }
    let flows = || pumps.iter().map(|pump| pump.rated_flow.si());
    if flows().fold(f64::INFINITY, f64::min) < rules.plan.alike.0 * flows().fold(0.0, f64::max) * (1.0 - 1e-9)
    {
        return None;
    }
    if pumps.len() > 1 && pumps[0].kind == PumpKind::RoundFixed {
        return None;
    }
    if pumps.iter().any(|pump| {
        pump.kind != pumps[0].kind || pump.largest_pane.is_some_and(|largest| largest < tank.glass.pane)
    }) {
        return None;
    }
    let room = Room::new(rules, tank).unwrap();
    let room_of = &room;
    let way = room.longest_way();
    let mut highest = Vec::new();
    for pump in &pumps {
        highest.push(room.highest_setting(pump, way).unwrap()?.0);
    }
    let water = counted(tank, rules);
    let aim = |livestock: &Stock| {
        crate::formulas::turnover::flow(water, rules.turnover.aimed_at(livestock)).unwrap().si()
    };
    let end_now = |end| crate::formulas::turnover::flow(water, end).unwrap().si();
    let (least_now, most_now) =
        (end_now(rules.turnover.band(&tank.now).low), end_now(rules.turnover.band(&tank.now).high));
    let left = 1.0 - rules.turnover.fouling_allowance.0;
    let fouled: Vec<_> =
        pumps.iter().zip(&highest).map(|(pump, highest)| pump.rated_flow.si() * highest * left).collect();
    let total: f64 = fouled.iter().sum();
    let low: f64 = pumps.iter().map(|pump| pump.rated_flow.si() * pump.lowest_setting.0).sum();
    if total < aim(&tank.later) * (1.0 - 1e-9) || low > most_now * (1.0 + 1e-9) {
        return None;
    }
    let mut settings = Vec::new();
    for livestock in [&tank.now, &tank.later] {
        // The setting by halving, where the plan goes along the bends.
        let (mut below, mut above) = (0.0, 1.0);
        for _ in 0..200 {
            let middle = 0.5 * (below + above);
            if together(&pumps, &highest, middle) < aim(livestock) { below = middle } else { above = middle }
        }
        settings = pumps
            .iter()
            .zip(&highest)
            .map(|(pump, highest)| above.clamp(pump.lowest_setting.0, *highest))
            .collect();
        let band = rules.speeds.band(livestock);
        for (pump, setting) in pumps.iter().zip(&settings) {
            let stream = Stream::new(pump.outlet, pump.rated_flow, Laws::of(&rules.stream))
                .unwrap()
                .at_setting(Share(*setting))
                .unwrap();
            // The ways are those of the places that a set of so many pumps has; streams of pumps that face
            // each other meet in the middle.
            let number = if pumps.len() > 2 { *rules.plan.most_pumps } else { pumps.len() };
            let courses = |height| {
                room.spots(number).into_iter().map(move |spot| room_of.course(spot, height).way.si())
            };
            let shortest = Length::from_si(courses(tank.glass.water_height()).fold(f64::INFINITY, f64::min));
            let longest = Length::from_si(courses(Length::default()).fold(0.0, f64::max));
            let reached = stream.speed_at(if number > 1 { longest / 2.0 } else { longest }).unwrap();
            let most = rules.stream.spread.high.0;
            // The calm share is left free.
            let near = stream.speed_at(shortest * (1.0 - rules.placement.calm_share.0)).unwrap();
            if reached.si() < band.low.si() * (1.0 - 1e-8) || near.si() * most > band.high.si() * (1.0 + 1e-8)
            {
                return None;
            }
        }
    }
    let price: f64 = pumps.iter().map(|pump| pump.price).sum();
    let (mut cost, mut power, mut levels) = (0.0, 0.0, Vec::new());
    let money = |amount| Money { amount, currency: Currency::USD };
    for (pump, setting) in pumps.iter().zip(&settings) {
        let draw =
            power::draw_range(pump.power, pump.standing_draw, Share(*setting), *rules.power.saving_made)
                .unwrap()
                .high;
        let owned = cost::Owned {
            price: money(pump.price),
            energy_per_year: power::energy_per_year(draw),
            wet_end: money(pump.wet_end_price),
            wet_end_interval: rules.cost.wet_end_interval.low,
        };
        cost +=
            cost::ownership(owned, money(*tank.home.price_per_kwh), *rules.cost.years).unwrap().total.amount;
        power += draw.si();
        levels.push(
            crate::formulas::sound::at_setting(pump.sound, Share(*setting), rules.sound.half_speed.low)
                .unwrap(),
        );
    }
    let pillow = sound::at_pillow_of(&tank.home, &levels, &rules.sound).unwrap().high.0;
    let spare = pumps.len() > 1
        && total - fouled.iter().fold(0.0, |most: f64, one| most.max(*one)) >= least_now * (1.0 - 1e-9);
    if wishes.budget.is_some_and(|budget| price > budget.amount)
        || wishes.noise.is_some_and(|noise| pillow > noise.0 + 1e-7)
        || (wishes.spare && !spare)
    {
        return None;
    }
    let first = match wishes.rank {
        Rank::Cost => cost,
        Rank::Price => price,
        Rank::Quiet => pillow,
        Rank::Energy => power,
        Rank::Fewest => pumps.len() as f64,
    };
    Some(ByHand { first, spare, cost, price })
}

fn metric(set: &PumpSet, rank: Rank) -> f64 {
    match rank {
        Rank::Cost => set.cost.amount,
        Rank::Price => set.price.amount,
        Rank::Quiet => set.sound.high.0,
        Rank::Energy => set.power.si(),
        Rank::Fewest => set.models.len() as f64,
    }
}

fn any_pump(at: usize) -> impl Strategy<Value = PumpModel> {
    let lowest = prop_oneof![4 => 0.08..0.3_f64, 1 => Just(1.0)];
    // Some are cross-flow, and the magnets of some do not hold through panes of 6 mm.
    let more = (proptest::bool::weighted(0.2), proptest::bool::weighted(0.1));
    (300.0..12_000.0_f64, lowest, 0.2..1.1_f64, 25.0..500.0_f64, 1.3..2.5_f64, 24.0..42.0_f64, more).prop_map(
        move |(litres, lowest, exit, price, watts, sound, (is_cross_flow, is_weak))| {
            let pump = pump(at, litres, lowest, exit, price, watts, sound);
            let kind = if is_cross_flow && lowest < 1.0 { PumpKind::CrossFlow } else { pump.kind };
            PumpModel { kind, largest_pane: is_weak.then(|| Length::from_si(5e-3)), ..pump }
        },
    )
}

fn any_catalogue(most: usize) -> impl Strategy<Value = Catalogue> {
    (1..=most).prop_flat_map(|number| (0..number).map(any_pump).collect::<Vec<_>>().prop_map(catalogue))
}

fn any_tank() -> impl Strategy<Value = Tank> {
    let livestock = prop_oneof![
        Just(("soft", "soft")),
        Just(("soft", "small_polyp")),
        Just(("large_polyp", "small_polyp")),
        Just(("fish_only", "soft")),
        Just(("small_polyp", "small_polyp_strong")),
        Just(("soft", "soft\", \"small_polyp")),
        Just(("fish_only\", \"large_polyp", "large_polyp\", \"small_polyp")),
    ];
    (0.35..1.6_f64, livestock).prop_map(|(length, (now, later))| tank(length, now, later))
}

fn any_wishes() -> impl Strategy<Value = Wishes> {
    let rank = proptest::sample::select(Rank::ALL.map(|(_, rank)| rank).to_vec());
    (
        proptest::option::of(100.0..1200.0_f64),
        proptest::option::of(28.0..50.0_f64),
        rank,
        proptest::bool::weighted(0.3),
    )
        .prop_map(|(budget, noise, rank, spare)| Wishes {
            budget: budget.map(|amount| Money { amount, currency: Currency::USD }),
            noise: noise.map(SoundLevel),
            rank,
            spare,
        })
}

/// Both ways of asking: the search, and every set written out and reckoned by hand.
fn compare(
    rules: &Rules,
    catalogue: &Catalogue,
    tank: &Tank,
    wishes: &Wishes,
) -> Result<bool, TestCaseError> {
    let task = Task::new(rules, catalogue, tank).unwrap();
    let found = task.best(wishes, 5).unwrap();
    let models: Vec<_> = (0..catalogue.pumps.len()).collect();
    let mut all: Vec<(Vec<usize>, ByHand)> = every_set(&models, *rules.plan.most_pumps)
        .into_iter()
        .filter_map(|set| by_hand(rules, catalogue, tank, &set, wishes).map(|reckoned| (set, reckoned)))
        .collect();
    all.sort_by(|(_, one), (_, other)| {
        one.first
            .total_cmp(&other.first)
            .then(other.spare.cmp(&one.spare))
            .then(one.cost.total_cmp(&other.cost))
    });
    prop_assert_eq!(
        found.len(),
        all.len().min(5),
        "found {:?}\nby hand {:?}",
        &found,
        all.iter().map(|(set, _)| set).collect::<Vec<_>>()
    );
    for (set, (written, reckoned)) in found.iter().zip(&all) {
        let (got, want) = (metric(set, wishes.rank), reckoned.first);
        prop_assert!(
            (got - want).abs() <= 1e-6 * want.abs().max(1.0),
            "{:?} has {got}, {written:?} has {want}",
            set.models
        );
        let theirs = by_hand(rules, catalogue, tank, &set.models, wishes);
        let Some(theirs) = theirs else {
            return Err(TestCaseError::fail(format!("{:?} breaks a constraint", set.models)));
        };
        prop_assert!((set.cost.amount - theirs.cost).abs() <= 1e-6 * theirs.cost);
        prop_assert!((set.price.amount - theirs.price).abs() <= 1e-9 * theirs.price.max(1.0));
        // With no tie in what ranks them, the sets themselves are the same.
        let alone =
            all.iter().filter(|(_, other)| (other.first - want).abs() <= 1e-6 * want.abs().max(1.0)).count()
                == 1;
        prop_assert!(!alone || &set.models == written);
    }
    Ok(!found.is_empty())
}

#[test]
fn the_search_finds_what_writing_out_every_set_finds() {
    costly(
        20,
        (any_catalogue(5), any_tank(), any_wishes(), 1..=4_usize),
        |(catalogue, tank, wishes, most)| {
            let mut rules = rules();
            *rules.plan.most_pumps = most;
            compare(&rules, &catalogue, &tank, &wishes)?;
            Ok(())
        },
    );
}

/// Without wishes and with pumps of every size, most tanks have a plan: the comparison is no empty one.
#[test]
fn it_does_so_where_there_is_much_to_choose() {
    costly(
        100,
        (
            proptest::collection::vec(900.0..9000.0_f64, 5),
            0.4..1.2_f64,
            0..5_usize,
            proptest::collection::vec((0.05..0.5_f64, 30.0..300.0_f64, 1.3..2.5_f64, 24.0..42.0_f64), 5),
            0.0..0.8_f64,
        ),
        |(litres, length, rank, more, alike)| {
            let mut rules = rules();
            *rules.plan.most_pumps = 4;
            *rules.plan.alike = Share(alike);
            let pumps = litres.iter().zip(&more).enumerate();
            let catalogue = catalogue(
                pumps
                    .map(|(at, (litres, (low, price, watts, sound)))| {
                        pump(at, *litres, *low, 0.7, *price, *watts, *sound)
                    })
                    .collect(),
            );
            let wishes = Wishes { rank: Rank::ALL[rank].1, ..Wishes::default() };
            compare(&rules, &catalogue, &tank(length, "soft", "small_polyp"), &wishes)?;
            Ok(())
        },
    );
}

#[test]
fn a_larger_budget_never_gives_a_worse_plan() {
    costly(
        10,
        (any_catalogue(6), any_tank(), any_wishes(), 1.0..500.0_f64),
        |(catalogue, tank, wishes, more)| {
            let rules = rules();
            let task = Task::new(&rules, &catalogue, &tank).unwrap();
            let Some(budget) = wishes.budget else { return Ok(()) };
            let richer = Wishes { budget: Some(Money { amount: budget.amount + more, ..budget }), ..wishes };
            let (poor, rich) = (task.best(&wishes, 1).unwrap(), task.best(&richer, 1).unwrap());
            if let Some(poor) = poor.first() {
                prop_assert!(poor.price.amount <= budget.amount);
                prop_assert!(metric(&rich[0], wishes.rank) <= metric(poor, wishes.rank));
            }
            Ok(())
        },
    );
}

#[test]
fn a_quieter_limit_never_gives_a_louder_plan() {
    costly(
        10,
        (any_catalogue(6), any_tank(), any_wishes(), 0.1..15.0_f64),
        |(catalogue, tank, wishes, less)| {
            let rules = rules();
            let task = Task::new(&rules, &catalogue, &tank).unwrap();
            let Some(noise) = wishes.noise else { return Ok(()) };
            let stricter = Wishes { noise: Some(SoundLevel(noise.0 - less)), ..wishes };
            let (loud, quiet) = (task.best(&wishes, 1).unwrap(), task.best(&stricter, 1).unwrap());
            if let Some(quiet) = quiet.first() {
                prop_assert!(quiet.sound.high.0 <= noise.0 - less + 1e-6);
                prop_assert!(metric(&loud[0], wishes.rank) <= metric(quiet, wishes.rank) * (1.0 + 1e-12));
            }
            Ok(())
        },
    );
}

/// Whatever blocks a plan: with the wish at what the reason names, the wish no longer stands in the way.
#[test]
fn the_nearest_that_would_work_works() {
    costly(10, (any_catalogue(6), any_tank(), any_wishes()), |(catalogue, tank, wishes)| {
        let rules = rules();
        let task = Task::new(&rules, &catalogue, &tank).unwrap();
        let reasons = task.blocked(&wishes).unwrap();
        prop_assert_eq!(reasons.is_empty(), !task.best(&wishes, 1).unwrap().is_empty());
        // A single reason names what helps alone, unless it is about the tank itself.
        if let [reason] = reasons.as_slice() {
            let eased = match reason.limit.kind {
                Kind::Money(_) => {
                    Wishes { budget: Some(Money { amount: reason.is.si, currency: Currency::USD }), ..wishes }
                }
                Kind::SoundLevel => Wishes { noise: Some(SoundLevel(reason.is.si + 1e-9)), ..wishes },
                _ => return Ok(()),
            };
            let worse = |wanted: f64| {
                eased.budget.is_some_and(|budget| wanted < budget.amount) || eased.noise.is_some()
            };
            let eased_alone = !task.best(&eased, 1).unwrap().is_empty();
            let rest = Wishes { budget: None, noise: None, spare: false, ..eased };
            prop_assert!(eased_alone || (worse(0.0) && !task.best(&rest, 1).unwrap().is_empty()));
        }
        Ok(())
    });
}

proptest! {
    /// Whatever can and can not follow: at the common setting the set gives just the flow wanted.
    #[test]
    fn the_common_setting_gives_the_flow_wanted(
        pumps in proptest::collection::vec((100.0..10_000.0_f64, 0.05..1.0_f64, 0.0..1.0_f64), 1..7), share in 0.0..1.0_f64,
    ) {
        let pumps: Vec<_> = pumps
            .into_iter()
            .map(|(flow, lowest, up)| Candidate {
                model: 0, kind: PumpKind::RoundControllable, hangs: false, flow, lowest, highest: lowest + up * (1.0 - lowest), lifts: false,
                weak_magnet: None, streams: [Speeds { reached: 1.0, near_most: 1.0 }; SIZES], price: 0.0, wear: 0.0, standing: 0.0, rise: 0.0, loud: 0.0,
            })
            .collect();
        let set: Vec<_> = pumps.iter().collect();
        let sum = |setting: fn(&Candidate) -> f64| pumps.iter().map(|pump| pump.flow * setting(pump)).sum::<f64>();
        let (low, high) = (sum(|pump| pump.lowest), sum(|pump| pump.highest));
        let wanted = low + share * (high - low);
        let setting = search::common_setting(&set, wanted).unwrap();
        let given: f64 = pumps.iter().map(|pump| pump.flow * search::clamped(pump, setting)).sum();
        prop_assert!((given / wanted - 1.0).abs() < 1e-8, "{given} for {wanted}");
        prop_assert!(search::common_setting(&set, high * 1.001).is_none());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    /// Where no set will do, the nearest is told with what it lacks; and whatever rules a model out is one
    /// named demand, with what it is and what it would have to be on the wrong side of each other.
    #[test]
    fn what_fails_is_named(catalogue in any_catalogue(6), tank in any_tank(), wishes in any_wishes()) {
        let rules = rules();
        let task = Task::new(&rules, &catalogue, &tank).unwrap();
        let best = task.best(&wishes, 1).unwrap();
        if best.is_empty() {
            let nearest = task.nearest(&wishes).unwrap();
            let bare = task.best(&Wishes { rank: wishes.rank, ..Wishes::default() }, 1).unwrap();
            if let Some(nearest) = nearest {
                // Either it lacks something of the tank's own demands, or a wish stood in the way.
                prop_assert_eq!(nearest.lacks.is_empty(), !bare.is_empty(), "{:?}", nearest);
                for (demand, reason) in nearest.lacks {
                    let is_above = reason.is.si > reason.limit.si;
                    let must_be_above = matches!(demand, Demand::Magnet | Demand::Strong | Demand::Reach | Demand::Alike);
                    prop_assert!(is_above != must_be_above, "{:?} {:?}", demand, reason);
                }
            }
        }
        for model in 0..catalogue.pumps.len() {
            if let Some(reason) = task.ruled_out(model, best.first(), &wishes).unwrap() {
                prop_assert!((reason.is.si - reason.limit.si).abs() > 0.0 || reason.words.starts_with("The "), "{:?}", reason);
            }
        }
    }

    /// The same set of pumps bought anew and added to one that hangs: what hangs is never cheaper to leave
    /// than to take, and what is added is alike, can be controlled, and with what hangs keeps to every
    /// demand.
    #[test]
    fn what_is_added_makes_a_plan_with_what_hangs(catalogue in any_catalogue(5), tank in any_tank(), at in 0..5_usize) {
        let rules = rules();
        let hung = &catalogue.pumps[at % catalogue.pumps.len()];
        let task = Task::adding(&rules, &catalogue, &tank, &[&hung.model]).unwrap();
        let later = Tank { now: tank.later.clone(), ..tank.clone() };
        for set in task.best(&Wishes::default(), 5).unwrap() {
            for model in &set.models {
                let added = &catalogue.pumps[*model];
                prop_assert!(added.kind != PumpKind::RoundFixed);
                let (low, high) = (added.rated_flow.si().min(hung.rated_flow.si()), added.rated_flow.si().max(hung.rated_flow.si()));
                prop_assert!(low >= rules.plan.alike.0 * high * (1.0 - 1e-9));
            }
            // Where all are of one kind, the whole set is a plan by the definitions too.
            let mut whole: Vec<_> = set.models.iter().copied().chain([at % catalogue.pumps.len()]).collect();
            whole.sort_unstable();
            let holds = hung.largest_pane.is_none_or(|largest| tank.glass.pane <= largest);
            if holds && whole.iter().all(|model| catalogue.pumps[*model].kind == hung.kind) {
                prop_assert!(by_hand(&rules, &catalogue, &later, &whole, &Wishes::default()).is_some(), "{:?}", whole);
            }
        }
    }
}

/// 500 models from a small generator of our own, so that the same ones come on every machine.
fn five_hundred() -> Catalogue {
    let mut state = 20_u64;
    let mut next = || {
        // Knuth's multiplier for 64 bits.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as f64) / f64::from(1_u32 << 31)
    };
    let pumps = (0..500).map(|at| {
        let litres = 1300.0 * libm::pow(28_000.0 / 1300.0, next());
        let lowest = if next() < 0.2 { 1.0 } else { 0.08 + 0.22 * next() };
        let price = if lowest < 1.0 { 80.0 + litres * (0.02 + 0.02 * next()) } else { 20.0 + litres * 0.008 };
        pump(
            at,
            litres,
            lowest,
            0.5 + 0.5 * next(),
            price,
            1.3 + 1.2 * next(),
            24.0 + 4.0 * libm::log2(litres / 1300.0) + 4.0 * next(),
        )
    });
    catalogue(pumps.collect())
}

/// The bench says how long it takes; this only keeps a search that has lost its bounds from going unnoticed,
/// even unoptimised.
#[test]
fn five_hundred_models_are_searched_in_moments() {
    let rules = rules();
    let catalogue = five_hundred();
    for length in [0.9, 1.5, 2.4] {
        let tank = tank(length, "soft", "small_polyp");
        let start = std::time::Instant::now();
        let task = Task::new(&rules, &catalogue, &tank).unwrap();
        for (name, rank) in Rank::ALL {
            let sets = task.best(&Wishes { rank, ..Wishes::default() }, 5).unwrap();
            assert_eq!(sets.len(), 5, "{name} in {length} m");
        }
        assert!(start.elapsed().as_secs() < 60, "{:?} for a tank of {length} m", start.elapsed());
    }
}

#[test]
fn the_cheapest_of_two_like_pumps_wins_and_the_other_is_told_why() {
    let rules = rules();
    let tank = tank(0.9, "soft", "small_polyp");
    let two = |price: f64| pump(0, 3500.0, 0.15, 0.75, price, 2.0, 30.0);
    let catalogue = catalogue(vec![
        PumpModel { model: "Dear".to_owned(), ..two(200.0) },
        PumpModel { model: "Cheap".to_owned(), ..two(120.0) },
        PumpModel { model: "Huge".to_owned(), ..pump(2, 30_000.0, 0.3, 0.8, 50.0, 2.0, 30.0) },
        PumpModel { model: "Still".to_owned(), ..pump(3, 9000.0, 0.1, 0.05, 10.0, 2.0, 30.0) },
    ]);
    let task = Task::new(&rules, &catalogue, &tank).unwrap();
    let wishes = Wishes { rank: Rank::Price, ..Wishes::default() };
    let best = &task.best(&wishes, 1).unwrap()[0];
    assert_eq!(best.models, [1, 1]);
    assert_eq!(best.price, Money { amount: 240.0, currency: Currency::USD });
    let why = |model| task.ruled_out(model, Some(best), &wishes).unwrap().unwrap();
    assert_eq!((why(0).is.si, why(0).limit.si), (320.0, 240.0));
    assert!(why(2).words.contains("Turned right down"));
    assert!(why(3).words.contains("too weak"));
    assert!(task.ruled_out(1, Some(best), &wishes).unwrap().is_none());
    // The reasons for the best set all hold.
    for reason in task.reasons(best, &wishes) {
        assert!(reason.is.si.is_finite() && reason.limit.si.is_finite());
    }
}

#[test]
fn hung_pumps_have_their_own_settings_whatever_the_order_of_the_catalogue() {
    let mut rules = rules();
    *rules.plan.alike = Share(0.0);
    let tank = tank(0.9, "soft", "small_polyp");
    // The weaker pump comes first in the catalogue, can not follow far down, and is needed beside the
    // stronger one.
    let catalogue = catalogue(vec![
        PumpModel { model: "Weak".to_owned(), ..pump(0, 1600.0, 0.5, 1.2, 20.0, 2.0, 30.0) },
        PumpModel { model: "Strong".to_owned(), ..pump(1, 5200.0, 0.08, 0.75, 300.0, 2.0, 30.0) },
    ]);
    let best = Task::new(&rules, &catalogue, &tank).unwrap().best(&tank.wishes, 1).unwrap().remove(0);
    let now = best.now.unwrap();
    assert_eq!(best.models, [0, 1]);
    assert!(now[0].0 > now[1].0 + 0.01, "{now:?}");
    for hung in hung(&rules, &catalogue, &tank).unwrap() {
        assert_eq!(hung.setting, now[usize::from(hung.model == "Strong")], "{}", hung.model);
    }
}

#[test]
fn a_budget_that_is_too_small_is_told_what_the_cheapest_set_costs() {
    let rules = rules();
    let tank = tank(0.9, "soft", "small_polyp");
    let catalogue = catalogue(vec![pump(0, 3500.0, 0.15, 0.75, 120.0, 2.0, 30.0)]);
    let task = Task::new(&rules, &catalogue, &tank).unwrap();
    let money = |amount, currency| Some(Money { amount, currency });
    let reasons = task.blocked(&Wishes { budget: money(200.0, Currency::USD), ..Wishes::default() }).unwrap();
    assert_eq!(reasons.len(), 1);
    assert_eq!((reasons[0].is.si, reasons[0].limit.si), (240.0, 200.0));
    assert!(
        task.best(&Wishes { budget: money(900.0, Currency::new("EUR").unwrap()), ..Wishes::default() }, 1)
            .is_err()
    );
    // A demand of the tank itself: pumps that are all too strong now.
    let strong = super::tests::catalogue(vec![pump(0, 3500.0, 0.9, 0.75, 120.0, 2.0, 30.0)]);
    let task = Task::new(&rules, &strong, &tank).unwrap();
    let blocked = task.blocked(&Wishes::default()).unwrap();
    assert!(blocked[0].words.starts_with("All of these pumps are too strong"), "{blocked:?}");
    let nearest = task.nearest(&Wishes::default()).unwrap().unwrap();
    assert!(nearest.lacks.iter().any(|(demand, _)| *demand == Demand::Gentle), "{nearest:?}");
}

#[test]
fn a_set_in_words_counts_like_models_together() {
    let pumps = ["Beck 1", "Beck 2"]
        .map(|name| PumpModel { model: name.to_owned(), ..pump(0, 3500.0, 0.15, 0.75, 120.0, 2.0, 30.0) });
    let catalogue = catalogue(pumps.into());
    assert_eq!(set_words(&catalogue, &[0]), "one Beck 1");
    assert_eq!(set_words(&catalogue, &[0, 0, 1]), "two Beck 1 and one Beck 2");
    assert_eq!(set_words(&catalogue, &[]), "nothing");
}

#[test]
fn pumps_that_hang_already_are_taken_as_they_are() {
    let rules = rules();
    let tank = tank(0.9, "soft", "small_polyp");
    let catalogue = catalogue(vec![
        pump(0, 3500.0, 0.15, 0.75, 120.0, 2.0, 30.0),
        pump(1, 1500.0, 0.15, 0.75, 60.0, 2.0, 30.0),
    ]);
    let adding = |kept: &[&str]| {
        Task::adding(&rules, &catalogue, &tank, kept)
            .unwrap()
            .best(&Wishes { rank: Rank::Price, ..Wishes::default() }, 1)
    };
    assert!(adding(&["Model 0", "Model 0"]).unwrap()[0].models.is_empty(), "two are enough");
    let one_more = adding(&["Model 0"]).unwrap();
    assert!(!one_more[0].models.is_empty() && one_more[0].price.amount <= 120.0);
    let error = Task::adding(&rules, &catalogue, &tank, &["Modle 0"]).unwrap_err();
    assert!(error.to_string().contains("did you mean `Model 0`"));
}

#[test]
fn the_speeds_of_both_stages_are_asked() {
    let rules = rules();
    let speeds: &crate::rules::speeds::SpeedsRules = &rules.speeds;
    assert!(speeds.band(rules.kind("small_polyp").unwrap()).low > Velocity::from_si(0.0));
    // Soft corals bear less than surf corals: a set for the surf must first suit the soft ones.
    let catalogue = catalogue(vec![pump(0, 2500.0, 0.05, 1.1, 120.0, 2.0, 30.0)]);
    let tank = tank(0.4, "soft", "small_polyp");
    let task = Task::new(&rules, &catalogue, &tank).unwrap();
    for set in task.best(&Wishes::default(), 5).unwrap() {
        let room = Room::new(&rules, &tank).unwrap();
        let pump = &catalogue.pumps[0];
        for (settings, livestock) in [(set.now.unwrap(), &tank.now), (set.later, &tank.later)] {
            for setting in settings {
                let stream = Stream::new(pump.outlet, pump.rated_flow, Laws::of(&rules.stream))
                    .unwrap()
                    .at_setting(setting)
                    .unwrap();
                let far = stream.speed_at(room.longest_way()).unwrap();
                assert!(speeds.band(livestock).contains(far), "{far:?}");
                assert!(speeds.band(livestock).contains(rules.stream.spread_of(far).high), "{far:?}");
            }
        }
    }
    assert!(parse::<Velocity>("15 cm/s").unwrap() == speeds.band(rules.kind("soft").unwrap()).high);
}

#[test]
fn a_spare_pump_still_moves_enough_when_the_strongest_stops() {
    let mut rules = rules();
    *rules.plan.alike = Share(0.0);
    let tank = tank(0.9, "soft", "soft");
    let catalogue = catalogue(vec![
        PumpModel { model: "Big".to_owned(), ..pump(0, 3400.0, 0.08, 0.75, 100.0, 2.0, 30.0) },
        PumpModel { model: "Small".to_owned(), ..pump(1, 1600.0, 0.08, 1.0, 10.0, 2.0, 30.0) },
    ]);
    let task = Task::new(&rules, &catalogue, &tank).unwrap();
    let best = |spare: bool| task.best(&Wishes { spare, ..tank.wishes }, 1).unwrap().remove(0);
    // Without the wish one pump does, or two of which one alone is too little.
    let free = best(false);
    assert!(free.one_stopped.si() < task.least, "{free:?} {}", task.least);
    let set = best(true);
    assert!(set.one_stopped.si() >= task.least * (1.0 - 1e-6), "{:?}", set.models);
}

#[test]
fn the_pump_that_moves_more_hangs_at_the_end() {
    let (rules, tank) = (rules(), tank(0.9, "soft", "soft"));
    let catalogue = catalogue(vec![
        pump(0, 6000.0, 0.08, 0.75, 100.0, 2.0, 30.0),
        pump(1, 4000.0, 0.08, 0.75, 100.0, 2.0, 30.0),
    ]);
    let room = Room::new(&rules, &tank).unwrap();
    let task = Task::new(&rules, &catalogue, &tank).unwrap();
    let found = task.best(&Wishes::default(), 1).unwrap();
    let set = found.into_iter().next().unwrap_or_else(|| panic!("{:?}", task.need));
    // The one that could move more moves less, because it is turned down.
    let set = PumpSet { models: vec![0, 1], later: vec![Share(0.4), Share(1.0)], ..set };
    let order: Vec<_> =
        spots(&room, &catalogue, &set).iter().map(|(model, ..)| model.model.clone()).collect();
    assert_eq!(order, ["Model 1", "Model 0"]);
}

#[test]
fn a_spare_that_nobody_sells_is_told_what_is_left_when_a_pump_stops() {
    let mut rules = rules();
    *rules.plan.most_pumps = 1;
    let tank = tank(0.5, "soft", "soft");
    let catalogue = catalogue(vec![pump(0, 700.0, 0.08, 0.5, 100.0, 2.0, 30.0)]);
    let task = Task::new(&rules, &catalogue, &tank).unwrap();
    assert!(task.blocked(&Wishes::default()).unwrap().is_empty());
    let reasons = task.blocked(&Wishes { spare: true, ..Wishes::default() }).unwrap();
    assert_eq!(reasons.len(), 1);
    assert_eq!(reasons[0].words, rules.words.plan.wish_spare());
    assert!(reasons[0].is.si.abs() < 1e-12);
    assert!(reasons[0].limit.si > 0.0);
}

/// In low water over fine sand, pumps that would do in every other way.
#[test]
fn a_set_that_needs_a_setting_at_which_it_lifts_the_sand_is_told_so() {
    let rules = rules();
    let text = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"120 cm\"\nwidth = \"60 cm\"\nheight = \"20 cm\"\npane = \"6 mm\"\nfill_line = \"2 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"0.3 mm\"\n[livestock]\nnow = [\"large_polyp\"]\nlater = [\"small_polyp\"]\n";
    let tank = Tank::read("t.toml", text, &rules).unwrap();
    let catalogue = catalogue(vec![pump(0, 1200.0, 0.1, 0.8, 100.0, 2.0, 30.0)]);
    let task = Task::new(&rules, &catalogue, &tank).unwrap();
    let nearest = task.nearest(&Wishes::default()).unwrap().unwrap();
    let [(demand, reason)] = nearest.lacks.as_slice() else { panic!("{nearest:?}") };
    assert_eq!(*demand, Demand::Sand);
    assert!((reason.limit.si - task.all[0].highest).abs() < 1e-12);
    // What it needs: the setting at which these pumps together move what the tank asks for.
    let together = reason.is.si * nearest.set.models.len() as f64 * catalogue.pumps[0].rated_flow.si();
    let asked = [&tank.now, &tank.later]
        .map(|stock| turnover::flow(counted(&tank, &rules), rules.turnover.aimed_at(stock)).unwrap().si());
    assert!(asked.iter().any(|asked| (together / asked - 1.0).abs() < 1e-6), "{together} of {asked:?}");
}
