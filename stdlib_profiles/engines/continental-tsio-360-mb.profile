profile "continental-tsio-360-mb" version 1
about "Six cylinders, air cooled, fuel injected, turbocharged; two sources that disagree"

# Every figure is second hand: check each against the type certificate data sheet E9CE. Which alert level a limit
# needs is our choice (common practice, no source).

source ARTICLE second hand "a trade article on the TSIO-360"
source QUOTE second hand "a data file that says it quotes the type certificate data sheet E9CE"
source AC second hand "an online reprint of the FAA's advisory circular text on starting, section 2-17"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed, altitude  # injected, so a pump feeds it; turbocharged

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity manifold_pressure "Manifold pressure" from 5 to 45 inHg, step 0.1 inHg, source SENSOR
quantity tit "Turbine inlet temperature" from 0 to 2000 F, step 1 F, accuracy 10 F, source SENSOR
quantity cht[6] "Cylinder head temperature" from -40 to 600 F, step 1 F, accuracy 5 F, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Power: the two sources give two limits. Both are kept and the tighter one, 36 inHg, is in force. No source here gives
# the limit of the engine speed; the speed is read to tell a running engine.

manifold_pressure_limit: limit manifold_pressure at most 36 inHg, needs warning, source ARTICLE
manifold_pressure_quoted: limit manifold_pressure at most 38.0 inHg, needs warning, source QUOTE

# Temperatures

tit_limit: limit tit at most 1650 F, needs warning, source QUOTE
cht_limit: limit cht at most 460 F, needs warning, source QUOTE
oil_temp_limit: limit oil_temp at most 240 F, needs warning, source QUOTE

# Oil pressure: the gauge is red below the minimum at once, the warning may wait for 30 s after a start and for
# 5 s later (the 5 s are common practice).

oil_pressure_max: limit oil_pressure at most 100 psi, needs warning, source QUOTE
oil_pressure_min: when running limit oil_pressure at least 10 psi, source QUOTE "minimum at idle"
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s, source QUOTE, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source AC "no pressure 30 s after the start: stop the engine"
oil_pressure_normal: when running normal oil_pressure from 30 to 60 psi, source QUOTE
oil_pressure_low: when running precaution oil_pressure from 10 to 30 psi,
  source TRADE "between the limit and normal; a sound engine may idle here"
oil_pressure_high: when running precaution oil_pressure from 60 to 100 psi,
  source TRADE "between normal and the limit; usual while the oil is cold"
