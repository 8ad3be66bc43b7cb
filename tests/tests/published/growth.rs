//! How fast branches grow: `tests/published/growth.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::growth::size;
use reckoner_calc::quantity::{Dimension, parse};
use reckoner_calc::rules::RuleValue;
use reckoner_tests::{assert_printed, assert_within, published};
use uom::si::f64::Length;

#[test]
fn xin_and_others_a_year_at_tioman() {
    let rules = Rules::compiled_in().unwrap();
    for row in published("growth").rows() {
        let a_year = Length::from_si(row.number("cm_year") * 0.01);
        let month = size(Length::default(), a_year, parse("1 months").unwrap());
        assert_printed(row.text("where"), month.si() * 100.0, row.text("cm_month"));
        let rule = rules.rule(&format!("growth.{}", row.text("rule"))).unwrap();
        let RuleValue::Band(low, high) = &rule.value else { panic!("{} is no band", rule.id) };
        let end = if row.text("end") == "low" { low } else { high };
        assert_within(&rule.id, end.si, a_year.si(), 5e-4, "the rule is to the millimetre");
    }
}
