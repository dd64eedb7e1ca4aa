package words

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model"
)

// fieldNames are the fields of things as people say them.
var fieldNames = map[string]string{
	"mark": "decimal mark", "theme": "light", "checked": "last check", "week": "hours a week", "target": "to ride on",
}

func (c Context) set(b *model.Set) Said {
	value := c.Value(b)
	s := Said{
		Kind: cmp.Or(b.What, b.Kind()), Note: b.Note, Also: []string{b.Key},
		Text: Join(": ", Join(" ", b.Key, cmp.Or(fieldNames[b.Field], b.Field)), value),
	}
	plain := Join(": ", b.Key, value)
	switch b.What + "/" + b.Field {
	case "task/state":
		s.Kind, s.Text = "task "+b.Value, b.Key
		if b.Value == "open" {
			s.Kind = "task taken up"
		}
	case "task/estimate":
		s.Kind, s.Text = "estimate", plain
	case "part/state":
		s.Text = plain
	case "spec/value":
		s.Kind, s.Text = "spec sheet", plain
		if in := c.spec(b.Key); in != nil {
			s.Text = b.Key + ", " + Lower(in.Title) + ": " + value
		}
	case "check/min":
		s.Kind, s.Text = "limit", b.Key+": "+limit(value, "at least ", "no lower limit")
	case "check/max":
		s.Kind, s.Text = "limit", b.Key+": "+limit(value, "at most ", "no upper limit")
	case "order/promised", "order/paid":
		name := b.Key
		if id, err := model.ParseID(b.Key); err == nil {
			label := ""
			name, label = c.named(id)
			s.Also = []string{label}
		}
		s.Text = name + ": promised for " + value
		if b.Field == "paid" {
			s.Text = name + ": paid"
			if b.Value != "yes" {
				s.Text = name + ": not paid"
			}
		}
	case "device/name":
		s.Kind, s.Text = "device", fmt.Sprintf("%.8s is called %s", b.Key, b.Value)
	case "check/days", "check/km":
		s.Kind, s.Text = "due again", b.Key+": after "+value+" "+b.Field
	case "odometer/km":
		s.Text = value + " km"
	case "area/is":
		s.Kind, s.Text = "area of work", b.Key+" is "+value
	case "sheet/columns":
		s.Kind, s.Text = "columns of a sheet", value
	case "edge/on":
		first, then, _ := strings.Cut(b.Key, ">")
		s.Kind, s.Text, s.Task, s.Also = "order of tasks", Join(" before ", first, then), then, []string{first}
		if b.Value != "on" {
			s.Text += " no longer"
		}
	}
	switch b.What {
	case "task":
		s.Task, s.Also = b.Key, nil
	case "check":
		s.Check, s.Also = b.Key, nil
	}
	s.Text = Join("; ", s.Text, before("typed ", b.Typed))
	return s
}

func limit(value, side, none string) string {
	if value == "none" {
		return none
	}
	return side + value
}

// Value writes what a field was set to, or what is written in it when it is not
// what the field holds.
func (c Context) Value(b *model.Set) string {
	switch b.What + "/" + b.Field {
	case "task/estimate":
		return marked(strings.ReplaceAll(b.Value, "/", " / "), c.Style.Mark) + " h"
	case "spec/value":
		if in := c.spec(b.Key); in != nil {
			return c.quantity(b.Value, in.Unit)
		}
	case "check/min", "check/max":
		if c.Build != nil && c.Build.Check(b.Key) != nil {
			return c.quantity(b.Value, c.Build.Check(b.Key).Unit)
		}
	case "build/ceiling":
		return c.minor(b.Value)
	case "part/price":
		low, high, _ := strings.Cut(b.Value, "/")
		if low == high || high == "" {
			return c.minor(low)
		}
		return c.minor(low) + " to " + c.minor(high)
	case "build/week":
		if n, err := strconv.ParseInt(b.Value, 10, 64); err == nil {
			return Hours(n, c.Style.Mark)
		}
	case "order/promised", "build/target", "instrument/checked":
		return c.date(b.Value)
	}
	return b.Value
}

func (c Context) spec(key string) *model.SpecValue {
	if c.Build == nil {
		return nil
	}
	return c.Build.Spec.Get(key)
}

// quantity writes a number kept in a unit; a formula stays as it is.
func (c Context) quantity(text, in string) string {
	d, err := unit.Parse(text, in, unit.Point)
	if err != nil {
		return text
	}
	return unit.FormatDecimal(d, in, c.Style)
}

// minor writes an amount that a field holds in minor units.
func (c Context) minor(text string) string {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return text
	}
	return c.Money(n)
}
