package ahead

import (
	"ampwright/calc/forecast/spend"
	"ampwright/model"
)

// Closed works out what needs no trials: hours and money.
func Closed(b *model.Build) error {
	s := stateOf(b, nil)
	r, err := s.hours(nil)
	if err != nil {
		return err
	}
	_, err = spend.Forecast(s.money(r.Total.Mean))
	return err
}
