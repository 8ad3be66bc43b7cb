//! The balance of heat against another library and another search for the root: `tests/independent/heat*.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::evaporation::Air;
use reckoner_calc::formulas::heat::{Outside, Surface, loss, passes, room_for, settles_at};
use reckoner_calc::quantity::{Dimension, Share, parse};
use reckoner_tests::{assert_within, independent};
use uom::si::f64::{Area, Length, Power, ThermodynamicTemperature};
use uom::si::heat_transfer::watt_per_square_meter_kelvin;

#[test]
fn panes() {
    for row in independent("heat_panes").rows() {
        let number = |column| row.number(column);
        let pane = Length::from_si(number("pane_m"));
        let ours =
            passes(pane, number("conductivity"), 1.0 / number("inside"), 1.0 / number("outside")).unwrap();
        let ours = ours.get::<watt_per_square_meter_kelvin>();
        assert_within(row.text("what"), ours, number("passes"), 1e-6, "the printed digits");
    }
}

#[test]
fn balances() {
    let rules = Rules::compiled_in().unwrap();
    let film = rules.heat.air_film[0];
    for row in independent("heat").rows() {
        let degrees =
            |column: &str| parse::<ThermodynamicTemperature>(&format!("{} °C", row.text(column))).unwrap();
        let pane = Length::from_si(row.number("pane_mm") * 1e-3);
        let surface = Surface {
            area: Area::from_si(row.number("surface_m2")),
            stirred: row.text("form") == "stirred",
            open: Share(1.0),
            wind: 1.0,
        };
        let tank = Outside {
            panes: Area::from_si(row.number("panes_m2")),
            passes: passes(pane, row.number("conductivity"), 0.0, film).unwrap(),
            surface,
        };
        let air = Air { room: degrees("room"), humidity: Share(row.number("humidity")) };
        let power = Power::from_si(row.number("power_W"));
        let lost = loss(&tank, degrees("water"), air, &rules).unwrap().si();
        let theirs = row.number("loss_W");
        assert_within("W", lost, theirs, 2e-3 * theirs.abs() + 0.02, "other vapour pressures");
        let settles = settles_at(&tank, power, air, &rules).unwrap().unwrap();
        assert_within("°C", settles.si() - 273.15, row.number("settles_C"), 0.02, "other vapour pressures");
        let room = room_for(&tank, power, degrees_of(28.0), air.humidity, &rules).unwrap().unwrap();
        assert_within("°C", room.si() - 273.15, row.number("room_for_28_C"), 0.02, "other vapour pressures");
    }
}

fn degrees_of(celsius: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::from_si(celsius + 273.15)
}
