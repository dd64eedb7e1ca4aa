package main

import (
	"errors"
	"slices"
	"strings"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

// writing returns a command for everything that can be written down, made from
// the model's table.
func (p *program) writing() []*cobra.Command {
	var commands []*cobra.Command
	for _, k := range model.WishKinds() {
		commands = append(commands, p.writer(k))
	}
	return commands
}

func (p *program) writer(k *model.WishKind) *cobra.Command {
	c := &cobra.Command{
		Use: usage(k), Short: k.Help, Long: explain(k), Example: examples[k.Name], Args: cobra.ArbitraryArgs,
	}
	f := c.Flags()
	for _, field := range k.Fields {
		if field.Type == model.TickField {
			f.Bool(field.Name, false, flagHelp(field))
			continue
		}
		f.Var(&typed{kind: field.Type, many: takesMany(field)}, field.Name, flagHelp(field))
		if field.Arg {
			f.Lookup(field.Name).Hidden = true // it has its place among the words
		}
	}
	f.Var(&typed{kind: model.EntryField}, "instead", "the entry this one replaces, by the first letters of its name")
	c.RunE = func(c *cobra.Command, args []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		values, err := valuesOf(c, k, args)
		if err != nil {
			return err
		}
		return p.write(k, model.Wish{Name: k.Name, Values: values})
	}
	return c
}

// typed is the value of a flag, as it was typed.
type typed struct {
	kind  model.FieldType
	many  bool // each use adds a word; otherwise the last one holds
	words []string
}

func (t *typed) Set(word string) error {
	if !t.many {
		t.words = nil
	}
	t.words = append(t.words, word)
	return nil
}

func (t *typed) String() string { return strings.Join(t.words, " ") }

// Type is what the help calls the value.
func (t *typed) Type() string {
	if t.kind == model.PhotoField {
		return "FILE"
	}
	return strings.ToUpper(string(t.kind))
}

// valuesOf gathers what was typed for each field, as words or as flags.
func valuesOf(c *cobra.Command, k *model.WishKind, args []string) (map[string][]string, error) {
	values := map[string][]string{}
	flags := c.Flags()
	names := []string{"instead"}
	for _, field := range k.Fields {
		names = append(names, field.Name)
	}
	for _, name := range names {
		f := flags.Lookup(name)
		if !f.Changed {
			continue
		}
		if v, ok := f.Value.(*typed); ok {
			values[name] = v.words
		} else {
			values[name] = []string{f.Value.String()} // a tick: true or false
		}
	}
	fields := placed(k, len(args), func(name string) bool { return flags.Lookup(name).Changed })
	for i, field := range fields {
		words := args[i : i+1]
		if i == len(fields)-1 && takesRest(field) {
			words = args[i:]
		}
		if !takesMany(field) {
			words = []string{strings.Join(words, " ")}
		}
		values[field.Name] = words
	}
	if n := len(fields); len(args) > n && (n == 0 || !takesRest(fields[n-1])) {
		return nil, wrong("put words that belong together in quotes; "+c.CommandPath()+" --help shows examples",
			"%q is one word too many: want %s", args[n], "ampwright "+usage(k))
	}
	return values, nil
}

// placed returns the fields that n words fill, in order: those that are
// required, and as many others as there are words for.
func placed(k *model.WishKind, n int, flagged func(string) bool) []model.WishField {
	var all []model.WishField
	required := 0
	for _, f := range k.Fields {
		if f.Arg && !flagged(f.Name) {
			all = append(all, f)
			if f.Required {
				required++
			}
		}
	}
	others := n - required
	var fields []model.WishField
	for _, f := range all {
		switch {
		case len(fields) == n:
			return fields
		case f.Required:
			fields = append(fields, f)
		case others > 0:
			others--
			fields = append(fields, f)
		}
	}
	return fields
}

// takesMany reports whether a field keeps several words apart.
func takesMany(f model.WishField) bool {
	switch f.Type {
	case model.ValuesField, model.ChangesField, model.PartsField, model.HeldField:
		return true
	}
	return false
}

// takesRest reports whether a field that comes last takes all words that are
// left. A task, a day or an amount is one word.
func takesRest(f model.WishField) bool {
	switch f.Type {
	case model.TextField, model.LongField, model.HoursField, model.EstimateField:
		return true
	}
	return takesMany(f)
}

// sure reports whether a value that was read back is meant: --yes says so, or
// the person at the terminal.
func (p *program) sure(err error) (bool, error) {
	var wish *model.WishError
	if !errors.As(err, &wish) || len(wish.Fields) != 1 || wish.Fields[0].Field != model.Sure {
		return false, nil
	}
	if p.yes {
		return true, nil
	}
	yes, asked := p.ask(oneLine(wish.Fields[0].Want) + ". Does it say so?")
	switch {
	case yes:
		return true, nil
	case asked:
		return false, errors.New("nothing was written")
	}
	return false, &usageError{lines: []string{oneLine(wish.Fields[0].Want)}, hint: "if the instrument does say so, add --yes", end: "nothing was written"}
}

// write does the wish and says what came of it.
func (p *program) write(k *model.WishKind, w model.Wish) error {
	aboutDevice := slices.ContainsFunc(k.Fields, func(f model.WishField) bool { return f.Type == model.DeviceField || f.Type == model.HeldField })
	h, err := p.enter(k.Garage && !aboutDevice) // of a garage that is not there no device is known
	if err != nil {
		return err
	}
	if err := p.keepPhotos(k, w); err != nil {
		return closing(err, h)
	}
	return closing(p.writeIn(h, k, w), h)
}

func (p *program) writeIn(h homeWriter, k *model.WishKind, w model.Wish) error {
	build := uuid.Nil
	if !k.Garage {
		err := h.Read(func(l *model.Logbook) (err error) {
			build, err = pick(l, h.Now(), p.build)
			return err
		})
		if err != nil {
			return err
		}
	}
	out, err := h.Do(build, w, p.by)
	if sure, asked := p.sure(err); asked != nil {
		return asked
	} else if sure {
		w.Values[model.Sure] = []string{"yes"}
		out, err = h.Do(build, w, p.by)
	}
	if err != nil {
		return refused(k, err)
	}
	return h.Read(func(l *model.Logbook) error { return p.written(l, h.Now(), k, out) })
}
