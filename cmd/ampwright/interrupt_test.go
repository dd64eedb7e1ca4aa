package main

import (
	"bytes"
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// stuck is an input that never comes: reading it ends the context.
type stuck struct {
	end   context.CancelFunc
	never chan struct{}
}

func (s stuck) Read([]byte) (int, error) {
	s.end()
	<-s.never
	return 0, nil
}

func TestInterruptedWhileReading(t *testing.T) {
	ctx, end := context.WithCancel(t.Context())
	in := stuck{end, make(chan struct{})}
	t.Cleanup(func() { close(in.never) })
	var out, talk bytes.Buffer
	p := &program{in: in, out: &out, err: &talk, now: time.Now}
	dir := t.TempDir() + "/garage"
	require.Equal(t, exitInterrupted, p.run(ctx, []string{"import", "-", "--garage", dir}))
	require.Equal(t, "ampwright import: interrupted\n", talk.String())
	require.Empty(t, out.String())
	require.NoDirExists(t, dir)
}
