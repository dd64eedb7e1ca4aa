package main

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What fails in one lane ends the other, and is what is reported.
func TestInLanes(t *testing.T) {
	failed := errors.New("out of tune")
	var ran []string
	err := inLanes(t.Context(), map[string][]step{
		"one": {{"fails", func(ctx context.Context) error {
			fmt.Fprint(out(ctx), "half a line")
			return failed
		}}, {"after", func(context.Context) error { ran = append(ran, "after"); return nil }}},
		"two": {{"waits", func(ctx context.Context) error {
			select {
			case <-ctx.Done():
				return ctx.Err()
			case <-time.After(time.Minute):
				return nil
			}
		}}},
	})
	require.ErrorIs(t, err, failed)
	require.ErrorContains(t, err, "fails: out of tune")
	require.Empty(t, ran)
	require.NoError(t, inLanes(t.Context(), map[string][]step{"one": {{"well", func(context.Context) error { return nil }}}}))
}
