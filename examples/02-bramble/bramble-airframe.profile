profile "bramble-airframe" version 1
about "Bramble-two, an invented two-seat aircraft"

source INVENTED common practice "invented for this example"

quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt, source INVENTED
quantity fuel_quantity "Fuel quantity" from 0 to 21 gal, step 0.1 gal, accuracy 0.5 gal, deadband 0.5 gal,
  source INVENTED
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source INVENTED
switch flaps "Flaps" up, takeoff, landing
switch door "Door" closed, open

never_exceed: limit airspeed at most 150 kt, needs warning, source INVENTED
smooth_air: precaution airspeed from 120 to 150 kt, source INVENTED
takeoff_flap_limit: when flaps is takeoff limit airspeed at most 95 kt, needs caution, source INVENTED
landing_flap_limit: when flaps is landing limit airspeed at most 85 kt, needs caution, source INVENTED
airspeed_normal: when flaps is up normal airspeed from 48 to 120 kt, source INVENTED

fuel_reserve: precaution fuel_quantity below 4 gal, source INVENTED
fuel_normal: normal fuel_quantity from 4 to 21 gal, source INVENTED

# The propeller of this aircraft may turn fast for a takeoff and no longer.
full_speed: precaution rpm from 2600 to 2800 rpm, source INVENTED
full_speed_time: limit rpm at most 2600 rpm except for 5 min, needs caution within 5 s, source INVENTED
