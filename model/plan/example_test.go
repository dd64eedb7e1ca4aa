package plan_test

import (
	"fmt"

	"ampwright/model/plan"
)

func ExampleBuiltin() {
	p, _ := plan.Builtin("kart-chain", 0)
	first := p.Tasks[0]
	fmt.Println(p.Title)
	fmt.Printf("%s: %s, %g to %g h\n", first.ID, first.Title, first.Estimate.Low, first.Estimate.High)
	// Output:
	// Petrol kart to battery-electric, chain drive, new LFP cells, voltage class A
	// in-01: Check and weigh the chassis, set targets, 0.5 to 2 h
}

func ExampleLoad() {
	_, err := plan.Load("mine.1.json", []byte(`{"format": "ampwright-plan/1", "id": "mine", "version": "1",
		"title": "Mine", "stages": [], "tasks": []}`))
	fmt.Println(err)
	// Output:
	// mine.1.json: version: "1" where a whole number is wanted
}
