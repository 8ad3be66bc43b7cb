//! A tank's figures for the terminal.

use reckoner_calc::Sheet;
use reckoner_calc::sheet::Figure;

/// All figures but the rules, a line each, under a head for each group.
pub fn text(sheet: &Sheet) -> String {
    let mut out = format!("{}\n", sheet.name);
    if !sheet.about.is_empty() {
        out.push_str(&format!("{}\n", sheet.about));
    }
    let figures: Vec<_> = sheet.figures().iter().filter(|figure| group(figure) != "rule").collect();
    let width = figures.iter().map(|figure| figure.title.chars().count()).max().unwrap_or(0);
    let mut last = "";
    for figure in figures {
        if group(figure) != last {
            last = group(figure);
            out.push_str(&format!("\n[{last}]\n"));
        }
        out.push_str(&format!("{:width$}  {}\n", figure.title, figure.text().replace('\u{a0}', " ")));
    }
    out
}

fn group(figure: &Figure) -> &str {
    figure.id.split('.').next().unwrap_or_default()
}
