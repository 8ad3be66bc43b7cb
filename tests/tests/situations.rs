//! Situations as keepers bring them, each with the sense that an experienced one expects of the plan, and a
//! test of it.
//!
//! A row gives the situation and the sense in words, then what holds if the plan has that sense. The pumps
//! are those of the book's catalogue. Beside its own, each row is asked what any plan must keep to, see
//! [`Case::any_plan`].

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use libtest_mimic::{Arguments, Failed, Trial};
use reckoner_calc::catalogue::{PumpKind, PumpModel};
use reckoner_calc::decide::fit;
use reckoner_calc::decide::placement::Room;
use reckoner_calc::decide::plan::{self, Demand, PumpSet, Task};
use reckoner_calc::decide::upgrade::{Refusal, Upgrade, upgrade};
use reckoner_calc::quantity::{Dimension, SoundLevel};
use reckoner_calc::tank::{Rank, Wall, Wishes};
use reckoner_calc::{Catalogue, Rules, Sheet, Tank};

struct Situation {
    /// In words.
    situation: &'static str,
    /// What an experienced keeper expects, in words.
    sense: &'static str,
    /// The tank file, but for its name.
    tank: &'static str,
    /// What holds if the plan has that sense.
    holds: fn(&Case),
}

/// A situation, reckoned.
struct Case {
    rules: Rules,
    catalogue: Catalogue,
    tank: Tank,
}

impl Case {
    fn of(tank: &str) -> Self {
        let text = std::fs::read_to_string("../book/pumps.toml").unwrap();
        let catalogue = Catalogue::read("pumps.toml", &text).unwrap();
        let rules = Rules::compiled_in().unwrap();
        let tank = Tank::read_with("tank.toml", &format!("name = \"Situation\"\n{tank}"), &rules, &catalogue)
            .unwrap_or_else(|problems| panic!("{problems:?}"));
        Case { rules, catalogue, tank }
    }

    fn task(&self) -> Task<'_> {
        Task::new(&self.rules, &self.catalogue, &self.tank).unwrap()
    }

    fn best(&self) -> Option<PumpSet> {
        self.task().listed(&self.tank.wishes, 1).unwrap().into_iter().next()
    }

    /// The pumps of the plan; there must be one.
    fn plan(&self) -> Vec<&PumpModel> {
        let best = self
            .best()
            .unwrap_or_else(|| panic!("no plan: {:?}", self.task().blocked(&self.tank.wishes).unwrap()));
        best.models.iter().map(|at| &self.catalogue.pumps[*at]).collect()
    }

    fn upgrade(&self) -> Result<Upgrade, Box<Refusal>> {
        upgrade(&self.rules, &self.catalogue, &self.tank).unwrap().map_err(Box::new)
    }

    fn names(&self, models: &[usize]) -> Vec<&str> {
        models.iter().map(|at| self.catalogue.pumps[*at].model.as_str()).collect()
    }

    fn sheet(&self) -> Sheet {
        Sheet::reckon(&self.rules, &self.catalogue, &self.tank).unwrap()
    }

    /// The words of a figure.
    fn says(&self, id: &str) -> String {
        self.sheet().figure(id).unwrap_or_else(|| panic!("no {id}")).text()
    }

    /// What any plan must keep to, whoever asks: pumps of one kind and much the same flow, two for stony
    /// corals and for long tanks, no pair level, none on a pane that it must not hang on, and nothing for the
    /// fit check to find fault with when they hang as planned.
    fn any_plan(&self) {
        let Some(best) = self.best() else {
            let nearest = self.task().nearest(&self.tank.wishes).unwrap();
            assert!(nearest.is_some() || self.catalogue.pumps.is_empty(), "no plan and nothing near");
            return;
        };
        let pumps: Vec<_> = best.models.iter().map(|at| &self.catalogue.pumps[*at]).collect();
        assert!(pumps.iter().all(|pump| pump.kind == pumps[0].kind), "unlike kinds");
        let flows = || pumps.iter().map(|pump| pump.rated_flow.si());
        assert!(
            flows().fold(f64::INFINITY, f64::min) >= 0.75 * flows().fold(0.0, f64::max) - 1e-12,
            "unlike flows"
        );
        let length = self.tank.glass.outline.length().si();
        assert!(
            pumps.len() <= 2 || pumps.len() as f64 * 0.30 <= length + 1e-9,
            "too many pumps for {length} m"
        );
        let room = Room::new(&self.rules, &self.tank).unwrap();
        assert!(pumps.iter().all(|pump| room.holds(pump)), "a magnet that does not hold");
        let hung = plan::hung(&self.rules, &self.catalogue, &self.tank).unwrap();
        for (at, one) in hung.iter().enumerate() {
            for other in &hung[..at] {
                assert_ne!(one.name, other.name, "two pumps of one name");
            }
        }
        let hung = Tank { pumps: hung, ..self.tank.clone() };
        let fit = fit::check(&self.rules, &self.catalogue, &hung).unwrap().unwrap();
        for (pump, stream) in hung.pumps.iter().zip(&fit.streams) {
            assert!(stream.verdict.faults.is_empty(), "{}: {:?}", pump.name, stream.verdict.faults);
        }
    }
}

fn is_controllable(pump: &&PumpModel) -> bool {
    pump.kind != PumpKind::RoundFixed
}

fn main() {
    let trials = SITUATIONS.iter().map(|row| {
        Trial::test(format!("{}: {}", row.situation, row.sense), move || {
            let asked = || {
                let case = Case::of(row.tank);
                case.any_plan();
                (row.holds)(&case);
            };
            std::panic::catch_unwind(asked).map_err(|_| Failed::from("it lacks that sense"))
        })
    });
    libtest_mimic::run(&Arguments::from_args(), trials.collect()).exit();
}

const SITUATIONS: &[Situation] = &[
    Situation {
        situation: "a nano of 12 L with soft corals",
        sense: "one small pump that can be turned down",
        tank: "[glass]\nshape = \"box\"\nlength = \"30 cm\"\nwidth = \"20 cm\"\nheight = \"22 cm\"\npane = \"4 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| {
            let plan = case.plan();
            assert!(
                plan.len() == 1
                    && plan.iter().all(is_controllable)
                    && plan[0].rated_flow.si() * 3.6e6 < 500.0,
                "{plan:?}"
            );
        },
    },
    Situation {
        situation: "a cube of 20 L beside a bed, with soft corals",
        sense: "one small pump, quiet enough to sleep beside",
        tank: "[glass]\nshape = \"box\"\nlength = \"28 cm\"\nwidth = \"28 cm\"\nheight = \"30 cm\"\npane = \"5 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n[home]\npillow = \"1 m\"\n[wishes]\nnoise = \"30 dB\"\n",
        holds: |case| {
            assert_eq!(case.plan().len(), 1);
            assert!(case.best().unwrap().sound.high.0 <= 30.0);
        },
    },
    Situation {
        situation: "an all-in-one of 30 L with soft corals",
        sense: "a pump on an end, none on the back pane before the chamber",
        tank: "[glass]\nshape = \"box\"\nlength = \"38 cm\"\nwidth = \"34 cm\"\nheight = \"33 cm\"\npane = \"5 mm\"\nfill_line = \"3 cm\"\n[rear_chamber]\ndepth = \"8 cm\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| {
            assert!(!case.plan().is_empty());
            let hung = plan::hung(&case.rules, &case.catalogue, &case.tank).unwrap();
            assert!(hung.iter().all(|pump| pump.wall != Wall::Back));
        },
    },
    Situation {
        situation: "a cube of 45 cm with soft corals",
        sense: "one pump, or two small ones, turned down so that they do not blow through to the other end",
        tank: "[glass]\nshape = \"box\"\nlength = \"45 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"6 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"2 cm\"\ngrain = \"1.5 mm\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| assert!(case.plan().len() <= 2 && case.best().unwrap().later[0].0 < 0.9),
    },
    Situation {
        situation: "a nano of 25 L with small-polyp corals",
        sense: "two small pumps even here: stony corals want water from two sides",
        tank: "[glass]\nshape = \"box\"\nlength = \"40 cm\"\nwidth = \"25 cm\"\nheight = \"28 cm\"\npane = \"5 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n",
        holds: |case| assert!(case.plan().len() >= 2 && case.plan().iter().all(is_controllable)),
    },
    Situation {
        situation: "a cube of 60 cm with small-polyp corals",
        sense: "water from two sides, not one strong pump",
        tank: "[glass]\nshape = \"box\"\nlength = \"60 cm\"\nwidth = \"60 cm\"\nheight = \"55 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[rock]\nshare = \"8 %\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n",
        holds: |case| assert!(case.plan().len() == 2 && case.plan().iter().all(is_controllable)),
    },
    Situation {
        situation: "a tank of 90 cm with soft corals",
        sense: "two like pumps, turned well down",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"1.5 mm\"\n[rock]\nmass = \"15 kg\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| assert_eq!(case.plan().len(), 2),
    },
    Situation {
        situation: "the same with small-polyp corals later",
        sense: "two like pumps that can be controlled",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"1.5 mm\"\n[rock]\nmass = \"15 kg\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n",
        holds: |case| {
            let plan = case.plan();
            assert!(plan.len() == 2 && plan.iter().all(is_controllable));
        },
    },
    Situation {
        situation: "the same as a mixed reef of soft and small-polyp corals",
        sense: "the two pumps that small polyps alone would get, with a place told for each kind: in the stream, or beside it only",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"1.5 mm\"\n[rock]\nmass = \"15 kg\"\n[livestock]\nnow = \"soft\"\nlater = [\"soft\", \"small_polyp\"]\n",
        holds: |case| {
            assert_eq!(case.plan().len(), 2);
            let sheet = case.sheet();
            let zones = &sheet.tables["places_zones"];
            assert_eq!(
                zones.heads,
                ["Pump", "Soft corals from", "up to", "Small-polyp stony corals from", "up to"]
            );
            // The small polyps have a place in each stream: the cells of a row are from and up to, for either
            // kind.
            for row in &zones.rows {
                assert!(!format!("{:?}", row.cells[2]).contains("beside"), "{:?}", row.cells[2]);
            }
        },
    },
    Situation {
        situation: "a mixed reef of 400 L with two strong pumps that lack next to nothing for small-polyp corals later",
        sense: "nothing to add: clean a little sooner",
        tank: "[glass]\nshape = \"box\"\nlength = \"130 cm\"\nwidth = \"60 cm\"\nheight = \"60 cm\"\npane = \"12 mm\"\nfill_line = \"4 cm\"\n[sand]\ndepth = \"4 cm\"\ngrain = \"1.5 mm\"\n[rock]\nmass = \"35 kg\"\n[livestock]\nnow = [\"soft\", \"large_polyp\"]\nlater = [\"soft\", \"large_polyp\", \"small_polyp\"]\n[[pump]]\nname = \"left\"\nmodel = \"Beck 4\"\nwall = \"left\"\nheight = \"40 cm\"\nsetting = \"45 %\"\n[[pump]]\nname = \"right\"\nmodel = \"Beck 4\"\nwall = \"right\"\nheight = \"35 cm\"\nsetting = \"45 %\"\n",
        holds: |case| {
            let fit = fit::check(&case.rules, &case.catalogue, &case.tank).unwrap().unwrap();
            assert!(fit.missing.si() > 0.0);
            assert!(case.upgrade().unwrap().added.models.is_empty());
            let why = case.sheet().lacking("upgrade.pumps").unwrap().to_owned();
            assert!(why.contains("Clean them a little sooner"), "{why}");
            assert_eq!(case.plan().len(), 2);
        },
    },
    Situation {
        situation: "the same with pumps that lack a tenth",
        sense: "one more of the same, not three, although its soft corals live there too",
        tank: "[glass]\nshape = \"box\"\nlength = \"130 cm\"\nwidth = \"60 cm\"\nheight = \"64 cm\"\npane = \"12 mm\"\nfill_line = \"4 cm\"\n[sand]\ndepth = \"4 cm\"\ngrain = \"1.5 mm\"\n[rock]\nmass = \"35 kg\"\n[livestock]\nnow = [\"soft\", \"large_polyp\"]\nlater = [\"soft\", \"large_polyp\", \"small_polyp\"]\n[[pump]]\nname = \"left\"\nmodel = \"Beck 4\"\nwall = \"left\"\nheight = \"40 cm\"\nsetting = \"45 %\"\n[[pump]]\nname = \"right\"\nmodel = \"Beck 4\"\nwall = \"right\"\nheight = \"35 cm\"\nsetting = \"45 %\"\n",
        holds: |case| assert_eq!(case.names(&case.upgrade().unwrap().added.models), ["Beck 4"]),
    },
    Situation {
        situation: "a tank of eight feet for corals from the surf",
        sense: "an even number of the strongest, rather than one pump more for about the same money",
        tank: "[glass]\nshape = \"box\"\nlength = \"8 ft\"\nwidth = \"30 in\"\nheight = \"30 in\"\npane = \"3/4 in\"\nfill_line = \"2 in\"\nbraced = true\n[rock]\nshare = \"9 %\"\n[livestock]\nnow = \"small_polyp\"\nlater = \"small_polyp_strong\"\n",
        holds: |case| assert_eq!(case.plan().len(), 4),
    },
    Situation {
        situation: "panes told in inches, 3/4 in, for pumps whose magnets hold through 19 mm",
        sense: "the hair between the two does not count",
        tank: "[glass]\nshape = \"box\"\nlength = \"8 ft\"\nwidth = \"30 in\"\nheight = \"30 in\"\npane = \"3/4 in\"\nfill_line = \"2 in\"\nbraced = true\n[livestock]\nnow = \"small_polyp\"\n",
        holds: |case| {
            let with_19 = case.catalogue.pumps.iter().position(|pump| pump.model == "Skerry 3").unwrap();
            let why = case.task().ruled_out(with_19, case.best().as_ref(), &case.tank.wishes).unwrap();
            assert!(why.is_none_or(|why| !why.words.contains("magnets")));
        },
    },
    Situation {
        situation: "a tank of 120 cm with large-polyp corals",
        sense: "at least two broad, gentle streams",
        tank: "[glass]\nshape = \"box\"\nlength = \"120 cm\"\nwidth = \"50 cm\"\nheight = \"50 cm\"\npane = \"10 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"1.5 mm\"\n[rock]\nmass = \"25 kg\"\n[livestock]\nnow = \"large_polyp\"\n",
        holds: |case| assert!(case.plan().len() >= 2 && case.plan().iter().all(is_controllable)),
    },
    Situation {
        situation: "a tank of 150 cm with large-polyp corals now and small-polyp corals later",
        sense: "like pumps that can be controlled, strong enough for later and gentle enough for now",
        tank: "[glass]\nshape = \"box\"\nlength = \"150 cm\"\nwidth = \"60 cm\"\nheight = \"60 cm\"\npane = \"12 mm\"\nfill_line = \"4 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"2 mm\"\n[rock]\nmass = \"40 kg\"\n[livestock]\nnow = \"large_polyp\"\nlater = \"small_polyp\"\n",
        holds: |case| {
            let best = case.best().unwrap();
            assert!(case.plan().len() >= 2 && case.plan().iter().all(is_controllable));
            assert!(best.now.unwrap()[0].0 < best.later[0].0);
        },
    },
    Situation {
        situation: "a tank of 180 cm with large-polyp corals",
        sense: "no pump of one speed among those that can be controlled",
        tank: "[glass]\nshape = \"box\"\nlength = \"180 cm\"\nwidth = \"60 cm\"\nheight = \"60 cm\"\npane = \"12 mm\"\nfill_line = \"4 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"2 mm\"\n[rock]\nmass = \"50 kg\"\n[livestock]\nnow = \"large_polyp\"\n",
        holds: |case| assert!(case.plan().iter().all(is_controllable)),
    },
    Situation {
        situation: "a tank of 220 cm for corals from the surf",
        sense: "several of the strongest pumps, in streams that reach the far glass",
        tank: "[glass]\nshape = \"box\"\nlength = \"220 cm\"\nwidth = \"75 cm\"\nheight = \"70 cm\"\npane = \"15 mm\"\nfill_line = \"4 cm\"\n[rock]\nmass = \"90 kg\"\n[livestock]\nnow = \"small_polyp\"\nlater = \"small_polyp_strong\"\n",
        holds: |case| {
            let plan = case.plan();
            assert!(
                plan.len() >= 3 && plan.iter().all(|pump| pump.rated_flow.si() * 3.6e6 > 10_000.0),
                "{plan:?}"
            );
        },
    },
    Situation {
        situation: "a round tank of 60 cm with soft corals",
        sense: "pumps around its wall, none aimed head on at another",
        tank: "[glass]\nshape = \"cylinder\"\ndiameter = \"60 cm\"\nheight = \"60 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| assert!(!case.plan().is_empty()),
    },
    Situation {
        situation: "a hexagon of 70 cm with large-polyp corals",
        sense: "two pumps on sides that face each other, at unlike heights",
        tank: "[glass]\nshape = \"hexagon\"\nacross = \"70 cm\"\nheight = \"60 cm\"\npane = \"10 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"2 mm\"\n[livestock]\nnow = \"large_polyp\"\n",
        holds: |case| {
            assert!(case.plan().len() >= 2);
            let hung = plan::hung(&case.rules, &case.catalogue, &case.tank).unwrap();
            assert!((hung[0].height - hung[1].height).si().abs() > 0.02);
        },
    },
    Situation {
        situation: "a bow front of 110 cm with small-polyp corals later",
        sense: "like pumps at both ends",
        tank: "[glass]\nshape = \"bow_front\"\nlength = \"110 cm\"\nwidth = \"45 cm\"\nmiddle_width = \"60 cm\"\nheight = \"60 cm\"\npane = \"10 mm\"\nfill_line = \"4 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"2 mm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n",
        holds: |case| {
            assert!(case.plan().len() >= 2);
            let hung = plan::hung(&case.rules, &case.catalogue, &case.tank).unwrap();
            assert_eq!([hung[0].wall, hung[1].wall], [Wall::Left, Wall::Right]);
        },
    },
    Situation {
        situation: "a room divider of 120 cm, seen from three sides, with large-polyp corals",
        sense: "pumps side by side and staggered on the end at the wall, none on the long panes",
        tank: "[glass]\nshape = \"box\"\nlength = \"120 cm\"\nwidth = \"50 cm\"\nheight = \"50 cm\"\npane = \"10 mm\"\nfill_line = \"3 cm\"\n[stand]\nplace = \"room_divider\"\n[livestock]\nnow = \"large_polyp\"\n",
        holds: |case| {
            let hung = plan::hung(&case.rules, &case.catalogue, &case.tank).unwrap();
            assert!(hung.len() >= 2 && hung.iter().all(|pump| matches!(pump.wall, Wall::Left | Wall::Right)));
            let at_the_wall: Vec<_> = hung.iter().filter(|pump| pump.wall == Wall::Left).collect();
            assert_eq!(at_the_wall.len(), 2, "{hung:?}");
            assert!((at_the_wall[0].height - at_the_wall[1].height).si().abs() > 0.02);
        },
    },
    Situation {
        situation: "a large room divider for corals from the surf",
        sense: "pumps at the far end too, because one end alone does not reach it",
        tank: "[glass]\nshape = \"box\"\nlength = \"180 cm\"\nwidth = \"75 cm\"\nheight = \"65 cm\"\npane = \"15 mm\"\nfill_line = \"4 cm\"\n[stand]\nplace = \"room_divider\"\n[livestock]\nnow = \"small_polyp\"\nlater = \"small_polyp_strong\"\n",
        holds: |case| {
            let hung = plan::hung(&case.rules, &case.catalogue, &case.tank).unwrap();
            assert!(hung.iter().filter(|pump| pump.wall == Wall::Left).count() == 2, "{hung:?}");
            assert!(hung.iter().any(|pump| pump.wall == Wall::Right), "{hung:?}");
            assert!(
                format!("{:?}", case.sheet().tables["places"])
                    .contains("in sight, because the end at the wall is full")
            );
        },
    },
    Situation {
        situation: "a tank in a corner, with soft corals",
        sense: "the plan tells that the outer half at the wall needs a gap",
        tank: "[glass]\nshape = \"box\"\nlength = \"100 cm\"\nwidth = \"50 cm\"\nheight = \"50 cm\"\npane = \"10 mm\"\nfill_line = \"3 cm\"\n[stand]\nplace = \"in_a_corner\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| {
            let told = format!("{:?}", case.sheet().tables["places"]);
            assert!(told.contains("its outer half needs a gap to the wall"));
        },
    },
    Situation {
        situation: "a bedroom with a limit on noise that few pumps keep to",
        sense: "a set that keeps to it, even if it is not the cheapest",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n[home]\npillow = \"2 m\"\n",
        holds: |case| {
            let best = |wishes| case.task().best(&wishes, 1).unwrap().remove(0);
            let free = Wishes::default();
            let (cheapest, quietest) = (best(free), best(Wishes { rank: Rank::Quiet, ..free }));
            assert!(quietest.sound.high < cheapest.sound.high);
            let limit = SoundLevel(0.5 * (quietest.sound.high.0 + cheapest.sound.high.0));
            let quiet = best(Wishes { noise: Some(limit), ..free });
            assert!(quiet.sound.high <= limit && quiet.cost.amount > cheapest.cost.amount);
        },
    },
    Situation {
        situation: "a tight budget",
        sense: "a set within it, that still keeps to all the tank asks",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n[wishes]\nbudget = \"300 USD\"\nrank = \"quiet\"\n",
        holds: |case| assert!(case.best().unwrap().price.amount <= 300.0),
    },
    Situation {
        situation: "an impossible budget",
        sense: "the budget is named as what blocks, with the cheapest set that would do",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n[wishes]\nbudget = \"90 USD\"\n",
        holds: |case| {
            let blocked = case.task().blocked(&case.tank.wishes).unwrap();
            assert_eq!(blocked.len(), 1);
            assert!(blocked[0].words.contains("budget is too small"), "{blocked:?}");
            let nearest = case.task().nearest(&case.tank.wishes).unwrap().unwrap();
            assert!(nearest.lacks.is_empty() && (nearest.set.price.amount - blocked[0].is.si).abs() < 1e-9);
            assert!(!case.says("plan.nearest").is_empty());
        },
    },
    Situation {
        situation: "pumps owned that are good for later too",
        sense: "nothing to add",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[rock]\nmass = \"15 kg\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n[[pump]]\nname = \"left\"\nmodel = \"Beck 3\"\nwall = \"left\"\nheight = \"25 cm\"\nsetting = \"30 %\"\n[[pump]]\nname = \"right\"\nmodel = \"Beck 3\"\nwall = \"right\"\nheight = \"29 cm\"\nsetting = \"30 %\"\n",
        holds: |case| {
            assert!(case.upgrade().unwrap().added.models.is_empty());
            let fit = fit::check(&case.rules, &case.catalogue, &case.tank).unwrap().unwrap();
            assert!(
                fit.missing.si() <= 0.0 && fit.streams.iter().all(|stream| stream.verdict.faults.is_empty())
            );
        },
    },
    Situation {
        situation: "pumps owned that are a little weak for small-polyp corals later",
        sense: "one more like them that can be controlled, not the cheapest that would fill the gap",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"3 cm\"\ngrain = \"1.5 mm\"\n[rock]\nmass = \"15 kg\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n[[pump]]\nname = \"left\"\nmodel = \"Beck 2\"\nwall = \"left\"\nheight = \"26 cm\"\nsetting = \"45 %\"\n[[pump]]\nname = \"right\"\nmodel = \"Beck 2\"\nwall = \"right\"\nheight = \"26 cm\"\nsetting = \"45 %\"\n",
        holds: |case| {
            let upgrade = case.upgrade().unwrap();
            assert_eq!(case.names(&upgrade.added.models), ["Beck 2"]);
            assert!(upgrade.unlike.is_none());
        },
    },
    Situation {
        situation: "one pump of one speed owned, small-polyp corals later",
        sense: "it stays, and what joins it can be controlled",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[rock]\nmass = \"15 kg\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n[[pump]]\nname = \"left\"\nmodel = \"Rill 2\"\nwall = \"left\"\nheight = \"26 cm\"\n",
        holds: |case| {
            let upgrade = case.upgrade().unwrap();
            let added: Vec<_> = upgrade.added.models.iter().map(|at| &case.catalogue.pumps[*at]).collect();
            assert!(!added.is_empty() && added.iter().all(is_controllable), "{added:?}");
        },
    },
    Situation {
        situation: "a pump owned that is far too strong for large-polyp corals",
        sense: "replacing it is better than adding to it, and the upgrade says by what",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[livestock]\nnow = \"large_polyp\"\n[[pump]]\nname = \"left\"\nmodel = \"Rill 4\"\nwall = \"left\"\nheight = \"26 cm\"\n",
        holds: |case| {
            let refusal = case.upgrade().unwrap_err();
            assert!(!refusal.blocked.is_empty());
            assert!(refusal.replace_by.unwrap().models.len() >= 2);
            assert!(!case.says("upgrade.replace").is_empty());
        },
    },
    Situation {
        situation: "streams from both ends that are too strong almost up to the other end",
        sense: "the check finds fault with them instead of finding all well",
        tank: "[glass]\nshape = \"box\"\nlength = \"60 in\"\nwidth = \"24 in\"\nheight = \"24 in\"\npane = \"1/2 in\"\nfill_line = \"1 1/2 in\"\n[rock]\nmass = \"90 lb\"\n[livestock]\nnow = \"large_polyp\"\nlater = \"small_polyp\"\n[[pump]]\nname = \"left\"\nmodel = \"Beck 5\"\nsetting = \"45 %\"\nwall = \"left\"\nheight = \"14 in\"\n[[pump]]\nname = \"right\"\nmodel = \"Beck 5\"\nsetting = \"40 %\"\nwall = \"right\"\nheight = \"14 in\"\n",
        holds: |case| {
            let fit = fit::check(&case.rules, &case.catalogue, &case.tank).unwrap().unwrap();
            let too_strong = |stream: &&fit::StreamFit| {
                stream.verdict.faults.iter().any(|fault| fault.words.contains("too strong"))
            };
            assert!(fit.streams.iter().any(|stream| too_strong(&stream)), "{fit:?}");
            assert!(
                fit.streams.iter().all(|stream| too_strong(&stream) || stream.verdict.calm_beside),
                "{fit:?}"
            );
        },
    },
    Situation {
        situation: "panes of 19 mm",
        sense: "only pumps whose magnets hold through them, and the others are told so",
        tank: "[glass]\nshape = \"box\"\nlength = \"150 cm\"\nwidth = \"60 cm\"\nheight = \"90 cm\"\npane = \"19 mm\"\nfill_line = \"4 cm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n",
        holds: |case| {
            assert!(case.plan().iter().all(|pump| pump.largest_pane.unwrap().si() >= 0.019));
            let best = case.best();
            let beck = case.catalogue.pumps.iter().position(|pump| pump.model == "Beck 4").unwrap();
            let why = case.task().ruled_out(beck, best.as_ref(), &case.tank.wishes).unwrap().unwrap();
            assert!(why.words.contains("magnets"), "{why:?}");
        },
    },
    Situation {
        situation: "panes of 30 mm, thicker than any magnet holds through",
        sense: "no plan, because of the magnets, and the nearest set is shown",
        tank: "[glass]\nshape = \"box\"\nlength = \"200 cm\"\nwidth = \"80 cm\"\nheight = \"100 cm\"\npane = \"30 mm\"\nfill_line = \"4 cm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n",
        holds: |case| {
            assert!(case.best().is_none());
            let nearest = case.task().nearest(&case.tank.wishes).unwrap().unwrap();
            assert_eq!(nearest.lacks.iter().map(|(demand, _)| *demand).collect::<Vec<_>>(), [Demand::Magnet]);
            assert!(case.says("plan.blocked").contains("magnets"));
        },
    },
    Situation {
        situation: "a bare floor",
        sense: "pumps hang as high as the rule says, each pair staggered about that",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| {
            let hung = plan::hung(&case.rules, &case.catalogue, &case.tank).unwrap();
            let middle = hung.iter().map(|pump| pump.height.si()).sum::<f64>() / hung.len() as f64;
            assert!((middle / case.tank.glass.water_height().si() - 0.65).abs() < 0.01, "{middle}");
        },
    },
    Situation {
        situation: "sugar-fine sand in a shallow tank for small-polyp corals",
        sense: "no pump is set so that it lifts the sand; where none can be, the sand is named",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"35 cm\"\npane = \"8 mm\"\nfill_line = \"3 cm\"\n[sand]\ndepth = \"6 cm\"\ngrain = \"0.3 mm\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n",
        holds: |case| {
            if case.best().is_none() {
                assert!(case.says("plan.blocked").contains("sand"), "{}", case.says("plan.blocked"));
            }
        },
    },
    Situation {
        situation: "a spare wished for",
        sense: "when any one pump stops, the others still move the least for now",
        tank: "[glass]\nshape = \"box\"\nlength = \"120 cm\"\nwidth = \"50 cm\"\nheight = \"50 cm\"\npane = \"10 mm\"\nfill_line = \"3 cm\"\n[rock]\nmass = \"25 kg\"\n[livestock]\nnow = \"soft\"\nlater = \"small_polyp\"\n[wishes]\nspare = true\n",
        holds: |case| {
            let best = case.best().unwrap();
            let least = case.rules.turnover.band(&case.tank.now).low.si() * case.tank.glass.gross().si();
            assert!(best.one_stopped.si() > 0.8 * least);
        },
    },
    Situation {
        situation: "fish only, in a tank of 60 cm",
        sense: "one pump is enough",
        tank: "[glass]\nshape = \"box\"\nlength = \"60 cm\"\nwidth = \"35 cm\"\nheight = \"40 cm\"\npane = \"6 mm\"\nfill_line = \"3 cm\"\n[livestock]\nnow = \"fish_only\"\n",
        holds: |case| assert_eq!(case.plan().len(), 1),
    },
    Situation {
        situation: "acrylic panes",
        sense: "the magnets hold as on glass, and the reader is told that they scratch",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"10 mm\"\nfill_line = \"3 cm\"\nmaterial = \"acrylic\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| {
            assert!(!case.plan().is_empty());
            assert!(case.says("places.scratches").contains("scratch"));
        },
    },
    Situation {
        situation: "no catalogue",
        sense: "no plan, and the sheet says why instead of staying silent",
        tank: "[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| {
            let sheet = Sheet::reckon(&case.rules, &Catalogue::empty(), &case.tank).unwrap();
            assert!(sheet.figure("plan.pumps").is_none());
            assert!(sheet.lacking("plan.pumps").unwrap().contains("catalogue"));
        },
    },
    Situation {
        situation: "a catalogue of large pumps only, for a nano",
        sense: "all are told to be too strong, with the nearest and what it moves turned right down",
        tank: "[glass]\nshape = \"box\"\nlength = \"30 cm\"\nwidth = \"20 cm\"\nheight = \"22 cm\"\npane = \"4 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n",
        holds: |case| {
            let mut large = case.catalogue.clone();
            large.pumps.retain(|pump| pump.rated_flow.si() * 3.6e6 > 1200.0);
            let task = Task::new(&case.rules, &large, &case.tank).unwrap();
            assert!(task.best(&case.tank.wishes, 1).unwrap().is_empty());
            let nearest = task.nearest(&case.tank.wishes).unwrap().unwrap();
            assert_eq!(
                nearest.set.models.iter().map(|at| large.pumps[*at].model.as_str()).collect::<Vec<_>>(),
                ["Beck 1"]
            );
            let blocked = task.blocked(&case.tank.wishes).unwrap();
            assert!(blocked[0].words.starts_with("All of these pumps are too strong"), "{blocked:?}");
            // What it moves turned right down, against what is wanted.
            assert!(
                blocked[0].is.si > blocked[0].limit.si
                    && (blocked[0].is.si - nearest.set.low.si()).abs() < 1e-12
            );
        },
    },
];
