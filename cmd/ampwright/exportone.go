package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"ampwright/model"
	"ampwright/model/ahead"
	"ampwright/model/ahead/aheadjson"
	"ampwright/model/calendar"
	"ampwright/model/plan"
	"ampwright/model/tables"
	"ampwright/model/workbook"
)

// exports are the words for what can be exported of one build.
var exports = append(slices.Clone(tables.Names), "all", "dates", "plan", "forecast")

// exportOne writes something of one build.
func (p *program) exportOne(args []string, next model.Curve) error {
	what, file := args[0], "-"
	if len(args) > 1 {
		file = args[1]
	}
	return p.look(func(v view, _ []string) error {
		write, err := v.exporter(what, file, next)
		if err != nil {
			return err
		}
		if file == "-" {
			return write(p.out)
		}
		if err := p.overwrite(file); err != nil {
			return err
		}
		if err := writeFile(file, write); err != nil {
			return err
		}
		p.talk("written: %s of %s to %s", what, v.build.Title, file)
		return nil
	})(nil, nil)
}

// exporter returns what writes it, in the format that the file's name asks for.
func (v view) exporter(what, file string, next model.Curve) (func(io.Writer) error, error) {
	ext := strings.ToLower(filepath.Ext(file))
	book := func(all []tables.Table) func(io.Writer) error {
		return func(w io.Writer) error {
			data, err := workbook.Write(all)
			if err == nil {
				_, err = w.Write(data)
			}
			return err
		}
	}
	expect := func(want string) error {
		if ext != want && file != "-" {
			return wrong("", "%s: %s is written as %s", file, what, want)
		}
		return nil
	}
	switch what {
	case "all":
		return book(tables.All(v.build)), expect(".xlsx")
	case "dates":
		return func(w io.Writer) error { return calendar.Write(w, v.build.Title, calendar.Events(v.build), v.now) }, expect(".ics")
	case "forecast":
		past, err := v.past()
		if err != nil {
			return nil, err
		}
		data := aheadjson.File(ahead.Look(v.build, past))
		return func(w io.Writer) error { _, err := w.Write(data); return err }, expect(".json")
	case "plan":
		data, err := plan.Next(v.build, next)
		if err != nil {
			return nil, wrong("--learning 0.85", "%v", err)
		}
		return func(w io.Writer) error { _, err := w.Write(data); return err }, expect(".json")
	}
	t, ok := tables.Of(v.build, what)
	if !ok {
		return nil, fmt.Errorf("no table is called %q", what)
	}
	if ext == ".xlsx" {
		return book([]tables.Table{t}), nil
	}
	return func(w io.Writer) error { return tables.WriteCSV(w, t, v.style.Mark) }, expect(".csv")
}
