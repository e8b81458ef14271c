profile "electrical-28v" version 1
about "24 V lead-acid battery on a 28 V bus with a 70 A alternator; no number here has a source"

# Every figure is a rule of the trade. Replace the ratings by those on the nameplates of what is fitted.

source TRADE common practice "starting value, to be replaced by the figures of the parts fitted"
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

quantity volts "Bus voltage" from 0 to 40 V, step 0.1 V, source SENSOR
quantity alternator_amps "Alternator current" from 0 to 100 A, step 1 A, accuracy 1 A, source SENSOR
quantity battery_amps "Battery current, plus is charging" from -60 to 60 A, step 1 A, accuracy 1 A,
  source SENSOR
switch alternator "Alternator" offline, online

bus_high_limit: limit volts at most 31 V, needs warning, source TRADE
bus_high: precaution volts from 29.5 to 31 V, source TRADE
bus_normal: when alternator is online normal volts from 27 to 29.5 V, source TRADE
bus_low: when alternator is online precaution volts from 25 to 27 V, source TRADE
bus_low_limit: when alternator is online limit volts at least 25 V, needs caution,
  source TRADE "the battery carries the bus"

alternator_amps_limit: limit alternator_amps at most 70 A, needs caution,
  source TRADE "rating of the alternator"
alternator_amps_high: precaution alternator_amps from 60 to 70 A, source TRADE
alternator_amps_normal: normal alternator_amps from 0 to 60 A, source TRADE

battery_charge_limit: limit battery_amps at most 40 A, needs caution, source TRADE
battery_charge_high: precaution battery_amps from 30 to 40 A,
  source TRADE "usual for a short while after a start"
battery_normal: when alternator is online normal battery_amps from -2 to 30 A, source TRADE
battery_drain: when alternator is online precaution battery_amps from -10 to -2 A, source TRADE
battery_drain_limit: when alternator is online limit battery_amps at least -10 A, needs caution,
  source TRADE "the alternator does not keep up"
