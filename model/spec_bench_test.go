package model_test

import (
	"fmt"
	"testing"

	"ampwright/model"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// BenchmarkSpecSheet works out a spec sheet of 80 inputs and 60 values that
// follow from them and from each other: all by formulas; all by calculations of
// the desk, those of the built-in motorcycle and some of them again; and what
// one other input moves.
func BenchmarkSpecSheet(b *testing.B) {
	b.Run("formulas", func(b *testing.B) { workOut(b, byFormulas()) })
	b.Run("calculations", func(b *testing.B) { workOut(b, byCalculations(b)) })
	b.Run("what-if", func(b *testing.B) {
		build := start(b, hub).build()
		for b.Loop() {
			if _, err := build.WhatIf(map[string]string{"cells_series": "24"}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// workOut makes the plan anew each time: a plan works its sheet out only once.
func workOut(b *testing.B, p *model.Plan) {
	require.Len(b, p.Inputs, 80)
	require.Len(b, p.Derived, 60)
	for b.Loop() {
		s := (&model.Plan{Inputs: p.Inputs, Derived: p.Derived}).Sheet()
		if v := s.Derived[59]; v.Err != "" {
			b.Fatal(v.Err)
		}
	}
}

func byFormulas() *model.Plan {
	p := &model.Plan{}
	for i := range 80 {
		p.Inputs = append(p.Inputs, model.PlanInput{ID: fmt.Sprintf("in_%d", i), Unit: "V", Default: float64(i + 1)})
	}
	for i := range 60 {
		f := fmt.Sprintf("(in_%d * in_%d + 0.5 * in_%d) / in_%d", i, i+1, i+2, i+3)
		if i > 0 {
			f += fmt.Sprintf(" + sqrt(d_%d)", i-1)
		}
		p.Derived = append(p.Derived, model.PlanDerived{ID: fmt.Sprintf("d_%d", i), Unit: "V", Formula: f})
	}
	return p
}

func byCalculations(b *testing.B) *model.Plan {
	from, ok := plan.Builtin(hub, 2)
	require.True(b, ok)
	p := &model.Plan{Inputs: from.Inputs[:len(from.Inputs):len(from.Inputs)], Derived: from.Derived[:len(from.Derived):len(from.Derived)]}
	for i := len(p.Inputs); i < 80; i++ {
		p.Inputs = append(p.Inputs, model.PlanInput{ID: fmt.Sprintf("in_%d", i), Unit: "V", Default: 1})
	}
	for i := 0; len(p.Derived) < 60; i++ {
		d := from.Derived[i]
		d.ID += "_again"
		p.Derived = append(p.Derived, d)
	}
	for _, d := range p.Derived {
		require.NotNil(b, d.Figure, d.ID)
	}
	return p
}
