profile "fuel-two-tanks" version 1
about "Two wing tanks of 30 US gal, one feeding at a time; no number here has a source"

# Every figure is a rule of the trade. Replace the amounts by those of the tanks fitted: a gauge must read zero
# when only fuel remains that cannot be used (14 CFR 23.1337(b)(1), until 2017).

source TRADE common practice "starting value, to be replaced by the figures of the tanks fitted"
source SENSOR common practice "tanks of 30 US gal; set it to those fitted"

quantity fuel_left "Fuel, left tank" from 0 to 30 gal, step 0.5 gal, accuracy 0.5 gal, source SENSOR
quantity fuel_right "Fuel, right tank" from 0 to 30 gal, step 0.5 gal, accuracy 0.5 gal, source SENSOR
switch fuel_selector "Fuel selector" off, left, right
let fuel_difference = fuel_left - fuel_right

# The tank that feeds is looked at more sharply than the other one.

fuel_left_feeding: when fuel_selector is left limit fuel_left at least 2 gal, needs warning, source TRADE
fuel_right_feeding: when fuel_selector is right limit fuel_right at least 2 gal, needs warning, source TRADE
fuel_left_low: precaution fuel_left below 5 gal, source TRADE
fuel_right_low: precaution fuel_right below 5 gal, source TRADE
fuel_left_normal: normal fuel_left from 5 to 30 gal, source TRADE
fuel_right_normal: normal fuel_right from 5 to 30 gal, source TRADE

# Balance

fuel_left_heavy: limit fuel_difference at most 12 gal, needs advisory,
  source TRADE "half an hour or so of feeding"
fuel_right_heavy: limit fuel_difference at least -12 gal, needs advisory,
  source TRADE "half an hour or so of feeding"
