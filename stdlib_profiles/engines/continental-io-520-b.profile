profile "continental-io-520-b" version 1
about "Six cylinders, air cooled, fuel injected, as in one aircraft"

# Every figure is second hand: check each against the handbook. Which alert level a limit needs is our choice (common
# practice, no source).

source COPY second hand "a checklist file that cites the Pilot's Operating Handbook of the Beechcraft V35B"
source SISTER second hand "a checklist file that cites the owner's manual of the Cessna A185F, 1975, IO-520-D"
source AC second hand "an online reprint of the FAA's advisory circular text on starting, section 2-17"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed  # injected, so a pump feeds it

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity manifold_pressure "Manifold pressure" from 5 to 35 inHg, step 0.1 inHg, source SENSOR
quantity cht[6] "Cylinder head temperature" from -40 to 600 F, step 1 F, accuracy 5 F, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Power and temperatures: only the limits are given, no normal ranges.

rpm_limit: limit rpm at most 2700 rpm, needs warning, source COPY
manifold_pressure_limit: limit manifold_pressure at most 29.6 inHg, needs caution, source COPY "full throttle"
cht_limit: limit cht at most 460 F, needs warning, source COPY
oil_temp_limit: limit oil_temp at most 240 F, needs warning, source COPY

# Oil pressure
#
# The copy lists 30 psi as the minimum, which is also the bottom of its normal range; for the sister engine -D
# another copy gives 10 psi. The 30 psi are probably the bottom of the green arc put down as a limit. Both are
# kept and the tighter one is in force: a sound engine may idle in the red until somebody has looked it up, and
# then the wrong one of the two can go.
#
# The gauge is red at once. Below 30 psi a caution is due, below 10 psi a warning. Either may wait for 30 s after a
# start, and for 5 s later, which is common practice.

oil_pressure_max: limit oil_pressure at most 100 psi, needs warning, source COPY
oil_pressure_listed: when running limit oil_pressure at least 30 psi, source COPY
oil_pressure_min: when running limit oil_pressure at least 10 psi, source SISTER "at idle, of the -D"
oil_pressure_low: when running for at least 30 s limit oil_pressure at least 30 psi,
  needs caution within 5 s, source COPY, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s, source SISTER, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source AC "no pressure 30 s after the start: stop the engine"
oil_pressure_normal: when running normal oil_pressure from 30 to 60 psi, source COPY
oil_pressure_high: when running precaution oil_pressure from 60 to 100 psi,
  source TRADE "between normal and the limit; usual while the oil is cold"
