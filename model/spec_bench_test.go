package model

import (
	"fmt"
	"testing"
)

// BenchmarkSpecSheet works out a full spec sheet: 80 inputs and 60 values that
// follow from them and from each other.
func BenchmarkSpecSheet(b *testing.B) {
	plan := &Plan{}
	for i := range 80 {
		plan.Inputs = append(plan.Inputs, PlanInput{ID: fmt.Sprintf("in_%d", i), Unit: "V", Default: float64(i + 1)})
	}
	for i := range 60 {
		f := fmt.Sprintf("(in_%d * in_%d + 0.5 * in_%d) / in_%d", i, i+1, i+2, i+3)
		if i > 0 {
			f += fmt.Sprintf(" + sqrt(d_%d)", i-1)
		}
		plan.Derived = append(plan.Derived, PlanDerived{ID: fmt.Sprintf("d_%d", i), Unit: "V", Formula: f})
	}
	for b.Loop() {
		build := &Build{regs: registers{}}
		build.makeSpec(plan)
		if v := build.Spec.Derived[59]; v.Err != "" {
			b.Fatal(v.Err)
		}
	}
}
