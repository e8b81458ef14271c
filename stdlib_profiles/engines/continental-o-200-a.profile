profile "continental-o-200-a" version 1
about "Four cylinders, air cooled, carburettor"

# The figures of the handbook are limits of one aircraft type, not of the engine alone. They are given without
# alert levels; which level each limit needs is our choice (common practice, no source).

source POH "Cessna 150M Pilot's Operating Handbook, 1976 model, Section 2"
source AC second hand "an online reprint of the FAA's advisory circular text on starting, section 2-17"
source RECALL from memory "to be confirmed in the type certificate data sheet E-252 before flight"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity cht[4] "Cylinder head temperature" from -40 to 600 F, step 1 F, accuracy 5 F, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Engine speed
#
# The green arc of the handbook has a top that steps with altitude. Its steps are not known here, so it is
# left at the limit at every altitude.

rpm_limit: limit rpm at most 2750 rpm, needs warning, source POH "100 hp, continuous"
rpm_normal: normal rpm from 2000 to 2750 rpm, source RECALL

# Cylinder heads: nothing but the limit is known. Left out: 300 F as the least in long descents, which is
# published for the O-200-D.

cht_limit: limit cht at most 525 F, needs warning, source RECALL

# Oil temperature
#
# Two limits are given. The handbook has 240 F; older data and gauges have 225 F (from memory). Both are kept
# and the tighter one is in force, so the normal range ends there and not at the 240 F of its arc.

oil_temp_limit: limit oil_temp at most 240 F, needs warning, source POH
oil_temp_limit_older: limit oil_temp at most 225 F, needs warning, source RECALL "older data and gauges"
oil_temp_normal: normal oil_temp from 100 to 225 F,
  source RECALL "the arc begins at 100 F; it ends at the tighter limit"
oil_temp_cold: precaution oil_temp below 100 F, source TRADE "below the normal range"

# Oil pressure
#
# The gauge is red below 10 psi at once. The warning may wait as long as pressure may take to come up after a
# start, 30 s; once the engine has run that long it may wait for 5 s, to tell a loss from a dip. The 5 s are
# common practice.

oil_pressure_max: limit oil_pressure at most 100 psi, needs warning, source POH
oil_pressure_min: when running limit oil_pressure at least 10 psi, source POH
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s, source POH, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source AC "no pressure 30 s after the start: stop the engine"
oil_pressure_normal: when running normal oil_pressure from 30 to 60 psi, source RECALL
oil_pressure_low: when running precaution oil_pressure from 10 to 30 psi,
  source TRADE "between the limit and normal; a sound engine may idle here"
oil_pressure_high: when running precaution oil_pressure from 60 to 100 psi,
  source TRADE "between normal and the limit; usual while the oil is cold"
