//! What was assumed of the tank, on the sheet.

use super::ids::assumed::TANK_ASSUMED;
use crate::assumed::KEYS;
use crate::rules::Rules;
use crate::sheet::{Sheet, figure};
use crate::tank::Tank;
use crate::words::listed;

/// Adds the figure of this topic: what was assumed of the tank, in words. No rule moves it: what a tank file
/// leaves out does.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) {
    let words = &rules.words.assumed;
    sheet.put(figure(TANK_ASSUMED, || {
        let assumed = KEYS.iter().filter(|(key, _)| tank.assumed.contains(key));
        let said: Vec<_> = assumed.map(|(_, say)| say(words)).collect();
        if said.is_empty() { words.nothing().to_owned() } else { listed(&said) }
    }));
}
