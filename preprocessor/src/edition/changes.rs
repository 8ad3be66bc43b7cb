//! The log of what was changed in the rules, and why: `changes.toml` of a folder of rules.

use reckoner_calc::document::{self, Problem, Table, did_you_mean};
use reckoner_calc::formulas::calendar::Date;
use reckoner_calc::rules::Rules;

/// One change of a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// On which day.
    pub date: Date,
    /// The id of the rule.
    pub rule: String,
    /// Why, in a sentence or two.
    pub why: String,
}

/// Reads the text of a log. `rule` names a rule that is there, `gone` one that was taken out.
///
/// # Errors
/// Every problem in it: a day that is none, a rule that does not exist, one that is called gone and is there.
pub fn read(name: &str, text: &str, rules: &Rules) -> Result<Vec<Change>, Vec<Problem>> {
    document::read(name, text, |root| Some(root.tables("change", |table| read_one(table, rules))))
}

fn read_one(table: &mut Table<'_>, rules: &Rules) -> Option<Change> {
    let (date, why) = (table.text("date"), table.text("why"));
    let date = date.and_then(|text| {
        let date = Date::parse(&text);
        if date.is_none() {
            let help = "write year, month and day, such as \"2026-03-01\"";
            table.refuse("date", format!("`{text}` is no day of the calendar"), help);
        }
        date
    });
    let (rule, gone) = (table.maybe_text("rule"), table.maybe_text("gone"));
    let rule = match (rule, gone) {
        (Some(rule), None) if rules.rule(&rule).is_some() => Some(rule),
        (Some(rule), None) => {
            let ids = rules.all.iter().map(|rule| rule.id.as_str());
            let near = did_you_mean(&rule, ids);
            let taken_out = format!("write gone = \"{rule}\" where it was taken out");
            let help = near.map_or(taken_out.clone(), |near| format!("{near} Or {taken_out}"));
            table.refuse("rule", format!("there is no rule `{rule}`"), help);
            None
        }
        (None, Some(gone)) if rules.rule(&gone).is_none() => Some(gone),
        (None, Some(gone)) => {
            table.refuse(
                "gone",
                format!("the rule `{gone}` is there"),
                format!("write rule = \"{gone}\" where it says something else"),
            );
            None
        }
        (Some(_), Some(_)) => {
            table.refuse("gone", "a change is of a rule or takes one out, not both", "write two tables");
            None
        }
        (None, None) => {
            table.refuse("rule", "`rule` is missing", "write the id of the rule, such as turnover.soft");
            None
        }
    };
    Some(Change { date: date?, rule: rule?, why: why? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use reckoner_calc::rules::CHANGES_COMPILED_IN;

    fn found(text: &str) -> Vec<String> {
        let rules = Rules::compiled_in().unwrap();
        let problems = read("changes.toml", text, &rules).unwrap_err();
        problems
            .into_iter()
            .map(|problem| format!("{}; {}", problem.message, problem.help.join("; ")))
            .collect()
    }

    #[test]
    fn the_log_of_the_book_is_sound() {
        let changes = read("changes.toml", CHANGES_COMPILED_IN, &Rules::compiled_in().unwrap()).unwrap();
        assert!(!changes.is_empty());
    }

    #[test]
    fn what_is_wrong_is_told_in_one_run() {
        let text = "[[change]]\ndate = \"2026-02-30\"\nrule = \"turnover.sotf\"\nwhy = \"A\"\n\
                    [[change]]\ndate = \"2026-03-01\"\ngone = \"turnover.soft\"\n\
                    [[change]]\ndate = \"2026-03-01\"\nwhy = \"A\"\n";
        let want = [
            "`2026-02-30` is no day of the calendar; write year, month and day, such as \"2026-03-01\"",
            "there is no rule `turnover.sotf`; did you mean `turnover.soft` or `turnover.aim`? Or write gone = \"turnover.sotf\" where it was taken out",
            "`change.why` is missing; write why = a text in quotation marks",
            "the rule `turnover.soft` is there; write rule = \"turnover.soft\" where it says something else",
            "`rule` is missing; write the id of the rule, such as turnover.soft",
        ];
        let mut said = found(text);
        said.sort();
        let mut want = want.map(str::to_owned).to_vec();
        want.sort();
        assert_eq!(said, want);
    }

    #[test]
    fn a_rule_that_was_taken_out_is_no_error() {
        let text =
            "[[change]]\ndate = \"2026-03-01\"\ngone = \"turnover.none\"\nwhy = \"Nobody asked for it.\"\n";
        let changes = read("changes.toml", text, &Rules::compiled_in().unwrap()).unwrap();
        assert_eq!(
            (changes[0].rule.as_str(), changes[0].date.to_string()),
            ("turnover.none", "2026-03-01".to_owned())
        );
    }
}
