package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"ampwright/model"
)

// usage is how a writing command is typed: "hours [TASK] HOURS".
func usage(k *model.WishKind) string {
	words := []string{k.Name}
	var last model.WishField
	for _, f := range k.Fields {
		if !f.Arg {
			continue
		}
		word := strings.ToUpper(f.Name)
		if !f.Required {
			word = "[" + word + "]"
		}
		words, last = append(words, word), f
	}
	if takesMany(last) {
		words[len(words)-1] += "..."
	}
	for _, f := range k.Fields {
		if !f.Arg && f.Required {
			words = append(words, "--"+f.Name+" "+strings.ToUpper(string(f.Type)))
		}
	}
	return strings.Join(words, " ")
}

// explain is the long help of a writing command: what it does, and what its
// words are.
func explain(k *model.WishKind) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s.\n", k.Title, k.Help)
	width := 0
	for _, f := range k.Fields {
		if f.Arg {
			width = max(width, len(f.Name))
		}
	}
	for _, f := range k.Fields {
		if f.Arg {
			fmt.Fprintf(&b, "\n  %-*s  %s", width, strings.ToUpper(f.Name), cmp.Or(accepted(f), f.Label))
			if !f.Required {
				b.WriteString(" (may be left out)")
			}
		}
	}
	for _, more := range []string{also[k.Name], reading[k.Name]} {
		if more != "" {
			fmt.Fprintf(&b, "\n\n%s%s", strings.ToUpper(more[:1]), more[1:])
		}
	}
	return b.String()
}

// accepted says what a field takes.
func accepted(f model.WishField) string {
	text := strings.TrimPrefix(f.Hint, "want ")
	if len(f.Choices) > 0 && !strings.Contains(text, f.Choices[0]) {
		text = strings.Join(f.Choices, ", ")
	}
	return text
}

// flagHelp is the help of a flag: its label, and what is accepted.
func flagHelp(f model.WishField) string {
	text := accepted(f)
	if f.Type == model.MomentField {
		text += "; such as 19:30, 2026-11-20 19:30 or RFC 3339"
	}
	if text == "" {
		return f.Label
	}
	return f.Label + " (" + strings.TrimPrefix(text, "; ") + ")"
}

// refused puts a refused wish into words: a line for each field, and what to
// type.
func refused(k *model.WishKind, err error) error {
	var wish *model.WishError
	if !errors.As(err, &wish) {
		return err
	}
	u := &usageError{end: "nothing was written"}
	var hints []string
	for _, f := range wish.Fields {
		u.lines = append(u.lines, oneLine(f.Error()))
		if h := look(k, f); h != "" && !slices.Contains(hints, h) {
			hints = append(hints, h)
		}
	}
	if len(hints) == 0 {
		hints = []string{"ampwright " + k.Name + " --help shows examples"}
	}
	u.hint = strings.Join(hints, "; ")
	return u
}

// look says where the right value of a field is to be found.
func look(k *model.WishKind, wrong *model.FieldError) string {
	for _, f := range k.Fields {
		if f.Name != wrong.Field {
			continue
		}
		if wrong.Value == "" && f.Arg {
			return strings.TrimSuffix("type ampwright "+usage(k)+"; "+reading[k.Name], "; ")
		}
		if wrong.Value == "" {
			return "add --" + f.Name
		}
		if !strings.HasPrefix(wrong.Want, "is not a") && !strings.HasPrefix(wrong.Want, "want the name") {
			return ""
		}
		switch f.Type {
		case model.TaskField:
			return "ampwright tasks lists the tasks"
		case model.CheckField:
			return "ampwright checks lists the checks"
		case model.PartField, model.PartsField:
			return "ampwright parts lists the parts"
		case model.PlanField:
			return "ampwright plans lists the plans"
		case model.SpecField:
			return "ampwright sheet lists the inputs"
		case model.StageField:
			return "ampwright show lists the stages"
		case model.EntryField:
			return "ampwright log shows the entries"
		case model.DeviceField:
			return "ampwright devices lists the devices"
		case model.HeldField:
			return "ampwright findings shows the held entries"
		case model.ChangesField:
			return "ampwright task TASK shows what work on it may change"
		case model.ItemField:
			return "ampwright findings lists them"
		}
	}
	if wrong.Field == "instead" {
		return "ampwright log shows the entries"
	}
	return ""
}
