// Ampwright keeps the logbook of electric motorcycle conversions: what was done,
// measured, bought and sold, what is left, and what to do next. Everything is
// written to one folder on this computer and needs no network.
//
// Answers go to the standard output, talk to the standard error. Exit codes: 0
// done, 1 failed, 2 wrong usage or a wrong value, 3 a check is not met, 4 the
// logbook is busy, 130 interrupted.
package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"
)

func main() {
	ctx, stop := untilSignal()
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// errTold ends a server that the system told to stop.
var errTold = errors.New("told to stop")

// untilSignal returns a context that the first interrupt or termination signal
// ends; the next one ends the program at once.
func untilSignal() (context.Context, context.CancelFunc) {
	told, tell := context.WithCancelCause(context.Background())
	term := make(chan os.Signal, 1)
	signal.Notify(term, syscall.SIGTERM)
	go func() {
		<-term
		signal.Stop(term)
		tell(errTold)
	}()
	ctx, stop := signal.NotifyContext(told, os.Interrupt)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}

// run does what args say and returns the exit code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	p := &program{in: stdin, out: stdout, err: stderr, now: time.Now}
	return p.run(ctx, args)
}
