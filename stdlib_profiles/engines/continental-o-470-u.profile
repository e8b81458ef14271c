profile "continental-o-470-u" version 1
about "Six cylinders, air cooled, carburettor, constant speed propeller"

# Which alert level each limit needs is our choice (common practice, no source).

source POH "Cessna 182Q Pilot's Operating Handbook, 1980 model, Section 7"
source OM "Cessna 182 Owner's Manual, 1973 model, carburettor air temperature gauge"
source AC second hand "an online reprint of the FAA's advisory circular text on starting, section 2-17"
source RECALL from memory "to be confirmed in the type certificate data sheet before flight"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity manifold_pressure "Manifold pressure" from 5 to 35 inHg, step 0.1 inHg, source SENSOR
quantity carburettor_temp "Carburettor air temperature" from -40 to 60 C, step 1 C, accuracy 1 C,
  source SENSOR
quantity cht[6] "Cylinder head temperature" from -40 to 600 F, step 1 F, accuracy 5 F, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Power: the manifold pressure has a green arc and no red line.

rpm_limit: limit rpm at most 2400 rpm, needs warning, source POH "230 hp, continuous"
rpm_normal: normal rpm from 2100 to 2400 rpm, source POH
manifold_pressure_normal: normal manifold_pressure from 15 to 23 inHg, source POH

# Carburettor air: the yellow lies in the middle of the scale, where ice forms. The arc is from the manual of an
# earlier model year of the type. It holds here while the engine runs (common practice).

carburettor_ice: when running precaution carburettor_temp from -15 to 5 C, source OM

# Cylinder heads and oil: all from memory. Normal ranges of the temperatures are not known and left out.

cht_limit: limit cht at most 460 F, needs warning, source RECALL
oil_temp_limit: limit oil_temp at most 240 F, needs warning, source RECALL

# Oil pressure: the gauge is red below the minimum at once, the warning may wait for 30 s after a start and for
# 5 s later (the 5 s are common practice).

oil_pressure_max: limit oil_pressure at most 100 psi, needs warning, source RECALL
oil_pressure_min: when running limit oil_pressure at least 10 psi, source RECALL "minimum at idle"
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s, source RECALL, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source AC "no pressure 30 s after the start: stop the engine"
oil_pressure_normal: when running normal oil_pressure from 30 to 60 psi, source RECALL
oil_pressure_low: when running precaution oil_pressure from 10 to 30 psi,
  source TRADE "between the limit and normal; a sound engine may idle here"
oil_pressure_high: when running precaution oil_pressure from 60 to 100 psi,
  source TRADE "between normal and the limit; usual while the oil is cold"
