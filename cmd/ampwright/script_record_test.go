package main

import (
	"bytes"
	"encoding/json"
	"os"

	"github.com/rogpeppe/go-internal/testscript"
)

// forge flips the lowest bit of the first letter of a word in the bytes of the
// first entry that holds it, in a file of JSON Lines.
func forge(ts *testscript.TestScript, _ bool, args []string) {
	path := ts.MkAbs(args[0])
	file, err := os.ReadFile(path)
	ts.Check(err)
	lines := bytes.Split(file, []byte("\n"))
	for i, text := range lines {
		var line map[string]any
		var raw struct{ Raw []byte }
		if json.Unmarshal(text, &line) != nil || json.Unmarshal(text, &raw) != nil {
			continue
		}
		at := bytes.Index(raw.Raw, []byte(args[1]))
		if at < 0 {
			continue
		}
		raw.Raw[at] ^= 1
		line["raw"] = raw.Raw
		lines[i], err = json.Marshal(line)
		ts.Check(err)
		ts.Check(os.WriteFile(path, bytes.Join(lines, []byte("\n")), 0o644))
		return
	}
	ts.Fatalf("no entry in %s holds %q", args[0], args[1])
}
