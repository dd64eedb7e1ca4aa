package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"sync"
)

type outKey struct{}

// out is where what runs under ctx writes to.
func out(ctx context.Context) io.Writer {
	if w, ok := ctx.Value(outKey{}).(io.Writer); ok {
		return w
	}
	return os.Stdout
}

// A lane writes whole lines to the terminal, each under its name.
type lane struct {
	name     string
	printing *sync.Mutex
	mu       sync.Mutex
	rest     []byte // of a line that has not ended
}

func (l *lane) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.rest = append(l.rest, p...)
	for {
		line, rest, ok := bytes.Cut(l.rest, []byte("\n"))
		if !ok {
			return len(p), nil
		}
		l.print(line)
		l.rest = rest
	}
}

func (l *lane) flush() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.rest) > 0 {
		l.print(l.rest)
	}
	l.rest = nil
}

func (l *lane) print(line []byte) {
	l.printing.Lock()
	defer l.printing.Unlock()
	fmt.Printf("%-6s | %s\n", l.name, line)
}
