package figures

import (
	"fmt"
	"math"
	"strings"

	"ampwright/calc/desk"
)

func criticalPath() *desk.Calc {
	return &desk.Calc{
		Name: "critical-path", Title: "Critical path, floats and the chance to be done in time", Group: forecasting,
		Inputs: []desk.Input{
			{Name: "tasks", Title: `The network, one task a line or between semicolons: "A 6; E 5/6/9 after A, D"; as arcs "1-2 7; 2-4 6"`, Text: true},
			desk.Choice("form", "What a line names", "tasks", "tasks", "arcs"),
			desk.Num("by", "Hour to be done by; may be left out", "h", "-", 0, 1e8),
			{Name: "task", Title: "One task whose times are wanted", Text: true, Default: "-"},
		},
		Outputs: []desk.Output{
			desk.Out("finish", "Finish of the network", "h"),
			desk.Out("sd", "Standard deviation of the critical path", "h"),
			desk.Out("critical", "Critical path", ""),
			desk.Out("schedule", "Early and late start and finish, float", ""),
			desk.Out("paths", "Paths, the longest first", ""),
			desk.Out("p_path", "Chance to be done, by the critical path alone", "ratio"),
			desk.Out("p_all", "Chance to be done, all paths", "ratio"),
			desk.Out("ES", "Early start of the task", "h"),
			desk.Out("EF", "Early finish of the task", "h"),
			desk.Out("LS", "Late start of the task", "h"),
			desk.Out("LF", "Late finish of the task", "h"),
			desk.Out("float", "Float of the task", "h"),
		},
		Formula: []string{
			"d = (low + 4 * likely + high) / 6; variance = ((high - low) / 6)^2",
			"forwards: ES = the largest EF of what it comes after; EF = ES + d",
			"backwards: LF = the smallest LS of what comes after it; LS = LF - d; float = LS - ES",
			"sd = sqrt(sum of the variances along the critical path)",
			"p_path = Phi((by - finish) / sd); p_all = the product over the paths of Phi((by - mean) / sd)",
		},
		Source: "critical path method and PERT, worked textbook networks (read)",
		Valid: "the sum along a path is taken as normal, the tasks as independent. Where paths run side by side the network " +
			"ends later than its critical path alone says (merge bias); paths that share tasks are not independent, and p_all is then on the low side",
		Do: doCriticalPath,
	}
}

func doCriticalPath(s *desk.Sheet) {
	arcs := s.Text("form") == "arcs"
	tasks, err := ParseNetwork(s.Text("tasks"), arcs, s.Mark())
	if err != nil {
		s.Fail("tasks", err.Error())
		return
	}
	one := -1
	var names []string
	for i, t := range tasks {
		names = append(names, t.Name)
		if t.Name == s.Text("task") {
			one = i
		}
	}
	if s.Has("task") && one < 0 {
		s.Fail("task", "want one of "+strings.Join(names, ", "))
		return
	}
	plan, err := Plan(tasks)
	if err != nil {
		s.Fail("tasks", err.Error())
		return
	}
	ids := stepNames(names)
	showTimes(s, tasks, plan, ids)
	paths, all := plan.Paths(tasks)
	s.Out("sd", math.Sqrt(plan.Variance), sdFormula(s, tasks, plan, paths))
	s.Say("critical", critical(tasks, plan, paths, arcs))
	s.Say("schedule", table(s, tasks, plan))
	sayPaths(s, tasks, paths, arcs, all)
	if s.Has("by") {
		by := s.Num("by")
		s.Out("p_path", ByThen(by, plan.Finish, plan.Variance), "Phi((by - finish) / sd)")
		if all {
			p, formula := 1.0, ""
			for _, path := range paths {
				one := ByThen(by, path.Mean, path.Variance)
				p *= one
				if len(paths) <= 12 {
					formula += " * " + s.Figure(one, "ratio")
				}
			}
			if formula == "" {
				formula = fmt.Sprintf("   %d of them", len(paths))
			}
			s.Out("p_all", p, "product over the paths, "+formula[3:])
		}
	}
	if one >= 0 {
		t, id := plan.Times[one], ids[one]
		s.Out("ES", t.ES, "ES_"+id)
		s.Out("EF", t.EF, "EF_"+id)
		s.Out("LS", t.LS, "LS_"+id)
		s.Out("LF", t.LF, "LF_"+id)
		s.Out("float", t.Float, "float_"+id)
	}
}

// stepNames makes names that the working can be followed by.
func stepNames(names []string) []string {
	used := map[string]bool{}
	var ids []string
	for i, n := range names {
		id := strings.Map(func(r rune) rune {
			if r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
				return r
			}
			return '_'
		}, n)
		for used[id] {
			id = fmt.Sprintf("%s_%d", id, i+1)
		}
		used[id] = true
		ids = append(ids, id)
	}
	return ids
}

// showTimes writes the forward and the backward pass line by line.
func showTimes(s *desk.Sheet, tasks []Task, plan Schedule, ids []string) {
	f := func(v float64) string { return digits(s, v) }
	for _, i := range plan.Order {
		t, id := tasks[i], ids[i]
		d := f(t.Likely)
		if t.Low != t.High {
			d = fmt.Sprintf("(%s + 4 * %s + %s) / 6", f(t.Low), f(t.Likely), f(t.High))
		}
		s.Step("d_"+id, t.Mean(), "h", d)
		s.Step("ES_"+id, plan.Times[i].ES, "h", edge("max", "EF_", t.After, ids, "0"))
		s.Step("EF_"+id, plan.Times[i].EF, "h", "ES_"+id+" + d_"+id)
	}
	var ends []int
	for i, next := range plan.Next {
		if len(next) == 0 {
			ends = append(ends, i)
		}
	}
	s.Out("finish", plan.Finish, edge("max", "EF_", ends, ids, "0"))
	for k := len(plan.Order) - 1; k >= 0; k-- {
		i := plan.Order[k]
		t, id := plan.Times[i], ids[i]
		s.Step("LF_"+id, t.LF, "h", edge("min", "LS_", plan.Next[i], ids, "finish"))
		s.Step("LS_"+id, t.LS, "h", "LF_"+id+" - d_"+id)
		s.Step("float_"+id, t.Float, "h", "LS_"+id+" - ES_"+id)
	}
}

// edge writes max(EF_A, EF_B).
func edge(fn, prefix string, places []int, ids []string, none string) string {
	var all []string
	for _, i := range places {
		all = append(all, prefix+ids[i])
	}
	switch len(all) {
	case 0:
		return none
	case 1:
		return all[0]
	}
	return fn + "(" + strings.Join(all, ", ") + ")"
}

// sdFormula writes the variances along the critical path that has the largest.
func sdFormula(s *desk.Sheet, tasks []Task, plan Schedule, paths []Path) string {
	for _, p := range paths {
		if p.Critical && math.Abs(p.Variance-plan.Variance) <= 1e-9*plan.Variance {
			var sum []string
			for _, i := range p.Tasks {
				if v := tasks[i].Variance(); v > 0 {
					sum = append(sum, s.Figure(v, "h2"))
				}
			}
			if len(sum) > 0 {
				return "sqrt(" + strings.Join(sum, " + ") + ")"
			}
			return "0"
		}
	}
	return "sqrt(sum of the variances along the critical path)"
}

// write names the tasks of a path, or the events of arcs.
func (p Path) write(tasks []Task, arcs bool) string {
	var names []string
	for k, i := range p.Tasks {
		name := tasks[i].Name
		if from, to, ok := strings.Cut(name, "-"); arcs && ok {
			if name = to; k == 0 {
				name = from + "-" + to
			}
		}
		names = append(names, name)
	}
	if arcs {
		return strings.Join(names, "-")
	}
	return strings.Join(names, " → ")
}

func critical(tasks []Task, plan Schedule, paths []Path, arcs bool) string {
	var all []string
	for _, p := range paths {
		if p.Critical {
			all = append(all, p.write(tasks, arcs))
		}
	}
	const show = 10
	switch {
	case len(all) > show:
		return fmt.Sprintf("%s and %d more", strings.Join(all[:show], "; "), len(all)-show)
	case len(all) > 0:
		return strings.Join(all, "; ")
	}
	for _, i := range plan.Order { // too many paths to walk them all
		if plan.Critical(i) {
			all = append(all, tasks[i].Name)
		}
	}
	return "among " + strings.Join(all, ", ")
}

func table(s *desk.Sheet, tasks []Task, plan Schedule) string {
	f := func(v float64) string { return s.Figure(v, "count") }
	var lines []string
	for i, t := range plan.Times {
		line := fmt.Sprintf("%s: ES %s  EF %s  LS %s  LF %s  float %s", tasks[i].Name, f(t.ES), f(t.EF), f(t.LS), f(t.LF), f(t.Float))
		if plan.Critical(i) {
			line += "  critical"
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

func sayPaths(s *desk.Sheet, tasks []Task, paths []Path, arcs, all bool) {
	const show = 20
	var lines []string
	for _, p := range paths[:min(show, len(paths))] {
		line := fmt.Sprintf("%s: %s, sd %s", p.write(tasks, arcs), s.Figure(p.Mean, "h"), s.Figure(math.Sqrt(p.Variance), "h"))
		if s.Has("by") {
			line += ", chance " + s.Figure(ByThen(s.Num("by"), p.Mean, p.Variance), "ratio")
		}
		lines = append(lines, line)
	}
	s.Say("paths", strings.Join(lines, "\n"))
	switch {
	case !all:
		s.Note("There are more than %d paths: the list is not complete, and the chance is not multiplied over them.", maxPaths)
	case len(paths) > show:
		s.Note("There are %d paths; the %d longest are listed.", len(paths), show)
	}
}
