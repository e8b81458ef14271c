profile "austro-ae300" version 3
about "Turbocharged diesel, liquid cooled, with reduction gearbox, as marked in one aircraft"

# The ranges are those of one marking table, edge for edge. A rule set that copies the table needs one more
# rule, for what a table cannot show: how long takeoff speed may last.
# The table gives colours, not alert levels. Which level each limit needs is our choice (common practice,
# no source). Its yellow ranges meet its green ones in a shared edge; at such an edge the yellow shows.

source AFM "Diamond DA 40 NG Airplane Flight Manual, Doc. 6.01.15-E, page 2-9, Rev. 1, 15 March 2011"
source COPY second hand "a checklist file that cites the same manual, Doc. 6.01.15-E, Rev. 3"
source TRADE common practice
source SENSOR common practice "reaches past the markings; set it to the sensor fitted"

engine piston, liquid cooled

quantity rpm "Propeller speed" from 0 to 3000 rpm, step 10 rpm, source SENSOR
quantity load "Engine load" from 0 to 100 %, step 1 %, source SENSOR "the marking ends at 100 %"
quantity oil_pressure "Oil pressure" from 0 to 10 bar, step 0.1 bar, source SENSOR
quantity oil_temp "Oil temperature" from -50 to 170 C, step 1 C, accuracy 2 C, source SENSOR
quantity coolant_temp "Coolant temperature" from -50 to 150 C, step 1 C, accuracy 2 C, source SENSOR
quantity gearbox_temp "Gearbox temperature" from -50 to 150 C, step 1 C, accuracy 2 C, source SENSOR
quantity fuel_temp "Fuel temperature" from -50 to 100 C, step 1 C, accuracy 2 C, source SENSOR
quantity amps "Alternator current" from 0 to 100 A, step 1 A, source SENSOR
quantity volts "Bus voltage" from 0 to 40 V, step 0.1 V, source SENSOR
quantity fuel_quantity "Fuel quantity" from 0 to 14 gal, step 0.1 gal,
  source SENSOR "the marking ends at 14 gal"

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Propeller speed
#
# The table is red above 2300 rpm at once, and so is rpm_limit. That an overspeed up to 2500 rpm is tolerated
# for 20 s stands beside it, and makes nothing weaker: all limits hold, and the tightest wins.

rpm_limit: limit rpm at most 2300 rpm, needs warning, source AFM
rpm_overspeed: limit rpm at most 2300 rpm except for 20 s, needs warning,
  source COPY "overspeed, up to 2500 rpm"
rpm_max: limit rpm at most 2500 rpm, needs warning, source COPY
rpm_takeoff_time: limit rpm at most 2100 rpm except for 5 min, needs caution,
  source COPY "2300 rpm: takeoff, 5 min"
rpm_takeoff: precaution rpm from 2100 to 2300 rpm, source AFM
rpm_normal: normal rpm from 0 to 2100 rpm, source AFM

# Load: the table marks no maximum in red.
#
# Left out: not more than 50 % while oil, coolant or gearbox are cold (second hand; the table does not
# carry it, and the copy does not say what counts as cold).

load_takeoff: precaution load from 92 to 100 %, source AFM
load_normal: normal load from 0 to 92 %, source AFM

# Oil pressure
#
# The table marks red at any time; that a stopped engine violates nothing is ours. The warning may wait for
# the 3 s that a start may take; the red may not. That 0.9 bar are a minimum at idle is said in the copy alone: a sound
# engine may idle in the yellow range.

oil_pressure_min: when running limit oil_pressure at least 0.9 bar, source AFM
oil_pressure_start: when running limit oil_pressure at least 0.9 bar, needs warning within 3 s,
  source COPY "out of red within 3 s of the start, or stop the engine"
oil_pressure_low: precaution oil_pressure from 0.9 to 2.5 bar, source AFM
oil_pressure_normal: normal oil_pressure from 2.5 to 6.0 bar, source AFM
oil_pressure_high: precaution oil_pressure from 6.0 to 6.5 bar, source AFM
oil_pressure_max: limit oil_pressure at most 6.5 bar, needs warning, source AFM

# Temperatures. That the lower limits are for starting the engine (from memory) does not stand on that page; they hold at
# any time, as it marks them.

oil_temp_min: limit oil_temp at least -30 C, needs caution, source AFM
oil_temp_cold: precaution oil_temp from -30 to 50 C, source AFM
oil_temp_normal: normal oil_temp from 50 to 135 C, source AFM
oil_temp_high: precaution oil_temp from 135 to 140 C, source AFM
oil_temp_max: limit oil_temp at most 140 C, needs warning, source AFM

coolant_min: limit coolant_temp at least -30 C, needs caution, source AFM
coolant_cold: precaution coolant_temp from -30 to 60 C, source AFM
coolant_normal: normal coolant_temp from 60 to 95 C, source AFM
coolant_high: precaution coolant_temp from 95 to 105 C, source AFM
coolant_max: limit coolant_temp at most 105 C, needs warning, source AFM

gearbox_min: limit gearbox_temp at least -30 C, needs caution, source AFM
gearbox_cold: precaution gearbox_temp from -30 to 35 C, source AFM
gearbox_normal: normal gearbox_temp from 35 to 115 C, source AFM
gearbox_high: precaution gearbox_temp from 115 to 120 C, source AFM
gearbox_max: limit gearbox_temp at most 120 C, needs warning, source AFM

fuel_temp_min: limit fuel_temp at least -25 C, needs caution, source AFM
fuel_temp_cold: precaution fuel_temp from -25 to -20 C, source AFM
fuel_temp_normal: normal fuel_temp from -20 to 55 C, source AFM
fuel_temp_high: precaution fuel_temp from 55 to 60 C, source AFM
fuel_temp_max: limit fuel_temp at most 60 C, needs caution, source AFM

# Electrical and fuel

amps_normal: normal amps from 0 to 60 A, source AFM
amps_high: precaution amps from 60 to 70 A, source AFM
amps_max: limit amps at most 70 A, needs caution, source AFM

volts_min: limit volts at least 24.1 V, needs caution, source AFM
volts_low: precaution volts from 24.1 to 25 V, source AFM
volts_normal: normal volts from 25 to 30 V, source AFM
volts_high: precaution volts from 30 to 32 V, source AFM
volts_max: limit volts at most 32 V, needs warning, source AFM

fuel_quantity_min: limit fuel_quantity at least 1 gal, needs caution, source AFM
fuel_quantity_normal: normal fuel_quantity from 1 to 14 gal, source AFM
