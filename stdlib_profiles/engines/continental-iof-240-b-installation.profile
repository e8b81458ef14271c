profile "continental-iof-240-b-installation" version 1
about "Two limits measured while an installation is tried out; use it beside the engine's own profile"

# The levels are our choice (common practice, no source).

source MM
  "Teledyne Continental IOF-240 Series Maintenance Manual, Table 2-1, page 2-22, Change 2, 1 December 2007"
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

quantity base_temp[4] "Cylinder base temperature" from -40 to 400 F, step 1 F, accuracy 5 F, source SENSOR
quantity exhaust_back_pressure "Exhaust back pressure" from 0 to 5 inHg, step 0.1 inHg, source SENSOR

base_temp_limit: limit base_temp at most 310 F, needs caution, source MM
exhaust_back_pressure_limit: limit exhaust_back_pressure at most 2.5 inHg, needs caution, source MM
