package pack_test

import (
	"fmt"
	"strings"

	"ampwright/calc/pack"
	"ampwright/calc/unit"
)

// show does a calculation with what is typed and prints the results.
func show(name, typed string) {
	in := map[string]string{}
	for _, pair := range strings.Split(typed, "; ") {
		k, v, _ := strings.Cut(pair, "=")
		in[k] = v
	}
	for _, c := range pack.Calcs() {
		if c.Name != name {
			continue
		}
		res, err := c.Run(in, unit.Style{})
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, v := range res.Out {
			if v.Unit == "" {
				fmt.Println(v.Title+":", v.Text)
			} else {
				fmt.Println(v.Title+":", unit.Format(v.Number, v.Unit, unit.Style{}))
			}
		}
		for _, n := range res.Notes {
			fmt.Println("note:", n)
		}
	}
}

func ExampleCalcs_packVoltage() {
	show("pack-voltage", "chemistry=nmc; cells_series=20; cell_V_charge=4.1")
	// Output:
	// Nominal pack voltage: 72.0 V
	// Highest pack voltage: 84.0 V
	// Discharge stop of the pack: 60.0 V
	// Charge stop of the pack: 82.0 V
	// Absolute minimum of the pack: 50.0 V
	// Against 60 V DC: above 60 V DC
}

func ExampleCalcs_packEnergy() {
	show("pack-energy", "cells_series=20; cells_parallel=8; cell_V_nom=3.6; cell_Ah_rated=3.5")
	// Output:
	// Cells in the pack: 160
	// Nominal pack voltage: 72.0 V
	// Pack capacity: 28.0 Ah
	// Pack energy: 2.02 kWh
}

func ExampleCalcs_cRate() {
	show("c-rate", "batt_A=120; pack_Ah=28; cells_parallel=8")
	// Output:
	// C-rate, multiples of the capacity per hour: 4.29
	// Current per cell, shared equally: 15.0 A
}

func ExampleCalcs_cRateCurrent() {
	show("c-rate-current", "c_rate=0.5; pack_Ah=100")
	// Output:
	// Battery current: 50.0 A
}

func ExampleCalcs_chargeTime() {
	show("charge-time", "pack_kWh=5.12; charger_W=1.5 kW; charge_eff=90 %; soc_from=20; soc_to=100")
	// Output:
	// Time at constant power: 2.28 h
	// Time in the taper: 1.94 h
	// Charge time: 4.22 h
	// Energy from the wall: 4.55 kWh
}

func ExampleCalcs_chargeTimeCurrent() {
	show("charge-time-current", "pack_Ah_design=42; charger_A=8")
	// Output:
	// Charge time after a full ride: 4.91 h
}

func ExampleCalcs_dcResistance() {
	show("dc-resistance", "v1_V=78.0; i1_A=2; v2_V=74.4; i2_A=62")
	// Output:
	// DC resistance: 60.0 mohm
}

func ExampleCalcs_dcResistanceLoad() {
	show("dc-resistance-load", "open_V=4.10; load_V=3.95; load_ohm=4")
	// Output:
	// Current through the load: 0.988 A
	// Power in the load: 3.90 W
	// DC resistance: 152 mohm
}

func ExampleCalcs_packResistance() {
	show("pack-resistance", "cells_series=20; cells_parallel=2; cell_ir_ref_mohm=1.2; joints_mohm=3; batt_peak_A=140")
	// Output:
	// Pack resistance, joints included: 15.0 mohm
	// Pack sag at peak current: 2.10 V
	// Pack voltage under the peak current: 71.9 V
	// Heat in the pack at peak current: 294 W
	// Prospective short-circuit current: 5600 A
}

func ExampleCalcs_groupCurrentShare() {
	show("group-current-share", "cells_mohm=1.2 1.8; batt_peak_A=140; cell_max_A=80")
	// Output:
	// Resistance of the group: 0.720 mohm
	// Current in the cell of least resistance: 84.0 A
	// Current in the cell of most resistance: 56.0 A
	// Against the highest current of a cell: over the highest current of a cell
}

func ExampleCalcs_peukertTime() {
	show("peukert-time", "capacity_Ah=120; load_A=120; peukert_k=1.4")
	// Output:
	// Time it lasts, normalised form: 0.302 h
	// Capacity at this current: 36.2 Ah
	// Time by the bare form, capacity taken as that at 1 A: 0.147 h
	// note: two forms are in print; use the normalised one, run_h: the bare form is right only if the capacity is that at 1 A
}

func ExampleCalcs_peukertExponent() {
	show("peukert-exponent", "i1_A=5; t1_h=20; i2_A=10; t2_h=7.5")
	// Output:
	// Peukert exponent: 1.42
}

func ExampleCalcs_cellOcv() {
	show("cell-ocv", "soc=50")
	// Output:
	// Open-circuit voltage: 3.80 V
}

func ExampleCalcs_socFromVoltage() {
	show("soc-from-voltage", "battery=lead-acid; rested_V=12.3")
	// Output:
	// State of charge, middle of the range: 62.5 %
	// At least: 49.4 %
	// At most: 75.6 %
	// State of charge in words: about 63 %, between 49 and 76 %
}

func ExampleCalcs_selfDischarge() {
	show("self-discharge", "selfdis_month=2.5; months=6")
	// Output:
	// Share of the charge kept: 85.9 %
}

func ExampleCalcs_restDrop() {
	show("rest-drop", "first_V=3.962; last_V=3.950; rest_d=12")
	// Output:
	// Drop per week: 7.00 mV/week
	// Against the limit: over the limit: set the cell aside
}

func ExampleCalcs_capacityFade() {
	show("capacity-fade", "cycles=400")
	// Output:
	// Capacity left: 92.0 %
}

func ExampleCalcs_cellImbalance() {
	show("cell-imbalance", "cells_V=3.962 3.958 3.971 3.949")
	// Output:
	// Highest less lowest: 22.0 mV
	// Mean: 3.96 V
	// Which ones: number 3 is highest, number 4 is lowest
	// What to do: 20 to 50 mV: balance, and watch it
}

func ExampleCalcs_dcdcInput() {
	show("dcdc-input", "lv_load_A=10; pack_min_V=60")
	// Output:
	// Output power: 138 W
	// Input current, worst case: 2.61 A
	// Power from the pack: 157 W
	// Heat in the converter: 18.8 W
}

func ExampleCalcs_twelveVoltBudget() {
	show("12v-budget", "loads_W=55 5 21 42 48; dcdc_A=20")
	// Output:
	// All loads: 171 W
	// Converter power wanted: 214 W
	// Converter current wanted: 15.5 A
	// Against the converter: enough
}

func ExampleCalcs_accessoryEnergy() {
	show("accessory-energy", "accessory_W=60; cruise_kmh=40")
	// Output:
	// Energy per kilometre: 1.50 Wh/km
}

func ExampleCalcs_wallEnergy() {
	show("wall-energy", "pack_kWh=2016 Wh; elec_cents_kWh=42")
	// Output:
	// Energy from the wall: 2.29 kWh
	// Cost of the charge: 96.2 cents
}

func ExampleCalcs_distanceCost() {
	show("distance-cost", "wh_km=36; petrol_l_100km=3.5; petrol_cents_l=180; net_spend_cents=378870")
	// Output:
	// Energy per kilometre at the wall: 40.9 Wh/km
	// Electricity per km: 1.27 cents/km
	// Electricity per 100 km: 127 cents
	// Petrol per 100 km: 630 cents
	// Electricity costs less by, per 100 km: 503 cents
	// Distance that earns the build back: 75295 km
}
