//! Why a figure is what it is: the formula with its values, the figures that went in, and the rules with
//! their bases.

use maud::{Markup, PreEscaped, html};
use reckoner_calc::Rules;
use reckoner_calc::rules::{Basis, Rule};
use reckoner_calc::sheet::{Figure, Sheet};
use reckoner_calc::trace::Call;

use crate::html::{Medium, math, readings, written};
use crate::rules::{basis_text, cited, value_text};

/// How a figure, or the cell of a table, was reckoned, as HTML; `None` where the sheet has none of this id.
///
/// Each figure that went in has a button that names its id in `data-why`, so that a reader can go a step
/// further. `data-formulas` lists the formulas that were used, for whoever knows what they were checked
/// against.
pub fn why(sheet: &Sheet, rules: &Rules, id: &str) -> Option<String> {
    let figure = sheet.any_figure(id)?;
    let from: Vec<_> = figure.inputs.iter().filter_map(|id| sheet.any_figure(id)).collect();
    let by: Vec<_> = figure.rules.iter().filter_map(|id| rules.rule(id)).collect();
    let is_given = figure.calls().is_empty() && figure.formula.is_empty() && from.is_empty() && by.is_empty();
    Some(written(&html! {
        section class="why" data-figure=(figure.id) data-formulas=(figure.formulas().join(" ")) {
            p class="why-title" { (figure.title) ": " (value(figure)) }
            @if is_given { p { "As the tank file says." } }
            (formulas(figure, sheet))
            @if !from.is_empty() {
                p { "Reckoned from" }
                ul class="why-from" {
                    @for figure in from {
                        li { button type="button" data-why=(figure.id) { (figure.title) } ": " (value(figure)) }
                    }
                }
            }
            @if !by.is_empty() {
                p { "By the rules" }
                ul class="why-rules" { @for rule in by { (rule_markup(rule, rules, sheet)) } }
            }
        }
    }))
}

fn value(figure: &Figure) -> Markup {
    PreEscaped(Medium::Html.figure(figure, "", None))
}

/// What the figure says of itself, where no one formula says it; then each formula that it used, with its
/// values.
fn formulas(figure: &Figure, sheet: &Sheet) -> Markup {
    let calls = figure.calls();
    let says =
        Some(figure.formula).filter(|says| !says.is_empty() && calls.iter().all(|call| call.text != *says));
    html! {
        @if let Some(says) = says { p class="formula" { (math(&figure.title, says)) } }
        @for call in calls { (worked(call, if says.is_none() && calls.len() == 1 { &figure.title } else { "" }, sheet)) }
    }
}

/// A formula with its values; it is called by its own name where it gives no figure.
fn worked(call: &Call, answer: &str, sheet: &Sheet) -> Markup {
    let name = call.formula.rsplit('.').next().unwrap_or_default().replace('_', " ");
    html! {
        p class="formula" { (math(if answer.is_empty() { &name } else { answer }, call.text)) }
        ul class="why-values" {
            @for (name, value) in &call.inputs { li { (name.replace('_', " ")) ": " (readings(&sheet.shown(*value))) } }
            li { "comes to " (readings(&sheet.shown(call.output))) }
        }
    }
}

fn rule_markup(rule: &Rule, rules: &Rules, sheet: &Sheet) -> Markup {
    let source = match &rule.basis {
        Basis::Published { source, .. } => rules.sources.get(source),
        _ => None,
    };
    html! {
        li data-rule=(rule.id) {
            (rule.title) ": " (value_text(rule, sheet)) ". " (basis_text(&rule.basis, rules)) "."
            @if !rule.note.is_empty() { " " small { (rule.note) } }
            @if let Some(source) = source { " " small { (cited(source)) } }
        }
    }
}
