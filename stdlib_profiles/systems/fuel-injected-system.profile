profile "fuel-injected-system" version 1
about "Two tanks of 40 US gal, an engine-driven and an electric pump; no number here has a source"

# Every figure is a rule of the trade. Replace the amounts by those of the tanks fitted: a gauge must read zero
# when only fuel remains that cannot be used (14 CFR 23.1337(b)(1), until 2017). The pressure is that of the
# supply, ahead of the metering; limits of metered pressure and of flow belong to the engine.

source TRADE common practice "starting value, to be replaced by the figures of the parts fitted"
source SENSOR common practice "tanks of 40 US gal and a usual pressure sensor; set it to those fitted"

quantity fuel_left "Fuel, left tank" from 0 to 40 gal, step 0.5 gal, accuracy 0.5 gal, source SENSOR
quantity fuel_right "Fuel, right tank" from 0 to 40 gal, step 0.5 gal, accuracy 0.5 gal, source SENSOR
quantity fuel_supply_pressure "Fuel supply pressure" from 0 to 60 psi, step 1 psi, accuracy 1 psi,
  source SENSOR
switch fuel_selector "Fuel selector" off, left, right
switch fuel_pump "Electric fuel pump" off, on

fuel_left_feeding: when fuel_selector is left limit fuel_left at least 2 gal, needs warning, source TRADE
fuel_right_feeding: when fuel_selector is right limit fuel_right at least 2 gal, needs warning, source TRADE
fuel_left_low: precaution fuel_left below 8 gal, source TRADE
fuel_right_low: precaution fuel_right below 8 gal, source TRADE
fuel_left_normal: normal fuel_left from 8 to 40 gal, source TRADE
fuel_right_normal: normal fuel_right from 8 to 40 gal, source TRADE

# Supply. With the selector off and the pump off nothing says that there has to be pressure.

fuel_supply_low_limit: when fuel_selector is not off and fuel_pump is on
  limit fuel_supply_pressure at least 14 psi, needs warning within 5 s,
  source TRADE "the pump needs a moment to build it up"
fuel_supply_low: when fuel_selector is not off and fuel_pump is on
  precaution fuel_supply_pressure from 14 to 18 psi, source TRADE
fuel_supply_normal: when fuel_selector is not off
  normal fuel_supply_pressure from 18 to 40 psi, source TRADE
fuel_supply_high: precaution fuel_supply_pressure from 40 to 45 psi, source TRADE
fuel_supply_high_limit: limit fuel_supply_pressure at most 45 psi, needs warning, source TRADE
