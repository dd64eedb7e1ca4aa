package day_test

import (
	"fmt"

	"ampwright/calc/forecast/day"
)

// The motor is not ordered yet, and the paint must dry for two days.
func ExampleSimulate() {
	p := day.Project{
		Now: 20600, Planned: 300,
		Hours: [5]float64{7, 8, 9, 11, 13},
		Tasks: []day.Task{
			{ID: "paint the frame", Hours: 3, Spread: 0.5, MinStint: 60, Wait: day.Hours3{Low: 24, Likely: 48, High: 96}},
			{ID: "mount the motor", Hours: 6, Spread: 0.5, MinStint: 60, After: []string{"paint the frame"}, Parts: []string{"motor"}},
		},
		Parts: []day.Part{{ID: "motor", Low: 18, High: 40}},
	}
	for d := p.Now - 70; d < p.Now; d += 7 {
		p.Sessions = append(p.Sessions, day.Session{Day: d, Minutes: 180}, day.Session{Day: d + 3, Minutes: 90})
	}
	o, err := day.Simulate(p, 2000)
	if err != nil {
		fmt.Println(err)
		return
	}
	motor := o.Parts[0]
	fmt.Printf("done in %d to %d days, as likely before as after %d\n", o.P10-p.Now, o.P90-p.Now, o.P50-p.Now)
	fmt.Printf("the motor comes too late in %.0f %% of trials, and costs %.0f days then\n", 100*motor.TooLate, motor.Cost)
	fmt.Printf("to be late in 1 of 10 only it had to be ordered %d days ago\n", p.Now-motor.OrderBy[0])
	// Output:
	// done in 28 to 59 days, as likely before as after 41
	// the motor comes too late in 94 % of trials, and costs 23 days then
	// to be late in 1 of 10 only it had to be ordered 33 days ago
}
