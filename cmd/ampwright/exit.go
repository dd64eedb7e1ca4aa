package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"ampwright/model"
	"ampwright/server/garage"
)

// Exit codes.
const (
	exitDone        = 0
	exitFailed      = 1
	exitUsage       = 2
	exitNotMet      = 3
	exitBusy        = 4
	exitInterrupted = 130
)

// errNotMet ends a command whose answer, already given, is no.
var errNotMet = errors.New("the check is not met")

// A usageError is a command line that asks for something that is not there.
type usageError struct {
	lines []string // what is wrong, one a line
	hint  string   // what to type instead; may be ""
	end   string   // what that means; may be ""
}

func (e *usageError) Error() string { return strings.Join(e.lines, "; ") }

// wrong returns a usageError of one line.
func wrong(hint, format string, args ...any) error {
	return &usageError{lines: []string{fmt.Sprintf(format, args...)}, hint: hint}
}

// An adviceError is a failure with what to type next.
type adviceError struct {
	error
	hint string
}

func (e *adviceError) Unwrap() error { return e.error }

// exit puts the error a command ended with into words on the standard error,
// and returns the exit code. It is the only place that does.
func (p *program) exit(ctx context.Context, name string, err error) int {
	if err == nil {
		return exitDone
	}
	say := func(hint string, lines ...string) {
		for _, l := range lines {
			p.talk("%s: %s", name, l)
		}
		if hint != "" {
			p.talk("hint: %s", hint)
		}
	}
	var usage *usageError
	var advice *adviceError
	var wish *model.WishError
	var busy *garage.BusyError
	var spoken *spokenError
	switch {
	case errors.As(err, &spoken):
		return spoken.code
	case errors.Is(err, errNotMet):
		return exitNotMet
	case ctx.Err() != nil && errors.Is(err, context.Cause(ctx)), errors.Is(err, context.Canceled):
		say("", "interrupted")
		return exitInterrupted
	case errors.As(err, &usage):
		say(usage.hint, usage.lines...)
		if usage.end != "" {
			p.talk("%s", usage.end)
		}
		return exitUsage
	case errors.As(err, &wish):
		say("", wish.Error())
		return exitUsage
	case errors.As(err, &busy):
		say("wait until it is done, or end it, and try again", busy.Error())
		return exitBusy
	case errors.As(err, &advice):
		say(advice.hint, advice.Error())
		return exitFailed
	}
	say("", err.Error())
	return exitFailed
}
