//! What was assumed of the tank, on the sheet.

use super::ids::assumed::TANK_ASSUMED;
use crate::assumed::KEYS;
use crate::sheet::{Sheet, figure};
use crate::tank::Tank;
use crate::words::listed;

/// Adds the figure of this topic: what was assumed of the tank, in words. No rule moves it: what a tank file leaves out does.
pub(crate) fn figures(sheet: &mut Sheet, tank: &Tank) {
    sheet.put(
        figure(TANK_ASSUMED, || {
            let assumed = KEYS.iter().filter(|(key, _)| tank.assumed.contains(key));
            let words: Vec<_> = assumed.map(|(_, words)| *words).collect();
            if words.is_empty() { "nothing".to_owned() } else { listed(&words) }
        })
        .titled("What the tank file leaves out and the book assumes"),
    );
}
