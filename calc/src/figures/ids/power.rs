//! What moving water takes.

use uom::si::f64::{Energy, Power};

use crate::quantity::{Money, Share};
use crate::rules::Band;

super::ids! {
    /// Price of a kilowatt hour.
    PRICE: Money = "power.price";
    /// What one watt uses in a year.
    WATT_YEAR: Energy = "power.watt_year";
    /// What one watt costs in a year.
    WATT_COST: Money = "power.watt_cost";
    /// Power of the return pump.
    RETURN: Power = "power.return";
    /// What the return pump uses in a day.
    RETURN_DAY: Energy = "power.return_day";
    /// What the return pump uses in a year.
    RETURN_YEAR: Energy = "power.return_year";
    /// What the return pump costs in a year, in energy.
    RETURN_COST: Money = "power.return_cost";
    /// Share of a lead-acid battery's printed energy that reaches a pump.
    USABLE_LEAD_ACID: Band<Share> = "power.usable_lead_acid";
    /// Share of a lithium iron phosphate battery's printed energy that reaches a pump.
    USABLE_LITHIUM_IRON_PHOSPHATE: Band<Share> = "power.usable_lithium_iron_phosphate";
    /// How the battery's power reaches a pump.
    BATTERY_OUTPUT: String = "power.battery_output";
    /// Energy printed on the battery.
    BATTERY: Energy = "power.battery";
    /// Energy that the battery gives to pumps.
    BATTERY_USABLE: Band<Energy> = "power.battery_usable";
    /// What the inverter takes for itself.
    INVERTER: Band<Power> = "power.inverter";
}
