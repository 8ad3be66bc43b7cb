//! Glass: how hard the water bends the panes of a tank, and whether they are as thick as such a tank is built
//! with.
//!
//! A pane is taken as a thin plate whose ends and foot are held by seams that let it turn, its rim free or,
//! in a braced tank, held straight. The water stands to the rim. The stress comes from Levy's series for such
//! a plate. The seams of a real tank hold more or less than that, and a scratch changes all: these figures
//! tell a slip of the tape from a tank, and size no pane. The builder of the tank, the maker of the glass or
//! a licensed professional decides.

use std::f64::consts::PI;

use uom::si::f64::{Length, MassDensity, Pressure, Ratio};

use super::formula;
use crate::error::{Error, within};
use crate::quantity::{Dimension, Thickness};
use crate::rules::glass::GlassRules;
use crate::rules::{Band, words};

/// Standard gravity in m/s², exact by definition (CGPM 1901).
const GRAVITY: f64 = 9.806_65;

/// How the top edge of a pane is held; its ends and its foot always are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rim {
    /// Not at all.
    Free,
    /// Straight, by braces or a frame.
    Braced,
}

/// What presses on a pane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Load {
    /// The same pressure everywhere: how plates are tabulated in print.
    Even,
    /// Water that stands to the top edge: nothing there, the whole pressure at the foot.
    Water,
}

/// How hard a plate is bent at its worst place, as a factor `β` of the stress `β q H²/t²`: `H` is its height,
/// `t` its thickness, and `q` the pressure at its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bent {
    /// By bending, in the middle between the ends.
    pub bending: f64,
    /// By twisting, along the ends: the larger of the two in a long, free pane.
    pub twisting: f64,
}

impl Bent {
    /// The larger of the two.
    pub fn worst(self) -> f64 {
        self.bending.max(self.twisting)
    }
}

/// Terms of the series, odd waves only. They fall with the fifth power of their number.
const TERMS: u32 = 40;
/// Heights at which the stress is looked for, from the foot to the rim.
const HEIGHTS: usize = 100;

/// What the waves add up to at one height.
#[derive(Debug, Clone, Copy, Default)]
struct Moments {
    along: f64,
    up: f64,
    twist: f64,
}

/// How hard a plate is bent that is simply supported at both ends and at its foot: Levy's series,
/// `Σ Y(y) sin(mπx/L)` for odd `m`.
///
/// - `length_over_height`: from 0.1 to 20
/// - `poisson`: Poisson's ratio, from 0 to 0.5
///
/// Assumes a thin plate and a deflection that is small beside its thickness.
///
/// # Errors
/// [`Error::OutOfRange`] for a value outside those ranges.
///
/// # Source
/// S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, from memory. Roark's Formulas, table
/// 11.4, gives 0.2874 for four held edges, an even load and a square, with a Poisson's ratio of 0.3:
/// ```
/// use reckoner_calc::formulas::glass::{Load, Rim, bent};
/// use uom::si::f64::Ratio;
/// use reckoner_calc::quantity::Dimension;
/// let square = bent(Ratio::from_si(1.0), Ratio::from_si(0.3), Rim::Braced, Load::Even)?;
/// assert!((square.bending - 0.2874).abs() < 0.004 * 0.2874);
/// # Ok::<(), reckoner_calc::Error>(())
/// ```
pub fn bent(length_over_height: Ratio, poisson: Ratio, rim: Rim, load: Load) -> Result<Bent, Error> {
    let ratio = Ratio::from_si;
    let length =
        within("the length of a pane over its height", length_over_height, ratio(0.1)..=ratio(20.0))?.si();
    let poisson = within("Poisson's ratio", poisson, ratio(0.0)..=ratio(0.5))?.si();
    let mut moments = [Moments::default(); HEIGHTS + 1];
    for term in 0..TERMS {
        let wave = Wave::new(2 * term + 1, length, poisson, rim, load);
        // In the middle every other odd wave stands on its head.
        let sign = if wave.number % 4 == 1 { 1.0 } else { -1.0 };
        let fading = wave.fading();
        for (step, sum) in moments.iter_mut().enumerate() {
            let y = step as f64 / HEIGHTS as f64;
            let [w, slope, curve, _] = wave.along(y, fading[step], fading[HEIGHTS - step]);
            let squared = wave.alpha * wave.alpha * w;
            sum.along += sign * (squared - poisson * curve);
            sum.up += sign * (poisson * squared - curve);
            sum.twist += wave.alpha * slope;
        }
    }
    let highest = |of: &dyn Fn(&Moments) -> f64| moments.iter().map(|sum| of(sum).abs()).fold(0.0, f64::max);
    let bending = highest(&|sum| sum.along).max(highest(&|sum| sum.up));
    let twisting = (1.0 - poisson) * highest(&|sum| sum.twist);
    // The stress at the face of a plate is six times the moment over the thickness squared.
    Ok(Bent { bending: 6.0 * bending, twisting: 6.0 * twisting })
}

/// One wave of the series for a plate of unit height, unit stiffness and unit pressure at the foot:
/// `Y = P (c + d y) + A e^(−αy) + B αy e^(−αy) + C e^(−α(1−y)) + D α(1−y) e^(−α(1−y))`.
///
/// The exponentials never grow, so that the shortest waves are as exact as the longest.
struct Wave {
    number: u32,
    alpha: f64,
    /// `Y` without the exponentials is this at the foot and changes by that up to the rim.
    steady: (f64, f64),
    weights: [f64; 4],
}

impl Wave {
    fn new(number: u32, length: f64, poisson: f64, rim: Rim, load: Load) -> Self {
        let m = f64::from(number);
        let alpha = m * PI / length;
        let (fourth, part) = (alpha * alpha * alpha * alpha, 4.0 / (m * PI));
        let steady = match load {
            Load::Even => (part / fourth, 0.0),
            Load::Water => (part / fourth, -part / fourth),
        };
        let mut wave = Wave { number, alpha, steady, weights: [0.0; 4] };
        // The four edges' demands on the four weights: at the foot no deflection and no moment; at the rim
        // the same where it is held, or no moment and no force where it is free. All in multiples of alpha,
        // so that the rows are alike in size.
        let square = alpha * alpha;
        let demands = |derivatives: [f64; 4], at_rim: bool| {
            let [w, slope, curve, jerk] = derivatives;
            if at_rim && rim == Rim::Free {
                [curve / square - poisson * w, jerk / (square * alpha) - (2.0 - poisson) * slope / alpha]
            } else {
                [w, curve / square]
            }
        };
        let mut rows = [[0.0; 5]; 4];
        for (at, y, at_rim) in [(0, 0.0, false), (2, 1.0, true)] {
            let unit = |column: usize| {
                let mut weights = [0.0; 4];
                weights[column] = 1.0;
                demands(Wave { number, alpha, steady: (0.0, 0.0), weights }.at(y), at_rim)
            };
            let known = demands(wave.at(y), at_rim).map(|value| -value);
            let columns = [unit(0), unit(1), unit(2), unit(3), known];
            (rows[at], rows[at + 1]) = (columns.map(|column| column[0]), columns.map(|column| column[1]));
        }
        wave.weights = solved(rows);
        wave
    }

    /// `e^(−αy)` at each height: each is as much smaller than the one below it.
    fn fading(&self) -> [f64; HEIGHTS + 1] {
        let step = libm::exp(-self.alpha / HEIGHTS as f64);
        let mut fading = [1.0; HEIGHTS + 1];
        for at in 1..fading.len() {
            fading[at] = fading[at - 1] * step;
        }
        fading
    }

    /// `Y` and its first three derivatives.
    fn at(&self, y: f64) -> [f64; 4] {
        self.along(y, libm::exp(-self.alpha * y), libm::exp(-self.alpha * (1.0 - y)))
    }

    /// The same where `e^(−αy)` and `e^(−α(1−y))` are known.
    fn along(&self, y: f64, down: f64, up: f64) -> [f64; 4] {
        let (a, [foot, foot_slope, rim, rim_slope]) = (self.alpha, self.weights);
        let (base, change) = self.steady;
        let mut sum = [base + change * y, change, 0.0, 0.0];
        let mut power = 1.0;
        for (order, total) in sum.iter_mut().enumerate() {
            let n = order as f64;
            // The nth derivative of z e^(−z) is (−1)ⁿ (z − n) e^(−z).
            let sign = if order % 2 == 0 { 1.0 } else { -1.0 };
            *total += power * sign * down * (foot + foot_slope * (a * y - n));
            *total += power * up * (rim + rim_slope * (a * (1.0 - y) - n));
            power *= a;
        }
        sum
    }
}

/// The solution of four equations by elimination, the largest pivot first.
fn solved(mut rows: [[f64; 5]; 4]) -> [f64; 4] {
    for at in 0..4 {
        let pivot =
            (at..4).fold(at, |best, row| if rows[row][at].abs() > rows[best][at].abs() { row } else { best });
        rows.swap(at, pivot);
        let above = rows[at];
        for row in rows.iter_mut().skip(at + 1) {
            let factor = row[at] / above[at];
            for (value, over) in row.iter_mut().zip(above) {
                *value -= factor * over;
            }
        }
    }
    let mut found = [0.0; 4];
    for at in (0..4).rev() {
        let known: f64 = (at + 1..4).map(|column| rows[at][column] * found[column]).sum();
        found[at] = (rows[at][4] - known) / rows[at][at];
    }
    found
}

/// A pane that bears water to its rim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pane {
    /// From end to end, a tenth of its height to twenty times of it.
    pub length: Length,
    /// From foot to rim, from 5 cm to 10 m.
    pub height: Length,
    /// How its rim is held.
    pub rim: Rim,
    /// Density of the water, from 900 to 1100 kg/m³.
    pub water: MassDensity,
}

impl Pane {
    /// Highest stress in it: `σ = β ρ g H³/t²`, with `β` of [`bent`].
    ///
    /// - `thickness`: from 1 mm to 10 cm
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a value outside its range.
    pub fn stress(&self, thickness: Length, rules: &GlassRules) -> Result<Pressure, Error> {
        let thickness =
            within("the thickness of the pane", thickness, Length::from_si(1e-3)..=Length::from_si(0.1))?;
        Ok(Pressure::from_si(self.push(rules)? / (thickness.si() * thickness.si())))
    }

    /// The thickness at which its highest stress is just so much: the inverse of [`Pane::stress`].
    ///
    /// - `stress`: from 10 kPa to 200 MPa
    ///
    /// # Errors
    /// As [`Pane::stress`].
    pub fn thickness(&self, stress: Pressure, rules: &GlassRules) -> Result<Length, Error> {
        let stress =
            within("the stress in the pane", stress, Pressure::from_si(1e4)..=Pressure::from_si(2e8))?;
        Ok(Length::from_si((self.push(rules)? / stress.si()).sqrt()))
    }

    /// Stress times thickness squared.
    fn push(&self, rules: &GlassRules) -> Result<f64, Error> {
        let height =
            within("the height of the pane", self.height, Length::from_si(0.05)..=Length::from_si(10.0))?;
        let water = within(
            "the density of the water",
            self.water,
            MassDensity::from_si(900.0)..=MassDensity::from_si(1100.0),
        )?;
        let bent = bent(self.length / height, *rules.poisson, self.rim, Load::Water)?;
        Ok(bent.worst() * water.si() * GRAVITY * height.si() * height.si() * height.si())
    }
}

/// How the panes of a tank compare with those of such tanks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// As thick as usual.
    Usual,
    /// Neither clearly as thick nor clearly thinner, as far as the sum and a tape can tell.
    AtTheLimit,
    /// Thinner.
    Thin,
    /// Far thicker.
    Thick,
    /// Acrylic, which goes by its maker.
    Acrylic,
    /// A curved pane, which the formula does not reach.
    Curved,
}

impl Verdict {
    /// In words, as the end of a sentence on the panes.
    pub(crate) fn words(self, words: &words::Glass) -> &str {
        match self {
            Verdict::Usual => words.usual(),
            Verdict::AtTheLimit => words.at_the_limit(),
            Verdict::Thin => words.thin(),
            Verdict::Thick => words.thick(),
            Verdict::Acrylic => words.of_acrylic(),
            Verdict::Curved => words.curved(),
        }
    }
}

/// From the thinnest to the thickest pane that such a tank is usually built with.
///
/// # Errors
/// As [`Pane::thickness`].
pub fn usual(pane: &Pane, rules: &GlassRules) -> Result<Band<Thickness>, Error> {
    let thickest = pane.thickness(*rules.least_stress, rules)?.max(rules.small_panes.high.0);
    Ok(Band { low: thinnest(pane, rules)?, high: Thickness(thickest) })
}

/// The thinnest pane that such a tank is usually built with: the low end of [`usual`].
///
/// # Errors
/// As [`Pane::thickness`].
pub fn thinnest(pane: &Pane, rules: &GlassRules) -> Result<Thickness, Error> {
    Ok(Thickness(pane.thickness(*rules.most_stress, rules)?.max(rules.small_panes.low.0)))
}

/// How panes of a thickness compare with the usual ones. What the sum can be off by lies between usual and
/// thin, so that no last digit of a tape makes a sound tank a danger.
///
/// # Errors
/// As [`Pane::thickness`].
pub fn compare(pane: &Pane, thickness: Length, rules: &GlassRules) -> Result<Verdict, Error> {
    let usual = usual(pane, rules)?;
    let (by_stress, off) = (pane.thickness(*rules.most_stress, rules)?, rules.sum_error.0);
    // A billionth, so that the last bit never decides.
    let reaches = |least: Length| thickness > least * (1.0 - 1e-9);
    Ok(if !reaches(usual.low.0 * (1.0 - off)) {
        Verdict::Thin
    } else if !reaches(by_stress * (1.0 + off)) || !reaches(usual.low.0) {
        Verdict::AtTheLimit
    } else if thickness > usual.high.0 * (1.0 + 1e-9) {
        Verdict::Thick
    } else {
        Verdict::Usual
    })
}

/// The highest stress in a pane whose rim is free, with the water to its rim: [`Pane::stress`].
///
/// # Errors
/// Those of [`Pane::stress`].
#[formula("factor of Levy's series × density × gravity × height³ ÷ pane²")]
pub fn stress(
    length: Length,
    height: Length,
    pane: Length,
    water: MassDensity,
    rules: &GlassRules,
) -> Result<Pressure, Error> {
    Pane { length, height, rim: Rim::Free, water }.stress(pane, rules)
}

/// The same for a pane whose rim is held straight.
///
/// # Errors
/// Those of [`Pane::stress`].
#[formula("factor of Levy's series × density × gravity × height³ ÷ pane²")]
pub fn stress_braced(
    length: Length,
    height: Length,
    pane: Length,
    water: MassDensity,
    rules: &GlassRules,
) -> Result<Pressure, Error> {
    Pane { length, height, rim: Rim::Braced, water }.stress(pane, rules)
}

#[cfg(test)]
mod tests;
