profile "pratt-whitney-canada-pt6a-68" version 2
about "Turboprop, free turbine, in one trainer; shows alerts that wait"

# Every figure is second hand: check each against the flight manual. The levels of the oil pressure alerts are those of
# the cards, others are our choice (common practice, no source).
# A second deck of cards disagrees on the transients of torque and propeller. Both stand here, and the tighter is in force.

source CARDS second hand "flash cards on the limits of the T-6A"
source DECK second hand "another deck of flash cards on the limits of the T-6A"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine turbine

quantity torque "Torque" from 0 to 150 %, step 1 %, source SENSOR
quantity itt "Interstage turbine temperature" from 0 to 1300 C, step 1 C, accuracy 5 C, source SENSOR
quantity n1 "Gas generator speed" from 0 to 120 %, step 0.1 %, source SENSOR
quantity np "Propeller speed" from 0 to 120 %, step 0.1 %, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 250 psi, step 1 psi, accuracy 2 psi, source SENSOR
quantity oil_temp "Oil temperature" from -60 to 150 C, step 1 C, accuracy 2 C, source SENSOR

# No sensor tells aerobatics.
# Question: what sets this on this aircraft? While nothing does, the limits of ordinary flight hold.

switch aircraft "Aircraft" on_ground, flying
switch manoeuvres "Manoeuvres, set by the pilot" ordinary, aerobatics

condition running means n1 above 55 %, source TRADE "above the start, below idle at 60 %"
condition at_idle means n1 from 55 to 67 %, source CARDS "idle: 60 to 61 % on the ground, 67 % in flight",
  source TRADE "from where the engine counts as running"

# Power: a start may have 871 to 1000 C for 5 s.

torque_limit: limit torque at most 100 % except for 20 s, needs warning, source CARDS "transient 20 s"
torque_max: limit torque at most 131 %, needs warning, source CARDS "transient"
torque_limit_deck: limit torque at most 100 % except for 5 s, needs warning,
  source DECK "101 to 107 % for 5 s"
torque_max_deck: limit torque at most 107 %, needs warning, source DECK "101 to 107 % for 5 s"
torque_normal: normal torque from 0 to 100 %, source TRADE "up to the rating in CARDS"
itt_start: when not running limit itt at most 1000 C, needs warning, source CARDS "start, 5 s"
itt_start_time: when not running limit itt at most 870 C except for 5 s, needs warning,
  source DECK "871 to 1000 C: 5 s"
itt_limit: when running limit itt at most 820 C except for 20 s, needs warning, source CARDS "transient 20 s"
itt_max: when running limit itt at most 870 C, needs warning, source CARDS "transient"
itt_idle: when at_idle precaution itt above 750 C, source CARDS "idle"
itt_normal: when running and not at_idle normal itt at most 820 C, source TRADE "up to the rating in CARDS"

# Speeds: the propeller must not be kept at 62 to 80 % on the ground; it may pass through. How long it may be there
# before it is kept there is not said: 5 s is common practice.

n1_limit: limit n1 at most 104 %, needs warning, source CARDS
n1_ground: when running and aircraft is on_ground precaution n1 below 60 %, source CARDS "idle: 60 to 61 %"
n1_flight: when running and aircraft is flying precaution n1 below 67 %, source CARDS "idle in flight"
np_limit: limit np at most 100 % except for 20 s, needs warning, source CARDS "transient 20 s"
np_max: limit np at most 102 %, needs warning, source CARDS "transient"
np_max_deck: limit np at most 110 %, needs warning, source DECK "110 % for 20 s, in an emergency in flight"
np_avoid: when aircraft is on_ground avoid np from 62 to 80 % except for 5 s, needs caution,
  source CARDS "stabilised, on the ground", source TRADE "5 s"

# Oil pressure
#
# The minimum at idle is 90 psi; 15 to 40 psi are for aerobatics and spins alone. The alerts are the same in both: at
# idle 15 to 40 psi is amber at once and red after 5 s, 15 psi and less red at once. Above idle 40 psi and less is red at
# once. Above idle 40 to 90 psi is amber after 10 s: it is
# yellow at once here, and red with the caution after the 10 s.

oil_pressure_max: limit oil_pressure at most 200 psi, needs warning, source CARDS "start"
oil_pressure_transient: when running limit oil_pressure at most 130 psi, needs caution,
  source CARDS "transient"
oil_pressure_high: when running precaution oil_pressure from 120 to 130 psi,
  source CARDS "transient 40 to 130 psi"
oil_pressure_idle_ordinary: when at_idle and manoeuvres is not aerobatics limit oil_pressure at least 90 psi,
  needs caution, source CARDS "minimum at idle"
oil_pressure_idle_low: when at_idle precaution oil_pressure from 40 to 90 psi,
  source CARDS "transient 40 to 130 psi; minimum at idle 90 psi"
oil_pressure_idle: when at_idle limit oil_pressure above 40 psi except for 5 s, needs warning,
  source CARDS "15 to 40 psi: 5 s, in aerobatics and spins; red after 5 s"
oil_pressure_idle_amber: when at_idle precaution oil_pressure from 15 to 40 psi, source CARDS
oil_pressure_idle_min: when at_idle limit oil_pressure above 15 psi, needs warning, source CARDS
oil_pressure_min: when running and not at_idle limit oil_pressure above 40 psi, needs warning, source CARDS
oil_pressure_low: when running and not at_idle precaution oil_pressure from 40 to 90 psi, source CARDS
oil_pressure_amber: when running and not at_idle limit oil_pressure at least 90 psi except for 10 s,
  needs caution,
  source CARDS "amber after 10 s"
oil_pressure_normal: when running and not at_idle normal oil_pressure from 90 to 120 psi, source CARDS

# Oil temperature: up to 110 C for 10 min. The cards can be read so that this is for the ground alone, and so it is held:
# the tighter reading.

oil_temp_limit: limit oil_temp at most 105 C except for 10 min, needs caution,
  source CARDS "106 to 110 C for 10 min"
oil_temp_flight: when aircraft is flying limit oil_temp at most 105 C, needs caution, source CARDS "in flight"
oil_temp_flight_min: when aircraft is flying limit oil_temp at least 10 C, needs caution,
  source CARDS "in flight"
oil_temp_max: limit oil_temp at most 110 C, needs warning, source CARDS
oil_temp_ground: when aircraft is on_ground and oil_temp above 105 C limit torque at most 20 %, needs caution,
  source CARDS "on the ground, 106 to 110 C"
oil_temp_high: precaution oil_temp from 105 to 110 C, source TRADE "between the two limits"
oil_temp_normal: normal oil_temp from 10 to 105 C, source CARDS "in flight"
