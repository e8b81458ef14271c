profile "technify-tae-125-02-99" version 2
about "Turbocharged diesel, liquid cooled, with reduction gearbox; two copies that disagree"

# Every figure is second hand: check each against the supplement of the handbook and the data sheet E.055. Which alert
# level a limit needs is our choice (common practice, no source).

source COURSE second hand
  "a flying school's course text that cites the handbook supplement for the TAE 125 in the Cessna 172, Sections 2 and 7"
source QUIZ second hand "a file of questions on the Diamond DA40D"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, liquid cooled

quantity rpm "Propeller speed" from 0 to 3000 rpm, step 10 rpm, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 10 bar, step 0.1 bar, source SENSOR
quantity oil_temp "Oil temperature" from -50 to 170 C, step 1 C, accuracy 2 C, source SENSOR
quantity coolant_temp "Coolant temperature" from -50 to 150 C, step 1 C, accuracy 2 C, source SENSOR
quantity gearbox_temp "Gearbox temperature" from -50 to 150 C, step 1 C, accuracy 2 C, source SENSOR
quantity intake_temp "Intake air temperature" from -50 to 120 C, step 1 C, accuracy 2 C, source SENSOR
quantity fuel_temp "Fuel temperature at the engine" from -50 to 100 C, step 1 C, accuracy 2 C, source SENSOR
quantity tank_temp "Fuel temperature in the tank" from -50 to 100 C, step 1 C, accuracy 2 C, source SENSOR

switch fuel "Fuel in the tanks" unknown, diesel, jet
switch aircraft "Aircraft" on_ground, flying

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Propeller speed
#
# One copy gives 2300 rpm as the speed of rated power, both up to 2500 rpm as an overspeed of 20 s. 2300 rpm holds at
# once; the time stands beside it and makes nothing weaker.

rpm_limit: limit rpm at most 2300 rpm, needs warning, source COURSE "rated, takeoff and continuous"
rpm_overspeed: limit rpm at most 2300 rpm except for 20 s, needs warning,
  source COURSE "overspeed, up to 2500 rpm", source QUIZ
rpm_max: limit rpm at most 2500 rpm, needs warning, source COURSE, source QUIZ
warm_up: when aircraft is on_ground and (oil_temp at most 50 C or coolant_temp at most 60 C)
  limit rpm at most 1400 rpm, needs caution within 10 s,
  source COURSE "1400 rpm until the oil is above 50 C and the coolant above 60 C", source TRADE "10 s"

# Oil pressure
#
# Idle asks for 1.2 bar, takeoff power and flight for 2.3 bar. What counts as takeoff power on the ground is not said;
# any speed above that of the warm-up is taken for it (common practice).
# One copy gives 6.0 bar as the maximum, and up to 6.5 bar for less than 20 s at a cold start; the other gives 6.5 bar
# flat. All are kept: red from 6.0 bar at once, the warning not before the start is 20 s old, nor later above 6.5 bar.

oil_pressure_max: limit oil_pressure at most 6.0 bar, source COURSE
oil_pressure_running_max: when running for at least 20 s limit oil_pressure at most 6.0 bar, needs warning,
  source COURSE "after a cold start, 20 s"
oil_pressure_start_max: limit oil_pressure at most 6.5 bar, needs warning, source COURSE "cold start",
  source QUIZ
oil_pressure_min: when running limit oil_pressure at least 1.2 bar, source COURSE "at idle", source QUIZ
oil_pressure_start: when running limit oil_pressure at least 1.2 bar, needs warning within 3 s,
  source COURSE "above red within 3 s of the start"
oil_pressure_flight: when running and (aircraft is flying or rpm above 1400 rpm)
  limit oil_pressure at least 2.3 bar, needs warning, source COURSE "takeoff power and flight",
  source TRADE "any speed above that of the warm-up"
oil_pressure_low: when running precaution oil_pressure from 1.2 to 2.3 bar,
  source TRADE "between the two minima; a sound engine may idle here"
oil_pressure_normal: when running normal oil_pressure from 2.3 to 6.0 bar,
  source TRADE "between the minimum in flight and the maximum, both in COURSE"

# Temperatures: the lower limits are for starting the engine, those for takeoff are shown at all times. Left out: green
# arcs, which the two copies give differently and only in part (coolant up to 100 or 96 C, oil up to 130 or 125 C).

oil_temp_min: limit oil_temp at least -32 C, needs caution, source COURSE "minimum for starting"
oil_temp_cold: precaution oil_temp from -32 to 50 C, source COURSE "50 C: minimum for takeoff"
oil_temp_max: limit oil_temp at most 140 C, needs warning, source COURSE
coolant_min: limit coolant_temp at least -32 C, needs caution, source COURSE "minimum for starting"
coolant_cold: precaution coolant_temp from -32 to 60 C, source COURSE "60 C: minimum for takeoff"
coolant_max: limit coolant_temp at most 105 C, needs warning, source COURSE
gearbox_min: limit gearbox_temp at least -30 C, needs caution, source COURSE "minimum for starting"
gearbox_max: limit gearbox_temp at most 120 C, needs warning, source COURSE
intake_max: limit intake_temp at most 75 C, needs caution, source COURSE "of the 99 kW engine"

# Fuel
#
# In the tank the limits go by what is in it; with a mixture or an unknown fuel those of diesel hold. A drawing in the
# course text gives 54 or 55 C as the maximum in the tank; 54 C is kept, weak as it is.

fuel_temp_max: limit fuel_temp at most 75 C, needs caution, source COURSE, source QUIZ
tank_temp_max: limit tank_temp at most 54 C, needs caution, source COURSE "a drawing; 54 or 55 C"
tank_temp_jet: limit tank_temp at least -35 C, needs warning, source COURSE "jet fuel, in flight"
tank_temp_jet_takeoff: when aircraft is on_ground limit tank_temp at least -30 C, needs caution,
  source COURSE "jet fuel, before takeoff"
tank_temp_diesel: when fuel is not jet limit tank_temp at least -5 C, needs warning,
  source COURSE "diesel, mixed or unknown, in flight"
tank_temp_diesel_takeoff: when fuel is not jet and aircraft is on_ground limit tank_temp above 0 C,
  needs caution,
  source COURSE "diesel, mixed or unknown, before takeoff"

# Left out: the duty of the starter, idle speed, oil consumption, the altitudes of the airframes.
