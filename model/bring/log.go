package bring

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ampwright/calc/bms"
	"ampwright/calc/unit"
	"ampwright/model"
)

// An Offer is a reading that a log could be: a person confirms it or not.
type Offer struct {
	Check string
	Value []string // with units
	Why   string
	No    string // why it is not offered; "" where it is
}

// Wish returns the wish that writes the reading down; a person has looked at it
// beside its log.
func (o Offer) Wish(file, hash string) model.Wish {
	return model.Wish{Name: "read", Values: map[string][]string{
		"check": {o.Check}, "value": o.Value, model.Sure: {"yes"}, "note": {fmt.Sprintf("%s; from the log %s, SHA-256 %s", o.Why, file, hash)},
	}}
}

// Shown returns the values as a person reads them: without the zero in front that
// keeps 4.001 from being taken for thousands, see decimal.
func (o Offer) Shown() []string {
	var all []string
	for _, v := range o.Value {
		if len(v) > 1 && v[0] == '0' && v[1] >= '0' && v[1] <= '9' {
			v = v[1:]
		}
		all = append(all, v)
	}
	return all
}

// LogWhat is what a battery's log is called where it is said what was brought in.
const LogWhat = "battery log"

// LogRow returns an offer as a line that is brought in: the same from the same log
// is one reading, however often and on however many devices it is taken.
func LogRow(file, hash string, o Offer) model.Row {
	return model.Row{Key: model.RowKey(LogWhat, []string{hash, o.Check}, 1), Line: 1, Wish: "read", Values: o.Wish(file, hash).Values}
}

// LogWish returns the wish that notes a log: with the blobs that keep its file, if
// it is kept, and the readings that were taken from it. how says how long it is.
func LogWish(file, hash, how string, pieces []string, taken ...Offer) model.Wish {
	w := model.Wish{Name: model.BringWish, Values: map[string][]string{"file": {file}, "hash": {hash}, "what": {LogWhat}, "how": {how}, "pieces": pieces}}
	for _, o := range taken {
		w.Rows = append(w.Rows, LogRow(file, hash, o))
	}
	return w
}

// LogLength says how long a log is.
func LogLength(r *bms.Run) string { return fmt.Sprintf("%d lines, %d kB", r.Rows, (r.Bytes+512)>>10) }

// Offers returns the readings of build b that a log could be. km is the distance
// of the run where a person knows it, else 0. The voltages of groups are not
// offered before the sense leads are proved.
func Offers(b *model.Build, r *bms.Run, km float64) []Offer {
	if km <= 0 {
		km = r.Km
	}
	var all []Offer
	offer := func(check, in string, why, no string, values ...float64) {
		c := b.Check(check)
		if c == nil || !c.Applies || c.Unit != in || len(values) == 0 {
			return
		}
		o := Offer{Check: check, Why: why, No: no}
		for _, v := range values {
			o.Value = append(o.Value, decimal(unit.FromFloat(v, 6))+" "+unit.Symbol(in))
		}
		if c.Want > 1 && len(values) != c.Want {
			o.No = fmt.Sprintf("it wants %d values, the log has %d", c.Want, len(values))
		}
		all = append(all, o)
	}
	order := ""
	if c := b.Check("tap-step"); c != nil && !c.Cleared() {
		order = "the order of the cells is not proved: tap-step is " + c.Why()
	}
	if len(r.Rest) > 0 {
		offer("group-volts", "V", "the last line at rest", order, r.Rest...)
		if c := b.Check("group-spread"); c != nil && c.Derive == nil {
			offer("group-spread", "mV", "the last line at rest", "", math.Round(r.RestSpread*1000))
		}
	}
	sign := ""
	if r.Sign == 0 {
		sign = "which sign of the current is discharge does not show"
	}
	if r.Regen > 0 {
		offer("regen-road", "A", "the largest charging current within 30 s after a discharge", sign, r.Regen)
	}
	if r.Sag > 0 {
		offer("sag-check", "V", fmt.Sprintf("volts at rest less volts at %.1f A", r.Discharge), sign, r.Sag)
	}
	if !math.IsNaN(r.Hottest) {
		offer("cell-temp-run", "degC", fmt.Sprintf("the hottest sensor, T%d", r.HotSensor), "", r.Hottest)
	}
	if per := r.WhPerKm(km); per > 0 {
		offer("energy-per-km", "Wh/km", fmt.Sprintf("%.0f Wh out less %.0f Wh back, over %s km", r.OutWh, r.BackWh, strconv.FormatFloat(km, 'f', -1, 64)), sign, per)
	}
	return all
}

// OfferNamed finds an offer; the error says which there are.
func OfferNamed(all []Offer, check string) (Offer, error) {
	var names []string
	for _, o := range all {
		if o.Check == check && o.No != "" {
			return o, fmt.Errorf("%s is not offered: %s", check, o.No)
		}
		if o.Check == check {
			return o, nil
		}
		if o.No == "" {
			names = append(names, o.Check)
		}
	}
	if len(names) == 0 {
		names = []string{"none"}
	}
	return Offer{}, fmt.Errorf("%q is no reading of this log; there is %s", check, strings.Join(names, ", "))
}
