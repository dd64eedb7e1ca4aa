// Package cases is the batch interface of the forecast: one JSON object a line
// in, one out.
//
//	{"case":"c1","tasks":[{"id":"t1","estimate_hours":2.5,"actual_hours":3,"done":true}]}
//	{"case":"c1","remaining_hours":{"p10":0,"p25":0,"p50":0,"p75":0,"p90":0,"mean":0}}
//
// estimate_hours is a number or {"low","likely","high"}; 0, null or absent is
// none. Hours logged on an open task are spent; the answer is what is still to
// come. Other keys are passed over.
package cases

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"ampwright/calc/forecast"
)

type asked struct {
	Case  string `json:"case"`
	Tasks []task `json:"tasks"`
}

type task struct {
	ID       string          `json:"id"`
	Estimate json.RawMessage `json:"estimate_hours"`
	Logged   float64         `json:"actual_hours"`
	Done     bool            `json:"done"`
}

type threePoint struct {
	Low    *float64 `json:"low"`
	Likely *float64 `json:"likely"`
	High   *float64 `json:"high"`
}

type answer struct {
	Case string `json:"case"`
	Left left   `json:"remaining_hours"`
}

type left struct {
	P10  float64 `json:"p10"`
	P25  float64 `json:"p25"`
	P50  float64 `json:"p50"`
	P75  float64 `json:"p75"`
	P90  float64 `json:"p90"`
	Mean float64 `json:"mean"`
}

// Decode reads one case. The error names the task, if it is one.
func Decode(line []byte) (id string, tasks []forecast.Work, err error) {
	var a asked
	if err := json.Unmarshal(line, &a); err != nil {
		return "", nil, err
	}
	if a.Case == "" {
		return "", nil, errors.New(`no "case": want its name`)
	}
	if a.Tasks == nil {
		return "", nil, fmt.Errorf(`case %s: no "tasks": want a list`, a.Case)
	}
	tasks = make([]forecast.Work, len(a.Tasks))
	for i, t := range a.Tasks {
		w := forecast.Work{Name: t.ID, Logged: t.Logged, Done: t.Done}
		if w.Name == "" {
			w.Name = fmt.Sprint(i + 1)
		}
		if err := estimate(&w, t.Estimate); err != nil {
			return "", nil, fmt.Errorf("case %s: task %s: estimate_hours %s: %w", a.Case, w.Name, t.Estimate, err)
		}
		tasks[i] = w
	}
	return a.Case, tasks, nil
}

// estimate reads a number, three of them, or none.
func estimate(w *forecast.Work, text json.RawMessage) error {
	if len(text) == 0 || bytes.Equal(text, []byte("null")) {
		return nil
	}
	errWant := errors.New(`want hours or {"low":1,"likely":2,"high":4}`)
	if text[0] != '{' {
		if json.Unmarshal(text, &w.Likely) != nil {
			return errWant
		}
		w.Low, w.High = w.Likely, w.Likely
		return nil
	}
	var e threePoint
	if json.Unmarshal(text, &e) != nil || e.Low == nil || e.Likely == nil || e.High == nil {
		return errWant
	}
	w.Low, w.Likely, w.High = *e.Low, *e.Likely, *e.High
	return nil
}

// Answer forecasts the case on one line and returns the answer's line, without
// its end.
func Answer(line []byte) ([]byte, error) {
	id, tasks, err := Decode(line)
	if err != nil {
		return nil, err
	}
	d, err := forecast.Hours(tasks)
	if err != nil {
		return nil, fmt.Errorf("case %s: %w", id, err)
	}
	return json.Marshal(answer{id, left{d.P10, d.P25, d.P50, d.P75, d.P90, d.Mean}})
}
