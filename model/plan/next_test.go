package plan_test

import (
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// The plan that the demo makes loads, has the hours its finished tasks took, the
// prices that were paid and everything else as it was.
func TestNext(t *testing.T) {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	b, err := l.Build(demo.Build, demo.End, plan.Builtin)
	require.NoError(t, err)
	for _, c := range []model.Curve{{Rate: 1}, {Rate: 0.8}, {Rate: 0.8, Form: model.AverageForm}} {
		data, err := plan.Next(b, c)
		require.NoError(t, err)
		p, err := plan.Load("next", data)
		require.NoError(t, err)
		require.Len(t, p.Tasks, len(b.Tasks))
		require.Len(t, p.Derived, len(b.Plan.Derived))
		hours := map[string]model.Hours3{}
		parts := map[string]model.PlanPart{}
		checks := 0
		for _, task := range p.Tasks {
			hours[task.ID] = task.Estimate
			checks += len(task.Checks)
			for _, part := range task.Parts {
				parts[part.ID] = part
			}
		}
		require.Len(t, parts, len(b.Parts))
		require.Equal(t, len(b.Checks), checks)
		lessons, err := b.Lessons(c)
		require.NoError(t, err)
		require.Len(t, lessons, 47)
		share, err := c.Second()
		require.NoError(t, err)
		for _, lesson := range lessons {
			require.Equal(t, lesson.Next, hours[lesson.Task.ID])
			if lesson.Real > 0 {
				require.InDelta(t, lesson.Real*share, lesson.Next.Likely, 0.0101, "written to a hundredth of an hour")
			}
		}
		priced := 0
		for _, lesson := range b.PartLessons() {
			if part := parts[lesson.Part.ID]; lesson.Price >= 0 {
				require.Equal(t, lesson.Price, part.PriceHigh)
				priced++
			}
			if lesson.Days >= 0 {
				require.Equal(t, lesson.Days, parts[lesson.Part.ID].LeadHigh)
			}
		}
		require.Greater(t, priced, 5)
		// the demo's story (ours): the motor came 12 days late
		o, err := b.OrderBy("O1")
		require.NoError(t, err)
		require.Equal(t, 12, o.DaysLate)
		require.Equal(t, int(o.Arrived.Time().Sub(o.At.Time()).Hours()/24+0.5), parts["hub-motor"].LeadHigh)
	}
	_, err = plan.Next(b, model.Curve{Rate: 2})
	require.ErrorContains(t, err, "want 0.5 to 1")
}
