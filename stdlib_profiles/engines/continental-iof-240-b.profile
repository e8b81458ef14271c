profile "continental-iof-240-b" version 2
about "Four cylinders, air cooled, fuel injected"

# The maker's table gives figures, not alert levels. Which level each limit needs is our choice
# (common practice, no source): warning where the engine can fail soon, caution otherwise.

source MM
  "Teledyne Continental IOF-240 Series Maintenance Manual, Table 2-1, page 2-22, Change 2, 1 December 2007"
source AC second hand "an online reprint of the FAA's advisory circular text on starting, section 2-17"
source RECALL from memory "to be confirmed in the type certificate data sheet before flight"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed  # injected, so a pump feeds it

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity cht[4] "Cylinder head temperature" from -40 to 600 F, step 1 F, accuracy 5 F, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"
condition oil_warm means oil_temp from 100 to 240 F,
  source MM "the window in which the normal oil pressure is given"

# Engine speed

rpm_limit: limit rpm at most 2800 rpm, needs warning,
  source RECALL "speed at rated power, 125 hp"

# 75 F is the published minimum for takeoff (MM). To hold the speed down until then is common practice;
# the cap of 1200 rpm is the top of the ground idle range in the FAA's pamphlet P-8740-13 (1000 to 1200
# rpm), which is given there against fouled plugs and not for cold oil. Oil warms and cools slowly, so the
# guard may take 10 s to be sure.
warm_up: when oil_temp below 75 F limit rpm at most 1200 rpm, needs caution within 10 s,
  source TRADE "75 F: minimum for takeoff in MM; 1200 rpm: top of ground idle in FAA P-8740-13; 10 s"

# Cylinder heads

cht_limit: limit cht at most 460 F, needs warning,
  source MM "measured with a bayonet probe"
cht_cruise: normal cht from 360 to 420 F,
  source MM "normal in cruise"
cht_takeoff: precaution cht below 240 F,
  source MM "minimum for takeoff, shown at all times because nothing here tells a takeoff from a descent"
cht_high: precaution cht from 420 to 460 F,
  source TRADE "between the top of normal cruise and the limit, both in MM"

# Oil temperature

oil_temp_limit: limit oil_temp at most 240 F, needs warning, source MM
oil_temp_cruise: normal oil_temp from 170 to 220 F,
  source MM "recommended in cruise"
oil_temp_takeoff: precaution oil_temp below 75 F,
  source MM "minimum for takeoff, shown at all times"
oil_temp_high: precaution oil_temp from 220 to 240 F,
  source TRADE "between the recommended range and the limit, both in MM"

# Oil pressure
#
# The table gives three windows: normal with warm oil, a maximum with cold oil, and a minimum at idle with
# oil that is not hot. Between and beside these windows it is silent; what we add there is on the safe
# side and marked TRADE.
#
# The gauge is red below 10 psi at once. The warning may wait as long as pressure may take to come up after a
# start, 30 s; once the engine has run that long it may wait for 5 s, to tell a loss from a dip. The 5 s are
# common practice.

oil_pressure_cold_limit: limit oil_pressure at most 100 psi, needs warning,
  source MM "maximum with cold oil; held here at every oil temperature"
oil_pressure_idle_limit: when rpm at least 700 rpm and oil_temp at most 200 F
  limit oil_pressure at least 10 psi,
  source MM "given for idle at 700 rpm; a faster engine makes more pressure, so it holds from there up"
oil_pressure_running_limit: when running limit oil_pressure at least 10 psi,
  source TRADE "the idle minimum of MM, carried over to hotter oil and slower idle"
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s,
  source TRADE "the idle minimum of MM, carried over as above; 30 s as in oil_pressure_start; 5 s"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source AC "no pressure 30 s after the start: stop the engine", source TRADE "10 psi as above"
oil_pressure_normal: when running and oil_warm normal oil_pressure from 30 to 60 psi, source MM
oil_pressure_low: when running and oil_warm precaution oil_pressure from 10 to 30 psi,
  source TRADE "between the idle minimum and normal, both in MM; a sound engine may idle here"
oil_pressure_high: when running and oil_warm precaution oil_pressure from 60 to 100 psi,
  source TRADE "between normal and the cold oil maximum, both in MM"

# Also in MM, not here: cylinder base temperature and exhaust back pressure are measured when an
# installation is tried out and have a profile of their own, continental-iof-240-b-installation. Sump
# capacity (6 US quarts) and oil consumption are not read by a gauge.
