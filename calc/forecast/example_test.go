package forecast_test

import (
	"fmt"

	"ampwright/calc/forecast"
)

// A build half done: what is left of it, and why the figure is no surer.
func ExampleRest() {
	finished := func(likely, logged float64) forecast.Work {
		return forecast.Work{Low: likely / 2, Likely: likely, High: 2 * likely, Logged: logged, Done: true}
	}
	found := finished(1, 1.5) // a seized swingarm bolt, on nobody's list
	found.Found = true
	again := finished(3, 4) // and an hour more after the run-out was measured
	again.Logged, again.Rework = 5, 1
	left, err := forecast.Rest(forecast.Build{Tasks: []forecast.Work{
		finished(2, 3), finished(4, 5), finished(1, 1), found, again,
		{Name: "weld sense leads", Low: 3, Likely: 5, High: 12, Logged: 1},
		{Name: "close the pack", Low: 2, Likely: 3, High: 6},
		{Name: "first charge", Low: 1, Likely: 2, High: 4},
	}}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("8 in 10: between %.0f and %.0f hours\n", left.Total.P10, left.Total.P90)
	fmt.Printf("on average %.1f: listed %.1f, not thought of yet %.1f, to be done again %.1f\n",
		left.Total.Mean, left.Listed.Mean, left.Found.Mean, left.Rework.Mean)
	fmt.Printf("%d finished tasks took %.1f hours, estimated %.1f; their pace counts for %.0f %%\n",
		left.Basis.Finished, left.Basis.Hours, left.Basis.Estimate, 100*left.Basis.Pace.Weight)
	fmt.Printf("the first open task has %.0f %% of the spread; what widens most: %s\n",
		100*left.Tasks[0].Spread, left.Basis.Reasons.Widest())
	// Output:
	// 8 in 10: between 8 and 25 hours
	// on average 15.9: listed 12.2, not thought of yet 2.0, to be done again 1.7
	// 5 finished tasks took 14.5 hours, estimated 11.9; their pace counts for 21 %
	// the first open task has 48 % of the spread; what widens most: few
}
