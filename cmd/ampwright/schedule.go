package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"

	"ampwright/calc/schedule"

	"github.com/spf13/cobra"
)

// A jobsJSON is a line of schedule's input.
type jobsJSON struct {
	Instance *string           `json:"instance"`
	Capacity []int             `json:"capacity"`
	Jobs     []json.RawMessage `json:"jobs"`
}

type jobJSON struct {
	ID           jobID   `json:"id"`
	Duration     *int    `json:"duration"`
	Demand       []int   `json:"demand"`
	Successors   []jobID `json:"successors"`
	Predecessors []jobID `json:"predecessors"`
}

// A jobID is a text, or a whole number that stands for its digits.
type jobID string

func (id *jobID) UnmarshalJSON(b []byte) error {
	if n, err := strconv.ParseInt(string(b), 10, 64); err == nil {
		*id = jobID(strconv.FormatInt(n, 10))
		return nil
	}
	var s string
	if err := json.Unmarshal(b, &s); err != nil || s == "" {
		return fmt.Errorf("ID %s: want a text or a whole number", b)
	}
	*id = jobID(s)
	return nil
}

// A startsJSON is a line of schedule's output.
type startsJSON struct {
	Instance string         `json:"instance"`
	Makespan int            `json:"makespan"`
	Bound    int            `json:"bound"`
	Starts   map[string]int `json:"starts"`
}

func (p *program) schedule() *cobra.Command {
	file := ""
	c := &cobra.Command{
		Use: "schedule --cases FILE", Short: "when to start each job, if jobs share what there is too little of",
		Long: `Schedules sets of jobs from a file, one JSON object a line in, one out in the same
order. A job has a duration, a demand of each resource while it runs, and
successors, or predecessors, or both:

  {"instance":"i1","capacity":[1],"jobs":[{"id":1,"duration":3,"demand":[1],"successors":[2]},
    {"id":2,"duration":2,"demand":[1],"successors":[]}]}

The answer is a start for each job, the last of which ends at makespan; nothing
can end before bound:

  {"instance":"i1","makespan":5,"bound":5,"starts":{"1":0,"2":3}}

(here on one line for each). Times are whole numbers of whatever unit the
durations are in. Where makespan is above bound a shorter schedule may exist. The
same line always gets the same answer. A line that cannot be used is named on the
standard error, and the rest is answered all the same.`,
		Example: "  ampwright schedule --cases jobs.jsonl > starts.jsonl\n  zcat jobs.jsonl.gz | ampwright schedule --cases -",
		Args:    cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			switch {
			case len(args) > 0:
				return wrong("ampwright schedule --cases "+args[0], "%q is one word too many", args[0])
			case file == "":
				return wrong("ampwright schedule --cases FILE, or - for the standard input", "--cases is missing")
			}
			return p.answerLines(c.Context(), file, scheduled)
		},
	}
	c.Flags().StringVar(&file, "cases", "", "the `file` with the jobs, - for the standard input")
	return c
}

// scheduled answers one line.
func scheduled(line []byte) ([]byte, error) {
	var jobs jobsJSON
	if err := json.Unmarshal(line, &jobs); err != nil {
		return nil, inWords(err)
	}
	if jobs.Instance == nil || jobs.Jobs == nil {
		return nil, errors.New("want an object with instance, capacity and jobs")
	}
	project, err := jobs.project()
	if err != nil {
		return nil, fmt.Errorf("instance %s: %w", *jobs.Instance, err)
	}
	t, err := schedule.Shortest(project, 0)
	if err != nil {
		return nil, fmt.Errorf("instance %s: %w", *jobs.Instance, err)
	}
	body := startsJSON{*jobs.Instance, t.Makespan, t.Bound, map[string]int{}}
	for i, task := range project.Tasks {
		body.Starts[task.ID] = t.Starts[i]
	}
	return json.Marshal(body)
}

func (jobs jobsJSON) project() (schedule.Project, error) {
	p := schedule.Project{Capacity: jobs.Capacity}
	after := make([][]jobID, len(jobs.Jobs))
	place := map[jobID]int{}
	for i, raw := range jobs.Jobs {
		var j jobJSON
		if err := json.Unmarshal(raw, &j); err != nil {
			return p, fmt.Errorf("job %s: %w", named(j.ID, i), inWords(err))
		}
		if j.ID == "" || j.Duration == nil {
			return p, fmt.Errorf("job %s: want an id and a duration", named(j.ID, i))
		}
		t := schedule.Task{ID: string(j.ID), Duration: *j.Duration, Demand: j.Demand}
		for _, id := range j.Predecessors {
			t.Predecessors = append(t.Predecessors, string(id))
		}
		p.Tasks = append(p.Tasks, t)
		place[j.ID], after[i] = i, j.Successors
	}
	for i, t := range p.Tasks {
		for _, id := range after[i] {
			k, ok := place[id]
			if !ok {
				return p, &schedule.TaskError{Task: t.ID, Wrong: fmt.Sprintf("successor %q is not a task of the project", id)}
			}
			p.Tasks[k].Predecessors = append(p.Tasks[k].Predecessors, t.ID)
		}
	}
	return p, nil
}

// named is what to call the job at place i of the list.
func named(id jobID, i int) string {
	if id == "" {
		return fmt.Sprintf("%d of the list", i+1)
	}
	return strconv.Quote(string(id))
}

// inWords says of a value in JSON what it should have been.
func inWords(err error) error {
	var kind *json.UnmarshalTypeError
	if !errors.As(err, &kind) {
		return err
	}
	want := map[string]string{"int": "a whole number", "[]int": "a list of whole numbers", "string": "a text"}[kind.Type.String()]
	if want == "" {
		want = "a list or an object as --help shows"
	}
	if kind.Field == "" {
		return fmt.Errorf("got %s, want %s", kind.Value, want)
	}
	return fmt.Errorf("%s: got %s, want %s", kind.Field, kind.Value, want)
}
