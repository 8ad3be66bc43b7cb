//! What the tests across crates share: tables from outside this project, and the rule for how near is near
//! enough.

pub mod formula_text;
pub mod nudges;
pub mod places;
pub mod random_tanks;

use std::path::PathBuf;

/// A tank file with every entry that is switched off switched on.
pub fn switched_on(tank: &str) -> String {
    let on = |line: &str| {
        line.strip_prefix('#')
            .filter(|rest| !rest.is_empty() && !rest.starts_with(' '))
            .unwrap_or(line)
            .to_owned()
    };
    tank.lines().map(|line| on(line) + "\n").collect()
}

/// A table from outside this project: comment lines that say where its values come from, one line of column
/// names, then rows whose cells are the digits as they stood there.
#[derive(Debug)]
pub struct Table {
    columns: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One row of a table.
#[derive(Debug, Clone, Copy)]
pub struct Row<'t> {
    table: &'t Table,
    cells: &'t [String],
}

/// Reads `tests/published/NAME.csv`: what stands in print, typed as printed.
///
/// # Panics
/// When there is no such table, or a row has another number of cells than the head: a check that can not be
/// read must not pass.
pub fn published(name: &str) -> Table {
    read("published", name)
}

/// Reads `tests/independent/NAME.csv`: what others reckoned, mostly with a library that shares no line with
/// ours.
///
/// # Panics
/// As [`published`].
pub fn independent(name: &str) -> Table {
    read("independent", name)
}

fn read(folder: &str, name: &str) -> Table {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(folder).join(format!("{name}.csv"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut lines = text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    let cells = |line: &str| line.split(',').map(|cell| cell.trim().to_owned()).collect::<Vec<_>>();
    let columns = cells(lines.next().unwrap_or_else(|| panic!("{folder}/{name}.csv is empty")));
    let rows: Vec<_> = lines.map(cells).collect();
    assert!(!rows.is_empty(), "{folder}/{name}.csv has no rows");
    for row in &rows {
        assert_eq!(row.len(), columns.len(), "{folder}/{name}.csv: {row:?}");
    }
    Table { columns, rows }
}

impl Table {
    /// The rows in the order of the file.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { table: self, cells })
    }
}

impl<'t> Row<'t> {
    /// The cell as printed.
    ///
    /// # Panics
    /// When the table has no such column.
    pub fn text(self, column: &str) -> &'t str {
        let at = self
            .table
            .columns
            .iter()
            .position(|name| name == column)
            .unwrap_or_else(|| panic!("no column {column}"));
        &self.cells[at]
    }

    /// The cell as a number.
    ///
    /// # Panics
    /// When it is none.
    pub fn number(self, column: &str) -> f64 {
        self.text(column)
            .parse()
            .unwrap_or_else(|_| panic!("{column}: {:?} is not a number", self.text(column)))
    }
}

/// Fails unless `got` rounds to the printed digits: half a unit in the last printed place.
///
/// # Panics
/// When it does not.
pub fn assert_printed(what: &str, got: f64, printed: &str) {
    let want: f64 = printed.parse().unwrap_or_else(|_| panic!("{what}: {printed:?} is not a number"));
    let decimals = printed
        .split(['e', 'E'])
        .next()
        .and_then(|mantissa| mantissa.split_once('.'))
        .map_or(0, |(_, digits)| digits.len());
    let exponent: i32 = printed.split(['e', 'E']).nth(1).map_or(0, |exponent| exponent.parse().unwrap_or(0));
    let last_place =
        format!("1e{}", exponent - i32::try_from(decimals).unwrap_or(0)).parse::<f64>().unwrap_or(0.0);
    assert_within(what, got, want, 0.5000001 * last_place, "half the last printed digit");
}

/// Fails unless `got` lies within `tolerance` of `want`; `reason` says where the tolerance comes from.
///
/// # Panics
/// When it does not.
pub fn assert_within(what: &str, got: f64, want: f64, tolerance: f64, reason: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: reckoned {got}, elsewhere {want}, allowed ±{tolerance} ({reason})"
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_printed_digit_decides() {
        assert_printed("rounds up to it", 4.04, "4.0");
        assert_printed("an exponent counts", 1.0504e-6, "1.050e-6");
        assert!(std::panic::catch_unwind(|| assert_printed("too far", 4.06, "4.0")).is_err());
        assert!(std::panic::catch_unwind(|| assert_printed("no digit to spare", 40.6, "40")).is_err());
    }
}
