package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"ampwright/server/garage"

	"github.com/spf13/cobra"
)

// A program is one run of the command line.
type program struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time

	dir     string // flags
	build   string
	by      string
	asOf    string
	json    bool
	noInput bool
	yes     bool
}

const about = `Ampwright keeps the logbook of electric motorcycle conversions: what was done,
measured, bought and sold, what is left, and what to do next. Everything is
written to one folder on this computer and needs no network.

It says what was measured against which limit. It does not replace the maker's
manual, local rules or licensed practice: the work can hurt people.`

const firstSteps = `  ampwright demo ./heron                 a made-up build to look round in
  ampwright --garage ./heron next        what to do now
  ampwright start small-motorcycle-hub "Trail bike" --currency EUR --ceiling 5000
  ampwright hours asm-01 1.5             log an hour and a half on a task
  ampwright read axle-runout-found 0.08  record a reading
  ampwright buy "crimp lugs" 18.90       book a purchase
  ampwright show                         hours and money, so far and left`

const trailer = `Where the garage is: --garage, else $` + placeKey + `, else a folder of your own
(on Linux $XDG_DATA_HOME/ampwright or ~/.local/share/ampwright).
Exit codes: 0 done, 1 failed, 2 wrong usage or value, 3 a check is not met,
4 the logbook is busy, 130 interrupted.
`

func (p *program) run(ctx context.Context, args []string) int {
	p.in = &ctxReader{ctx, p.in}
	root := p.root()
	root.SetArgs(args)
	root.SetIn(p.in)
	root.SetOut(p.out)
	root.SetErr(p.err)
	c, err := root.ExecuteContextC(ctx)
	return p.exit(ctx, c.CommandPath(), err)
}

// root returns the command tree.
func (p *program) root() *cobra.Command {
	root := &cobra.Command{
		Use: "ampwright", Short: "a garage logbook for electric motorcycle conversions", Long: about, Example: firstSteps,
		Version: version(), SilenceErrors: true, SilenceUsage: true, Args: cobra.ArbitraryArgs,
		SuggestionsMinimumDistance: 2,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(c, args[0])
			}
			return c.Help()
		},
	}
	root.SetVersionTemplate("{{.Version}}\n")
	root.SetUsageTemplate(root.UsageTemplate() + "{{if not .HasParent}}\n" + trailer + "{{end}}")
	root.SetFlagErrorFunc(flagError)
	root.AddGroup(
		&cobra.Group{ID: "look", Title: "Look:"},
		&cobra.Group{ID: "write", Title: "Write down:"},
		&cobra.Group{ID: "garage", Title: "The garage:"},
	)
	root.SetHelpCommandGroupID("garage")
	root.SetCompletionCommandGroupID("garage")
	f := root.PersistentFlags()
	f.StringVar(&p.dir, "garage", "", "the garage's `folder`")
	f.StringVar(&p.build, "build", "", "the build: its `name`, words of it, or its ID; the newest if left out")
	f.StringVar(&p.by, "by", "", "the `person` who says so, if not the one who keeps this copy")
	f.StringVar(&p.asOf, "as-of", "", "look at the logbook as it was at this `time`")
	f.BoolVar(&p.json, "json", false, "answer in JSON")
	f.BoolVar(&p.noInput, "no-input", false, "never ask, refuse instead")
	f.BoolVar(&p.yes, "yes", false, "say yes to every question")
	root.Flags().BoolP("help", "h", false, "how it is used")
	root.Flags().Bool("version", false, "what this program was built from")
	for group, commands := range map[string][]*cobra.Command{
		"look": {
			p.next(), p.show(), p.may(), p.task(), p.tasks(), p.check(), p.checks(), p.stale(), p.money(), p.parts(), p.orders(),
			p.walk(), p.sheet(), p.findings(), p.lessons(), p.log(), p.calc(), p.forecast(), p.schedule(),
		},
		"write":  p.writing(),
		"garage": {p.builds(), p.plans(), p.plan(), p.devices(), p.verify(), p.record(), p.paper(), p.photos(), p.backup(), p.restore(), p.export(), p.imports(), p.bring(), p.bms(), p.serve(), p.invite(), p.sync(), p.demo(), p.man(), p.version()},
	} {
		for _, c := range commands {
			c.GroupID = group
			c.DisableFlagsInUseLine = true
			root.AddCommand(c)
		}
	}
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd("completion")
	for _, c := range root.Commands() {
		switch c.Name() {
		case "help":
			c.Short = "how a command is used"
		case "completion":
			c.Short = "what a shell needs to complete commands: bash, zsh, fish, powershell"
		}
	}
	return root
}

func unknownCommand(c *cobra.Command, word string) error {
	hint := "ampwright --help lists the commands"
	if like := c.SuggestionsFor(word); len(like) > 0 {
		hint = "did you mean " + strings.Join(like, " or ") + "? " + hint
	}
	return wrong(hint, "%q is no command", word)
}

// flagError puts what the flag parser found wrong in our words.
func flagError(c *cobra.Command, err error) error {
	hint := c.CommandPath() + " --help lists the flags"
	if _, word, ok := strings.Cut(err.Error(), " in -"); ok && strings.ContainsAny(word[:1], "0123456789.,") {
		hint = "put -- before a value below zero: " + c.CommandPath() + " ... -- -" + word
	}
	return wrong(hint, "%s", err.Error())
}

// talk writes one line for a person on the standard error.
func (p *program) talk(format string, args ...any) {
	fmt.Fprintf(p.err, format+"\n", args...)
}

// place returns the garage's folder.
func (p *program) place() (string, error) {
	if p.dir != "" {
		return p.dir, nil
	}
	return usualPlace()
}

// enter opens the garage. Only some commands may make a new one.
func (p *program) enter(make bool) (garage.Home, error) {
	dir, err := p.place()
	if err != nil {
		return nil, err
	}
	if !make && !garage.Here(dir) {
		return nil, &adviceError{
			fmt.Errorf("there is no logbook in %s", dir),
			`start a build: ampwright start small-motorcycle-hub "Trail bike" --currency EUR; or name the folder with --garage`,
		}
	}
	h, err := garage.Enter(dir, garage.Config{Now: p.now, Person: p.by})
	if err != nil {
		return nil, err
	}
	if g, ok := h.(*garage.Garage); ok && g.Notice != "" {
		p.talk("note: %s", g.Notice)
	}
	return h, nil
}

// closing closes a home and returns what went wrong first.
func closing(err error, h garage.Home) error {
	if closeErr := h.Close(); err == nil {
		err = closeErr
	}
	return err
}

// moment reads a time given on the command line. Without an offset it is meant
// in the zone of now.
func moment(flag, text string, now time.Time) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00", "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04"} {
		if t, err := time.ParseInLocation(layout, text, now.Location()); err == nil {
			return t, nil
		}
	}
	if t, err := time.ParseInLocation(time.DateOnly, text, now.Location()); err == nil {
		return t.AddDate(0, 0, 1).Add(-time.Second), nil // the day, to its end
	}
	return time.Time{}, wrong("", "--%s %q: want a time such as 2026-11-20T19:30:00+01:00, 2026-11-20 19:30 or 2026-11-20", flag, text)
}

// printJSON writes v as the whole answer.
func (p *program) printJSON(v any) error {
	data, err := jsonText(v)
	if err == nil {
		_, err = p.out.Write(data)
	}
	return err
}

func jsonText(v any) ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(v)
	return out.Bytes(), err
}

// ctxReader stops reading when ctx is done.
type ctxReader struct {
	ctx context.Context
	r   io.Reader
}

func (c *ctxReader) Read(b []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, context.Cause(c.ctx)
	}
	type result struct {
		data []byte
		err  error
	}
	done := make(chan result, 1)
	go func() { // outlives Read only when the program is about to end
		buf := make([]byte, len(b))
		n, err := c.r.Read(buf)
		done <- result{buf[:n], err}
	}()
	select {
	case got := <-done:
		return copy(b, got.data), got.err
	case <-c.ctx.Done():
		return 0, context.Cause(c.ctx)
	}
}
