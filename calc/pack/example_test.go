package pack_test

import (
	"ampwright/calc/desk/desktest"
	"ampwright/calc/pack"
)

func ExampleCalcs_packVoltage() {
	desktest.Show(pack.Calcs(), "pack-voltage", "chemistry=nmc; cells_series=20; cell_V_charge=4.1")
	// Output:
	// cell_V_nom = per cell, nmc = 3.6 V
	// cell_V_max = per cell, nmc = 4.2 V
	// cell_V_min = per cell, nmc = 3 V
	// pack_nom_V = cells_series * cell_V_nom = 20 * 3.6 V = 72 V
	// pack_max_V = cells_series * cell_V_max = 20 * 4.2 V = 84 V
	// pack_min_V = cells_series * cell_V_min = 20 * 3 V = 60 V
	// pack_charge_V = cells_series * cell_V_charge = 20 * 4.1 V = 82 V
	// cell_V_floor = per cell, nmc = 2.5 V
	// pack_floor_V = cells_series * cell_V_floor = 20 * 2.5 V = 50 V
	// Against 60 V DC: above 60 V DC
}

func ExampleCalcs_packEnergy() {
	desktest.Show(pack.Calcs(), "pack-energy", "cells_series=20; cells_parallel=8; cell_V_nom=3.6; cell_Ah_rated=3.5")
	// Output:
	// cell_count = cells_series * cells_parallel = 20 * 8 = 160
	// pack_nom_V = cells_series * cell_V_nom = 20 * 3.6 V = 72 V
	// pack_Ah = cells_parallel * cell_Ah_rated = 8 * 3.5 Ah = 28 Ah
	// pack_kWh = pack_nom_V * pack_Ah / 1000 = 72 V * 28 Ah / 1000 = 2.016 kWh
}

func ExampleCalcs_cRate() {
	desktest.Show(pack.Calcs(), "c-rate", "batt_A=120; pack_Ah=28; cells_parallel=8")
	// Output:
	// c_rate = batt_A / pack_Ah = 120 A / 28 Ah = 4.28571
	// cell_A = batt_A / cells_parallel = 120 A / 8 = 15 A
}

func ExampleCalcs_cRateCurrent() {
	desktest.Show(pack.Calcs(), "c-rate-current", "c_rate=0.5; pack_Ah=100")
	// Output:
	// batt_A = c_rate * pack_Ah = 0.5 * 100 Ah = 50 A
}

func ExampleCalcs_chargeTime() {
	desktest.Show(pack.Calcs(), "charge-time", "pack_kWh=5.12; charger_W=1.5 kW; charge_eff=90 %; soc_from=20; soc_to=100")
	// Output:
	// soc_cp = max(soc_from, min(soc_taper, soc_to)) = max(20 %, min(80 %, 100 %)) = 80 %
	// cp_h = pack_kWh * 1000 * (soc_cp - soc_from) / 100 / (charge_eff * charger_W) = 5.12 kWh * 1000 * (80 % - 20 %) / 100 / (0.9 * 1500 W) = 2.27556 h
	// taper_span = soc_to - soc_taper = 100 % - 80 % = 20 %
	// share_start = 1 - (1 - taper_end) * (soc_cp - soc_taper) / taper_span = 1 - (1 - 0.1) * (80 % - 80 %) / 20 % = 1
	// taper_h = pack_kWh * 1000 * taper_span / 100 / (charge_eff * charger_W * (1 - taper_end)) * ln(share_start / taper_end) = 5.12 kWh * 1000 * 20 % / 100 / (0.9 * 1500 W * (1 - 0.1)) * ln(1 / 0.1) = 1.94061 h
	// time_h = cp_h + taper_h = 2.27556 h + 1.94061 h = 4.21617 h
	// wall_kWh = pack_kWh * (soc_to - soc_from) / 100 / charge_eff = 5.12 kWh * (100 % - 20 %) / 100 / 0.9 = 4.55111 kWh
	// charge_c_rate = charge_eff * charger_W / (1000 * pack_kWh) = 0.9 * 1500 W / (1000 * 5.12 kWh) = 0.263672
}

func ExampleCalcs_chargeTimeCurrent() {
	desktest.Show(pack.Calcs(), "charge-time-current", "pack_Ah_design=42; charger_A=8")
	// Output:
	// charge_h = 1.1 * pack_Ah_design * usable_fraction / charger_A = 1.1 * 42 Ah * 0.85 / 8 A = 4.90875 h
}

func ExampleCalcs_dcResistance() {
	desktest.Show(pack.Calcs(), "dc-resistance", "v1_V=78.0; i1_A=2; v2_V=74.4; i2_A=62")
	// Output:
	// dcr_mohm = 1000 * (v1_V - v2_V) / (i2_A - i1_A) = 1000 * (78 V - 74.4 V) / (62 A - 2 A) = 60 mohm
}

func ExampleCalcs_dcResistanceLoad() {
	desktest.Show(pack.Calcs(), "dc-resistance-load", "open_V=4.10; load_V=3.95; load_ohm=4")
	// Output:
	// load_A = load_V / load_ohm = 3.95 V / 4 ohm = 0.9875 A
	// load_W = load_V * load_A = 3.95 V * 0.9875 A = 3.90063 W
	// dcr_mohm = 1000 * (open_V - load_V) * load_ohm / load_V = 1000 * (4.1 V - 3.95 V) * 4 ohm / 3.95 V = 151.899 mohm
}

func ExampleCalcs_packResistance() {
	desktest.Show(pack.Calcs(), "pack-resistance", "cells_series=20; cells_parallel=2; cell_ir_ref_mohm=1.2; joints_mohm=3; batt_peak_A=140")
	// Output:
	// pack_mohm = cells_series * cell_ir_ref_mohm / cells_parallel + joints_mohm = 20 * 1.2 mohm / 2 + 3 mohm = 15 mohm
	// sag_V = batt_peak_A * pack_mohm / 1000 = 140 A * 15 mohm / 1000 = 2.1 V
	// loaded_V = pack_nom_V - sag_V = 74 V - 2.1 V = 71.9 V
	// heat_W = batt_peak_A * sag_V = 140 A * 2.1 V = 294 W
	// short_A = 1000 * pack_max_V / pack_mohm = 1000 * 84 V / 15 mohm = 5600 A
}

func ExampleCalcs_groupCurrentShare() {
	desktest.Show(pack.Calcs(), "group-current-share", "cells_mohm=1.2 1.8; batt_peak_A=140; cell_max_A=80")
	// Output:
	// least_mohm = least of cells_mohm = least of (1.2 1.8) = 1.2 mohm
	// most_mohm = most of cells_mohm = most of (1.2 1.8) = 1.8 mohm
	// group_mohm = 1 / (sum of 1 / each of cells_mohm) = 1 / (sum of 1 / each of (1.2 1.8)) = 0.72 mohm
	// cell_peak_A = batt_peak_A * group_mohm / least_mohm = 140 A * 0.72 mohm / 1.2 mohm = 84 A
	// cell_least_A = batt_peak_A * group_mohm / most_mohm = 140 A * 0.72 mohm / 1.8 mohm = 56 A
	// Against the highest current of a cell: over the highest current of a cell
}

func ExampleCalcs_peukertTime() {
	desktest.Show(pack.Calcs(), "peukert-time", "capacity_Ah=120; load_A=120; peukert_k=1.4")
	// Output:
	// run_h = rated_h * (capacity_Ah / (load_A * rated_h))^peukert_k = 20 h * (120 Ah / (120 A * 20 h))^1.4 = 0.301709 h
	// run_Ah = load_A * run_h = 120 A * 0.301709 h = 36.2051 Ah
	// bare_h = capacity_Ah / load_A^peukert_k = 120 Ah / (120 A)^1.4 = 0.147342 h
	// note: two forms are in print; use the normalised one, run_h: the bare form is right only if the capacity is that at 1 A
}

func ExampleCalcs_peukertExponent() {
	desktest.Show(pack.Calcs(), "peukert-exponent", "i1_A=5; t1_h=20; i2_A=10; t2_h=7.5")
	// Output:
	// peukert_k = ln(t2_h / t1_h) / ln(i1_A / i2_A) = ln(7.5 h / 20 h) / ln(5 A / 10 A) = 1.41504
}

func ExampleCalcs_cellOcv() {
	desktest.Show(pack.Calcs(), "cell-ocv", "soc=50")
	// Output:
	// s = soc / 100 = 50 % / 100 = 0.5
	// ocv_V = -1.031 * exp(-35 * s) + 3.685 + 0.2156 * s - 0.1178 * s * s + 0.3201 * s * s * s = -1.031 * exp(-35 * 0.5) + 3.685 + 0.2156 * 0.5 - 0.1178 * 0.5 * 0.5 + 0.3201 * 0.5 * 0.5 * 0.5 = 3.80336 V
}

func ExampleCalcs_socFromVoltage() {
	desktest.Show(pack.Calcs(), "soc-from-voltage", "battery=lead-acid; rested_V=12.3")
	// Output:
	// u_V = meter_mV / 1000 + 0.1 = 5 mV / 1000 + 0.1 = 0.105 V
	// soc = read at rested_V = read at 12.3 V = 62.5 %
	// soc_low = least read at rested_V - u_V = least read at 12.3 V - 0.105 V = 49.375 %
	// soc_high = most read at rested_V + u_V = most read at 12.3 V + 0.105 V = 75.625 %
	// State of charge in words: about 63 %, between 49 and 76 %
}

func ExampleCalcs_selfDischarge() {
	desktest.Show(pack.Calcs(), "self-discharge", "selfdis_month=2.5; months=6")
	// Output:
	// kept = 100 * (1 - selfdis_month / 100)^months = 100 * (1 - 2.5 % / 100)^6 = 85.9068 %
}

func ExampleCalcs_restDrop() {
	desktest.Show(pack.Calcs(), "rest-drop", "first_V=3.962; last_V=3.950; rest_d=12")
	// Output:
	// selfdis_mV_week = 1000 * 7 * (first_V - last_V) / rest_d = 1000 * 7 * (3.962 V - 3.95 V) / 12 d = 7 mV/week
	// Against the limit: over the limit: set the cell aside
}

func ExampleCalcs_capacityFade() {
	desktest.Show(pack.Calcs(), "capacity-fade", "cycles=400")
	// Output:
	// capacity = max(0, 100 - (100 - end_capacity) * cycles / life_cycles) = max(0, 100 - (100 - 80 %) * 400 / 1000) = 92 %
}

func ExampleCalcs_cellImbalance() {
	desktest.Show(pack.Calcs(), "cell-imbalance", "cells_V=3.962 3.958 3.971 3.949")
	// Output:
	// highest = highest of cells_V = highest of (3.962 3.958 3.971 3.949) = 3.971 V
	// lowest = lowest of cells_V = lowest of (3.962 3.958 3.971 3.949) = 3.949 V
	// spread_mV = 1000 * (highest - lowest) = 1000 * (3.971 V - 3.949 V) = 22 mV
	// mean_V = sum of cells_V / 4 = sum of (3.962 3.958 3.971 3.949) / 4 = 3.96 V
	// Which ones: number 3 is highest, number 4 is lowest
	// What to do: 20 to 50 mV: balance, and watch it
}

func ExampleCalcs_dcdcInput() {
	desktest.Show(pack.Calcs(), "dcdc-input", "lv_load_A=10; pack_min_V=60")
	// Output:
	// dcdc_out_W = lv_load_A * lv_bus_V = 10 A * 13.8 V = 138 W
	// dcdc_in_A = dcdc_out_W / (dcdc_eff * pack_min_V) = 138 W / (0.88 * 60 V) = 2.61364 A
	// dcdc_in_W = dcdc_out_W / dcdc_eff = 138 W / 0.88 = 156.818 W
	// dcdc_heat_W = dcdc_in_W - dcdc_out_W = 156.818 W - 138 W = 18.8182 W
}

func ExampleCalcs_twelveVoltBudget() {
	desktest.Show(pack.Calcs(), "12v-budget", "loads_W=55 5 21 42 48; dcdc_A=20")
	// Output:
	// lv_sum_W = sum of loads_W = sum of (55 5 21 42 48) = 171 W
	// lv_need_W = lv_sum_W * in_hand = 171 W * 1.25 = 213.75 W
	// lv_need_A = lv_need_W / lv_bus_V = 213.75 W / 13.8 V = 15.4891 A
	// Against the converter: enough
}

func ExampleCalcs_accessoryEnergy() {
	desktest.Show(pack.Calcs(), "accessory-energy", "accessory_W=60; cruise_kmh=40")
	// Output:
	// accessory_wh_km = accessory_W / cruise_kmh = 60 W / 40 km/h = 1.5 Wh/km
}

func ExampleCalcs_wallEnergy() {
	desktest.Show(pack.Calcs(), "wall-energy", "pack_kWh=2016 Wh; elec_cents_kWh=42")
	// Output:
	// wall_kWh = pack_kWh * usable_fraction / charge_eff = 2.016 kWh * 1 / 0.88 = 2.29091 kWh
	// charge_cents = wall_kWh * elec_cents_kWh = 2.29091 kWh * 42 cents/kWh = 96.2182 cents
}

func ExampleCalcs_distanceCost() {
	desktest.Show(pack.Calcs(), "distance-cost", "wh_km=36; petrol_l_100km=3.5; petrol_cents_l=180; net_spend_cents=378870")
	// Output:
	// wall_wh_km = wh_km / charge_eff = 36 Wh/km / 0.88 = 40.9091 Wh/km
	// cost_km_cents = wh_km / 1000 / charge_eff * elec_cents_kWh = 36 Wh/km / 1000 / 0.88 * 31 cents/kWh = 1.26818 cents/km
	// cost_per_100km_cents = 100 * cost_km_cents = 100 * 1.26818 cents/km = 126.818 cents
	// petrol_per_100km_cents = petrol_l_100km * petrol_cents_l = 3.5 l/100 km * 180 cents/l = 630 cents
	// saving_per_100km_cents = petrol_per_100km_cents - cost_per_100km_cents = 630 cents - 126.818 cents = 503.182 cents
	// payback_km = 100 * net_spend_cents / saving_per_100km_cents = 100 * 378870 cents / 503.182 cents = 75294.9 km
}

func ExampleCalcs_packWindow() {
	desktest.Show(pack.Calcs(), "pack-window", "cells_series=20; cell_V_max=4.2; cell_V_charge=4.1; cell_V_nom=3.7; cell_V_min=3")
	desktest.Show(pack.Calcs(), "pack-window", "cell_V_max=4.2; cell_V_min=4.2")
	desktest.Show(pack.Calcs(), "pack-window", "cell_V_max=4.2; cell_V_charge=4.25")
	desktest.Show(pack.Calcs(), "pack-window", "cells_series=20")
	// Output:
	// pack_max_V = cells_series * cell_V_max = 20 * 4.2 V = 84 V
	// pack_charge_V = cells_series * cell_V_charge = 20 * 4.1 V = 82 V
	// pack_nom_V = cells_series * cell_V_nom = 20 * 3.7 V = 74 V
	// pack_min_V = cells_series * cell_V_min = 20 * 3 V = 60 V
	// Against 60 V DC: above 60 V DC
	// pack-window: cell_V_min "4.2": want less than cell_V_max
	// pack-window: cell_V_charge "4.25": want at most cell_V_max
	// pack-window: cell_V_max is missing: want at least one voltage of the cell
}

func ExampleCalcs_designEnergy() {
	desktest.Show(pack.Calcs(), "design-energy", "pack_nom_V=74; pack_Ah_design=42")
	// Output:
	// pack_kWh = pack_nom_V * pack_Ah_design / 1000 = 74 V * 42 Ah / 1000 = 3.108 kWh
}

func ExampleCalcs_cellSorting() {
	desktest.Show(pack.Calcs(), "cell-sorting", "cell_ir_ref_mohm=1.2; cell_ir_factor=1.5; cell_Ah_rated=26; cell_keep_fraction=80 %")
	// Output:
	// cell_ir_max_mohm = cell_ir_factor * cell_ir_ref_mohm = 1.5 * 1.2 mohm = 1.8 mohm
	// cell_Ah_keep = cell_keep_fraction * cell_Ah_rated = 0.8 * 26 Ah = 20.8 Ah
}

func ExampleCalcs_currentLimits() {
	desktest.Show(pack.Calcs(), "current-limits", "batt_peak_A=140; cell_max_A=60; cells_parallel=2; bms_charge_max_A=30; regen_max_A=20")
	desktest.Show(pack.Calcs(), "current-limits", "batt_peak_A=140; cell_max_A=60")
	// Output:
	// cell_peak_calc_A = batt_peak_A / cells_parallel = 140 A / 2 = 70 A
	// batt_allow_A = min(batt_peak_A, cell_A_share * cell_max_A * cells_parallel) = min(140 A, 0.9 * 60 A * 2) = 108 A
	// regen_allow_A = min(bms_charge_max_A, regen_max_A) = min(30 A, 20 A) = 20 A
	// note: the peak wanted is more than the cells allow
	// cell_peak_calc_A = batt_peak_A / cells_parallel = 140 A / 2 = 70 A
	// batt_allow_A = min(batt_peak_A, cell_A_share * cell_max_A * cells_parallel) = min(140 A, 0.9 * 60 A * 2) = 108 A
	// note: the peak wanted is more than the cells allow
}
