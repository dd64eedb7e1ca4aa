package electric

import (
	"fmt"

	"ampwright/calc/desk"
)

// Throttle returns the share of full drive, 0 to 1, of a signal in volts
// between the voltages at rest and at full twist: it is held to 0 and 1.
func Throttle(signalV, restV, fullV float64) float64 {
	return min(1, max(0, (signalV-restV)/(fullV-restV)))
}

// The fault limits taken when none is given: the high one is one controller
// maker's, the low one common practice.
const (
	throttleFaultLowV  = 0.5
	throttleFaultHighV = 4.0
)

func throttleSignal() *desk.Calc {
	return &desk.Calc{
		Name: "throttle-signal", Title: "Throttle signal: share of drive and fault limits", Group: groupCommission,
		Inputs: []desk.Input{
			desk.Num("signal_V", "Signal read", "V", "", -1, 100),
			desk.Num("throttle_rest_V", "Signal at rest", "V", "0.9", 0, 100),
			desk.Num("throttle_full_V", "Signal at full twist", "V", "3.6", 0, 100),
			desk.Num("fault_low_V", "Below this a fault", "V", "-", 0, 100),
			desk.Num("fault_high_V", "Above this a fault", "V", "-", 0, 100),
		},
		Outputs: []desk.Output{desk.Out("throttle_percent", "Share of full drive", "%"), desk.Out("state", "Signal", "")},
		Formula: []string{
			"throttle_percent = 100 * (signal_V - throttle_rest_V) / (throttle_full_V - throttle_rest_V), held to 0 and 100",
			"below fault_low_V or above fault_high_V: fault, no drive",
		},
		Source: "controller and throttle makers' manuals (read): 0.9 to 3.6 V on a 4.3 V supply, above 4.0 V a fault; 1 to 4 V on 5 V; low limit of 0.5 V: common practice, no published source",
		Valid:  "limits left out are 0.5 V, or the signal at rest if that is lower, and 4.0 V, or the signal at full twist if that is higher; the controller's manual decides",
		Cautions: []string{
			"a broken ground lead drives a Hall signal high: the high fault limit keeps that from being full drive",
			"prove each fault with the wheel off the ground: signal open, signal to 5 V, ground open, twisted at key-on",
		},
		Do: func(s *desk.Sheet) {
			v, rest, full := s.Num("signal_V"), s.Num("throttle_rest_V"), s.Num("throttle_full_V")
			if full <= rest {
				s.Fail("throttle_full_V", "want more than throttle_rest_V")
				return
			}
			low, high := min(throttleFaultLowV, rest), max(throttleFaultHighV, full)
			if s.Has("fault_low_V") {
				low = s.Num("fault_low_V")
			}
			if s.Has("fault_high_V") {
				high = s.Num("fault_high_V")
			}
			if low > rest {
				s.Fail("fault_low_V", "want at most throttle_rest_V")
				return
			}
			if high < full {
				s.Fail("fault_high_V", "want at least throttle_full_V")
				return
			}
			if low <= 0 {
				s.Note("the signal rests near 0 V: an open wire looks like rest, not like a fault")
			}
			if above(v, high) || below(v, low) {
				s.Out("throttle_percent", 0, "0")
				if above(v, high) {
					s.Say("state", fmt.Sprintf("fault: above %g V, no drive", high))
				} else {
					s.Say("state", fmt.Sprintf("fault: below %g V, no drive", low))
				}
				return
			}
			p := s.Out("throttle_percent", 100*Throttle(v, rest, full), "100 * (signal_V - throttle_rest_V) / (throttle_full_V - throttle_rest_V), held to 0 and 100")
			switch {
			case p <= 0:
				s.Say("state", "rest")
			case p >= 100:
				s.Say("state", "full drive")
			default:
				s.Say("state", "drive")
			}
		},
	}
}
