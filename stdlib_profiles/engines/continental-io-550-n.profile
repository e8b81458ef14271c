profile "continental-io-550-n" version 2
about "Six cylinders, air cooled, fuel injected, as in one aircraft"

# The alerts of oil temperature and engine speed are published: their levels and times are those of the manual, other
# levels are our choice (common practice, no source).

source IM "Cirrus SR22 Information Manual, page 3-18, March 2010"
source SLIDES second hand "Cirrus SR22 engine training slides, 23 December 2003"
source SERVICE "Cirrus SR22 maintenance manual, extract on the oil system"
source AC second hand "an online reprint of the FAA's advisory circular text on starting, section 2-17"
source RECALL from memory "to be confirmed in the type certificate data sheet before flight"
source TRADE common practice
source SENSOR common practice "what the usual sensor reads; set it to the one fitted"

engine piston, air cooled, pump fed  # injected, so a pump feeds it

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source SENSOR
quantity cht[6] "Cylinder head temperature" from -40 to 600 F, step 1 F, accuracy 5 F, source SENSOR
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F, source SENSOR
quantity oil_pressure "Oil pressure" from 0 to 150 psi, step 1 psi, accuracy 2 psi, source SENSOR

condition running means rpm above 400 rpm,
  source TRADE "above cranking speed, below idle"

# Engine speed
#
# The red line is 2700 rpm at once. The warnings come with a delay in two steps: from 2710 rpm after 10 s, above
# 2730 rpm after 5 s. Those times say when the alert is due; a speed above 2700 rpm is never called normal.

rpm_limit: limit rpm at most 2700 rpm, source SLIDES "310 hp"
rpm_warning: limit rpm below 2710 rpm, needs warning within 10 s, source IM "2710 to 2730 rpm for 10 s"
rpm_warning_high: limit rpm at most 2730 rpm, needs warning within 5 s, source IM "above 2730 rpm for 5 s"

# Cylinder heads: from memory.

cht_limit: limit cht at most 460 F, needs warning, source RECALL
cht_high: precaution cht from 420 to 460 F, source RECALL
cht_normal: normal cht from 240 to 420 F, source RECALL

# Oil temperature. Left out: the oil cooler opens at 180 F; that is not a limit.

oil_temp_limit: limit oil_temp at most 240 F, needs warning, source IM
oil_temp_normal: normal oil_temp from 100 to 240 F, source RECALL
oil_temp_cold: precaution oil_temp below 100 F, source TRADE "below the normal range"

# Oil pressure: the gauge is red below 10 psi at once. A warning is due then; after a start it may wait for 30 s, and
# later for 5 s, which is common practice.

oil_pressure_max: limit oil_pressure at most 100 psi, needs warning, source RECALL
oil_pressure_min: when running limit oil_pressure at least 10 psi, source SLIDES
oil_pressure_loss: when running for at least 30 s limit oil_pressure at least 10 psi,
  needs warning within 5 s, source SLIDES, source TRADE "30 s as in oil_pressure_start; 5 s"
oil_pressure_start: when running limit oil_pressure at least 10 psi, needs warning within 30 s,
  source AC "no pressure 30 s after the start: stop the engine"
oil_pressure_normal: when running normal oil_pressure from 30 to 60 psi, source SERVICE
oil_pressure_low: when running precaution oil_pressure from 10 to 30 psi,
  source SERVICE "10 psi at idle is acceptable", source TRADE "between the limit and normal"
oil_pressure_high: when running precaution oil_pressure from 60 to 100 psi, source RECALL
