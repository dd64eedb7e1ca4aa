package main

import (
	"bytes"
	"testing"

	"ampwright/sync/keep"
	"ampwright/sync/session"

	"github.com/stretchr/testify/require"
)

// Where there is no terminal, how far an exchange is comes as lines of JSON, its own
// and those of the process that makes it in this one's place.
func TestProgressLines(t *testing.T) {
	var out bytes.Buffer
	bar := (&program{err: &out}).newProgress()
	bar.tell(session.Progress{Got: 300, Want: 1000})
	bar.came(keep.BlobID{1}, 2)
	bar.show(40)
	line := `{"in":300,"want":1000,"out":40,"photos":1,"photosLeft":2}` + "\n"
	require.Equal(t, line, out.String())
	bar.pass(line)
	require.Equal(t, line+line, out.String())
}
