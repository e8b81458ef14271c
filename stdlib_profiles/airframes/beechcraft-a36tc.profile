profile "beechcraft-a36tc" version 2
about
  "Retractable gear, 3650 lb; indicated airspeeds. Every speed is second hand: check it against the handbook"

# The alert levels are our choice (common practice, no source).
# VNE and VNO fall with altitude. While the altitude is not known, the lowest speeds hold.

source COPY second hand "a checklist file that cites the Pilot's Operating Handbook, P/N 36-590003-3"
source TRADE common practice
source SENSOR common practice "reaches past the markings; set it to the sensor fitted"

engine retractable gear
maximum weight 3650 lb, arcs at 3650 lb, source COPY "the weight that its speeds stand under",
  source TRADE "taken as that of the stalls"

quantity airspeed "Airspeed" from 0 to 250 kt, step 1 kt, source SENSOR
quantity altitude "Pressure altitude" from 0 to 30000 ft, step 100 ft, source SENSOR
switch flaps "Flaps" up, approach, landing
switch gear "Landing gear" down, moving, up
switch air "Air, set by the pilot" smooth, rough

# Above 16000 ft 4 kt less for every 1000 ft, and 3 kt less
curve vne_at_altitude over altitude: 16000 ft -> 203 kt, 30000 ft -> 147 kt, otherwise 147 kt, source COPY
curve vno_at_altitude over altitude: 16000 ft -> 165 kt, 30000 ft -> 123 kt, otherwise 123 kt,
  source COPY "3 kt for every 1000 ft above 16000 ft"

never_exceed: limit airspeed at most 203 kt, needs warning, source COPY "up to 16000 ft"
never_exceed_high: limit airspeed at most vne_at_altitude, needs warning, source COPY
smooth_air: when altitude at most 16000 ft precaution airspeed from 165 to 203 kt,
  source COPY "up to 16000 ft"
smooth_air_high: when altitude above 16000 ft or altitude failed
  precaution airspeed from vno_at_altitude to vne_at_altitude, source COPY
airspeed_normal: when flaps is up and gear is up and air is smooth and altitude at most 16000 ft
  normal airspeed from 67 to 165 kt, source COPY "from the stall with flaps and gear up, 3650 lb"
normal_high: when flaps is up and gear is up and air is smooth
  and (altitude above 16000 ft or altitude failed)
  normal airspeed from 67 to vno_at_altitude, source COPY

ceiling: limit altitude at most 25000 ft, needs caution, source COPY

# Flaps and gear

flaps_approach: when flaps is approach limit airspeed at most 152 kt, needs caution, source COPY "15 degrees"
flaps_approach_high: when flaps is approach and (altitude above 20000 ft or altitude failed)
  limit airspeed at most 137 kt, needs caution, source COPY "15 degrees, above 20000 ft"
flap_limit: when flaps is landing limit airspeed at most 123 kt, needs caution, source COPY "30 degrees"
flap_range: when flaps is landing normal airspeed from 57 to 123 kt,
  source COPY "from the stall with flaps and gear down, 3650 lb"
gear_limit: when gear is not up limit airspeed at most 152 kt, needs caution,
  source COPY "gear down, and to move it"
gear_limit_high: when gear is not up and (altitude above 20000 ft or altitude failed)
  limit airspeed at most 137 kt, needs caution,
  source COPY "gear down, above 20000 ft", source TRADE "also while it moves: the copy has no speed for that"

# Manoeuvring speed
#
# It limits what the controls may be used for and not the flight, so the gauge is yellow from there to VNO only
# while the air is rough (common practice). It is lower for a lighter aircraft; how much is not in the copy.

manoeuvring: when air is rough precaution airspeed from 139 to 165 kt,
  source COPY "3650 lb", source TRADE "in rough air"
rough_normal: when flaps is up and gear is up and air is rough and altitude at most 24000 ft
  normal airspeed from 67 to 139 kt, source COPY,
  source TRADE "in rough air; VNO is lower than this from 24667 ft on"
rough_normal_high: when flaps is up and gear is up and air is rough
  and (altitude above 24000 ft or altitude failed)
  normal airspeed from 67 to 123 kt, source COPY, source TRADE "in rough air; VNO at 30000 ft"
