package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
)

// answerLines reads cases from a file, - for the standard input, one a line,
// and writes the answer to each in the same order. A line that has none is named
// on the standard error and the rest is answered all the same.
func (p *program) answerLines(ctx context.Context, file string, answer func(line []byte) ([]byte, error)) error {
	from := p.in
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return err
		}
		defer f.Close()
		from = f
	}
	in, out := bufio.NewReaderSize(from, 1<<20), bufio.NewWriterSize(p.out, 1<<16)
	bad, last := 0, false
	for n := 1; !last; n++ {
		line, err := in.ReadBytes('\n')
		if err == nil && ctx.Err() != nil {
			err = context.Cause(ctx)
		}
		if last = err == io.EOF; err != nil && !last {
			return errors.Join(fmt.Errorf("read cases: %w", err), out.Flush())
		}
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		text, err := answer(line)
		if err != nil {
			bad++
			p.talk("line %d: %s", n, oneLine(plainly(err)))
			continue
		}
		if _, err := out.Write(append(text, '\n')); err != nil {
			return err
		}
		if in.Buffered() == 0 { // who writes one line and waits hears the answer
			if err := out.Flush(); err != nil {
				return err
			}
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	if bad > 0 {
		return fmt.Errorf("%d %s cannot be used; the rest is answered", bad, plural(bad, "line", "lines"))
	}
	return nil
}

// plainly says what is wrong with a line without the words of Go.
func plainly(err error) string {
	var wrong *json.UnmarshalTypeError
	if !errors.As(err, &wrong) || wrong.Field == "" {
		return err.Error()
	}
	want := map[reflect.Kind]string{
		reflect.String: "a text", reflect.Bool: "true or false", reflect.Slice: "a list", reflect.Struct: "an object", reflect.Map: "an object",
		reflect.Int: "a whole number", reflect.Float64: "a number",
	}[wrong.Type.Kind()]
	if want == "" {
		return err.Error()
	}
	return fmt.Sprintf("%s: %s where %s is wanted", wrong.Field, wrong.Value, want)
}
