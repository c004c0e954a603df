"""What standard trouble codes mean, in our own words, as compact text that is unfolded where it is asked for.

A line is ``START HOW KIND WORDS``. ``HOW`` says which codes from START on the line covers:

- ``-``: START alone
- letters: one code for each letter, the words followed by ENDINGS of that letter; ``.`` skips a code
- ``x12``: twelve codes, ``#`` in the words standing for 1 to 12 and ``@`` for A to L
- ``x12`` and letters: for each of the twelve in turn, one code for each letter; ``-`` for a code without an ending

Counting is decimal, as the standard numbers its families, unless START has a digit A to F: then hexadecimal.
KIND is a key of codes.KINDS.

Origin of all numbers and meanings: SAE J2012 / ISO 15031-6, from memory; of the wording: ours.
"""

from .tongue import phrase

ENDINGS = {
    "c": "circuit fault",
    "o": "circuit open",
    "r": "value not plausible",
    "p": "does not do as it is told",
    "l": "signal too low",
    "h": "signal too high",
    "i": "drops out now and then",
    "s": "reacts too slowly",
    "n": "no activity",
    "1": "primary control line low",
    "3": "primary control line high",
    "2": "secondary side fault",
    "v": "moved too far early",
    "d": "moved too far late",
    "f": "will not switch off",
    "u": "will not switch on",
    "w": "stuck open",
    "z": "stuck closed",
    "M": "correction at its upper limit",
    "m": "correction at its lower limit",
    "j": "too much fuel, it leaks",
    "k": "too little fuel, it is restricted",
}

LINES = """
P0001 orlh fuel_pressure Fuel quantity valve of the high-pressure pump
P0005 olh fuel_pressure Fuel shut-off valve
P0008 x2 cam_timing Crank and cams out of step as a whole, bank #
P000A - cam_timing Intake cam slow to adjust, bank 1
P000B - cam_timing Exhaust cam slow to adjust, bank 1
P000C - cam_timing Intake cam slow to adjust, bank 2
P000D - cam_timing Exhaust cam slow to adjust, bank 2
P000E - fuel_pressure Fuel quantity valve: learned correction used up
P000F - fuel_pressure Fuel overpressure valve has opened
P0010 ovd cam_timing Intake cam adjuster, bank 1
P0013 ovd cam_timing Exhaust cam adjuster, bank 1
P0016 - cam_timing Crank and intake cam do not match, bank 1: timing or signal
P0017 - cam_timing Crank and exhaust cam do not match, bank 1: timing or signal
P0018 - cam_timing Crank and intake cam do not match, bank 2: timing or signal
P0019 - cam_timing Crank and exhaust cam do not match, bank 2: timing or signal
P0020 ovd cam_timing Intake cam adjuster, bank 2
P0023 ovd cam_timing Exhaust cam adjuster, bank 2
P0026 - valve_control Intake valve control solenoid, bank 1: value not plausible
P0027 - valve_control Exhaust valve control solenoid, bank 1: value not plausible
P0028 - valve_control Intake valve control solenoid, bank 2: value not plausible
P0029 - valve_control Exhaust valve control solenoid, bank 2: value not plausible
P0030 clh oxygen_heater Oxygen sensor 1, bank 1, heater control
P0033 clh boost Boost bypass valve
P0036 clh oxygen_heater Oxygen sensor 2, bank 1, heater control
P0039 - boost Boost bypass valve: does not do as it is told
P0040 - oxygen_before Sensors 1 of the two banks crossed
P0041 - oxygen_after Sensors 2 of the two banks crossed
P0042 clh oxygen_heater Oxygen sensor 3, bank 1, heater control
P0045 orlh boost Boost control solenoid
P0049 - boost Turbine turns too fast
P0050 clh oxygen_heater Oxygen sensor 1, bank 2, heater control
P0053 x3 oxygen_heater Oxygen sensor #, bank 1: heater resistance off
P0056 clh oxygen_heater Oxygen sensor 2, bank 2, heater control
P0059 x3 oxygen_heater Oxygen sensor #, bank 2: heater resistance off
P0062 clh oxygen_heater Oxygen sensor 3, bank 2, heater control
P0065 rlh injector_circuit Air-assisted injectors
P0068 - air_flow Air reading does not fit the throttle: air leak or a false sensor
P0069 - air_flow Manifold and outside pressure disagree with the engine off
P0070 crlhi air_temperature Outside air temperature sensor
P0075 clh valve_control Intake valve control solenoid, bank 1
P0078 clh valve_control Exhaust valve control solenoid, bank 1
P0081 clh valve_control Intake valve control solenoid, bank 2
P0084 clh valve_control Exhaust valve control solenoid, bank 2
P0087 - fuel_pressure Fuel pressure too low
P0088 - fuel_pressure Fuel pressure too high
P0089 - fuel_pressure Fuel pressure regulator 1 does not hold its pressure
P0090 clh fuel_pressure Fuel pressure regulator 1
P0093 - fuel_pressure Fuel system leaks much
P0094 - fuel_pressure Fuel system leaks a little
P0095 crlhi air_temperature Intake air temperature sensor 2
P009A - air_temperature Intake and outside air temperature disagree
P0100 crlhi air_flow Air flow meter A
P0105 crlhi air_flow Manifold pressure sensor
P0110 crlhi air_temperature Intake air temperature sensor 1
P0115 crlhi coolant Coolant temperature sensor 1
P0120 crlhi throttle Throttle or pedal position sensor A
P0125 - thermostat Too cold for closed-loop fuel control
P0126 - thermostat Too cold for steady running
P0127 - air_temperature Intake air too hot
P0128 - thermostat Coolant stays below thermostat temperature
P0129 - air_flow Outside air pressure too low
P0130 clhsn oxygen_before Oxygen sensor 1, bank 1
P0135 - oxygen_heater Oxygen sensor 1, bank 1: heater
P0136 clhsn oxygen_after Oxygen sensor 2, bank 1
P0141 - oxygen_heater Oxygen sensor 2, bank 1: heater
P0142 clhsn oxygen_after Oxygen sensor 3, bank 1
P0147 - oxygen_heater Oxygen sensor 3, bank 1: heater
P0148 - fuel_pressure Fuel delivery error
P0149 - injector_flow Injection timing error
P0150 clhsn oxygen_before Oxygen sensor 1, bank 2
P0155 - oxygen_heater Oxygen sensor 1, bank 2: heater
P0156 clhsn oxygen_after Oxygen sensor 2, bank 2
P0161 - oxygen_heater Oxygen sensor 2, bank 2: heater
P0162 clhsn oxygen_after Oxygen sensor 3, bank 2
P0167 - oxygen_heater Oxygen sensor 3, bank 2: heater
P0168 - fuel_quality Fuel too hot
P0169 - fuel_quality Wrong fuel mix in the tank
P0170 - trim Fuel correction out of bounds, bank 1
P0171 - lean Mixture too lean, bank 1
P0172 - rich Mixture too rich, bank 1
P0173 - trim Fuel correction out of bounds, bank 2
P0174 - lean Mixture too lean, bank 2
P0175 - rich Mixture too rich, bank 2
P0176 crlh fuel_quality Fuel composition sensor
P0180 crlhi fuel_quality Fuel temperature sensor A
P0185 crlhi fuel_quality Fuel temperature sensor B
P0190 crlhi fuel_pressure Fuel rail pressure sensor
P0195 crlhi oil_temperature Engine oil temperature sensor
P0200 - injector_circuit Injector circuit, cylinder not named
P0201 x12 injector_circuit Injector of cylinder #: circuit fault
P0213 x2 injector_circuit Cold start injector #: circuit fault
P0215 - fuel_pressure Engine shut-off solenoid
P0216 - injector_flow Injection timing control: circuit fault
P0217 - engine_hot Engine too hot
P0218 - transmission Transmission too hot
P0219 - other Engine turned too fast
P0220 crlhi throttle Throttle or pedal position sensor B
P0225 crlhi throttle Throttle or pedal position sensor C
P0230 - fuel_pump Fuel pump, control side: circuit fault
P0231 lhi fuel_pump Fuel pump, supply side
P0234 - boost Boost too high
P0235 crlh boost Boost pressure sensor A
P0239 crlh boost Boost pressure sensor B
P0243 crlh boost Wastegate solenoid A
P0247 crlh boost Wastegate solenoid B
P0251 crlhi fuel_pressure Injection pump metering A
P0256 crlhi fuel_pressure Injection pump metering B
P0261 x12lh. injector_circuit Injector of cylinder #
P0263 x12-.. imbalance Cylinder # pulls less or more than the rest
P0297 - speed Vehicle went too fast
P0298 - oil_temperature Engine oil too hot
P0299 - boost Boost too low
P029A x12Mmkj injector_flow Injection of cylinder #
P02CC x12mM injector_flow Injector of cylinder #, learned part
P02EE x12 injector_circuit Injector of cylinder #: current not plausible
P0300 - misfire_random Misfire on several cylinders or at random
P0301 x12 misfire Misfire on cylinder #
P0313 - fuel_level Misfire with the tank nearly empty
P0314 - misfire_one Misfire on one cylinder, not said which
P0315 - crank_learned Crank wheel's unevenness not learned
P0316 - misfire_start Misfire within the first 1,000 turns after the start
P0317 - rough_road Rough-road detection not fitted
P0318 - rough_road Rough-road sensor A: circuit fault
P0319 - rough_road Rough-road sensor B: circuit fault
P0320 - crank_signal Engine speed signal for the ignition: circuit fault
P0321 - crank_signal Engine speed signal for the ignition: value not plausible
P0322 - crank_signal Engine speed signal for the ignition: none
P0323 - crank_signal Engine speed signal for the ignition: drops out now and then
P0324 - knock Knock control: internal error
P0325 crlhi knock Knock sensor 1
P0330 crlhi knock Knock sensor 2
P0335 crlhi crank_signal Crank position sensor A
P0340 crlhi cam_signal Cam position sensor A, bank 1
P0345 crlhi cam_signal Cam position sensor A, bank 2
P0350 - coil_circuit Ignition coil not named: primary or secondary fault
P0351 x12 coil_circuit Coil @: primary or secondary fault
P0363 - misfire_cut Misfire: fuel to a cylinder has been cut
P0365 crlhi cam_signal Cam position sensor B, bank 1
P0370 - crank_signal Timing pulses A: fault
P0371 - crank_signal Timing pulses A: too many
P0372 - crank_signal Timing pulses A: too few
P0373 - crank_signal Timing pulses A: uneven
P0374 - crank_signal Timing pulses A: none
P0375 - crank_signal Timing pulses B: fault
P0376 - crank_signal Timing pulses B: too many
P0377 - crank_signal Timing pulses B: too few
P0378 - crank_signal Timing pulses B: uneven
P0379 - crank_signal Timing pulses B: none
P0380 - glow Glow plug circuit A
P0381 - glow Glow plug lamp circuit
P0382 - glow Glow plug circuit B
P0385 crlhi crank_signal Crank position sensor B
P0390 crlhi cam_signal Cam position sensor B, bank 2
P0400 - recirculation Exhaust gas recirculation: flow wrong
P0401 - recirculation_low Exhaust gas recirculation: too little flow
P0402 - recirculation Exhaust gas recirculation: too much flow
P0403 cr recirculation Exhaust gas recirculation valve
P0405 lh recirculation Exhaust gas recirculation, position sensor A
P0407 lh recirculation Exhaust gas recirculation, position sensor B
P0409 - recirculation Exhaust gas recirculation, position sensor A: circuit fault
P0410 - secondary_air Secondary air: does not work
P0411 - secondary_air Secondary air: wrong flow
P0412 - secondary_air Secondary air valve A: circuit fault
P0413 - secondary_air Secondary air valve A: circuit open
P0414 - secondary_air Secondary air valve A: short circuit
P0415 - secondary_air Secondary air valve B: circuit fault
P0416 - secondary_air Secondary air valve B: circuit open
P0417 - secondary_air Secondary air valve B: short circuit
P0418 - secondary_air Secondary air pump relay A: circuit fault
P0419 - secondary_air Secondary air pump relay B: circuit fault
P0420 - catalyst Catalyst stores too little oxygen, bank 1
P0421 - catalyst Warm-up catalyst works too little, bank 1
P0422 - catalyst Main catalyst works too little, bank 1
P0423 - catalyst Heated catalyst works too little, bank 1
P0424 - catalyst Heated catalyst stays too cold, bank 1
P0425 crlh catalyst Catalyst temperature sensor 1, bank 1
P0429 - catalyst Catalyst heater, bank 1: circuit fault
P0430 - catalyst Catalyst stores too little oxygen, bank 2
P0431 - catalyst Warm-up catalyst works too little, bank 2
P0432 - catalyst Main catalyst works too little, bank 2
P0433 - catalyst Heated catalyst works too little, bank 2
P0434 - catalyst Heated catalyst stays too cold, bank 2
P0435 crlh catalyst Catalyst temperature sensor 1, bank 2
P0439 - catalyst Catalyst heater, bank 2: circuit fault
P0440 - vapour Fuel vapor system: fault
P0441 - purge Purge flow wrong
P0442 - vapour Fuel vapor system: small leak
P0443 - purge Purge valve: circuit fault
P0444 - purge Purge valve: circuit open
P0445 - purge Purge valve: short circuit
P0446 - vapour Vapor vent control: circuit fault
P0447 - vapour Vapor vent control: circuit open
P0448 - vapour Vapor vent control: short circuit
P0449 - vapour Vapor vent valve: circuit fault
P0450 crlhi vapour Tank pressure sensor
P0455 - vapour Fuel vapor system: large leak
P0456 - vapour Fuel vapor system: very small leak
P0457 - vapour Fuel vapor system leaks after filling up: look at the cap
P0458 lh purge Purge valve
P0460 crlhi fuel_gauge Fuel level sensor A
P0465 crlhi purge Purge flow sensor
P0470 crlhi exhaust Exhaust pressure sensor
P0475 crlhi exhaust Exhaust pressure valve
P0480 x3 fan Cooling fan #: control circuit fault
P0483 - fan Cooling fan: does not answer as expected
P0484 - fan Cooling fan: current too high
P0485 - fan Cooling fan: supply or ground
P0486 - recirculation Exhaust gas recirculation, position sensor B: circuit fault
P0487 or recirculation Throttle of the exhaust gas recirculation
P0489 lh recirculation Exhaust gas recirculation valve
P0491 x2 secondary_air Secondary air: too little flow, bank #
P0493 - fan Cooling fan turns too fast
P0494 - fan Cooling fan turns too slowly
P0495 - fan Cooling fan turns too fast for its command
P0496 - purge Purge flows when it should not: valve hangs open
P0497 - vapour Purge flow too small
P0498 lh vapour Vapor vent valve
P0500 crl speed Road speed sensor A
P0503 - speed Road speed sensor A: uneven or too high
P0504 - other Brake light switches disagree
P0505 - idle Idle control: fault
P0506 - idle Idle lower than wanted
P0507 - idle Idle higher than wanted: look for an air leak
P0508 lh idle Idle air valve
P0510 - throttle Closed-throttle switch
P0511 - idle Idle air valve: circuit fault
P0512 - other Starter request: circuit fault
P0513 - other Key not recognized by the immobilizer
P0514 - charging Battery temperature sensor: value not plausible
P0515 clh charging Battery temperature sensor
P0518 - idle Idle control drops out now and then
P0519 - idle Idle control does not hold the speed
P0520 crlh oil_pressure Oil pressure sensor or switch
P0524 - oil_pressure Oil pressure too low
P0525 - other Cruise control servo: value not plausible
P0526 - fan Fan speed sensor: circuit fault
P0527 - fan Fan speed sensor: value not plausible
P0528 - fan Fan speed sensor: no signal
P0529 - fan Fan speed sensor: drops out now and then
P0530 crlh other Refrigerant pressure sensor
P0534 - other Refrigerant has leaked out
P0540 clh air_temperature Intake air heater A
P0550 crlhi other Power steering pressure sensor
P0555 crlhi other Brake booster pressure sensor
P0560 - supply_voltage System voltage: fault
P0561 - supply_voltage System voltage: not steady
P0562 - supply_voltage System voltage: too low
P0563 - supply_voltage System voltage: too high
P0571 clh other Brake light switch A
P0600 - control_unit Data link inside the controllers
P0601 - control_unit Controller: program memory damaged
P0602 - control_unit Controller: not programmed
P0603 - control_unit Controller: kept memory lost, battery was off or supply fails
P0604 - control_unit Controller: working memory
P0605 - control_unit Controller: fixed memory
P0606 - control_unit Controller: processor
P0607 - control_unit Controller: does not work as it should
P0608 x2 speed Road speed output #
P0610 - control_unit Controller: wrong equipment coded
P0611 - injector_circuit Injector control unit: does not work as it should
P0612 - injector_circuit Injector control unit: relay
P0613 - transmission Transmission controller: processor
P0614 - control_unit Engine and transmission controllers do not match
P0615 clh other Starter relay
P0620 - charging Generator control: circuit fault
P0621 - charging Generator lamp: circuit fault
P0622 - charging Generator field: circuit fault
P0625 lh charging Generator field
P0627 olh fuel_pump Fuel pump control A
P062D x2 injector_circuit Injector drivers, bank #: do not work as they should
P0630 - control_unit Vehicle number not stored in the engine controller
P0633 - other Key not stored in the engine controller
P0634 - control_unit Controller too hot
P0635 clh other Power steering control
P0638 x2 throttle Throttle, bank #: does not do as it is told
P0641 olh sensor_supply Sensor supply A
P0645 clh other Air conditioning relay
P0650 - control_unit Warning lamp: circuit fault
P0651 olh sensor_supply Sensor supply B
P0654 - control_unit Engine speed output: circuit fault
P0657 olh supply_voltage Supply of the actuators A
P0660 olh runner Intake tuning valve, bank 1
P0663 olh runner Intake tuning valve, bank 2
P0666 crlh control_unit Controller's own temperature sensor
P0670 - glow Glow plug control unit 1
P0671 x12 glow Glow plug of cylinder #: circuit fault
P0685 olh supply_voltage Main relay of the engine controller
P0688 olh supply_voltage Main relay, switched side
P0691 lh fan Cooling fan 1
P0693 lh fan Cooling fan 2
P0695 lh fan Cooling fan 3
P0697 olh sensor_supply Sensor supply C
P0700 - transmission Transmission controller asks for the lamp: read it too
P0740 - converter Converter lock-up: circuit fault
P0741 - converter Converter lock-up: slips or stays open
P0742 - converter Converter lock-up: stays closed
P0743 - converter Converter lock-up: electrical fault
P0744 - converter Converter lock-up: drops out now and then
P2004 x2 runner Runner flaps stuck open, bank #
P2006 x2 runner Runner flaps stuck closed, bank #
P2008 olh runner Runner flap control, bank 1
P2011 olh runner Runner flap control, bank 2
P2014 crlhi runner Runner flap position sensor, bank 1
P2019 crlhi runner Runner flap position sensor, bank 2
P2024 crlhi vapour Fuel vapor temperature sensor
P2065 crlhi fuel_gauge Fuel level sensor B
P2070 - runner Intake tuning valve stuck open
P2071 - runner Intake tuning valve stuck closed
P2075 crlhi runner Intake tuning valve position sensor
P2088 lh cam_timing Intake cam adjuster, bank 1
P2090 lh cam_timing Exhaust cam adjuster, bank 1
P2092 lh cam_timing Intake cam adjuster, bank 2
P2094 lh cam_timing Exhaust cam adjuster, bank 2
P2096 - lean After the catalyst too lean, bank 1
P2097 - rich After the catalyst too rich, bank 1
P2098 - lean After the catalyst too lean, bank 2
P2099 - rich After the catalyst too rich, bank 2
P2100 oplh throttle Throttle motor A
P2104 - throttle Throttle control: held at idle for safety
P2105 - throttle Throttle control: engine shut down for safety
P2106 - throttle Throttle control: power limited for safety
P2107 - throttle Throttle control: processor
P2108 - throttle Throttle control: does not work as it should
P2109 - throttle Throttle sensor A: closed stop not where it should be
P2110 - throttle Throttle control: engine speed limited for safety
P2111 - throttle Throttle stuck open
P2112 - throttle Throttle stuck closed
P2113 - throttle Throttle sensor B: closed stop not where it should be
P2118 - throttle Throttle motor: current not plausible
P2119 - throttle Throttle body: does not return or follow as it should
P2120 crlhi throttle Pedal sensor D
P2125 crlhi throttle Pedal sensor E
P2130 crlhi throttle Pedal sensor F
P2135 - throttle Throttle sensors A and B disagree
P2136 - throttle Throttle sensors A and C disagree
P2137 - throttle Throttle sensors B and C disagree
P2138 - throttle Pedal sensors D and E disagree
P2139 - throttle Pedal sensors D and F disagree
P2140 - throttle Pedal sensors E and F disagree
P2146 x4olh injector_supply Supply of injector group @
P2162 - speed Road speed sensors A and B disagree
P2172 - intake_leak Sudden extra air past the throttle
P2173 - intake_leak More air than the throttle should let in
P2174 - throttle Suddenly less air than the throttle should let in
P2175 - throttle Less air than the throttle should let in
P2176 - throttle Throttle's idle position not learned
P2177 - lean Too lean off idle, bank 1
P2178 - rich Too rich off idle, bank 1
P2179 - lean Too lean off idle, bank 2
P2180 - rich Too rich off idle, bank 2
P2181 - thermostat Cooling system does not behave as expected
P2182 crlhi coolant Coolant temperature sensor 2
P2187 - lean Too lean at idle, bank 1
P2188 - rich Too rich at idle, bank 1
P2189 - lean Too lean at idle, bank 2
P2190 - rich Too rich at idle, bank 2
P2191 - lean Too lean under load, bank 1
P2192 - rich Too rich under load, bank 1
P2193 - lean Too lean under load, bank 2
P2194 - rich Too rich under load, bank 2
P2195 - oxygen_before Oxygen sensor 1, bank 1: stays lean
P2196 - oxygen_before Oxygen sensor 1, bank 1: stays rich
P2197 - oxygen_before Oxygen sensor 1, bank 2: stays lean
P2198 - oxygen_before Oxygen sensor 1, bank 2: stays rich
P2199 - air_temperature Intake air temperature sensors 1 and 2 disagree
P219A x2 imbalance Cylinders of bank # run on unlike mixtures
P219C x12 imbalance Cylinder # runs on a mixture unlike the rest
P2226 crlhi air_flow Outside air pressure sensor
P2231 - oxygen_before Oxygen sensor 1, bank 1: signal shorted to its heater
P2232 - oxygen_after Oxygen sensor 2, bank 1: signal shorted to its heater
P2233 - oxygen_after Oxygen sensor 3, bank 1: signal shorted to its heater
P2234 - oxygen_before Oxygen sensor 1, bank 2: signal shorted to its heater
P2235 - oxygen_after Oxygen sensor 2, bank 2: signal shorted to its heater
P2236 - oxygen_after Oxygen sensor 3, bank 2: signal shorted to its heater
P2237 olh oxygen_before Wide-band sensor 1, bank 1, pump current
P2240 olh oxygen_before Wide-band sensor 1, bank 2, pump current
P2243 olh oxygen_before Wide-band sensor 1, bank 1, reference
P2257 lh secondary_air Secondary air pump control A
P2270 - oxygen_after Oxygen sensor 2, bank 1: stays lean
P2271 - oxygen_after Oxygen sensor 2, bank 1: stays rich
P2272 - oxygen_after Oxygen sensor 2, bank 2: stays lean
P2273 - oxygen_after Oxygen sensor 2, bank 2: stays rich
P2274 - oxygen_after Oxygen sensor 3, bank 1: stays lean
P2275 - oxygen_after Oxygen sensor 3, bank 1: stays rich
P2276 - oxygen_after Oxygen sensor 3, bank 2: stays lean
P2277 - oxygen_after Oxygen sensor 3, bank 2: stays rich
P2279 - intake_leak Intake leaks air
P2280 - intake_leak Intake blocked or leaking between filter and air flow meter
P2281 - intake_leak Air leak between air flow meter and throttle
P2282 - intake_leak Air leak between throttle and intake valves
P2293 - fuel_pressure Fuel pressure regulator 2 does not hold its pressure
P2294 clh fuel_pressure Fuel pressure regulator 2
P2297 - oxygen_before Oxygen sensor 1, bank 1: off scale while coasting
P2298 - oxygen_before Oxygen sensor 1, bank 2: off scale while coasting
P2300 x12132 coil_circuit Coil @
P2336 x12 knock Cylinder # knocks
P2400 olh vapour Leak detection pump
P2403 crlh vapour Leak detection pump, feedback
P2418 olh vapour Fuel vapor switching valve
P2421 - vapour Vapor vent valve stuck open
P2422 - vapour Vapor vent valve stuck closed
P2430 crlhi secondary_air Secondary air flow or pressure sensor, bank 1
P2440 wz secondary_air Secondary air valve, bank 1
P2442 wz secondary_air Secondary air valve, bank 2
P2444 fu secondary_air Secondary air pump, bank 1
P2446 fu secondary_air Secondary air pump, bank 2
P2500 lh charging Generator lamp line
P2502 - charging Charging voltage: fault
P2503 - charging Charging voltage: too low
P2504 - charging Charging voltage: too high
P2505 crlhi supply_voltage Supply of the engine controller
P2510 - supply_voltage Main relay, switched side: value not plausible
P2511 - supply_voltage Main relay, switched side: drops out now and then
P2610 - control_unit Engine-off timer
P2626 olh oxygen_before Wide-band sensor 1, bank 1, pump current trim
P2629 olh oxygen_before Wide-band sensor 1, bank 2, pump current trim
P2635 - fuel_pump Fuel pump A delivers too little
P2646 uflh valve_control Valve lift switch A, bank 1
P2650 uflh valve_control Valve lift switch B, bank 1
P2654 uflh valve_control Valve lift switch A, bank 2
P2658 uflh valve_control Valve lift switch B, bank 2
P2A00 - oxygen_before Oxygen sensor 1, bank 1: value not plausible
P2A01 - oxygen_after Oxygen sensor 2, bank 1: value not plausible
P2A02 - oxygen_after Oxygen sensor 3, bank 1: value not plausible
P2A03 - oxygen_before Oxygen sensor 1, bank 2: value not plausible
P2A04 - oxygen_after Oxygen sensor 2, bank 2: value not plausible
P2A05 - oxygen_after Oxygen sensor 3, bank 2: value not plausible
P3400 - cylinder_cut Cylinder shut-off, bank 1
P3401 x12oplhoplh cylinder_cut Valves of cylinder # shut off for saving
P3497 - cylinder_cut Cylinder shut-off, bank 2
U0001 - network Fast data bus: fault
U0073 - network Data bus A switched itself off
U0100 - network No word from the engine controller
U0101 - network No word from the transmission controller
U0105 - injector_circuit No word from the injector control unit
U0107 - throttle No word from the throttle control unit
U0109 - fuel_pump No word from the fuel pump control unit
U0121 - network No word from the anti-lock brake controller
U0140 - network No word from the body controller
U0151 - network No word from the airbag controller
U0155 - network No word from the instrument cluster
U0401 - network Senseless data from the engine controller
"""


def unfold(head):
    """The codes that begin with ``head``, such as "P03": ``{code: (words, kind, number, parts)}``.

    ``words`` are English; ``parts`` are those of ``spoken``. ``number`` is the cylinder's or the coil position's, or
    None. A family never leaves its head.
    """
    table = {}
    for line in LINES.split("\n"):
        if line.startswith(head):
            start, how, kind, words = line.split(" ", 3)
            _unfold_line(table, start, how, kind, words)
    return table


def _unfold_line(table, start, how, kind, words):
    base = 10 if all(char in "0123456789" for char in start[1:]) else 16
    form = "%s%04d" if base == 10 else "%s%04X"
    at = int(start[1:], base)
    times, endings = _read_how(how)
    for n in range(1, times + 1):
        number = n if times == 12 else None
        for ending in endings:
            if ending != ".":
                parts = (words, n if times > 1 else None, ENDINGS.get(ending))
                table[form % (start[0], at)] = (_joined(*parts), kind, number, parts)
            at += 1


def spoken(words, n, ending):
    """What a code says in the language spoken: its line's words with their number, and its ending."""
    return _joined(phrase(words), n, phrase(ending) if ending else None)


def _joined(words, n, ending):
    said = words.replace("#", str(n)).replace("@", chr(64 + n)) if n else words
    return said + ": " + ending if ending else said


def _read_how(how):
    if how[0] != "x":
        return 1, how
    times, endings = (12, how[3:]) if how.startswith("x12") else (int(how[1]), how[2:])
    return times, endings or "-"
