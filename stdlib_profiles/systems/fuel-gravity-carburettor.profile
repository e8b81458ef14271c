profile "fuel-gravity-carburettor" version 1
about "Two high wing tanks of 20 US gal that feed a carburettor by gravity; no number here has a source"

# Every figure is a rule of the trade. Replace the amounts by those of the tanks fitted: a gauge must read zero
# when only fuel remains that cannot be used (14 CFR 23.1337(b)(1), until 2017).
# Nothing pumps, so there is no pressure to watch.

source TRADE common practice "starting value, to be replaced by the figures of the tanks fitted"
source SENSOR common practice "tanks of 20 US gal; set it to those fitted"

quantity fuel_left "Fuel, left tank" from 0 to 20 gal, step 0.5 gal, accuracy 0.5 gal, source SENSOR
quantity fuel_right "Fuel, right tank" from 0 to 20 gal, step 0.5 gal, accuracy 0.5 gal, source SENSOR
switch fuel_selector "Fuel selector" off, left, both, right
let fuel_total = fuel_left + fuel_right

# One tank alone may run dry while both feed; then the sum decides.

fuel_left_feeding: when fuel_selector is left limit fuel_left at least 2 gal, needs warning, source TRADE
fuel_right_feeding: when fuel_selector is right limit fuel_right at least 2 gal, needs warning, source TRADE
fuel_both_feeding: when fuel_selector is both limit fuel_total at least 4 gal, needs warning, source TRADE
fuel_left_low: precaution fuel_left below 4 gal, source TRADE
fuel_right_low: precaution fuel_right below 4 gal, source TRADE
fuel_left_normal: normal fuel_left from 4 to 20 gal, source TRADE
fuel_right_normal: normal fuel_right from 4 to 20 gal, source TRADE
fuel_total_low: precaution fuel_total below 8 gal, source TRADE
fuel_total_normal: normal fuel_total from 8 to 40 gal, source TRADE
